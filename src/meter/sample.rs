//! A few received bytes for people: quoted when they are text, in hex when not.

/// How many rejected bytes are kept to be shown.
pub const SAMPLE: usize = 32;

/// `'boot ok'` or `F8 80 00`.
pub fn shown(bytes: &[u8]) -> String {
    let printable = |byte: &u8| matches!(byte, b'\t' | b'\r' | b'\n' | 0x20..0x7f);
    if !bytes.is_empty() && bytes.iter().all(printable) {
        let text = String::from_utf8_lossy(bytes);
        return format!("'{}'", text.trim());
    }
    hex(bytes)
}

/// `F8 80 00`, whatever they are.
pub fn hex(bytes: &[u8]) -> String {
    let pairs: Vec<String> = bytes.iter().map(|byte| format!("{byte:02X}")).collect();
    pairs.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_quoted_and_noise_is_hex() {
        assert_eq!(shown(b"boot ok\r\n"), "'boot ok'");
        assert_eq!(shown(&[0xf8, 0x80, b'7']), "F8 80 37");
    }
}
