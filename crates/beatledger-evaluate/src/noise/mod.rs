//! Recorded noise on clean records: the mixing, and the noise stress test that reads what was mixed.
//!
//! It knows how the MIT-BIH Noise Stress Test Database was made. No other kind of disturbance and no choice of a
//! threshold belongs here.

mod mix;
mod stress_test;

pub use mix::{mix, noisy_spans};
pub use stress_test::{LEVELS_DB, Noisy, stress_table, stress_test};
