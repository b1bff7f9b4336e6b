//! From roles to looks. The terminal's own background is never painted, and no meaning rests on a
//! colour alone: every state is a word or a sign too.
//!
//! Only the sixteen colours of every terminal are used, so that the user's own palette holds; but for a
//! ground that nobody told.
//! Which of them can be told apart by everybody, and read on a dark or a light ground, is computed
//! in the tests.

use ratatui::style::{Color, Modifier, Style};

use super::glyphs::{self, Glyphs};
use super::role::Role;
use crate::judge::finding::Phase;

/// Which colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Palette {
    /// For a dark ground.
    Dark,
    /// For a light ground.
    Light,
    /// For a ground that nobody told: to be read on either.
    Either,
    /// No colour at all: bold and reversed only.
    None,
}

/// A set of looks and drawing characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    palette: Palette,
    /// The characters that draw.
    pub glyphs: Glyphs,
}

impl Theme {
    /// These colours, with drawing characters from Unicode or from ASCII only.
    pub const fn new(palette: Palette, unicode: bool) -> Self {
        let glyphs = if unicode {
            glyphs::UNICODE
        } else {
            glyphs::ASCII
        };
        Self { palette, glyphs }
    }

    /// For a dark ground.
    pub const fn dark(unicode: bool) -> Self {
        Self::new(Palette::Dark, unicode)
    }

    /// For a light ground.
    pub const fn light(unicode: bool) -> Self {
        Self::new(Palette::Light, unicode)
    }

    /// For a ground that nobody told.
    pub const fn either(unicode: bool) -> Self {
        Self::new(Palette::Either, unicode)
    }

    /// Without colour.
    pub const fn none(unicode: bool) -> Self {
        Self::new(Palette::None, unicode)
    }

    /// The set of colours after this one, round and round.
    #[must_use]
    pub const fn next(self) -> Self {
        let palette = match self.palette {
            Palette::Dark => Palette::Light,
            Palette::Light => Palette::None,
            Palette::None => Palette::Either,
            Palette::Either => Palette::Dark,
        };
        Self { palette, ..self }
    }

    /// The look of a role.
    pub const fn style(&self, role: Role) -> Style {
        if let (Role::Rating(paint), Palette::Dark | Palette::Light | Palette::Either) =
            (role, self.palette)
        {
            return paint.style();
        }
        let (weight, hue) = look(role);
        let style = Style::new().add_modifier(weight);
        let colour = match self.palette {
            Palette::Dark => hue.dark,
            Palette::Light => hue.light,
            Palette::Either => hue.either,
            Palette::None => None,
        };
        match colour {
            Some(colour) => style.fg(colour),
            None => style,
        }
    }
}

/// What a thing is coloured by.
struct Hue {
    dark: Option<Color>,
    light: Option<Color>,
    either: Option<Color>,
}

const fn hue(dark: Color, light: Option<Color>, either: Option<Color>) -> Hue {
    let dark = Some(dark);
    Hue {
        dark,
        light,
        either,
    }
}

// Cyan, yellow, red and magenta carry the states: red and green, or green and yellow, are one
// colour to many. Green only guides (keys, marks, hints). The dark grey of many terminals cannot be
// read, so that what is less important is grey and not dark. On a light ground only blue, red and
// magenta of the sixteen can be read. On a ground that nobody told none of them can: those are the
// ones of the 256 of xterm, which hardly anybody changes, that reach 4.5:1 on black and on white.
const INK: Hue = Hue {
    dark: None,
    light: None,
    either: None,
};
const GREY: Hue = hue(Color::Gray, None, Some(Color::Indexed(243)));
const GUIDE: Hue = hue(Color::LightGreen, None, Some(Color::Indexed(29)));
const GOOD: Hue = hue(
    Color::LightCyan,
    Some(Color::Blue),
    Some(Color::Indexed(63)),
);
const UNSURE: Hue = hue(
    Color::LightYellow,
    Some(Color::Magenta),
    Some(Color::Indexed(163)),
);
const BAD: Hue = hue(Color::LightRed, Some(Color::Red), Some(Color::Indexed(131)));
const TO_COME: Hue = hue(Color::LightMagenta, None, None);

/// What stands out without any colour, and the colour.
const fn look(role: Role) -> (Modifier, Hue) {
    const PLAIN: Modifier = Modifier::empty();
    const BOLD: Modifier = Modifier::BOLD;
    match role {
        Role::Plain | Role::Rating(_) | Role::Phase(Phase::Falling) => (PLAIN, INK),
        Role::Strong | Role::Cursor => (BOLD, INK),
        Role::Selected => (Modifier::REVERSED, INK),
        Role::Dim | Role::Frame | Role::Shade | Role::Phase(Phase::Blind) => (PLAIN, GREY),
        Role::Hint => (PLAIN, GUIDE),
        Role::Key | Role::Flag => (BOLD, GUIDE),
        Role::Trace => (PLAIN, GOOD),
        Role::Good | Role::Phase(Phase::Settled) => (BOLD, GOOD),
        Role::Unsure | Role::TraceAbove | Role::Phase(Phase::Plateau) => (PLAIN, UNSURE),
        Role::Caution => (BOLD, UNSURE),
        Role::Limit => (PLAIN, BAD),
        Role::Bad | Role::Phase(Phase::Stirring) => (BOLD, BAD),
        Role::Alarm => (BOLD.union(Modifier::REVERSED), BAD),
        Role::Timeout => (PLAIN, TO_COME),
        Role::Phase(Phase::Awake) => (BOLD, TO_COME),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::Phase::{Awake, Blind, Falling, Plateau, Settled, Stirring};
    use crate::screen::paint::Paint;

    type Rgb = [f64; 3];

    /// The palettes that the looks are held to, from memory: xterm's defaults, and the text mode of
    /// the first colour displays, which the Linux console still has. Where they differ, both count.
    const XTERM: [(Color, [u8; 3]); 9] = [
        (Color::Red, [205, 0, 0]),
        (Color::Blue, [0, 0, 238]),
        (Color::Magenta, [205, 0, 205]),
        (Color::Gray, [229, 229, 229]),
        (Color::LightRed, [255, 0, 0]),
        (Color::LightGreen, [0, 255, 0]),
        (Color::LightYellow, [255, 255, 0]),
        (Color::LightMagenta, [255, 0, 255]),
        (Color::LightCyan, [0, 255, 255]),
    ];
    const CONSOLE: [(Color, [u8; 3]); 9] = [
        (Color::Red, [170, 0, 0]),
        (Color::Blue, [0, 0, 170]),
        (Color::Magenta, [170, 0, 170]),
        (Color::Gray, [170, 170, 170]),
        (Color::LightRed, [255, 85, 85]),
        (Color::LightGreen, [85, 255, 85]),
        (Color::LightYellow, [255, 255, 85]),
        (Color::LightMagenta, [255, 85, 255]),
        (Color::LightCyan, [85, 255, 255]),
    ];

    /// The 256 of xterm above the first sixteen: a cube of the levels 0, 95, 135, 175, 215 and 255, and
    /// greys from 8 on in steps of ten (xterm's `256colres.pl`, from memory).
    const CUBE: [(Color, [u8; 3]); 5] = [
        (Color::Indexed(29), [0, 135, 95]),
        (Color::Indexed(63), [95, 95, 255]),
        (Color::Indexed(131), [175, 95, 95]),
        (Color::Indexed(163), [215, 0, 175]),
        (Color::Indexed(243), [118; 3]),
    ];

    const ROLES: [Role; 25] = [
        Role::Plain,
        Role::Dim,
        Role::Strong,
        Role::Key,
        Role::Alarm,
        Role::Caution,
        Role::Hint,
        Role::Trace,
        Role::TraceAbove,
        Role::Limit,
        Role::Flag,
        Role::Cursor,
        Role::Timeout,
        Role::Shade,
        Role::Frame,
        Role::Good,
        Role::Bad,
        Role::Unsure,
        Role::Selected,
        Role::Phase(Awake),
        Role::Phase(Falling),
        Role::Phase(Plateau),
        Role::Phase(Settled),
        Role::Phase(Stirring),
        Role::Phase(Blind),
    ];

    fn linear(rgb: [u8; 3]) -> Rgb {
        // IEC 61966-2-1.
        rgb.map(|value| {
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// WCAG 2.2, "relative luminance" and "contrast ratio".
    fn contrast(one: [u8; 3], other: [u8; 3]) -> f64 {
        let luminance = |rgb| {
            let [r, g, b] = linear(rgb);
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// How the colours look without long or middle wave cones, and with all ("A
    /// physiologically-based model for simulation of color vision deficiency", IEEE Trans. Vis.
    /// Comput. Graph. 15(6), 2009, 1291; severity 1.0, in linear RGB).
    const EYES: [(&str, [Rgb; 3]); 3] = [
        ("all", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        (
            "protanopia",
            [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
        ),
        (
            "deuteranopia",
            [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
        ),
    ];

    /// CIE 1976 L*a*b* (ISO/CIE 11664-4:2019) of linear sRGB (IEC 61966-2-1 primaries, D65).
    fn lab(rgb: Rgb) -> Rgb {
        const TO_XYZ: [(Rgb, f64); 3] = [
            ([0.4124, 0.3576, 0.1805], 0.95047),
            ([0.2126, 0.7152, 0.0722], 1.0),
            ([0.0193, 0.1192, 0.9505], 1.08883),
        ];
        let [x, y, z] = TO_XYZ.map(|(row, white)| {
            let share = row.iter().zip(rgb).map(|(a, b)| a * b).sum::<f64>() / white;
            if share > 216.0 / 24389.0 {
                share.cbrt()
            } else {
                (24389.0 / 27.0 * share + 16.0) / 116.0
            }
        });
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn apart(one: [u8; 3], other: [u8; 3], eye: [Rgb; 3]) -> f64 {
        let seen = |rgb| {
            let rgb = linear(rgb);
            let dot = |row: Rgb| row.iter().zip(rgb).map(|(a, b)| a * b).sum::<f64>();
            lab(eye.map(|row| dot(row).clamp(0.0, 1.0)))
        };
        let (a, b) = (seen(one), seen(other));
        a.iter()
            .zip(b)
            .map(|(a, b)| (a - b).powi(2))
            .sum::<f64>()
            .sqrt()
    }

    type Colours = &'static [(Color, [u8; 3])];

    /// The themes, each with its ground, its ink where no colour is set, and its colours.
    fn grounds() -> [(Theme, [u8; 3], [u8; 3], Colours); 6] {
        let (black, white) = ([0; 3], [255; 3]);
        [
            (Theme::dark(true), black, [229; 3], &XTERM),
            (Theme::dark(true), black, [229; 3], &CONSOLE),
            (Theme::light(true), white, black, &XTERM),
            (Theme::light(true), white, black, &CONSOLE),
            (Theme::either(true), black, [229; 3], &CUBE),
            (Theme::either(true), white, black, &CUBE),
        ]
    }

    fn rgb(palette: &[(Color, [u8; 3])], colour: Option<Color>, ink: [u8; 3]) -> [u8; 3] {
        let Some(colour) = colour else { return ink };
        let found = palette.iter().find(|(named, _)| *named == colour);
        found
            .unwrap_or_else(|| panic!("{colour:?} is in no palette"))
            .1
    }

    #[test]
    fn every_text_can_be_read_on_its_ground() {
        for (theme, ground, ink, palette) in grounds() {
            for role in ROLES {
                let seen = rgb(palette, theme.style(role).fg, ink);
                let ratio = contrast(seen, ground);
                // WCAG 2.2, success criterion 1.4.3 (AA).
                assert!(ratio >= 4.5, "{role:?} has {ratio:.2} on {ground:?}");
            }
        }
    }

    #[test]
    fn a_rating_can_be_read_on_the_colour_of_its_fuse() {
        // The rest of the two palettes, from memory like the first.
        const MORE: [(Color, [u8; 3], [u8; 3]); 4] = [
            (Color::Black, [0; 3], [0; 3]),
            (Color::White, [255; 3], [255; 3]),
            (Color::Green, [0, 205, 0], [0, 170, 0]),
            (Color::Cyan, [0, 205, 205], [0, 170, 170]),
        ];
        let paints = [
            Paint::Black,
            Paint::Grey,
            Paint::Violet,
            Paint::Pink,
            Paint::Red,
            Paint::Blue,
            Paint::Yellow,
            Paint::Clear,
            Paint::Green,
            Paint::BlueGreen,
        ];
        let more = |console: bool| {
            MORE.map(|(named, xterm, other)| (named, if console { other } else { xterm }))
        };
        for (palette, more) in [(XTERM, more(false)), (CONSOLE, more(true))] {
            let all: Vec<(Color, [u8; 3])> = palette.into_iter().chain(more).collect();
            for paint in paints {
                let style = Theme::dark(true).style(Role::Rating(paint));
                assert_eq!(style, Theme::light(true).style(Role::Rating(paint)));
                let [ground, ink] = [style.bg, style.fg].map(|colour| {
                    assert!(colour.is_some());
                    rgb(&all, colour, [0; 3])
                });
                let ratio = contrast(ground, ink);
                // WCAG 2.2, success criterion 1.4.3 (AA).
                assert!(ratio >= 4.5, "{paint:?} has {ratio:.2}");
                let plain = Theme::none(true).style(Role::Rating(paint));
                assert_eq!((plain.fg, plain.bg), (None, None));
            }
        }
    }

    #[test]
    fn states_can_be_told_apart_by_colour_blind_eyes() {
        // About ten times the difference that is just seen (common practice, no source).
        const PLAINLY: f64 = 20.0;
        let sets: [&[Role]; 3] = [
            &[Role::Good, Role::Bad, Role::Unsure],
            &[Role::Trace, Role::TraceAbove, Role::Limit],
            &[
                Role::Phase(Awake),
                Role::Phase(Plateau),
                Role::Phase(Settled),
                Role::Phase(Stirring),
            ],
        ];
        for (theme, _, ink, palette) in grounds() {
            for (set, (eye, matrix)) in sets.iter().flat_map(|set| EYES.map(|eye| (set, eye))) {
                for (n, one) in set.iter().enumerate() {
                    for other in &set[n + 1..] {
                        let look = |role| rgb(palette, theme.style(role).fg, ink);
                        let far = apart(look(*one), look(*other), matrix);
                        assert!(far >= PLAINLY, "{eye}: {one:?} {other:?}: {far:.0}");
                    }
                }
            }
        }
    }

    #[test]
    fn the_yardsticks_measure() {
        // Green and yellow are far apart to most eyes, and near without middle wave cones.
        let (_, all) = EYES[0];
        let (_, deuteranopia) = EYES[2];
        let green_yellow = |eye| apart([0, 255, 0], [255, 255, 0], eye);
        assert!(green_yellow(all) > 60.0 && green_yellow(deuteranopia) < 25.0);
        // WCAG: black on white is 21 to 1.
        assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
    }

    #[test]
    fn the_themes_go_round_and_paint_no_ground() {
        let mut theme = Theme::dark(true);
        for _ in 0..4 {
            for role in ROLES {
                assert_eq!(theme.style(role).bg, None);
            }
            theme = theme.next();
        }
        assert_eq!(theme.palette, Palette::Dark);
    }
}
