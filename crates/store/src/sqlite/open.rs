//! Opening, making and examining the file.

use super::faults::Fault;
use super::schema;
use crate::{Revision, StoreError};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::time::{Duration, Instant};

/// How long to wait for another program's write.
const PATIENCE: Duration = Duration::from_secs(5);

/// Marks the file as ours: "ELBW".
const APPLICATION: i64 = 0x454C_4257;

/// How long until the file is tried again where SQLite does not wait by itself.
const MOMENT: Duration = Duration::from_millis(10);

/// The connection that writes; makes the file or brings it up to date.
///
/// SQLite does not wait for others where the file's way of writing is changed, which all do who make it at
/// once, nor where the last of them is closing it (sqlite.org/wal.html); it is tried again then.
pub(super) fn writer(path: &Path) -> Result<Connection, Fault> {
    let begun = Instant::now();
    loop {
        match writer_at_once(path) {
            Err(fault) if fault.is_busy() && begun.elapsed() < PATIENCE => std::thread::sleep(MOMENT),
            opened => return opened,
        }
    }
}

fn writer_at_once(path: &Path) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX
        | OpenFlags::SQLITE_OPEN_NOFOLLOW;
    let mut connection = Connection::open_with_flags(path, flags)?;
    connection.busy_timeout(PATIENCE)?;
    let found = layout(&connection)?;
    connection.pragma_update(None, "journal_mode", "wal")?;
    connection.pragma_update(None, "synchronous", "full")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    schema::migrate(&mut connection, found, APPLICATION)?;
    // Shows at once that the file cannot be written, rather than at the first report.
    connection.execute_batch("BEGIN IMMEDIATE; ROLLBACK")?;
    Ok(connection)
}

/// The connection that reads.
pub(super) fn reader(path: &Path) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)?;
    connection.busy_timeout(PATIENCE)?;
    connection.pragma_update(None, "query_only", true)?;
    Ok(connection)
}

/// The connection that reads where nothing can be written: on a read-only or full disk.
///
/// Without a log beside the file nobody has it open for writing, and it is read as it lies there;
/// a log that is there is read too, and SQLite needs nothing else for that.
pub(super) fn only_reader(path: &Path) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = match has_log(path) {
        true => Connection::open_with_flags(path, flags)?,
        false => Connection::open_with_flags(as_it_lies(path), flags | OpenFlags::SQLITE_OPEN_URI)?,
    };
    match layout(&connection)? {
        schema::NEWEST => Ok(connection),
        // It cannot be brought up to date now.
        _ => Err(StoreError::ReadOnly { path: path.to_owned() }.into()),
    }
}

/// Whether there is something in the log beside the file.
fn has_log(path: &Path) -> bool {
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    std::fs::metadata(log).is_ok_and(|log| log.len() > 0)
}

/// The file's address for SQLite (sqlite.org/uri.html), saying that nobody writes to it.
fn as_it_lies(path: &Path) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"/-._~".contains(&byte);
    let one = |byte: u8| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") };
    let encoded: String = path.as_os_str().as_encoded_bytes().iter().copied().map(one).collect();
    format!("file:{encoded}?immutable=1")
}

/// The file's layout; 0 for a file just made.
fn layout(connection: &Connection) -> Result<i64, Fault> {
    // All three of one moment: another program may be making the file just now.
    let moment = connection.unchecked_transaction()?;
    let number = |name| moment.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let (application, found) = (number("application_id")?, number("user_version")?);
    let tables: i64 = moment.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    match (application, found) {
        (0, 0) if tables == 0 => Ok(0),
        (APPLICATION, found) if found > schema::NEWEST => Err(Fault::Newer { found, known: schema::NEWEST }),
        (APPLICATION, found) if found > 0 => Ok(found),
        _ => Err(Fault::NotAStore),
    }
}

/// Looks for damage.
pub(super) fn examine(connection: &Connection) -> Result<(), Fault> {
    let said: String = connection.pragma_query_value(None, "quick_check", |row| row.get(0))?;
    if said == "ok" { Ok(()) } else { Err(Fault::Damaged(said)) }
}

/// Sets the largest size.
pub(super) fn limit_size(connection: &Connection, bytes: u64) -> Result<(), Fault> {
    let page: i64 = connection.pragma_query_value(None, "page_size", |row| row.get(0))?;
    let pages = i64::try_from(bytes).unwrap_or(i64::MAX) / page.max(1);
    connection.pragma_update(None, "max_page_count", pages.max(1))?;
    Ok(())
}

/// How far the store has come.
pub(super) fn revision(connection: &Connection) -> Result<Revision, Fault> {
    let mut statement = connection.prepare_cached(
        "SELECT (SELECT coalesce(max(id), 0) FROM plan),
                (SELECT count(*) FROM plan WHERE outcome <> 'proposed'),
                (SELECT coalesce(max(seq), 0) FROM report),
                (SELECT coalesce(max(id), 0) FROM inquiry),
                (SELECT coalesce(max(id), 0) FROM promise)",
    )?;
    let read = statement.query_row([], |row| {
        Ok(Revision {
            plan: row.get(0)?,
            settled: row.get(1)?,
            report: row.get(2)?,
            inquiry: row.get(3)?,
            promise: row.get(4)?,
        })
    });
    Ok(read?)
}
