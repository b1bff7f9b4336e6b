//! The plot in words: its title, what it shows, what a reader may miss.

use super::Plot;
use crate::judge::words;
use crate::reading::quantity;
use crate::report::case::Case;

impl Plot {
    /// What a reader may miss, below the picture.
    pub fn caption(&self) -> String {
        let unnamed = match self.unnamed {
            0 => String::new(),
            n => format!(" Marks without room for their words: {n}; the table has them all."),
        };
        let sunk = self.bottom_a.map(|a| {
            format!(
                " Readings below {} lie on the bottom edge.",
                quantity::amount(a)
            )
        });
        let sunk = sunk.unwrap_or_default();
        let whose = match self.curves.len() {
            0 | 1 => "",
            _ => " The marks are those of the record after.",
        };
        format!(
            "{}.{whose} Each column shows the lowest and the highest reading in it.{sunk}{unnamed}",
            self.title
        )
    }
}

pub(super) fn title(case: &Case, earlier: Option<&Case>) -> String {
    let car = case
        .session
        .card()
        .car
        .as_deref()
        .unwrap_or("the parked car");
    match earlier {
        Some(_) => format!("Current of {car}, before and after"),
        None => format!(
            "Current of {car}, from {}",
            case.times.full(case.stretch().0)
        ),
    }
}

pub(super) fn told(case: &Case, earlier: Option<&Case>) -> String {
    let said = |case: &Case| words::draw::settled(&case.judgement);
    let (from, to) = case.stretch();
    let volts = case.judgement.volts.as_ref().map(words::volts::in_short);
    let volts = volts.map(|volts| format!("; {volts}")).unwrap_or_default();
    let this = format!(
        "{} of readings, {}; limit {}{volts}",
        quantity::span(to.secs_since(from)),
        said(case),
        words::draw::limit_alone(case.judgement.limit)
    );
    match earlier {
        Some(other) => format!("{this}. Before: {}", said(other)),
        None => this,
    }
}
