//! The manual pages, made from the flags, their lessons and the page about meters: one for the
//! program, one a command, and lullboard-meter(7).

use std::io;

use clap::{Command, CommandFactory};
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use super::flags::Flags;
use super::flags::lessons::{self, Lesson};
use super::meter_page::{self, Piece};

/// One page.
#[derive(Debug)]
pub struct ManPage {
    /// The folder below the one for manual pages.
    pub folder: &'static str,
    /// Its file.
    pub file: String,
    /// Its source.
    pub roff: Vec<u8>,
}

const NAME: &str = "lullboard";
const METER: &str = "lullboard-meter";
/// The same version gives the same page to the byte. An empty date would let the rest move up.
const NO_DATE: &str = " ";

/// All of them.
///
/// # Errors
/// None that memory does not give.
pub fn all() -> io::Result<Vec<ManPage>> {
    let mut program = Flags::command();
    program.build();
    let names = pages_beside(&program);
    let mut pages = vec![of_command(&program, &names)?];
    for command in shown(&program) {
        pages.push(of_command(command, &names)?);
    }
    pages.push(of_meter(&program)?);
    Ok(pages)
}

fn shown(program: &Command) -> impl Iterator<Item = &Command> {
    let all = program.get_subcommands();
    all.filter(|command| !command.is_hide_set())
}

/// The name of every page with its section, as one page points to another.
fn pages_beside(program: &Command) -> Vec<(String, u8)> {
    let commands = shown(program).map(|command| (page_name(command), 1));
    std::iter::once((NAME.to_owned(), 1))
        .chain(commands)
        .chain([(METER.to_owned(), 7)])
        .collect()
}

fn page_name(command: &Command) -> String {
    let name = command.get_display_name();
    name.unwrap_or(command.get_name()).to_owned()
}

fn of_command(command: &Command, names: &[(String, u8)]) -> io::Result<ManPage> {
    let name = page_name(command);
    let usage = command.clone().render_usage().to_string();
    let usage = usage.trim_start_matches("Usage: ").to_owned();
    let man = Man::new(command.clone().override_usage(usage))
        .title(name.to_uppercase())
        .date(NO_DATE)
        .source(source())
        .manual(NAME);
    let mut roff = Vec::new();
    man.render_title(&mut roff)?;
    let mut ragged = Roff::new();
    leave_ragged(&mut ragged);
    ragged.to_writer(&mut roff)?;
    man.render_name_section(&mut roff)?;
    man.render_synopsis_section(&mut roff)?;
    man.render_description_section(&mut roff)?;
    man.render_options_section(&mut roff)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut roff)?;
    }
    let mut more = Roff::new();
    if let Some(lesson) = lessons::of(command.get_name()) {
        teach(&mut more, lesson);
    }
    see_also(&mut more, &name, names);
    more.to_writer(&mut roff)?;
    Ok(ManPage {
        folder: "man1",
        file: format!("{name}.1"),
        roff,
    })
}

fn source() -> String {
    format!("{NAME} {}", env!("CARGO_PKG_VERSION"))
}

/// Flags and URIs are long words that no line breaks in: set flush, they leave holes.
fn leave_ragged(roff: &mut Roff) {
    roff.control("ad", ["l"]);
    roff.control("nh", []);
}

fn teach(roff: &mut Roff, lesson: &Lesson) {
    roff.control("SH", ["EXAMPLES"]);
    for (what, line) in lesson.examples {
        if !what.is_empty() {
            roff.control("PP", []);
            roff.text([roman(format!("{what}:"))]);
        }
        roff.control("RS", ["4"]);
        roff.control("nf", []);
        roff.text([bold(*line)]);
        roff.control("fi", []);
        roff.control("RE", []);
    }
    roff.control("SH", ["EXIT STATUS"]);
    if lesson.codes.is_empty() {
        roff.text([roman("As lullboard(1) lists them.")]);
    }
    for (code, words) in lesson.codes {
        roff.control("TP", []);
        roff.text([bold(code.to_string())]);
        roff.text([roman(*words)]);
    }
}

fn see_also(roff: &mut Roff, own: &str, names: &[(String, u8)]) {
    roff.control("SH", ["SEE ALSO"]);
    let others: Vec<String> = names
        .iter()
        .filter(|(name, _)| name != own)
        .map(|(name, section)| format!("{name}({section})"))
        .collect();
    roff.text([roman(others.join(", "))]);
}

fn of_meter(program: &Command) -> io::Result<ManPage> {
    let mut roff = Roff::new();
    let title = METER.to_uppercase();
    roff.control("TH", [title.as_str(), "7", NO_DATE, &source(), NAME]);
    leave_ragged(&mut roff);
    roff.control("SH", ["NAME"]);
    roff.text([roman(format!("{METER} - {}", meter_page::ABOUT))]);
    for piece in meter_page::page() {
        match piece {
            Piece::Heading(heading) => {
                roff.control("SH", [heading.to_uppercase().as_str()]);
            }
            Piece::Text(text) => {
                roff.control("PP", []);
                roff.text([roman(text)]);
            }
            Piece::Row(term, words) => {
                roff.control("TP", []);
                roff.text([bold(term)]);
                roff.text([roman(words)]);
            }
        }
    }
    see_also(&mut roff, METER, &pages_beside(program));
    let mut bytes = Vec::new();
    roff.to_writer(&mut bytes)?;
    Ok(ManPage {
        folder: "man7",
        file: format!("{METER}.7"),
        roff: bytes,
    })
}
