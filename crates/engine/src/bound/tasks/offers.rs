//! Which choices need a tool bought.

use super::Offer;
use super::build::Builder;
use elbowroom_problem::{Availability, Work};
use std::collections::BTreeSet;

impl Builder<'_> {
    /// Links each choice to the offers that it needs bought.
    pub(super) fn link_offers(&mut self) {
        let committed: BTreeSet<usize> = self.problem.committed_purchases.iter().map(|t| t.get()).collect();
        let users = self.users();
        for (tool, data) in self.problem.tools.iter().enumerate() {
            let Availability::Offer { price, .. } = data.availability else { continue };
            if !committed.contains(&tool) {
                let offer = self.shop.offers.len();
                self.shop.offers.push(Offer { tool, price: self.money * price.amount() });
                self.link_offer(offer, tool, &users[tool]);
            }
        }
    }

    /// The jobs that need each tool in some choice.
    fn users(&self) -> Vec<Vec<usize>> {
        let mut users: Vec<Vec<usize>> = vec![Vec::new(); self.problem.tools.len()];
        for (j, job) in self.problem.jobs.iter().enumerate() {
            let options = job.routes.iter().flat_map(|route| &route.operations).flat_map(|op| &op.options);
            for tool in options.filter_map(Work::on_cell).flat_map(|work| &work.tools) {
                let known = &mut users[tool.get()];
                if known.last() != Some(&j) {
                    known.push(j);
                }
            }
        }
        users
    }

    fn link_offer(&mut self, offer: usize, tool: usize, users: &[usize]) {
        for &j in users {
            let job = &self.problem.jobs[j];
            let mut links: Vec<usize> = Vec::new();
            let mut seen = BTreeSet::new();
            for at in 0..self.shop.tasks[j].routes.len() {
                let plan = self.shop.tasks[j].routes[at].clone();
                let mut turn = 0;
                for (k, step) in plan.steps.iter().enumerate() {
                    let options = &job.routes[plan.index].operations[k].options;
                    let step_data = &mut self.shop.tasks[j].steps[*step];
                    if step_data.pinned.is_some() || !options.iter().any(|option| needs(option, tool)) {
                        continue;
                    }
                    if turn == links.len() {
                        links.push(self.shop.offer_links.len());
                        self.shop.offer_links.push(offer);
                    }
                    for choice in &mut step_data.choices {
                        if needs(&options[choice.index], tool) && seen.insert((*step, choice.index)) {
                            choice.offers.push(links[turn]);
                        }
                    }
                    turn += 1;
                }
            }
        }
    }
}

fn needs(option: &Work, tool: usize) -> bool {
    option.on_cell().is_some_and(|work| work.tools.iter().any(|t| t.get() == tool))
}
