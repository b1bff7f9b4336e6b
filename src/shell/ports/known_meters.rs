//! Which meter was last read through which adapter: confirmed once by eye on the start card, and
//! offered again when the adapter is plugged in. A file beside the settings; without it nothing
//! is remembered and nothing else is lost.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::list::Port;
use crate::meter::MeterUri;
use crate::shell::files::whole;
use crate::shell::settings;

const NAME: &str = "meters.toml";
const HEADING: &str = "# What the start card remembers of each adapter. Lines may be deleted.\n";

/// What is remembered, by adapter.
#[derive(Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownMeters {
    #[serde(default)]
    adapters: BTreeMap<String, String>,
}

impl KnownMeters {
    /// What was remembered; nothing when there is no file, or one that cannot be read.
    pub fn load() -> Self {
        place()
            .and_then(|path| fs::read_to_string(path).ok())
            .and_then(|text| toml::from_str(&text).ok())
            .unwrap_or_default()
    }

    /// The meter that was read through this adapter.
    pub fn of(&self, port: &Port) -> Option<MeterUri> {
        let uri = self.adapters.get(&port.identity())?;
        uri.parse().ok()
    }

    /// Takes down that `uri` is the meter at one of `ports`; whether there is something new to
    /// keep.
    pub fn note(&mut self, uri: &MeterUri, ports: &[Port]) -> bool {
        let MeterUri::Serial(line) = uri else {
            return false;
        };
        let path = Path::new(&line.path);
        let at = |port: &&Port| {
            let names = [Some(&port.path), port.by_id.as_ref(), port.by_path.as_ref()];
            names.into_iter().flatten().any(|name| name == path)
        };
        let Some(port) = ports.iter().find(at) else {
            return false;
        };
        let text = uri.to_string();
        self.adapters.insert(port.identity(), text.clone()) != Some(text)
    }

    /// Keeps it for the next time. The file is replaced as a whole.
    ///
    /// # Errors
    /// Whatever the system reports.
    pub fn keep(&self) -> io::Result<()> {
        let Some(path) = place() else { return Ok(()) };
        let text = toml::to_string(self).map_err(io::Error::other)?;
        let folder = path.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(folder)?;
        let mut file = whole::Growing::beside(&path)?;
        file.write_all(HEADING.as_bytes())?;
        file.write_all(text.as_bytes())?;
        file.replace(&path)
    }
}

fn place() -> Option<PathBuf> {
    Some(settings::place()?.with_file_name(NAME))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serialport::UsbPortInfo;

    fn port(path: &str, serial: Option<&str>) -> Port {
        Port {
            path: path.into(),
            by_path: Some(format!("/dev/serial/by-path/{}", path.len()).into()),
            usb: Some(UsbPortInfo {
                vid: 0x1a86,
                pid: 0x7523,
                serial_number: serial.map(Into::into),
                manufacturer: None,
                product: None,
            }),
            ..Port::default()
        }
    }

    #[test]
    fn a_meter_is_known_again_under_another_name_of_its_port() {
        let mut known = KnownMeters::default();
        let uri: MeterUri = "serial:/dev/ttyUSB0?baud=2400&format=lcd14"
            .parse()
            .unwrap();
        let ports = [port("/dev/ttyS0", None), port("/dev/ttyUSB0", Some("A7"))];
        assert!(known.note(&uri, &ports));
        assert!(!known.note(&uri, &ports), "nothing new");
        let again = port("/dev/ttyUSB12", Some("A7"));
        assert_eq!(known.of(&again), Some(uri));
        assert_eq!(known.of(&port("/dev/ttyUSB12", Some("A8"))), None);
        let text = toml::to_string(&known).unwrap();
        assert_eq!(toml::from_str::<KnownMeters>(&text).unwrap(), known);
    }

    #[test]
    fn what_is_no_serial_port_here_is_not_remembered() {
        let mut known = KnownMeters::default();
        for uri in ["manual:", "tcp:h:5025?format=scpi", "serial:/dev/other"] {
            let uri: MeterUri = uri.parse().unwrap();
            assert!(!known.note(&uri, &[port("/dev/ttyUSB0", None)]), "{uri}");
        }
    }
}
