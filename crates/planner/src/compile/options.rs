//! Where and with what a step can be done.

use super::calendars::MOST_WEEKS;
use super::finding::Finding;
use super::jobs::{Asked, Course, Jobs};
use super::key::StepKind;
use super::rack::{Effort, Pick, ToolSet, described};
use super::status::{Running, RunningPlace};
use super::steps::{Bent, Step, lot_time, run_minutes, setup_key, work_for};
use super::ways::Way;
use crate::words::listed;
use elbowroom_bending::process::Process;
use elbowroom_bending::rules::ToolDefault;
use elbowroom_problem::{CellIdx, CellWork, Place, ToolIdx, Work};
use elbowroom_shop::cell::Cell;
use elbowroom_shop::part::Part;
use elbowroom_units::{Minutes, Money, Seconds};

impl Jobs<'_> {
    /// Every option of a step, with the cell or vendor.
    pub(super) fn options(
        &mut self,
        asked: &Asked<'_>,
        course: &Course<'_>,
        step: &Step,
        pieces: u32,
    ) -> Result<Vec<(String, Work)>, String> {
        let running = asked.is_running(step);
        let mut options = match (step.kind, course.way) {
            (StepKind::Bend, Some(way)) if running => self.running_bend(asked, way),
            (StepKind::Bend, Some(way)) => self.bend_options(asked, way)?,
            (StepKind::Outside, _) => self.outside_options(step, pieces),
            _ => self.inside_options(asked, course, step, pieces),
        };
        if options.is_empty() {
            return Err(step.nobody_does());
        }
        match asked.status.running.as_ref().filter(|_| running) {
            Some(running) => self.keep_running(&mut options, running),
            None => self.keep_manned(&mut options),
        }
        if options.is_empty() {
            return Err(format!("no cell for the step `{}` is ever open with its crew", step.name));
        }
        Ok(options)
    }

    /// The option that is running, with the time that is left.
    fn keep_running(&self, options: &mut Vec<(String, Work)>, running: &Running) {
        let place = match &running.place {
            RunningPlace::Cell(cell) => &self.frame.shop.cells[cell.get()].id,
            RunningPlace::Vendor(vendor) => vendor,
        };
        options.retain(|(at, _)| at == place);
        options.truncate(1);
        options.iter_mut().for_each(|(_, work)| work.run = running.remaining);
    }

    fn keep_manned(&self, options: &mut Vec<(String, Work)>) {
        options.retain(|(_, work)| {
            work.on_cell().is_none_or(|work| self.calendars.is_ever_manned(self.frame, work.cell))
        });
    }

    fn outside_options(&self, step: &Step, pieces: u32) -> Vec<(String, Work)> {
        let vendors = self.frame.shop.vendors.iter().filter(|v| Some(&v.service) == step.service.as_ref());
        let work = |vendor: &elbowroom_shop::vendor::Vendor| Work {
            place: Place::Outside,
            run: vendor.turnaround,
            cost: vendor.cost(pieces),
        };
        vendors.map(|vendor| (vendor.id.clone(), work(vendor))).collect()
    }

    fn inside_options(
        &self,
        asked: &Asked<'_>,
        course: &Course<'_>,
        step: &Step,
        pieces: u32,
    ) -> Vec<(String, Work)> {
        let Some(work) = work_for(step.kind) else { return Vec::new() };
        let times = &self.frame.shop.step_times;
        let bent = Bent { washing: course.washing.unwrap_or(Seconds::ZERO), cut_ends: course.cut_ends };
        let standard = lot_time(times, step.kind, asked.part, pieces, bent);
        let measured = self.frame.shop.measured.run(work, &asked.tube.tube);
        let key = setup_key(step.kind, asked.part, asked.tube);
        let on = |cell: CellIdx| {
            let found = &self.frame.shop.cells[cell.get()];
            let run = run_minutes(standard * measured, found.speed_factor);
            (found.id.clone(), self.cell_work(cell, found, key.clone(), Vec::new(), run))
        };
        self.frame.cells_for(work).map(on).collect()
    }

    fn cell_work(
        &self,
        at: CellIdx,
        cell: &Cell,
        setup_key: String,
        tools: Vec<ToolIdx>,
        run: Minutes,
    ) -> Work {
        let setup_crew = self.frame.crew(cell.setup_crew.as_deref());
        let run_crew = self.frame.crew(cell.run_crew.as_deref());
        let work = CellWork { cell: at, setup_key, tools, setup_crew, run_crew };
        Work { place: Place::Cell(work), run, cost: Money::ZERO }
    }

    /// Cells and sets of tools. Buying a tool that nobody has offered is considered only where the
    /// process cannot do without.
    fn bend_options(&mut self, asked: &Asked<'_>, way: &Way) -> Result<Vec<(String, Work)>, String> {
        let mut sets: Vec<(CellIdx, ToolSet, Minutes)> = Vec::new();
        for (cell, fit) in &way.cells {
            let run = fit.run(asked.order.quantity);
            sets.extend(self.rack.sets(*cell, &fit.needs).into_iter().map(|set| (*cell, set, run)));
        }
        if sets.iter().any(|(_, set, _)| set.effort < Effort::Estimated) {
            sets.retain(|(_, set, _)| set.effort < Effort::Estimated);
        } else if let Some((_, set, _)) = sets.first() {
            self.note_estimates(asked.part, way.process, set);
        }
        let end = self.calendars.end;
        let last = |(_, set, _): &(CellIdx, ToolSet, Minutes)| self.rack.last_of(set);
        let soonest = sets.iter().filter_map(last).min_by_key(|(usable, _)| *usable);
        sets.retain(|(_, set, _)| self.rack.last_of(set).is_none_or(|(usable, _)| usable < end));
        match soonest.filter(|_| sets.is_empty()) {
            Some((_, pick)) => Err(format!(
                "{}: {} comes later than the {MOST_WEEKS} weeks that a plan can reach",
                way.process,
                self.rack.id_of(pick)
            )),
            None => Ok(self.take_sets(asked.part, sets)),
        }
    }

    fn take_sets(&mut self, part: &Part, sets: Vec<(CellIdx, ToolSet, Minutes)>) -> Vec<(String, Work)> {
        sets.into_iter().map(|(cell, set, run)| self.bend_option(part, cell, &set, run)).collect()
    }

    /// Tools that nobody has listed are told once for each part and process.
    fn note_estimates(&mut self, part: &Part, process: Process, set: &ToolSet) {
        let usual = &self.frame.shop.rules.tooling.default;
        let specs = set.picks.iter().filter_map(|pick| match pick {
            Pick::Estimated(spec) => Some(spec),
            Pick::Listed(_) => None,
        });
        let (names, terms): (Vec<String>, Vec<&ToolDefault>) =
            specs.map(|spec| (described(spec), usual.of(spec.kind))).unzip();
        let finding = Finding::note(
            &part.id,
            format!(
                "{process} would need {} that no list names; taken at an estimated {} and {}",
                listed(&names, names.len()),
                terms.iter().map(|usual| usual.price).sum::<Money>(),
                terms.iter().map(|usual| usual.lead).max().unwrap_or_default(),
            ),
            "ask a tool maker and list the offers in tooling.toml",
        );
        if !self.findings.contains(&finding) {
            self.findings.push(finding);
        }
    }

    /// What is being bent now holds the tools that are in the house; what is not there cannot be on.
    fn running_bend(&mut self, asked: &Asked<'_>, way: &Way) -> Vec<(String, Work)> {
        let Some((cell, fit)) = way.cells.first() else { return Vec::new() };
        let Some(mut set) = self.rack.sets(*cell, &fit.needs).into_iter().next() else { return Vec::new() };
        let (there, missing) = set.picks.iter().partition(|pick| self.rack.is_in_house(**pick));
        set.picks = there;
        self.note_missing(asked, *cell, missing);
        vec![self.bend_option(asked.part, *cell, &set, fit.run(asked.order.quantity))]
    }

    fn note_missing(&mut self, asked: &Asked<'_>, cell: CellIdx, missing: Vec<Pick>) {
        if missing.is_empty() {
            return;
        }
        let names: Vec<String> = missing.iter().map(|pick| self.rack.id_of(*pick)).collect();
        self.findings.push(Finding::warning(
            &asked.order.id,
            format!(
                "it is being bent on `{}`, but {} is not in the house; the plan takes it as running without",
                self.frame.shop.cells[cell.get()].id,
                listed(&names, names.len()),
            ),
            "correct the tool's state in tooling.toml",
        ));
    }

    fn bend_option(&mut self, part: &Part, at: CellIdx, set: &ToolSet, run: Minutes) -> (String, Work) {
        let tools: Vec<ToolIdx> = set.picks.iter().map(|pick| self.rack.take(*pick)).collect();
        let key = self.setups.key(at, &self.rack, &tools, &part.id);
        let cell = &self.frame.shop.cells[at.get()];
        (cell.id.clone(), self.cell_work(at, cell, key, tools, run))
    }
}
