//! The real binary in a pseudo-terminal: what it shows is read as a terminal would show it, and
//! every wait is for something on the screen.

use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use portable_pty::{
    Child, ChildKiller, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system,
};
use rustix::process::{Pid, Signal, kill_process};

/// Longer than any machine needs; only a failing test waits this long.
pub(crate) const PATIENCE: Duration = Duration::from_secs(180);

/// How long the last words of a program may take to arrive after its end.
const LAST_WORDS: Duration = Duration::from_secs(5);

/// What came out of the program so far, and how it ended.
struct Seen {
    terminal: vt100::Parser,
    bytes: Vec<u8>,
    ended: Option<(u32, Instant)>,
}

type Shared = Arc<(Mutex<Seen>, Condvar)>;

/// A program in its own terminal.
pub(crate) struct Tty {
    pid: Pid,
    killer: Box<dyn ChildKiller + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    keys: Box<dyn Write + Send>,
    seen: Shared,
    modes_before: String,
    folder: PathBuf,
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

fn cells(count: u16) -> NonZeroU16 {
    count.try_into().unwrap()
}

/// What the board's clock shows, in seconds.
fn clock(screen: &str) -> u32 {
    let row = screen.lines().next().unwrap_or_default();
    let shown = row.split_whitespace().last().unwrap_or_default();
    let parts = shown.split(':');
    parts.fold(0, |sum, part| sum * 60 + part.parse().unwrap_or(0))
}

impl Tty {
    /// Starts lullboard with these arguments in a terminal of 100 by 36.
    pub(crate) fn lullboard(args: &[&str], variables: &[(&str, &str)], folder: &Path) -> Self {
        Self::start(env!("CARGO_BIN_EXE_lullboard"), args, variables, folder)
    }

    /// Starts any program.
    pub(crate) fn start(
        program: &str,
        args: &[&str],
        variables: &[(&str, &str)],
        folder: &Path,
    ) -> Self {
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
                terminal: vt100::Parser::new(cells(36), cells(100), 0),
                bytes: Vec::new(),
                ended: None,
            }),
            Condvar::new(),
        ));
        watch(pair.master.try_clone_reader().unwrap(), Arc::clone(&seen));
        let pid = i32::try_from(child.process_id().unwrap()).unwrap();
        let killer = child.clone_killer();
        await_end(child, Arc::clone(&seen));
        Self {
            pid: Pid::from_raw(pid).unwrap(),
            killer,
            keys: pair.master.take_writer().unwrap(),
            master: pair.master,
            seen,
            modes_before,
            folder: folder.to_owned(),
            _slave: pair.slave,
        }
    }

    /// The program's number in the system.
    pub(crate) fn id(&self) -> i32 {
        self.pid.as_raw_nonzero().get()
    }

    /// Types this.
    pub(crate) fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    /// Types this, and waits until `hunt.lull` holds more than before. What the board shows of it may
    /// be gone before a busy machine has drawn it.
    pub(crate) fn press_kept(&mut self, keys: &str) {
        let file = self.folder.join("hunt.lull");
        let length = || std::fs::metadata(&file).map_or(0, |about| about.len());
        let before = length();
        self.press(keys);
        self.wait_until(&format!("an entry for {keys:?}"), |_| length() > before);
    }

    /// Types what the display shows, and waits until what was due before it is not due again: a later
    /// clock is only drawn with it.
    pub(crate) fn read_off(&mut self, value: &str) {
        let before = clock(&self.screen());
        self.press_kept(&format!("{value}\r"));
        self.wait_until("a later clock", |screen| {
            clock(&screen.contents()) >= before + 5
        });
    }

    /// Waits until the screen holds this text; answers with the whole screen.
    pub(crate) fn wait_for(&self, text: &str) -> String {
        self.wait_until(text, |screen| screen.contents().contains(text))
    }

    /// Waits until the screen no longer holds this text.
    pub(crate) fn wait_gone(&self, text: &str) -> String {
        self.wait_until(&format!("no more '{text}'"), |screen| {
            !screen.contents().contains(text)
        })
    }

    /// Waits until one row holds all of these.
    pub(crate) fn wait_for_row(&self, parts: &[&str]) -> String {
        self.wait_until(&format!("a row with {parts:?}"), |screen| {
            let contents = screen.contents();
            contents
                .lines()
                .any(|row| parts.iter().all(|part| row.contains(part)))
        })
    }

    /// Waits until this holds of the screen; answers with the whole screen.
    pub(crate) fn wait_until(&self, what: &str, holds: impl Fn(&vt100::Screen) -> bool) -> String {
        let deadline = Instant::now() + PATIENCE;
        let (seen, changed) = &*self.seen;
        let mut seen = seen.lock().unwrap();
        loop {
            let screen = seen.terminal.screen();
            if holds(screen) {
                return screen.contents();
            }
            let latest = seen.ended.map_or(deadline, |(_, at)| at + LAST_WORDS);
            let left = latest.saturating_duration_since(Instant::now());
            assert!(
                !left.is_zero(),
                "waited in vain for {what}; the program {}, the screen shows:\n{}",
                seen.ended.map_or("runs", |_| "has ended"),
                screen.contents()
            );
            seen = changed.wait_timeout(seen, left).unwrap().0;
        }
    }

    /// The screen as it is now.
    pub(crate) fn screen(&self) -> String {
        self.seen.0.lock().unwrap().terminal.screen().contents()
    }

    /// Whether the alternate screen is on.
    pub(crate) fn is_on_board(&self) -> bool {
        let seen = self.seen.0.lock().unwrap();
        seen.terminal.screen().alternate_screen()
    }

    /// Every byte that came out.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        self.seen.0.lock().unwrap().bytes.clone()
    }

    /// Gives the terminal another size.
    pub(crate) fn resize(&self, columns: u16, rows: u16) {
        let mut seen = self.seen.0.lock().unwrap();
        let screen = seen.terminal.screen_mut();
        screen.set_size(cells(rows), cells(columns));
        drop(seen);
        self.claim_size(columns, rows);
    }

    /// Tells the program a size that the terminal may not have.
    pub(crate) fn claim_size(&self, columns: u16, rows: u16) {
        self.master.resize(size(columns, rows)).unwrap();
    }

    /// Does this while nobody reads what the program writes to its terminal; the keys are still there
    /// to be pressed.
    pub(crate) fn unread(&mut self, work: impl FnOnce(&mut dyn Write)) {
        let held = self.seen.0.lock().unwrap();
        work(&mut self.keys);
        drop(held);
    }

    /// Sends a signal.
    pub(crate) fn signal(&self, signal: Signal) {
        kill_process(self.pid, signal).unwrap();
    }

    /// Brings a stopped program back, and waits until it draws again. The signal is repeated: one
    /// that comes before the stop is lost.
    pub(crate) fn go_on(&self) {
        let deadline = Instant::now() + PATIENCE;
        while !self.is_on_board() {
            assert!(Instant::now() < deadline, "the program did not go on");
            self.signal(Signal::CONT);
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits for the end; answers with the exit code.
    pub(crate) fn wait_end(&mut self) -> u32 {
        let (seen, changed) = &*self.seen;
        let seen = seen.lock().unwrap();
        let (seen, _) = changed
            .wait_timeout_while(seen, PATIENCE, |seen| seen.ended.is_none())
            .unwrap();
        let screen = seen.terminal.screen().contents();
        seen.ended
            .unwrap_or_else(|| panic!("the program did not end; the screen shows:\n{screen}"))
            .0
    }

    /// Checks that the terminal is as it was before the program: line mode, echo, main screen,
    /// a cursor.
    pub(crate) fn expect_handed_back(&self) {
        self.wait_until("the main screen", |screen| {
            !screen.alternate_screen() && !screen.hide_cursor() && !screen.bracketed_paste()
        });
        // The screen is let go first, the line mode after it: two steps, each waited for.
        let deadline = Instant::now() + PATIENCE;
        while modes(self.master.as_ref()) != self.modes_before && Instant::now() < deadline {
            std::thread::yield_now();
        }
        assert_eq!(modes(self.master.as_ref()), self.modes_before);
    }
}

impl Drop for Tty {
    fn drop(&mut self) {
        // It has ended already in every test that passes.
        let _ = self.killer.kill();
    }
}

fn modes(master: &dyn MasterPty) -> String {
    let modes = master.get_termios().unwrap();
    format!(
        "{:?} {:?} {:?}",
        modes.input_flags, modes.output_flags, modes.local_flags
    )
}

fn watch(mut out: Box<dyn Read + Send>, shared: Shared) {
    thread::spawn(move || {
        let mut buffer = [0; 4096];
        while let Ok(count @ 1..) = out.read(&mut buffer) {
            let (seen, changed) = &*shared;
            // A test that has failed has no use for the rest.
            let Ok(mut seen) = seen.lock() else { return };
            let bytes = buffer.get(..count).unwrap_or_default();
            seen.terminal.process(bytes);
            seen.bytes.extend(bytes);
            changed.notify_all();
        }
    });
}

fn await_end(mut child: Box<dyn Child + Send + Sync>, shared: Shared) {
    thread::spawn(move || {
        let code = child.wait().unwrap().exit_code();
        let (seen, changed) = &*shared;
        if let Ok(mut seen) = seen.lock() {
            seen.ended = Some((code, Instant::now()));
            changed.notify_all();
        }
    });
}
