//! The face of `record`: one line on standard output for each phase, finding and loss.

use std::collections::BTreeMap;
use std::io::{self, Write};

use super::run::Face;
use crate::desk::Model;
use crate::desk::effect::Bell;
use crate::desk::message::LinkState;
use crate::judge::finding::{Finding, Phase};
use crate::reading::Elapsed;
use crate::report::text;
use crate::session::mark::MarkId;

/// Prints what has changed since it printed last.
#[derive(Debug)]
pub struct Lines<W> {
    out: W,
    phase: Option<(Phase, Elapsed)>,
    findings: BTreeMap<MarkId, Finding>,
    link: Option<LinkState>,
    unsaved: bool,
}

impl<W: Write> Lines<W> {
    /// Prints to `out`.
    pub const fn new(out: W) -> Self {
        Self {
            out,
            phase: None,
            findings: BTreeMap::new(),
            link: None,
            unsaved: false,
        }
    }

    fn say(&mut self, desk: &Model, what: &str) -> io::Result<()> {
        writeln!(self.out, "{}", text::stamped(desk.now(), what))
    }
}

impl<W: Write> Face for Lines<W> {
    fn show(&mut self, desk: &Model) -> io::Result<()> {
        let (link, _) = desk.link();
        if self.link.as_ref() != Some(link) {
            self.link = Some(link.clone());
            self.say(desk, &in_words(link))?;
        }
        let now = &desk.judgement().now;
        if self.phase != Some((now.phase, now.since)) && desk.session().readings() > 0 {
            let entered = self.phase.is_none_or(|(phase, _)| phase != now.phase);
            self.phase = Some((now.phase, now.since));
            if entered {
                self.say(desk, &format!("{}: {}", now.phase.word(), now.why))?;
            }
        }
        for trial in &desk.judgement().trials {
            if self.findings.insert(trial.mark, trial.finding) != Some(trial.finding) {
                writeln!(self.out, "{}", text::harmless(&text::trial(trial)))?;
            }
        }
        let unsaved = desk.notices().unsaved.is_some();
        if self.unsaved != unsaved {
            self.unsaved = unsaved;
            let words = if unsaved {
                "the disk does not take the session: it is kept in memory until it does"
            } else {
                "the disk has taken everything again"
            };
            self.say(desk, words)?;
        }
        self.out.flush()
    }

    fn ring(&mut self, _bell: Bell) -> io::Result<()> {
        Ok(())
    }

    fn redraw(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn suspend(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn in_words(link: &LinkState) -> String {
    match link {
        LinkState::Opening(place) => format!("looking for the meter: {place}"),
        LinkState::Receiving(place) => format!("readings come from {place}"),
        LinkState::Silent => "the meter is silent".into(),
        LinkState::Unreadable(what) => format!("not a reading: {what}"),
        LinkState::Lost(why) => format!("meter lost: {why}"),
        LinkState::Ended => "the record has ended".into(),
    }
}
