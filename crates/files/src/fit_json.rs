//! A part held up to every bending cell, for other people's programs: what `fit --json` prints.
//!
//! Keys are in snake case with the unit at the end (`_mm`, `_deg`, `_s`, `_min`, `_kg`, `_kn_m`,
//! `_percent`); money is a plain number in `currency`; days are ISO dates.

use elbowroom_bending::fit::{Amount, Assessment, BendExpected, Caution, Finding, Refusal, Subject};
use elbowroom_bending::tooling::ToolSpec;
use elbowroom_planner::fit::{
    Barrier, CellFit, CostSum, Fit, Offer, PartFacts, Ready, StepFit, Substitute, ToolFit, ToolSource,
};
use elbowroom_units::{Mm, Money};
use serde_json::{Value, json};

/// The value of the key `format`.
pub const FIT_FORMAT: &str = "elbowroom-fit/1";

/// The answer as JSON text, indented, with a line break at its end.
#[must_use]
pub fn fit_json(fit: &Fit) -> String {
    let value = json!({
        "format": FIT_FORMAT,
        "shop": fit.shop,
        "currency": fit.currency,
        "margin_percent": fit.margin_percent,
        "today": fit.today.to_string(),
        "quantity": fit.quantity,
        "part": part(&fit.part),
        "can_be_made": fit.why.is_some(),
        "why_best": fit.why,
        "at_once": fit.at_once().map(|(cell, _)| &cell.cell),
        "cells": fit.cells.iter().map(|found| cell(fit, found)).collect::<Vec<_>>(),
    });
    format!("{value:#}\n")
}

fn part(part: &PartFacts) -> Value {
    let bend = |bend: &elbowroom_bending::shape::Bend| {
        json!({
            "straight_before_mm": bend.straight_before.mm(),
            "rotation_deg": bend.rotation.degrees(),
            "clr_mm": bend.clr.mm(),
            "angle_deg": bend.angle.degrees(),
        })
    };
    json!({
        "id": part.id,
        "name": part.name,
        "tube": part.tube.id,
        "od_mm": part.tube.tube.outer().mm(),
        "wall_mm": part.tube.tube.wall().mm(),
        "stock_length_mm": part.tube.stock_length.mm(),
        "material": part.material,
        "bends": part.shape.bends().iter().map(bend).collect::<Vec<_>>(),
        "end_straight_mm": part.shape.end_straight().mm(),
        "developed_mm": part.developed.mm(),
        "size_mm": part.size.map(Mm::mm),
        "mass_kg": part.mass_kg,
    })
}

fn cell(fit: &Fit, found: &CellFit) -> Value {
    let can = match &found.offer {
        Ok(offer) if matches!(offer.ready, Ready::ToBuy(_)) => "with purchase",
        Ok(_) => "yes",
        Err(_) => "no",
    };
    json!({
        "cell": found.cell,
        "process": found.process.name(),
        "way": found.assessment.way.name(),
        "can": can,
        "reasons": found.offer.as_ref().err().map(|all| all.iter().map(barrier).collect::<Vec<_>>()),
        "offer": found.offer.as_ref().ok().map(|found| offer(fit, found)),
        "bending": assessment(&found.assessment),
    })
}

fn barrier(barrier: &Barrier) -> Value {
    let mut value = match barrier {
        Barrier::Rule(refusal) => finding(refusal, &refusal.to_string()),
        other => json!({ "text": other.to_string() }),
    };
    value["remedy"] = json!(barrier.remedy());
    value
}

/// A rule or thing to watch: what, at which bends, value against limit.
fn finding<S: Subject>(finding: &Finding<S>, text: &str) -> Value {
    json!({
        "text": text,
        "rule": finding.subject.name().trim_end_matches(','),
        "bends": finding.bends,
        "value": amount(finding.value),
        "limit": amount(finding.limit),
    })
}

/// A value with its unit in the key.
fn amount(amount: Amount) -> Value {
    match amount {
        Amount::Length(length) => json!({ "mm": length.mm() }),
        Amount::Angle(angle) => json!({ "deg": angle.degrees() }),
        Amount::Ratio(ratio) => json!({ "ratio": ratio }),
        Amount::Percent(percent) => json!({ "percent": percent }),
        Amount::Moment(moment) => json!({ "kn_m": moment }),
        Amount::Count(count) => json!({ "count": count }),
        Amount::Marks(marks) => json!({ "marks": marks.name() }),
        Amount::Words(words) => json!({ "words": words }),
    }
}

fn offer(fit: &Fit, offer: &Offer) -> Value {
    let (ready, date) = match offer.ready {
        Ready::Now => ("now", None),
        Ready::OnOrder(date) => ("on order", Some(date)),
        Ready::ToBuy(date) => ("to buy", Some(date)),
    };
    json!({
        "ready": ready,
        "ready_date": date.map(|date| date.to_string()),
        "tools": offer.tools.iter().map(tool).collect::<Vec<_>>(),
        "setup_min": offer.bending().setup.count(),
        "setup_today_min": offer.setup_today.count(),
        "pieces_to_start": offer.pieces_to_start,
        "steps": offer.steps.iter().map(step).collect::<Vec<_>>(),
        "work_min": offer.work().count(),
        "outside_min": offer.away().count(),
        "cost": cost(&offer.cost),
        "cost_per_piece": (offer.cost.of_pieces() / f64::from(fit.quantity)).amount(),
        "price_per_piece": fit.margin_percent.map(|_| fit.price_per_piece(offer).amount()),
    })
}

fn tool(tool: &ToolFit) -> Value {
    let mut value = spec(&tool.need);
    value["id"] = json!(tool.tool);
    value["substitutes"] = tool.substitutes.iter().map(substitute).collect();
    let (source, rest) = match tool.source {
        ToolSource::Mounted => ("mounted", json!({})),
        ToolSource::Rack => ("rack", json!({})),
        ToolSource::OnOrder { usable } => ("on order", json!({ "usable": usable.to_string() })),
        ToolSource::ToBuy { price, lead, usable, estimated } => {
            let (price, lead, usable) = (price.amount(), lead.count(), usable.to_string());
            let terms = json!({ "price": price, "lead_min": lead, "usable": usable, "estimated": estimated });
            ("to buy", terms)
        }
    };
    value["source"] = json!(source);
    for (key, found) in rest.as_object().into_iter().flatten() {
        value[key] = found.clone();
    }
    value
}

fn substitute(substitute: &Substitute) -> Value {
    let differences: Vec<String> = substitute.differences.iter().map(ToString::to_string).collect();
    json!({ "id": substitute.tool, "differences": differences })
}

fn spec(spec: &ToolSpec) -> Value {
    json!({
        "kind": spec.kind.name(),
        "od_mm": spec.od.mm(),
        "clr_mm": spec.clr.map(Mm::mm),
        "wall_mm": spec.wall.map(Mm::mm),
        "balls": spec.balls,
    })
}

fn step(step: &StepFit) -> Value {
    json!({
        "step": step.name,
        "place": step.place,
        "outside": step.is_outside(),
        "pieces": step.pieces,
        "setup_min": step.setup.count(),
        "run_min": step.run.count(),
        "cost": step.cost().amount(),
    })
}

fn cost(sum: &CostSum) -> Value {
    json!({
        "tube": sum.tube.map(Money::amount),
        "setup": sum.setup.amount(),
        "run": sum.run.amount(),
        "outside": sum.outside.amount(),
        "tools": sum.tools.amount(),
        "total": sum.total().amount(),
    })
}

fn assessment(found: &Assessment) -> Value {
    let watch = |caution: &Caution| {
        let mut value = finding(caution, &caution.to_string());
        value["remedy"] = json!(caution.remedy());
        value
    };
    let support = |refusal: &Refusal| finding(refusal, &refusal.to_string());
    let expected = &found.expected;
    json!({
        "cycle_s": found.cycle.seconds(),
        "wash_s": found.wash.seconds(),
        "first_article_s": found.first_article.seconds(),
        "setup_pieces": found.setup_pieces,
        "scrap_percent": found.scrap_percent,
        "strokes": found.strokes,
        "direction": found.direction.to_string(),
        "lubricated_inside": found.lubricated_inside,
        "blank_mm": found.blank.mm(),
        "after_cuts": found.after_cuts,
        "thinning_percent": expected.thinning_percent,
        "thickening_percent": expected.thickening_percent,
        "ovality_percent": expected.ovality_percent,
        "springback_deg": expected.springback.degrees(),
        "wrinkling": expected.wrinkling.name(),
        "marks": expected.marks.name(),
        "moment_kn_m": expected.moment_kn_m,
        "bends": expected.bends.iter().map(bend).collect::<Vec<_>>(),
        "watch": found.cautions.iter().map(watch).collect::<Vec<_>>(),
        "why_supported": found.unsupported.iter().map(support).collect::<Vec<_>>(),
    })
}

fn bend(bend: &BendExpected) -> Value {
    json!({
        "bend": bend.bend,
        "thinning_percent": bend.thinning_percent,
        "thickening_percent": bend.thickening_percent,
        "elongation_percent": bend.elongation_percent,
        "neutral_axis_shift_mm": bend.neutral_axis_shift.mm(),
        "ovality_percent": bend.ovality_percent,
        "springback_deg": bend.springback.degrees(),
        "tool_radius_mm": bend.tool_radius.mm(),
        "wrinkling": bend.wrinkling.name(),
        "difficulty": bend.difficulty,
    })
}
