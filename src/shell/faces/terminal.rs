//! The terminal guard: whatever ends the board, the terminal is as it was before.

mod bounded;

use std::io::{self, IsTerminal, Stdout, Write};
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use std::{panic, thread};

use crossterm::clipboard::CopyToClipboard;
use crossterm::cursor::{Hide, Show};
use crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture,
};
use crossterm::terminal::{
    BeginSynchronizedUpdate, EndSynchronizedUpdate, EnterAlternateScreen, LeaveAlternateScreen,
    disable_raw_mode, enable_raw_mode,
};
use crossterm::{execute, queue};
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::layout::{Position, Rect};

use super::bell_patterns::BellPatterns;
use super::sixteen::Sixteen;
use crate::desk::{Bell, Event, Model, Start};
use crate::screen::picture::{self, Change};
use crate::screen::progress::Progress;
use crate::screen::{Picture, Scene, Theme};
use crate::shell::run::Face;
use crate::shell::signals;
use bounded::Bounded;

/// Whether the terminal is ours now, so that it is handed back once and never twice.
static ENTERED: AtomicBool = AtomicBool::new(false);

/// The terminal while the board is on it; dropping it hands the terminal back.
#[derive(Debug)]
pub struct Board {
    terminal: Bounded<Sixteen<Stdout>>,
    /// What stands on it, so that a click means what was under it when it was made.
    picture: Picture,
    theme: Theme,
    bells: BellPatterns,
    mouse: bool,
}

impl Board {
    /// Takes the terminal over: alternate screen, raw keys, pastes in one piece.
    ///
    /// # Errors
    /// When the terminal refuses.
    pub fn enter(theme: Theme) -> io::Result<Self> {
        hand_back_on_panic();
        take_over()?;
        let backend = CrosstermBackend::new(Sixteen::new(io::stdout()));
        Ok(Self {
            terminal: Bounded(backend),
            picture: Picture::default(),
            theme,
            bells: BellPatterns::default(),
            mouse: false,
        })
    }

    /// Shows how far long work has come, before there is a desk to show.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn show_progress(&mut self, progress: &Progress) -> io::Result<()> {
        self.fit()?;
        let changes = self.picture.show_progress(progress, &self.theme);
        self.write(&changes)
    }

    fn sound(&mut self) -> io::Result<Option<Duration>> {
        let beats = self.bells.due();
        if beats > 0 {
            let mut out = io::stdout();
            // Beats that were held up by a slow picture run into one.
            out.write_all(b"\x07")?;
            out.flush()?;
        }
        Ok(self.bells.until_next())
    }

    /// Shows the start card.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn show_start(&mut self, start: &Start) -> io::Result<()> {
        self.fit()?;
        let changes = self.picture.show_start(start, &self.theme);
        self.write(&changes)
    }

    /// The size that the terminal has now; on one of another size nothing stands any more.
    fn fit(&mut self) -> io::Result<Rect> {
        let area = Rect::from((Position::ORIGIN, self.terminal.size()?));
        if self.picture.cells().area != area {
            self.terminal.clear()?;
            self.picture = Picture::blank(area);
        }
        Ok(area)
    }

    fn write(&mut self, changes: &[Change]) -> io::Result<()> {
        if changes.is_empty() {
            return Ok(());
        }
        // Terminals that know it show the picture at once, others ignore it.
        queue!(self.terminal.0, BeginSynchronizedUpdate)?;
        for run in picture::runs(changes) {
            let run = run.iter();
            self.terminal
                .draw(run.map(|(column, row, cell)| (*column, *row, cell)))?;
        }
        queue!(self.terminal.0, EndSynchronizedUpdate)?;
        Backend::flush(&mut self.terminal)
    }
}

impl Face for Board {
    fn show(&mut self, desk: &Model) -> io::Result<()> {
        let area = self.fit()?;
        let scene = Scene::of(desk, area.width, area.height);
        let changes = self.picture.show(scene, self.theme);
        self.write(&changes)
    }

    /// Each occasion has its own pattern; what it means stands on the screen.
    fn ring(&mut self, bell: Bell) -> io::Result<()> {
        self.bells.add(bell);
        self.sound().map(|_| ())
    }

    fn beat(&mut self) -> io::Result<Option<Duration>> {
        self.sound()
    }

    fn under(&self, column: u16, row: u16) -> Option<Event> {
        self.picture.scene()?.under(column, row)
    }

    /// By OSC 52, which reaches the clipboard through SSH too. A terminal that does not know it, or
    /// is told not to, ignores it.
    fn copy(&mut self, text: &str) -> io::Result<()> {
        execute!(io::stdout(), CopyToClipboard::to_clipboard_from(text))
    }

    fn mouse(&mut self, on: bool) -> io::Result<()> {
        self.mouse = on;
        if on {
            execute!(io::stdout(), EnableMouseCapture)
        } else {
            execute!(io::stdout(), DisableMouseCapture)
        }
    }

    fn next_theme(&mut self) {
        self.theme = self.theme.next();
    }

    fn redraw(&mut self) -> io::Result<()> {
        self.picture = Picture::default();
        Ok(())
    }

    /// Hands the terminal back, stops the program as Ctrl-Z does elsewhere, and takes the
    /// terminal over again when the program goes on.
    fn suspend(&mut self) -> io::Result<()> {
        hand_back();
        signals::stop_self()?;
        self.go_on()
    }

    /// Whoever stopped the program may have set the terminal otherwise: it is taken anew.
    fn go_on(&mut self) -> io::Result<()> {
        hand_back();
        take_over()?;
        if self.mouse {
            execute!(io::stdout(), EnableMouseCapture)?;
        }
        self.redraw()
    }
}

impl Drop for Board {
    fn drop(&mut self) {
        hand_back();
    }
}

/// Whether there is a terminal to draw on.
pub fn is_here() -> bool {
    io::stdout().is_terminal()
}

/// Gives the keys back to a terminal that takes no output, and so nothing else.
pub fn leave_unread() {
    // It may be gone: there is nobody else to tell.
    let _ = disable_raw_mode();
}

fn take_over() -> io::Result<()> {
    enable_raw_mode()?;
    ENTERED.store(true, Ordering::SeqCst);
    execute!(
        io::stdout(),
        EnterAlternateScreen,
        EnableBracketedPaste,
        Hide
    )
}

/// Errors are left alone: the terminal may be gone, and there is nobody else to tell.
fn hand_back() {
    if ENTERED.swap(false, Ordering::SeqCst) {
        let _ = execute!(
            io::stdout(),
            DisableMouseCapture,
            DisableBracketedPaste,
            LeaveAlternateScreen,
            Show
        );
        let _ = disable_raw_mode();
    }
}

/// A panic on the thread that draws hands the terminal back before its message is printed. One
/// on a worker prints nothing over the board: `threads` turns it into a message.
fn hand_back_on_panic() {
    static HOOKED: Once = Once::new();
    let drawing = thread::current().id();
    HOOKED.call_once(|| {
        let print = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if thread::current().id() == drawing {
                hand_back();
                print(info);
            } else if !ENTERED.load(Ordering::SeqCst) {
                print(info);
            }
        }));
    });
}
