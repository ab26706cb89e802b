//! What the event list is narrowed to.

use beatledger_core::model::{Event, EventKind, EventState};

/// Which events the list shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum EventFilter {
    /// All of them.
    #[default]
    All,
    /// Events that no reader has kept, changed or dropped.
    Unread,
    /// One kind.
    Kind(EventKind),
}

impl EventFilter {
    /// The filter in words, empty for none.
    pub fn words(&self) -> String {
        match self {
            Self::All => String::new(),
            Self::Unread => "unread only".into(),
            Self::Kind(kind) => format!("{} only", kind.words()),
        }
    }

    /// True when the list shows `event`.
    pub fn shows(&self, event: &Event) -> bool {
        match self {
            Self::All => true,
            Self::Unread => event.state == EventState::Unread,
            Self::Kind(kind) => event.kind == *kind,
        }
    }
}
