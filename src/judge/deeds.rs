//! What was done to the car, each thing once: words do nothing, and a key pressed twice is one deed.

use super::mark_tolerance;
use crate::session::{Placed, Session};

/// The deeds of a session, in the order in which they were done.
pub(super) fn deeds(session: &Session) -> Vec<&Placed> {
    let mut deeds: Vec<&Placed> = Vec::new();
    for placed in session.marks().filter(|p| p.mark.did.touches()) {
        if !deeds.last().is_some_and(|last| is_again(last, placed)) {
            deeds.push(placed);
        }
    }
    deeds
}

/// The same thing done to the same labels, too shortly after for hands.
fn is_again(last: &Placed, next: &Placed) -> bool {
    let same = last.mark.did == next.mark.did && last.mark.what == next.mark.what;
    same && mark_tolerance::apart_s(next.at(), last.at()).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::kit::TestCar;
    use crate::reading::Elapsed;
    use crate::session::entry::{Entry, Fact};
    use crate::session::mark::{MarkId, parse_mark};

    #[test]
    fn a_key_pressed_twice_is_one_deed_and_a_word_is_none() {
        let mut session = Session::new(header::unknown());
        let marks = [
            (10.0, "pull E12"),
            (11.0, "pull E12"),
            (12.0, "pull E13"),
            (13.0, "note E13 was hot"),
            (14.0, "refit E13"),
            (60.0, "refit E13"),
        ];
        for (id, (t_s, cell)) in (1..).zip(marks) {
            let t = Elapsed::from_secs(t_s);
            let fact = Fact::Mark(Box::new(parse_mark(MarkId(id), cell).unwrap()));
            session.apply(&Entry { t, fact });
        }
        let ids = deeds(&session).into_iter().map(|placed| placed.mark.id.0);
        assert_eq!(ids.collect::<Vec<_>>(), [1, 3, 5, 6]);
    }

    /// Another deed on the same fuse, the same on another, or the same later than a hand: two.
    #[test]
    fn only_the_same_deed_on_the_same_fuse_at_once_is_one() {
        for (next_s, next, expected) in [
            (68, "pull A1", 1),
            (69, "pull A1", 2),
            (61, "pull B2", 2),
            (61, "refit A1", 2),
        ] {
            let car = TestCar::asleep(&[(0, 0.2)]).marked(&[(60, "pull A1"), (next_s, next)]);
            assert_eq!(deeds(&car.until(120)).len(), expected, "{next} at {next_s}");
        }
    }
}
