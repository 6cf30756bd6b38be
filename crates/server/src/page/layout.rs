//! What all pages have around their content.

use super::Viewer;
use crate::app::App;
use crate::rendered::{Asker, HTML, Rendered};
use axum::http::{HeaderValue, header};
use axum::response::Response;
use maud::{DOCTYPE, Markup, html};

/// Nothing from elsewhere, nothing inline, no frame around it.
pub const POLICY: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; \
     form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
);

/// Links lead to others without saying where from.
pub const NO_REFERRER: HeaderValue = HeaderValue::from_static("no-referrer");

/// The pages by path and name.
const PAGES: [(&str, &str); 8] = [
    ("/", "Week"),
    ("/cells", "Cells"),
    ("/orders", "Orders"),
    ("/tooling", "Tooling"),
    ("/load", "Load"),
    ("/inquiry", "Inquiry"),
    ("/promises", "Promises"),
    ("/plans", "Plans"),
];

/// A page to be sent.
pub struct Page<'a> {
    /// Its path, to mark it among the links.
    pub path: &'a str,
    /// Its title.
    pub title: &'a str,
    /// Its content.
    pub content: Markup,
}

/// Sends a page, or `304` if the browser has it.
pub fn send(app: &App, viewer: Viewer, asked: &Asker, page: &Page<'_>) -> Response {
    let snapshot = app.snapshot();
    let shop = snapshot.published.as_ref().map_or("Elbowroom", |published| published.plan.shop.as_str());
    let zone = snapshot.published.as_ref().map_or(app.setup.zone, |published| published.zone);
    let local_now = app.now().with_timezone(&zone).format("%a %-d %b, %H:%M");
    let whole = html! {
        (DOCTYPE)
        html lang="en-GB" {
            (head(page.title, shop))
            body {
                a.skip href="#content" { "To the content" }
                header.top {
                    p.shop { img src="/assets/mark.svg" alt="" width="28" height="28"; " " (shop) }
                    (links(page.path))
                    @if viewer.has_token {
                        form.leave method="post" action="/logout" { button.quiet type="submit" { "Log out" } }
                    }
                }
                main #content tabindex="-1" {
                    h1 { (page.title) }
                    (page.content)
                }
                footer {
                    p #told role="status" aria-live="polite" {}
                    p.quiet #live { "This page shows the state at " (local_now) " and does not update itself without its script." }
                    p.quiet { "A plan is advice. It starts, stops and unlocks no machine: guards stay closed, and the drive is locked out before hands go in." }
                }
            }
        }
    };
    answer(asked, whole)
}

/// Sends a whole document.
pub fn answer(asked: &Asker, whole: Markup) -> Response {
    let mut response = Rendered::new(HTML, whole.into_string()).answer(asked);
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, POLICY);
    headers.insert(header::REFERRER_POLICY, NO_REFERRER);
    response
}

/// The head of a document.
pub fn head(title: &str, shop: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) " \u{b7} " (shop) }
            link rel="icon" href="/assets/mark.svg";
            link rel="stylesheet" href="/assets/style.css";
            script src="/assets/live.js" defer {}
        }
    }
}

fn links(current: &str) -> Markup {
    html! {
        nav aria-label="Pages" {
            ul {
                @for (path, name) in PAGES {
                    li { a href=(path) aria-current=[(path == current).then_some("page")] { (name) } }
                }
            }
        }
    }
}

/// What is shown where no plan has been published yet.
pub fn no_plan(app: &App) -> Markup {
    html! {
        section #waiting data-live {
            @match app.desk.list().first() {
                Some(solve) if solve.problem.is_some() => {
                    p { strong { "There is no plan yet." } " " (solve.problem.as_deref().unwrap_or_default()) }
                    ul { @for finding in &solve.findings { li.finding { (finding) } } }
                }
                Some(_) => p { "The first plan is being made. This page shows it as soon as it is there." },
                None => p { "No plan has been published yet." },
            }
        }
    }
}
