//! Labels as the lid prints them: `E3`, though the journal keeps box and position in one (`cabinE3`).
//! They are what is typed and shown; where two boxes print the same, the box stands behind.

use std::collections::BTreeMap;

use super::{Circuit, folded, label, same};

/// A box of so many letters is printed before its numbers, as in `E3`; a longer one is a name.
const BOX_LETTERS: usize = 2;

impl Circuit {
    /// What the journal calls it.
    pub fn kept(&self) -> String {
        if self.position.is_empty() {
            self.label.clone()
        } else {
            label(&self.in_box, &self.position)
        }
    }

    /// What the lid prints beside it.
    pub fn on_lid(&self) -> String {
        let in_box = &self.in_box;
        let is_letter =
            in_box.chars().count() <= BOX_LETTERS && in_box.chars().all(char::is_alphabetic);
        if self.position.is_empty() {
            self.label.clone()
        } else if is_letter && self.position.starts_with(|c: char| c.is_ascii_digit()) {
            self.kept()
        } else {
            self.position.clone()
        }
    }
}

/// Labels each fuse as its lid does.
pub fn as_printed(map: &mut [Circuit]) {
    let mut printed: BTreeMap<String, usize> = BTreeMap::new();
    for circuit in &*map {
        *printed.entry(folded(&circuit.on_lid())).or_default() += 1;
    }
    for circuit in map {
        // One that somebody named otherwise keeps that name.
        if !same(&circuit.label, &circuit.kept()) {
            continue;
        }
        let on_lid = circuit.on_lid();
        circuit.label = match printed.get(&folded(&on_lid)) {
            Some(2..) => format!("{on_lid} {}", circuit.in_box).trim_end().to_owned(),
            Some(_) | None => on_lid,
        };
    }
}

/// What a typed label means on a map.
#[derive(Clone, Debug, PartialEq)]
pub enum Meant<'a> {
    /// This fuse.
    One(&'a Circuit),
    /// As many boxes as print it.
    Several(Vec<&'a Circuit>),
    /// Nothing that stands there.
    None,
}

/// What was typed as a label: as it is shown, as the journal keeps it, as the lid prints it, or that and
/// as much of its box as tells which, in either order. Of several boxes that of the cursor is meant.
pub fn meant<'a>(map: &'a [Circuit], typed: &str, in_box: Option<&str>) -> Meant<'a> {
    let whole = |one: &&Circuit| same(&one.label, typed) || same(&one.kept(), typed);
    if let Some(one) = map.iter().find(whole) {
        return Meant::One(one);
    }
    let printed =
        |one: &Circuit, text: &str| same(&one.on_lid(), text) || same(&one.position, text);
    let boxed = |one: &Circuit, text: &str| folded(&one.in_box).starts_with(&folded(text));
    let parted = |one: &Circuit| {
        let blanks = typed.char_indices().filter(|(_, c)| c.is_whitespace());
        let mut halves = blanks.map(|(at, _)| typed.split_at(at));
        halves.any(|(head, tail)| {
            printed(one, head) && boxed(one, tail) || boxed(one, head) && printed(one, tail)
        })
    };
    let all = |is: &dyn Fn(&Circuit) -> bool| map.iter().filter(|one| is(one)).collect::<Vec<_>>();
    let mut found = all(&|one| printed(one, typed));
    if found.is_empty() {
        found = all(&parted);
    }
    let here = |one: &&&Circuit| in_box.is_some_and(|in_box| same(&one.in_box, in_box));
    match (found.as_slice(), found.iter().find(here)) {
        ([], _) => Meant::None,
        ([one], _) | (_, Some(one)) => Meant::One(one),
        _ => Meant::Several(found),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(rows: &str) -> Vec<Circuit> {
        let csv = format!("box,position,rating_a,style,feeds\n{rows}");
        let mut map = super::super::read(csv.as_bytes()).unwrap();
        as_printed(&mut map);
        map
    }

    #[test]
    fn labels_are_as_the_lid_prints_them_and_kept_as_ever() {
        let map = map(
            "cabin,E3,10,mini,\ncabin,12,10,mini,\nE,4,10,mini,\nboot,K1,5,mini,\n\
             under hood,K1,5,mini,\n,F9,5,mini,\n",
        );
        let labels = |of: fn(&Circuit) -> String| map.iter().map(of).collect::<Vec<_>>();
        assert_eq!(
            labels(|one| one.label.clone()),
            ["E3", "12", "E4", "K1 boot", "K1 under hood", "F9"]
        );
        assert_eq!(
            labels(Circuit::kept),
            ["cabinE3", "cabin12", "E4", "bootK1", "under hoodK1", "F9"]
        );
    }

    #[test]
    fn a_typed_label_is_found_and_the_cursor_decides_between_boxes() {
        let map = map("cabin,E3,10,mini,\nboot,K1,5,mini,\nunder hood,K1,5,mini,\nE,4,10,mini,\n");
        let found = |typed: &str, in_box: Option<&str>| match meant(&map, typed, in_box) {
            Meant::One(one) => one.kept(),
            Meant::Several(all) => all.len().to_string(),
            Meant::None => "none".into(),
        };
        for (typed, expected) in [
            ("e3", "cabinE3"),
            ("cabinE3", "cabinE3"),
            ("4", "E4"),
            ("K1", "2"),
            ("K1 boot", "bootK1"),
            ("k1 u", "under hoodK1"),
            ("under hood K1", "under hoodK1"),
            ("E33", "none"),
            ("", "none"),
            ("K1 x", "none"),
        ] {
            assert_eq!(found(typed, None), expected, "{typed}");
        }
        assert_eq!(found("K1", Some("Boot")), "bootK1");
        assert_eq!(found("K1", Some("cabin")), "2");
    }
}
