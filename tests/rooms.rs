//! The house rules that a compiler does not know: which room may import which, where ratatui,
//! crossterm, serialport, threads, files and the time may be named, and how long a file may be.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read the sources has failed"
)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Each room and the rooms it may import, besides itself.
const ROOMS: [(&str, &[&str]); 13] = [
    ("reading", &[]),
    ("chart", &["reading"]),
    ("meter", &["reading"]),
    ("signal", &["reading"]),
    ("fuse", &["reading"]),
    ("session", &["fuse", "signal", "meter", "reading"]),
    ("battery", &["session", "reading"]),
    (
        "judge",
        &["battery", "fuse", "session", "signal", "meter", "reading"],
    ),
    (
        "journal",
        &["fuse", "session", "signal", "meter", "reading"],
    ),
    (
        "rehearsal",
        &["judge", "fuse", "session", "signal", "meter", "reading"],
    ),
    (
        "report",
        &[
            "chart", "judge", "battery", "fuse", "session", "signal", "meter", "reading",
        ],
    ),
    (
        "desk",
        &[
            "judge", "battery", "fuse", "session", "signal", "meter", "reading",
        ],
    ),
    (
        "screen",
        &[
            "chart", "desk", "judge", "battery", "fuse", "session", "signal", "meter", "reading",
        ],
    ),
];

/// What is named only in some places: the path as code names it, and where it may stand.
const FENCED: [(&str, &[&str]); 17] = [
    ("ratatui", &["src/screen", "src/shell/faces/terminal"]),
    ("crossterm", &["src/shell/faces"]),
    ("jiff", &["src/shell"]),
    ("serialport", &["src/shell/ports"]),
    ("tempfile", &["src/shell/files"]),
    ("clap", &["src/shell", "src/main.rs"]),
    (
        "clap_complete",
        &["src/shell/flags.rs", "src/shell/commands/completions.rs"],
    ),
    ("clap_mangen", &["src/shell/man_pages.rs"]),
    ("rustix", &["src/shell"]),
    (
        "signal_hook",
        &["src/shell/signals.rs", "src/shell/faces/terminal"],
    ),
    ("crossbeam_channel", &["src/shell"]),
    ("std::thread", &["src/shell"]),
    ("std::fs", &["src/shell"]),
    ("std::net", &["src/shell/ports"]),
    ("std::time", &["src/shell"]),
    ("std::env", &["src/shell", "src/main.rs"]),
    ("std::process", &["src/shell", "src/main.rs"]),
];

/// The rooms inside `shell`, and those of them that each may not import: what is joined, `run`,
/// `recording` and `commands` join.
const INSIDE: [(&str, &[&str]); 4] = [
    ("src/shell/ports", &["faces", "commands", "link", "run"]),
    (
        "src/shell/files",
        &["ports", "faces", "commands", "link", "run"],
    ),
    ("src/shell/faces", &["ports", "files", "commands", "link"]),
    ("src/shell/link", &["files", "faces", "commands", "run"]),
];

/// A file without its tests may have this many lines.
const LONGEST: usize = 300;

fn sources() -> Vec<(String, String)> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                found.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    walk(&root.join("src"), &mut found);
    found.sort();
    found
        .into_iter()
        .map(|path| {
            let name = path.strip_prefix(root).unwrap().to_str().unwrap();
            (name.replace('\\', "/"), fs::read_to_string(&path).unwrap())
        })
        .collect()
}

/// The code before the tests, without comments.
fn code(text: &str) -> String {
    text.split("\n#[cfg(test)]\nmod ")
        .next()
        .unwrap_or_default()
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| line.split(" // ").next().unwrap_or_default())
        .collect::<Vec<_>>()
        .join("\n")
}

/// Every path a `use` names, its braces opened: `a::{b, c::d}` gives `a::b` and `a::c::d`.
fn opened(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some((prefix, inner)) = tree.split_once('{') else {
        let plain = tree.split(" as ").next().unwrap_or_default().trim();
        return vec![plain.to_owned()];
    };
    let mut parts = vec![String::new()];
    let mut depth = 1;
    for c in inner.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        match (c, depth) {
            (_, 0) => break,
            (',', 1) => parts.push(String::new()),
            _ => parts.last_mut().unwrap().push(c),
        }
    }
    parts
        .into_iter()
        .filter(|part| !part.trim().is_empty())
        .flat_map(|part| opened(&part))
        .map(|rest| format!("{prefix}{rest}"))
        .collect()
}

/// A path from the crate's root, whatever `super` it was written with.
fn absolute(path: &str, file: &str) -> String {
    let module = file.trim_start_matches("src/").trim_end_matches(".rs");
    let mut at: Vec<&str> = module.split('/').collect();
    let mut rest = path.trim_start_matches("pub ");
    while let Some(up) = rest.strip_prefix("super::") {
        at.pop();
        rest = up;
    }
    if rest == path.trim_start_matches("pub ") {
        return rest.to_owned();
    }
    format!(
        "crate::{}",
        [at.join("::"), rest.to_owned()]
            .join("::")
            .trim_start_matches("::")
    )
}

/// Every path that the file names, in a `use` or in the middle of the code.
fn named(file: &str, text: &str) -> BTreeSet<String> {
    let code = code(text);
    let mut paths = BTreeSet::new();
    for statement in code.split(';') {
        let statement = statement.trim_start();
        let at = statement
            .starts_with("use ")
            .then_some(0)
            .or_else(|| statement.rfind("\nuse ").map(|at| at + 1))
            .or_else(|| statement.rfind("pub use ").map(|at| at + 4));
        if let Some(tree) = at.and_then(|at| statement.get(at + 4..)) {
            let one_line = tree.split_whitespace().collect::<Vec<_>>().join(" ");
            paths.extend(opened(&one_line).iter().map(|path| absolute(path, file)));
        }
    }
    let in_path = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == ':';
    paths.extend(
        code.split(|c| !in_path(c))
            .filter(|word| word.contains("::") && !word.ends_with("::"))
            .map(|word| absolute(word.trim_start_matches("::"), file)),
    );
    paths
}

/// What is wrong with a file's imports, one sentence each.
fn trespasses(file: &str, text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let room = file
        .trim_start_matches("src/")
        .split(['/', '.'])
        .next()
        .unwrap_or_default();
    for path in named(file, text) {
        let allowed = ROOMS.iter().find(|(name, _)| *name == room);
        if let (Some((_, allowed)), Some(inner)) = (allowed, path.strip_prefix("crate::")) {
            let target = inner.split("::").next().unwrap_or_default();
            if target != room && !allowed.contains(&target) {
                wrong.push(format!(
                    "{file} names {path}: {room} may not import {target}"
                ));
            }
        }
        for (inside, barred) in INSIDE {
            let target = path.strip_prefix("crate::shell::").unwrap_or_default();
            let target = target.split("::").next().unwrap_or_default();
            if file.starts_with(inside) && barred.contains(&target) {
                wrong.push(format!("{file} names {path}: not from {inside}"));
            }
        }
        for (fenced, places) in FENCED {
            let is_it = path == fenced || path.starts_with(&format!("{fenced}::"));
            if is_it && !places.iter().any(|place| file.starts_with(place)) {
                wrong.push(format!(
                    "{file} names {path}: {fenced} belongs to {places:?}"
                ));
            }
        }
    }
    wrong
}

#[test]
fn rooms_import_downwards_only() {
    let wrong: Vec<String> = sources()
        .iter()
        .flat_map(|(file, text)| trespasses(file, text))
        .collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn every_room_is_known_to_this_test() {
    let rooms: BTreeSet<String> = sources()
        .iter()
        .map(|(file, _)| file.trim_start_matches("src/").to_owned())
        .map(|file| file.split(['/', '.']).next().unwrap_or_default().to_owned())
        .filter(|room| !["main", "lib", "shell"].contains(&room.as_str()))
        .collect();
    let known: BTreeSet<String> = ROOMS.iter().map(|(room, _)| (*room).to_owned()).collect();
    assert_eq!(rooms, known);
}

#[test]
fn files_say_what_they_are_and_stay_short() {
    let mut wrong = Vec::new();
    for (file, text) in sources() {
        let name = file.rsplit('/').next().unwrap_or_default();
        let vague = [
            "mod.rs", "app.rs", "ui.rs", "state.rs", "util.rs", "utils.rs",
        ];
        if vague.contains(&name) || ["helpers.rs", "manager.rs"].contains(&name) {
            wrong.push(format!("{file}: the name says nothing"));
        }
        if !text.starts_with("//!") {
            wrong.push(format!(
                "{file}: the first line does not say what lives here"
            ));
        }
        let body = text
            .split("\n#[cfg(test)]\nmod ")
            .next()
            .unwrap_or_default();
        let lines = body.lines().count();
        if lines > LONGEST {
            wrong.push(format!("{file}: {lines} lines without tests"));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_room_inside_the_shell_is_closed_to_its_neighbours() {
    for (file, text) in [
        (
            "src/shell/files/tail.rs",
            "use crate::shell::{clock, ports::Stream};",
        ),
        ("src/shell/ports/tcp.rs", "use super::super::faces::keys;"),
    ] {
        let found = trespasses(file, text);
        assert_eq!(found.len(), 1, "{file}: {found:?}");
    }
    let fine = "use super::list::Port;\nuse crate::shell::files::whole;";
    assert_eq!(trespasses("src/shell/ports/known_meters.rs", fine), [""; 0]);
}

#[test]
fn a_forbidden_import_is_found_however_it_is_written() {
    for text in [
        "use crate::desk::effect::Effect;",
        "use crate::{\n    reading::Elapsed,\n    desk::effect,\n};",
        "fn f() -> crate::desk::effect::Bell {}",
        "use super::super::desk::effect;",
        "use std::{fmt, thread};",
        "use std::time::Instant;",
        "use ratatui::Frame;",
        "//! Doc.\n\npub use crate::screen::draw;",
    ] {
        let found = trespasses("src/judge/trial.rs", text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
    }
    for text in [
        "use super::finding::Level;\nuse crate::session::{Session, mark::Did};",
        "// use ratatui::Frame;\nuse std::fmt;",
        "fn f() {}\n\n#[cfg(test)]\nmod tests {\n    use crate::desk::effect;\n}",
    ] {
        assert_eq!(trespasses("src/judge/trial.rs", text), [""; 0], "{text}");
    }
}
