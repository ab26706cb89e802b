//! Commands that change how things are shown: the stage, rows, leads, heights, calipers, the size of text.
//! No fact changes. What is drawn of the tracing changes only while a day is open.

use crate::app::desk::Desk;
use crate::figures::families::Show;
use crate::paint::focus;
use crate::paint::words::lead_words;
use crate::shell::stage::Stage;

impl Desk {
    /// Shows the figures in this way. Asked for again, the families change between all figures and the essential ones.
    pub(crate) fn show_figures(&mut self, show: Show) {
        let figures = &mut self.shown.panels.figures;
        let again = self.shown.stage == Stage::Figures && figures.show == show;
        if again && show == Show::Families {
            figures.all = !figures.all;
        }
        figures.show = show;
        self.shown.stage = Stage::Figures;
    }

    /// Moves the keyboard to the next part of the window.
    pub(crate) fn next_part(&mut self) {
        if self.open.day.is_none() {
            return;
        }
        // Cells and figures are reached by arrows and Tab; the grid takes the first arrow by itself.
        let view = match self.shown.stage {
            Stage::Strip => Some("day strip"),
            Stage::Scatter => Some("RR scatter"),
            Stage::Grid | Stage::Figures => None,
        };
        let rest = ["lens", "edge above the lens", "day band"];
        let parts: Vec<&'static str> = view.into_iter().chain(rest).collect();
        let from = focus::focused_part(self.ctx(), &parts).map_or(0, |at| at + 1);
        let mut next = (0..parts.len()).map(|i| parts[(from + i) % parts.len()]);
        match next.find(|name| focus::focus_part(self.ctx(), name)) {
            Some(name) => self.say(format!("The keyboard is in the {name}; F6 moves on.")),
            None => self.say("No part of the window takes the keyboard now."),
        }
    }

    pub(crate) fn lens_closer(&mut self) {
        if self.open.day.is_some() {
            let words = self.shown.panels.views.lens_closer();
            self.say(words);
        }
    }

    pub(crate) fn lens_wider(&mut self) {
        if self.open.day.is_some() {
            let words = self.shown.panels.views.lens_wider();
            self.say(words);
        }
    }

    /// Makes the lens taller or lower by a step.
    pub(crate) fn move_splitter(&mut self, taller: bool) {
        if self.open.day.is_some() {
            let percent = self.shown.panels.splitter.step(self.shown.stage, taller);
            self.say(format!("The lens takes {percent:.0} % of the height."));
        }
    }

    pub(crate) fn next_lens_leads(&mut self) {
        if let Some(leads) = self.lead_count() {
            self.shown.panels.views.next_lens_leads(leads);
            self.say("The lens starts with the next lead, where not all fit.");
        }
    }

    pub(crate) fn toggle_wave_limits(&mut self) {
        if self.open.day.is_some() {
            let all = self.shown.panels.views.toggle_wave_limits();
            self.say(match all {
                true => "P, QRS and T limits of every beat are shown.",
                false => "P, QRS and T limits are shown for the beat at the place alone.",
            });
        }
    }

    pub(crate) fn toggle_calipers(&mut self) {
        if self.open.day.is_some() {
            let out = self.shown.panels.views.toggle_calipers();
            self.say(match out {
                true => "Calipers: drag over the lens to measure ms, bpm and mV; Esc puts them away.",
                false => "Calipers are put away.",
            });
        }
    }

    /// Makes the rows of the day strip longer or shorter.
    pub(crate) fn rows(&mut self, longer: bool) {
        if self.open.day.is_some() {
            let words = self.shown.panels.views.rows(longer);
            self.say(words);
        }
    }

    /// Makes the tracing in the rows taller (`by` 2) or lower (`by` 0.5).
    pub(crate) fn scale_rows(&mut self, by: f32) {
        if self.open.day.is_some() {
            let words = self.shown.panels.views.scale_rows(by);
            self.say(words);
        }
    }

    pub(crate) fn next_lead(&mut self) {
        let Some(day) = &self.open.day else { return };
        let lead = self.shown.panels.views.next_lead(day.snapshot.recording.leads.len());
        let name = lead_words(&day.snapshot, lead);
        self.say(format!("The day strip shows {name}; the lens starts with it where not all leads fit."));
    }

    fn lead_count(&self) -> Option<usize> {
        self.open.day.as_ref().map(|d| d.snapshot.recording.leads.len())
    }

    /// Makes the text larger or smaller, between 80 and 180 % of its usual size.
    pub(crate) fn scale_text(&mut self, by: f32) {
        let scale = (self.shown.text_scale * by).clamp(0.8, 1.8);
        self.shown.text_scale = scale;
        crate::paint::theme::set_text_scale(self.ctx(), scale);
        self.say(format!("Text at {:.0} %", scale * 100.0));
    }
}
