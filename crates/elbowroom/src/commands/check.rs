use crate::args::CheckArgs;
use crate::console;
use crate::exit::Exit;
use crate::shop_folder::{self, Read, count, counted, inventory};
use elbowroom_files::{Finding, Place, Severity};
use elbowroom_planner::{CompileError, Request, compile};
use serde_json::{Value, json};
use std::path::Path;

/// Reads a shop folder, compiles it, and reports everything that was found.
pub fn run(args: &CheckArgs) -> Exit {
    let read = shop_folder::read(&args.shop, args.start);
    let findings = all_findings(&read);
    console::print(&if args.json {
        as_json(&read, &findings)
    } else {
        as_text(&args.shop, &read, &findings)
    });
    if count(&findings, Severity::Error) > 0 { Exit::BadInput } else { Exit::Done }
}

/// The readers' findings; without faults, what the planner notices as well.
fn all_findings(read: &Read) -> Vec<Finding> {
    let mut findings = read.loaded.findings.clone();
    if let Some(shop) = read.loaded.shop.as_ref().filter(|_| !read.loaded.has_errors()) {
        let request = Request { start: read.start, weeks: shop.terms.weeks };
        let (noticed, left_out) = match compile(shop, &request) {
            Ok(compiled) => (compiled.findings, compiled.left_out),
            Err(CompileError::NothingToPlan { findings, left_out }) => (findings, left_out),
            Err(CompileError::Faulty(faults)) => return with_faults(findings, &faults),
        };
        findings.extend(shop_folder::placed(&noticed, &left_out, &read.loaded.places));
    }
    findings
}

/// Figures of the shop that cannot be computed with, far out of any range.
fn with_faults<F: std::fmt::Display>(mut findings: Vec<Finding>, faults: &[F]) -> Vec<Finding> {
    findings.extend(faults.iter().map(|fault| Finding {
        severity: Severity::Error,
        code: elbowroom_files::code::PLANNING,
        place: Place::whole("."),
        message: format!("the shop cannot be turned into a problem: {fault}"),
        hint: Some("look for a date, time or amount far out of range".to_owned()),
    }));
    findings
}

fn as_text(folder: &Path, read: &Read, findings: &[Finding]) -> String {
    let mut text: String = findings.iter().map(|finding| format!("{finding}\n\n")).collect();
    let [errors, warnings, notes] =
        [Severity::Error, Severity::Warning, Severity::Note].map(|severity| count(findings, severity));
    let what = read.loaded.shop.as_ref().map_or_else(String::new, |shop| format!("{}; ", inventory(shop)));
    let verdict = if errors > 0 { "cannot be planned until the faults are mended" } else { "can be planned" };
    text += &format!(
        "{}: {what}{}, {}, {}: {verdict}\n",
        folder.display(),
        counted(errors, "fault"),
        counted(warnings, "warning"),
        counted(notes, "note"),
    );
    text
}

fn as_json(read: &Read, findings: &[Finding]) -> String {
    let counts = read.loaded.shop.as_ref().map(|shop| {
        json!({
            "orders": shop.orders.len(), "parts": shop.parts.len(), "tubes": shop.tubes.len(),
            "cells": shop.cells.len(), "tools": shop.tools.len(),
        })
    });
    let findings: Vec<Value> = findings.iter().map(finding_json).collect();
    json!({
        "can_be_planned": !read.loaded.has_errors(),
        "start": read.start.to_string(),
        "counts": counts,
        "findings": findings,
    })
    .to_string()
}

pub(super) fn finding_json(finding: &Finding) -> Value {
    json!({
        "severity": finding.severity.to_string(),
        "code": finding.code,
        "file": &*finding.place.file,
        "line": finding.place.line,
        "column": finding.place.column,
        "message": finding.message,
        "hint": finding.hint,
    })
}
