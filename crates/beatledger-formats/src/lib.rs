//! Open-standard recording and annotation files, read into and written from the core's model.
//!
//! [`open`] finds the format from the content of a file, never from its ending, and gives a
//! [`beatledger_core::model::Recording`] with the list of what was odd about it. Files are opened
//! read-only. No length in a file is believed before the bytes are there, so no input can make a reader
//! panic or take memory in proportion to a claim.

#![cfg_attr(test, allow(clippy::unwrap_used))]

mod bytes;
mod choose;
mod cut;
mod error;
mod known;
mod put;
mod reader;
mod samples;
mod source;
mod stored;
mod warn;

pub mod diary;
pub mod dicom;
pub mod edf;
pub mod ishne;
pub mod marks;
pub mod matlab;
pub mod private;
pub mod rr;
pub mod table;
pub mod time;
pub mod wfdb;

pub use cut::{cut, kept};
pub use error::FormatError;
pub use reader::{Reader, glance, open, readers};
