//! The panels over the board: what they show, and what their keys do to the session.

use lullboard::desk::Options;
use lullboard::desk::effect::{Bell, Effect};
use lullboard::desk::message::{Event, Key, LinkState};
use lullboard::fuse::map;
use lullboard::judge::finding::Step;
use lullboard::judge::plan::{Candidate, Plan};
use lullboard::screen::{Scene, Theme};
use lullboard::session::card::Card;
use lullboard::session::mark::Did;

use crate::bench::{Bench, golden, hunted};

const MAP: &str = "box,position,rating_a,style,feeds\n\
    B,1,7.5,mini,interior lamps\nB,2,10,mini,instrument cluster\nB,3,15,mini,horn\n\
    B,4,20,mini,radio; amplifier\nB,5,5,mini,diagnostic socket\nB,6,25,mini,seat heater left\n\
    B,7,30,mini,seat module\nB,8,10,mini,airbag control\nF,1,15,blade,fuel pump\n\
    F,2,30,blade,cooling fan\nF,3,40,maxi,anti-lock brakes\nF,4,2,micro2,alarm siren\n";

/// The hunt half done, in a car with a fuse map and a plan.
pub(crate) fn mapped() -> Bench {
    let card = Card {
        fuses: Some(map::read(MAP.as_bytes()).unwrap()),
        ..Card::default()
    };
    let mut bench = hunted(Bench::of("serial:x", Options::default(), card));
    bench.judge(|judgement| {
        judgement.plan = Some(Plan {
            did: Some(Did::Pull),
            next: vec!["B7".into(), "B1".into()],
            why: "270 mA found, more is missing: 2 of 10 candidates, 46 % likely to show it".into(),
            minutes_left: 12.4,
            rest: [("B7", 0.28), ("B1", 0.18), ("B8", 0.02)]
                .map(|(label, p)| Candidate {
                    what: vec![label.into()],
                    p,
                })
                .to_vec(),
            parts: vec!["radio".into(), "amplifier".into()],
            cautions: Vec::new(),
        });
    });
    bench.read(2, "0.0820");
    bench
}

fn press(bench: &mut Bench, text: &str) {
    bench.typed(text);
}

fn small(bench: &Bench) -> String {
    bench.shoot(80, 24, &Theme::none(true))
}

#[test]
fn the_fuse_map_shows_every_position_with_its_state() {
    let mut bench = mapped();
    press(&mut bench, "x");
    golden("fuses", &bench);
    press(&mut bench, "b4");
    golden("fuses-tried", &bench);
    let ascii = bench.shoot(80, 24, &Theme::none(false));
    assert!(ascii.is_ascii(), "{ascii}");
    let mut unmapped = hunted(Bench::live());
    press(&mut unmapped, "x");
    golden("fuses-unmapped", &unmapped);
}

#[test]
fn a_click_on_the_fuse_map_means_the_fuse_under_it() {
    let mut bench = mapped();
    press(&mut bench, "xM");
    for (columns, rows) in [(80, 24), (120, 40), (200, 60)] {
        let frame = bench.shoot(columns, rows, &Theme::none(true));
        let lines: Vec<&str> = frame.lines().collect();
        let scene = Scene::with(&bench.model, &bench.blocks, columns, rows);
        let (y, line) = (0u16..)
            .zip(&lines)
            .find(|(_, line)| line.contains("F1 "))
            .unwrap();
        let byte = line.find("F1 ").unwrap();
        let x = u16::try_from(line.get(..byte).unwrap().chars().count()).unwrap();
        assert_eq!(scene.chosen_at(x, y), Some(8), "{frame}");
        assert_eq!(scene.chosen_at(x, 0), None, "above the panel");
        assert_eq!(scene.moment_at(&bench.model, x, y), None);
    }
    bench.tell(Event::Chosen(8));
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("Enter records: pull F1, now"));
}

#[test]
fn the_ratings_stand_on_the_colours_of_their_fuses() {
    let mut bench = mapped();
    press(&mut bench, "x");
    let buffer = bench.buffer(80, 24, &Theme::dark(true));
    let painted: Vec<String> = buffer
        .content
        .chunks(80)
        .map(|row| {
            row.iter()
                .filter(|cell| cell.bg == ratatui::style::Color::Red)
                .map(ratatui::buffer::Cell::symbol)
                .collect()
        })
        .filter(|text: &String| !text.is_empty())
        .collect();
    // B2 and B8 have 10 A.
    assert_eq!(painted, ["  10 ", "  10 "]);
}

#[test]
fn the_plan_stands_on_the_board_and_its_page_says_why() {
    let mut bench = mapped();
    golden("plan-line", &bench);
    press(&mut bench, "d");
    golden("plan", &bench);
    bench.keys(&[Key::Enter]);
    assert!(
        small(&bench).contains("Enter records: pull B7+B1, now"),
        "{}",
        small(&bench)
    );
    bench.keys(&[Key::Esc, Key::Char('u')]);
    assert!(
        small(&bench).contains("Enter records: unplug radio, now"),
        "{}",
        small(&bench)
    );
    bench.keys(&[Key::Enter]);
    assert_eq!(bench.marks().last().unwrap(), "unplug radio");

    let mut none = Bench::live();
    press(&mut none, "d");
    assert!(small(&none).contains("No plan yet."), "{}", small(&none));
    let narrow = bench.shoot(40, 12, &Theme::none(true));
    assert!(
        narrow.contains("to row "),
        "a small screen says that there is more: {narrow}"
    );
}

#[test]
fn a_plan_that_waits_or_is_on_its_way_is_not_offered() {
    let mut bench = mapped();
    bench.judge(|judgement| {
        let plan = judgement.plan.as_mut().unwrap();
        plan.did = None;
        plan.why = "B5 not judged yet: let it settle".into();
    });
    bench.read(2, "0.0820");
    assert!(small(&bench).contains("Plan: B5 not judged yet"));
    press(&mut bench, "p");
    // The position after the last pull.
    assert!(small(&bench).contains("Enter records: pull B6"));
    bench.keys(&[Key::Esc]);
    bench.judge(|judgement| judgement.plan.as_mut().unwrap().did = Some(Did::Pull));
    bench.read(2, "0.0820");
    bench.holding = true;
    bench.keys(&[Key::Char('p'), Key::Enter, Key::Char('p')]);
    assert!(
        !small(&bench).contains("pull B7+B1, now"),
        "{}",
        small(&bench)
    );
}

#[test]
fn a_sweep_walks_the_map_and_says_what_each_fuse_carries() {
    let mut bench = mapped();
    press(&mut bench, "xb1v");
    assert!(
        small(&bench).contains("B1 7.5 A mini: millivolts? 1 of 12"),
        "{}",
        small(&bench)
    );
    press(&mut bench, "0.0");
    bench.keys(&[Key::Enter]);
    press(&mut bench, "-0.5");
    golden("ask-millivolts", &bench);
    bench.keys(&[Key::Enter]);
    // B3 is skipped, B4 and B5 are out.
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("B6 25 A mini: millivolts? 6 of 12"));
    bench.keys(&[Key::Esc]);
    let drops: Vec<String> = bench
        .model
        .session()
        .drops()
        .iter()
        .map(|(_, drop)| format!("{} {} {:?}", drop.what, drop.mv, drop.step_mv))
        .collect();
    assert_eq!(drops, ["B1 0 Some(0.1)", "B2 -0.5 Some(0.1)"]);
    press(&mut bench, "xf4v0.3");
    assert!(small(&bench).contains("no table"), "{}", small(&bench));
    bench.keys(&[Key::Enter]);
    bench.judge(|_| {});
    let judged = lullboard::judge::sweep::sweep(
        bench.model.session(),
        bench.model.judgement().settled.as_ref(),
    );
    bench.judge(|judgement| judgement.sweep = judged);
    bench.read(2, "0.0820");
    assert!(bench.model.prompt().is_none(), "F4 is the last of the map");
    golden("sweep", &bench);
    press(&mut bench, "xb2");
    assert!(
        small(&bench).contains("read -0.5 mV: "),
        "{}",
        small(&bench)
    );
}

#[test]
fn without_a_map_a_sweep_asks_for_the_labels() {
    let mut bench = Bench::live();
    press(&mut bench, "v");
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("WHICH FUSE"), "{}", small(&bench));
    press(&mut bench, "F7 0.40 10A mini");
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("WHICH FUSE"), "the next one");
    bench.keys(&[Key::Enter]);
    assert!(bench.model.prompt().is_none());
    let (_, drop) = bench.model.session().drops().first().unwrap();
    assert_eq!((drop.what.as_str(), drop.rating_a), ("F7", Some(10.0)));
}

#[test]
fn a_run_claims_each_fall_for_the_next_fuse() {
    let mut bench = mapped();
    press(&mut bench, "a");
    golden("ask-run", &bench);
    // B4 and B5 were tried, B8 is for licensed hands.
    assert!(small(&bench).contains("run: B1+B2+B3+B6+B7+F1+F2+F3+F4"));
    press(&mut bench, "b1-b3");
    bench.keys(&[Key::Enter]);
    assert_eq!(
        bench.marks().last().unwrap(),
        "note run: B1+B2+B3, each claimed at its step"
    );
    golden("run", &bench);
    let began = bench.now;
    let step = |t: f64, to_a: f64| Step {
        t: began.plus_secs(t),
        from_a: 0.082,
        to_a,
        in_gap: false,
        mark: None,
    };
    bench.bells.clear();
    bench.judge(|judgement| judgement.steps = vec![step(-5.0, 0.07), step(2.0, 0.07)]);
    bench.read(3, "0.070");
    assert_eq!(bench.marks().last().unwrap(), "pull B1");
    let placed = bench.model.session().last_noted().unwrap();
    assert_eq!(placed.mark.at, Some(began.plus_secs(2.0)));
    assert_eq!(
        bench.bells,
        [Bell::Claimed],
        "and no second sound for one step"
    );
    assert!(small(&bench).contains("RUN: B2 next, 1 of 3 pulled"));
    // A rise is no pull.
    bench.judge(|judgement| judgement.steps.push(step(4.0, 0.3)));
    bench.read(3, "0.070");
    assert!(small(&bench).contains("RUN: B2 next"));
    press(&mut bench, "a");
    assert!(
        small(&bench).contains("The run is ended: 1 of 3 pulled, B2 was next."),
        "{}",
        small(&bench)
    );
    bench.judge(|judgement| judgement.steps.push(step(8.0, 0.03)));
    bench.read(3, "0.030");
    assert_eq!(bench.marks().last().unwrap(), "pull B1", "the run is over");
}

#[test]
fn a_called_run_wakes_rings_and_marks_by_the_clock() {
    let mut bench = mapped();
    press(&mut bench, "aB1-B3 every 20s");
    bench.keys(&[Key::Enter]);
    bench.bells.clear();
    bench.other.clear();
    let began = bench.now;
    bench.tell(Event::Link(LinkState::Ended));
    bench.wait(5.0);
    bench.tell(Event::Tick);
    let due = began.plus_secs(30.0);
    assert!(
        bench.other.contains(&Effect::WakeAt(due)),
        "{:?}",
        bench.other
    );
    bench.wait(25.0);
    bench.tell(Event::Tick);
    assert_eq!(bench.marks().last().unwrap(), "pull B1");
    assert_eq!(bench.bells, [Bell::Called]);
    assert!(small(&bench).contains("RUN: B2 next, 1 of 3 pulled, called in 20 s"));
    // A lid that was shut for a minute: nobody heard a call meanwhile.
    bench.wait(60.0);
    bench.tell(Event::Tick);
    assert_eq!(bench.marks().last().unwrap(), "pull B2");
    let placed = bench.model.session().last_noted().unwrap();
    assert_eq!(placed.mark.at, Some(began.plus_secs(90.0)));
    bench.wait(20.0);
    bench.tell(Event::Tick);
    assert_eq!(bench.marks().last().unwrap(), "pull B3");
    assert!(bench.model.run().is_none());
    assert!(small(&bench).contains("The run is done: 3 of 3 pulled."));
}

#[test]
fn a_pull_of_a_restraint_or_an_alarm_says_what_to_know_first() {
    let mut bench = mapped();
    press(&mut bench, "pb8");
    golden("ask-pull-restraint", &bench);
    assert!(small(&bench).contains("CAUTION: airbags and belt tensioners"));
    bench.keys(&[Key::Esc]);
    press(&mut bench, "pb3");
    assert!(!small(&bench).contains("CAUTION"), "{}", small(&bench));
    bench.keys(&[Key::Esc]);
    press(&mut bench, "ualarm siren");
    assert!(small(&bench).contains("CAUTION: a siren with its own battery"));
}

#[test]
fn the_cautions_come_when_they_matter_and_each_until_it_is_read() {
    let card = Card {
        notes: Some("hybrid, 48 V".into()),
        ..Card::default()
    };
    let mut bench = Bench::of("serial:x", Options::default(), card);
    let first = small(&bench);
    assert!(
        first.contains("CAUTION: never let the supply go"),
        "{first}"
    );
    assert!(first.contains("[Esc: read, 4 left]"), "{first}");
    bench.keys(&[Key::Esc]);
    assert!(small(&bench).contains("never crank"), "{}", small(&bench));
    bench.keys(&[Key::Esc]);
    assert!(small(&bench).contains("orange cables"), "{}", small(&bench));
    // Work goes on: they have been read.
    press(&mut bench, "l");
    assert!(!small(&bench).contains("CAUTION"));
    press(&mut bench, "o");
    assert!(small(&bench).contains("CAUTION: bridge the meter first"));
    press(&mut bench, "l");
    // Once only.
    press(&mut bench, "o");
    assert!(!small(&bench).contains("CAUTION"));
    bench.judge(|judgement| {
        judgement.verdict_why = "one more digit would: the mA range would tell.".into();
    });
    bench.read(2, "0.0500");
    bench.read(2, "0.0500");
    assert!(small(&bench).contains("10 A jack"), "{}", small(&bench));
    bench.keys(&[Key::Esc, Key::Esc]);
    bench.read(2, "0.0500");
    assert!(!small(&bench).contains("CAUTION"), "once only");
}

#[test]
fn the_card_has_its_page_and_what_is_worth_a_look_its_line() {
    let card = Card {
        complaint: Some("flat after a weekend".into()),
        flat_after_s: Some(3.0 * 86_400.0),
        battery: Some("agm,70Ah,rc:120".parse().unwrap()),
        rest: Some("12.4V,4h,10C".parse().unwrap()),
        accuracy: Some("1.0%+3".parse().unwrap()),
        ..Card::default()
    };
    let mut bench = hunted(Bench::of("serial:x", Options::default(), card));
    assert!(!small(&bench).contains("Card: "), "{}", small(&bench));
    bench.judge(|judgement| {
        judgement.contradictions =
            vec!["B4 and B5 together changed less than B4 alone: pull B4 once more".into()];
        judgement.left_out = 3;
        judgement.sleep_took_s = Some(720.0);
        judgement.learned_timeout_s = Some(1080.0);
    });
    bench.read(2, "0.0820");
    assert!(
        small(&bench).contains("Card: 1 contradiction; 3 readings left out; this car's own time-"),
        "{}",
        small(&bench)
    );
    press(&mut bench, "j");
    golden("card", &bench);
    bench.keys(&[Key::Enter]);
    assert!(
        small(&bench).contains("SET the sleep time-out to 18 min, as this car showed?"),
        "{}",
        small(&bench)
    );
    bench.keys(&[Key::Char('y')]);
    let card = bench.model.session().card();
    assert_eq!(card.sleep_timeout_s, Some(1080.0));
    assert_eq!(card.complaint.as_deref(), Some("flat after a weekend"));
}

#[test]
fn a_second_screen_reads_every_page_and_records_nothing() {
    let options = Options {
        read_only: true,
        ..Options::default()
    };
    let mut bench = hunted_elsewhere(options);
    for keys in ["x", "d", "v", "j"] {
        press(&mut bench, keys);
        bench.keys(&[Key::Enter]);
        assert!(bench.model.prompt().is_none(), "{keys}");
        bench.keys(&[Key::Esc]);
    }
    press(&mut bench, "a");
    assert!(bench.model.prompt().is_none());
    assert!(bench.recorded.is_empty());
}

/// A map and a plan on a screen that only looks on.
fn hunted_elsewhere(options: Options) -> Bench {
    let card = Card {
        fuses: Some(map::read(MAP.as_bytes()).unwrap()),
        ..Card::default()
    };
    let mut bench = Bench::of("serial:x", options, card);
    bench.read(5, "0.182");
    let plan = mapped().model.judgement().plan.clone();
    bench.judge(|judgement| {
        judgement.plan = plan;
        judgement.learned_timeout_s = Some(1080.0);
    });
    bench.read(2, "0.182");
    bench
}
