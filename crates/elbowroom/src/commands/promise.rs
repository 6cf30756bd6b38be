use super::plan::{tell_findings, whole_shop};
use crate::args::{PlanSource, PromiseArgs};
use crate::console;
use crate::exit::Exit;
use crate::plan_folder;
use crate::shop_folder;
use elbowroom_files::{BookError, Severity, book_orders, part_meant, promise_value, read_inquiries};
use elbowroom_planner::promise::{Answer, Inquiry, InquiryFault, Rehearsal, Standing};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::order::Order;
use serde_json::{Value, json};

/// Answers inquiries.
pub fn run(args: &PromiseArgs) -> Exit {
    match promise(args) {
        Ok(exit) | Err(exit) => exit,
    }
}

fn promise(args: &PromiseArgs) -> Result<Exit, Exit> {
    let start = args.source.start.or(args.source.plan.as_deref().map(plan_folder::start_of).transpose()?);
    let read = shop_folder::read(&args.shop, start);
    tell_findings(&read.loaded.findings);
    let shop = whole_shop(&read)?;
    let (inquiries, findings) = inquiries(args, shop)?;
    let standing = plan_folder::standing(shop, read.start, &args.source)?;
    tell_standing(&standing);
    let (answered, standing) = answer_all(args, standing, &inquiries);
    let clock = PlanClock::new(shop.terms.time_zone, standing.start());
    let faults = answered.iter().filter(|answered| answered.outcome.is_err()).count() + findings;
    if args.accept {
        book(args, &answered)?;
    }
    print(args, shop, &clock, &answered);
    Ok(if faults > 0 { Exit::BadInput } else { Exit::Done })
}

/// The inquiries of the command line or the file, and how many lines of the file were at fault.
fn inquiries(args: &PromiseArgs, shop: &Shop) -> Result<(Vec<Inquiry>, usize), Exit> {
    let mut free = free_ids(shop);
    let mut named = |inquiry: Inquiry| match inquiry.id.is_empty() {
        true => Inquiry { id: free.next().unwrap_or_default(), ..inquiry },
        false => inquiry,
    };
    if let Some(path) = &args.csv {
        let (asked, findings) = read_inquiries(path, shop);
        findings.iter().for_each(|finding| console::tell(&format!("{finding}\n")));
        let errors = shop_folder::count(&findings, Severity::Error);
        if asked.is_empty() {
            console::tell(&format!("no inquiry could be read from {}", path.display()));
            return Err(Exit::BadInput);
        }
        return Ok((asked.into_iter().map(|asked| named(asked.inquiry)).collect(), errors));
    }
    let (Some(part), Some(quantity)) = (&args.part, args.qty) else {
        console::tell(
            "error: name a part and a quantity (--part P --qty N), or a file of inquiries (--csv FILE)",
        );
        return Err(Exit::BadInput);
    };
    let inquiry = Inquiry {
        id: args.order.clone().unwrap_or_default(),
        part: part.clone(),
        quantity,
        wanted: args.wanted,
        material: args.material,
        customer: args.customer.clone(),
    };
    Ok((vec![named(inquiry)], 0))
}

/// Ids that follow the highest number in the book, in its own form: `O-2660` is followed by `O-2661`.
fn free_ids(shop: &Shop) -> impl Iterator<Item = String> {
    let digits = |id: &str| id.len() - id.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    let numbered = shop.orders.iter().filter_map(|order| {
        let (stem, number) = order.id.split_at(order.id.len() - digits(&order.id));
        number.parse::<u64>().ok().map(|value| (value, stem.to_owned(), number.len()))
    });
    let (last, stem, width) = numbered.max().unwrap_or((0, "O-".to_owned(), 1));
    let taken: Vec<String> = shop.orders.iter().map(|order| order.id.clone()).collect();
    let ids = (1u64..).map(move |more| format!("{stem}{:0width$}", last.saturating_add(more)));
    ids.filter(move |id| !taken.contains(id))
}

/// An inquiry and what came of it.
struct Answered {
    inquiry: Inquiry,
    outcome: Result<Answer, InquiryFault>,
    /// The orders that it becomes when booked.
    orders: Vec<Order>,
}

/// Answers one inquiry after the other; together with those before it, if asked to.
fn answer_all(args: &PromiseArgs, standing: Standing, inquiries: &[Inquiry]) -> (Vec<Answered>, Standing) {
    let threads = threads(&args.source);
    let mut standing = standing;
    let mut answered = Vec::new();
    for inquiry in inquiries {
        let mut outcome = standing.answer(inquiry, threads);
        if let Ok(answer) = &mut outcome {
            say_how_sure(args, &standing, answer, args.all_sure || inquiries.len() == 1);
        }
        let mut orders = Vec::new();
        if let Ok(answer) = &outcome {
            orders = standing.orders_of(answer, answer.best());
            if args.together || args.accept {
                match standing.accept(answer.best(), orders.clone()) {
                    Ok(next) => standing = next,
                    Err(fault) => outcome = Err(fault),
                }
            }
        }
        answered.push(Answered { inquiry: inquiry.clone(), outcome, orders });
    }
    (answered, standing)
}

/// Fills in the dates kept in 50, 80 and 95 of 100 cases and the one to tell the customer, of every way or
/// of the recommended one.
fn say_how_sure(args: &PromiseArgs, standing: &Standing, answer: &mut Answer, of_every_way: bool) {
    let rehearsal = Rehearsal { runs: args.runs, seed: args.source.seed, threads: threads(&args.source) };
    for at in 0..answer.offers.len() {
        if args.runs > 0 && (of_every_way || at == answer.recommended) {
            let sure = standing.how_sure(answer, &answer.offers[at], &rehearsal);
            let offer = &mut answer.offers[at];
            (offer.kept, offer.advised) = (sure.map(|sure| sure.kept), sure.and_then(|sure| sure.advised));
        }
    }
}

/// How many threads to work with.
pub fn threads(source: &PlanSource) -> usize {
    source.threads.map_or_else(|| std::thread::available_parallelism().map_or(1, usize::from), usize::from)
}

/// Tells how the plan was held against the shop.
pub fn tell_standing(standing: &Standing) {
    if !standing.fitted().is_empty() {
        console::tell(&format!(
            "booked since the plan was made, fitted in: {}",
            standing.fitted().join(", ")
        ));
    }
    if !standing.unplanned().is_empty() {
        console::tell(&format!("in the book, not in the plan: {}", standing.unplanned().join(", ")));
    }
}

/// Books every answered inquiry.
fn book(args: &PromiseArgs, answered: &[Answered]) -> Result<(), Exit> {
    let good = answered.iter().filter(|answered| answered.outcome.is_ok());
    let orders: Vec<Order> = good.flat_map(|answered| answered.orders.iter().cloned()).collect();
    if orders.is_empty() {
        return Ok(());
    }
    match book_orders(&args.shop, &orders) {
        Ok(file) => {
            let told = orders.iter().map(|order| format!("{} for {}", order.id, order.promised));
            let told: Vec<String> = told.collect();
            console::tell(&format!("booked in {}: {}", args.shop.join(file).display(), told.join(", ")));
            Ok(())
        }
        Err(error) => {
            console::tell(&format!("error: nothing was booked: {error}\n  hint: {}", error.remedy()));
            Err(if matches!(error, BookError::Write(_) | BookError::Held { .. }) {
                Exit::NotWritten
            } else {
                Exit::BadInput
            })
        }
    }
}

fn print(args: &PromiseArgs, shop: &Shop, clock: &PlanClock, answered: &[Answered]) {
    if args.json {
        let answers: Vec<Value> = answered.iter().map(|one| as_json(shop, clock, one, args.accept)).collect();
        console::print(&format!("{:#}", json!({ "format": "elbowroom-promise/1", "answers": answers })));
        return;
    }
    for one in answered {
        match &one.outcome {
            Ok(answer) => {
                let text = elbowroom_report::promise::text(answer, &shop.terms.currency, console::width());
                console::print(&format!("\n{text}"));
            }
            Err(fault) => console::tell(&format!("{}\n", told(shop, &one.inquiry, fault))),
        }
    }
}

fn as_json(shop: &Shop, clock: &PlanClock, one: &Answered, booked: bool) -> Value {
    match &one.outcome {
        Ok(answer) => {
            let mut value = promise_value(answer, &shop.terms.currency, clock);
            let orders = one.orders.iter().filter(|_| booked).map(|order| {
                json!({ "id": order.id, "quantity": order.quantity, "promised": order.promised.to_string() })
            });
            value["booked"] = orders.collect();
            value
        }
        Err(fault) => json!({
            "order": one.inquiry.id,
            "part": one.inquiry.part,
            "quantity": one.inquiry.quantity,
            "error": fault.to_string(),
            "hint": remedy(shop, fault),
        }),
    }
}

fn told(shop: &Shop, inquiry: &Inquiry, fault: &InquiryFault) -> String {
    format!("error: inquiry `{}`: {fault}\n  hint: {}", inquiry.id, remedy(shop, fault))
}

fn remedy(shop: &Shop, fault: &InquiryFault) -> String {
    let meant = match fault {
        InquiryFault::UnknownPart { part } => part_meant(shop, part),
        _ => None,
    };
    meant.unwrap_or_else(|| fault.remedy())
}
