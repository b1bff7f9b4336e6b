//! How well a level's own interval holds: the moment it is called settled, and at half an hour.

use lullboard::judge::finding::Level;
use lullboard::judge::live;
use lullboard::session::Session;
use lullboard::session::card::{Accuracy, Card};

use crate::car::{Draw, Noise};
use crate::{FIRST_SEED, middle, scenes, session};

const LEVELS: [&str; 8] = [
    "direct",
    "coarse 10 mA",
    "coarse dithered",
    "noisy",
    "noise tau 4 s",
    "noise tau 10 s",
    "one reading in 2 s",
    "drifting clamp",
];
const END_S: f64 = 1800.0;

/// Prints the coverage of settled levels, for a meter without any error of gain or zero.
pub fn levels(seeds: u64) {
    println!();
    println!("| level | cover % at the word | U mA | cover % at 30 min | U mA | none |");
    println!("| --- | --- | --- | --- | --- | --- |");
    for (row, name) in LEVELS.into_iter().enumerate() {
        let (mut first, mut last) = (Tally::default(), Tally::default());
        for seed in 0..seeds {
            let seed = FIRST_SEED + 3_000_000 + 100_000 * row as u64 + seed;
            let noise = Noise {
                gain_u: 0.0,
                ..scenes::noise_of(name)
            };
            let level_a = Draw::new(seed + 50_000).between(0.03, 0.25);
            let (at_word, at_end) = said(seed, level_a, &noise);
            first.add(at_word, level_a);
            last.add(at_end, level_a);
        }
        println!(
            "| {name} | {:.1} | {:.2} | {:.1} | {:.2} | {} |",
            first.percent(),
            middle(&mut first.u_ma, 0.5),
            last.percent(),
            middle(&mut last.u_ma, 0.5),
            seeds - first.count
        );
    }
}

#[derive(Default)]
struct Tally {
    count: u64,
    covered: u64,
    u_ma: Vec<f64>,
}

impl Tally {
    fn add(&mut self, level: Option<Level>, true_a: f64) {
        let Some(level) = level else { return };
        self.count += 1;
        self.covered += u64::from((level.a - true_a).abs() <= level.u_a);
        self.u_ma.push(level.u_a * 1e3);
    }

    fn percent(&self) -> f64 {
        100.0 * self.covered as f64 / self.count.max(1) as f64
    }
}

fn said(seed: u64, level_a: f64, noise: &Noise) -> (Option<Level>, Option<Level>) {
    // No card holds an accuracy of nothing.
    let exact = Accuracy {
        percent: 0.0,
        counts: 0.0,
        amount_a: 1e-9,
    };
    let drift_a_per_h = noise.drift_a_per_h;
    let mut session = session(Card {
        accuracy: Some(exact),
        asleep_at_start: Some(true),
        drift_a_per_h: (drift_a_per_h > 0.0).then_some(drift_a_per_h),
        ..Card::default()
    });
    let mut at_word = None;
    let mut next_s = 0.0;
    for entry in scenes::still_car(seed, level_a, END_S, noise) {
        session.apply(&entry);
        if at_word.is_none() && entry.t.secs() >= next_s {
            at_word = settled(&session);
            next_s = entry.t.secs() + 1.0;
        }
    }
    (at_word, settled(&session))
}

fn settled(session: &Session) -> Option<Level> {
    let said = live(session);
    said.settled.map(|settled| settled.level)
}
