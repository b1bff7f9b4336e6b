//! What somebody said is no evidence: what came after the work was finished, and what was left out.

use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::mark::{Did, Mark};

/// What of a record counts, by those who made it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ByHand {
    /// When the work was finished: what follows is no evidence.
    pub finished: Option<Elapsed>,
    /// What was done to fuses and parts after that, and when.
    pub done_later: Vec<(Elapsed, Mark)>,
    /// The stretches that were left out, from when to when.
    pub left_out: Vec<(Elapsed, Elapsed)>,
}

impl ByHand {
    /// Of a session.
    pub fn of(session: &Session) -> Self {
        let finished = session.finished();
        let is_later = |at: Elapsed| finished.is_some_and(|finished| at > finished);
        let later = session
            .marks()
            .filter(|placed| placed.mark.did.is_tried() && is_later(placed.at()));
        let stretches = session.done(Did::LeaveOut);
        Self {
            finished,
            done_later: later
                .map(|placed| (placed.at(), placed.mark.clone()))
                .collect(),
            left_out: stretches
                .filter_map(|placed| placed.mark.from.zip(placed.mark.to))
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::finding::{Finding, Verdict};
    use crate::judge::judgement::Judgement;
    use crate::judge::kit::{MIN, TestCar};

    /// Asleep, mended by a pull; opened and cranked later.
    fn car(more: &[(u32, &'static str)]) -> TestCar {
        let levels = [
            (0, 0.200),
            (600, 0.020),
            (1800, 4.0),
            (2000, 150.0),
            (2010, 8.0),
        ];
        let mut marks = vec![(600, "pull A1")];
        marks.extend(more);
        marks.sort_by_key(|(t_s, _)| *t_s);
        TestCar::asleep(&levels).marked(&marks)
    }

    /// Everything but what is of the record as a whole, and what was said of it by hand.
    fn evidence(judged: &Judgement) -> Judgement {
        Judgement {
            readings: 0,
            span_s: 0.0,
            charge_ah: 0.0,
            by_hand: crate::judge::by_hand::ByHand::default(),
            ..judged.clone()
        }
    }

    #[test]
    fn what_follows_the_finish_is_no_evidence() {
        let car = car(&[(1790, "finish"), (1795, "unlock"), (1900, "refit A1")]);
        let judged = car.judged(60 * MIN);
        assert_eq!(judged.verdict, Verdict::Below);
        assert_eq!(judged.trials[0].finding, Finding::Clears);
        assert_eq!(judged.trials.len(), 1, "the refit is not judged");
        assert_eq!(judged.by_hand.done_later.len(), 1, "and that is said");
        assert!((judged.span_s - 3599.0).abs() < 2.0, "the record goes on");
    }

    /// Finished is as if the record had ended there.
    #[test]
    fn a_finished_record_is_judged_as_one_that_ended() {
        let finished = car(&[(1790, "finish")]).judged(60 * MIN);
        let ended = car(&[(1790, "finish")]).judged(1791);
        assert_eq!(evidence(&finished), evidence(&ended));
    }

    /// Work was taken up again: the last finish counts.
    #[test]
    fn of_two_finishes_the_later_one_counts() {
        let levels = [(0, 0.200), (600, 0.080), (1800, 0.020)];
        let marks = [
            (600, "pull A1"),
            (1200, "finish"),
            (1800, "pull B2"),
            (2900, "finish"),
        ];
        let judged = TestCar::asleep(&levels).marked(&marks).judged(60 * MIN);
        assert_eq!(judged.trials.len(), 2);
        assert_eq!(judged.verdict, Verdict::Below);
    }

    /// Ten minutes of a door are ten minutes of no evidence, whatever comes after.
    #[test]
    fn what_was_left_out_is_no_wake_and_changes_no_level() {
        let levels = [(0, 0.200), (600, 0.020), (1800, 1.5), (1900, 0.020)];
        let judged = |marks: &[(u32, &'static str)]| {
            let car = TestCar::asleep(&levels).marked(marks);
            car.judged(90 * MIN)
        };
        let with = judged(&[(600, "pull A1")]);
        assert!(!with.wakes.is_empty());
        let without = judged(&[(600, "pull A1"), (2000, "leave out 1795 to 1910")]);
        assert_eq!(without.wakes.len() + without.unclaimed.len(), 0);
        assert_eq!(without.verdict, Verdict::Below);
        let average = without.average.expect("it slept");
        assert!((average.level.a - 0.020).abs() < 0.001, "{average:?}");
    }

    /// The car was opened before the record ended: what was shown until then stands.
    #[test]
    fn a_stretch_left_out_at_the_end_leaves_the_verdict() {
        let judged = car(&[(2100, "leave out 1795 to 5000")]).judged(60 * MIN);
        assert_eq!(judged.verdict, Verdict::Below, "{:?}", judged.reasons);
        assert_eq!(judged.trials[0].finding, Finding::Clears);
    }
}
