//! The bar above the stage: which view stands there, what is selected, and what can be done with it.

use std::sync::Arc;

use beatledger_core::model::{Beat, BeatClass};
use beatledger_report::values::duration_text;
use egui::{Button, RichText, Ui};

use crate::app::act::Act;
use crate::app::lookup::class_mix;
use crate::commands::table::Command;
use crate::paint::words::beats_words;
use crate::shell::stage::Stage;
use crate::shell::view_context::ViewContext;

/// How many of the selected beats have which class, in words; worked out once per selection and snapshot.
#[derive(Default)]
pub struct ClassMix(Option<Mix>);

/// The words, and what they were worked out from.
struct Mix {
    selected: Arc<Vec<i64>>,
    beats: Arc<Vec<Beat>>,
    words: String,
}

impl ClassMix {
    fn words(&mut self, view: &ViewContext<'_>) -> &str {
        let (selected, beats) = (&view.selection.beats, &view.snapshot.beats);
        let fresh = |mix: &Mix| Arc::ptr_eq(&mix.selected, selected) && Arc::ptr_eq(&mix.beats, beats);
        if !self.0.as_ref().is_some_and(fresh) {
            let words = class_mix(view.snapshot, selected);
            self.0 = Some(Mix { selected: selected.clone(), beats: beats.clone(), words });
        }
        self.0.as_ref().map_or("", |mix| &mix.words)
    }
}

/// Draws the row of views, and what is selected.
pub fn stage_bar(ui: &mut Ui, view: &mut ViewContext<'_>, mix: &mut ClassMix, stage: Stage, on_screen: bool) {
    ui.horizontal(|ui| {
        for to in Stage::ALL {
            let command = Command::stage(to);
            let text = format!("{}  {}", command.key_words(), to.words());
            if ui.selectable_label(stage == to, text).on_hover_text(command.tip()).clicked() {
                view.acts.push(Act::Run(command));
            }
        }
        ui.separator();
        if ui.button("Find").on_hover_text(Command::Find.tip()).clicked() {
            view.acts.push(Act::Run(Command::Find));
        }
        ui.separator();
        let mut words = selection_words(view, mix);
        if !on_screen && !view.selection.is_empty() {
            words = format!("Not on the screen · {words}");
        }
        ui.add(egui::Label::new(words).truncate());
    });
}

/// What is selected, in words.
fn selection_words(view: &ViewContext<'_>, mix: &mut ClassMix) -> String {
    let selection = view.selection;
    if selection.is_empty() {
        return "Nothing selected".into();
    }
    let from = if selection.words.is_empty() { String::new() } else { format!("{}: ", selection.words) };
    if selection.beats.is_empty() {
        let span = selection.span.or(selection.event.map(|(_, s)| s));
        let seconds = span.map_or(0.0, |s| view.snapshot.recording.rate.seconds_from_samples(s.len()));
        return format!("{from}span of {} with {}", duration_text(seconds), beats_words(beats_meant(view)));
    }
    if let [sample] = selection.beats[..]
        && let Ok(i) = view.snapshot.beats.binary_search_by_key(&sample, |b| b.sample)
    {
        return crate::beats::why::beat_words(&view.snapshot.beats[i]);
    }
    let mix = mix.words(view);
    format!("{from}{} ({mix})", beats_words(selection.beats.len()))
}

/// How many beats an edit of the selection would touch.
fn beats_meant(view: &ViewContext<'_>) -> usize {
    let at = |sample| view.snapshot.beats.partition_point(|b| b.sample < sample);
    match (view.selection.beats.len(), view.selection.span) {
        (0, Some(span)) => at(span.end) - at(span.start),
        (n, _) => n,
    }
}

/// Draws what can be done with the selection.
pub fn actions(ui: &mut Ui, view: &mut ViewContext<'_>) {
    let n = beats_meant(view);
    ui.label("Label");
    for class in BeatClass::ALL {
        let command = Command::label(class);
        let size = egui::TextStyle::Button.resolve(ui.style()).size;
        let letter = RichText::new(class.letter().to_string())
            .font(crate::paint::fonts::bold(size))
            .color(view.theme.class(class));
        let tip = format!(
            "Labels {} {}, {} ({})",
            beats_words(n),
            class.letter(),
            class.words(),
            command.key_words()
        );
        let response =
            ui.add_enabled(n > 0, Button::new(letter).min_size(egui::vec2(26.0, 0.0))).on_hover_text(tip);
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::Button, n > 0, format!("Label {}", class.letter()))
        });
        if response.clicked() {
            view.acts.push(Act::Run(command));
        }
    }
    let span = view.selection.span.is_some() || view.selection.event.is_some();
    let event = view.selection.event.is_some();
    let touch = |verb: &str| format!("{verb} {}", beats_words(n));
    for (text, command, able, tip) in [
        ("Agree", Command::Agree, n > 0, touch("Confirms the label of")),
        ("Remove", Command::RemoveBeats, n > 0, touch("Removes")),
        ("Insert", Command::InsertBeat, true, "Inserts 1 beat at the place in the day".into()),
        ("Unreadable", Command::MarkUnreadable, span, touch("Leaves out")),
        ("Readable", Command::MarkReadable, span, "Declares the span readable again".into()),
        (
            "Mark read",
            Command::MarkRead,
            true,
            "Touches no beat; counts what is on the screen as shown".into(),
        ),
        ("Keep", Command::KeepEvent, event, "Touches no beat; confirms the chosen event".into()),
        ("Drop", Command::DropEvent, event, "Touches no beat; the event counts in no figure".into()),
        ("Change", Command::ChangeEvent, event, "Another kind for the chosen event".into()),
        ("Add event", Command::AddEvent, span || n > 0, "Adds an event on the selection".into()),
    ] {
        let tip = format!("{tip} ({})", command.key_words());
        if ui.add_enabled(able, Button::new(text)).on_hover_text(tip).clicked() {
            view.acts.push(Act::Run(command));
        }
    }
}
