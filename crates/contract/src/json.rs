//! Reads JSON (RFC 8259) into values that remember where they stood.

use crate::json_text;
use std::borrow::Cow;

/// How deep lists and objects may lie in each other; a problem needs ten levels.
const DEEPEST: usize = 64;

/// A value and the byte at which it begins.
#[derive(Debug)]
pub(crate) struct Value<'t> {
    pub at: usize,
    pub kind: Kind<'t>,
}

#[derive(Debug)]
pub(crate) enum Kind<'t> {
    Null,
    Bool(bool),
    /// As it was written, so that `60` and `60.0` stay different.
    Number(&'t str),
    Text(Cow<'t, str>),
    List(Vec<Value<'t>>),
    /// Its members in their order; a key may occur twice.
    Object(Vec<Member<'t>>),
}

#[derive(Debug)]
pub(crate) struct Member<'t> {
    /// The byte at which the key begins.
    pub at: usize,
    pub key: Cow<'t, str>,
    pub value: Value<'t>,
}

/// Why a text is not JSON, and the byte at which that shows.
#[derive(Debug)]
pub(crate) struct SyntaxError {
    pub at: usize,
    pub what: String,
}

/// The one value that the whole text is.
pub(crate) fn parse(text: &str) -> Result<Value<'_>, SyntaxError> {
    let mut parser = Parser { text, at: 0, depth: 0 };
    let value = parser.value()?;
    parser.skip_blanks();
    if parser.at < text.len() {
        return Err(parser.unexpected("nothing more after the document"));
    }
    Ok(value)
}

struct Parser<'t> {
    text: &'t str,
    at: usize,
    depth: usize,
}

impl<'t> Parser<'t> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn skip_blanks(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    /// Whether the next byte, blanks aside, is `wanted`; then it is taken.
    fn takes(&mut self, wanted: u8) -> bool {
        self.skip_blanks();
        let found = self.peek() == Some(wanted);
        self.at += usize::from(found);
        found
    }

    fn unexpected(&self, expected: &str) -> SyntaxError {
        let what = match self.text[self.at..].chars().next() {
            Some(found) => format!("found {found:?}, expected {expected}"),
            None => format!("the file ends, expected {expected}"),
        };
        SyntaxError { at: self.at, what }
    }

    fn value(&mut self) -> Result<Value<'t>, SyntaxError> {
        self.skip_blanks();
        let at = self.at;
        let kind = match self.peek() {
            Some(b'{') => Kind::Object(self.nested(Self::members)?),
            Some(b'[') => Kind::List(self.nested(Self::elements)?),
            Some(b'"') => Kind::Text(self.string()?),
            Some(b'-' | b'0'..=b'9') => Kind::Number(self.number()?),
            _ => self.word()?,
        };
        Ok(Value { at, kind })
    }

    /// Goes one level down, past the opening bracket.
    fn nested<T>(
        &mut self,
        inside: impl FnOnce(&mut Self) -> Result<T, SyntaxError>,
    ) -> Result<T, SyntaxError> {
        if self.depth == DEEPEST {
            let what = format!("lists and objects lie more than {DEEPEST} deep in each other");
            return Err(SyntaxError { at: self.at, what });
        }
        self.at += 1;
        self.depth += 1;
        let found = inside(self)?;
        self.depth -= 1;
        Ok(found)
    }

    fn members(&mut self) -> Result<Vec<Member<'t>>, SyntaxError> {
        let mut members = Vec::new();
        if self.takes(b'}') {
            return Ok(members);
        }
        loop {
            self.skip_blanks();
            let at = self.at;
            if self.peek() != Some(b'"') {
                return Err(self.unexpected("a key in double quotes"));
            }
            let key = self.string()?;
            if !self.takes(b':') {
                return Err(self.unexpected("`:` after the key"));
            }
            members.push(Member { at, key, value: self.value()? });
            if self.takes(b'}') {
                return Ok(members);
            }
            if !self.takes(b',') {
                return Err(self.unexpected("`,` or `}`"));
            }
        }
    }

    fn elements(&mut self) -> Result<Vec<Value<'t>>, SyntaxError> {
        let mut elements = Vec::new();
        if self.takes(b']') {
            return Ok(elements);
        }
        loop {
            elements.push(self.value()?);
            if self.takes(b']') {
                return Ok(elements);
            }
            if !self.takes(b',') {
                return Err(self.unexpected("`,` or `]`"));
            }
        }
    }

    fn string(&mut self) -> Result<Cow<'t, str>, SyntaxError> {
        let (found, after) = json_text::read(self.text, self.at)?;
        self.at = after;
        Ok(found)
    }

    /// `-? (0 | [1-9][0-9]*) (\. [0-9]+)? ([eE] [+-]? [0-9]+)?`
    fn number(&mut self) -> Result<&'t str, SyntaxError> {
        let start = self.at;
        self.at += usize::from(self.peek() == Some(b'-'));
        if self.peek() == Some(b'0') {
            self.at += 1;
        } else {
            self.digits()?;
        }
        if self.peek() == Some(b'.') {
            self.at += 1;
            self.digits()?;
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            self.at += 1;
            self.at += usize::from(matches!(self.peek(), Some(b'+' | b'-')));
            self.digits()?;
        }
        Ok(&self.text[start..self.at])
    }

    fn digits(&mut self) -> Result<(), SyntaxError> {
        if !matches!(self.peek(), Some(b'0'..=b'9')) {
            return Err(self.unexpected("a digit"));
        }
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        Ok(())
    }

    fn word(&mut self) -> Result<Kind<'t>, SyntaxError> {
        let rest = &self.text[self.at..];
        let length = rest.bytes().take_while(u8::is_ascii_alphabetic).count();
        let kind = match &rest[..length] {
            "null" => Kind::Null,
            "true" => Kind::Bool(true),
            "false" => Kind::Bool(false),
            word @ ("NaN" | "Infinity") => {
                return Err(SyntaxError { at: self.at, what: format!("{word} is not a JSON number") });
            }
            _ => return Err(self.unexpected("a value")),
        };
        self.at += length;
        Ok(kind)
    }
}
