//! WFDB records: a text header, signal files and annotation files, as the WFDB manual pages `header(5)`,
//! `signal(5)` and `annot(5)` describe them.

mod annotation;
mod coding;
mod files;
mod header;
mod joined;
mod joined_lead;
mod line;
mod record;
mod symbols;
mod track;
mod write;
mod write_record;

pub use annotation::{Annotation, AnnotationFile, read_annotation_file, read_annotations};
pub use header::{Header, SegmentSpec, SignalSpec, read_header};
pub use record::WfdbReader;
pub use symbols::{Mapping, beat_class, code_from_symbol, symbol_from_code};
pub use write::{annotation_bytes, write_annotations};
pub use write_record::{Packing, write_record};
