//! Strings of JSON: with their escapes, in both directions.

use crate::json::SyntaxError;
use std::borrow::Cow;

/// The string whose opening quote stands at byte `open`, and the byte after its closing quote.
/// It is borrowed from the text where it holds no escape.
pub(crate) fn read(text: &str, open: usize) -> Result<(Cow<'_, str>, usize), SyntaxError> {
    let mut at = open + 1;
    let mut copy = String::new();
    loop {
        let plain = plain_length(&text.as_bytes()[at..]);
        let end = at + plain;
        match text.as_bytes().get(end) {
            Some(b'"') if copy.is_empty() => return Ok((Cow::Borrowed(&text[at..end]), end + 1)),
            Some(b'"') => {
                copy.push_str(&text[at..end]);
                return Ok((Cow::Owned(copy), end + 1));
            }
            Some(b'\\') => {
                copy.push_str(&text[at..end]);
                let (character, after) = escape(text, end)?;
                copy.push(character);
                at = after;
            }
            Some(_) => {
                let what = "a string holds a line break or another control character; write `\\n`, `\\t` \
                            or `\\u` and four digits";
                return Err(SyntaxError { at: end, what: what.to_owned() });
            }
            None => return Err(SyntaxError { at: open, what: "the string is never closed".to_owned() }),
        }
    }
}

/// How many bytes stand for themselves.
fn plain_length(bytes: &[u8]) -> usize {
    bytes.iter().position(|b| matches!(b, b'"' | b'\\' | 0..=0x1f)).unwrap_or(bytes.len())
}

/// The character of the escape whose backslash stands at byte `at`, and the byte after it.
fn escape(text: &str, at: usize) -> Result<(char, usize), SyntaxError> {
    let character = match text.as_bytes().get(at + 1) {
        Some(b'"') => '"',
        Some(b'\\') => '\\',
        Some(b'/') => '/',
        Some(b'b') => '\u{8}',
        Some(b'f') => '\u{c}',
        Some(b'n') => '\n',
        Some(b'r') => '\r',
        Some(b't') => '\t',
        Some(b'u') => return unicode_escape(text, at),
        _ => return Err(SyntaxError { at, what: "a backslash begins no known escape".to_owned() }),
    };
    Ok((character, at + 2))
}

/// `\uXXXX`, or two of them where a character lies beyond U+FFFF.
fn unicode_escape(text: &str, at: usize) -> Result<(char, usize), SyntaxError> {
    let wrong = |what: &str| SyntaxError { at, what: what.to_owned() };
    let first = hex(text, at).ok_or_else(|| wrong("`\\u` must be followed by four hexadecimal digits"))?;
    if let Some(character) = char::from_u32(first) {
        return Ok((character, at + 6));
    }
    let second = hex(text, at + 6).filter(|low| first < 0xdc00 && (0xdc00..0xe000).contains(low));
    let low = second.ok_or_else(|| wrong("half of a surrogate pair stands alone"))?;
    let code = 0x10000 + ((first - 0xd800) << 10) + (low - 0xdc00);
    let character = char::from_u32(code).ok_or_else(|| wrong("is no Unicode character"))?;
    Ok((character, at + 12))
}

/// The number of a `\uXXXX` that begins at byte `at`.
fn hex(text: &str, at: usize) -> Option<u32> {
    let digits = text.get(at..at + 6)?.strip_prefix("\\u")?;
    if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None; // from_str_radix would take a sign
    }
    u32::from_str_radix(digits, 16).ok()
}

/// Appends `text` as a string of JSON, quotes included.
pub(crate) fn write(out: &mut String, text: &str) {
    out.push('"');
    for character in text.chars() {
        match character {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            control if control < ' ' => out.push_str(&format!("\\u{:04x}", u32::from(control))),
            other => out.push(other),
        }
    }
    out.push('"');
}
