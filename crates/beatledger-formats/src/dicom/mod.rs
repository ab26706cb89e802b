//! ECG waveform objects of DICOM (PS3.3 and PS3.5): only what a waveform needs of the standard, in the two
//! uncompressed little-endian transfer syntaxes. Nesting is bounded, and no length is believed.

mod elements;
mod group;
mod leads;
mod read;

pub use read::DicomReader;
