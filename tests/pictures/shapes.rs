//! The characters that draw (braille, blocks, rules) as paths. As letters they would come from
//! whatever font the reader has, and few fonts hold braille as wide as their letters.

use std::fmt::Write as _;

/// A cell in the picture.
pub(crate) const CELL: (u32, u32) = (9, 19);

/// Bit, column and row of the eight dots of a braille character, in the order of its bits
/// (The Unicode Standard 16.0, 2024, section 21.1: U+2800 plus one bit a dot).
const DOTS: [(u32, u32); 8] = [
    (0, 0),
    (0, 1),
    (0, 2),
    (1, 0),
    (1, 1),
    (1, 2),
    (0, 3),
    (1, 3),
];

/// How dense the ground of this character is, or `None` where it is no path at all.
pub(crate) fn density(c: char) -> Option<&'static str> {
    match c {
        '░' => Some("0.25"),
        '█' | '─' | '│' | '┊' | '╎' | '┤' | '\u{2800}'..='\u{28ff}' => Some("1"),
        _ => None,
    }
}

/// Adds the path of `c` in the cell whose corner this is.
pub(crate) fn draw(out: &mut String, c: char, corner: (u32, u32)) {
    let (width, height) = CELL;
    let (middle, half) = (width / 2, height / 2);
    let mut rect = |x: u32, y: u32, w: u32, h: u32| {
        let (left, top) = (corner.0 + x, corner.1 + y);
        write!(out, "M{left} {top}h{w}v{h}h-{w}z").unwrap();
    };
    match c {
        '█' | '░' => rect(0, 0, width, height),
        '─' => rect(0, half, width, 1),
        '│' => rect(middle, 0, 1, height),
        '┊' | '╎' => (0..4).for_each(|dash| rect(middle, 1 + 5 * dash, 1, 3)),
        '┤' => {
            rect(middle, 0, 1, height);
            rect(0, half, middle, 1);
        }
        braille => {
            let bits = u32::from(braille) - 0x2800;
            let dots = (0..).zip(DOTS).filter(|(bit, _)| bits >> bit & 1 == 1);
            dots.for_each(|(_, (x, y))| rect(1 + 5 * x, 1 + 5 * y, 3, 3));
        }
    }
}
