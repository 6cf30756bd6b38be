//! What the signs and patterns of a chart mean, and the patterns.

use maud::{Markup, html};

/// What the signs mean, in a list that wraps as it has to.
pub fn legend() -> Markup {
    html! {
        ul.legend {
            @for (state, name) in
                [("planned", "planned"), ("running", "\u{25b6} running"), ("stopped", "\u{2016} stopped"), ("finished", "\u{2713} finished")]
            {
                li { (sample(html! {
                    g class={ "lot " (state) } {
                        rect.run x="1" y="1" width="22" height="14" {}
                        @if state == "finished" || state == "stopped" { rect class={ "over-" (state) } x="1" y="1" width="22" height="14" {} }
                    }
                })) " " (name) }
            }
            li { (sample(html! { rect.setup x="1" y="1" width="22" height="14" {} })) " changing over" }
            li { (sample(html! { path.flag d="M8 4h9l-3 3.5l3 3.5h-9z" {} })) " its order will be late" }
            li { (sample(html! { rect.closed x="1" y="1" width="22" height="14" {} })) " closed; narrower where nobody works" }
        }
    }
}

fn sample(drawn: Markup) -> Markup {
    html! { svg.chart.sample viewBox="0 0 24 16" width="24" height="16" aria-hidden="true" { (drawn) } }
}

/// The patterns of both charts, in a drawing that is always there.
pub fn patterns() -> Markup {
    html! {
        svg.patterns width="0" height="0" aria-hidden="true" {
            defs {
                pattern #hatch width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                    rect.hatch-ground width="6" height="6" {}
                    line.hatch-line x1="0" x2="0" y1="0" y2="6" {}
                }
                pattern #dots width="5" height="5" patternUnits="userSpaceOnUse" { circle.dot cx="2" cy="2" r="1" {} }
                pattern #crosses width="8" height="8" patternUnits="userSpaceOnUse" { path.cross d="M0 0l8 8M8 0l-8 8" {} }
            }
        }
    }
}
