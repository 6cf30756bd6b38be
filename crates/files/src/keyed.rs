//! A small layer over the TOML parser that finds every fault of a file, each with its place.
//!
//! A [`Table`] is asked for its keys one by one, each with a reader for its kind of value; then it
//! is told that this is all ([`Table::finish`]) and reports what was missing and what nobody asked
//! for. Tables can lie on top of each other, so that a shop overrides shipped values key by key.

mod doc;
mod node;
mod table;
pub(crate) mod values;

pub(crate) use doc::{Doc, parse};
pub(crate) use node::Node;
pub(crate) use table::{Layer, Table};
