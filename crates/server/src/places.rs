//! How many connections one address may hold, so that one that leaves them open takes nobody's place.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Connections of one other machine; a proxy on this machine speaks for many and may have all.
const MOST_OF_ONE: usize = 1_024;

/// The connections that each address holds.
#[derive(Clone, Default)]
pub struct Places(Arc<Mutex<BTreeMap<IpAddr, usize>>>);

/// One connection's place; given back when this is dropped.
pub struct Place {
    places: Places,
    address: IpAddr,
}

impl Places {
    /// A place for a connection; `None` if its address holds as many as it may.
    pub fn take(&self, address: IpAddr) -> Option<Place> {
        let mut held = self.held();
        let count = held.entry(address).or_default();
        if *count >= MOST_OF_ONE && !address.is_loopback() {
            return None;
        }
        *count += 1;
        Some(Place { places: self.clone(), address })
    }

    fn held(&self) -> MutexGuard<'_, BTreeMap<IpAddr, usize>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut held = self.places.held();
        if let Some(count) = held.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                held.remove(&self.address);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_takes_nobody_elses_place() {
        let places = Places::default();
        let [greedy, other, here] = [[10, 0, 0, 1], [10, 0, 0, 2], [127, 0, 0, 1]].map(IpAddr::from);
        let mut held: Vec<Place> = (0..MOST_OF_ONE).filter_map(|_| places.take(greedy)).collect();
        assert_eq!(held.len(), MOST_OF_ONE);
        assert!(places.take(greedy).is_none() && places.take(other).is_some());
        held.pop();
        assert!(places.take(greedy).is_some(), "a place that was given back is free again");
        held.extend((0..2 * MOST_OF_ONE).filter_map(|_| places.take(here)));
        assert_eq!(held.len(), 3 * MOST_OF_ONE - 1);
        drop(held);
        assert!(places.held().is_empty());
    }
}
