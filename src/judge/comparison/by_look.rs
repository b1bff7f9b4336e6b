//! What first looks alone tell: a run whose steps add up to its whole change, and a load that went
//! with its fuse and came back with it.

use super::{Bench, own, part_a};
use crate::judge::finding::{Finding, Level, Manner, Trial};
use crate::judge::reason::TrialReason;
use crate::judge::rules::{BLUNT_SHARE, MATTER_A, SAME_A};
use crate::session::Placed;
use crate::session::mark::Did;

/// Judges each of a run by its own step, where the steps leave nothing of the change of them all to
/// come later; `run` ends with the deed that was judged for all, and what it left stood for
/// `stood_s`. Whether they do.
pub(super) fn tell_apart(run: &mut [Trial], stood_s: f64, limit_a: f64) -> bool {
    let Some(whole) = run.last() else {
        return false;
    };
    let Some((change, before)) = whole.change.zip(whole.before) else {
        return false;
    };
    let has_fallen = matches!(whole.reason, TrialReason::Fell { .. });
    let is_sound = has_fallen && whole.manner == Some(Manner::AtOnce)
        || matches!(
            whole.reason,
            TrialReason::Same { .. } | TrialReason::TooLittle { .. } | TrialReason::Rose { .. }
        );
    let looks: Option<Vec<Level>> = run.iter().map(|trial| trial.first_look).collect();
    let Some(looks) = looks.filter(|_| is_sound) else {
        return false;
    };
    let all = looks.iter().fold(Level { a: 0.0, u_a: 0.0 }, plus);
    let sure_a = all.u_a.hypot(change.u_a).max(part_a(change.a, SAME_A));
    let is_told = |(trial, look): (&Trial, &Level)| {
        let towards = if trial.did.removes() { -look.a } else { look.a };
        look.u_a <= BLUNT_SHARE * limit_a && towards >= -look.u_a.max(MATTER_A)
    };
    if (all.a - change.a).abs() > sure_a || !run.iter().zip(&looks).all(is_told) {
        return false;
    }
    let (after, stands_at) = (whole.after, whole.stands_at);
    let next = run.iter().skip(1).map(|next| Some(next.t)).chain([None]);
    let next: Vec<_> = next.collect();
    let mut level = before;
    for ((trial, look), next) in run.iter_mut().zip(&looks).zip(next) {
        let for_s = next.map_or(stood_s, |next| next.secs_since(trial.t));
        by_look(trial, level, *look, limit_a, for_s);
        trial.with.clear();
        trial.stands_at = stands_at;
        level = plus(level, look);
    }
    if let Some(last) = run.last_mut() {
        last.after = after;
    }
    true
}

/// Judges what was taken out and put back at once by `next`, where both looks are of one load and
/// the car slept at `before`.
pub(super) fn out_and_in(
    bench: &Bench<'_>,
    before: Level,
    (next, next_at): (&Placed, usize),
    trial: &mut Trial,
) {
    let is_back = next.mark.did.restores() && next.mark.did != Did::Swap;
    if !is_back || !trial.did.removes() || next.mark.what != trial.what {
        return;
    }
    let back = own::first_look(bench.basis, bench.stays, next_at, bench.steps, next);
    let Some((out, back)) = trial.first_look.zip(back) else {
        return;
    };
    let sure_a = out.u_a.hypot(back.u_a).max(part_a(out.a, SAME_A));
    if -out.a > out.u_a.max(SAME_A) && (out.a + back.a).abs() <= sure_a {
        by_look(trial, before, out, bench.basis.limit_a, 0.0);
    }
}

fn by_look(trial: &mut Trial, before: Level, look: Level, limit_a: f64, for_s: f64) {
    let after = plus(before, &look);
    let is_null = look.a.abs() <= look.u_a.max(MATTER_A);
    let was_above = before.a + before.u_a > limit_a;
    let differs_a = None;
    (trial.finding, trial.reason) = if is_null {
        (Finding::NoChange, TrialReason::Same { for_s, differs_a })
    } else if look.a > 0.0 {
        let by_a = look.a;
        (Finding::Raises, TrialReason::Rose { by_a, differs_a })
    } else {
        let fell = TrialReason::Fell {
            own_a: Some(-look.a),
            later_a: 0.0,
            stages: 0,
            last_after_s: 0.0,
        };
        let is_clear = was_above && after.a + after.u_a < limit_a;
        let finding = if is_clear {
            Finding::Clears
        } else {
            Finding::Lowers
        };
        (finding, fell)
    };
    trial.manner = trial.finding.is_fall().then_some(Manner::AtOnce);
    (trial.before, trial.after, trial.change) = (Some(before), Some(after), Some(look));
}

fn plus(one: Level, other: &Level) -> Level {
    Level {
        a: one.a + other.a,
        u_a: one.u_a.hypot(other.u_a),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::again;
    use crate::judge::comparison::testkit::known;
    use crate::judge::kit::{MIN, TestCar};
    use crate::judge::memory::Memory;

    /// Four fuses in a minute, of which two draw: each has a finding of its own.
    #[test]
    fn a_run_is_told_apart_by_its_own_steps() {
        let marks = [
            (600, "pull A1"),
            (620, "pull B2"),
            (640, "pull C3"),
            (660, "pull D4"),
        ];
        let car = TestCar::asleep(&[(0, 0.160), (620, 0.100), (640, 0.030)]).marked(&marks);
        let judged = car.judged(40 * MIN);
        let found: Vec<_> = judged
            .trials
            .iter()
            .map(|t| (t.finding, t.manner))
            .collect();
        let at_once = Some(Manner::AtOnce);
        let expected = [
            (Finding::NoChange, None),
            (Finding::Lowers, at_once),
            (Finding::Clears, at_once),
            (Finding::NoChange, None),
        ];
        assert_eq!(found, expected);
        assert!(judged.trials.iter().all(|trial| trial.with.is_empty()));
        assert_eq!(judged.runs, Vec::<Vec<_>>::new());
    }

    /// What fell after the last of them may be of any: they stay a run.
    #[test]
    fn a_run_with_a_fall_of_its_own_is_not() {
        let car = TestCar::asleep(&[(0, 0.160), (620, 0.100), (690, 0.030)]);
        let car = car.marked(&[(600, "pull A1"), (620, "pull B2"), (640, "pull C3")]);
        let judged = car.judged(40 * MIN);
        assert_eq!(judged.runs.len(), 1, "{:?}", judged.trials);
        assert_eq!(judged.trials[0].finding, Finding::CannotTell);
    }

    /// Twenty seconds out, and all of it back with it.
    #[test]
    fn what_comes_back_with_its_fuse_is_a_load_of_its_own() {
        for (back_a, expected) in [(0.160, Finding::Clears), (0.100, Finding::CannotTell)] {
            let car = TestCar::asleep(&[(0, 0.160), (600, 0.030), (620, back_a)]);
            let car = car.marked(&[(600, "pull A1"), (620, "refit A1")]);
            let judged = car.judged(40 * MIN);
            assert_eq!(judged.trials[0].finding, expected, "{back_a}");
        }
    }

    /// Live, a run that grows is judged as it is when it is judged whole.
    #[test]
    fn a_run_that_grows_is_judged_as_a_whole_one() {
        let marks = [
            (600, "pull A1"),
            (620, "pull B2"),
            (760, "pull C3"),
            (775, "pull D4"),
        ];
        let car = TestCar::asleep(&[(0, 0.160), (620, 0.100), (760, 0.030)]).marked(&marks);
        let mut memory = Memory::default();
        for end_s in (610..1800).step_by(15) {
            let session = car.until(end_s);
            let grown = again(&session, &mut memory);
            assert_eq!(grown.trials, car.judged(end_s).trials, "{end_s}");
        }
    }

    /// A pull out of sleep at 160 mA, as it is judged by itself.
    fn pulled() -> Trial {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030)]);
        car.marked(&[(600, "pull A1")]).trial(1500)
    }

    /// U is half a milliampere, the limit 50 mA.
    #[test]
    fn a_look_is_held_against_what_matters_and_the_limit() {
        for (before_a, look_a, expected) in [
            (0.160, -0.0025, Finding::NoChange),
            (0.160, -0.0035, Finding::Lowers),
            (0.160, 0.0035, Finding::Raises),
            (0.0498, -0.010, Finding::Clears),
            (0.0494, -0.010, Finding::Lowers),
            (0.060, -0.0103, Finding::Lowers),
            (0.060, -0.0110, Finding::Clears),
        ] {
            let mut trial = pulled();
            by_look(&mut trial, known(before_a), known(look_a), 0.050, 0.0);
            assert_eq!(trial.finding, expected, "{before_a} {look_a}");
        }
    }

    /// Their steps add up to within 5 mA of the whole change, each is known to half the limit, and
    /// none went the other way by more than 3 mA.
    #[test]
    fn the_looks_of_a_run_have_to_add_up() {
        let mut whole = pulled();
        whole.manner = Some(Manner::AtOnce);
        for (one_a, u_a, other_a, change_a, expected) in [
            (-0.0100, 0.0005, -0.0155, -0.030, true),
            (-0.0100, 0.0005, -0.0145, -0.030, false),
            (-0.060, 0.024, -0.070, -0.130, true),
            (-0.060, 0.026, -0.070, -0.130, false),
            (0.0025, 0.0005, -0.1325, -0.130, true),
            (0.0035, 0.0005, -0.1335, -0.130, false),
        ] {
            let mut run = [whole.clone(), whole.clone()];
            run[0].first_look = Some(Level { a: one_a, u_a });
            run[1].first_look = Some(known(other_a));
            run[1].change = Some(known(change_a));
            let told = tell_apart(&mut run, 600.0, 0.050);
            assert_eq!(told, expected, "{one_a} {u_a} {other_a}");
        }
    }

    /// Out and back within twenty seconds, by more than 5 mA and to within 5 mA, and it is the same
    /// fuse with the same part behind it.
    #[test]
    fn only_the_same_fuse_brings_its_load_back() {
        for (out_a, back_a, next, expected) in [
            (0.020, 0.016, "refit A1", true),
            (0.020, 0.0135, "refit A1", false),
            (0.0065, 0.0065, "refit A1", true),
            (0.0042, 0.0042, "refit A1", false),
            (0.020, 0.020, "refit B2", false),
            (0.020, 0.020, "swap A1", false),
        ] {
            let levels = [
                (0, 0.060),
                (600, 0.060 - out_a),
                (620, 0.060 - out_a + back_a),
            ];
            let car = TestCar::asleep(&levels).display(4, 0.000_2);
            let car = car.marked(&[(300, "pull B2"), (600, "pull A1"), (620, next)]);
            let judged = car.judged(40 * MIN);
            let found = judged.trials[1].manner == Some(Manner::AtOnce);
            assert_eq!(
                found, expected,
                "{out_a} {back_a} {next}: {:?}",
                judged.trials[1]
            );
        }
    }
}
