//! Operations placed in time: the pinned ones of a problem, all those of a schedule.

use crate::names::Names;
use crate::reader::{Reader, clipped};
use crate::spot::{Fields, Keys, Spot};
use elbowroom_problem::{Job, JobIdx, OptionIdx, Pinned};
use elbowroom_units::Minute;
use std::collections::{HashMap, HashSet};

const PLACED: Keys = Keys {
    required: &["job", "route", "operation", "option", "setup_start", "run_start", "end"],
    optional: &[],
};

/// Finds options by the names of their job, route and operation.
pub(crate) struct Directory<'d> {
    names: Names<'d>,
    /// In the order of the names; `None` where a job could not be read.
    jobs: Vec<Option<&'d Job>>,
    routes: HashMap<(usize, &'d str), usize>,
    operations: HashMap<(usize, usize, &'d str), usize>,
}

impl<'d> Directory<'d> {
    /// A directory of `jobs`, which `names` names in the same order.
    pub fn new(names: Names<'d>, jobs: impl Iterator<Item = Option<&'d Job>>) -> Self {
        let jobs: Vec<_> = jobs.collect();
        let mut directory = Self { names, jobs, routes: HashMap::new(), operations: HashMap::new() };
        for index in 0..directory.jobs.len() {
            directory.enter(index);
        }
        directory
    }

    fn enter(&mut self, index: usize) {
        let Some(job) = self.jobs[index] else { return };
        for (r, route) in job.routes.iter().enumerate() {
            self.routes.insert((index, &route.id), r);
            for (o, operation) in route.operations.iter().enumerate() {
                self.operations.insert((index, r, &operation.id), o);
            }
        }
    }

    /// The option that the four keys name. Silent where the job itself could not be read: that
    /// has its own fault.
    fn option(&self, reader: &mut Reader, fields: &Fields) -> Option<OptionIdx> {
        let number = reader.integer(fields.get("option"), 0..=i64::MAX);
        let route_name = reader.name(fields.get("route"));
        let operation_name = reader.name(fields.get("operation"));
        let index = self.names.find(reader, fields.get("job")?)?;
        let job = (*self.jobs.get(index)?)?;
        let route = self.route(reader, fields.get("route")?, route_name?, index, job)?;
        let of_route = fields.get("operation")?;
        let operation = self.operation(reader, of_route, operation_name?, (index, route), job)?;
        let choices = job.routes[route].operations[operation].options.len();
        let option = usize::try_from(number?).ok().filter(|option| *option < choices);
        if option.is_none() {
            let what = format!("is {}, but the operation has {choices} option(s), counted from 0", number?);
            reader.fault(fields.get("option")?, what);
        }
        Some(OptionIdx { job: JobIdx::new(index), route, operation, option: option? })
    }

    fn route(&self, reader: &mut Reader, spot: Spot, name: &str, index: usize, job: &Job) -> Option<usize> {
        let found = self.routes.get(&(index, name)).copied();
        if found.is_none() {
            let meant = reader.meant(name, job.routes.iter().map(|route| route.id.as_str()));
            reader.fault(spot, format!("job `{}` has no route `{}`{meant}", clipped(&job.id), clipped(name)));
        }
        found
    }

    fn operation(
        &self,
        reader: &mut Reader,
        spot: Spot,
        name: &str,
        (index, route): (usize, usize),
        job: &Job,
    ) -> Option<usize> {
        let found = self.operations.get(&(index, route, name)).copied();
        if found.is_none() {
            let route = &job.routes[route];
            let meant = reader.meant(name, route.operations.iter().map(|each| each.id.as_str()));
            let what = format!("route `{}` has no operation `{}`{meant}", clipped(&route.id), clipped(name));
            reader.fault(spot, what);
        }
        found
    }
}

/// One operation with its option and times, `setup_start <= run_start <= end`.
pub(crate) fn placed(reader: &mut Reader, spot: Spot, directory: &Directory) -> Option<Pinned> {
    let fields = reader.object(spot, &PLACED)?;
    let setup_start = reader.minutes(fields.get("setup_start"), 0);
    let run_start = reader.minutes(fields.get("run_start"), 0);
    let end = reader.minutes(fields.get("end"), 0);
    let option = directory.option(reader, &fields);
    let (setup_start, run_start, end) = (setup_start?, run_start?, end?);
    if !(setup_start <= run_start && run_start <= end) {
        let found = format!("setup_start {setup_start}, run_start {run_start}, end {end}");
        reader.fault(spot, format!("has {found}; each must be no earlier than the one before"));
        return None;
    }
    let at = Minute::new;
    Some(Pinned { option: option?, setup_start: at(setup_start), run_start: at(run_start), end: at(end) })
}

/// Pinned work: real work, once, on one route of its job.
pub(crate) fn pinned(
    reader: &mut Reader,
    list: Option<Spot>,
    names: Names,
    jobs: &[Option<Job>],
) -> Vec<Option<Pinned>> {
    if list.is_none() {
        return Vec::new();
    }
    let directory = Directory::new(names, jobs.iter().map(Option::as_ref));
    let mut seen = HashSet::new();
    let mut route_of = HashMap::new();
    reader.each(list, 0, |reader, spot| {
        let pin = placed(reader, spot, &directory)?;
        let OptionIdx { job, route, operation, .. } = pin.option;
        if *route_of.entry(job).or_insert(route) != route {
            reader.fault(spot, "its job is pinned on another route already; a job has one route");
        } else if !seen.insert((job, operation)) {
            reader.fault(spot, "the same operation is pinned twice");
        }
        Some(pin)
    })
}
