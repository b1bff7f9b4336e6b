//! Readings and marks in, findings out.
//!
//! The records are seeded simulations made outside this project with known truth (level, change
//! and manner stand beside each call); noise is white plus first-order autoregressive, gain error
//! 0.5 % drawn per run.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::path::Path;

use lullboard::judge::finding::{Finding, Manner, Verdict};
use lullboard::judge::{Judgement, Phase, judge};
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::Session;
use lullboard::session::card::{Accuracy, Card};
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use lullboard::session::mark::{MarkId, parse_mark};

struct Record {
    card: Card,
    entries: Vec<Entry>,
}

fn record(name: &str) -> Record {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/scenarios")
        .join(name);
    let text = std::fs::read_to_string(path).unwrap();
    let entries = text.lines().skip(1).map(|line| {
        let mut cells = line.split(',');
        let t = Elapsed::from_secs(cells.next().unwrap().parse().unwrap());
        let value = match cells.next().unwrap() {
            "OL" => Measured::Over,
            amps => Measured::Amps(Amps::parse(amps).unwrap()),
        };
        Entry {
            t,
            fact: Fact::Reading(value),
        }
    });
    let accuracy = Accuracy {
        percent: 0.866,
        counts: 0.0,
        amount_a: 0.0,
    };
    Record {
        card: Card {
            accuracy: Some(accuracy),
            ..Card::default()
        },
        entries: entries.collect(),
    }
}

impl Record {
    fn asleep(mut self) -> Self {
        self.card.asleep_at_start = Some(true);
        self
    }

    fn mark(mut self, id: u32, t_s: f64, cell: &str) -> Self {
        let t = Elapsed::from_secs(t_s);
        let mark = parse_mark(MarkId(id), cell).unwrap();
        let at = self.entries.partition_point(|entry| entry.t <= t);
        self.entries.insert(
            at,
            Entry {
                t,
                fact: Fact::Mark(Box::new(mark)),
            },
        );
        self
    }

    fn session(&self) -> Session {
        let mut session = Session::new(Header {
            started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
            card: self.card.clone(),
            meter: MeterCard::default(),
        });
        self.entries.iter().for_each(|entry| session.apply(entry));
        session
    }

    fn judged(&self) -> Judgement {
        judge(&self.session())
    }
}

fn settled_from(judged: &Judgement) -> Vec<f64> {
    let settled = judged
        .phases
        .iter()
        .filter(|span| span.phase == Phase::Settled);
    settled.map(|span| span.from.secs()).collect()
}

/// Truth: 3 A, 2 A, 198 mA, 50 mA; steps at 90.48, 662.48 and 961.98 s; settles at 961.98 s.
#[test]
fn a_staged_fall_is_settled_only_at_its_end() {
    let judged = record("s01_staged.csv").judged();
    let steps: Vec<f64> = judged.steps.iter().map(|step| step.t.secs()).collect();
    assert_eq!(steps, [90.48, 662.48, 961.98]);
    let settled = settled_from(&judged);
    assert_eq!(settled.len(), 1, "{:?}", judged.phases);
    assert!(
        settled[0] > 961.98 && settled[0] < 961.98 + 260.0,
        "{settled:?}"
    );
    assert_ne!(
        judged.verdict,
        Verdict::Above,
        "an early level is never called above"
    );
    assert!(judged.slept);
}

/// Truth: 210 mA, the pull at 613.96 s takes 165 mA away at 615.51 s.
#[test]
fn a_direct_load_clears_at_once() {
    let judged = record("s04_direct.csv")
        .asleep()
        .mark(1, 613.96, "pull L3")
        .judged();
    let trial = &judged.trials[0];
    let change = trial.change.expect("a settled change");
    assert!((change.a + 0.165).abs() < change.u_a, "{change:?}");
    assert_eq!(trial.finding, Finding::Clears);
    assert_eq!(trial.manner, Some(Manner::AtOnce));
    let look = trial.first_look.expect("a first look");
    assert!((look.a + 0.165).abs() < 0.01, "{look:?}");
    assert_eq!(judged.steps[0].mark, Some(MarkId(1)));
    assert_eq!(judged.steps[0].t, Elapsed::from_secs(615.51));
    assert_eq!(judged.verdict, Verdict::Below);
}

/// Truth: 1.4 A; the fuse's own 21 mA leave at 917.48 s, the rest in stages down to 35 mA until
/// 1051.48 s.
#[test]
fn a_keep_awake_falls_late() {
    let judged = record("s05_keepawake.csv")
        .asleep()
        .mark(1, 916.77, "pull D3")
        .judged();
    let trial = &judged.trials[0];
    let change = trial.change.expect("a settled change");
    assert!((change.a + 1.365).abs() < change.u_a, "{change:?}");
    assert_eq!(trial.finding, Finding::Clears);
    assert_eq!(trial.manner, Some(Manner::Late));
    assert!(trial.why().contains("kept others awake"), "{}", trial.why());
}

/// Truth: 400 mA of its own at 914.5 s, 1.94 A in all.
#[test]
fn both_manners_are_told_apart() {
    let judged = record("s15_both.csv")
        .asleep()
        .mark(1, 914.90, "pull L11")
        .judged();
    assert_eq!(judged.trials[0].manner, Some(Manner::Both));
    assert!(
        judged.trials[0].why().contains("of its own"),
        "{}",
        judged.trials[0].why()
    );
}

/// Truth: the pull at 608.78 s takes 140 mA; the refit at 908.11 s wakes the car for 90 s.
#[test]
fn a_refit_wakes_the_car_and_is_judged_too() {
    let record = record("s06_refit.csv").asleep();
    let judged = record
        .mark(1, 608.78, "pull D6")
        .mark(2, 908.11, "refit D6")
        .judged();
    let [pull, refit] = &judged.trials[..] else {
        panic!("{:?}", judged.trials)
    };
    assert_eq!(
        (pull.finding, refit.finding),
        (Finding::Clears, Finding::Raises)
    );
    let change = refit.change.unwrap();
    assert!((change.a - 0.14).abs() < change.u_a, "{change:?}");
}

/// Truth: the pull wakes the car for 90 s; then 90 mA less.
#[test]
fn a_pull_that_wakes_the_car_has_no_manner() {
    let judged = record("s17_pullwake.csv")
        .asleep()
        .mark(1, 657.51, "pull L10")
        .judged();
    let trial = &judged.trials[0];
    assert_eq!(
        (trial.finding, trial.manner),
        (Finding::Lowers, None),
        "{trial:?}"
    );
    assert!(trial.why().contains("woke"), "{}", trial.why());
}

/// Truth: nothing changes at 130 mA.
#[test]
fn a_pull_of_nothing_changes_nothing() {
    let judged = record("s18_null.csv")
        .asleep()
        .mark(1, 618.59, "pull D11")
        .judged();
    assert_eq!(judged.trials[0].finding, Finding::NoChange);
    assert_eq!(judged.steps, []);
}

/// Truth: a 10 mA display; 47.6 mA, 19.2 mA less after 657.52 s.
#[test]
fn a_coarse_display_has_an_honest_u() {
    let judged = record("s07_q10.csv")
        .asleep()
        .mark(1, 656.73, "pull D12")
        .judged();
    let change = judged.trials[0].change.unwrap();
    assert!((change.a + 0.0192).abs() < change.u_a, "{change:?}");
    assert!(change.u_a > 0.002 && change.u_a < 0.008, "{change:?}");
}

/// A strike and a late mark are judged as if they had been right from the start.
#[test]
fn a_struck_mark_leaves_no_trace_in_the_judgement() {
    let plain = record("s04_direct.csv")
        .asleep()
        .mark(1, 613.96, "pull L11");
    let mut mended = record("s04_direct.csv")
        .asleep()
        .mark(7, 613.96, "pull E23");
    let t = Elapsed::from_secs(900.0);
    let mut late = parse_mark(MarkId(1), "pull L11").unwrap();
    late.at = Some(Elapsed::from_secs(613.96));
    let at = mended.entries.partition_point(|entry| entry.t <= t);
    let tail = [Fact::Strike(MarkId(7)), Fact::Mark(Box::new(late))].map(|fact| Entry { t, fact });
    mended.entries.splice(at..at, tail);
    assert_eq!(plain.judged(), mended.judged());
}
