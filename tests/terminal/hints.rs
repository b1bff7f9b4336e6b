//! Hints on a real session in the real binary: on in the first one, then asked for.

use std::fs;
use std::path::Path;

use libtest_mimic::Trial;

use crate::quit;
use crate::tty::Tty;

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![the_first_session_is_led_and_its_ticks_stand_in_file_and_report]
}

fn by_eye(folder: &Path, out: &str) -> Tty {
    let config = folder.join("config").display().to_string();
    let args = ["live", "--meter", "manual:", "--out", out];
    Tty::lullboard(&args, &[("XDG_CONFIG_HOME", &config)], folder)
}

fn the_first_session_is_led_and_its_ticks_stand_in_file_and_report() {
    let folder = tempfile::tempdir().unwrap();
    let mut first = by_eye(folder.path(), "hunt.lull");
    first.wait_for("Next: Test the battery first");
    first.press("n");
    first.wait_for("[before the lock: battery tested]");
    first.press("\r");
    first.wait_for("Next: Charger off");
    first.press("n\r");
    first.wait_for("Next: Everything out of sockets");
    first.press("l");
    first.wait_gone("Everything out of sockets");
    first.press("1.46\r");
    first.wait_for("Next: Hands off and wait");
    first.press("h");
    first.wait_gone("Hands off and wait");
    first.press("e\r");
    first.wait_for("Exported to hunt.html");
    quit(&mut first);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert!(
        file.contains("\"text\":\"before the lock: battery tested\""),
        "{file}"
    );
    let report = fs::read_to_string(folder.path().join("hunt.html")).unwrap();
    let said = "Before the lock: battery tested, charger off; not ticked: plug-in devices off";
    assert!(report.contains(said), "{report}");

    let mut second = by_eye(folder.path(), "second.lull");
    second.wait_for("type what the meter shows");
    assert!(!second.screen().contains("Next:"), "{}", second.screen());
    second.press("h");
    second.wait_for("Next: Test the battery first");
    quit(&mut second);
}
