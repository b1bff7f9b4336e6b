//! A sheet as Markdown (`CommonMark` with tables), for a job system that takes text. The plot is
//! told in words, with the command that draws it.

use std::fmt::{self, Display, Formatter};

use super::safe::Inline;
use super::sheet::{FIGURES, FOR_TECHNICIAN, Part, SIGNED, Sheet, Table};

/// A sheet as it stands in a file; `to_string` or `write!` sets it.
#[derive(Clone, Copy, Debug)]
pub struct Markdown<'a>(pub &'a Sheet);

impl Display for Markdown<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let sheet = self.0;
        writeln!(
            f,
            "# Parasitic draw: {}\n\n**{}**\n",
            Inline(&sheet.car),
            Inline(&sheet.stamp.badge())
        )?;
        writeln!(f, "{}\n", Inline(&sheet.plain))?;
        card(f, &sheet.front)?;
        for sentence in &sheet.beside {
            writeln!(f, "{}\n", Inline(sentence))?;
        }
        writeln!(
            f,
            "{}. {}\n\n{}\n",
            Inline(&sheet.plot.title),
            Inline(&sheet.plot.told),
            Inline(&sheet.picture)
        )?;
        writeln!(
            f,
            "{}\n",
            SIGNED.map(|who| format!("{who}: ........")).join(", ")
        )?;
        writeln!(f, "# {FOR_TECHNICIAN}\n")?;
        for sentence in &sheet.answer {
            writeln!(f, "{}\n", Inline(sentence))?;
        }
        card(f, &sheet.card)?;
        if let Some(sides) = &sheet.sides {
            f.write_str("## Before and after\n\n")?;
            table(f, sides)?;
            f.write_str("\n")?;
        }
        if let Some(part) = &sheet.plan {
            set_part(f, part)?;
        }
        list(f, "What was not proved", &sheet.unproved)?;
        list(f, "Cautions", &sheet.cautions)?;
        writeln!(f, "# {FIGURES}\n")?;
        for part in &sheet.figures {
            set_part(f, part)?;
        }
        writeln!(f, "Made by {}", Inline(&sheet.maker))
    }
}

fn card(f: &mut Formatter<'_>, rows: &[(String, String)]) -> fmt::Result {
    f.write_str("| | |\n| --- | --- |\n")?;
    for (name, value) in rows {
        let value = if value.is_empty() { "........" } else { value };
        writeln!(f, "| {name} | {} |", Inline(value))?;
    }
    f.write_str("\n")
}

fn set_part(f: &mut Formatter<'_>, part: &Part) -> fmt::Result {
    writeln!(f, "## {}\n", part.title)?;
    for words in &part.words {
        writeln!(f, "{}\n", Inline(words))?;
    }
    if let Some(rows) = &part.table {
        table(f, rows)?;
        f.write_str("\n")?;
    }
    Ok(())
}

fn list(f: &mut Formatter<'_>, title: &str, lines: &[String]) -> fmt::Result {
    writeln!(f, "## {title}\n")?;
    for line in lines {
        writeln!(f, "- {}", Inline(line))?;
    }
    f.write_str("\n")
}

fn table(f: &mut Formatter<'_>, table: &Table) -> fmt::Result {
    let row = |f: &mut Formatter<'_>, cells: &[String]| {
        f.write_str("|")?;
        for cell in cells {
            write!(f, " {} |", Inline(cell))?;
        }
        f.write_str("\n")
    };
    row(f, &table.head)?;
    writeln!(f, "|{}", " --- |".repeat(table.head.len()))?;
    for cells in &table.rows {
        row(f, cells)?;
    }
    if table.left_out > 0 {
        writeln!(
            f,
            "\nand {} more: the .json export has them all",
            table.left_out
        )?;
    }
    Ok(())
}
