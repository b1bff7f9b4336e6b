//! What holds for any session: what is remembered changes nothing, the outputs never disagree, and
//! honest marking is never punished.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use lullboard::judge::finding::{Finding, Manner, Verdict};
use lullboard::judge::memory::Memory;
use lullboard::judge::{Judgement, again, judge, live};
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::report::{json, text};
use lullboard::session::Session;
use lullboard::session::card::{Accuracy, Card};
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use lullboard::session::mark::{MarkId, parse_mark};
use proptest::prelude::*;

/// A deed, when it is done, and when it is noted.
#[derive(Clone, Debug)]
struct Deed {
    at_s: f64,
    noted_s: f64,
    cell: String,
    struck_s: Option<f64>,
}

/// A car as levels from given moments on, read twice a second.
fn readings(levels: &[(f64, f64)], end_s: f64, seed: u64) -> Vec<Entry> {
    let mut x = seed | 1;
    let mut unrest = move || {
        x ^= x << 13;
        x ^= x >> 7;
        x ^= x << 17;
        f64::from(u32::try_from(x % 2001).unwrap()) / 1e6 - 1e-3
    };
    let mut entries = Vec::new();
    let mut t_s = 0.25;
    while t_s < end_s {
        let level = levels.iter().rev().find(|(from_s, _)| *from_s <= t_s);
        let a = level.map_or(0.02, |(_, a)| *a) + 0.4 * unrest();
        let value = Measured::Amps(Amps::rounded(a, 4));
        entries.push(Entry {
            t: Elapsed::from_secs(t_s),
            fact: Fact::Reading(value),
        });
        t_s += 0.5;
    }
    entries
}

fn card() -> Card {
    Card {
        limit_a: Some(0.05),
        sleep_timeout_s: Some(600.0),
        accuracy: Some(Accuracy {
            percent: 0.5,
            counts: 0.0,
            amount_a: 0.002,
        }),
        ..Card::default()
    }
}

/// Everything in the order in which the journal takes it.
fn entries(mut all: Vec<Entry>, deeds: &[Deed]) -> Vec<Entry> {
    for (i, deed) in deeds.iter().enumerate() {
        let id = MarkId(u32::try_from(i).unwrap() + 1);
        let mut mark = parse_mark(id, &deed.cell).unwrap();
        if deed.noted_s > deed.at_s {
            mark.at = Some(Elapsed::from_secs(deed.at_s));
        }
        let t = Elapsed::from_secs(deed.noted_s.max(deed.at_s));
        all.push(Entry {
            t,
            fact: Fact::Mark(Box::new(mark)),
        });
        if let Some(struck_s) = deed.struck_s {
            let t = Elapsed::from_secs(struck_s.max(t.secs()));
            all.push(Entry {
                t,
                fact: Fact::Strike(id),
            });
        }
    }
    all.sort_by_key(|entry| entry.t);
    all
}

fn session() -> Session {
    let started = chrono::DateTime::UNIX_EPOCH.fixed_offset();
    Session::new(Header {
        started,
        card: card(),
        meter: MeterCard::default(),
    })
}

fn deed() -> impl Strategy<Value = Deed> {
    let cells = prop::sample::select(vec![
        "lock",
        "unlock",
        "pull E3",
        "refit E3",
        "pull L8+D2",
        "refit L8",
        "unplug amplifier",
        "plug amplifier",
        "swap amplifier",
        "note it rains",
        "zero",
        "run E3+L8+D2",
        "run",
        "finish",
        "leave out 300 to 500",
    ]);
    (
        10.0..1700.0f64,
        prop::option::of(1.0..300.0f64),
        cells,
        prop::option::of(0.0..1700.0f64),
    )
        .prop_map(|(at_s, late_s, cell, struck_s)| Deed {
            at_s,
            noted_s: at_s + late_s.unwrap_or(0.0),
            cell: cell.into(),
            struck_s: struck_s.filter(|s| s % 3.0 < 1.0),
        })
}

/// A change of the card.
fn change() -> impl Strategy<Value = Entry> {
    let limit_a = prop::sample::select(vec![None, Some(0.03), Some(0.2)]);
    let drift = prop::sample::select(vec![None, Some(0.005)]);
    let card = (limit_a, drift).prop_map(|(limit_a, drift_a_per_h)| Card {
        limit_a,
        drift_a_per_h,
        sleep_timeout_s: Some(300.0),
        ..Card::default()
    });
    (0.0..1700.0f64, card).prop_map(|(t_s, card)| Entry {
        t: Elapsed::from_secs(t_s),
        fact: Fact::Set(Box::new(card)),
    })
}

fn levels() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let level = prop::sample::select(vec![0.009, 0.031, 0.047, 0.068, 0.172, 0.39, 1.27, 4.9]);
    prop::collection::vec((0.0..1700.0f64, level), 1..14).prop_map(|mut all| {
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Live, `open` and `judge` give identical judgements: whatever is remembered from earlier
    /// seconds, through strikes and marks placed late.
    #[test]
    fn what_is_remembered_changes_nothing(
        levels in levels(),
        deeds in prop::collection::vec(deed(), 0..9),
        seed in any::<u64>(),
        cards in prop::collection::vec(change(), 0..3),
        every_s in 20.0..90.0f64,
    ) {
        let mut session = session();
        let mut memory = Memory::default();
        let mut next_s = every_s;
        let mut all = entries(readings(&levels, 1800.0, seed), &deeds);
        all.extend(cards);
        all.sort_by_key(|entry| entry.t);
        for entry in all {
            session.apply(&entry);
            if entry.t.secs() >= next_s {
                next_s += every_s;
                prop_assert_eq!(again(&session, &mut memory), live(&session));
            }
        }
        prop_assert_eq!(again(&session, &mut memory), live(&session));
        let mut whole = judge(&session);
        for span in &mut whole.phases {
            span.level = None;
        }
        prop_assert_eq!(whole, live(&session));
    }

    /// Report lines and JSON are views of one judgement.
    #[test]
    fn the_outputs_never_disagree(
        levels in levels(),
        deeds in prop::collection::vec(deed(), 0..9),
        seed in any::<u64>(),
    ) {
        let mut session = session();
        for entry in entries(readings(&levels, 1800.0, seed), &deeds) {
            session.apply(&entry);
        }
        let judged = judge(&session);
        let lines = text::lines(&judged);
        let document = json::document(&judged);
        let verdict = document["verdict"].as_str().unwrap();
        let first = format!("{verdict}: {}", document["verdict_why"].as_str().unwrap());
        prop_assert_eq!(lines.first(), Some(&first));
        prop_assert_eq!(document["so_far"].as_bool(), Some(judged.stands_at.is_some()));
        let trials = document["trials"].as_array().unwrap();
        prop_assert_eq!(trials.len(), judged.trials.len());
        for (trial, judged) in trials.iter().zip(&judged.trials) {
            let words = format!(
                "{}: {}", judged.deed(), trial["finding"].as_str().unwrap()
            );
            prop_assert!(lines.iter().any(|line| line.contains(&words)), "{} in {:?}", words, lines);
            prop_assert!(trial["reason"]["code"].is_string());
        }
        // A verdict carries its evidence: none against the limit without a current that says so.
        if judged.verdict == Verdict::Above || judged.verdict == Verdict::Below {
            prop_assert!(judged.settled.is_some() || judged.average.is_some());
        }
        if judged.settled.is_none() {
            prop_assert_ne!(judged.verdict, Verdict::Below);
        }
    }
}

/// Which marks of a repair day are made, and how far from their deeds.
#[derive(Clone, Debug)]
struct Marking {
    unlock: Option<f64>,
    unplug: f64,
    lock: Option<f64>,
    lock_first: bool,
}

fn marking() -> impl Strategy<Value = Marking> {
    let about = || prop::option::of(-6.0..25.0f64);
    (about(), -5.0..6.0f64, about(), any::<bool>()).prop_map(
        |(unlock, unplug, lock, lock_first)| Marking {
            unlock,
            unplug,
            lock,
            lock_first,
        },
    )
}

/// A car that a part keeps up, 24 min after its lock, with a time-out of ten: opened, the part
/// unplugged, locked; it then sleeps in stages.
fn repair_day(marking: &Marking, up_a: f64, rest_a: f64, seed: u64) -> Judgement {
    let (unlock_s, unplug_s, lock_s) = (1500.0, 1546.0, 1575.0);
    let levels = [
        (0.0, 5.1),
        (60.0, 1.31),
        (140.0, up_a),
        (unlock_s, 4.7),
        (lock_s + 3.0, 1.27),
        (lock_s + 90.0, up_a),
        (lock_s + 190.0, 0.4 * up_a),
        (lock_s + 260.0, rest_a),
    ];
    let made = |at_s: f64, cell: &str| Deed {
        at_s,
        noted_s: at_s,
        cell: cell.into(),
        struck_s: None,
    };
    let mut deeds = vec![
        made(30.0, "lock"),
        made(unplug_s + marking.unplug, "unplug sunroof control"),
    ];
    deeds.extend(marking.unlock.map(|off_s| made(unlock_s + off_s, "unlock")));
    // A lock marked before the unplug, by a hand that did both and noted them afterwards.
    let lock_s = if marking.lock_first {
        unplug_s - 4.0
    } else {
        lock_s
    };
    deeds.extend(
        marking
            .lock
            .map(|off_s| made(lock_s + off_s.max(0.0) / 4.0, "lock")),
    );
    let mut session = session();
    for entry in entries(readings(&levels, 2700.0, seed), &deeds) {
        session.apply(&entry);
    }
    judge(&session)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    /// To unplug, lock and watch is the very thing that a technician does: in whichever order the
    /// marks were made, and whichever of the lock's and unlock's were forgotten.
    #[test]
    fn honest_marking_is_never_punished(
        marking in marking(),
        up_a in 0.15..0.9f64,
        rest_a in 0.008..0.03f64,
        seed in any::<u64>(),
    ) {
        let judged = repair_day(&marking, up_a, rest_a, seed);
        prop_assert_eq!(judged.verdict, Verdict::Below, "{}", judged.verdict_why());
        let trial = judged.trials.first().unwrap();
        let said = (trial.finding, trial.manner);
        prop_assert_eq!(said, (Finding::Clears, Some(Manner::Late)), "{} {:?}", trial.why(), marking);
        let change = trial.change.unwrap();
        prop_assert!((change.a + up_a - rest_a).abs() <= change.u_a + 0.004, "{:?}", change);
    }
}
