//! What the fuzzer found and what it began with, replayed: every file of `fuzz/corpus/TARGET/` through
//! its target. How to look for more stands in `fuzz/targets.rs`.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::wildcard_enum_match_arm,
    reason = "a target fails by panicking"
)]
#![expect(
    clippy::print_stdout,
    reason = "shown only of a test that failed: which input it was"
)]
#![expect(unreachable_pub, reason = "the bins of the fuzzer share this module")]

#[path = "fuzz/targets.rs"]
mod targets;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Larger inputs are for the fuzzer's own folder: the corpus is a part of the repository.
const LARGEST: u64 = 4096;

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus")
}

/// The names in a folder.
fn names(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).unwrap_or_else(|why| panic!("{}: {why}", folder.display()));
    entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

fn replay(target: &str) {
    let folder = corpus().join(target);
    let inputs = names(&folder);
    assert!(!inputs.is_empty(), "{} is empty", folder.display());
    for input in inputs {
        let bytes = fs::read(folder.join(&input)).unwrap();
        println!("{target}/{input}");
        targets::run(target, &bytes);
    }
}

#[test]
fn every_target_has_its_folder_and_its_bin_and_every_folder_its_target() {
    let targets: BTreeSet<String> = targets::TARGETS.map(|(name, _)| name.to_owned()).into();
    assert_eq!(names(&corpus()), targets);
    let bins = names(&corpus().with_file_name("bins"));
    let bins: BTreeSet<String> = bins
        .iter()
        .map(|bin| bin.trim_end_matches(".rs").to_owned())
        .collect();
    assert_eq!(bins, targets);
    let manifest = fs::read_to_string(corpus().with_file_name("Cargo.toml")).unwrap();
    for target in targets {
        let lines = format!("name = \"{target}\"\npath = \"bins/{target}.rs\"\n");
        assert!(manifest.contains(&lines), "{target} is no bin");
    }
}

#[test]
fn the_inputs_that_are_kept_are_small() {
    for (target, _) in targets::TARGETS {
        let folder = corpus().join(target);
        for input in names(&folder) {
            let size = fs::metadata(folder.join(&input)).unwrap().len();
            assert!(size <= LARGEST, "{target}/{input}: {size} bytes");
        }
    }
}

macro_rules! replayed {
    ($($target:ident),+ $(,)?) => {
        /// The tests of this file, to be compared with the targets.
        const REPLAYED: &[&str] = &[$(stringify!($target)),+];

        $(#[test]
        fn $target() {
            replay(stringify!($target));
        })+
    };
}

replayed![
    lcd14,
    fs9922,
    es51922,
    es11,
    ascii14,
    stx16,
    text,
    unnamed,
    scpi,
    modbus,
    journal,
    csv,
    uri,
    marks,
    card,
    settings,
    fuse_map,
    numbers,
    prompts,
    board,
    judge_file,
    judge_script,
];

#[test]
fn every_target_is_replayed() {
    assert_eq!(targets::TARGETS.map(|(name, _)| name), REPLAYED);
}
