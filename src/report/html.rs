//! A sheet as one HTML file that needs nothing beside it: no script, no network, no font. Laid out
//! for A4, a page for each reader; the plot stands in it as SVG.

use std::fmt::{self, Display, Formatter};

use super::safe::Markup;
use super::sheet::{FIGURES, FOR_TECHNICIAN, Part, SIGNED, Sheet, Table};
use super::stamp::Stamp;
use super::svg::Svg;
use crate::judge::finding::Verdict;

/// A sheet as it stands in a file; `to_string` or `write!` sets it.
#[derive(Clone, Copy, Debug)]
pub struct Html<'a>(pub &'a Sheet);

const CSS: &str = include_str!("../../assets/sheet.css");

/// Even if something slipped through, a browser would neither run nor fetch it.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// A table this short stays on one page.
const KEPT_ROWS: usize = 6;

impl Display for Html<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let sheet = self.0;
        let car = Markup(&sheet.car);
        writeln!(
            f,
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <title>Parasitic draw: {car}</title>\n<style>\n{CSS}</style>\n</head>\n<body class=\"{}\">",
            class(&sheet.stamp)
        )?;
        for_customer(f, sheet)?;
        for_technician(f, sheet)?;
        page(f, FIGURES)?;
        for part in &sheet.figures {
            set_part(f, part)?;
        }
        writeln!(
            f,
            "<footer>{}</footer>\n</body>\n</html>",
            Markup(&sheet.maker)
        )
    }
}

fn class(stamp: &Stamp) -> &'static str {
    match stamp.verdict {
        Verdict::Above => "above",
        Verdict::Below if stamp.is_plain => "below",
        Verdict::Below => "for-now",
        Verdict::CannotTell => "cannot",
        Verdict::NotSettled => "open",
    }
}

/// A sign beside the word, for whoever sees the sheet from across the bench.
fn sign(verdict: Verdict) -> char {
    match verdict {
        Verdict::Above => '\u{25b2}',
        Verdict::Below => '\u{25bc}',
        Verdict::CannotTell => '?',
        Verdict::NotSettled => '\u{2026}',
    }
}

fn head(f: &mut Formatter<'_>, sheet: &Sheet) -> fmt::Result {
    writeln!(
        f,
        "<header><div><p class=\"kind\">Parasitic draw report</p><h1><bdi>{}</bdi></h1></div>\
         <div class=\"stamp\"><span aria-hidden=\"true\">{}</span>{}</div></header>",
        Markup(&sheet.car),
        sign(sheet.stamp.verdict),
        Markup(&sheet.stamp.badge())
    )
}

fn for_customer(f: &mut Formatter<'_>, sheet: &Sheet) -> fmt::Result {
    head(f, sheet)?;
    card(f, &sheet.front)?;
    writeln!(f, "<p class=\"lead\">{}</p>", Markup(&sheet.plain))?;
    picture(f, sheet)?;
    f.write_str("<ul class=\"small\">\n")?;
    for sentence in &sheet.beside {
        writeln!(f, "<li>{}</li>", Markup(sentence))?;
    }
    f.write_str("</ul>\n<div class=\"sign\">")?;
    for who in SIGNED {
        write!(f, "<span>{who}</span>")?;
    }
    f.write_str("</div>\n")
}

fn for_technician(f: &mut Formatter<'_>, sheet: &Sheet) -> fmt::Result {
    page(f, FOR_TECHNICIAN)?;
    answer(f, sheet)?;
    card(f, &sheet.card)?;
    if let Some(sides) = &sheet.sides {
        f.write_str("<section class=\"keep\">\n<h2>Before and after</h2>\n")?;
        table(f, sides, "sides")?;
        f.write_str("</section>\n")?;
    }
    if let Some(part) = &sheet.plan {
        set_part(f, part)?;
    }
    list(f, "What was not proved", &sheet.unproved)?;
    list(f, "Cautions", &sheet.cautions)
}

/// Begins the page of another reader.
fn page(f: &mut Formatter<'_>, title: &str) -> fmt::Result {
    writeln!(f, "<h1 class=\"page\">{title}</h1>")
}

fn card(f: &mut Formatter<'_>, rows: &[(String, String)]) -> fmt::Result {
    f.write_str("<dl>\n")?;
    for (name, value) in rows {
        let class = if is_wide(value) {
            " class=\"wide\""
        } else {
            ""
        };
        writeln!(
            f,
            "<div{class}><dt>{name}</dt><dd><bdi>{}</bdi></dd></div>",
            Markup(value)
        )?;
    }
    f.write_str("</dl>\n")
}

/// Three fields stand side by side; a longer one has the room of two.
fn is_wide(value: &str) -> bool {
    value.chars().count() > 32
}

fn answer(f: &mut Formatter<'_>, sheet: &Sheet) -> fmt::Result {
    f.write_str("<ul class=\"answer\">\n")?;
    for sentence in &sheet.answer {
        writeln!(f, "<li>{}</li>", Markup(sentence))?;
    }
    f.write_str("</ul>\n")
}

fn picture(f: &mut Formatter<'_>, sheet: &Sheet) -> fmt::Result {
    let plot = &sheet.plot;
    writeln!(
        f,
        "<figure>\n{}<figcaption>{}</figcaption>\n</figure>",
        Svg(plot),
        Markup(&plot.caption())
    )
}

fn list(f: &mut Formatter<'_>, title: &str, lines: &[String]) -> fmt::Result {
    writeln!(f, "<section>\n<h2>{title}</h2>\n<ul class=\"small close\">")?;
    for line in lines {
        writeln!(f, "<li>{}</li>", Markup(line))?;
    }
    f.write_str("</ul>\n</section>\n")
}

fn set_part(f: &mut Formatter<'_>, part: &Part) -> fmt::Result {
    let keeps = part
        .table
        .as_ref()
        .is_some_and(|table| table.rows.len() <= KEPT_ROWS);
    let class = if keeps { " class=\"keep\"" } else { "" };
    writeln!(f, "<section{class}>\n<h2>{}</h2>", part.title)?;
    for words in &part.words {
        writeln!(f, "<p class=\"small\">{}</p>", Markup(words))?;
    }
    if let Some(rows) = &part.table {
        table(f, rows, "")?;
    }
    f.write_str("</section>\n")
}

fn table(f: &mut Formatter<'_>, table: &Table, class: &str) -> fmt::Result {
    let beside = table.head.len() - usize::from(table.ends_in_words);
    writeln!(f, "<table class=\"{class}\">\n<thead><tr>")?;
    for head in table.head.iter().take(beside) {
        write!(f, "<th scope=\"col\">{}</th>", Markup(head))?;
    }
    f.write_str("</tr></thead>\n")?;
    for row in &table.rows {
        f.write_str("<tbody>\n<tr>")?;
        for cell in row.iter().take(beside) {
            let class = if is_short(cell) { " class=\"n\"" } else { "" };
            write!(f, "<td{class}><bdi>{}</bdi></td>", Markup(cell))?;
        }
        f.write_str("</tr>\n")?;
        for (head, words) in table.head.iter().zip(row).skip(beside) {
            writeln!(
                f,
                "<tr class=\"words\"><td></td><td colspan=\"{}\">{}: <bdi>{}</bdi></td></tr>",
                beside.saturating_sub(1),
                Markup(head),
                Markup(words)
            )?;
        }
        f.write_str("</tbody>\n")?;
    }
    f.write_str("</table>\n")?;
    if table.left_out > 0 {
        writeln!(
            f,
            "<p class=\"small\">and {} more: the .json export has them all</p>",
            table.left_out
        )?;
    }
    Ok(())
}

/// A number with its unit and U stays on one line.
fn is_short(cell: &str) -> bool {
    cell.chars().count() <= 20 && cell.chars().any(|c| c.is_ascii_digit())
}
