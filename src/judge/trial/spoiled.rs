//! What spoils a trial between its mark and the level that settled after it, and what to do.

use super::Tried;
use crate::reading::quantity;
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// Why the trial counts for nothing, and how to mend it; `None` when nothing spoiled it.
pub(super) fn spoiled(session: &Session, tried: &Tried<'_>) -> Option<String> {
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
