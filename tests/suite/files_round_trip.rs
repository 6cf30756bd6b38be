//! A shop that is written as files is read back equal, whatever its names and values.

use elbowroom_files::{RawFolder, Severity, read_raw};
use elbowroom_shop::Shop;
use elbowroom_tests::shop_cases::base;
use elbowroom_tests::{book_text, random_book};

/// The small shop, for what is shipped.
fn shipped() -> Shop {
    let mut shop = read_raw(RawFolder::from_files(base()), None).shop.expect("the small shop is sound");
    shop.underway.clear();
    shop
}

#[test]
fn five_hundred_random_shops_are_read_back_equal() {
    let shipped = shipped();
    for seed in 0..500 {
        let book = random_book::random_book(seed, &shipped);
        let loaded = read_raw(RawFolder::from_files(book_text::files(&book)), None);
        let errors: Vec<String> = loaded
            .findings
            .iter()
            .filter(|finding| finding.severity == Severity::Error)
            .map(ToString::to_string)
            .collect();
        assert!(errors.is_empty(), "seed {seed}:\n{}", errors.join("\n"));
        let shop = loaded.shop.expect("there is no error");
        // Piece by piece first, so that a failure can be read.
        assert_eq!(shop.calendars, book.shop.calendars, "seed {seed}");
        assert_eq!(shop.parts, book.shop.parts, "seed {seed}");
        assert_eq!(shop.cells, book.shop.cells, "seed {seed}");
        assert_eq!(shop.orders, book.shop.orders, "seed {seed}");
        assert_eq!(shop, book.shop, "seed {seed}");
    }
}
