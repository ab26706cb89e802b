//! Commands that change how the tracing is shown: rows, leads, heights, wave limits, calipers; no fact changes.

use crate::app::desk::Desk;
use crate::commands::table::Command;
use crate::shell::stage::Stage;

impl Desk {
    /// Runs a command of this kind; false when it is of another kind.
    pub(crate) fn run_tracing(&mut self, command: Command) -> bool {
        let Some(leads) = self.doc.as_ref().map(|d| d.snapshot.recording.leads.len()) else { return false };
        let stage = self.stage;
        let ctx = self.ctx().clone();
        let views = &mut self.panels.views;
        let words = match command {
            Command::NextPart => next_part(&ctx, stage),
            Command::LensCloser => views.lens_closer(),
            Command::LensWider => views.lens_wider(),
            Command::LensTaller | Command::LensLower => {
                let percent = self.panels.edge.step(stage, command == Command::LensTaller);
                format!("The lens takes {percent:.0} % of the height.")
            }
            Command::ShorterRows => views.rows(false),
            Command::LongerRows => views.rows(true),
            Command::TallerTracing => views.scale_rows(2.0),
            Command::LowerTracing => views.scale_rows(0.5),
            Command::NextLead => {
                let lead = views.next_lead(leads);
                self.lead_words(lead)
            }
            Command::NextLensLeads => {
                views.next_lens_leads(leads);
                "The lens starts with the next lead, where not all fit.".to_owned()
            }
            Command::WaveLimits => match views.toggle_wave_limits() {
                true => "P, QRS and T limits of every beat are shown.".to_owned(),
                false => "P, QRS and T limits are shown for the beat at the place alone.".to_owned(),
            },
            Command::Calipers => match views.toggle_calipers() {
                true => {
                    "Calipers: drag over the lens to measure ms, bpm and mV; Esc puts them away.".to_owned()
                }
                false => "Calipers are put away.".to_owned(),
            },
            _ => return false,
        };
        self.say(words);
        true
    }

    fn lead_words(&self, lead: usize) -> String {
        let snapshot = self.doc.as_ref().map(|d| d.snapshot.clone());
        let name = snapshot.map_or_else(String::new, |s| crate::paint::draw::lead_words(&s, lead));
        format!("The day strip shows {name}; the lens starts with it where not all leads fit.")
    }
}

/// Moves the keyboard to the next part of the window; says where it is.
fn next_part(ctx: &egui::Context, stage: Stage) -> String {
    // Cells and figures are reached by arrows and Tab; the grid takes the first arrow by itself.
    let view = match stage {
        Stage::Strip => Some("day strip"),
        Stage::Scatter => Some("RR scatter"),
        Stage::Grid | Stage::Figures => None,
    };
    let rest = ["lens", "edge above the lens", "day band"];
    let parts: Vec<&'static str> = view.into_iter().chain(rest).collect();
    let from = crate::paint::draw::focused_part(ctx, &parts).map_or(0, |at| at + 1);
    let next = (0..parts.len()).map(|i| parts[(from + i) % parts.len()]);
    match next.into_iter().find(|name| crate::paint::draw::focus_part(ctx, name)) {
        Some(name) => format!("The keyboard is in the {name}; F6 moves on."),
        None => "No part of the window takes the keyboard now.".to_owned(),
    }
}
