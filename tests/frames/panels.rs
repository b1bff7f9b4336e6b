//! The panels over the board: what they show, and what their keys do to the session.

use lullboard::desk::Options;
use lullboard::desk::effect::{Bell, Effect};
use lullboard::desk::message::{Event, Key, LinkState};
use lullboard::fuse::map;
use lullboard::judge::contradiction::Contradiction;
use lullboard::judge::finding::{LevelStep, Unclaimed};
use lullboard::judge::plan::reason::PlanReason;
use lullboard::judge::plan::{Candidate, Plan};
use lullboard::judge::reason::VerdictReason;
use lullboard::judge::remedy::Remedy;
use lullboard::judge::stop::Stop;
use lullboard::reading::Elapsed;
use lullboard::screen::{Scene, Theme};
use lullboard::session::card::Card;
use lullboard::session::mark::Did;

use crate::bench::{Bench, golden, hunted};

const MAP: &str = "box,position,rating_a,style,feeds\n\
    L,2,7.5,mini,interior lamps\nL,3,10,mini,instrument cluster\nL,4,15,mini,washer pump\n\
    L,5,20,mini,amplifier; rear lamps\nL,6,5,mini,diagnostic socket\nL,7,25,mini,sunroof control\n\
    L,8,30,mini,parking-aid module\nL,9,10,mini,airbag control\nE,2,15,blade,fuel pump\n\
    E,3,30,blade,cooling fan\nE,4,40,maxi,anti-lock brakes\nE,5,2,micro2,emergency call unit\n";

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
            next: vec!["L8".into(), "L2".into()],
            reason: PlanReason::Likely {
                taken: 2,
                open: 10,
                p: 0.46,
                one_by_one: false,
                found_a: 0.24,
            },
            minutes_left: 12.4,
            rest: [("L8", 0.28), ("L2", 0.18), ("L9", 0.02)]
                .map(|(label, p)| Candidate {
                    what: vec![label.into()],
                    p,
                })
                .to_vec(),
            parts: vec!["amplifier".into(), "rear lamps".into()],
            cautions: Vec::new(),
        });
    });
    bench.read(2, "0.0740");
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
    press(&mut bench, "l5");
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
            .find(|(_, line)| line.contains("E2 "))
            .unwrap();
        let byte = line.find("E2 ").unwrap();
        let x = u16::try_from(line.get(..byte).unwrap().chars().count()).unwrap();
        assert_eq!(scene.under(x, y), Some(Event::Chosen(8)), "{frame}");
        assert_eq!(scene.under(x, 0), None, "above the panel");
    }
    bench.tell(Event::Chosen(8));
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("Enter records: pull E2, now"));
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
    // L3 and L9 have 10 A.
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
        small(&bench).contains("Enter records: pull L8+L2, now"),
        "{}",
        small(&bench)
    );
    bench.keys(&[Key::Esc, Key::Char('u')]);
    assert!(
        small(&bench).contains("Enter records: unplug amplifier, now"),
        "{}",
        small(&bench)
    );
    bench.keys(&[Key::Enter]);
    assert_eq!(bench.marks().last().unwrap(), "unplug amplifier");

    let mut none = Bench::live();
    press(&mut none, "d");
    assert!(small(&none).contains("No plan yet."), "{}", small(&none));
    none.judge(|judgement| judgement.stop = Some(Stop::Overnight { more_s: 9000.0 }));
    none.read(1, "0.0200");
    let left = small(&none);
    assert!(
        left.contains("Leave it recording overnight: what is left"),
        "{left}"
    );
    assert!(!left.contains("No plan yet."), "{left}");
    let narrow = bench.shoot(40, 12, &Theme::none(true));
    assert!(
        narrow.contains("to row "),
        "a small screen says that there is more: {narrow}"
    );
}

#[test]
fn a_plan_of_long_steps_says_that_nobody_has_to_wait() {
    let mut bench = mapped();
    let left = ["L8", "L2"].map(str::to_owned).to_vec();
    bench.judge(|judgement| {
        judgement.stop = Some(Stop::Stuck {
            left,
            each_s: 4800.0,
        });
    });
    bench.read(2, "0.0740");
    press(&mut bench, "d");
    golden("plan-stop", &bench);
    assert!(
        small(&bench).contains("Only L8, L2 are left"),
        "{}",
        small(&bench)
    );
}

#[test]
fn a_plan_that_waits_or_is_on_its_way_is_not_offered() {
    let mut bench = mapped();
    bench.judge(|judgement| {
        let plan = judgement.plan.as_mut().unwrap();
        plan.did = None;
        plan.reason = PlanReason::Pending {
            what: vec!["L6".into()],
        };
    });
    bench.read(2, "0.0740");
    assert!(small(&bench).contains("Next: L6 not judged yet"));
    press(&mut bench, "p");
    // The position after the last pull.
    assert!(small(&bench).contains("Enter records: pull L7"));
    bench.keys(&[Key::Esc]);
    bench.judge(|judgement| judgement.plan.as_mut().unwrap().did = Some(Did::Pull));
    bench.read(2, "0.0740");
    bench.holding = true;
    bench.keys(&[Key::Char('p'), Key::Enter, Key::Char('p')]);
    assert!(
        !small(&bench).contains("pull L8+L2, now"),
        "{}",
        small(&bench)
    );
}

#[test]
fn a_sweep_walks_the_map_and_says_what_each_fuse_carries() {
    let mut bench = mapped();
    press(&mut bench, "xl2v");
    assert!(
        small(&bench).contains("L2 7.5 A mini: millivolts? 1 of 12"),
        "{}",
        small(&bench)
    );
    press(&mut bench, "0.0");
    bench.keys(&[Key::Enter]);
    press(&mut bench, "-0.5");
    golden("ask-millivolts", &bench);
    bench.keys(&[Key::Enter]);
    // L4 is skipped, L5 and L6 are out.
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("L7 25 A mini: millivolts? 6 of 12"));
    bench.keys(&[Key::Esc]);
    let drops: Vec<String> = bench
        .model
        .session()
        .drops()
        .iter()
        .map(|(_, drop)| format!("{} {} {:?}", drop.what, drop.mv, drop.step_mv))
        .collect();
    assert_eq!(drops, ["L2 0 Some(0.1)", "L3 -0.5 Some(0.1)"]);
    press(&mut bench, "xe5v0.3");
    assert!(small(&bench).contains("no table"), "{}", small(&bench));
    bench.keys(&[Key::Enter]);
    bench.judge(|_| {});
    let judged = lullboard::judge::sweep::sweep(
        bench.model.session(),
        bench.model.judgement().settled.as_ref(),
    );
    bench.judge(|judgement| judgement.sweep = judged);
    bench.read(2, "0.0740");
    // E5 is the last of the map: what is typed ahead stays text, and no key of the board.
    press(&mut bench, "gql");
    assert!(small(&bench).contains("> gql_"), "{}", small(&bench));
    assert_eq!(bench.model.view().scale, lullboard::desk::Scale::Log);
    bench.keys(&[Key::Ctrl('u'), Key::Enter]);
    assert!(bench.model.prompt().is_none());
    golden("sweep", &bench);
    press(&mut bench, "xl3");
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
    press(&mut bench, "E17 0.40 10A mini");
    bench.keys(&[Key::Enter]);
    assert!(small(&bench).contains("WHICH FUSE"), "the next one");
    bench.keys(&[Key::Enter]);
    assert!(bench.model.prompt().is_none());
    let (_, drop) = bench.model.session().drops().first().unwrap();
    assert_eq!((drop.what.as_str(), drop.rating_a), ("E17", Some(10.0)));
}

#[test]
fn falls_in_a_run_stay_open_until_somebody_says_whose_they_are() {
    let mut bench = mapped();
    press(&mut bench, "a");
    golden("ask-run", &bench);
    // L5 and L6 were tried, L9 is for licensed hands.
    assert!(small(&bench).contains("run L2+L3+L4+L7+L8+E2+E3+E4+E5"));
    press(&mut bench, "l2-l4");
    bench.keys(&[Key::Enter]);
    assert_eq!(bench.marks().last().unwrap(), "run L2+L3+L4");
    golden("run", &bench);
    let at = bench.now;
    bench.judge(|judgement| {
        judgement.unclaimed = vec![Unclaimed {
            t: at,
            from_a: 0.074,
            to_a: 0.061,
            among: vec!["L2".into(), "L3".into(), "L4".into()],
        }];
    });
    bench.read(3, "0.061");
    assert_eq!(
        bench.marks().last().unwrap(),
        "run L2+L3+L4",
        "none is credited"
    );
    assert!(small(&bench).contains("RUN: 3 fuses, 1 fall nobody named"));
    press(&mut bench, "w");
    golden("open-fall", &bench);
    bench.keys(&[Key::Enter]);
    assert!(
        small(&bench).contains("One of L2, L3, L4?"),
        "{}",
        small(&bench)
    );
    press(&mut bench, "l3");
    bench.keys(&[Key::Enter, Key::Esc]);
    assert_eq!(bench.marks().last().unwrap(), "pull L3");
    let placed = bench.model.session().last_noted().unwrap();
    assert_eq!(placed.mark.at, Some(at));
}

#[test]
fn a_run_that_is_broken_off_says_which_fuses_came_out() {
    let mut bench = mapped();
    press(&mut bench, "al2-l4");
    bench.keys(&[Key::Enter]);
    press(&mut bench, "a");
    assert!(small(&bench).contains("Enter ends the run: L2+L3+L4 came out"));
    press(&mut bench, "l2-l3");
    bench.keys(&[Key::Enter]);
    assert!(bench.model.run().is_none());
    let marks = bench.marks();
    assert_eq!(marks[marks.len() - 2..], ["run L2+L3", "run"]);
    let struck = bench.model.session().all_marks().iter();
    let struck: Vec<String> = struck
        .filter(|placed| placed.struck)
        .map(|placed| placed.mark.to_string())
        .collect();
    assert_eq!(struck, ["run L2+L3+L4"]);
    press(&mut bench, "al7");
    bench.keys(&[Key::Enter]);
    press(&mut bench, "anone");
    bench.keys(&[Key::Enter]);
    let last = bench.model.session().last_noted().unwrap();
    assert_eq!(last.mark.to_string(), "run", "the second is struck");
}

#[test]
fn a_called_run_wakes_rings_and_marks_by_the_clock() {
    let mut bench = mapped();
    press(&mut bench, "aL2-L4 every 20s");
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
    assert_eq!(bench.bells, [Bell::Called]);
    assert!(small(&bench).contains("RUN: L3 next, 1 of 3 called, called in 20 s"));
    let fall = LevelStep {
        t: began.plus_secs(57.0),
        from_a: 0.074,
        to_a: 0.061,
        in_gap: false,
        mark: None,
    };
    for _ in 0..5 {
        bench.wait(20.0);
        bench.judge(|judgement| judgement.steps = vec![fall]);
        bench.tell(Event::Tick);
    }
    assert!(bench.model.run().is_none());
    assert!(small(&bench).contains("The run is done: 3 of 3 called and marked."));
    let marks = bench.model.session().marks();
    let pulled: Vec<(String, f64)> = marks
        .filter(|placed| placed.mark.did == Did::Pull && placed.at() > began)
        .map(|placed| (placed.mark.to_string(), placed.at().secs_since(began)))
        .collect();
    let expected = [("pull L2", 30.0), ("pull L3", 57.0), ("pull L4", 70.0)];
    let expected = expected.map(|(mark, t_s)| (mark.to_owned(), t_s));
    assert_eq!(pulled, expected);
    assert_eq!(bench.marks().last().unwrap(), "run");
}

/// L5 was pulled before and is back in: this time it is pulled again.
#[test]
fn a_called_run_marks_a_fuse_that_was_tried_before() {
    let mut bench = mapped();
    press(&mut bench, "rL5");
    bench.keys(&[Key::Enter]);
    let pulls = |bench: &Bench| {
        let marks = bench.marks().into_iter();
        marks.filter(|mark| mark == "pull L5").count()
    };
    let before = pulls(&bench);
    press(&mut bench, "aL5+L2 every 20s");
    bench.keys(&[Key::Enter]);
    bench.wait(30.0);
    bench.tell(Event::Tick);
    // Broken off after one call: what was not reached is in its slot.
    press(&mut bench, "a");
    bench.keys(&[Key::Enter]);
    assert_eq!(pulls(&bench), before + 1);
    assert_eq!(bench.marks().last().unwrap(), "run");
    assert!(!bench.model.session().out_now().contains(&"L2"));
}

#[test]
fn a_finish_and_a_stretch_left_out_are_marks() {
    let mut bench = mapped();
    bench.wait(900.0);
    bench.read(3, "0.022");
    press(&mut bench, "X");
    golden("ask-leave-out", &bench);
    press(&mut bench, "@5m to @2m");
    let now = bench.now.ms();
    bench.keys(&[Key::Enter]);
    let mark = bench.model.session().last_noted().unwrap().mark.clone();
    let ends = [mark.from, mark.to].map(|t| t.unwrap().ms() / 1000);
    assert_eq!(ends, [now / 1000 - 300, now / 1000 - 120]);
    press(&mut bench, "F@3m");
    assert!(small(&bench).contains("Enter records: finish, 3 min ago"));
    bench.keys(&[Key::Enter]);
    assert_eq!(bench.marks().last().unwrap(), "finish");
    bench.judge(|judgement| judgement.by_hand.finished = Some(Elapsed::from_secs(600.0)));
    bench.read(3, "0.022");
    assert!(
        small(&bench).contains("Finished at 0:10:00: nothing after it counts"),
        "{}",
        small(&bench)
    );
}

#[test]
fn a_pull_of_a_restraint_or_of_what_calls_for_help_says_what_to_know_first() {
    let mut bench = mapped();
    press(&mut bench, "pl9");
    golden("ask-pull-restraint", &bench);
    assert!(small(&bench).contains("CAUTION: airbags and belt tensioners"));
    bench.keys(&[Key::Esc]);
    press(&mut bench, "pl4");
    assert!(!small(&bench).contains("CAUTION"), "{}", small(&bench));
    bench.keys(&[Key::Esc]);
    press(&mut bench, "uemergency call unit");
    assert!(small(&bench).contains("CAUTION: a siren with its own battery"));
    bench.keys(&[Key::Esc]);
    press(&mut bench, "sbattery");
    let battery = small(&bench);
    assert!(
        battery.contains("CAUTION: a battery with a sensor"),
        "{battery}"
    );
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
    assert!(first.contains("[Esc: read, 5 left]"), "{first}");
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
        judgement.reasons = vec![VerdictReason::TooClose {
            u_a: 0.004,
            remedy: Remedy::FinerRange { drop_v: 0.09 },
        }];
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
        judgement.contradictions = vec![Contradiction::TwoFuses {
            what: vec!["L5".into(), "L6".into()],
            together_a: 0.19,
        }];
        judgement.left_out = 3;
        judgement.sleep_took_s = Some(720.0);
        judgement.learned_timeout_s = Some(1080.0);
    });
    bench.read(2, "0.0740");
    assert!(
        small(&bench)
            .contains("Card: 1 contradiction; 3 readings left out; 18 min would do as its "),
        "{}",
        small(&bench)
    );
    press(&mut bench, "j");
    golden("card", &bench);
    // The second row is the time-out: what the car itself showed is what Enter takes.
    bench.keys(&[Key::Down, Key::Enter]);
    golden("ask-field", &bench);
    bench.keys(&[Key::Enter]);
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
    bench.read(5, "0.167");
    let plan = mapped().model.judgement().plan.clone();
    bench.judge(|judgement| {
        judgement.plan = plan;
        judgement.learned_timeout_s = Some(1080.0);
    });
    bench.read(2, "0.167");
    bench
}
