//! The guide in `assets/guide`: every command in it is run with the built program, every line that it
//! says is printed is printed, every link leads somewhere, and every caution stands where it matters.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]
#![expect(
    clippy::disallowed_methods,
    reason = "tests own their threads and deadlines"
)]
#![allow(
    dead_code,
    reason = "this file needs a part of what it shares with another"
)]

#[path = "guide/keys.rs"]
mod keys;
#[path = "guide/links.rs"]
mod links;
#[path = "guide/page.rs"]
mod page;
#[path = "guide/runner.rs"]
mod runner;
#[path = "guide/stand_in.rs"]
mod stand_in;
#[path = "terminal/tty.rs"]
mod tty;
#[path = "guide/words.rs"]
mod words;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Mutex;
use std::thread;

use page::{Page, on_one_line};

/// Each page mostly waits for its programs, so more of them run side by side than there are cores.
const SIDE_BY_SIDE: usize = 6;

fn home() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn guide() -> Vec<Page> {
    Page::all(&home().join("assets/guide"))
}

/// The technician's own records, as pages call them, and the sample that stands in for each.
const OWN: [(&str, &str); 3] = [
    ("hunt.lull", "late-fall.lull"),
    ("before.lull", "late-fall.lull"),
    ("after.lull", "late-fall.lull"),
];

/// A folder as the guide takes it: with the samples, the technician's own records, and the files that
/// the page itself shows.
fn folder(page: &Page) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let samples = folder.path().join("sample-sessions");
    fs::create_dir(&samples).unwrap();
    for entry in fs::read_dir(home().join("sample-sessions")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), samples.join(entry.file_name())).unwrap();
    }
    for (name, sample) in OWN {
        fs::copy(samples.join(sample), folder.path().join(name)).unwrap();
    }
    for (name, text) in page.files() {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

/// Runs the commands of one page in their order; how many there were.
fn run(page: &Page) -> usize {
    let folder = folder(page);
    let mut ran = 0;
    for block in page.blocks() {
        let place = format!("{}:{}", page.path.display(), block.line);
        let last = block
            .commands
            .len()
            .checked_sub(1)
            .unwrap_or_else(|| panic!("{place}: empty"));
        for (n, command) in block.commands.iter().enumerate() {
            let is_last = n == last;
            let says = if is_last { block.says.as_slice() } else { &[] };
            let exits = if is_last {
                block.exits.as_slice()
            } else {
                &[0]
            };
            assert_eq!(command[0], "lullboard", "{place}: {command:?}");
            let came = runner::run(command, says, folder.path());
            assert!(
                exits.contains(&came.exit),
                "{place}: {command:?} ended with {}, and the page says {exits:?}:\n{}",
                came.exit,
                came.said
            );
            let said = on_one_line(&came.said);
            for line in says {
                assert!(
                    said.contains(&on_one_line(line)),
                    "{place}: {command:?} does not say '{line}' but:\n{}",
                    came.said
                );
            }
            ran += 1;
        }
    }
    ran
}

#[test]
fn every_command_of_every_page_runs_and_says_what_the_page_says() {
    let pages = guide();
    let asked: usize = pages
        .iter()
        .flat_map(Page::blocks)
        .map(|block| block.commands.len())
        .sum();
    assert!(asked > 0);
    let (todo, ran) = (Mutex::new(pages), Mutex::new((0, Vec::new())));
    thread::scope(|scope| {
        for _ in 0..SIDE_BY_SIDE {
            scope.spawn(|| {
                while let Some(page) = { todo.lock().unwrap().pop() } {
                    let came = catch_unwind(AssertUnwindSafe(|| run(&page)));
                    let mut ran = ran.lock().unwrap();
                    match came {
                        Ok(count) => ran.0 += count,
                        Err(_) => ran.1.push(page.path),
                    }
                }
            });
        }
    });
    let (count, failed) = ran.into_inner().unwrap();
    assert!(failed.is_empty(), "see above: {failed:?}");
    assert_eq!(count, asked);
}
