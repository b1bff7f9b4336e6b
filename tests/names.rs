//! Every name that a rehearsal shows or offers is a name that its car answers to, and whoever does
//! only what the hints or the plan say comes to the end of the hunt.

#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use lullboard::desk::label;
use lullboard::journal::header;
use lullboard::judge::finding::Verdict;
use lullboard::judge::memory::Memory;
use lullboard::judge::{Judgement, again};
use lullboard::rehearsal::hints::Step;
use lullboard::rehearsal::{Car, Hint, Story, hint, stories};
use lullboard::session::Session;
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact};
use lullboard::session::mark::{Did, Mark, MarkId, parse_mark};

/// What a hint begins with when the car has no such thing.
const REFUSED: &str = "This car has no";

/// A rehearsal at the board: the car, the session with the lid's own map.
struct Bench {
    story: &'static Story,
    car: Car,
    session: Session,
    memory: Memory,
    offered: Vec<String>,
}

impl Bench {
    fn new(story: &'static Story) -> Self {
        Self::seeded(story, story.seed)
    }

    fn seeded(story: &'static Story, seed: u64) -> Self {
        let mut header = header::unknown();
        header.card = Card {
            fuses: Some(story.map()),
            ..story.card()
        };
        let mut bench = Self {
            story,
            car: Car::new(story, seed),
            session: Session::new(header),
            memory: Memory::default(),
            offered: Vec::new(),
        };
        bench.watch(20.0);
        bench
    }

    fn watch(&mut self, for_s: f64) {
        let end = self.session.last_t().plus_secs(for_s);
        while self.car.next_t() <= end {
            self.session.apply(&Entry::reading(self.car.next_reading()));
        }
    }

    /// A mark as it is typed at the board.
    fn type_mark(&mut self, text: &str) {
        let mark = parse_mark(self.session.next_id(), text).unwrap();
        let t = self.session.last_t().plus_secs(0.01);
        self.car.mark(t, &mark);
        self.session.apply(&Entry {
            t,
            fact: Fact::Mark(Box::new(mark)),
        });
    }

    fn judged(&mut self) -> Judgement {
        again(&self.session, &mut self.memory)
    }

    fn hint(&mut self) -> Hint {
        let judged = self.judged();
        hint(self.story, &self.session, &judged).unwrap()
    }

    /// Does it with what was offered, which the car must know.
    fn take(&mut self, did: Did, name: &str) {
        self.type_mark(&format!("{} {name}", did.word()));
        for label in lullboard::session::mark::labels(name) {
            assert!(
                self.story.known(&label).is_some(),
                "{}: {label} was offered",
                self.story.name
            );
        }
        let said = self.hint().text;
        assert!(!said.starts_with(REFUSED), "{}: {said}", self.story.name);
        self.offered.push(format!("{} {name}", did.word()));
    }
}

/// The name that a hint asks for.
fn asked(text: &str) -> &str {
    let (_, rest) = text.split_once("type ").unwrap();
    rest.split_once(',').unwrap().0
}

#[test]
fn every_name_of_every_story_is_taken_by_the_board_as_the_screen_spells_it() {
    for story in stories::all() {
        let fuses = story.fuses.iter().map(|slot| slot.label.to_owned());
        let fed = story.map().into_iter().flat_map(|circuit| circuit.feeds);
        let lesson = &story.lesson;
        let taught = lesson
            .tries
            .iter()
            .chain(&lesson.culprits)
            .chain(&lesson.parts);
        let names: Vec<String> = fuses
            .chain(fed)
            .chain(story.parts().into_iter().map(str::to_owned))
            .chain(taught.map(|name| (*name).to_owned()))
            .collect();
        assert!(names.len() > 20, "{}: {names:?}", story.name);
        for name in names {
            for typed in [name.clone(), name.to_uppercase(), format!(" {name} ")] {
                for verb in ["pull", "refit", "unplug", "plug", "swap"] {
                    let mut bench = Bench::new(story);
                    bench.type_mark("lock");
                    bench.watch(1.0);
                    bench.type_mark(&format!("{verb} {typed}"));
                    let said = bench.hint().text;
                    assert!(!said.starts_with(REFUSED), "{}: {said}", story.name);
                }
            }
        }
        let mut bench = Bench::new(story);
        bench.type_mark("lock");
        bench.type_mark("pull E25");
        assert!(bench.hint().text.starts_with(REFUSED), "{}", story.name);
    }
}

/// From one pull to the next, Enter alone walks through the whole map and never leaves it.
#[test]
fn enter_alone_walks_through_the_fuses_that_there_are() {
    for story in stories::all() {
        let mut bench = Bench::new(story);
        let all: Vec<&str> = story.fuses.iter().map(|slot| slot.label).collect();
        let mut walked = vec![all[0].to_owned()];
        bench.type_mark(&format!("pull {}", all[0]));
        while let Some(next) = label::default_for(&bench.session, &[], Did::Pull) {
            bench.type_mark(&format!("pull {next}"));
            walked.push(next);
            assert!(walked.len() <= all.len(), "{}: {walked:?}", story.name);
        }
        assert_eq!(walked, all, "{}", story.name);
    }
}

/// No hunt takes longer, the waits past its time-out included.
const LONGEST_S: f64 = 5.0 * 3600.0;

#[test]
fn whoever_does_only_what_the_hints_say_comes_to_the_end() {
    let seeds = |story: &'static Story| [story.seed, 1, 2].map(|seed| (story, seed));
    for (story, seed) in stories::all().into_iter().flat_map(seeds) {
        let mut bench = Bench::seeded(story, seed);
        let mut last = Step::Wait;
        while last != Step::Done {
            let Hint { step, text } = bench.hint();
            assert!(
                bench.session.last_t().secs() < LONGEST_S,
                "{}: {:?}, then {text}",
                story.name,
                bench.offered,
            );
            match step {
                Step::Wait | Step::Done => {}
                Step::Do(did) if did.is_tried() => bench.take(did, asked(&text)),
                Step::Do(did) => bench.type_mark(did.word()),
            }
            last = step;
            bench.watch(if step == Step::Wait { 30.0 } else { 5.0 });
        }
        let taken = |verb: &str| -> Vec<String> {
            let did = bench.offered.iter().filter(|did| did.starts_with(verb));
            did.map(|did| did.replacen(verb, "", 1)).collect()
        };
        let parts = taken("unplug ");
        let mut once = parts.clone();
        once.sort();
        once.dedup();
        assert_eq!(parts.len(), once.len(), "{}: unplugged twice", story.name);
        // One new part, and it is the one at fault; none in a healthy car.
        let culprit: Vec<&str> = story.lesson.parts.last().copied().into_iter().collect();
        assert_eq!(
            taken("swap "),
            culprit,
            "{}: {:?}",
            story.name,
            bench.offered
        );
        assert!(bench.session.out_now().is_empty(), "{}", story.name);
        assert_eq!(bench.judged().verdict, Verdict::Below, "{}", story.name);
    }
}

#[test]
fn whoever_takes_what_the_plan_offers_is_never_refused() {
    for story in stories::all() {
        let mut bench = Bench::new(story);
        bench.type_mark("lock");
        while bench.session.last_t().secs() < LONGEST_S / 2.0 {
            bench.watch(30.0);
            let Some(plan) = bench.judged().plan else {
                continue;
            };
            for part in &plan.parts {
                assert!(story.known(part).is_some(), "{}: {part}", story.name);
            }
            let Some(did) = plan.did else { continue };
            let wanted = plan.next.join("+");
            if wanted.is_empty() {
                break;
            }
            bench.take(did, &wanted);
            if did == Did::Swap {
                break;
            }
        }
        let swapped = bench
            .offered
            .last()
            .is_some_and(|last| last.starts_with("swap"));
        let settles_above = !story.lesson.culprits.is_empty() && story.wakers.is_empty();
        assert_eq!(
            swapped, settles_above,
            "{}: {:?}",
            story.name, bench.offered
        );
    }
}

/// A name that is not in the car stays a mark without effect, whatever stands beside it.
#[test]
fn a_label_beside_a_stranger_still_counts() {
    let story = &stories::STEADY_DRAW;
    let mut bench = Bench::new(story);
    let mark: Mark = parse_mark(MarkId(1), "pull L5+L55").unwrap();
    assert_eq!(story.known(&mark.what[0]), Some("L5"));
    assert_eq!(story.known(&mark.what[1]), None);
    bench.type_mark("lock");
    bench.type_mark("pull L5+L55");
    assert!(bench.hint().text.starts_with(REFUSED));
}
