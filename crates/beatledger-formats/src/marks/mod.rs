//! Beats and events as they leave the house: rows with plain columns, apart from the types inside.

mod annotations;
mod parquet;
mod rows;
mod table;
#[cfg(test)]
pub(crate) mod testing;
mod thrift;

pub use annotations::{UNREADABLE, annotations, rhythm};
pub use parquet::{write_beats_parquet, write_events_parquet};
pub use rows::{MarkedBeat, MarkedEvent, Marks};
pub use table::{write_beats_csv, write_events_csv};
