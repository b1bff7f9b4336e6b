//! Where a port that was lost may be now: the same adapter first, then the same socket, then the
//! old name, and never a stranger that took the name.

use std::path::{Path, PathBuf};

use serialport::UsbPortInfo;

use super::list::Port;

/// What is known of one port.
#[derive(Clone, Debug, Default)]
pub(super) struct Whereabouts {
    /// The path as the user gave it.
    pub(super) given: PathBuf,
    usb: Option<UsbPortInfo>,
    by_path: Option<PathBuf>,
}

impl Whereabouts {
    pub(super) fn new(given: PathBuf) -> Self {
        Self {
            given,
            ..Self::default()
        }
    }

    /// Remembers the adapter behind `path`, which was opened just now.
    pub(super) fn found(&mut self, path: &Path, ports: &[Port]) {
        if let Some(port) = port_at(path, ports) {
            self.usb = port.usb.clone().or(self.usb.take());
            self.by_path = port.by_path.clone().or(self.by_path.take());
        }
    }

    /// The paths to try, the likeliest first.
    pub(super) fn candidates(&self, ports: &[Port]) -> Vec<PathBuf> {
        let mut paths = Vec::new();
        if let Some(known) = &self.usb {
            let mut twins = ports.iter().filter(|port| port.usb.as_ref() == Some(known));
            // Two of a kind without serial numbers cannot be told apart by this.
            if let (Some(only), None) = (twins.next(), twins.next()) {
                paths.push(only.path.clone());
            }
        }
        let same_socket = ports
            .iter()
            .find(|port| self.by_path.is_some() && port.by_path == self.by_path);
        paths.extend(
            same_socket
                .filter(|port| self.may_be(port))
                .map(|port| port.path.clone()),
        );
        if port_at(&self.given, ports).is_none_or(|port| self.may_be(port)) {
            paths.push(self.given.clone());
        }
        paths.dedup();
        paths
    }

    fn may_be(&self, port: &Port) -> bool {
        match (&self.usb, &port.usb) {
            (None, _) => true,
            (Some(known), Some(seen)) => known == seen,
            (Some(_), None) => false,
        }
    }
}

/// The listed port that `path` is or leads to.
fn port_at<'a>(path: &Path, ports: &'a [Port]) -> Option<&'a Port> {
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    ports
        .iter()
        .find(|port| port.path == target || port.path == path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn port(path: &str, by_path: &str, serial: Option<&str>) -> Port {
        Port {
            path: path.into(),
            by_path: Some(by_path.into()),
            usb: Some(UsbPortInfo {
                vid: 1,
                pid: 2,
                serial_number: serial.map(Into::into),
                manufacturer: None,
                product: None,
            }),
            ..Port::default()
        }
    }

    fn known(port: &Port) -> Whereabouts {
        let mut whereabouts = Whereabouts::new(port.path.clone());
        whereabouts.found(&port.path, std::slice::from_ref(port));
        whereabouts
    }

    fn paths(paths: &[&str]) -> Vec<PathBuf> {
        paths.iter().map(PathBuf::from).collect()
    }

    #[test]
    fn the_same_adapter_is_found_under_another_name() {
        let meter = known(&port("/dev/tU0", "socket1", Some("A1")));
        let now = [port("/dev/tU1", "socket2", Some("A1"))];
        assert_eq!(meter.candidates(&now), paths(&["/dev/tU1", "/dev/tU0"]));
    }

    #[test]
    fn twins_are_told_apart_by_their_socket() {
        let meter = known(&port("/dev/tU0", "socket1", None));
        let now = [
            port("/dev/tU0", "socket2", None),
            port("/dev/tU3", "socket1", None),
        ];
        assert_eq!(
            meter.candidates(&now).first(),
            Some(&PathBuf::from("/dev/tU3"))
        );
    }

    #[test]
    fn a_stranger_under_the_old_name_is_left_alone() {
        let meter = known(&port("/dev/tU0", "socket1", Some("A1")));
        let now = [port("/dev/tU0", "socket1", Some("B2"))];
        assert_eq!(meter.candidates(&now), paths(&[]));
    }

    #[test]
    fn a_port_that_is_not_listed_is_tried_by_its_name() {
        let whereabouts = Whereabouts::new("/dev/pts/9".into());
        assert_eq!(whereabouts.candidates(&[]), paths(&["/dev/pts/9"]));
    }
}
