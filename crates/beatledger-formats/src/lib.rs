//! Open-standard recording and annotation files, read into and written from the core's model.
