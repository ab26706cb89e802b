//! The four cards of the first minutes. Each is closed by doing what it says.

use egui::{Frame, Margin, RichText, Stroke, Ui};

use crate::app::act::Act;
use crate::shell::view_context::ViewContext;

/// A card of the first minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Card {
    /// Closed by going somewhere.
    DayBand,
    /// Closed by a relabelling.
    Relabel,
    /// Closed by asking a figure what proves it.
    AskFigure,
    /// Closed by signing.
    Sign,
}

impl Card {
    /// All cards in the order in which they are shown.
    pub const ALL: [Card; 4] = [Self::DayBand, Self::Relabel, Self::AskFigure, Self::Sign];
    /// The card that is shown first.
    pub const FIRST: Card = Self::DayBand;

    /// The card after it; none after the last.
    pub fn next(self) -> Option<Card> {
        Self::ALL.get(self.number()).copied()
    }

    /// Its place in the order, from 1.
    fn number(self) -> usize {
        self as usize + 1
    }

    /// Heading.
    fn title(self) -> &'static str {
        match self {
            Self::DayBand => "Look at the day band",
            Self::Relabel => "Relabel a group",
            Self::AskFigure => "Ask a figure",
            Self::Sign => "Sign",
        }
    }

    /// What to do, in two or three sentences.
    fn text(self) -> &'static str {
        match self {
            Self::DayBand => {
                "The whole day lies across the top: rate, ectopy, AF, pauses, unreadable time. Click where something stands, or press O for the first open item."
            }
            Self::Relabel => {
                "Press 2 for the morphology grid and choose a cell: all its beats are selected. Press N, S, V, F or Q to label them. Undo stands at the bottom left."
            }
            Self::AskFigure => {
                "Press 4 for the figures and click one. What proves it is selected everywhere, and the lens goes to the first place."
            }
            Self::Sign => {
                "Keep or drop the critical events with K and D; O walks them and the places that a review must have seen. Then press Ctrl+Enter to sign."
            }
        }
    }
}

/// Draws a card.
pub fn card(ui: &mut Ui, view: &mut ViewContext<'_>, card: Card) {
    let frame = Frame::NONE
        .fill(view.theme.wash)
        .stroke(Stroke::new(1.0, view.theme.edge))
        .inner_margin(Margin::same(8))
        .corner_radius(4);
    frame.show(ui, |ui| {
        let size = egui::TextStyle::Body.resolve(ui.style()).size;
        ui.label(
            RichText::new(format!("{} of {}: {}", card.number(), Card::ALL.len(), card.title()))
                .font(crate::paint::fonts::bold(size)),
        );
        ui.label(card.text());
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
