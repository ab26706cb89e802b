//! Sign-off: a page of evidence, and who signs it with which role and meaning.

use beatledger_core::model::{FigureId, Recording};
use beatledger_core::shown::{ToShow, not_shown};
use beatledger_report::values::{Reason, day_clock, figure_words};
use egui::{Button, ScrollArea, TextEdit, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::commands::table::Command;
use crate::outside::services::SignRequest;
use crate::outside::sign_rules::{MEANINGS, hindrance, review_needs};
use crate::paint::fonts::bold_text;
use crate::sheets::sheet::Sheet;
use crate::shell::identity::start_words;
use crate::shell::view_context::ViewContext;

/// Roles that are offered; any other can be typed.
const ROLES: [&str; 3] = ["technician", "physician", "cardiologist"];
/// The figures that a summary turns on (common practice of ambulatory reports).
const FIGURES: [FigureId; 10] = [
    FigureId::ReadablePercent,
    FigureId::BeatsTotal,
    FigureId::MeanBpm,
    FigureId::MinBpm,
    FigureId::MaxBpm,
    FigureId::VBeats,
    FigureId::SBeats,
    FigureId::AfMin,
    FigureId::Pauses,
    FigureId::LongestRrMs,
];
/// Height of the evidence, points.
const EVIDENCE_PT: f32 = 330.0;

/// What the sheet keeps while it is open.
#[derive(Default)]
pub struct SignState {
    /// The signature being filled in.
    pub request: SignRequest,
    /// Which fields of the identity were confirmed.
    confirmed: Vec<bool>,
}

/// Draws the sheet.
pub fn sign(
    ui: &mut Ui,
    view: &mut ViewContext<'_>,
    derived: &Derived,
    state: &mut SignState,
    (fresh, reader): (bool, Option<&str>),
) {
    let draft = &mut state.request;
    if fresh {
        state.confirmed.clear();
        if let (true, Some(reader)) = (draft.reader.is_empty(), reader) {
            draft.reader = reader.to_owned();
        }
    }
    if unread(ui, view) {
        return;
    }
    ScrollArea::vertical().max_height(EVIDENCE_PT).id_salt("evidence").show(ui, |ui| {
        whose(ui, &view.snapshot.recording, &mut state.confirmed);
        figures(ui, view);
        what_was_shown(ui, view, derived);
        ui.label(bold_text(ui, "Conclusion"));
        let conclusion = &view.snapshot.conclusion;
        ui.label(if conclusion.is_empty() { "No conclusion is written yet." } else { conclusion });
        if ui.button("Write the conclusion").clicked() {
            view.acts.push(Act::Sheet(Some(Sheet::Conclusion)));
        }
    });
    ui.separator();
    draft.confirmed = state.confirmed.iter().all(|c| *c);
    // The first field that is still empty takes the keyboard.
    let mut focus = fresh;
    for (name, text, offers) in
        [("Reader", &mut draft.reader, &[] as &[&str]), ("Role", &mut draft.role, &ROLES)]
    {
        let wants = focus && text.is_empty();
        focus &= !wants;
        field(ui, name, text, offers, wants);
    }
    ui.horizontal(|ui| {
        ui.add_sized([70.0, 20.0], egui::Label::new("Meaning").halign(egui::Align::Min));
        for meaning in MEANINGS {
            if ui.selectable_label(draft.meaning == meaning, meaning).clicked() {
                meaning.clone_into(&mut draft.meaning);
            }
        }
    });
    for need in review_needs(draft, view.snapshot) {
        ui.label(format!("Not yet: {need}"));
    }
    ui.label("Signing writes the summary and the report and seals both with the ledger. A later edit shows as 'changed since signing'. Local rules decide what a signature on a screen is worth.");
    let why = hindrance(draft, view.snapshot);
    let tip = why.as_ref().map_or_else(|| Command::Sign.help().to_owned(), |why| format!("Not yet: {why}"));
    if ui
        .add_enabled(why.is_none(), Button::new("Sign the summary as it stands"))
        .on_hover_text(&tip)
        .on_disabled_hover_text(&tip)
        .clicked()
    {
        view.acts.push(Act::Sign(draft.clone()));
    }
}

/// Whose recording it is, field by field, each to be confirmed.
fn whose(ui: &mut Ui, recording: &Recording, confirmed: &mut Vec<bool>) {
    let who = &recording.identity;
    let fields = [
        ("Name", who.name.trim().to_owned()),
        ("Code", who.code.trim().to_owned()),
        ("Born", who.born.trim().to_owned()),
        ("Begins", start_words(recording)),
    ];
    let fields: Vec<_> = fields.into_iter().filter(|(_, text)| !text.is_empty()).collect();
    confirmed.resize(fields.len(), false);
    ui.label(bold_text(ui, "Whose recording: confirm each"));
    if who.name.trim().is_empty() && who.code.trim().is_empty() {
        ui.label(format!("The file names nobody; it is '{}'.", recording.name));
    }
    for ((name, text), confirmed) in fields.iter().zip(confirmed) {
        ui.checkbox(confirmed, format!("{name}: {text}"));
    }
}

fn figures(ui: &mut Ui, view: &ViewContext<'_>) {
    ui.label(bold_text(ui, "What is said"));
    let found = FIGURES.iter().filter_map(|id| view.snapshot.summary.figure(*id));
    for figure in found {
        let value = figure_words(figure, &view.snapshot.recording, Reason::Said);
        ui.label(format!("{}: {value}", figure.name));
    }
}

/// How much was on the screen, which places a review still needs, which events nobody answered.
fn what_was_shown(ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived) {
    ui.label(bold_text(ui, "What was on the screen"));
    let rest = 100.0 - derived.read_percent;
    ui.label(format!("{:.0} % of the recording was shown, {rest:.0} % never.", derived.read_percent));
    if !derived.unanswered.is_empty() {
        ui.label(format!("Events without an answer: {}.", derived.unanswered));
    }
    let snapshot = view.snapshot;
    let places = not_shown(snapshot);
    if places.is_empty() {
        ui.label("Critical events, the extremes of the day and all symptoms were shown.");
        return;
    }
    ui.label("Not shown yet, and needed for a review:");
    for place in places.iter().take(12) {
        let (words, at) = place_words(view, *place);
        if ui.button(format!("Look at {words}")).clicked() {
            view.acts.push(Act::Sheet(None));
            match place {
                ToShow::Event(index) => view.acts.push(Act::Event(*index)),
                ToShow::Symptom(_) => view.acts.push(Act::GoTo(at)),
            }
        }
    }
    if places.len() > 12 {
        ui.label(format!("and {} more; O goes to each.", places.len() - 12));
    }
}

/// A place in words with its clock time, and its sample.
fn place_words(view: &ViewContext<'_>, place: ToShow) -> (String, i64) {
    let snapshot = view.snapshot;
    let (what, at) = match place {
        ToShow::Event(index) => {
            let event = &snapshot.events[index];
            (event.kind.inside_a_sentence(), event.span.start)
        }
        ToShow::Symptom(index) => {
            let entry = &snapshot.diary[index];
            (format!("the symptom '{}'", entry.text), entry.span.start)
        }
    };
    (format!("{what}, {}", day_clock(&snapshot.recording, at)), at)
}

fn field(ui: &mut Ui, name: &str, text: &mut String, offers: &[&str], focus: bool) {
    ui.horizontal(|ui| {
        let label = ui.add_sized([70.0, 20.0], egui::Label::new(name).halign(egui::Align::Min));
        let edit = ui.add(TextEdit::singleline(text).desired_width(260.0)).labelled_by(label.id);
        if focus {
            edit.request_focus();
        }
        for offer in offers {
            if ui.button(*offer).clicked() {
                *text = (*offer).to_owned();
            }
        }
    });
}

/// Lists critical events that nobody has read, each with a way there; true when there are any.
fn unread(ui: &mut Ui, view: &mut ViewContext<'_>) -> bool {
    let unread = view.snapshot.unread_critical();
    if unread.is_empty() {
        return false;
    }
    let n = unread.len();
    ui.label(format!(
        "Not yet: {n} critical {} must be read first. Keep or drop each.",
        if n == 1 { "event" } else { "events" }
    ));
    for index in unread.iter().take(12) {
        let event = &view.snapshot.events[*index];
        let at = day_clock(&view.snapshot.recording, event.span.start);
        if ui.button(format!("Go to {} at {at}", event.kind.words())).clicked() {
            view.acts.push(Act::Sheet(None));
            view.acts.push(Act::Event(*index));
        }
    }
    if n > 12 {
        ui.label(format!("and {} more; O walks them all.", n - 12));
    }
    true
}
