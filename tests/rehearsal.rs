//! A rehearsal from outside: whole hunts played, their records, and hints over them.

use lullboard::judge::again;
use lullboard::judge::finding::{Finding, Manner, Trial};
use lullboard::judge::memory::Memory;
use lullboard::reading::{Elapsed, Measured, number};
use lullboard::rehearsal::hints::Step;
use lullboard::rehearsal::{Story, hint, play, stories};
use lullboard::session::Session;
use lullboard::session::entry::{Entry, Fact};
use lullboard::session::mark::{Did, Mark};

/// The current that an entry shows.
fn shown_a(entry: &Entry) -> Option<f64> {
    if let Fact::Reading(Measured::Amps(amps)) = entry.fact {
        Some(amps.value_a())
    } else {
        None
    }
}

/// The mark that an entry holds.
fn mark_of(entry: &Entry) -> Option<&Mark> {
    if let Fact::Mark(mark) = &entry.fact {
        Some(mark)
    } else {
        None
    }
}

/// Mean of what was shown from `from_s` to `to_s`.
fn mean_a(entries: &[Entry], from_s: f64, to_s: f64) -> f64 {
    let shown: Vec<f64> = entries
        .iter()
        .filter(|entry| (Elapsed::from_secs(from_s)..Elapsed::from_secs(to_s)).contains(&entry.t))
        .filter_map(shown_a)
        .collect();
    assert!(
        !shown.is_empty(),
        "nothing shown from {from_s} s to {to_s} s"
    );
    shown.iter().sum::<f64>() / number::f64_from_usize(shown.len())
}

#[test]
fn every_hunt_begins_awake_and_ends_asleep_below_the_limit() {
    for story in stories::all() {
        for seed in [story.seed, 1, 2] {
            let (header, entries) = play(story, seed);
            assert!(mean_a(&entries, 1.0, 19.0) > 2.0, "{}", story.name);
            let last_a = mean_a(&entries, story.end_s - 150.0, story.end_s);
            let limit_a = header.card.limit_a.unwrap();
            assert!(last_a < limit_a * 0.6, "{} {seed}: {last_a}", story.name);
        }
    }
}

#[test]
fn a_played_hunt_is_in_order_and_repeatable() {
    for story in stories::all() {
        let (header, entries) = play(story, 5);
        assert_eq!(header.started.to_rfc3339(), "2026-01-10T08:00:00+00:00");
        assert_eq!(header.meter.uri, format!("rehearsal:{}?seed=5", story.name));
        assert!(entries.windows(2).all(|pair| pair[0].t <= pair[1].t));
        let told = entries
            .iter()
            .filter(|entry| !matches!(entry.fact, Fact::Reading(_)));
        assert_eq!(told.count(), story.script.len());
        assert_eq!(entries, play(story, 5).1);
        assert_ne!(entries, play(story, 6).1);
    }
}

/// 26 bytes are the longest reading line of such a session: `{"t":9999.999,"a":99.999}` and
/// its line feed.
#[test]
fn a_played_hunt_is_a_small_file() {
    for story in stories::all() {
        let (_, entries) = play(story, story.seed);
        assert!(
            entries.len() * 26 < 400_000,
            "{}: {}",
            story.name,
            entries.len()
        );
    }
}

/// How long before a mark the script's technician saw it settled, where the marks leave the time.
const SEEN_S: f64 = 60.0;
/// So soon after a mark nothing is settled.
const AFTER_MARK_S: f64 = 10.0;

/// A stand-in for the judge, whose own tests are elsewhere: it trusts the script that the car is
/// settled for a minute before each mark, and compares those minutes.
struct Referee {
    entries: Vec<Entry>,
    marks: Vec<(Elapsed, Mark)>,
    end_s: f64,
}

impl Referee {
    fn new(story: &Story, entries: Vec<Entry>) -> Self {
        let is_struck = |mark: &Mark| {
            let struck = Fact::Strike(mark.id);
            entries.iter().any(|entry| entry.fact == struck)
        };
        let marks = entries.iter().filter_map(|entry| {
            let mark = mark_of(entry).filter(|mark| mark.did != Did::Note && !is_struck(mark))?;
            Some((entry.t, mark.clone()))
        });
        Self {
            marks: marks.collect(),
            entries,
            end_s: story.end_s,
        }
    }

    /// The next mark after `t`, or the end, in seconds.
    fn next_s(&self, t: Elapsed) -> f64 {
        let next = self.marks.iter().find(|(at, _)| *at > t);
        next.map_or(self.end_s, |(at, _)| at.secs())
    }

    fn settled_a(&self, until_s: f64) -> f64 {
        let marks = self.marks.iter().map(|(at, _)| at.secs());
        let last_s = marks.filter(|at_s| *at_s < until_s).fold(0.0, f64::max);
        let from_s = (until_s - SEEN_S).max(last_s + AFTER_MARK_S);
        mean_a(&self.entries, from_s, until_s)
    }

    fn trial(&self, at: Elapsed, mark: &Mark, limit_a: f64) -> Trial {
        let before_a = self.settled_a(at.secs());
        let after_a = self.settled_a(self.next_s(at));
        let soon_a = mean_a(&self.entries, at.secs() + 2.0, at.secs() + 15.0);
        let fall_a = before_a - after_a;
        let finding = if fall_a < -0.002 {
            Finding::Raises
        } else if fall_a < 0.002 {
            Finding::NoChange
        } else if after_a < limit_a {
            Finding::Clears
        } else {
            Finding::Lowers
        };
        let manner = if before_a - soon_a > 0.9 * fall_a {
            Manner::AtOnce
        } else if before_a - soon_a < 0.1 * fall_a {
            Manner::Late
        } else {
            Manner::Both
        };
        Trial {
            mark: mark.id,
            t: at,
            did: mark.did,
            what: mark.what.clone(),
            before: None,
            after: None,
            change: None,
            first_look: None,
            finding,
            manner: (fall_a > 0.002).then_some(manner),
            with: Vec::new(),
            stands_at: None,
            reason: lullboard::judge::reason::TrialReason::Same {
                for_s: 0.0,
                differs_a: None,
            },
        }
    }
}

/// The steps that the hints go through over a played hunt, without repetition: a wait between two
/// deeds that are the same one, since nothing was done, was for a wake of the car.
fn steps(story: &'static Story) -> Vec<Step> {
    let (mut header, entries) = play(story, story.seed);
    header.card.fuses = Some(story.map());
    let mut session = Session::new(header);
    let mut memory = Memory::default();
    let mut steps: Vec<Step> = Vec::new();
    let mut before_mark = 0;
    for (n, entry) in entries.iter().enumerate() {
        session.apply(entry);
        if mark_of(entry).is_some_and(|mark| mark.did != Did::Note) {
            before_mark = steps.len();
        }
        // Every tenth second is plenty, and a mark at once.
        if n % 20 != 0 && mark_of(entry).is_none() {
            continue;
        }
        if let Some(hint) = hint(story, &session, &again(&session, &mut memory)) {
            assert!(hint.text.chars().count() <= 160, "{}", hint.text);
            if let Some([.., before, Step::Wait]) = steps.get(before_mark..)
                && *before == hint.step
            {
                steps.pop();
            } else if steps.last() != Some(&hint.step) {
                steps.push(hint.step);
            }
        }
    }
    steps
}

#[test]
fn the_hints_lead_through_every_played_hunt_from_lock_to_export() {
    use Step::{Done, Wait};
    let [lock, unlock, pull, refit, unplug, swap] = [
        Did::Lock,
        Did::Unlock,
        Did::Pull,
        Did::Refit,
        Did::Unplug,
        Did::Swap,
    ]
    .map(Step::Do);
    let first = [lock, Wait, pull, Wait, refit, Wait];
    let opened = [unlock, unplug, lock, Wait];
    let reopened = [unlock, swap, lock, Wait, Done];
    let hunts: [(&Story, Vec<Step>); 5] = [
        (
            &stories::FALSE_FLOOR,
            [&first[..4], &first[2..], &[Done]].concat(),
        ),
        (
            &stories::STEADY_DRAW,
            [&first[..], &opened, &reopened].concat(),
        ),
        (
            &stories::LATE_FALL,
            [
                &first[..],
                // The script goes another way than the plan: the module that draws first.
                &[unplug, Wait, swap, Wait],
                &[swap, Wait, swap, Wait, Done],
            ]
            .concat(),
        ),
        (
            &stories::TWO_BOXES,
            [
                &first[..5],
                &[Wait, refit, Wait, refit, Wait],
                &[unplug, Wait, swap, Wait, Done],
            ]
            .concat(),
        ),
        (
            &stories::SHORT_WAKES,
            [&first[..], &[unplug, Wait, swap, Wait, swap, Wait, Done]].concat(),
        ),
    ];
    for (story, expected) in hunts {
        assert_eq!(steps(story), expected, "{}", story.name);
    }
}

/// What each script is there to show.
#[test]
fn the_scripts_show_falls_at_once_late_and_shared() {
    let tried = |story: &'static Story| -> Vec<(Finding, Option<Manner>)> {
        let referee = Referee::new(story, play(story, story.seed).1);
        let removals = referee.marks.iter().filter(|(_, mark)| mark.did.removes());
        removals
            .map(|(at, mark)| referee.trial(*at, mark, 0.050))
            .map(|trial| (trial.finding, trial.manner))
            .collect()
    };
    let nothing = (Finding::NoChange, None);
    let at_once = (Finding::Clears, Some(Manner::AtOnce));
    let late = (Finding::Clears, Some(Manner::Late));
    let part = (Finding::Lowers, Some(Manner::AtOnce));
    assert_eq!(tried(&stories::FALSE_FLOOR), [nothing]);
    assert_eq!(tried(&stories::STEADY_DRAW)[0], at_once);
    assert_eq!(tried(&stories::LATE_FALL), [at_once, at_once, late]);
    assert_eq!(
        tried(&stories::TWO_BOXES),
        [part, nothing, at_once, at_once]
    );
}

/// The fuse that was marked by mistake is in at the end, and no trial of it is left.
#[test]
fn a_struck_mark_of_a_script_is_no_trial() {
    let story = &stories::FALSE_FLOOR;
    let (header, entries) = play(story, story.seed);
    let is_strike = |entry: &&Entry| matches!(entry.fact, Fact::Strike(_));
    assert_eq!(entries.iter().filter(is_strike).count(), 1);
    let mut session = Session::new(header);
    for entry in &entries {
        session.apply(entry);
    }
    let removed: Vec<&str> = session
        .marks()
        .filter(|placed| placed.mark.did.removes())
        .flat_map(|placed| &placed.mark.what)
        .map(String::as_str)
        .collect();
    assert_eq!(removed, ["L9"]);
    assert_eq!(session.out_now(), [""; 0]);
}
