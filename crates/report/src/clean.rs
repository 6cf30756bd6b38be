//! Texts that users typed, made safe to show.
//!
//! An id can hold anything. Control characters could move a terminal's cursor or make a picture
//! malformed, and direction marks could show one order as another; both are replaced by a visible
//! sign. Markup is escaped.

/// The sign that stands for a character which must not be shown.
const REPLACEMENT: char = '\u{FFFD}';

/// `text` without characters that steer a terminal, turn the reading direction or are not allowed
/// in XML; line ends and tabs become blanks.
#[must_use]
pub fn plain(text: &str) -> String {
    text.chars().map(plain_char).collect()
}

fn plain_char(c: char) -> char {
    match c {
        '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => ' ',
        _ if c.is_control() || turns_direction(c) || matches!(c, '\u{FFFE}' | '\u{FFFF}') => REPLACEMENT,
        _ => c,
    }
}

/// Marks by which the Unicode bidirectional algorithm (UAX 9) is overridden.
fn turns_direction(c: char) -> bool {
    matches!(c, '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

/// `text` as the content of an HTML, SVG or XML element or of a quoted attribute.
#[must_use]
pub fn markup(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().map(plain_char) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_markup_and_disarms_control_characters() {
        assert_eq!(markup("<script>'a' & \"b\""), "&lt;script&gt;&#39;a&#39; &amp; &quot;b&quot;");
        assert_eq!(plain("a\u{1b}[2Jb\nc"), "a\u{FFFD}[2Jb c");
        assert_eq!(plain("J-\u{202E}1"), "J-\u{FFFD}1");
        assert_eq!(plain("Lüneburg 管"), "Lüneburg 管");
    }
}
