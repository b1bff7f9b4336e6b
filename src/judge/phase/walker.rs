//! One step of the walk at a time: what a change, a mark, a gap or a flatness test does to the
//! phase.

use super::descent::{Descent, Stirred};
use super::left::Left;
use super::wake::OpenWake;
use super::{BLIND_S, Settling, Stretch, Walk};
use crate::judge::finding::Phase;
use crate::judge::hand::HAND_S;
use crate::judge::hold::{self, Ground, Known, Standing};
use crate::reading::Elapsed;
use crate::session::mark::Did;
use crate::session::{Placed, Session};
use crate::signal::steady::WINDOWS_S;
use crate::signal::{Change, Gap, Tick};

/// A fall or rise shows as such for this long; a level that holds longer is a plateau.
const PLATEAU_FROM_S: f64 = 30.0;
/// The walk so far, and what is still open.
pub(super) struct Walker<'a> {
    pub(super) session: &'a Session,
    known: Known,
    pub(super) walk: Walk,
    pub(super) open: Option<Settling>,
    pub(super) wake: Option<OpenWake>,
    /// A wake that lasted too long to be one, until the level that it rose out of stands again.
    pub(super) lapsed: Option<OpenWake>,
    fuse_state: usize,
    reference: Option<f64>,
    pulled_at: Option<Elapsed>,
    longest_dwell_s: f64,
    out: Vec<String>,
    pub(super) stirred: Option<Stirred>,
    left: Left,
}

impl<'a> Walker<'a> {
    /// A walk that begins at `start`.
    pub(super) fn at(start: Elapsed, session: &'a Session, known: Known) -> Self {
        Self {
            session,
            known,
            walk: Walk {
                clock_from: Some(start),
                boundary: start,
                states: vec![Vec::new()],
                ..Walk::default()
            },
            open: None,
            wake: None,
            lapsed: None,
            fuse_state: 0,
            reference: None,
            pulled_at: None,
            longest_dwell_s: 0.0,
            out: Vec::new(),
            stirred: Some(Stirred::by_beginning(start)),
            left: Left::by_card(session),
        }
    }

    fn close(&mut self, t: Elapsed) -> Option<Settling> {
        let mut settling = self.open.take()?;
        settling.to = t.max(settling.data_from);
        self.walk.settlings.push(settling);
        Some(settling)
    }

    pub(super) fn on_gap(&mut self, gap: Gap) {
        if gap.to.secs_since(gap.from) <= BLIND_S {
            return;
        }
        self.close(gap.from);
        (self.wake, self.lapsed, self.stirred) = (None, None, None);
        self.walk.enter(Phase::Blind, gap.from);
        self.walk.enter(Phase::Awake, gap.to);
        self.walk.boundary = gap.to;
        self.walk.last_change = None;
    }

    pub(super) fn on_change(&mut self, change: Change) {
        self.longest_dwell_s = self
            .longest_dwell_s
            .max(change.t.secs_since(self.walk.boundary));
        let was = self.close(change.t);
        (self.walk.boundary, self.walk.last_change) = (change.t, Some(change));
        if let Some(wake) = &mut self.wake {
            wake.back = hold::near(change.to_a, wake.base.level_a).then_some(change.t);
            return;
        }
        match was {
            Some(base) if change.is_rise() => {
                let clock_from = self.walk.clock_from.replace(change.t);
                let stirred = self.stirred.replace(Stirred::by_rise(&change));
                self.wake = Some(OpenWake {
                    from: change.t,
                    base,
                    clock_from,
                    stirred,
                    back: None,
                });
                self.walk.enter(Phase::Stirring, change.t);
            }
            Some(_) | None => {
                if change.is_rise() {
                    self.walk.clock_from = Some(change.t);
                }
                let phase = if change.to_a > change.from_a {
                    Phase::Awake
                } else {
                    Phase::Falling
                };
                self.walk.enter(phase, change.t);
            }
        }
    }

    pub(super) fn on_mark(&mut self, placed: &Placed) {
        let (t, did) = (placed.at(), placed.mark.did);
        if matches!(did, Did::Note | Did::Zero) {
            return;
        }
        let woken = self.wake.take();
        self.lapsed = None;
        let settled = self.close(t).or(woken.map(|wake| wake.base)).or_else(|| {
            // The step that the mark belongs to has closed the stretch already.
            let last = self.walk.settlings.last().copied();
            last.filter(|last| t.secs_since(last.to) <= HAND_S)
        });
        if did.is_tried() {
            let stirred = self
                .stirred
                .filter(|_| self.left.is_left(self.walk.level_a));
            self.walk.left_alone.push(stirred.map(|stirred| stirred.t));
        }
        self.left.mark(did);
        let asleep = settled.is_some();
        self.stirred = Stirred::by_mark(self.stirred, did, t, asleep, self.walk.level_a);
        if woken.is_some() || did.stirs() {
            self.walk.clock_from = Some(t);
        }
        self.walk.boundary = self.walk.boundary.max(t);
        self.longest_dwell_s = 0.0;
        if did.is_tried() {
            self.fuse_state += 1;
            self.reference = settled.map(|settling| settling.level_a);
            self.pulled_at = did.removes().then_some(t);
            for label in &placed.mark.what {
                self.out.retain(|other| other != label);
                if did.removes() {
                    self.out.push(label.clone());
                }
            }
            self.out.sort();
            self.walk.states.push(self.out.clone());
            self.walk.resettle_after = Some(placed.mark.clone());
        } else {
            self.pulled_at = None;
            self.walk.resettle_after = None;
        }
        let quiet = settled.is_some() && did.is_tried();
        self.walk
            .enter(if quiet { Phase::Plateau } else { Phase::Awake }, t);
    }

    pub(super) fn on_tick(&mut self, tick: Tick) {
        self.walk.level_a = Some(tick.level_a);
        self.left.hear(tick.level_a);
        if let Some(stirred) = &mut self.stirred {
            stirred.hear(tick.level_a);
        }
        if let Some(open) = self.open {
            if open.ground.may_fall() {
                self.grow(open, tick);
            }
            self.walk.enter(Phase::Settled, tick.t);
            return;
        }
        if let Some(wake) = self.wake {
            self.on_tick_awoken(tick, wake);
            return;
        }
        if let Some(settling) = self.proof(tick) {
            self.come_back(&settling);
            self.open = Some(settling);
            self.remember(settling.ground, tick);
            self.walk.enter(Phase::Settled, tick.t);
        } else if tick.t.secs_since(self.walk.boundary) >= PLATEAU_FROM_S {
            let standing = self.standing(tick, self.walk.boundary);
            self.walk.resettle_s = Known::resettle_s(&standing);
            self.walk.enter(Phase::Plateau, tick.t);
        }
    }

    /// A level let through early gets a better ground as soon as there is one.
    fn grow(&mut self, open: Settling, tick: Tick) {
        let standing = self.standing(tick, open.since);
        let ground = match self.proof(tick).map(|proof| proof.ground) {
            Some(ground) if !ground.may_fall() => ground,
            Some(_) | None if self.known.timed_out(&standing) => Ground::TimedOut,
            Some(_) | None => open.ground,
        };
        self.open = Some(Settling { ground, ..open });
        self.remember(ground, tick);
    }

    /// Only a level that cannot fall any further is one to know again; one that counts because it
    /// is near a known one is not, or the known level would creep.
    fn remember(&mut self, ground: Ground, tick: Tick) {
        if !ground.may_fall() && ground != Ground::Known {
            self.known.remember(&self.out, tick.level_a);
        }
    }

    fn standing(&self, tick: Tick, since: Elapsed) -> Standing {
        // The time-out of a car that nobody locked does not run.
        let clock_from = self.walk.clock_from;
        let clock_from = clock_from.filter(|_| self.left.is_left(Some(tick.level_a)));
        Standing {
            level_a: tick.level_a,
            stood_s: tick.t.secs_since(since),
            waited_s: clock_from.map(|from| tick.t.secs_since(from)),
            reference_a: self.reference,
            resettling: self.fuse_state > 0,
            since_pull_s: self.pulled_at.map(|t| tick.t.secs_since(t)),
            longest_dwell_s: self.longest_dwell_s,
            only_state: self.walk.settlings.is_empty(),
        }
    }

    /// Flat, and something from outside the signal says that it is the end.
    fn proof(&self, tick: Tick) -> Option<Settling> {
        let boundary = self.walk.boundary;
        let ground = self
            .known
            .ground(&self.out, &self.standing(tick, boundary))?;
        // Where the level can only fall, a small drift does no harm.
        let windows = if ground.may_fall() {
            tick.calm
        } else {
            tick.flat
        };
        let window_from = WINDOWS_S
            .iter()
            .enumerate()
            .filter(|(bit, _)| windows >> bit & 1 == 1)
            .map(|(_, window_s)| Elapsed::from_ms(tick.t.ms() - window_s * 1000))
            .filter(|from| *from >= boundary)
            .min()?;
        Some(Settling {
            data_from: window_from.max(boundary.plus_secs(2.0)),
            proven: tick.t,
            since: tick.t,
            to: tick.t,
            level_a: tick.level_a,
            ground,
            fuse_state: self.fuse_state,
            descent: self.descent(),
        })
    }

    /// How the car came down to the present level, if a fall of its own brought it here.
    fn descent(&self) -> Option<Descent> {
        let stirred = self.stirred.filter(|_| self.out.is_empty())?;
        let last = self.walk.last_change?;
        if last.t == self.walk.boundary {
            stirred.down_by(&last)
        } else {
            None
        }
    }

    pub(super) fn finish(mut self, end: Elapsed) -> Walk {
        self.close(end);
        self.walk.left_since = self.stirred.map(|stirred| stirred.t);
        self.walk.is_locked = self.left.is_locked();
        self.walk.is_unlocked = !self.left.is_left(self.walk.level_a);
        if let Some(last) = self.walk.stretches.last_mut() {
            last.to = last.to.max(end);
        } else if self.session.readings() > 0 {
            let from = self.walk.boundary;
            self.walk.stretches.push(Stretch {
                phase: Phase::Awake,
                from,
                to: end,
            });
        }
        self.walk
    }
}
