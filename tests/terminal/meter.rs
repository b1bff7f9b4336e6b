//! A meter on a serial line: one end of a pseudo-terminal that sends a line a reading.

use std::fs;
use std::io::Write;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use serialport::{SerialPort, TTYPort};

/// A meter that shows what it is told, with a little noise, behind a fixed path as udev gives it.
pub(crate) struct Meter {
    path: PathBuf,
    shows_ua: Arc<AtomicI64>,
    off: Arc<AtomicBool>,
    cable: Arc<Mutex<Option<Cable>>>,
    worker: Option<JoinHandle<()>>,
}

/// Both ends: the far one is held, so that what is sent before the program opens it is kept.
struct Cable {
    near: TTYPort,
    _far: TTYPort,
}

impl Meter {
    /// A meter that sends a reading at this interval and shows `current_a`.
    pub(crate) fn at(folder: &Path, every: Duration, current_a: f64) -> Self {
        Self::of(folder.join("meter"), "A", every, current_a)
    }

    fn of(path: PathBuf, unit: &'static str, every: Duration, shows: f64) -> Self {
        let mut meter = Self {
            path,
            shows_ua: Arc::new(AtomicI64::new(0)),
            off: Arc::new(AtomicBool::new(false)),
            cable: Arc::new(Mutex::new(None)),
            worker: None,
        };
        meter.show(shows);
        meter.plug_in();
        let (shows_ua, off) = (Arc::clone(&meter.shows_ua), Arc::clone(&meter.off));
        let cable = Arc::clone(&meter.cable);
        meter.worker = Some(thread::spawn(move || {
            send(unit, every, &shows_ua, &off, &cable);
        }));
        meter
    }

    /// A second one on the battery's posts, that shows `volts`.
    pub(crate) fn on_battery(folder: &Path, every: Duration, volts: f64) -> Self {
        Self::of(folder.join("voltmeter"), "V", every, volts)
    }

    /// The URI under which the program finds it.
    pub(crate) fn uri(&self) -> String {
        format!("serial:{}?baud=9600&format=text", self.path.display())
    }

    /// What it shows from now on.
    pub(crate) fn show(&self, current_a: f64) {
        let micro = format!("{:.0}", current_a * 1e6);
        self.shows_ua
            .store(micro.parse().unwrap(), Ordering::SeqCst);
    }

    /// Pulls the cable out of the laptop.
    pub(crate) fn unplug(&self) {
        fs::remove_file(&self.path).unwrap();
        *self.cable.lock().unwrap() = None;
    }

    /// Plugs the cable in; the system may give it another name behind the same path.
    pub(crate) fn plug_in(&self) {
        let (near, far) = TTYPort::pair().unwrap();
        symlink(far.name().unwrap(), &self.path).unwrap();
        *self.cable.lock().unwrap() = Some(Cable { near, _far: far });
    }
}

impl Drop for Meter {
    fn drop(&mut self) {
        self.off.store(true, Ordering::SeqCst);
        if let Some(worker) = self.worker.take() {
            worker.join().unwrap();
        }
    }
}

fn send(
    unit: &str,
    every: Duration,
    shows_ua: &AtomicI64,
    off: &AtomicBool,
    cable: &Mutex<Option<Cable>>,
) {
    // A last place that moves, as on every real meter.
    let noise_ma = [0, 1, 0, -1, 1, 0, 0, -1, 0, 1, -1, 0];
    for n in noise_ma.into_iter().cycle() {
        if off.load(Ordering::SeqCst) {
            return;
        }
        thread::sleep(every);
        let ua = shows_ua.load(Ordering::SeqCst) + n * 1000;
        let sign = if ua < 0 { "-" } else { "" };
        let (whole, rest) = (ua.abs() / 1_000_000, ua.abs() % 1_000_000 / 1000);
        let line = format!("{sign}{whole}.{rest:03} {unit}\r\n");
        if let Some(cable) = cable.lock().unwrap().as_mut() {
            // Nobody reads at the far end, or its buffer is full: a meter does not care.
            let _ = cable.near.write_all(line.as_bytes());
        }
    }
}
