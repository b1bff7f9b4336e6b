//! What no car can have in a file: the built program judges it all the same, within half a gibibyte,
//! and says by name what it left out. Without the bounds each of these takes minutes or gibibytes.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Output};

const HEAD: &str = r#"{"lullboard":1,"started":"2026-01-10T08:00:00.000+00:00","card":{"limit_a":0.05,"sleep_timeout_s":600.0,"asleep_at_start":true},"meter":{"uri":"manual:"}"#;

/// A sleeping car at 210 mA, read once a second, with these lines after ten minutes.
fn record(head: &str, lines: &str, after_s: u32) -> String {
    let mut text = format!("{HEAD}{head}}}\n");
    let read = |text: &mut String, from_s: u32, to_s: u32| {
        for t in from_s..to_s {
            let last = t * 7 % 10;
            writeln!(text, r#"{{"t":{t}.000,"a":0.210{last}}}"#).unwrap();
        }
    };
    read(&mut text, 0, 600);
    text.push_str(lines);
    read(&mut text, after_s, after_s + 300);
    text
}

/// Judges with half a gibibyte of address space, and no more.
fn judged(text: &str) -> Output {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("odd.lull");
    fs::write(&file, text).unwrap();
    let run = format!(
        "ulimit -v 524288; exec '{}' judge '{}' --json",
        env!("CARGO_BIN_EXE_lullboard"),
        file.display()
    );
    Command::new("sh").args(["-c", &run]).output().unwrap()
}

/// What the judgement says, and what it says was left out.
fn told(text: &str) -> (serde_json::Value, String) {
    let output = judged(text);
    let said = String::from_utf8(output.stderr).unwrap();
    let judgement = serde_json::from_slice(&output.stdout);
    assert!(judgement.is_ok(), "{said}");
    (judgement.unwrap(), said)
}

fn count(judgement: &serde_json::Value, key: &str) -> usize {
    judgement[key].as_array().unwrap().len()
}

#[test]
fn ten_thousand_fuses_pulled_are_those_of_no_car() {
    let mut lines = String::new();
    for i in 0..10_000u32 {
        let t = 600 + i;
        writeln!(
            lines,
            r#"{{"t":{t}.100,"mark":{{"id":{},"did":"pull","what":["E{i}"]}}}}"#,
            i + 1
        )
        .unwrap();
        writeln!(lines, r#"{{"t":{t}.300,"a":0.2100}}"#).unwrap();
    }
    let (judgement, said) = told(&record("", &lines, 10_600));
    assert_eq!(count(&judgement, "trials"), 400);
    assert!(
        said.contains("marks with a label beyond the first 400") && said.contains("9600 left out"),
        "{said}"
    );
}

#[test]
fn a_pull_of_fifty_thousand_fuses_is_no_mark() {
    let labels: Vec<String> = (0..50_000).map(|i| format!("\"E{i}\"")).collect();
    let lines = format!(
        "{{\"t\":600.000,\"mark\":{{\"id\":1,\"did\":\"pull\",\"what\":[{}]}}}}\n",
        labels.join(",")
    );
    let (judgement, said) = told(&record("", &lines, 601));
    assert_eq!(count(&judgement, "trials"), 0);
    assert!(
        said.contains("marks of more than 400 labels, which no car has: 1 left out"),
        "{said}"
    );
    assert_eq!(judgement["verdict"], "above");
}

/// A line that somebody wrote by hand; a technician's own mark is refused without a label.
#[test]
fn a_refit_of_nothing_is_no_trial() {
    let lines = "{\"t\":600.000,\"mark\":{\"id\":1,\"did\":\"refit\"}}\n";
    let (judgement, said) = told(&record("", lines, 601));
    assert_eq!(count(&judgement, "trials"), 0);
    assert!(
        said.contains("pulls, refits and the like of nothing, which no car has: 1 left out"),
        "{said}"
    );
    assert_eq!(judgement["verdict"], "above");
}

#[test]
fn a_label_as_long_as_a_book_is_no_label() {
    let label = "E".repeat(900_000);
    let lines = format!(
        "{{\"t\":600.000,\"mark\":{{\"id\":1,\"did\":\"pull\",\"what\":[\"{label}\"]}}}}\n"
    );
    let (judgement, said) = told(&record("", &lines, 601));
    assert_eq!(count(&judgement, "trials"), 0);
    assert!(
        said.contains("labels of more than 200 characters"),
        "{said}"
    );
}

#[test]
fn ten_thousand_fuses_read_are_those_of_no_car() {
    let mut lines = String::new();
    for i in 0..10_000 {
        writeln!(
            lines,
            r#"{{"t":600.000,"drop":{{"what":"E{i}","mv":2.3,"style":"mini","rating_a":10}}}}"#
        )
        .unwrap();
    }
    let (judgement, said) = told(&record("", &lines, 601));
    assert_eq!(judgement["sweep"]["fuses"].as_array().unwrap().len(), 400);
    assert!(said.contains("9600 left out"), "{said}");
}

#[test]
fn a_map_of_twenty_thousand_fuses_is_left_off_the_card() {
    let fuses: Vec<String> = (0..20_000)
        .map(|i| format!("{{\"label\":\"E{i}\"}}"))
        .collect();
    let head = format!(",\"fuses\":[{}]", fuses.join(","));
    let pull = "{\"t\":600.000,\"mark\":{\"id\":1,\"did\":\"pull\",\"what\":[\"E1\"]}}\n";
    let (judgement, said) = told(&record(&head, pull, 601));
    assert_eq!(count(&judgement, "trials"), 1);
    assert!(
        said.contains("fuses is expected to be those of a car"),
        "{said}"
    );
}

/// Deeds of every kind on four hundred fuses, three seconds apart: nothing of it settles, and what
/// was out at each of them is not told in full each time.
#[test]
fn six_thousand_deeds_find_room() {
    let mut lines = String::new();
    for i in 0..6000u32 {
        let (t, did) = (600 + 3 * i, ["pull", "refit"][usize::from(i % 2 == 1)]);
        let label = i * 7919 % 400;
        writeln!(
            lines,
            r#"{{"t":{t}.100,"mark":{{"id":{},"did":"{did}","what":["E{label}"]}}}}"#,
            i + 1
        )
        .unwrap();
        writeln!(lines, r#"{{"t":{t}.300,"a":0.2100}}"#).unwrap();
    }
    let (judgement, _) = told(&record("", &lines, 18_600));
    assert_eq!(count(&judgement, "trials"), 6000);
}
