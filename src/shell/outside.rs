//! Commands that are run when something happens at the car: one at a time, without a shell, and never
//! a risk to the record.

use std::io::{self, Write};
use std::process::{Command, ExitStatus, Stdio};
use std::time::Duration;

use crossbeam_channel::{Sender, TrySendError, bounded};

use super::stop::{self, Halt};
use super::{Outbox, threads};
use crate::desk::Event;
use crate::desk::occasion::Occasion;

/// How many may wait for the one that runs.
const WAITING: usize = 16;
/// Longer than any mail or message takes.
const LONGEST: Duration = Duration::from_secs(120);
/// How often a running command is asked whether it has ended.
const LOOK_EVERY: Duration = Duration::from_millis(50);
/// What waits still is given so long when the record ends.
const PATIENCE: Duration = Duration::from_secs(2);

/// A command, and when it is run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OnEvent {
    event: &'static str,
    program: String,
    args: Vec<String>,
}

/// Why a command cannot be one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadCommand {
    /// No such event.
    #[error("'{0}' is no event: expected {names}", names = Occasion::NAMES.join(", "))]
    Event(String),
    /// A quote that never ends, or nothing at all.
    #[error(
        "'{0}' is no command: expected a program and its arguments, in quotes where they hold blanks"
    )]
    Words(String),
}

impl OnEvent {
    /// Reads a command for this event. Its words are parted as a POSIX shell parts them; no shell runs
    /// it, so nothing else of a shell's has a meaning.
    ///
    /// # Errors
    /// [`BadCommand`] with what was expected.
    pub fn new(event: &str, command: &str) -> Result<Self, BadCommand> {
        let known = Occasion::NAMES.into_iter().find(|name| *name == event);
        let event = known.ok_or_else(|| BadCommand::Event(event.into()))?;
        let mut words = shlex::split(command).unwrap_or_default().into_iter();
        let program = words.next().filter(|program| !program.is_empty());
        let program = program.ok_or_else(|| BadCommand::Words(command.into()))?;
        let args = words.collect();
        Ok(Self {
            event,
            program,
            args,
        })
    }

    /// The event that it waits for.
    pub const fn event(&self) -> &'static str {
        self.event
    }
}

struct Job {
    on: OnEvent,
    told: String,
}

/// Runs them.
#[derive(Debug)]
pub struct Outside {
    commands: Vec<OnEvent>,
    jobs: Sender<Job>,
    outbox: Outbox,
    halt: Halt,
}

impl Outside {
    /// Starts the thread that runs these; `None` where there are none.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn spawn(commands: Vec<OnEvent>, outbox: &Outbox) -> io::Result<Option<Self>> {
        if commands.is_empty() {
            return Ok(None);
        }
        let (jobs, waiting) = bounded::<Job>(WAITING);
        let (halt, stop) = stop::pair();
        let desk = outbox.clone();
        threads::spawn("commands", outbox, move || {
            let _until_the_end = stop;
            for job in waiting {
                if let Err(why) = run(&job) {
                    let Job { on, .. } = job;
                    desk.say(Event::CommandFailed(format!(
                        "{}, run on {}: {why}",
                        on.program, on.event
                    )));
                }
            }
        })?;
        Ok(Some(Self {
            commands,
            jobs,
            outbox: outbox.clone(),
            halt,
        }))
    }

    /// Runs what waits for this, with `told` on its standard input.
    pub fn tell(&self, occasion: Occasion, told: impl Fn() -> String) {
        let event = occasion.name();
        for on in self.commands.iter().filter(|on| on.event == event) {
            let job = Job {
                on: on.clone(),
                told: told(),
            };
            if let Err(TrySendError::Full(job)) = self.jobs.try_send(job) {
                self.outbox.say(Event::CommandFailed(format!(
                    "{}, run on {event}: not run, {WAITING} wait already",
                    job.on.program
                )));
            }
        }
    }

    /// Lets what waits be run, no longer than anybody would wait for it; what runs goes on without us.
    pub fn end(self) {
        let Self { jobs, halt, .. } = self;
        drop(jobs);
        halt.end_within(PATIENCE);
    }
}

/// Runs one to its end. Nothing of it reaches the terminal, which is the board's.
fn run(job: &Job) -> Result<(), String> {
    let mut child = Command::new(&job.on.program)
        .args(&job.on.args)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|error| format!("cannot be run ({error})"))?;
    if let Some(mut input) = child.stdin.take() {
        // It need not read what it is told: a bell rings without it.
        let _ = input.write_all(job.told.as_bytes());
    }
    let mut waited = Duration::ZERO;
    loop {
        if let Some(status) = child.try_wait().map_err(|error| error.to_string())? {
            return ended(status);
        }
        if waited >= LONGEST {
            // Gone by itself in between is as good.
            let _ = child.kill();
            let _ = child.wait();
            return Err(format!("stopped after {} s", LONGEST.as_secs()));
        }
        std::thread::sleep(LOOK_EVERY);
        waited = waited.saturating_add(LOOK_EVERY);
    }
}

fn ended(status: ExitStatus) -> Result<(), String> {
    if status.success() {
        Ok(())
    } else {
        Err(format!("failed ({status})"))
    }
}

/// Reads `EVENT COMMAND` as flags give them, one behind the other.
///
/// # Errors
/// [`BadCommand`] of the first that cannot be used.
pub fn from_flags(given: &[String]) -> Result<Vec<OnEvent>, BadCommand> {
    let pairs = given.chunks(2);
    pairs
        .map(|pair| match pair {
            [event, command] => OnEvent::new(event, command),
            other => Err(BadCommand::Words(other.join(" "))),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_parted_as_a_shell_parts_them_and_nothing_else_is_done() {
        let on = OnEvent::new("woke", "say 'it woke' \"twice\" $HOME; rm *").unwrap();
        assert_eq!(on.program, "say");
        assert_eq!(on.args, ["it woke", "twice", "$HOME;", "rm", "*"]);
        for bad in ["", "  ", "say 'never ends", "''"] {
            assert_eq!(
                OnEvent::new("woke", bad),
                Err(BadCommand::Words(bad.into()))
            );
        }
        assert_eq!(
            OnEvent::new("asleep", "say").unwrap_err().to_string(),
            "'asleep' is no event: expected settled, woke, finding, meter-lost, time-out, above"
        );
    }
}
