//! How well the judge judges, over simulated cars whose seeds are used for nothing else.
//!
//! `cargo bench --bench reach [-- SEEDS [PART]]` prints the tables that stand in benches/README.md,
//! or one of them.

#![expect(
    clippy::print_stdout,
    clippy::as_conversions,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    unreachable_pub,
    reason = "a measuring program that prints a table"
)]

#[path = "reach/car.rs"]
mod car;
#[path = "reach/levels.rs"]
mod levels;
#[path = "reach/scenes.rs"]
mod scenes;
#[path = "reach/steps.rs"]
mod steps;

use car::Noise;
use lullboard::judge::finding::{Finding, Verdict};
use lullboard::judge::reason::TrialReason;
use lullboard::judge::{Phase, judge, limit, live};
use lullboard::session::Session;
use lullboard::session::card::{Accuracy, Card};
use lullboard::session::entry::{Entry, Header, MeterCard};
use scenes::{PULLS, Way};

/// Seeds begin here; nothing else in the project uses seeds from here on.
const FIRST_SEED: u64 = 7_000_000;

/// A table and its name.
type Part = (&'static str, fn(u64));

fn main() {
    let seeds: u64 = std::env::args()
        .skip(1)
        .find_map(|arg| arg.parse().ok())
        .unwrap_or(400);
    let parts: [Part; 6] = [
        ("cars", random_cars),
        ("pulls", pulls),
        ("levels", levels::levels),
        ("steps", steps::steps),
        ("verdicts", verdicts),
        ("false-steps", false_steps),
    ];
    let asked: Vec<String> = std::env::args().skip(1).collect();
    let named = |name: &str| asked.iter().any(|arg| arg == name);
    let all = !parts.iter().any(|(name, _)| named(name));
    for (name, print) in parts {
        if all || named(name) {
            print(seeds);
        }
    }
}

fn session(card: Card) -> Session {
    let started = chrono::DateTime::UNIX_EPOCH.fixed_offset();
    Session::new(Header {
        started,
        card,
        meter: MeterCard::default(),
    })
}

fn judged(card: Card, entries: &[Entry]) -> lullboard::judge::Judgement {
    let mut session = session(card);
    for entry in entries {
        session.apply(entry);
    }
    judge(&session)
}

/// Gain 0.5 % as a standard uncertainty, given to the card as the limit of error it comes from.
fn accuracy() -> Accuracy {
    Accuracy {
        percent: 0.5 * 3f64.sqrt(),
        counts: 0.0,
        amount_a: 0.0,
    }
}

fn middle(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let at = (share * values.len().saturating_sub(1) as f64).round() as usize;
    values.get(at).copied().unwrap_or(f64::NAN)
}

/// What the board would have said, reading by reading, every five seconds.
fn random_cars(seeds: u64) {
    println!(
        "| random cars | runs | false settled | above, then fell below | wait median s | p95 s | none |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for below in [true, false] {
        let (mut false_settled, mut wrong_above, mut none) = (0, 0, 0);
        let mut waits = Vec::new();
        for seed in 0..seeds {
            let car = scenes::random_car(FIRST_SEED + seed * 2 + u64::from(below), below);
            let (last_s, final_a) = car.stages.last().copied().unwrap_or_default();
            let mut session = session(Card {
                accuracy: Some(accuracy()),
                ..Card::default()
            });
            let mut next_s = 0.0;
            let mut word_s = None;
            for entry in &car.entries {
                session.apply(entry);
                let t_s = entry.t.secs();
                if t_s < next_s {
                    continue;
                }
                next_s = t_s + 5.0;
                let said = live(&session);
                let Some(level) = said.now.level.filter(|_| said.now.phase == Phase::Settled)
                else {
                    continue;
                };
                if t_s < last_s {
                    false_settled += u64::from(level.a > limit::USUAL_LIMIT_A + 0.008);
                    let falls = final_a < limit::USUAL_LIMIT_A;
                    wrong_above += u64::from(said.verdict == Verdict::Above && falls);
                } else {
                    word_s.get_or_insert(t_s - last_s);
                    break;
                }
            }
            match word_s {
                Some(word_s) => waits.push(word_s),
                None => none += 1,
            }
        }
        let what = if below {
            "end below the limit"
        } else {
            "end above"
        };
        println!(
            "| {what} | {seeds} | {false_settled} | {wrong_above} | {:.0} | {:.0} | {none} |",
            middle(&mut waits, 0.5),
            middle(&mut waits, 0.95)
        );
    }
}

#[derive(Default)]
struct Tally {
    covered: u64,
    looked: u64,
    look_covered: u64,
    manner: u64,
    located: u64,
    missing: u64,
    waits: Vec<f64>,
    u_ma: Vec<f64>,
    off_ma: Vec<f64>,
    sigmas: Vec<f64>,
}

fn pulls(seeds: u64) {
    println!();
    println!(
        "| pull | cover % | bias mA | U mA | wait median s | manner % | step, sigmas | in one reading % | first look cover % | none |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for (row, name) in PULLS.into_iter().enumerate() {
        let mut tally = Tally::default();
        for seed in 0..seeds {
            one_pull(
                name,
                FIRST_SEED + 100_000 * (row as u64 + 1) + seed,
                &mut tally,
            );
        }
        let percent = |n: u64, of: u64| 100.0 * n as f64 / of.max(1) as f64;
        let found = seeds - tally.missing;
        let located = if name == "null" {
            "-".into()
        } else {
            one_place(percent(tally.located, found))
        };
        let looked = match tally.looked {
            0 => "-".into(),
            of => one_place(percent(tally.look_covered, of)),
        };
        println!(
            "| {name} | {:.1} | {:.2} | {:.2} | {:.0} | {:.1} | {:.1} | {located} | {looked} | {} |",
            percent(tally.covered, found),
            tally.off_ma.iter().sum::<f64>() / tally.off_ma.len().max(1) as f64,
            middle(&mut tally.u_ma, 0.5),
            middle(&mut tally.waits, 0.5),
            percent(tally.manner, found),
            middle(&mut tally.sigmas, 0.5),
            tally.missing,
        );
    }
}

fn one_place(value: f64) -> String {
    format!("{value:.1}")
}

fn one_pull(name: &str, seed: u64, tally: &mut Tally) {
    let scene = scenes::pull(name, seed);
    let card = Card {
        accuracy: Some(accuracy()),
        asleep_at_start: Some(true),
        drift_a_per_h: scene.drift_a_per_h,
        ..Card::default()
    };
    let judged = judged(card, &scene.entries);
    let Some((trial, change)) = judged.trials.first().and_then(|t| Some((t, t.change?))) else {
        tally.missing += 1;
        return;
    };
    let off_a = change.a - scene.change_a;
    tally.covered += u64::from(off_a.abs() <= change.u_a);
    tally.off_ma.push(off_a * 1e3);
    tally.u_ma.push(change.u_a * 1e3);
    let settled = judged
        .phases
        .iter()
        .filter(|p| p.phase == lullboard::judge::Phase::Settled);
    let word = settled
        .map(|p| p.from.secs())
        .find(|from_s| *from_s > scene.settles_s);
    tally
        .waits
        .extend(word.map(|from_s| from_s - scene.settles_s));
    tally.manner += u64::from(match scene.way {
        Way::Plain(None) => trial.finding == Finding::NoChange && trial.manner.is_none(),
        Way::Plain(manner) => trial.manner == manner,
        Way::Woke => trial.manner.is_none() && matches!(trial.reason, TrialReason::Woke { .. }),
    });
    let values = steps::readings(&scene.entries);
    tally
        .sigmas
        .push(scene.own_a.abs() / steps::sigma_a(&values, scene.at_s));
    tally.located += u64::from(steps::is_located(&judged, &values, scene.at_s));
    if let (Some(look), Way::Plain(_)) = (trial.first_look, scene.way)
        && !matches!(name, "keep-awake" | "both")
    {
        tally.looked += 1;
        tally.look_covered += u64::from((look.a - scene.change_a).abs() <= look.u_a);
    }
}

fn verdicts(seeds: u64) {
    println!();
    println!(
        "| true mA at a 50 mA limit, meter 0.5 % + 2 mA | below | cannot tell | above | level cover % |"
    );
    println!("| --- | --- | --- | --- | --- |");
    for (row, level_ma) in [40.0, 45.0, 50.0, 55.0, 60.0].into_iter().enumerate() {
        let (mut below, mut cannot, mut above, mut covered) = (0, 0, 0, 0);
        for seed in 0..seeds {
            let noise = Noise {
                offset_u_a: 0.002 / 3f64.sqrt(),
                ..Noise::default()
            };
            let seed = FIRST_SEED + 5_000_000 + 100_000 * row as u64 + seed;
            let entries = scenes::still_car(seed, level_ma / 1e3, 700.0, &noise);
            let accuracy = Accuracy {
                amount_a: 0.002,
                ..accuracy()
            };
            let card = Card {
                accuracy: Some(accuracy),
                asleep_at_start: Some(true),
                ..Card::default()
            };
            let judged = judged(card, &entries);
            match judged.verdict {
                Verdict::Below => below += 1,
                Verdict::Above => above += 1,
                Verdict::CannotTell | Verdict::NotSettled => cannot += 1,
            }
            covered += u64::from(judged.settled.is_some_and(|settled| {
                (settled.level.a - level_ma / 1e3).abs() <= settled.level.u_a
            }));
        }
        let percent = 100.0 * covered as f64 / seeds as f64;
        println!("| {level_ma} | {below} | {cannot} | {above} | {percent:.1} |");
    }
}

fn false_steps(seeds: u64) {
    println!();
    println!("| 24 h at one level | hours | false steps |");
    println!("| --- | --- | --- |");
    for (row, (level_a, slow_a)) in [(0.05, 0.0005), (0.2, 0.002), (2.0, 0.002)]
        .into_iter()
        .enumerate()
    {
        let noise = Noise {
            slow_a,
            ..Noise::default()
        };
        let runs = (seeds / 40).max(1);
        let steps: usize = (0..runs)
            .map(|run| {
                let seed = FIRST_SEED + 9_000_000 + 1000 * row as u64 + run;
                let entries = scenes::still_car(seed, level_a, 86_400.0, &noise);
                judged(Card::default(), &entries).steps.len()
            })
            .sum();
        println!(
            "| {level_a} A, slow noise {} mA | {} | {steps} |",
            slow_a * 1e3,
            24 * runs
        );
    }
}
