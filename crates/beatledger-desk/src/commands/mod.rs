//! What a reader can ask for by name or key, and what each request does.
//!
//! `table` is the only list of commands: the palette, the key table and the keys are made from it.
//! `run` has one arm for each command, and does not compile when one is forgotten.
//! The files here know the desk and its acts. Drawing does not belong here, except for the find line.

pub(crate) mod appearance;
pub mod chord;
pub(crate) mod edit;
pub mod find;
pub mod keys;
pub(crate) mod navigate;
pub(crate) mod run;
pub(crate) mod select;
pub mod table;
