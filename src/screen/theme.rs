//! From roles to looks. The terminal's own background is never painted, and no meaning rests on a
//! colour alone.

use ratatui::style::{Color, Modifier, Style};

use super::glyphs::{self, Glyphs};
use super::role::Role;
use crate::judge::finding::Phase;

/// A set of looks and drawing characters.
#[derive(Clone, Copy, Debug)]
pub struct Theme {
    colours: bool,
    /// The characters that draw.
    pub glyphs: Glyphs,
}

impl Theme {
    /// The sixteen colours of every terminal, on a dark ground.
    #[must_use]
    pub const fn dark(unicode: bool) -> Self {
        Self::with(true, unicode)
    }

    /// No colour at all (`NO_COLOR`): bold, underlined and reversed only.
    #[must_use]
    pub const fn none(unicode: bool) -> Self {
        Self::with(false, unicode)
    }

    const fn with(colours: bool, unicode: bool) -> Self {
        let glyphs = if unicode {
            glyphs::UNICODE
        } else {
            glyphs::ASCII
        };
        Self { colours, glyphs }
    }

    /// The set of colours after this one, round and round.
    #[must_use]
    pub const fn next(self) -> Self {
        Self {
            colours: !self.colours,
            ..self
        }
    }

    /// The look of a role.
    #[must_use]
    pub const fn style(&self, role: Role) -> Style {
        let (colour, modifier) = look(role);
        let style = Style::new().add_modifier(modifier);
        match colour {
            Some(colour) if self.colours => style.fg(colour),
            Some(_) | None => style,
        }
    }
}

const fn look(role: Role) -> (Option<Color>, Modifier) {
    let bold = Modifier::BOLD;
    let plain = Modifier::empty();
    match role {
        Role::Plain => (None, plain),
        Role::Dim | Role::Frame | Role::Shade => (Some(Color::DarkGray), plain),
        Role::Strong => (None, bold),
        Role::Key | Role::Flag => (Some(Color::Cyan), bold),
        Role::Alarm => (Some(Color::LightRed), bold.union(Modifier::REVERSED)),
        Role::Caution => (Some(Color::LightYellow), bold),
        Role::Cursor => (None, bold),
        Role::Timeout => (Some(Color::LightMagenta), plain),
        Role::Hint => (Some(Color::LightBlue), plain),
        Role::Trace => (Some(Color::LightGreen), plain),
        Role::TraceAbove | Role::Unsure => (Some(Color::LightYellow), plain),
        Role::Limit => (Some(Color::LightRed), plain),
        Role::Good => (Some(Color::LightGreen), bold),
        Role::Bad => (Some(Color::LightRed), bold),
        Role::Selected => (None, Modifier::REVERSED),
        Role::Phase(phase) => match phase {
            Phase::Awake => (Some(Color::LightMagenta), bold),
            Phase::Falling => (Some(Color::LightCyan), plain),
            Phase::Plateau => (Some(Color::LightYellow), plain),
            Phase::Settled => (Some(Color::LightGreen), bold),
            Phase::Stirring => (Some(Color::LightRed), bold),
            Phase::Blind => (Some(Color::DarkGray), plain),
        },
    }
}
