//! The terminal with its keys and signals: shows how far the reading of a record has come, then
//! the board.

use std::sync::mpsc::Receiver;

use anyhow::{Context, Result};

use super::terminal::Board;
use super::{keys, looks};
use crate::desk::{Event, Key, Message, Model};
use crate::reading::number;
use crate::screen::progress::Progress;
use crate::shell::clock::Stopwatch;
use crate::shell::run;
use crate::shell::wiring::Wiring;
use crate::shell::{Outbox, Settings, signals};

/// Progress shows only where the work takes longer than this, and as often, in milliseconds.
const SHOW_EVERY_MS: u128 = 120;

/// The terminal while it is ours.
#[derive(Debug)]
pub struct TakenTerminal {
    board: Board,
}

impl TakenTerminal {
    /// Takes the terminal, and listens to keys and signals.
    ///
    /// # Errors
    /// When the terminal refuses.
    pub fn enter(settings: &Settings, outbox: &Outbox) -> Result<Self> {
        let theme = looks::theme(settings.colours, settings.characters);
        let board = Board::enter(theme).context("the terminal cannot be drawn on")?;
        signals::spawn(outbox)?;
        keys::spawn(outbox)?;
        Ok(Self { board })
    }

    /// Watches over long work before there is a board.
    pub fn patience<'a>(&'a mut self, doing: String, inbox: &'a Receiver<Message>) -> Patience<'a> {
        Patience {
            stage: self,
            doing,
            inbox,
            watch: Stopwatch::start(),
            shown: None,
            kept: Vec::new(),
        }
    }

    /// Runs the board until the user quits.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn run(&mut self, desk: &mut Model, wiring: &Wiring) -> Result<()> {
        Ok(run::run(desk, wiring, &mut self.board)?)
    }
}

/// Long work: tells how far it has come, and hears when it is to stop. Other keys pressed
/// meanwhile are kept for the board.
#[derive(Debug)]
pub struct Patience<'a> {
    stage: &'a mut TakenTerminal,
    doing: String,
    inbox: &'a Receiver<Message>,
    watch: Stopwatch,
    shown: Option<u8>,
    kept: Vec<Message>,
}

impl Patience<'_> {
    /// Shows that `done` of `total` is through, now and then; `false` when the work is to stop.
    /// Cheap enough to be asked often.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn goes_on(&mut self, done: u64, total: u64) -> std::io::Result<bool> {
        if self.watch.elapsed().as_millis() < SHOW_EVERY_MS {
            return Ok(true);
        }
        self.watch = Stopwatch::start();
        for message in self.inbox.try_iter() {
            let stops = [Key::Char('q'), Key::Ctrl('c'), Key::Esc].map(Event::Key);
            if message.event == Event::Terminate || stops.contains(&message.event) {
                return Ok(false);
            }
            self.kept.push(message);
        }
        let percent = number::percent(done, total);
        if percent.is_none() || percent != self.shown {
            self.shown = percent;
            self.stage.board.show_progress(&Progress {
                doing: self.doing.clone(),
                percent,
            })?;
        }
        Ok(true)
    }

    /// Hands over what was pressed meanwhile.
    pub fn end(self) -> Vec<Message> {
        self.kept
    }
}
