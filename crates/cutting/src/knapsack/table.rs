use super::{Filling, Item};

/// The best filling by a table over the whole room: exact, in time proportional to room and items.
///
/// Lengths are counted in their greatest common measure. Each item goes in as bundles of 1, 2, 4,
/// ... pieces, so that every number of pieces is some set of bundles.
pub(super) fn fill(items: &[Item], room: u32) -> Filling {
    let measure = items.iter().fold(0, |measure, item| gcd(measure, item.size)).max(1);
    let room = (room / measure) as usize;
    let bundles: Vec<Bundle> =
        items.iter().enumerate().flat_map(|(at, item)| bundles(at, item, measure, room)).collect();
    let mut best = vec![0_i64; room + 1];
    let taken: Vec<Vec<bool>> = bundles.iter().map(|bundle| bundle.enter(&mut best)).collect();
    let mut counts = vec![0; items.len()];
    let mut left = room;
    for (bundle, taken) in bundles.iter().zip(&taken).rev() {
        if taken[left] {
            counts[bundle.item] += bundle.pieces;
            left -= bundle.size;
        }
    }
    Filling { counts, value: best[room] }
}

/// Several pieces of an item that go in together.
struct Bundle {
    item: usize,
    pieces: u32,
    size: usize,
    value: i64,
}

impl Bundle {
    /// Lets the bundle into the table, once; for each room, whether it is taken there.
    fn enter(&self, best: &mut [i64]) -> Vec<bool> {
        let mut taken = vec![false; best.len()];
        for room in (self.size..best.len()).rev() {
            let with = best[room - self.size] + self.value;
            if with > best[room] {
                best[room] = with;
                taken[room] = true;
            }
        }
        taken
    }
}

fn bundles(at: usize, item: &Item, measure: u32, room: usize) -> Vec<Bundle> {
    let size = (item.size / measure) as usize;
    let mut left = item.most.min(u32::try_from(room / size).unwrap_or(u32::MAX));
    let mut bundles = Vec::new();
    let mut pieces = 1;
    while left > 0 {
        let take = pieces.min(left);
        let value = item.value * i64::from(take);
        bundles.push(Bundle { item: at, pieces: take, size: size * take as usize, value });
        left -= take;
        pieces *= 2;
    }
    bundles
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}
