//! Facts and figures of a day of ambulatory ECG: pure functions, no window, no files, no clock, no network.
//!
//! The way of the data is one way: a [`model::Recording`] and [`settings::Settings`] give
//! [`model::Found`] (what the program found, dear to compute, no reader involved);
//! `Found` and the edits in force give a [`session::Snapshot`] (what stands now, cheap to compute).
//! Everything a window or a report shows is read from a snapshot.

pub mod model;
pub mod settings;
pub mod statistics;

pub mod classify;
pub mod condition;
pub mod conduction;
pub mod contact;
pub mod delineate;
pub mod detect;
pub mod group;
pub mod measure;
pub mod repolarisation;
pub mod rhythm;
pub mod summarise;
pub mod ventricular_waves;

pub mod pipeline;
pub mod review;
pub mod session;
#[cfg(test)]
mod session_tests;
pub mod shown;
pub mod wiring;
