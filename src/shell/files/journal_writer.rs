//! The journal thread: the sequencer of the program. What the desk is told, the file holds.
//!
//! Readings come from the link through a bounded channel, everything else from the desk through
//! an unbounded one. Whoever sees a thing stamps it, so an entry that comes a hair late keeps its
//! time and stands behind a later one in the file. How bytes reach the disk, and what happens
//! when they cannot, stands in `page`.

mod astray;
mod disk;
mod pace;
mod page;

use std::io;
use std::path::PathBuf;
use std::thread::JoinHandle;
use std::time::Duration;

use crossbeam_channel::{Receiver, Sender, bounded, never, select, unbounded};

use super::session_file::SessionFile;
use crate::desk::Event;
use crate::journal::seal::Chain;
use crate::session::{Entry, Fact};
use crate::shell::{Outbox, threads};
pub use astray::{Astray, Kept, Moved, Sure, next_name};
pub use disk::{Disk, JournalFile};
use pace::Pace;
use page::Page;

/// How many readings may wait for the writer before the link waits too.
const READINGS_WAITING: usize = 1024;

/// How many readings are taken at once at most: more than may wait, and an end even if the link
/// never pauses.
const BATCH: usize = 4096;

/// What never reached the disk when the writer stopped.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{entries} entries at the end of the session are not on disk: {why}")]
pub struct Unwritten {
    /// How many entries.
    pub entries: u64,
    /// Why.
    pub why: String,
}

/// The way to the journal thread.
#[derive(Debug)]
pub struct JournalWriter {
    /// For the link: waits when the writer is behind.
    pub readings: Sender<Entry>,
    /// For the desk: never waits.
    pub facts: Sender<Entry>,
    /// For the desk: what to do about the file.
    pub orders: Sender<Order>,
    outcome: Receiver<Result<PathBuf, Unwritten>>,
    thread: JoinHandle<()>,
}

/// What the writer is told to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Order {
    /// Go on in this file, which is new.
    GoOn(PathBuf),
    /// Nobody watches the readings come.
    LeaveUnwatched,
    /// Take no more from the meters; tell all that they sent, gathered readings too, and then that this is
    /// done.
    TakeLast,
    /// End; with a seal or without.
    Stop {
        /// Whether a seal is set.
        seal: bool,
    },
}

impl JournalWriter {
    /// What writes and seals all that waits, and waits no longer than it is told: for a program that
    /// ends without its loop.
    pub fn emergency_stop(&self) -> impl FnOnce(Duration) + use<> {
        let (orders, outcome) = (self.orders.clone(), self.outcome.clone());
        move |patience| {
            // Should the thread be gone, there is nothing left to seal.
            let _ = orders.send(Order::Stop { seal: true });
            let _ = outcome.recv_timeout(patience);
        }
    }

    /// Writes what still waits, seals the file if asked, and ends the thread; where the file is.
    /// Stop the link first: what is sent later is refused.
    ///
    /// # Errors
    /// [`Unwritten`] when something did not reach the disk.
    pub fn stop(self, seal: bool) -> Result<PathBuf, Unwritten> {
        let died = || Unwritten {
            entries: 0,
            why: "the journal thread had died".into(),
        };
        // Should the thread be gone, its outcome is missing too.
        let _ = self.orders.send(Order::Stop { seal });
        let outcome = self.outcome.recv().map_err(|_| died());
        self.thread.join().map_err(|_| died())?;
        outcome?
    }
}

/// Starts the journal thread on a session file.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn(file: SessionFile, outbox: &Outbox) -> io::Result<JournalWriter> {
    let SessionFile { file, chain, path } = file;
    spawn_on(JournalFile::new(file, path), chain, outbox)
}

/// Starts the journal thread on any disk; `chain` has seen what stands there already.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn_on(onto: impl Disk, chain: Chain, outbox: &Outbox) -> io::Result<JournalWriter> {
    let (readings, readings_in) = bounded(READINGS_WAITING);
    let (facts, facts_in) = unbounded();
    let (orders, orders_in) = unbounded();
    let (outcome_out, outcome) = bounded(1);
    let worker = Worker {
        page: Page::new(onto, chain),
        readings: readings_in,
        facts: facts_in,
        orders: orders_in,
        outbox: outbox.clone(),
    };
    let thread = threads::spawn("journal writer", outbox, move || {
        // Nobody waits for the outcome when the writer was dropped without a stop.
        let _ = outcome_out.send(worker.run());
    })?;
    Ok(JournalWriter {
        readings,
        facts,
        orders,
        outcome,
        thread,
    })
}

struct Worker<D> {
    page: Page<D>,
    readings: Receiver<Entry>,
    facts: Receiver<Entry>,
    orders: Receiver<Order>,
    outbox: Outbox,
}

impl<D: Disk> Worker<D> {
    fn run(mut self) -> Result<PathBuf, Unwritten> {
        let mut pace = Pace::start();
        let unheard = never();
        loop {
            let mut readings = Vec::new();
            let mut facts = Vec::new();
            let (mut stop, mut go_on, mut is_last) = (None, None, false);
            let next = if pace.gathers() {
                &unheard
            } else {
                &self.readings
            };
            select! {
                recv(next) -> entry => match entry {
                    Ok(entry) => readings.push(entry),
                    Err(_) => self.readings = never(),
                },
                recv(self.facts) -> entry => match entry {
                    Ok(entry) => facts.push(entry),
                    Err(_) => self.facts = never(),
                },
                recv(self.orders) -> order => match order.unwrap_or(Order::Stop { seal: false }) {
                    Order::GoOn(to) => go_on = Some(to),
                    Order::LeaveUnwatched => pace.leave_unwatched(),
                    Order::TakeLast => is_last = true,
                    Order::Stop { seal } => stop = Some(seal),
                },
                default(pace.until_sync(self.page.is_at_rest())) => {}
            }
            // Both, so that a flood of readings never keeps a mark waiting; and all that was sent
            // before an order to stop.
            facts.extend(self.facts.try_iter());
            readings.extend(self.readings.try_iter().take(BATCH));
            pace.came(readings.len());
            let due = pace.until_sync(self.page.is_at_rest()).is_zero();
            self.put_down(merged(readings, facts), due || stop.is_some());
            if is_last {
                self.readings = never();
                self.outbox.say(Event::ToldAll);
            }
            if let Some(to) = go_on {
                self.go_on(to);
            }
            if let Some(seal) = stop {
                return self.end(seal);
            }
            if due {
                pace.tried();
            }
        }
    }

    /// Goes on in another file, and tells how that went.
    fn go_on(&mut self, to: PathBuf) {
        let moved = self.page.go_on(&to);
        let is_moved = moved.is_ok();
        let outcome = moved.map(|lost| (to, lost));
        self.outbox
            .say(Event::Moved(outcome.map_err(|why| why.to_string())));
        if is_moved {
            self.put_down(Vec::new(), true);
        }
    }

    /// Writes a batch and tells the desk how that went; should it be gone already, the file still
    /// gets everything.
    fn put_down(&mut self, batch: Vec<Entry>, sync: bool) {
        let batch = self.page.admit(batch);
        let sync = sync || batch.iter().any(|entry| !is_reading(entry));
        let was_behind = self.page.behind().map(str::to_owned);
        let was_astray = self.page.is_astray();
        match self.page.write(sync) {
            Ok(()) => {
                if !batch.is_empty() {
                    self.outbox.say(Event::Appended(batch));
                }
                if was_behind.is_some() {
                    self.outbox.say(Event::CaughtUp);
                }
            }
            // Without a batch this says: what was told as appended did not reach the disk. Once
            // is enough for each reason.
            Err(why) => {
                if !batch.is_empty() || was_behind.as_ref() != Some(&why) {
                    self.outbox.say(Event::Unsaved(batch, why));
                }
                if self.page.is_astray() && !was_astray {
                    self.outbox.say(Event::Astray);
                }
            }
        }
    }

    fn end(mut self, seal: bool) -> Result<PathBuf, Unwritten> {
        if self.page.is_astray() {
            // Nobody can be asked any more.
            self.go_on(next_name(self.page.path()));
        }
        let owed = self.page.owed(self.outbox.clock.now());
        if owed.is_some() {
            self.put_down(owed.into_iter().collect(), true);
        }
        if seal && self.page.is_at_rest() {
            let seal = self.page.seal(self.outbox.clock.now());
            self.put_down(vec![seal], true);
        }
        match self.page.behind() {
            None => Ok(self.page.path().to_owned()),
            Some(why) => Err(Unwritten {
                entries: self.page.unsaved,
                why: why.to_owned(),
            }),
        }
    }
}

const fn is_reading(entry: &Entry) -> bool {
    matches!(entry.fact, Fact::Reading(_))
}

/// Two queues as one: by time, and each in its own order.
fn merged(readings: Vec<Entry>, facts: Vec<Entry>) -> Vec<Entry> {
    if facts.is_empty() {
        return readings;
    }
    let mut all = Vec::with_capacity(readings.len().saturating_add(facts.len()));
    let mut readings = readings.into_iter().peekable();
    for fact in facts {
        while let Some(reading) = readings.next_if(|reading| reading.t < fact.t) {
            all.push(reading);
        }
        all.push(fact);
    }
    all.extend(readings);
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::{Elapsed, Measured};
    use crate::session::mark::MarkId;

    #[test]
    fn two_queues_become_one_by_time_and_keep_their_own_order() {
        let at = |ms, fact| Entry {
            t: Elapsed::from_ms(ms),
            fact,
        };
        let over = |ms| at(ms, Fact::Reading(Measured::Over));
        let strike = |ms| at(ms, Fact::Strike(MarkId(1)));
        let all = merged(
            vec![over(1), over(5), over(3), over(9)],
            vec![strike(4), strike(2), strike(9)],
        );
        let times: Vec<i64> = all.iter().map(|entry| entry.t.ms()).collect();
        assert_eq!(times, [1, 4, 2, 5, 3, 9, 9]);
    }
}
