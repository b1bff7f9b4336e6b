//! Stages after a removal: a level that was taken for the end, and from which the car then fell
//! further by itself, was a stage on its way to sleep.

use super::{Settling, Stretch, Walk};
use crate::judge::finding::Phase;
use crate::judge::hand::HAND_S;
use crate::judge::hold;
use crate::reading::Elapsed;
use crate::session::{Placed, Session};

/// When the removal was made after which `settling` was reached by a late fall; `None` when the
/// current fell with the removal, or not at all.
#[must_use]
pub fn late_since(session: &Session, settling: &Settling) -> Option<Elapsed> {
    let by = settling.fuse_state.checked_sub(1)?;
    let mut tried = session.marks().filter(|p| p.mark.did.is_tried());
    let removal = tried.nth(by).filter(|p| p.mark.did.removes())?.at();
    let mut changes = session.signal().changes().iter();
    let late = changes.any(|change| {
        change.to_a < change.from_a
            && change.t > removal.plus_secs(HAND_S)
            && change.t <= settling.data_from
    });
    late.then_some(removal)
}

/// Takes back every settled stretch that turned out to be a stage.
pub(super) fn take_back(session: &Session, timeout_s: f64, walk: &mut Walk) {
    for i in (1..walk.settlings.len()).rev() {
        let (Some(stage), Some(end)) = (walk.settlings.get(i - 1), walk.settlings.get(i)) else {
            continue;
        };
        if !is_stage(session, timeout_s, walk, stage, end) {
            continue;
        }
        let stage = walk.settlings.remove(i - 1);
        unsettle(&mut walk.stretches, &stage);
    }
}

fn is_stage(
    session: &Session,
    timeout_s: f64,
    walk: &Walk,
    stage: &Settling,
    end: &Settling,
) -> bool {
    let fell = end.level_a < stage.level_a && !hold::near(end.level_a, stage.level_a);
    if !fell || stage.fuse_state != end.fuse_state {
        return false;
    }
    let between = |t: Elapsed| stage.to <= t && t <= end.proven;
    let mut marks = session.marks().map(Placed::at);
    let mut gaps = session.signal().gaps().iter();
    let by_itself = !marks.any(between)
        && !walk.wakes.iter().any(|wake| between(wake.from))
        && !gaps.any(|gap| gap.to > stage.to && gap.from < end.data_from);
    by_itself
        && late_since(session, stage)
            .is_some_and(|removal| end.data_from <= removal.plus_secs(timeout_s))
}

fn unsettle(stretches: &mut Vec<Stretch>, stage: &Settling) {
    for stretch in stretches.iter_mut() {
        let within = stretch.from >= stage.data_from && stretch.from < stage.to;
        if within && stretch.phase == Phase::Settled {
            stretch.phase = Phase::Plateau;
        }
    }
    stretches.dedup_by(|later, earlier| {
        let same = later.phase == earlier.phase;
        if same {
            earlier.to = later.to;
        }
        same
    });
}
