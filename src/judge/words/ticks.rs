//! What was looked at before the car was locked, in one sentence.

use crate::session::Session;
use crate::session::tick::Tick;

/// What was ticked and what was not; `None` where nobody ticked anything.
pub fn before_the_lock(session: &Session) -> Option<String> {
    let (done, open): (Vec<Tick>, Vec<Tick>) = Tick::ALL
        .into_iter()
        .partition(|tick| tick.is_done(session));
    let ticked = session
        .marks()
        .any(|placed| Tick::of(&placed.mark).is_some());
    let named = |ticks: &[Tick]| {
        ticks
            .iter()
            .map(|tick| tick.word())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let left = if open.is_empty() {
        String::new()
    } else {
        format!("; not ticked: {}", named(&open))
    };
    ticked.then(|| format!("before the lock: {}{left}", named(&done)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Elapsed;
    use crate::session::mark::parse_mark;
    use crate::session::{Entry, Fact, Header, MarkId};

    #[test]
    fn what_was_ticked_and_what_was_not_is_said_once_somebody_ticks() {
        let mut session = Session::new(Header::default());
        assert_eq!(before_the_lock(&session), None);
        let text = format!("note {}", Tick::Key.text());
        let fact = Fact::Mark(Box::new(parse_mark(MarkId(1), &text).unwrap()));
        session.apply(&Entry {
            t: Elapsed::ZERO,
            fact,
        });
        assert_eq!(
            before_the_lock(&session).unwrap(),
            "before the lock: key out of range; not ticked: battery tested, charger off, plug-in \
             devices off, latches and bonnet switch closed"
        );
    }
}
