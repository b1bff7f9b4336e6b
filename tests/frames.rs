//! The board as it is seen: a script of readings, keys, waits and `shoot` on a clock moved by
//! hand, with the expected frame beside it.
//!
//! The judgements are made by hand here, so that a frame fails for its looks only; what is judged
//! is tested in the `judge` room.

#![expect(
    clippy::unwrap_used,
    clippy::wildcard_enum_match_arm,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use lullboard::desk::Options;
use lullboard::desk::effect::{Bell, Effect};
use lullboard::desk::message::{Event, Key, LinkState};
use lullboard::judge::finding::{Finding, Phase};
use lullboard::reading::{Amps, Measured, Reading};
use lullboard::screen::role::Role;
use lullboard::screen::{Picture, Scene, Theme};
use lullboard::session::entry::{Entry, Fact, MeterEvent};
use lullboard::session::mark::MarkId;
use lullboard::signal::track::{Moment, Reads};
use ratatui::style::Color;

use bench::{Bench, at, hinted, hunt, same, text};

#[path = "frames/bench.rs"]
mod bench;
#[path = "frames/by_eye.rs"]
mod by_eye;
#[path = "frames/panels.rs"]
mod panels;
#[path = "frames/start_card.rs"]
mod start_card;
#[path = "frames/states.rs"]
mod states;
#[path = "frames/wakes.rs"]
mod wakes;

#[test]
fn the_start_says_what_to_beware_of() {
    let mut bench = Bench::new("serial:/dev/ttyUSB0", hinted());
    bench.read(2, "1.837");
    same(
        &bench.shoot(80, 24, &Theme::dark(true)),
        r"
lullboard  job 12                   receiving from serial:/dev/ttyUSB0   0:00:02
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)
 ██    ████ ████ ████     ██    BLIND  for 2 s
  █    █  █    █    █    █  █   no reading yet
  █    ████  ███   █     ████   not settled
  █    █  █    █  █      █  █
 ███ █ ████ ████  █      █  █
  10 A ┤
        ⡀
   1 A ┤

100 mA ┤
        ── limit 50 mA ─────────────────────────────────────────────────────────
 10 mA ┤
 phase
    log 0 min                   10 min                  20 min            30 min
  time    trial         before    after   change              finding
    none yet: lock, wait until it settles, then pull a fuse and mark it (p)
CAUTION: never let the supply go: bridge the gap before the cable is lifted, or
the modules start anew and the wait with them (the maker's procedure goes first)
[Esc: read, 2 left]
Next: close the doors, take the key away, lock the car (l)
l lock  o unlock  p pull  r refit  u unplug  i plug in  s swap  z zero  n note
Bksp strike  k marks  w steps  x fuses  d plan  Tab why  f far  ? help  q quit
",
    );
    bench.keys(&[Key::Esc, Key::Esc, Key::Char('h')]);
    let frame = bench.shoot(80, 24, &Theme::dark(true));
    assert!(
        !frame.contains("CAUTION") && !frame.contains("Next:"),
        "{frame}"
    );
}

#[test]
fn a_hunt_on_a_small_screen() {
    same(
        &hunt().shoot(80, 24, &Theme::dark(true)),
        r"
lullboard  job 12                   receiving from serial:/dev/ttyUSB0   0:15:30
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)     out: L5+L6
████ █  █   ████           ██    SETTLED  for 10 min
   █ █  █   █  █    ████  █  █   74.0 mA, at rest for 3 min 20 s: not above the
  █  ████   █  █    █ █ █ ████   settled level before
 █      █   █  █    █ █ █ █  █   ABOVE THE LIMIT  settled at 74.0 mA ± 1.2 mA
 █      █ █ ████    █ █ █ █  █   sleep time-out runs in 30:00
         lock                       pull L5 pull L6
  10 A ┤ ┊                          ┊       ┊
        ⠒⡆                          ┊       ┊
         ⠧⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⡄               ┊       ┊
   1 A ┤ ┊          ⡇               ┊       ┊
         ┊          ⠧⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⡄       ┊
100 mA ┤ ┊                          ⡇       ┊
        ── limit 50 mA ─────────────⠓⠒⠒⠒⠒⠒⠒⠒⠒⠂──────────────────────────────────
         ┊                          ┊       ┊
 10 mA ┤ ┊                          ┊       ┊
 phase  Aplateau====settled___________________
    log 0 min                   10 min                  20 min            30 min
  time    trial         before    after   change              finding
  0:11:40 pull L5     314.0 mA → 74.0 mA  -240.0 mA ± 1.8 mA  lowers at once
  0:15:00 pull L6       first look only   0 mA ± 4 mA         not yet
l lock  o unlock  p pull  r refit  u unplug  i plug in  s swap  z zero  n note
Bksp strike  k marks  w steps  x fuses  d plan  Tab why  f far  ? help  q quit
",
    );
}

#[test]
fn a_hunt_in_ascii_with_a_trial_selected() {
    let mut bench = hunt();
    bench.keys(&[Key::Tab, Key::Tab]);
    same(
        &bench.shoot(80, 24, &Theme::none(false)),
        r"
lullboard  job 12                   receiving from serial:/dev/ttyUSB0   0:15:30
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)     out: L5+L6
#### #  #   ####           ##    SETTLED  for 10 min
   # #  #   #  #    ####  #  #   74.0 mA, at rest for 3 min 20 s: not above the
  #  ####   #  #    # # # ####   settled level before
 #      #   #  #    # # # #  #   ABOVE THE LIMIT  settled at 74.0 mA +/- 1.2 mA
 #      # # ####    # # # #  #   sleep time-out runs in 30:00
         lock                       pull L5 pull L6
  10 A | :                          :       :
        *|                          :       :
   1 A | |**********|               :       :
         :          |               :       :
         :          |***************|       :
100 mA |-- limit 50 mA -------------|*********----------------------------------
         :                          :       :
 10 mA | :                          :       :
 phase  Aplateau====settled___________________
    log 0 min                   10 min                  20 min            30 min
  time    trial         before    after   change              finding
> 0:11:40 pull L5     314.0 mA -> 74.0 mA  -240.0 mA +/- 1.8 mA  lowers at once
  0:15:00 pull L6       first look only   0 mA +/- 4 mA         not yet
pull L5: a load of its own
l lock  o unlock  p pull  r refit  u unplug  i plug in  s swap  z zero  n note
Bksp strike  k marks  w steps  x fuses  d plan  Tab why  f far  ? help  q quit
",
    );
}

#[test]
fn a_hunt_on_a_middling_screen() {
    same(
        &hunt().shoot(120, 40, &Theme::dark(true)),
        r"
lullboard  job 12                                                           receiving from serial:/dev/ttyUSB0   0:15:30
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)                                             out: L5+L6
████████  ██    ██      ████████                      ████      SETTLED  for 10 min
      ██  ██    ██      ██    ██        ████████    ██    ██    74.0 mA, at rest for 3 min 20 s: not above the settled
    ██    ████████      ██    ██        ██  ██  ██  ████████    level before
  ██            ██      ██    ██        ██  ██  ██  ██    ██    ABOVE THE LIMIT  settled at 74.0 mA ± 1.2 mA
  ██            ██  ██  ████████        ██  ██  ██  ██    ██    sleep time-out runs in 30:00
         lock                                      pull L5      pull L6
  10 A ┤ ┊                                         ┊            ┊
         ┊                                         ┊            ┊
         ┊                                         ┊            ┊
        ⠤⢤                                         ┊            ┊
         ⢸                                         ┊            ┊
         ⢸                                         ┊            ┊
         ⢸                                         ┊            ┊
         ⠈⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⢹                        ┊            ┊
   1 A ┤ ┊                ⢸                        ┊            ┊
         ┊                ⢸                        ┊            ┊
         ┊                ⢸                        ┊            ┊
         ┊                ⢸                        ┊            ┊
         ┊                ⠸⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⢤            ┊
         ┊                                         ⢸            ┊
         ┊                                         ⢸            ┊
         ┊                                         ⢸            ┊
100 mA ┤ ┊                                         ⢸            ┊
         ┊                                         ⠸⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤⠤
        ── limit 50 mA ─────────────────────────────────────────────────────────────────────────────────────────────────
         ┊                                         ┊            ┊
         ┊                                         ┊            ┊
         ┊                                         ┊            ┊
         ┊                                         ┊            ┊
         ┊                                         ┊            ┊
 10 mA ┤ ┊                                         ┊            ┊
 phase  Aplateau==========Fsettled________________________________
    log 0 min             5 min              10 min             15 min            20 min             25 min       30 min
  time    trial                            before    after   change              finding
  0:11:40 pull L5                        314.0 mA → 74.0 mA  -240.0 mA ± 1.8 mA  lowers at once
  0:15:00 pull L6                          first look only   0 mA ± 4 mA         not yet
l lock  o unlock  p pull  r refit  u unplug  i plug in  s swap  z zero  n note  Bksp strike  k marks  w steps  x fuses
d plan  Tab why  f far  ? help  q quit
",
    );
}

#[test]
fn a_hunt_on_a_large_screen_with_a_linear_axis() {
    let mut bench = hunt();
    bench.keys(&[Key::Char('g'), Key::Char('+')]);
    same(
        &bench.shoot(200, 60, &Theme::dark(true)),
        r"
lullboard  job 12                                                                                                                                           receiving from serial:/dev/ttyUSB0   0:15:30
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)                                                                                                                             out: L5+L6
████████████████    ████        ████            ████████████████                                            ████████          SETTLED  for 10 min
████████████████    ████        ████            ████████████████                                            ████████          74.0 mA, at rest for 3 min 20 s: not above the settled level before
            ████    ████        ████            ████        ████                ████████████████        ████        ████      ABOVE THE LIMIT  settled at 74.0 mA ± 1.2 mA
            ████    ████        ████            ████        ████                ████████████████        ████        ████      sleep time-out runs in 30:00
        ████        ████████████████            ████        ████                ████    ████    ████    ████████████████      surely above, with the meter's own error counted
        ████        ████████████████            ████        ████                ████    ████    ████    ████████████████
    ████                        ████            ████        ████                ████    ████    ████    ████        ████
    ████                        ████            ████        ████                ████    ████    ████    ████        ████
    ████                        ████    ████    ████████████████                ████    ████    ████    ████        ████
    ████                        ████    ████    ████████████████                ████    ████    ████    ████        ████

            lock                                                                                                        pull L5                         pull L6
   4 A ┤    ┊                                                                                                           ┊                               ┊
        ⠒⠒⠒⠒⢲                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
   3 A ┤    ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
   2 A ┤    ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⢸                                                                                                           ┊                               ┊
            ⠘⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⠒⡆                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
   1 A ┤    ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⡇                                                               ┊                               ┊
            ┊                                           ⣇⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⡀                               ┊
            ┊                                                                                                           ⡇                               ┊
            ┊                                                                                                           ⡇                               ┊
  0 mA ┤───── limit 50 mA ──────────────────────────────────────────────────────────────────────────────────────────────⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉⠉───────────────────────────────────────────
 phase  A###plateau=====================================F\\settled___________________________________________________________________________________________
 linear 0 min              2 min              4 min              6 min              8 min               10 min             12 min             14 min             16 min             18 min        20 min
  time    trial                            before    after   change              finding
  0:11:40 pull L5                        314.0 mA → 74.0 mA  -240.0 mA ± 1.8 mA  lowers at once
  0:15:00 pull L6                          first look only   0 mA ± 4 mA         not yet
l lock  o unlock  p pull  r refit  u unplug  i plug in  s swap  z zero  n note  Bksp strike  k marks  w steps  x fuses  d plan  Tab why  f far  ? help  q quit
",
    );
}

#[test]
fn the_question_names_what_enter_takes() {
    let mut bench = hunt();
    bench.keys(&[Key::Char('p')]);
    same(
        &bench.shoot(80, 24, &Theme::dark(true)),
        r"
lullboard  job 12                   receiving from serial:/dev/ttyUSB0   0:15:30
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)     out: L5+L6
████ █  █   ████           ██    SETTLED  for 10 min
   █ █  █   █  █    ████  █  █   74.0 mA, at rest for 3 min 20 s: not above the
  █  ████   █  █    █ █ █ ████   settled level before
 █      █   █  █    █ █ █ █  █   ABOVE THE LIMIT  settled at 74.0 mA ± 1.2 mA
 █      █ █ ████    █ █ █ █  █   sleep time-out runs in 30:00
         lock                       pull L5 pull L6
  10 A ┤ ┊                          ┊       ┊
    ┌──────────────────────────────────────────────────────────────────────┐
    │ PULL which fuse?                                                     │
   1│ > _  [L7]                                                            │
    │ Enter records: pull L7, now                                          │
    │ Esc records nothing                                                  │
100 └──────────────────────────────────────────────────────────────────────┘
        ── limit 50 mA ─────────────⠉⠉⠉⠉⠉⠉⠉⠉⠉⠁──────────────────────────────────
         ┊                          ┊       ┊
 10 mA ┤ ┊                          ┊       ┊
 phase  Aplateau====settled___________________
    log 0 min                   10 min                  20 min            30 min
  time    trial         before    after   change              finding
  0:11:40 pull L5     314.0 mA → 74.0 mA  -240.0 mA ± 1.8 mA  lowers at once
  0:15:00 pull L6       first look only   0 mA ± 4 mA         not yet
Enter takes it   Esc nothing
",
    );
}

#[test]
fn the_help_page_fits_a_small_screen() {
    let mut bench = hunt();
    bench.keys(&[Key::Char('?')]);
    same(
        &bench.shoot(80, 24, &Theme::dark(true)),
        r"
lullboard  job 12                   receiving from serial:/dev/ttyUSB0   0:15:30
limit 50 mA (usual figure)   sleep time-out 45 min (usual figure)     out: L5+L6
┌──────────────────────────────────────────────────────────────────────────────┐
│ KEYS   again for the words: ?                                                │
│          l locked the car                    Tab select a trial: its why     │
│          o unlocked, or opened a door      S-Tab select a newer trial        │
│          p pulled a fuse or relay              c cursor: reads the plot      │
│          r put it back                Left Right cursor or plot: move        │
│          u parted a connector                [ ] cursor to step, mark, wake  │
│          i joined it again             PgUp PgDn plot earlier, later         │
│          s fitted a new part                Home back to now                 │
│          z zeroed the clamp                  + - shorter or longer time      │
│          n write something down              g t axes: log, linear; clock    │
│        F X finish; leave a stretch out         f large: read from two metres │
│      L O Z lock, unlock, zero: late            b all sounds off or on        │
│       Bksp withdraw the last mark              y copy the finding            │
│          k list: move, rename, strike        T M colours; mouse on or off    │
│          w steps that nobody marked            h hints on or off             │
│          x fuse map: pull, refit             e G report; file elsewhere      │
│          d what to do next, and why            ? keys, words, cautions       │
│        v V fuse mV; battery's volts          Esc close page, clear caution   │
│          a announce a run, or end it           q quit (Ctrl-C too)           │
│        j W this job; the wakes             ^Z ^L pause; draw the screen anew │
└──────────────────────────────────────────────────────────────────────────────┘
",
    );
}

#[test]
fn a_lost_meter_is_said_in_words_and_no_old_value_stands_there_as_if_live() {
    let mut bench = hunt();
    bench.wait(5.0);
    bench.tell(Event::Link(LinkState::Lost("cable unplugged".into())));
    bench.tell(Event::Link(LinkState::Lost("cable unplugged".into())));
    assert_eq!(
        bench
            .bells
            .iter()
            .filter(|bell| **bell == Bell::MeterLost)
            .count(),
        1
    );
    bench.wait(40.0);
    bench.tell(Event::Tick);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    let banner = " METER LOST since 0:15:35: cable unplugged. Nothing is measured.";
    assert!(frame.contains(banner), "{frame}");
    assert!(!frame.contains("████"), "{frame}");
    assert!(frame.contains("was SETTLED when last heard of"), "{frame}");
    bench.tell(Event::Link(LinkState::Receiving(
        "serial:/dev/ttyUSB0".into(),
    )));
    bench.read(5, "0.0740");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        !frame.contains("METER LOST") && frame.contains("████"),
        "{frame}"
    );
    assert!(frame.contains('╌'), "a gap must show on the plot:\n{frame}");
}

#[test]
fn over_range_is_never_a_number() {
    let mut bench = hunt();
    bench.wait(1.0);
    let over = Reading {
        t: bench.now,
        value: Measured::Over,
    };
    bench.tell(Event::Appended(vec![Entry::reading(over)]));
    let frame = bench.shoot(20, 4, &Theme::none(true));
    assert!(frame.contains("OL   SETTLED"), "{frame}");
    let mut last = bench.blocks.blocks()[0];
    last.from = Moment::of(bench.now);
    last.reads = Reads::of(0).over(true);
    (last.min_a, last.max_a) = (f32::INFINITY, f32::NEG_INFINITY);
    bench.blocks.push(last);
    assert!(bench.shoot(80, 24, &Theme::none(true)).contains('▲'));
}

#[test]
fn a_frozen_display_is_named_until_it_is_live_again() {
    let mut bench = hunt();
    let held = |t, on| Entry {
        t,
        fact: Fact::Meter(MeterEvent::Held(on)),
    };
    bench.tell(Event::Appended(vec![held(bench.now, true)]));
    assert!(
        bench
            .shoot(80, 24, &Theme::none(true))
            .contains("THE METER IS ON HOLD: its display is frozen; release HOLD")
    );
    bench.tell(Event::Appended(vec![held(bench.now, false)]));
    assert!(
        !bench
            .shoot(80, 24, &Theme::none(true))
            .contains("THE METER IS ON HOLD: its display is frozen; release HOLD")
    );
}

#[test]
fn silence_is_told_although_no_message_comes() {
    let mut bench = Bench::live();
    bench.read(10, "0.061");
    bench.other.clear();
    bench.tell(Event::Tick);
    let Some(Effect::WakeAt(at)) = bench.other.first().cloned() else {
        panic!("a silent meter needs a deadline: {:?}", bench.other);
    };
    bench.now = at;
    bench.tell(Event::Tick);
    bench.wait(9.0);
    bench.tell(Event::Tick);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("METER: no data for 12 s."), "{frame}");
}

#[test]
fn a_record_that_nobody_watches_keeps_no_clock_and_is_judged_with_its_readings() {
    let mut bench = Bench::live();
    bench.model.leave_unattended();
    bench.read(10, "0.061");
    let last = bench.now;
    bench.other.clear();
    bench.tell(Event::Tick);
    assert_eq!(bench.other, [], "nothing is left to judge");
    let reading = Reading {
        t: last.plus_secs(0.4),
        value: Measured::Amps(Amps::parse("0.061").unwrap()),
    };
    bench.now = reading.t;
    bench.tell(Event::Appended(vec![Entry::reading(reading)]));
    let [Effect::WakeAt(at)] = bench.other.as_slice() else {
        panic!("should no other reading come: {:?}", bench.other);
    };
    assert!(
        at.secs_since(reading.t) >= 3.0,
        "the next readings ask for it first: {at:?}"
    );
    let (at, before) = (*at, *bench.judged.borrow());
    bench.now = at;
    bench.tell(Event::Tick);
    assert_eq!(*bench.judged.borrow(), before + 1);
}

#[test]
fn a_recorded_session_sleeps() {
    let mut bench = Bench::new(
        "replay:a.csv",
        Options {
            live: false,
            ..Options::default()
        },
    );
    bench.read(1, "0.061");
    bench.tell(Event::Tick);
    bench.wait(2.0);
    bench.tell(Event::Tick);
    bench.other.clear();
    bench.keys(&[Key::Char('g'), Key::Tab]);
    assert_eq!(bench.other, []);
    assert_eq!(bench.bells, []);
}

#[test]
fn unsaved_entries_show_under_a_banner_that_stays() {
    let mut bench = hunt();
    let reading = Reading {
        t: bench.now,
        value: Measured::Amps(Amps::parse("0.0911").unwrap()),
    };
    bench.tell(Event::Unsaved(
        vec![Entry::reading(reading)],
        "disk full".into(),
    ));
    bench.keys(&[Key::Esc, Key::Esc]);
    let frame = bench.shoot(80, 24, &Theme::none(false));
    assert!(
        frame.contains("NOT SAVED since 0:15:30: disk full. In memory alone: 1 entry."),
        "{frame}"
    );
    assert!(bench.shoot(20, 2, &Theme::none(false)).contains("91.1 mA"));
    bench.keys(&[Key::Char('?')]);
    assert!(
        bench
            .shoot(80, 24, &Theme::none(false))
            .contains("NOT SAVED")
    );
    bench.tell(Event::CaughtUp);
    assert!(
        !bench
            .shoot(80, 24, &Theme::none(false))
            .contains("NOT SAVED")
    );
}

#[test]
fn a_dead_worker_is_named() {
    let mut bench = hunt();
    bench.tell(Event::WorkerDied {
        name: "scribe".into(),
        why: "index out of range".into(),
    });
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        frame.contains("the scribe part of the program: index out of range"),
        "{frame}"
    );
}

#[test]
fn a_fuse_is_named_in_four_keystrokes() {
    let mut bench = Bench::live();
    bench.keys(&[Key::Char('p'), Key::Char('D'), Key::Char('4'), Key::Enter]);
    assert_eq!(bench.marks(), ["pull D4"]);
}

#[test]
fn enter_alone_takes_the_next_position_and_what_is_out() {
    let mut bench = Bench::live();
    bench.keys(&[Key::Char('p')]);
    bench.typed("E09");
    let enter = [Key::Enter];
    bench.keys(&enter);
    bench.keys(&[Key::Char('p'), Key::Enter]);
    bench.keys(&[Key::Char('r'), Key::Enter]);
    bench.keys(&[Key::Char('p'), Key::Enter]);
    bench.keys(&[Key::Char('r'), Key::Enter]);
    bench.keys(&[Key::Char('r'), Key::Enter]);
    bench.keys(&[Key::Char('u')]);
    bench.typed("amplifier");
    bench.keys(&enter);
    bench.keys(&[Key::Char('i'), Key::Enter]);
    assert_eq!(
        bench.marks(),
        [
            "pull E09",
            "pull E10",
            "refit E10",
            "pull E11",
            "refit E11",
            "refit E09",
            "unplug amplifier",
            "plug amplifier"
        ]
    );
    bench.keys(&[Key::Char('r'), Key::Enter]);
    assert_eq!(
        bench.marks().len(),
        8,
        "nothing is out: Enter alone must not invent a name"
    );
}

#[test]
fn a_group_goes_back_as_a_group() {
    let mut bench = Bench::live();
    bench.keys(&[Key::Char('p')]);
    bench.typed("D8+l2");
    bench.keys(&[Key::Enter, Key::Char('r'), Key::Enter, Key::Char('p')]);
    bench.typed("L2");
    bench.keys(&[Key::Enter]);
    assert_eq!(bench.marks(), ["pull D8+l2", "refit D8+l2", "pull l2"]);
}

#[test]
fn a_mark_shows_only_once_the_journal_holds_it() {
    let mut bench = Bench::live();
    bench.read(30, "2.3");
    bench.holding = true;
    bench.keys(&[Key::Char('p')]);
    bench.typed("D3");
    bench.keys(&[Key::Enter]);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    let said = "pull D3: being written to the disk";
    assert_eq!(frame.matches("pull D3").count(), 1, "{frame}");
    assert!(frame.contains(said), "nobody should press twice: {frame}");
    bench.keys(&[Key::Char('p'), Key::Enter]);
    let held = std::mem::take(&mut bench.held);
    let named: Vec<_> = held
        .iter()
        .map(|entry| match &entry.fact {
            Fact::Mark(mark) => (mark.id, mark.to_string()),
            other => panic!("{other:?}"),
        })
        .collect();
    let expected = [
        (MarkId(1), "pull D3".to_owned()),
        (MarkId(2), "pull D4".to_owned()),
    ];
    assert_eq!(
        named, expected,
        "a mark on its way holds its number and its place already"
    );
    bench.tell(Event::Appended(held));
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("pull D") && !frame.contains("being written"));
}

#[test]
fn a_late_mark_lies_where_the_thing_was_done() {
    let mut bench = Bench::live();
    bench.read(100, "1.9");
    bench.keys(&[Key::Char('L')]);
    bench.typed("40s");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("Enter records: lock, 40 s ago"), "{frame}");
    bench.keys(&[Key::Enter]);
    let placed = &bench.model.session().all_marks()[0];
    assert_eq!(placed.at(), at(60.0));
    assert_eq!(placed.noted, at(100.0));
    bench.keys(&[Key::Char('p')]);
    bench.typed("E6 @5m");
    bench.keys(&[Key::Enter]);
    assert!(
        bench.model.prompt().is_some(),
        "before the session began: refused"
    );
}

#[test]
fn a_strike_names_the_mark_and_asks() {
    let mut bench = hunt();
    bench.keys(&[Key::Backspace]);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("STRIKE 'pull L6' of 0:15:00?"), "{frame}");
    // Enter keeps what stands: it never does what the next key cannot undo.
    bench.keys(&[Key::Enter, Key::Backspace, Key::Char('q'), Key::Char('n')]);
    assert!(
        bench
            .model
            .session()
            .all_marks()
            .iter()
            .all(|placed| !placed.struck)
    );
    bench.keys(&[Key::Backspace, Key::Char('y')]);
    let struck: Vec<_> = bench
        .model
        .session()
        .all_marks()
        .iter()
        .filter(|placed| placed.struck)
        .collect();
    assert_eq!(struck.len(), 1);
    assert_eq!(struck[0].mark.to_string(), "pull L6");
}

#[test]
fn while_a_question_is_open_keys_are_only_text() {
    let mut bench = hunt();
    let marks = bench.marks().len();
    bench.keys(&[Key::Char('n')]);
    bench.typed("lock qz");
    bench.keys(&[Key::Tab, Key::Left, Key::Home, Key::End]);
    assert_eq!(bench.marks().len(), marks);
    assert!(!bench.other.contains(&Effect::Quit));
    assert_eq!(
        bench.model.prompt().map(|prompt| prompt.field.text()),
        Some("lock qz".into())
    );
    bench.tell(Event::Paste("\r\nx\u{1b}y".into()));
    bench.keys(&[Key::Enter]);
    assert_eq!(
        bench.marks().last().map(String::as_str),
        Some("note lock qzxy")
    );
}

#[test]
fn a_meter_read_by_eye_takes_typed_readings_with_their_places() {
    let mut bench = Bench::new("manual:", Options::default());
    bench.wait(60.0);
    bench.typed("0.0430");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("Enter records: 43.0 mA"), "{frame}");
    bench.keys(&[Key::Enter]);
    bench.wait(20.0);
    bench.keys(&[Key::Char('m')]);
    bench.typed("39m");
    bench.keys(&[Key::Enter]);
    let readings: Vec<_> = bench
        .recorded
        .iter()
        .map(|entry| match entry.fact {
            Fact::Reading(Measured::Amps(amps)) => (entry.t, amps.to_string()),
            ref other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(
        readings,
        [(at(60.0), "0.0430".into()), (at(80.0), "0.039".into())]
    );
    bench.wait(90.0);
    bench.tell(Event::Tick);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        frame.contains("typed 1 min 30 s ago") && !frame.contains("no data"),
        "{frame}"
    );
}

#[test]
fn unlocking_warns_once() {
    let mut bench = Bench::live();
    bench.keys(&[Key::Char('o')]);
    assert!(
        bench
            .shoot(80, 24, &Theme::none(true))
            .contains("CAUTION: bridge the meter first")
    );
    bench.keys(&[Key::Esc, Key::Char('o')]);
    assert!(
        !bench
            .shoot(80, 24, &Theme::none(true))
            .contains("CAUTION: bridge the meter first")
    );
    assert_eq!(bench.marks(), ["unlock", "unlock"]);
}

#[test]
fn quitting_asks_while_a_session_is_recorded() {
    let mut bench = Bench::new("serial:x", hinted());
    bench.keys(&[Key::Char('q')]);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        frame.contains("QUIT? job-12.lull is being recorded."),
        "{frame}"
    );
    bench.keys(&[Key::Esc]);
    assert!(!bench.other.contains(&Effect::Quit));
    bench.keys(&[Key::Ctrl('c'), Key::Char('y')]);
    assert!(bench.other.contains(&Effect::Quit));
    let mut free = Bench::live();
    free.keys(&[Key::Char('q')]);
    assert!(free.other.contains(&Effect::Quit));
    let mut ended = Bench::new("serial:x", hinted());
    ended.tell(Event::Terminate);
    assert!(ended.other.contains(&Effect::Quit));
}

#[test]
fn a_following_screen_refuses_marks() {
    let mut bench = Bench::new(
        "serial:x",
        Options {
            read_only: true,
            ..Options::default()
        },
    );
    bench.keys(&[Key::Char('l'), Key::Char('p'), Key::Backspace]);
    assert_eq!(bench.marks(), Vec::<String>::new());
    assert!(
        bench
            .shoot(80, 24, &Theme::none(true))
            .contains("only shows")
    );
}

#[test]
fn an_export_offers_a_name_and_reports_back() {
    let mut bench = hunt();
    bench.keys(&[Key::Char('e'), Key::Enter]);
    let export = |replace| Effect::Export {
        to: "session.html".into(),
        replace,
    };
    assert!(bench.other.contains(&export(false)));
    bench.tell(Event::Exported(Err(
        "session.html: permission denied".into()
    )));
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(
        frame.contains("Export failed: session.html: permission denied"),
        "{frame}"
    );
    // A file that stands there is replaced only when it is named once more.
    bench.tell(Event::ExportExists("session.html".into()));
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("session.html exists already"), "{frame}");
    bench.keys(&[Key::Char('e'), Key::Enter]);
    assert!(bench.other.contains(&export(true)));
}

#[test]
fn sounds_tell_settled_wake_and_finding() {
    let mut bench = Bench::live();
    bench.read(5, "2.6");
    bench.judge(|judgement| judgement.now.phase = Phase::Settled);
    bench.read(3, "0.05");
    bench.judge(|judgement| judgement.now.phase = Phase::Stirring);
    bench.read(3, "0.9");
    let mut other = hunt();
    other.judge(|judgement| judgement.trials[1].finding = Finding::NoChange);
    other.read(3, "0.074");
    assert_eq!(bench.bells, [Bell::Settled, Bell::Wake]);
    assert_eq!(other.bells.last(), Some(&Bell::Finding));
}

#[test]
fn readings_are_judged_once_a_second_and_the_last_of_them_too() {
    let mut bench = Bench::live();
    let before = *bench.judged.borrow();
    for n in 0..100 {
        bench.wait(0.1);
        let value = Measured::Amps(Amps::new(n, 3).unwrap());
        bench.tell(Event::Appended(vec![Entry::reading(Reading {
            t: bench.now,
            value,
        })]));
    }
    let judged = *bench.judged.borrow() - before;
    assert!(
        (9..=12).contains(&judged),
        "judged {judged} times in ten seconds"
    );
    bench.wait(1.0);
    bench.tell(Event::Tick);
    assert_eq!(bench.model.judgement().readings, 100);
}

#[test]
fn no_colour_means_none_and_the_ground_is_never_painted() {
    let mut bench = hunt();
    bench.tell(Event::Link(LinkState::Lost("gone".into())));
    for keys in [&[][..], &[Key::Char('p')], &[Key::Esc, Key::Char('?')]] {
        bench.keys(keys);
        let plain = bench.buffer(80, 24, &Theme::none(true));
        let dark = bench.buffer(80, 24, &Theme::dark(true));
        assert!(
            plain
                .content
                .iter()
                .all(|cell| cell.fg == Color::Reset && cell.bg == Color::Reset)
        );
        assert!(dark.content.iter().all(|cell| cell.bg == Color::Reset));
        assert!(dark.content.iter().any(|cell| cell.fg != Color::Reset));
        assert_eq!(text(&plain), text(&dark));
    }
}

#[test]
fn what_is_said_looks_like_what_it_means() {
    let bench = hunt();
    let theme = Theme::dark(true);
    let buffer = bench.buffer(80, 24, &theme);
    let role_at = |said: &str| {
        let frame = text(&buffer);
        let found = frame
            .lines()
            .zip(0..)
            .find_map(|(line, y)| Some((line.split_once(said)?.0.chars().count(), y)));
        let (x, y) = found.unwrap();
        buffer[(u16::try_from(x).unwrap(), y)].style()
    };
    let look = |role| ratatui::style::Style::reset().patch(theme.style(role));
    for (said, role) in [
        ("ABOVE THE LIMIT", Role::Bad),
        ("SETTLED", Role::Phase(Phase::Settled)),
        ("lowers at once", Role::Good),
        ("limit 50 mA ─", Role::Limit),
        ("l lock", Role::Key),
    ] {
        assert_eq!(role_at(said).fg, look(role).fg, "{said}");
    }
}

#[test]
fn ascii_means_ascii() {
    let mut bench = hunt();
    for keys in [&[][..], &[Key::Char('p')], &[Key::Esc, Key::Char('?')]] {
        bench.keys(keys);
        let frame = bench.shoot(120, 40, &Theme::none(false));
        assert!(frame.is_ascii(), "{frame}");
    }
}

#[test]
fn labels_cannot_harm_the_screen() {
    let mut bench = Bench::live();
    bench.read(20, "1.7");
    bench.tell(Event::Paste("ignored".into()));
    bench.keys(&[Key::Char('p')]);
    bench.typed("L\u{202e}4車");
    let asked = bench.shoot(80, 24, &Theme::none(true));
    bench.keys(&[Key::Enter]);
    let marked = bench.shoot(80, 24, &Theme::none(true));
    for frame in [asked, marked] {
        assert!(frame.contains("L?4車"), "{frame}");
        assert!(!frame.contains('\u{202e}'), "{frame}");
    }
}

#[test]
fn every_size_is_drawn_without_a_panic() {
    let mut bench = hunt();
    bench.keys(&[Key::Tab]);
    bench.tell(Event::Link(LinkState::Lost("gone".into())));
    let sizes = (1..=40)
        .flat_map(|columns| (1..=20).map(move |rows| (columns, rows)))
        .chain([(80, 24), (500, 150), (1000, 3), (2, 400), (65_535, 1)]);
    let sizes: Vec<(u16, u16)> = sizes.collect();
    for keys in [
        &[][..],
        &[Key::Char('p')],
        &[Key::Esc, Key::Char('?')],
        &[Key::Char('q')],
    ] {
        bench.keys(keys);
        for (columns, rows) in &sizes {
            for theme in [Theme::dark(true), Theme::none(false)] {
                let frame = bench.shoot(*columns, *rows, &theme);
                assert_eq!(frame.lines().count(), usize::from(*rows));
            }
        }
    }
}

/// Of a board whose clock goes on, the head is written and nothing of the rest; what lies over it and
/// goes again leaves no trace.
#[test]
fn what_stands_is_not_written_again() {
    let mut bench = hunt();
    let theme = Theme::dark(true);
    let scene = |bench: &Bench| Scene::with(&bench.model, &bench.blocks, 120, 40);
    let mut picture = Picture::default();
    assert!(!picture.show(scene(&bench), theme).is_empty());
    let begun = picture.cells().clone();
    assert_eq!(picture.show(scene(&bench), theme), []);
    let mut later = scene(&bench);
    later.head.truncate(1);
    let rows = later.areas.head.rows().map(|row| row.y).collect::<Vec<_>>();
    let changes = picture.show(later, theme);
    assert!(!changes.is_empty());
    assert!(
        changes.iter().all(|(_, y, _)| rows.contains(y)),
        "{changes:?}"
    );
    bench.keys(&[Key::Char('?')]);
    assert!(!picture.show(scene(&bench), theme).is_empty());
    bench.keys(&[Key::Esc]);
    picture.show(scene(&bench), theme);
    assert_eq!(picture.cells(), &begun);
    // Another look is another picture.
    assert!(!picture.show(scene(&bench), Theme::light(true)).is_empty());
}
