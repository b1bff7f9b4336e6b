//! Base64 as RFC 4648, section 4, has it: what the clipboard sequence of terminals asks for.

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Three bytes make four characters; `=` fills the last four.
pub(super) fn encode(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let at = |n: usize| three.get(n).copied().map_or(0, u32::from);
        let bits = (at(0) << 16) | (at(1) << 8) | at(2);
        for n in 0..4 {
            let index = usize::try_from((bits >> (18 - 6 * n)) & 63).unwrap_or_default();
            let digit = ALPHABET.get(index).copied().map_or('=', char::from);
            out.push(if n > three.len() { '=' } else { digit });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_test_vectors_of_rfc_4648_section_10() {
        for (text, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(encode(text.as_bytes()), coded);
        }
    }
}
