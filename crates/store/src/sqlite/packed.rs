//! Documents packed with gzip.

use super::faults::Fault;
use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;
use std::io::{Read, Write};

/// Packs bytes.
pub(super) fn pack(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::with_capacity(bytes.len() / 4), Compression::default());
    encoder.write_all(bytes).and_then(|()| encoder.finish()).expect("writing into memory cannot fail")
}

/// Unpacks bytes; gzip's own check finds changed ones.
pub(super) fn unpack(packed: &[u8]) -> Result<Vec<u8>, Fault> {
    let mut bytes = Vec::new();
    GzDecoder::new(packed)
        .read_to_end(&mut bytes)
        .map_err(|error| Fault::Damaged(format!("a document cannot be unpacked: {error}")))?;
    Ok(bytes)
}
