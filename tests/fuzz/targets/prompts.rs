//! Questions on the board: what the last line promises is what Enter does, and a mark that was
//! answered reads back.

use chrono::NaiveTime;
use lullboard::desk::label::KnownLabels;
use lullboard::desk::prompt::amend::Amend;
use lullboard::desk::prompt::probe::FuseAsked;
use lullboard::desk::prompt::{Answer, Outcome, Withdrawn};
use lullboard::desk::typing::Unit;
use lullboard::desk::{Ask, Key, Prompt};
use lullboard::fuse::map;
use lullboard::reading::Elapsed;
use lullboard::session::card::FIELDS;
use lullboard::session::{Did, Mark, MarkId};

use super::dice::Dice;
use super::marks::reads_back;

const MAP: &[u8] = b"box,position,rating_a,style,feeds\ncabin,E3,10,mini,radio\nboot,K1,5,mini,\n\
    under hood,K1,5,mini,wipers\nE,4,10,mini,\n";

fn amend(dice: &mut Dice<'_>) -> Amend {
    let at = Elapsed::from_secs(f64::from(dice.word()));
    let mark = Mark {
        id: MarkId(3),
        what: vec!["E3".into()],
        ..Mark::new(Did::Pull)
    };
    match dice.byte() % 4 {
        0 => Amend::Claim {
            at,
            from_a: 0.3,
            to_a: 0.1,
            among: vec!["E3".into(), "E4".into()],
        },
        1 => Amend::Rename { mark, at },
        2 => Amend::Note { mark, at },
        _ => Amend::Move {
            mark,
            at,
            step: Some(at),
        },
    }
}

fn ask(dice: &mut Dice<'_>) -> Option<Ask> {
    Some(match dice.byte() % 12 {
        0 => Ask::Mark(dice.one_of(&Did::ALL)?),
        1 => Ask::Reading(Unit {
            exponent: dice.one_of(&[None, Some(-3), Some(0)])?,
            last_a: dice.one_of(&[None, Some(0.05)])?,
        }),
        2 => Ask::Volts,
        3 => Ask::Export,
        4 => Ask::Elsewhere,
        5 => Ask::Strike {
            what: Withdrawn::Mark(MarkId(3)),
            named: "pull E3".into(),
        },
        6 => Ask::Amend(amend(dice)),
        7 => Ask::Probe(FuseAsked {
            what: dice.one_of(&[None, Some("E3")])?.map(str::to_owned),
            printed: None,
            at: 0,
            of: 4,
        }),
        8 => Ask::Run,
        9 => Ask::RunOver,
        10 => {
            let at = usize::from(dice.byte()) % FIELDS.len();
            Ask::Field {
                field: FIELDS.get(at)?,
                now: String::new(),
            }
        }
        _ => Ask::Quit {
            place: "hunt.lull".into(),
            unsaved: None,
        },
    })
}

fn key(byte: u8, dice: &mut Dice<'_>) -> Key {
    match byte {
        1..=26 if byte != 13 => Key::Ctrl(char::from(byte + 96)),
        13 => Key::Enter,
        27 => Key::Left,
        28 => Key::Right,
        29 => Key::Home,
        30 => Key::Backspace,
        31 => Key::Delete,
        0x80.. => Key::Char(
            char::from_u32(u32::from(byte) << 8 | u32::from(dice.byte())).unwrap_or('\u{fffd}'),
        ),
        byte => Key::Char(char::from(byte)),
    }
}

/// The first bytes say what is asked, the rest is typed.
pub fn prompts(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let Some(ask) = ask(&mut dice) else { return };
    let how = dice.byte();
    let default = (how & 1 == 1).then(|| "E4".to_owned());
    let now = Elapsed::from_secs(f64::from(dice.word()));
    let labels = KnownLabels {
        fuses: if how & 2 == 2 {
            map::read(MAP).unwrap_or_default()
        } else {
            Vec::new()
        },
        marked: vec!["E3".into()],
        out: vec!["E3".into()],
        in_box: (how & 4 == 4).then(|| "boot".to_owned()),
    };
    let of_day = NaiveTime::from_hms_opt(u32::from(how % 24), 4, 30).filter(|_| how & 8 == 8);
    let mut prompt = Prompt::new(ask, default, now)
        .knowing(labels)
        .by_clock(of_day);
    while !dice.is_empty() {
        let byte = dice.byte();
        if byte == 0 {
            prompt.paste(&dice.text());
        } else {
            let key = key(byte, &mut dice);
            if let Outcome::Done(answer) = pressed(&mut prompt, key) {
                return answered(&answer, now);
            }
        }
        looked_at(&prompt);
    }
    if let Outcome::Done(answer) = pressed(&mut prompt, Key::Enter) {
        answered(&answer, now);
    }
}

/// What the last line promises is what Enter does.
fn pressed(prompt: &mut Prompt, key: Key) -> Outcome {
    let promised = prompt.consequence();
    let outcome = prompt.key(key);
    if key == Key::Enter && !prompt.is_yes_no() {
        let is_done = matches!(outcome, Outcome::Done(_));
        assert_eq!(promised.is_ok(), is_done, "{promised:?} {outcome:?}");
    }
    outcome
}

fn looked_at(prompt: &Prompt) {
    let text = prompt.field.text();
    assert!(
        text.chars().count() <= 200 && !text.contains(char::is_control),
        "{text:?}"
    );
    let (before, under, behind) = prompt.field.around();
    assert_eq!(format!("{before}{under}{behind}"), text);
    let (Ok(words) | Err(words)) = prompt.consequence();
    let is_a_number = !words.contains("NaN") || text.contains("NaN");
    assert!(!words.is_empty() && is_a_number, "{words:?}");
    let _ = (
        prompt.ask.question(),
        prompt.questions(),
        prompt.removed(),
        prompt.fitted(),
    );
}

fn answered(answer: &Answer, now: Elapsed) {
    match answer {
        Answer::Mark(mark, ago_s) => {
            reads_back(mark);
            assert!(
                ago_s.is_none_or(|ago_s| (0.0..=now.secs()).contains(&ago_s)),
                "{answer:?}"
            );
        }
        Answer::Amended(amended) => {
            let plain = Mark {
                at: None,
                ..amended.mark.clone()
            };
            reads_back(&plain);
        }
        Answer::Run(run) => reads_back(&run.announcement()),
        _ => {}
    }
}
