//! What the guide takes from the program is the program's own: cautions, formats, keys, and the words
//! of a judgement.

use std::collections::BTreeSet;
use std::fs;

use crate::page::on_one_line;
use crate::{guide, home};

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

/// One letter between backquotes is a key of the board.
#[test]
fn every_key_of_the_guide_is_one_of_the_boards() {
    let settings = fs::read_to_string(home().join("assets/settings.toml")).unwrap();
    let settings: toml::Table = settings.parse().unwrap();
    let rows = settings["keys"].as_table().unwrap().values();
    let keys: BTreeSet<&str> = rows
        .flat_map(|row| row.as_array().unwrap())
        .map(|key| key.as_str().unwrap())
        .collect();
    let mut seen = BTreeSet::new();
    for page in guide() {
        let spans = page
            .text
            .lines()
            .flat_map(|row| row.split('`').skip(1).step_by(2));
        for span in spans.filter(|span| span.chars().count() == 1) {
            assert!(keys.contains(span), "{}: `{span}`", page.path.display());
            seen.insert(span.to_owned());
        }
    }
    assert!(seen.len() > 20, "{seen:?}");
}

/// The words that a judgement can use, each explained; and what a line says, as the program says it.
#[test]
fn the_words_of_a_judgement_are_the_programs_own() {
    use lullboard::judge::finding::{Finding, Manner, Phase, Verdict};
    let page = |name: &str| fs::read_to_string(home().join("assets/guide").join(name)).unwrap();
    let (verdicts, hunt) = (page("reading-a-verdict.md"), page("the-hunt.md"));
    let own = [
        Verdict::Above,
        Verdict::Below,
        Verdict::CannotTell,
        Verdict::NotSettled,
    ]
    .map(Verdict::word);
    let clears = [
        Finding::Clears,
        Finding::Lowers,
        Finding::NoChange,
        Finding::Raises,
    ]
    .map(Finding::word);
    let open = [Finding::CannotTell, Finding::NotYet, Finding::Spoiled].map(Finding::word);
    let manners = [Manner::AtOnce, Manner::Late, Manner::Both].map(Manner::word);
    for word in [own.as_slice(), &clears, &open, &manners].concat() {
        assert!(verdicts.contains(&format!("| `{word}` |")), "{word}");
    }
    let phases = [
        Phase::Awake,
        Phase::Falling,
        Phase::Plateau,
        Phase::Settled,
        Phase::Stirring,
        Phase::Blind,
    ];
    for word in phases.map(Phase::word) {
        assert!(hunt.contains(&format!("| `{word}` |")), "{word}");
    }

    let source = fs::read_to_string(home().join("src/judge/words/verdict.rs")).unwrap();
    let (_, rest) = verdicts.split_once("## What would settle it").unwrap();
    let (table, _) = rest.split_once("\n## ").unwrap();
    let cells = table
        .lines()
        .filter_map(|row| row.strip_prefix("| `")?.split_once(" |"));
    let mut count = 0;
    for (cell, _) in cells {
        let said = cell
            .split('`')
            .step_by(2)
            .flat_map(|span| span.split("..."));
        for part in said.map(str::trim).filter(|part| !part.is_empty()) {
            assert!(source.contains(part), "nobody says '{part}'");
            count += 1;
        }
    }
    assert!(count > 12, "{count}");
}
