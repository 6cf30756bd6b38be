//! Reads shop folders and problem files, writes plans: every fault with its place and remedy.
