//! The README's pictures of the board: real frames of the sample sessions, cell by cell as SVG.
//! `cargo bench --bench pictures` writes them into `assets/pictures/`.

#![expect(
    clippy::unwrap_used,
    reason = "a picture that cannot be made is a failure"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use lullboard::desk::message::{Event, Key, LinkState, Message};
use lullboard::desk::{Model, Options};
use lullboard::journal::import::ImportOptions;
use lullboard::reading::Elapsed;
use lullboard::screen::{Scene, Theme, draw};
use lullboard::shell::session_file;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// A cell in the picture, and the line on which its text stands.
const CELL: (u32, u32, u32) = (9, 19, 14);
const GROUND: &str = "#14171a";
const INK: &str = "#d8dee3";

/// A picture: its name, the sample, the minute at which it is taken (the last one when the record
/// is shorter), the keys pressed before, and the size.
struct Shot {
    name: &'static str,
    sample: &'static str,
    minute: f64,
    keys: &'static [Key],
    size: (u16, u16),
}

const SHOTS: [Shot; 3] = [
    Shot {
        name: "hunt",
        sample: "late-fall",
        minute: 1e6,
        keys: &[],
        size: (110, 32),
    },
    Shot {
        name: "far",
        sample: "late-fall",
        minute: 21.0,
        keys: &[Key::Char('f')],
        size: (110, 24),
    },
    Shot {
        name: "wakes",
        sample: "short-wakes",
        minute: 1e6,
        keys: &[Key::Char('c')],
        size: (110, 32),
    },
];

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = root.join("assets/pictures");
    fs::create_dir_all(&folder).unwrap();
    for shot in SHOTS {
        let sample = root.join(format!("sample-sessions/{}.lull", shot.sample));
        let path = folder.join(format!("{}.svg", shot.name));
        fs::write(&path, svg(&frame(&sample, &shot))).unwrap();
    }
}

fn frame(sample: &Path, shot: &Shot) -> Buffer {
    let record = session_file::read_any(sample, &ImportOptions::default()).unwrap();
    let mut desk = Model::new(record.header().clone(), Options::default());
    let until = Elapsed::from_secs(shot.minute * 60.0);
    for entry in record {
        let entry = entry.unwrap();
        if entry.t <= until {
            desk.recall(&entry);
        }
    }
    desk.recalled();
    let place = LinkState::Receiving("/dev/ttyUSB0".into());
    let keys = shot.keys.iter().map(|key| Event::Key(*key));
    for event in [Event::Link(place), Event::Key(Key::Esc)]
        .into_iter()
        .chain(keys)
    {
        let t = desk.now();
        let _ = desk.update(Message { t, event });
    }
    let (columns, rows) = shot.size;
    let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
    let scene = Scene::of(&desk, columns, rows);
    terminal
        .draw(|frame| draw(&scene, &Theme::dark(true), frame))
        .unwrap();
    terminal.backend().buffer().clone()
}

/// What a run of cells has in common.
#[derive(Clone, Copy, PartialEq)]
struct Look {
    ink: &'static str,
    ground: Option<&'static str>,
    bold: bool,
}

fn look(cell: &Cell) -> Look {
    let ink = colour(cell.fg);
    let reversed = cell.modifier.contains(Modifier::REVERSED);
    Look {
        ink: if reversed { GROUND } else { ink },
        ground: reversed.then_some(ink),
        bold: cell.modifier.contains(Modifier::BOLD),
    }
}

/// The sixteen colours as a quiet palette; a terminal's own may differ.
const fn colour(colour: Color) -> &'static str {
    match colour {
        Color::Black => "#1d2226",
        Color::Red => "#d9534f",
        Color::Green => "#5fae57",
        Color::Yellow => "#c9a227",
        Color::Blue => "#5b8fd0",
        Color::Magenta => "#b071c4",
        Color::Cyan => "#3fa7a3",
        Color::Gray => "#b8bfc5",
        Color::DarkGray => "#8a939a",
        Color::LightRed => "#ff7b72",
        Color::LightGreen => "#7fd67a",
        Color::LightYellow => "#f2cc60",
        Color::LightBlue => "#8ab4f0",
        Color::LightMagenta => "#d79be8",
        Color::LightCyan => "#6fd6d2",
        Color::White => "#ffffff",
        Color::Reset | Color::Rgb(..) | Color::Indexed(_) => INK,
    }
}

fn svg(frame: &Buffer) -> String {
    let (width, height, _) = CELL;
    let (columns, rows) = (u32::from(frame.area.width), u32::from(frame.area.height));
    let mut out = String::new();
    let _ = writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{}" height="{}" viewBox="0 0 {0} {1}" font-family="ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace" font-size="15">"#,
        (columns + 2) * width,
        rows * height + width
    );
    let _ = writeln!(
        out,
        r#"<rect width="100%" height="100%" rx="6" fill="{GROUND}"/>"#
    );
    for y in 0..frame.area.height {
        let cells: Vec<&Cell> = (0..frame.area.width)
            .filter_map(|x| frame.cell((x, y)))
            .collect();
        let mut x = 0;
        for run in cells.chunk_by(|a, b| look(a) == look(b)) {
            let text: String = run.iter().map(|cell| cell.symbol()).collect();
            let count = u32::try_from(run.len()).unwrap();
            if let Some(first) = run.first() {
                draw_run(&mut out, look(first), &text, (x, u32::from(y)), count);
            }
            x += count;
        }
    }
    out.push_str("</svg>\n");
    out
}

fn draw_run(out: &mut String, look: Look, text: &str, (x, y): (u32, u32), count: u32) {
    let (width, height, base) = CELL;
    let (left, top) = ((x + 1) * width, y * height + width / 2);
    if let Some(ground) = look.ground {
        let _ = writeln!(
            out,
            r#"<rect x="{left}" y="{top}" width="{}" height="{height}" fill="{ground}"/>"#,
            count * width
        );
    }
    if text.trim().is_empty() {
        return;
    }
    let weight = if look.bold {
        r#" font-weight="bold""#
    } else {
        ""
    };
    let escaped = text
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;");
    let _ = writeln!(
        out,
        r#"<text x="{left}" y="{}" fill="{}"{weight} xml:space="preserve" textLength="{}" lengthAdjust="spacingAndGlyphs">{escaped}</text>"#,
        top + base,
        look.ink,
        count * width
    );
}
