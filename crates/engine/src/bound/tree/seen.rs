//! What the relaxation cannot decide about: where its answers differ from step to step.

use super::super::relaxation::{Relaxation, Workspace};
use super::super::tasks::{Shop, Task};
use super::super::way::Way;
use super::case::{Case, Question};

/// Questions of each kind, at most.
const MOST_EACH: usize = 4;

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

/// Questions with what is at stake in each.
#[derive(Default)]
struct Staked(Vec<(f64, Question)>);

impl Staked {
    fn consider(&mut self, stake: f64, question: Question) {
        if stake > 1e-9 {
            self.0.push((stake, question));
        }
    }

    /// Those with most at stake.
    fn most(mut self, count: usize) -> impl Iterator<Item = Question> {
        self.0.sort_by(|a, b| b.0.total_cmp(&a.0));
        self.0.into_iter().take(count).map(|(_, question)| question)
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

    /// Questions that the last answers differ in: about money, ways, choices and starts.
    pub(super) fn questions(&self, shop: &Shop, case: &Case) -> Vec<Question> {
        let mut found: Vec<Question> = self.by_money(shop, case).most(MOST_EACH).collect();
        found.extend(self.by_way(shop).most(MOST_EACH));
        found.extend(self.by_choice(shop).most(MOST_EACH));
        found.extend(self.by_start(shop).most(MOST_EACH));
        found
    }

    /// The question with most money at stake, if that is more than `least`.
    pub(super) fn on_money(&self, shop: &Shop, case: &Case, least: f64) -> Option<Question> {
        let staked = self.by_money(shop, case).0.into_iter().filter(|(stake, _)| *stake > least);
        staked.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, question)| question)
    }

    /// When jobs end, and what is bought.
    fn by_money(&self, shop: &Shop, case: &Case) -> Staked {
        let mut found = Staked::default();
        for (job, ends) in self.ends.iter().enumerate() {
            let (mean, spread) = mean_and_spread(ends.iter().copied());
            found.consider(spread * shop.tasks[job].late, Question::EndsBy(job, mean.floor() as i64));
        }
        for (offer, used) in self.used.iter().enumerate() {
            if !case.has_decided_on(offer) {
                let share = f64::from(*used) / f64::from(self.looks.max(1));
                found.consider(shop.offers[offer].price * share.min(1.0 - share), Question::Buys(offer));
            }
        }
        found
    }

    /// The plans that jobs agree on least.
    fn by_way(&self, shop: &Shop) -> Staked {
        let mut found = Staked::default();
        for (job, ways) in self.ways.iter().enumerate() {
            let Some(first) = ways.first() else { continue };
            let same = ways.iter().filter(|way| way.plan == first.plan).count();
            if ends_alone(&shop.tasks[job], first.plan) {
                found.consider((ways.len() - same).min(same) as f64, Question::Follows(job, first.plan));
            }
        }
        found
    }

    /// The choices that steps agree on least.
    fn by_choice(&self, shop: &Shop) -> Staked {
        let mut found = Staked::default();
        for (job, ways) in self.ways.iter().enumerate() {
            let Some((first, ways)) = of_one_plan(ways) else { continue };
            for (k, step) in shop.tasks[job].routes[first.plan].steps.iter().enumerate() {
                let same = ways.clone().filter(|way| way.legs[k].choice == first.legs[k].choice).count();
                let others = ways.clone().count() - same;
                found.consider(others.min(same) as f64, Question::Takes(job, *step, first.legs[k].choice));
            }
        }
        found
    }

    /// The steps of cells whose starts differ most.
    fn by_start(&self, shop: &Shop) -> Staked {
        let mut found = Staked::default();
        for (job, ways) in self.ways.iter().enumerate() {
            let Some(first) = ways.first() else { continue };
            let task = &shop.tasks[job];
            let alike = ways.iter().zip(&self.starts[job]).filter(|(way, _)| way.plan == first.plan);
            for (k, step) in task.routes[first.plan].steps.iter().enumerate() {
                if task.steps[*step].choices[first.legs[k].choice].cell.is_some() {
                    let (mean, spread) = mean_and_spread(alike.clone().map(|(_, starts)| starts[k]));
                    found.consider(spread, Question::StartsBy(job, *step, mean.floor() as i64));
                }
            }
        }
        found
    }
}

/// The first of the ways and all that follow the same plan.
fn of_one_plan(ways: &[Way]) -> Option<(&Way, impl Iterator<Item = &Way> + Clone)> {
    let first = ways.first()?;
    Some((first, ways.iter().filter(|way| way.plan == first.plan)))
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
