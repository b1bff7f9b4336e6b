//! The cause: who kept whom awake, who drew, who woke the car. Only what trials showed; a car that
//! needed no hunt has none.

use super::Judgement;
use super::finding::{Level, Manner, Share, Trial};
use super::reason::TrialReason;
use super::rules::{SAME_CHANGE_SHARE, SUSPECT_A};
use crate::session::mark::Did;

/// Who did it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who<'a> {
    /// A part that was unplugged.
    Part(&'a [String]),
    /// Whatever these fuses feed.
    Behind(&'a [String]),
}

/// What a trial showed of a cause.
#[derive(Clone, Debug, PartialEq)]
pub enum Cause<'a> {
    /// It kept others awake.
    KeptAwake {
        /// It.
        who: Who<'a>,
        /// Those that it kept awake and what each drew, in ampere; empty where nobody knows them.
        what: Vec<(Who<'a>, f64)>,
        /// What fell with it, in ampere.
        fell_a: f64,
    },
    /// It drew of its own.
    Drew {
        /// It.
        who: Who<'a>,
        /// How much, in ampere.
        a: f64,
        /// Through which fuses, where that is more than its name says.
        through: Vec<&'a [String]>,
    },
    /// It took this much with it, in ampere, and nobody saw how: its own, or that of others.
    Took {
        /// It.
        who: Who<'a>,
        /// How much, in ampere.
        a: f64,
    },
    /// It woke the car.
    Woke {
        /// It.
        who: Who<'a>,
        /// How often, in seconds.
        every_s: f64,
    },
}

impl<'a> Cause<'a> {
    /// Who did it.
    pub const fn who(&self) -> Who<'a> {
        match self {
            Self::KeptAwake { who, .. }
            | Self::Drew { who, .. }
            | Self::Took { who, .. }
            | Self::Woke { who, .. } => *who,
        }
    }
}

/// Every cause that the trials showed, what kept others awake first.
pub fn causes(judgement: &Judgement) -> Vec<Cause<'_>> {
    let hunt = Hunt::new(judgement);
    let woke = hunt.waker.map(|(trial, every_s)| Cause::Woke {
        who: who(trial),
        every_s,
    });
    hunt.kept_awake()
        .into_iter()
        .chain(hunt.drew())
        .chain(woke)
        .collect()
}

/// Who kept awake what this trial took out, when another showed it: such a load is no fault of its
/// own.
pub fn kept_by<'a>(judgement: &'a Judgement, trial: &Trial) -> Option<Who<'a>> {
    let hunt = Hunt::new(judgement);
    let is_part = hunt.kept_part().is_some_and(|part| part.what == trial.what);
    let is_kept = is_part || hunt.kept().iter().any(|share| share.what == trial.what);
    let keeper = hunt.keeper.filter(|keeper| keeper.mark != trial.mark)?;
    is_kept.then(|| who(keeper))
}

/// The trials before the first new part, the narrowest of each kind.
struct Hunt<'a> {
    judgement: &'a Judgement,
    /// Whose removal let others fall asleep.
    keeper: Option<&'a Trial>,
    /// Whose removal took a load away at once.
    drawer: Option<&'a Trial>,
    /// Whose removal ended the wakes.
    waker: Option<(&'a Trial, f64)>,
}

impl<'a> Hunt<'a> {
    fn new(judgement: &'a Judgement) -> Self {
        let before = judgement.trials.iter();
        let before = before.take_while(|trial| trial.did != Did::Swap);
        let trials: Vec<&Trial> = before.filter(|trial| trial.did.removes()).collect();
        let fell = |manner: Manner| {
            let trials = trials.iter().copied();
            let is_one = |trial: &&Trial| trial.manner == Some(manner) && fall_a(trial).is_some();
            narrowest(trials.filter(is_one))
        };
        let stopped = trials.iter().copied();
        let waker = narrowest(stopped.filter(|trial| every_s(trial).is_some()));
        Self {
            judgement,
            keeper: fell(Manner::Late).or_else(|| fell(Manner::Both)),
            drawer: fell(Manner::AtOnce),
            waker: waker.and_then(|trial| Some((trial, every_s(trial)?))),
        }
    }

    fn kept_awake(&self) -> Option<Cause<'a>> {
        let keeper = self.keeper?;
        let kept = self.kept().into_iter().map(|share| {
            let part = self.kept_part().filter(|part| carries(&[share], part));
            (part.map_or(Who::Behind(&share.what), who), share.level.a)
        });
        Some(Cause::KeptAwake {
            who: who(keeper),
            what: kept.collect(),
            fell_a: fall_a(keeper)?,
        })
    }

    fn drew(&self) -> Vec<Cause<'a>> {
        let mut others: Vec<&Share> = self.shares().filter(|share| !self.is_kept(share)).collect();
        let mut drew = Vec::new();
        let part = self.drawer.filter(|trial| trial.did == Did::Unplug);
        let part = part.filter(|_| self.kept_part().is_none());
        if let Some((part, a)) = part.and_then(|part| Some((part, fall_a(part)?))) {
            let through = through(&others, part);
            others.retain(|share| !through.contains(share));
            drew.push(Cause::Drew {
                who: who(part),
                a,
                through: through.iter().map(|share| share.what.as_slice()).collect(),
            });
        }
        drew.extend(others.iter().map(|share| {
            let (who, a) = (Who::Behind(&share.what), share.level.a);
            if self.is_unseen(share) {
                return Cause::Took { who, a };
            }
            Cause::Drew {
                who,
                a,
                through: Vec::new(),
            }
        }));
        drew
    }

    /// Shares that matter, the largest first.
    fn shares(&self) -> impl Iterator<Item = &'a Share> {
        let shares = self.judgement.ledger.iter();
        shares.filter(|share| share.level.a > SUSPECT_A)
    }

    /// Whether this share went to sleep with the keeper's removal: it is no more than what fell, and
    /// it is what fell, or more than what is left.
    fn is_kept(&self, share: &Share) -> bool {
        let Some((keeper, change)) = self
            .keeper
            .and_then(|keeper| keeper.change.map(|c| (keeper, c)))
        else {
            return false;
        };
        let fits = share.level.a <= -change.a + share.level.u_a + change.u_a;
        let left = |after: Level| share.level.a <= after.a + after.u_a + share.level.u_a;
        let may_be_left = keeper.after.is_some_and(left);
        let all: Vec<&Share> = self.shares().collect();
        fits && (!may_be_left
            || through(&all, keeper)
                .iter()
                .any(|one| one.what == share.what))
    }

    /// The shares that only the keeper kept awake.
    fn kept(&self) -> Vec<&'a Share> {
        self.shares().filter(|share| self.is_kept(share)).collect()
    }

    /// Whether nobody saw how the current fell when this share was taken out.
    fn is_unseen(&self, share: &Share) -> bool {
        let of_it = self.judgement.trials.iter();
        let mut fell = of_it
            .filter(|trial| trial.what == share.what && fall_a(trial).is_some())
            .peekable();
        fell.peek().is_some() && fell.all(|trial| trial.manner.is_none())
    }

    /// The part that drew only because it was kept awake.
    fn kept_part(&self) -> Option<&'a Trial> {
        let kept = self.kept();
        let part = self.drawer.filter(|trial| trial.did == Did::Unplug)?;
        (!through(&kept, part).is_empty()).then_some(part)
    }
}

fn who(trial: &Trial) -> Who<'_> {
    if trial.did == Did::Unplug {
        Who::Part(&trial.what)
    } else {
        Who::Behind(trial.together())
    }
}

/// How far the current fell, when it fell by something that matters.
fn fall_a(trial: &Trial) -> Option<f64> {
    let is_found = trial.finding.is_fall();
    let fell_a = -trial.change.filter(|_| is_found)?.a;
    (fell_a > SUSPECT_A).then_some(fell_a)
}

fn every_s(trial: &Trial) -> Option<f64> {
    let TrialReason::WakesStopped { every_s, .. } = trial.reason else {
        return None;
    };
    Some(every_s)
}

/// A part says more than the fuse before it, and a later trial is nearer to the cause.
fn narrowest<'a>(trials: impl Iterator<Item = &'a Trial>) -> Option<&'a Trial> {
    trials.max_by_key(|trial| (trial.did == Did::Unplug, trial.t))
}

/// The fuse, or the pair of them, that carries what this part drew.
fn through<'a>(shares: &[&'a Share], part: &Trial) -> Vec<&'a Share> {
    let ones = shares.iter().map(|one| vec![*one]);
    let pairs = shares.iter().enumerate().flat_map(|(i, one)| {
        let others = shares.iter().skip(i + 1);
        others.map(|other| vec![*one, *other]).collect::<Vec<_>>()
    });
    let mut ways = ones.chain(pairs);
    ways.find(|way| carries(way, part)).unwrap_or_default()
}

fn carries(way: &[&Share], part: &Trial) -> bool {
    let all_a: f64 = way.iter().map(|share| share.level.a).sum();
    let u_a: f64 = way.iter().map(|share| share.level.u_a).sum();
    part.change.is_some_and(|change| {
        (all_a + change.a).abs() <= (u_a + change.u_a).max(SAME_CHANGE_SHARE * all_a)
    })
}
