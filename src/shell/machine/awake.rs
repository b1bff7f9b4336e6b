//! Keeps the machine from sleeping by the tool that its system has for that, as a child that ends
//! with us, however we end: its standard input closes, and its hold with it.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, Stdio};

/// What the child says once the machine is kept awake, and waits then for its input to close.
const HELD: &str = "held";

const NO_TOOL: &str = "this system has no tool that holds it off";

/// A hold on the machine's sleep, or why there is none.
#[derive(Debug)]
pub(super) struct Awake(Result<Child, String>);

impl Awake {
    /// Asks for it; waits until the system has answered.
    pub(super) fn hold() -> Self {
        let Some((tool, asks)) = TOOL.split_first() else {
            return Self(Err(NO_TOOL.into()));
        };
        Self(by(Command::new(tool).args(asks)))
    }

    /// Why there is no hold.
    pub(super) fn is_held(&self) -> Result<(), String> {
        self.0.as_ref().map(|_| ()).map_err(Clone::clone)
    }
}

/// systemd-inhibit(1). Without a terminal of its own (setsid(1)), since it asks for a password there
/// where the system wants one, and the terminal is ours.
#[cfg(target_os = "linux")]
const TOOL: &[&str] = &[
    "setsid",
    "systemd-inhibit",
    "--what=sleep:idle:handle-lid-switch",
    "--who=lullboard",
    "--why=a parked car is being recorded",
    "--mode=block",
];

/// caffeinate(8).
#[cfg(target_os = "macos")]
const TOOL: &[&str] = &["caffeinate", "-i", "-s"];

#[cfg(not(any(target_os = "linux", target_os = "macos")))]
const TOOL: &[&str] = &[];

fn by(command: &mut Command) -> Result<Child, String> {
    let script = format!("echo {HELD}; exec cat >/dev/null");
    let child = command
        .args(["sh", "-c", &script])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn();
    let mut child = child.map_err(|_| NO_TOOL.to_owned())?;
    let mut said = String::new();
    if let Some(out) = child.stdout.take() {
        // What cannot be read was not said.
        let _ = BufReader::new(out).read_line(&mut said);
    }
    if said.trim() == HELD {
        return Ok(child);
    }
    drop(child.stdin.take());
    let mut why = String::new();
    if let Some(mut err) = child.stderr.take() {
        let _ = err.read_to_string(&mut why);
    }
    let _ = child.wait();
    let why = why.lines().next().unwrap_or("the system refused").trim();
    Err(why.to_owned())
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    #[test]
    fn a_hold_lasts_until_it_is_let_go_and_a_refusal_says_why() {
        let mut child = by(&mut Command::new("env")).unwrap();
        assert_eq!(child.try_wait().unwrap(), None, "it holds on");
        drop(child.stdin.take());
        assert!(child.wait().unwrap().success());
        let mut refusing = Command::new("sh");
        refusing.args(["-c", "echo 'not here' >&2; exit 1"]);
        assert_eq!(by(&mut refusing).unwrap_err(), "not here");
        let missing = by(&mut Command::new("no-such-tool-here")).unwrap_err();
        assert_eq!(missing, NO_TOOL);
    }
}
