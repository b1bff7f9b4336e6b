//! The loop: it sleeps until something happens, takes it in, does what the desk asks for, and
//! shows the outcome: at most twenty times a second, at once where a hand waits for it, and never without
//! a reason.

use std::io;
use std::path::PathBuf;
use std::sync::mpsc::RecvTimeoutError;
use std::time::Duration;

use super::clock::{self, Stopwatch};
use super::files::journal_writer;
use super::gaps::ClockWatch;
use super::signals;
use super::wiring::Wiring;
use crate::desk::{Bell, Effect, Event, LinkState, Message, Model};
use crate::reading::Elapsed;
use crate::session::{Entry, Fact, Judged};

/// Twenty pictures a second are as smooth as a terminal gets.
const BETWEEN_PICTURES: Duration = Duration::from_millis(50);

/// So long an end waits for the last readings: a disk that hangs keeps nobody who says stop for longer.
const LAST_READINGS: Duration = Duration::from_millis(400);

/// A flood of messages is taken in this many at a time, so that the picture keeps up.
const AT_ONCE: usize = 4096;

/// Where the session is shown: a terminal, or lines on standard output.
pub trait Face {
    /// Shows the desk as it is now.
    ///
    /// # Errors
    /// When there is nothing left to show it on.
    fn show(&mut self, desk: &Model) -> io::Result<()>;

    /// Makes itself heard.
    ///
    /// # Errors
    /// When there is nothing left to ring on.
    fn ring(&mut self, _bell: Bell) -> io::Result<()> {
        Ok(())
    }

    /// Sounds what is due of a pattern, and says how long until the next beat of it.
    ///
    /// # Errors
    /// When there is nothing left to ring on.
    fn beat(&mut self) -> io::Result<Option<Duration>> {
        Ok(None)
    }

    /// What a click on this column and row means; `None` where it means nothing.
    fn under(&self, _column: u16, _row: u16) -> Option<Event> {
        None
    }

    /// Puts text on the clipboard of whoever sits at the terminal.
    ///
    /// # Errors
    /// When there is nothing left to send it to.
    fn copy(&mut self, _text: &str) -> io::Result<()> {
        Ok(())
    }

    /// Takes clicks, or leaves them to the terminal.
    ///
    /// # Errors
    /// When there is nothing left to ask.
    fn mouse(&mut self, _on: bool) -> io::Result<()> {
        Ok(())
    }

    /// Shows the next set of colours.
    fn next_theme(&mut self) {}

    /// Forgets what it has shown, so that the next picture is drawn whole.
    ///
    /// # Errors
    /// When there is nothing left to show it on.
    fn redraw(&mut self) -> io::Result<()> {
        Ok(())
    }

    /// Stops the program until its user brings it back.
    ///
    /// # Errors
    /// When the program cannot stop or the terminal not be had back.
    fn suspend(&mut self) -> io::Result<()> {
        signals::stop_self()
    }

    /// Goes on after a stop that nobody announced.
    ///
    /// # Errors
    /// When the terminal cannot be had back.
    fn go_on(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// What the loop keeps in mind between two messages.
#[derive(Debug)]
struct Pending {
    wake: Option<Elapsed>,
    changed: bool,
    ended: bool,
    /// Since when it is to end, as soon as the last readings are told.
    ending: Option<Stopwatch>,
    /// Where the journal is now.
    file: PathBuf,
    /// Since when the picture stands; none where the next one is not to wait.
    shown: Option<Stopwatch>,
    watch: ClockWatch,
}

/// Runs until the desk asks to quit.
///
/// # Errors
/// When the face fails: the terminal is gone.
pub fn run(desk: &mut Model, wiring: &Wiring, face: &mut dyn Face) -> io::Result<()> {
    desk.set_pace(wiring.outbox.clock.speed());
    let mut pending = Pending {
        wake: None,
        changed: true,
        ended: false,
        ending: None,
        file: wiring.file.clone(),
        shown: None,
        watch: ClockWatch::from(clock::sample()),
    };
    while !pending.is_over() {
        let until_picture = pending.until_picture();
        if pending.changed && until_picture.is_zero() {
            face.show(desk)?;
            pending.changed = false;
            pending.shown = Some(Stopwatch::start());
        }
        let beat = face.beat()?;
        if let Some(first) = next(wiring, &pending, beat) {
            for gap in pending.watch.look(clock::sample()) {
                wiring.note(gap);
            }
            let more = wiring.inbox.try_iter().take(AT_ONCE);
            for message in std::iter::once(first).chain(more) {
                pending.changed = true;
                take_in(desk, message, wiring, face, &mut pending)?;
            }
        }
    }
    desk.catch_up();
    if wiring.facts.is_some() && desk.judgement().readings > 0 {
        wiring.record(Entry {
            t: wiring.outbox.clock.now(),
            fact: Fact::Judged(Box::new(Judged {
                rules: desk.judgement().rules.to_owned(),
                verdict: desk.judgement().verdict.word().to_owned(),
            })),
        });
    }
    face.show(desk)
}

impl Pending {
    fn until_picture(&self) -> Duration {
        self.shown.map_or(Duration::ZERO, |shown| {
            BETWEEN_PICTURES.saturating_sub(shown.elapsed())
        })
    }

    /// Ends, with the readings that are still on their way through the journal: what is judged at the end is
    /// said of all of them.
    fn end(&mut self, wiring: &Wiring) {
        if self.ending.is_some() {
            return;
        }
        if wiring.take_last() {
            self.ending = Some(Stopwatch::start());
        } else {
            self.ended = true;
        }
    }

    /// How long the last readings may still take.
    fn until_end(&self) -> Option<Duration> {
        let ending = self.ending.as_ref()?;
        Some(LAST_READINGS.saturating_sub(ending.elapsed()))
    }

    fn is_over(&self) -> bool {
        self.ended || self.until_end().is_some_and(|left| left.is_zero())
    }
}

/// The next message, or a tick that is due; `None` when only a picture or a beat is due.
fn next(wiring: &Wiring, pending: &Pending, beat: Option<Duration>) -> Option<Message> {
    let picture = pending.changed.then(|| pending.until_picture());
    let tick = pending.wake.map(|wake| wiring.outbox.clock.until(wake));
    let wait = [picture, tick, beat, pending.until_end()]
        .into_iter()
        .flatten()
        .min();
    match wiring.inbox.recv_timeout(wait.unwrap_or(Duration::MAX)) {
        Ok(message) => Some(message),
        Err(RecvTimeoutError::Timeout) => {
            let t = wiring.outbox.clock.now();
            let due = pending.wake.is_some_and(|wake| wake <= t);
            due.then_some(Message {
                t,
                event: Event::Tick,
            })
        }
        // Cannot be: `wiring` holds a sender itself.
        Err(RecvTimeoutError::Disconnected) => Some(Message {
            t: wiring.outbox.clock.now(),
            event: Event::Terminate,
        }),
    }
}

fn take_in(
    desk: &mut Model,
    mut message: Message,
    wiring: &Wiring,
    face: &mut dyn Face,
    pending: &mut Pending,
) -> io::Result<()> {
    if message.event.is_awaited() {
        pending.shown = None;
    }
    if let Event::Click(column, row) = message.event
        && let Some(meant) = face.under(column, row)
    {
        message.event = meant;
    }
    if let Event::Appended(entries) | Event::Unsaved(entries, _) = &message.event {
        wiring.pass_on_marks(entries);
    }
    if let Event::Moved(Ok((path, _))) = &message.event {
        pending.file.clone_from(path);
        if let Some(machine) = &wiring.machine {
            machine.moved(path.clone());
        }
    }
    if message.event == Event::Continued {
        face.go_on()?;
        if let Some(gap) = pending.watch.went_on(clock::sample()) {
            wiring.note(gap);
        }
    }
    if message.event == Event::Tick {
        pending.wake = None;
    }
    pending.ended |= message.event == Event::ToldAll;
    if wiring.ends_with_source && message.event == Event::Link(LinkState::Ended) {
        pending.end(wiring);
    }
    for effect in desk.update(message) {
        match effect {
            Effect::Record(entry) => wiring.record(entry),
            Effect::Bell(bell) => face.ring(bell)?,
            Effect::Tell(occasion) => wiring.tell(occasion, &pending.file, desk),
            Effect::Copy(text) => face.copy(&text)?,
            Effect::Mouse(on) => face.mouse(on)?,
            Effect::NextTheme => face.next_theme(),
            Effect::ReadMap(path) => wiring.read_map(&path),
            Effect::Export { to, replace } => wiring.export(&pending.file, to, replace),
            Effect::GoOn(to) => {
                let to = to.unwrap_or_else(|| journal_writer::next_name(&pending.file));
                wiring.go_on(to);
            }
            Effect::WakeAt(t) => {
                pending.wake = Some(pending.wake.map_or(t, |earlier| earlier.min(t)));
            }
            Effect::Redraw => face.redraw()?,
            Effect::Suspend => {
                wiring.suspend(face)?;
                // That time is accounted for.
                pending.watch = ClockWatch::from(clock::sample());
            }
            Effect::Quit => pending.end(wiring),
        }
    }
    Ok(())
}
