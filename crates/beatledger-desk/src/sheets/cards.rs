//! The four cards of the first minutes. Each is closed by doing what it says.

use egui::{Frame, Margin, RichText, Stroke, Ui};

use crate::app::act::Act;
use crate::shell::view_context::View;

/// A card: heading and what to do.
pub struct Card {
    /// Heading.
    pub title: &'static str,
    /// What to do, in two or three sentences.
    pub text: &'static str,
}

/// The cards in order.
pub const CARDS: [Card; 4] = [
    Card {
        title: "Look at the day band",
        text: "The whole day lies across the top: rate, ectopy, AF, pauses, unreadable time. Click where something stands, or press O for the first open item.",
    },
    Card {
        title: "Relabel a group",
        text: "Press 2 for the morphology grid and choose a cell: all its beats are selected. Press N, S, V, F or Q to label them. Undo stands at the bottom left.",
    },
    Card {
        title: "Ask a figure",
        text: "Press 4 for the figures and click one. What proves it is selected everywhere, and the lens goes to the first place.",
    },
    Card {
        title: "Sign",
        text: "Keep or drop the critical events with K and D; O walks them. When none is open, press Ctrl+Enter to sign.",
    },
];

/// Draws card `which`.
pub fn card(ui: &mut Ui, view: &mut View<'_>, which: usize) {
    let Some(card) = CARDS.get(which) else { return };
    let frame = Frame::NONE
        .fill(view.look.wash)
        .stroke(Stroke::new(1.0, view.look.edge))
        .inner_margin(Margin::same(8))
        .corner_radius(4);
    frame.show(ui, |ui| {
        let size = egui::TextStyle::Body.resolve(ui.style()).size;
        ui.label(
            RichText::new(format!("{} of {}: {}", which + 1, CARDS.len(), card.title))
                .font(crate::paint::fonts::bold(size)),
        );
        ui.label(card.text);
        ui.horizontal(|ui| {
            if ui.small_button("Next card").clicked() {
                view.acts.push(Act::NextCard);
            }
            if ui
                .small_button("No cards")
                .on_hover_text("They come back with the command 'First minutes'")
                .clicked()
            {
                view.acts.push(Act::NoCards);
            }
        });
    });
    ui.add_space(4.0);
}
