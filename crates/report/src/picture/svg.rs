//! Pictures as SVG text.

use super::ink::Ink;
use super::lettering::{FAMILIES, Weight};
use super::paint::{IN_MEMORY, colour, paint, place};
use super::{Anchor, Group, Picture, Text};
use crate::clean::markup;
use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{FontFamily, FontStyle, FontTransform, IntoFont, TextStyle};
use std::fmt::Write;

/// Units of the drawing for one pixel: plotters places marks on whole units.
const UNITS: f64 = 4.0;

/// plotters divides text sizes by this (the height of a line in letter bodies).
const PLOTTERS_LINE: f64 = 1.24;

/// The picture as a stand-alone SVG document.
#[must_use]
pub fn document(picture: &Picture) -> String {
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}", element(picture, "chart"))
}

/// The picture as one `svg` element, for a document of its own or inside a page.
///
/// `id` must be unique in that page; it ties the element to its title and description.
#[must_use]
pub fn element(picture: &Picture, id: &str) -> String {
    let (width, height) = units_of(picture);
    let mut out = String::new();
    let root = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.0}\" height=\"{:.0}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{id}-title {id}-text\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-text\">{}</desc>\n",
        picture.width,
        picture.height,
        markup(&picture.title),
        markup(&picture.description),
    );
    out.push_str(&root);
    for group in &picture.groups {
        push_group(&mut out, group, (width, height));
    }
    out.push_str("</svg>\n");
    out
}

/// The style rules that turn an `svg` element of a page to dark paper.
#[must_use]
pub fn dark_rules() -> String {
    let mut rules = String::new();
    for ink in Ink::ALL.into_iter().filter(|ink| ink.light() != ink.dark()) {
        let (light, dark) = (Ink::hex(ink.light()), Ink::hex(ink.dark()));
        let _ = writeln!(
            rules,
            "svg [fill=\"{light}\"]{{fill:{dark}}} svg [stroke=\"{light}\"]{{stroke:{dark}}}"
        );
    }
    rules
}

fn units_of(picture: &Picture) -> (u32, u32) {
    ((picture.width * UNITS).ceil() as u32, (picture.height * UNITS).ceil() as u32)
}

fn push_group(out: &mut String, group: &Group, size: (u32, u32)) {
    if let Some(hint) = &group.hint {
        let _ = writeln!(out, "<g><title>{}</title>", markup(hint));
    }
    out.push_str(&painted(group, size));
    if group.hint.is_some() {
        out.push_str("</g>\n");
    }
}

/// The marks of a group without the document that plotters puts around them.
fn painted(group: &Group, size: (u32, u32)) -> String {
    let mut document = String::new();
    let mut backend = SVGBackend::with_string(&mut document, size);
    for mark in &group.marks {
        paint(&mut backend, mark, UNITS, write_text);
    }
    backend.present().expect(IN_MEMORY);
    drop(backend);
    let body = document.split_once('\n').map_or("", |(_root, body)| body);
    body.strip_suffix("</svg>\n").unwrap_or(body).to_owned()
}

fn write_text(backend: &mut SVGBackend, text: &Text) {
    backend.draw_text(&text.words, &text_style(text), place(text.at, UNITS)).expect(IN_MEMORY);
}

fn text_style(text: &Text) -> TextStyle<'static> {
    let weight = match text.weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    let side = match text.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let turn = if text.upwards { FontTransform::Rotate270 } else { FontTransform::None };
    let font = (FontFamily::Name(FAMILIES), text.size * PLOTTERS_LINE * UNITS, weight).into_font();
    font.transform(turn).color(&colour(text.ink)).pos(Pos::new(side, VPos::Center))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(words: &str) -> Picture {
        let mut group = Group { hint: Some(words.to_owned()), marks: Vec::new() };
        group.text(Text::new((5.0, 9.0), words, 11.0));
        let (title, description) = (words.to_owned(), words.to_owned());
        Picture { width: 120.0, height: 20.0, title, description, groups: vec![group] }
    }

    #[test]
    fn what_users_typed_stays_text() {
        let words = "</text><script>alert('1')</script>&\u{1b}\u{0}";
        let document = document(&picture(words));
        let parsed = roxmltree::Document::parse(&document).unwrap();
        let names: Vec<_> =
            parsed.descendants().filter(|n| n.is_element()).map(|n| n.tag_name().name()).collect();
        assert_eq!(names, ["svg", "title", "desc", "g", "title", "text"]);
        let text = parsed.descendants().find(|n| n.has_tag_name("text")).unwrap().text().unwrap();
        assert_eq!(text.trim(), "</text><script>alert('1')</script>&\u{FFFD}\u{FFFD}");
    }

    #[test]
    fn dark_paper_recolours_every_ink_that_differs() {
        let rules = dark_rules();
        assert!(rules.contains("svg [fill=\"#FFFFFF\"]{fill:#15181D}"), "{rules}");
        let differing = Ink::ALL.iter().filter(|ink| ink.light() != ink.dark()).count();
        assert_eq!(rules.lines().count(), differing);
    }
}
