//! How often one address may write or guess tokens: buckets that refill.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Addresses remembered at most; when there are more, those with full buckets are forgotten.
const MOST_ADDRESSES: usize = 10_000;

/// Buckets by address.
#[derive(Debug)]
pub struct Rate {
    capacity: f64,
    per_second: f64,
    buckets: Mutex<BTreeMap<IpAddr, Bucket>>,
}

#[derive(Clone, Copy, Debug)]
struct Bucket {
    left: f64,
    at: Instant,
}

impl Rate {
    /// So many at once, and so many in a second in the long run.
    #[must_use]
    pub const fn new(capacity: f64, per_second: f64) -> Self {
        Self { capacity, per_second, buckets: Mutex::new(BTreeMap::new()) }
    }

    /// Takes one from an address's bucket.
    ///
    /// # Errors
    /// How long to wait, if the bucket is empty.
    pub fn take(&self, address: IpAddr, now: Instant) -> Result<(), Duration> {
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        if buckets.len() >= MOST_ADDRESSES {
            buckets.retain(|_, bucket| self.filled(*bucket, now) < self.capacity);
        }
        let bucket = buckets.entry(address).or_insert(Bucket { left: self.capacity, at: now });
        let left = self.filled(*bucket, now);
        if left < 1.0 {
            return Err(Duration::from_secs_f64((1.0 - left) / self.per_second));
        }
        *bucket = Bucket { left: left - 1.0, at: now };
        Ok(())
    }

    /// Whether an address's bucket is empty.
    #[must_use]
    pub fn is_empty(&self, address: IpAddr, now: Instant) -> bool {
        let buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        buckets.get(&address).is_some_and(|bucket| self.filled(*bucket, now) < 1.0)
    }

    fn filled(&self, bucket: Bucket, now: Instant) -> f64 {
        let passed = now.saturating_duration_since(bucket.at).as_secs_f64();
        (bucket.left + passed * self.per_second).min(self.capacity)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bucket_runs_empty_and_refills() {
        let rate = Rate::new(3.0, 2.0);
        let (one, other) = (IpAddr::from([10, 0, 0, 1]), IpAddr::from([10, 0, 0, 2]));
        let start = Instant::now();
        for _ in 0..3 {
            assert_eq!(rate.take(one, start), Ok(()));
        }
        let wait = rate.take(one, start).unwrap_err();
        assert!((wait.as_secs_f64() - 0.5).abs() < 1e-9);
        assert!(rate.is_empty(one, start));
        assert_eq!(rate.take(other, start), Ok(()));
        assert_eq!(rate.take(one, start + wait), Ok(()));
    }
}
