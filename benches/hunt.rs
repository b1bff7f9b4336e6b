//! How long a hunt takes: the plan against pulling one by one and against halving, over simulated
//! cars whose seeds are used for nothing else.
//!
//! `cargo bench --bench hunt [-- CARS]` prints the tables that stand in benches/README.md.

#![expect(
    clippy::print_stdout,
    clippy::as_conversions,
    clippy::cast_precision_loss,
    clippy::indexing_slicing,
    unreachable_pub,
    reason = "a measuring program that prints a table"
)]

#[path = "hunt/car.rs"]
mod car;

use std::hint::black_box;

use car::{Car, LIMIT_A, Truth, unit_of};
use lullboard::judge::plan::belief::Belief;
use lullboard::judge::plan::search::{Elsewhere, Item, Search, Waits};
use lullboard::judge::plan::{Brief, Plan, plan};
use lullboard::session::mark::Did;

/// Seeds begin here; nothing else in the project uses seeds from here on.
const FIRST_SEED: u64 = 9_000_000;
/// No hunt takes more steps.
const STEPS_MAX: usize = 400;

fn main() {
    let cars: u64 = std::env::args()
        .skip(1)
        .find_map(|arg| arg.parse().ok())
        .unwrap_or(200);
    speed();
    for truth in [Truth::AsWeighted, Truth::Anywhere] {
        hunts(cars, truth);
    }
}

fn hunts(cars: u64, truth: Truth) {
    let place = match truth {
        Truth::AsWeighted => "where the weights expect it",
        Truth::Anywhere => "anywhere, whatever the weights say",
    };
    println!(
        "| drawer {place} | planned min | by weight | box order | halving | p95 planned | p95 by weight | promised / needed | wrong | wrong, the others |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for n in [12, 24, 40, 60] {
        for faults in 1..=3 {
            let all = 0..cars;
            let fresh = |seed| Car::new(FIRST_SEED + seed, n, faults, truth);
            let mut wrong = 0;
            let mut promised = 0.0;
            let mut planned = Vec::new();
            for seed in all.clone() {
                let mut car = fresh(seed);
                promised += first_promise(&car);
                wrong += u64::from(!follow_the_plan(&mut car));
                planned.push(car.spent_s / 60.0);
            }
            let of = |hunt: fn(&mut Car) -> bool| -> (Vec<f64>, u64) {
                let mut lost = 0;
                let spent = all.clone().map(|seed| {
                    let mut car = fresh(seed);
                    lost += u64::from(!hunt(&mut car));
                    car.spent_s / 60.0
                });
                (spent.collect(), lost)
            };
            let (by_weight, lost_1) = of(by_weight);
            let (box_order, lost_2) = of(box_order);
            let (halving, lost_3) = of(halving);
            let needed = mean(&planned);
            println!(
                "| {n} circuits, {faults} draw | {needed:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {:.2} | {wrong} | {} |",
                mean(&by_weight),
                mean(&box_order),
                mean(&halving),
                p95(planned),
                p95(by_weight),
                promised / cars as f64 / needed,
                lost_1 + lost_2 + lost_3,
            );
        }
    }
    println!();
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn p95(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() * 95 / 100]
}

fn ask(car: &Car) -> Option<Plan> {
    plan(&Brief {
        map: &car.map,
        told: car.told.clone(),
        pairs: &[],
        swept: &[],
        cleared_parts: Vec::new(),
        found_parts: Vec::new(),
        limit_a: LIMIT_A,
        excess_a: car.excess_a(),
        level_a: car.level_a(),
        out: car.out_labels(),
        out_now: car.out_labels(),
        pending: Vec::new(),
        waits: car.waits,
    })
}

fn first_promise(car: &Car) -> f64 {
    ask(car).map_or(0.0, |plan| plan.minutes_left)
}

/// Does what the plan says until it goes on to the parts; whether it was right then.
fn follow_the_plan(car: &mut Car) -> bool {
    for _ in 0..STEPS_MAX {
        let Some(plan) = ask(car) else {
            return false;
        };
        let units: Vec<usize> = plan.next.iter().map(|label| unit_of(label)).collect();
        let part = |unit: &usize| format!("part {unit}x");
        let is_known = |unit: &usize| plan.parts.contains(&part(unit));
        match plan.did {
            Some(Did::Pull) => car.turn(&units, true),
            Some(Did::Refit) if !units.iter().all(is_known) => car.turn(&units, false),
            _ => {
                let all = 0..car.map.len();
                let found: Vec<usize> = all
                    .filter(|unit| plan.parts.contains(&part(unit)))
                    .collect();
                return car.is_solved_by(&found);
            }
        }
    }
    false
}

fn one_by_one(car: &mut Car, order: &[usize]) -> bool {
    let mut found = Vec::new();
    for unit in order {
        if car.level_a() <= LIMIT_A {
            break;
        }
        let before_a = car.level_a();
        car.turn(&[*unit], true);
        if before_a - car.level_a() > 0.020 {
            found.push(*unit);
        }
    }
    car.is_solved_by(&found)
}

fn sorted(car: &Car) -> Vec<usize> {
    let mut order: Vec<usize> = (0..car.map.len()).collect();
    let weight = |unit: &usize| car.map[*unit].weight.unwrap_or(1.0);
    order.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    order
}

fn by_weight(car: &mut Car) -> bool {
    let order = sorted(car);
    one_by_one(car, &order)
}

fn box_order(car: &mut Car) -> bool {
    let order: Vec<usize> = (0..car.map.len()).collect();
    one_by_one(car, &order)
}

/// Half of what is open, then half of each group that fell; with the plan's own book-keeping.
fn halving(car: &mut Car) -> bool {
    let order = sorted(car);
    let excess_a = car.excess_a();
    for _ in 0..STEPS_MAX {
        let mut belief = Belief::new(&car.map, &car.told, LIMIT_A, excess_a);
        for told in &car.told {
            belief.learn(told);
        }
        let fitted = belief
            .groups
            .iter()
            .filter(|group| !car.out.contains(&group.units[0]));
        let known_a: f64 = fitted.map(|group| group.level.a).sum();
        let open: Vec<usize> = order
            .iter()
            .copied()
            .filter(|unit| belief.is_open(*unit) && !car.out.contains(unit))
            .collect();
        let more = car.level_a() - known_a > LIMIT_A + 0.005;
        if more && !open.is_empty() {
            car.turn(&open[..open.len().div_ceil(2)], true);
            continue;
        }
        let Some(group) = belief.groups.iter().find(|group| group.units.len() > 1) else {
            let found: Vec<usize> = belief.groups.iter().flat_map(|g| g.units.clone()).collect();
            return car.is_solved_by(&found);
        };
        let half = group.units[..group.units.len() / 2].to_vec();
        let pull = !car.out.contains(&half[0]);
        car.turn(&half, pull);
    }
    false
}

/// How long one plan takes to work out.
#[expect(
    clippy::disallowed_methods,
    reason = "a benchmark asks the time itself; the shell's clock is for sessions"
)]
fn speed() {
    let waits = Waits {
        handle_s: 20.0,
        pull_s: 120.0,
        refit_s: 210.0,
    };
    println!("| circuits | programme alone, ms | a whole plan, ms |");
    println!("| --- | --- | --- |");
    for n in [20, 40, 60, 120] {
        let item = |i: usize| Item {
            chance: 1.0 / (i + 1) as f64,
            handle_s: 20.0,
        };
        let items: Vec<Item> = (0..n).map(item).collect();
        let car = Car::new(FIRST_SEED, n, 1, Truth::Anywhere);
        let times = 50;
        let each_ms = |work: &dyn Fn()| {
            let begin = std::time::Instant::now();
            (0..times).for_each(|_| work());
            begin.elapsed().as_secs_f64() * 1e3 / f64::from(times)
        };
        let programme_ms = each_ms(&|| {
            black_box(Search::new(black_box(&items), waits, Elsewhere::default()));
        });
        let plan_ms = each_ms(&|| {
            black_box(ask(black_box(&car)));
        });
        println!("| {n} | {programme_ms:.2} | {plan_ms:.2} |");
    }
    println!();
}
