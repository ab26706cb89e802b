//! Summary to document tree to PDF, JSON, CSV and SVG; knows no analysis.
//!
//! Everything is read from a [`beatledger_core::session::Snapshot`]. [`strip`] makes tracing geometry in
//! millimetres that the window draws as well.

pub mod strip;
pub mod values;

pub use values::figure_text;
