//! Whether two records are of one car, as far as their cards say.

use super::Card;

/// What two cards call different cars by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OtherCar<'a> {
    /// By the one card.
    pub this: &'a str,
    /// By the other.
    pub other: &'a str,
}

impl Card {
    /// By what the other card names another car: by the identification number, where one of them has none by
    /// the plate, else by the workshop's words. `None` where nothing tells them apart.
    pub fn other_car<'a>(&'a self, other: &'a Self) -> Option<OtherCar<'a>> {
        let names = |card: &'a Self| [&card.vin, &card.plate, &card.car].map(Option::as_deref);
        let mut pairs = names(self).into_iter().zip(names(other));
        let (this, other) = pairs.find_map(|(this, other)| this.zip(other))?;
        let plain = |name: &str| {
            let plain = name.chars().filter(|c| c.is_alphanumeric());
            plain.flat_map(char::to_lowercase).collect::<String>()
        };
        (plain(this) != plain(other)).then_some(OtherCar { this, other })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(vin: &str, plate: &str, car: &str) -> Card {
        let named = |name: &str| (!name.is_empty()).then(|| name.to_owned());
        Card {
            vin: named(vin),
            plate: named(plate),
            car: named(car),
            ..Card::default()
        }
    }

    #[test]
    fn the_surest_name_that_both_have_decides() {
        for (this, other, told) in [
            (card("", "", ""), card("", "", "job 12"), None),
            (card("", "", "Job 12"), card("", "", "job-12"), None),
            (
                card("", "", "job 12"),
                card("", "", "job 13"),
                Some(("job 12", "job 13")),
            ),
            (
                card("", "AB 12", "job 12"),
                card("", "ab-12", "job 40"),
                None,
            ),
            (
                card("V1", "AB 12", ""),
                card("V2", "AB 12", ""),
                Some(("V1", "V2")),
            ),
            (card("V1", "", "job 1"), card("", "AB 12", "job 1"), None),
        ] {
            let found = this.other_car(&other);
            assert_eq!(
                found.map(|found| (found.this, found.other)),
                told,
                "{this:?} {other:?}"
            );
        }
    }
}
