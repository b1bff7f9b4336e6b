//! Where stays begin: at each deed, and there where the signal shows it if it does.

use std::collections::BTreeMap;

use super::asleep::SleepProof;
use super::{Basis, Opening, Stay, Stays};
use crate::judge::mark_tolerance;
use crate::judge::setup::Setup;
use crate::reading::Elapsed;
use crate::session::Placed;
use crate::session::mark::{Did, Mark, MarkId};

/// What the state of the car, or what is known of it, changes with.
enum CutPoint<'a> {
    Deed(&'a Placed),
    Announced(&'a Mark),
    Unnamed,
}

/// The record in stays that nobody has looked at yet.
pub(super) fn cut(basis: &Basis<'_>) -> Stays {
    let start = basis.session.signal().first_t().unwrap_or_default();
    let mut stays = Stays {
        all: vec![beginning(start, Opening::Start, 0)],
        ..Stays::default()
    };
    let mut setup = Setup::default();
    stays.number(&setup);
    for (at, turn) in turns(basis) {
        let opening = match turn {
            CutPoint::Deed(placed) => {
                setup.change(&placed.mark);
                Opening::Deed(placed.mark.id, placed.mark.did)
            }
            CutPoint::Announced(mark) => {
                setup.announce(mark);
                Opening::Unnamed
            }
            CutPoint::Unnamed => {
                setup.guess();
                Opening::Unnamed
            }
        };
        let here = stays.number(&setup);
        let at = stays.all.last().map_or(at, |last| at.max(last.from));
        if let Some(last) = stays.all.last_mut() {
            last.to = at;
        }
        stays.all.push(beginning(at, opening, here));
    }
    let end = basis.end();
    if let Some(last) = stays.all.last_mut() {
        last.to = end.max(last.from);
        last.is_open = true;
    }
    stays
}

/// All of them with their moments: deeds in the order of their marks, the rest as it came between.
fn turns<'a>(basis: &Basis<'a>) -> Vec<(Elapsed, CutPoint<'a>)> {
    let shown = shown_at(basis);
    let runs = basis.session.done(Did::Run);
    let announced = runs.map(|placed| (placed.at(), CutPoint::Announced(&placed.mark)));
    let falls = basis.open_falls.iter();
    let unnamed = falls.map(|fall| (fall.t, CutPoint::Unnamed));
    let mut between: Vec<(Elapsed, CutPoint<'a>)> = announced.chain(unnamed).collect();
    between.sort_by_key(|(at, _)| *at);
    let mut between = between.into_iter().peekable();
    let mut turns = Vec::new();
    for placed in &basis.deeds {
        let at = shown.get(&placed.mark.id).copied();
        let at = at.unwrap_or(placed.at());
        while let Some(earlier) = between.next_if(|(t, _)| *t < at) {
            turns.push(earlier);
        }
        turns.push((at, CutPoint::Deed(placed)));
    }
    turns.extend(between);
    turns
}

fn beginning(from: Elapsed, opening: Opening, setup: usize) -> Stay {
    Stay {
        from,
        to: from,
        opening,
        setup,
        marked: setup,
        is_open: false,
        clock: from,
        was_left: false,
        shown: None,
        rest: SleepProof::default(),
    }
}

/// Where the signal shows the deeds of marks: the change nearest to each, and none is of two.
fn shown_at(basis: &Basis<'_>) -> BTreeMap<MarkId, Elapsed> {
    let session = basis.session;
    let mut found: BTreeMap<MarkId, (f64, Elapsed)> = BTreeMap::new();
    for change in session.signal().changes() {
        let Some((apart_s, placed)) = mark_tolerance::deed_of(basis, change) else {
            continue;
        };
        let id = placed.mark.id;
        let nearer = found.get(&id).is_none_or(|(known_s, _)| apart_s < *known_s);
        if nearer {
            found.insert(id, (apart_s, change.t));
        }
    }
    found.into_iter().map(|(id, (_, t))| (id, t)).collect()
}
