//! `Model::update`: what each message does to the desk, when it judges, when it rings, when it
//! wants to be woken. What keys do stands in `act`.

use std::collections::HashSet;

use super::notice::Dead;
use super::occasion::{self, Occasion};
use super::{Bell, Effect, Event, LinkState, Message, Model, Watched};
use crate::judge::{Judgement, words};
use crate::reading::{Elapsed, capitalised};
use crate::session::{Card, Entry, Fact, MarkId, Placed};

/// A reading later than this is missed, in seconds. Meters at the car send at least one a second;
/// three lets a slow one be late twice.
pub(super) const OVERDUE_S: f64 = 3.0;

/// A judgement of what was watched untouched may be older by this share of it.
const QUIET_SHARE: f64 = 20_000.0;

/// Readings alone are judged at most this often, in seconds of the session.
const JUDGE_EVERY_S: f64 = 1.0;
/// ... and, where the session runs faster than life, in seconds of life.
const JUDGE_EVERY_REAL_S: f64 = 0.25;

impl Model {
    /// Takes one message into account and says what is to be done.
    #[must_use]
    pub fn update(&mut self, message: Message) -> Vec<Effect> {
        self.now = self.now.max(message.t);
        let mut effects = Vec::new();
        match message.event {
            Event::Key(key) => self.key(key, &mut effects),
            Event::Pointed(t) => self.view.point_at(t, self.now),
            Event::Chosen(at) => self.choose_fuse(at),
            Event::Wheel { up: true } => self.view.zoom_in(self.now),
            Event::Wheel { up: false } => self.view.zoom_out(self.now),
            Event::Paste(text) => {
                if let Some(prompt) = &mut self.prompt {
                    prompt.paste(&text);
                }
            }
            Event::Appended(entries) => self.fold(&entries, &mut effects),
            Event::Unsaved(entries, why) => {
                self.notices.unsaved(self.now, &entries, why);
                self.fold(&entries, &mut effects);
            }
            Event::CaughtUp => self.notices.unsaved = None,
            Event::Astray => self.went_astray(&mut effects),
            Event::Moved(outcome) => self.moved(outcome),
            Event::Line(line) => self.line(&line, &mut effects),
            Event::CommandFailed(why) => self.notices.tell(why),
            Event::Machine(machine) => self.machine(machine),
            Event::Link(state) => self.relink(state, &mut effects),
            Event::VoltsLink(state) => self.volts_link = Some((state, self.now)),
            Event::NotUnderstood(count) => self.not_understood = count,
            Event::Tick => {
                self.wake = None;
                if self.stale && self.judge_due() {
                    self.judge(&mut effects);
                }
            }
            Event::Resized(..) | Event::Click(..) | Event::Continued | Event::ToldAll => {}
            Event::Exporting(percent) => {
                self.notices.reply = Some(format!("Reading for the export: {percent} %"));
            }
            Event::Exported(outcome) => {
                self.notices.reply = Some(match outcome {
                    Ok(path) => format!("Exported to {}", path.display()),
                    Err(why) => format!("Export failed: {why}"),
                });
            }
            Event::ExportExists(path) => {
                self.notices.reply = Some(format!(
                    "{} exists already: another name, or the same once more to replace it",
                    path.display()
                ));
                self.left_alone = Some(path);
            }
            Event::MapRead(Ok(fuses)) => self.set(
                Card {
                    fuses: Some(fuses),
                    ..Card::default()
                },
                &mut effects,
            ),
            Event::MapRead(Err(why)) => self.reply(why),
            Event::WorkerDied { name, why } => {
                let at = self.now;
                self.notices.dead.push(Dead { at, name, why });
            }
            Event::Terminate => effects.push(Effect::Quit),
            Event::Suspend => effects.push(Effect::Suspend),
        }
        self.go_on_with_run(&mut effects);
        self.call_reading(&mut effects);
        self.plan_wake(&mut effects);
        effects
    }

    /// Takes a recorded entry without judging or ringing: what was recorded is past. Ends with
    /// [`Model::recalled`].
    pub fn recall(&mut self, entry: &Entry) {
        self.session.apply(entry);
        self.now = self.now.max(entry.t);
    }

    /// All recorded entries are taken: judges them once.
    pub fn recalled(&mut self) {
        self.judgement = (self.options.judge)(&self.session);
        self.judged = self.now;
        self.judged_changes = self.session.signal().changes().len();
        self.stale = false;
        self.wake = None;
        if let Some(said) = words::other_rules(&self.judgement) {
            self.notices.reply = Some(capitalised(&said));
        }
    }

    /// Judges what was not judged yet: nothing more will come that would ask for it.
    pub fn catch_up(&mut self) {
        if self.stale {
            self.recalled();
        }
    }

    /// How many seconds of the session pass in one of the wall clock; a replay or a rehearsal is
    /// judged no more often than a quarter second of real time asks for.
    pub fn set_pace(&mut self, speed: f64) {
        self.judge_every_s = (JUDGE_EVERY_REAL_S * speed).max(JUDGE_EVERY_S);
    }

    /// The journal holds these: now they may show.
    fn fold(&mut self, entries: &[Entry], effects: &mut Vec<Effect>) {
        let mut only_readings = true;
        for entry in entries {
            self.session.apply(entry);
            self.now = self.now.max(entry.t);
            if self.pending.came(&entry.fact) {
                self.answer_line(&entry.fact);
            }
            if self.options.live {
                self.notices.doubt(&entry.fact);
            }
            only_readings &= matches!(entry.fact, Fact::Reading(_) | Fact::Volts(_));
        }
        self.stale |= !entries.is_empty();
        if self.stale && (!only_readings || self.judge_due()) {
            self.judge(effects);
        }
    }

    fn judge_due(&self) -> bool {
        let since_s = self.session.last_t().max(self.now).secs_since(self.judged);
        let moved = self.session.signal().changes().len() != self.judged_changes;
        self.judgement.readings == 0
            || since_s >= self.judge_after_s()
            || moved && since_s >= self.judge_every_s
    }

    /// A long watch of a car that nobody touches is judged anew less often, unless its current
    /// changes: so that a week of it costs no more than an hour.
    fn judge_after_s(&self) -> f64 {
        let last = self.session.marks().next_back().map(Placed::at);
        let first = self.session.signal().first_t();
        let begun = last.or(first).unwrap_or(self.now);
        let watched_s = self.now.secs_since(begun);
        self.judge_every_s.max(watched_s / QUIET_SHARE)
    }

    fn judge(&mut self, effects: &mut Vec<Effect>) {
        let fresh = (self.options.judge)(&self.session);
        let before = std::mem::replace(&mut self.judgement, fresh);
        if self.options.live {
            if self.judgement.advises_other_jack() {
                self.notices.before_jack();
            }
            let became = occasion::between((&before, self.judged), (&self.judgement, self.now));
            let is_seen = hand_made(&self.judgement) > hand_made(&before);
            effects.extend(bells(&became, is_seen).filter_map(|bell| self.sound(bell)));
            effects.extend(became.into_iter().map(Effect::Tell));
        }
        self.judged = self.now;
        self.stale = false;
    }

    /// The bell, unless it is turned off.
    pub(super) fn sound(&self, bell: Bell) -> Option<Effect> {
        let rings = !self.view.muted && self.options.habits.sounds.has(bell);
        rings.then_some(Effect::Bell(bell))
    }

    fn relink(&mut self, state: LinkState, effects: &mut Vec<Effect>) {
        if self.options.live && occasion::is_loss(&self.link.0, &state) {
            effects.extend(self.sound(Bell::MeterLost));
            effects.push(Effect::Tell(Occasion::MeterLost));
        }
        let same = std::mem::discriminant(&state) == std::mem::discriminant(&self.link.0);
        let since = if same { self.link.1 } else { self.now };
        self.link = (state, since);
    }

    /// Asks to be woken only where something on screen changes although nothing happens: readings
    /// not judged yet, and the clock while no reading drives it. Where nobody watches there is no
    /// clock, and the next readings bring the judgement with them.
    fn plan_wake(&mut self, effects: &mut Vec<Effect>) {
        let second =
            |t: Elapsed| Elapsed::from_ms(t.ms().div_euclid(1000).saturating_add(1) * 1000);
        let last = self.session.last_reading().map_or(Elapsed::ZERO, |r| r.0);
        let driven_until = last.plus_secs(OVERDUE_S);
        let is_watched = self.options.watched == Watched::ByHands;
        let mut wake = self.stale.then(|| {
            let due = self.judged.plus_secs(self.judge_after_s());
            let not_before = if is_watched { self.now } else { driven_until };
            due.max(second(not_before.max(self.now)))
        });
        if self.options.live && is_watched && self.link.0 != LinkState::Ended {
            let clock = if driven_until > self.now && !self.manual {
                driven_until
            } else {
                second(self.now)
            };
            wake = Some(wake.map_or(clock, |wake| wake.min(clock)));
        }
        let run = self.run.as_ref();
        let due = run.map(|run| [run.next_call(), run.next_mark()]);
        let due = due.into_iter().flatten().flatten();
        let Some(wake) = wake.into_iter().chain(due).min() else {
            return;
        };
        if self
            .wake
            .is_none_or(|asked| wake < asked || asked <= self.now)
        {
            self.wake = Some(wake);
            effects.push(Effect::WakeAt(wake));
        }
    }
}

/// How many steps look made by hand: those of a trial, and those nobody marked yet. A step that is
/// claimed stays one of them.
fn hand_made(judgement: &Judgement) -> usize {
    let tried: HashSet<MarkId> = judgement.trials.iter().map(|trial| trial.mark).collect();
    let marked = judgement
        .steps
        .iter()
        .filter(|step| step.mark.is_some_and(|id| tried.contains(&id)));
    marked.count() + judgement.unclaimed.len()
}

/// What of it is worth a sound, each once. The time-out and the verdict come with one of the others.
fn bells(became: &[Occasion], is_seen: bool) -> impl Iterator<Item = Bell> {
    let has = |wanted: fn(&Occasion) -> bool| became.iter().any(wanted);
    [
        (has(|it| *it == Occasion::Settled), Bell::Settled),
        (has(|it| *it == Occasion::Woke), Bell::Wake),
        (is_seen, Bell::PullSeen),
        (has(|it| matches!(it, Occasion::Finding(_))), Bell::Finding),
    ]
    .into_iter()
    .filter_map(|(rings, bell)| rings.then_some(bell))
}
