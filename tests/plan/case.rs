//! A hunt in the abstract: what each circuit draws, what was moved, and the plan after it.

use lullboard::fuse::map::Circuit;
use lullboard::judge::finding::Level;
use lullboard::judge::plan::belief::{Told, Word};
use lullboard::judge::plan::search::Waits;
use lullboard::judge::plan::{Brief, FuseDraw, Plan, plan};

pub(crate) const LIMIT_A: f64 = 0.050;
/// How well a change is known, in ampere.
pub(crate) const CHANGE_U_A: f64 = 0.01;
pub(crate) const WAITS: Waits = Waits {
    handle_s: 20.0,
    pull_s: 120.0,
    refit_s: 210.0,
};
/// What a healthy car draws besides.
const BASE_A: f64 = 0.010;

pub(crate) fn circuit(label: &str, feeds: &[&str]) -> Circuit {
    Circuit {
        label: label.to_owned(),
        in_box: String::new(),
        position: label.to_owned(),
        rating_a: None,
        style: None,
        feeds: feeds.iter().map(|part| (*part).to_owned()).collect(),
        weight: None,
    }
}

/// The one part behind a numbered circuit.
pub(crate) fn part(label: &str) -> String {
    format!("part of {label}.")
}

/// The engine bay is filled first, then the load floor.
pub(crate) fn label(at: usize) -> String {
    const ENGINE_BAY: usize = 24;
    if at < ENGINE_BAY {
        format!("E{}", at + 1)
    } else {
        format!("L{}", at + 1 - ENGINE_BAY)
    }
}

pub(crate) fn numbered(n: usize) -> Vec<Circuit> {
    let one = |at: usize| {
        let label = label(at);
        circuit(&label, &[&part(&label)])
    };
    (0..n).map(one).collect()
}

#[derive(Clone, Debug)]
pub(crate) struct Case<'a> {
    map: &'a [Circuit],
    draws_a: Vec<f64>,
    excess_a: f64,
    told: Vec<Told>,
    out: Vec<String>,
    level_a: f64,
    cleared_parts: Vec<String>,
    found_parts: Vec<String>,
}

impl<'a> Case<'a> {
    /// Draws beyond the map's end are behind no fuse of it.
    pub(crate) fn of(map: &'a [Circuit], draws_a: &[f64]) -> Self {
        let level_a = BASE_A + draws_a.iter().sum::<f64>();
        Self {
            map,
            draws_a: draws_a.to_vec(),
            excess_a: level_a - LIMIT_A,
            told: Vec::new(),
            out: Vec::new(),
            level_a,
            cleared_parts: Vec::new(),
            found_parts: Vec::new(),
        }
    }

    pub(crate) fn is_out(&self, label: &str) -> bool {
        self.out.iter().any(|other| other == label)
    }

    /// Pulled, with a fall of `fall_a`; zero is no change.
    pub(crate) fn pulled(mut self, labels: &[&str], fall_a: f64) -> Self {
        let what: Vec<String> = labels.iter().map(|label| (*label).to_owned()).collect();
        self.out.extend(what.iter().cloned());
        self.level_a -= fall_a;
        let out = self.out.clone();
        let word = word(fall_a);
        self.told.push(Told { what, out, word });
        self
    }

    /// Pulled with all others falling asleep late.
    pub(crate) fn kept_awake(mut self, label: &str, then_a: f64) -> Self {
        self.out.push(label.to_owned());
        let fell_a = self.level_a - then_a;
        self.level_a = then_a;
        self.told.push(Told {
            what: vec![label.to_owned()],
            out: self.out.clone(),
            word: Word::KeptAwake(Level {
                a: fell_a,
                u_a: CHANGE_U_A,
            }),
        });
        self
    }

    /// Put back; what the last trial of it took away comes again, and is not told.
    pub(crate) fn refitted(mut self, label: &str) -> Self {
        self.out.retain(|other| other != label);
        let last = self.told.iter().rfind(|told| told.what == [label]);
        if let Some(Word::Draws(level)) = last.map(|told| told.word) {
            self.level_a += level.a;
        }
        self
    }

    pub(crate) fn unplugged(mut self, part: &str, fell: bool) -> Self {
        let parts = if fell {
            &mut self.found_parts
        } else {
            &mut self.cleared_parts
        };
        parts.push(part.to_owned());
        self
    }

    /// Moves fuses and measures what their circuits draw; the change without its sign.
    pub(crate) fn turn(&mut self, labels: &[String], pull: bool) -> f64 {
        let of = |label: &String| {
            let at = self.map.iter().position(|circuit| circuit.label == *label);
            at.and_then(|at| self.draws_a.get(at))
                .copied()
                .unwrap_or(0.0)
        };
        let a: f64 = labels.iter().map(of).sum();
        let mut out = self.out.clone();
        self.out.retain(|label| !labels.contains(label));
        if pull {
            self.out.extend(labels.iter().cloned());
            out.clone_from(&self.out);
        }
        self.level_a += if pull { -a } else { a };
        self.told.push(Told {
            what: labels.to_vec(),
            out,
            word: word(a),
        });
        a
    }

    pub(crate) fn plan(&self) -> Plan {
        self.asked(&[], &[])
    }

    pub(crate) fn swept(&self, swept: &[FuseDraw]) -> Plan {
        self.asked(swept, &[])
    }

    /// With these moved and not judged yet.
    pub(crate) fn waiting(&self, labels: &[&str]) -> Plan {
        self.asked(&[], labels)
    }

    fn asked(&self, swept: &[FuseDraw], pending: &[&str]) -> Plan {
        let pending: Vec<String> = pending.iter().map(|label| (*label).to_owned()).collect();
        let brief = Brief {
            map: self.map,
            told: self.told.clone(),
            swept,
            pairs: &[],
            cleared_parts: self.cleared_parts.clone(),
            found_parts: self.found_parts.clone(),
            limit_a: LIMIT_A,
            excess_a: self.excess_a,
            level_a: self.level_a,
            out: self.out.clone(),
            out_now: self.out.iter().chain(&pending).cloned().collect(),
            pending,
            waits: WAITS,
        };
        plan(&brief).unwrap()
    }
}

fn word(a: f64) -> Word {
    if a > 0.0 {
        Word::Draws(Level { a, u_a: 0.001 })
    } else {
        Word::Nothing
    }
}
