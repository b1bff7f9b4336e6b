//! The characters that draw: block and braille where the terminal has Unicode, ASCII otherwise.

use ratatui::symbols::border;

use super::width;

/// One set of drawing characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Glyphs {
    /// Whether the trace is drawn in braille dots; else in `dot` and `bar`.
    pub braille: bool,
    /// Whether text may hold more than ASCII.
    pub unicode: bool,
    /// A dot of the large digits.
    pub ink: &'static str,
    /// The trace where it is level, without braille.
    pub dot: &'static str,
    /// The trace where it is steep, without braille.
    pub bar: &'static str,
    /// The limit.
    pub limit: &'static str,
    /// Evidence is missing here.
    pub gap: &'static str,
    /// The meter was beyond its range.
    pub over: &'static str,
    /// The line under a mark's label.
    pub flag: &'static str,
    /// The cursor.
    pub cursor: &'static str,
    /// The moment at which the sleep time-out has run.
    pub timeout: &'static str,
    /// The ground of a wake.
    pub shade: &'static str,
    /// The current axis.
    pub axis: &'static str,
    /// Before the selected row.
    pub selected: &'static str,
    /// Corners and edges of a box.
    pub frame: border::Set<'static>,
}

impl Glyphs {
    /// At most `room` cells of `text`, in characters that the terminal has; a cut shows.
    pub fn clip(&self, text: &str, room: u16) -> String {
        if self.unicode {
            width::clip(text, room)
        } else {
            width::ascii(&width::clip(&width::ascii(text), room))
        }
    }
}

/// For a terminal with Unicode.
pub const UNICODE: Glyphs = Glyphs {
    braille: true,
    unicode: true,
    ink: "█",
    dot: "•",
    bar: "│",
    limit: "─",
    gap: "╌",
    over: "▲",
    flag: "┊",
    cursor: "│",
    timeout: "╎",
    shade: "░",
    axis: "┤",
    selected: "▶",
    frame: border::PLAIN,
};

/// For any terminal.
pub const ASCII: Glyphs = Glyphs {
    braille: false,
    unicode: false,
    ink: "#",
    dot: "*",
    bar: "|",
    limit: "-",
    gap: "?",
    over: "^",
    flag: ":",
    cursor: "|",
    timeout: "!",
    shade: ".",
    axis: "|",
    selected: ">",
    frame: border::Set {
        top_left: "+",
        top_right: "+",
        bottom_left: "+",
        bottom_right: "+",
        vertical_left: "|",
        vertical_right: "|",
        horizontal_top: "-",
        horizontal_bottom: "-",
    },
};
