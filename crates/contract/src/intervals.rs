//! Lists of intervals: working time and heads.

use crate::json::Kind;
use crate::reader::{Reader, shown};
use crate::spot::{Path, Spot};
use elbowroom_problem::{HeadCount, MAX_MINUTE, Window};
use elbowroom_units::Minute;

/// Whether an interval may begin where the one before it ends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Touching {
    Allowed,
    Refused,
}

/// `[[start, end], ...]`: sorted, disjoint, not touching.
pub(crate) fn windows(reader: &mut Reader, list: Option<Spot>) -> Option<Vec<Window>> {
    let rows = rows::<2>(reader, list?, Touching::Refused)?;
    Some(rows.into_iter().map(|[start, end]| window(start, end)).collect())
}

/// `[[start, end, heads], ...]`: sorted, disjoint.
pub(crate) fn capacity(reader: &mut Reader, list: Option<Spot>) -> Option<Vec<HeadCount>> {
    let rows = rows::<3>(reader, list?, Touching::Allowed)?;
    let count = |[start, end, heads]: [i64; 3]| {
        Some(HeadCount { window: window(start, end), heads: u32::try_from(heads).ok()? })
    };
    rows.into_iter().map(count).collect()
}

fn window(start: i64, end: i64) -> Window {
    Window { start: Minute::new(start), end: Minute::new(end) }
}

/// The rows of a list, of which the first two numbers are an interval; `None` where any is wrong.
fn rows<const N: usize>(reader: &mut Reader, list: Spot, touching: Touching) -> Option<Vec<[i64; N]>> {
    let elements = reader.list(list, 0)?;
    let mut rows = Vec::with_capacity(elements.len());
    let mut before: Option<i64> = None;
    for spot in list.elements(elements) {
        let row = row::<N>(reader, spot).filter(|row| is_interval(reader, spot, row[0], row[1]));
        if let (Some(row), Some(end)) = (row, before) {
            follows(reader, spot, row[0], end, touching);
        }
        before = row.map(|row| row[1]).or(before);
        rows.push(row);
    }
    rows.into_iter().collect()
}

/// `N` integers, the third and later ones being heads.
fn row<const N: usize>(reader: &mut Reader, spot: Spot) -> Option<[i64; N]> {
    let Kind::List(numbers) = &spot.value.kind else {
        reader.fault(spot, format!("is {}, must be a list of {N} integers", shown(spot.value)));
        return None;
    };
    if numbers.len() != N {
        reader.fault(spot, format!("has {} elements, must be {N} integers", numbers.len()));
        return None;
    }
    let mut row = [Some(0); N];
    for (i, value) in numbers.iter().enumerate() {
        let most = if i < 2 { MAX_MINUTE } else { i64::from(u32::MAX) };
        row[i] = reader.integer(Some(Spot { value, path: Path::Index(&spot.path, i) }), 0..=most);
    }
    let complete: Vec<i64> = row.into_iter().collect::<Option<_>>()?;
    complete.try_into().ok()
}

fn is_interval(reader: &mut Reader, spot: Spot, start: i64, end: i64) -> bool {
    if end <= start {
        reader.fault(spot, format!("begins at {start} and ends at {end}, must end after it begins"));
    }
    end > start
}

fn follows(reader: &mut Reader, spot: Spot, start: i64, before: i64, touching: Touching) {
    if start < before {
        reader.fault(spot, format!("begins at {start}, before the end {before} of the interval before it"));
    } else if start == before && touching == Touching::Refused {
        reader.fault(spot, format!("touches the interval before it at {start}; make one of the two"));
    }
}
