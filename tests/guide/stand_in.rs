//! What stands in for a meter on a machine that has none: another end of a pseudo-terminal or of a
//! socket that speaks as the URI says, with messages of the vectors. Only the port's name in the URI
//! is another one.

use std::io::{Read as _, Write as _};
use std::net::TcpListener;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use serialport::{SerialPort, TTYPort};

const EVERY: Duration = Duration::from_millis(40);

/// A meter that speaks or answers until it is dropped.
pub(crate) struct StandIn {
    /// The port as the page names it.
    pub(crate) named: String,
    /// The port as it is here.
    pub(crate) place: String,
    off: Arc<AtomicBool>,
    worker: Option<JoinHandle<()>>,
}

/// What it does.
enum Does {
    /// Sends this again and again.
    Says(Vec<u8>),
    /// Answers what it is asked, with all that has come so far.
    Answers(fn(&[u8]) -> Option<Vec<u8>>),
}

impl StandIn {
    /// For a URI as a page has it, with the URI to use instead; none where no port is named.
    pub(crate) fn of(uri: &str, flags: &[String]) -> (String, Option<Self>) {
        let (scheme, rest) = uri.split_once(':').unwrap();
        let (named, query) = rest.split_once('?').unwrap_or((rest, ""));
        let is_volts = flags
            .iter()
            .any(|flag| flag == "--clamp" || flag == "--shunt");
        match scheme {
            "manual" | "replay" => (uri.to_owned(), None),
            "serial" => {
                let meter = Self::on_a_line(named, does(query, is_volts));
                (uri.replace(named, &meter.place), Some(meter))
            }
            "tcp" => {
                let meter = Self::on_a_socket(named, &does(query, is_volts));
                (uri.replace(named, &meter.place), Some(meter))
            }
            _ => panic!("no stand-in is known for {uri}"),
        }
    }

    /// For a port that is only listened on.
    pub(crate) fn that_speaks(named: &str) -> Self {
        Self::on_a_line(named, does("format=lcd14", false))
    }

    /// For a port that is asked `query` once.
    pub(crate) fn that_is_asked(named: &str, query: &str) -> Self {
        let format = if query == "D" {
            "format=ascii14"
        } else {
            "format=scpi"
        };
        match named.strip_prefix("tcp:") {
            Some(address) => Self::on_a_socket(address, &does(format, false)),
            None => Self::on_a_line(named, does(format, false)),
        }
    }

    fn on_a_line(named: &str, does: Does) -> Self {
        let (mut near, far) = TTYPort::pair().unwrap();
        near.set_timeout(EVERY).unwrap();
        let place = far.name().unwrap();
        Self::start(named, place, move |off| {
            // Held, or what is sent before the program opens it is lost.
            let _far = far;
            let mut came = Vec::new();
            while !off.load(Ordering::SeqCst) {
                // Nobody reads yet, or nobody has asked: a meter does not care.
                let _ = match &does {
                    Does::Says(message) => {
                        thread::sleep(EVERY);
                        near.write_all(message)
                    }
                    Does::Answers(answer) => {
                        let mut buffer = [0; 256];
                        let count = near.read(&mut buffer).unwrap_or(0);
                        came.extend_from_slice(buffer.get(..count).unwrap());
                        answered(&mut came, *answer).map_or(Ok(()), |said| near.write_all(&said))
                    }
                };
            }
        })
    }

    fn on_a_socket(named: &str, does: &Does) -> Self {
        let Does::Answers(answer) = *does else {
            panic!("{named}: a socket that speaks by itself is not known")
        };
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        listener.set_nonblocking(true).unwrap();
        let place = listener.local_addr().unwrap().to_string();
        Self::start(named, place, move |off| {
            let mut socket = None;
            let mut came = Vec::new();
            while !off.load(Ordering::SeqCst) {
                thread::sleep(EVERY / 4);
                if let Ok((stream, _)) = listener.accept() {
                    stream.set_nonblocking(true).unwrap();
                    socket = Some(stream);
                }
                let Some(stream) = &mut socket else { continue };
                let mut buffer = [0; 256];
                let count = stream.read(&mut buffer).unwrap_or(0);
                came.extend_from_slice(buffer.get(..count).unwrap());
                if let Some(said) = answered(&mut came, answer) {
                    let _ = stream.write_all(&said);
                }
            }
        })
    }

    fn start(named: &str, place: String, work: impl FnOnce(&AtomicBool) + Send + 'static) -> Self {
        let off = Arc::new(AtomicBool::new(false));
        let seen = Arc::clone(&off);
        Self {
            named: named.to_owned(),
            place,
            off,
            worker: Some(thread::spawn(move || work(&seen))),
        }
    }
}

impl Drop for StandIn {
    fn drop(&mut self) {
        self.off.store(true, Ordering::SeqCst);
        if let Some(worker) = self.worker.take() {
            worker.join().unwrap();
        }
    }
}

fn answered(came: &mut Vec<u8>, answer: fn(&[u8]) -> Option<Vec<u8>>) -> Option<Vec<u8>> {
    let said = answer(came);
    if said.is_some() {
        came.clear();
    }
    said
}

/// What a meter of this query does. The messages are rows of `tests/vectors`.
fn does(query: &str, is_volts: bool) -> Does {
    let option = |key: &str| {
        let mut pairs = query.split('&').filter_map(|pair| pair.split_once('='));
        pairs.find(|(name, _)| *name == key).map(|(_, value)| value)
    };
    let says = |file: &str, current: &str, volts: &str| {
        Does::Says(vector(file, if is_volts { volts } else { current }))
    };
    match option("format").expect("a URI of the guide names its format") {
        "lcd14" => says(include_str!("../vectors/lcd14.tsv"), "lcd-A", "lcd-mV-neg"),
        "fs9922" => says(include_str!("../vectors/fs9922.tsv"), "fs-A", "fs-mV-neg"),
        "es51922" => says(
            include_str!("../vectors/es51922.tsv"),
            "es14-A",
            "es14-mV-neg",
        ),
        "es11" => says(include_str!("../vectors/es11.tsv"), "es11-mA", "es11-volt"),
        "stx16" => says(include_str!("../vectors/stx16.tsv"), "stx-mA", "stx-volt"),
        "text" => {
            let file = include_str!("../vectors/text.tsv");
            match (option("column"), option("field"), option("unit")) {
                (Some("2"), None, None) => Does::Says(vector(file, "txt-csv-2")),
                (None, Some("ina.current_mA"), None) => Does::Says(vector(file, "txt-json-nested")),
                (None, None, Some("mA")) => Does::Says(b"12.34\n".to_vec()),
                (None, None, Some("V")) => Does::Says(b"12.61\n".to_vec()),
                (None, None, None) => Does::Says(vector(file, "txt-plain-A")),
                other => panic!("no line is known for {other:?}"),
            }
        }
        "ascii14" => Does::Answers(|came| {
            let file = include_str!("../vectors/ascii14.tsv");
            (came == b"\xc4").then(|| vector(file, "m14-A"))
        }),
        "scpi" => Does::Answers(bench),
        "modbus" => Does::Answers(panel),
        other => panic!("no stand-in is known for format={other}"),
    }
}

fn vector(file: &str, id: &str) -> Vec<u8> {
    let row = file.lines().find(|row| row.split('\t').next() == Some(id));
    let hex = row.unwrap().split('\t').nth(1).unwrap();
    let byte = |text| u8::from_str_radix(text, 16).unwrap();
    hex.split(' ').map(byte).collect()
}

/// A bench meter on direct current; each answer is a row of `scpi.tsv` or in its form.
fn bench(came: &[u8]) -> Option<Vec<u8>> {
    let file = include_str!("../vectors/scpi.tsv");
    let line = came
        .strip_suffix(b"\n")?
        .rsplit(|&byte| byte == b'\n')
        .next()?;
    match line {
        b"SYST:ERR?" => Some(vector(file, "scpi-err-none")),
        b"CONF?" => Some(b"\"CURR +1.0E-01,+1.0E-06\"\n".to_vec()),
        b"READ?" => Some(vector(file, "scpi-nr3")),
        b"*IDN?" => Some(vector(file, "scpi-idn")),
        _ => None,
    }
}

/// A panel meter whose registers hold 0.01234 as a float, high word first (`modbus.tsv`).
fn panel(came: &[u8]) -> Option<Vec<u8>> {
    let [unit, function @ (3 | 4), _, _, 0, count, _, _] = *came else {
        return None;
    };
    let data = [0x3c, 0x4a, 0x2d, 0xb6];
    let mut answer = vec![unit, function, 2 * count];
    answer.extend(data.iter().take(usize::from(2 * count)));
    let crc = answer.iter().fold(0xffff_u16, |crc, &byte| {
        (0..8).fold(crc ^ u16::from(byte), |crc, _| {
            (crc >> 1) ^ if crc & 1 == 1 { 0xa001 } else { 0 }
        })
    });
    answer.extend(crc.to_le_bytes());
    Some(answer)
}
