//! Which move next: by what each has brought lately.

use crate::dice::Dice;

/// Turns between two looks at what the moves have brought.
const PERIOD: u32 = 2000;
/// No move becomes rarer than this share of the most frequent one.
const LEAST: f64 = 0.1;
/// What counts of a period in the next one.
const MEMORY: f64 = 0.9;
/// Less credit than this tells nothing.
const ENOUGH: f64 = 40.0;

#[derive(Clone, Copy, Debug, Default)]
struct Record {
    tries: f64,
    /// Kept changes that lowered the objective count 4, other kept changes that changed it 1.
    credit: f64,
}

/// Weights of the moves.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    weights: Vec<f64>,
    sums: Vec<f64>,
    records: Vec<Record>,
    left: u32,
}

impl Choice {
    pub(crate) fn new(weights: Vec<f64>) -> Self {
        let records = vec![Record::default(); weights.len()];
        let mut choice = Self { sums: weights.clone(), weights, records, left: PERIOD };
        choice.add_up();
        choice
    }

    #[inline]
    pub(crate) fn pick(&mut self, dice: &mut Dice) -> usize {
        let at = dice.unit() * self.sums[self.sums.len() - 1];
        self.sums.iter().position(|&sum| at < sum).unwrap_or(0)
    }

    /// Notes what a turn of a move has brought: `None` if it was taken back, else the change.
    #[inline]
    pub(crate) fn note(&mut self, number: usize, change: Option<f64>) {
        let record = &mut self.records[number];
        record.tries += 1.0;
        record.credit += match change {
            Some(change) if change < -1e-9 => 4.0,
            Some(change) if change > 1e-9 => 1.0,
            _ => 0.0,
        };
        self.left -= 1;
        if self.left == 0 {
            self.adapt();
        }
    }

    fn adapt(&mut self) {
        self.left = PERIOD;
        // When hardly anything is kept any more, what was learnt before counts.
        if self.records.iter().map(|r| r.credit).sum::<f64>() < ENOUGH {
            return;
        }
        let rates: Vec<f64> = self.records.iter().map(|r| (r.credit + 0.01) / (r.tries + 1.0)).collect();
        let most = rates.iter().copied().fold(1e-9, f64::max);
        for (weight, rate) in self.weights.iter_mut().zip(&rates) {
            *weight = 0.8 * *weight + 0.2 * (rate / most).max(LEAST);
        }
        for record in &mut self.records {
            record.tries *= MEMORY;
            record.credit *= MEMORY;
        }
        self.add_up();
    }

    fn add_up(&mut self) {
        let mut sum = 0.0;
        for (total, weight) in self.sums.iter_mut().zip(&self.weights) {
            sum += weight;
            *total = sum;
        }
    }
}
