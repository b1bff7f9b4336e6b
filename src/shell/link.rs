//! The one thread that reads a meter: bytes to entries for the journal writer, the connection's state
//! to
//! the desk, and for ever looking for a meter that was lost.

mod doubts;
mod link_watch;
mod measures;
mod outlet;
mod puzzle;
mod refused;
mod rhythm;
mod script;
pub(crate) mod talk;

use std::io;
use std::thread::JoinHandle;
use std::time::Duration;

pub use measures::Measures;
pub use outlet::Outlet;
pub use script::spawn_script;

use self::link_watch::{LinkWatch, News};
use self::outlet::Quit;
use super::ports::{OpenSource, Opened, Opener, is_nothing_yet};
use super::threads;
use crate::desk::LinkState;
use crate::meter::{Heard, Probe, Talker};
use crate::reading::Elapsed;
use crate::reading::quantity::counted;
use crate::session::{Entry, Fact, MeterEvent};

/// A meter that the link can listen to.
pub struct LinkSetup {
    /// The source, already opened once.
    pub source: OpenSource,
    /// What asks and understands.
    pub talker: Box<dyn Talker>,
    /// What stands between the meter and the current.
    pub probe: Probe,
}

/// A read waits a third of a second at most: a pass that took this long in real time was not
/// running, and bytes that waited meanwhile have no honest time.
const STOOD_STILL_S: f64 = 2.0;

const FIRST_RETRY: Duration = Duration::from_millis(500);
const LAST_RETRY: Duration = Duration::from_secs(5);
/// A port that goes this soon after it was opened was taken rather than unplugged. Common
/// practice, no source.
const SOON_S: f64 = 10.0;
/// After so many empty reads (two seconds) the port is asked whether it still stands.
const EMPTY_READS: u32 = 7;

/// Starts the link.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn(setup: LinkSetup, outlet: Outlet) -> io::Result<JoinHandle<()>> {
    let desk = outlet.desk.clone();
    threads::spawn(outlet.measures.thread(), &desk, move || {
        // The end is the same whether it was asked for or nobody is left to listen.
        let _ = run(setup, outlet);
    })
}

fn run(setup: LinkSetup, outlet: Outlet) -> Result<(), Quit> {
    match setup.source {
        OpenSource::ByHand => outlet.state(LinkState::Receiving("by hand".into())),
        OpenSource::Bytes { mut opened, opener } => {
            opened.place = seen_through(&setup.probe, opened.place);
            let mut link = Link {
                mend: opener.noise_mend(),
                opener,
                talker: setup.talker,
                probe: setup.probe,
                watch: LinkWatch::new(opened.place.clone(), outlet.now()),
                retry: FIRST_RETRY,
                joined_at: outlet.now(),
                outlet,
            };
            let ended = link.run(opened);
            let last = link.watch.last_words();
            link.outlet.all(last)?;
            ended
        }
    }
}

/// The place with what stands between it and the current.
fn seen_through(probe: &Probe, place: String) -> String {
    match probe.in_words() {
        Some(words) => format!("{place} ({words})"),
        None => place,
    }
}

struct Link {
    opener: Box<dyn Opener>,
    /// What helps against bytes that are no readings.
    mend: String,
    talker: Box<dyn Talker>,
    probe: Probe,
    watch: LinkWatch,
    retry: Duration,
    /// When the connection's bytes began to count.
    joined_at: Elapsed,
    outlet: Outlet,
}

impl Link {
    fn run(&mut self, mut opened: Opened) -> Result<(), Quit> {
        self.join(&mut opened);
        let place = opened.place.clone();
        self.outlet.state(LinkState::Opening(place))?;
        loop {
            let why = self.listen(opened)?;
            // The handle is dropped by now: while it is held, the system would give the
            // replugged meter another name.
            self.talker.reset();
            let now = self.outlet.now();
            if !self.opener.comes_back() {
                let told = self.watch.turn(LinkState::Ended);
                return self.outlet.all(told);
            }
            let told = self.watch.lost(now, self.with_reason(why, now));
            self.outlet.all(told)?;
            opened = self.search()?;
            opened.place = seen_through(&self.probe, opened.place);
            self.join(&mut opened);
            let now = self.outlet.now();
            let told = self.watch.back(now, opened.place.clone());
            self.outlet.all(told)?;
        }
    }

    /// Why it is gone, with the likely reason when it went right after it was opened.
    fn with_reason(&self, why: String, now: Elapsed) -> String {
        let stood_s = now.secs_since(self.joined_at) / self.outlet.desk.clock.speed();
        match self.opener.soon_lost().filter(|_| stood_s < SOON_S) {
            Some(reason) => format!("{why}; {reason}"),
            None => why,
        }
    }

    /// What waited in the port has no time of its own: only what comes from now on counts.
    fn join(&mut self, opened: &mut Opened) {
        opened.stream.discard_waiting();
        self.joined_at = self.outlet.now();
    }

    /// Reads until the connection is gone; says why.
    fn listen(&mut self, opened: Opened) -> Result<String, Quit> {
        let Opened {
            mut stream,
            midway_s,
            ..
        } = opened;
        let mut heard = Vec::new();
        let mut buffer = [0; 4096];
        let mut first = true;
        let mut empty: u32 = 0;
        let mut passed = self.outlet.now();
        loop {
            if self.outlet.stop.is_set() {
                return Err(Quit);
            }
            let begun = self.outlet.now();
            let said = talk::say(
                stream.as_mut(),
                self.talker.as_mut(),
                self.outlet.in_life(begun),
                &mut heard,
            );
            self.pass_on(begun, &[], &mut heard)?;
            if let Err(error) = said {
                return Ok(format!("{} ({error})", self.opener.loss()));
            }
            let read = stream.read(&mut buffer);
            let now = self.outlet.now();
            let stood_still_s = now.secs_since(passed) / self.outlet.desk.clock.speed();
            let since = std::mem::replace(&mut passed, now);
            // We were stopped, or waited for the disk: what the source kept is from then. Looked at
            // after every read, empty ones too: it may have come right after one.
            let backlog = (stood_still_s > STOOD_STILL_S).then(|| stream.take_backlog());
            let backlog = backlog.flatten();
            let late = backlog.is_some();
            if let Some(behind) = backlog {
                let read = read.as_ref().map_or(0, |count| *count);
                let first = buffer.get(..read).unwrap_or_default();
                self.leave_out(since, &[first, &behind].concat())?;
            }
            let count = match read {
                Ok(0) => return Ok(self.opener.loss().to_owned()),
                Ok(count) => count,
                Err(error) if is_nothing_yet(&error) => {
                    empty = empty.saturating_add(1);
                    if empty.is_multiple_of(EMPTY_READS) && !stream.is_alive() {
                        return Ok(self.opener.loss().to_owned());
                    }
                    let told = self.watch.quiet(now);
                    self.outlet.all(told)?;
                    continue;
                }
                Err(error) => return Ok(format!("{} ({error})", self.opener.loss())),
            };
            empty = 0;
            if late {
                continue;
            }
            if std::mem::take(&mut first)
                && midway_s.is_some_and(|soon| now.secs_since(self.joined_at) < soon)
            {
                self.talker.join_midway();
            }
            let bytes = buffer.get(..count).unwrap_or_default();
            self.talker
                .feed(self.outlet.in_life(now), bytes, &mut heard);
            self.pass_on(now, bytes, &mut heard)?;
            if self.watch.is_receiving() {
                self.retry = FIRST_RETRY;
            }
        }
    }

    /// What waited since then is counted, and no more.
    fn leave_out(&mut self, since: Elapsed, bytes: &[u8]) -> Result<(), Quit> {
        let mut late = Vec::new();
        let now = self.outlet.now();
        self.talker.feed(self.outlet.in_life(now), bytes, &mut late);
        self.talker.reset();
        self.talker.join_midway();
        let count = late.iter().filter(|heard| heard.is_message()).count();
        let gap = MeterEvent::Gap {
            why: format!(
                "what the meter sent meanwhile has no time of its own: {} left out",
                counted(count, "reading")
            ),
            for_s: now.secs_since(since),
        };
        let fact = Fact::Meter(gap);
        self.outlet.all([News::Entry(Entry { t: now, fact })])
    }

    /// Tells what was heard, as the car's own current.
    fn pass_on(&mut self, t: Elapsed, bytes: &[u8], heard: &mut Vec<Heard>) -> Result<(), Quit> {
        if bytes.is_empty() && heard.is_empty() {
            return Ok(());
        }
        let mut current: Vec<Heard> = heard.drain(..).map(|h| self.probe.convert(h)).collect();
        let told = self.watch.heard(t, bytes, &mut current, &self.mend);
        self.outlet.all(told)
    }

    /// Looks for the meter until it is there.
    fn search(&mut self) -> Result<Opened, Quit> {
        loop {
            if self.outlet.stop.wait(self.retry) {
                return Err(Quit);
            }
            self.retry = self.retry.saturating_mul(3) / 2;
            self.retry = self.retry.min(LAST_RETRY);
            match self.opener.open() {
                Ok(opened) => return Ok(opened),
                Err(error) if error.needs_hands() => {
                    let told = self.watch.turn(LinkState::Lost(error.to_string()));
                    self.outlet.all(told)?;
                }
                Err(_) => {}
            }
        }
    }
}
