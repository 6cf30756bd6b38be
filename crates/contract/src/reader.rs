//! Takes values of the wanted kind out of a document and keeps a fault for each that is not.

use crate::fault::Fault;
use crate::json::{self, Kind, Member, Value};
use crate::near::nearest;
use crate::spot::{Entered, Fields, Keys, Path, Spot};
use elbowroom_problem::MAX_MINUTE;
use std::ops::RangeInclusive;

/// The largest amount of money that the problem takes.
const MOST_MONEY: f64 = 1e15;

/// So many faults get a search for what was meant; it is a help for people, and a file with
/// thousands of faults must not take minutes to refuse.
const SEARCHES: usize = 50;

/// The faults found so far, with the byte at which each lies.
#[derive(Default)]
pub(crate) struct Reader {
    faults: Vec<(usize, Fault)>,
    searches: usize,
}

impl Reader {
    /// Keeps a fault of the value at `spot`.
    pub fn fault(&mut self, spot: Spot, what: impl Into<String>) {
        self.fault_at(spot.value.at, &spot.path, what);
    }

    /// Keeps a fault that lies at byte `at`.
    fn fault_at(&mut self, at: usize, path: &Path, what: impl Into<String>) {
        self.faults.push((at, Fault { place: path.to_string(), line: None, what: what.into() }));
    }

    /// Whether nothing has been wrong so far.
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }

    /// The faults in the order of the file, each with its line.
    pub fn into_faults(mut self, text: &str) -> Vec<Fault> {
        self.faults.sort_by_key(|(at, _)| *at);
        let mut line = 1;
        let mut counted = 0;
        let mut faults = Vec::with_capacity(self.faults.len());
        for (at, fault) in self.faults {
            line += line_breaks(&text.as_bytes()[counted..at]);
            counted = at;
            faults.push(Fault { line: Some(line), ..fault });
        }
        faults
    }

    /// `; did you mean ...` where one of `names` is near enough.
    pub fn meant<'c>(&mut self, word: &str, names: impl Iterator<Item = &'c str>) -> String {
        self.searches += 1;
        let found = if self.searches <= SEARCHES { nearest(word, names) } else { None };
        found.map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
    }

    /// The members of an object. Unknown, missing and repeated keys become faults; what is
    /// there is returned all the same, so that its own faults are found too.
    pub fn object<'a>(&mut self, spot: Spot<'a>, keys: &'a Keys) -> Option<Fields<'a>> {
        let Kind::Object(members) = &spot.value.kind else {
            self.fault(spot, format!("is {}, must be an object in braces", shown(spot.value)));
            return None;
        };
        let mut fields = Fields::none(spot.path, keys);
        for Member { at, key, value } in members {
            match fields.enter(key, value) {
                Entered::Known => {}
                Entered::Again => {
                    let what = format!("key `{key}` appears twice in one object; leave one of them");
                    self.fault_at(*at, &spot.path, what);
                }
                Entered::Unknown => {
                    let meant = self.meant(key, keys.all());
                    let what = format!("unknown key `{}`{meant}", clipped(key));
                    self.fault_at(*at, &spot.path, what);
                }
            }
        }
        for key in keys.required.iter().filter(|key| !fields.has(key)) {
            self.fault(spot, format!("key `{key}` is missing"));
        }
        Some(fields)
    }

    /// The elements of a list that has at least `least` of them.
    pub fn list<'a>(&mut self, spot: Spot<'a>, least: usize) -> Option<&'a [Value<'a>]> {
        let Kind::List(elements) = &spot.value.kind else {
            self.fault(spot, format!("is {}, must be a list in brackets", shown(spot.value)));
            return None;
        };
        if elements.len() < least {
            self.fault(spot, format!("is empty; it needs at least {least} element"));
            return None;
        }
        Some(elements)
    }

    /// Every element of an optional list, read by `element`; nothing where the list is left out.
    pub fn each<'a, T>(
        &mut self,
        list: Option<Spot<'a>>,
        least: usize,
        mut element: impl FnMut(&mut Self, Spot) -> Option<T>,
    ) -> Vec<Option<T>> {
        let Some(spot) = list else { return Vec::new() };
        let elements = self.list(spot, least).unwrap_or_default();
        spot.elements(elements).map(|each| element(self, each)).collect()
    }

    /// A string.
    pub fn string<'a>(&mut self, spot: Option<Spot<'a>>) -> Option<&'a str> {
        let spot = spot?;
        if let Kind::Text(text) = &spot.value.kind {
            return Some(text);
        }
        self.fault(spot, format!("is {}, must be a string in double quotes", shown(spot.value)));
        None
    }

    /// A string that is not empty.
    pub fn name<'a>(&mut self, spot: Option<Spot<'a>>) -> Option<&'a str> {
        let text = self.string(spot)?;
        if text.is_empty() {
            self.fault(spot?, "is an empty string, must have at least one character");
            return None;
        }
        Some(text)
    }

    /// A whole number within `range`, written as one.
    pub fn integer(&mut self, spot: Option<Spot>, range: RangeInclusive<i64>) -> Option<i64> {
        let spot = spot?;
        let Kind::Number(digits) = &spot.value.kind else {
            self.fault(spot, format!("is {}, must be an integer", shown(spot.value)));
            return None;
        };
        if digits.contains(['.', 'e', 'E']) {
            let hint = whole(digits).map(|n| format!(": write {n}")).unwrap_or_default();
            self.fault(
                spot,
                format!("is {}, must be an integer written without point{hint}", clipped(digits)),
            );
            return None;
        }
        let number = digits.parse::<i64>().ok().filter(|number| range.contains(number));
        if number.is_none() {
            let (low, high) = (range.start(), range.end());
            self.fault(spot, format!("is {}, must be from {low} to {high}", clipped(digits)));
        }
        number
    }

    /// A moment or a length of time in minutes, at least `least`.
    pub fn minutes(&mut self, spot: Option<Spot>, least: i64) -> Option<i64> {
        self.integer(spot, least..=MAX_MINUTE)
    }

    /// A finite number of either sign.
    pub fn number(&mut self, spot: Option<Spot>) -> Option<f64> {
        let spot = spot?;
        let Kind::Number(digits) = &spot.value.kind else {
            self.fault(spot, format!("is {}, must be a number", shown(spot.value)));
            return None;
        };
        let number = digits.parse::<f64>().ok().filter(|number| number.is_finite());
        if number.is_none() {
            self.fault(spot, format!("is {}, which is too large for a number", clipped(digits)));
        }
        number
    }

    /// An amount of money or a rate: finite, not negative.
    pub fn money(&mut self, spot: Option<Spot>) -> Option<f64> {
        let amount = self.number(spot)?;
        if !(0.0..=MOST_MONEY).contains(&amount) {
            self.fault(spot?, format!("is {amount:?}, must be from 0 to {MOST_MONEY:e}"));
            return None;
        }
        Some(amount + 0.0) // minus nothing is nothing
    }

    /// One of a few words.
    pub fn word<T: Copy>(&mut self, spot: Option<Spot>, words: &[(&str, T)]) -> Option<T> {
        let text = self.string(spot)?;
        let found = words.iter().find(|(word, _)| *word == text).map(|(_, meaning)| *meaning);
        if found.is_none() {
            let all: Vec<_> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
            let meant = self.meant(text, words.iter().map(|(word, _)| *word));
            self.fault(spot?, format!("is \"{}\", must be {}{meant}", clipped(text), all.join(" or ")));
        }
        found
    }
}

fn line_breaks(bytes: &[u8]) -> usize {
    bytes.iter().filter(|byte| **byte == b'\n').count()
}

/// The integer that a number with point or exponent is equal to, where it is to one.
fn whole(digits: &str) -> Option<i64> {
    let number: f64 = digits.parse().ok()?;
    (number.fract() == 0.0 && number.abs() < 1e15).then_some(number as i64)
}

/// The beginning of a text that is too long for a message.
pub(crate) fn clipped(text: &str) -> String {
    const LONGEST: usize = 60;
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}

/// A value as a message shows it.
pub(crate) fn shown(value: &Value) -> String {
    match &value.kind {
        Kind::Null => "null".to_owned(),
        Kind::Bool(truth) => truth.to_string(),
        Kind::Number(digits) => clipped(digits),
        Kind::Text(text) => format!("\"{}\"", clipped(text)),
        Kind::List(_) => "a list".to_owned(),
        Kind::Object(_) => "an object".to_owned(),
    }
}

/// The one value of a document, or the fault why it is none.
pub(crate) fn document<'t>(text: &'t [u8], name: &str) -> Result<(&'t str, Value<'t>), Vec<Fault>> {
    let fault = |at: usize, what: String| {
        vec![Fault { place: name.to_owned(), line: Some(1 + line_breaks(&text[..at])), what }]
    };
    if let Some(what) = foreign(text) {
        return Err(fault(0, what.to_owned()));
    }
    let utf8 = std::str::from_utf8(text).map_err(|error| {
        let at = error.valid_up_to();
        fault(at, format!("byte {at} (0x{:02x}) is not UTF-8; save the file as UTF-8", text[at]))
    })?;
    let value = json::parse(utf8).map_err(|error| fault(error.at, format!("is not JSON: {}", error.what)))?;
    Ok((utf8, value))
}

/// What a file is that does not even begin like one of ours.
fn foreign(text: &[u8]) -> Option<&'static str> {
    match text {
        [] => Some("the file is empty"),
        [0xef, 0xbb, 0xbf, ..] => Some("begins with a byte order mark; save the file as UTF-8 without one"),
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => Some("looks like UTF-16; save the file as UTF-8"),
        [0x1f, 0x8b, ..] | [b'P', b'K', ..] => Some("looks compressed; unpack the file first"),
        _ => None,
    }
}
