//! Shared helpers of the test package.
