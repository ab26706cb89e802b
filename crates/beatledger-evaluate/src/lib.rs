//! Whole databases through the analysis: every record is read with default settings, as a user's recording would
//! be, and compared with its reference by ANSI/AAMI EC57.
//!
//! It knows the core, the file formats and the comparison. It reads files and returns values and text; it writes no
//! file and prints nothing. No window and no command line may come in: the `beatledger score` command and the
//! accuracy tests stand on it.

#![cfg_attr(test, allow(clippy::unwrap_used))]

mod annotations;
mod beats_only;
mod case;
mod database;
mod leads;
mod recording;

pub mod noise;
pub mod reliability;
pub mod resample;
pub mod short;
pub mod tables;

pub use annotations::reference;
pub use case::{Case, Said, Sides, case_of_files};
pub use database::{Database, Wanted, open};
pub use leads::Leads;
pub use recording::case_of_recording;
