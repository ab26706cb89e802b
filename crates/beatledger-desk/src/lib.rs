//! The window in which a day is read, and the `beatledger` command.
//!
//! The window holds no fact. Views read a [`beatledger_core::session::Snapshot`] and emit [`app::act::Act`]s;
//! one place applies them after drawing.

#![cfg_attr(test, allow(clippy::unwrap_used))]

pub mod app;
pub mod cli;
pub mod commands;
pub mod outside;
pub mod pictures;

pub mod beats;
pub(crate) mod figures;
pub(crate) mod lists;
pub mod paint;
pub mod sheets;
pub mod shell;
pub mod tracing;

#[cfg(test)]
mod tests;
