//! The phases as a band below the curves, and the legend that tells what each pattern means.

use std::fmt::{self, Formatter};

use super::{GAP, WAKE, rect, words};
use crate::judge::finding::Phase;
use crate::report::plot::{PhaseBand, PhaseBlock, Plot, PlotSpan, text_width};
use crate::report::safe::Markup;

/// The lowest line of the drawing, from its bottom.
const LEGEND_UP: f64 = 12.0;

fn fill(phase: Phase) -> &'static str {
    match phase {
        Phase::Awake => "#3a3a3a",
        Phase::Falling => "url(#falling)",
        Phase::Plateau => "url(#plateau)",
        Phase::Settled => "#fff",
        Phase::Stirring => "url(#stirring)",
        Phase::Blind => "url(#blind)",
    }
}

pub(super) fn draw_band(f: &mut Formatter<'_>, plot: &Plot, band: &PhaseBand) -> fmt::Result {
    if !band.name.is_empty() {
        let at = (plot.field.left - 7.0, band.y + 14.5);
        words(f, "r b", at, band.name)?;
    }
    for PhaseBlock { at, phase, .. } in &band.blocks {
        let how = format!(
            "fill=\"{}\" stroke=\"#111\" stroke-width=\"0.3\"",
            fill(*phase)
        );
        rect(f, *at, band.y, 20.0, &how)?;
    }
    for PhaseBlock { at, phase, label } in
        band.blocks.iter().filter(|block| !block.label.is_empty())
    {
        let ink = if *phase == Phase::Awake {
            "style=\"fill:#fff\""
        } else {
            "class=\"halo\""
        };
        let (x, y) = (at.x + at.width / 2.0, band.y + 14.5);
        writeln!(
            f,
            "<text {ink} x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"middle\">{}</text>",
            Markup(label)
        )?;
    }
    let (Some(first), Some(last)) = (band.blocks.first(), band.blocks.last()) else {
        return Ok(());
    };
    let whole = PlotSpan {
        x: first.at.x,
        width: last.at.x + last.at.width - first.at.x,
    };
    rect(f, whole, band.y, 20.0, "fill=\"none\" stroke=\"#111\"")
}

/// What each pattern means, only of what is on this plot.
pub(super) fn legend(f: &mut Formatter<'_>, plot: &Plot) -> fmt::Result {
    let phases = [
        Phase::Awake,
        Phase::Falling,
        Phase::Plateau,
        Phase::Settled,
        Phase::Stirring,
        Phase::Blind,
    ];
    let blocks = || plot.bands.iter().flat_map(|band| &band.blocks);
    let seen = phases
        .into_iter()
        .filter(|phase| blocks().any(|block| block.phase == *phase));
    let mut keys: Vec<(String, &str)> = seen
        .map(|phase| (format!("fill=\"{}\"", fill(phase)), phase.word()))
        .collect();
    if !plot.wakes.is_empty() {
        keys.push((format!("fill=\"{WAKE}\""), "wake"));
    }
    if !plot.gaps.is_empty() {
        keys.push((format!("fill=\"{GAP}\""), "no readings"));
    }
    let y = plot.height - LEGEND_UP;
    let mut x = plot.field.left;
    for (how, word) in keys {
        let swatch = PlotSpan { x, width: 20.0 };
        rect(
            f,
            swatch,
            y - 10.5,
            13.0,
            &format!("{how} stroke=\"#111\" stroke-width=\"0.6\""),
        )?;
        words(f, "", (x + 25.0, y), word)?;
        x += 46.0 + text_width(word);
    }
    if plot.curves.iter().any(|curve| !curve.overs.is_empty()) {
        writeln!(
            f,
            "<path d=\"M{:.1},{:.1} l-5,9 h10 z\" fill=\"#111\"/><text x=\"{:.1}\" y=\"{y:.1}\">beyond the range</text>",
            x + 8.0,
            y - 9.5,
            x + 18.0
        )?;
    }
    Ok(())
}
