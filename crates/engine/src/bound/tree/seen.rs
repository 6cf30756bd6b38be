//! What the relaxation cannot decide about: where its answers differ from step to step.

use super::super::relaxation::{Relaxation, Workspace};
use super::super::tasks::{Shop, Task};
use super::super::way::Way;
use super::case::{Case, Question};

/// The answers of the last steps of a case.
pub(super) struct Seen {
    /// By job, the ways in which it was made.
    ways: Vec<Vec<Way>>,
    /// By job and way, the minute at which it ended, or its due minute if earlier.
    ends: Vec<Vec<i64>>,
    /// By job and way, the minute at which each step began.
    starts: Vec<Vec<Vec<i64>>>,
    /// By offer, how often some job used it.
    used: Vec<u32>,
    looks: u32,
}

/// The question found so far, with what is at stake.
struct Best {
    stake: f64,
    question: Option<Question>,
}

impl Best {
    fn consider(&mut self, stake: f64, question: Question) {
        if stake > self.stake {
            *self = Self { stake, question: Some(question) };
        }
    }
}

impl Seen {
    pub(super) fn new(shop: &Shop) -> Self {
        let jobs = shop.tasks.len();
        Self {
            ways: vec![Vec::new(); jobs],
            ends: vec![Vec::new(); jobs],
            starts: vec![Vec::new(); jobs],
            used: vec![0; shop.offers.len()],
            looks: 0,
        }
    }

    /// Adds the answers of one step.
    pub(super) fn add(&mut self, relaxation: &Relaxation<'_>, work: &Workspace) {
        self.looks += 1;
        let mut used = vec![0; self.used.len()];
        for (job, (task, way)) in relaxation.shop.tasks.iter().zip(&work.ways).enumerate() {
            let Some(way) = way else { continue };
            let mut legs = task.routes[way.plan].steps.iter().zip(&way.legs);
            for (step, leg) in legs.clone() {
                for link in &task.steps[*step].choices[leg.choice].offers {
                    used[relaxation.shop.offer_links[*link]] = 1;
                }
            }
            let starts = legs.clone().map(|(step, leg)| relaxation.earliest_start(&task.steps[*step], *leg));
            self.starts[job].push(starts.collect());
            if let Some((step, leg)) = legs.next_back() {
                let end = relaxation.earliest_end(&task.steps[*step], *leg);
                self.ends[job].push(end.max(task.due));
            }
            self.ways[job].push(way.clone());
        }
        for (sum, new) in self.used.iter_mut().zip(used) {
            *sum += new;
        }
    }

    /// The question whose answers differ most in money; where no more than `least` is at stake,
    /// one on which way or when.
    pub(super) fn question(&self, shop: &Shop, case: &Case, least: f64) -> Option<Question> {
        self.by_money(shop, case, least.max(1e-9))
            .or_else(|| self.by_way(shop))
            .or_else(|| self.by_start(shop))
    }

    fn by_money(&self, shop: &Shop, case: &Case, least: f64) -> Option<Question> {
        let mut best = Best { stake: least, question: None };
        for (job, ends) in self.ends.iter().enumerate() {
            let (mean, spread) = mean_and_spread(ends.iter().copied());
            best.consider(spread * shop.tasks[job].late, Question::EndsBy(job, mean.floor() as i64));
        }
        for (offer, used) in self.used.iter().enumerate() {
            if !case.has_decided_on(offer) {
                let share = f64::from(*used) / f64::from(self.looks.max(1));
                best.consider(shop.offers[offer].price * share.min(1.0 - share), Question::Buys(offer));
            }
        }
        best.question
    }

    /// The plan or choice that jobs agree on least.
    fn by_way(&self, shop: &Shop) -> Option<Question> {
        let mut best = Best { stake: 0.0, question: None };
        for (job, ways) in self.ways.iter().enumerate() {
            let Some(first) = ways.first() else { continue };
            let same = ways.iter().filter(|way| way.plan == first.plan).count();
            let others = (ways.len() - same).min(same) as f64;
            if ends_alone(&shop.tasks[job], first.plan) {
                best.consider(others, Question::Follows(job, first.plan));
            }
        }
        best.question
    }

    /// The step of a cell whose starts differ most.
    fn by_start(&self, shop: &Shop) -> Option<Question> {
        let mut best = Best { stake: 0.0, question: None };
        for (job, ways) in self.ways.iter().enumerate() {
            let Some(first) = ways.first() else { continue };
            let task = &shop.tasks[job];
            for (k, step) in task.routes[first.plan].steps.iter().enumerate() {
                let same = ways.iter().filter(|way| way.legs[k].choice == first.legs[k].choice).count();
                if same < ways.len() {
                    let others = (ways.len() - same).min(same) as f64;
                    best.consider(1e6 * others, Question::Takes(job, *step, first.legs[k].choice));
                } else if task.steps[*step].choices[first.legs[k].choice].cell.is_some() {
                    let (mean, spread) = mean_and_spread(self.starts[job].iter().map(|starts| starts[k]));
                    best.consider(spread, Question::StartsBy(job, *step, mean.floor() as i64));
                }
            }
        }
        best.question
    }
}

/// Whether no other plan ends with the plan's last step.
fn ends_alone(task: &Task, plan: usize) -> bool {
    let last = task.routes[plan].steps.last();
    task.routes.iter().filter(|other| other.steps.last() == last).count() == 1
}

/// Mean and mean distance from it.
fn mean_and_spread(values: impl Iterator<Item = i64> + Clone) -> (f64, f64) {
    let count = values.clone().count().max(1) as f64;
    let mean = values.clone().sum::<i64>() as f64 / count;
    (mean, values.map(|value| (value as f64 - mean).abs()).sum::<f64>() / count)
}
