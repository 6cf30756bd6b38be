//! Documents ready to be sent: bytes, strong entity tags, and `304` where nothing changed.

use axum::body::{Body, Bytes};
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::Response;
use flate2::Compression;
use flate2::write::GzEncoder;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::convert::Infallible;
use std::io::Write;
use std::sync::OnceLock;

/// JSON.
pub const JSON: HeaderValue = HeaderValue::from_static("application/json");
/// HTML.
pub const HTML: HeaderValue = HeaderValue::from_static("text/html; charset=utf-8");

/// Whoever keeps a copy asks each time whether it still holds; no cache in between keeps one.
const REVALIDATE: HeaderValue = HeaderValue::from_static("private, no-cache");
/// The compressed form is another answer to the same question.
const VARIES: HeaderValue = HeaderValue::from_static("accept-encoding");
/// Documents smaller than this are not worth compressing.
const LEAST_COMPRESSED: usize = 860;

/// What a client says about a document that it asks for.
#[derive(Clone, Debug, Default)]
pub struct Asker {
    /// Entity tags of what it has.
    known: Option<HeaderValue>,
    /// Whether it takes the compressed form.
    takes_gzip: bool,
}

impl Asker {
    /// What the head of a request says.
    #[must_use]
    pub fn of(headers: &HeaderMap) -> Self {
        Self { known: headers.get(header::IF_NONE_MATCH).cloned(), takes_gzip: accepts_gzip(headers) }
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Asker {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::of(&parts.headers))
    }
}

/// A document with its entity tags.
///
/// The compressed form has a tag of its own, since its bytes differ (RFC 9110, 8.8.3.3).
#[derive(Debug)]
pub struct Rendered {
    kind: HeaderValue,
    bytes: Bytes,
    tag: HeaderValue,
    packed_tag: HeaderValue,
    packed: OnceLock<Bytes>,
}

impl Rendered {
    /// A document of a media type.
    #[must_use]
    pub fn new(kind: HeaderValue, bytes: impl Into<Bytes>) -> Self {
        let bytes = bytes.into();
        let name = digest(&bytes);
        let tag = |ending: &str| {
            HeaderValue::try_from(format!("\"{name}{ending}\"")).expect("hexadecimal digits make a header")
        };
        Self { kind, tag: tag(""), packed_tag: tag("-gz"), bytes, packed: OnceLock::new() }
    }

    /// A value as JSON.
    #[must_use]
    pub fn json(value: &impl Serialize) -> Self {
        let bytes = serde_json::to_vec(value).expect("the service's own records can be written as JSON");
        Self::new(JSON, bytes)
    }

    /// Whether one of the entity tags of an `If-Match` header names it.
    #[must_use]
    pub fn is_named_by(&self, wanted: &HeaderValue) -> bool {
        names(wanted, &self.tag) || names(wanted, &self.packed_tag)
    }

    /// The entity tag of the uncompressed form.
    #[must_use]
    pub fn tag(&self) -> &HeaderValue {
        &self.tag
    }

    /// The document, or `304` if the client has it already.
    #[must_use]
    pub fn answer(&self, asked: &Asker) -> Response {
        let packed = self.bytes.len() >= LEAST_COMPRESSED && asked.takes_gzip;
        let tag = if packed { &self.packed_tag } else { &self.tag };
        let has = asked.known.as_ref().is_some_and(|known| names(known, tag));
        let mut response = Response::new(if has { Body::empty() } else { Body::from(self.form(packed)) });
        let headers = response.headers_mut();
        headers.insert(header::ETAG, tag.clone());
        headers.insert(header::CACHE_CONTROL, REVALIDATE);
        headers.insert(header::VARY, VARIES);
        if has {
            *response.status_mut() = StatusCode::NOT_MODIFIED;
            return response;
        }
        headers.insert(header::CONTENT_TYPE, self.kind.clone());
        if packed {
            headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
        }
        response
    }

    fn form(&self, packed: bool) -> Bytes {
        if packed { self.packed.get_or_init(|| pack(&self.bytes)).clone() } else { self.bytes.clone() }
    }
}

/// The first 128 bits of a SHA-256 in hexadecimal: the same bytes, the same tag, also after a restart.
fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(16).map(|byte| format!("{byte:02x}")).collect()
}

fn pack(bytes: &[u8]) -> Bytes {
    let mut encoder = GzEncoder::new(Vec::with_capacity(bytes.len() / 4), Compression::fast());
    encoder.write_all(bytes).and_then(|()| encoder.finish()).expect("writing into memory cannot fail").into()
}

/// Whether a list of entity tags names one, compared weakly (RFC 9110, 13.1.2).
fn names(list: &HeaderValue, tag: &HeaderValue) -> bool {
    if list == tag {
        return true;
    }
    let Ok(list) = list.to_str() else { return false };
    list.split(',')
        .map(str::trim)
        .any(|one| one == "*" || one.trim_start_matches("W/").as_bytes() == tag.as_bytes())
}

/// Whether a client takes gzip (RFC 9110, 12.5.3).
fn accepts_gzip(asked: &HeaderMap) -> bool {
    let Some(Ok(list)) = asked.get(header::ACCEPT_ENCODING).map(HeaderValue::to_str) else { return false };
    list.split(',').any(|one| {
        let mut parts = one.split(';').map(str::trim);
        let coding = parts.next().unwrap_or_default();
        let refused = parts
            .any(|part| matches!(part.replace(' ', "").as_str(), "q=0" | "q=0.0" | "q=0.00" | "q=0.000"));
        matches!(coding, "gzip" | "*") && !refused
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(pairs: &[(&'static str, &str)]) -> Asker {
        let headers = pairs.iter().map(|(name, value)| (name.parse().unwrap(), value.parse().unwrap()));
        Asker::of(&headers.collect())
    }

    fn tag(response: &Response) -> String {
        response.headers()[header::ETAG].to_str().unwrap().to_owned()
    }

    #[test]
    fn a_client_that_has_the_document_is_told_so() {
        let document = Rendered::new(JSON, vec![b'x'; 5000]);
        let first = document.answer(&asked(&[]));
        assert_eq!(first.status(), StatusCode::OK);
        let tag = tag(&first);
        assert!(tag.starts_with('"') && tag.len() == 34, "{tag}");
        for known in [tag.clone(), format!("W/{tag}"), format!("\"other\", {tag}"), "*".to_owned()] {
            let again = document.answer(&asked(&[("if-none-match", &known)]));
            assert_eq!(again.status(), StatusCode::NOT_MODIFIED, "{known}");
            assert_eq!(again.headers()[header::ETAG], tag.as_str());
        }
        let other = document.answer(&asked(&[("if-none-match", "\"other\"")]));
        assert_eq!(other.status(), StatusCode::OK);
    }

    #[test]
    fn the_compressed_form_has_a_tag_of_its_own() {
        let document = Rendered::new(JSON, vec![b'x'; 5000]);
        let plain = document.answer(&asked(&[]));
        let packed = document.answer(&asked(&[("accept-encoding", "br, gzip;q=0.8")]));
        assert_eq!(packed.headers()[header::CONTENT_ENCODING], "gzip");
        assert_ne!(tag(&plain), tag(&packed));
        let refused = document.answer(&asked(&[("accept-encoding", "gzip;q=0, br")]));
        assert!(!refused.headers().contains_key(header::CONTENT_ENCODING));
        assert!(document.is_named_by(&HeaderValue::try_from(tag(&plain)).unwrap()));
        assert!(document.is_named_by(&HeaderValue::try_from(tag(&packed)).unwrap()));
    }
}
