//! Any bytes are the files of a shop folder: a shop, or errors that say why not, and never a word
//! said about nothing.
//!
//! The input is all files one after the other, each under a line `=== name`.
#![no_main]

use elbowroom_files::{RawFolder, read_raw};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let loaded = read_raw(RawFolder::from_files(unpack(bytes)), None);
    assert!(loaded.shop.is_some() || loaded.has_errors());
    for finding in &loaded.findings {
        assert!(!finding.message.is_empty() && !finding.place.file.is_empty());
        assert!(elbowroom_files::code::ALL.iter().any(|(code, _)| *code == finding.code));
    }
});

fn unpack(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for line in bytes.split_inclusive(|byte| *byte == b'\n') {
        match (line.strip_prefix(b"=== "), files.last_mut()) {
            (Some(name), _) => files.push((String::from_utf8_lossy(name).trim().to_owned(), Vec::new())),
            (None, Some((_, text))) => text.extend(line),
            (None, None) => {}
        }
    }
    files
}
