//! Opening a day: starting it, hearing how it ended, and putting what was opened on the desk.

use std::time::Duration;

use crate::app::desk::Desk;
use crate::app::job::{Ended, Job, ToOpen};
use crate::app::notice::Notice;
use crate::app::open_day::{OpenDay, Opened};
use crate::app::state::Pointed;
use crate::app::waiting::Waiting;
use crate::lists::event_list::EventsState;
use crate::sheets::sheet::Sheet;

impl Desk {
    /// Starts opening a day on a thread of its own; the day on the desk stays until the new one is there.
    pub(crate) fn start_opening(&mut self, what: ToOpen) {
        if let Some(job) = self.open.job.take() {
            job.cancel();
        }
        self.open.after_job = None;
        let job = Job::start(what, self.services.store.clone(), self.services.settings.clone(), self.ctx());
        self.open.job = Some(job);
    }

    /// Makes what was opened the day on the desk.
    pub(crate) fn put_on_desk(&mut self, opened: Opened) {
        let words = opened.words.clone();
        let is_file = opened.path.is_some();
        let day = OpenDay::new(opened, &self.services.settings, self.ctx());
        let place = day.snapshot.beats.first().map_or(0, |b| b.sample);
        self.open.day = Some(day);
        self.pointed = Pointed { place, ..Pointed::default() };
        self.waiting = Waiting::default();
        self.shown.events = EventsState::default();
        self.shown.panels.new_day();
        self.shown.sheet = is_file.then_some(Sheet::Intake);
        self.shown.notice = Notice { wrong: !words.is_empty(), words };
    }

    /// Looks at what came from outside since the last frame: a dialog, the job, a dropped file.
    pub(crate) fn listen(&mut self, ctx: &egui::Context) {
        if let Some(Some(path)) = self.services.dialogs.answer() {
            self.start_opening(ToOpen::File(path));
        }
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_path_buf()));
        if let Some(path) = dropped {
            self.start_opening(ToOpen::File(path));
        }
        self.shown.panels.views.listen();
        if let Some(day) = &mut self.open.day {
            day.listen();
        }
        if let Some(job) = &mut self.open.job {
            job.listen();
        }
        match self.open.job.as_ref().and_then(Job::ended) {
            Some(ended) => self.end_job(ended),
            None if self.open.job.is_some() => ctx.request_repaint_after(Duration::from_millis(100)),
            None => {}
        }
    }

    fn end_job(&mut self, ended: Ended) {
        self.open.job = None;
        match ended {
            Ended::Opened(opened) => self.put_on_desk(*opened),
            Ended::Found(found) => self.take_found(*found),
            Ended::Failed(words) => {
                self.open.after_job = None;
                self.say_wrong(words);
            }
            Ended::Cancelled => {
                let finding = self.open.after_job.take();
                self.say(match finding {
                    Some(_) => "Finding beats anew was stopped; nothing was changed.",
                    None => "Opening was cancelled.",
                });
            }
        }
    }
}
