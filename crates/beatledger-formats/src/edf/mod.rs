//! EDF, EDF+C and EDF+D files (Kemp et al. 1992; Kemp and Olivan 2003): read with tolerance, written as EDF+C,
//! or as EDF+D when there are gaps.
//! BDF and BDF+, the same with samples of 24 bits, are read by the same code.
//!
//! Two conventions of our own ride in fields that the standard leaves free, so that nothing is lost on a round
//! trip: `samples=N` as an additional subfield of the recording identification when the last data record is
//! filled up, and `missing=N` in the reserved field of a signal whose value N means 'no sample here'.

mod assemble;
mod data;
mod fields;
mod header;
mod identity;
mod mark;
mod number;
mod plan;
mod read;
mod read_marks;
mod records;
mod scale;
mod tal;
mod write;
mod write_header;
mod write_layout;
mod write_notes;

pub use mark::Mark;
pub use read::{BdfReader, EdfReader};
pub use read_marks::read_marks;
pub(crate) use tal::text_with_kind;
pub use write::{write, write_with_marks};

/// Label of an annotation signal.
const ANNOTATIONS: &str = "EDF Annotations";
