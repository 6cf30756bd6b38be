//! What a person sees who asked for a page and gets a problem. It tells nothing about the shop.

use super::layout::{NO_REFERRER, POLICY, head};
use crate::problem::Problem;
use crate::rendered::HTML;
use axum::body::Body;
use axum::http::header;
use axum::response::Response;
use maud::{DOCTYPE, Markup, html};

/// The same problem as a page; what is none stays as it is.
pub fn as_page(mut response: Response) -> Response {
    let Some(problem) = response.extensions().get::<Problem>().cloned() else { return response };
    *response.body_mut() = Body::from(page(&problem).into_string());
    let headers = response.headers_mut();
    headers.remove(header::CONTENT_LENGTH);
    headers.insert(header::CONTENT_TYPE, HTML);
    headers.insert(header::CONTENT_SECURITY_POLICY, POLICY);
    headers.insert(header::REFERRER_POLICY, NO_REFERRER);
    response
}

fn page(problem: &Problem) -> Markup {
    // Some remedies are for programs.
    let remedy = Some(problem.remedy_text()).filter(|text| !text.is_empty() && !text.contains("/api/"));
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            (head(problem.title(), "Elbowroom"))
            body {
                main #content {
                    h1 { (problem.title()) }
                    p.large { (problem.detail()) "." }
                    @if let Some(remedy) = remedy { p { "What helps: " (remedy) "." } }
                    p { a href="/" { "To this week" } " \u{b7} " a href="/cells" { "To the cells" } }
                }
            }
        }
    }
}
