//! What the machine runs on, and the room on its disk.

use std::fs;
use std::path::Path;

/// Told in steps of this, so that it does not change with every reading written.
const STEP_BYTES: u64 = 10_000_000;

/// Whether the machine runs on its own battery; `None` where there is none, or nobody can say.
pub(super) fn on_battery() -> Option<bool> {
    discharges(Path::new("/sys/class/power_supply"))
}

/// Files `type`, `scope` and `status` of each supply: the Linux kernel's
/// Documentation/ABI/testing/sysfs-class-power. A battery of scope `Device` is that of a mouse.
fn discharges(supplies: &Path) -> Option<bool> {
    let supplies = fs::read_dir(supplies).ok()?;
    let of_batteries = supplies.flatten().filter_map(|supply| {
        let says = |what: &str| fs::read_to_string(supply.path().join(what)).ok();
        let is = |what: &str, value: &str| says(what).is_some_and(|said| said.trim() == value);
        let is_ours = is("type", "Battery") && !is("scope", "Device");
        is_ours.then(|| is("status", "Discharging"))
    });
    of_batteries.reduce(|one, other| one || other)
}

/// How much more the disk of this file takes.
#[cfg(unix)]
pub(super) fn free_bytes(file: &Path) -> Option<u64> {
    let folder = file
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    let disk = rustix::fs::statvfs(folder.unwrap_or(Path::new("."))).ok()?;
    let free = disk.f_bavail.saturating_mul(disk.f_frsize);
    Some(free.saturating_sub(free % STEP_BYTES))
}

#[cfg(not(unix))]
pub(super) fn free_bytes(_: &Path) -> Option<u64> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_machines_own_battery_counts() {
        let supplies = tempfile::tempdir().unwrap();
        let has = |name: &str, files: &[(&str, &str)]| {
            let supply = supplies.path().join(name);
            fs::create_dir_all(&supply).unwrap();
            for (file, said) in files {
                fs::write(supply.join(file), format!("{said}\n")).unwrap();
            }
        };
        assert_eq!(discharges(&supplies.path().join("none")), None);
        has("AC", &[("type", "Mains"), ("online", "0")]);
        let of_a_mouse = [
            ("type", "Battery"),
            ("scope", "Device"),
            ("status", "Discharging"),
        ];
        has("mouse", &of_a_mouse);
        assert_eq!(discharges(supplies.path()), None, "a tower");
        has("BAT0", &[("type", "Battery"), ("status", "Not charging")]);
        assert_eq!(discharges(supplies.path()), Some(false));
        has("BAT1", &[("type", "Battery"), ("status", "Discharging")]);
        assert_eq!(discharges(supplies.path()), Some(true));
    }

    #[cfg(unix)]
    #[test]
    fn a_disk_says_how_much_room_it_has() {
        let folder = tempfile::tempdir().unwrap();
        assert!(free_bytes(&folder.path().join("hunt.lull")).unwrap() > 0);
        assert_eq!(free_bytes(Path::new("/no/such/folder/hunt.lull")), None);
    }
}
