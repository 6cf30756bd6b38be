//! Small shops for unit tests.
