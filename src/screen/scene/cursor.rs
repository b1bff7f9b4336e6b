//! What the cursor reads: the time, the current in its cell, the phase, the marks there.

use chrono::TimeDelta;

use super::plot::{GUTTER, stirred};
use super::volts;
use crate::desk::Model;
use crate::reading::{Elapsed, quantity, statistics};
use crate::screen::{Line, Role, width};
use crate::signal::track::Track;

/// The row under the plot, while the cursor is on.
pub fn line(model: &Model, track: &Track, columns: u16) -> Vec<Line> {
    let Some(at) = model.view().cursor else {
        return Vec::new();
    };
    let cells = columns.saturating_sub(GUTTER).max(1);
    let half_s = (model.view().span_s() / f64::from(cells) / 2.0).max(0.5);
    let (from, to) = (at.plus_secs(-half_s), at.plus_secs(half_s));
    let began = model.session().header().started;
    let clock = began
        .checked_add_signed(TimeDelta::milliseconds(at.ms()))
        .map_or_else(String::new, |time| time.format("%H:%M:%S").to_string());
    let mut line = Line::new(Role::Key, "cursor ")
        .and(Role::Strong, quantity::clock(at))
        .and(Role::Dim, format!("  {clock}"));
    if columns >= 100
        && let Some(stirred) = stirred(model)
    {
        let since_s = at.secs_since(stirred);
        let sign = if since_s < 0.0 { "-" } else { "+" };
        let since = quantity::span(since_s.abs());
        line = line.and(Role::Dim, format!("  {sign}{since} from the last stirring"));
    }
    line = line.and(Role::Strong, format!("  {}", current(track, from, to)));
    line = line.and(Role::Plain, volts::under_cursor(model, from, to));
    let phases = &model.judgement().phases;
    if let Some(span) = phases.iter().find(|span| span.from <= at && at <= span.to) {
        line = line
            .and(Role::Plain, "  ")
            .and(Role::Phase(span.phase), span.phase.word());
    }
    for placed in model.session().marks() {
        if (from..=to).contains(&placed.at()) {
            let mark = width::sanitize(&placed.mark.to_string());
            line = line.and(Role::Flag, format!("  {mark}"));
        }
    }
    vec![line]
}

/// The current in `from..to`: its mean where it is level, from lowest to highest where not.
fn current(track: &Track, from: Elapsed, to: Elapsed) -> String {
    let Some(extent) = track.extent(from, to) else {
        return held(track, from);
    };
    if extent.min_a > extent.max_a {
        return "beyond the range".into();
    }
    let low = quantity::current(f64::from(extent.min_a));
    let high = quantity::current(f64::from(extent.max_a));
    let over = if extent.over {
        ", and beyond the range"
    } else {
        ""
    };
    if low == high {
        return format!("{}{over}", mean(track, from, to).unwrap_or(low));
    }
    format!("{low} to {high}{over}")
}

fn mean(track: &Track, from: Elapsed, to: Elapsed) -> Option<String> {
    let values = track.values(from, to);
    (!values.is_empty()).then(|| quantity::current(statistics::mean(&values)))
}

/// Between two readings of a slow meter, or under a cursor finer than a second, the one before
/// still holds; across a gap nothing does.
fn held(track: &Track, at: Elapsed) -> String {
    let before = track.between(Elapsed::from_ms(i64::MIN), at).last();
    let after = track.between(at, Elapsed::from_ms(i64::MAX)).first();
    match (before, after) {
        (Some(before), Some(after)) if !after.is_after_gap() && before.is_read() => {
            quantity::current(before.a())
        }
        (Some(_), Some(_)) => "a gap: nothing was measured".into(),
        (None, _) | (_, None) => "no reading".into(),
    }
}
