//! The settings: one commented TOML file in the platform's configuration folder. The built-in
//! defaults are the same file, shipped in `assets/`; a test holds the two equal.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::{fs, io};

use anyhow::{Context, Result, anyhow};
use serde::Deserialize;
use toml::Spanned;

use super::faces::{Characters, Colours};
use super::flags::OnFlags;
use super::outside::{self, OnEvent};
use super::toml_line;
use crate::desk::habits::{Habits, Hints, Sounds, Units};
use crate::desk::{Keymap, Scale, TimeAxis};

/// The file with every setting at its default, and what each is for.
pub const DEFAULT: &str = include_str!("../../assets/settings.toml");

/// Everything that can be set.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Which colours.
    pub colours: Colours,
    /// Which drawing characters.
    pub characters: Characters,
    /// The desk: axes, units, sounds, keys.
    pub habits: Habits,
    /// What is run when something happens.
    pub on: Vec<OnEvent>,
}

impl Settings {
    /// What is run when something happens: that of the settings, and that of the flags.
    ///
    /// # Errors
    /// When a flag names no event or no command.
    pub fn commands(&self, flags: &OnFlags) -> Result<Vec<OnEvent>> {
        let mut all = self.on.clone();
        all.extend(outside::from_flags(&flags.on).context("--on")?);
        Ok(all)
    }
}

type Keys = BTreeMap<Spanned<String>, Vec<Spanned<String>>>;

/// The file as it is written; every line is optional.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
struct SettingsFile {
    theme: Colours,
    glyphs: Characters,
    scale: Scale,
    time_axis: TimeAxis,
    units: Units,
    hints: Hints,
    sound: Sounds,
    keys: Keys,
    on: BTreeMap<Spanned<String>, Spanned<String>>,
}

/// The settings in force: those in `given`, else those in the configuration folder, else the
/// defaults.
///
/// # Errors
/// When the file cannot be read or used: which, which line, and what was expected.
pub fn load(given: Option<&Path>) -> Result<Settings> {
    let (path, needed) = match given {
        Some(path) => (Some(path.to_owned()), true),
        None => (place(), false),
    };
    let Some(path) = path else {
        return Ok(Settings::default());
    };
    match fs::read_to_string(&path) {
        Ok(text) => parse(&text).with_context(|| path.display().to_string()),
        // Settings that this user may not read are another's.
        Err(why)
            if !needed
                && matches!(
                    why.kind(),
                    io::ErrorKind::NotFound | io::ErrorKind::PermissionDenied
                ) =>
        {
            Ok(Settings::default())
        }
        Err(why) => Err(why).with_context(|| path.display().to_string()),
    }
}

/// Where the settings stand on this system; `None` when it does not say where its user's
/// configuration is kept.
pub fn place() -> Option<PathBuf> {
    place_by(|name| std::env::var(name).ok())
}

/// On Windows `%APPDATA%`, on macOS `~/Library/Application Support`, elsewhere as the XDG base
/// directory specification has it, which takes only absolute paths.
fn place_by(variable: impl Fn(&str) -> Option<String>) -> Option<PathBuf> {
    let folder = |name: &str| {
        variable(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    let folder = if cfg!(windows) {
        folder("APPDATA")
    } else if cfg!(target_os = "macos") {
        folder("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        folder("XDG_CONFIG_HOME").or_else(|| folder("HOME").map(|home| home.join(".config")))
    };
    folder.map(|folder| folder.join("lullboard").join("settings.toml"))
}

/// Reads a settings file.
///
/// # Errors
/// What is wrong with it, with the line.
pub fn parse(text: &str) -> Result<Settings> {
    let file: SettingsFile =
        toml::from_str(text).map_err(|error| toml_line::refusal(text, &error))?;
    let mut habits = Habits {
        scale: file.scale,
        time: file.time_axis,
        units: file.units,
        hints: file.hints,
        sounds: file.sound,
        keys: Keymap::default(),
    };
    bind(&mut habits.keys, &file.keys, text)?;
    let on = file.on.iter().map(|(event, command)| {
        OnEvent::new(event.as_ref(), command.as_ref())
            .map_err(|why| anyhow!("{}{why}", toml_line::of(text, event.span().start)))
    });
    Ok(Settings {
        on: on.collect::<Result<_>>()?,
        colours: file.theme,
        characters: file.glyphs,
        habits,
    })
}

/// A conflict is named at the last line that could have made it: the built-in keys have none.
fn bind(keymap: &mut Keymap, keys: &Keys, text: &str) -> Result<()> {
    let mut in_order: Vec<_> = keys.iter().collect();
    in_order.sort_by_key(|(name, _)| name.span().start);
    for (name, bound) in &in_order {
        let bound: Vec<&str> = bound.iter().map(|key| key.as_ref().as_str()).collect();
        keymap
            .bind(name.as_ref(), &bound)
            .map_err(|why| anyhow!("{}{why}", toml_line::of(text, name.span().start)))?;
    }
    keymap.check().map_err(|why| {
        let guilty = in_order
            .iter()
            .rev()
            .find(|(name, _)| why.names(name.as_ref()));
        let at = guilty.map_or_else(String::new, |(name, _)| {
            toml_line::of(text, name.span().start)
        });
        anyhow!("{at}{why}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::keymap::{Action, RecordAction};
    use crate::desk::message::Key;
    use crate::session::mark::Did;

    #[test]
    fn the_shipped_file_is_the_built_in_default_and_names_every_setting() {
        assert_eq!(parse(DEFAULT).unwrap(), Settings::default());
        assert_eq!(parse("").unwrap(), Settings::default());
        let table: toml::Table = DEFAULT.parse().unwrap();
        let names = |name: &str| -> Vec<String> {
            let table = table.get(name).unwrap().as_table().unwrap();
            table.keys().cloned().collect()
        };
        let mut keys = names("keys");
        // A name that there is not is answered with all that there are.
        let none: [&str; 0] = [];
        let unknown = Keymap::default().bind("none of these", &none).unwrap_err();
        let said = unknown.to_string();
        let (_, expected) = said.rsplit_once("expected one of ").unwrap();
        let mut all: Vec<&str> = expected.split(", ").collect();
        keys.sort();
        all.sort_unstable();
        assert_eq!(keys, all);
        assert_eq!(names("sound").len(), 7);
        for name in ["theme", "glyphs", "scale", "time-axis", "units", "hints"] {
            assert!(table.contains_key(name), "{name}");
        }
    }

    #[test]
    fn what_is_written_is_in_force_and_the_rest_stays() {
        let text = "theme = \"light\"\nglyphs = \"ascii\"\nscale = \"linear\"\nunits = \"mA\"\n\
                    time-axis = \"clock\"\n[sound]\nwake = false\n[keys]\nlock = [\"Q\"]\n";
        let settings = parse(text).unwrap();
        assert_eq!(settings.colours, Colours::Light);
        assert_eq!(settings.characters, Characters::Ascii);
        let habits = settings.habits;
        assert_eq!(
            (habits.scale, habits.units, habits.time),
            (Scale::Linear, Units::Milli, TimeAxis::Clock)
        );
        assert!(!habits.sounds.wake && habits.sounds.settled);
        assert_eq!(
            habits.keys.action(Key::Char('Q'), false),
            Some(Action::Record(RecordAction::Mark(Did::Lock)))
        );
    }

    #[test]
    fn what_is_wrong_is_one_line_that_names_the_line() {
        for (text, said) in [
            (
                "theme = \"dark\"\nscale = \"cubic\"\n",
                "line 2: unknown variant `cubic`",
            ),
            ("\n\ncolour = 1\n", "line 3: unknown field `colour`"),
            ("theme = \n", "line 1: "),
            (
                "[keys]\nlocks = [\"l\"]\n",
                "line 2: there is no key named 'locks'",
            ),
            (
                "[keys]\nlock = [\"Hyper-l\"]\n",
                "line 2: 'Hyper-l' is no key",
            ),
            (
                "[keys]\nlock = [\"x\"]\nnote = [\"p\"]\nzero = [\"j\"]\n",
                "line 3: the key p means both 'pull' and 'note'",
            ),
            ("[keys]\nquit = []\n", "line 2: 'quit' needs a key"),
            ("[sound]\nwake = 3\n", "line 2: invalid type"),
        ] {
            let error = parse(text).unwrap_err().to_string();
            assert!(error.starts_with(said), "{error}");
            assert!(!error.contains('\n'), "{error}");
        }
    }

    #[test]
    fn a_file_that_was_named_must_be_there() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("mine.toml");
        assert!(load(Some(&path)).is_err());
        fs::write(&path, "theme = 7\n").unwrap();
        let error = format!("{:#}", load(Some(&path)).unwrap_err());
        assert!(error.contains("mine.toml: line 1: "), "{error}");
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_place_is_that_of_the_xdg_specification() {
        let by = |variables: &[(&str, &str)]| {
            let found = place_by(|name| {
                let found = variables.iter().find(|(set, _)| *set == name);
                found.map(|(_, value)| (*value).to_owned())
            });
            found.map(|path| path.display().to_string())
        };
        let at = |path: &str| Some(path.to_owned());
        assert_eq!(
            by(&[("HOME", "/home/t"), ("XDG_CONFIG_HOME", "/c")]),
            at("/c/lullboard/settings.toml")
        );
        assert_eq!(
            by(&[("HOME", "/home/t"), ("XDG_CONFIG_HOME", "c")]),
            at("/home/t/.config/lullboard/settings.toml")
        );
        assert_eq!(by(&[]), None);
    }
}
