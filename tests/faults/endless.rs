//! What never ends: a device or a pipe in the place of a file.

use std::fs;

use crate::recorder::lullboard;

#[test]
fn what_never_ends_is_refused_after_a_bound_that_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let log = "time_s,current_a\n0,0.020\n1,0.020\n2,0.020\n";
    fs::write(folder.path().join("log.csv"), log).unwrap();
    for (args, bound) in [
        (&["check", "/dev/zero"][..], "1 GiB"),
        (&["judge", "log.csv", "--card", "/dev/zero"], "16 MiB"),
        (&["judge", "log.csv", "--fuses", "/dev/zero"], "16 MiB"),
    ] {
        let refused = lullboard(folder.path(), args);
        assert_eq!(refused.status.code(), Some(1), "{args:?}");
        let said = String::from_utf8_lossy(&refused.stderr).into_owned();
        assert!(said.contains(bound) && said.contains("/dev/zero"), "{said}");
    }
}
