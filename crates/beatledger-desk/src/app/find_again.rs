//! Changes of settings that decide how beats are found: the beats are found anew off the window's thread, and only
//! then does the change stand in the ledger. Until then, and when it is stopped, nothing is changed.

use std::sync::Arc;

use beatledger_core::model::Found;
use beatledger_core::review::Action;

use crate::app::apply::capital;
use crate::app::derived;
use crate::app::desk::Desk;
use crate::app::job::Job;
use crate::outside::services::stamp;

impl Desk {
    /// Starts finding beats anew where `action` asks for it, and says whether it did. The action is made when they
    /// are found.
    pub(crate) fn finds_anew(&mut self, action: Action) -> bool {
        let Some(doc) = &self.doc else { return false };
        let Some(settings) = doc.find_with(&action) else { return false };
        let recording = doc.snapshot.recording.clone();
        if let Some(job) = self.job.take() {
            job.cancel();
        }
        self.job = Some(Job::find(recording, settings, self.ctx()));
        self.anew = Some(action);
        self.say("Beats are found anew with the changed setting; the day stays as it is until then.");
        true
    }

    /// Makes the action that waited for its beats.
    pub(crate) fn take_found(&mut self, found: Found) {
        let (Some(action), Some(reader)) = (self.anew.take(), self.reader.clone()) else { return };
        let Some(doc) = &mut self.doc else { return };
        let edit = match &action {
            Action::Do(edit) => Some(edit.clone()),
            _ => None,
        };
        let words = match &edit {
            Some(edit) => capital(&derived::edit_words(edit)),
            None => "The setting stands as before".to_owned(),
        };
        let stamp = stamp(&*self.services.clock, &reader);
        match doc.act_found(action, Arc::new(found), &stamp) {
            Ok(()) => {
                self.selection = Default::default();
                self.say(format!("{words}; beats were found anew."));
            }
            Err(error) => self.say_wrong(format!("Not made: {words}. {error}")),
        }
    }
}
