//! The large letters: a font of our own, five rows high, to be read from two metres.

/// Rows of a character.
pub const ROWS: u16 = 5;

const fn shape(c: char) -> [&'static str; 5] {
    match c {
        '0' => ["####", "#  #", "#  #", "#  #", "####"],
        '1' => [" ## ", "  # ", "  # ", "  # ", " ###"],
        '2' => ["####", "   #", "####", "#   ", "####"],
        '3' => ["####", "   #", " ###", "   #", "####"],
        '4' => ["#  #", "#  #", "####", "   #", "   #"],
        '5' => ["####", "#   ", "####", "   #", "####"],
        '6' => ["####", "#   ", "####", "#  #", "####"],
        '7' => ["####", "   #", "  # ", " #  ", " #  "],
        '8' => ["####", "#  #", "####", "#  #", "####"],
        '9' => ["####", "#  #", "####", "   #", "####"],
        'B' => ["### ", "#  #", "### ", "#  #", "### "],
        'D' => ["### ", "#  #", "#  #", "#  #", "### "],
        'E' => ["####", "#   ", "### ", "#   ", "####"],
        'F' => ["####", "#   ", "### ", "#   ", "#   "],
        'G' => [" ###", "#   ", "# ##", "#  #", " ###"],
        'I' => ["###", " # ", " # ", " # ", "###"],
        'K' => ["#  #", "# # ", "##  ", "# # ", "#  #"],
        'N' => ["#   #", "##  #", "# # #", "#  ##", "#   #"],
        'P' => ["### ", "#  #", "### ", "#   ", "#   "],
        'R' => ["### ", "#  #", "### ", "# # ", "#  #"],
        'S' => [" ###", "#   ", " ## ", "   #", "### "],
        'T' => ["#####", "  #  ", "  #  ", "  #  ", "  #  "],
        'U' => ["#  #", "#  #", "#  #", "#  #", " ## "],
        'W' => ["#   #", "#   #", "# # #", "## ##", "#   #"],
        ':' => [" ", "#", " ", "#", " "],
        '+' => ["   ", " # ", "###", " # ", "   "],
        'A' => [" ## ", "#  #", "####", "#  #", "#  #"],
        'm' => ["     ", "#### ", "# # #", "# # #", "# # #"],
        'O' => [" ## ", "#  #", "#  #", "#  #", " ## "],
        'L' => ["#   ", "#   ", "#   ", "#   ", "####"],
        '.' => [" ", " ", " ", " ", "#"],
        '-' => ["   ", "   ", "###", "   ", "   "],
        ' ' => ["  ", "  ", "  ", "  ", "  "],
        _ => ["?", "?", "?", "?", "?"],
    }
}

/// The rows of `text`, `#` for ink, every dot `wide` cells wide and `high` rows high.
pub fn rows(text: &str, wide: u16, high: u16) -> Vec<String> {
    let mut out = Vec::new();
    for row in 0..usize::from(ROWS) {
        let mut line = String::new();
        for c in text.chars() {
            for dot in shape(c).get(row).copied().unwrap_or_default().chars() {
                line.extend(std::iter::repeat_n(dot, usize::from(wide)));
            }
            line.extend(std::iter::repeat_n(' ', usize::from(wide)));
        }
        out.extend(std::iter::repeat_n(line, usize::from(high)));
    }
    out
}

/// The cells that `text` takes with dots `wide` cells wide.
pub fn cells(text: &str, wide: u16) -> u16 {
    text.chars().fold(0, |sum: u16, c| {
        let dots = shape(c).first().map_or(0, |row| row.len());
        let dots = u16::try_from(dots).unwrap_or(u16::MAX).saturating_add(1);
        sum.saturating_add(dots.saturating_mul(wide))
    })
}

/// The largest letters in which `text` fits into `columns` by `rows`: how wide and how high a dot
/// is; `None` where not even the smallest do. A dot is twice as wide as high at most, as cells are
/// about twice as high as wide.
pub fn largest(text: &str, columns: u16, rows: u16) -> Option<(u16, u16)> {
    let gap_free = cells(text, 1).saturating_sub(1);
    (1..=8u16)
        .flat_map(|high| [(high, high), (high.saturating_mul(2), high)])
        .filter(|(wide, high)| {
            gap_free.saturating_mul(*wide) <= columns && ROWS.saturating_mul(*high) <= rows
        })
        .max_by_key(|(wide, high)| (wide.saturating_mul(*high), *high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_character_of_a_value_has_a_shape_of_even_width_and_its_own() {
        let all: Vec<char> = "0123456789AmOL.- BDEFGIKNPRSTUW:+".chars().collect();
        for (n, c) in all.iter().enumerate() {
            let rows = shape(*c);
            assert!(rows.iter().all(|row| row.len() == rows[0].len()), "{c}");
            assert!(!rows[0].contains('?'), "{c}");
            for other in &all[n + 1..] {
                assert_ne!(shape(*c), shape(*other), "{c} and {other}");
            }
        }
    }

    #[test]
    fn stretched_rows_are_as_wide_as_promised() {
        for row in rows("52.3 mA", 2, 2) {
            assert_eq!(row.len(), usize::from(cells("52.3 mA", 2)));
        }
        assert_eq!(rows("1", 1, 2).len(), 10);
    }

    #[test]
    fn the_largest_letters_fit_and_larger_ones_would_not() {
        for (columns, rows) in [(80, 10), (120, 20), (200, 30), (40, 5)] {
            let (wide, high) = largest("52.3 mA", columns, rows).unwrap();
            let taken = cells("52.3 mA", wide) - wide;
            assert!(taken <= columns && ROWS * high <= rows);
            let more = high + 1;
            assert!(cells("52.3 mA", more) - more > columns || ROWS * more > rows);
        }
        assert_eq!(largest("52.3 mA", 10, 10), None);
        assert_eq!(largest("52.3 mA", 80, 4), None);
    }
}
