//! Summary to document tree to PDF, JSON, CSV and SVG; knows no analysis.
