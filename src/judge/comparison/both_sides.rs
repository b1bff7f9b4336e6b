//! One comparison with a level on either side: which of them count, and what they say.

use super::resting::Resting;
use super::sides::{Side, Sides};
use super::wakes::WakesCompared;
use super::{Bench, finding, hindsight, manner, open, part_a};
use crate::fuse::map::{self, Circuit};
use crate::judge::finding::{Finding, Level, Manner, Trial};
use crate::judge::pool::Up;
use crate::judge::reason::TrialReason;
use crate::judge::rules::{
    AT_ONCE_S, EDGE_S, LIE_TIMES, MATTER_A, REST_S, SAME_A, SAME_CHANGE_SHARE, SETTLE_S, SURE,
};
use crate::judge::stay::Opening;
use crate::judge::{levels, mark_tolerance};
use crate::reading::number::f64_from_usize;
use crate::session::Session;
use crate::session::mark::Did;

/// What one deed is judged from.
pub(super) struct BothSides<'a> {
    pub(super) bench: &'a Bench<'a>,
    at: usize,
    pub(super) sides: &'a Sides<'a>,
    pub(super) before: &'a Side<'a>,
    pub(super) after: &'a Side<'a>,
    pub(super) resting: Resting,
    /// What came at once with the deed, where it can be told.
    pub(super) own: Option<Level>,
    /// What the readings beside the deed show in a car that was opened for it: beside all that an
    /// open car does by itself.
    pub(super) opened: Option<Level>,
}

impl<'a> BothSides<'a> {
    /// `None` where one side has no level.
    pub(super) fn of(
        bench: &'a Bench<'a>,
        at: usize,
        sides: &'a Sides<'a>,
        trial: &Trial,
        earlier: &[Trial],
    ) -> Option<Self> {
        let (before, after) = (sides.before.as_ref()?, sides.after.as_ref()?);
        let resting = Resting::of(bench.basis, before, after);
        let told = is_told_by_fuse(bench.basis.session, trial, earlier, resting.change);
        Some(Self {
            bench,
            at,
            sides,
            before,
            after,
            resting,
            own: own(sides, trial, earlier),
            opened: (trial.first_look).filter(|_| trial.did != Did::Swap && !told),
        })
    }

    pub(super) fn judge(&self, trial: &mut Trial) {
        if !self.after_counts() {
            return open::unsettled(self.bench, self.at, self.sides, trial);
        }
        trial.change = Some(self.resting.change);
        let counts = self.before_counts();
        let up = if counts { None } else { self.stayed_up() };
        let slept = up.filter(|up| up.p < 1.0 - SURE && self.is_below());
        if !counts && slept.is_none() {
            return self.without_before(up, trial);
        }
        let waking = WakesCompared::of(self.bench, self.before, self.after);
        finding::settle(self, trial, &waking);
        manner::tell(self, trial);
        let fell = trial.finding.is_fall();
        let by_itself = fell && trial.manner != Some(Manner::AtOnce);
        // What fell with it may be of a removal before it.
        let may_be_late = by_itself && trial.manner != Some(Manner::Both)
            || fell && !self.removals_before().is_empty();
        if may_be_late
            && trial.did.removes()
            && let Some(level_a) = hindsight::asleep_with_it(self.bench, self.at, self.before)
        {
            (trial.finding, trial.manner) = (Finding::CannotTell, None);
            trial.reason = TrialReason::AsleepWithIt {
                fell_a: -self.resting.change.a,
                level_a,
            };
            return;
        }
        if let Some(up) = slept.filter(|_| by_itself) {
            trial.reason = TrialReason::Slept {
                up_s: up.for_s,
                p: up.p,
            };
        }
        let differs = open::differs_a(self.bench, self.after, trial);
        if let TrialReason::Rose { differs_a, .. } | TrialReason::Same { differs_a, .. } =
            &mut trial.reason
        {
            *differs_a = differs;
        }
        self.so_far(trial);
    }

    /// The state before was up past its time-out, or not for long enough to count.
    fn without_before(&self, up: Option<Up>, trial: &mut Trial) {
        if !self.is_below() || !trial.did.removes() {
            return open::nothing_before(self.bench, self.after, trial);
        }
        let pool = self.bench.pool(self.before.stay.setup);
        trial.finding = Finding::CannotTell;
        trial.reason = TrialReason::UpTooShort {
            up_s: up.map_or(0.0, |up| up.for_s),
            needed_s: pool.up_for_more_s(self.bench.basis),
        };
    }

    fn stayed_up(&self) -> Option<Up> {
        self.bench.pool(self.before.stay.setup).up(self.bench.basis)
    }

    fn is_below(&self) -> bool {
        self.after.is_rested && self.after.shown.level.a <= self.bench.basis.limit_a
    }

    /// Whether the level before is one that the state has when it is left alone, or does not matter.
    fn before_counts(&self) -> bool {
        let is_null = self.resting.change.a.abs() < MATTER_A && self.after.is_rested;
        self.before.is_rested || self.own_is_all() || is_null
    }

    fn after_counts(&self) -> bool {
        let stood_s = self.after.shown.stood_s;
        let glimpsed = stood_s >= AT_ONCE_S
            && !self.after.is_late
            && !self.may_start_up()
            && (self.was_asleep() || self.own_is_all())
            && (!self.sides.is_open || self.own_is_all() && stood_s >= REST_S);
        // A stage on the way down is a fall already, and perhaps not all of it.
        let change = self.resting.change;
        let is_stage = self.before.is_rested
            && self.after.is_late
            && stood_s >= REST_S
            && change.a < -change.u_a;
        self.after.is_rested || glimpsed || is_stage
    }

    /// Whether what rose may be modules that start up and fall asleep again: what goes back is proven
    /// by rest, by a level at which this state has stood, or as what came at once and stood on.
    fn may_start_up(&self) -> bool {
        let stay = self.after.stay;
        let known = self.bench.newest_standing(stay.setup);
        let known = known.and_then(|known| Some(known.shown.as_deref()?.level.a));
        let stood_on = self.own_is_all() && self.after.shown.stood_s >= SETTLE_S;
        self.resting.change.a > MATTER_A
            && !stood_on
            && !known.is_some_and(|known_a| levels::same(known_a, self.after.shown.level.a))
    }

    /// Whether the deed was done to a car that slept.
    fn was_asleep(&self) -> bool {
        self.before.is_rested && self.sides.own_counts_from(self.before)
    }

    /// Whether what came at once is the whole change, and no stage of a car that was going to sleep.
    fn own_is_all(&self) -> bool {
        let change = self.resting.change;
        let close_a = (SAME_CHANGE_SHARE * change.a.abs())
            .max(2.0 * MATTER_A)
            .max(change.u_a);
        self.own.is_some_and(|own| {
            own.a.abs() > own.u_a.max(MATTER_A) && (own.a - change.a).abs() <= close_a
        }) && (change.a > 0.0 || self.before.is_rested || !self.may_be_stage())
    }

    /// Whether a module that fell asleep by itself may have done so this close to the mark: with
    /// one more to come, and as often as modules did since the time-out began.
    fn may_be_stage(&self) -> bool {
        let (basis, stays) = (self.bench.basis, &self.bench.stays.all);
        let Some((stay, placed)) = stays
            .get(self.at)
            .and_then(|stay| Some((stay, basis.placed(stay.opening.tried()?.0)?)))
        else {
            return false;
        };
        let changes = basis.session.signal().changes();
        let from = changes.partition_point(|change| change.t <= stay.clock);
        let since = changes.get(from..).unwrap_or_default().iter();
        let stages = since
            .take_while(|change| change.t < stay.from)
            .filter(|change| change.from_a - change.to_a > MATTER_A)
            .filter(|change| mark_tolerance::nearest(&basis.deeds, change.t).is_none());
        let apart_s = stay.from.secs_since(placed.at()).abs().max(EDGE_S);
        let watched_s = stay.from.secs_since(stay.clock);
        f64_from_usize(stages.count() + 1) * 2.0 * apart_s > (1.0 - SURE) * watched_s
    }

    /// What else was taken out just before, so shortly that a late fall may be of it.
    pub(super) fn removals_before(&self) -> Vec<String> {
        let basis = self.bench.basis;
        let fell = self.after.shown.fell;
        let earlier = self
            .bench
            .stays
            .all
            .get(..self.at)
            .unwrap_or(&[])
            .iter()
            .rev();
        let open = earlier.take_while(|stay| {
            stay.opening.is_removal() && fell < stay.from.plus_secs(basis.timeout_s)
        });
        let mut labels: Vec<String> = open
            .filter_map(|stay| match stay.opening {
                Opening::Deed(id, _) => Some(basis.placed(id)?.mark.what.join("+")),
                Opening::Start | Opening::Unnamed | Opening::Unmarked => None,
            })
            .collect();
        labels.reverse();
        labels
    }

    /// Whether more went at once than the resting levels lost. What is put back starts up with a
    /// surge of its own, and a later fall is others going to sleep.
    pub(super) fn disagrees(&self) -> bool {
        let change = self.resting.change;
        self.own.is_some_and(|own| {
            let sure_a = own.u_a.hypot(change.u_a).max(part_a(own.a, SAME_A));
            -own.a > sure_a && change.a - own.a > 2.0 * sure_a
        })
    }

    /// Whether the change was seen to happen: at once, or later.
    pub(super) fn was_seen(&self) -> bool {
        let change = self.resting.change;
        let at_once = self
            .own
            .is_some_and(|own| own.a.abs() > own.u_a && own.a * change.a > 0.0);
        at_once || self.after.fell_late()
    }

    /// While nothing else was done, a level above the limit may still fall.
    fn so_far(&self, trial: &mut Trial) {
        let basis = self.bench.basis;
        let stands_at = trial.t.plus_secs(LIE_TIMES * basis.timeout_s);
        let may_fall = self.after.shown.level.a > basis.limit_a && basis.end() < stands_at;
        let known = matches!(trial.reason, TrialReason::Rose { differs_a: Some(differs_a), .. } if differs_a == 0.0);
        trial.stands_at = (self.sides.is_open && may_fall && !known).then_some(stands_at);
    }
}

/// Whether the fuse that feeds this part took as much with it at once: then it is a load, and what an
/// open car shows of it says nothing.
fn is_told_by_fuse(session: &Session, trial: &Trial, earlier: &[Trial], change: Level) -> bool {
    let feeds_it = |circuit: &&Circuit| {
        let mut feeds = circuit.feeds.iter();
        feeds.any(|fed| trial.what.iter().any(|part| map::same(fed, part)))
    };
    let mut fuses = session.fuses().iter().filter(feeds_it);
    let took_as_much = |fuse: &Circuit| {
        let pulls = earlier.iter().filter(|pull| pull.did == Did::Pull);
        let mut at_once = pulls.filter(|pull| pull.manner == Some(Manner::AtOnce));
        at_once.any(|pull| {
            let a = pull.change.map(|took| took.a);
            pull.what == [fuse.label.clone()] && a.is_some_and(|a| levels::same(a, change.a))
        })
    };
    trial.did == Did::Unplug && fuses.any(took_as_much)
}

/// What the deeds' own steps show, where they were taken out of a level that the state has when it
/// is left alone: a car that was opened shows none. That of a run is the sum of all in it.
fn own(sides: &Sides<'_>, trial: &Trial, earlier: &[Trial]) -> Option<Level> {
    let look = trial.first_look.filter(|_| trial.did != Did::Swap)?;
    let before = sides.before.as_ref()?;
    if sides.run.len() > 1 {
        let in_run = earlier
            .iter()
            .filter(|earlier| sides.run.contains(&earlier.mark));
        return in_run
            .map(|earlier| earlier.first_look)
            .try_fold(look, |sum, look| {
                let look = look?;
                Some(Level {
                    a: sum.a + look.a,
                    u_a: sum.u_a.hypot(look.u_a),
                })
            });
    }
    sides.own_counts_from(before).then_some(look)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::comparison::testkit::{case, known};
    use crate::judge::kit::{HOUR, MIN, TestCar};

    /// Locked at once, stages at 60 and 200 s, the last one near the pull at 300 s.
    fn staged(fall_s: u32) -> TestCar {
        let levels = [(0, 2.0), (60, 0.800), (200, 0.400), (fall_s, 0.030)];
        TestCar::of(&levels).marked(&[(1, "lock"), (300, "pull A1")])
    }

    /// A load of its own leaves the resting level at once; one of a car that was going to sleep may
    /// be a stage, unless it slept already, or rose.
    #[test]
    fn what_came_at_once_is_all_of_it_where_no_stage_can_be() {
        let is_all = |fall_s, own_a: f64, change_a: f64, is_rested| {
            case(&staged(fall_s), 60 * MIN, |case| {
                let before = Side {
                    is_rested,
                    ..case.before.clone()
                };
                let mut case = BothSides {
                    before: &before,
                    own: Some(known(own_a)),
                    ..case
                };
                case.resting.change = known(change_a);
                case.own_is_all()
            })
        };
        for (fall_s, own_a, change_a, is_rested, expected, why) in [
            (300, -0.370, -0.370, false, true, "right with the key"),
            (296, -0.370, -0.370, false, false, "perhaps a stage"),
            (296, -0.370, -0.370, true, true, "it slept"),
            (296, 0.370, 0.370, false, true, "no stage rises"),
            (300, -0.340, -0.370, false, true, "all but a tenth"),
            (300, -0.330, -0.370, false, false, "not all of it"),
            (300, -0.0025, -0.005, false, false, "too small to matter"),
            (300, -0.0035, -0.009, false, true, "within 6 mA"),
            (300, -0.0035, -0.010, false, false, "beyond 6 mA"),
        ] {
            assert_eq!(
                is_all(fall_s, own_a, change_a, is_rested),
                expected,
                "{why}"
            );
        }
    }

    /// Whether the change was seen, and whether what went at once disagrees with it.
    struct Told {
        was_seen: bool,
        disagrees: bool,
    }

    /// A pull out of sleep, with these figures of what went at once and of the resting levels.
    fn with_figures(own: Option<(f64, f64)>, change_a: f64) -> Told {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030)]).marked(&[(600, "pull A1")]);
        case(&car, 1500, |mut case| {
            case.own = own.map(|(a, u_a)| Level { a, u_a });
            case.resting.change = known(change_a);
            Told {
                was_seen: case.was_seen(),
                disagrees: case.disagrees(),
            }
        })
    }

    /// The step at the mark shows it, beyond its own U and in the same direction.
    #[test]
    fn a_change_was_seen_where_its_own_step_shows_it() {
        for (own, expected) in [
            (Some((-0.010, 0.004)), true),
            (Some((-0.003, 0.004)), false),
            (Some((0.010, 0.004)), false),
            (None, false),
        ] {
            assert_eq!(with_figures(own, -0.010).was_seen, expected, "{own:?}");
        }
    }

    /// More went at once than the rest lost, by twice 5 mA or a tenth of it: something else came.
    #[test]
    fn a_part_that_took_more_than_the_rest_lost_disagrees() {
        for (own_a, change_a, expected) in [
            (-0.020, -0.011, false),
            (-0.020, -0.009, true),
            (-0.100, -0.081, false),
            (-0.100, -0.079, true),
            (-0.006, 0.007, true),
            (-0.004, 0.007, false),
            (0.020, 0.060, false),
        ] {
            let found = with_figures(Some((own_a, 0.002)), change_a).disagrees;
            assert_eq!(found, expected, "{own_a} of {change_a}");
        }
    }

    /// Stages at 60 and 200 s, the last with the pull at 300 s or seconds before it: three of them
    /// in 300 s leave one chance in twenty within two and a half seconds of the key.
    #[test]
    fn a_stage_of_the_car_close_to_the_key_is_no_load_of_its_own() {
        for (fall_s, expected) in [
            (300, Finding::Clears),
            (298, Finding::Clears),
            (296, Finding::CannotTell),
        ] {
            let trial = staged(fall_s).trial(60 * MIN);
            assert_eq!(trial.finding, expected, "{fall_s}: {:?}", trial.reason);
        }
    }

    /// A1 lets the car sleep two minutes later, three seconds after B2 came out; with B2 back in
    /// it sleeps on.
    #[test]
    fn one_fall_is_not_told_of_two() {
        let levels = [(0, 0.160), (723, 0.030)];
        let marks = [(600, "pull A1"), (720, "pull B2"), (1800, "refit B2")];
        let judged = TestCar::of(&levels)
            .marked(&[(1, "lock")])
            .card(|card| card.sleep_timeout_s = Some(300.0))
            .marked(&marks)
            .judged(60 * MIN);
        assert_eq!(judged.trials[0].manner, Some(Manner::Late));
        let other = &judged.trials[1];
        assert!(!other.finding.is_fall(), "{other:?}");
    }

    /// What is known of a pull, beside the record.
    #[derive(Clone, Copy)]
    #[expect(
        clippy::struct_excessive_bools,
        reason = "each is a column of the tables"
    )]
    struct Facts {
        slept_before: bool,
        /// Whether the level before lies beside the deed: else the car was opened for it.
        is_adjacent: bool,
        slept_after: bool,
        /// Whether the level after was reached late, and above the limit.
        is_late: bool,
        level_a: f64,
        stood_s: f64,
        is_open: bool,
        own_a: Option<f64>,
        change_a: f64,
    }

    impl Facts {
        const fn without_own(self) -> Self {
            Self {
                own_a: None,
                ..self
            }
        }
    }

    /// 130 mA went at once out of a sleeping car; what it left stood for half a minute, until the next deed.
    const GLIMPSED: Facts = Facts {
        slept_before: true,
        is_adjacent: true,
        slept_after: false,
        is_late: false,
        level_a: 0.030,
        stood_s: 30.0,
        is_open: false,
        own_a: Some(-0.130),
        change_a: -0.130,
    };

    /// Whether the levels on either side count, and whether the car is below after it.
    struct Counts {
        before: bool,
        after: bool,
        is_below: bool,
    }

    fn with_facts(facts: Facts) -> Counts {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030)]).marked(&[(600, "pull A1")]);
        case(&car, 1500, |case| {
            let before = Side {
                is_rested: facts.slept_before,
                is_adjacent: facts.is_adjacent,
                ..case.before.clone()
            };
            let mut shown = case.after.shown.clone();
            (shown.stood_s, shown.level.a) = (facts.stood_s, facts.level_a);
            let after = Side {
                shown: &shown,
                is_rested: facts.slept_after,
                is_late: facts.is_late,
                ..case.after.clone()
            };
            let sides = Sides {
                is_open: facts.is_open,
                just_before_a: None,
                ..case.sides.clone()
            };
            let mut case = BothSides {
                before: &before,
                after: &after,
                sides: &sides,
                own: facts.own_a.map(known),
                ..case
            };
            case.resting.change = known(facts.change_a);
            Counts {
                before: case.before_counts(),
                after: case.after_counts(),
                is_below: case.is_below(),
            }
        })
    }

    /// A level counts after a deed where nothing else can come, though it was only glimpsed: out of sleep,
    /// or all at once.
    #[test]
    fn a_glimpse_of_the_level_after_counts_where_nothing_else_can_come() {
        let none = GLIMPSED.without_own();
        let mut short = GLIMPSED;
        short.stood_s = 19.0;
        let mut late = GLIMPSED;
        late.is_late = true;
        let mut opened = none;
        opened.is_adjacent = false;
        let [mut awake, mut dozing] = [none, GLIMPSED];
        (awake.slept_before, dozing.slept_before) = (false, false);
        let mut open = GLIMPSED;
        (open.is_open, open.stood_s) = (true, 91.0);
        let mut soon = open;
        soon.stood_s = 89.0;
        for (facts, expected, why) in [
            (GLIMPSED, true, "out of sleep and at once"),
            (short, false, "for too short"),
            (late, false, "perhaps a stage"),
            (none, true, "out of sleep"),
            (opened, false, "the car was opened for it"),
            (awake, false, "neither out of sleep nor at once"),
            (dozing, true, "at once"),
            (open, true, "at once, and for a minute and a half"),
            (soon, false, "the next second may tell more"),
            (open.without_own(), false, "and so may the next minute"),
        ] {
            assert_eq!(with_facts(facts).after, expected, "{why}");
        }
    }

    /// A late fall out of sleep that stood for a minute and a half is one already, and perhaps not all.
    #[test]
    fn a_late_fall_out_of_sleep_counts_as_far_as_it_came() {
        let mut late = GLIMPSED.without_own();
        (late.is_late, late.stood_s) = (true, 91.0);
        let [mut soon, mut awake, mut rose, mut hidden, mut slept] = [late; 5];
        soon.stood_s = 89.0;
        awake.slept_before = false;
        rose.change_a = 0.130;
        hidden.change_a = -0.000_3;
        (slept.slept_after, slept.stood_s) = (true, 5.0);
        for (facts, expected, why) in [
            (late, true, "a fall already"),
            (soon, false, "not yet a stage"),
            (awake, false, "of a car that was awake"),
            (rose, false, "a late rise"),
            (hidden, false, "within U"),
            (slept, true, "it slept"),
        ] {
            assert_eq!(with_facts(facts).after, expected, "{why}");
        }
    }

    /// A level counts before a deed where the car slept at it, where all of the change came at once, or
    /// where there is next to none.
    #[test]
    fn the_level_before_counts_when_it_was_slept_at_or_does_not_matter() {
        let awake = Facts {
            slept_before: false,
            slept_after: true,
            own_a: None,
            ..GLIMPSED
        };
        for (facts, expected, why) in [
            (GLIMPSED, true, "it slept"),
            (awake, false, "it did not"),
            (
                Facts {
                    own_a: Some(-0.130),
                    ..awake
                },
                true,
                "all at once",
            ),
            (
                Facts {
                    change_a: -0.002,
                    ..awake
                },
                true,
                "no change",
            ),
            (
                Facts {
                    change_a: -0.004,
                    ..awake
                },
                false,
                "4 mA",
            ),
            (
                Facts {
                    change_a: -0.002,
                    slept_after: false,
                    ..awake
                },
                false,
                "it may change yet",
            ),
        ] {
            assert_eq!(with_facts(facts).before, expected, "{why}");
        }
    }

    /// The limit is 50 mA.
    #[test]
    fn a_car_is_below_where_it_sleeps_at_the_limit_or_lower() {
        for (slept_after, level_a, expected) in [
            (true, 0.049, true),
            (true, 0.051, false),
            (false, 0.030, false),
        ] {
            let facts = Facts {
                slept_after,
                level_a,
                ..GLIMPSED
            };
            assert_eq!(with_facts(facts).is_below, expected, "{level_a}");
        }
    }

    /// As many falls of more than 3 mA as since the lock, one of them within so many seconds of the key,
    /// come by chance oftener than once in twenty times: four seconds with one before, none exactly with
    /// three.
    #[test]
    fn the_more_stages_a_car_had_the_sooner_one_is_by_the_key() {
        let may_be = |first_a, levels: &[(u32, f64)]| {
            let levels = [&[(0, first_a)], levels].concat();
            let car = TestCar::of(&levels).display(4, 0.000_2);
            let car = car.marked(&[(1, "lock"), (300, "pull A1")]);
            case(&car, 60 * MIN, |case| case.may_be_stage())
        };
        for (second_a, expected, why) in [
            (0.096, true, "4 mA"),
            (0.098, false, "2 mA matter to nobody"),
            (0.120, false, "what rises falls asleep less"),
        ] {
            let levels = [(200, second_a), (296, 0.030)];
            assert_eq!(may_be(0.100, &levels), expected, "{why}");
        }
        let stages = |count: u32| {
            let mut levels: Vec<(u32, f64)> = (1..=count)
                .map(|n| (40 * n, 0.400 - 0.030 * f64::from(n)))
                .collect();
            levels.push((300, 0.030));
            levels
        };
        assert!(!may_be(0.400, &stages(3)) && may_be(0.400, &stages(5)));
    }

    /// Locked, up, unlocked for a moment, locked and up again: both waits count, and for twice 35 min a car
    /// with a time-out of 45 stays up once in fifty times; for twice 30 once in sixteen.
    #[test]
    fn two_waits_of_a_car_that_stayed_up_count_together() {
        for (wait_s, slept) in [(35 * MIN, true), (30 * MIN, false)] {
            let pull_s = 2 * wait_s + 60;
            let levels = [(0, 1.5), (pull_s + 120, 0.020)];
            let marks = [
                (1, "lock"),
                (wait_s, "unlock"),
                (wait_s + 60, "lock"),
                (pull_s, "pull A1"),
            ];
            let trial = TestCar::of(&levels).marked(&marks).trial(pull_s + 30 * MIN);
            assert_eq!(trial.finding == Finding::Clears, slept, "{trial:?}");
            if slept {
                assert!(
                    matches!(trial.reason, TrialReason::Slept { up_s, p }
                        if (up_s - 2.0 * f64::from(wait_s)).abs() < 70.0 && (0.015..0.025).contains(&p)),
                    "{trial:?}"
                );
            } else {
                assert!(
                    matches!(trial.reason, TrialReason::UpTooShort { .. }),
                    "{trial:?}"
                );
            }
        }
    }

    /// A car that was not up for long enough before: only a removal that it sleeps without, below its
    /// limit, may have let it.
    #[test]
    fn what_was_not_up_for_long_is_compared_with_nothing() {
        for (marks, left_a) in [
            (&[(20, "lock"), (600, "pull A1")][..], 0.120),
            (&[(20, "lock"), (300, "pull A1"), (600, "refit A1")], 0.020),
        ] {
            let car = TestCar::of(&[(0, 1.5), (720, left_a)]).marked(marks);
            let trial = car.trial(2 * HOUR);
            assert_eq!(trial.finding, Finding::CannotTell, "{trial:?}");
            assert!(
                matches!(trial.reason, TrialReason::NothingBefore { now_a: Some(a), .. } if (a - left_a).abs() < 0.001),
                "{trial:?}"
            );
        }
    }

    /// What was taken out within the time-out of ten minutes before the fall, with nothing else between.
    #[test]
    fn removals_whose_wait_has_not_run_may_have_their_part() {
        for (marks, expected) in [
            (&[(900, "pull A1")][..], &["A1"][..]),
            (&[(300, "pull A1")], &[]),
            (&[(300, "pull A1"), (800, "pull B2")], &["B2"]),
            (&[(700, "pull A1"), (800, "pull B2")], &["A1", "B2"]),
            (&[(700, "pull A1"), (800, "refit A1")], &[]),
        ] {
            let car = TestCar::asleep(&[(0, 0.160), (1100, 0.030)])
                .card(|card| card.sleep_timeout_s = Some(600.0))
                .marked(marks)
                .marked(&[(1000, "pull C3")]);
            let found = case(&car, 2400, |case| case.removals_before());
            assert_eq!(found, expected, "{marks:?}");
        }
    }

    /// What goes back starts up: 40 s of it before the next fuse prove nothing, unless it is the level
    /// that this state had before the fuse came out.
    #[test]
    fn a_refit_is_proven_by_rest_or_by_a_known_level() {
        for (back_a, expected) in [(0.760, Finding::CannotTell), (0.160, Finding::Raises)] {
            let levels = [(0, 0.160), (600, 0.030), (1200, back_a), (1300, 0.160)];
            let marks = [(600, "pull A1"), (1200, "refit A1"), (1240, "pull B2")];
            let judged = TestCar::asleep(&levels).marked(&marks).judged(HOUR);
            assert_eq!(judged.trials[1].finding, expected, "{back_a}");
        }
    }
}
