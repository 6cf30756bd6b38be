//! The store in one SQLite file.
//!
//! Write-ahead log with full synchronisation: what a method has returned is on the disk. One
//! connection writes, another reads, so that readers never wait for a writer. Further programs may
//! open the same file; `BEGIN IMMEDIATE` keeps writers in line.

mod cells;
mod faults;
mod inquiries;
mod open;
mod packed;
mod plans;
mod progress;
mod schema;

use crate::{
    Inquiry, InquiryId, NewInquiry, NewPlan, NewPromise, Page, PlanHead, PlanId, Promise, Recorded, Report,
    Revision, Seq, Signature, Sought, Store, StoreError, Version,
};
use faults::Fault;
use rusqlite::{Connection, Transaction, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A store in one SQLite file.
#[derive(Debug)]
pub struct SqliteStore {
    path: PathBuf,
    writer: Mutex<Connection>,
    reader: Mutex<Connection>,
}

impl SqliteStore {
    /// Opens a store; a file that is not there is made, one of an older layout is brought up to date.
    ///
    /// # Errors
    /// If the file is something else, damaged, newer than this program, or cannot be written.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let told = |fault: Fault| fault.told(path);
        let writer = open::writer(path).map_err(told)?;
        let reader = open::reader(path).map_err(told)?;
        Ok(Self { path: path.to_owned(), writer: Mutex::new(writer), reader: Mutex::new(reader) })
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Reads the whole file and looks for damage; it takes about a second for a gigabyte.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] with the first fault found, or if the file cannot be read.
    pub fn examine(&self) -> Result<(), StoreError> {
        self.read(open::examine)
    }

    /// Refuses to grow beyond so many bytes: writing then fails as on a full disk.
    ///
    /// # Errors
    /// If the file cannot be used.
    pub fn limit_size(&self, bytes: u64) -> Result<(), StoreError> {
        let writer = lock(&self.writer);
        open::limit_size(&writer, bytes).map_err(|fault| fault.told(&self.path))
    }

    fn read<T>(&self, question: impl FnOnce(&Connection) -> Result<T, Fault>) -> Result<T, StoreError> {
        question(&lock(&self.reader)).map_err(|fault| fault.told(&self.path))
    }

    /// Does something all or nothing.
    fn write<T>(&self, change: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>) -> Result<T, StoreError> {
        let mut writer = lock(&self.writer);
        let outcome = writer
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(Fault::from)
            .and_then(|transaction| {
                let value = change(&transaction)?;
                transaction.commit()?;
                Ok(value)
            });
        outcome.map_err(|fault| fault.told(&self.path))
    }
}

/// A panic elsewhere leaves no half-done transaction behind: it was rolled back when it was dropped.
fn lock(connection: &Mutex<Connection>) -> MutexGuard<'_, Connection> {
    connection.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Store for SqliteStore {
    fn revision(&self) -> Result<Revision, StoreError> {
        self.read(open::revision)
    }

    fn current(&self) -> Result<Option<PlanHead>, StoreError> {
        self.read(plans::current)
    }

    fn plan(&self, id: PlanId) -> Result<PlanHead, StoreError> {
        self.read(|reader| plans::plan(reader, id))
    }

    fn published(&self, version: Version) -> Result<PlanHead, StoreError> {
        self.read(|reader| plans::published(reader, version))
    }

    fn plans(&self, page: Page) -> Result<Vec<PlanHead>, StoreError> {
        self.read(|reader| plans::plans(reader, page))
    }

    fn document_names(&self, id: PlanId) -> Result<Vec<String>, StoreError> {
        self.read(|reader| plans::document_names(reader, id))
    }

    fn document(&self, id: PlanId, name: &str) -> Result<Vec<u8>, StoreError> {
        self.read(|reader| plans::document(reader, id, name))
    }

    fn propose(&self, plan: &NewPlan) -> Result<PlanHead, StoreError> {
        self.write(|writer| plans::propose(writer, plan))
    }

    fn publish(&self, id: PlanId, expected: Version, signature: &Signature) -> Result<PlanHead, StoreError> {
        self.write(|writer| plans::publish(writer, id, expected, signature))
    }

    fn discard(&self, id: PlanId, signature: &Signature) -> Result<PlanHead, StoreError> {
        self.write(|writer| plans::discard(writer, id, signature))
    }

    fn record(&self, report: &Report) -> Result<Recorded, StoreError> {
        self.write(|writer| progress::record(writer, report))
    }

    fn reports(&self, after: Seq, limit: u32) -> Result<Vec<Recorded>, StoreError> {
        self.read(|reader| progress::reports(reader, after, limit))
    }

    fn keep_inquiry(&self, inquiry: &NewInquiry) -> Result<Inquiry, StoreError> {
        self.write(|writer| inquiries::keep(writer, inquiry))
    }

    fn inquiry(&self, id: InquiryId) -> Result<Inquiry, StoreError> {
        self.read(|reader| inquiries::inquiry(reader, id))
    }

    fn inquiries(&self, page: Page) -> Result<Vec<Inquiry>, StoreError> {
        self.read(|reader| inquiries::inquiries(reader, page))
    }

    fn promise(&self, promise: &NewPromise) -> Result<Promise, StoreError> {
        self.write(|writer| inquiries::promise(writer, promise))
    }

    fn promises_sought(&self, sought: &Sought, page: Page) -> Result<Vec<Promise>, StoreError> {
        self.read(|reader| inquiries::promises(reader, sought, page))
    }
}
