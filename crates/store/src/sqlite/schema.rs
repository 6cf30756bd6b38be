//! The layout of the file, and how an older one becomes the newest.

use super::faults::Fault;
use rusqlite::{Connection, TransactionBehavior};

/// One step for each layout, the first making layout 1 from nothing.
const STEPS: [&str; 1] = [include_str!("layout-1.sql")];

/// The newest layout.
pub(super) const NEWEST: i64 = STEPS.len() as i64;

/// Takes the file from layout `found` to the newest, all or nothing.
pub(super) fn migrate(connection: &mut Connection, found: i64, application: i64) -> Result<(), Fault> {
    if found == NEWEST {
        return Ok(());
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have done it while this one waited.
    let now: i64 = transaction.pragma_query_value(None, "user_version", |row| row.get(0))?;
    for step in STEPS.iter().skip(usize::try_from(now).unwrap_or(0)) {
        transaction.execute_batch(step)?;
    }
    transaction.pragma_update(None, "application_id", application)?;
    transaction.pragma_update(None, "user_version", NEWEST)?;
    transaction.commit()?;
    Ok(())
}
