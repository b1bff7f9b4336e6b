//! The first page's words: the customer's sentence, and the cautions that what is still out calls
//! for.

use crate::judge::words::customer::CustomerLines;
use crate::report::case::Case;
use crate::session::caution;
use crate::session::mark::Did;

/// What was wrong, what was done, what was shown.
pub(super) fn sentence(case: &Case, earlier: Option<&Case>) -> String {
    told(case, earlier).sentence(|label| case.named(label))
}

/// What has to be known beside it.
pub(super) fn beside(case: &Case, earlier: Option<&Case>) -> Vec<String> {
    let out = case.session.out_now().into_iter();
    let cautions = out.flat_map(|label| {
        let cautions = caution::called_for(&case.named(label)).into_iter();
        cautions
            .map(|caution| super::sentence(&format!("{}: {}", case.named(label), caution.line())))
    });
    cautions.chain(told(case, earlier).beside()).collect()
}

fn told<'a>(case: &'a Case, earlier: Option<&'a Case>) -> CustomerLines<'a> {
    let before = earlier.map(Case::unrepaired).or(case.before.as_deref());
    let mut replaced = replaced(case);
    if let Some(earlier) = earlier.filter(|_| replaced.is_empty()) {
        replaced = self::replaced(earlier);
    }
    CustomerLines {
        now: &case.judgement,
        before: before.map(|before| &before.judgement),
        earlier: earlier.map(|earlier| &earlier.judgement),
        replaced,
        out: case.session.out_now(),
    }
}

/// Each part once, in the order of the work.
fn replaced(case: &Case) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for part in case
        .session
        .done(Did::Swap)
        .flat_map(|placed| &placed.mark.what)
    {
        if !parts.contains(part) {
            parts.push(part.clone());
        }
    }
    parts
}
