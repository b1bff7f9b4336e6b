//! Every screen and state at the three sizes, and what the keys of the board do to them.

use lullboard::desk::effect::{Bell, Effect};
use lullboard::desk::habits::{Habits, Sounds, Units};
use lullboard::desk::message::{Event, Key, LinkState};
use lullboard::desk::view::{Scale, TimeAxis};
use lullboard::desk::{Model, Options};
use lullboard::judge::finding::{LevelStep, Phase, PhaseSpan, Unclaimed, Wake};
use lullboard::reading::Elapsed;
use lullboard::screen::{Scene, Theme};
use lullboard::session::entry::Fact;
use lullboard::session::mark::MarkId;
use lullboard::signal::track::{Moment, Track};

use crate::bench::{Bench, at, golden, hinted, hunt};

/// The hunt with what the signal itself shows: a step nobody marked, a wake, a gap.
fn busy() -> Bench {
    let mut bench = hunt();
    bench.read(60, "0.0740");
    bench.read(20, "1.130");
    bench.read(120, "0.0740");
    bench.wait(90.0);
    bench.read(60, "0.0740");
    bench.read(200, "0.0280");
    bench.judge(|judgement| {
        judgement.phases = [
            (Phase::Awake, 1.0, 31.0),
            (Phase::Plateau, 31.0, 301.0),
            (Phase::Falling, 301.0, 320.0),
            (Phase::Settled, 320.0, 991.0),
            (Phase::Stirring, 991.0, 1011.0),
            (Phase::Settled, 1011.0, 1131.0),
            (Phase::Blind, 1131.0, 1221.0),
            (Phase::Settled, 1221.0, 1481.0),
        ]
        .into_iter()
        .map(|(phase, from, to)| PhaseSpan {
            phase,
            from: at(from),
            to: at(to),
            level: None,
        })
        .collect();
        judgement.wakes = vec![Wake {
            from: at(991.0),
            to: at(1011.0),
            peak_a: 1.13,
            charge_as: 21.1,
            over: false,
        }];
        judgement.steps = [
            (701.0, 0.314, 0.074, Some(MarkId(2))),
            (991.0, 0.074, 1.13, None),
            (1011.0, 1.13, 0.074, None),
            (1281.0, 0.074, 0.028, None),
        ]
        .into_iter()
        .map(|(t_s, from_a, to_a, mark)| LevelStep {
            t: at(t_s),
            from_a,
            to_a,
            in_gap: false,
            mark,
        })
        .collect();
        judgement.unclaimed = vec![Unclaimed {
            t: at(1281.0),
            from_a: 0.074,
            to_a: 0.028,
            among: Vec::new(),
        }];
        judgement.now.timeout_at = Some(at(1600.0));
    });
    bench.read(1, "0.0280");
    bench
}

fn press(bench: &mut Bench, keys: &str) {
    bench.typed(keys);
}

fn frame(bench: &Bench) -> String {
    bench.shoot(80, 24, &Theme::none(true))
}

#[test]
fn every_state_at_every_size() {
    let mut start = Bench::new("serial:/dev/ttyUSB0", hinted());
    golden("first-moment", &start);
    start.read(2, "1.837");
    golden("start", &start);
    golden("hunt", &hunt());
    golden("busy", &busy());

    for (name, keys) in [
        ("linear", "g"),
        ("clock", "t"),
        ("stirring", "tt"),
        ("zoomed-in", "++++"),
        ("week", "----------"),
        ("far", "f"),
        ("keys", "?"),
        ("words", "??"),
        ("steps", "w"),
        ("marks", "k"),
        ("muted", "b"),
        ("ask-pull", "p"),
        ("ask-note", "n"),
        ("ask-late", "L"),
        ("ask-export", "e"),
    ] {
        let mut bench = busy();
        press(&mut bench, keys);
        golden(name, &bench);
    }

    for (name, keys) in [
        ("cursor", &[Key::Char('c'), Key::Left, Key::Left][..]),
        ("cursor-at-step", &[Key::Char('[')]),
        ("trial", &[Key::Tab]),
        ("ask-claim", &[Key::Char('w'), Key::Enter]),
        ("ask-rename", &[Key::Char('k'), Key::Enter]),
        ("ask-move", &[Key::Char('k'), Key::Char('m')]),
        ("ask-note-on", &[Key::Char('k'), Key::Char('n')]),
        ("ask-strike", &[Key::Backspace]),
        ("earlier", &[Key::PageUp]),
    ] {
        let mut bench = busy();
        bench.keys(&[Key::Char('-')]);
        bench.read(1000, "0.0280");
        bench.keys(&[Key::Char('+')]);
        bench.keys(keys);
        golden(name, &bench);
    }

    let mut lost = busy();
    lost.tell(Event::Link(LinkState::Lost("cable unplugged".into())));
    golden("meter-lost", &lost);
    press(&mut lost, "f");
    golden("far-meter-lost", &lost);

    let read_only = || Options {
        read_only: true,
        ..Options::default()
    };
    let mut follows = Bench::new("serial:x", read_only());
    follows.read(5, "1.7");
    press(&mut follows, "l");
    golden("read-only", &follows);

    let mut quit = Bench::new("serial:x", hinted());
    press(&mut quit, "q");
    golden("ask-quit", &quit);

    let mut manual = Bench::new("manual:", Options::default());
    manual.wait(60.0);
    press(&mut manual, "0.05");
    golden("ask-reading", &manual);
}

#[test]
fn the_limit_label_never_lies_over_the_trace() {
    let mut bench = hunt();
    // Far out on a linear axis, the trace runs along the row of the limit.
    press(&mut bench, "g---");
    for (columns, rows) in [(80, 24), (120, 40), (200, 60)] {
        let seen = bench.shoot(columns, rows, &Theme::none(true));
        let label = seen.lines().find(|row| row.contains("limit 50"));
        // The head names the limit too.
        let plot = seen.lines().skip(2).find(|row| row.contains("limit 50"));
        assert!(label.is_some());
        if let Some(row) = plot {
            assert!(row.contains(" limit 50 mA "), "{row}");
        }
    }
    let mut level = Bench::live();
    level.read(3000, "0.050");
    let seen = frame(&level);
    let row = seen.lines().skip(2).find(|row| row.contains("limit 50 mA"));
    assert!(
        row.is_none_or(|row| row.contains(" limit 50 mA ")),
        "{seen}"
    );
}

#[test]
fn one_reading_in_a_week_is_seen_on_every_axis() {
    let mut bench = Bench::live();
    bench.read(1, "0.023");
    let mut block = bench.blocks.blocks()[0];
    bench.blocks = Track::default();
    for t in 0..604_800_u32 {
        block.from = Moment::of(at(f64::from(t)));
        (block.min_a, block.max_a) = (0.023, if t == 300_001 { 3.6 } else { 0.023 });
        bench.blocks.push(block);
    }
    bench.wait(604_799.0);
    bench.tell(Event::Tick);
    press(&mut bench, "----------");
    for theme in [Theme::none(true), Theme::none(false)] {
        let high = |seen: &str| {
            let rows: Vec<&str> = seen.lines().collect();
            let at = |label: &str| rows.iter().position(|row| row.starts_with(label)).unwrap();
            let (ten, hundred) = (at("  10 A"), at("100 mA"));
            rows[ten + 1..hundred]
                .iter()
                .filter(|row| row.chars().skip(8).any(|c| !matches!(c, ' ' | '┊' | ':')))
                .count()
        };
        let seen = bench.shoot(80, 24, &theme);
        assert!(high(&seen) >= 2, "{seen}");
    }
}

#[test]
fn the_cursor_reads_time_current_phase_and_mark() {
    let mut bench = busy();
    bench.keys(&[
        Key::Char('['),
        Key::Char('['),
        Key::Char('['),
        Key::Char('['),
    ]);
    assert!(
        frame(&bench).contains("cursor 0:15:00  08:15:00  74.0 mA  settled  pull L6"),
        "{}",
        frame(&bench)
    );
    bench.keys(&[Key::Char(']')]);
    let seen = frame(&bench);
    assert!(
        seen.contains("cursor 0:16:31  08:16:31  74.0 mA to 1.13 A"),
        "{seen}"
    );
    bench.keys(&[Key::Esc]);
    assert!(!frame(&bench).contains("cursor 0:"));
    // Into the gap.
    bench.keys(&[Key::Char('c')]);
    while bench.model.view().cursor.is_some_and(|t| t > at(1180.0)) {
        bench.keys(&[Key::Left]);
    }
    assert!(
        frame(&bench).contains("nothing was measured"),
        "{}",
        frame(&bench)
    );
}

#[test]
fn wakes_are_shaded_and_the_time_out_has_a_line() {
    let seen = frame(&busy());
    assert!(seen.contains('░') && seen.contains("time-out"), "{seen}");
    let ascii = busy().shoot(80, 24, &Theme::none(false));
    assert!(ascii.contains("time-out!"), "{ascii}");
}

#[test]
fn the_time_axis_counts_the_day_and_from_the_last_stirring() {
    let mut bench = busy();
    press(&mut bench, "t");
    assert!(frame(&bench).contains("08:10"), "{}", frame(&bench));
    press(&mut bench, "t");
    assert!(frame(&bench).contains("+20 min"), "{}", frame(&bench));
    press(&mut bench, "t");
    assert!(frame(&bench).contains("10 min"), "{}", frame(&bench));
    assert_eq!(bench.model.view().time, TimeAxis::Elapsed);
}

#[test]
fn a_step_nobody_marked_is_claimed_at_its_own_time() {
    let mut bench = busy();
    press(&mut bench, "w");
    assert!(
        frame(&bench).contains("a fall of 46.0 mA"),
        "{}",
        frame(&bench)
    );
    bench.keys(&[Key::Enter]);
    // Enter alone credits nobody.
    bench.keys(&[Key::Enter]);
    bench.typed("D9");
    assert!(
        frame(&bench).contains("Enter records: pull D9, at 0:21:21"),
        "{}",
        frame(&bench)
    );
    bench.keys(&[Key::Enter]);
    let placed = bench.model.session().last_noted().unwrap();
    assert_eq!(placed.mark.to_string(), "pull D9");
    assert_eq!(placed.at(), at(1281.0));
    assert_eq!(placed.mark.at, Some(at(1281.0)));
}

#[test]
fn a_mark_is_moved_renamed_and_struck_and_the_journal_keeps_all() {
    let mut bench = busy();
    let before = bench.recorded.len();
    // Newest first: pull L6, pull L5, lock.
    bench.keys(&[Key::Char('k'), Key::Down, Key::Char('m')]);
    assert!(
        frame(&bench).contains("MOVE 'pull L5' of 0:11:40"),
        "{}",
        frame(&bench)
    );
    bench.keys(&[Key::Enter]);
    let moved: Vec<_> = bench.recorded[before..]
        .iter()
        .map(|entry| &entry.fact)
        .collect();
    assert!(matches!(moved[0], Fact::Strike(MarkId(2))));
    assert!(
        matches!(moved[1], Fact::Mark(mark) if mark.to_string() == "pull L5" && mark.at == Some(at(701.0)))
    );

    bench.keys(&[Key::Char('k'), Key::Char('k'), Key::Enter]);
    for _ in 0.."pull L6".len() {
        bench.keys(&[Key::Backspace]);
    }
    bench.typed("unplug washer pump");
    bench.keys(&[Key::Enter]);
    let last = bench.model.session().last_noted().unwrap();
    assert_eq!(last.mark.to_string(), "unplug washer pump");
    assert_eq!(last.at(), at(900.0));

    bench.keys(&[Key::Char('k'), Key::Char('k'), Key::End]);
    let rows = bench.model.session().all_marks().len();
    for _ in 0..rows {
        bench.keys(&[Key::Down]);
    }
    bench.keys(&[Key::Backspace]);
    assert!(
        frame(&bench).contains("STRIKE 'lock' of 0:00:30?"),
        "{}",
        frame(&bench)
    );
    bench.keys(&[Key::Char('y')]);
    let standing: Vec<String> = bench
        .model
        .session()
        .marks()
        .map(|placed| placed.mark.to_string())
        .collect();
    assert_eq!(standing, ["pull L5", "unplug washer pump"]);
    assert_eq!(bench.model.session().all_marks().len(), 5);
    // A struck one cannot be changed again.
    bench.keys(&[Key::Enter]);
    assert!(bench.model.prompt().is_none());
}

#[test]
fn the_far_view_says_what_is_wrong_and_questions_lie_over_it() {
    let mut bench = busy();
    press(&mut bench, "f");
    let seen = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        seen.contains("████") && !seen.contains("limit 50 mA (usual"),
        "{seen}"
    );
    press(&mut bench, "p");
    assert!(frame(&bench).contains("PULL which fuse?"));
    bench.keys(&[Key::Esc]);
    bench.tell(Event::Link(LinkState::Lost("cable unplugged".into())));
    assert!(frame(&bench).contains("METER LOST"));
    bench.keys(&[Key::Esc]);
    assert!(!bench.model.view().far);
}

#[test]
fn each_sound_can_be_turned_off_and_one_key_mutes_all() {
    let lost = || Event::Link(LinkState::Lost("gone".into()));
    let back = || Event::Link(LinkState::Receiving("x".into()));
    let quiet = Options {
        habits: Habits {
            sounds: Sounds {
                meter_lost: false,
                ..Sounds::default()
            },
            ..Habits::default()
        },
        ..Options::default()
    };
    let mut bench = Bench::new("serial:x", quiet);
    bench.tell(lost());
    bench.tell(back());
    bench.judge(|judgement| judgement.now.phase = Phase::Settled);
    bench.read(2, "0.05");
    assert_eq!(bench.bells, [Bell::Settled]);

    let mut muted = Bench::live();
    press(&mut muted, "b");
    assert!(frame(&muted).contains("muted"));
    muted.tell(lost());
    muted.tell(back());
    press(&mut muted, "b");
    muted.tell(lost());
    assert_eq!(muted.bells, [Bell::MeterLost]);
}

#[test]
fn a_pull_seen_rings_once_whether_it_was_marked_or_not() {
    let mut bench = busy();
    let seen = |bench: &Bench| {
        bench
            .bells
            .iter()
            .filter(|bell| **bell == Bell::PullSeen)
            .count()
    };
    // The pull of L5 and the step that nobody marked came in one judgement.
    assert_eq!(seen(&bench), 1);
    bench.judge(|judgement| {
        judgement.steps[3].mark = Some(MarkId(3));
        judgement.unclaimed.clear();
    });
    bench.read(3, "0.0280");
    assert_eq!(seen(&bench), 1, "claimed afterwards is not seen again");
}

#[test]
fn the_finding_goes_to_the_clipboard() {
    let mut bench = busy();
    bench.keys(&[Key::Tab, Key::Tab, Key::Char('y')]);
    let copied = bench.other.iter().find_map(|effect| match effect {
        Effect::Copy(text) => Some(text.clone()),
        _ => None,
    });
    let copied = copied.unwrap();
    assert!(
        copied.contains("0:11:40 pull L5: lowers (-240.0 mA ± 1.8 mA, at once): a load of its own"),
        "{copied}"
    );
    assert!(
        copied.contains("verdict: above (settled at 74.0 mA ± 1.2 mA, limit 50 mA)"),
        "{copied}"
    );
}

#[test]
fn the_mouse_is_off_until_asked_for_and_a_click_puts_the_cursor() {
    let mut bench = busy();
    assert!(!bench.model.view().mouse);
    press(&mut bench, "M");
    assert!(bench.other.contains(&Effect::Mouse(true)));
    let scene = Scene::with(&bench.model, &bench.blocks, 80, 24);
    let plot = scene.areas.plot;
    assert_eq!(scene.under(3, plot.y + 1), None, "beside the plot");
    assert_eq!(scene.under(40, plot.y - 1), None, "above it");
    // The window moves on while the finger comes down: the click means the frame that was seen.
    bench.read(600, "0.074");
    bench.tell(scene.under(8 + 36, plot.y + 1).unwrap());
    let cursor = bench.model.view().cursor.unwrap();
    let share = scene.plot.window.share(cursor);
    assert!((share - 36.5 / 72.0).abs() < 1e-3, "{share}");
    let span_s = bench.model.view().span_s();
    bench.tell(Event::Wheel { up: true });
    assert!(bench.model.view().span_s() < span_s);
}

#[test]
fn the_board_begins_as_the_settings_say() {
    let habits = Habits {
        scale: Scale::Linear,
        time: TimeAxis::Clock,
        units: Units::Milli,
        ..Habits::default()
    };
    let mut bench = Bench::new(
        "serial:x",
        Options {
            habits,
            ..Options::default()
        },
    );
    bench.read(5, "1.837");
    let seen = bench.shoot(20, 3, &Theme::none(true));
    assert!(seen.contains("1837 mA"), "{seen}");
    assert!(frame(&bench).contains("linear"), "{}", frame(&bench));
    assert!(frame(&bench).contains("08:10"), "{}", frame(&bench));
}

#[test]
fn another_key_is_on_footer_and_help() {
    let mut habits = Habits::default();
    habits.keys.bind("lock", &["Q"]).unwrap();
    let mut bench = Bench::new(
        "serial:x",
        Options {
            habits,
            ..Options::default()
        },
    );
    assert!(frame(&bench).contains("Q lock"), "{}", frame(&bench));
    press(&mut bench, "l");
    assert_eq!(bench.marks(), Vec::<String>::new());
    press(&mut bench, "Q");
    assert_eq!(bench.marks(), ["lock"]);
}

#[test]
fn every_state_is_drawn_at_every_size_without_a_panic() {
    let sizes = (1..=12)
        .flat_map(|columns| (1..=8).map(move |rows| (columns * 7, rows * 3)))
        .chain([(500, 150), (1000, 3), (2, 400), (65_535, 1)]);
    let sizes: Vec<(u16, u16)> = sizes.collect();
    for keys in [
        "w", "k", "x", "d", "v", "j", "???", "a", "f", "c", "??", "[", "tt", "g---",
    ] {
        let mut bench = busy();
        press(&mut bench, keys);
        for (columns, rows) in &sizes {
            for theme in [Theme::light(true), Theme::none(false)] {
                let frame = bench.shoot(*columns, *rows, &theme);
                assert_eq!(frame.lines().count(), usize::from(*rows), "{keys}");
            }
        }
    }
}

#[test]
fn wide_characters_keep_the_columns() {
    let mut bench = hunt();
    press(&mut bench, "p");
    bench.typed("車載器");
    bench.keys(&[Key::Enter, Key::Char('k')]);
    let buffer = bench.buffer(80, 24, &Theme::none(true));
    let right = (0..24)
        .filter(|y| buffer[(79_u16, *y)].symbol() == "│")
        .count();
    let left = (0..24)
        .filter(|y| buffer[(0_u16, *y)].symbol() == "│")
        .count();
    assert_eq!(left, right, "a wide label must not push the frame out");
}

#[test]
fn a_desk_that_goes_on_starts_where_the_record_stopped() {
    let mut bench = hunt();
    bench.read(1, "0.074");
    let model = Model::with(bench.model.session().clone(), Options::default());
    assert_eq!(model.now(), bench.model.session().last_t());
    assert!(model.now() > Elapsed::ZERO);
}

#[test]
fn on_a_real_car_the_hints_are_off_until_asked_for_and_then_tick_off() {
    let led = || Options {
        hint: Some(Box::new(|session, judgement| {
            lullboard::rehearsal::lead(session, judgement).map(|hint| hint.text)
        })),
        hints: false,
        ..Options::default()
    };
    let mut bench = Bench::new("serial:x", led());
    bench.keys(&[Key::Esc, Key::Esc]);
    bench.read(2, "1.837");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(!frame.contains("Next:"), "{frame}");
    // Without hints a note is only a note.
    bench.keys(&[Key::Char('n')]);
    assert_eq!(bench.model.prompt().unwrap().offer(), None);
    bench.keys(&[Key::Esc, Key::Char('h')]);
    golden("ticks", &bench);
    bench.keys(&[Key::Char('n')]);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        frame.contains("[before the lock: battery tested]"),
        "{frame}"
    );
    bench.keys(&[Key::Enter]);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("Charger off"), "{frame}");
    for _ in 0..4 {
        bench.keys(&[Key::Char('n'), Key::Enter]);
    }
    assert_eq!(bench.marks().len(), 5);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("Next: Press l to lock"), "{frame}");
}
