//! A whole working day at one invented car in the real binary, once with a cable and once by eye: it is
//! opened and locked several times, marks come early, late and not at all, and it is opened again
//! before the program is quit. What is handed over is read.

use std::fs;
use std::path::Path;

use libtest_mimic::Trial;
use serde_json::Value;

use crate::meter::Meter;
use crate::tty::Tty;
use crate::{EVERY, SPEED, check, quit};

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![
        a_day_with_a_cable_ends_in_the_report,
        a_day_by_eye_ends_in_the_same_report,
    ]
}

const MAP: &str = "box,position,rating_a,style,feeds\nD,1,10,mini,amplifier; map light\n\
    D,4,15,mini,washer pump\nD,7,5,mini,blower\n";

/// Most of a day by eye is waiting for the next reading.
const BY_EYE_SPEED: &str = "120";

/// What the car draws open, asleep as it came, and asleep as it should.
const OPEN_A: f64 = 4.9;
const FAULTY_A: f64 = 0.103;
const SOUND_A: f64 = 0.019;

fn board(meter: &str, speed: &str, folder: &Path) -> Tty {
    fs::write(folder.join("map.csv"), MAP).unwrap();
    let mut args = vec!["live", "--meter", meter, "--clock-speed", speed];
    args.extend(["--limit", "50mA", "--sleep-timeout", "150s"]);
    args.extend(["--accuracy", "1.0%+3", "--fuses", "map.csv"]);
    args.extend(["--car", "job 31", "--workshop", "The Corner Workshop"]);
    args.extend(["--battery", "agm,70Ah", "--flat-after", "14d"]);
    args.extend(["--standing", "21d", "--out", "hunt.lull"]);
    Tty::lullboard(&args, &[], folder)
}

/// The report and the judgement that are handed over.
fn handed_over(folder: &Path) -> (String, Value) {
    for name in ["day.md", "day.json"] {
        let mut export = Tty::lullboard(&["export", "hunt.lull", "--to", name], &[], folder);
        assert_eq!(export.wait_end(), 0, "{}", export.screen());
    }
    let [report, json] = ["day.md", "day.json"].map(|name| fs::read_to_string(folder.join(name)));
    (
        report.unwrap(),
        serde_json::from_str(&json.unwrap()).unwrap(),
    )
}

/// What both days have to tell the customer and the next technician.
fn expect_told(folder: &Path) {
    check(folder);
    let (report, judged) = handed_over(folder);
    let pages: Vec<&str> = report.split("\n# ").collect();
    let [customer, technician, _] = pages.as_slice() else {
        panic!("three readers, three parts: {report}");
    };
    assert!(customer.contains("amplifier"), "{customer}");
    assert!(customer.contains("below the limit of 50 mA"), "{customer}");
    assert!(!customer.contains("still out"), "{customer}");
    assert!(technician.contains("amplifier"), "{technician}");
    let at = |place: &str| judged.pointer(place).unwrap_or(&Value::Null);
    assert_eq!(at("/verdict"), "below");
    assert!(at("/finished_s").is_number(), "{judged}");
    let found = |deed: &str| {
        let trials = at("/trials").as_array().unwrap();
        let told = |trial: &Value, place: &str| -> String {
            let text = trial.pointer(place).and_then(Value::as_str);
            text.unwrap_or_default().to_owned()
        };
        let named =
            |trial: &&Value| deed == format!("{} {}", told(trial, "/did"), told(trial, "/what/0"));
        let trial = trials
            .iter()
            .find(named)
            .unwrap_or_else(|| panic!("{deed}: {judged}"));
        told(trial, "/finding")
    };
    for (deed, finding) in [
        ("pull D4", "no change"),
        ("pull D1", "clears"),
        ("refit D1", "raises"),
        ("unplug amplifier", "clears"),
        ("swap amplifier", "clears"),
    ] {
        assert_eq!(found(deed), finding, "{deed}: {judged}");
    }
}

/// Opens the car, does this to it, locks it and lets it fall asleep.
fn at_the_open_car(board: &mut Tty, meter: &Meter, keys: &str, open_a: [f64; 2]) {
    board.press("o");
    meter.show(open_a[0]);
    board.wait_for(&shown(open_a[0]));
    board.press(keys);
    meter.show(open_a[1]);
    board.wait_for(&shown(open_a[1]));
    board.press("l");
    for stage_a in [2.1, 0.8, SOUND_A] {
        meter.show(stage_a);
        board.wait_for(&shown(stage_a));
    }
    board.wait_for("SETTLED");
}

/// The large digits' text beside them.
fn shown(a: f64) -> String {
    if a < 1.0 {
        format!("{:.0}", a * 1e3)
    } else {
        format!("{a:.2}")
    }
}

fn a_day_with_a_cable_ends_in_the_report() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, OPEN_A);
    let mut board = board(&meter.uri(), SPEED, folder.path());
    board.wait_for("4.90");
    board.press("l");
    for stage_a in [2.1, 0.8, FAULTY_A] {
        meter.show(stage_a);
        board.wait_for(&shown(stage_a));
    }
    board.wait_for("SETTLED");
    board.wait_for("ABOVE");

    // Marked before the hand is at the fuse, which makes no step.
    board.press("pD4\r");
    board.wait_for_row(&["pull D4", "no change"]);
    board.press("rD4\r");
    board.wait_for_row(&["refit D4"]);
    board.wait_for("SETTLED");
    // Marked long after the fuse was out, and moved to its fall.
    meter.show(SOUND_A);
    board.wait_for("PLATEAU");
    board.press("pD1\r");
    board.wait_for("out: D1");
    board.press("km");
    board.wait_for("MOVE 'pull D1'");
    board.press("\r");
    board.wait_gone("MOVE 'pull D1'");
    board.press("k");
    board.wait_for_row(&["pull D1", "clears"]);
    // Put back and not marked at all.
    meter.show(FAULTY_A);
    board.wait_for("103");
    board.press("w");
    board.wait_for("a rise of");
    board.press("\r");
    board.wait_for("WHAT WAS IT");
    board.press("\x15refit D1\r");
    board.press("w");
    board.wait_for_row(&["refit D1", "raises"]);

    let without_a = OPEN_A - (FAULTY_A - SOUND_A);
    at_the_open_car(&mut board, &meter, "uamplifier\r", [OPEN_A, without_a]);
    board.wait_for_row(&["unplug amplifier", "clears"]);
    at_the_open_car(&mut board, &meter, "samplifier\r", [without_a, OPEN_A]);
    board.wait_for_row(&["swap amplifier", "clears"]);
    board.wait_for("BELOW");
    board.press("F\r");
    board.wait_for("when it was finished");
    // The doors, and the meter taken off.
    meter.show(OPEN_A);
    let file = folder.path().join("hunt.lull");
    board.wait_until("a reading after the finish", |_| {
        let text = fs::read_to_string(&file).unwrap();
        text.split_once("\"finish\"")
            .is_some_and(|(_, later)| later.contains("\"a\":4.9"))
    });
    meter.show(0.0);
    quit(&mut board);
    expect_told(folder.path());
}

/// Types what the meter shows each time it is asked for, until a row tells all of these.
fn typed_until(board: &mut Tty, value: &str, parts: &[&str]) {
    for _ in 0..60 {
        typed(board, &[value]);
        let told = |row: &str| parts.iter().all(|part| row.contains(part));
        if board.screen().lines().any(told) {
            return;
        }
    }
    panic!(
        "sixty readings of {value} never told {parts:?}: {}",
        board.screen()
    );
}

/// Types these, each when it is asked for.
fn typed(board: &mut Tty, values: &[&str]) {
    for value in values {
        board.wait_for("NEXT READING DUE");
        board.read_off(value);
    }
    board.wait_for("NEXT READING DUE");
}

fn a_day_by_eye_ends_in_the_same_report() {
    let folder = tempfile::tempdir().unwrap();
    let mut board = board("manual:", BY_EYE_SPEED, folder.path());
    board.wait_for("type what the meter shows, then Enter");
    board.press_kept("4.9A\r");
    board.press_kept("l");
    typed(&mut board, &["2.1A", "800m"]);
    typed_until(&mut board, "103m", &["ABOVE"]);
    typed_until(&mut board, "103m", &["SETTLED"]);
    board.press_kept("pD4\r");
    typed_until(&mut board, "103m", &["pull D4", "no change"]);
    board.press_kept("rD4\r");
    typed_until(&mut board, "103m", &["SETTLED"]);
    board.press_kept("pD1\r");
    typed(&mut board, &["19m", "19m"]);
    // A slip of the finger is taken back.
    board.press_kept("1.9A\r");
    board.press("\x7f");
    board.wait_for("STRIKE the reading 1.90 A");
    board.press("y");
    typed_until(&mut board, "19m", &["pull D1", "clears"]);
    board.press_kept("rD1\r");
    typed_until(&mut board, "103m", &["refit D1", "raises"]);
    for keys in ["uamplifier\r", "samplifier\r"] {
        board.press_kept("o");
        typed(&mut board, &["4.9A"]);
        board.press_kept(keys);
        board.press_kept("l");
        typed(&mut board, &["2.1A", "800m"]);
        typed_until(&mut board, "19m", &["SETTLED"]);
    }
    typed_until(&mut board, "19m", &["swap amplifier", "clears"]);
    board.press("F\r");
    board.wait_for("when it was finished");
    board.press("4.9A\r");
    quit(&mut board);
    expect_told(folder.path());
}
