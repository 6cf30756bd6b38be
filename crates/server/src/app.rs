//! What every request shares.

use crate::metrics::Metrics;
use crate::problem::Problem;
use crate::rate::Rate;
use crate::snapshot::{ReadError, Snapshot};
use crate::solves::Desk;
use crate::standing::Holder;
use crate::tokens::Tokens;
use arc_swap::ArcSwap;
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use elbowroom_store::{Signature, Store, StoreError};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::sync::watch;

/// Where the time comes from.
pub type Clock = fn() -> DateTime<Utc>;

/// How a service is set up.
pub struct Setup {
    /// Folder that describes the shop.
    pub shop: PathBuf,
    /// Where things are kept.
    pub store: Arc<dyn Store>,
    /// Who may do what.
    pub tokens: Tokens,
    /// Names under which the service may be called besides its addresses; empty: any name, which
    /// needs tokens.
    pub hosts: BTreeSet<String>,
    /// First day of plans; `None`: as the shop says, else the Monday on or after today.
    pub start: Option<NaiveDate>,
    /// Seconds that a solve may take where the asker does not say.
    pub solve_seconds: f64,
    /// Threads that a solve may use.
    pub solve_threads: usize,
    /// How much one address may do.
    pub limits: Limits,
    /// How long clients are waited for.
    pub patience: Patience,
    /// The time.
    pub clock: Clock,
    /// The shop's time zone, for moments before a plan is there.
    pub zone: Tz,
}

/// How much one address may do: so many at once, and so many a second in the long run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Requests that write.
    pub writes: (f64, f64),
    /// Wrong tokens.
    pub guesses: (f64, f64),
}

impl Default for Limits {
    /// A tablet's double taps, or a shift's reports sent after an hour without network, go through.
    fn default() -> Self {
        Self { writes: (60.0, 10.0), guesses: (10.0, 0.2) }
    }
}

/// How long clients are waited for, and clients for an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patience {
    /// For the head of a request; an idle connection is closed after it too.
    pub head: Duration,
    /// For the body of a request.
    pub body: Duration,
    /// For an answer to be worked out, the body of its request included. Streams of events go on.
    pub answer: Duration,
    /// For a client to take some of what is sent to it, or to say that it lives: one that is gone without
    /// a word, or does not read, gives its place back then. Linux only; elsewhere the system's own, much
    /// longer limit holds.
    pub taking: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        let [head, body, answer, taking] = [75, 20, 30, 30].map(Duration::from_secs);
        Self { head, body, answer, taking }
    }
}

/// What every request shares.
#[derive(Clone)]
pub struct App(Arc<Shared>);

/// See [`App`].
pub struct Shared {
    /// How the service is set up.
    pub setup: Setup,
    /// Solves running and done.
    pub desk: Desk,
    /// The plan that inquiries are held against.
    pub holder: Holder,
    /// What the service counts.
    pub metrics: Metrics,
    /// How often an address may write.
    pub writing: Rate,
    /// How often an address may send a wrong token.
    pub guessing: Rate,
    snapshot: ArcSwap<Snapshot>,
    refreshing: Mutex<()>,
    changes: watch::Sender<u64>,
    closing: watch::Sender<bool>,
}

impl std::ops::Deref for App {
    type Target = Shared;

    fn deref(&self) -> &Shared {
        &self.0
    }
}

impl App {
    /// Reads the store and gets ready.
    ///
    /// # Errors
    /// If the store cannot be read.
    pub fn new(setup: Setup) -> Result<Self, ReadError> {
        let snapshot = Snapshot::read(setup.store.as_ref(), None, None, setup.zone)?;
        let Limits { writes, guesses } = setup.limits;
        Ok(Self(Arc::new(Shared {
            setup,
            desk: Desk::default(),
            holder: Holder::default(),
            metrics: Metrics::new(),
            writing: Rate::new(writes.0, writes.1),
            guessing: Rate::new(guesses.0, guesses.1),
            snapshot: ArcSwap::from_pointee(snapshot),
            refreshing: Mutex::new(()),
            changes: watch::Sender::new(0),
            closing: watch::Sender::new(false),
        })))
    }

    /// Does something with the store on a thread that may wait.
    ///
    /// # Errors
    /// Whatever the store says.
    pub async fn with_store<T: Send + 'static>(
        &self,
        work: impl FnOnce(&dyn Store) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, Problem> {
        let app = self.clone();
        let done = tokio::task::spawn_blocking(move || work(app.setup.store.as_ref())).await;
        done.map_err(|error| Problem::ours(format!("the work was broken off: {error}")))?
            .map_err(Problem::from)
    }

    /// Writes something, and shows it before the answer is sent.
    ///
    /// # Errors
    /// Whatever the store says.
    pub async fn write<T: Send + 'static>(
        &self,
        work: impl FnOnce(&dyn Store) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, Problem> {
        let written = self.with_store(work).await?;
        self.refreshed().await;
        Ok(written)
    }

    /// Shows what has changed. What cannot be read now is caught up with later.
    pub async fn refreshed(&self) {
        let app = self.clone();
        let _ = tokio::task::spawn_blocking(move || app.refresh()).await;
    }
}

impl Shared {
    /// The store as it was last read.
    #[must_use]
    pub fn snapshot(&self) -> arc_swap::Guard<Arc<Snapshot>> {
        self.snapshot.load()
    }

    /// The same, to be kept for a while.
    #[must_use]
    pub fn full_snapshot(&self) -> Arc<Snapshot> {
        self.snapshot.load_full()
    }

    /// The time.
    #[must_use]
    pub fn now(&self) -> DateTime<Utc> {
        (self.setup.clock)()
    }

    /// A signature of now.
    #[must_use]
    pub fn signature(&self, by: String) -> Signature {
        Signature { by, at: self.now() }
    }

    /// Reads the store again and tells everybody who waits for a change. It may wait for the disk.
    pub fn refresh(&self) {
        let _one_at_a_time = self.refreshing.lock().unwrap_or_else(PoisonError::into_inner);
        let earlier = self.snapshot.load_full();
        match Snapshot::read(self.setup.store.as_ref(), Some(&earlier), self.desk.running(), self.setup.zone)
        {
            Ok(snapshot) => {
                let changed =
                    snapshot.status.tag() != earlier.status.tag() || snapshot.revision != earlier.revision;
                self.snapshot.store(Arc::new(snapshot));
                if changed {
                    self.changes.send_modify(|number| *number += 1);
                }
            }
            Err(error) => {
                tracing::error!(error = %error, "the store cannot be read; the last known state is shown")
            }
        }
    }

    /// Reads the store again if another program has written to it.
    pub fn refresh_if_changed(&self) {
        match self.setup.store.revision() {
            Ok(revision) if revision == self.snapshot().revision => {}
            _ => self.refresh(),
        }
    }

    /// Counts changes, for those who wait for one.
    #[must_use]
    pub fn changes(&self) -> watch::Receiver<u64> {
        self.changes.subscribe()
    }

    /// Becomes true when the service closes.
    #[must_use]
    pub fn closing(&self) -> watch::Receiver<bool> {
        self.closing.subscribe()
    }

    /// Ends streams and running solves, so that the service can close.
    pub fn close(&self) {
        self.closing.send_replace(true);
        self.desk.stop_all();
    }
}
