//! The real binary in a pseudo-terminal, with another pseudo-terminal as the meter's serial line.
//!
//! The session's clock runs faster than life (`--clock-speed`), because the judge rightly waits
//! minutes; every wait here is for something on the screen, never for a time.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]
#![expect(
    clippy::disallowed_methods,
    reason = "tests own their threads and deadlines"
)]

/// The named functions as tests.
macro_rules! trials {
    ($($name:ident),+ $(,)?) => {
        vec![$(libtest_mimic::Trial::test(stringify!($name), || {
            $name();
            Ok(())
        })),+]
    };
}

#[path = "terminal/astray.rs"]
mod astray;
#[path = "terminal/board.rs"]
mod board;
#[path = "terminal/by_eye.rs"]
mod by_eye;
#[path = "terminal/day.rs"]
mod day;
#[path = "terminal/ground.rs"]
mod ground;
#[path = "terminal/hints.rs"]
mod hints;
#[path = "terminal/meter.rs"]
mod meter;
#[path = "terminal/panels.rs"]
mod panels;
#[path = "terminal/stops.rs"]
mod stops;
#[path = "terminal/tty.rs"]
mod tty;
#[path = "terminal/volts.rs"]
mod volts;

use std::fs;
use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;

use libtest_mimic::Arguments;
use lullboard::screen::Theme;
use lullboard::shell::faces::terminal::Board;
use meter::Meter;
use rustix::process::Signal;
use tty::Tty;

/// Four readings a second of a session that runs thirty times as fast as life.
const SPEED: &str = "30";
const EVERY: Duration = Duration::from_micros(8_300);

/// Each test mostly waits for its program, so far more of them run side by side than there are
/// cores.
const SIDE_BY_SIDE: usize = 12;

fn main() -> ExitCode {
    let mut arguments = Arguments::from_args();
    arguments.test_threads = arguments.test_threads.or(Some(SIDE_BY_SIDE));
    let own = trials![
        a_hunt_from_lock_to_evidence,
        an_unplugged_meter_is_told_found_again_and_the_session_goes_on_later,
        a_signal_to_end_seals_the_session_and_hands_the_terminal_back,
        control_z_hands_the_terminal_over_and_takes_it_back,
        a_panic_on_the_board_hands_the_terminal_back_before_it_speaks,
        a_closed_terminal_seals_the_session_and_ends_the_program,
        another_size_is_drawn_anew,
        no_color_means_no_colour_and_a_plain_locale_no_drawing_characters,
        keys_come_from_the_terminal_when_the_meter_is_piped_in,
        meters_names_the_uri_of_a_port_that_speaks_and_of_one_that_is_taken,
    ];
    let rooms = [
        astray::all(),
        board::all(),
        by_eye::all(),
        day::all(),
        ground::all(),
        hints::all(),
        panels::all(),
        stops::all(),
        volts::all(),
    ];
    let all = own.into_iter().chain(rooms.into_iter().flatten());
    libtest_mimic::run(&arguments, all.collect()).exit_code()
}

fn live(meter: &Meter, folder: &Path) -> Tty {
    let uri = meter.uri();
    let mut args = vec!["live", "--meter", &uri, "--clock-speed", SPEED];
    args.extend(["--limit", "50mA", "--sleep-timeout", "150s"]);
    args.extend(["--accuracy", "1.0%+3", "--out", "hunt.lull"]);
    Tty::lullboard(&args, &[], folder)
}

/// Quits, and says yes to ending the recording.
fn quit(board: &mut Tty) {
    board.press("q");
    board.wait_for("QUIT?");
    board.press("y");
    assert_eq!(board.wait_end(), 0);
}

fn check(folder: &Path) {
    let mut check = Tty::lullboard(&["check", "hunt.lull"], &[], folder);
    assert_eq!(check.wait_end(), 0, "{}", check.screen());
}

/// The rows of the list of trials, newest state, without what moves.
fn trials(screen: &str) -> Vec<String> {
    screen
        .lines()
        .filter(|row| row.contains("pull D5") || row.contains("refit D5"))
        // U and what stands behind it go on with every reading.
        .filter_map(|row| row.split_once('\u{b1}'))
        .map(|(row, rest)| {
            let finding = rest.split("mA").nth(1).unwrap_or_default();
            format!("{} {}", row.trim(), finding.trim())
        })
        .collect()
}

fn a_hunt_from_lock_to_evidence() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 2.7);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    board.wait_for("AWAKE");

    board.press("l");
    board.wait_for("sleep time-out runs in");
    meter.show(1.3);
    board.wait_for("1.30");
    meter.show(0.167);
    board.wait_for("PLATEAU");
    board.wait_for("SETTLED");
    board.wait_for("ABOVE");

    board.press("p");
    board.press("D5\r");
    board.wait_for_row(&["pull D5", "not yet"]);
    meter.show(0.027);
    board.wait_for_row(&["pull D5", "clears", "\u{b1}", "at once"]);
    board.wait_for("BELOW");

    board.press("r");
    board.press("D5\r");
    board.wait_for_row(&["refit D5", "not yet"]);
    meter.show(0.167);
    let found = board.wait_for_row(&["refit D5", "raises", "\u{b1}"]);
    let found = trials(&found);
    assert_eq!(found.len(), 2, "{found:?}");

    board.press("e");
    // The report is what is handed over; another ending is typed.
    board.wait_for("hunt.html");
    board.press("hunt.csv\r");
    board.wait_for("Exported to hunt.csv");
    let csv = fs::read_to_string(folder.path().join("hunt.csv")).unwrap();
    assert!(csv.starts_with("time_s,current_a,mark,"), "{csv}");
    assert!(csv.contains(",,pull D5,") && csv.contains(",,refit D5,"));

    quit(&mut board);
    board.expect_handed_back();
    board.wait_for("lullboard open hunt.lull");

    let mut again = Tty::lullboard(&["open", "hunt.lull"], &[], folder.path());
    again.wait_for("recorded session");
    let shown = again.wait_for_row(&["refit D5", "raises"]);
    assert_eq!(trials(&shown), found);
    again.press("q");
    assert_eq!(again.wait_end(), 0);
}

fn an_unplugged_meter_is_told_found_again_and_the_session_goes_on_later() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.174);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    board.wait_for("174");

    meter.unplug();
    board.wait_for("METER LOST");
    meter.plug_in();
    board.wait_for("receiving from");
    board.wait_gone("METER LOST");
    quit(&mut board);

    let uri = meter.uri();
    let mut again = Tty::lullboard(&["open", "hunt.lull", "--meter", &uri], &[], folder.path());
    again.wait_for("receiving from");
    again.wait_for("174");
    quit(&mut again);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    for fact in ["{\"lost\":", "{\"back\":", "\"resumed\":"] {
        assert_eq!(file.matches(fact).count(), 1, "{fact}");
    }
    assert_eq!(file.matches("\"seal\":").count(), 2);
    check(folder.path());
}

fn a_signal_to_end_seals_the_session_and_hands_the_terminal_back() {
    for signal in [Signal::TERM, Signal::HUP] {
        let folder = tempfile::tempdir().unwrap();
        let meter = Meter::at(folder.path(), EVERY, 0.158);
        let mut board = live(&meter, folder.path());
        board.wait_for("receiving from");
        assert!(board.is_on_board());
        board.signal(signal);
        assert_eq!(board.wait_end(), 0);
        board.expect_handed_back();
        check(folder.path());
    }
}

fn control_z_hands_the_terminal_over_and_takes_it_back() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.191);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("\x1a");
    board.expect_handed_back();
    board.go_on();
    board.wait_for("receiving from");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert!(file.contains("the program was stopped"), "{file}");
}

fn a_panic_on_the_board_hands_the_terminal_back_before_it_speaks() {
    const ROLE: &str = "LULLBOARD_TEST_PANICS";
    if std::env::var_os(ROLE).is_some() {
        let _board = Board::enter(Theme::dark(true)).unwrap();
        panic!("the board fell over");
    }
    let folder = tempfile::tempdir().unwrap();
    let own = std::env::current_exe().unwrap();
    let args = [
        "a_panic_on_the_board_hands_the_terminal_back_before_it_speaks",
        "--exact",
        "--nocapture",
    ];
    let mut fallen = Tty::start(own.to_str().unwrap(), &args, &[(ROLE, "1")], folder.path());
    assert_ne!(fallen.wait_end(), 0);
    fallen.wait_for("the board fell over");
    fallen.expect_handed_back();
    let bytes = String::from_utf8_lossy(&fallen.bytes()).into_owned();
    let left = bytes.find("\x1b[?1049l").unwrap();
    assert!(bytes.find("\x1b[?1049h").unwrap() < left);
    assert!(left < bytes.find("the board fell over").unwrap());
}

/// The window of the terminal is closed: a program of our own holds it, and goes away.
fn a_closed_terminal_seals_the_session_and_ends_the_program() {
    const ROLE: &str = "LULLBOARD_TEST_CLOSES";
    if let Some(folder) = std::env::var_os(ROLE) {
        let folder = Path::new(&folder);
        let board = Tty::lullboard(&["rehearse", "--out", "hunt.lull"], &[], folder);
        board.wait_for("receiving from");
        let card = Tty::lullboard(&[], &[], folder);
        card.wait_for("rehearsal: a simulated car");
        fs::write(folder.join("pids"), format!("{} {}", board.id(), card.id())).unwrap();
        // Both terminals close with their holder.
        std::process::exit(0);
    }
    let folder = tempfile::tempdir().unwrap();
    let own = std::env::current_exe().unwrap();
    let mut holder = std::process::Command::new(own);
    holder.args([
        "a_closed_terminal_seals_the_session_and_ends_the_program",
        "--exact",
    ]);
    holder.env(ROLE, folder.path());
    assert!(holder.output().unwrap().status.success());
    let pids = fs::read_to_string(folder.path().join("pids")).unwrap();
    let deadline = std::time::Instant::now() + tty::PATIENCE;
    for pid in pids.split(' ') {
        let pid = rustix::process::Pid::from_raw(pid.parse().unwrap()).unwrap();
        while rustix::process::test_kill_process(pid).is_ok() {
            assert!(std::time::Instant::now() < deadline, "{pid:?} goes on");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    let last = file.lines().next_back().unwrap();
    assert!(last.contains("\"seal\":"), "{last}");
    check(folder.path());
}

fn another_size_is_drawn_anew() {
    let folder = tempfile::tempdir().unwrap();
    let mut board = rehearse(folder.path(), &[]);
    board.wait_for("receiving from");
    board.resize(50, 20);
    board.wait_gone("receiving from");
    board.wait_for("AWAKE");
    // More cells than fit into any memory.
    board.claim_size(u16::MAX, u16::MAX);
    // What is drawn there lies over itself in a terminal of fifty columns; where it is put tells.
    let is_drawn = (0..6000).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        is_drawn_beyond(&board.bytes(), 500)
    });
    assert!(is_drawn, "nothing is drawn on so wide a screen");
    board.resize(120, 40);
    board.wait_for("receiving from");
    quit(&mut board);
}

/// Whether anything was put beyond this column.
fn is_drawn_beyond(bytes: &[u8], column: u32) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let places = text.split("\x1b[").filter_map(|said| said.split_once('H'));
    let columns = places.filter_map(|(place, _)| place.split_once(';')?.1.parse::<u32>().ok());
    columns.max().is_some_and(|most| most > column)
}

fn rehearse(folder: &Path, variables: &[(&str, &str)]) -> Tty {
    Tty::lullboard(&["rehearse", "--out", "hunt.lull"], variables, folder)
}

/// Whether any escape sequence sets a colour.
fn has_colour(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    text.split("\x1b[")
        .skip(1)
        .filter_map(|sequence| sequence.split_once('m'))
        .filter(|(numbers, _)| numbers.chars().all(|c| c.is_ascii_digit() || c == ';'))
        .flat_map(|(numbers, _)| numbers.split(';'))
        .filter_map(|number| number.parse().ok())
        .any(|number: u32| matches!(number, 30..=38 | 40..=48 | 90..=97 | 100..=107))
}

fn no_color_means_no_colour_and_a_plain_locale_no_drawing_characters() {
    let folder = tempfile::tempdir().unwrap();
    let mut coloured = rehearse(folder.path(), &[("COLORFGBG", "15;0")]);
    coloured.wait_for("AWAKE");
    coloured.press("l");
    coloured.wait_for("sleep time-out runs in");
    quit(&mut coloured);
    assert!(has_colour(&coloured.bytes()));
    // A terminal with sixteen colours knows no palette of 256.
    assert!(!String::from_utf8_lossy(&coloured.bytes()).contains("38;5;"));

    let folder = tempfile::tempdir().unwrap();
    let mut plain = rehearse(folder.path(), &[("NO_COLOR", "1"), ("LC_ALL", "C")]);
    plain.wait_for("AWAKE");
    plain.press("l");
    plain.wait_for("sleep time-out runs in");
    quit(&mut plain);
    assert!(!has_colour(&plain.bytes()));
    assert_eq!(
        String::from_utf8(plain.bytes())
            .unwrap()
            .find(|c: char| !c.is_ascii()),
        None
    );
}

fn keys_come_from_the_terminal_when_the_meter_is_piped_in() {
    let folder = tempfile::tempdir().unwrap();
    let line = format!(
        "yes '0.052 A' | {} live --meter pipe:- --out hunt.lull",
        env!("CARGO_BIN_EXE_lullboard")
    );
    let path = [("PATH", "/usr/bin:/bin")];
    let mut board = Tty::start("/bin/sh", &["-c", &line], &path, folder.path());
    board.wait_for("receiving from");
    board.press("l");
    board.wait_for("sleep time-out runs in");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert!(file.contains("\"did\":\"lock\""));
}

fn meters_names_the_uri_of_a_port_that_speaks_and_of_one_that_is_taken() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.203);
    let path = folder.path().join("meter");
    let mut meters = Tty::lullboard(&["meters", path.to_str().unwrap()], &[], folder.path());
    meters.wait_until("the URI", |screen| {
        let said = screen.contents().replace('\n', "");
        said.contains("messages in a row") && said.contains("?format=text\"")
    });
    assert_eq!(meters.wait_end(), 0);

    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    let uri = meter.uri();
    let mut second = Tty::lullboard(&["record", "--meter", &uri], &[], folder.path());
    second.wait_for("is in use by another program");
    assert_eq!(second.wait_end(), 1);
    quit(&mut board);
}
