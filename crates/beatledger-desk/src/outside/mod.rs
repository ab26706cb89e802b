//! Everything that touches the system: files, dialogs, the clock, settings files, signed folders.
//!
//! What the window needs from the system is a trait in `services`; tests hand in canned twins of it.
//! The files here know the formats, the ledger and the report, and nothing of views, acts and commands.
//! No other folder of the window opens a file or asks for the time.

pub mod canned;
pub mod desktop;
pub mod export;
pub mod read_day;
pub mod services;
pub mod settings_file;
pub mod sign_rules;
pub mod signed_folder;
