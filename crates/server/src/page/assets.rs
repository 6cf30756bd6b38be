//! Style sheet, script and mark, from inside the program.

use crate::app::App;
use crate::rendered::{Asker, Rendered};
use axum::Router;
use axum::http::HeaderValue;
use axum::routing::get;
use std::future::ready;
use std::sync::Arc;

const STYLE: &str = include_str!("../../assets/style.css");
const SCRIPT: &str = include_str!("../../assets/live.js");
const MARK: &str = include_str!("../../assets/mark.svg");

/// The paths of the assets.
pub fn router() -> Router<App> {
    [
        ("/assets/style.css", "text/css; charset=utf-8", STYLE),
        ("/assets/live.js", "text/javascript; charset=utf-8", SCRIPT),
        ("/assets/mark.svg", "image/svg+xml", MARK),
    ]
    .into_iter()
    .fold(Router::new(), |router, (path, kind, text)| {
        let asset = Arc::new(Rendered::new(HeaderValue::from_static(kind), text.as_bytes()));
        router.route(path, get(move |asked: Asker| ready(asset.answer(&asked))))
    })
}
