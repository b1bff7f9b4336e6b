//! Which looks the terminal can show, from what the settings and its environment say.

use serde::Deserialize;

use crate::screen::Theme;
use crate::screen::theme::Palette;

/// Which colours the settings ask for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Colours {
    /// What the environment says: none with `NO_COLOR`, light where `COLORFGBG` says so, else dark.
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
    of(colours, characters, |name| std::env::var(name).ok())
}

fn of(
    colours: Colours,
    characters: Characters,
    variable: impl Fn(&str) -> Option<String>,
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
        Colours::Auto if set("COLORFGBG").is_some_and(|said| is_light(&said)) => Palette::Light,
        Colours::Dark | Colours::Auto => Palette::Dark,
    };
    Theme::new(palette, unicode)
}

/// `COLORFGBG` names the colours of the terminal as numbers, the ground last: 7 and 15 are white.
fn is_light(said: &str) -> bool {
    matches!(said.rsplit(';').next(), Some("7" | "15"))
}

fn is_utf8(locale: &str) -> bool {
    let locale = locale.to_ascii_lowercase();
    locale.contains("utf-8") || locale.contains("utf8")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::glyphs;

    fn theme_with(variables: &[(&str, &str)]) -> String {
        let theme = of(Colours::Auto, Characters::Auto, |name| {
            let found = variables.iter().find(|(set, _)| *set == name);
            found.map(|(_, value)| (*value).to_owned())
        });
        format!("{theme:?}")
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
    fn a_light_terminal_that_says_so_gets_the_light_theme() {
        let lang = ("LANG", "C.UTF-8");
        let light = format!("{:?}", Theme::light(true));
        assert_eq!(theme_with(&[lang, ("COLORFGBG", "0;15")]), light);
        assert_eq!(theme_with(&[lang, ("COLORFGBG", "0;default;7")]), light);
        assert_ne!(theme_with(&[lang, ("COLORFGBG", "15;0")]), light);
    }

    #[test]
    fn the_settings_go_before_the_environment() {
        let said = |name: &str| (name == "NO_COLOR").then(|| "1".to_owned());
        let theme = of(Colours::Light, Characters::Unicode, said);
        assert_eq!(format!("{theme:?}"), format!("{:?}", Theme::light(true)));
    }
}
