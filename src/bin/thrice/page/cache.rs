//! What was made a moment ago, by what it was made from: a slider that moves back, a picture of a block just drawn.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// The last few results, the latest first.
pub struct Cache<T> {
    kept: Mutex<VecDeque<(String, Arc<T>)>>,
    most: usize,
}

impl<T> Cache<T> {
    /// One that keeps so many.
    pub const fn new(most: usize) -> Self {
        Self { kept: Mutex::new(VecDeque::new()), most }
    }

    /// What was made from `key`, made now if it is not kept. Nothing waits while it is made.
    ///
    /// # Errors
    /// Of `make`; then nothing is kept.
    pub fn get<E>(&self, key: &str, make: impl FnOnce() -> Result<T, E>) -> Result<Arc<T>, E> {
        if let Some(found) = self.find(key) {
            return Ok(found);
        }
        let made = Arc::new(make()?);
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.push_front((key.to_owned(), Arc::clone(&made)));
        kept.truncate(self.most);
        Ok(made)
    }

    fn find(&self, key: &str) -> Option<Arc<T>> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(known, _)| known == key)?;
        let found = kept.remove(at)?;
        let made = Arc::clone(&found.1);
        kept.push_front(found);
        Some(made)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_are_kept_and_errors_are_not() {
        let cache: Cache<u32> = Cache::new(2);
        let get = |key: &str, value: u32| *cache.get(key, || Ok::<_, ()>(value)).unwrap();
        assert_eq!(
            [get("a", 1), get("b", 2), get("a", 9), get("c", 3), get("a", 9), get("b", 7)],
            [1, 2, 1, 3, 1, 7]
        );
        assert_eq!(cache.get("d", || Err(5)), Err(5));
        assert_eq!(get("a", 8), 1);
    }
}
