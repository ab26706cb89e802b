//! A small made snapshot for tests.
