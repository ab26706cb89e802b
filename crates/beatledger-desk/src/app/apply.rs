//! The one place where acts are applied, after drawing. Nothing else changes what the desk holds.

use crate::app::act::Act;
use crate::app::desk::Desk;
use crate::app::job::ToOpen;
use crate::sheets::cards::Card;
use crate::sheets::sheet::Sheet;

impl Desk {
    /// Applies one act.
    pub fn apply(&mut self, act: Act) {
        match act {
            Act::Select { selection, go } => self.select(selection, go),
            Act::GoTo(sample) => {
                self.go_to(sample);
                self.card_done(Card::DayBand);
            }
            Act::Edit(edit) => self.edit(edit),
            Act::LensSpan(span) => self.show_in_lens(span),
            Act::Run(command) => self.run(command),
            Act::Confirm => self.confirm(),
            Act::Open(path) => {
                self.shown.sheet = None;
                self.start_opening(ToOpen::File(path));
            }
            Act::Sheet(sheet) => self.show(sheet),
            Act::Reader(name) => self.take_reader(name),
            Act::Find(line) => self.find(&line),
            Act::Filter(filter) => {
                self.shown.events.filter = filter;
                self.shown.panels.show_events();
            }
            Act::Event(index) => self.choose_event(index),
            Act::Ask(key) => self.ask(key),
            Act::Item(at) => self.choose_item(at),
            Act::Sign(request) => self.sign(&request),
            Act::NextCard => self.next_card(),
            Act::NoCards => self.shown.card = None,
            Act::CancelOpening => {
                if let Some(job) = &self.open.job {
                    job.cancel();
                }
            }
        }
    }

    /// Opens a sheet, or closes the open one.
    pub(crate) fn show(&mut self, sheet: Option<Sheet>) {
        self.shown.sheet = sheet;
        self.shown.panels.sheet_opened();
    }

    /// Shows the next card of the first minutes, or none after the last.
    pub(crate) fn next_card(&mut self) {
        self.shown.card = self.shown.card.and_then(Card::next);
    }

    /// Closes `card` when it is the one that is shown: what it asks for was done.
    pub(crate) fn card_done(&mut self, card: Card) {
        if self.shown.card == Some(card) {
            self.next_card();
        }
    }
}
