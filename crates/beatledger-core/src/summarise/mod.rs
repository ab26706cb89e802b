//! What was measured to the summary of a day: figures, hours, rows and strips.
//!
//! Every figure is put in by its [`crate::model::FigureId`] with what proves it; what it is called and how it is printed
//! stands in one table, [`crate::model::FIGURES`]. Knows the measures; measures nothing itself.

mod day;
mod enough;
mod figure_list;
mod figures;
mod heart;
mod hours;
mod kept;
mod normal;
mod rates;
mod reasons;
mod rows;
mod rr_list;
mod strips;
mod timing;
mod trend;
mod waves;

pub use day::{summarise, summarise_after, summarise_first};
pub use kept::Kept;
pub use rr_list::{RrListDay, rr_list, rr_list_day};

#[cfg(test)]
mod figure_tests;
#[cfg(test)]
mod hour_tests;
#[cfg(test)]
mod rhythm_tests;
#[cfg(test)]
mod tests;
