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
    /// `None` while the file cannot be written.
    writer: Mutex<Option<Connection>>,
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
        Ok(Self::of(path, Some(writer), reader))
    }

    /// As [`SqliteStore::open`]; a store that is there and cannot be written now, on a read-only or full
    /// disk, is opened all the same to show what it holds, with the reason. Writing is refused then, and
    /// tried again each time.
    ///
    /// # Errors
    /// If the file is something else, damaged, newer than this program, or cannot be read either.
    pub fn open_to_show(path: &Path) -> Result<(Self, Option<StoreError>), StoreError> {
        match Self::open(path) {
            Ok(store) => Ok((store, None)),
            Err(refusal @ (StoreError::ReadOnly { .. } | StoreError::Full { .. })) if path.is_file() => {
                let reader = open::only_reader(path).map_err(|fault| fault.told(path))?;
                Ok((Self::of(path, None, reader), Some(refusal)))
            }
            Err(refusal) => Err(refusal),
        }
    }

    fn of(path: &Path, writer: Option<Connection>, reader: Connection) -> Self {
        Self { path: path.to_owned(), writer: Mutex::new(writer), reader: Mutex::new(reader) }
    }

    /// Does something with the connection that writes; it is opened now if it could not be before.
    fn with_writer<T>(&self, work: impl FnOnce(&mut Connection) -> Result<T, Fault>) -> Result<T, Fault> {
        let mut writer = lock(&self.writer);
        if let Some(writer) = writer.as_mut() {
            return work(writer);
        }
        let opened = open::writer(&self.path)?;
        // The connection that was opened alone does not see what is written from now on.
        *lock(&self.reader) = open::reader(&self.path)?;
        work(writer.insert(opened))
    }

    /// Whoever asks again and again how far the store has come sees what others write once the file can
    /// be written again.
    fn look_for_writer(&self) {
        if self.writer.try_lock().is_ok_and(|writer| writer.is_none()) {
            let _ = self.with_writer(|_| Ok(()));
        }
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
        self.with_writer(|writer| open::limit_size(writer, bytes)).map_err(|fault| fault.told(&self.path))
    }

    fn read<T>(&self, question: impl FnOnce(&Connection) -> Result<T, Fault>) -> Result<T, StoreError> {
        question(&lock(&self.reader)).map_err(|fault| fault.told(&self.path))
    }

    /// Does something all or nothing.
    fn write<T>(&self, change: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>) -> Result<T, StoreError> {
        let outcome = self.with_writer(|writer| {
            let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let value = change(&transaction)?;
            transaction.commit()?;
            Ok(value)
        });
        outcome.map_err(|fault| fault.told(&self.path))
    }
}

/// A panic elsewhere leaves no half-done transaction behind: it was rolled back when it was dropped.
fn lock<T>(connection: &Mutex<T>) -> MutexGuard<'_, T> {
    connection.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Store for SqliteStore {
    fn revision(&self) -> Result<Revision, StoreError> {
        self.look_for_writer();
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
