//! Plans and their documents.

use super::cells::{moment, read_signature};
use super::faults::Fault;
use super::packed::{pack, unpack};
use crate::{
    Document, NewPlan, Outcome, Page, PlanFigures, PlanHead, PlanId, Signature, StoreError, Version,
};
use rusqlite::{Connection, OptionalExtension, Row, params};

const COLUMNS: &str =
    "SELECT id, made_at, made_by, based_on, reason, orders, late_orders, total_cost, currency,
                              outcome, version, settled_at, settled_by FROM plan";

pub(super) fn current(connection: &Connection) -> Result<Option<PlanHead>, Fault> {
    let mut statement = connection
        .prepare_cached(&format!("{COLUMNS} WHERE version IS NOT NULL ORDER BY version DESC LIMIT 1"))?;
    let mut rows = statement.query([])?;
    rows.next()?.map(head).transpose()
}

pub(super) fn plan(connection: &Connection, id: PlanId) -> Result<PlanHead, Fault> {
    let mut statement = connection.prepare_cached(&format!("{COLUMNS} WHERE id = ?1"))?;
    let mut rows = statement.query([id.0])?;
    rows.next()?.map_or_else(|| Err(Fault::missing("plan", id)), head)
}

pub(super) fn published(connection: &Connection, version: Version) -> Result<PlanHead, Fault> {
    let mut statement = connection.prepare_cached(&format!("{COLUMNS} WHERE version = ?1"))?;
    let mut rows = statement.query([version.0])?;
    rows.next()?.map_or_else(|| Err(Fault::missing("published plan of version", version)), head)
}

pub(super) fn plans(connection: &Connection, page: Page) -> Result<Vec<PlanHead>, Fault> {
    let mut statement =
        connection.prepare_cached(&format!("{COLUMNS} WHERE id < ?1 ORDER BY id DESC LIMIT ?2"))?;
    let mut rows = statement.query(params![page.before.unwrap_or(i64::MAX), page.limit])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        found.push(head(row)?);
    }
    Ok(found)
}

fn head(row: &Row<'_>) -> Result<PlanHead, Fault> {
    Ok(PlanHead {
        id: PlanId(row.get("id")?),
        made: read_signature(row, "made_at", "made_by")?,
        based_on: Version(row.get("based_on")?),
        reason: row.get("reason")?,
        figures: PlanFigures {
            orders: row.get("orders")?,
            late_orders: row.get("late_orders")?,
            total_cost: row.get("total_cost")?,
            currency: row.get("currency")?,
        },
        outcome: outcome(row)?,
    })
}

fn outcome(row: &Row<'_>) -> Result<Outcome, Fault> {
    let settled = || read_signature(row, "settled_at", "settled_by");
    match row.get::<_, String>("outcome")?.as_str() {
        "proposed" => Ok(Outcome::Proposed),
        "published" => {
            Ok(Outcome::Published { version: Version(row.get("version")?), signature: settled()? })
        }
        "discarded" => Ok(Outcome::Discarded(settled()?)),
        other => Err(Fault::Damaged(format!("`{other}` is kept where a plan's outcome belongs"))),
    }
}

pub(super) fn document_names(connection: &Connection, id: PlanId) -> Result<Vec<String>, Fault> {
    let mut statement =
        connection.prepare_cached("SELECT name FROM document WHERE plan = ?1 ORDER BY name")?;
    let names = statement.query_map([id.0], |row| row.get(0))?;
    Ok(names.collect::<Result<_, _>>()?)
}

pub(super) fn document(connection: &Connection, id: PlanId, name: &str) -> Result<Vec<u8>, Fault> {
    let mut statement =
        connection.prepare_cached("SELECT content FROM document WHERE plan = ?1 AND name = ?2")?;
    let packed: Option<Vec<u8>> = statement.query_row(params![id.0, name], |row| row.get(0)).optional()?;
    unpack(&packed.ok_or_else(|| Fault::missing("document", format!("{id}/{name}")))?)
}

pub(super) fn propose(connection: &Connection, plan: &NewPlan) -> Result<PlanHead, Fault> {
    connection
        .prepare_cached(
            "INSERT INTO plan (made_at, made_by, based_on, reason, orders, late_orders, total_cost, currency)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            moment(plan.made.at),
            plan.made.by,
            plan.based_on.0,
            plan.reason,
            plan.figures.orders,
            plan.figures.late_orders,
            plan.figures.total_cost,
            plan.figures.currency,
        ])?;
    let id = PlanId(connection.last_insert_rowid());
    for document in &plan.documents {
        keep_document(connection, id, document)?;
    }
    self::plan(connection, id)
}

fn keep_document(connection: &Connection, id: PlanId, document: &Document) -> Result<(), Fault> {
    connection
        .prepare_cached("INSERT INTO document (plan, name, content) VALUES (?1, ?2, ?3)")?
        .execute(params![id.0, document.name, pack(&document.bytes)])?;
    Ok(())
}

pub(super) fn publish(
    connection: &Connection,
    id: PlanId,
    expected: Version,
    signature: &Signature,
) -> Result<PlanHead, Fault> {
    still_proposed(connection, id)?;
    still_current(connection, expected)?;
    connection
        .prepare_cached(
            "UPDATE plan SET outcome = 'published', version = ?2, settled_at = ?3, settled_by = ?4 WHERE id = ?1",
        )?
        .execute(params![id.0, expected.0 + 1, moment(signature.at), signature.by])?;
    plan(connection, id)
}

pub(super) fn discard(connection: &Connection, id: PlanId, signature: &Signature) -> Result<PlanHead, Fault> {
    still_proposed(connection, id)?;
    connection
        .prepare_cached(
            "UPDATE plan SET outcome = 'discarded', settled_at = ?2, settled_by = ?3 WHERE id = ?1",
        )?
        .execute(params![id.0, moment(signature.at), signature.by])?;
    plan(connection, id)
}

fn still_proposed(connection: &Connection, id: PlanId) -> Result<(), Fault> {
    match plan(connection, id)?.outcome {
        Outcome::Proposed => Ok(()),
        settled => Err(StoreError::Settled { outcome: settled.word() }.into()),
    }
}

/// Refuses if another version is current than the writer knows.
pub(super) fn still_current(connection: &Connection, expected: Version) -> Result<(), Fault> {
    let found: i64 =
        connection.query_row("SELECT coalesce(max(version), 0) FROM plan", [], |row| row.get(0))?;
    if found == expected.0 {
        Ok(())
    } else {
        Err(StoreError::Moved { expected, found: Version(found) }.into())
    }
}
