//! Changes of settings that decide how beats are found.
//!
//! The beats are found again off the window's thread, and only then does the change stand in the ledger.
//! Until then, and when it is stopped, nothing is changed.

use std::sync::Arc;

use beatledger_core::model::Found;
use beatledger_core::review::Action;

use crate::app::desk::Desk;
use crate::app::job::Job;
use crate::outside::services::stamp;
use crate::paint::words::{capital, edit_words};

impl Desk {
    /// Starts finding beats again where `action` asks for it, and says whether it did. The action is made when they
    /// are found.
    pub(crate) fn finds_again(&mut self, action: Action) -> bool {
        let Some(day) = &self.open.day else { return false };
        let Some(settings) = day.find_with(&action) else { return false };
        let recording = day.snapshot.recording.clone();
        if let Some(job) = self.open.job.take() {
            job.cancel();
        }
        self.open.job = Some(Job::find(recording, settings, self.ctx()));
        self.open.after_job = Some(action);
        self.say("Beats are found anew with the changed setting; the day stays as it is until then.");
        true
    }

    /// Makes the action that waited for its beats.
    pub(crate) fn take_found(&mut self, found: Found) {
        let (Some(action), Some(reader)) = (self.open.after_job.take(), self.reader.clone()) else { return };
        let Some(day) = &mut self.open.day else { return };
        let words = match &action {
            Action::Do(edit) => capital(&edit_words(edit)),
            _ => "The setting stands as before".to_owned(),
        };
        let stamp = stamp(&*self.services.clock, &reader);
        match day.act_found(action, Arc::new(found), &stamp) {
            Ok(()) => {
                self.pointed.selection = Default::default();
                self.say(format!("{words}; beats were found anew."));
            }
            Err(error) => self.say_wrong(format!("Not made: {words}. {error}")),
        }
    }
}
