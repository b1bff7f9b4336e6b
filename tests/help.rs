//! What the program says about itself: the help of every command, the page about meters, the
//! manual pages and the completions, all made from the same flags.

#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]
#![expect(clippy::print_stdout, reason = "what was skipped is said")]

use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use clap::CommandFactory;
use lullboard::meter::{Handheld, MeterUri};
use lullboard::shell::flags::Flags;
use lullboard::shell::flags::lessons::COLUMNS;

const SHELLS: [&str; 5] = ["bash", "elvish", "fish", "powershell", "zsh"];

fn lullboard(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lullboard"))
        .args(args)
        // Whatever the terminal says: a pipe has no columns.
        .env("COLUMNS", "200")
        .output()
        .unwrap()
}

fn said(args: &[&str]) -> String {
    let output = lullboard(args);
    assert!(output.status.success(), "{args:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// Every command by name with the long flags that are not hidden; the program itself has no name.
fn commands() -> Vec<(String, BTreeSet<String>)> {
    let mut program = Flags::command();
    program.build();
    let flags = |command: &clap::Command| {
        let shown = command.get_arguments().filter(|arg| !arg.is_hide_set());
        shown
            .filter_map(|arg| arg.get_long().map(str::to_owned))
            .collect()
    };
    let mut found = vec![(String::new(), flags(&program))];
    found.extend(
        program
            .get_subcommands()
            .map(|command| (command.get_name().to_owned(), flags(command))),
    );
    found
}

/// The hidden flags of all commands.
fn hidden() -> BTreeSet<String> {
    let program = Flags::command();
    let hidden = |command: &clap::Command| -> Vec<String> {
        let arguments = command.get_arguments().filter(|arg| arg.is_hide_set());
        arguments
            .filter_map(|arg| arg.get_long().map(str::to_owned))
            .collect()
    };
    let found: BTreeSet<String> = program.get_subcommands().flat_map(hidden).collect();
    assert!(!found.is_empty(), "nothing is hidden: its checks are empty");
    found
}

/// The words of a command line as a shell parts them, up to where its output goes.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '\'' => quoted = !quoted,
            '>' | '|' if !quoted => break,
            ' ' if !quoted => words.push(String::new()),
            _ => words.last_mut().unwrap().push(c),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// The lines under "Examples:", from the program's name on.
fn examples(help: &str) -> Vec<String> {
    help.lines()
        .skip_while(|line| *line != "Examples:")
        .skip(1)
        .take_while(|line| line.starts_with("  "))
        .filter(|line| !line.starts_with("  #"))
        .map(|line| {
            let at = line.find("lullboard").expect("an example runs lullboard");
            line.get(at..).unwrap().to_owned()
        })
        .collect()
}

#[test]
fn no_help_is_wider_than_eighty_columns_though_it_is_piped() {
    let mut pages = vec![("help meter".to_owned(), said(&["help", "meter"]))];
    for (name, _) in commands() {
        let asked: Vec<&str> = [name.as_str(), "--help"]
            .into_iter()
            .filter(|word| !word.is_empty())
            .collect();
        let help = said(&asked);
        let by_name = [&["help"][..], &asked[..asked.len() - 1]].concat();
        assert_eq!(said(&by_name), help, "help {name}");
        pages.push((name, help));
    }
    for (name, page) in pages {
        for line in page.lines() {
            assert!(line.chars().count() <= COLUMNS, "{name}: {line}");
        }
    }
}

#[test]
fn every_command_has_examples_that_parse_and_its_exit_codes() {
    for (name, _) in commands() {
        let help = if name.is_empty() {
            said(&["--help"])
        } else {
            said(&[&name, "--help"])
        };
        let examples = examples(&help);
        assert!(!examples.is_empty(), "{name} has no examples");
        for example in &examples {
            let parsed = Flags::command().try_get_matches_from(words(example));
            assert!(parsed.is_ok(), "{name}: {example}: {:?}", parsed.err());
        }
        let own = examples
            .iter()
            .any(|example| name.is_empty() || words(example).contains(&name));
        assert!(own, "{name}: no example of its own in {examples:?}");
        assert!(help.contains("\nExit codes:"), "{name} has no exit codes");
    }
    let judge = said(&["judge", "--help"]);
    for code in ["0", "1", "2", "3", "4"] {
        let row = format!("\n  {code}  ");
        assert!(judge.contains(&row), "judge does not tell code {code}");
    }
}

#[test]
fn an_unknown_topic_is_a_wrong_argument() {
    let output = lullboard(&["help", "dance"]);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{error}");
    assert!(error.contains("'dance'"), "{error}");
}

#[test]
fn the_page_about_meters_has_every_format_and_option_and_every_uri_on_it_is_one() {
    let page = said(&["help", "meter"]);
    let asked = ["text", "scpi", "modbus"].into_iter();
    for name in asked.chain(Handheld::ALL.map(Handheld::name)) {
        let row = format!("\n  {name} ");
        assert!(page.contains(&row), "no row for {name}");
    }
    for kind in [
        "serial:x",
        "tcp:h:1",
        "serial:x?format=scpi",
        "serial:x?format=modbus",
        "replay:x",
        "rehearsal:x",
    ] {
        let sign = if kind.contains('?') { '&' } else { '?' };
        let refused = format!("{kind}{sign}dance=1").parse::<MeterUri>();
        let refused = refused.unwrap_err().to_string();
        let (_, known) = refused.split_once("expected ").unwrap();
        for option in known.split([',', ' ']).filter(|word| !word.is_empty()) {
            let there = option == "or" || page.contains(option);
            assert!(there, "{kind}: {option} is not on the page");
        }
    }
    let uris: Vec<&str> = page
        .split_whitespace()
        .map(|word| word.trim_matches(|c| "',;.".contains(c)))
        .filter(|word| {
            let kinds = [
                "serial:",
                "tcp:",
                "pipe:",
                "replay:",
                "manual:",
                "rehearsal:",
            ];
            let left_open = ["PORT", "HOST", "FILE", "STORY"];
            kinds.iter().any(|kind| word.starts_with(kind))
                && !left_open.iter().any(|name| word.contains(name))
        })
        .map(|word| word.trim_end_matches(':'))
        .collect();
    for place in ["COM3", "/dev/cu.usbserial-", "/dev/ttyUSB0"] {
        let named = uris.iter().any(|uri| uri.contains(place));
        assert!(named, "no URI with {place} in {uris:?}");
    }
    for uri in uris {
        let uri = if uri == "manual" { "manual:" } else { uri };
        assert!(uri.parse::<MeterUri>().is_ok(), "{uri}");
    }
}

#[test]
fn the_manual_pages_have_every_command_and_flag_and_no_hidden_one() {
    let folder = tempfile::tempdir().unwrap();
    said(&["man", folder.path().to_str().unwrap()]);
    let read = |path: &str| {
        let page = fs::read_to_string(folder.path().join(path)).unwrap();
        page.replace("\\-", "-")
    };
    let program = read("man1/lullboard.1");
    for (name, flags) in commands() {
        let page = if name.is_empty() {
            program.clone()
        } else {
            let named = format!("lullboard-{name}");
            assert!(program.contains(&named), "{named} is not on the first page");
            read(&format!("man1/{named}.1"))
        };
        for flag in &flags {
            let flag = format!("--{flag}");
            assert!(page.contains(&flag), "{name}: {flag} is not on its page");
        }
        for flag in hidden() {
            assert!(!page.contains(&flag), "{name}: {flag} is on its page");
        }
        for heading in ["NAME", "SYNOPSIS", "EXAMPLES", "EXIT STATUS", "SEE ALSO"] {
            assert!(page.contains(heading), "{name}: no {heading}");
        }
    }
    let meter = read("man7/lullboard-meter.7");
    for words in ["es51922", "/dev/cu.usbserial-", "order=abcd"] {
        assert!(meter.contains(words), "{words}");
    }
    set_without_a_warning(folder.path());
}

/// Sets every page below `folder` as a terminal shows it, where there is a `man` that can.
fn set_without_a_warning(folder: &Path) {
    let has_man = Command::new("man").arg("--version").output();
    if !has_man.is_ok_and(|told| told.stdout.starts_with(b"man 2")) {
        println!("skipped: no man-db here, the pages are not set");
        return;
    }
    for section in ["man1", "man7"] {
        for file in fs::read_dir(folder.join(section)).unwrap() {
            let path = file.unwrap().path();
            let set = Command::new("man")
                .args(["--warnings", "-E", "UTF-8", "-l", "-Tutf8", "-Z"])
                .arg(&path)
                .env("MANROFFSEQ", "")
                .env("MANWIDTH", "80")
                .env("LC_ALL", "C.UTF-8")
                .output()
                .unwrap();
            let warnings = String::from_utf8_lossy(&set.stderr).into_owned();
            assert!(set.status.success(), "{}: {warnings}", path.display());
            assert_eq!(warnings, "", "{}", path.display());
            assert!(!set.stdout.is_empty(), "{}", path.display());
        }
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_told_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a-file");
    fs::write(&file, "").unwrap();
    let output = lullboard(&["man", file.to_str().unwrap()]);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{error}");
    assert_eq!(error.lines().count(), 1, "{error}");
    assert!(error.contains("a-file"), "{error}");
}

#[test]
fn the_completions_have_every_command_and_flag_and_no_hidden_one() {
    for shell in SHELLS {
        let script = said(&["completions", shell]);
        for (name, flags) in commands() {
            assert!(script.contains(&name), "{shell}: no {name}");
            for flag in flags {
                assert!(script.contains(&flag), "{shell}: {name}: no --{flag}");
            }
        }
        for flag in hidden() {
            assert!(!script.contains(&flag), "{shell} offers --{flag}");
        }
        checked_by_its_shell(shell, &script);
    }
}

/// Has the shell read the script without running it, where that shell is. Elvish knows its own
/// completions only at a prompt, so it cannot.
fn checked_by_its_shell(shell: &str, script: &str) {
    if !["bash", "zsh", "fish"].contains(&shell) {
        println!("skipped: nothing checks {shell} without running it");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("completions");
    fs::write(&path, script).unwrap();
    let Ok(told) = Command::new(shell).arg("-n").arg(&path).output() else {
        println!("skipped: no {shell} here");
        return;
    };
    assert!(told.status.success(), "{shell}: {told:?}");
}

#[test]
fn bash_completes_a_command_and_a_flag() {
    let spawned = Command::new("bash")
        .arg("-s")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn();
    let Ok(mut bash) = spawned else {
        println!("skipped: no bash here");
        return;
    };
    let ask = "\nCOMP_WORDS=(lullboard ju); COMP_CWORD=1; _lullboard lullboard ju lullboard\n\
               echo \"${COMPREPLY[*]}\"\n\
               COMP_WORDS=(lullboard judge --sleep); COMP_CWORD=2; _lullboard lullboard --sleep judge\n\
               echo \"${COMPREPLY[*]}\"\n";
    let mut stdin = bash.stdin.take().unwrap();
    let script = said(&["completions", "bash"]) + ask;
    stdin.write_all(script.as_bytes()).unwrap();
    drop(stdin);
    let told = bash.wait_with_output().unwrap();
    let told = String::from_utf8(told.stdout).unwrap();
    assert_eq!(told, "judge\n--sleep-timeout\n");
}
