//! The colours of fuses, as far as the sixteen colours of every terminal have them. The rating
//! stands on its colour as it does on the fuse, so that nothing rests on the colour alone. This
//! is the one place where a ground is painted: a fuse has the same colour on a dark and on a light
//! screen.

use ratatui::style::{Color, Style};

use crate::reading::named::named;

/// A colour that a fuse can have. Browns and orange are not among the sixteen: their ratings stand
/// without one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Paint {
    /// Black: 1 A.
    Black,
    /// Grey: 2 A.
    Grey,
    /// Violet: 3 A.
    Violet,
    /// Pink: 4 A.
    Pink,
    /// Red: 10 A.
    Red,
    /// Blue: 15 A.
    Blue,
    /// Yellow: 20 A.
    Yellow,
    /// Clear: 25 A.
    Clear,
    /// Green: 30 A.
    Green,
    /// Blue-green: 35 A.
    BlueGreen,
}

named!(Paint::word {
    Black = "black",
    Grey = "grey",
    Violet = "violet",
    Pink = "pink",
    Red = "red",
    Blue = "blue",
    Yellow = "yellow",
    Clear = "clear",
    Green = "green",
    BlueGreen = "blue-green",
});

impl Paint {
    /// The colour with an ink that can be read on it.
    pub const fn style(self) -> Style {
        let (ground, ink) = match self {
            Self::Black => (Color::Black, Color::White),
            Self::Grey => (Color::Gray, Color::Black),
            Self::Violet => (Color::Magenta, Color::White),
            Self::Pink => (Color::LightMagenta, Color::Black),
            Self::Red => (Color::Red, Color::White),
            Self::Blue => (Color::Blue, Color::White),
            Self::Yellow => (Color::LightYellow, Color::Black),
            Self::Clear => (Color::White, Color::Black),
            Self::Green => (Color::Green, Color::Black),
            Self::BlueGreen => (Color::Cyan, Color::Black),
        };
        Style::new().bg(ground).fg(ink)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fuse::blade;

    #[test]
    fn every_colour_of_the_table_is_painted_or_known_to_be_missing() {
        let ratings = [
            1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0,
        ];
        let missing: Vec<&str> = ratings
            .iter()
            .map(|rating_a| blade::colour(*rating_a).unwrap())
            .filter(|word| Paint::spelled(word).is_none())
            .collect();
        assert_eq!(missing, ["light brown", "brown", "orange"]);
    }
}
