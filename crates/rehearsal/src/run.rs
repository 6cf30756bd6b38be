//! One run: events in order of time, and what they set going.

mod turns;

use crate::calendar::Hint;
use crate::crew::{CrewState, Service};
use crate::draws::{Draws, time};
use crate::script::{Act, Part, Script, Turn};
use crate::uncertainty::Turns;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// How far an operation has come.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Stage {
    /// For its cell or tools; outside, for its part.
    Waiting,
    /// It has cell and tools and waits for the crew or for the cell to open.
    ToSetUp,
    SettingUp,
    /// Mounted; it waits for its part.
    Mounted,
    /// The part is there; it waits for the crew or for the cell to open.
    ToRun,
    Running,
    Done,
}

/// What happens at a moment; the order of the kinds decides among events of one minute.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    /// Work ends, pauses or goes on.
    Edge(Act),
    /// Something that an operation waits for may be there.
    Look(Act),
    /// A tool has arrived.
    Tool(usize),
    /// The lot whose turn it is at a cell may have lost it.
    Cell(usize),
    /// A crew may have a head.
    Crew(usize),
}

/// The state of one run; it is used again for the next.
pub(crate) struct Run<'s> {
    script: &'s Script,
    turns: Turns,
    draws: Draws,
    now: i64,
    events: BinaryHeap<Reverse<(i64, Event)>>,
    stage: Vec<Stage>,
    /// By act: whether it stands in the queue of its crew.
    queued: Vec<bool>,
    /// By act: whether its crew works on it right now.
    staffed: Vec<bool>,
    /// By act: when its part is there.
    part: Vec<i64>,
    /// By act: when the setup or run that goes on will end; after it, its end.
    until: Vec<i64>,
    /// By act: minutes of its changeover.
    setup: Vec<i64>,
    /// By cell and by tool: whose turn it is, the first that has not had it.
    lane_turn: Vec<usize>,
    tool_turn: Vec<usize>,
    /// By cell: whether something is on it, what was on it last, and the last minute in which the
    /// lot whose turn it is keeps it.
    occupied: Vec<bool>,
    last: Vec<Option<Act>>,
    turn_until: Vec<i64>,
    /// By tool: the cell that it was on last.
    tool_cell: Vec<Option<usize>>,
    /// Whether somebody has lost his turn at a cell or tool.
    reordered: bool,
    tool_free: Vec<i64>,
    crews: Vec<CrewState>,
    hints: Vec<Hint>,
}

/// The part is not even on its way.
const UNKNOWN: i64 = i64::MAX;

impl<'s> Run<'s> {
    pub(crate) fn new(script: &'s Script, turns: Turns) -> Self {
        let (acts, lanes) = (script.acts.len(), script.lanes.len());
        Self {
            script,
            turns,
            draws: Draws::new(script),
            now: 0,
            events: BinaryHeap::new(),
            stage: vec![Stage::Waiting; acts],
            queued: vec![false; acts],
            staffed: vec![false; acts],
            part: vec![UNKNOWN; acts],
            until: vec![0; acts],
            setup: vec![0; acts],
            lane_turn: vec![0; lanes],
            occupied: vec![false; lanes],
            last: vec![None; lanes],
            turn_until: vec![i64::MAX; lanes],
            tool_cell: vec![None; script.tools.len()],
            reordered: false,
            tool_turn: vec![0; script.tools.len()],
            tool_free: vec![0; script.tools.len()],
            crews: script.crews.iter().map(CrewState::new).collect(),
            hints: vec![0; script.calendars.len()],
        }
    }

    /// Carries the schedule out once.
    pub(crate) fn carry_out(&mut self, seed: u64, run: u64) {
        self.draws.draw(self.script, seed, run);
        self.reset();
        self.open();
        while let Some(Reverse((time, event))) = self.events.pop() {
            self.now = time;
            match event {
                Event::Edge(act) => self.edge(act),
                Event::Look(act) => self.look(act),
                Event::Tool(tool) => self.offer_tool(tool),
                Event::Cell(cell) => self.pass_turn(cell),
                Event::Crew(crew) => self.serve(crew),
            }
        }
    }

    /// When each job is finished; minute 0 for one without operations.
    pub(crate) fn finishes(&self) -> impl Iterator<Item = i64> {
        self.script.jobs.iter().map(|job| job.acts.clone().next_back().map_or(0, |last| self.until[last]))
    }

    /// Adds 1 for each mark by which its cell had not done what it was to do.
    pub(crate) fn count_missed(&self, missed: &mut [u32]) {
        for (missed, mark) in missed.iter_mut().zip(&self.script.marks) {
            let acts = &self.script.lanes[mark.cell].acts[..mark.acts];
            *missed += u32::from(acts.iter().any(|act| self.until[*act] > mark.until));
        }
    }

    fn reset(&mut self) {
        self.now = 0;
        self.stage.fill(Stage::Waiting);
        self.queued.fill(false);
        self.staffed.fill(false);
        self.part.fill(UNKNOWN);
        self.lane_turn.fill(0);
        self.occupied.fill(false);
        self.last.fill(None);
        self.turn_until.fill(i64::MAX);
        self.tool_cell.fill(None);
        self.reordered = false;
        self.tool_turn.fill(0);
        self.hints.fill(0);
        self.crews.iter_mut().for_each(CrewState::reset);
        for (free, tool) in self.tool_free.iter_mut().zip(&self.script.tools) {
            *free = tool.count;
        }
    }

    /// Minute 0.
    fn open(&mut self) {
        for (job, release) in self.script.jobs.iter().zip(&self.draws.release) {
            if !job.acts.is_empty() && !job.follows {
                self.part[job.acts.start] = *release;
                self.events.push(Reverse(((*release).max(0), Event::Look(job.acts.start))));
            }
        }
        for (tool, from) in self.draws.tool_from.iter().enumerate() {
            if *from > 0 {
                self.events.push(Reverse((*from, Event::Tool(tool))));
            }
        }
        for (act, part) in self.script.acts.iter().enumerate() {
            if let Some(times) = part.pinned {
                self.events.push(Reverse((times.setup.max(0), Event::Look(act))));
                self.events.push(Reverse((times.run.max(0), Event::Look(act))));
            }
        }
        for cell in 0..self.script.lanes.len() {
            self.offer_cell(cell);
        }
    }

    fn part_of(&self, act: Act) -> &'s Part {
        &self.script.acts[act]
    }

    /// Lets an operation take its next step, if it can.
    fn look(&mut self, act: Act) {
        match self.stage[act] {
            Stage::Waiting => self.look_for_cell(act),
            Stage::ToSetUp | Stage::ToRun => self.ask(act),
            Stage::Mounted if self.part[act] <= self.now && self.may_run(act) => self.run(act),
            _ => {}
        }
    }

    /// Pinned work does not run before its published time.
    fn may_run(&self, act: Act) -> bool {
        self.part_of(act).pinned.is_none_or(|times| times.run <= self.now)
    }

    fn occupy(&mut self, act: Act) {
        let part = self.part_of(act);
        self.stage[act] = Stage::ToSetUp;
        let Some(cell) = part.cell else { return self.run(act) };
        self.reordered |= self.is_out_of_turn(act, cell);
        let planned = if self.reordered { self.changeover(act, cell) } else { part.setup };
        self.setup[act] = time(planned, planned as f64 * self.draws.setup[act]);
        self.occupied[cell] = true;
        while self.script.lanes[cell]
            .acts
            .get(self.lane_turn[cell])
            .is_some_and(|one| self.stage[*one] > Stage::Waiting)
        {
            self.lane_turn[cell] += 1;
        }
        for tool in &part.tools {
            self.tool_free[*tool] -= 1;
            self.tool_cell[*tool] = Some(cell);
            self.pass_tool(*tool);
        }
        match part.pinned {
            Some(times) => self.begin(act, self.now + (times.run - times.setup)),
            None if self.setup[act] == 0 => self.mounted_already(act),
            None => self.ask(act),
        }
    }

    /// Nothing to change over: its crew need not wait for it.
    fn mounted_already(&mut self, act: Act) {
        if let Some(turn) = self.part_of(act).setup_turn {
            self.crews[turn.crew].begin(turn.place);
            self.events.push(Reverse((self.now, Event::Crew(turn.crew))));
        }
        self.stage[act] = Stage::Mounted;
        self.look(act);
    }

    /// The part is there and everything is mounted.
    fn run(&mut self, act: Act) {
        let part = self.part_of(act);
        match (part.cell, part.pinned) {
            (Some(_), None) => {
                self.stage[act] = Stage::ToRun;
                self.ask(act);
            }
            (None, None) => self.begin(act, self.now + self.draws.run[act]),
            (_, Some(times)) => {
                let until = self.pinned_end(act, times.run, times.end);
                self.begin(act, until);
            }
        }
    }

    /// As published where nothing has come between; what it takes longer is worked after that.
    fn pinned_end(&mut self, act: Act, run: i64, end: i64) -> i64 {
        let (part, drawn) = (self.part_of(act), self.draws.run[act]);
        if part.cell.is_none() || part.run == 0 {
            let length = if part.run == 0 { end - run } else { drawn };
            return self.now + length;
        }
        let (from, work) = match self.now == run && drawn >= part.run {
            true => (end, drawn - part.run),
            false => (self.now, drawn),
        };
        let mut hint = self.hints[part.run_calendar];
        self.script.calendars[part.run_calendar].add(&mut hint, from, work)
    }

    /// The calendar and the crew of what comes next for an operation on a cell.
    fn phase(&self, act: Act) -> (usize, Option<Turn>) {
        let part = self.part_of(act);
        match self.stage[act] {
            Stage::ToSetUp | Stage::SettingUp => (part.setup_calendar, part.setup_turn),
            _ => (part.run_calendar, part.run_turn),
        }
    }

    /// Begins setup or run now, or as soon as the cell is open and the crew has a head.
    fn ask(&mut self, act: Act) {
        if self.queued[act] {
            return;
        }
        let (calendar, turn) = self.phase(act);
        let open = self.script.calendars[calendar].next_open(&mut self.hints[calendar], self.now);
        if open > self.now {
            self.events.push(Reverse((open, Event::Look(act))));
            return;
        }
        match turn {
            None => self.begin_drawn(act),
            Some(turn) => {
                self.queued[act] = true;
                self.crews[turn.crew].ask(turn.place);
                // After everything else of this minute: a head may come free, another may be first.
                self.events.push(Reverse((self.now, Event::Crew(turn.crew))));
            }
        }
    }

    /// Gives the free heads of a crew to those whose turn it is.
    fn serve(&mut self, crew: usize) {
        let script = self.script;
        loop {
            match self.crews[crew].service(&script.crews[crew], self.now) {
                Service::Idle => return,
                Service::Next(place) => {
                    self.crews[crew].withdraw_next();
                    let act = script.crews[crew].duties[place].act;
                    self.queued[act] = false;
                    self.start_or_wait(act);
                }
                Service::Later(moment) => return self.call(crew, moment),
            }
        }
    }

    /// While an operation stood in the queue its cell may have closed.
    fn start_or_wait(&mut self, act: Act) {
        let (calendar, _) = self.phase(act);
        let open = self.script.calendars[calendar].next_open(&mut self.hints[calendar], self.now);
        if open > self.now {
            self.events.push(Reverse((open, Event::Look(act))));
        } else {
            self.begin_drawn(act);
        }
    }

    fn call(&mut self, crew: usize, moment: i64) {
        let state = &mut self.crews[crew];
        if moment < i64::MAX && (state.wake <= self.now || moment < state.wake) {
            state.wake = moment;
            self.events.push(Reverse((moment, Event::Crew(crew))));
        }
    }

    /// Begins setup or run for as long as was drawn.
    fn begin_drawn(&mut self, act: Act) {
        let (calendar, _) = self.phase(act);
        let work = if self.stage[act] == Stage::ToSetUp { self.setup[act] } else { self.draws.run[act] };
        let until = self.script.calendars[calendar].add(&mut self.hints[calendar], self.now, work);
        self.begin(act, until);
    }

    fn begin(&mut self, act: Act, until: i64) {
        self.stage[act] = if self.stage[act] == Stage::ToSetUp && self.part_of(act).cell.is_some() {
            Stage::SettingUp
        } else {
            Stage::Running
        };
        self.until[act] = until;
        let (_, turn) = self.phase(act);
        match turn {
            None => self.events.push(Reverse((until, Event::Edge(act)))),
            Some(turn) => {
                self.crews[turn.crew].begin(turn.place);
                self.next_edge(act, turn);
            }
        }
    }

    /// The crew works on it until it ends or its cell closes, or comes back when its cell opens.
    fn next_edge(&mut self, act: Act, turn: Turn) {
        let (calendar, _) = self.phase(act);
        let (calendar, hint) = (&self.script.calendars[calendar], &mut self.hints[calendar]);
        let open = calendar.next_open(hint, self.now);
        self.staffed[act] = open == self.now && self.until[act] > self.now;
        let edge = if self.staffed[act] {
            self.crews[turn.crew].busy += 1;
            calendar.close(hint, self.now)
        } else {
            open
        };
        self.events.push(Reverse((edge.min(self.until[act]).max(self.now), Event::Edge(act))));
    }

    fn edge(&mut self, act: Act) {
        if let (_, Some(turn)) = self.phase(act) {
            if std::mem::take(&mut self.staffed[act]) {
                self.crews[turn.crew].busy -= 1;
            }
            if self.until[act] > self.now {
                self.next_edge(act, turn);
            }
            self.events.push(Reverse((self.now, Event::Crew(turn.crew))));
        }
        if self.until[act] <= self.now {
            self.end_of_phase(act);
        }
    }

    fn end_of_phase(&mut self, act: Act) {
        if self.stage[act] == Stage::SettingUp {
            self.stage[act] = Stage::Mounted;
            return self.look(act);
        }
        self.stage[act] = Stage::Done;
        let part = self.part_of(act);
        if let Some(next) = part.next {
            self.part[next] = self.now + part.lag;
            self.events.push(Reverse((self.now + part.lag, Event::Look(next))));
        }
        for tool in &part.tools {
            self.tool_free[*tool] += 1;
        }
        if let Some(cell) = part.cell {
            self.occupied[cell] = false;
            self.last[cell] = Some(act);
            self.offer_cell(cell);
        }
        for tool in &part.tools {
            self.offer_tool(*tool);
        }
    }
}
