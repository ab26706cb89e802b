//! The live summary on the stage: figures by family, by hour, the NN histogram, and the tables beyond them.
//!
//! Every figure and every hour is a button that selects what proves it.
//! The files here read the summary of the snapshot, and compute nothing of it.
//! A new figure is added in the core and shows here by its family; this folder only lists which figures are essential.

pub(crate) mod families;
mod hours;
mod plot;
mod shares;
mod st_plot;
mod tables;
