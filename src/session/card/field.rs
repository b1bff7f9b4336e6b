//! One field of the card: its names, its help, how it is read, bounded and shown.

use super::bounds::OutOfBounds;
use super::{Card, FIELDS};
use crate::reading::{AmountError, CsvError, capitalised};

/// Why a text is no value of a field.
#[derive(Debug, thiserror::Error)]
pub enum FieldError {
    /// Not what people type there.
    #[error(transparent)]
    Amount(#[from] AmountError),
    /// No fuse map.
    #[error(transparent)]
    Map(#[from] CsvError),
    /// Nothing that the field can hold.
    #[error(transparent)]
    OutOfBounds(#[from] OutOfBounds),
}

/// How a field's value gets on the card and off it.
#[derive(Debug)]
pub(super) struct Access {
    pub(super) slot: &'static str,
    pub(super) value: &'static str,
    pub(super) parse: fn(&str) -> Result<Card, FieldError>,
    pub(super) show: fn(&Card) -> Option<String>,
    pub(super) sift: fn(&mut Card, &'static str, &mut Vec<OutOfBounds>),
    pub(super) merge: fn(&mut Card, &Card),
}

/// One field.
#[derive(Debug)]
pub struct Field {
    /// Where it stands among the others.
    pub(super) place: u16,
    /// Its key in a card file.
    pub key: &'static str,
    /// Its flag, without dashes.
    pub flag: String,
    /// What screens and reports call it.
    pub label: &'static str,
    /// A line that explains it.
    pub help: &'static str,
    /// What the start card says while it is empty; `None` where the start card does not ask.
    pub silent: Option<&'static str>,
    /// Whether a report leaves a line to write on where nobody filled it in.
    pub has_line: bool,
    /// Whether it is for the customer: on the first page of a report.
    pub is_front: bool,
    /// The keys of the fields that exclude it.
    pub excludes: &'static [&'static str],
    access: Access,
}

impl Field {
    pub(super) fn new(
        place: u16,
        access: Access,
        key: &'static str,
        label: &'static str,
        help: &'static str,
    ) -> Self {
        Self {
            place,
            key,
            flag: key.replace('_', "-"),
            label,
            help,
            silent: None,
            has_line: false,
            is_front: false,
            excludes: &[],
            access,
        }
    }

    pub(super) fn silent(mut self, silent: &'static str) -> Self {
        self.silent = Some(silent);
        self
    }

    pub(super) fn line(mut self) -> Self {
        self.has_line = true;
        self
    }

    pub(super) fn front(mut self) -> Self {
        self.is_front = true;
        self
    }

    pub(super) fn flag(mut self, flag: &str) -> Self {
        flag.clone_into(&mut self.flag);
        self
    }

    pub(super) fn excludes(mut self, keys: &'static [&'static str]) -> Self {
        self.excludes = keys;
        self
    }

    /// Its name in a session file, where figures stand without units.
    pub const fn slot(&self) -> &'static str {
        self.access.slot
    }

    /// What the help of the flags calls a value; empty where the flag alone says it.
    pub const fn value(&self) -> &'static str {
        self.access.value
    }

    /// Whether a file is named for it, and its text is the file's.
    pub fn is_file(&self) -> bool {
        self.value() == "MAP"
    }

    /// The card that holds what this text says, and nothing else.
    ///
    /// # Errors
    /// What was found and what is expected.
    pub fn read(&self, text: &str) -> Result<Card, FieldError> {
        let mut card = (self.access.parse)(text)?;
        let mut found = Vec::new();
        self.sift(&mut card, &mut found);
        let first = found.into_iter().next();
        first.map_or(Ok(card), |first| Err(first.into()))
    }

    /// What the card says there, in words.
    pub fn show(&self, card: &Card) -> Option<String> {
        (self.access.show)(card)
    }

    /// Its label as a line begins with it.
    pub fn heading(&self) -> String {
        capitalised(self.label)
    }

    fn sift(&self, card: &mut Card, found: &mut Vec<OutOfBounds>) {
        (self.access.sift)(card, self.key, found);
    }
}

impl PartialEq for Field {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}

impl Eq for Field {}

impl Card {
    /// Takes over every field that `change` names and keeps the rest.
    pub fn merge(&mut self, change: &Self) {
        for field in FIELDS.iter() {
            (field.access.merge)(self, change);
        }
    }

    /// Takes every figure off the card that it cannot hold, and names it.
    pub fn take_out_of_bounds(&mut self) -> Vec<OutOfBounds> {
        let mut found = Vec::new();
        for field in FIELDS.iter() {
            field.sift(self, &mut found);
        }
        found
    }

    /// The first two fields that are filled in and exclude each other.
    pub fn clash(&self) -> Option<(&'static Field, &'static Field)> {
        let said = || FIELDS.iter().filter(|field| field.show(self).is_some());
        said().find_map(|field| {
            let other = said().find(|other| field.excludes.contains(&other.key))?;
            Some((field, other))
        })
    }
}
