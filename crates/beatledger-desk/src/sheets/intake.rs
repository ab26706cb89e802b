//! The intake sheet: what came in, before anyone reads it.

use beatledger_core::model::{Lead, Rate, SecondQuality, Span, Unit};
use beatledger_core::session::Snapshot;
use egui::{Grid, Key, Modifiers, ScrollArea, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::shell::identity::{length_words, start_words, who};
use crate::shell::view_context::ViewContext;
use beatledger_report::values::duration_text;

/// Draws the sheet; Enter closes it.
pub fn intake(ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived) {
    let snapshot = view.snapshot;
    ScrollArea::vertical().max_height(500.0).auto_shrink([false, true]).show(ui, |ui| {
        facts(ui, snapshot, derived);
        ui.add_space(6.0);
        leads(ui, snapshot);
        ui.add_space(6.0);
        oddities(ui, snapshot);
    });
    let enter = ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
    if ui.button("Start reading  Enter").clicked() || enter {
        view.acts.push(Act::Sheet(None));
    }
}

fn facts(ui: &mut Ui, snapshot: &Snapshot, derived: &Derived) {
    let recording = &snapshot.recording;
    let identity = &recording.identity;
    let or_none =
        |text: &str| if text.trim().is_empty() { "not in the file".to_owned() } else { text.to_owned() };
    let sum = |spans: &[Span]| recording.rate.seconds_from_samples(spans.iter().map(|s| s.len()).sum());
    let gap_s = recording.rate.seconds_from_samples(recording.samples) - sum(&recording.segments);
    Grid::new("facts").num_columns(2).spacing([16.0, 3.0]).show(ui, |ui| {
        for (name, value) in [
            ("Who", who(recording)),
            ("Born", or_none(&identity.born)),
            ("Sex", or_none(&identity.sex)),
            ("Recorder", or_none(&identity.recorder)),
            ("Remarks", or_none(&identity.remarks)),
            ("File", format!("{}, {}", recording.name, recording.format)),
            ("Start", start_words(recording)),
            ("Length", length_words(recording)),
            ("Rate", rate_words(recording.rate)),
            (
                "Gaps",
                if gap_s > 0.0 {
                    format!("{} in {} pieces", duration_text(gap_s), recording.segments.len())
                } else {
                    "none".into()
                },
            ),
            (
                "Unreadable",
                format!(
                    "{}, {:.1} % can be read",
                    duration_text(sum(&snapshot.unreadable)),
                    derived.readable_percent
                ),
            ),
            ("Diary", format!("{} entries", snapshot.diary.len())),
        ] {
            ui.label(name);
            ui.add(egui::Label::new(value).wrap());
            ui.end_row();
        }
    });
}

/// `250 Hz`, with the fraction where the rate is not a whole number.
fn rate_words(rate: Rate) -> String {
    let (samples, seconds) = rate.parts();
    if seconds == 1 {
        format!("{samples} Hz")
    } else {
        format!("{:.3} Hz ({samples} samples in {seconds} s)", rate.hz())
    }
}

fn leads(ui: &mut Ui, snapshot: &Snapshot) {
    Grid::new("leads").num_columns(7).spacing([16.0, 3.0]).striped(false).show(ui, |ui| {
        for head in
            ["Lead", "Unit", "Resolution", "Good seconds", "Flat seconds", "At the limits", "Polarity"]
        {
            ui.label(crate::paint::fonts::bold_text(ui, head));
        }
        ui.end_row();
        for (i, lead) in snapshot.recording.leads.iter().enumerate() {
            let quality = snapshot.found.quality.leads.get(i);
            let share = |kind: SecondQuality| {
                quality.filter(|q| !q.kind.is_empty()).map_or("not known".into(), |q| {
                    let n = q.kind.iter().filter(|k| **k == kind).count();
                    format!("{:.1} %", 100.0 * n as f64 / q.kind.len() as f64)
                })
            };
            let upside_down = snapshot.found.looks_inverted.get(i) == Some(&true);
            ui.label(&lead.name);
            ui.label(match lead.unit {
                Unit::Millivolt => "mV",
                Unit::Uncalibrated => "not calibrated",
            });
            ui.label(resolution_words(lead));
            ui.label(share(SecondQuality::Good));
            ui.label(share(SecondQuality::Flat));
            ui.label(share(SecondQuality::Railed));
            ui.label(if upside_down { "looks inverted" } else { "upright" });
            ui.end_row();
        }
    });
}

/// Size of one step of the recorder's numbers.
fn resolution_words(lead: &Lead) -> String {
    format!("{:.2} µV", 1000.0 / lead.adc_per_mv.abs())
}

fn oddities(ui: &mut Ui, snapshot: &Snapshot) {
    let recording = &snapshot.recording;
    for other in &recording.others {
        ui.label(format!("{}: not read as a lead, {}", other.name, other.reason));
    }
    if recording.warnings.is_empty() {
        ui.label("The file is as its format says; no warnings.");
    }
    for warning in &recording.warnings {
        let place = if warning.place.is_empty() { String::new() } else { format!("{}: ", warning.place) };
        ui.add(egui::Label::new(format!("! {place}{}", warning.text)).wrap());
    }
}
