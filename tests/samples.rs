//! The files in `sample-sessions/` are exactly what the commands in its README make; the fuse map
//! there is the one of its story.

#![expect(clippy::unwrap_used, reason = "a sample that is missing is a failure")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use lullboard::fuse::map;
use lullboard::rehearsal::stories;

/// What no command makes.
const BY_HAND: [&str; 2] = ["README.md", "late-fall-fuses.csv"];

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-sessions")
}

/// The commands that the README lists, each as its words.
fn listed() -> Vec<Vec<String>> {
    let readme = fs::read_to_string(samples().join("README.md")).unwrap();
    readme
        .split('`')
        .filter_map(|code| code.strip_prefix("lullboard "))
        .filter(|command| command.starts_with("rehearse ") || command.starts_with("export "))
        .map(|command| command.split(' ').map(str::to_owned).collect())
        .collect()
}

#[test]
fn the_listed_commands_make_every_sample_to_the_byte() {
    let folder = tempfile::tempdir().unwrap();
    for args in listed() {
        let output = Command::new(env!("CARGO_BIN_EXE_lullboard"))
            .args(&args)
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert!(output.status.success(), "{args:?}: {output:?}");
    }
    let names = |folder: &Path| -> BTreeSet<String> {
        fs::read_dir(folder)
            .unwrap()
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .filter(|name| !BY_HAND.contains(&name.as_str()))
            .collect()
    };
    let made = names(folder.path());
    assert_eq!(made, names(&samples()));
    assert!(!made.is_empty());
    for name in made {
        let fresh = fs::read(folder.path().join(&name)).unwrap();
        let kept = fs::read(samples().join(&name)).unwrap();
        assert!(fresh == kept, "{name} is not what its command makes");
    }
}

#[test]
fn the_map_is_that_of_its_car() {
    let csv = fs::read(samples().join("late-fall-fuses.csv")).unwrap();
    let written = map::read(&csv).unwrap();
    let lid = stories::LATE_FALL.map();
    let both = |circuits: &[map::Circuit]| -> Vec<(String, String, Vec<String>)> {
        circuits
            .iter()
            .map(|one| (one.label.clone(), one.in_box.clone(), one.feeds.clone()))
            .collect()
    };
    assert_eq!(both(&written), both(&lid));
    let rated = written
        .iter()
        .filter(|one| one.rating_a.is_some() && one.style.is_some());
    assert_eq!(rated.count(), written.len());
}
