//! The README's pictures of the board are what the board shows: a story's own hunt is played on
//! the desk, key by key, and each frame is compared with its file in `assets/pictures/`.

#![expect(
    clippy::unwrap_used,
    clippy::wildcard_enum_match_arm,
    reason = "a picture that cannot be made is a failure, and only the keys' marks matter here"
)]

use std::fs;
use std::path::{Path, PathBuf};

use lullboard::desk::message::Key;
use lullboard::rehearsal::story::{Act, Cue};
use lullboard::rehearsal::{Story, play, stories};
use lullboard::session::entry::{Entry, Fact};
use lullboard::session::mark::Did;

use hunt::Hunt;
use ratatui::buffer::Buffer;

#[path = "pictures/hunt.rs"]
mod hunt;
#[path = "pictures/shapes.rs"]
mod shapes;
#[path = "pictures/svg.rs"]
mod svg;

const REMAKE: &str = "LULLBOARD_PICTURES=write cargo test --test pictures";

/// A picture: its file, whose hunt, the second at which it is taken, the keys pressed for it, its
/// size, and what it is there to show.
struct Shot {
    file: &'static str,
    story: &'static Story,
    at_s: f64,
    keys: &'static [Key],
    size: (u16, u16),
    shows: &'static [&'static str],
}

/// Stories are chosen by what is in them, so that a new story needs no new picture script.
fn shots() -> [Shot; 3] {
    let hunted = stories::DEFAULT;
    let waking = stories::all()
        .into_iter()
        .find(|story| !story.wakers.is_empty())
        .unwrap();
    [
        Shot {
            file: "hunt.svg",
            story: hunted,
            at_s: hunted.end_s,
            keys: &[],
            size: (110, 32),
            shows: &["limit", "settled", "clears", "late"],
        },
        Shot {
            file: "far.svg",
            story: hunted,
            at_s: first(hunted, Did::Lock).at_s + hunted.sleep_timeout_s - 150.0,
            keys: &[Key::Char('f')],
            size: (110, 24),
            shows: &["until the sleep time-out"],
        },
        Shot {
            file: "wakes.svg",
            story: waking,
            at_s: first(waking, Did::Pull).at_s - 20.0,
            keys: &[Key::Char('c'), Key::Char('[')],
            size: (110, 32),
            shows: &["cursor", "wake"],
        },
    ]
}

const MOVING: &str = "moving.svg";
/// How long each frame of it stands; long enough to be read in part.
const EACH_S: f64 = 1.8;
/// All of it takes less than this.
const LONGEST_S: f64 = 40.0;

/// One hunt from beginning to end: after each deed, and once while it is waited for long.
fn frames_of_a_hunt() -> Vec<Buffer> {
    let story = stories::DEFAULT;
    let deeds = story.script.iter().map(|cue| cue.at_s);
    let ends = deeds.clone().skip(1).chain([story.end_s]);
    let moments = deeds.zip(ends).flat_map(|(deed_s, next_s)| {
        let soon = deed_s + 2.0;
        let waits = next_s - deed_s > 300.0;
        [Some(soon), waits.then_some(f64::midpoint(soon, next_s))]
    });
    let mut hunt = Hunt::begin(story);
    moments
        .flatten()
        .chain([story.end_s])
        .map(|at_s| {
            hunt.play_until(at_s);
            hunt.frame((100, 28))
        })
        .collect()
}

#[test]
fn the_moving_picture_is_short_and_ends_with_what_was_found() {
    let frames = frames_of_a_hunt();
    let long_s = f64::from(u32::try_from(frames.len()).unwrap()) * EACH_S;
    assert!((15.0..LONGEST_S).contains(&long_s), "{long_s} s");
    let last = svg::text(frames.last().unwrap());
    assert!(last.contains("clears") && last.contains("BELOW"), "{last}");
}

fn first(story: &'static Story, did: Did) -> &'static Cue {
    let mut script = story.script.iter();
    script
        .find(|cue| matches!(&cue.act, Act::Mark(mark) if mark.did == did))
        .unwrap()
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn folder() -> PathBuf {
    root().join("assets/pictures")
}

#[test]
fn every_picture_is_what_the_board_shows() {
    let write = std::env::var_os("LULLBOARD_PICTURES").is_some_and(|what| what == "write");
    let mut stale = Vec::new();
    for shot in shots() {
        let mut hunt = Hunt::begin(shot.story);
        hunt.play_until(shot.at_s);
        hunt.press(shot.keys);
        let frame = hunt.frame(shot.size);
        let text = svg::text(&frame);
        for word in shot.shows {
            assert!(text.contains(word), "{}: no {word:?} in\n{text}", shot.file);
        }
        let path = folder().join(shot.file);
        let fresh = svg::picture(&frame);
        if write {
            fs::write(&path, &fresh).unwrap();
        }
        if fs::read_to_string(&path).unwrap_or_default() != fresh {
            stale.push(shot.file);
        }
    }
    let moving = svg::moving(&frames_of_a_hunt(), EACH_S);
    let path = folder().join(MOVING);
    if write {
        fs::write(&path, &moving).unwrap();
    }
    if fs::read_to_string(&path).unwrap_or_default() != moving {
        stale.push(MOVING);
    }
    assert!(
        stale.is_empty(),
        "assets/pictures/: {} not what the board shows now; remake with: {REMAKE}",
        stale.join(", ")
    );
}

/// What the keys record is what the hunt records when it plays itself, or the pictures show
/// another hunt.
#[test]
fn the_desk_records_the_script() {
    let told = |entry: &&Entry| matches!(entry.fact, Fact::Mark(_) | Fact::Strike(_));
    for story in stories::all() {
        let mut hunt = Hunt::begin(story);
        hunt.play_until(story.end_s);
        let recorded: Vec<&Entry> = hunt.recorded().iter().filter(told).collect();
        let (_, played) = play(story, story.seed);
        let script: Vec<&Entry> = played.iter().filter(told).collect();
        assert_eq!(script.len(), story.script.len(), "{}", story.name);
        assert_eq!(recorded, script, "{}", story.name);
    }
}

#[test]
fn every_picture_in_the_folder_is_made_here_and_shown_in_the_readme() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let mut files: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    files.sort();
    let mut made = shots().map(|shot| shot.file).to_vec();
    made.push(MOVING);
    made.sort_unstable();
    assert_eq!(files, made);
    for file in made {
        let link = format!("](assets/pictures/{file})");
        assert!(readme.contains(&link), "README.md does not show {file}");
    }
    assert!(readme.contains(REMAKE), "README.md: {REMAKE}");
}
