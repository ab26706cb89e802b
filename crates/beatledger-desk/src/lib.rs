//! The window in which a day is read, and the `beatledger` command.
//!
//! The window holds no fact. Views read a [`beatledger_core::session::Snapshot`] and emit [`act::Act`]s;
//! one place applies them after drawing.

#![cfg_attr(test, allow(clippy::unwrap_used))]

pub mod act;
pub mod app;
pub mod chord;
pub mod cli;
pub mod command;
pub mod day;
pub mod derived;
pub mod doc;
pub mod export;
pub mod find;
pub mod fonts;
pub mod look;
pub mod pictures;
pub mod pyramid;
pub mod selection;
pub mod services;
pub mod settings_file;
pub mod sheet;
pub mod signoff;
pub mod stage;
pub mod view;
mod why;
pub mod window;

pub mod band;
pub mod draw;
pub mod grid;
pub mod lens;
pub mod pick;
pub mod scatter;
pub mod strip;

mod anew;
mod apply;
mod bottom;
mod cards;
mod choose;
mod conclude;
mod edge;
mod events;
mod figures;
mod first_look;
mod history;
mod identity;
mod intake;
mod items;
mod keys_sheet;
mod layout;
mod lines;
mod looks;
mod moves;
mod palette;
mod prove;
mod rows;
mod run;
mod settings_view;
mod sign;
mod stage_bar;
mod views;
mod worker;

#[cfg(test)]
mod made;
#[cfg(test)]
mod tests;
