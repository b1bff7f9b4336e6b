//! Which looks the terminal can show, from what its environment says.

use crate::screen::Theme;

/// The theme for this environment: `NO_COLOR` takes the colours away, a dumb terminal or one
/// that does not speak UTF-8 the drawing characters.
#[must_use]
pub fn theme() -> Theme {
    of(|name| std::env::var(name).ok())
}

fn of(variable: impl Fn(&str) -> Option<String>) -> Theme {
    let set = |name: &str| variable(name).filter(|value| !value.is_empty());
    let dumb = set("TERM").is_some_and(|term| term == "dumb");
    // The first one set decides, as POSIX orders them.
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(set);
    let unicode = !dumb && (cfg!(windows) || locale.is_some_and(|locale| is_utf8(&locale)));
    if dumb || set("NO_COLOR").is_some() {
        Theme::none(unicode)
    } else {
        Theme::dark(unicode)
    }
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
        let theme = of(|name| {
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
}
