//! Other people's work in the program: every crate that a shipped binary holds is under a licence
//! that we take, and `assets/packaging/THIRD-PARTY.md` names it with its text. Asks no network.
//! `assets/packaging/notices` writes that file anew.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]
#![expect(clippy::print_stdout, reason = "what was skipped is said")]

#[path = "licences/expression.rs"]
mod expression;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// What the packages are made for. The C library makes no difference to the crates, and aarch64
/// has those of `x86_64`.
const TARGETS: [&str; 2] = ["x86_64-unknown-linux-gnu", "x86_64-pc-windows-gnu"];

const NOTICES: &str = "assets/packaging/THIRD-PARTY.md";

/// What stands first: the parts of the binaries that are no crates of the lock file.
const HEAD: &str = include_str!("../assets/packaging/third-party-head.md");

/// A crate in a shipped binary.
struct Part {
    licence: String,
    folder: PathBuf,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What cargo knows of the crates for this target; `None` where some of them were never fetched.
fn metadata(target: &str) -> Option<Value> {
    let told = Command::new(env!("CARGO"))
        .args(["metadata", "--offline", "--locked", "--format-version", "1"])
        .args(["--filter-platform", target])
        .current_dir(root())
        .output()
        .unwrap();
    told.status
        .success()
        .then(|| serde_json::from_slice(&told.stdout).unwrap())
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

/// Every crate whose code is in the binary: what ours needs to run, and what that needs. What only
/// builds (build scripts, macros) is not in it.
fn parts(metadata: &Value) -> BTreeMap<(String, String), Part> {
    let packages: BTreeMap<String, &Value> = metadata["packages"]
        .as_array()
        .unwrap()
        .iter()
        .map(|package| (text(&package["id"]), package))
        .collect();
    let needs: BTreeMap<String, &Value> = metadata["resolve"]["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|node| (text(&node["id"]), &node["deps"]))
        .collect();
    let ours = text(&metadata["resolve"]["root"]);
    let (mut seen, mut open) = (BTreeSet::from([ours.clone()]), vec![ours.clone()]);
    while let Some(id) = open.pop() {
        for needed in needs[&id].as_array().unwrap() {
            let kinds = needed["dep_kinds"].as_array().unwrap();
            let runs = kinds.iter().any(|kind| kind["kind"].is_null());
            let id = text(&needed["pkg"]);
            let targets = packages[&id]["targets"].as_array().unwrap();
            let is_macro = targets
                .iter()
                .any(|target| target["kind"][0] == "proc-macro");
            if runs && !is_macro && seen.insert(id.clone()) {
                open.push(id);
            }
        }
    }
    seen.remove(&ours);
    seen.iter()
        .map(|id| {
            let package = packages[id];
            let manifest = PathBuf::from(text(&package["manifest_path"]));
            let part = Part {
                licence: text(&package["license"]),
                folder: manifest.parent().unwrap().to_owned(),
            };
            ((text(&package["name"]), text(&package["version"])), part)
        })
        .collect()
}

/// The files of a crate that hold its licence: where it may be had under the MIT licence, that text
/// alone, else all; and whatever it says of third parties.
fn licence_files(part: &Part) -> Vec<PathBuf> {
    let name_of = |path: &PathBuf| path.file_name().unwrap().to_string_lossy().to_uppercase();
    let mut all: Vec<PathBuf> = fs::read_dir(&part.folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .filter(|path| {
            let name = name_of(path);
            ["LICEN", "COPYING", "NOTICE", "UNLICENSE"]
                .iter()
                .any(|start| name.starts_with(start))
        })
        .collect();
    all.sort();
    let is_mit = |path: &PathBuf| name_of(path).contains("MIT");
    let is_besides = |path: &PathBuf| {
        let name = name_of(path);
        name.contains("NOTICE") || name.contains("THIRD")
    };
    if expression::may_be(&part.licence, "MIT") && all.iter().any(is_mit) {
        all.retain(|path| is_mit(path) || is_besides(path));
    }
    all
}

/// What the notices say of one crate.
fn section(name: &str, version: &str, part: &Part) -> String {
    let mut said = format!(
        "## {name} {version}\nLicence: {}. Source: <https://crates.io/crates/{name}/{version}>\n",
        part.licence
    );
    let files = licence_files(part);
    if files.is_empty() {
        said.push_str("\nThe crate ships no text of its licence.\n");
    }
    for file in files {
        let text = String::from_utf8_lossy(&fs::read(file).unwrap()).into_owned();
        said.push_str("\n```\n");
        for line in text.replace("```", "'''").trim_end().lines() {
            writeln!(said, "{}", line.trim_end()).unwrap();
        }
        said.push_str("```\n");
    }
    said
}

/// The sections as they stand in the notices, by name and version.
fn sections(notices: &str) -> BTreeMap<(String, String), String> {
    notices
        .split("\n## ")
        .skip(1)
        .map(|section| {
            let (title, _) = section.split_once('\n').unwrap();
            let (name, version) = title.split_once(' ').unwrap();
            let section = format!("## {}\n", section.trim_end());
            ((name.to_owned(), version.to_owned()), section)
        })
        .collect()
}

/// The crates of each target that can be asked about here.
fn known() -> Vec<BTreeMap<(String, String), Part>> {
    let mut known = Vec::new();
    for target in TARGETS {
        match metadata(target) {
            Some(metadata) => known.push(parts(&metadata)),
            None => println!("skipped: the crates of {target} were not all fetched here"),
        }
    }
    known
}

#[test]
fn every_crate_in_a_binary_is_under_a_licence_that_we_take_and_in_the_notices() {
    let known = known();
    assert!(!known.is_empty(), "the crates of no target are here");
    let path = root().join(NOTICES);
    if std::env::var("LULLBOARD_NOTICES").is_ok_and(|how| how == "write") {
        assert_eq!(known.len(), TARGETS.len(), "run cargo fetch first");
        let all: BTreeMap<_, _> = known
            .iter()
            .flatten()
            .map(|((name, version), part)| ((name, version), section(name, version, part)))
            .collect();
        let all: Vec<String> = all.into_values().collect();
        let head = HEAD.trim_end();
        fs::write(&path, format!("{head}\n\n{}", all.join("\n"))).unwrap();
    }
    let notices = fs::read_to_string(&path).unwrap();
    let mut told = sections(&notices);
    for ((name, version), part) in known.iter().flatten() {
        let taken = expression::taken(&part.licence);
        assert!(taken, "{name} {version}: '{}' is not taken", part.licence);
        let said = told.get(&(name.clone(), version.clone()));
        let expected = section(name, version, part);
        assert!(
            said == Some(&expected),
            "{name} {version} is not in {NOTICES} as it is: run assets/packaging/notices"
        );
    }
    for (name, version) in known.iter().flat_map(BTreeMap::keys) {
        told.remove(&(name.clone(), version.clone()));
    }
    assert!(
        known.len() < TARGETS.len() || told.is_empty(),
        "{NOTICES} names what no binary holds: {:?}",
        told.keys()
    );
    // What was not fetched here is in the lock file at least, and under a licence we take.
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    for ((name, version), section) in told {
        let entry = format!("name = \"{name}\"\nversion = \"{version}\"");
        assert!(lock.contains(&entry), "{name} {version} is not in the lock");
        let licence = section.split("Licence: ").nth(1).unwrap();
        let (licence, _) = licence.split_once(". Source:").unwrap();
        assert!(expression::taken(licence), "{name}: {licence}");
    }
    assert!(notices.starts_with(HEAD.trim_end()), "its head is not ours");
}
