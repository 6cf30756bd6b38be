//! Inquiries and promises.

use super::cells::{moment, read_date, read_signature};
use super::faults::Fault;
use super::plans::still_current;
use crate::{
    Inquiry, InquiryId, NewInquiry, NewPromise, Page, Promise, PromiseId, Sought, StoreError, Version,
};
use rusqlite::{Connection, OptionalExtension, Row, params};

const INQUIRY: &str = "SELECT inquiry.id, asked_at, asked_by, customer, part, quantity, wanted, inquiry.version, answer,
                              promise.id AS promise FROM inquiry LEFT JOIN promise ON promise.inquiry = inquiry.id";
const PROMISE: &str =
    "SELECT promise.id, inquiry, given_at, given_by, order_id, date, way, promise.version FROM promise
                              JOIN inquiry ON inquiry.id = promise.inquiry";

pub(super) fn keep(connection: &Connection, inquiry: &NewInquiry) -> Result<Inquiry, Fault> {
    connection
        .prepare_cached(
            "INSERT INTO inquiry (asked_at, asked_by, customer, part, quantity, wanted, version, answer)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            moment(inquiry.asked.at),
            inquiry.asked.by,
            inquiry.customer,
            inquiry.part,
            inquiry.quantity,
            inquiry.wanted.map(|date| date.to_string()),
            inquiry.version.0,
            inquiry.answer,
        ])?;
    Ok(Inquiry { id: InquiryId(connection.last_insert_rowid()), inquiry: inquiry.clone(), promise: None })
}

pub(super) fn inquiry(connection: &Connection, id: InquiryId) -> Result<Inquiry, Fault> {
    let mut statement = connection.prepare_cached(&format!("{INQUIRY} WHERE inquiry.id = ?1"))?;
    let mut rows = statement.query([id.0])?;
    rows.next()?.map_or_else(|| Err(Fault::missing("inquiry", id)), read_inquiry)
}

pub(super) fn inquiries(connection: &Connection, page: Page) -> Result<Vec<Inquiry>, Fault> {
    let mut statement = connection
        .prepare_cached(&format!("{INQUIRY} WHERE inquiry.id < ?1 ORDER BY inquiry.id DESC LIMIT ?2"))?;
    let mut rows = statement.query(params![page.before.unwrap_or(i64::MAX), page.limit])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        found.push(read_inquiry(row)?);
    }
    Ok(found)
}

fn read_inquiry(row: &Row<'_>) -> Result<Inquiry, Fault> {
    let wanted: Option<String> = row.get("wanted")?;
    Ok(Inquiry {
        id: InquiryId(row.get("id")?),
        inquiry: NewInquiry {
            asked: read_signature(row, "asked_at", "asked_by")?,
            customer: row.get("customer")?,
            part: row.get("part")?,
            quantity: row.get("quantity")?,
            wanted: wanted.as_deref().map(read_date).transpose()?,
            version: Version(row.get("version")?),
            answer: row.get("answer")?,
        },
        promise: row.get::<_, Option<i64>>("promise")?.map(PromiseId),
    })
}

pub(super) fn promise(connection: &Connection, promise: &NewPromise) -> Result<Promise, Fault> {
    let asked = inquiry(connection, promise.inquiry)?;
    if let Some(given) = asked.promise {
        return Err(StoreError::AlreadyPromised { inquiry: asked.id, promise: given }.into());
    }
    let version = asked.inquiry.version;
    still_current(connection, version)?;
    order_is_free(connection, &promise.order)?;
    connection
        .prepare_cached(
            "INSERT INTO promise (inquiry, given_at, given_by, order_id, date, way, version)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?
        .execute(params![
            promise.inquiry.0,
            moment(promise.given.at),
            promise.given.by,
            promise.order,
            promise.date.to_string(),
            promise.way,
            version.0,
        ])?;
    Ok(Promise { id: PromiseId(connection.last_insert_rowid()), promise: promise.clone(), version })
}

fn order_is_free(connection: &Connection, order: &str) -> Result<(), Fault> {
    let taken = connection
        .prepare_cached("SELECT 1 FROM promise WHERE order_id = ?1")?
        .query_row([order], |_| Ok(()))
        .optional()?;
    match taken {
        Some(()) => Err(StoreError::OrderTaken { order: order.to_owned() }.into()),
        None => Ok(()),
    }
}

pub(super) fn promises(connection: &Connection, sought: &Sought, page: Page) -> Result<Vec<Promise>, Fault> {
    let mut statement = connection.prepare_cached(&format!(
        "{PROMISE} WHERE promise.id < ?1 AND (?3 IS NULL OR given_at >= ?3) AND (?4 IS NULL OR given_at < ?4)
         AND (?5 IS NULL OR instr(lower(order_id || char(10) || part || char(10) || coalesce(customer, '')), lower(?5)) > 0)
         ORDER BY promise.id DESC LIMIT ?2"
    ))?;
    let mut rows = statement.query(params![
        page.before.unwrap_or(i64::MAX),
        page.limit,
        sought.from.map(moment),
        sought.until.map(moment),
        sought.about,
    ])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        found.push(read_promise(row)?);
    }
    Ok(found)
}

fn read_promise(row: &Row<'_>) -> Result<Promise, Fault> {
    Ok(Promise {
        id: PromiseId(row.get("id")?),
        promise: NewPromise {
            inquiry: InquiryId(row.get("inquiry")?),
            given: read_signature(row, "given_at", "given_by")?,
            order: row.get("order_id")?,
            date: read_date(&row.get::<_, String>("date")?)?,
            way: row.get("way")?,
        },
        version: Version(row.get("version")?),
    })
}
