//! For the tests beside the code: the last deed on a fuse or part of a car, before it is judged.

use std::cell::RefCell;

use super::both_sides::BothSides;
use super::sides::Sides;
use super::{Bench, trials};
use crate::judge::finding::Level;
use crate::judge::kit::TestCar;
use crate::judge::steps;

/// What is known to half a milliampere.
pub(super) fn known(a: f64) -> Level {
    Level { a, u_a: 0.000_5 }
}

/// What `look` sees of a record with everything that it is judged with.
pub(super) fn bench<T>(car: &TestCar, end_s: u32, look: impl FnOnce(&Bench<'_>) -> T) -> T {
    car.stays(end_s, |basis, stays| {
        look(&Bench {
            basis,
            stays,
            steps: &steps::steps(basis),
            seen: RefCell::default(),
        })
    })
}

/// What `look` sees of the last deed on a fuse or part, which has a level on either side.
pub(super) fn case<T>(
    car: &TestCar,
    end_s: u32,
    look: impl for<'a> FnOnce(BothSides<'a>) -> T,
) -> T {
    bench(car, end_s, |bench| {
        let mut all = trials(bench.basis, bench.stays, bench.steps).all;
        let trial = all.pop().unwrap();
        let is_tried = |stay: &crate::judge::stay::Stay| stay.opening.tried().is_some();
        let at = bench.stays.all.iter().rposition(is_tried).unwrap();
        let sides = Sides::of(bench, at);
        look(BothSides::of(bench, at, &sides, &trial, &all).unwrap())
    })
}
