//! The files of a folder as texts and as tables.

use crate::finding::Place;
use crate::keyed::{Doc, Layer, parse};
use std::collections::BTreeMap;
use toml::Spanned;
use toml::de::DeTable;

/// The texts of a folder.
pub(crate) struct Texts<'a> {
    pub files: BTreeMap<&'a str, Option<&'a str>>,
    pub unread: Vec<String>,
    /// Files of parts that were added to the folder's own.
    pub added: Vec<String>,
}

impl<'a> Texts<'a> {
    pub fn toml_files(&self) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.files
            .iter()
            .filter(|(name, _)| name.ends_with(".toml") || self.added.iter().any(|added| added == *name))
            .filter_map(|(name, text)| Some((*name, (*text)?)))
    }

    /// Whether a file is there but cannot be understood.
    pub fn is_unread(&self, name: &str) -> bool {
        self.files.get(name) == Some(&None) || self.unread.iter().any(|unread| unread == name)
    }

    /// Whether there is no such file.
    pub fn is_absent(&self, name: &str) -> bool {
        !self.files.contains_key(name) && !self.is_unread(name)
    }
}

/// A file as a table.
pub(crate) struct Parsed<'a> {
    pub doc: &'a Doc<'a>,
    root: Spanned<DeTable<'a>>,
}

impl<'a> Parsed<'a> {
    pub fn new(doc: &'a Doc<'a>) -> Self {
        Self { doc, root: parse(doc) }
    }

    pub fn name(&self) -> &str {
        &self.doc.text.file
    }

    /// Where the value of a dotted key stands, if the file has it.
    pub fn place_of(&self, key: &str) -> Option<Place> {
        let mut table = self.root.get_ref();
        let mut found = None;
        for name in key.split('.') {
            let value = table.get(name)?;
            found = Some(self.doc.text.place(value.span().start));
            match value.get_ref().as_table() {
                Some(inner) => table = inner,
                None => break,
            }
        }
        found
    }

    /// As a layer of tables that lie on top of each other.
    pub fn layer<'s>(&'s self) -> Layer<'s>
    where
        'a: 's,
    {
        Layer::root(self.doc, &self.root)
    }
}
