//! Millivolts asked for, fuse by fuse: what was typed, read, and what current it means.

use crate::fuse::blade::{self, Style};
use crate::fuse::drop::{self, Drawn, DropError, Fuse, Millivolts, Printed};
use crate::reading::{amount, quantity};
use crate::session::FuseDrop;

/// A fuse that is to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseAsked {
    /// Which; `None` when no map says, and its label is typed too.
    pub what: Option<String>,
    /// Its build and rating, when the map says.
    pub printed: Option<Printed>,
    /// Its position, counted through all boxes.
    pub at: usize,
    /// Of how many.
    pub of: usize,
}

/// What Enter does.
#[derive(Clone, Debug, PartialEq)]
pub enum Probed {
    /// Records this.
    Read(FuseDrop),
    /// Goes on without a reading.
    Skipped,
}

impl FuseAsked {
    /// The question itself.
    pub fn question(&self) -> String {
        let Some(what) = &self.what else {
            if self.of > 0 {
                return "THE LAST FUSE IS READ. One more, with its millivolts? As in L4 2.3".into();
            }
            return "WHICH FUSE, and its millivolts? As in L4 2.3, or L4 2.3 10A mini".into();
        };
        let fuse = self.printed.map_or_else(
            || {
                " (type its rating and style or its resistance behind, as in 0.40 10A mini or \
                 0.40 7.7m)"
                    .to_owned()
            },
            |printed| match blade::cold_ohms(printed.style, printed.rating_a) {
                Ok(_) => format!(" {printed}"),
                Err(_) => format!(
                    " {printed} (no table: type its measured resistance behind, as in 0.40 7.7m)"
                ),
            },
        );
        let at = self.at.saturating_add(1);
        format!("{what}{fuse}: millivolts? {at} of {}", self.of)
    }

    /// Reads what was typed.
    ///
    /// # Errors
    /// In words, what keeps it from being a reading.
    pub fn answer(&self, text: &str) -> Result<Probed, String> {
        let mut words = text.split_whitespace();
        let (what, read) = match &self.what {
            Some(what) => (Some(what.clone()), words.next()),
            None => (words.next().map(str::to_owned), words.next()),
        };
        let (Some(what), Some(read)) = (what.clone(), read) else {
            return match (&self.what, what) {
                (Some(_), _) | (None, None) => Ok(Probed::Skipped),
                (None, Some(what)) => Err(format!("{what}: type its millivolts behind, as in 2.3")),
            };
        };
        let read: Millivolts = read
            .parse()
            .map_err(|error: amount::AmountError| error.to_string())?;
        let mut drop = FuseDrop {
            what,
            mv: read.mv,
            step_mv: Some(read.step_mv),
            ..FuseDrop::default()
        };
        for word in words {
            more(&mut drop, word)?;
        }
        Ok(Probed::Read(drop))
    }

    /// What Enter does, in words.
    pub fn consequence(&self, probed: &Probed) -> String {
        match (probed, &self.what) {
            (Probed::Skipped, Some(what)) => format!("Enter skips {what}"),
            (Probed::Skipped, None) => "Enter ends the sweep".into(),
            (Probed::Read(drop), _) => {
                let read = format!("Enter records: {} {}", drop.what, shown(drop));
                match self.drawn(drop) {
                    Ok(drawn) => format!("{read}, {}", carried(&drawn)),
                    Err(error) => format!("{read}, no current: {error}"),
                }
            }
        }
    }

    /// What is odd about the reading, each a question to the one who typed it.
    pub fn questions(&self, probed: &Probed) -> Vec<String> {
        match probed {
            Probed::Skipped => Vec::new(),
            Probed::Read(drop) => self
                .drawn(drop)
                .map(|drawn| drawn.questions)
                .unwrap_or_default(),
        }
    }

    fn drawn(&self, read: &FuseDrop) -> Result<Drawn, DropError> {
        let style = read.style.as_deref().and_then(|style| style.parse().ok());
        let typed = style
            .zip(read.rating_a)
            .map(|(style, rating_a)| Printed { style, rating_a });
        let fuse = Fuse {
            printed: typed.or(self.printed),
            ohms: read.ohms,
        };
        let mv = Millivolts {
            mv: read.mv,
            step_mv: read.step_mv.unwrap_or(0.1),
        };
        drop::drawn(&fuse, mv, None)
    }
}

/// A style, a rating or a resistance behind the millivolts.
fn more(drop: &mut FuseDrop, word: &str) -> Result<(), String> {
    if let Ok(style) = word.parse::<Style>() {
        drop.style = Some(style.word().to_owned());
        return Ok(());
    }
    if let Some(number) = word.strip_suffix(['A', 'a']) {
        let rating_a = number.parse::<f64>().ok().filter(|a| *a > 0.0);
        drop.rating_a = rating_a;
        return match rating_a {
            Some(_) => Ok(()),
            None => Err(format!("'{word}' is no rating: expected 10A")),
        };
    }
    let ohms = amount::ohms(word).map_err(|error| error.to_string())?;
    drop.ohms = Some(ohms);
    Ok(())
}

/// The current in words, and where it lies with a fuse of any make.
fn carried(drawn: &Drawn) -> String {
    let words = drawn.in_words();
    if drawn.unseen.is_some() {
        return words;
    }
    format!(
        "{words} ({} to {} with any make)",
        quantity::current(drawn.band.low),
        quantity::current(drawn.band.high)
    )
}

/// The millivolts with every place that the meter showed.
pub fn shown(drop: &FuseDrop) -> String {
    let places = drop
        .step_mv
        .filter(|step_mv| *step_mv > 0.0)
        .map_or(0.0, |step_mv| -step_mv.log10());
    let places = crate::reading::number::round_to_usize(places.clamp(0.0, 6.0));
    format!("{:.places$} mV", drop.mv)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn probe(style: Style, rating_a: f64) -> FuseAsked {
        FuseAsked {
            what: Some("L4".into()),
            printed: Some(Printed { style, rating_a }),
            at: 3,
            of: 12,
        }
    }

    fn said(probe: &FuseAsked, text: &str) -> String {
        probe.consequence(&probe.answer(text).unwrap())
    }

    #[test]
    fn the_question_names_the_fuse_and_asks_for_what_no_table_has() {
        let mini = probe(Style::Mini, 10.0);
        assert_eq!(mini.question(), "L4 10 A mini: millivolts? 4 of 12");
        let micro = probe(Style::Micro2, 10.0).question();
        assert!(micro.contains("its measured resistance"), "{micro}");
        let measured = said(&probe(Style::Micro2, 10.0), "0.40 8m");
        // 0.40 mV / 8 mOhm.
        assert!(measured.contains("0.40 mV, 50 mA"), "{measured}");
    }

    #[test]
    fn what_the_meter_does_not_show_is_no_zero() {
        // Half a count of 0.1 mV over 7.42 mOhm is 6.7 mA.
        let nothing = said(&probe(Style::Mini, 10.0), "0.0");
        assert!(nothing.contains("below 6.7 mA"), "{nothing}");
        let blown = said(&probe(Style::Mini, 10.0), "12300");
        assert!(blown.contains("blown or open"), "{blown}");
        let turned = probe(Style::Mini, 10.0);
        let questions = turned.questions(&turned.answer("-0.40").unwrap());
        assert!(questions.iter().any(|said| said.contains("negative")));
    }

    #[test]
    fn an_empty_answer_skips_and_a_bad_one_is_told() {
        let mini = probe(Style::Mini, 10.0);
        assert_eq!(mini.answer("  "), Ok(Probed::Skipped));
        for (text, named) in [("4 mA", "A"), ("x", "millivolts"), ("0.4 0A", "rating")] {
            let refused = mini.answer(text).unwrap_err();
            assert!(refused.contains(named), "{text}: {refused}");
        }
    }

    #[test]
    fn without_a_map_the_label_and_the_fuse_are_typed() {
        let bare = FuseAsked {
            what: None,
            printed: None,
            at: 0,
            of: 0,
        };
        let Ok(Probed::Read(drop)) = bare.answer("E21 0.40 10A mini") else {
            panic!("no reading");
        };
        assert_eq!((drop.what.as_str(), drop.rating_a), ("E21", Some(10.0)));
        assert_eq!(drop.style.as_deref(), Some("mini"));
        assert_eq!(shown(&drop), "0.40 mV");
        assert!(bare.answer("E21").unwrap_err().contains("E21"));
        assert_eq!(bare.answer(""), Ok(Probed::Skipped));
    }
}
