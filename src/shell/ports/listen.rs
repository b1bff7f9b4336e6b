//! Listens on serial ports without sending anything, to find out what speaks there and how fast.
//! What the bytes mean is `meter::detect`'s business.

use std::num::NonZeroU32;
use std::path::Path;
use std::time::Duration;
use std::{io, thread};

use super::serial::{LineSettings, open_port};
use super::{SourceError, is_nothing_yet, list};
use crate::meter::detect::{self, Detection, Listener, Setting};
use crate::reading::{Elapsed, number};
use crate::shell::clock::Clock;

/// Where bytes make sense, or there is only one setting, it is listened up to so many times as
/// long.
const PATIENCE: f64 = 4.0;
const TICK: Duration = Duration::from_secs(1);

/// What was heard on a port.
#[derive(Clone, Debug, PartialEq)]
pub enum PortHeard {
    /// Something, recognised or not; or nothing.
    Heard(Detection),
    /// The port could not be opened.
    NotOpened(SourceError),
    /// The port went away while listening.
    Lost(String),
}

/// The settings at which to listen on `path`, all of them or those of one speed.
pub fn plan(path: &Path, baud: Option<u32>) -> Vec<Setting> {
    if has_speed(path) {
        detect::plan(baud)
    } else {
        vec![Setting::NO_SPEED]
    }
}

/// Whether bits a second mean anything there: not on a pseudo-terminal, nor on a board that is
/// its own adapter.
pub fn has_speed(path: &Path) -> bool {
    let path = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let named = |start: &str| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        name.starts_with(start)
    };
    !path.starts_with("/dev/pts") && !named("ttyACM") && !named("cu.usbmodem")
}

/// How long listening takes when nothing is recognised, in seconds.
pub fn span_s(plan: &[Setting], each_s: f64) -> f64 {
    if let [_] = plan {
        PATIENCE * each_s
    } else {
        number::f64_from_usize(plan.len()) * each_s
    }
}

/// Listens on several ports at once, each with its plan; calls `tell` with the seconds that are
/// left, about once a second.
pub fn listen_all(
    ports: &[(&Path, Vec<Setting>)],
    each_s: f64,
    mut tell: impl FnMut(f64),
) -> Vec<PortHeard> {
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    let span_s = ports
        .iter()
        .map(|(_, plan)| span_s(plan, each_s))
        .fold(0.0, f64::max);
    let lost = || PortHeard::Lost("listening failed".into());
    tell(span_s);
    thread::scope(|scope| {
        let (ended, end) = crossbeam_channel::bounded::<()>(0);
        let listeners: Vec<_> = ports
            .iter()
            .map(|(path, plan)| {
                let (clock, ended) = (clock.clone(), ended.clone());
                scope.spawn(move || {
                    let verdict = listen(path, plan, each_s, &clock, || true);
                    drop(ended);
                    verdict
                })
            })
            .collect();
        drop(ended);
        while end.recv_timeout(TICK) == Err(crossbeam_channel::RecvTimeoutError::Timeout) {
            tell((span_s - clock.now().secs()).max(0.0));
        }
        listeners
            .into_iter()
            .map(|listener| listener.join().unwrap_or_else(|_| lost()))
            .collect()
    })
}

/// Opens the port at 8N1, sends nothing, and listens `each_s` seconds at each setting, longer
/// where it is promising, for as long as `keep_on` agrees.
pub fn listen(
    path: &Path,
    plan: &[Setting],
    each_s: f64,
    clock: &Clock,
    keep_on: impl Fn() -> bool,
) -> PortHeard {
    let Some(first) = plan.first() else {
        return PortHeard::Heard(Detection::Silent);
    };
    let line = LineSettings {
        baud: first.baud.and_then(NonZeroU32::new),
        rts: first.rts,
        ..LineSettings::default()
    };
    let mut port = match open_port(path, line, &list::ports()) {
        Ok(port) => port,
        Err(error) => return PortHeard::NotOpened(error),
    };
    let mut listener = Listener::default();
    let at_most_s = PATIENCE * each_s;
    let at_least_s = if plan.len() > 1 { each_s } else { at_most_s };
    for setting in plan {
        let at = AtSetting {
            setting: *setting,
            clock,
            at_least: clock.now().plus_secs(at_least_s),
            at_most: clock.now().plus_secs(at_most_s),
        };
        match at.listen(port.as_mut(), &mut listener, &keep_on) {
            Ok(false) => {}
            Ok(true) => break,
            Err(error) => return PortHeard::Lost(error.to_string()),
        }
        if !keep_on() {
            break;
        }
    }
    PortHeard::Heard(listener.outcome())
}

struct AtSetting<'a> {
    setting: Setting,
    clock: &'a Clock,
    at_least: Elapsed,
    at_most: Elapsed,
}

impl AtSetting<'_> {
    /// Listens at one setting; says whether something was recognised.
    fn listen(
        &self,
        port: &mut dyn serialport::SerialPort,
        listener: &mut Listener,
        keep_on: &impl Fn() -> bool,
    ) -> io::Result<bool> {
        self.set(port)?;
        let mut buffer = [0; 1024];
        while self.goes_on(listener) && keep_on() {
            let count = match port.read(&mut buffer) {
                Ok(0) => return Err(io::ErrorKind::BrokenPipe.into()),
                Ok(count) => count,
                Err(error) if is_nothing_yet(&error) => continue,
                Err(error) => return Err(error),
            };
            let bytes = buffer.get(..count).unwrap_or_default();
            if listener.feed(self.setting, bytes).is_some() {
                return Ok(true);
            }
        }
        Ok(false)
    }

    fn goes_on(&self, listener: &Listener) -> bool {
        let now = self.clock.now();
        now < self.at_least || (now < self.at_most && listener.is_promising(self.setting))
    }

    /// Never by opening anew: that resets many boards.
    fn set(&self, port: &mut dyn serialport::SerialPort) -> io::Result<()> {
        if let Some(baud) = self.setting.baud {
            port.set_baud_rate(baud)?;
        }
        // Some adapters have no such line.
        let _ = port.write_request_to_send(self.setting.rts);
        Ok(port.clear(serialport::ClearBuffer::Input)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_board_that_is_its_own_adapter_and_a_pseudo_terminal_have_no_speed() {
        for path in ["/dev/ttyACM0", "/dev/pts/7", "/dev/cu.usbmodem14101"] {
            assert_eq!(plan(Path::new(path), None), [Setting::NO_SPEED], "{path}");
        }
        for path in ["/dev/ttyUSB0", "/dev/ttyS0", "COM3"] {
            assert_eq!(plan(Path::new(path), None), detect::plan(None), "{path}");
        }
        let given = plan(Path::new("/dev/ttyUSB0"), Some(600));
        assert!(given.iter().all(|setting| setting.baud == Some(600)));
        assert_eq!(given.len(), 2);
    }
}
