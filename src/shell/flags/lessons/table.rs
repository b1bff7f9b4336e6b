//! The examples and exit codes of each command; `tests/help.rs` reads every line as it would be typed.

use super::Lesson;

pub(super) const LESSONS: [Lesson; 16] = [
    Lesson {
        of: "lullboard",
        examples: &[
            (
                "the start card: meters are listened for, the car asked about",
                "lullboard",
            ),
            (
                "no meter at hand: a hunt on a simulated car",
                "lullboard rehearse",
            ),
            (
                "a real car; the limit and the time-out from the maker's data",
                "lullboard live --meter serial:COM3 --limit 50mA --sleep-timeout 30m",
            ),
            (
                "how a meter is named: every kind, format and option",
                "lullboard help meter",
            ),
        ],
        codes: &[
            (0, "done; for judge: below the limit; for check: whole"),
            (1, "the input could not be used; for check: not whole"),
            (2, "wrong arguments"),
            (3, "judge: above the limit"),
            (4, "judge: cannot tell, or not settled"),
        ],
    },
    Lesson {
        of: "live",
        examples: &[
            (
                "a meter on an adapter, with the maker's limit and time-out",
                "lullboard live --meter serial:COM3 --limit 50mA --sleep-timeout 30m",
            ),
            (
                "a clamp on a voltmeter",
                "lullboard live --meter serial:/dev/ttyUSB0 --clamp 100mV/A --drift 5mA/h",
            ),
            (
                "the battery's volts beside the current",
                "lullboard live --meter tcp:192.168.1.20:5025 --volts serial:/dev/ttyUSB1",
            ),
            (
                "no cable: read the meter by eye and type the values",
                "lullboard live --meter manual: --limit 50mA",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "record",
        examples: &[
            (
                "overnight on a box without a screen; look at it with open",
                "lullboard record --meter serial:/dev/ttyUSB0 --out night.lull",
            ),
            (
                "lines of another program, numbers in mA",
                "my-logger | lullboard record --meter 'pipe:-?unit=mA' --out night.lull",
            ),
            (
                "a log played again, sixty times as fast",
                "lullboard record --meter 'replay:log.csv?speed=60' --out again.lull",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "rehearse",
        examples: &[
            ("the first hunt, with hints", "lullboard rehearse"),
            (
                "another car, forty times as fast as life",
                "lullboard rehearse --story short-wakes --speed 40",
            ),
            (
                "no screen: a session to open and judge",
                "lullboard rehearse --story two-boxes --by-itself --out two-boxes.lull",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "open",
        examples: &[
            ("look at a finished session", "lullboard open night.lull"),
            (
                "go on recording it, the values typed",
                "lullboard open night.lull --meter manual:",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "judge",
        examples: &[
            ("a session, in words", "lullboard judge night.lull"),
            (
                "the same for a program",
                "lullboard judge --json night.lull > night.json",
            ),
            (
                "somebody else's log",
                "lullboard judge log.csv --time-col Time --current-col 'I (mA)' --unit mA",
            ),
            (
                "with the maker's limit, of a car that slept from the first reading",
                "lullboard judge log.csv --limit 50mA --asleep-at-start",
            ),
        ],
        codes: &[
            (0, "below the limit, or below so far"),
            (1, "the file could not be used"),
            (2, "wrong arguments"),
            (3, "above the limit"),
            (4, "cannot tell, or not settled"),
        ],
    },
    Lesson {
        of: "export",
        examples: &[
            (
                "the report to hand over: one file, prints on A4",
                "lullboard export night.lull --to night.html",
            ),
            (
                "before and after the repair, in one report",
                "lullboard export after.lull --compare before.lull --to both.html",
            ),
            (
                "the readings, without whose car it was, over an older file",
                "lullboard export night.lull --to night.csv --without-names --replace",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "check",
        examples: &[("one session", "lullboard check night.lull")],
        codes: &[
            (0, "whole and unaltered"),
            (1, "damaged, altered, not finished, or not to be read"),
            (2, "wrong arguments"),
        ],
    },
    Lesson {
        of: "follow",
        examples: &[
            ("on this machine", "lullboard follow night.lull"),
            (
                "from the office, on the machine in the bay",
                "ssh -t bay3 lullboard follow night.lull",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "settings",
        examples: &[
            ("where the file is, and every default", "lullboard settings"),
            (
                "a file of your own to change, and its use",
                "lullboard settings > bay3.toml",
            ),
            ("", "lullboard live --settings bay3.toml --meter manual:"),
        ],
        codes: &[],
    },
    Lesson {
        of: "meters",
        examples: &[
            ("what is heard on every port", "lullboard meters"),
            (
                "what one meter says, until Ctrl-C",
                "lullboard meters --read 'serial:COM3?format=text'",
            ),
            (
                "a register in every way it can be read",
                "lullboard meters --read 'serial:COM4?format=modbus&register=0'",
            ),
            (
                "one query to a silent port, on your word",
                "lullboard meters --ask idn /dev/ttyUSB0",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "standing",
        examples: &[
            (
                "how long it stands at 165 mA",
                "lullboard standing --battery agm,70Ah --draw 165mA",
            ),
            (
                "which draw makes it flat in twelve hours",
                "lullboard standing --battery flooded,rc:90 --flat-after 12h",
            ),
            (
                "asleep at 20 mA, with two minutes of 1.2 A every six hours",
                "lullboard standing --battery agm,70Ah --draw 20mA --wake 1.2A,120s,6h",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "drop",
        examples: &[
            (
                "2.3 mV across a mini fuse of 10 A",
                "lullboard drop --style mini --rating 10 --mv 2.3",
            ),
            (
                "with the meter's accuracy on that range",
                "lullboard drop --style blade --rating 15 --mv 0.40 --mv-accuracy 0.5%+2",
            ),
        ],
        codes: &[],
    },
    Lesson {
        of: "completions",
        examples: &[
            (
                "each where its shell looks",
                "lullboard completions bash >> ~/.bash_completion",
            ),
            ("", "lullboard completions zsh > ~/.zfunc/_lullboard"),
            (
                "",
                "lullboard completions fish > ~/.config/fish/completions/lullboard.fish",
            ),
            ("", "lullboard completions powershell >> $PROFILE"),
        ],
        codes: &[],
    },
    Lesson {
        of: "man",
        examples: &[(
            "then 'man lullboard', 'man lullboard-judge', 'man 7 lullboard-meter'",
            "lullboard man ~/.local/share/man",
        )],
        codes: &[],
    },
    Lesson {
        of: "help",
        examples: &[
            ("one command", "lullboard help judge"),
            ("how a meter is named", "lullboard help meter"),
        ],
        codes: &[],
    },
];
