//! The real binary in a pseudo-terminal: what it shows is read as a terminal would show it, and
//! every wait is for something on the screen.

use std::io::{Read, Write};
use std::path::Path;
use std::sync::{Arc, Condvar, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system};
use rustix::process::{Pid, Signal, kill_process};

/// Longer than any machine needs; only a failing test waits this long.
const PATIENCE: Duration = Duration::from_secs(60);

/// What came out of the program so far.
struct Seen {
    terminal: vt100::Parser,
    bytes: Vec<u8>,
    closed: bool,
}

/// A program in its own terminal.
pub struct Tty {
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    keys: Box<dyn Write + Send>,
    seen: Arc<(Mutex<Seen>, Condvar)>,
    modes_before: String,
    // Held, so that the terminal outlives the program and can still be asked for its modes.
    _slave: Box<dyn SlavePty + Send>,
}

const fn size(columns: u16, rows: u16) -> PtySize {
    PtySize {
        rows,
        cols: columns,
        pixel_width: 0,
        pixel_height: 0,
    }
}

impl Tty {
    /// Starts lullboard with these arguments in a terminal of 100 by 36.
    pub fn lullboard(args: &[&str], variables: &[(&str, &str)], folder: &Path) -> Self {
        Self::start(env!("CARGO_BIN_EXE_lullboard"), args, variables, folder)
    }

    /// Starts any program.
    pub fn start(program: &str, args: &[&str], variables: &[(&str, &str)], folder: &Path) -> Self {
        let pair = native_pty_system().openpty(size(100, 36)).unwrap();
        let mut command = CommandBuilder::new(program);
        command.args(args);
        command.cwd(folder);
        command.env_clear();
        for (name, value) in [("TERM", "xterm-256color"), ("LANG", "C.UTF-8")] {
            command.env(name, value);
        }
        for (name, value) in variables {
            command.env(name, value);
        }
        let modes_before = modes(pair.master.as_ref());
        let child = pair.slave.spawn_command(command).unwrap();
        let seen = Arc::new((
            Mutex::new(Seen {
                terminal: vt100::Parser::new(36, 100, 0),
                bytes: Vec::new(),
                closed: false,
            }),
            Condvar::new(),
        ));
        watch(pair.master.try_clone_reader().unwrap(), Arc::clone(&seen));
        Self {
            child,
            keys: pair.master.take_writer().unwrap(),
            master: pair.master,
            seen,
            modes_before,
            _slave: pair.slave,
        }
    }

    /// Types this.
    pub fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    /// Waits until the screen holds this text; answers with the whole screen.
    pub fn wait_for(&self, text: &str) -> String {
        self.wait_until(text, |screen| screen.contents().contains(text))
    }

    /// Waits until the screen no longer holds this text.
    pub fn wait_gone(&self, text: &str) -> String {
        self.wait_until(&format!("no more '{text}'"), |screen| {
            !screen.contents().contains(text)
        })
    }

    /// Waits until one row holds all of these.
    pub fn wait_for_row(&self, parts: &[&str]) -> String {
        self.wait_until(&format!("a row with {parts:?}"), |screen| {
            let contents = screen.contents();
            contents
                .lines()
                .any(|row| parts.iter().all(|part| row.contains(part)))
        })
    }

    /// Waits until this holds of the screen; answers with the whole screen.
    pub fn wait_until(&self, what: &str, holds: impl Fn(&vt100::Screen) -> bool) -> String {
        let deadline = Instant::now() + PATIENCE;
        let (seen, changed) = &*self.seen;
        let mut seen = seen.lock().unwrap();
        loop {
            let screen = seen.terminal.screen();
            if holds(screen) {
                return screen.contents();
            }
            let left = deadline.saturating_duration_since(Instant::now());
            assert!(
                !left.is_zero() && !seen.closed,
                "waited in vain for {what}; the screen shows:\n{}",
                screen.contents()
            );
            seen = changed.wait_timeout(seen, left).unwrap().0;
        }
    }

    /// The screen as it is now.
    pub fn screen(&self) -> String {
        self.seen.0.lock().unwrap().terminal.screen().contents()
    }

    /// Whether the alternate screen is on.
    pub fn is_on_board(&self) -> bool {
        let seen = self.seen.0.lock().unwrap();
        seen.terminal.screen().alternate_screen()
    }

    /// Every byte that came out.
    pub fn bytes(&self) -> Vec<u8> {
        self.seen.0.lock().unwrap().bytes.clone()
    }

    /// Gives the terminal another size.
    pub fn resize(&self, columns: u16, rows: u16) {
        let mut seen = self.seen.0.lock().unwrap();
        let (rows_, columns_) = (rows.try_into().unwrap(), columns.try_into().unwrap());
        seen.terminal.screen_mut().set_size(rows_, columns_);
        drop(seen);
        self.master.resize(size(columns, rows)).unwrap();
    }

    /// Sends a signal.
    pub fn signal(&self, signal: Signal) {
        let pid = i32::try_from(self.child.process_id().unwrap()).unwrap();
        kill_process(Pid::from_raw(pid).unwrap(), signal).unwrap();
    }

    /// Waits for the end; answers with the exit code.
    pub fn wait_end(&mut self) -> u32 {
        let (ended, end) = std::sync::mpsc::channel();
        let mut killer = self.child.clone_killer();
        thread::scope(|scope| {
            scope.spawn(|| {
                // Whether or not the waiting below gave up, the child is gone after this.
                let _ = ended.send(self.child.wait().unwrap());
            });
            end.recv_timeout(PATIENCE).unwrap_or_else(|_| {
                killer.kill().unwrap();
                panic!("the program did not end");
            })
        })
        .exit_code()
    }

    /// Checks that the terminal is as it was before the program: line mode, echo, main screen,
    /// a cursor.
    pub fn expect_handed_back(&self) {
        self.wait_until("the main screen", |screen| {
            !screen.alternate_screen() && !screen.hide_cursor() && !screen.bracketed_paste()
        });
        assert_eq!(modes(self.master.as_ref()), self.modes_before);
    }
}

impl Drop for Tty {
    fn drop(&mut self) {
        // It has ended already in every test that passes.
        let _ = self.child.kill();
    }
}

fn modes(master: &dyn MasterPty) -> String {
    let modes = master.get_termios().unwrap();
    format!(
        "{:?} {:?} {:?}",
        modes.input_flags, modes.output_flags, modes.local_flags
    )
}

fn watch(mut out: Box<dyn Read + Send>, shared: Arc<(Mutex<Seen>, Condvar)>) {
    thread::spawn(move || {
        let mut buffer = [0; 4096];
        loop {
            let read = out.read(&mut buffer);
            let (seen, changed) = &*shared;
            let mut seen = seen.lock().unwrap();
            match read {
                Ok(count) if count > 0 => {
                    seen.terminal.process(&buffer[..count]);
                    seen.bytes.extend(&buffer[..count]);
                }
                Ok(_) | Err(_) => seen.closed = true,
            }
            changed.notify_all();
            if seen.closed {
                return;
            }
        }
    });
}
