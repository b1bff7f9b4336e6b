//! What does not fit together, in words, each with what to do about it.

use super::volts;
use crate::judge::contradiction::Contradiction;
use crate::judge::finding::Level;
use crate::reading::{Elapsed, quantity};

impl Contradiction {
    /// As a line.
    pub fn in_words(&self) -> String {
        format!("does not fit: {}", self.why())
    }

    /// What does not fit, and what to do about it.
    pub fn why(&self) -> String {
        why(self)
    }
}

#[expect(clippy::too_many_lines, reason = "one sentence for each")]
fn why(found: &Contradiction) -> String {
    let current = quantity::current;
    let at = |at_s: f64| quantity::clock(Elapsed::from_secs(at_s));
    let did = |change: &Option<Level>, at_s: f64| match change {
        None => format!("made no difference at {}", at(at_s)),
        Some(change) => format!(
            "made {} at {}",
            quantity::change(change.a, change.u_a),
            at(at_s)
        ),
    };
    match found {
        Contradiction::Twice {
            did: deed,
            what,
            first_s,
            first,
            again_s,
            again,
        } => format!(
            "{deed} {} {} and {}: a load that comes and goes, or one kept awake now and then; {deed} it once more, both times settled",
            what.join("+"),
            did(first, *first_s),
            did(again, *again_s)
        ),
        Contradiction::OtherLevel {
            what,
            at_s,
            was_a,
            is_a,
        } => format!(
            "with {} out the car settled at {} before and at {} after {}: something else came or went; refit it, let it settle and look again",
            what.join("+"),
            current(*was_a),
            current(*is_a),
            at(*at_s)
        ),
        Contradiction::NotBack {
            did,
            what,
            at_s,
            was_a,
            is_a,
        } if is_a < was_a => format!(
            "{did} {} at {} left {} of {} missing: a load that comes and goes, or one that has to be used once to start; unlock, use it, lock, and pull it again when the current is back",
            what.join("+"),
            at(*at_s),
            current(was_a - is_a),
            current(*was_a)
        ),
        Contradiction::NotBack {
            did,
            what,
            at_s,
            was_a,
            is_a,
        } => format!(
            "after {did} {} at {} the car draws {}, {} more than before: a module started by it may still be awake; wait longer, and look at what this circuit feeds",
            what.join("+"),
            at(*at_s),
            current(*is_a),
            current(is_a - was_a)
        ),
        Contradiction::TwoFuses { what, together_a } => format!(
            "{}: each alone changes nothing, together they take {}: one load fed by two fuses; look for the part that both feed, and unplug it",
            what.join(" and "),
            current(*together_a)
        ),
        Contradiction::FedByBoth {
            what,
            apart_a,
            together_a,
        } => format!(
            "{}: a part of it is fed by both; pull each with the other out",
            apart(what, apart_a, *together_a)
        ),
        Contradiction::FedThrough {
            what,
            apart_a,
            together_a,
        } => format!(
            "{}: one is fed through the other, or keeps the other's part awake; pull each once more, settled",
            apart(what, apart_a, *together_a)
        ),
        Contradiction::Charged {
            from_s,
            to_s,
            peak_v,
        } => volts::charged(*from_s, *to_s, *peak_v),
        Contradiction::FallsFaster {
            from_s,
            to_s,
            before_v,
            after_v,
            least_ah,
            explained_ah,
        } => volts::faster(
            &volts::fell(*from_s, *to_s, *before_v, *after_v),
            *least_ah,
            *explained_ah,
        ),
        Contradiction::FallsSlower {
            from_s,
            to_s,
            before_v,
            after_v,
            most_ah,
            explained_ah,
        } => volts::slower(
            &volts::fell(*from_s, *to_s, *before_v, *after_v),
            *most_ah,
            *explained_ah,
        ),
        Contradiction::DoNotAddUp {
            chi_square,
            dof,
            p,
            worst,
            worst_a,
        } => format!(
            "the settled levels do not add up (chi-square {chi_square:.1}, {dof} to spare, p {p:.3}): worst {}, by {}; measure that one again",
            if worst.is_empty() {
                "with everything in".to_owned()
            } else {
                format!("with {} out", worst.join("+"))
            },
            current(worst_a.abs())
        ),
    }
}

fn apart(what: &[String], apart_a: &[f64], together_a: f64) -> String {
    let parts: Vec<String> = apart_a.iter().copied().map(quantity::current).collect();
    format!(
        "{} apart take {}, together {}",
        what.join(" and "),
        parts.join(" and "),
        quantity::current(together_a)
    )
}
