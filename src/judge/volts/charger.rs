//! A charger, a support supply or the running engine: the battery stands well above its rest.

use crate::judge::lattice::{Allows, Ruling};
use crate::judge::reason::VerdictReason;
use crate::judge::rules::{CHARGER_S, CHARGER_V, HOLE_S, SAME_SHARE, SPARSE_S};
use crate::judge::stay::Basis;
use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::volts::VoltsBlock;

/// A stretch in which something charged the battery, or had just charged it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charging {
    /// From when.
    pub from: Elapsed,
    /// Until when.
    pub to: Elapsed,
    /// The highest voltage in it.
    pub peak_v: f64,
}

impl Charging {
    /// How long it lasts, in seconds.
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

/// Every such stretch, in order. A typed voltage stands for itself; of a meter that sends, a moment
/// is none.
pub(super) fn charging(session: &Session) -> Vec<Charging> {
    let blocks = session.volts().blocks();
    let is_high = |block: &VoltsBlock| block.mean_v > CHARGER_V;
    let mut found = Vec::new();
    let mut at: usize = 0;
    for run in blocks.chunk_by(|one, next| is_high(one) == is_high(next)) {
        let before = at.checked_sub(1).and_then(|at| blocks.get(at));
        at += run.len();
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        if !is_high(first) {
            continue;
        }
        let next = blocks.get(at).map_or(session.last_t(), |next| next.from);
        let alone_before = before.is_none_or(|before| apart(before.to, first.from));
        let is_typed = alone_before && apart(last.to, next);
        if is_typed || last.to.secs_since(first.from) >= CHARGER_S {
            let peak_v = run.iter().map(|block| block.max_v).fold(0.0, f64::max);
            found.push(Charging {
                from: first.from,
                to: last.to,
                peak_v,
            });
        }
    }
    found
}

fn apart(one: Elapsed, next: Elapsed) -> bool {
    next.secs_since(one) > SPARSE_S
}

/// What is measured while something charges the battery is not the draw of a parked car.
pub(in crate::judge) fn ruling(basis: &Basis<'_>, from: Elapsed, to: Elapsed) -> Option<Ruling> {
    let within = |it: &Charging| it.to > from && it.from < to;
    let stretches: Vec<Charging> = charging(basis.session).into_iter().filter(within).collect();
    let overlap_s = |it: &Charging| it.to.min(to).secs_since(it.from.max(from));
    let for_s: f64 = stretches.iter().map(overlap_s).sum();
    let peak_v = stretches.iter().map(|it| it.peak_v).fold(0.0, f64::max);
    let first = stretches.first()?;
    let reason = VerdictReason::Charging {
        at_s: first.from.max(from).secs(),
        for_s,
        peak_v,
    };
    let matters = for_s >= (2.0 * HOLE_S).max(SAME_SHARE * to.secs_since(from));
    let allows = if matters {
        Allows::CannotTell
    } else {
        Allows::All
    };
    Some(Ruling::new(reason, allows))
}
