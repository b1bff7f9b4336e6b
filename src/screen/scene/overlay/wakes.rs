//! The page of the wakes: at which hours they come and what they take, then each of them, the newest
//! first.

use super::{Overlay, panel, paragraph, scrolled};
use crate::desk::Model;
use crate::judge::finding::Wake;
use crate::judge::{Judgement, words};
use crate::reading::{capitalised, quantity};
use crate::screen::{Areas, Line, Role, width};

const NONE_YET: &str = "No wake yet. A wake is a rise out of the settled level that goes by itself: \
    it counts once the car has settled.";

pub(super) fn wakes(model: &Model, areas: &Areas) -> Overlay {
    let inner = panel(areas).inner().width;
    let judgement = model.judgement();
    let said = if judgement.wakes.is_empty() {
        paragraph(Role::Plain, NONE_YET, inner)
    } else {
        page(judgement, inner)
    };
    scrolled(model, areas, "WAKES: when, and what they take", said)
}

fn page(judgement: &Judgement, inner: u16) -> Vec<Line> {
    let mut lines = Vec::new();
    for said in words::pattern::lines(judgement) {
        lines.extend(paragraph(Role::Plain, &capitalised(&said), inner));
    }
    if !lines.is_empty() {
        lines.push(Line::default());
    }
    let heading = cells(["for", "up to", "above rest", "of a day's draw"].map(str::to_owned));
    lines.push(Line::new(
        Role::Dim,
        format!("{}{heading}", width::left("", WHEN)),
    ));
    lines.extend(
        judgement
            .wakes
            .iter()
            .rev()
            .map(|wake| row(judgement, wake)),
    );
    lines
}

/// Cells of the time.
const WHEN: u16 = 17;

fn row(judgement: &Judgement, wake: &Wake) -> Line {
    let clock = words::pattern::clock(judgement, wake.from);
    let when = clock.unwrap_or_else(|| quantity::clock(wake.from));
    Line::new(Role::Strong, width::left(&when, WHEN))
        .and(Role::Plain, cells(words::pattern::row(judgement, wake)))
}

fn cells([lasts, peak, charge, share]: [String; 4]) -> String {
    let [lasts, share] = [width::right(&lasts, 10), width::right(&share, 17)];
    let [peak, charge] = [&peak, &charge].map(|text| width::right(text, 15));
    format!("{lasts}{peak}{charge}{share}")
}
