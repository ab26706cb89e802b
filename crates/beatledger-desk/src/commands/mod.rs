//! What a reader can ask for by name or key, and what each request does.
//!
//! `table` is the only list of commands: the palette, the key table and the keys are made from it.
//! `run` calls one function for each command, and does not compile when one is forgotten.
//! The files here know the desk and its acts. Drawing does not belong here, except for the find line.

pub mod chord;
pub mod find;
pub(crate) mod navigate;
pub(crate) mod prove;
pub(crate) mod run;
pub(crate) mod show_tracing;
pub mod table;
