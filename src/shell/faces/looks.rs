//! Which looks the terminal can show, from what the settings and its environment say.

use serde::Deserialize;

use super::ground::{self, Ground};
use crate::screen::Theme;
use crate::screen::theme::Palette;

/// Which colours the settings ask for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Colours {
    /// None with `NO_COLOR`; else for the ground that the terminal answers it has, or that `COLORFGBG`
    /// tells; else what can be read on either.
    #[default]
    Auto,
    /// For a dark ground.
    Dark,
    /// For a light ground.
    Light,
    /// No colour at all.
    None,
}

/// Which drawing characters the settings ask for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Characters {
    /// Unicode where the environment says so.
    #[default]
    Auto,
    /// Unicode.
    Unicode,
    /// ASCII only.
    Ascii,
}

/// The theme for this environment, where the settings leave it open: `NO_COLOR` takes the colours
/// away, a dumb terminal or one that does not speak UTF-8 the drawing characters.
pub fn theme(colours: Colours, characters: Characters) -> Theme {
    let variable = |name: &str| std::env::var(name).ok();
    of(colours, characters, variable, ground::ask)
}

fn of(
    colours: Colours,
    characters: Characters,
    variable: impl Fn(&str) -> Option<String>,
    ask: impl Fn() -> Option<Ground>,
) -> Theme {
    let set = |name: &str| variable(name).filter(|value| !value.is_empty());
    let dumb = set("TERM").is_some_and(|term| term == "dumb");
    // The first one set decides, as POSIX orders them.
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(set);
    let unicode = match characters {
        Characters::Auto => {
            !dumb && (cfg!(windows) || locale.is_some_and(|locale| is_utf8(&locale)))
        }
        Characters::Unicode => true,
        Characters::Ascii => false,
    };
    let palette = match colours {
        // What a file of the user's own says goes before NO_COLOR (no-color.org).
        Colours::Light => Palette::Light,
        Colours::None => Palette::None,
        Colours::Auto if dumb || set("NO_COLOR").is_some() => Palette::None,
        Colours::Dark => Palette::Dark,
        Colours::Auto => match ask().or_else(|| set("COLORFGBG").and_then(|said| told_by(&said))) {
            Some(Ground::Light) => Palette::Light,
            Some(Ground::Dark) => Palette::Dark,
            // The console has its palette, and a black ground.
            None if set("TERM").is_some_and(|term| term == "linux") => Palette::Dark,
            None if set("COLORTERM").is_some()
                || set("TERM").is_some_and(|it| it.contains("256")) =>
            {
                Palette::Either
            }
            None => Palette::None,
        },
    };
    Theme::new(palette, unicode)
}

/// `COLORFGBG` names the colours of the terminal as numbers, the ground last: 7 and 15 are white.
fn told_by(said: &str) -> Option<Ground> {
    let ground: u8 = said.rsplit(';').next()?.parse().ok()?;
    Some(match ground {
        7 | 15 => Ground::Light,
        _ => Ground::Dark,
    })
}

fn is_utf8(locale: &str) -> bool {
    let locale = locale.to_ascii_lowercase();
    locale.contains("utf-8") || locale.contains("utf8")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::glyphs;

    fn theme_on(ground: Option<Ground>, variables: &[(&str, &str)]) -> String {
        let variable = |name: &str| {
            let found = variables.iter().find(|(set, _)| *set == name);
            found.map(|(_, value)| (*value).to_owned())
        };
        let theme = of(Colours::Auto, Characters::Auto, variable, || ground);
        format!("{theme:?}")
    }

    fn theme_with(variables: &[(&str, &str)]) -> String {
        theme_on(Some(Ground::Dark), variables)
    }

    #[test]
    fn the_first_locale_set_decides_on_the_characters() {
        let unicode = format!("{:?}", Theme::dark(true));
        let ascii = format!("{:?}", Theme::dark(false));
        assert!(unicode.contains(glyphs::UNICODE.limit) && unicode != ascii);
        assert_eq!(theme_with(&[("LANG", "de_DE.UTF-8")]), unicode);
        assert_eq!(theme_with(&[("LC_ALL", "C"), ("LANG", "C.utf8")]), ascii);
        assert_eq!(theme_with(&[("LC_ALL", ""), ("LANG", "C.utf8")]), unicode);
        assert_eq!(theme_with(&[]), ascii);
    }

    #[test]
    fn no_color_and_a_dumb_terminal_take_the_colours_away() {
        let lang = ("LANG", "C.UTF-8");
        assert_eq!(
            theme_with(&[lang, ("NO_COLOR", "1")]),
            format!("{:?}", Theme::none(true))
        );
        assert_eq!(
            theme_with(&[lang, ("NO_COLOR", "")]),
            format!("{:?}", Theme::dark(true))
        );
        assert_eq!(
            theme_with(&[lang, ("TERM", "dumb")]),
            format!("{:?}", Theme::none(false))
        );
    }

    #[test]
    fn what_the_terminal_answers_goes_before_what_its_environment_says() {
        let lang = ("LANG", "C.UTF-8");
        let light = format!("{:?}", Theme::light(true));
        let said = [lang, ("COLORFGBG", "15;0")];
        assert_eq!(theme_on(Some(Ground::Light), &said), light);
        for said in ["0;15", "0;default;7"] {
            assert_eq!(theme_on(None, &[lang, ("COLORFGBG", said)]), light);
        }
        let dark = format!("{:?}", Theme::dark(true));
        assert_eq!(theme_on(None, &said), dark);
    }

    #[test]
    fn a_ground_that_nobody_tells_gets_what_can_be_read_on_either() {
        let lang = ("LANG", "C.UTF-8");
        let either = format!("{:?}", Theme::either(true));
        assert_eq!(theme_on(None, &[lang, ("TERM", "xterm-256color")]), either);
        assert_eq!(theme_on(None, &[lang, ("COLORTERM", "truecolor")]), either);
        assert_eq!(
            theme_on(None, &[lang, ("TERM", "vt100")]),
            format!("{:?}", Theme::none(true)),
            "a terminal of sixteen colours has none of these"
        );
        assert_eq!(
            theme_on(None, &[lang, ("TERM", "linux")]),
            format!("{:?}", Theme::dark(true))
        );
    }

    #[test]
    fn the_settings_go_before_the_environment() {
        let said = |name: &str| (name == "NO_COLOR").then(|| "1".to_owned());
        let theme = of(Colours::Light, Characters::Unicode, said, || None);
        assert_eq!(format!("{theme:?}"), format!("{:?}", Theme::light(true)));
    }
}
