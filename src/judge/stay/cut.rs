//! Where stays begin: at each deed, and there where the signal shows it if it does.

use std::collections::BTreeMap;

use super::asleep::SleepProof;
use super::{Basis, Opening, Stay, Stays};
use crate::judge::mark_tolerance;
use crate::judge::setup::Setup;
use crate::reading::Elapsed;
use crate::session::mark::MarkId;

/// The record in stays that nobody has looked at yet.
pub(super) fn cut(basis: &Basis<'_>) -> Stays {
    let session = basis.session;
    let shown = shown_at(basis);
    let start = session.signal().first_t().unwrap_or_default();
    let mut stays = Stays {
        all: vec![beginning(start, Opening::Start, 0)],
        ..Stays::default()
    };
    let mut setup = Setup::default();
    stays.number(&setup);
    for placed in &basis.deeds {
        let mark = &placed.mark;
        let at = shown.get(&mark.id).copied().unwrap_or(placed.at());
        setup.change(mark);
        let here = stays.number(&setup);
        let at = stays.all.last().map_or(at, |last| at.max(last.from));
        if let Some(last) = stays.all.last_mut() {
            last.to = at;
        }
        stays
            .all
            .push(beginning(at, Opening::Deed(mark.id, mark.did), here));
    }
    let end = basis.end();
    if let Some(last) = stays.all.last_mut() {
        last.to = end.max(last.from);
        last.is_open = true;
    }
    stays
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
        let Some((apart_s, placed)) = mark_tolerance::nearest(&basis.deeds, change.t) else {
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
