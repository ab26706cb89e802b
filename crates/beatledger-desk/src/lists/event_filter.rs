//! What the event list is narrowed to.

use std::sync::Arc;

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
    /// Those that a find line or a figure named, by kind and place, with words for it.
    These(Arc<Vec<(EventKind, i64)>>, String),
}

impl EventFilter {
    /// The filter in words, empty for none.
    pub fn words(&self) -> String {
        match self {
            Self::All => String::new(),
            Self::Unread => "unread only".into(),
            Self::Kind(kind) => format!("{} only", kind.words()),
            Self::These(_, words) => format!("'{words}' only"),
        }
    }

    /// True when the list shows `event`.
    pub fn shows(&self, event: &Event) -> bool {
        match self {
            Self::All => true,
            Self::Unread => event.state == EventState::Unread,
            Self::Kind(kind) => event.kind == *kind,
            Self::These(these, _) => these.contains(&(event.kind, event.span.start)),
        }
    }
}
