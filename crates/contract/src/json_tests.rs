//! The parser against a general-purpose one.

use crate::json::{Kind, Value, parse};
use proptest::prelude::*;
use serde_json::Value as Peer;

/// Our value as the peer would hold it; `None` where a number overflows the peer's.
fn as_peer(value: &Value) -> Option<Peer> {
    Some(match &value.kind {
        Kind::Null => Peer::Null,
        Kind::Bool(truth) => Peer::Bool(*truth),
        Kind::Number(digits) => Peer::Number(serde_json::from_str(digits).ok()?),
        Kind::Text(text) => Peer::String(text.clone().into_owned()),
        Kind::List(list) => Peer::Array(list.iter().map(as_peer).collect::<Option<_>>()?),
        Kind::Object(members) => Peer::Object(
            members
                .iter()
                .map(|m| Some((m.key.clone().into_owned(), as_peer(&m.value)?)))
                .collect::<Option<_>>()?,
        ),
    })
}

/// Both readers accept the text as the same value, or both refuse it.
fn agree(text: &str) {
    let peer = serde_json::from_str::<Peer>(text);
    match (parse(text), peer) {
        (Ok(ours), Ok(theirs)) => assert_eq!(as_peer(&ours), Some(theirs), "{text:?}"),
        (Err(_), Err(_)) => {}
        (Ok(ours), Err(error)) => {
            // The peer refuses a number beyond a float's range while reading, we when it is used.
            assert!(as_peer(&ours).is_none(), "we accept {text:?}, the peer does not: {error}");
        }
        (Err(error), Ok(_)) => panic!("we refuse {text:?}, the peer does not: {error:?}"),
    }
}

#[test]
fn hand_picked_texts_are_read_as_the_peer_reads_them() {
    for text in [
        "0",
        "-0",
        "-0.0",
        "01",
        "1.",
        ".5",
        "1.5e",
        "1e+7",
        "-",
        "+1",
        "1e999",
        "12345678901234567890123",
        "null",
        "nul",
        "nulls",
        "true false",
        "NaN",
        "-Infinity",
        "",
        " ",
        "[1,]",
        "[,1]",
        "{\"a\":1,}",
        "{\"a\" 1}",
        "{a:1}",
        "{\"a\":1,\"a\":2}",
        "\"\\u0041\"",
        "\"\\ud83d\\ude00\"",
        "\"\\ud83d\"",
        "\"\\ude00\"",
        "\"\\ud83d\\u0041\"",
        "\"\\u+041\"",
        "\"\\x\"",
        "\"open",
        "\"a\nb\"",
        "\"\u{7f}\u{85}\"",
        "\"\\\\\\\"\\/\\b\\f\\n\\r\\t\"",
        "\u{feff}1",
        "[[[[]]]]",
        "{\"\":{\"\":[{}]}}",
        "\u{a0}1",
        "1\u{0}",
    ] {
        agree(text);
    }
}

#[test]
fn nesting_is_bounded() {
    let nested = |depth: usize| "[".repeat(depth) + &"]".repeat(depth);
    assert!(parse(&nested(64)).is_ok());
    let refused = parse(&nested(65)).expect_err("one level too deep");
    assert!(refused.what.contains("more than 64 deep"), "{}", refused.what);
    assert!(parse(&"[".repeat(10_000_000)).is_err());
    assert!(parse(&"{\"a\":".repeat(1_000_000)).is_err());
}

/// Pieces that random texts of JSON are put together from.
fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "{", "}", "[", "]", ",", ":", "\"", "\\", "null", "true", "false", "0", "-", "1", ".", "e", "E+",
            " ", "\n", "\\u00e9", "\\ud800", "\\udc00", "\"a\"", "\"a\":", "12", "-7.25", "é", "\u{1}",
        ])
        .prop_map(str::to_owned),
        any::<char>().prop_map(String::from),
    ]
}

fn document() -> impl Strategy<Value = Peer> {
    let leaf = prop_oneof![
        Just(Peer::Null),
        any::<bool>().prop_map(Peer::Bool),
        any::<i64>().prop_map(Peer::from),
        (-1e300..1e300).prop_map(Peer::from),
        any::<String>().prop_map(Peer::String),
    ];
    leaf.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Peer::Array),
            prop::collection::btree_map(any::<String>(), inner, 0..6)
                .prop_map(|members| Peer::Object(members.into_iter().collect())),
        ]
    })
}

proptest! {
    #[test]
    fn random_texts_are_read_as_the_peer_reads_them(pieces in prop::collection::vec(piece(), 0..24)) {
        agree(&pieces.concat());
    }

    #[test]
    fn written_documents_are_read_back(value in document()) {
        agree(&value.to_string());
        agree(&serde_json::to_string_pretty(&value).expect("a value can be written"));
    }

    #[test]
    fn strings_survive_writing_and_reading(text in any::<String>()) {
        let mut written = String::new();
        crate::json_text::write(&mut written, &text);
        prop_assert_eq!(serde_json::from_str::<String>(&written).ok(), Some(text));
        agree(&written);
    }
}
