//! Sheets: what opens over or beside the stage when it is asked for, one at a time.

/// A sheet that can be open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    /// Every command by name.
    Palette,
    /// The table of keys.
    Keys,
    /// The find line.
    Find,
    /// What came in: leads, gaps, warnings.
    Intake,
    /// The ledger in words.
    History,
    /// Settings.
    Settings,
    /// Who reads.
    Reader,
    /// The conclusion.
    Conclusion,
    /// Sign-off.
    Sign,
    /// Another kind for the chosen event.
    ChangeEvent,
    /// An event on the selected span.
    AddEvent,
    /// Which lead to draw upside down.
    Leads,
    /// A path to open, typed.
    Path,
}

impl Sheet {
    /// True for sheets drawn as a line above the stage; the others lie over the stage.
    pub fn is_line(self) -> bool {
        matches!(self, Self::Find | Self::Reader | Self::Path)
    }

    /// Title of the sheet.
    pub fn title(self) -> &'static str {
        match self {
            Self::Palette => "Commands",
            Self::Keys => "Keys",
            Self::Find => "Find",
            Self::Intake => "Intake sheet",
            Self::History => "Ledger",
            Self::Settings => "Settings",
            Self::Reader => "Reader",
            Self::Conclusion => "Conclusion",
            Self::Sign => "Sign the summary",
            Self::ChangeEvent => "Change the event to",
            Self::AddEvent => "Add an event on the selection",
            Self::Leads => "Draw a lead upside down",
            Self::Path => "Open by path",
        }
    }
}
