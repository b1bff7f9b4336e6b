//! Wakes and changes that nobody marked, in words.

use super::{charge, counted};
use crate::judge::Judgement;
use crate::judge::finding::{Cycle, Unclaimed, Wake};
use crate::judge::rules::AWAKE_A;
use crate::judge::wait;
use crate::judge::watch::{self, Watch};
use crate::reading::quantity;

impl Wake {
    /// How high it went; beyond the meter's range that is the least.
    pub fn peak_in_words(&self) -> String {
        format!("{}{}", self.at_least(), quantity::current(self.peak_a))
    }

    /// What it took above the settled level.
    pub fn charge_in_words(&self) -> String {
        format!("{}{}", self.at_least(), charge(self.charge_as))
    }

    const fn at_least(&self) -> &'static str {
        if self.over { "at least " } else { "" }
    }

    /// In one line.
    pub fn in_words(&self, when: &str) -> String {
        let lasts = quantity::span(self.lasts_s());
        let (peak, charge) = (self.peak_in_words(), self.charge_in_words());
        format!("{when} wake of {lasts}, up to {peak}, {charge}")
    }
}

impl Cycle {
    /// In one line.
    pub fn in_words(&self) -> String {
        format!(
            "a wake every {}: {} long, {} more, {} seen",
            quantity::span(self.period_s),
            quantity::span(self.width_s),
            quantity::current(self.extra_a),
            self.count,
        )
    }
}

impl Unclaimed {
    /// What happened: `a fall of 240 mA`.
    pub fn in_short(&self) -> String {
        let way = if self.to_a < self.from_a {
            "fall"
        } else {
            "rise"
        };
        let by = quantity::current((self.to_a - self.from_a).abs());
        format!("a {way} of {by}")
    }

    /// As a question.
    pub fn in_words(&self, when: &str) -> String {
        let asleep = if self.from_a >= AWAKE_A && self.to_a < AWAKE_A {
            " Or did the car only then fall asleep? Then its time-out is longer"
        } else {
            ""
        };
        let what = self.in_short();
        match self.among.as_slice() {
            [] => {}
            [one] => {
                return format!(
                    "{what} at {when} is {one}'s, for all that is known of its run: say so under steps"
                );
            }
            among => return format!("{what} at {when} stays open: one of {}", among.join(", ")),
        }
        format!("{what} at {when} nobody marked: what was done then?{asleep}")
    }
}

/// How much longer to watch for wakes that were never seen.
pub fn watch(watch: Watch) -> String {
    format!(
        "no wake in {}: watch {} more to be sure that none of {} comes often enough to matter",
        quantity::span(watch.watched_s),
        wait::to_come(watch.needed_s - watch.watched_s),
        charge(watch.charge_as)
    )
}

/// What the watch does not prove of wakes.
pub fn unseen(judgement: &Judgement) -> Option<String> {
    let average = judgement.average.filter(|average| average.over_s >= 1.0)?;
    let (watched_s, wakes) = (average.over_s, average.wakes);
    let told = judgement.sparse_in_words();
    let told = told.or_else(|| judgement.watch.map(watch));
    Some(told.unwrap_or_else(|| {
        let rarer = match wakes {
            0 => {
                let every = quantity::span(watched_s / watch::unseen());
                format!("one that comes less often than about every {every} may have been missed")
            }
            _ => "rarer ones may exist".into(),
        };
        format!(
            "{} in {}: {rarer}",
            counted(wakes),
            quantity::span(watched_s)
        )
    }))
}
