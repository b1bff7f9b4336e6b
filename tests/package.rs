//! The crate as the registry would get it: all that its build needs, and nothing that only we need.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read the sources has failed"
)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};
use std::process::Command;

/// The files of the crate, as cargo picks them.
fn listed() -> BTreeSet<String> {
    let told = Command::new(env!("CARGO"))
        .args([
            "package",
            "--list",
            "--allow-dirty",
            "--offline",
            "--locked",
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(told.status.success(), "{told:?}");
    let list = String::from_utf8(told.stdout).unwrap();
    list.lines().map(|line| line.replace('\\', "/")).collect()
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else {
            found.push(path);
        }
    }
}

/// The path with every `..` walked.
fn walked(path: &Path) -> String {
    let mut parts = Vec::new();
    for part in path.components() {
        if part == Component::ParentDir {
            parts.pop();
        } else {
            parts.push(part.as_os_str().to_str().unwrap());
        }
    }
    parts.join("/")
}

#[test]
fn the_crate_holds_every_file_that_its_build_reads() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let list = listed();
    let mut files = Vec::new();
    sources(&root.join("src"), &mut files);
    let mut read = 0;
    for file in files {
        let place = file.strip_prefix(root).unwrap();
        let name = walked(place);
        assert!(list.contains(&name), "{name} is not in the crate");
        if name.ends_with("/tests.rs") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        for part in text.split("include_str!(\"").skip(1) {
            let (path, _) = part.split_once('"').unwrap();
            let needed = walked(&place.parent().unwrap().join(path));
            assert!(list.contains(&needed), "{name} reads {needed}");
            read += 1;
        }
    }
    assert!(read > 10, "only {read} files are read");
    for needed in ["Cargo.lock", "LICENSE", "README.md"] {
        assert!(list.contains(needed), "{needed} is not in the crate");
    }
}

#[test]
fn the_crate_holds_nothing_that_only_we_need() {
    let ours = ["tests/", "benches/", ".ci/", "assets/pictures/"];
    for file in listed() {
        let is_ours = ours.iter().any(|folder| file.starts_with(folder));
        assert!(!is_ours, "{file}");
    }
}
