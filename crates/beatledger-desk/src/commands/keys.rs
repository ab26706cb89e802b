//! The keys of commands: in print, in tooltips, and as pressed in a frame.

use crate::commands::chord::Chord;
use crate::commands::table::Command;

impl Command {
    /// Its first key in print, empty when it has none.
    pub fn key_words(self) -> String {
        self.chords().first().map(|c| c.words()).unwrap_or_default()
    }

    /// Help line with the key, for a tooltip.
    pub fn tip(self) -> String {
        match self.chords().first() {
            Some(chord) => format!("{} ({})", self.help(), chord.words()),
            None => self.help().to_owned(),
        }
    }

    /// Commands whose keys were pressed in this frame, taken out of the events. While a text field has the
    /// focus only chords with Ctrl count, and of those none that a text field needs itself. Keys that `leave`
    /// names stay in the events, for the view that has the focus.
    pub fn pressed(ctx: &egui::Context, leave: impl Fn(Command, Chord) -> bool) -> Vec<Command> {
        let typing = ctx.text_edit_focused();
        let mut chords: Vec<(Chord, Command)> =
            Self::ALL.iter().flat_map(|c| c.chords().iter().map(|k| (*k, *c))).collect();
        chords.sort_by_key(|(chord, _)| std::cmp::Reverse(chord.specificity()));
        ctx.input_mut(|input| {
            let mut pressed = Vec::new();
            for (chord, command) in chords {
                if !leave(command, chord) && !(typing && (chord.is_typing() || command.belongs_to_text())) {
                    let times = chord.take(&mut input.events);
                    pressed.extend(std::iter::repeat_n(command, times));
                }
            }
            pressed
        })
    }

    /// True for chords that a text field needs for itself.
    fn belongs_to_text(self) -> bool {
        matches!(self, Self::Undo | Self::Redo | Self::SelectGroup | Self::SelectClass)
    }
}
