//! A frame of the board, cell by cell, as SVG.

use std::fmt::Write as _;

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

use crate::shapes::{self, CELL};

/// How far below the top of its cell a text stands.
const BASE: u32 = 14;
const GROUND: &str = "#14171a";
const INK: &str = "#d8dee3";

/// What a run of cells has in common.
#[derive(Clone, Copy, PartialEq)]
struct Look {
    ink: &'static str,
    ground: Option<&'static str>,
    bold: bool,
}

fn look(cell: &Cell) -> Look {
    let ink = colour(cell.fg);
    let reversed = cell.modifier.contains(Modifier::REVERSED);
    Look {
        ink: if reversed { GROUND } else { ink },
        ground: reversed.then_some(ink),
        bold: cell.modifier.contains(Modifier::BOLD),
    }
}

/// The sixteen colours as a quiet palette; a terminal's own may differ.
const fn colour(colour: Color) -> &'static str {
    match colour {
        Color::Black => "#1d2226",
        Color::Red => "#d9534f",
        Color::Green => "#5fae57",
        Color::Yellow => "#c9a227",
        Color::Blue => "#5b8fd0",
        Color::Magenta => "#b071c4",
        Color::Cyan => "#3fa7a3",
        Color::Gray => "#b8bfc5",
        Color::DarkGray => "#8a939a",
        Color::LightRed => "#ff7b72",
        Color::LightGreen => "#7fd67a",
        Color::LightYellow => "#f2cc60",
        Color::LightBlue => "#8ab4f0",
        Color::LightMagenta => "#d79be8",
        Color::LightCyan => "#6fd6d2",
        Color::White => "#ffffff",
        Color::Reset | Color::Rgb(..) | Color::Indexed(_) => INK,
    }
}

fn rows(frame: &Buffer) -> impl Iterator<Item = &[Cell]> {
    frame.content.chunks(usize::from(frame.area.width))
}

/// The same frame as plain lines.
pub(crate) fn text(frame: &Buffer) -> String {
    let line = |row: &[Cell]| row.iter().map(Cell::symbol).collect::<String>() + "\n";
    rows(frame).map(line).collect()
}

/// The whole picture.
pub(crate) fn picture(frame: &Buffer) -> String {
    let mut out = begun(frame);
    draw_cells(&mut out, frame);
    out.push_str("</svg>\n");
    out
}

/// Pictures one after the other, each for so long, round and round (SVG 1.1, 19.2.8, `visibility` in
/// discrete steps). Where nothing moves the last one stands.
pub(crate) fn moving(frames: &[Buffer], each_s: f64) -> String {
    let last = frames.len().saturating_sub(1);
    let share = |count: usize| {
        let [count, all] = [count, frames.len()].map(|n| f64::from(u32::try_from(n).unwrap()));
        (count / all, each_s * all)
    };
    let (_, whole_s) = share(0);
    let mut out = frames.first().map(begun).unwrap_or_default();
    for (n, frame) in frames.iter().enumerate() {
        let ((from, _), (to, _)) = (share(n), share(n + 1));
        let (values, times) = match n {
            0 => ("visible;hidden", format!("0;{to:.4}")),
            n if n == last => ("hidden;visible", format!("0;{from:.4}")),
            _ => ("hidden;visible;hidden", format!("0;{from:.4};{to:.4}")),
        };
        let stands = if n == last { "visible" } else { "hidden" };
        writeln!(out, r#"<g visibility="{stands}">"#).unwrap();
        writeln!(
            out,
            r#"<animate attributeName="visibility" calcMode="discrete" values="{values}" keyTimes="{times}" dur="{whole_s}s" repeatCount="indefinite"/>"#
        )
        .unwrap();
        draw_cells(&mut out, frame);
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

fn begun(frame: &Buffer) -> String {
    let (width, height) = CELL;
    let (columns, lines) = (u32::from(frame.area.width), u32::from(frame.area.height));
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{0}" height="{1}" viewBox="0 0 {0} {1}" font-family="ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace" font-size="15">
<rect width="100%" height="100%" rx="6" fill="{GROUND}"/>
"#,
        (columns + 2) * width,
        lines * height + width
    )
}

fn draw_cells(out: &mut String, frame: &Buffer) {
    let (width, height) = CELL;
    for (row, y) in rows(frame).zip(0..) {
        let mut x = 0;
        for run in row.chunk_by(|a, b| look(a) == look(b)) {
            let text: String = run.iter().map(Cell::symbol).collect();
            let count = u32::try_from(run.len()).unwrap();
            let corner = ((x + 1) * width, y * height + width / 2);
            if let Some(first) = run.first() {
                draw_run(out, look(first), &text, corner, count);
            }
            x += count;
        }
    }
}

fn draw_run(out: &mut String, look: Look, text: &str, (left, top): (u32, u32), count: u32) {
    let (width, height) = CELL;
    if let Some(ground) = look.ground {
        let wide = count * width;
        writeln!(
            out,
            r#"<rect x="{left}" y="{top}" width="{wide}" height="{height}" fill="{ground}"/>"#
        )
        .unwrap();
    }
    let cells: Vec<(u32, char)> = (0..)
        .map(|cell| left + cell * width)
        .zip(text.chars())
        .collect();
    let alike = |a: &(u32, char), b: &(u32, char)| shapes::density(a.1) == shapes::density(b.1);
    for part in cells.chunk_by(alike) {
        let Some(density) = part.first().and_then(|(_, c)| shapes::density(*c)) else {
            words(part).for_each(|word| draw_word(out, look, word, top));
            continue;
        };
        let mut path = String::new();
        for (x, c) in part {
            shapes::draw(&mut path, *c, (*x, top));
        }
        let faint = if density == "1" {
            String::new()
        } else {
            format!(r#" opacity="{density}""#)
        };
        let ink = look.ink;
        writeln!(out, r#"<path d="{path}" fill="{ink}"{faint}/>"#).unwrap();
    }
}

/// Each word by itself: every one then begins in its own cell, whatever the reader's font makes of
/// the widths.
fn words(cells: &[(u32, char)]) -> impl Iterator<Item = &[(u32, char)]> {
    cells
        .split(|(_, c)| *c == ' ')
        .filter(|word| !word.is_empty())
}

fn draw_word(out: &mut String, look: Look, word: &[(u32, char)], top: u32) {
    let Some((left, _)) = word.first() else {
        return;
    };
    let weight = if look.bold {
        r#" font-weight="bold""#
    } else {
        ""
    };
    let text: String = word.iter().map(|(_, c)| *c).collect();
    let escaped = text
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;");
    let wide = u32::try_from(word.len()).unwrap() * CELL.0;
    let (y, ink) = (top + BASE, look.ink);
    writeln!(
        out,
        r#"<text x="{left}" y="{y}" fill="{ink}"{weight} textLength="{wide}" lengthAdjust="spacingAndGlyphs">{escaped}</text>"#
    )
    .unwrap();
}
