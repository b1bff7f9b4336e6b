//! A second meter on the battery's posts, a pseudo-terminal of its own beside the first.

use std::fs;
use std::path::Path;

use libtest_mimic::Trial;
use serde_json::Value;

use crate::meter::Meter;
use crate::tty::Tty;
use crate::{EVERY, SPEED, check, live, quit};

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![
        a_second_meter_reads_the_volts_and_its_loss_never_stops_the_first,
        volts_are_typed_at_a_key_beside_a_meter,
        one_that_shows_no_volts_is_named_as_the_second,
    ]
}

fn with_volts(meter: &Meter, second: &Meter, folder: &Path) -> Tty {
    let (uri, volts) = (meter.uri(), second.uri());
    let mut args = vec!["live", "--meter", &uri, "--volts", &volts];
    args.extend(["--clock-speed", SPEED, "--limit", "50mA"]);
    args.extend(["--accuracy", "1.0%+3", "--battery", "flooded,70Ah"]);
    args.extend(["--out", "hunt.lull"]);
    Tty::lullboard(&args, &[], folder)
}

/// What `judge --json` says of the battery's voltage in the session.
fn judged(folder: &Path) -> Value {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_lullboard"));
    command.args(["judge", "--json", "hunt.lull"]);
    let output = command.current_dir(folder).output().unwrap();
    let whole: Value = serde_json::from_slice(&output.stdout).unwrap();
    whole.pointer("/volts").unwrap().clone()
}

fn figure(told: &Value, key: &str) -> f64 {
    told.pointer(key).unwrap().as_f64().unwrap()
}

/// The lines of the session file that hold this key.
fn lines(folder: &Path, key: &str) -> Vec<String> {
    let text = fs::read_to_string(folder.join("hunt.lull")).unwrap();
    let lines = text.lines().skip(1).filter(|line| line.contains(key));
    lines.map(str::to_owned).collect()
}

fn a_second_meter_reads_the_volts_and_its_loss_never_stops_the_first() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 2.7);
    let second = Meter::on_battery(folder.path(), EVERY, 12.63);
    let mut board = with_volts(&meter, &second, folder.path());
    board.wait_for("receiving from");
    board.wait_for("battery 12.63");
    board.wait_for("12.6 V");

    second.unplug();
    board.wait_for("VOLTS METER LOST");
    board.wait_for("battery --- V");
    meter.show(1.3);
    let screen = board.wait_for("1.30");
    assert!(!screen.contains("Nothing is measured"), "{screen}");
    second.plug_in();
    board.wait_gone("VOLTS METER LOST");
    // The first may go too, and the second reads on.
    meter.unplug();
    board.wait_for("METER LOST since");
    second.show(12.44);
    board.wait_for("battery 12.44");
    meter.plug_in();
    board.wait_gone("METER LOST since");

    second.show(13.91);
    board.wait_for("1 contradiction");
    quit(&mut board);
    check(folder.path());
    let told = judged(folder.path());
    for (key, shown) in [
        ("/first", 12.63),
        ("/min", 12.44),
        ("/last", 13.91),
        ("/charging/0/peak_v", 13.91),
    ] {
        let found = figure(&told, key);
        assert!((found - shown).abs() < 0.0021, "{key} of {told}");
    }
    // One line for each of its readings, three places as it sent them, and no ampere beside them.
    let read = lines(folder.path(), "\"v\":");
    assert_eq!(
        Some(read.len()),
        told.pointer("/samples")
            .unwrap()
            .as_u64()
            .map(|n| n.try_into().unwrap())
    );
    assert!(read.iter().all(|line| !line.contains("\"a\":")));
    assert!(read.iter().all(|line| {
        line.rsplit('.')
            .next()
            .is_some_and(|places| places.len() == 4)
    }));
    let events = lines(folder.path(), "\"volts_meter\":").concat();
    assert_eq!(events.matches("\"lost\"").count(), 1, "{events}");
    assert_eq!(events.matches("\"back\"").count(), 1, "{events}");
    let header = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    let header = header.lines().next().unwrap();
    assert!(
        header.contains(&format!("\"volts\":\"{}\"", second.uri())),
        "{header}"
    );
}

fn volts_are_typed_at_a_key_beside_a_meter() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.169);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("V");
    board.wait_for("VOLTS: what stands on the battery");
    board.press("1V");
    board.wait_for("no 12 V battery");
    board.press("\x7f\x7f12.41V");
    board.wait_for("Enter records: 12.41 V");
    board.press("\r");
    board.wait_for("battery 12.41 V");
    quit(&mut board);
    assert!((figure(&judged(folder.path()), "/last") - 12.41).abs() < 1e-9);
    let written = lines(folder.path(), "\"v\":").concat();
    assert!(written.ends_with("\"v\":12.41}"), "{written}");
}

fn one_that_shows_no_volts_is_named_as_the_second() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 2.7);
    // It stands on amperes: nothing of it may come near the current.
    let second = Meter::on_battery(folder.path(), EVERY, 12.63);
    let mut board = with_volts(&second, &meter, folder.path());
    board.wait_for("VOLTS METER: it shows no DC volts");
    quit(&mut board);
    assert!(judged(folder.path()).is_null());
}
