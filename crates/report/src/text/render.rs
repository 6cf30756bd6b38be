//! Tables as aligned text.
//!
//! Widths are counted in columns of a terminal (Unicode standard annex 11), so that CJK and
//! accented ids stay aligned. Where a table does not fit, columns of prose are broken into lines;
//! where even that is too wide, every row becomes a block of `title: text` lines.

use crate::clean::plain;
use crate::lists::NO_BREAK;
use crate::table::{Column, ColumnKind, Table};
use unicode_width::UnicodeWidthStr;

/// Blanks between columns.
const GAP: usize = 2;
/// What stands before a line below a row.
const BELOW: &str = "    ";
/// Narrowest that a column of prose is made.
const LEAST_PROSE: usize = 14;

/// A table no wider than `width`, with its caption and a line end.
#[must_use]
pub fn table(table: &Table, width: usize) -> String {
    let mut lines = wrap(&plain(&table.caption), width);
    let rows = cleaned(table);
    if rows.is_empty() {
        lines.extend(wrap(&table.empty, width.saturating_sub(2)).into_iter().map(|line| format!("  {line}")));
    } else {
        match column_widths(&table.columns, &rows, width) {
            Some(widths) => lines.extend(aligned(table, &rows, &widths, width)),
            None => lines.extend(blocks(table, &rows, width)),
        }
    }
    if let Some(note) = &table.note {
        lines.extend(wrap(&plain(note), width));
    }
    lines.join("\n") + "\n"
}

fn cleaned(table: &Table) -> Vec<Vec<String>> {
    table.rows.iter().map(|row| row.cells.iter().map(|cell| plain(cell)).collect()).collect()
}

/// The width of every column; `None` where they do not fit beside each other. Titles are broken at blanks
/// only where they would not fit otherwise.
fn column_widths(columns: &[Column], rows: &[Vec<String>], width: usize) -> Option<Vec<usize>> {
    let whole = |column: &Column| column.title.width();
    let word = |column: &Column| column.title.split(' ').map(UnicodeWidthStr::width).max().unwrap_or(0);
    fitted(columns, rows, width, &whole).or_else(|| fitted(columns, rows, width, &word))
}

fn fitted(
    columns: &[Column],
    rows: &[Vec<String>],
    width: usize,
    title: &dyn Fn(&Column) -> usize,
) -> Option<Vec<usize>> {
    let natural = |(i, column): (usize, &Column)| {
        rows.iter().map(|row| row[i].width()).max().unwrap_or(0).max(title(column))
    };
    let mut widths: Vec<usize> = columns.iter().enumerate().map(natural).collect();
    let room = width.checked_sub(GAP * columns.len().saturating_sub(1))?;
    while widths.iter().sum::<usize>() > room {
        let excess = widths.iter().sum::<usize>() - room;
        let (i, next) = widest_prose(columns, &widths)?;
        // Down to the next widest at once, but never below what can be read or by more than needed.
        let target = next.min(widths[i] - 1).max(LEAST_PROSE).max(widths[i].saturating_sub(excess));
        widths[i] = target;
    }
    Some(widths)
}

/// The widest column of prose that can still give way, and the width of the next.
fn widest_prose(columns: &[Column], widths: &[usize]) -> Option<(usize, usize)> {
    let prose = |&i: &usize| columns[i].kind == ColumnKind::Prose && widths[i] > LEAST_PROSE;
    let widest = (0..columns.len()).filter(prose).max_by_key(|&i| widths[i])?;
    let others = (0..columns.len()).filter(prose).filter(|&i| i != widest);
    Some((widest, others.map(|i| widths[i]).max().unwrap_or(LEAST_PROSE)))
}

fn aligned(table: &Table, rows: &[Vec<String>], widths: &[usize], width: usize) -> Vec<String> {
    let columns = &table.columns;
    let titles: Vec<String> = columns.iter().map(|column| column.title.to_owned()).collect();
    let mut lines = row_lines(columns, &titles, widths);
    let rule: Vec<String> = widths.iter().map(|&width| "-".repeat(width)).collect();
    lines.push(rule.join(&" ".repeat(GAP)));
    for (row, cells) in table.rows.iter().zip(rows) {
        lines.extend(row_lines(columns, cells, widths));
        let below = row.below.iter().flat_map(|text| wrap(&plain(text), width.saturating_sub(BELOW.len())));
        lines.extend(below.map(|line| format!("{BELOW}{line}")));
    }
    lines
}

/// A row on as many lines as its longest text needs.
fn row_lines(columns: &[Column], row: &[String], widths: &[usize]) -> Vec<String> {
    let cells: Vec<Vec<String>> = row.iter().zip(widths).map(|(text, &width)| wrap(text, width)).collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    let line = |n: usize| {
        let texts = cells.iter().zip(widths).zip(columns).map(|((cell, &width), column)| {
            let text = cell.get(n).map_or("", String::as_str);
            padded(text, width, column.kind == ColumnKind::Number)
        });
        texts.collect::<Vec<_>>().join(&" ".repeat(GAP)).trim_end().to_owned()
    };
    (0..height).map(line).collect()
}

fn padded(text: &str, width: usize, right: bool) -> String {
    let blanks = " ".repeat(width.saturating_sub(text.width()));
    if right { blanks + text } else { text.to_owned() + &blanks }
}

/// Rows as blocks of `title: text`, an empty line between them.
fn blocks(table: &Table, rows: &[Vec<String>], width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for (n, row) in rows.iter().enumerate() {
        if n > 0 {
            lines.push(String::new());
        }
        for (column, text) in table.columns.iter().zip(row).filter(|(_, text)| !text.is_empty()) {
            let words = wrap(&format!("{}: {text}", column.title), width.saturating_sub(2));
            lines.extend(
                words
                    .into_iter()
                    .enumerate()
                    .map(|(i, line)| if i == 0 { line } else { format!("  {line}") }),
            );
        }
        lines.extend(table.rows[n].below.iter().flat_map(|text| wrap(&plain(text), width)));
    }
    lines
}

/// `text` broken at blanks into lines of at most `width` columns; a longer word is cut. Blanks that
/// forbid breaking become ordinary ones once the lines stand.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    broken(text, width).into_iter().map(|line| line.replace(NO_BREAK, " ")).collect()
}

fn broken(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = vec![String::new()];
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        for (i, piece) in pieces(word, width).into_iter().enumerate() {
            let line = lines.last_mut().expect("there is always a line");
            let blank = usize::from(!line.is_empty());
            if i == 0 && line.width() + blank + piece.width() <= width {
                line.push_str(&" ".repeat(blank));
                line.push_str(&piece);
            } else {
                lines.push(piece);
            }
        }
    }
    lines
}

/// A word cut into pieces of at most `width` columns.
fn pieces(word: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for c in word.chars() {
        let piece = pieces.last_mut().expect("there is always a piece");
        let longer = format!("{piece}{c}");
        if longer.width() > width && !piece.is_empty() {
            pieces.push(c.to_string());
        } else {
            *piece = longer;
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{number, prose, word};

    fn sample() -> Table {
        let mut table = Table::new("Parts", "no parts", &[word("Part"), number("Pieces"), prose("Note")]);
        table.push(vec!["RAIL-1".into(), "40".into(), "bend after washing, mind the seam".into()], false);
        table.push(vec!["管-2".into(), "1200".into(), String::new()], false);
        table
    }

    #[test]
    fn columns_are_aligned_by_what_a_terminal_shows() {
        let text = table(&sample(), 80);
        let expected = "Parts\n\
            Part    Pieces  Note\n\
            ------  ------  ---------------------------------\n\
            RAIL-1      40  bend after washing, mind the seam\n\
            管-2      1200\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn prose_gives_way_first() {
        let text = table(&sample(), 36);
        let expected = "Parts\n\
            Part    Pieces  Note\n\
            ------  ------  --------------------\n\
            RAIL-1      40  bend after washing,\n\
            \u{20}               mind the seam\n\
            管-2      1200\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn titles_are_broken_before_columns_are_given_up() {
        let mut figures = Table::new("Times", "none", &[word("Work"), number("Times the standard")]);
        figures.push_with(vec!["cut".into(), "1.20".into()], false, Some("of 27 lots, all of them".into()));
        let expected = "Times\n\
            Work     Times\n\
            \u{20}          the\n\
            \u{20}     standard\n\
            ----  --------\n\
            cut       1.20\n\
            \u{20}   of 27\n\
            \u{20}   lots, all\n\
            \u{20}   of them\n";
        assert_eq!(table(&figures, 14), expected);
    }

    #[test]
    fn too_narrow_for_columns_gives_blocks() {
        let text = table(&sample(), 24);
        let expected = "Parts\n\
            Part: RAIL-1\nPieces: 40\nNote: bend after\n  washing, mind the seam\n\nPart: 管-2\nPieces: 1200\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn no_width_is_too_small() {
        for width in 0..90 {
            let longest = table(&sample(), width).lines().map(UnicodeWidthStr::width).max().unwrap();
            assert!(longest <= width.max(4), "{width}: {longest}");
        }
    }

    #[test]
    fn an_empty_table_says_so() {
        let empty = Table::new("Parts", "no parts", &[word("Part")]);
        assert_eq!(table(&empty, 80), "Parts\n  no parts\n");
    }
}
