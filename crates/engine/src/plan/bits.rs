//! A set of small numbers from which the least is taken again and again.

/// A bit set with a floor below which it is empty.
#[derive(Clone, Debug, Default)]
pub(crate) struct Bits {
    words: Vec<u64>,
    /// Words from here on, up to `high`, may hold something.
    low: usize,
    high: usize,
}

impl Bits {
    pub(crate) fn resize(&mut self, size: usize) {
        self.words.clear();
        self.words.resize(size / 64 + 1, 0);
        self.low = self.words.len();
        self.high = 0;
    }

    /// Makes room for numbers below `size`.
    pub(crate) fn grow(&mut self, size: usize) {
        if size / 64 + 1 > self.words.len() {
            self.words.resize(size / 64 + 1, 0);
        }
    }

    #[inline]
    pub(crate) fn set(&mut self, number: u32) {
        let word = (number / 64) as usize;
        self.words[word] |= 1 << (number % 64);
        self.low = self.low.min(word);
        self.high = self.high.max(word + 1);
    }

    /// Takes the least number out.
    #[inline]
    pub(crate) fn pop(&mut self) -> Option<u32> {
        while self.low < self.high {
            let word = self.words[self.low];
            if word != 0 {
                self.words[self.low] = word & (word - 1);
                return Some((self.low * 64) as u32 + word.trailing_zeros());
            }
            self.low += 1;
        }
        self.low = self.words.len();
        self.high = 0;
        None
    }

    pub(crate) fn clear(&mut self) {
        if self.low < self.high {
            self.words[self.low..self.high].fill(0);
        }
        self.low = self.words.len();
        self.high = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gives_back_in_order_also_what_comes_late() {
        let mut bits = Bits::default();
        bits.resize(300);
        bits.set(200);
        bits.set(3);
        assert_eq!(bits.pop(), Some(3));
        bits.set(70);
        assert_eq!([bits.pop(), bits.pop(), bits.pop()], [Some(70), Some(200), None]);
        bits.set(5);
        bits.clear();
        assert_eq!(bits.pop(), None);
    }
}
