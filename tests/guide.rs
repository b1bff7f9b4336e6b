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

#[path = "guide/page.rs"]
mod page;
#[path = "guide/runner.rs"]
mod runner;
#[path = "guide/stand_in.rs"]
mod stand_in;
#[path = "terminal/tty.rs"]
mod tty;

use std::collections::BTreeSet;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
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
        .map(Page::blocks)
        .flatten()
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

/// The headings of a page as links to them write them.
fn anchors(text: &str) -> BTreeSet<String> {
    let headings = text.lines().filter(|line| line.starts_with('#'));
    headings
        .map(|line| {
            let words = line.trim_start_matches('#').trim().to_lowercase();
            let kept = |c: &char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_');
            words
                .chars()
                .filter(kept)
                .collect::<String>()
                .replace(' ', "-")
        })
        .collect()
}

/// The file that a link leads to, if it is one of this project's; fails where nothing is there.
fn target(page: &Page, link: &str) -> Option<PathBuf> {
    if link.contains("://") {
        return None;
    }
    let (file, anchor) = link.split_once('#').unwrap_or((link, ""));
    let path = if file.is_empty() {
        page.path.clone()
    } else {
        page.path.parent().unwrap().join(file)
    };
    let found = path.canonicalize();
    let found = found.unwrap_or_else(|why| panic!("{}: {link}: {why}", page.path.display()));
    if !anchor.is_empty() {
        let headings = anchors(&fs::read_to_string(&found).unwrap());
        let known = headings.contains(anchor);
        assert!(known, "{}: {link}: {headings:?}", page.path.display());
    }
    Some(found)
}

#[test]
fn every_link_of_guide_and_readme_leads_somewhere() {
    let path = home().join("README.md");
    let text = fs::read_to_string(&path).unwrap();
    let readme = Page { path, text };
    let to_guide = readme
        .links()
        .iter()
        .filter(|link| link.starts_with("assets/guide/"))
        .count();
    assert!(to_guide > 0, "the README leads into the guide");
    let mut count = 0;
    for page in guide().iter().chain([&readme]) {
        for link in page.links() {
            count += usize::from(target(page, link).is_some());
        }
    }
    assert!(count > 40, "{count}");
}

#[test]
fn the_contents_lead_to_every_page() {
    let pages = guide();
    let contents = home()
        .join("assets/guide/README.md")
        .canonicalize()
        .unwrap();
    let first = pages
        .iter()
        .find(|page| page.path.canonicalize().unwrap() == contents)
        .unwrap();
    let linked: BTreeSet<PathBuf> = first
        .links()
        .iter()
        .filter_map(|link| target(first, link))
        .collect();
    for page in &pages {
        let path = page.path.canonicalize().unwrap();
        assert!(
            path == contents || linked.contains(&path),
            "{}",
            path.display()
        );
    }
}

/// What the program warns of, the guide says in the same words, and where it is done.
#[test]
fn every_caution_stands_on_the_page_of_its_moment() {
    let pages = [
        ("connect", "connect-in-series.md"),
        ("meter-jack", "connect-in-series.md"),
        ("unlock", "connect-in-series.md"),
        ("charge", "before-you-lock.md"),
        ("second-battery", "before-you-lock.md"),
        ("high-voltage", "before-you-lock.md"),
        ("calls-home", "watching-overnight.md"),
        ("pull", "the-hunt.md"),
        ("restraint", "the-hunt.md"),
        ("own-battery", "the-hunt.md"),
        ("battery-swap", "after-the-repair.md"),
    ];
    let file = fs::read_to_string(home().join("assets/cautions.toml")).unwrap();
    let cautions: toml::Table = file.parse().unwrap();
    for caution in cautions["caution"].as_array().unwrap() {
        let when = caution["when"].as_str().unwrap();
        let page = pages.iter().find(|(moment, _)| *moment == when);
        let (_, page) = page.unwrap_or_else(|| panic!("no page for '{when}'"));
        let text = fs::read_to_string(home().join("assets/guide").join(page)).unwrap();
        let words = on_one_line(caution["text"].as_str().unwrap()).to_lowercase();
        let text = on_one_line(&text).to_lowercase();
        assert!(text.contains(&words), "{page} lacks: {words}");
    }
}

/// The wire formats that a URI can name, each with a page that names it.
#[test]
fn every_wire_format_has_a_page() {
    let refused = "serial:x?format=nothing"
        .parse::<lullboard::meter::MeterUri>()
        .unwrap_err();
    let refused = refused.to_string();
    let (_, names) = refused.split_once("expected ").unwrap();
    let names: Vec<&str> = names
        .split([' ', ','])
        .filter(|it| !matches!(*it, "" | "or"))
        .collect();
    assert_eq!(names.len(), 9, "{names:?}");
    for name in names {
        let page = home().join(format!("assets/guide/meters/{name}.md"));
        let text = fs::read_to_string(&page).unwrap();
        assert!(
            text.contains(&format!("format={name}")),
            "{}",
            page.display()
        );
        for port in ["/dev/tty", "/dev/cu.usb", "COM3"] {
            assert!(text.contains(port), "{}: {port}", page.display());
        }
        assert!(text.contains("Not tried"), "{}", page.display());
    }
}
