//! What the guide says to type on the board is typed there, and lands in the session as it says.

use std::fs;
use std::path::Path;

use crate::home;
use crate::runner::{runs, until, variables};
use crate::tty::Tty;

/// A board whose session stands in `hunt.lull`, and what a page says to type there.
struct Board {
    tty: Tty,
    folder: tempfile::TempDir,
    page: String,
}

impl Board {
    fn start(page: &str, command: &[&str], wanted: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let args = [command, &["--out", "hunt.lull"]].concat();
        let tty = Tty::lullboard(&args, &variables(folder.path()), folder.path());
        tty.wait_for(wanted);
        let page = fs::read_to_string(home().join("assets/guide").join(page)).unwrap();
        Self { tty, folder, page }
    }

    /// Presses the key and types what the page has between backquotes; then this is in the file.
    fn types(&mut self, key: &str, asks: &str, typed: &str, recorded: &str) {
        for said in [key, typed].into_iter().filter(|said| !said.is_empty()) {
            assert!(self.page.contains(&format!("`{said}`")), "`{said}`");
        }
        let path = self.folder.path().join("hunt.lull");
        assert!(
            !read(&path).contains(recorded),
            "{recorded} is there before"
        );
        self.tty.press(key);
        self.tty.wait_for(asks);
        self.tty.press(typed);
        self.tty.press("\r");
        until(
            || runs(&self.tty),
            || read(&path).contains(recorded),
            || format!("`{key}` `{typed}`: no {recorded}:\n{}", self.tty.screen()),
        );
    }
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_default()
}

#[test]
fn what_the_hunt_says_to_type_is_taken() {
    let command = ["live", "--meter", "manual:", "--clock-speed", "100"];
    let mut board = Board::start("the-hunt.md", &command, "read by eye");
    // So long must the session have run before five minutes ago can be named.
    board.tty.wait_until("six minutes", |screen| {
        let clock = screen
            .contents()
            .lines()
            .next()
            .unwrap_or_default()
            .to_owned();
        let clock = clock
            .split_whitespace()
            .next_back()
            .unwrap_or_default()
            .to_owned();
        let mut parts = clock.split(':').map(|part| part.parse().unwrap_or(0));
        let (hours, minutes): (u32, u32) = (parts.next().unwrap(), parts.next().unwrap_or(0));
        hours * 60 + minutes >= 6
    });
    board.types("X", "LEAVE OUT", "@5m to @2m", "\"did\":\"leave out\"");
    board.types("L", "LOCK how long ago", "40s", "\"did\":\"lock\"");
    board.types("p", "PULL", "E7 @40s", "\"what\":[\"E7\"]");
    board.types("a", "RUN", "D1-D12 every 20s", "\"D12\"");
}

#[test]
fn what_is_looked_at_before_the_lock_is_ticked_with_two_keys() {
    let command = ["live", "--meter", "manual:"];
    let mut board = Board::start("before-you-lock.md", &command, "read by eye");
    assert!(board.page.contains("hints on (`h`"));
    board.tty.press("h");
    board.tty.wait_for("Hints on");
    for (asked, done) in [
        ("Test the battery", "battery tested"),
        ("Charger off", "charger off"),
        ("Everything out of sockets", "plug-in devices off"),
        ("Close every latch", "latches and bonnet switch closed"),
        ("The key far away", "key out of range"),
    ] {
        let heading = format!("**{done}");
        assert!(board.page.to_lowercase().contains(&heading), "{done}");
        // The board asks for it once the one before is noted.
        board.tty.wait_for(asked);
        board.types("n", "NOTE", "", &format!("before the lock: {done}"));
    }
}
