//! Summary to document tree to PDF, JSON, FHIR, CSV and SVG; knows no analysis.
//!
//! Everything is read from a [`beatledger_core::session::Snapshot`]. [`strip`] makes tracing geometry in
//! millimetres that the window draws as well; [`tables`] describes every table once; [`document`] says what the report says; [`pdf`] sets it;
//! [`json`], [`fhir`], [`csv`] and [`text`] write the same figures for programs and terminals.

pub mod csv;
pub mod document;
mod error;
pub mod fhir;
pub mod json;
pub mod pdf;
pub mod strip;
pub mod tables;
pub mod text;
pub mod values;

#[cfg(test)]
mod made;
#[cfg(test)]
mod tests;

pub use error::ReportError;
pub use values::figure_text;
