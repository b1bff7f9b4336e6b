//! The battery's voltage as a second channel, through the binary: recorded, exported, judged; and the
//! table arithmetic against its published source.

#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use lullboard::battery::fall::{RestEnd, Rested, VoltsFall};
use lullboard::session::card::BatteryKind;
use serde_json::Value;

fn lullboard(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lullboard"))
        .args(args)
        .current_dir(folder)
        .output()
        .unwrap()
}

const CARD: [&str; 7] = [
    "--battery",
    "flooded,70Ah",
    "--rest",
    "12.65V,24h",
    "--accuracy",
    "1.0%+3",
    "--asleep-at-start",
];

fn judged(folder: &Path, file: &str) -> Value {
    let output = lullboard(folder, &[&["judge", "--json", file][..], &CARD].concat());
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Two hours asleep at 50 mA, and a battery that falls from 12.650 V to 12.240 V meanwhile.
fn logs(folder: &Path) {
    let mut amps = "time_s,current_a\n".to_owned();
    let mut volts = "time_s,voltage_v\n".to_owned();
    for t in 0..7200 {
        let a = 0.050 + f64::from(t % 2) / 1e3;
        writeln!(amps, "{t}.0,{a:.3}").unwrap();
        let v = 12.650 - 0.410 * f64::from(t) / 7200.0;
        writeln!(volts, "{t}.5,{v:.3}").unwrap();
    }
    fs::write(folder.join("amps.csv"), amps).unwrap();
    fs::write(folder.join("volts.csv"), volts).unwrap();
}

#[test]
fn two_replays_make_one_session_and_its_export_is_judged_alike() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    logs(folder);
    let args = [
        "record",
        "--meter",
        "replay:amps.csv?speed=5000",
        "--volts",
        "replay:volts.csv",
        "--out",
        "a.lull",
    ];
    let output = lullboard(folder, &[&args[..], &CARD].concat());
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}");
    assert!(
        said.contains("volts meter: readings come from volts.csv"),
        "{said}"
    );

    let text = fs::read_to_string(folder.join("a.lull")).unwrap();
    assert!(text.contains("\n{\"t\":0.500,\"v\":12.650}\n"));
    assert!(
        text.lines()
            .next()
            .unwrap()
            .contains("\"volts\":\"replay:volts.csv")
    );
    let check = lullboard(folder, &["check", "a.lull"]);
    assert!(check.status.success(), "{check:?}");

    let session = judged(folder, "a.lull");
    assert_eq!(session["volts"]["first"], 12.65);
    assert!(
        session["volts"]["samples"].as_u64().unwrap() >= 7190,
        "{session}"
    );
    assert_eq!(
        session["volts"]["explained"]["code"], "faster",
        "{}",
        session["volts"]
    );
    assert_eq!(session["contradiction_reasons"][0]["code"], "falls-faster");
    // 50.5 mA between the ends of two hours, and half of 70 Ah by the BCI table (read).
    let lost = &session["volts"]["lost"];
    let by_current = lost["by_current_ah"]["best"].as_f64().unwrap();
    assert!((by_current - 0.101).abs() < 0.002, "{lost}");
    let by_volts = lost["by_volts_ah"]["best"].as_f64().unwrap();
    assert!((by_volts - 35.0).abs() < 1.0, "{lost}");

    let output = lullboard(folder, &["export", "a.lull", "--to", "a.csv"]);
    assert!(output.status.success(), "{output:?}");
    let csv = fs::read_to_string(folder.join("a.csv")).unwrap();
    assert!(csv.starts_with("time_s,current_a,mark,phase,local_time,voltage_v\r\n"));
    let again = judged(folder, "a.csv");
    // A replay so fast journals the meters seconds apart, and rows cannot go backwards: currents keep
    // their time, volts may lose seconds.
    for key in ["samples", "first", "last", "min", "explained"] {
        assert_eq!(again["volts"][key], session["volts"][key], "{key}");
    }
    assert_eq!(again["charge_ah"], session["charge_ah"]);
    assert_eq!(again["settled"], session["settled"]);

    for (kind, holds) in [
        ("html", "class=\"volts\""),
        ("svg", "class=\"volts\""),
        ("md", "## The battery's voltage"),
    ] {
        let to = format!("a.{kind}");
        let args = [&["export", "a.lull", "--to", &to][..], &CARD].concat();
        let output = lullboard(folder, &args);
        assert!(output.status.success(), "{output:?}");
        let report = fs::read_to_string(folder.join(&to)).unwrap();
        assert!(report.contains(holds), "{kind}");
        assert!(report.contains("falls faster") || kind == "svg", "{kind}");
    }
}

#[test]
fn without_volts_nothing_is_said_of_them() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    logs(folder);
    assert_eq!(judged(folder, "amps.csv")["volts"], Value::Null);
    let output = lullboard(folder, &["export", "amps.csv", "--to", "b.csv"]);
    assert!(output.status.success(), "{output:?}");
    let csv = fs::read_to_string(folder.join("b.csv")).unwrap();
    assert!(csv.starts_with("time_s,current_a,mark,phase,local_time\r\n"));
    let output = lullboard(folder, &["judge", "amps.csv"]);
    assert!(
        !String::from_utf8(output.stdout)
            .unwrap()
            .contains("voltage")
    );
    // Volts without a current are read, and say nothing of a draw.
    let alone = judged(folder, "volts.csv");
    assert_eq!(alone["verdict"], "not settled");
    assert_eq!(alone["volts"]["samples"], 7200);
}

#[test]
fn a_second_meter_that_cannot_be_is_refused_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    logs(folder);
    for (volts, word) in [
        ("replay:amps.csv", "holds no volts"),
        ("replay:volts.csv?speed=7", "one clock"),
        ("manual:", "12.41V"),
        ("serial:/dev/none-such", "/dev/none-such"),
    ] {
        let args = ["record", "--meter", "replay:amps.csv?speed=5000"];
        let output = lullboard(folder, &[&args[..], &["--volts", volts]].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{volts}: {said}");
        assert!(said.contains(word), "{volts}: {said}");
        let left = fs::read_dir(folder).unwrap().count();
        assert_eq!(left, 2, "{volts}: no session file is left behind");
    }
}

/// BCI state-of-charge table (read in two reprints): 12.65, 12.45, 12.24, 12.06 and 11.89 V are full,
/// 75, 50, 25 and 0 %. AGM recommendations (read): 12.80, 12.60, 12.30 and 12.00 V are full, 75, 50
/// and 25 %. The fall from any one to any lower one is the difference of the two.
#[test]
fn a_fall_is_the_difference_of_the_published_charges() {
    let bci = [
        (12.65, 1.0),
        (12.45, 0.75),
        (12.24, 0.5),
        (12.06, 0.25),
        (11.89, 0.0),
    ];
    let agm = [(12.80, 1.0), (12.60, 0.75), (12.30, 0.5), (12.00, 0.25)];
    let end = |volts| RestEnd {
        volts,
        rested: Rested::For(24.0 * 3600.0),
    };
    for (kind, size, table) in [
        (BatteryKind::Flooded, "flooded,80Ah", &bci[..]),
        (BatteryKind::Agm, "agm,80Ah", &agm[..]),
    ] {
        for (at, (before, full)) in table.iter().enumerate() {
            for (after, left) in table.iter().skip(at) {
                let fall = VoltsFall {
                    before: end(*before),
                    after: end(*after),
                    temperature_c: None,
                };
                let share = fall.lost_share(kind);
                assert!(
                    (share.best - (full - left)).abs() < 1e-9,
                    "{kind:?} {before} {after}"
                );
                let ah = fall.lost_ah(&size.parse().unwrap()).unwrap();
                assert!((ah.best - 80.0 * (full - left)).abs() < 1e-6, "{ah:?}");
                assert!(ah.low < ah.best && ah.best < ah.high, "{ah:?}");
            }
        }
    }
}
