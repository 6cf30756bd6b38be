//! The shipped defaults, built in.

use crate::finding::Findings;
use crate::keyed::Doc;

/// Name and text of each.
const FILES: [(&str, &str); 7] = [
    ("config/materials.toml", include_str!("../../../config/materials.toml")),
    ("config/processes.toml", include_str!("../../../config/processes.toml")),
    ("config/times.toml", include_str!("../../../config/times.toml")),
    ("config/tooling.toml", include_str!("../../../config/tooling.toml")),
    ("config/steps.toml", include_str!("../../../config/steps.toml")),
    ("config/stock.toml", include_str!("../../../config/stock.toml")),
    ("config/uncertainty.toml", include_str!("../../../config/uncertainty.toml")),
];

/// The shipped files, to be parsed.
pub(crate) fn docs(findings: &Findings) -> Vec<Doc<'_>> {
    FILES.iter().map(|(name, text)| Doc::new(name, text, findings)).collect()
}

/// Whether a shipped file is the one that `name` in a shop folder lies on top of.
pub(crate) fn is(shipped: &str, name: &str) -> bool {
    shipped.strip_prefix("config/") == Some(name)
}
