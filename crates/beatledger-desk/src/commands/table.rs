//! Every command: its group, its name, a help line, and perhaps keys.
//!
//! The palette, the key table and the keys are made from this list, in this order.
//! A new command is a line here and an arm of the function in `run` that runs its group; without the arm nothing
//! compiles.

use beatledger_core::model::BeatClass;
use egui::Key;

use crate::commands::chord::{Chord, ctrl, ctrl_shift, plain, shift};
use crate::shell::stage::Stage;

macro_rules! commands {
    ($( #[doc = $about:literal] $group:ident {
        $( $name:ident, $words:literal, [$($chord:expr),*], $help:literal; )*
    } )*) => {
        /// A thing that a reader can ask for by name or key.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Command { $($( #[doc = $help] $name, )*)* }

        $(
            #[doc = $about]
            #[derive(Clone, Copy, Debug, PartialEq, Eq)]
            pub enum $group { $( #[doc = $help] $name, )* }
        )*

        /// A command within its group, so that each group has one function that runs it.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Grouped { $( #[doc = $about] $group($group), )* }

        impl Command {
            /// All commands, in the order of the palette.
            pub const ALL: &[Command] = &[ $($( Command::$name, )*)* ];

            /// The same command within its group.
            pub fn grouped(self) -> Grouped {
                match self { $($( Self::$name => Grouped::$group($group::$name), )*)* }
            }

            /// Name in the palette.
            pub fn words(self) -> &'static str {
                match self { $($( Self::$name => $words, )*)* }
            }

            /// What it does, one sentence.
            pub fn help(self) -> &'static str {
                match self { $($( Self::$name => $help, )*)* }
            }

            /// Keys that run it; empty when it has none.
            pub fn chords(self) -> &'static [Chord] {
                match self { $($( Self::$name => { const C: &[Chord] = &[$($chord),*]; C } )*)* }
            }
        }
    };
}

commands! {
    /// Moves through the day, or to the next thing in a list.
    Go {
        NextItem, "Next open item", [plain(Key::O)], "Goes to the next thing that still needs a reader, most consequential first.";
        PreviousItem, "Previous open item", [shift(Key::O)], "Goes back to the open item before.";
        NextEvent, "Next event", [plain(Key::E)], "Goes to the next event of the event list.";
        PreviousEvent, "Previous event", [shift(Key::E)], "Goes to the event before.";
        NextBeat, "Next beat", [plain(Key::ArrowRight), plain(Key::Period)], "Goes one beat later; inside a selection of many beats, to the next of them.";
        PreviousBeat, "Previous beat", [plain(Key::ArrowLeft), plain(Key::Comma)], "Goes one beat earlier; inside a selection of many beats, to the one before.";
        PageLater, "Page later", [plain(Key::PageDown)], "Moves the day strip one page later.";
        PageEarlier, "Page earlier", [plain(Key::PageUp)], "Moves the day strip one page earlier.";
        Find, "Find", [ctrl(Key::F), plain(Key::Slash)], "Finds beats, events or a clock time from a line in plain trade words.";
    }

    /// Makes an edit of what is selected, or begins one.
    Change {
        LabelN, "Label N", [plain(Key::N)], "Labels the selected beats N, normal.";
        LabelS, "Label S", [plain(Key::S)], "Labels the selected beats S, supraventricular ectopic.";
        LabelV, "Label V", [plain(Key::V)], "Labels the selected beats V, ventricular ectopic.";
        LabelF, "Label F", [plain(Key::F)], "Labels the selected beats F, fusion.";
        LabelQ, "Label Q", [plain(Key::Q)], "Labels the selected beats Q, unclassifiable.";
        Agree, "Agree with the labels", [plain(Key::Y)], "Confirms the labels of the selected beats as they stand.";
        InsertBeat, "Insert a beat here", [plain(Key::I)], "Inserts a beat at the place in the day; its class letter is asked next.";
        RemoveBeats, "Remove beats", [plain(Key::Delete), plain(Key::Backspace)], "Takes the selected beats away: they are none.";
        MarkUnreadable, "Mark unreadable", [plain(Key::U)], "Declares the selected span unreadable; its beats count in no figure.";
        MarkReadable, "Mark readable", [shift(Key::U)], "Declares the selected span readable again.";
        MarkRead, "Mark as read", [plain(Key::M)], "Counts what is on the screen as shown at once: what is selected of it, or else the rows or the lens.";
        KeepEvent, "Keep event", [plain(Key::K)], "Confirms the chosen event.";
        DropEvent, "Drop event", [plain(Key::D)], "Says that the chosen event is not so; it counts in no figure.";
        ChangeEvent, "Change event", [plain(Key::C)], "Gives the chosen event another kind, or the selected span as its limits.";
        AddEvent, "Add event", [plain(Key::A)], "Adds an event of a kind on the selected span.";
    }

    /// Makes the selection larger, or takes it away.
    Select {
        SelectGroup, "Select all of the group", [ctrl(Key::A)], "Selects every beat of the shape group that the selected beats belong to.";
        SelectClass, "Select all of the class", [ctrl_shift(Key::A)], "Selects every beat of the class that the selected beats have.";
        ClearSelection, "Clear selection", [plain(Key::Escape)], "Selects nothing, and closes what is open.";
    }

    /// Takes an edit back, or makes it again.
    Ledger {
        Undo, "Undo", [ctrl(Key::Z)], "Takes the last edit back; the ledger keeps both.";
        Redo, "Redo", [ctrl_shift(Key::Z), ctrl(Key::Y)], "Makes the edit that was taken back again.";
    }

    /// Chooses what stands on the stage, or where the keyboard is.
    OnStage {
        StageStrip, "Show day strip", [plain(Key::Num1)], "Puts the day strip, the day in rows, on the stage.";
        StageGrid, "Show morphology grid", [plain(Key::Num2)], "Puts the morphology grid, beats grouped by shape and timing, on the stage.";
        StageScatter, "Show RR scatter", [plain(Key::Num3)], "Puts the RR scatter on the stage.";
        StageFigures, "Show figures", [plain(Key::Num4)], "Puts the figures, the live summary by family, on the stage; again for every figure, or those that a summary turns on.";
        ShowHours, "Show figures by hour", [plain(Key::Num5)], "Puts the table by hour on the stage; each hour is a button that selects it.";
        ShowHistogram, "Show NN histogram", [plain(Key::Num6)], "Puts the histogram of normal-to-normal intervals on the stage.";
        ShowTables, "Show tables", [plain(Key::Num7)], "Puts the tables beyond the hours on the stage: pauses, ST, variability, conduction, symptoms, leads.";
        NextStage, "Next stage", [plain(Key::T)], "Switches the stage to the next view; selection and place stay.";
        NextPart, "Next part of the window", [plain(Key::F6)], "Moves the keyboard on: the view on the stage, the lens, the edge above it, the day band.";
    }

    /// Changes how the tracing is drawn.
    Tracing {
        LensCloser, "Lens closer", [plain(Key::Plus), plain(Key::Equals)], "Shows less time in the lens, larger.";
        LensWider, "Lens wider", [plain(Key::Minus)], "Shows more time in the lens.";
        LensTaller, "Lens taller", [plain(Key::B)], "Gives the lens more of the height, the stage less.";
        LensLower, "Lens lower", [shift(Key::B)], "Gives the stage more of the height, the lens less.";
        NextLensLeads, "Next leads in the lens", [], "Starts the lens with the next lead, where not all leads fit.";
        WaveLimits, "Wave limits of every beat", [plain(Key::W)], "Shows P, QRS and T limits of every beat in the lens, or again of the beat at the place alone.";
        Calipers, "Calipers", [plain(Key::X)], "Takes the calipers out: a drag over the lens measures ms, bpm and mV. Alt and a drag do so at any time.";
        LongerRows, "Longer rows", [plain(Key::R)], "Shows more time in each row of the day strip.";
        ShorterRows, "Shorter rows", [shift(Key::R)], "Shows less time in each row of the day strip.";
        TallerTracing, "Taller tracing", [plain(Key::G)], "Doubles the height of the tracing in the rows.";
        LowerTracing, "Lower tracing", [shift(Key::G)], "Halves the height of the tracing in the rows.";
        NextLead, "Next lead", [shift(Key::L)], "Shows the next lead in the rows; the lens starts with it where not all leads fit.";
        InvertLead, "Invert a lead", [plain(Key::L)], "Draws a lead upside down, or as recorded again; samples stay as they are.";
    }

    /// Opens a day, or a sheet about the day that is open.
    OfDay {
        Intake, "Intake sheet", [ctrl(Key::I)], "Shows who, when, leads, gaps and warnings of the recording.";
        History, "Ledger", [plain(Key::H)], "Shows every edit in words, with who and when.";
        Conclusion, "Write the conclusion", [ctrl(Key::E)], "Opens the conclusion, in the reader's words.";
        Sign, "Sign the summary", [ctrl(Key::Enter)], "Shows what is said, what was never on the screen and what lacks an answer, then signs the summary as it stands.";
        Open, "Open a recording", [ctrl(Key::O)], "Opens a recording from a file.";
        OpenPath, "Open by path", [ctrl_shift(Key::O)], "Opens a recording whose path is typed, where no file dialog is at hand.";
        Demo, "Close, back to the demo day", [ctrl(Key::W)], "Closes the recording and shows the made demo day.";
        Settings, "Settings", [ctrl(Key::Comma)], "Shows every setting with its unit, range and source.";
    }

    /// Changes the theme or the size of the text.
    Appearance {
        ThemeLight, "Light theme", [], "Uses light paper.";
        ThemeDark, "Dark theme", [], "Uses dark paper.";
        ThemeSystem, "Theme of the system", [], "Follows the theme of the system.";
        NextTheme, "Switch theme", [ctrl_shift(Key::T)], "Switches between light and dark paper.";
        TextLarger, "Text larger", [ctrl(Key::Plus), ctrl(Key::Equals)], "Makes the text larger.";
        TextSmaller, "Text smaller", [ctrl(Key::Minus)], "Makes the text smaller.";
    }

    /// Shows what can be done.
    Help {
        Palette, "Commands", [ctrl_shift(Key::P)], "Lists every command by name with its key.";
        Keys, "Keys", [plain(Key::F1), plain(Key::Questionmark)], "Shows the table of keys.";
        Cards, "First minutes", [], "Shows the four cards of the first minutes again.";
    }
}

impl Command {
    /// The label command of a class.
    pub fn label(class: BeatClass) -> Self {
        match class {
            BeatClass::N => Self::LabelN,
            BeatClass::S => Self::LabelS,
            BeatClass::V => Self::LabelV,
            BeatClass::F => Self::LabelF,
            BeatClass::Q => Self::LabelQ,
        }
    }

    /// The command that puts a view on the stage.
    pub fn stage(stage: Stage) -> Self {
        match stage {
            Stage::Strip => Self::StageStrip,
            Stage::Grid => Self::StageGrid,
            Stage::Scatter => Self::StageScatter,
            Stage::Figures => Self::StageFigures,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key() {
        let all: Vec<(Chord, Command)> =
            Command::ALL.iter().flat_map(|c| c.chords().iter().map(|k| (*k, *c))).collect();
        for (i, (chord, command)) in all.iter().enumerate() {
            for (other, by) in &all[i + 1..] {
                assert_ne!(chord, other, "{} is the key of both {command:?} and {by:?}", chord.words());
            }
        }
    }

    #[test]
    fn every_command_has_a_name_and_a_help_sentence() {
        for command in Command::ALL {
            assert!(!command.words().is_empty());
            assert!(command.help().ends_with('.'), "{command:?}");
            assert_eq!(
                Command::ALL.iter().filter(|c| c.words() == command.words()).count(),
                1,
                "{command:?}"
            );
        }
    }

    #[test]
    fn ctrl_shift_z_is_redo_and_not_undo() {
        let press = |modifiers| {
            Command::ALL
                .iter()
                .filter(|c| c.chords().iter().any(|k| k.matches(Key::Z, modifiers)))
                .copied()
                .collect::<Vec<_>>()
        };
        use egui::Modifiers;
        assert_eq!(press(Modifiers::COMMAND), [Command::Undo]);
        assert_eq!(press(Modifiers::COMMAND | Modifiers::SHIFT), [Command::Redo]);
        assert_eq!(press(Modifiers::NONE), []);
    }
}
