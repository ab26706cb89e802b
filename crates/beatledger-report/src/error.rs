//! What can go wrong while a report is written.

/// Why a report could not be written.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// A built-in font cannot be used.
    #[error("the report cannot be set: {0}")]
    Font(String),
    /// The PDF would break the rules of its kind.
    #[error("the PDF cannot be written as PDF/A-3a and PDF/UA-1: {0}")]
    Pdf(String),
    /// A table could not be written.
    #[error("the table cannot be written: {0}")]
    Csv(#[from] ::csv::Error),
    /// A file could not be written.
    #[error("the file cannot be written: {0}")]
    Io(#[from] std::io::Error),
    /// A summary could not be written.
    #[error("the summary file cannot be written: {0}")]
    Json(#[from] serde_json::Error),
}
