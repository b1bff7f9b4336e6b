//! The top rows: whose car, which meter, how long, which limit; and the banners.

use super::volts;
use crate::desk::keymap::{Action, ShellAction};
use crate::desk::{LinkState, Model, left_alone};
use crate::judge::limit::Origin;
use crate::judge::words;
use crate::reading::{Elapsed, Measured, quantity};
use crate::screen::{Line, Role, width};
use crate::session::{Doubt, MeterEvent, Session};

/// The rows of the head, left and right end.
pub fn rows(model: &Model, columns: u16) -> Vec<(Line, Line)> {
    let card = model.session().card();
    let mut left = Line::new(Role::Strong, "lullboard");
    if let Some(car) = &card.car {
        left = left.and(Role::Plain, format!("  {car}"));
    }
    let right = Line::new(Role::Plain, meter(model, columns))
        .and(
            Role::Caution,
            if model.view().muted { "   muted" } else { "" },
        )
        .and(Role::Strong, format!("   {}", quantity::clock(model.now())));
    let judgement = model.judgement();
    let from = |origin: Origin| format!(" ({})", origin.word());
    let limits = Line::new(Role::Dim, "limit ")
        .and(Role::Plain, words::draw::limit_alone(judgement.limit))
        .and(Role::Dim, from(judgement.limit.from))
        .and(Role::Dim, "   sleep time-out ")
        .and(Role::Plain, quantity::span(judgement.timeout.value))
        .and(Role::Dim, from(judgement.timeout.from));
    let out = model.session().out_now();
    let newest = volts::newest(model, columns);
    let out = if out.is_empty() {
        newest
    } else {
        let apart = if newest.0.is_empty() { "" } else { "   " };
        newest
            .and(Role::Dim, format!("{apart}out: "))
            .and(Role::Strong, out.join("+"))
    };
    vec![(left, right), (limits, out)]
}

fn meter(model: &Model, columns: u16) -> String {
    if !model.options().live {
        return "recorded session".into();
    }
    if model.is_manual() {
        return "meter read by eye".into();
    }
    match model.link().0 {
        LinkState::Opening(_) if columns < 60 => "opening".into(),
        LinkState::Opening(place) => format!("opening {place}"),
        LinkState::Receiving(place) => receiving(place, model.not_understood(), columns),
        LinkState::Silent => "meter silent".into(),
        LinkState::Unreadable(_) => "meter not understood".into(),
        LinkState::Waiting(_) => "meter waits for you".into(),
        LinkState::Lost(_) => "meter lost".into(),
        LinkState::Ended => "end of the readings".into(),
    }
}

/// On a narrow screen the clock goes before the place, and on a middling one what was not
/// understood.
fn receiving(place: &str, not_understood: u64, columns: u16) -> String {
    match not_understood {
        0 if columns < 60 => "receiving".into(),
        0 => format!("receiving from {place}"),
        count if columns < 60 => format!("receiving, {count} not understood"),
        count if columns < 100 => format!(
            "receiving, {} not understood",
            quantity::counted(count, "message")
        ),
        count => format!(
            "receiving from {place}, {} not understood",
            quantity::counted(count, "message")
        ),
    }
}

/// What is wrong, the worst first.
pub fn banners(model: &Model, columns: u16) -> Vec<Line> {
    let mut said = Vec::new();
    let notices = model.notices();
    if let Some(unsaved) = &notices.unsaved {
        said.push(format!(
            "NOT SAVED since {}: {}. In memory alone: {}. {} {}",
            quantity::clock(unsaved.since),
            unsaved.why,
            unsaved.in_words(),
            model.key_of(Action::Shell(ShellAction::GoOn)),
            if unsaved.is_astray {
                "goes on in a new file that holds all that survives."
            } else {
                "goes on in a file of another disk."
            }
        ));
    }
    for dead in &notices.dead {
        said.push(format!(
            "STOPPED at {}: the {} part of the program: {}. Quit and open this session again.",
            quantity::clock(dead.at),
            dead.name,
            dead.why
        ));
    }
    if model.options().live {
        said.extend(meter_banner(model));
        said.extend(volts::banner(model));
    }
    said.extend(display_banner(model));
    said.into_iter()
        .flat_map(|text| width::wrap(&text, columns.saturating_sub(2), 4))
        .map(|text| Line::new(Role::Alarm, format!(" {text} ")))
        .collect()
}

fn meter_banner(model: &Model) -> Option<String> {
    let (state, since) = model.link();
    let since = quantity::clock(since);
    let silence = model
        .overdue_s()
        .map(|silent_s| format!("no data for {}", quantity::span(silent_s)));
    match state {
        LinkState::Lost(why) => Some(format!(
            "METER LOST since {since}: {why}. Nothing is measured."
        )),
        LinkState::Unreadable(what) => Some(format!("METER NOT UNDERSTOOD since {since}: {what}")),
        LinkState::Waiting(what) => Some(format!("METER GIVES NO CURRENT since {since}: {what}.")),
        LinkState::Silent => Some(format!(
            "METER SILENT: {}. Is it on, and sending?",
            silence.unwrap_or_else(|| format!("since {since}"))
        )),
        LinkState::Receiving(_) => silence.map(|silence| format!("METER: {silence}.")),
        LinkState::Opening(place) => silence.map(|silence| format!("{silence}: opening {place}")),
        LinkState::Ended => None,
    }
}

/// The meter's display shows something else than a live direct current. A later reading disproves
/// what the record says: a session that goes on begins with a meter that nobody has asked yet.
fn display_banner(model: &Model) -> Option<String> {
    let session = model.session();
    let read_since = |t: Elapsed| session.last_reading().is_some_and(|(last, _)| last > t);
    let mut held = false;
    let mut ac = false;
    let mut low_cell = false;
    let mut doubted = None;
    for (t, event) in session.meter_events() {
        match event {
            MeterEvent::Held(on) => held = *on && !read_since(*t),
            MeterEvent::Ac(on) => ac = *on && !read_since(*t),
            MeterEvent::LowCell => low_cell = true,
            // A meter that was switched off and on, perhaps for a new cell, says anew how it is.
            MeterEvent::Back(_) => {
                (held, ac, low_cell) = (false, false, false);
                doubted = None;
            }
            MeterEvent::Doubt { doubt, on: true } => match doubt {
                Doubt::Zero if reads_zero(session) => doubted = Some(*doubt),
                Doubt::Off if !read_since(*t) => doubted = Some(*doubt),
                // Disproved by now, or asked once and put away.
                Doubt::Zero | Doubt::Off | Doubt::Frozen | Doubt::Reversed | Doubt::Unit => {}
            },
            MeterEvent::Doubt { doubt, on: false } => {
                doubted = doubted.filter(|other| other != doubt);
            }
            MeterEvent::AutoOff(_)
            | MeterEvent::Lost(_)
            | MeterEvent::Range(_)
            | MeterEvent::Gap { .. } => {}
        }
    }
    let event = if held {
        MeterEvent::Held(true)
    } else if ac {
        MeterEvent::Ac(true)
    } else if let Some(doubt) = doubted {
        MeterEvent::Doubt { doubt, on: true }
    } else if low_cell {
        MeterEvent::LowCell
    } else if left_alone::switches_itself_off(session) {
        MeterEvent::AutoOff(true)
    } else {
        return None;
    };
    Some(words::meter::banner(&event))
}

fn reads_zero(session: &Session) -> bool {
    match session.last_reading() {
        Some((_, Measured::Amps(amps))) => amps.digits() == 0,
        Some((_, Measured::Over)) | None => false,
    }
}
