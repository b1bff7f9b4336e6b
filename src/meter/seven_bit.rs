//! Seven-bit bytes on a port opened 8N1: 7O1, 7N2 and 8N1 are all ten bits on the wire, so what
//! the meter meant as parity or as the first stop bit arrives as bit 7, and is checked here, byte
//! by byte.

const BIT_7: u8 = 0x80;

/// Seven data bits and odd parity: every byte has an odd number of ones.
///
/// Where an adapter, a bridge or a socket has taken the parity away, bit 7 is clear throughout;
/// anything between the two is a fault on the line.
pub(super) fn odd_parity<const N: usize>(frame: &[u8; N]) -> Option<[u8; N]> {
    let checked = frame.iter().all(|byte| byte.count_ones() % 2 == 1);
    (checked || is_stripped(frame)).then(|| frame.map(data))
}

/// Seven data bits and two stop bits: bit 7 is the first stop bit, always set.
pub(super) fn two_stop_bits<const N: usize>(frame: &[u8; N]) -> Option<[u8; N]> {
    let checked = frame.iter().all(|byte| byte & BIT_7 != 0);
    (checked || is_stripped(frame)).then(|| frame.map(data))
}

fn is_stripped(frame: &[u8]) -> bool {
    frame.iter().all(u8::is_ascii)
}

const fn data(byte: u8) -> u8 {
    byte & !BIT_7
}

/// The low half of a byte whose high half must be 3; `None` for any other byte.
pub(super) const fn three_x(byte: u8) -> Option<u8> {
    if byte & 0xf0 == 0x30 {
        Some(byte & 0x0f)
    } else {
        None
    }
}

/// The low halves of bytes of which every high half must be 3.
pub(super) fn all_three_x<const N: usize>(bytes: [u8; N]) -> Option<[u8; N]> {
    let all = bytes.iter().all(|&byte| three_x(byte).is_some());
    all.then(|| bytes.map(|byte| byte & 0x0f))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_flipped_bit_is_found() {
        // 30 31 0D 0A with odd parity in bit 7, worked out by hand: 30 and 0A have two ones.
        let good = [0xb0, 0x31, 0x0d, 0x8a];
        assert_eq!(odd_parity(&good), Some([0x30, 0x31, 0x0d, 0x0a]));
        for byte in 0..good.len() {
            for bit in 0..8 {
                let mut bad = good;
                bad[byte] ^= 1 << bit;
                assert_eq!(odd_parity(&bad), None, "{bad:02x?}");
            }
        }
    }

    #[test]
    fn a_frame_without_its_parity_is_taken_as_it_is() {
        let stripped = [0x30, 0x31, 0x0d, 0x0a];
        assert_eq!(odd_parity(&stripped), Some(stripped));
        assert_eq!(two_stop_bits(&stripped), Some(stripped));
        assert_eq!(two_stop_bits(&[0xc4, 0x8d]), Some([b'D', b'\r']));
        assert_eq!(two_stop_bits(&[0xc4, 0x0d]), None);
    }

    #[test]
    fn only_a_high_half_of_three_is_a_code() {
        assert_eq!(all_three_x([0x30, 0x3f]), Some([0, 15]));
        assert_eq!(all_three_x([0x30, 0x2f]), None);
        assert_eq!(three_x(0x00), None);
    }
}
