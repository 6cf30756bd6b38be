use super::Doc;
use super::node::{Label, Node};
use crate::code;
use crate::finding::{Place, Problem};
use crate::near::nearest;
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One file's version of a table.
#[derive(Clone, Copy)]
pub(crate) struct Layer<'a> {
    pub doc: &'a Doc<'a>,
    pub entries: &'a DeTable<'a>,
    /// Offset of its beginning.
    pub at: usize,
}

impl<'a> Layer<'a> {
    /// The root table of a file.
    pub fn root(doc: &'a Doc<'a>, root: &'a Spanned<DeTable<'a>>) -> Self {
        Self { doc, entries: root.get_ref(), at: 0 }
    }
}

/// A table that is asked for its keys.
pub(crate) struct Table<'a> {
    /// The file's own version first, shipped values beneath it.
    layers: Vec<Layer<'a>>,
    /// Whose keys these are, for messages; empty for a file's own.
    pub whose: String,
    known: RefCell<Vec<&'static str>>,
    missing: RefCell<Vec<&'static str>>,
    damaged: Cell<bool>,
}

impl<'a> Table<'a> {
    pub fn new(layer: Layer<'a>, whose: String) -> Self {
        Self::layered(vec![layer], whose)
    }

    /// A table whose values are those of the first layer that has them.
    pub fn layered(layers: Vec<Layer<'a>>, whose: String) -> Self {
        Self {
            layers,
            whose,
            known: RefCell::default(),
            missing: RefCell::default(),
            damaged: Cell::default(),
        }
    }

    /// The value of a key, which is known from now on.
    pub fn node(&self, key: &'static str) -> Option<Node<'_>> {
        self.known.borrow_mut().push(key);
        self.layers.iter().find_map(|layer| {
            let value = layer.entries.get(key)?;
            Some(Node { doc: layer.doc, value, whose: &self.whose, label: Label::Key(key) })
        })
    }

    /// Makes keys known that are read elsewhere.
    pub fn expect(&self, keys: &[&'static str]) {
        self.known.borrow_mut().extend(keys);
    }

    /// Whether there is such a key.
    pub fn has(&self, key: &'static str) -> bool {
        self.node(key).is_some()
    }

    /// The value of a key that must be there; `None`: it is not, or is faulty.
    pub fn req<T>(&self, key: &'static str, read: impl FnOnce(Node<'_>) -> Option<T>) -> Option<T> {
        let node = self.node(key);
        if node.is_none() {
            self.missing.borrow_mut().push(key);
        }
        node.and_then(read)
    }

    /// The value of a key that may be there: outer `None`: it is faulty, inner: it is not there.
    pub fn opt<T>(&self, key: &'static str, read: impl FnOnce(Node<'_>) -> Option<T>) -> Option<Option<T>> {
        match self.node(key) {
            Some(node) => read(node).map(Some),
            None => Some(None),
        }
    }

    /// The value of a key, or what holds where it is not there; `None`: it is faulty.
    pub fn or<T>(
        &self,
        key: &'static str,
        default: T,
        read: impl FnOnce(Node<'_>) -> Option<T>,
    ) -> Option<T> {
        self.node(key).map_or(Some(default), read)
    }

    /// The table of a key, from all layers; `None` and reported where there is none.
    pub fn table(&self, key: &'static str) -> Option<Table<'a>> {
        self.known.borrow_mut().push(key);
        let layers: Vec<Layer<'a>> =
            self.layers.iter().filter_map(|layer| self.sub_layer(layer, key)).collect();
        if layers.is_empty() {
            self.missing.borrow_mut().push(key);
            return None;
        }
        let name = format!("table `{key}`");
        let whose = if self.whose.is_empty() { name } else { format!("{}, {name}", self.whose) };
        Some(Table::layered(layers, whose))
    }

    /// Reads the table of a key, and reports what is missing or unknown in it.
    pub fn sub<T>(&self, key: &'static str, read: impl FnOnce(&Table<'a>) -> Option<T>) -> Option<T> {
        let inner = self.table(key)?;
        let value = read(&inner);
        inner.finish();
        value
    }

    fn sub_layer(&self, layer: &Layer<'a>, key: &'static str) -> Option<Layer<'a>> {
        let value = layer.entries.get(key)?;
        match value.get_ref() {
            DeValue::Table(entries) => Some(Layer { doc: layer.doc, entries, at: value.span().start }),
            _ => {
                let node = Node { doc: layer.doc, value, whose: &self.whose, label: Label::Key(key) };
                node.wrong(code::WRONG_TYPE, format_args!("expected a table: [{key}]"));
                None
            }
        }
    }

    /// The tables of a list of tables (`[[key]]`), those of all layers, the file's own first.
    /// A key that is not there has none. `whose` names them, counted from 1.
    pub fn tables(&self, key: &'static str, whose: impl Fn(usize) -> String) -> Vec<Table<'a>> {
        self.known.borrow_mut().push(key);
        let mut all = Vec::new();
        for layer in &self.layers {
            let Some(value) = layer.entries.get(key) else { continue };
            let node = Node { doc: layer.doc, value, whose: &self.whose, label: Label::Key(key) };
            let Some(list) = value.get_ref().as_array() else {
                self.damaged.set(true);
                node.wrong(code::WRONG_TYPE, format_args!("expected a list of tables: [[{key}]]"));
                continue;
            };
            for (at, value) in list.iter().enumerate() {
                let item = Node { value, label: Label::Item(&node.label, at + 1), ..node };
                let Some(entries) = value.get_ref().as_table() else {
                    item.wrong(code::WRONG_TYPE, format_args!("expected a table: [[{key}]]"));
                    continue;
                };
                let layer = Layer { doc: layer.doc, entries, at: value.span().start };
                all.push(Table::new(layer, whose(at + 1)));
            }
        }
        all
    }

    /// Whether a list of tables was asked for that is there in another form or under another name.
    pub fn is_damaged(&self) -> bool {
        self.damaged.get()
    }

    /// Every key of a table whose keys are free, from all layers, in order.
    pub fn free_keys(&self) -> BTreeSet<&'a str> {
        self.layers.iter().flat_map(|layer| layer.entries.keys().map(|key| &**key.get_ref())).collect()
    }

    /// The value of a free key.
    pub fn free_node<'s>(&'s self, key: &'s str) -> Option<Node<'s>> {
        self.layers.iter().find_map(|layer| {
            let value = layer.entries.get(key)?;
            Some(Node { doc: layer.doc, value, whose: &self.whose, label: Label::Key(key) })
        })
    }

    /// Lays this table on top of `base`.
    pub fn over(mut self, base: &Table<'a>) -> Table<'a> {
        self.layers.extend(base.layers.iter().copied());
        self
    }

    /// Where it begins, in the file's own version.
    pub fn place(&self) -> Place {
        let layer = &self.layers[0];
        layer.doc.text.place(layer.at)
    }

    /// Where an offset of its own file lies.
    pub fn place_at(&self, offset: usize) -> Place {
        self.layers[0].doc.text.place(offset)
    }

    /// Where each key of the file's own version stands.
    pub fn key_places(&self) -> Vec<(String, Place)> {
        let layer = &self.layers[0];
        let place = |value: &Spanned<DeValue<'_>>| layer.doc.text.place(value.span().start);
        layer.entries.iter().map(|(key, value)| (key.get_ref().to_string(), place(value))).collect()
    }

    /// Reports an error of the whole table; the message goes on after its name.
    pub fn fault(&self, problem: Problem) {
        self.layers[0].doc.findings.error(self.place(), self.named(problem));
    }

    /// Reports an error somewhere; the message says whose it is.
    pub fn error_at(&self, place: Place, problem: Problem) {
        self.layers[0].doc.findings.error(place, problem);
    }

    /// Reports an error at a key; the message says its name.
    pub fn fault_at(&self, key: &'static str, problem: Problem) {
        let place = self.node(key).map_or_else(|| self.place(), |node| node.place());
        self.layers[0].doc.findings.error(place, self.named(problem));
    }

    /// Reports a warning at a key; the message says its name.
    pub fn warn_at(&self, key: &'static str, problem: Problem) {
        let place = self.node(key).map_or_else(|| self.place(), |node| node.place());
        self.layers[0].doc.findings.warning(place, self.named(problem));
    }

    fn named(&self, problem: Problem) -> Problem {
        if self.whose.is_empty() { problem } else { problem.of(format_args!("{}:", self.whose)) }
    }

    /// Reports the keys that are missing and those that nobody asked for. An unknown key that is
    /// nearly a missing one is reported once.
    pub fn finish(&self) {
        let known = self.known.borrow();
        let mut missing = self.missing.borrow_mut();
        for layer in &self.layers {
            for key in layer.entries.keys().filter(|key| !known.contains(&&**key.get_ref())) {
                let near = nearest(key.get_ref(), known.iter().copied());
                missing.retain(|name| Some(*name) != near);
                self.damaged.set(self.damaged.get() || near.is_some());
                let place = layer.doc.text.place(key.span().start);
                layer.doc.findings.error(place, self.named(unknown_key(key.get_ref(), near, &known)));
            }
        }
        // What is missing from a file that is not well-formed may only have been lost.
        let broken = self.layers[0].doc.is_broken();
        for key in missing.iter().filter(|_| !broken) {
            self.fault(Problem::new(code::MISSING_KEY, format!("key `{key}` is missing")));
        }
    }
}

fn unknown_key(key: &str, near: Option<&str>, known: &[&'static str]) -> Problem {
    let shown: String = key.chars().take(60).collect();
    let hint = near.map_or_else(
        || {
            let mut names = known.to_vec();
            names.dedup();
            format!("known here are {}", names.join(", "))
        },
        |near| format!("did you mean `{near}`?"),
    );
    Problem::new(code::UNKNOWN_KEY, format!("unknown key `{shown}`")).hint(hint)
}
