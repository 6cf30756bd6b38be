use elbowroom_planner::{Kept, Presumed, Thawed};
use elbowroom_shop::calendar::PlanClock;
use serde_json::{Value, json};

/// What became of the plan that stood, as JSON. `clock`: the new plan's.
#[must_use]
pub fn kept_json(kept: &Kept, clock: &PlanClock) -> Value {
    let thawed = |thawed: &Thawed| {
        json!({
            "order": thawed.order,
            "step": thawed.step,
            "place": thawed.place,
            "was": clock.text(thawed.was),
            "was_minute": thawed.was.get(),
            "why": thawed.why,
        })
    };
    let sent = |presumed: &Presumed| json!({ "order": presumed.order, "step": presumed.step, "vendor": presumed.vendor });
    json!({
        "frozen_until": kept.frozen_until.map(|minute| clock.text(minute)),
        "frozen_until_minute": kept.frozen_until.map(elbowroom_units::Minute::get),
        "frozen_steps": kept.frozen,
        "could_not_stand": kept.thawed.iter().map(thawed).collect::<Vec<Value>>(),
        "taken_as_sent": kept.presumed.iter().map(sent).collect::<Vec<Value>>(),
        "unreported_steps": kept.unreported,
        "announced_orders": kept.announced,
        "moved_orders": kept.moved,
        "freely": kept.freely.map(|(saved, moved)| json!({
            "saved": saved.amount(),
            "moved_orders": moved,
        })),
    })
}
