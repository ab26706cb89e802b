//! ISHNE files, the output standard for day-long ECG of 1998 (Badilini F, Ann Noninvasive Electrocardiol
//! 3(3):263-266), and their annotation files, by the layout as published.

mod annotation;
mod checksum;
mod header;
mod read;
mod write;
mod write_annotation;
mod write_header;

pub(crate) use annotation::{MAGIC as ANNOTATION_MAGIC, parse as parse_annotations};
pub use read::IshneReader;
pub use write::write;
pub use write_annotation::write_annotations;
