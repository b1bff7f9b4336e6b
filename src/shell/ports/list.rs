//! Which serial ports there are, with what tells them apart.

use std::collections::BTreeMap;
use std::fmt;
use std::path::{Path, PathBuf};

use serialport::{SerialPortType, UsbPortInfo};

/// One port.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Port {
    /// What to open.
    pub path: PathBuf,
    /// Its stable name by adapter, where the system keeps one.
    pub by_id: Option<PathBuf>,
    /// Its stable name by socket, where the system keeps one.
    pub by_path: Option<PathBuf>,
    /// The adapter, if it is a USB one.
    pub usb: Option<UsbPortInfo>,
}

impl Port {
    /// What tells its adapter from others: vendor, product and serial number, else the socket it
    /// is plugged into, else its path.
    pub fn identity(&self) -> String {
        let numbered = self.usb.as_ref().and_then(|usb| {
            let serial = usb.serial_number.as_ref()?;
            Some(format!("usb {:04x}:{:04x} {serial}", usb.vid, usb.pid))
        });
        numbered.unwrap_or_else(|| {
            let place = self.by_path.as_ref().unwrap_or(&self.path);
            place.to_string_lossy().into_owned()
        })
    }

    /// The name that stays the same when the adapter is plugged in again.
    pub fn stable(&self) -> &Path {
        self.by_id.as_ref().unwrap_or(&self.path)
    }
}

impl fmt::Display for Port {
    /// `/dev/ttyUSB0 (USB2.0-Serial, 1a86:7523)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.path.display())?;
        match &self.usb {
            Some(usb) => {
                let product = usb.product.as_deref().unwrap_or("USB");
                write!(f, " ({product}, {:04x}:{:04x})", usb.vid, usb.pid)
            }
            None => Ok(()),
        }
    }
}

/// Every port that the system lists, by path. Pseudo-terminals are not listed.
pub fn ports() -> Vec<Port> {
    // The library panics where this folder is missing, as in small containers.
    if cfg!(target_os = "linux") && !Path::new("/sys/class/tty").is_dir() {
        return Vec::new();
    }
    let by_id = links(Path::new("/dev/serial/by-id"));
    let by_path = links(Path::new("/dev/serial/by-path"));
    let mut ports: Vec<Port> = serialport::available_ports()
        .unwrap_or_default()
        .into_iter()
        // On a Mac the `tty` twin of each `cu` port blocks when it is opened.
        .filter(|info| !info.port_name.starts_with("/dev/tty."))
        .map(|info| {
            let path = PathBuf::from(info.port_name);
            Port {
                by_id: by_id.get(&path).cloned(),
                by_path: by_path.get(&path).cloned(),
                usb: match info.port_type {
                    SerialPortType::UsbPort(usb) => Some(usb),
                    SerialPortType::PciPort
                    | SerialPortType::BluetoothPort
                    | SerialPortType::Unknown => None,
                },
                path,
            }
        })
        .collect();
    ports.sort_by(|a, b| a.path.cmp(&b.path));
    ports
}

/// The ports as one sentence for an error.
pub(super) fn in_words(ports: &[Port]) -> String {
    let names: Vec<String> = ports.iter().map(Port::to_string).collect();
    if names.is_empty() {
        "No serial ports here".to_owned()
    } else {
        format!("Ports here: {}", names.join(", "))
    }
}

/// Where the links of a folder lead, and the link that leads there.
fn links(folder: &Path) -> BTreeMap<PathBuf, PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return BTreeMap::new();
    };
    entries
        .flatten()
        .filter_map(|entry| {
            let target = entry.path().canonicalize().ok()?;
            Some((target, entry.path()))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_port_is_named_with_its_adapter() {
        let port = Port {
            path: "/dev/ttyUSB0".into(),
            usb: Some(UsbPortInfo {
                vid: 0x1a86,
                pid: 0x7523,
                serial_number: None,
                manufacturer: None,
                product: Some("USB Serial".into()),
            }),
            ..Port::default()
        };
        assert_eq!(port.to_string(), "/dev/ttyUSB0 (USB Serial, 1a86:7523)");
    }

    #[test]
    fn links_lead_from_the_target_to_their_name() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("tty7").canonicalize();
        assert!(target.is_err());
        let target = folder.path().canonicalize().unwrap().join("tty7");
        std::fs::write(&target, "").unwrap();
        let names = folder.path().join("by-id");
        std::fs::create_dir(&names).unwrap();
        std::os::unix::fs::symlink(&target, names.join("meter")).unwrap();
        assert_eq!(links(&names).get(&target), Some(&names.join("meter")));
    }
}
