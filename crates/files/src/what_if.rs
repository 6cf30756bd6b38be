//! A file of cases to be tried: each a few notices that are not posted.

use crate::context::Context;
use crate::finding::{Finding, Findings, Place, Problem};
use crate::keyed::values::text;
use crate::keyed::{Doc, Table};
use crate::parsed::Parsed;
use crate::places::Places;
use crate::shop::notices;
use crate::text::decode;
use crate::{code, raw};
use elbowroom_shop::Shop;
use elbowroom_shop::notice::Notice;
use std::sync::Arc;

/// A case to be tried.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatIf {
    /// Its name, for people.
    pub name: String,
    /// What would be different.
    pub notices: Vec<Notice>,
    /// The shop as it would be.
    pub shop: Shop,
}

/// Reads a file of cases, `[[case]]` with a `name` and its `[[case.notice]]`s, for a shop that has
/// been read without fault; `places`: where its things stand. `file`: its name in findings.
///
/// # Errors
/// Every fault of the file.
pub fn read_what_if(
    file: &str,
    bytes: &[u8],
    shop: &Shop,
    places: &Places,
) -> Result<Vec<WhatIf>, Vec<Finding>> {
    let findings = Findings::default();
    let cases = match decode(file, bytes) {
        Ok(_) if bytes.len() as u64 > raw::MAX_FILE_BYTES => {
            findings.error(
                Place::whole(file),
                Problem::new(code::TOO_LARGE, "a file of cases is smaller than 16 MiB"),
            );
            Vec::new()
        }
        Ok(text) => {
            let doc = Doc::new(file, text, &findings);
            let parsed = Parsed::new(&doc);
            cases(&findings, &Table::new(parsed.layer(), String::new()), shop, places)
        }
        Err((place, problem)) => {
            findings.error(place, problem);
            Vec::new()
        }
    };
    if findings.errors() > 0 { Err(findings.into_sorted(&[Arc::from(file)])) } else { Ok(cases) }
}

fn cases(findings: &Findings, root: &Table<'_>, shop: &Shop, places: &Places) -> Vec<WhatIf> {
    let mut cases: Vec<WhatIf> = Vec::new();
    for mut table in root.tables("case", |number| format!("case {number}")) {
        let Some(name) = table.req("name", text) else {
            table.expect(&["notice"]);
            table.finish();
            continue;
        };
        table.whose = format!("case \"{name}\"");
        if cases.iter().any(|case| case.name == name) {
            table.fault_at("name", Problem::new(code::DUPLICATE, "there is another case of this name"));
        }
        // Each case begins from the shop as it is.
        let mut cx = Context::new(findings);
        cx.places = places.clone();
        let mut changed = shop.clone();
        let notices = notices::heeded(&mut cx, &table, &mut changed);
        table.finish();
        cases.push(WhatIf { name, notices, shop: changed });
    }
    root.finish();
    if cases.is_empty() && findings.errors() == 0 {
        let problem = Problem::new(code::MISSING_KEY, "there is no case");
        root.fault(
            problem.hint("write [[case]] with a name, and [[case.notice]] for what would be different"),
        );
    }
    cases
}
