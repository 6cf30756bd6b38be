//! Reports from the shop floor.

use super::cells::{moment, read_moment, read_signature};
use super::faults::Fault;
use crate::{Event, Recorded, Report, Seq, StoreError};
use rusqlite::{Connection, OptionalExtension, Row, params};

const COLUMNS: &str = "SELECT seq, key, order_id, step, cell, event, reason, good, scrap, withdraws,
                              happened_at, recorded_at, recorded_by FROM report";

pub(super) fn record(connection: &Connection, report: &Report) -> Result<Recorded, Fault> {
    if let Some(known) = with_same_key(connection, report)? {
        return same(known, report);
    }
    if let Event::Withdrawn { report: withdrawn } = report.event {
        can_be_withdrawn(connection, report, withdrawn)?;
    }
    insert(connection, report)?;
    let seq = Seq(connection.last_insert_rowid());
    Ok(Recorded { seq, report: report.clone() })
}

/// The report that was kept under the same key before.
fn with_same_key(connection: &Connection, report: &Report) -> Result<Option<Recorded>, Fault> {
    let Some(key) = &report.key else { return Ok(None) };
    let mut statement = connection.prepare_cached(&format!("{COLUMNS} WHERE key = ?1"))?;
    let mut rows = statement.query([key])?;
    rows.next()?.map(recorded).transpose()
}

/// Sent twice it counts once; a key used for something else is a mistake of the sender's.
fn same(known: Recorded, report: &Report) -> Result<Recorded, Fault> {
    let alike = known.report.order == report.order
        && known.report.step == report.step
        && known.report.event == report.event;
    if alike {
        Ok(known)
    } else {
        Err(StoreError::KeyReused { key: report.key.clone().unwrap_or_default() }.into())
    }
}

/// Only a report of the same step can be withdrawn, and only once.
fn can_be_withdrawn(connection: &Connection, report: &Report, withdrawn: Seq) -> Result<(), Fault> {
    let found = connection
        .prepare_cached(
            "SELECT 1 FROM report AS r WHERE seq = ?1 AND order_id = ?2 AND step = ?3 AND event <> 'withdrawn'
             AND NOT EXISTS (SELECT 1 FROM report AS w WHERE w.withdraws = r.seq)",
        )?
        .query_row(params![withdrawn.0, report.order, report.step], |_| Ok(()))
        .optional()?;
    found.ok_or_else(|| Fault::missing("standing report of this step with number", withdrawn))
}

fn insert(connection: &Connection, report: &Report) -> Result<(), Fault> {
    let (mut reason, mut pieces, mut withdraws) = (None, None, None);
    match &report.event {
        Event::Started => {}
        Event::Stopped { reason: why } => reason = Some(why),
        Event::Counted { good, scrap } | Event::Finished { good, scrap } => pieces = Some((good, scrap)),
        Event::Withdrawn { report } => withdraws = Some(report.0),
    }
    connection
        .prepare_cached(
            "INSERT INTO report (key, order_id, step, cell, event, reason, good, scrap, withdraws,
                                 happened_at, recorded_at, recorded_by)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?
        .execute(params![
            report.key,
            report.order,
            report.step,
            report.cell,
            report.event.word(),
            reason,
            pieces.map(|(good, _)| good),
            pieces.map(|(_, scrap)| scrap),
            withdraws,
            moment(report.happened),
            moment(report.recorded.at),
            report.recorded.by,
        ])?;
    Ok(())
}

pub(super) fn reports(connection: &Connection, after: Seq, limit: u32) -> Result<Vec<Recorded>, Fault> {
    let mut statement =
        connection.prepare_cached(&format!("{COLUMNS} WHERE seq > ?1 ORDER BY seq LIMIT ?2"))?;
    let mut rows = statement.query(params![after.0, limit])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        found.push(recorded(row)?);
    }
    Ok(found)
}

fn recorded(row: &Row<'_>) -> Result<Recorded, Fault> {
    let report = Report {
        key: row.get("key")?,
        order: row.get("order_id")?,
        step: row.get("step")?,
        cell: row.get("cell")?,
        event: event(row)?,
        happened: read_moment(&row.get::<_, String>("happened_at")?)?,
        recorded: read_signature(row, "recorded_at", "recorded_by")?,
    };
    Ok(Recorded { seq: Seq(row.get("seq")?), report })
}

fn event(row: &Row<'_>) -> Result<Event, Fault> {
    Ok(match row.get::<_, String>("event")?.as_str() {
        "started" => Event::Started,
        "stopped" => Event::Stopped { reason: row.get("reason")? },
        "counted" => Event::Counted { good: row.get("good")?, scrap: row.get("scrap")? },
        "finished" => Event::Finished { good: row.get("good")?, scrap: row.get("scrap")? },
        "withdrawn" => Event::Withdrawn { report: Seq(row.get("withdraws")?) },
        other => return Err(Fault::Damaged(format!("`{other}` is kept where an event belongs"))),
    })
}
