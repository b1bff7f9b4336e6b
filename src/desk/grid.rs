//! The fuse map as the technician walks it: boxes with their positions, and what is known of
//! each. Without a map, the labels of the marks make one.

use super::prompt::probe;
use crate::fuse::map::{self, Circuit};
use crate::judge::Judgement;
use crate::judge::finding::Finding;
use crate::judge::plan::belief::is_among;
use crate::session::{Did, Session};

/// Positions side by side. The same on every screen, so that a fuse keeps its place; a wide
/// screen says more in each.
pub const COLUMNS: usize = 6;

/// A fuse box.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseBox {
    /// Its name; empty when the car has only one or nobody named it.
    pub name: String,
    /// Its positions in the order of the map.
    pub cells: Vec<Cell>,
}

/// One position.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// The fuse and its circuit.
    pub circuit: Circuit,
    /// Whether it is out now.
    pub is_out: bool,
    /// The last time it was pulled, judged.
    pub tried: Option<Tried>,
    /// The millivolts read across it, and the current that they mean, in words.
    pub read: Option<String>,
    /// How likely it is what is looked for, by the plan.
    pub p: Option<f64>,
    /// Whether the plan takes it next.
    pub is_next: bool,
}

/// What came of a pull.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// The finding.
    pub finding: Finding,
    /// Whether others were pulled with it: the finding is theirs too.
    pub together: bool,
    /// In words, with the change where there is one.
    pub result: String,
    /// The reason.
    pub why: String,
}

/// Where a key leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Toward {
    /// The position before.
    Left,
    /// The position after.
    Right,
    /// The row above.
    Up,
    /// The row below.
    Down,
}

/// Every box with what is known of its fuses.
pub fn boxes(session: &Session, judgement: &Judgement) -> Vec<FuseBox> {
    let out = session.out_now();
    let mut boxes: Vec<FuseBox> = Vec::new();
    for circuit in circuits(session) {
        let is_out = out.iter().any(|label| map::same(label, &circuit.label));
        let cell = Cell {
            is_out,
            tried: tried(judgement, &circuit.label),
            read: read(session, judgement, &circuit.label),
            p: likely(judgement, &circuit.label),
            is_next: is_next(judgement, &circuit.label),
            circuit,
        };
        let name = &cell.circuit.in_box;
        match boxes.iter_mut().find(|one| map::same(&one.name, name)) {
            Some(one) => one.cells.push(cell),
            None => boxes.push(FuseBox {
                name: name.clone(),
                cells: vec![cell],
            }),
        }
    }
    boxes
}

/// The map, and every fuse that was pulled without standing in it.
fn circuits(session: &Session) -> Vec<Circuit> {
    let mut circuits = session.fuses().to_vec();
    let pulled = session
        .marks()
        .filter(|placed| placed.mark.did == Did::Pull)
        .flat_map(|placed| &placed.mark.what);
    for label in pulled {
        if map::find(&circuits, label).is_none() {
            circuits.push(Circuit {
                label: label.clone(),
                ..Circuit::default()
            });
        }
    }
    circuits
}

fn tried(judgement: &Judgement, label: &str) -> Option<Tried> {
    let trial = judgement
        .trials
        .iter()
        .rev()
        .filter(|trial| trial.did == Did::Pull)
        .find(|trial| is_among(label, &trial.what))?;
    Some(Tried {
        finding: trial.finding,
        together: trial.what.len() > 1,
        result: trial.result(),
        why: trial.why(),
    })
}

/// What the meter showed across a fuse, the last time it was read.
fn read(session: &Session, judgement: &Judgement, label: &str) -> Option<String> {
    let mut drops = session.drops().iter().rev().map(|(_, drop)| drop);
    let drop = drops.find(|drop| map::same(&drop.what, label))?;
    let rows = judgement.sweep.iter().flat_map(|swept| &swept.sweep.rows);
    let mut drawn = rows.filter(|row| map::same(&row.label, label));
    let means = match &drawn.next()?.drawn {
        Ok(drawn) => drawn.in_words(),
        Err(error) => error.to_string(),
    };
    Some(format!("{}: {means}", probe::shown(drop)))
}

fn likely(judgement: &Judgement, label: &str) -> Option<f64> {
    let rest = &judgement.plan.as_ref()?.rest;
    let mut named = rest.iter().filter(|one| is_among(label, &one.what));
    Some(named.next()?.p)
}

fn is_next(judgement: &Judgement, label: &str) -> bool {
    let plan = judgement.plan.as_ref();
    plan.is_some_and(|plan| is_among(label, &plan.next))
}

/// The position `toward` from the one that is the `at`-th of all, if there is one.
pub fn step(boxes: &[FuseBox], at: usize, toward: Toward) -> usize {
    let rows: Vec<Vec<usize>> = rows(boxes);
    let Some((row, column)) = rows.iter().enumerate().find_map(|(row, cells)| {
        let column = cells.iter().position(|cell| *cell == at)?;
        Some((row, column))
    }) else {
        return 0;
    };
    let (other, column) = match toward {
        Toward::Left => return at.saturating_sub(1),
        Toward::Right => {
            let last = rows.last().and_then(|row| row.last()).copied();
            return at.saturating_add(1).min(last.unwrap_or(at));
        }
        Toward::Up => (row.checked_sub(1), column),
        Toward::Down => (row.checked_add(1), column),
    };
    other
        .and_then(|row| rows.get(row))
        .and_then(|cells| cells.get(column).or_else(|| cells.last()))
        .copied()
        .unwrap_or(at)
}

/// The positions row by row, counted through all boxes.
pub fn rows(boxes: &[FuseBox]) -> Vec<Vec<usize>> {
    let mut next = 0;
    let mut rows = Vec::new();
    for one in boxes {
        let cells: Vec<usize> = (next..).take(one.cells.len()).collect();
        next = next.saturating_add(one.cells.len());
        rows.extend(cells.chunks(COLUMNS).map(<[usize]>::to_vec));
    }
    rows
}

/// The `at`-th position of all.
pub fn cell(boxes: &[FuseBox], at: usize) -> Option<&Cell> {
    boxes.iter().flat_map(|one| &one.cells).nth(at)
}

/// The position whose label, as the lid prints it, is what was typed, else begins with it: that of the
/// box in which the `at`-th stands before those of others.
pub fn find(boxes: &[FuseBox], typed: &str, at: usize) -> Option<usize> {
    let typed = map::folded(typed);
    let here = cell(boxes, at).map(|cell| cell.circuit.in_box.as_str());
    let cells = || boxes.iter().flat_map(|one| &one.cells).enumerate();
    let rank = |circuit: &Circuit| {
        let elsewhere = here.is_some_and(|here| !map::same(here, &circuit.in_box));
        let lid = map::folded(&circuit.on_lid());
        let names = [
            lid,
            map::folded(&circuit.label),
            map::folded(&circuit.position),
        ];
        let whole = names.contains(&typed);
        let begun = names.iter().any(|name| name.starts_with(&typed));
        (whole || begun).then_some((!whole, elsewhere))
    };
    let ranked = cells().filter_map(|(n, cell)| Some((rank(&cell.circuit)?, n)));
    ranked.min().map(|(_, n)| n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::reading::{Amps, Elapsed, Measured};
    use crate::session::entry::{Entry, Fact};
    use crate::session::mark::{MarkId, parse_mark};

    fn session(map: &str, marks: &[&str]) -> Session {
        let mut header = header::unknown();
        header.card.fuses = (!map.is_empty()).then(|| map::read(map.as_bytes()).unwrap());
        let mut session = Session::new(header);
        let amps = Measured::Amps(Amps::parse("0.052").unwrap());
        let reading = Fact::Reading(amps);
        session.apply(&Entry {
            t: Elapsed::ZERO,
            fact: reading,
        });
        for (n, text) in (1u32..).zip(marks) {
            session.apply(&Entry {
                t: Elapsed::from_secs(f64::from(n)),
                fact: Fact::Mark(Box::new(parse_mark(MarkId(n), text).unwrap())),
            });
        }
        session
    }

    fn of(map: &str, marks: &[&str]) -> Vec<FuseBox> {
        let session = session(map, marks);
        boxes(&session, &crate::judge::live(&session))
    }

    const MAP: &str = "box,position,rating_a,style,feeds\n\
        D,4,10,mini,map light\nD,9,15,mini,amplifier\nL,5,5,mini,rear lamps\nL,6,5,mini,\nL,7,5,mini,\nL,8,5,mini,\n\
        L,9,5,mini,\nL,10,5,mini,\nL,11,5,mini,\nL,12,5,mini,\n";

    #[test]
    fn a_fuse_that_is_out_shows_so_however_its_label_was_typed() {
        let boxes = of(MAP, &["pull l5+D9", "refit D9"]);
        let out: Vec<&str> = boxes
            .iter()
            .flat_map(|one| &one.cells)
            .filter(|cell| cell.is_out)
            .map(|cell| cell.circuit.label.as_str())
            .collect();
        assert_eq!(out, ["L5"]);
        let tried = boxes[0].cells[1].tried.as_ref().unwrap();
        assert!(tried.together, "{tried:?}");
        assert_eq!(boxes[0].cells[0].tried, None);
    }

    #[test]
    fn without_a_map_the_pulls_make_one() {
        let boxes = of(
            "",
            &["pull E17", "refit E17", "pull E2", "unplug washer pump"],
        );
        let labels: Vec<&str> = boxes
            .iter()
            .flat_map(|one| &one.cells)
            .map(|cell| cell.circuit.label.as_str())
            .collect();
        assert_eq!(labels, ["E17", "E2"]);
    }

    #[test]
    fn arrows_lead_from_row_to_row_and_box_to_box() {
        let boxes = of(MAP, &[]);
        assert_eq!(
            rows(&boxes),
            [vec![0, 1], vec![2, 3, 4, 5, 6, 7], vec![8, 9]]
        );
        for (from, toward, to) in [
            (0, Toward::Down, 2),
            (7, Toward::Down, 9),
            (9, Toward::Down, 9),
            (7, Toward::Up, 1),
            (0, Toward::Left, 0),
            (1, Toward::Right, 2),
            (9, Toward::Right, 9),
        ] {
            assert_eq!(step(&boxes, from, toward), to, "{from} {toward:?}");
        }
        assert_eq!(step(&[], 3, Toward::Down), 0);
    }

    #[test]
    fn a_typed_label_finds_its_position() {
        let boxes = of(MAP, &[]);
        assert_eq!(find(&boxes, "l11", 0), Some(8));
        assert_eq!(find(&boxes, "L", 0), Some(2));
        assert_eq!(find(&boxes, "X", 0), None);
        assert_eq!(cell(&boxes, 8).unwrap().circuit.label, "L11");
        // Both boxes print a 9: that of the cursor is meant.
        assert_eq!(find(&boxes, "9", 0), Some(1));
        assert_eq!(find(&boxes, "9", 3), Some(6));
    }
}
