//! The lines behind the curves and the labels beside them.

use std::fmt::{self, Formatter};

use super::words;
use crate::report::plot::{FOOT, Plot, Ruled, WIDTH, text_width};
use crate::report::safe::Markup;

pub(super) fn grid(f: &mut Formatter<'_>, plot: &Plot) -> fmt::Result {
    let field = plot.field;
    let right = field.left + field.width;
    let mut across = |y: f64, stroke: &str| {
        writeln!(
            f,
            "<path d=\"M{:.1},{y:.1} H{right:.1}\" stroke=\"{stroke}\" stroke-width=\"0.8\"/>",
            field.left
        )
    };
    for y in &plot.fine {
        across(*y, "#e4e4e4")?;
    }
    for Ruled { at, .. } in &plot.currents {
        across(*at, "#b5b5b5")?;
    }
    for Ruled { at, label, .. } in &plot.currents {
        words(f, "r", (field.left - 7.0, at + 4.3), label)?;
    }
    let (left, top, width, height) = (field.left, field.top, field.width, field.height);
    writeln!(
        f,
        "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"none\" stroke=\"#111\"/>"
    )
}

pub(super) fn time_axis(f: &mut Formatter<'_>, plot: &Plot) -> fmt::Result {
    let field = plot.field;
    let bottom = field.top + field.height;
    let below = plot.height - FOOT;
    for Ruled {
        at,
        label,
        below: day,
    } in &plot.times
    {
        let widest = day
            .as_ref()
            .map_or(0.0, |day| text_width(day))
            .max(text_width(label));
        let class = if at + widest / 2.0 > WIDTH { "r" } else { "m" };
        writeln!(
            f,
            "<path d=\"M{at:.1},{:.1} V{bottom:.1} M{at:.1},{below:.1} v4\" stroke=\"#b5b5b5\" stroke-width=\"0.8\"/>",
            field.top
        )?;
        words(f, class, (*at, below + 17.0), label)?;
        if let Some(day) = day {
            words(f, class, (*at, below + 32.0), day)?;
        }
    }
    for Ruled { at, label, .. } in &plot.changes {
        writeln!(
            f,
            "<path d=\"M{at:.1},{:.1} V{bottom:.1}\" stroke=\"#111\" stroke-dasharray=\"1 3\"/>\
             <text class=\"halo m\" x=\"{at:.1}\" y=\"{:.1}\">{}</text>",
            field.top,
            bottom - 6.0,
            Markup(label)
        )?;
    }
    let at = (field.left + field.width, below + 48.0);
    words(f, "r", at, &plot.time_title)
}
