//! Meters that must be asked, faked on a socket and a pseudo-terminal, against the built binary:
//! what it asks, what it records, what it says. And what it says to a user without rights.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::{BufRead, BufReader, ErrorKind, Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use crossbeam_channel::{Receiver, RecvTimeoutError, unbounded};
use lullboard::desk::effect::Effect;
use lullboard::desk::message::{Event, Key, LinkState, Message};
use lullboard::desk::{Model, Options};
use lullboard::meter::Heard;
use lullboard::meter::probe::Expects;
use lullboard::meter::talker::Turn;
use lullboard::meter::uri::MeterUri;
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::doubt::Doubt;
use lullboard::session::entry::{Entry, Fact, MeterEvent};
use rustix::process::{Pid, Signal, kill_process};
use serialport::{SerialPort, TTYPort};

/// Long enough for the busiest machine; nothing here waits for it to pass.
const PATIENCE: Duration = Duration::from_secs(30);

fn lullboard() -> Command {
    Command::new(env!("CARGO_BIN_EXE_lullboard"))
}

/// The binary at work, line by line.
struct Program {
    child: Child,
    lines: Receiver<String>,
    said: Vec<String>,
}

impl Program {
    fn start(mut command: Command) -> Self {
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let (tell, lines) = unbounded();
        let out = BufReader::new(child.stdout.take().unwrap());
        std::thread::Builder::new()
            .spawn(move || {
                for line in out.lines().map_while(Result::ok) {
                    if tell.send(line).is_err() {
                        break;
                    }
                }
            })
            .unwrap();
        Self {
            child,
            lines,
            said: Vec::new(),
        }
    }

    fn record(uri: &str, file: &Path, flags: &[&str]) -> Self {
        let mut command = lullboard();
        command.args(["record", "--meter", uri, "--out"]).arg(file);
        command.args(flags);
        Self::start(command)
    }

    fn until_said(&mut self, words: &str) -> String {
        loop {
            let line = match self.lines.recv_timeout(PATIENCE) {
                Ok(line) => line,
                Err(error) => panic!("{words:?} was not said ({error}): {:#?}", self.said),
            };
            self.said.push(line.clone());
            if line.contains(words) {
                return line;
            }
        }
    }

    /// Whether it has said so by now; gives it a moment.
    fn has_said(&mut self, words: &str) -> bool {
        let line = self.lines.recv_timeout(Duration::from_millis(50));
        assert!(
            line != Err(RecvTimeoutError::Disconnected),
            "{:#?}",
            self.said
        );
        self.said.extend(line);
        self.said.iter().any(|line| line.contains(words))
    }

    fn stop(mut self) {
        kill_process(Pid::from_child(&self.child), Signal::TERM).unwrap();
        assert!(self.child.wait().unwrap().success());
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // Already gone after `stop`.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The currents in a session file, as they were written.
fn currents(file: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(file).unwrap();
    text.lines()
        .filter_map(|line| line.split_once("\"a\":"))
        .map(|(_, rest)| rest.trim_end_matches('}').to_owned())
        .collect()
}

/// Waits until this current stands in the session file.
fn until_recorded(file: &Path, current: &str) {
    #[expect(clippy::disallowed_methods, reason = "a test's own patience")]
    let began = std::time::Instant::now();
    while !currents(file).iter().any(|found| found == current) {
        assert!(began.elapsed() < PATIENCE, "{current} was not recorded");
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn folder() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("night.lull");
    (folder, file)
}

/// What an instrument does with one question.
enum Does {
    Says(&'static str),
    Nothing,
    HangsUp,
}

/// An instrument on a socket: `answer` is asked with the number of the connection and the
/// question; all questions are kept.
struct Instrument {
    address: String,
    asked: Arc<Mutex<Vec<String>>>,
}

impl Instrument {
    fn new(mut answer: impl FnMut(usize, &str) -> Does + Send + 'static) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap().to_string();
        let asked = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&asked);
        std::thread::Builder::new()
            .spawn(move || {
                for (number, socket) in listener.incoming().map_while(Result::ok).enumerate() {
                    serve(socket, &kept, |question| answer(number, question));
                }
            })
            .unwrap();
        Self { address, asked }
    }

    fn asked(&self) -> Vec<String> {
        self.asked.lock().unwrap().clone()
    }
}

fn serve(mut socket: TcpStream, kept: &Mutex<Vec<String>>, mut answer: impl FnMut(&str) -> Does) {
    let questions = BufReader::new(socket.try_clone().unwrap());
    for question in questions.lines().map_while(Result::ok) {
        kept.lock().unwrap().push(question.clone());
        match answer(&question) {
            Does::Says(words) => {
                if socket.write_all(words.as_bytes()).is_err() {
                    return;
                }
            }
            Does::Nothing => {}
            Does::HangsUp => return,
        }
    }
}

/// All that may ever go out without the user's word.
const QUESTIONS: [&str; 3] = ["SYST:ERR?", "CONF?", "READ?"];

/// What an instrument does that falls ill by and by: each only when the test says so, because how
/// many answers a busy machine takes in time is anybody's guess.
#[derive(Clone, Copy)]
enum Health {
    Well,
    /// The next reading is not answered in time.
    Slow,
    /// ... but before the answer to the next question.
    Behind,
    WellAgain,
    /// Closes the connection instead of an answer.
    Gone,
}

#[test]
fn a_bench_meter_is_read_through_a_late_answer_and_a_closed_socket() {
    let health = Arc::new(Mutex::new(Health::Well));
    let told = Arc::clone(&health);
    let instrument = Instrument::new(move |connection, question| {
        let mut health = told.lock().unwrap();
        match (question, *health) {
            ("CONF?", _) => Does::Says("\"CURR +1.0E-01,+1.0E-07\"\r\n"),
            ("READ?", _) if connection > 0 => Does::Says("+3.00E-02\r\n"),
            ("READ?", Health::Well) => Does::Says("+1.00E-02\r\n"),
            ("READ?", Health::Slow) => {
                *health = Health::Behind;
                Does::Nothing
            }
            ("READ?", Health::Behind | Health::WellAgain) => Does::Says("+2.00E-02\n"),
            ("READ?", Health::Gone) => Does::HangsUp,
            (_, Health::Behind) => {
                *health = Health::WellAgain;
                Does::Says("+9.99E-01\n+0,\"No error\"\n")
            }
            (_, Health::Well | Health::Slow | Health::WellAgain | Health::Gone) => {
                Does::Says("+0,\"No error\"\n")
            }
        }
    });
    let (_folder, file) = folder();
    let uri = format!("tcp:{}?format=scpi&rate=20", instrument.address);
    let mut program = Program::record(&uri, &file, &[]);
    program.until_said("readings come from");
    until_recorded(&file, "0.0100");
    *health.lock().unwrap() = Health::Slow;
    until_recorded(&file, "0.0200");
    *health.lock().unwrap() = Health::Gone;
    program.until_said("the instrument closed the connection");
    program.until_said("readings come from");
    until_recorded(&file, "0.0300");
    program.stop();

    let mut currents = currents(&file);
    currents.dedup();
    assert_eq!(currents, ["0.0100", "0.0200", "0.0300"]);
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(
        text.contains("\"lost\":") && text.contains("\"back\":"),
        "{text}"
    );
    assert!(
        text.lines().next().unwrap().contains("\"format\":\"scpi\""),
        "{text}"
    );
    for question in instrument.asked() {
        assert!(QUESTIONS.contains(&question.as_str()), "{question}");
    }
}

/// Nothing but the named query and the empty line before it, once.
#[test]
fn a_bench_meter_is_asked_for_its_name_on_the_users_word() {
    let instrument = Instrument::new(|_, question| match question {
        "*IDN?" => Does::Says("BENCH,DMM-1,0,1.02\n"),
        _ => Does::Nothing,
    });
    let uri = format!("tcp:{}", instrument.address);
    let output = lullboard()
        .args(["meters", "--ask", "idn", &uri])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}");
    for words in [
        "CAUTION: this is for bench meters",
        "as text: 'BENCH,DMM-1,0,1.02'",
        &format!("--meter \"{uri}?format=scpi\""),
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert_eq!(instrument.asked(), ["", "*IDN?"]);
}

#[test]
fn an_instrument_on_volts_is_not_read_until_its_knob_is_turned() {
    let knob = Arc::new(Mutex::new("\"VOLT +1.0E+01\"\n"));
    let seen = Arc::clone(&knob);
    let instrument = Instrument::new(move |_, question| match question {
        "CONF?" => Does::Says(*seen.lock().unwrap()),
        "READ?" => Does::Says("+1.00E-02\n"),
        _ => Does::Says("0,\"No error\"\n"),
    });
    let (_folder, file) = folder();
    let uri = format!("tcp:{}?format=scpi", instrument.address);
    let mut program = Program::record(&uri, &file, &[]);
    program.until_said("measures VOLT: turn it to DC current");
    assert!(!instrument.asked().contains(&"READ?".to_owned()));
    *knob.lock().unwrap() = "\"CURR +1.0E-01\"\n";
    program.until_said("readings come from");
    program.stop();
    assert!(currents(&file).iter().all(|a| a == "0.0100"));
}

/// A Modbus meter on a pseudo-terminal: each question gets the next answer, the last for ever.
struct ShuntMeter {
    path: String,
    asked: Arc<Mutex<Vec<Vec<u8>>>>,
    _served: JoinHandle<()>,
}

impl ShuntMeter {
    fn new(answers: Vec<Vec<u8>>) -> Self {
        let (mut master, slave) = TTYPort::pair().unwrap();
        master.set_timeout(PATIENCE).unwrap();
        let path = slave.name().unwrap();
        let asked = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&asked);
        let served = std::thread::Builder::new()
            .spawn(move || {
                // Held open, or the master has nobody to speak to before the program comes.
                let _slave = slave;
                let mut answers = answers.into_iter().peekable();
                let mut question = [0; 8];
                while master.read_exact(&mut question).is_ok() {
                    kept.lock().unwrap().push(question.to_vec());
                    let answer = answers.peek().cloned().unwrap();
                    if answers.len() > 1 {
                        answers.next();
                    }
                    if master.write_all(&answer).is_err() {
                        return;
                    }
                }
            })
            .unwrap();
        Self {
            path,
            asked,
            _served: served,
        }
    }

    /// That nothing but questions for registers went out: function 3 or 4.
    fn was_only_read(&self) -> usize {
        let asked = self.asked.lock().unwrap();
        for question in asked.iter() {
            assert!(matches!(question.get(1), Some(3 | 4)), "{question:02X?}");
        }
        asked.len()
    }
}

/// The rows of `modbus.tsv`.
const EXCEPTION: [u8; 5] = [0x01, 0x84, 0x02, 0xc2, 0xc1];
const BAD_CRC: [u8; 9] = [0x01, 0x04, 0x04, 0x3c, 0x4b, 0x2d, 0xb6, 0x4a, 0xe4];
const REQUEST: [u8; 8] = [0x01, 0x04, 0x00, 0x00, 0x00, 0x02, 0x71, 0xcb];
const GOOD: [u8; 9] = [0x01, 0x04, 0x04, 0x3c, 0x4a, 0x2d, 0xb6, 0x4a, 0xe4];
const SWAPPED: [u8; 9] = [0x01, 0x04, 0x04, 0x2d, 0xb6, 0x3c, 0x4a, 0x83, 0xf9];

#[test]
fn a_shunt_meter_is_read_through_an_exception_a_wrong_checksum_and_an_echo() {
    let echoed = [REQUEST.as_slice(), &GOOD].concat();
    let meter = ShuntMeter::new(vec![EXCEPTION.to_vec(), BAD_CRC.to_vec(), echoed]);
    let (_folder, file) = folder();
    let uri = format!(
        "serial:{}?format=modbus&register=0&function=4&type=f32&order=abcd&parity=even&rate=10",
        meter.path
    );
    let mut program = Program::record(&uri, &file, &[]);
    program.until_said("refuses to read register 0 (exception 02: it has no such register)");
    program.until_said("readings come from");
    program.stop();
    let currents = currents(&file);
    assert!(
        !currents.is_empty() && currents.iter().all(|a| a == "0.01234"),
        "{currents:?}"
    );
    assert!(meter.was_only_read() >= 3);
}

#[test]
fn a_register_of_unknown_type_is_shown_in_every_way() {
    let meter = ShuntMeter::new(vec![SWAPPED.to_vec()]);
    let uri = format!("serial:{}?format=modbus&register=0&function=4", meter.path);
    let mut command = lullboard();
    command.args(["meters", "--read", &uri]);
    let mut program = Program::start(command);
    program.until_said("Which line agrees with the meter's display?");
    let line = program.until_said("type=f32&order=cdab");
    assert!(line.contains("0.01234 A"), "{line}");
    program.until_said("type=i16");
    drop(program);
    assert!(meter.was_only_read() >= 1);

    let refused = lullboard()
        .args(["record", "--meter", &uri])
        .output()
        .unwrap();
    assert_eq!(refused.status.code(), Some(1));
    let words = String::from_utf8(refused.stderr).unwrap();
    assert!(words.contains("meters --read"), "{words}");
}

/// Records what a pipe says until it ends; the file's text.
fn recorded(lines: &str, flags: &[&str]) -> String {
    let (_folder, file) = folder();
    let mut command = lullboard();
    command
        .args(["record", "--meter", "pipe:-", "--out"])
        .arg(&file);
    let mut child = command
        .args(flags)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    stdin.write_all(lines.as_bytes()).unwrap();
    drop(stdin);
    assert!(child.wait().unwrap().success());
    std::fs::read_to_string(&file).unwrap()
}

/// 25.0 mV behind 100 mV/A and five turns: 250 mA through the jaws, 50.0 mA in the cable; one
/// count of 0.1 mV is 0.2 mA, so the last place is 0.1 mA (Ohm's law and division, by hand).
#[test]
fn a_clamp_on_a_voltmeter_is_recorded_in_ampere_of_the_cable() {
    let flags = [
        "--clamp",
        "100mV/A",
        "--turns",
        "5",
        "--probe-accuracy",
        "1%",
    ];
    let text = recorded("25.0 mV\n0.1250 V\n0.010 A\nOL mV\n", &flags);
    assert!(text.contains("\"a\":0.0500}"), "{text}");
    assert!(text.contains("\"a\":0.2500}"), "{text}");
    assert!(text.contains("\"over\":true"), "{text}");
    assert_eq!(
        text.matches("\"a\":").count(),
        2,
        "amperes are not what it shows: {text}"
    );
    let header = text.lines().next().unwrap();
    for key in [
        "\"clamp_mv_per_a\":100.0",
        "\"turns\":5.0",
        "\"probe_accuracy\":1.0",
    ] {
        assert!(header.contains(key), "{header}");
    }
}

#[test]
fn volts_without_a_clamp_are_no_current() {
    let text = recorded("25.0 mV\n0.1250 V\n", &[]);
    assert!(!text.contains("\"a\":"), "{text}");
    let text = recorded("0.250 A\n", &["--turns", "5"]);
    assert!(text.contains("\"a\":0.0500}"), "{text}");
    let text = recorded("0.50 mV\n", &["--shunt", "75mV/100A"]);
    assert!(text.contains("\"a\":0.67}"), "0.5 mV / 0.75 mohm: {text}");
}

/// A log that is not in ampere of the cable must not be judged as if it were.
#[test]
fn a_log_is_not_converted_in_silence() {
    let (_folder, file) = folder();
    let log = file.with_extension("csv");
    std::fs::write(&log, "time_s,current_a\n0,0.25\n1,0.25\n").unwrap();
    let output = lullboard()
        .args(["judge", "--turns", "5"])
        .arg(&log)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let words = String::from_utf8(output.stderr).unwrap();
    assert!(words.contains("count only while recording"), "{words}");
}

/// Stream `st-zero-after`, and a current that stays negative: asked about, recorded as doubts, and
/// never left out of the record. The clock runs fast, so that seconds pass soon.
#[test]
fn a_sudden_exact_zero_and_a_negative_current_are_asked_about() {
    let mut readings = 0;
    let instrument = Instrument::new(move |_, question| match question {
        "CONF?" => Does::Says("CURR\n"),
        "READ?" => {
            readings += 1;
            match readings {
                1..=10 => Does::Says("-0.05000\n"),
                11..=20 => Does::Says("0.05000\n"),
                21..=30 => Does::Says("0.00000\n"),
                _ => Does::Says("0.05010\n"),
            }
        }
        _ => Does::Says("0,\"No error\"\n"),
    });
    let (_folder, file) = folder();
    let uri = format!("tcp:{}?format=scpi&rate=20", instrument.address);
    let mut program = Program::record(&uri, &file, &["--clock-speed", "30"]);
    program.until_said("are the leads or the clamp the wrong way round");
    program.until_said("check the meter's fuse, ohms from the V jack to the A jack");
    program.until_said("the meter reads something again");
    program.stop();
    let text = std::fs::read_to_string(&file).unwrap();
    for event in [
        r#""meter":{"doubt":"reversed","on":true}"#,
        r#""meter":{"doubt":"zero","on":true}"#,
        r#""meter":{"doubt":"zero","on":false}"#,
    ] {
        assert_eq!(text.matches(event).count(), 1, "{event}: {text}");
    }
    let currents = currents(&file);
    let zeros = currents.iter().filter(|a| *a == "0.00000").count();
    let negative = currents.iter().filter(|a| *a == "-0.05000").count();
    assert!(negative >= 5 && zeros >= 5, "{currents:?}");
}

/// The same command as a user without rights; `None` where that cannot be tried.
fn as_nobody(command: &Command) -> Option<Command> {
    let found = Command::new("setpriv")
        .args(["--reuid=65534", "--clear-groups", "true"])
        .status()
        .is_ok_and(|status| status.success());
    if !found || !rustix::process::getuid().is_root() {
        return None;
    }
    let mut nobody = Command::new("setpriv");
    nobody.args(["--reuid=65534", "--clear-groups"]);
    nobody.arg(command.get_program()).args(command.get_args());
    Some(nobody)
}

fn refusal(command: &mut Command) -> String {
    let output = command.stdin(Stdio::null()).output().unwrap();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let words = String::from_utf8(output.stderr).unwrap();
    assert_eq!(words.trim_end().lines().count(), 1, "one line: {words}");
    words
}

/// Root may open everything, so permissions and locks are tried as a user who may not.
#[test]
fn a_user_without_rights_is_told_the_mend() {
    use std::os::unix::fs::PermissionsExt as _;

    let (mut master, slave) = TTYPort::pair().unwrap();
    let path = slave.name().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let open_to_all = |path: &Path, mode| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    let record = |file: &str| {
        let mut command = lullboard();
        command.args(["record", "--meter", &format!("serial:{path}"), "--out"]);
        command.arg(folder.path().join(file));
        as_nobody(&command)
    };
    let Some(mut denied) = record("a.lull") else {
        println!("skipped: needs root and setpriv, to try it as a user without rights");
        return;
    };
    open_to_all(Path::new(&path), 0o600);
    let words = refusal(&mut denied);
    assert!(
        words.contains("no permission to open") && words.contains("usermod -aG"),
        "{words}"
    );

    open_to_all(Path::new(&path), 0o666);
    open_to_all(folder.path(), 0o755);
    let words = refusal(&mut record("a.lull").unwrap());
    assert!(
        words.contains("a.lull") && words.contains("ermission denied"),
        "{words}"
    );

    open_to_all(folder.path(), 0o777);
    let mut holder = Program::start(record("a.lull").unwrap());
    holder.until_said("looking for the meter");
    // What came before the program listened it drops, so the meter goes on until it is heard.
    #[expect(clippy::disallowed_methods, reason = "a test's own patience")]
    let began = std::time::Instant::now();
    while !holder.has_said("readings come from") {
        assert!(began.elapsed() < PATIENCE, "{:#?}", holder.said);
        // While it is not running yet, the port may be full.
        let said = master.write_all(b"\n12.34 mA\n12.35 mA\n");
        assert!(said.is_ok() || said.is_err_and(|why| why.kind() == ErrorKind::TimedOut));
    }
    let words = refusal(&mut record("b.lull").unwrap());
    assert!(
        words.contains("in use by another program ('lullboard', process"),
        "{words}"
    );
    holder.stop();
}

/// The board's banners after these facts and this state of the connection.
fn banners(facts: Vec<Fact>, link: Option<LinkState>) -> (String, Option<&'static str>) {
    let options = Options {
        live: true,
        ..Options::default()
    };
    let mut desk = Model::new(lullboard::journal::header::unknown(), options);
    let t = Elapsed::from_secs(60.0);
    // The cautions at the start are put away first.
    while !desk.notices().unread.is_empty() {
        let _ = desk.update(Message {
            t: Elapsed::ZERO,
            event: Event::Key(Key::Esc),
        });
    }
    let entries = facts.into_iter().zip(1..).map(|(fact, n)| {
        let t = Elapsed::from_secs(f64::from(n));
        Entry { t, fact }
    });
    let mut events = vec![Event::Appended(entries.collect())];
    events.extend(link.map(Event::Link));
    for event in events {
        let _ = desk.update(Message { t, event });
    }
    let lines = lullboard::screen::scene::head::banners(&desk, 200);
    let pieces = lines.iter().flat_map(|line| &line.0);
    let text = pieces.map(|piece| piece.text.as_str()).collect();
    (text, desk.notices().unread.front().map(|said| said.text))
}

fn reading(amps: &str) -> Fact {
    Fact::Reading(Measured::Amps(Amps::parse(amps).unwrap()))
}

const fn doubt(doubt: Doubt, on: bool) -> Fact {
    Fact::Meter(MeterEvent::Doubt { doubt, on })
}

#[test]
fn the_board_asks_about_the_meter_until_the_cause_is_gone() {
    let zero = vec![reading("0.00"), doubt(Doubt::Zero, true)];
    assert!(
        banners(zero.clone(), None)
            .0
            .contains("check the meter's fuse")
    );
    let mended = [zero, vec![reading("0.05")]].concat();
    assert!(
        !banners(mended, None).0.contains("fuse"),
        "a reading disproves it"
    );
    let off = vec![reading("0.05"), doubt(Doubt::Off, true)];
    assert!(banners(off.clone(), None).0.contains("SWITCHED ITSELF OFF"));
    let on = [off, vec![doubt(Doubt::Off, false)]].concat();
    assert!(!banners(on, None).0.contains("SWITCHED"));
    // A record that stopped on hold and goes on with a live meter.
    let held = vec![Fact::Meter(MeterEvent::Held(true)), reading("0.05")];
    assert!(!banners(held, None).0.contains("HOLD"));
    for asked in [Doubt::Frozen, Doubt::Reversed, Doubt::Unit] {
        let (text, caution) = banners(vec![doubt(asked, true)], None);
        assert_eq!(caution, Some(asked.question()), "put away with Esc");
        assert!(!text.contains(asked.question()), "{text}");
    }
    let waiting = LinkState::Waiting("turn it to DC current".into());
    let (text, _) = banners(Vec::new(), Some(waiting));
    assert!(
        text.contains("GIVES NO CURRENT") && text.contains("turn it to DC"),
        "{text}"
    );
}

/// A counter and no pop-up: the head of the board says it, as short as the screen is narrow.
#[test]
fn the_board_counts_what_was_not_understood() {
    let options = Options {
        live: true,
        ..Options::default()
    };
    let mut desk = Model::new(lullboard::journal::header::unknown(), options);
    let mut head = |event, columns| {
        let t = Elapsed::from_secs(1.0);
        let effects = desk.update(Message { t, event });
        assert!(
            !effects
                .iter()
                .any(|effect| matches!(effect, Effect::Bell(_)))
        );
        let rows = lullboard::screen::scene::head::rows(&desk, columns);
        let (_, right) = rows.first().unwrap();
        right
            .0
            .iter()
            .map(|piece| piece.text.as_str())
            .collect::<String>()
    };
    let quiet = head(
        Event::Link(LinkState::Receiving("/dev/ttyUSB0".into())),
        120,
    );
    assert!(
        quiet.starts_with("receiving from /dev/ttyUSB0   "),
        "{quiet}"
    );
    let one = head(Event::NotUnderstood(1), 120);
    let words = "receiving from /dev/ttyUSB0, 1 message not understood   ";
    assert!(one.starts_with(words), "{one}");
    let three = head(Event::NotUnderstood(3), 80);
    assert!(
        three.starts_with("receiving, 3 messages not understood   "),
        "{three}"
    );
    let narrow = head(Event::NotUnderstood(3), 50);
    assert!(
        narrow.starts_with("receiving, 3 not understood   "),
        "{narrow}"
    );
}

proptest::proptest! {
    /// Whatever comes, at whatever times: no panic, never more readings than bytes, and nothing
    /// goes out but questions.
    #[test]
    fn no_bytes_make_a_talker_panic_or_write(
        chunks in proptest::collection::vec((proptest::collection::vec(0u8.., 0..40), 0i64..4000), 0..20),
        scpi: bool,
    ) {
        let uri: MeterUri = if scpi {
            "tcp:h:1?format=scpi"
        } else {
            "serial:x?format=modbus&register=0&type=i16"
        }
        .parse()
        .unwrap();
        let mut talker = uri.wire().unwrap().talker(Expects::Amperes).unwrap();
        let mut heard = Vec::new();
        let mut ms = 0;
        let mut bytes = 0;
        for (chunk, wait_ms) in chunks {
            ms += wait_ms;
            bytes += chunk.len();
            let now = Elapsed::from_ms(ms);
            talker.feed(now, &chunk, &mut heard);
            while let Turn::Send(sent) = talker.turn(now, &mut heard) {
                let allowed = if scpi {
                    QUESTIONS.iter().any(|question| sent == format!("{question}\n").as_bytes())
                } else {
                    matches!(sent.get(1), Some(3 | 4)) && sent.len() == 8
                };
                assert!(allowed, "{sent:02X?}");
            }
        }
        let readings = heard.iter().filter(|h| matches!(h, Heard::Value(_))).count();
        assert!(readings <= bytes);
    }
}
