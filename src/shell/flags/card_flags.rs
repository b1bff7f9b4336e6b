//! The card's flags, made from the table of its fields.

use std::path::PathBuf;

use clap::builder::ValueParser;
use clap::error::Error;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, value_parser};

use crate::session::card::{Card, FIELDS, Field};

/// What is known of the car, its battery and the meter.
#[derive(Debug, Default)]
pub struct CardFlags {
    /// The card file.
    pub file: Option<PathBuf>,
    /// What the card's own flags say.
    pub said: Card,
    /// The file of the fuse map.
    pub fuses: Option<PathBuf>,
}

impl Args for CardFlags {
    fn augment_args(command: Command) -> Command {
        let file = Arg::new("card")
            .long("card")
            .help("A TOML file with the card's fields; the flags go before it")
            .value_name("FILE")
            .value_parser(value_parser!(PathBuf));
        let command = command.next_help_heading("Card").arg(file);
        command.args(FIELDS.iter().map(arg))
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

fn arg(field: &'static Field) -> Arg {
    let parser = if field.is_file() {
        value_parser!(PathBuf)
    } else {
        ValueParser::new(|text: &str| field.read(text))
    };
    let arg = Arg::new(field.flag.as_str())
        .long(field.flag.as_str())
        .help(field.help)
        .value_name(field.value())
        .value_parser(parser)
        .conflicts_with_all(field.excludes);
    if field.value().is_empty() {
        arg.action(ArgAction::Set)
            .num_args(0)
            .default_missing_value("true")
    } else {
        arg
    }
}

impl FromArgMatches for CardFlags {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let mut flags = Self::default();
        flags.update_from_arg_matches(matches)?;
        Ok(flags)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        self.file = matches.get_one("card").cloned();
        for field in FIELDS.iter() {
            if field.is_file() {
                self.fuses = matches.get_one(&field.flag).cloned();
            } else if let Some(said) = matches.get_one::<Card>(&field.flag) {
                self.said.merge(said);
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;

    #[derive(Debug, Parser)]
    struct Line {
        #[command(flatten)]
        card: CardFlags,
    }

    fn read(line: &str) -> Result<CardFlags, Error> {
        Line::try_parse_from(line.split(' ')).map(|line| line.card)
    }

    #[test]
    fn a_flag_is_read_as_its_field_is() {
        let line =
            "x --limit 50mA --meter-name bench --asleep-at-start --key-count 2 --fuses lid.csv";
        let flags = read(line).unwrap();
        let expected = Card {
            limit_a: Some(0.05),
            meter: Some("bench".into()),
            asleep_at_start: Some(true),
            key_count: Some(2),
            ..Card::default()
        };
        assert_eq!(
            (flags.said, flags.fuses),
            (expected, Some("lid.csv".into()))
        );
        assert_eq!(read("x").unwrap().said, Card::default());
    }

    #[test]
    fn flags_that_exclude_each_other_and_values_that_cannot_be_are_refused() {
        for (line, named) in [
            ("x --shunt 1mohm --clamp 100mV/A", "cannot be used with"),
            ("x --turns 5 --shunt 1mohm", "cannot be used with"),
            ("x --limit 50", "not a limit"),
            ("x --accuracy 0.0%+0", "above zero, not 0 %"),
        ] {
            let refused = read(line).unwrap_err().to_string();
            assert!(refused.contains(named), "{line}: {refused}");
        }
    }
}
