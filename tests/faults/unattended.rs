//! A record that nobody watches: the machine is kept awake while it lasts, by whatever tool the
//! system has, and let go however it ends.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;

use crate::recorder::Recorder;

/// `lullboard` on a system whose systemd-inhibit(1) is this script; its options are gone by then.
fn with_tool(folder: &Path, script: &str) -> Command {
    let tool = folder.join("systemd-inhibit");
    let text = format!("#!/bin/sh\nwhile [ \"${{1#--}}\" != \"$1\" ]; do shift; done\n{script}\n");
    fs::write(&tool, text).unwrap();
    fs::set_permissions(&tool, fs::Permissions::from_mode(0o755)).unwrap();
    let path = std::env::var("PATH").unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_lullboard"));
    command.env("PATH", format!("{}:{path}", folder.display()));
    command
}

const HOLDS: &str = "\"$@\"; touch let-go";

fn wait_let_go(folder: &Path) {
    let deadline = std::time::Duration::from_secs(30);
    let mut waited = std::time::Duration::ZERO;
    let step = std::time::Duration::from_millis(20);
    while !folder.join("let-go").exists() {
        assert!(waited < deadline, "the machine is never let go");
        std::thread::sleep(step);
        waited += step;
    }
}

#[cfg(target_os = "linux")]
#[test]
fn the_machine_is_kept_awake_and_let_go_when_the_record_ends() {
    let folder = tempfile::tempdir().unwrap();
    let mut recorder = Recorder::with(folder.path(), with_tool(folder.path(), HOLDS));
    recorder.wait_for("kept awake until the record ends");
    assert!(!folder.path().join("let-go").exists());
    assert_eq!(recorder.end().1, 0);
    wait_let_go(folder.path());
}

#[cfg(target_os = "linux")]
#[test]
fn a_killed_record_lets_the_machine_go_too() {
    let folder = tempfile::tempdir().unwrap();
    let mut recorder = Recorder::with(folder.path(), with_tool(folder.path(), HOLDS));
    recorder.wait_for("kept awake until the record ends");
    recorder.kill();
    wait_let_go(folder.path());
}

#[cfg(target_os = "linux")]
#[test]
fn a_machine_that_may_fall_asleep_is_told_with_the_reason() {
    let folder = tempfile::tempdir().unwrap();
    let refuses = "echo 'Failed to inhibit: Access denied' >&2; exit 1";
    let mut recorder = Recorder::with(folder.path(), with_tool(folder.path(), refuses));
    recorder.wait_for("this machine may fall asleep (Failed to inhibit: Access denied)");
    assert_eq!(recorder.end().1, 0);
}
