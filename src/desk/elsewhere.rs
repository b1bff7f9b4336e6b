//! A session file that is lost or full: the recording goes on in another one.

use std::path::{Path, PathBuf};

use super::{Ask, Effect, Model, Watched};
use crate::reading::quantity;

impl Model {
    /// The file is not where it was. Where somebody watches, the banner offers another one.
    pub(super) fn went_astray(&mut self, effects: &mut Vec<Effect>) {
        let unsaved = self.notices.unsaved.as_mut();
        let why = unsaved.map(|unsaved| {
            unsaved.is_astray = true;
            unsaved.why.clone()
        });
        if self.options.watched == Watched::ByNobody {
            // It may be over before anybody looks.
            self.notices.told.extend(why);
            effects.push(Effect::GoOn(None));
        }
    }

    /// Goes on in a file beside the old one where that is lost; asks for another place where the
    /// disk does not take it.
    pub(super) fn go_on(&mut self, effects: &mut Vec<Effect>) {
        match &self.notices.unsaved {
            None => {
                let place = self.options.recording.as_deref().unwrap_or("nowhere");
                self.reply(format!("All that was recorded is on disk, in {place}."));
            }
            Some(unsaved) if unsaved.is_astray => effects.push(Effect::GoOn(None)),
            Some(_) => self.ask(Ask::Elsewhere, None),
        }
    }

    /// From now on nobody is asked: what would be is done, and told.
    pub const fn leave_unattended(&mut self) {
        self.options.watched = Watched::ByNobody;
    }

    /// The session has another file now, or could not get it.
    pub(super) fn moved(&mut self, outcome: Result<(PathBuf, u64), String>) {
        match outcome {
            Ok((path, lost)) => {
                let place = path.display().to_string();
                let but = match lost {
                    0 => String::new(),
                    lost => format!(" but {} that were cut off", quantity::counted(lost, "byte")),
                };
                self.notices.tell(format!(
                    "Recording goes on in {place}, which holds all that was recorded{but}."
                ));
                self.options.export_name = export_name(&path);
                self.options.recording = Some(place);
            }
            Err(why) => {
                self.notices.tell(format!("It cannot go on there: {why}"));
                if self.options.watched == Watched::ByHands {
                    self.ask(Ask::Elsewhere, None);
                }
            }
        }
    }
}

/// What is offered for an export of this file: the report, under the same name.
pub fn export_name(file: &Path) -> String {
    file.with_extension("html").display().to_string()
}
