//! The page about meter URIs: `lullboard help meter` and lullboard-meter(7) are both set from it.

use std::fmt;

use textwrap::Options;

use super::flags::lessons::COLUMNS;
use crate::meter::Handheld;

/// What the page is about, in one line.
pub const ABOUT: &str = "how a meter is named: every kind, format and option";

/// A piece of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// What follows is about this.
    Heading(&'static str),
    /// A paragraph.
    Text(&'static str),
    /// A word as it is typed, and what it means.
    Row(String, String),
}

/// The whole page.
pub fn page() -> Vec<Piece> {
    let mut page = Vec::new();
    kinds(&mut page);
    places(&mut page);
    formats(&mut page);
    options(&mut page);
    asked(&mut page);
    besides(&mut page);
    page
}

fn rows(page: &mut Vec<Piece>, of: &[(&str, &str)]) {
    let row = |(term, words): &(&str, &str)| Piece::Row((*term).into(), (*words).into());
    page.extend(of.iter().map(row));
}

fn kinds(page: &mut Vec<Piece>) {
    page.push(Piece::Heading("How a meter is named"));
    page.push(Piece::Text(
        "A meter has one line of text, its URI: the kind, where it is, and after a question mark \
         its options, joined by &. --meter, --volts and 'meters --read' take it. Quote it, for a \
         shell has its own use for ? and &: 'serial:/dev/ttyUSB0?baud=9600&format=text'. Within a \
         name ? is written %3F, & is %26 and % is %25.",
    ));
    page.push(Piece::Text(
        "'lullboard meters' lists the ports, says what it hears on each and which URI to use.",
    ));
    page.push(Piece::Heading("Kinds"));
    rows(
        page,
        &[
            (
                "serial:PORT",
                "A serial port, mostly a USB adapter. Options: baud, rts, format and those of \
                 the format.",
            ),
            (
                "tcp:HOST:PORT",
                "A network socket, an address of IPv6 in brackets: tcp:[::1]:5025. Options: \
                 format and those of the format.",
            ),
            (
                "pipe:-",
                "What another program writes into this one; keys then come from the terminal. \
                 Options: format and those of the format, but nothing that must be asked.",
            ),
            (
                "replay:FILE",
                "A session or a CSV log, played again. Option: speed, as in speed=10.",
            ),
            (
                "manual:",
                "No cable: the meter is read by eye and the values are typed, as in 43m, 43 mA, \
                 0.043 or OL. No options.",
            ),
            (
                "rehearsal:STORY",
                "A simulated car, on the board only; without a name the first story. Options: \
                 speed and seed.",
            ),
        ],
    );
}

fn places(page: &mut Vec<Piece>) {
    page.push(Piece::Heading("Where the port is"));
    rows(
        page,
        &[
            (
                "Linux",
                "serial:/dev/ttyUSB0, or a name below /dev/serial/by-id, which stays with its \
                 adapter. Where opening it is refused, the user has to be in the port's group \
                 (dialout on most systems).",
            ),
            // Common practice, no source: the tty twin waits for a carrier that adapters lack.
            (
                "macOS",
                "serial:/dev/cu.usbserial-A10K: the name with cu, not its twin with tty.",
            ),
            (
                "Windows",
                "serial:COM3; the device manager shows the number.",
            ),
        ],
    );
}

fn formats(page: &mut Vec<Piece>) {
    page.push(Piece::Heading("Formats"));
    page.push(Piece::Text(
        "format= names what the meter sends. Without it the port is listened on first, up to \
         18 s, and nothing is sent; a meter that must be asked has to be named. The formats of \
         handhelds are called after their chip or their shape, and each brings its speed.",
    ));
    rows(
        page,
        &[(
            "text",
            "Lines: a number with or without its unit, a labelled line, a column of a table, a \
             field of JSON. Options: unit, column, field. Speed: as baud says.",
        )],
    );
    let handheld = |kind: Handheld| {
        let words = format!("{} {} bits a second.", shape(kind), kind.baud());
        Piece::Row(kind.name().into(), words)
    };
    page.extend(Handheld::ALL.into_iter().map(handheld));
    rows(
        page,
        &[
            (
                "scpi",
                "A bench meter. It is asked, and nothing is sent that changes its function or \
                 range.",
            ),
            (
                "modbus",
                "A panel or shunt meter (Modbus RTU). Its register is read, never written.",
            ),
        ],
    );
}

/// A handheld's format, as one tells it from others.
const fn shape(kind: Handheld) -> &'static str {
    match kind {
        Handheld::Lcd14 => "14 bytes, the segments of the display.",
        Handheld::Fs9922 => "14 bytes: sign, digits, flags, line end.",
        Handheld::Es51922 => "14 bytes of a meter of 22000 counts.",
        Handheld::Es11 => "11 bytes of a meter of 4000 counts, each message twice.",
        Handheld::Ascii14 => "14 characters, sent when it is asked with D.",
        Handheld::Stx16 => "16 characters, from STX to the line end.",
    }
}

fn options(page: &mut Vec<Piece>) {
    page.push(Piece::Heading("Options of a port and of text"));
    rows(
        page,
        &[
            ("baud=9600", "Bits a second of a serial port."),
            ("rts=on", "For an optical cable that wants the RTS line on."),
            ("unit=mA", "The unit of a bare number: A, mA, uA, V or mV."),
            (
                "column=2",
                "The column with the current: its number from 1, or its heading.",
            ),
            (
                "field=ina.current_mA",
                "The field of JSON, or the label, that holds the current.",
            ),
        ],
    );
}

fn asked(page: &mut Vec<Piece>) {
    page.push(Piece::Heading("Options of scpi"));
    page.push(Piece::Text(
        "tcp:192.168.1.20?format=scpi (port 5025 where none is named), or on a serial port: \
         'serial:COM5?baud=9600&format=scpi&remote=1'.",
    ));
    rows(
        page,
        &[
            ("rate=2", "Readings a second, 0.1 to 50."),
            (
                "remote=1",
                "Send SYST:REM first: some serial ones answer nothing before it.",
            ),
            ("conf=0", "Do not ask with CONF? what it measures."),
        ],
    );
    page.push(Piece::Heading("Options of modbus"));
    page.push(Piece::Text(
        "'serial:COM6?format=modbus&unit=1&register=0&type=f32&order=abcd'. Where type and order \
         are not known, leave them out: 'meters --read' shows all, to be picked by the display.",
    ));
    rows(
        page,
        &[
            (
                "register=0",
                "Which register, counted from 0 as on the wire. Never left out.",
            ),
            ("unit=1", "The meter's address, 1 to 247."),
            (
                "function=3",
                "3 for holding registers, 4 for input registers.",
            ),
            ("type=f32", "f32, i16, u16, i32 or u32."),
            (
                "order=abcd",
                "The order of the bytes: abcd, cdab, badc or dcba.",
            ),
            (
                "scale=0.01mA",
                "What one count is, in ampere or with its unit.",
            ),
            ("parity=even", "none, even or odd."),
            ("rate=2", "Readings a second, 0.1 to 50."),
        ],
    );
}

fn besides(page: &mut Vec<Piece>) {
    page.push(Piece::Heading("A clamp, a shunt, the battery's volts"));
    page.push(Piece::Text(
        "A meter that shows volts gives amperes with --clamp 100mV/A or --shunt 75mV/100A. \
         --volts names a second meter for the battery's volts, with its probes on the battery \
         posts themselves, the positive lead fused close to the post, and never with a lead in a \
         jack for amperes: that is a short across the battery.",
    ));
}

/// Words that start in this column stand beside their term; after a longer one, below it.
const BESIDE: usize = 20;

/// The page as plain text, no line wider than [`COLUMNS`].
#[derive(Debug)]
pub struct Plain(pub Vec<Piece>);

impl fmt::Display for Plain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hanging = " ".repeat(BESIDE);
        for (at, piece) in self.0.iter().enumerate() {
            match piece {
                Piece::Heading(heading) => {
                    let gap = if at == 0 { "" } else { "\n" };
                    writeln!(f, "{gap}{heading}:")?;
                }
                Piece::Text(text) => {
                    let indented = Options::new(COLUMNS)
                        .initial_indent("  ")
                        .subsequent_indent("  ");
                    writeln!(f, "{}", textwrap::fill(text, indented))?;
                }
                Piece::Row(term, words) => {
                    let mut first = format!("  {term:<width$}", width = BESIDE - 2);
                    if !first.ends_with(' ') {
                        writeln!(f, "{first}")?;
                        first.clone_from(&hanging);
                    }
                    let beside = Options::new(COLUMNS)
                        .initial_indent(&first)
                        .subsequent_indent(&hanging);
                    writeln!(f, "{}", textwrap::fill(words, beside))?;
                }
            }
        }
        Ok(())
    }
}
