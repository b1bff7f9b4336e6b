//! Announced runs: fuses pulled one after another by hands far from the keys. Nothing is credited by
//! order alone: a fall in a run stays open, one of its fuses, until somebody says which.

use super::levels;
use super::mark_tolerance;
use crate::reading::Elapsed;
use crate::session::mark::{Did, Mark};
use crate::session::{Placed, Session};
use crate::signal::Change;

/// A fall in a run of which nobody has said whose it is.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenFall {
    /// When.
    pub t: Elapsed,
    /// The level before, in ampere.
    pub from_a: f64,
    /// The level after, in ampere.
    pub to_a: f64,
    /// The fuses of the run whose own moment is not known, in its order.
    pub among: Vec<String>,
}

/// A run, from its announcement until the hands are seen to be back.
struct Announced<'a> {
    what: &'a [String],
    from: Elapsed,
    to: Elapsed,
}

/// Every open fall of the record, in order; `deeds` are what was done to the car.
pub fn open_falls(session: &Session, deeds: &[&Placed]) -> Vec<OpenFall> {
    let changes = session.signal().changes();
    let of_run = |run: Announced<'_>| {
        let first = changes.partition_point(|change| change.t < run.from);
        let within = changes.get(first..).unwrap_or(&[]).iter();
        let among = unknown(&run, deeds);
        // The end of a wake takes nothing off: what counts is a new low.
        let mut low_a = f64::INFINITY;
        let new_low = |change: &&Change| {
            let stood_a = low_a.min(change.from_a);
            low_a = stood_a.min(change.to_a);
            change.to_a < stood_a && !levels::same(stood_a, change.to_a)
        };
        let nobodys = within
            .take_while(|change| change.t < run.to)
            .filter(new_low)
            .filter(|change| !change.ramp)
            .filter(|change| mark_tolerance::nearest(deeds, change.t).is_none());
        let open = nobodys.map(|change| OpenFall {
            t: change.t,
            from_a: change.from_a,
            to_a: change.to_a,
            among: among.clone(),
        });
        open.filter(|fall| !fall.among.is_empty())
            .collect::<Vec<_>>()
    };
    runs(session).into_iter().flat_map(of_run).collect()
}

fn runs(session: &Session) -> Vec<Announced<'_>> {
    let mut runs: Vec<Announced<'_>> = Vec::new();
    let mut is_open = false;
    for placed in session.marks() {
        let mark = &placed.mark;
        if is_open
            && let Some(run) = runs.last_mut()
            && (mark.did == Did::Run || is_elsewhere(mark, run.what))
        {
            run.to = placed.at();
            is_open = false;
        }
        if mark.did == Did::Run && !mark.what.is_empty() {
            runs.push(Announced {
                what: &mark.what,
                from: placed.at(),
                to: Elapsed::from_ms(i64::MAX),
            });
            is_open = true;
        }
    }
    runs
}

/// Whether the hands are back from the run: they did something else than to pull its fuses.
fn is_elsewhere(mark: &Mark, what: &[String]) -> bool {
    let is_of_it = mark.did.removes() && mark.what.iter().all(|label| what.contains(label));
    mark.did.touches() && mark.did != Did::Zero && !is_of_it
}

/// The fuses of the run that no mark says more of.
fn unknown(run: &Announced<'_>, deeds: &[&Placed]) -> Vec<String> {
    let before_end = deeds.iter().take_while(|placed| placed.at() <= run.to);
    let mut out: Vec<&String> = Vec::new();
    for placed in before_end {
        let labels = placed.mark.what.iter();
        if placed.mark.did.removes() {
            out.extend(labels);
        } else if placed.mark.did.restores() && placed.at() < run.from {
            out.retain(|label| !placed.mark.what.contains(label));
        }
    }
    let unknown = run.what.iter().filter(|label| !out.contains(label));
    unknown.cloned().collect()
}

#[cfg(test)]
mod tests {
    use crate::judge::finding::{Unclaimed, Verdict};
    use crate::judge::judgement::Judgement;
    use crate::judge::kit::{HOUR, MIN, TestCar};

    /// Asleep at 200 mA; in the run one fuse takes 120 mA at 650 s and another 60 mA at 700 s.
    fn judged(more: &[(u32, &'static str)]) -> Judgement {
        let levels = [(0, 0.200), (650, 0.080), (700, 0.020)];
        let mut marks = vec![(600, "run A1+A2+A3+A4")];
        marks.extend(more);
        marks.sort_by_key(|(t_s, _)| *t_s);
        TestCar::asleep(&levels).marked(&marks).judged(40 * MIN)
    }

    fn among(judged: &Judgement) -> Vec<(f64, String)> {
        let of = |one: &Unclaimed| (one.t.secs().round(), one.among.join("+"));
        judged.unclaimed.iter().map(of).collect()
    }

    #[test]
    fn falls_in_a_run_stay_open_and_name_nobody() {
        let judged = judged(&[]);
        let all = "A1+A2+A3+A4".to_owned();
        assert_eq!(among(&judged), [(650.0, all.clone()), (700.0, all)]);
        assert!(judged.trials.is_empty(), "{:?}", judged.trials);
        assert!(judged.ledger.is_empty(), "{:?}", judged.ledger);
        assert_eq!(judged.verdict, Verdict::Below, "with what is out");
    }

    #[test]
    fn once_one_is_named_it_is_a_trial_and_no_longer_among_the_others() {
        let judged = judged(&[(650, "pull A3")]);
        assert_eq!(among(&judged), [(700.0, "A1+A2+A4".into())]);
        let [trial] = judged.trials.as_slice() else {
            panic!("{:?}", judged.trials);
        };
        assert_eq!(trial.what, ["A3"]);
        let step = trial.change.expect("it was seen");
        assert!((step.a + 0.120).abs() < 0.003, "{step:?}");
    }

    /// Hands that do something else are back from the run; so are those who say so.
    #[test]
    fn what_falls_after_the_run_is_not_of_it() {
        for end in ["run", "pull B1", "refit A1", "unlock"] {
            let judged = judged(&[(680, end)]);
            let open = among(&judged);
            let of_run = open.iter().filter(|(_, among)| !among.is_empty());
            assert_eq!(of_run.count(), 1, "{end}: {open:?}");
        }
    }

    /// A fuse of the run that goes back in was out, whatever the marks say.
    #[test]
    fn a_refit_after_the_run_is_no_misnamed_one() {
        let judged = judged(&[(720, "run"), (1200, "refit A2")]);
        let spoiled = judged.trials.iter().map(|trial| trial.finding);
        assert_eq!(
            spoiled.collect::<Vec<_>>(),
            [crate::judge::finding::Finding::NoChange]
        );
    }

    /// A wake rises and ends within the run: its end takes nothing off.
    #[test]
    fn the_end_of_a_wake_is_no_fall_of_the_run() {
        let levels = [(0, 0.200), (640, 0.900), (654, 0.200), (700, 0.020)];
        let car = TestCar::asleep(&levels).marked(&[(600, "run A1+A2"), (760, "run")]);
        let found = among(&car.judged(40 * MIN));
        assert_eq!(found, [(700.0, "A1+A2".into())]);
    }

    /// What falls in a run is no late fall of the fuse before it, and its first refit is of a fuse that
    /// was out.
    #[test]
    fn a_run_is_a_stretch_of_its_own() {
        let levels = [(0, 0.200), (900, 0.194), (960, 0.030)];
        let marks = [
            (300, "pull B1"),
            (880, "run A1+A2+A3"),
            (1000, "run"),
            (1900, "refit A1"),
        ];
        let judged = TestCar::asleep(&levels).marked(&marks).judged(HOUR);
        let found: Vec<_> = judged.trials.iter().map(|trial| trial.finding).collect();
        assert_eq!(found, [crate::judge::finding::Finding::NoChange; 2]);
    }
}
