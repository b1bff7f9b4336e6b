//! The face of `record`: one line on standard output for each phase, finding and loss.

use std::collections::BTreeMap;
use std::io::{self, Write};

use crate::desk::{LinkState, Model};
use crate::judge::finding::{Finding, Phase};
use crate::judge::words;
use crate::reading::quantity;
use crate::report::text;
use crate::session::{MarkId, MeterEvent};
use crate::shell::run::Face;

/// Prints what has changed since it printed last.
#[derive(Debug)]
pub struct PlainLines<W> {
    out: W,
    phase: Option<Phase>,
    events: usize,
    dead: usize,
    findings: BTreeMap<MarkId, Finding>,
    link: Option<LinkState>,
    volts_link: Option<LinkState>,
    volts_events: usize,
    unsaved: bool,
    how_left: Option<String>,
    told: usize,
    deaf: bool,
}

impl<W: Write> PlainLines<W> {
    /// Prints to `out`.
    pub const fn new(out: W) -> Self {
        Self {
            out,
            phase: None,
            events: 0,
            dead: 0,
            findings: BTreeMap::new(),
            link: None,
            volts_link: None,
            volts_events: 0,
            unsaved: false,
            how_left: None,
            told: 0,
            deaf: false,
        }
    }

    fn print(&mut self, desk: &Model) -> io::Result<()> {
        let (link, _) = desk.link();
        if self.link.as_ref() != Some(link) {
            self.link = Some(link.clone());
            self.say(desk, &in_words(link))?;
        }
        self.second_meter(desk)?;
        let events = desk.session().meter_events();
        for (t, event) in events.iter().skip(self.events) {
            // What happened to the connection is told by its state.
            if !matches!(
                event,
                MeterEvent::Lost(_) | MeterEvent::Back(_) | MeterEvent::Gap { .. }
            ) {
                let words = words::meter::event_in_words(event);
                writeln!(self.out, "{}", text::stamped(*t, &words))?;
            }
        }
        self.events = events.len();
        self.machine(desk)?;
        let told = &desk.notices().told;
        for said in told.iter().skip(self.told) {
            self.say(desk, said)?;
        }
        self.told = told.len();
        let now = &desk.judgement().now;
        if self.phase != Some(now.phase) && desk.session().readings() > 0 {
            self.phase = Some(now.phase);
            self.say(desk, &now.in_words())?;
        }
        for trial in &desk.judgement().trials {
            if self.findings.insert(trial.mark, trial.finding) != Some(trial.finding) {
                let words = trial.in_words(&quantity::clock(trial.t));
                writeln!(self.out, "{}", text::sanitize(&words))?;
            }
        }
        let dead = &desk.notices().dead;
        for part in dead.iter().skip(self.dead) {
            let words = format!(
                "the {} part of the program stopped: {}",
                part.name, part.why
            );
            self.say(desk, &words)?;
        }
        self.dead = dead.len();
        // What became of a file that is lost is told once, as it happens.
        let unsaved = desk.notices().unsaved.as_ref();
        let unsaved = unsaved.filter(|unsaved| !unsaved.is_astray);
        if self.unsaved != unsaved.is_some() {
            self.unsaved = unsaved.is_some();
            let words = unsaved.map_or_else(
                || "the disk has taken everything again".to_owned(),
                |unsaved| format!("kept in memory until it can be written: {}", unsaved.why),
            );
            self.say(desk, &words)?;
        }
        self.out.flush()
    }

    /// What would spoil a record that nobody watches, and when that changes.
    fn machine(&mut self, desk: &Model) -> io::Result<()> {
        let Some(how) = desk.how_left() else {
            return Ok(());
        };
        if self.how_left.as_ref() != Some(&how) {
            self.say(desk, &how)?;
            self.how_left = Some(how);
        }
        Ok(())
    }

    /// The meter that reads the battery's volts.
    fn second_meter(&mut self, desk: &Model) -> io::Result<()> {
        if let Some((link, _)) = desk.volts_link()
            && self.volts_link.as_ref() != Some(link)
        {
            self.volts_link = Some(link.clone());
            self.say(desk, &format!("volts meter: {}", in_words(link)))?;
        }
        let events = desk.session().volts().events();
        for (t, event) in events.iter().skip(self.volts_events) {
            if !matches!(event, MeterEvent::Lost(_) | MeterEvent::Back(_)) {
                let words = words::meter::second(event);
                writeln!(self.out, "{}", text::stamped(*t, &words))?;
            }
        }
        self.volts_events = events.len();
        Ok(())
    }

    fn say(&mut self, desk: &Model, what: &str) -> io::Result<()> {
        writeln!(self.out, "{}", text::stamped(desk.now(), what))
    }
}

impl<W: Write> Face for PlainLines<W> {
    /// The record matters more than its echo: when nobody listens any more, it goes on silently.
    fn show(&mut self, desk: &Model) -> io::Result<()> {
        self.deaf = self.deaf || self.print(desk).is_err();
        Ok(())
    }
}

fn in_words(link: &LinkState) -> String {
    match link {
        LinkState::Opening(place) => format!("looking for the meter: {place}"),
        LinkState::Receiving(place) => format!("readings come from {place}"),
        LinkState::Silent => "the meter is silent".into(),
        LinkState::Unreadable(what) => format!("not a reading: {what}"),
        LinkState::Waiting(what) => format!("the meter gives no current: {what}"),
        LinkState::Lost(why) => format!("meter lost: {why}"),
        LinkState::Ended => "the record has ended".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::Options;
    use crate::desk::message::{Event, Message};
    use crate::journal::header;
    use crate::reading::{Amps, Elapsed, Measured, Reading};
    use crate::session::entry::Entry;

    fn desk_with_a_reading() -> Model {
        let mut desk = Model::new(header::unknown(), Options::default());
        let value = Measured::Amps(Amps::parse("1.629").unwrap());
        let t = Elapsed::from_secs(1.0);
        let event = Event::Appended(vec![Entry::reading(Reading { t, value })]);
        let _ = desk.update(Message { t, event });
        desk
    }

    #[test]
    fn what_has_not_changed_is_not_said_twice() {
        let desk = desk_with_a_reading();
        let mut lines = PlainLines::new(Vec::new());
        lines.show(&desk).unwrap();
        let said = String::from_utf8(lines.out.clone()).unwrap();
        assert!(said.starts_with("0:00:01 looking for the meter"), "{said}");
        lines.show(&desk).unwrap();
        assert_eq!(String::from_utf8(lines.out).unwrap(), said);
    }

    #[test]
    fn a_closed_pipe_does_not_end_the_recording() {
        struct Closed;
        impl Write for Closed {
            fn write(&mut self, _bytes: &[u8]) -> io::Result<usize> {
                Err(io::ErrorKind::BrokenPipe.into())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let mut lines = PlainLines::new(Closed);
        lines.show(&desk_with_a_reading()).unwrap();
        assert!(lines.deaf);
    }
}
