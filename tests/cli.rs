//! The commands without a screen: exit codes, one line for each fault, and that a session, its
//! replay and its export are judged alike.

#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// Runs lullboard in `folder`.
fn lullboard(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lullboard"))
        .args(args)
        .current_dir(folder)
        .output()
        .unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// Expects this exit code and one line on standard error with all of these words in it.
fn expect_refused(folder: &Path, args: &[&str], words: &[&str]) {
    let output = lullboard(folder, args);
    let said = String::from_utf8(output.stderr.clone()).unwrap();
    assert_eq!(code(&output), 1, "{args:?}: {said}");
    assert_eq!(said.lines().count(), 1, "{args:?}: {said}");
    for word in words {
        assert!(said.contains(word), "{args:?}: '{word}' is not in: {said}");
    }
}

fn rehearsed(story: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let args = [
        "rehearse",
        "--story",
        story,
        "--by-itself",
        "--out",
        "a.lull",
    ];
    let output = lullboard(folder.path(), &args);
    assert_eq!(code(&output), 0, "{output:?}");
    folder
}

fn judged(folder: &Path, file: &str, card: &[&str]) -> serde_json::Value {
    let output = lullboard(folder, &[&["judge", "--json", file], card].concat());
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A log of a level current with a moving last place, one reading a second.
fn level_log(milliampere: u32, for_s: u32) -> String {
    let rows = (0..for_s).map(|t| {
        let a = f64::from(milliampere + t % 2) / 1e3;
        format!("{t}.0,{a:.3}\n")
    });
    std::iter::once("time_s,current_a\n".to_owned())
        .chain(rows)
        .collect()
}

#[test]
fn a_session_and_its_export_are_judged_alike() {
    let folder = rehearsed("late-fall");
    let output = lullboard(folder.path(), &["export", "a.lull", "--to", "a.csv"]);
    assert_eq!(code(&output), 0, "{output:?}");
    let session = judged(folder.path(), "a.lull", &[]);
    // A CSV has no card: what the story's card says comes as flags.
    let card = [
        ["--limit", "50mA"],
        ["--sleep-timeout", "20min"],
        ["--accuracy", "1.0%+3"],
        ["--battery", "agm,72Ah"],
    ];
    let csv = judged(folder.path(), "a.csv", card.as_flattened());
    assert_eq!(session, csv);
    let trials = session["trials"].as_array().unwrap();
    assert!(trials.iter().any(|trial| trial["finding"] == "clears"));
}

/// A car asleep at 420 mA from whose run two fuses take 130 and 260 mA; then somebody opens it.
fn run_log(marks: &[(u32, &str)]) -> String {
    let a = |t: u32| match t {
        0..1500 => 420,
        1500..1560 => 290,
        1560..2400 => 30,
        _ => 5000,
    };
    let rows = (0..2700).flat_map(|t| {
        let cells = marks.iter().filter(move |(at, _)| *at == t);
        let cells = cells.map(move |(_, cell)| format!("{t}.5,,{cell}\n"));
        let value = f64::from(a(t) + t % 2) / 1e3;
        std::iter::once(format!("{t}.0,{value:.3},\n")).chain(cells)
    });
    std::iter::once("time_s,current_a,mark\n".to_owned())
        .chain(rows)
        .collect()
}

#[test]
fn a_run_a_finish_and_what_is_left_out_are_cells_of_a_csv_and_come_back() {
    let folder = tempfile::tempdir().unwrap();
    let card = ["--limit", "50mA", "--accuracy", "1%+3", "--asleep-at-start"];
    let write = |name: &str, marks: &[(u32, &str)]| {
        fs::write(folder.path().join(name), run_log(marks)).unwrap();
        judged(folder.path(), name, &card)
    };
    let run = (1400, "run E3+E4+D7");
    let open = write("open.csv", &[run, (2399, "finish"), (2401, "unlock")]);
    assert_eq!(open["verdict"], "below");
    assert_eq!(open["finished_s"], 2399.5);
    assert_eq!(open["trials"], serde_json::json!([]));
    let among = |judged: &serde_json::Value| {
        let unclaimed = judged["unclaimed"].as_array().unwrap().iter();
        let among = unclaimed.map(|fall| fall["among"].clone());
        among.collect::<Vec<_>>()
    };
    let all = serde_json::json!(["E3", "E4", "D7"]);
    assert_eq!(among(&open), [all.clone(), all]);
    let out = lullboard(folder.path(), &[&["judge", "open.csv"], &card[..]].concat());
    let said = String::from_utf8(out.stdout).unwrap();
    for words in [
        "below: with D7+E3+E4 out",
        "a fall of 130 mA at 0:25:00 stays open: one of E3, E4, D7",
        "the work was finished at 0:39:59: what follows is no evidence",
        "next: refit",
    ] {
        assert!(said.contains(words), "'{words}' is not in: {said}");
    }

    let left_out = write("left.csv", &[run, (2650, "leave out 40:00 to 44:59")]);
    assert_eq!(left_out["verdict"], "below");
    assert_eq!(left_out["left_out_by_hand"][0]["from_s"], 2400.0);
    let named = write("named.csv", &[run, (1560, "pull D7"), (2399, "finish")]);
    assert_eq!(named["trials"][0]["what"][0], "D7");
    assert_eq!(among(&named), [serde_json::json!(["E3", "E4"])]);

    for name in ["open", "left", "named"] {
        let (from, to) = (format!("{name}.csv"), format!("{name}-again.csv"));
        let exported = lullboard(folder.path(), &["export", &from, "--to", &to]);
        assert_eq!(code(&exported), 0, "{exported:?}");
        let again = judged(folder.path(), &to, &card);
        assert_eq!(again, judged(folder.path(), &from, &card), "{name}");
    }
}

#[test]
fn a_session_recorded_live_is_judged_as_its_source() {
    let folder = rehearsed("two-boxes");
    let meter = "replay:a.lull?speed=5000";
    let args = ["record", "--meter", meter, "--out", "again.lull"];
    let output = lullboard(folder.path(), &args);
    assert_eq!(code(&output), 0, "{output:?}");
    let said = out(&output);
    for words in ["settled:", "pull L4: clears", "lullboard judge again.lull"] {
        assert!(said.contains(words), "'{words}' is not in: {said}");
    }
    assert_eq!(
        judged(folder.path(), "a.lull", &[]),
        judged(folder.path(), "again.lull", &[])
    );
    let check = lullboard(folder.path(), &["check", "again.lull"]);
    assert_eq!(code(&check), 0, "{check:?}");
    let file = fs::read_to_string(folder.path().join("again.lull")).unwrap();
    let ends: Vec<&str> = file.lines().rev().take(2).collect();
    assert!(ends[0].contains("\"seal\":"), "{ends:?}");
    let told = r#""judged":{"rules":"3","verdict":"below"}"#;
    assert!(ends[1].contains(told), "{ends:?}");
}

#[test]
fn a_record_that_other_rules_judged_otherwise_says_so_once_while_nothing_more_is_known() {
    let folder = tempfile::tempdir().unwrap();
    let readings = (0..900).map(|t| format!("{{\"t\":{t}.0,\"a\":0.0{}}}\n", 23 + t % 2));
    let header = r#"{"lullboard":1,"started":"2026-01-10T08:00:00+00:00","card":{"limit_a":0.05,"accuracy":{"percent":1.0,"counts":3.0,"amount_a":0.0},"asleep_at_start":true},"meter":{}}"#;
    let record = format!("{header}\n{}", readings.collect::<String>());
    let judged = |rules: &str, verdict: &str, more: &str| {
        let end = format!(r#"{{"t":900.0,"judged":{{"rules":"{rules}","verdict":"{verdict}"}}}}"#);
        fs::write(
            folder.path().join("a.lull"),
            format!("{record}{end}\n{more}"),
        )
        .unwrap();
        out(&lullboard(folder.path(), &["judge", "a.lull"]))
    };
    let words = "by rules 2: above; by rules 3: below";
    assert!(judged("2", "above", "").contains(words));
    for (rules, verdict, more) in [
        ("2", "below", ""),
        ("3", "above", ""),
        ("2", "above", "{\"t\":901.0,\"a\":0.023}\n"),
    ] {
        let said = judged(rules, verdict, more);
        assert!(
            said.starts_with("below") && !said.contains("by rules 2"),
            "{said}"
        );
    }
}

#[test]
fn the_exit_code_tells_the_verdict() {
    let folder = tempfile::tempdir().unwrap();
    for (name, milliampere, for_s) in [("above", 187, 900), ("below", 23, 900), ("short", 187, 20)]
    {
        let file = folder.path().join(name);
        fs::write(file, level_log(milliampere, for_s)).unwrap();
    }
    let card = [
        "--limit",
        "50mA",
        "--accuracy",
        "1.0%+3",
        "--asleep-at-start",
    ];
    for (name, expected, verdict) in [
        ("below", 0, "below:"),
        ("above", 3, "above:"),
        ("short", 4, "not settled:"),
    ] {
        let output = lullboard(folder.path(), &[&["judge", name], &card[..]].concat());
        assert_eq!(code(&output), expected, "{name}: {output:?}");
        assert!(out(&output).starts_with(verdict), "{name}: {output:?}");
    }
    // Too close to the limit for this meter.
    let args = ["judge", "above", "--limit", "187mA", "--accuracy", "1.0%+3"];
    let output = lullboard(folder.path(), &[&args[..], &["--asleep-at-start"]].concat());
    assert_eq!(code(&output), 4, "{output:?}");
    assert!(out(&output).starts_with("cannot tell:"), "{output:?}");
}

#[test]
fn a_flag_goes_before_the_card_in_the_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("log.csv"), level_log(214, 900)).unwrap();
    let meter = "replay:log.csv?speed=5000";
    let record = ["record", "--meter", meter, "--out", "a.lull"];
    let card = [
        "--limit",
        "300mA",
        "--accuracy",
        "1%+3",
        "--asleep-at-start",
    ];
    let output = lullboard(folder.path(), &[&record[..], &card].concat());
    assert_eq!(code(&output), 0, "{output:?}");
    let as_recorded = judged(folder.path(), "a.lull", &[]);
    assert_eq!(as_recorded["verdict"], "below");
    assert_eq!(as_recorded["limit"]["a"], 0.3);
    let overridden = judged(folder.path(), "a.lull", &["--limit", "50mA"]);
    assert_eq!(overridden["verdict"], "above");
    assert_eq!(overridden["limit"]["a"], 0.05);
}

#[test]
fn what_cannot_be_read_is_named_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path();
    fs::write(here.join("empty.csv"), "").unwrap();
    fs::write(here.join("binary"), b"\x7fELF\0\0\x01\x02\xff\xfe").unwrap();
    fs::write(here.join("row.csv"), "time_s,current_a\n0,2.0\n1,two\n").unwrap();
    fs::write(here.join("back.csv"), "time_s,current_a\n5,2.0\n1,2.0\n").unwrap();
    fs::write(
        here.join("mark.csv"),
        "time_s,current_a,mark\n0,2.0,yank D1\n",
    )
    .unwrap();
    fs::write(here.join("foreign.csv"), "zeit;strom\n0;2,0\n").unwrap();
    fs::write(
        here.join("newer.lull"),
        "{\"lullboard\":9,\"started\":\"2031-01-01T00:00:00Z\"}\n",
    )
    .unwrap();
    for (file, words) in [
        ("gone.csv", &["gone.csv"][..]),
        ("empty.csv", &["empty.csv", "empty", "time_s,current_a"]),
        ("binary", &["binary", "stands in no text"]),
        ("row.csv", &["row.csv: line 3", "'two'", "expected"]),
        ("back.csv", &["back.csv: line 3", "expected"]),
        ("mark.csv", &["mark.csv: line 2", "yank", "pull"]),
        ("foreign.csv", &["foreign.csv: line 1", "--time-col"]),
        ("newer.lull", &["newer.lull", "9"]),
        (".", &["."]),
    ] {
        expect_refused(here, &["judge", file], words);
        expect_refused(here, &["export", file, "--to", "out.json"], words);
        assert!(!here.join("out.json").exists(), "{file}: half an export");
        assert!(!here.join("out.json.part").exists(), "{file}: rubble");
    }
}

#[test]
fn somebody_elses_log_is_read_when_its_columns_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let log = "stamp,volts,draw\n\
               2026-11-25T08:00:00Z,12.6,52.3\n\
               2026-11-25T08:00:01Z,12.6,OL\n";
    fs::write(folder.path().join("log.csv"), log).unwrap();
    let columns = [
        "--time-col",
        "stamp",
        "--current-col",
        "draw",
        "--unit",
        "mA",
    ];
    let judged = judged(folder.path(), "log.csv", &columns);
    assert_eq!(judged["readings"], 2);
    let output = lullboard(
        folder.path(),
        &[&["export", "log.csv", "--to", "ours.csv"], &columns[..]].concat(),
    );
    assert_eq!(code(&output), 0, "{output:?}");
    assert_eq!(
        fs::read_to_string(folder.path().join("ours.csv")).unwrap(),
        "time_s,current_a,mark,phase,local_time\r\n\
         0.000,0.0523,,awake,2026-11-25T08:00:00.000+00:00\r\n\
         1.000,OL,,awake,2026-11-25T08:00:01.000+00:00\r\n"
    );
}

#[test]
fn an_export_never_overwrites_its_own_record_nor_guesses_a_kind() {
    let folder = rehearsed("false-floor");
    let before = fs::read(folder.path().join("a.lull")).unwrap();
    fs::write(folder.path().join("log.csv"), level_log(26, 10)).unwrap();
    let onto_itself = ["export", "log.csv", "--to", "./log.csv"];
    expect_refused(folder.path(), &onto_itself, &["log.csv", "overwrite"]);
    fs::write(folder.path().join("mine.csv"), "mine").unwrap();
    let onto_mine = ["export", "log.csv", "--to", "mine.csv"];
    expect_refused(
        folder.path(),
        &onto_mine,
        &["mine.csv", "exists", "--replace"],
    );
    let mine = || fs::read_to_string(folder.path().join("mine.csv")).unwrap();
    assert_eq!(mine(), "mine");
    let replaced = lullboard(folder.path(), &[&onto_mine[..], &["--replace"]].concat());
    assert_eq!(code(&replaced), 0, "{replaced:?}");
    assert!(mine().starts_with("time_s"));
    let unknown = ["export", "a.lull", "--to", "a.xlsx"];
    expect_refused(folder.path(), &unknown, &["a.xlsx", ".csv", ".json"]);
    let nowhere = ["export", "a.lull", "--to", "no/such/folder/a.csv"];
    expect_refused(folder.path(), &nowhere, &["no/such/folder"]);
    assert_eq!(fs::read(folder.path().join("a.lull")).unwrap(), before);
}

#[test]
fn check_finds_a_changed_byte_and_a_torn_end() {
    let folder = rehearsed("false-floor");
    let check = lullboard(folder.path(), &["check", "a.lull"]);
    assert_eq!(code(&check), 0, "{check:?}");
    let whole = fs::read_to_string(folder.path().join("a.lull")).unwrap();

    let changed = whole.replacen("\"pull\"", "\"note\"", 1);
    fs::write(folder.path().join("changed.lull"), changed).unwrap();
    let check = lullboard(folder.path(), &["check", "changed.lull"]);
    assert_eq!(code(&check), 1, "{check:?}");
    assert!(out(&check).contains("altered"), "{check:?}");

    let torn = whole.split_at(whole.len() - 20).0;
    fs::write(folder.path().join("torn.lull"), torn).unwrap();
    let check = lullboard(folder.path(), &["check", "torn.lull"]);
    assert_eq!(code(&check), 1, "{check:?}");
    let judged = lullboard(folder.path(), &["judge", "torn.lull"]);
    let warned = String::from_utf8_lossy(&judged.stderr).into_owned();
    assert_eq!(code(&judged), 0, "what is whole is judged: {judged:?}");
    assert!(warned.contains("torn.lull: line"), "{warned}");
}

#[test]
fn a_session_is_never_written_over() {
    let folder = rehearsed("false-floor");
    let again = [
        "rehearse",
        "--story",
        "false-floor",
        "--by-itself",
        "--out",
        "a.lull",
    ];
    expect_refused(folder.path(), &again, &["a.lull", "exists"]);
    let record = ["record", "--meter", "replay:a.lull", "--out", "a.lull"];
    expect_refused(folder.path(), &record, &["a.lull", "--out"]);
}

#[test]
fn a_meter_that_is_not_there_is_named_before_anything_is_made() {
    let folder = tempfile::tempdir().unwrap();
    let port = ["record", "--meter", "serial:/dev/no-such-port"];
    expect_refused(folder.path(), &port, &["/dev/no-such-port", "plugged in"]);
    let replay = ["record", "--meter", "replay:gone.lull"];
    expect_refused(folder.path(), &replay, &["gone.lull"]);
    let card = ["record", "--meter", "replay:x.csv", "--card", "gone.toml"];
    expect_refused(folder.path(), &card, &["gone.toml"]);
    let both = ["record", "--meter", "pipe:-", "--marks", "-"];
    expect_refused(folder.path(), &both, &["--marks -", "a FIFO"]);
    let no_hands = ["record", "--meter", "manual:"];
    expect_refused(folder.path(), &no_hands, &["manual:", "lullboard live"]);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_board_needs_a_terminal_and_says_what_does_without() {
    let folder = tempfile::tempdir().unwrap();
    let live = ["live", "--meter", "serial:/dev/no-such-port"];
    expect_refused(
        folder.path(),
        &live,
        &["not a terminal", "lullboard record"],
    );
    let rehearse = ["rehearse"];
    expect_refused(folder.path(), &rehearse, &["not a terminal", "--by-itself"]);
    expect_refused(
        folder.path(),
        &["open", "a.lull"],
        &["not a terminal", "lullboard judge"],
    );
}

#[test]
fn wrong_arguments_are_told_from_bad_input() {
    let folder = tempfile::tempdir().unwrap();
    for (args, words) in [
        (&["judge"][..], "FILE"),
        (&["judge", "a.csv", "--limit", "fifty"], "50mA"),
        (&["judge", "a.csv", "--limit", "0"], "above zero"),
        (&["judge", "a.csv", "--accuracy", "3"], "1.0%+3"),
        (&["judge", "a.csv", "--battery", "lithium"], "agm,70Ah"),
        (&["judge", "a.csv", "--unit", "V"], "mA"),
        (&["live", "--meter", "usb:0"], "serial:"),
        (&["live", "--meter", "serial:/dev/x?baud=fast"], "baud"),
        (&["rehearse", "--by-itself"], "--out"),
        (&["dance"], "dance"),
    ] {
        let output = lullboard(folder.path(), args);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(code(&output), 2, "{args:?}: {said}");
        assert!(
            said.contains(words),
            "{args:?}: '{words}' is not in: {said}"
        );
    }
}

#[test]
fn without_a_command_the_help_leads_to_a_rehearsal() {
    let folder = tempfile::tempdir().unwrap();
    let output = lullboard(folder.path(), &[]);
    assert_eq!(code(&output), 0);
    assert!(out(&output).contains("lullboard rehearse"));
}

#[test]
fn an_unknown_story_lists_those_there_are() {
    let folder = tempfile::tempdir().unwrap();
    let args = ["rehearse", "--story", "x", "--by-itself", "--out", "x.lull"];
    expect_refused(folder.path(), &args, &["'x'", "late-fall", "false-floor"]);
}

#[test]
fn a_session_edited_into_nonsense_is_judged_without_it_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let lines = [
        r#"{"lullboard":1,"started":"2026-11-25T08:00:00Z","card":{"limit_a":-1,"accuracy":{"percent":-90,"counts":0,"amount_a":0}}}"#,
        r#"{"t":0,"a":0.028}"#,
        r#"{"t":1,"a":0.028}"#,
        r#"{"t":1,"drop":{"what":"L1","mv":0,"step_mv":1e-20,"ohms":1.7e308}}"#,
        r#"{"t":9e11,"mark":{"id":1,"did":"note","what":[],"text":"x"}}"#,
        r#"{"t":2,"mark":{"id":2,"did":"note","what":[],"text":"x","at":-1e12}}"#,
        "{\"t\":3,\"card\u{1b}]0;x\u{7}\":}",
    ];
    fs::write(folder.path().join("odd.lull"), lines.join("\n")).unwrap();
    for args in [
        vec!["judge", "odd.lull"],
        vec!["judge", "odd.lull", "--json"],
        vec!["check", "odd.lull"],
        vec!["export", "odd.lull", "--to", "odd.html"],
        vec!["export", "odd.lull", "--to", "odd.md"],
        vec!["export", "odd.lull", "--to", "odd.svg"],
        vec!["export", "odd.lull", "--to", "odd.csv"],
    ] {
        let output = lullboard(folder.path(), &args);
        assert!(code(&output) < 5, "{args:?}");
        for stream in [&output.stdout, &output.stderr] {
            let text = String::from_utf8_lossy(stream);
            let acts = |c: char| c.is_control() && c != '\n';
            assert!(!text.contains(acts), "{args:?}: {text:?}");
        }
        if args.first() == Some(&"judge") {
            let said = String::from_utf8_lossy(&output.stderr).into_owned();
            assert!(
                said.contains("limit is expected to be above zero"),
                "{said}"
            );
            assert!(said.contains("accuracy is expected"), "{said}");
        }
    }
}

#[test]
fn a_reader_that_has_seen_enough_does_not_pass_the_car() {
    let folder = tempfile::tempdir().unwrap();
    let log = level_log(92, 3000);
    fs::write(folder.path().join("car.csv"), log).unwrap();
    let args = ["judge", "car.csv", "--asleep-at-start", "--limit", "50mA"];
    let mut child = Command::new(env!("CARGO_BIN_EXE_lullboard"))
        .args(args)
        .current_dir(folder.path())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(3));
}

#[test]
fn a_replay_with_a_bad_row_is_refused_before_anything_is_recorded() {
    let folder = tempfile::tempdir().unwrap();
    let log = level_log(71, 200) + "200.0,eighty\n";
    fs::write(folder.path().join("bad.csv"), log).unwrap();
    let args = [
        "record",
        "--meter",
        "replay:bad.csv?speed=1000",
        "--out",
        "x.lull",
    ];
    let output = lullboard(folder.path(), &args);
    assert_eq!(code(&output), 1);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("line 202") && said.contains("eighty"),
        "{said}"
    );
    assert!(!folder.path().join("x.lull").exists());
}

/// Whichever is last wins, and what stands there is all of it and nothing of the other.
#[test]
fn exporters_that_race_for_one_file_end_in_a_whole_one() {
    let folder = tempfile::tempdir().unwrap();
    let (slow, fast) = (("a.csv", 30, 20_000), ("b.csv", 60, 15_000));
    let whole = [slow, fast].map(|(file, milliampere, for_s)| {
        fs::write(folder.path().join(file), level_log(milliampere, for_s)).unwrap();
        let output = lullboard(
            folder.path(),
            &["export", file, "--to", "alone.csv", "--replace"],
        );
        assert_eq!(code(&output), 0, "{output:?}");
        fs::read_to_string(folder.path().join("alone.csv")).unwrap()
    });
    assert_ne!(whole[0], whole[1]);
    for _ in 0..4 {
        let racing = ["a.csv", "b.csv", "a.csv", "b.csv"].map(|file| {
            Command::new(env!("CARGO_BIN_EXE_lullboard"))
                .args(["export", file, "--to", "raced.csv", "--replace"])
                .current_dir(folder.path())
                .stderr(Stdio::null())
                .spawn()
                .unwrap()
        });
        for mut exporter in racing {
            assert!(exporter.wait().unwrap().success());
        }
        let raced = fs::read_to_string(folder.path().join("raced.csv")).unwrap();
        assert!(whole.contains(&raced), "{} bytes", raced.len());
    }
    let mut left: Vec<String> = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    left.sort();
    assert_eq!(left, ["a.csv", "alone.csv", "b.csv", "raced.csv"]);
}

#[cfg(target_os = "linux")]
#[test]
fn what_cannot_be_printed_is_told_of_standard_output() {
    let folder = rehearsed("steady-draw");
    for args in [
        &["judge", "a.lull"][..],
        &["check", "a.lull"],
        &["help", "meter"],
    ] {
        let full = fs::File::options().write(true).open("/dev/full").unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_lullboard"));
        command.args(args).current_dir(folder.path()).stdout(full);
        let told = command.stderr(Stdio::piped()).spawn().unwrap();
        let told = told.wait_with_output().unwrap();
        assert_eq!(told.status.code(), Some(1), "{args:?}");
        let said = String::from_utf8(told.stderr).unwrap();
        assert!(
            said.contains("standard output takes no more (No space left"),
            "{said}"
        );
        assert!(said.contains("a file with room"), "{said}");
    }
}

/// Readings that come slowly wait for the next sync where nobody watches: at the end of the record the
/// last of them are judged all the same.
#[test]
fn the_last_readings_before_the_end_are_told_and_judged() {
    let folder = tempfile::tempdir().unwrap();
    // One reading a minute, ten in a second of the replay; only the very last ones say that it woke.
    let row = |minute: u32| match minute {
        0..=3 => format!(
            "{},3.000,{}\n",
            minute * 60,
            if minute == 1 { "lock" } else { "" }
        ),
        4..=36 => format!("{},0.020,\n", minute * 60),
        _ => format!("{},4.000,\n", minute * 60),
    };
    let rows: String = (0..=38).map(row).collect();
    fs::write(
        folder.path().join("slow.csv"),
        format!("time_s,current_a,mark\n{rows}"),
    )
    .unwrap();
    let args = [
        "record",
        "--meter",
        "replay:slow.csv?speed=600",
        "--out",
        "a.lull",
    ];
    let recorded = lullboard(folder.path(), &args);
    assert!(recorded.status.success(), "{recorded:?}");
    let said = out(&recorded);
    let last = said.lines().rfind(|line| line.starts_with("0:3")).unwrap();
    assert!(last.contains("awake") || last.contains("woke"), "{said}");
    let verdict = out(&lullboard(folder.path(), &["judge", "--json", "a.lull"]));
    let verdict: serde_json::Value = serde_json::from_str(&verdict).unwrap();
    let judged = fs::read_to_string(folder.path().join("a.lull")).unwrap();
    let judged = judged
        .lines()
        .find(|line| line.contains("\"judged\""))
        .unwrap();
    let word = format!("\"verdict\":{}", verdict["verdict"]);
    assert!(judged.contains(&word), "{judged} is not {word}");
}
