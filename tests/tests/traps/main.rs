//! Traps: tracings in which a day's report could be wrong with confidence. Each is made here, read by the program, and what
//! is said of it is checked (definitions: common practice).

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod body;
mod conduction;
mod contact;
mod dropping;
mod fibrillation;
mod tachycardia;
