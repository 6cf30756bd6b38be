//! A schedule as what each cell, tool and crew does after what: everything that is the same in
//! every run.

use crate::calendar::{Calendar, heads};
use crate::chance::{PreparedBreakdown, PreparedSpread};
use crate::uncertainty::{Delay, Scrap, Uncertainty};
use elbowroom_problem::{Availability, CellWork, CrewIdx, OptionIdx, Placement, Problem, ToolIdx};
use elbowroom_units::Minute;
use elbowroom_verify::VerifiedSchedule;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

/// Position of an act in [`Script::acts`].
pub(crate) type Act = usize;

/// One operation of the schedule.
pub(crate) struct Part {
    pub(crate) cell: Option<usize>,
    /// Planned minutes.
    pub(crate) setup: i64,
    pub(crate) run: i64,
    /// Its place in the order of its crew, for setup and for run.
    pub(crate) setup_turn: Option<Turn>,
    pub(crate) run_turn: Option<Turn>,
    /// Positions in [`Script::calendars`]; outside there is none.
    pub(crate) setup_calendar: usize,
    pub(crate) run_calendar: usize,
    pub(crate) tools: Vec<usize>,
    /// What has to be mounted: a position among the keys of its cell.
    pub(crate) key: usize,
    /// Published start of the setup, and the published moment by which its part was to be there.
    pub(crate) setup_at: i64,
    pub(crate) expected: i64,
    /// The next operation of the job, and the minutes between.
    pub(crate) next: Option<Act>,
    pub(crate) lag: i64,
    /// Published times, where it is pinned.
    pub(crate) pinned: Option<Times>,
    pub(crate) setup_spread: PreparedSpread,
    pub(crate) run_spread: PreparedSpread,
    pub(crate) scrap: Option<Scrap>,
}

/// Published times.
#[derive(Clone, Copy)]
pub(crate) struct Times {
    pub(crate) setup: i64,
    pub(crate) run: i64,
    pub(crate) end: i64,
}

/// A place in the order of a crew.
#[derive(Clone, Copy)]
pub(crate) struct Turn {
    pub(crate) crew: usize,
    pub(crate) place: usize,
}

/// One piece of work of a crew.
#[derive(Clone, Copy)]
pub(crate) struct Duty {
    pub(crate) act: Act,
    /// Published start: until then it keeps its turn even if it is not ready.
    pub(crate) start: i64,
}

pub(crate) struct CrewScript {
    pub(crate) duties: Vec<Duty>,
    /// Heads from each moment on.
    pub(crate) heads: Vec<(i64, u32)>,
}

/// A cell: its acts in order, and what changing over takes where the order is not kept.
pub(crate) struct Lane {
    pub(crate) acts: Vec<Act>,
    pub(crate) changes: Option<Changes>,
    pub(crate) initial: Option<usize>,
    /// Its working time.
    pub(crate) calendar: usize,
}

/// Minutes from key to key.
pub(crate) struct Changes {
    pub(crate) default: i64,
    same: i64,
    pairs: HashMap<(usize, usize), i64>,
}

impl Changes {
    /// From what stands mounted to what is needed.
    pub(crate) fn minutes(&self, from: Option<usize>, to: usize) -> i64 {
        match from {
            None => self.default,
            Some(from) if from == to => self.same,
            Some(from) => self.pairs.get(&(from, to)).copied().unwrap_or(self.default),
        }
    }
}

pub(crate) struct ToolScript {
    pub(crate) users: Vec<Act>,
    pub(crate) count: i64,
    pub(crate) from: i64,
    pub(crate) delay: Delay,
}

pub(crate) struct JobScript {
    pub(crate) acts: Range<Act>,
    pub(crate) release: i64,
    pub(crate) delay: Delay,
    /// Whether it goes on from another job and not from its release.
    pub(crate) follows: bool,
}

/// What a cell is to have done by a moment: so many of its first acts.
pub(crate) struct Mark {
    pub(crate) cell: usize,
    pub(crate) until: i64,
    pub(crate) acts: usize,
}

pub(crate) struct Script {
    /// By job, then by operation.
    pub(crate) acts: Vec<Part>,
    pub(crate) jobs: Vec<JobScript>,
    /// By cell.
    pub(crate) lanes: Vec<Lane>,
    pub(crate) tools: Vec<ToolScript>,
    pub(crate) crews: Vec<CrewScript>,
    /// Working time of cells, with or without a crew.
    pub(crate) calendars: Vec<Calendar>,
    pub(crate) breakdowns: Vec<Option<PreparedBreakdown>>,
    pub(crate) marks: Vec<Mark>,
}

impl Script {
    pub(crate) fn new(
        problem: &Problem,
        verified: &VerifiedSchedule,
        uncertainty: &Uncertainty,
        marks: &[Minute],
    ) -> Self {
        let placed = &verified.schedule().operations;
        assert_eq!(placed.len(), uncertainty.work.len(), "the uncertainty was made for another schedule");
        let mut order: Vec<usize> = (0..placed.len()).collect();
        order.sort_by_key(|at| placed[*at].option);
        let setups = &verified.figures().setups;
        let mut writer = Writer::new(problem);
        let acts = order.iter().map(|&at| {
            let (work, setup) = (&uncertainty.work[at], setups[at].count());
            let mut part = writer.part(&placed[at], setup);
            part.setup_spread = PreparedSpread::new(&work.setup);
            part.run_spread = PreparedSpread::new(&work.run);
            part.scrap = work.scrap.filter(|scrap| scrap.share > 0.0);
            part
        });
        let acts: Vec<Part> = acts.collect();
        let sorted: Vec<&Placement> = order.iter().map(|at| &placed[*at]).collect();
        let lanes = writer.lanes();
        let mut script = Self {
            jobs: jobs(problem, &sorted, uncertainty),
            lanes,
            tools: tools(problem, uncertainty),
            crews: problem
                .crews
                .iter()
                .map(|crew| CrewScript { duties: Vec::new(), heads: heads(crew, problem.horizon) })
                .collect(),
            calendars: writer.calendars,
            breakdowns: uncertainty
                .cells
                .iter()
                .map(|cell| cell.as_ref().and_then(PreparedBreakdown::new))
                .collect(),
            acts,
            marks: Vec::new(),
        };
        script.link_jobs(&sorted, uncertainty);
        script.expect(&sorted);
        script.line_up(problem, &sorted);
        script.staff(problem, &sorted);
        script.mark(&sorted, marks);
        script
    }

    fn link_jobs(&mut self, placed: &[&Placement], uncertainty: &Uncertainty) {
        for job in &self.jobs {
            for act in job.acts.start..job.acts.end.saturating_sub(1) {
                self.acts[act].next = Some(act + 1);
            }
        }
        for (job, before) in uncertainty.follows.iter().enumerate() {
            if let Some(before) = before {
                self.follow(placed, job, before.get());
            }
        }
    }

    /// When each part was to be there.
    fn expect(&mut self, placed: &[&Placement]) {
        for job in &self.jobs {
            let mut expected = job.release;
            for act in job.acts.clone() {
                self.acts[act].expected = expected;
                expected = placed[act].end.get() + self.acts[act].lag;
            }
        }
    }

    /// The first operation of a job comes after the last of another as long as it was to.
    fn follow(&mut self, placed: &[&Placement], job: usize, before: usize) {
        let (Some(last), false) =
            (self.jobs[before].acts.clone().next_back(), self.jobs[job].acts.is_empty())
        else {
            return;
        };
        let first = self.jobs[job].acts.start;
        self.acts[last].next = Some(first);
        self.acts[last].lag = (self.jobs[job].release - placed[last].end.get()).max(0);
        self.jobs[job].follows = true;
    }

    /// Orders on cells and of tools.
    fn line_up(&mut self, problem: &Problem, placed: &[&Placement]) {
        let mut order: Vec<Act> = (0..placed.len()).collect();
        order.sort_by_key(|act| (placed[*act].setup_start, placed[*act].end, *act));
        for act in order {
            let Some(work) = held(problem, placed[act]) else { continue };
            self.lanes[work.cell.get()].acts.push(act);
            work.tools.iter().for_each(|tool| self.tools[tool.get()].users.push(act));
        }
    }

    /// The order in which crews serve: by published start.
    fn staff(&mut self, problem: &Problem, placed: &[&Placement]) {
        let mut duties: Vec<(i64, Act, bool, CrewIdx)> = Vec::new();
        for (act, placed) in placed.iter().enumerate() {
            let Some(work) = held(problem, placed) else { continue };
            if let Some(crew) = work.setup_crew {
                duties.push((placed.setup_start.get(), act, false, crew));
            }
            if let Some(crew) = work.run_crew {
                duties.push((placed.run_start.get(), act, true, crew));
            }
        }
        duties.sort_unstable();
        for (start, act, is_run, crew) in duties {
            let list = &mut self.crews[crew.get()].duties;
            let turn = Some(Turn { crew: crew.get(), place: list.len() });
            list.push(Duty { act, start });
            let part = &mut self.acts[act];
            if is_run { part.run_turn = turn } else { part.setup_turn = turn }
        }
    }

    fn mark(&mut self, placed: &[&Placement], marks: &[Minute]) {
        for (cell, lane) in self.lanes.iter().enumerate() {
            for mark in marks {
                let acts = lane.acts.iter().take_while(|act| placed[**act].end <= *mark).count();
                if acts > 0 {
                    self.marks.push(Mark { cell, until: mark.get(), acts });
                }
            }
        }
    }
}

/// Writes acts and collects the calendars that they need.
struct Writer<'p> {
    problem: &'p Problem,
    pins: BTreeMap<OptionIdx, Times>,
    calendars: Vec<Calendar>,
    known: BTreeMap<(usize, Option<usize>), usize>,
    /// By cell: its setup keys.
    keys: Vec<HashMap<&'p str, usize>>,
}

impl<'p> Writer<'p> {
    fn new(problem: &'p Problem) -> Self {
        let times = |pin: &elbowroom_problem::Pinned| Times {
            setup: pin.setup_start.get(),
            run: pin.run_start.get(),
            end: pin.end.get(),
        };
        let pins = problem.pinned.iter().map(|pin| (pin.option, times(pin))).collect();
        let keys = vec![HashMap::new(); problem.cells.len()];
        Self { problem, pins, calendars: Vec::new(), known: BTreeMap::new(), keys }
    }

    fn part(&mut self, placed: &Placement, setup: i64) -> Part {
        let work = self.problem.option(placed.option);
        let pinned = self.pins.get(&placed.option).copied();
        let on_cell = held(self.problem, placed);
        let crewed = |crew: Option<CrewIdx>| crew.filter(|_| pinned.is_none()).map(CrewIdx::get);
        let [setup_calendar, run_calendar] = match on_cell {
            Some(CellWork { cell, setup_crew, run_crew, .. }) => {
                [setup_crew, run_crew].map(|crew| self.calendar(cell.get(), crewed(*crew)))
            }
            None => [0, 0],
        };
        let run = match (pinned, on_cell) {
            (Some(times), Some(_)) => self.calendars[run_calendar].between(times.run, times.end),
            (Some(times), None) => times.end - times.run,
            (None, _) => work.run.count(),
        };
        Part {
            cell: on_cell.map(|work| work.cell.get()),
            setup,
            run,
            setup_turn: None,
            run_turn: None,
            setup_calendar,
            run_calendar,
            tools: on_cell.map_or_else(Vec::new, |work| work.tools.iter().map(|tool| tool.get()).collect()),
            key: on_cell.map_or(0, |work| self.key(work.cell.get(), &work.setup_key)),
            setup_at: placed.setup_start.get(),
            expected: 0,
            next: None,
            lag: self.problem.operation(placed.option).lag_after.count(),
            pinned,
            setup_spread: PreparedSpread::Fixed(1.0),
            run_spread: PreparedSpread::Fixed(1.0),
            scrap: None,
        }
    }

    fn key(&mut self, cell: usize, key: &'p str) -> usize {
        let next = self.keys[cell].len();
        *self.keys[cell].entry(key).or_insert(next)
    }

    /// The cells, still without their acts.
    fn lanes(&mut self) -> Vec<Lane> {
        let problem = self.problem;
        let one = |(at, cell): (usize, &'p elbowroom_problem::Cell)| Lane {
            acts: Vec::new(),
            initial: cell.initial_setup.as_deref().map(|key| self.key(at, key)),
            changes: cell.changeover.as_ref().map(|table| self.changes(at, table)),
            calendar: self.calendar(at, None),
        };
        problem.cells.iter().enumerate().map(one).collect()
    }

    /// Only pairs of keys that the schedule uses; of several for one pair the first counts.
    fn changes(&self, cell: usize, table: &elbowroom_problem::Changeover) -> Changes {
        let key = |name: &str| self.keys[cell].get(name).copied();
        let mut pairs = HashMap::new();
        for (from, to, minutes) in &table.pairs {
            if let (Some(from), Some(to)) = (key(from), key(to)) {
                pairs.entry((from, to)).or_insert(minutes.count());
            }
        }
        Changes { default: table.default.count(), same: table.same.count(), pairs }
    }

    fn calendar(&mut self, cell: usize, crew: Option<usize>) -> usize {
        let Self { problem, calendars, known, .. } = self;
        *known.entry((cell, crew)).or_insert_with(|| {
            let crew = crew.map(|crew| &problem.crews[crew]);
            calendars.push(Calendar::new(&problem.cells[cell], crew, problem.horizon));
            calendars.len() - 1
        })
    }
}

/// What an operation holds on a cell; one without length (pinned work can be) holds nothing.
fn held<'p>(problem: &'p Problem, placed: &Placement) -> Option<&'p CellWork> {
    problem.option(placed.option).on_cell().filter(|_| placed.setup_start < placed.end)
}

fn jobs(problem: &Problem, placed: &[&Placement], uncertainty: &Uncertainty) -> Vec<JobScript> {
    let mut first = 0;
    let one = |(at, job): (usize, &elbowroom_problem::Job)| {
        let count = placed[first..].iter().take_while(|placed| placed.option.job.get() == at).count();
        let acts = first..first + count;
        first += count;
        JobScript { acts, release: job.release.get(), delay: uncertainty.releases[at], follows: false }
    };
    problem.jobs.iter().enumerate().map(one).collect()
}

fn tools(problem: &Problem, uncertainty: &Uncertainty) -> Vec<ToolScript> {
    let one = |(at, tool): (usize, &elbowroom_problem::Tool)| {
        let (Availability::From(from) | Availability::Offer { lead: from, .. }) = tool.availability;
        let delay = uncertainty.tools[ToolIdx::new(at).get()];
        ToolScript { users: Vec::new(), count: i64::from(tool.count), from: from.get(), delay }
    };
    problem.tools.iter().enumerate().map(one).collect()
}
