//! What the judge says beyond numbers, through the built binary: why a phase is what it is, what
//! would settle a doubt, what nobody marked, what does not fit together.
//!
//! The records are made here: two readings a second at given levels, with noise from a fixed
//! sequence. Staged falls and their levels are common practice, no source.

#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use std::fmt::Write as _;
use std::fs;
use std::process::Command;

use serde_json::Value;

/// A record: levels in ampere, each from its second on, and no readings where one is no number;
/// marks at their seconds.
struct Record<'a> {
    levels: &'a [(u32, f64)],
    end_s: u32,
    marks: &'a [(u32, &'a str)],
    noise_a: f64,
    /// How much of the noise one reading keeps of the last: 0 for white noise.
    memory: f64,
    decimals: usize,
}

/// With a milliampere of white noise, as a quiet car has.
fn record<'a>(levels: &'a [(u32, f64)], end_s: u32, marks: &'a [(u32, &'a str)]) -> Record<'a> {
    Record {
        levels,
        end_s,
        marks,
        noise_a: 0.001,
        memory: 0.0,
        decimals: 3,
    }
}

/// What the program says of a record.
struct Said {
    json: Value,
    text: String,
}

impl Record<'_> {
    fn csv(&self) -> String {
        let mut csv = "time_s,current_a,mark\n".to_owned();
        let (mut state, mut wander_a, places) = (1u32, 0.0, self.decimals);
        for half in 0..2 * self.end_s {
            let level_a = self
                .levels
                .iter()
                .rev()
                .find(|(from_s, _)| from_s * 2 <= half);
            // Twelve evenly spread numbers make a normal one of deviation 1.
            let normal: f64 = (0..12)
                .map(|_| {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    f64::from(state >> 8) / f64::from(1 << 24) - 0.5
                })
                .sum();
            let fresh = (1.0 - self.memory * self.memory).sqrt();
            wander_a = self.memory * wander_a + fresh * self.noise_a * normal;
            let (t_s, a) = (f64::from(half) / 2.0, level_a.unwrap().1 + wander_a);
            if !a.is_nan() {
                writeln!(csv, "{t_s:.1},{a:.places$},").unwrap();
            }
            for (_, cell) in self.marks.iter().filter(|(at_s, _)| at_s * 2 == half) {
                writeln!(csv, "{t_s:.1},,{cell}").unwrap();
            }
        }
        csv
    }

    fn judged(&self, flags: &[&str]) -> Said {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("log.csv"), self.csv()).unwrap();
        let run = |more: &[&str]| {
            let output = Command::new(env!("CARGO_BIN_EXE_lullboard"))
                .args(["judge", "log.csv"])
                .args(flags)
                .args(more)
                .current_dir(folder.path())
                .output()
                .unwrap();
            assert!(matches!(output.status.code(), Some(0 | 3 | 4)), "{flags:?}");
            String::from_utf8(output.stdout).unwrap()
        };
        Said {
            json: serde_json::from_str(&run(&["--json"])).unwrap(),
            text: run(&[]),
        }
    }
}

impl Said {
    #[track_caller]
    fn has(&self, words: &str) {
        assert!(
            self.text.contains(words),
            "'{words}' is not in:\n{}",
            self.text
        );
    }

    #[track_caller]
    fn has_not(&self, words: &str) {
        assert!(
            !self.text.contains(words),
            "'{words}' is in:\n{}",
            self.text
        );
    }

    fn trial(&self, i: usize) -> &Value {
        self.json.pointer(&format!("/trials/{i}")).unwrap()
    }

    #[track_caller]
    fn finds(&self, i: usize, finding: &str, manner: &Value) {
        let trial = self.trial(i);
        assert_eq!(
            (&trial["finding"], &trial["manner"]),
            (&finding.into(), manner),
            "{}",
            self.text
        );
    }

    /// The typed reason of a trial.
    #[track_caller]
    fn because(&self, i: usize, code: &str) -> &Value {
        let reason = &self.trial(i)["reason"];
        assert_eq!(reason["code"], code, "{}", self.text);
        reason
    }

    /// The typed reason that decides the verdict.
    #[track_caller]
    fn decided(&self, code: &str) -> &Value {
        let reason = self.json.pointer("/reason").unwrap();
        assert_eq!(reason["code"], code, "{}", self.text);
        reason
    }

    fn list(&self, key: &str) -> &[Value] {
        self.json.pointer(key).unwrap().as_array().unwrap()
    }

    /// The beginning of every settled stretch, in seconds.
    fn settled_from(&self) -> Vec<f64> {
        let phases = self.list("/phases").iter();
        let settled = phases.filter(|phase| phase["phase"] == "settled");
        settled
            .map(|phase| phase["from_s"].as_f64().unwrap())
            .collect()
    }
}

const MIN: u32 = 60;
const METER: [&str; 4] = ["--limit", "50mA", "--accuracy", "1.0%+3"];

/// Locked at one minute, asleep 14 min later.
const STAGED: [(u32, f64); 4] = [(0, 3.4), (100, 1.62), (500, 0.235), (15 * MIN, 0.019)];

#[test]
fn a_stage_on_the_way_is_not_settled() {
    let said = record(&STAGED, 20 * MIN, &[(60, "lock")]).judged(&METER);
    let settled = said.settled_from();
    assert!(settled.len() == 1 && settled[0] > 900.0, "{settled:?}");
    let still = record(&STAGED, 14 * MIN, &[(60, "lock")]).judged(&METER);
    assert_eq!(still.json["verdict"], "not settled");
    still.has("plateau: flat at 235 mA for 5 min");
    still.has("12 of 45 min waited");
}

#[test]
fn a_stage_that_lasts_half_an_hour_is_not_settled() {
    let levels = [(0, 2.7), (100, 1.31), (500, 0.188), (40 * MIN, 0.043)];
    let said = record(&levels, 39 * MIN, &[(60, "lock")]).judged(&METER);
    assert!(said.settled_from().is_empty(), "{}", said.text);
    said.has("plateau: flat at 188 mA for 30 min, 37 of 45 min waited");
}

#[test]
fn the_cars_own_sleep_is_offered_as_its_time_out() {
    let whole = record(&STAGED, 70 * MIN, &[(60, "lock")]);
    let said = whole.judged(&METER);
    assert_eq!(
        said.json["learned_sleep_timeout_s"], 1260.0,
        "{}",
        said.text
    );
    assert_eq!(said.json["sleep_took_s"], 840.0);
    said.has("this car took 14 min to sleep; 21 min would do as its time-out: --sleep-timeout 21m");
    said.has("after 14 min: held past the time-out");
    assert_eq!(said.json["timeout"]["s"], 2700.0, "offered, not used");
    let taken = whole.judged(&[&METER[..], &["--sleep-timeout", "21m"]].concat());
    assert_eq!(taken.json["timeout"]["s"], 1260.0);
    taken.has_not("--sleep-timeout");
    let short = whole.judged(&[&METER[..], &["--sleep-timeout", "12m"]].concat());
    short.has("21 min would be safer than the time-out of 12 min: --sleep-timeout 21m");
}

#[test]
fn a_sleep_that_is_not_proven_teaches_nothing() {
    // At the limit, but its time-out has not run: it may fall further.
    let early = record(&STAGED, 30 * MIN, &[(60, "lock")]).judged(&METER);
    assert_eq!(early.json["learned_sleep_timeout_s"], Value::Null);
    // Nobody knows when the car was left.
    let unseen = record(&STAGED, 70 * MIN, &[]).judged(&METER);
    assert_eq!(unseen.json["learned_sleep_timeout_s"], Value::Null);
    // The pull may be why it slept.
    let pulled = record(&STAGED, 70 * MIN, &[(60, "lock"), (880, "pull D11")]).judged(&METER);
    assert_eq!(pulled.json["learned_sleep_timeout_s"], Value::Null);
    // One module that starts up is not the car.
    let refit = [(0, 0.027), (600, 0.76), (690, 0.027)];
    let refit = record(&refit, 30 * MIN, &[(300, "pull D11"), (600, "refit D11")]);
    let refit = refit.judged(&[&METER[..], &["--asleep-at-start"]].concat());
    assert_eq!(refit.json["learned_sleep_timeout_s"], Value::Null);
}

#[test]
fn the_state_says_why() {
    let flat = [(0, 3.6), (21 * MIN, 2.28)];
    let said = record(&flat, 33 * MIN + 20, &[(0, "lock")]).judged(&METER);
    said.has("plateau: flat at 2.28 A for 12 min, 33 of 45 min waited");
    let said = record(&flat, 76 * MIN, &[(0, "lock")]).judged(&METER);
    said.has("settled: asleep it is not: 2.28 A, 31 min past the time-out");
    assert_eq!(said.json["verdict"], "above");
    let sleeps = [(0, 2.9), (14 * MIN, 0.053)];
    let said = record(&sleeps, 16 * MIN + 2, &[(0, "lock")]).judged(&METER);
    said.has("settled: 52.9 mA, at rest for 2 min 1 s after 14 min");
    let refit = [(0, 0.031), (600, 0.64)];
    let marks = [(300, "pull D7"), (600, "refit D7")];
    let said = record(&refit, 660, &marks).judged(&[&METER[..], &["--asleep-at-start"]].concat());
    said.has("re-settling after refit D7: at 640 mA");
    said.has("of 45 min waited");
    let said = asleep(&[(0, 0.214), (600, 0.096)], 650, &[(600, "pull D7")]);
    said.has("re-settling after pull D7: at 96.2 mA for 4");
    said.has("next: D7 not judged yet: let it settle");
}

#[test]
fn a_doubt_of_the_meters_places_leads_to_the_ma_range_with_its_caution() {
    let flags = [&METER[..], &["--asleep-at-start"]].concat();
    let said = record(&[(0, 0.048)], 15 * MIN, &[]).judged(&flags);
    assert_eq!(said.json["verdict"], "cannot tell");
    let why = said.json["verdict_why"].as_str().unwrap();
    // 48 mA through 1.8 ohm (trade table 4.1) is 86 mV.
    for words in [
        "last places",
        "mA range",
        "10 A jack until the car is asleep",
        "bridge",
        "86 mV",
        "wakes",
    ] {
        assert!(why.contains(words), "{words}: {why}");
    }
}

#[test]
fn a_doubt_of_the_clamps_zero_leads_to_zeroing_it() {
    let clamp = [
        "--limit",
        "50mA",
        "--accuracy",
        "1.0%+1",
        "--drift",
        "5mA/h",
        "--asleep-at-start",
    ];
    let said = record(&[(0, 0.048)], 80 * MIN, &[]).judged(&clamp);
    assert_eq!(said.json["verdict"], "cannot tell");
    let reason = said.decided("too-close");
    assert_eq!(reason["remedy"]["remedy"], "zero", "{reason}");
    assert!(reason["remedy"]["age_s"].as_f64().unwrap() > 3600.0);
    said.has("the clamp's zero, 1 h");
    said.has("zero it with its jaws closed and empty, mark it");
}

/// The wait that is named is the wait that it takes.
#[test]
fn a_doubt_of_noise_is_settled_by_the_wait_that_is_named() {
    let meter = [
        "--limit",
        "50mA",
        "--accuracy",
        "0.1%+0",
        "--asleep-at-start",
    ];
    let of = |end_s: u32| {
        let noisy = Record {
            noise_a: 0.020,
            ..record(&[(0, 0.0521)], end_s, &[])
        };
        noisy.judged(&meter)
    };
    let said = of(5 * MIN);
    assert_eq!(said.json["verdict"], "cannot tell", "{}", said.text);
    let reason = said.decided("too-close");
    assert_eq!(reason["remedy"]["remedy"], "wait", "{reason}");
    let why = said.json["verdict_why"].as_str().unwrap();
    let (_, rest) = why.split_once("wait ").unwrap_or_else(|| panic!("{why}"));
    let minutes: u32 = rest.split_once(" min more").unwrap().0.parse().unwrap();
    assert!((1..=25).contains(&minutes), "{why}");
    let after = of((5 + minutes) * MIN);
    assert_eq!(after.json["verdict"], "above", "{}", after.text);
}

#[test]
fn a_doubt_of_few_wakes_says_how_long_to_watch() {
    let levels = [
        (0, 0.026),
        (1000, 1.7),
        (1060, 0.026),
        (2500, 1.7),
        (2560, 0.026),
    ];
    let said = asleep(&levels, 4000, &[]);
    assert_eq!(said.json["verdict"], "cannot tell");
    let reason = said.decided("few-wakes");
    assert_eq!(reason["wakes"], 2);
    assert!(reason["more_s"].as_f64().unwrap() > 0.0, "{reason}");
    said.has("2 wakes in 1 h 6 min: too few");
    said.has("watch about ");
}

#[test]
fn a_change_that_a_coarse_display_hides_asks_for_a_finer_range() {
    let coarse = Record {
        decimals: 1,
        ..record(&[(0, 0.113)], 20 * MIN, &[(600, "pull E14")])
    };
    let said = coarse.judged(&[
        "--limit",
        "50mA",
        "--accuracy",
        "1.0%+3",
        "--asleep-at-start",
    ]);
    said.finds(0, "cannot tell", &Value::Null);
    let reason = said.because(0, "blunt");
    assert_eq!(reason["remedy"]["remedy"], "finer-range", "{reason}");
    // Two means on a display of 100 mA: a step of one place either way, over root twelve each,
    // times two (GUM 4.3.7).
    let below_a = reason["below_a"].as_f64().unwrap();
    assert!(
        (below_a - 2.0 * 0.1 / 6f64.sqrt()).abs() < 0.001,
        "{below_a}"
    );
    said.has("a change below 81.6 mA cannot be told: U is mostly the meter's last places");
    said.has("10 A jack until the car is asleep");
}

#[test]
fn a_lasting_step_out_of_settled_is_asked_about() {
    let flags = [&METER[..], &["--asleep-at-start"]].concat();
    let levels = [(0, 0.094), (605, 0.031), (1500, 0.072), (2700, 0.072)];
    let said = record(&levels, 110 * MIN, &[]).judged(&flags);
    said.has("a fall of 63.0 mA at 0:10:05 nobody marked: what was done then?");
    said.has("a rise of 41.0 mA at 0:25:00 nobody marked: what was done then?");
    let unclaimed = said.json["unclaimed"].as_array().unwrap();
    assert_eq!(unclaimed.len(), 2, "{unclaimed:?}");
    assert_eq!(unclaimed[0]["t_s"], 605.0);
    assert!((unclaimed[0]["to_a"].as_f64().unwrap() - 0.031).abs() < 0.001);
}

#[test]
fn wakes_marked_steps_and_falls_asleep_are_not_asked_about() {
    let flags = [&METER[..], &["--asleep-at-start"]].concat();
    let wakes = [
        (0, 0.017),
        (600, 0.46),
        (640, 0.017),
        (1200, 0.46),
        (1240, 0.017),
    ];
    let said = record(&wakes, 30 * MIN, &[]).judged(&flags);
    assert_eq!(said.json["wakes"].as_array().unwrap().len(), 2);
    assert_eq!(
        said.json["unclaimed"],
        Value::Array(Vec::new()),
        "{}",
        said.text
    );
    let pulled = record(&[(0, 0.103), (605, 0.029)], 20 * MIN, &[(604, "pull E20")]).judged(&flags);
    assert_eq!(pulled.json["unclaimed"], Value::Array(Vec::new()));
    // Let through early at 44 mA, and still on its way.
    let levels = [(0, 2.6), (300, 0.044), (700, 0.018)];
    let asleep = record(&levels, 30 * MIN, &[(0, "lock")]).judged(&METER);
    assert_eq!(
        asleep.json["unclaimed"],
        Value::Array(Vec::new()),
        "{}",
        asleep.text
    );
}

/// Readings of a car that is asleep from the start.
fn asleep(levels: &[(u32, f64)], end_s: u32, marks: &[(u32, &str)]) -> Said {
    record(levels, end_s, marks).judged(&[&METER[..], &["--asleep-at-start"]].concat())
}

#[track_caller]
fn contradiction(said: &Said, words: &[&str]) {
    let found = said.list("/contradictions");
    let fits = |line: &Value| {
        let line = line.as_str().unwrap();
        words.iter().all(|word| line.contains(word))
    };
    assert!(
        found.iter().any(fits),
        "{words:?} not in {found:#?}\n{}",
        said.text
    );
    said.has("does not fit: ");
}

#[test]
fn a_pull_that_does_it_once_and_not_again_is_named() {
    let levels = [(0, 0.167), (600, 0.024), (1200, 0.167)];
    let marks = [(600, "pull E23"), (1200, "refit E23"), (1800, "pull E23")];
    let said = asleep(&levels, 2400, &marks);
    said.finds(0, "clears", &"at once".into());
    said.finds(2, "no change", &Value::Null);
    contradiction(
        &said,
        &[
            "pull E23",
            "0:10:00",
            "made no difference at 0:30:00",
            "once more",
        ],
    );
}

#[test]
fn a_refit_that_does_not_bring_it_back_is_named() {
    let levels = [(0, 0.143), (600, 0.019)];
    let said = asleep(&levels, 1800, &[(600, "pull E3"), (1200, "refit E3")]);
    contradiction(
        &said,
        &[
            "refit E3 at 0:20:00",
            "124 mA of 143 mA missing",
            "pull it again",
        ],
    );
    said.has("124 mA less than before it came out");
    let repaired = asleep(&levels, 1800, &[(600, "pull E3"), (1200, "swap E3")]);
    assert_eq!(
        repaired.json["contradictions"],
        Value::Array(Vec::new()),
        "a new part is no contradiction"
    );
}

#[test]
fn one_load_behind_two_fuses_is_named() {
    let levels = [(0, 0.196), (2400, 0.027)];
    let marks = [
        (600, "pull D9"),
        (1200, "refit D9"),
        (1800, "pull E9"),
        (2400, "pull D9"),
    ];
    let said = asleep(&levels, 3000, &marks);
    contradiction(
        &said,
        &[
            "D9 and E9",
            "each alone changes nothing",
            "169 mA",
            "fed by two fuses",
        ],
    );
}

#[test]
fn what_is_apart_more_than_together_is_named() {
    let levels = [
        (0, 0.231),
        (600, 0.094),
        (1200, 0.231),
        (1800, 0.094),
        (2400, 0.231),
        (3000, 0.094),
    ];
    let marks = [
        (600, "pull D7"),
        (1200, "refit D7"),
        (1800, "pull L2"),
        (2400, "refit L2"),
        (3000, "pull D7+L2"),
    ];
    let said = asleep(&levels, 3600, &marks);
    contradiction(
        &said,
        &[
            "D7 and L2 apart take 137 mA and 137 mA, together 137 mA",
            "fed through the other",
        ],
    );
    let fits = [
        (0, 0.188),
        (600, 0.095),
        (1200, 0.188),
        (1800, 0.121),
        (2400, 0.188),
        (3000, 0.028),
    ];
    let said = asleep(&fits, 3600, &marks);
    assert_eq!(
        said.json["contradictions"],
        Value::Array(Vec::new()),
        "{}",
        said.text
    );
}

#[test]
fn levels_that_do_not_add_up_are_named_by_chi_square() {
    // Each refit comes back 4 mA lower: near enough to be the same level, too far for noise.
    let levels = [
        (0, 0.173),
        (600, 0.135),
        (1200, 0.169),
        (1800, 0.131),
        (2400, 0.165),
    ];
    let marks = [
        (600, "pull D10"),
        (1200, "refit D10"),
        (1800, "pull D10"),
        (2400, "refit D10"),
    ];
    let said = asleep(&levels, 3000, &marks);
    contradiction(&said, &["do not add up", "chi-square", "p 0.0"]);
}

/// Awake long past its time-out and never flat, so that there is no settled level before.
fn restless(until_s: u32) -> Vec<(u32, f64)> {
    (0..until_s / 40)
        .map(|i| (i * 40, if i % 2 == 0 { 1.74 } else { 2.09 }))
        .collect()
}

/// A car that a part keeps awake until `asleep_s`, when it falls asleep in stages.
fn kept_awake(asleep_s: u32, marks: &[(u32, &str)]) -> Said {
    let stages = vec![(asleep_s + 60, 0.31), (asleep_s + 120, 0.028)];
    let levels = [restless(asleep_s + 60), stages].concat();
    record(&levels, asleep_s + 20 * MIN, marks).judged(&METER)
}

#[test]
fn what_let_the_car_fall_asleep_is_named() {
    let pull_s = 80 * MIN;
    let said = kept_awake(pull_s, &[(0, "lock"), (pull_s, "unplug rear blower relay")]);
    said.finds(0, "clears", &"late".into());
    said.because(0, "fell");
    said.has("it kept others awake; the fault may sit elsewhere on the network");
    said.has("cause: the rear blower relay kept others awake (1.89 A)");
    let run = [(0, "lock"), (pull_s - 60, "pull L10"), (pull_s, "pull E24")];
    let said = kept_awake(pull_s, &run);
    said.finds(0, "cannot tell", &Value::Null);
    said.finds(1, "clears", &"late".into());
    said.because(1, "shared");
    said.has("run L10, E24: ");
    said.has("one of them kept others awake; put back one at a time to tell which");
    said.has("cause: what L10 and E24 feed kept others awake");
    assert_eq!(said.json["ledger"], Value::Array(Vec::new()));
}

/// The load itself came out first in the run: nobody was kept awake.
#[test]
fn a_load_of_its_own_in_an_awake_car_kept_nobody_awake() {
    let pull_s = 80 * MIN;
    let levels = [restless(pull_s), vec![(pull_s, 0.033)]].concat();
    let marks = [(0, "lock"), (pull_s, "pull L4"), (pull_s + 20, "pull D7")];
    let said = record(&levels, 100 * MIN, &marks).judged(&METER);
    said.finds(1, "clears", &"at once".into());
    said.because(1, "fell");
    said.has("run L4, D7: loads of their own");
    let shares = said.list("/ledger").iter();
    let drew: Vec<&Value> = shares
        .filter(|share| share["a"].as_f64() > share["u_a"].as_f64())
        .collect();
    assert_eq!(drew.len(), 1, "{drew:?}");
    assert_eq!(drew[0]["what"], serde_json::json!(["L4"]));
    said.has_not("awake (");
}

#[test]
fn a_car_that_had_not_had_its_time_may_have_slept_by_itself() {
    let pull_s = 30 * MIN;
    let said = kept_awake(
        pull_s,
        &[(0, "lock"), (pull_s, "unplug tyre-pressure receiver")],
    );
    said.finds(0, "cannot tell", &Value::Null);
    let reason = said.because(0, "up-too-short");
    assert!(
        (reason["up_s"].as_f64().unwrap() - 1800.0).abs() < 120.0,
        "{reason}"
    );
    let needed_s = reason["needed_s"].as_f64().unwrap();
    assert!((900.0..=2700.0).contains(&needed_s), "{reason}");
    said.has("had been up for only 30 min with it: put it back, lock");
    said.has_not("cause:");
}

#[test]
fn a_car_that_stays_awake_without_it_says_so() {
    let pull_s = 50 * MIN;
    let levels = [restless(pull_s + 60), vec![(pull_s + 60, 1.66)]].concat();
    let marks = [(0, "lock"), (pull_s, "unplug parking-aid module")];
    let said = record(&levels, 120 * MIN, &marks).judged(&METER);
    // What fell is no more than the car does by itself: nobody can say how it came.
    said.finds(0, "lowers", &Value::Null);
    // Half the time at either level before.
    let change_a = said.trial(0)["change_a"].as_f64().unwrap();
    assert!(
        (change_a + f64::midpoint(1.74, 2.09) - 1.66).abs() < 0.04,
        "{change_a}"
    );
    assert_eq!(said.json["verdict"], "above");
    said.has("asleep it is not: 1.66 A");
}

#[test]
fn quick_pulls_whose_steps_add_up_have_findings_of_their_own() {
    let levels = [
        (0, 0.287),
        (600, 0.193),
        (612, 0.131),
        (624, 0.122),
        (636, 0.021),
    ];
    let marks = [
        (600, "pull E16"),
        (612, "pull E17"),
        (624, "pull E18"),
        (636, "pull E19"),
    ];
    let said = asleep(&levels, 20 * MIN, &marks);
    for (i, look_a) in [-0.094, -0.062, -0.009, -0.101].iter().enumerate() {
        let trial = said.trial(i);
        let (a, u_a) = (&trial["first_look_a"], &trial["first_look_u_a"]);
        let miss_a = (a.as_f64().unwrap() - look_a).abs();
        assert!(miss_a <= u_a.as_f64().unwrap(), "{i}: {trial}");
    }
    for i in 0..3 {
        said.finds(i, "lowers", &"at once".into());
    }
    said.finds(3, "clears", &"at once".into());
    assert_eq!(said.json["runs"], serde_json::json!([]));
    assert!((said.trial(3)["change_a"].as_f64().unwrap() + 0.101).abs() < 0.003);
    let ledger = said.json["ledger"].as_array().unwrap();
    let shares: Vec<&Value> = ledger.iter().map(|share| &share["what"][0]).collect();
    assert_eq!(shares, ["E19", "E16", "E17", "E18"], "{ledger:?}");
    for (share, a) in ledger.iter().zip([0.101, 0.094, 0.062, 0.009]) {
        let miss_a = (share["a"].as_f64().unwrap() - a).abs();
        assert!(miss_a <= share["u_a"].as_f64().unwrap(), "{share}");
    }
    assert!((said.json["rest_a"].as_f64().unwrap() - 0.021).abs() < 0.001);
    assert_eq!(said.json["contradictions"], Value::Array(Vec::new()));
}

/// A first look says nothing of a circuit that only keeps others awake.
#[test]
fn a_run_that_falls_late_stays_out_of_the_ledger() {
    let levels = [(0, 1.46), (660, 0.37), (720, 0.031)];
    let marks = [(600, "pull E23"), (612, "pull D6")];
    let said = asleep(&levels, 30 * MIN, &marks);
    said.finds(1, "clears", &"late".into());
    let later_a = said.because(1, "shared")["later_a"].as_f64().unwrap();
    assert!((later_a - 1.429).abs() < 0.02, "{later_a}");
    said.has("run E23, D6: 1.43 A fell later: one of them kept others awake");
    assert_eq!(
        said.json["ledger"],
        Value::Array(Vec::new()),
        "{}",
        said.text
    );
}

/// All of the late fall came before the last pull: its own step would call it a load.
#[test]
fn a_fall_in_the_middle_of_a_run_is_late_too() {
    let levels = [(0, 1.83), (640, 0.52), (680, 0.026)];
    let marks = [(600, "pull E6"), (700, "pull D10")];
    let said = asleep(&levels, 30 * MIN, &marks);
    said.finds(1, "clears", &"late".into());
    assert!(said.list("/ledger").is_empty(), "{}", said.text);
    said.has("put back one at a time to tell which");
}

#[test]
fn a_pull_put_back_at_once_is_no_run_with_its_refit() {
    let levels = [(0, 0.224), (600, 0.107), (630, 0.224)];
    let said = asleep(&levels, 20 * MIN, &[(600, "pull L6"), (630, "refit L6")]);
    assert_eq!(said.json["runs"], Value::Array(Vec::new()));
    said.has_not("run L6");
    // Its own step was the whole change, and it came back whole.
    said.finds(0, "lowers", &"at once".into());
    said.finds(1, "raises", &Value::Null);
    for (i, change_a) in [-0.117, 0.117].into_iter().enumerate() {
        let a = said.trial(i)["change_a"].as_f64().unwrap();
        assert!((a - change_a).abs() < 0.002, "{i}: {a}");
    }
    assert_eq!(said.because(1, "rose")["differs_a"], 0.0);
    said.has("117 mA more, as before it came out");
}

/// To pull, lock and watch is what a technician does: a hand on the car later takes nothing back.
#[test]
fn a_touch_soon_after_spoils_no_trial() {
    let levels = [(0, 0.158), (600, 0.023)];
    for touch in [(640, "unlock"), (660, "zero"), (630, "lock")] {
        let said = asleep(&levels, 20 * MIN, &[(600, "pull E8"), touch]);
        said.finds(0, "clears", &"at once".into());
        let a = said.trial(0)["change_a"].as_f64().unwrap();
        assert!((a + 0.135).abs() < 0.002, "{touch:?}: {a}");
        said.has("cause: what E8 feeds drew 135 mA");
    }
    let refit = [(0, 0.171), (600, 0.034), (900, 0.171)];
    let marks = [(600, "pull E8"), (900, "refit E8"), (930, "lock")];
    let said = asleep(&refit, 30 * MIN, &marks);
    said.finds(0, "clears", &"at once".into());
    said.finds(1, "raises", &Value::Null);
    said.has("137 mA more, as before it came out");
}

/// Nobody saw how it came: the change stands, its manner does not.
#[test]
fn a_pull_that_nobody_saw_has_no_manner() {
    let levels = [(0, 0.192), (580, f64::NAN), (700, 0.029)];
    let said = asleep(&levels, 20 * MIN, &[(600, "pull D3")]);
    said.finds(0, "clears", &Value::Null);
    said.has("blind for 2 min");
}

#[test]
fn a_direct_load_pulled_before_the_sleep_is_told_from_a_sleep() {
    let of = |sleeps_s: u32| {
        let levels = [(0, 1.58), (300, 0.149), (sleeps_s, 0.020)];
        record(&levels, 20 * MIN, &[(0, "lock"), (700, "pull D4")]).judged(&METER)
    };
    // Its own step is the whole fall.
    let own = of(700);
    own.finds(0, "clears", &"at once".into());
    let a = own.trial(0)["change_a"].as_f64().unwrap();
    assert!((a + 0.129).abs() < 0.002, "{a}");
    own.has("below: with D4 out, so far: the time-out has not run yet; watch ");
    // The same fall a minute later, long before the time-out: the car may have slept by itself.
    let slept = of(760);
    slept.finds(0, "cannot tell", &Value::Null);
    slept.because(0, "up-too-short");
    slept.has_not("cause:");
}

/// A car that sleeps later than its time-out is not blamed on a hand, nor does it teach a time-out
/// before somebody says that nothing was done.
#[test]
fn a_late_sleep_is_asked_about_as_one() {
    let levels = [(0, 2.36), (70 * MIN, 0.025)];
    let late = record(&levels, 90 * MIN, &[(0, "lock")]);
    let said = late.judged(&METER);
    assert_eq!(said.json["verdict"], "cannot tell", "{}", said.text);
    assert!((said.decided("stood")["level_a"].as_f64().unwrap() - 2.36).abs() < 0.02);
    said.has("nobody marked: what was done then? Or did the car only then fall asleep?");
    assert_eq!(said.json["learned_sleep_timeout_s"], Value::Null);
    // The answer is a longer time-out: then it fell within it.
    let told = late.judged(&[&METER[..], &["--sleep-timeout", "75m"]].concat());
    assert_eq!(told.json["verdict"], "below", "{}", told.text);
    assert_eq!(told.json["unclaimed"], Value::Array(Vec::new()));
}
