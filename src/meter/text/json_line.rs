//! A line of JSON: the field that holds the current. Numbers are read as they are written.

use std::collections::BTreeMap;

use serde_json::value::RawValue;

use super::naming::{self, Names};
use super::unit::{self, Named, Unit};
use super::{LineMeaning, TextOptions, plain};

type Object<'a> = BTreeMap<String, &'a RawValue>;

/// No instrument nests deeper.
const MAX_DEPTH: usize = 8;

/// A value with what its surroundings say about it.
#[derive(Debug)]
struct Leaf<'a> {
    raw: &'a str,
    names: Names,
    /// What stands in the key `unit` beside it.
    sibling: Option<String>,
}

/// Reads a line that begins with a brace or a bracket; `None` where only a bracket makes it look
/// like JSON.
pub(super) fn read(text: &str, options: &TextOptions) -> Option<LineMeaning> {
    let Ok(root) = serde_json::from_str::<&RawValue>(text) else {
        return text.starts_with('{').then_some(LineMeaning::Garbled);
    };
    let mut leaves = Vec::new();
    match &options.field {
        Some(path) => leaves.extend(at_path(root.get(), path, MAX_DEPTH)),
        None => collect(root.get(), MAX_DEPTH, &mut leaves),
    }
    Some(match leaves.as_slice() {
        [] => LineMeaning::NOTHING,
        [only] => value(only, options),
        [_, _, ..] => LineMeaning::Garbled,
    })
}

fn value(leaf: &Leaf<'_>, options: &TextOptions) -> LineMeaning {
    let unit = match (leaf.names, leaf.sibling.as_deref().map(unit::named)) {
        (Names::Current(Some(unit)), _) => Ok(unit),
        (Names::Alternating, _) => Err(LineMeaning::AC),
        (Names::Other, _) if options.field.is_none() => Err(LineMeaning::OTHER),
        (Names::Mega, _) | (_, Some(None)) => Err(LineMeaning::Garbled),
        // A field that the user chose is what the user says it is.
        (_, Some(Some(named))) => named.unit(),
        (_, None) => Ok(options.unit),
    };
    unit.map_or_else(|refused| refused, |unit| of_raw(leaf.raw, unit))
}

fn of_raw(raw: &str, unit: Unit) -> LineMeaning {
    match raw.as_bytes().first() {
        Some(b'"') => match serde_json::from_str::<String>(raw) {
            Ok(text) => plain::cell(text.trim(), unit, true),
            Err(_) => LineMeaning::Garbled,
        },
        Some(b'-' | b'0'..=b'9') => plain::cell(raw, unit, false),
        Some(_) | None => LineMeaning::NOTHING,
    }
}

fn at_path<'a>(raw: &'a str, path: &str, depth: usize) -> Option<Leaf<'a>> {
    let depth = depth.checked_sub(1)?;
    let (key, rest) = path.split_once('.').unwrap_or((path, ""));
    if raw.starts_with('[') {
        let list: Vec<&RawValue> = serde_json::from_str(raw).ok()?;
        let inner = list.get(key.parse::<usize>().ok()?)?.get();
        return if rest.is_empty() {
            Some(Leaf {
                raw: inner,
                names: Names::Nothing,
                sibling: None,
            })
        } else {
            at_path(inner, rest, depth)
        };
    }
    let object: Object<'_> = serde_json::from_str(raw).ok()?;
    // A key may hold points itself.
    for (name, remaining) in [(path, ""), (key, rest)] {
        let Some(inner) = object.get(name) else {
            continue;
        };
        return if remaining.is_empty() {
            Some(leaf(&object, name, inner))
        } else {
            at_path(inner.get(), remaining, depth)
        };
    }
    None
}

/// Every value that its own key or the unit beside it calls a current.
fn collect<'a>(raw: &'a str, depth: usize, leaves: &mut Vec<Leaf<'a>>) {
    let Some(depth) = depth.checked_sub(1) else {
        return;
    };
    if raw.starts_with('[') {
        let list: Vec<&RawValue> = serde_json::from_str(raw).unwrap_or_default();
        for inner in list {
            collect(inner.get(), depth, leaves);
        }
        return;
    }
    let Ok(object) = serde_json::from_str::<Object<'_>>(raw) else {
        return;
    };
    let before = leaves.len();
    for (key, inner) in &object {
        if inner.get().starts_with(['{', '[']) {
            collect(inner.get(), depth, leaves);
        } else if matches!(
            naming::names(key),
            Names::Current(_) | Names::Alternating | Names::Mega
        ) {
            leaves.push(leaf(&object, key, inner));
        }
    }
    if leaves.len() == before {
        lone_number(&object, leaves);
    }
}

/// `{"value": 12.34, "unit": "mA"}`: the unit says what the key does not.
fn lone_number<'a>(object: &Object<'a>, leaves: &mut Vec<Leaf<'a>>) {
    let says_current = sibling_unit(object, "").is_some_and(|unit| {
        matches!(
            unit::named(&unit),
            Some(Named::Current(_) | Named::Alternating | Named::Mega)
        )
    });
    if !says_current {
        return;
    }
    let candidates = object
        .iter()
        .filter(|(key, inner)| !is_unit_key(key) && !inner.get().starts_with(['{', '[', 't', 'f']));
    leaves.extend(
        candidates
            .filter(|(key, _)| naming::names(key) == Names::Nothing)
            .map(|(key, inner)| leaf(object, key, inner)),
    );
}

fn leaf<'a>(object: &Object<'a>, key: &str, inner: &'a RawValue) -> Leaf<'a> {
    Leaf {
        raw: inner.get(),
        names: naming::names(key),
        sibling: sibling_unit(object, key),
    }
}

fn is_unit_key(key: &str) -> bool {
    key == "unit" || key == "units" || key.ends_with("_unit")
}

fn sibling_unit(object: &Object<'_>, key: &str) -> Option<String> {
    [format!("{key}_unit"), "unit".into(), "units".into()]
        .iter()
        .find_map(|name| object.get(name))
        .and_then(|raw| serde_json::from_str(raw.get()).ok())
}
