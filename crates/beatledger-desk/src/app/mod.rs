//! What the desk holds, and the one place that changes it.
//!
//! Here live the day that is open, the selection, the acts that views ask for, and the functions that apply them.
//! It knows the core's session, the services of `outside`, and the states that views keep.
//! No drawing belongs here, and no figure is worked out here: both have folders of their own.

pub mod act;
pub(crate) mod apply;
pub(crate) mod consequence;
pub mod derived;
pub mod desk;
pub(crate) mod entries;
pub(crate) mod find_again;
pub(crate) mod job;
pub(crate) mod look;
pub mod lookup;
pub mod notice;
pub mod open_day;
pub(crate) mod opening;
pub mod selection;
pub(crate) mod state;
pub mod waiting;
pub(crate) mod watch;
pub mod window;
