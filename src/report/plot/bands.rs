//! What lies along the time axis: phases, wakes, gaps.

use super::{Map, PhaseBand, PhaseBlock, PlotSpan, text_width};
use crate::judge::PhaseSpan;
use crate::judge::finding::Phase;
use crate::reading::quantity;
use crate::report::case::Case;

pub(super) fn band(case: &Case, map: &Map, y: f64, name: &'static str) -> PhaseBand {
    let block = |span: &PhaseSpan| {
        let at = map.stretch(span.from, span.to, 1.0);
        let word = span.phase.word();
        let level = span
            .level
            .filter(|_| span.phase != Phase::Falling && span.phase != Phase::Awake);
        let long =
            level.map(|level| format!("{word} {}", quantity::level_alone(level.a, level.u_a)));
        let fits = |text: &String| text_width(text) + 4.0 <= at.width;
        let label = long
            .filter(fits)
            .or_else(|| Some(word.to_owned()).filter(fits));
        PhaseBlock {
            at,
            phase: span.phase,
            label: label.unwrap_or_default(),
        }
    };
    PhaseBand {
        y,
        name,
        blocks: case.judgement.phases.iter().map(block).collect(),
    }
}

pub(super) fn gaps(case: &Case, map: &Map) -> Vec<PlotSpan> {
    let blocks = case.session.signal().track().blocks();
    let pairs = blocks.iter().zip(blocks.iter().skip(1));
    let gaps = pairs.filter(|(_, next)| next.is_after_gap());
    map.joined(gaps.map(|(block, next)| {
        (
            block.begins().plus_secs(1.0).min(next.begins()),
            next.begins(),
        )
    }))
}

pub(super) fn wakes(case: &Case, map: &Map) -> Vec<PlotSpan> {
    let wakes = case.judgement.wakes.iter();
    map.joined(wakes.map(|wake| (wake.from, wake.to)))
}
