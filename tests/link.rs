//! The link against fake meters: a pseudo-terminal behind a symlink, a socket, a pipe.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::{self, Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::mpsc;
use std::thread::JoinHandle;
use std::time::Duration;

use crossbeam_channel::{Receiver, bounded, unbounded};
use lullboard::desk::message::{Event, LinkState, Message};
use lullboard::meter::detect::{Detection, Setting};
use lullboard::meter::format::Format;
use lullboard::meter::probe::{Expects, Probe};
use lullboard::meter::uri::MeterUri;
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::entry::{Entry, Fact, MeterEvent};
use lullboard::shell::clock::Clock;
use lullboard::shell::link::{self, LinkSetup, Measures, Outlet};
use lullboard::shell::outbox::channel;
use lullboard::shell::ports::listen::{PortHeard, listen};
use lullboard::shell::ports::{OpenSource, Opened, Opener, SourceError, Stream, open_first};
use lullboard::shell::stop::{self, Halt};
use serialport::{SerialPort, TTYPort};

/// Long enough for the busiest machine; nothing here waits for it to pass.
const PATIENCE: Duration = Duration::from_secs(30);

/// A pseudo-terminal that speaks as a meter does, under a name that can move.
struct FakeMeter {
    master: TTYPort,
    /// Held open, or what is written before the program opens the port is lost.
    _slave: TTYPort,
    target: PathBuf,
}

impl FakeMeter {
    fn new() -> Self {
        let (master, slave) = TTYPort::pair().unwrap();
        let target = slave.name().unwrap().into();
        Self {
            master,
            _slave: slave,
            target,
        }
    }

    fn plug_in(&self, name: &Path) {
        let _ = std::fs::remove_file(name);
        std::os::unix::fs::symlink(&self.target, name).unwrap();
    }

    fn say(&mut self, bytes: &[u8]) {
        self.master.write_all(bytes).unwrap();
    }
}

/// A running link and what it tells.
struct Bench {
    entries: Receiver<Entry>,
    inbox: mpsc::Receiver<Message>,
    worker: JoinHandle<()>,
    halt: Halt,
}

impl Bench {
    fn start(uri: &str, speed: f64) -> Self {
        let uri: MeterUri = uri.parse().unwrap();
        Self::over(open_first(&uri).unwrap(), &uri, speed, 1024)
    }

    fn over(source: OpenSource, uri: &MeterUri, speed: f64, room: usize) -> Self {
        let (readings, entries) = bounded(room);
        let (desk, inbox) = channel(Clock::start(Elapsed::ZERO, speed));
        let (halt, stop) = stop::pair();
        let wire = uri.wire().cloned().unwrap_or_default();
        let setup = LinkSetup {
            source,
            talker: wire.talker(Expects::Amperes).unwrap(),
            probe: Probe::default(),
        };
        let outlet = Outlet {
            readings,
            desk,
            stop,
            measures: Measures::Current,
        };
        let worker = link::spawn(setup, outlet).unwrap();
        Self {
            entries,
            inbox,
            worker,
            halt,
        }
    }

    fn state(&self) -> LinkState {
        let event = self.inbox.recv_timeout(PATIENCE).unwrap().event;
        let Event::Link(state) = event else {
            panic!("{event:?}");
        };
        state
    }

    fn until_state(&self, wanted: impl Fn(&LinkState) -> bool) -> LinkState {
        loop {
            let state = self.state();
            if wanted(&state) {
                return state;
            }
        }
    }

    fn fact(&self) -> Fact {
        self.entries.recv_timeout(PATIENCE).unwrap().fact
    }

    fn amps(&self) -> String {
        let fact = self.fact();
        let Fact::Reading(Measured::Amps(amps)) = fact else {
            panic!("{fact:?}");
        };
        amps.to_string()
    }

    fn stop(self) {
        drop(self.halt);
        self.worker.join().unwrap();
    }
}

/// A folder with the name under which the meter is plugged in.
fn socket() -> (tempfile::TempDir, PathBuf, String) {
    let folder = tempfile::tempdir().unwrap();
    let name = folder.path().join("meter");
    let uri = format!("serial:{}", name.display());
    (folder, name, uri)
}

#[test]
fn readings_arrive_with_their_decimals_and_in_order() {
    let (_folder, name, uri) = socket();
    let mut meter = FakeMeter::new();
    meter.plug_in(&name);
    let bench = Bench::start(&format!("{uri}?unit=mA"), 1.0);
    assert!(matches!(bench.state(), LinkState::Opening(_)));
    meter.say(b"\n12.340\r\n12.3");
    assert_eq!(bench.amps(), "0.012340");
    meter.say(b"5 mA\r\nOL\r\n");
    assert_eq!(bench.amps(), "0.01235");
    assert_eq!(bench.fact(), Fact::Reading(Measured::Over));
    assert_eq!(
        bench.state(),
        LinkState::Receiving(name.display().to_string())
    );
    bench.stop();
}

#[test]
fn an_unplugged_meter_is_found_again_and_its_half_line_forgotten() {
    let (_folder, name, uri) = socket();
    let mut meter = FakeMeter::new();
    meter.plug_in(&name);
    let bench = Bench::start(&uri, 1.0);
    bench.state();
    meter.say(b"\n12.34 mA\n12.");
    assert_eq!(bench.amps(), "0.01234");

    // The new one first, so that it cannot have the old one's number.
    let mut elsewhere = FakeMeter::new();
    assert_ne!(meter.target, elsewhere.target);
    std::fs::remove_file(&name).unwrap();
    drop(meter);
    let Fact::Meter(MeterEvent::Lost(why)) = bench.fact() else {
        panic!("not lost");
    };
    assert!(why.contains("unplugged"), "{why}");
    bench.until_state(|state| matches!(state, LinkState::Lost(_)));

    elsewhere.plug_in(&name);
    assert_eq!(
        bench.fact(),
        Fact::Meter(MeterEvent::Back(name.display().to_string()))
    );
    bench.until_state(|state| matches!(state, LinkState::Receiving(_)));
    elsewhere.say(b"\n12.35 mA\n");
    assert_eq!(bench.amps(), "0.01235");
    bench.stop();
}

#[test]
fn noise_is_called_unreadable_and_gives_no_reading() {
    let (_folder, name, uri) = socket();
    let mut meter = FakeMeter::new();
    meter.plug_in(&name);
    let bench = Bench::start(&uri, 1.0);
    bench.state();
    for _ in 0..8 {
        meter.say(&[0xf8, 0x80, 0x00, 0xe0, 0xfe, 0x78, 0x80, 0xf8].repeat(4));
    }
    let LinkState::Unreadable(words) = bench.state() else {
        panic!("not unreadable");
    };
    assert!(
        words.contains("F8 80") && words.contains("baud=9600"),
        "{words}"
    );
    meter.say(b"\n12.34 mA\n");
    assert_eq!(bench.amps(), "0.01234", "the noise gave no entry");
    assert!(matches!(bench.state(), LinkState::Receiving(_)));
    bench.stop();
}

#[test]
fn a_silent_meter_is_told_and_its_last_value_is_not_repeated() {
    let (_folder, name, uri) = socket();
    let mut meter = FakeMeter::new();
    meter.plug_in(&name);
    // A hundred session seconds a second, so that three of them pass soon.
    let bench = Bench::start(&uri, 100.0);
    bench.state();
    meter.say(b"\n12.34 mA\n");
    assert_eq!(bench.amps(), "0.01234");
    bench.until_state(|state| *state == LinkState::Silent);
    meter.say(b"12.35 mA\n");
    bench.until_state(|state| matches!(state, LinkState::Receiving(_)));
    assert_eq!(bench.amps(), "0.01235");
    bench.stop();
}

#[test]
fn a_closed_socket_is_connected_again() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let bench = Bench::start(&format!("tcp:{address}?format=text"), 1.0);
    let say = |socket: &mut TcpStream, line: &str| socket.write_all(line.as_bytes()).unwrap();
    let (mut socket, _) = listener.accept().unwrap();
    say(&mut socket, "{\"current\":12.340,\"unit\":\"mA\"}\n{\"curr");
    assert_eq!(bench.amps(), "0.012340");
    drop(socket);
    assert!(matches!(bench.fact(), Fact::Meter(MeterEvent::Lost(_))));
    let (mut socket, _) = listener.accept().unwrap();
    say(&mut socket, "ent\":5}\n2000 mA\n");
    assert_eq!(
        bench.fact(),
        Fact::Meter(MeterEvent::Back(address.to_string()))
    );
    assert_eq!(bench.amps(), "2.000");
    bench.stop();
}

#[test]
fn a_link_whose_journal_writer_is_behind_waits_and_still_stops() {
    let (_folder, name, uri) = socket();
    let mut meter = FakeMeter::new();
    meter.plug_in(&name);
    let uri: MeterUri = uri.parse().unwrap();
    let bench = Bench::over(open_first(&uri).unwrap(), &uri, 1.0, 1);
    bench.state();
    meter.say(b"\n1 A\n2 A\n3 A\n");
    bench.until_state(|state| matches!(state, LinkState::Receiving(_)));
    bench.stop();
}

/// A source of fixed chunks that then ends, or hangs with a dead port behind it.
struct Chunks {
    left: Vec<&'static [u8]>,
    then: Then,
}

#[derive(Clone, Copy, PartialEq)]
enum Then {
    End,
    TimeOutForEver,
}

impl Stream for Chunks {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match (self.left.pop(), self.then) {
            (Some(mut chunk), _) => chunk.read(buffer),
            (None, Then::End) => Ok(0),
            (None, Then::TimeOutForEver) => Err(io::ErrorKind::TimedOut.into()),
        }
    }

    fn is_alive(&mut self) -> bool {
        self.then != Then::TimeOutForEver
    }
}

struct Once(bool);

impl Opener for Once {
    fn open(&mut self) -> Result<Opened, SourceError> {
        Err(SourceError::Busy {
            path: "X".into(),
            by: "another program".into(),
        })
    }

    fn comes_back(&self) -> bool {
        self.0
    }

    fn loss(&self) -> &'static str {
        "gone"
    }

    fn noise_mend(&self) -> String {
        String::new()
    }
}

fn chunks(left: Vec<&'static [u8]>, then: Then, comes_back: bool) -> Bench {
    joined(left, then, comes_back, None)
}

fn joined(left: Vec<&'static [u8]>, then: Then, comes_back: bool, midway_s: Option<f64>) -> Bench {
    let source = OpenSource::Bytes {
        opened: Opened {
            stream: Box::new(Chunks { left, then }),
            place: "here".into(),
            midway_s,
        },
        opener: Box::new(Once(comes_back)),
    };
    Bench::over(source, &"pipe:-".parse().unwrap(), 1.0, 16)
}

#[test]
fn a_pipe_that_ends_is_no_loss() {
    let bench = chunks(vec![b"2 A\n3", b"1 A\n"], Then::End, false);
    assert_eq!(bench.amps(), "1");
    assert_eq!(bench.amps(), "2");
    bench.until_state(|state| *state == LinkState::Ended);
    assert!(
        bench.entries.recv_timeout(PATIENCE).is_err(),
        "nothing more"
    );
    bench.stop();
}

#[test]
fn a_line_whose_beginning_was_missed_is_no_reading() {
    let soon_s = Some(PATIENCE.as_secs_f64());
    let bench = joined(vec![b"12.35 mA\n", b"2.34 mA\n"], Then::End, false, soon_s);
    assert_eq!(bench.amps(), "0.01235");
    bench.stop();
}

#[test]
fn a_port_that_only_times_out_is_asked_whether_it_lives() {
    let bench = chunks(vec![b"1 A\n"], Then::TimeOutForEver, true);
    assert_eq!(bench.amps(), "1");
    assert_eq!(bench.fact(), Fact::Meter(MeterEvent::Lost("gone".into())));
    let busy = |state: &LinkState| matches!(state, LinkState::Lost(why) if why.contains("in use"));
    bench.until_state(busy);
    bench.stop();
}

/// A source that gives these in turn, and stands still before the second as a stopped program does.
struct Stopped {
    chunks: std::vec::IntoIter<&'static [u8]>,
    reads: usize,
    keeps: bool,
    dropped: crossbeam_channel::Sender<()>,
}

impl Stream for Stopped {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.reads += 1;
        if self.reads == 2 {
            // Longer than any read waits; how much longer does not matter.
            std::thread::sleep(Duration::from_millis(2100));
        }
        match self.chunks.next() {
            Some(b"") => Err(io::ErrorKind::TimedOut.into()),
            Some(mut chunk) => chunk.read(buffer),
            None => Ok(0),
        }
    }

    fn take_backlog(&mut self) -> Option<Vec<u8>> {
        if self.keeps {
            return None;
        }
        self.dropped.send(()).unwrap();
        Some(b"7 A\n8 A\n".to_vec())
    }
}

/// What was recorded of these chunks, gaps with it, and how often a backlog was dropped.
fn stopped(chunks: Vec<&'static [u8]>, keeps: bool) -> (Vec<String>, usize) {
    let (dropped, drops) = unbounded();
    let source = OpenSource::Bytes {
        opened: Opened {
            stream: Box::new(Stopped {
                chunks: chunks.into_iter(),
                reads: 0,
                keeps,
                dropped,
            }),
            place: "here".into(),
            midway_s: None,
        },
        opener: Box::new(Once(false)),
    };
    let bench = Bench::over(source, &"pipe:-".parse().unwrap(), 1.0, 16);
    bench.until_state(|state| *state == LinkState::Ended);
    let mut recorded = Vec::new();
    for entry in bench.entries.try_iter() {
        if let Fact::Reading(Measured::Amps(value)) = entry.fact {
            recorded.push(value.to_string());
        } else if let Fact::Meter(MeterEvent::Gap { why, for_s }) = entry.fact {
            assert!(for_s > 2.0, "{for_s}");
            recorded.push(why);
        }
    }
    bench.stop();
    (recorded, drops.try_iter().count())
}

#[test]
fn what_waited_while_the_program_stood_still_has_no_time_and_is_no_reading() {
    let chunks = || vec![b"1 A\n".as_slice(), b"2 A\n3 A\n", b" A\n4 A\n"];
    let gap = |count| {
        format!("what the meter sent meanwhile has no time of its own: {count} readings left out")
    };
    let expected = |count, then: &str| (vec!["1".to_owned(), gap(count), then.to_owned()], 1);
    assert_eq!(stopped(chunks(), false), expected(4, "4"));
    // Stopped right after a read that gave nothing: what came since waits in the port.
    let empty = vec![b"1 A\n".as_slice(), b"", b"4 A\n5 A\n"];
    assert_eq!(stopped(empty, false), expected(2, "5"));
    let (amps, _) = stopped(vec![b"1 A\n", b"2 A\n3 A\n"], true);
    assert_eq!(amps, ["1", "2", "3"], "a pipe waits for its reader");
}

#[test]
fn by_hand_there_is_nothing_to_read() {
    let bench = Bench::start("manual:", 1.0);
    assert_eq!(bench.state(), LinkState::Receiving("by hand".into()));
    bench.stop();
}

fn fault(uri: &str) -> String {
    match open_first(&uri.parse().unwrap()) {
        Ok(_) => panic!("{uri} opened"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_source_that_cannot_be_opened_says_why_and_what_to_do() {
    let words = fault("serial:/dev/no-such-port");
    assert!(
        words.contains("/dev/no-such-port") && words.contains("orts here"),
        "{words}"
    );
    let words = fault("serial:/dev/null");
    assert!(words.contains("not a serial port"), "{words}");
    let (folder, _, _) = socket();
    let file = folder.path().join("log.csv");
    std::fs::write(&file, "0.1\n").unwrap();
    let words = fault(&format!("serial:{}", file.display()));
    assert!(words.contains("not a serial port"), "{words}");

    let free = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap();
    let words = fault(&format!("tcp:{free}"));
    assert!(words.contains("refused"), "{words}");
}

#[test]
fn a_port_in_use_is_called_busy() {
    let meter = FakeMeter::new();
    let uri = format!("serial:{}", meter.target.display());
    let _held = open_first(&uri.parse().unwrap()).unwrap();
    let words = fault(&uri);
    assert!(words.contains("in use by another program"), "{words}");
}

#[test]
fn listening_finds_the_readings_without_a_word() {
    let mut meter = FakeMeter::new();
    let target = meter.target.clone();
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    let (heard, verdict) = bounded(1);
    let (halt, stop) = stop::pair();
    let listener = std::thread::Builder::new()
        .spawn(move || {
            let patience_s = PATIENCE.as_secs_f64();
            let verdict = listen(&target, &[Setting::NO_SPEED], patience_s, &clock, || {
                !stop.is_set()
            });
            heard.send(verdict).unwrap();
        })
        .unwrap();
    let found = loop {
        meter.say(b"Bus: 12.6 V\n12.34 mA\n");
        if let Ok(found) = verdict.recv_timeout(Duration::from_millis(20)) {
            break found;
        }
    };
    drop(halt);
    listener.join().unwrap();
    let PortHeard::Heard(Detection::Recognised(found)) = found else {
        panic!("{found:?}");
    };
    assert_eq!((found.format, found.messages), (Format::Text, 5));
    let example = Amps::parse("0.01234").unwrap();
    assert_eq!(found.last, Some(Measured::Amps(example)));
    assert_eq!(meter.master.bytes_to_read().unwrap(), 0, "nothing was sent");
}
