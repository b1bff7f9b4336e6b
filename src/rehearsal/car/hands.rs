//! Hands that go on with an announced run: fuse after fuse comes out until they are said to be back.

use super::Car;
use crate::reading::Elapsed;
use crate::session::{Did, Mark};

/// From the keys to the fuse box, in seconds; common practice, no source.
const WALK_S: f64 = 30.0;

/// To find a fuse, pull it and put it down, in seconds; common practice, no source.
const HANDS_S: f64 = 12.0;

impl Car {
    /// The hands go on with the announced run.
    pub(super) fn walk_until(&mut self, t: Elapsed) {
        let due = self.run.partition_point(|(at, _)| *at <= t);
        let due: Vec<(Elapsed, Mark)> = self.run.drain(..due).collect();
        for (at, pull) in due {
            self.pass_time(at);
            self.obey(at.secs(), &pull);
        }
    }

    /// Fuse after fuse comes out: when it is called, or as fast as hands go by themselves.
    pub(super) fn announce(&mut self, t_s: f64, run: &Mark) {
        let every_s = run.every_s.unwrap_or(HANDS_S);
        let mut next_s = t_s + WALK_S + HANDS_S / 4.0;
        self.run.clear();
        for label in &run.what {
            let pull = Mark {
                what: vec![label.clone()],
                ..Mark::new(Did::Pull)
            };
            self.run.push((Elapsed::from_secs(next_s), pull));
            next_s += every_s;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{mean_a, tell};
    use super::*;
    use crate::rehearsal::stories::STEADY_DRAW;

    /// Hands walk to the box and take fuse after fuse, until they are said to be back.
    #[test]
    fn a_run_takes_its_fuses_out_one_after_another() {
        let labels = STEADY_DRAW.map().into_iter().map(|circuit| circuit.label);
        let all = labels.collect::<Vec<_>>().join("+");
        let level_a = |every: &str, back_s: f64| {
            let mut car = Car::new(&STEADY_DRAW, 1);
            tell(&mut car, 10.0, &format!("run {all}{every}"));
            tell(&mut car, back_s, "run");
            mean_a(&mut car, 1990.0, 2000.0)
        };
        let slow = level_a(" every 600s", 1900.0);
        let [none, some, all] = [20.0, 100.0, 1900.0].map(|back_s| level_a("", back_s));
        assert!(none > some && some > all, "{none} {some} {all}");
        assert!(slow > all, "called slowly");
    }
}
