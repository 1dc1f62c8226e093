//! Work in turn: a bounded number of jobs at once, a bounded number waiting, and small ones not held up by large ones.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;

use super::answer::{Answer, Refusal};
use crate::words;

/// So many requests may wait; more are told to come again.
const MOST_WAITING: usize = 512;

/// How long a job takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// A moment: drawing a block.
    Small,
    /// A while: a whole quilt, a picture of cloth.
    Large,
}

/// Who is served when.
pub struct Queue {
    small: Arc<Semaphore>,
    large: Arc<Semaphore>,
    waiting: AtomicUsize,
}

impl Default for Queue {
    fn default() -> Self {
        let cores = std::thread::available_parallelism().map_or(2, |n| n.get().max(2));
        let places = |count| Arc::new(Semaphore::new(count));
        Self { small: places(cores), large: places(cores.div_ceil(2)), waiting: AtomicUsize::new(0) }
    }
}

impl Queue {
    /// Does a job in its turn; one whose page has gone away in the meantime is not begun.
    pub async fn run(
        &self,
        size: Size,
        job: impl FnOnce() -> Result<Answer, Refusal> + Send + 'static,
    ) -> Result<Answer, Refusal> {
        let places = match size {
            Size::Small => &self.small,
            Size::Large => &self.large,
        };
        let waits = Waits::begin(&self.waiting)?;
        let place = Arc::clone(places).acquire_owned().await;
        drop(waits);
        let place = place.map_err(|_| Refusal::new(503, "the page is closing"))?;
        let done = spawn_blocking(move || {
            let _place = place;
            words::begin_anew();
            caught(job)
        });
        done.await.unwrap_or_else(|error| Err(Refusal::broke(&error.to_string())))
    }
}

/// A job that breaks is told as one, and nothing else ends with it.
fn caught(job: impl FnOnce() -> Result<Answer, Refusal>) -> Result<Answer, Refusal> {
    catch_unwind(AssertUnwindSafe(job)).unwrap_or_else(|panic| {
        let words = panic.downcast_ref::<String>().map(String::as_str);
        Err(Refusal::broke(words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no words")))
    })
}

/// One that waits, until it is dropped.
struct Waits<'q>(&'q AtomicUsize);

impl<'q> Waits<'q> {
    fn begin(count: &'q AtomicUsize) -> Result<Self, Refusal> {
        let before = count.fetch_add(1, Ordering::SeqCst);
        let waits = Self(count);
        if before < MOST_WAITING {
            Ok(waits)
        } else {
            Err(Refusal::new(503, &format!("{before} requests are waiting already; ask again in a moment")))
        }
    }
}

impl Drop for Waits<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_breaks_is_answered_as_a_fault_of_the_program() {
        let told = caught(|| panic!("a wheel; came off")).unwrap_err();
        assert_eq!(told.status, 500);
        assert_eq!(told.error, "the program broke at this input: a wheel, came off");
    }

    #[test]
    fn too_many_that_wait_are_told_to_come_again() {
        let count = AtomicUsize::new(MOST_WAITING - 1);
        let last = Waits::begin(&count).unwrap();
        assert_eq!(Waits::begin(&count).err().map(|refusal| refusal.status), Some(503));
        drop(last);
        assert!(Waits::begin(&count).is_ok());
        assert_eq!(count.load(Ordering::SeqCst), MOST_WAITING - 1);
    }
}
