//! The file reaches the size that the system allows: that is a full disk, and no death.

use crate::recorder::{Recorder, holds, with_small_files};

#[test]
fn a_file_at_its_largest_size_is_a_full_disk() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hunt.lull");
    let mut recorder = Recorder::with(folder.path(), with_small_files(2));
    recorder.read(&file, 101..110);
    for ma in 201..260 {
        recorder.show(ma);
    }
    recorder.wait_for("kept in memory until it can be written");
    let (said, code) = recorder.end();
    // What never reached the disk is told, and counted in the exit code.
    assert_eq!(code, 1, "{said}");
    assert!(holds(&file, 109) && !holds(&file, 259), "{said}");
}
