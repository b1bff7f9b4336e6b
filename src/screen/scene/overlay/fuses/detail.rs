//! What is known of one fuse of the map: the fuse itself, what it feeds, what came of pulling it,
//! what the millivolts across it said, and what the plan holds of it.

use crate::desk::grid::Cell;
use crate::fuse::{blade, drop};
use crate::reading::number;
use crate::screen::{Line, Role};

/// What is known of the selected fuse, in at most `rows` rows.
pub(super) fn detail(cell: &Cell<'_>, inner: u16, rows: u16) -> Vec<Line> {
    let (circuit, known) = (&cell.circuit, &cell.known);
    let mut lines = vec![Line::default()];
    let mut head = Line::new(Role::Strong, circuit.on_lid());
    if circuit.on_lid() != circuit.kept() {
        head = head.and(Role::Dim, format!("   box {}", circuit.in_box));
    }
    if let Some(fuse) = printed(cell) {
        head = head.and(Role::Plain, format!("   {fuse}"));
    }
    head = if known.is_out {
        head.and(Role::Bad, "   OUT")
    } else {
        head.and(Role::Dim, "   in")
    };
    lines.push(head);
    if !circuit.feeds.is_empty() {
        let feeds = format!("feeds {}", circuit.feeds.join("; "));
        lines.extend(Line::wrapped(Role::Plain, &feeds, inner, 1));
    }
    if let Some(trial) = known.tried {
        let with = if trial.what.len() > 1 {
            " (pulled with others)"
        } else {
            ""
        };
        let said = format!("{}{with}: {}", trial.result(), trial.why());
        let role = Role::of_finding(trial.finding);
        lines.extend(Line::wrapped(role, &said, inner, 2));
    }
    if let Some(read) = known.read() {
        lines.extend(Line::wrapped(
            Role::Plain,
            &format!("read {read}"),
            inner,
            1,
        ));
    }
    if let Some(p) = known.p {
        let percent = number::round_to_i64(p * 100.0);
        let next = if known.is_next { ", next" } else { "" };
        lines.push(Line::new(
            Role::Plain,
            format!("plan: {percent} % likely to be the one{next}"),
        ));
    }
    lines.truncate(usize::from(rows));
    lines
}

fn printed(cell: &Cell<'_>) -> Option<String> {
    let rating_a = cell.circuit.rating_a?;
    let style = cell.circuit.style.as_deref();
    let known = style.and_then(|style| style.parse().ok());
    let fuse = match (known, style) {
        (Some(style), _) => drop::Printed { style, rating_a }.to_string(),
        (None, Some(style)) => format!("{rating_a} A {style}"),
        (None, None) => format!("{rating_a} A"),
    };
    let colour = blade::colour(rating_a).filter(|_| has_colour(cell));
    Some(match colour {
        Some(colour) => format!("{fuse}, {colour}"),
        None => fuse,
    })
}

/// Blades have their rating's colour; of a cartridge nothing is known, and an unnamed style is
/// most often a blade.
pub(super) fn has_colour(cell: &Cell<'_>) -> bool {
    let style = cell.circuit.style.as_deref();
    match style.map(str::parse::<blade::Style>) {
        None => true,
        Some(Ok(style)) => match style {
            blade::Style::Blade
            | blade::Style::Mini
            | blade::Style::LowMini
            | blade::Style::Micro2
            | blade::Style::Micro3 => true,
            blade::Style::Maxi | blade::Style::Cartridge => false,
        },
        Some(Err(_)) => false,
    }
}
