//! Fuse maps: what one was read to, written as CSV, is read to the same, and every fuse is found by
//! the name that it is kept under.

use lullboard::fuse::map::{self, Circuit, Meant};

use super::dice::Dice;
use super::journal::calm;

/// Any bytes; half of the inputs begin with a usual header.
pub fn fuse_map(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let head: &[u8] = match dice.byte() % 4 {
        0 => b"box,position,rating_a,style,feeds,weight\n",
        1 => b"position;box;feeds;style;rating_a\n",
        _ => b"",
    };
    let file = [head, dice.rest()].concat();
    let fuses = match map::read(&file) {
        Ok(fuses) => fuses,
        Err(why) => return calm(&why.to_string()),
    };
    assert!((1..=map::MOST).contains(&fuses.len()));
    let written = written(&fuses);
    let again = map::read(&written);
    assert_eq!(
        again.ok().as_ref(),
        Some(&fuses),
        "{}",
        written.escape_ascii()
    );
    let mut printed = fuses.clone();
    map::as_printed(&mut printed);
    for (fuse, on_lid) in fuses.iter().zip(&printed) {
        assert_eq!(map::find(&fuses, &fuse.label), Some(fuse));
        let found = map::meant(&printed, &on_lid.label, None);
        assert!(!matches!(found, Meant::None), "{on_lid:?}");
        let _ = (on_lid.kept(), on_lid.on_lid());
    }
}

fn written(fuses: &[Circuit]) -> Vec<u8> {
    let mut rows = csv::Writer::from_writer(Vec::new());
    let header = ["box", "position", "rating_a", "style", "feeds", "weight"];
    rows.write_record(header).expect("a Vec takes all");
    for fuse in fuses {
        let number = |x: Option<f64>| x.map_or_else(String::new, |x| x.to_string());
        let row = [
            fuse.in_box.clone(),
            fuse.position.clone(),
            number(fuse.rating_a),
            fuse.style.clone().unwrap_or_default(),
            fuse.feeds.join(";"),
            number(fuse.weight),
        ];
        rows.write_record(row).expect("a Vec takes all");
    }
    rows.into_inner().expect("a Vec takes all")
}
