//! Any bytes are an order book in CSV beside a sound shop: orders of parts that there are, or
//! findings.
#![no_main]

use elbowroom_files::{RawFolder, read_raw};
use libfuzzer_sys::fuzz_target;

const SHOP: [(&str, &[u8]); 4] = [
    ("shop.toml", include_bytes!("../../suite/files/base/shop.toml")),
    ("tubes.toml", include_bytes!("../../suite/files/base/tubes.toml")),
    ("vendors.toml", include_bytes!("../../suite/files/base/vendors.toml")),
    ("parts.toml", include_bytes!("../../suite/files/base/parts.toml")),
];

fuzz_target!(|bytes: &[u8]| {
    let files = SHOP.into_iter().chain([("orders.csv", bytes)]);
    let loaded = read_raw(RawFolder::from_files(files), None);
    let shop = loaded.shop.expect("shop.toml is sound");
    assert!(!shop.orders.is_empty() || !loaded.findings.is_empty());
    for order in &shop.orders {
        assert!(order.quantity >= 1);
        assert!(shop.parts.iter().any(|part| part.id == order.part));
    }
});
