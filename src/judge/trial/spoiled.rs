//! What spoils a trial between its mark and the level that settled after it, and what to do.

use super::Tried;
use crate::judge::levels;
use crate::judge::uncertainty::Estimate;
use crate::reading::quantity;
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// Why the trial counts for nothing, and how to mend it; `None` when nothing spoiled it.
pub(super) fn spoiled(
    session: &Session,
    tried: &Tried<'_>,
    before: Option<&Estimate>,
) -> Option<String> {
    misnamed(session, tried)
        .or_else(|| dead(tried, before))
        .or_else(|| disturbed(session, tried))
}

/// Put back what never came out, or taken out what is out already: another fuse was meant.
fn misnamed(session: &Session, tried: &Tried<'_>) -> Option<String> {
    let did = tried.placed.mark.did;
    let is_back = matches!(did, Did::Refit | Did::Plug);
    if !is_back && !did.removes() {
        return None;
    }
    let out = &tried.out_before;
    let wrong = |label: &&String| out.contains(label) != is_back;
    let label = tried.placed.mark.what.iter().find(wrong)?;
    if !is_back {
        let mut before = session.marks().rev().filter(|placed| {
            placed.at() <= tried.placed.at() && placed.mark.id != tried.placed.mark.id
        });
        let since = before.find(|p| p.mark.did.removes() && p.mark.what.contains(label))?;
        return Some(format!(
            "{label} is out already, since {}: which one was it? Strike this mark and make it again",
            quantity::clock(since.at())
        ));
    }
    let are_out = if out.is_empty() {
        "nothing is out".to_owned()
    } else {
        format!("out are: {}", out.join(", "))
    };
    Some(format!(
        "{label} was never out; {are_out}: which one was it? Strike this mark and make it again"
    ))
}

/// The meter saw no current at all, before or after.
fn dead(tried: &Tried<'_>, before: Option<&Estimate>) -> Option<String> {
    let after = tried.after.as_ref().map(|(_, after)| after);
    let (went, level) = match (before, after) {
        (Some(before), _) if levels::is_dead(before.a) => ("had gone", before),
        (_, Some(after)) if levels::is_dead(after.a) => ("went", after),
        _ => return None,
    };
    let to = if level.a == 0.0 && level.spread_a == 0.0 {
        "exactly zero".to_owned()
    } else {
        quantity::current(level.a)
    };
    Some(format!(
        "the meter {went} to {to}, which no car with its battery connected draws: check the meter's fuse and leads, then {}",
        if tried.removes() {
            again(tried.placed.mark.did, &tried.labels())
        } else {
            "let the car settle anew".into()
        }
    ))
}

fn disturbed(session: &Session, tried: &Tried<'_>) -> Option<String> {
    let at = tried.placed.at();
    let proven = tried.after.map(|(settling, _)| settling.proven);
    let end = proven
        .or(tried.next.map(Placed::at))
        .unwrap_or(session.last_t());
    let (by, when) = session
        .marks()
        .filter(|placed| placed.at() > at && placed.at() < end)
        .find_map(|placed| Some((words(placed.mark.did)?, placed.at())))?;
    let after = quantity::span(when.secs_since(at));
    Some(format!(
        "{by} {after} after it, before the current had settled: {}",
        again(tried.placed.mark.did, &tried.labels())
    ))
}

/// A lock or unlock starts the wait anew for another reason; a zeroing moves every later reading.
const fn words(did: Did) -> Option<&'static str> {
    match did {
        Did::Lock => Some("the car was locked"),
        Did::Unlock => Some("the car was unlocked"),
        Did::Zero => Some("the clamp was zeroed"),
        Did::Pull | Did::Refit | Did::Unplug | Did::Plug | Did::Swap | Did::Note => None,
    }
}

fn again(did: Did, labels: &str) -> String {
    match did {
        Did::Pull => format!("refit {labels}, let the car sleep and pull it again"),
        Did::Unplug => format!("plug {labels} in, let the car sleep and unplug it again"),
        Did::Refit | Did::Plug | Did::Swap | Did::Lock | Did::Unlock | Did::Zero | Did::Note => {
            "let the car sleep; the level that it settles at still counts".into()
        }
    }
}
