//! The file under the recorder is deleted, renamed, replaced or cut short.

use std::fs::{self, OpenOptions};

use crate::recorder::{Recorder, expect_whole, holds};

/// What is done to the file, the words in which it is told, and how many of the twelve readings that
/// were in it are lost.
type Fault = (&'static str, fn(&std::path::Path), &'static str, u32);

const FAULTS: [Fault; 4] = [
    (
        "deleted",
        |path| fs::remove_file(path).unwrap(),
        "deleted, moved or renamed",
        0,
    ),
    (
        "renamed",
        |path| fs::rename(path, path.with_extension("old")).unwrap(),
        "deleted, moved or renamed",
        0,
    ),
    (
        "replaced by what somebody had changed",
        |path| {
            let changed = fs::read_to_string(path).unwrap().replace("0.105", "0.999");
            fs::remove_file(path).unwrap();
            fs::write(path, changed).unwrap();
        },
        "another file stands in the place",
        0,
    ),
    (
        "cut short",
        |path| {
            let file = OpenOptions::new().write(true).open(path).unwrap();
            let length = file.metadata().unwrap().len();
            file.set_len(length - 60).unwrap();
        },
        "cut short by another program",
        3,
    ),
];

/// Nobody watches a `record`: it goes on by itself, in a file that holds all that survives and all
/// that came since.
#[test]
fn a_recording_goes_on_in_a_new_file_with_all_that_survives() {
    for (what, fault, told, lost) in FAULTS {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("hunt.lull");
        let mut recorder = Recorder::begin(folder.path());
        recorder.read(&file, 101..113);
        fault(&file);
        recorder.wait_for(told);
        recorder.wait_for("goes on in hunt_2.lull");
        let next = folder.path().join("hunt_2.lull");
        recorder.read(&next, 201..204);
        let (said, code) = recorder.end();
        assert_eq!(code, 0, "{what}: {said}");
        assert!(
            said.contains("The session is in hunt_2.lull"),
            "{what}: {said}"
        );
        assert_eq!(said.contains("bytes that were cut off"), lost > 0, "{said}");
        for ma in (101..113 - lost).chain(201..204) {
            assert!(holds(&next, ma), "{what}: {ma} mA is lost");
        }
        if lost == 0 {
            expect_whole(folder.path(), "hunt_2.lull");
        }
    }
}

/// An editor that saved what it had read, or a stick that came back: the same record under another
/// number. It is the session file again, and nothing is asked.
#[test]
fn the_same_record_in_another_file_is_taken_up() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hunt.lull");
    let mut recorder = Recorder::begin(folder.path());
    recorder.read(&file, 101..110);
    let copy = folder.path().join("copy");
    fs::copy(&file, &copy).unwrap();
    fs::rename(&copy, &file).unwrap();
    recorder.read(&file, 201..204);
    let (said, code) = recorder.end();
    assert_eq!(code, 0, "{said}");
    assert!(!folder.path().join("hunt_2.lull").exists(), "{said}");
    for ma in (101..110).chain(201..204) {
        assert!(holds(&file, ma), "{ma} mA is lost: {said}");
    }
    expect_whole(folder.path(), "hunt.lull");
}

/// While readings come, the loss, the new file and the catching up fall between two looks of the face.
#[test]
fn every_loss_is_told_with_what_became_of_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let mut recorder = Recorder::begin(folder.path());
    let mut name = "hunt.lull".to_owned();
    recorder.read(&folder.path().join(&name), 101..104);
    for loss in 1..5 {
        fs::remove_file(folder.path().join(&name)).unwrap();
        for ma in 0..150 {
            recorder.show(200 + ma);
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        name = format!("hunt_{}.lull", loss + 1);
        recorder.wait_for(&format!("goes on in {name}"));
        recorder.expect_told("deleted, moved or renamed", loss);
    }
    let (said, code) = recorder.end();
    assert_eq!(code, 0, "{said}");
}
