//! A line of words: which of its figures, if any, is the live direct current.

use super::figure::Figure;
use super::naming::{self, Names};
use super::tokens::{Token, tokens};
use super::unit::{Named, Unit};
use super::{LineMeaning, LineSaid, TextOptions, Unusable};

/// A figure with all that was said about it.
#[derive(Debug)]
struct LabelledFigure {
    names: Names,
    /// The label is the field that the user chose.
    chosen: bool,
    /// No word stood before it.
    bare: bool,
    figure: Figure,
    unit: Option<Named>,
}

/// Words about the whole line.
#[derive(Debug, Default)]
struct Modes {
    /// Why the figure is no live direct current, by the meter's own word.
    unusable: Option<Unusable>,
    low_cell: bool,
}

/// Reads a line that is neither JSON nor a row of a table.
pub(super) fn read(text: &str, options: &TextOptions) -> LineSaid {
    let tokens = tokens(text);
    let (quantities, modes) = quantities(&tokens, options.field.as_deref());
    let what = decide(&quantities, &tokens, options);
    LineSaid {
        what: under(what, &modes),
        low_cell: modes.low_cell,
    }
}

/// Reads one cell of a table or one JSON string. `comma_is_point` when a comma separates nothing
/// here; `unit` is what the heading, the key or the user says.
pub(super) fn cell(text: &str, unit: Unit, comma_is_point: bool) -> LineMeaning {
    let tokens = tokens(text);
    let (quantities, modes) = quantities(&tokens, None);
    let what = match quantities.as_slice() {
        [one] => match (one.unit, one.names) {
            (Some(named), _) if named.unit().is_err() => one.figure.in_named(named),
            (None, Names::Other) => LineMeaning::OTHER,
            (None, Names::Mega) => LineMeaning::Garbled,
            (None, Names::Alternating) => LineMeaning::AC,
            (Some(named), Names::Current(_) | Names::Nothing) => one.figure.in_named(named),
            (None, Names::Current(named)) => current(one, named.unwrap_or(unit), comma_is_point),
            (None, Names::Nothing) if one.bare => current(one, unit, comma_is_point),
            (Some(_) | None, _) => LineMeaning::NOTHING,
        },
        [] => LineMeaning::NOTHING,
        [_, ..] => LineMeaning::Garbled,
    };
    under(what, &modes)
}

fn current(quantity: &LabelledFigure, unit: Unit, comma_is_point: bool) -> LineMeaning {
    if matches!(quantity.figure, Figure::Comma(_)) && !comma_is_point {
        return LineMeaning::Garbled;
    }
    quantity.figure.in_unit(unit)
}

/// A mode word takes the value's place: a frozen number is no live one.
fn under(what: LineMeaning, modes: &Modes) -> LineMeaning {
    match (what, modes.unusable) {
        (LineMeaning::Value(_, _), Some(why)) => LineMeaning::Unusable(why),
        (_, _) => what,
    }
}

fn quantities(tokens: &[Token<'_>], field: Option<&str>) -> (Vec<LabelledFigure>, Modes) {
    let mut found: Vec<LabelledFigure> = Vec::new();
    let mut modes = Modes::default();
    let mut words: Vec<&str> = Vec::new();
    let mut labelled = false;
    // `Max current: 3 A` is a label, `MAX 3 A` the meter's mode.
    let has_labels = tokens.iter().any(|token| matches!(token, Token::Label(_)));
    for token in tokens {
        match token {
            Token::Word(word) => {
                if !modes.note(word, has_labels) {
                    words.push(word);
                }
            }
            Token::Label(word) => {
                labelled = true;
                words.push(word);
            }
            Token::Break => {
                words.clear();
                labelled = false;
            }
            Token::Figure(figure) => {
                let label = words.join(" ");
                found.push(LabelledFigure {
                    names: names(&label, labelled),
                    chosen: field.is_some_and(|f| f.eq_ignore_ascii_case(label.trim())),
                    bare: words.is_empty(),
                    figure: figure.clone(),
                    unit: None,
                });
                words.clear();
                labelled = false;
            }
            Token::Unit(named) => {
                if let Some(last) = found.last_mut() {
                    last.unit = Some(*named);
                }
            }
        }
    }
    (found, modes)
}

/// A lone `I` is a label only with its separator: boot logs begin lines with it too.
fn names(label: &str, labelled: bool) -> Names {
    if !labelled && label.eq_ignore_ascii_case("i") {
        return Names::Nothing;
    }
    naming::names(label)
}

impl Modes {
    /// Takes a word about the meter's mode; `false` when it is none.
    fn note(&mut self, word: &str, has_labels: bool) -> bool {
        match word
            .trim_matches(['(', ')', '[', ']'])
            .to_ascii_uppercase()
            .as_str()
        {
            "AC" | "ACA" | "ACMA" | "ACUA" | "ACI" | "ACV" => self.unusable = Some(Unusable::Ac),
            "DC" | "DCA" | "DCMA" | "DCUA" | "DCI" | "DCV" | "AUTO" => {}
            "MAX" | "MIN" | "PEAK" if has_labels => return false,
            "HOLD" | "HELD" | "MAX" | "MIN" | "PEAK" => self.unusable = Some(Unusable::Held),
            "REL" | "RELATIVE" | "\u{394}" => self.unusable = Some(Unusable::Relative),
            "LOWBAT" | "LOWBATT" | "LOBAT" | "LOBATT" => self.low_cell = true,
            _ => return false,
        }
        true
    }
}

fn decide(
    quantities: &[LabelledFigure],
    tokens: &[Token<'_>],
    options: &TextOptions,
) -> LineMeaning {
    let any = |unit, label| quantities.iter().any(|one| says(one, unit, label));
    if any(Named::Mega, Names::Mega) {
        return LineMeaning::Garbled;
    }
    let fields = options.field.is_some();
    let mut currents = quantities.iter().filter(|quantity| {
        if fields {
            quantity.chosen
        } else {
            is_current(quantity)
        }
    });
    if let Some(first) = currents.next() {
        return match currents.next() {
            None => one_current(first, options.unit),
            Some(_) => LineMeaning::Garbled,
        };
    }
    if let ([only], false) = (quantities, fields)
        && only.bare
        && only.unit.is_none()
        && !tokens.iter().any(is_strange)
    {
        return current(only, options.unit, false);
    }
    if let (Some(voltage), false) = (one_voltage(quantities), fields) {
        return voltage;
    }
    if any(Named::Alternating, Names::Alternating) {
        return LineMeaning::AC;
    }
    if quantities.iter().any(is_other) {
        return LineMeaning::OTHER;
    }
    let only_figures = !fields
        && !quantities.is_empty()
        && tokens
            .iter()
            .all(|token| matches!(token, Token::Figure(_) | Token::Break));
    if only_figures {
        LineMeaning::Garbled
    } else {
        LineMeaning::NOTHING
    }
}

/// The line's only voltage, if no word stands before it: a label may name the battery's, which is
/// no clamp's. Two could be read in two ways.
fn one_voltage(quantities: &[LabelledFigure]) -> Option<LineMeaning> {
    let mut voltages = quantities
        .iter()
        .filter_map(|quantity| match quantity.unit {
            Some(Named::Voltage(unit)) if quantity.bare => Some(quantity.figure.in_unit(unit)),
            Some(_) | None => None,
        });
    let only = voltages.next()?;
    voltages.next().is_none().then_some(only)
}

fn one_current(quantity: &LabelledFigure, default: Unit) -> LineMeaning {
    match (quantity.unit, quantity.names) {
        (Some(named), _) => quantity.figure.in_named(named),
        (None, Names::Current(Some(unit))) => current(quantity, unit, false),
        (None, _) => current(quantity, default, false),
    }
}

fn is_current(quantity: &LabelledFigure) -> bool {
    match (quantity.unit, quantity.names) {
        (Some(Named::Current(_)), Names::Current(_) | Names::Nothing)
        | (None, Names::Current(_)) => true,
        (Some(_) | None, _) => false,
    }
}

/// Whether its unit says this, or without one its label.
fn says(quantity: &LabelledFigure, unit: Named, label: Names) -> bool {
    quantity
        .unit
        .map_or(quantity.names == label, |named| named == unit)
}

fn is_other(quantity: &LabelledFigure) -> bool {
    matches!(quantity.unit, Some(Named::Other | Named::Voltage(_)))
        || quantity.names == Names::Other
}

/// A word that leaves a bare figure's meaning open.
fn is_strange(token: &Token<'_>) -> bool {
    match token {
        Token::Word(word) => !Modes::default().note(word, false),
        Token::Label(_) => true,
        Token::Figure(_) | Token::Unit(_) | Token::Break => false,
    }
}
