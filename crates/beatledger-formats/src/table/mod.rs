//! Tables of samples as text: a row for each sample, a column for each lead. No standard fixes such files, so the
//! rules are our own and few: `,`, `;` or TAB between cells; a header row with `name (unit)`; and either a time
//! column (`time_s`, `time_ms`) or a line `# rate_hz=250`. Lines `# unit=mV` and `# start=2020-10-24T09:30:15`
//! may say more.

mod layout;
mod read;
mod times;

pub use read::TableReader;
