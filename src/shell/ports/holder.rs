//! Which program holds a port: the system knows, and its name is the shortest mend.

use std::path::Path;

/// The other program in words: its name and number where the system shows them.
pub(super) fn in_words(port: &Path) -> String {
    match find(port) {
        Some((name, number)) => format!("another program ('{name}', process {number})"),
        None => "another program".to_owned(),
    }
}

/// Looks through the open files of all processes; those of other users are hidden, except to
/// root.
#[cfg(target_os = "linux")]
fn find(port: &Path) -> Option<(String, u32)> {
    let port = port.canonicalize().ok()?;
    let own = std::process::id();
    std::fs::read_dir("/proc")
        .ok()?
        .filter_map(|process| process.ok()?.file_name().to_str()?.parse().ok())
        .filter(|&number: &u32| number != own)
        .find(|number| holds(*number, &port))
        .map(|number| {
            let name = std::fs::read_to_string(format!("/proc/{number}/comm"));
            (name.unwrap_or_default().trim().to_owned(), number)
        })
}

#[cfg(target_os = "linux")]
fn holds(number: u32, port: &Path) -> bool {
    std::fs::read_dir(format!("/proc/{number}/fd")).is_ok_and(|mut files| {
        files.any(|file| {
            file.and_then(|file| file.path().read_link())
                .is_ok_and(|target| target == port)
        })
    })
}

#[cfg(not(target_os = "linux"))]
fn find(_port: &Path) -> Option<(String, u32)> {
    None
}
