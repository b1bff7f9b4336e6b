//! Every link of guide and README leads somewhere, and the contents lead to every page.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use crate::page::Page;
use crate::{guide, home};

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
