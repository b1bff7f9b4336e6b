//! Battery, fuse, limit and meter arithmetic, most of it through the built program, held to the
//! trade's vectors. Each names its source and its mark: read at the source, from memory, computed,
//! common practice.

#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use lullboard::journal::header;
use lullboard::judge::uncertainty::{self, Estimate};
use lullboard::reading::{Amps, Elapsed, Measured, Reading};
use lullboard::session::Session;
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact};
use serde_json::Value;

fn lullboard(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lullboard"))
        .args(args)
        .output()
        .unwrap()
}

fn answer(args: &str) -> Value {
    let args: Vec<&str> = args.split(' ').chain(["--json"]).collect();
    let output = lullboard(&args);
    assert_eq!(output.status.code(), Some(0), "{args:?}: {output:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn lines(args: &str) -> String {
    let args: Vec<&str> = args.split(' ').collect();
    let output = lullboard(&args);
    assert_eq!(output.status.code(), Some(0), "{args:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn refused(args: &str, code: i32) -> String {
    let args: Vec<&str> = args.split(' ').collect();
    let output = lullboard(&args);
    assert_eq!(output.status.code(), Some(code), "{args:?}: {output:?}");
    String::from_utf8(output.stderr).unwrap()
}

fn near(found: &Value, expected: f64, within: f64) {
    let found = found.as_f64().unwrap();
    assert!((found - expected).abs() <= within, "{found} for {expected}");
}

/// The rule of a vehicle maker's bulletin (read), its days computed.
#[test]
fn standing_by_the_bulletins_rule() {
    for (rc, draw, days) in [
        (90, "30mA", 30.0),
        (90, "50mA", 18.0),
        (90, "100mA", 9.0),
        (90, "500mA", 1.8),
        (120, "30mA", 40.0),
        (120, "500mA", 2.4),
    ] {
        let answer = answer(&format!(
            "standing --battery flooded,rc:{rc} --charge 100% --draw {draw}"
        ));
        let found = &answer["standing_days"];
        near(&found["best"], days, 0.001);
        let [low, best, high] = ["low", "best", "high"].map(|end| found[end].as_f64().unwrap());
        assert!(low < best && best < high, "{found}");
        assert_eq!(answer["rule"], "bulletin");
    }
}

/// Vector (computed; EN 50342-1's constants from memory, the voltage table read).
#[test]
fn standing_from_a_rest_voltage_with_self_discharge() {
    let answer = answer(
        "standing --battery flooded,rc:100 --volts 12.53 --no-start 60% --draw 50mA \
         --self-discharge 5%/month --temperature 25C",
    );
    near(&answer["charge"]["best"], 0.85, 1e-4);
    near(&answer["capacity_ah"]["best"], 61.0, 0.05);
    near(&answer["usable_ah"]["best"], 15.25, 0.005);
    near(&answer["standing_days"]["best"], 11.7, 0.05);
}

/// Computed: 18 mA, and 1.2 A for 120 s every 6 h.
#[test]
fn standing_with_a_regular_wake() {
    let answer = answer("standing --battery agm,70Ah --draw 18mA --wake 1.2A,120s,6h");
    near(&answer["draw_a"], 0.024_57, 5e-6);
}

#[test]
fn standing_in_words() {
    let said = lines("standing --battery agm,70Ah --draw 180mA --flat-after 12h --standing 21d");
    for words in [
        "at 180 mA it stands 6.",
        "to stand 21 d it bears",
        "too little for it",
    ] {
        assert!(said.contains(words), "'{words}' is not in: {said}");
    }
    let said = refused("standing --battery agm,760A-EN --draw 30mA", 1);
    assert!(
        said.contains("rc:120") && said.lines().count() == 1,
        "{said}"
    );
    for (battery, word) in [
        ("agm,7000Ah", "4 to 400 Ah, not 7000"),
        ("flooded,rc:9000", "5 to 1000 min, not 9000"),
        ("gel,70Ah,rc:10", "2.44"),
    ] {
        let said = refused(&format!("standing --battery {battery} --draw 30mA"), 1);
        assert!(
            said.contains(word) && said.contains("--battery") && said.lines().count() == 1,
            "{said}"
        );
    }
    let low = lines("standing --battery agm,70Ah --volts 11.9 --rested 24h --draw 30mA");
    assert!(low.contains("already below no-start"), "{low}");
    refused("standing --battery agm,70Ah", 2);
    for draw in ["30", "=-5mA", "much"] {
        let draw = format!("--draw {draw}").replace(" =", "=");
        let said = refused(&format!("standing --battery agm,70Ah {draw}"), 2);
        assert!(said.contains("mA"), "{said}");
    }
    let said = refused("standing --battery agm,70Ah --draw 30mA --charge 0.85", 2);
    assert!(said.contains("85%"), "{said}");
}

/// Computed from data sheet resistances, from memory.
#[test]
fn millivolts_across_a_fuse() {
    for (args, a) in [
        ("drop --style blade --rating 10 --mv 1.0", 0.1299),
        ("drop --style blade --rating 20 --mv 0.3", 0.0888),
        ("drop --style mini --rating 10 --mv 2.3", 0.3100),
    ] {
        near(&answer(args)["a"], a, 5e-5);
    }
    let coarse =
        answer("drop --style blade --rating 10 --mv 0.40 --mv-accuracy 0.5%+2 --mv-step 0.1");
    near(&coarse["a"], 0.0519, 5e-5);
    near(&coarse["u_a"], 0.0304, 5e-5);
    let fine = answer("drop --style blade --rating 10 --mv 0.40 --mv-accuracy 0.5%+2 --ohms 7.7m");
    near(&fine["u_a"], 0.004_46, 5e-6);
    assert_eq!(fine["questions"], serde_json::json!([]));
}

/// Computed: never "0 mA".
#[test]
fn millivolts_that_the_meter_does_not_show() {
    let unseen = answer("drop --style blade --rating 30 --mv 0.0");
    assert_eq!(unseen["a"], Value::Null);
    near(&unseen["below_a"], 0.025, 0.0005);
    near(&unseen["at_most_a"], 0.150, 0.003);
    let said = lines("drop --style blade --rating 30 --mv 0.0");
    assert!(said.starts_with("below 25 mA"), "{said}");
    let said = lines("drop --style maxi --rating 40 --mv 1.0");
    assert!(said.contains("cold, an orange 40 A maxi"), "{said}");
    assert!(!said.contains(" 0 mA"), "{said}");
}

/// A printed slip (read): 6 mV equated with 60 mA, which needs 100 mOhm.
#[test]
fn odd_millivolts_are_questioned_or_refused() {
    let slip = answer("drop --style blade --rating 10 --mv 6 --ohms 100m");
    assert!(slip["questions"][0].as_str().unwrap().contains("not 100.0"));
    near(
        &answer("drop --style blade --rating 10 --mv 6")["a"],
        0.779,
        0.0005,
    );
    let back = answer("drop --style blade --rating 10 --mv -0.40");
    assert_eq!(back["reversed"], true);
    let said = refused("drop --style micro2 --rating 10 --mv 0.4", 1);
    assert!(
        said.contains("--ohms 7.7m") && said.lines().count() == 1,
        "{said}"
    );
    let said = refused("drop --style blade --rating 10 --mv 12400", 1);
    assert!(said.contains("blown"), "{said}");
    let said = refused("drop --style glass --rating 10 --mv 0.4", 2);
    assert!(said.contains("low-mini"), "{said}");
}

/// A log of a level current with a moving last place, one reading a second.
fn level_log(folder: &Path, milliampere: u32) -> String {
    let rows = (0..900).map(|t| {
        let a = f64::from(milliampere + t % 2) / 1e3;
        format!("{t}.0,{a:.3}\n")
    });
    let text: String = std::iter::once("time_s,current_a\n".to_owned())
        .chain(rows)
        .collect();
    let file = folder.join("log.csv");
    fs::write(&file, text).unwrap();
    file.to_str().unwrap().to_owned()
}

fn judged(args: &str) -> Value {
    let args: Vec<&str> = args.split(' ').chain(["--json"]).collect();
    serde_json::from_slice(&lullboard(&args).stdout).unwrap()
}

#[test]
fn judge_names_the_limits_origin_and_the_standing_time() {
    let folder = tempfile::tempdir().unwrap();
    let file = level_log(folder.path(), 200);
    let judge = format!("judge {file} --asleep-at-start");
    let bare = judged(&judge);
    assert_eq!(bare["limit"]["from"], "usual figure");
    assert_eq!(bare["limit"]["others"], serde_json::json!([]));
    assert_eq!(bare["standing_days"], Value::Null);

    let card = "--battery flooded,rc:120 --standing 21d --flat-after 12h";
    let told = judged(&format!("{judge} {card}"));
    // RC/4 (maker training texts, from memory): 30 mA.
    near(&told["limit"]["a"], 0.030, 1e-9);
    assert_eq!(told["limit"]["from"], "reserve capacity");
    let others = told["limit"]["others"].as_array().unwrap();
    let from: Vec<&Value> = others.iter().map(|other| &other["from"]).collect();
    assert_eq!(from, ["standing time", "usual figure"]);
    // The bulletin's rule (read): 0.4 x 72 Ah at 200.5 mA.
    near(&told["standing_days"]["best"], 28.8 / (0.2005 * 24.0), 0.01);
    let implied = told["implied"].as_str().unwrap();
    assert!(implied.contains("too little"), "{implied}");

    let makers = judged(&format!("{judge} {card} --limit 80mA"));
    assert_eq!(makers["limit"]["from"], "card");
    let args = format!("{judge} {card}");
    let output = lullboard(&args.split(' ').collect::<Vec<_>>());
    let said = String::from_utf8(output.stdout).unwrap();
    for words in [
        "limit 30 mA (reserve capacity); by other rules 57.1 mA (standing time)",
        "the car stands 6.0 days",
    ] {
        assert!(said.contains(words), "'{words}' is not in: {said}");
    }
}

#[test]
fn a_card_file_with_the_whole_job_is_taken() {
    let folder = tempfile::tempdir().unwrap();
    let file = level_log(folder.path(), 20);
    let card = folder.path().join("card.toml");
    fs::write(
        &card,
        "complaint = \"flat on Monday\"\nflat_after = \"60h\"\nstanding = \"21d\"\n\
         battery = \"agm,70Ah,760A-EN\"\nrest = \"12.6V,6h,18C\"\nmeter = \"clamp 2\"\n\
         key_count = 2\nnotes = \"tow bar\"\n",
    )
    .unwrap();
    let judge = format!("judge {file} --asleep-at-start --card {}", card.display());
    let told = judged(&judge);
    assert_eq!(told["limit"]["from"], "standing time");
    assert!(told["standing_days"]["low"].as_f64().unwrap() > 1.0);
    fs::write(&card, "rest = \"12.6V,warm\"\n").unwrap();
    let said = refused(&judge, 1);
    assert!(
        said.contains("card.toml") && said.contains("12.4V,4h,10C"),
        "{said}"
    );
}

/// A session with a fuse map and a sweep; computed: 1.0 mV on a 10 A blade is 129.9 mA.
#[test]
fn a_sweep_in_a_session_is_judged_and_played_again() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a.lull");
    let header = r#"{"lullboard":1,"started":"2026-11-25T08:00:00.000+00:00","card":{"asleep_at_start":true},"meter":{"uri":"pipe:-"},"fuses":[{"label":"D7","rating_a":10,"style":"blade"},{"label":"L16","rating_a":30,"style":"blade"}]}"#;
    let readings = (0..900).map(|t| {
        format!(
            "{{\"t\":{t}.000,\"a\":{}}}",
            0.14 + 0.001 * f64::from(t % 2)
        )
    });
    let drops = [
        r#"{"t":899.100,"drop":{"what":"L16","mv":0.0,"step_mv":0.01}}"#,
        r#"{"t":899.200,"drop":{"what":"D7","mv":1.0,"step_mv":0.01}}"#,
        r#"{"t":899.300,"drop":{"what":"E5","mv":6.0,"ohms":0.1,"style":"blade","rating_a":10}}"#,
    ];
    let all: Vec<String> = std::iter::once(header.to_owned())
        .chain(readings)
        .chain(drops.map(str::to_owned))
        .collect();
    fs::write(&file, all.join("\n") + "\n").unwrap();
    let judge = format!("judge {}", file.display());
    let sweep = &judged(&judge)["sweep"];
    let what: Vec<&Value> = sweep["fuses"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| &row["what"])
        .collect();
    assert_eq!(what, ["D7", "E5", "L16"]);
    near(&sweep["fuses"][0]["a"], 0.1299, 5e-5);
    assert!(
        sweep["fuses"][1]["questions"][0]
            .as_str()
            .unwrap()
            .contains("not 100.0")
    );
    assert_eq!(sweep["fuses"][2]["a"], Value::Null);
    // 140.5 mA at the battery, 129.9 mA and the slip's 60 mA through fuses.
    near(&sweep["left_a"], 0.1405 - 0.1899, 5e-4);
    let output = lullboard(&judge.split(' ').collect::<Vec<_>>());
    let said = String::from_utf8(output.stdout).unwrap();
    let words = "D7 carries 130 mA \u{b1} 8 mA";
    assert!(said.contains(words), "'{words}' is not in: {said}");
}

/// What is known of a steady reading, written like this, on a meter of this accuracy.
fn steady(amps: &str, card: Card) -> Estimate {
    let mut session = Session::new(header::unknown());
    let value = Measured::Amps(Amps::parse(amps).unwrap());
    let fact = Fact::Set(Box::new(card));
    session.apply(&Entry {
        t: Elapsed::ZERO,
        fact,
    });
    for s in 0..3600 {
        let t = Elapsed::from_ms(s * 1000);
        session.apply(&Entry::reading(Reading { t, value }));
    }
    let [from, to] = [1500.0, 2100.0].map(Elapsed::from_secs);
    uncertainty::estimate(&session, from, to, &[]).unwrap()
}

/// Meter vectors: accuracy arithmetic of three meter makers' pages (read; in volts there, here in
/// ampere), and three typical ranges (computed). One of the pages prints 99.8 for the lower end of
/// 100.0 ± (1 % + 2), where its own figures give 98.8: kept so that nobody bends the formula.
#[test]
fn a_meters_limit_of_error_is_percent_and_counts() {
    for (shown, accuracy, limit) in [
        ("120.0", "1%+3", 1.5),
        ("2.000", "0.08%+2", 0.0036),
        ("100.0", "1%+2", 1.2),
        ("0.042", "1%+3", 0.003_42),
        ("0.04", "1.5%+3", 0.0306),
        ("0.0423", "0.8%+2", 0.000_538),
    ] {
        let estimate = steady(
            shown,
            Card {
                accuracy: accuracy.parse().ok(),
                ..Card::default()
            },
        );
        // Half widths again: each part is a rectangle.
        let found = 3f64.sqrt() * (estimate.gain_u * estimate.a + estimate.zero_u_a);
        assert!(
            (found - limit).abs() < limit * 0.003,
            "{shown}: {found} for {limit}"
        );
        if shown == "100.0" {
            assert!(
                (estimate.a - found - 98.8).abs() < 0.01 && (estimate.a - found - 99.8).abs() > 0.9
            );
        }
    }
}

/// Pull vector (computed): 142.0 - 38.0 mA on one range of ± (1 % + 3 counts of 1 mA). The gain is
/// shared and the offset cancels: u 0.73 mA; two independent readings would give 3.21 mA.
#[test]
fn a_pull_shares_the_meters_gain() {
    let card = Card {
        accuracy: "1%+3".parse().ok(),
        ..Card::default()
    };
    let level = |a: f64| Estimate {
        a,
        noise_u_a: 0.0,
        dof: f64::INFINITY,
        rounding_u_a: 0.001 / 12f64.sqrt(),
        gain_u: uncertainty::gain_u(&card),
        zero_u_a: 0.003 / 3f64.sqrt(),
        spread_a: 0.0,
        t: Elapsed::ZERO,
    };
    let change = uncertainty::change(&level(0.142), &level(0.038), 0.0);
    assert!((change.a + 0.104).abs() < 1e-12);
    assert!((change.u_a / 2.0 - 0.000_73).abs() < 5e-6, "{change:?}");
}

/// Clamp vector (computed): a zero that wanders from 3 to 9 mA in an hour; half way the zero's part
/// of u is 1.73 mA. (The correction of 51 to 45.0 mA takes the second zero, which comes later.)
#[test]
fn a_clamps_zero_wanders_with_time() {
    let card = Card {
        // The vector is of the drift alone: no counts of the meter beside it.
        accuracy: "0.1%+0".parse().ok(),
        drift_a_per_h: Some(0.006),
        ..Card::default()
    };
    let estimate = steady("0.051", card);
    assert!((estimate.zero_u_a - 0.001_73).abs() < 5e-6, "{estimate:?}");
}
