//! The built program on a pseudo-terminal that speaks as a meter: every stream of the vectors is
//! recorded, and what stands in the session file is compared.

use std::fs;
use std::io::{self, Read as _, Write as _};
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use lullboard::meter::detect::{Detection, plan};
use lullboard::meter::format::Format;
use lullboard::meter::handheld::Handheld;
use lullboard::reading::Elapsed;
use lullboard::shell::clock::Clock;
use lullboard::shell::ports::listen::{PortHeard, listen};
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use rustix::process::{Pid, Signal, kill_process};
use serialport::{SerialPort, TTYPort};
use tempfile::TempDir;

use super::{Step, bytes, good, streams};

/// Long enough for the busiest machine; nothing here waits for it to pass.
const PATIENCE: Duration = Duration::from_secs(30);

/// Waits until `done` gives something.
fn until<T>(what: &str, mut done: impl FnMut() -> Option<T>) -> T {
    #[expect(clippy::disallowed_methods, reason = "a test's own patience")]
    let began = Instant::now();
    loop {
        if let Some(found) = done() {
            return found;
        }
        assert!(began.elapsed() < PATIENCE, "in vain: {what}");
        thread::sleep(Duration::from_millis(5));
    }
}

/// A pseudo-terminal; both ends held, or what is written before the program opens it is lost.
struct Meter {
    near: TTYPort,
    far: TTYPort,
}

impl Meter {
    fn new() -> Self {
        let (near, far) = TTYPort::pair().unwrap();
        Self { near, far }
    }

    fn path(&self) -> PathBuf {
        self.far.name().unwrap().into()
    }

    fn say(&mut self, bytes: &[u8]) {
        self.near.write_all(bytes).unwrap();
    }
}

/// `lullboard record` on a meter behind a link, as udev gives it.
struct Recording {
    folder: TempDir,
    program: Box<dyn Child + Send + Sync>,
    _terminal: Box<dyn MasterPty + Send>,
}

impl Recording {
    fn start(meter: &Meter, options: &str) -> Self {
        Self::with(meter, options, &[])
    }

    fn with(meter: &Meter, options: &str, flags: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let link = folder.path().join("meter");
        symlink(meter.path(), &link).unwrap();
        // Started in a terminal of its own, because that closes every other handle: a child that
        // inherits the meter's near end would keep it from ever hanging up.
        let pair = native_pty_system().openpty(PtySize::default()).unwrap();
        let mut command = CommandBuilder::new("sh");
        command.args(["-c", "exec \"$0\" \"$@\" >told 2>&1"]);
        command.args([env!("CARGO_BIN_EXE_lullboard"), "record", "--meter"]);
        command.arg(format!("serial:{}{options}", link.display()));
        // Silence is told after three of the session's seconds.
        command.args(["--clock-speed", "10", "--out", "session.lull"]);
        command.args(flags);
        command.cwd(folder.path());
        let program = pair.slave.spawn_command(command).unwrap();
        let recording = Self {
            folder,
            program,
            _terminal: pair.master,
        };
        // The first is told before the port is open; from the second on what the meter sends has
        // its time.
        recording.told("looking for the meter", 2);
        recording
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.folder.path().join(name)).unwrap_or_default()
    }

    /// Waits until these words were told so often.
    fn told(&self, words: &str, times: usize) {
        until(words, || {
            (self.read("told").matches(words).count() >= times).then_some(())
        });
    }

    /// What stands in the session file besides times, the header, what was judged at the end and
    /// what is asked about the meter: that depends on how much time passed between two messages.
    fn entries(&self) -> Vec<String> {
        let session = self.read("session.lull");
        let whole = session.rsplit_once('\n').map_or("", |(whole, _)| whole);
        whole
            .lines()
            .skip(1)
            .filter(|line| !line.contains(r#""doubt""#) && !line.contains(r#""judged""#))
            .map(|line| {
                let (_, what) = line.split_once(',').unwrap();
                // The system's own words differ.
                let what = what.split(" (").next().unwrap_or_default();
                what.trim_end_matches(['}', '"']).to_owned()
            })
            .collect()
    }

    fn until_entries(&self, expected: &[String]) {
        until(&format!("{expected:?}"), || {
            (self.entries().len() >= expected.len()).then_some(())
        });
        assert_eq!(self.entries(), expected);
    }

    fn pid(&self) -> Pid {
        Pid::from_raw(i32::try_from(self.program.process_id().unwrap()).unwrap()).unwrap()
    }

    /// Ends it; what was recorded.
    fn ended(&mut self) -> Vec<String> {
        kill_process(self.pid(), Signal::TERM).unwrap();
        assert!(self.program.wait().unwrap().success());
        let mut entries = self.entries();
        let seal = entries.pop().unwrap_or_default();
        assert!(seal.starts_with(r#""seal""#), "{seal}");
        entries
    }

    /// Ends it, and compares all that was recorded.
    fn end(mut self, expected: &[String]) {
        assert_eq!(self.ended(), expected);
    }

    fn plug_out(&self) {
        fs::remove_file(self.folder.path().join("meter")).unwrap();
    }

    fn plug_in(&self, meter: &Meter) {
        symlink(meter.path(), self.folder.path().join("meter")).unwrap();
    }
}

impl Drop for Recording {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// The entries that the row's events make, the port's name left out.
fn entries(id: &str, expected: &[&str], place: &Path) -> Vec<String> {
    let mut entries = Vec::new();
    let mut hidden: Option<&str> = None;
    for &word in expected {
        match word {
            // Dropped bytes and silence are told, and leave nothing in the file.
            "reject" | "gap" => {}
            "held" | "wrong-mode" => {
                let key = if word == "held" { "held" } else { "ac" };
                if hidden.replace(key) != Some(key) {
                    entries.push(format!(r#""meter":{{"{key}":true"#));
                }
            }
            "overload" => entries.push(r#""over":true"#.into()),
            "unit-change" => entries.push(r#""meter":{"range":"A"#.into()),
            "lost" => entries.push(r#""meter":{"lost":"cable or adapter unplugged"#.into()),
            "reopened" => {
                entries.push(format!(r#""meter":{{"back":"{}"#, place.display()));
            }
            amps => {
                if let Some(key) = hidden.take() {
                    entries.push(format!(r#""meter":{{"{key}":false"#));
                }
                entries.push(format!(r#""a":{amps}"#));
            }
        }
    }
    if id == "st-double" {
        // Of two equal messages one is the other's twin.
        entries.dedup();
    }
    entries
}

fn play(id: &str, kind: &str, steps: &[Step], expected: &[&str]) {
    let mut meter = Meter::new();
    let recording = Recording::start(&meter, &format!("?format={kind}"));
    let place = recording.folder.path().join("meter");
    let expected = entries(id, expected, &place);
    let before = |mark: &str| {
        let at = expected.iter().position(|entry| entry.contains(mark));
        expected.get(..=at.unwrap()).unwrap()
    };
    for step in steps {
        match step {
            Step::Bytes(bytes) => meter.say(bytes),
            // Shorter pauses are no silence: how long it took to be read changes nothing.
            Step::Wait(ms) if *ms >= 3000 && kind != "scpi" && id == "st-stall" => {
                recording.told("the meter is silent", 1);
            }
            Step::Wait(_) => {}
            Step::HangUp => {
                // What was sent is read first; a real cable would lose it.
                let lost = before("lost");
                recording.until_entries(lost.get(..lost.len() - 1).unwrap());
                recording.plug_out();
                meter = Meter::new();
                recording.until_entries(lost);
            }
            Step::Replug => {
                recording.plug_in(&meter);
                recording.until_entries(before("back"));
            }
        }
    }
    if id == "st-wrong-baud" {
        recording.told("the meter is silent", 1);
    }
    recording.until_entries(&expected);
    recording.end(&expected);
}

#[test]
fn every_stream_is_recorded_as_its_row_says() {
    let mut played = 0;
    for (id, kind, steps, expected) in streams() {
        play(id, kind, &steps, &expected);
        played += 1;
    }
    assert_eq!(played, 19, "every stream that needs no question");
}

#[test]
fn auto_power_off_is_recorded_and_what_is_unsure_is_refused_with_its_bytes() {
    let mut meter = Meter::new();
    let recording = Recording::start(&meter, "?format=es11");
    // 12.34 mA with the auto power off armed, from the vectors.
    meter.say(b"01234900;\r\n");
    let expected = [r#""meter":{"auto_off":true"#, r#""a":0.01234"#].map(str::to_owned);
    recording.until_entries(&expected);
    // 5.21 A in a range whose point no source places.
    meter.say(&b"00521?00:\r\n".repeat(14));
    recording.told("30 30 35 32 31 3F 30 30 3A 0D 0A is refused", 1);
    recording.end(&expected);
}

#[test]
fn a_meter_nobody_named_is_recognised_while_it_is_recorded() {
    let mut meter = Meter::new();
    let recording = Recording::start(&meter, "");
    let mut stream = bytes("97 A0 B8 C0 D8 E0");
    stream.extend(good(Handheld::Lcd14).repeat(4));
    meter.say(&stream);
    // Three to know it by, and the fourth is read.
    let expected = [r#""a":0.01235"#.to_owned()];
    recording.until_entries(&expected);
    recording.end(&expected);
}

/// Behind 100 mV for each ampere -12.34 mV are -123.4 mA (Ohm's law, by hand). Vectors
/// `lcd-mV-neg` and, spoilt in one place, `lcd-bad-glyph`.
#[test]
fn a_clamp_on_a_handheld_is_recorded_in_ampere_and_what_was_spoilt_is_counted() {
    let mut meter = Meter::new();
    let volts = bytes("17 28 35 45 5B 69 7F 82 97 A0 B8 C0 D4 E0");
    let spoilt = bytes("17 20 32 45 5B 69 7F 82 97 A0 B8 C0 D8 E0");
    let flags = ["--clamp", "100mV/A"];
    let mut recording = Recording::with(&meter, "?format=lcd14", &flags);
    for message in [&volts, &spoilt, &volts, &spoilt, &volts] {
        meter.say(message);
    }
    let expected = vec![r#""a":-0.1234"#.to_owned(); 3];
    recording.until_entries(&expected);
    assert_eq!(recording.ended(), expected);
    // Told only once the program has ended.
    recording.told("not understood, and left out: 2", 1);
}

/// Answers every question with `answer` until `hear` has what it waits for. Asserts that the
/// meter is asked with `question` and nothing else; how often it was.
fn answering(meter: &mut Meter, question: u8, answer: &[u8], hear: impl FnOnce()) -> usize {
    let off = AtomicBool::new(false);
    thread::scope(|scope| {
        let near = &mut meter.near;
        let off = &off;
        let asked = scope.spawn(move || {
            let mut asked = 0;
            let mut byte = [0];
            while !off.load(Ordering::SeqCst) {
                // The read gives up after a moment, to see whether all is over.
                if near.read(&mut byte).is_ok_and(|count| count == 1) {
                    assert_eq!(byte, [question]);
                    near.write_all(answer).unwrap();
                    asked += 1;
                }
            }
            asked
        });
        hear();
        off.store(true, Ordering::SeqCst);
        asked.join().unwrap()
    })
}

/// Row `m14-mA-neg`; `C4` is `D` with its stop bit, the only byte that this format may send.
#[test]
fn a_meter_that_must_be_asked_is_asked_and_recorded() {
    let mut meter = Meter::new();
    let mut recording = Recording::start(&meter, "?format=ascii14");
    let asked = answering(&mut meter, 0xc4, b"DC -12.34  mA\r", || {
        let three = || (recording.entries().len() >= 3).then_some(());
        until("three answers", three);
    });
    let entries = recording.ended();
    for entry in &entries {
        assert_eq!(entry, r#""a":-0.01234"#);
    }
    assert!(asked >= entries.len(), "{asked} asked for {entries:?}");
}

/// One byte goes out on the user's word, and the answer is shown with the URI that reads it.
#[test]
fn a_query_is_sent_once_and_its_answer_is_shown() {
    let mut meter = Meter::new();
    let path = meter.path();
    let mut output = None;
    let asked = answering(&mut meter, 0xc4, b"DC -12.34  mA\r", || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lullboard"));
        output = Some(
            command
                .args(["meters", "--ask", "D"])
                .arg(&path)
                .output()
                .unwrap(),
        );
    });
    assert_eq!(asked, 1);
    let output = output.unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}");
    let (caution, answer) = said
        .split_once("Sending the letter D once (byte C4) to serial:")
        .unwrap();
    assert!(
        caution.contains("power off"),
        "told before it is sent: {said}"
    );
    for words in [
        "44 43 20 2D 31 32 2E 33 34 20 20 6D 41 0D",
        "as text: 'DC -12.34  mA'",
        "-0.01234 A. Does its display show the same?",
        &format!(
            "--meter \"serial:{}?baud=1200&format=ascii14\"",
            path.display()
        ),
    ] {
        assert!(answer.contains(words), "{words}: {said}");
    }
}

#[test]
fn a_query_goes_to_one_port_only() {
    for ports in [&["a", "b"][..], &[]] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lullboard"));
        let output = command
            .args(["meters", "--ask", "D"])
            .args(ports)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{ports:?}");
    }
}

/// The program is stopped as by Ctrl-Z; what the meter sends meanwhile waits in the port.
#[test]
fn what_came_while_the_program_was_stopped_is_not_recorded_as_fresh() {
    let mut meter = Meter::new();
    let mut recording = Recording::start(&meter, "?format=lcd14");
    let fresh = good(Handheld::Lcd14);
    // 12.34 mA, where the fresh ones show 12.35.
    let stale = bytes("17 20 35 45 5B 69 7F 82 97 A0 B8 C0 D8 E0");
    meter.say(&fresh);
    recording.until_entries(&[r#""a":0.01235"#.to_owned()]);
    let stat = format!("/proc/{}/stat", recording.pid().as_raw_nonzero());
    kill_process(recording.pid(), Signal::STOP).unwrap();
    until("the program is stopped", || {
        let stat = fs::read_to_string(&stat).ok()?;
        let (_, letter) = stat.rsplit_once(") ")?;
        letter.starts_with('T').then_some(())
    });
    meter.say(&stale.repeat(3));
    // Longer than any read takes; how much longer does not matter.
    thread::sleep(Duration::from_millis(2500));
    kill_process(recording.pid(), Signal::CONT).unwrap();
    until("a fresh one after it", || {
        meter.say(&fresh);
        (recording.entries().len() >= 3).then_some(())
    });
    let entries = recording.ended();
    let readings: Vec<&String> = entries.iter().filter(|e| e.starts_with(r#""a""#)).collect();
    assert!(readings.len() >= 2, "{entries:?}");
    assert!(
        readings.iter().all(|a| *a == r#""a":0.01235"#),
        "{entries:?}"
    );
}

/// Sends again and again what `what` makes of the far end, until it is told to stop.
fn speaking<T>(
    meter: &mut Meter,
    mut what: impl FnMut(&TTYPort) -> Vec<u8> + Send,
    hear: impl FnOnce() -> T,
) -> T {
    let off = AtomicBool::new(false);
    thread::scope(|scope| {
        scope.spawn(|| {
            while !off.load(Ordering::SeqCst) {
                let bytes = what(&meter.far);
                // Nobody may be reading just now.
                let sent = meter.near.write_all(&bytes);
                assert!(sent.is_ok() || sent.is_err_and(|e| e.kind() == io::ErrorKind::TimedOut));
                thread::sleep(Duration::from_millis(20));
            }
        });
        let heard = hear();
        off.store(true, Ordering::SeqCst);
        heard
    })
}

#[test]
fn the_meters_command_says_what_it_heard_and_sends_nothing() {
    let mut meter = Meter::new();
    let path = meter.path();
    let frame = good(Handheld::Stx16);
    let output = speaking(
        &mut meter,
        |_| frame.clone(),
        || {
            Command::new(env!("CARGO_BIN_EXE_lullboard"))
                .arg("meters")
                .arg(&path)
                .output()
                .unwrap()
        },
    );
    assert!(output.status.success());
    let said = String::from_utf8(output.stdout).unwrap();
    let uri = format!("--meter \"serial:{}?format=stx16\"", path.display());
    assert!(
        said.contains("3 messages in a row, the last 12.35 mA"),
        "{said}"
    );
    assert!(said.contains(&uri), "{said}");
    assert_eq!(meter.near.bytes_to_read().unwrap(), 0, "nothing was sent");
}

/// A pseudo-terminal carries any speed, but it remembers which one was set.
#[test]
fn the_plan_goes_on_until_the_speed_is_right() {
    let mut meter = Meter::new();
    let path = meter.path();
    let odd = |byte: u8| {
        if byte.count_ones().is_multiple_of(2) {
            byte | 0x80
        } else {
            byte
        }
    };
    let frame: Vec<u8> = good(Handheld::Es51922).into_iter().map(odd).collect();
    let verdict = speaking(
        &mut meter,
        |far| match far.baud_rate() {
            Ok(19_200) => frame.clone(),
            _ => vec![0xf8, 0x80, 0x00, 0xe0, 0xfe],
        },
        || {
            let clock = Clock::start(Elapsed::ZERO, 1.0);
            listen(&path, &plan(None), 0.5, &clock, || true)
        },
    );
    let PortHeard::Heard(Detection::Recognised(found)) = verdict else {
        panic!("{verdict:?}");
    };
    assert_eq!(found.format, Format::Handheld(Handheld::Es51922));
    assert_eq!(found.setting.baud, Some(19_200));
    assert_eq!(meter.near.bytes_to_read().unwrap(), 0, "nothing was sent");
}
