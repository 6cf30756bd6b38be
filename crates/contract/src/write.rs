//! Writes problem and schedule files: keys in a fixed order, one element of each list per line.

use crate::json_text;
use crate::{PROBLEM_FORMAT, SCHEDULE_FORMAT};
use elbowroom_problem::{
    Availability, Cell, CellWork, Changeover, Crew, HeadCount, Job, Objective, Operation, OptionIdx, Place,
    Problem, Route, Schedule, Tool, ToolIdx, Window, Work,
};
use elbowroom_units::{Minute, Minutes};

/// The problem as a file that [`crate::read_problem`] reads back equal.
#[must_use]
pub fn write_problem(problem: &Problem) -> String {
    let mut out = Writer { out: String::new() };
    out.raw("{\"format\":").text(PROBLEM_FORMAT).raw(",\"name\":").text(&problem.name);
    out.raw(",\"objective\":").text(objective(problem.objective));
    out.raw(",\"horizon\":").minute(problem.horizon);
    out.lines(",\n\"cells\":", &problem.cells, Writer::cell);
    out.lines(",\n\"tools\":", &problem.tools, Writer::tool);
    out.lines(",\n\"crews\":", &problem.crews, Writer::crew);
    out.lines(",\n\"jobs\":", &problem.jobs, |out, job| out.job(problem, job));
    out.lines(",\n\"pinned\":", &problem.pinned, |out, pin| {
        out.placed(problem, pin.option, [pin.setup_start, pin.run_start, pin.end]);
    });
    out.raw(",\n\"committed_purchases\":").tools(problem, &problem.committed_purchases).raw("}\n");
    out.out
}

/// The schedule as a file that [`crate::read_schedule`] reads back equal.
///
/// A claimed objective or bound that is not finite is written as `null`, which makes the file
/// one that says what is wrong with it when it is read.
///
/// # Panics
/// If the schedule names options or tools that `problem` does not have.
#[must_use]
pub fn write_schedule(problem: &Problem, schedule: &Schedule) -> String {
    let mut out = Writer { out: String::new() };
    out.raw("{\"format\":").text(SCHEDULE_FORMAT).raw(",\"problem\":").text(&problem.name);
    out.raw(",\"objective\":").number(Some(schedule.objective));
    out.raw(",\"lower_bound\":").number(schedule.lower_bound);
    out.raw(",\n\"purchases\":").tools(problem, &schedule.purchases);
    out.lines(",\n\"operations\":", &schedule.operations, |out, placed| {
        out.placed(problem, placed.option, [placed.setup_start, placed.run_start, placed.end]);
    });
    out.raw("}\n");
    out.out
}

fn objective(objective: Objective) -> &'static str {
    match objective {
        Objective::Cost => "cost",
        Objective::Makespan => "makespan",
        Objective::Tardiness => "tardiness",
    }
}

struct Writer {
    out: String,
}

impl Writer {
    fn raw(&mut self, json: &str) -> &mut Self {
        self.out.push_str(json);
        self
    }

    fn text(&mut self, text: &str) -> &mut Self {
        json_text::write(&mut self.out, text);
        self
    }

    /// A string, or `null`.
    fn text_or_null(&mut self, text: Option<&str>) -> &mut Self {
        match text {
            Some(text) => self.text(text),
            None => self.raw("null"),
        }
    }

    /// The shortest decimal that reads back as the same number; `null` where there is none.
    fn number(&mut self, number: Option<f64>) -> &mut Self {
        match number.filter(|number| number.is_finite()) {
            Some(number) => self.raw(&format!("{number:?}")),
            None => self.raw("null"),
        }
    }

    fn integer(&mut self, number: i64) -> &mut Self {
        self.raw(&number.to_string())
    }

    fn minute(&mut self, minute: Minute) -> &mut Self {
        self.integer(minute.get())
    }

    fn minutes(&mut self, time: Minutes) -> &mut Self {
        self.integer(time.count())
    }

    /// A list on one line.
    fn list<T>(&mut self, elements: &[T], mut element: impl FnMut(&mut Self, &T)) -> &mut Self {
        self.raw("[");
        for (i, each) in elements.iter().enumerate() {
            if i > 0 {
                self.raw(",");
            }
            element(self, each);
        }
        self.raw("]")
    }

    /// A list with each element on a line of its own.
    fn lines<T>(&mut self, before: &str, elements: &[T], mut element: impl FnMut(&mut Self, &T)) {
        self.raw(before).list(elements, |out, each| {
            out.raw("\n");
            element(out, each);
        });
    }

    fn cell(&mut self, cell: &Cell) {
        self.raw("{\"id\":").text(&cell.id).raw(",\"windows\":");
        self.list(&cell.windows, |out, Window { start, end }| {
            out.raw("[").minute(*start).raw(",").minute(*end).raw("]");
        });
        self.raw(",\"run_rate\":").number(Some(cell.run_rate.amount_per_minute()));
        self.raw(",\"setup_rate\":").number(Some(cell.setup_rate.amount_per_minute()));
        self.raw(",\"initial_setup\":").text_or_null(cell.initial_setup.as_deref());
        if let Some(changeover) = &cell.changeover {
            self.changeover(changeover);
        }
        self.raw("}");
    }

    fn changeover(&mut self, changeover: &Changeover) {
        self.raw(",\"changeover\":{\"default\":").minutes(changeover.default);
        self.raw(",\"same\":").minutes(changeover.same).raw(",\"pairs\":");
        self.list(&changeover.pairs, |out, (from, to, minutes)| {
            out.raw("[").text(from).raw(",").text(to).raw(",").minutes(*minutes).raw("]");
        });
        self.raw("}");
    }

    fn tool(&mut self, tool: &Tool) {
        self.raw("{\"id\":").text(&tool.id).raw(",\"count\":").integer(i64::from(tool.count));
        match tool.availability {
            Availability::From(minute) => self.raw(",\"available_from\":").minute(minute).raw("}"),
            Availability::Offer { price, lead } => {
                self.raw(",\"offer\":{\"price\":").number(Some(price.amount()));
                self.raw(",\"lead\":").minute(lead).raw("}}")
            }
        };
    }

    fn crew(&mut self, crew: &Crew) {
        self.raw("{\"id\":").text(&crew.id).raw(",\"capacity\":");
        self.list(&crew.capacity, |out, HeadCount { window, heads }| {
            out.raw("[").minute(window.start).raw(",").minute(window.end);
            out.raw(",").integer(i64::from(*heads)).raw("]");
        });
        self.raw("}");
    }

    fn job(&mut self, problem: &Problem, job: &Job) {
        self.raw("{\"id\":").text(&job.id).raw(",\"release\":").minute(job.release);
        self.raw(",\"due\":").minute(job.due);
        self.raw(",\"late_cost_per_day\":").number(Some(job.late_cost_per_day.amount()));
        self.raw(",\"routes\":").list(&job.routes, |out, route| out.route(problem, route)).raw("}");
    }

    fn route(&mut self, problem: &Problem, route: &Route) {
        self.raw("{\"id\":").text(&route.id).raw(",\"cost\":").number(Some(route.cost.amount()));
        self.raw(",\"operations\":");
        self.list(&route.operations, |out, operation| out.operation(problem, operation)).raw("}");
    }

    fn operation(&mut self, problem: &Problem, operation: &Operation) {
        self.raw("{\"id\":").text(&operation.id).raw(",\"options\":");
        self.list(&operation.options, |out, option| out.option(problem, option));
        self.raw(",\"lag_after\":").minutes(operation.lag_after).raw("}");
    }

    fn option(&mut self, problem: &Problem, option: &Work) {
        let cell = option.on_cell().map(|work| problem.cell(work.cell).id.as_str());
        self.raw("{\"cell\":").text_or_null(cell).raw(",\"run\":").minutes(option.run);
        if let Place::Cell(work) = &option.place {
            self.cell_work(problem, work);
        }
        self.raw(",\"cost\":").number(Some(option.cost.amount())).raw("}");
    }

    fn cell_work(&mut self, problem: &Problem, work: &CellWork) {
        let crew = |crew| problem.crew(crew).id.as_str();
        self.raw(",\"setup_key\":").text(&work.setup_key);
        self.raw(",\"tools\":").tools(problem, &work.tools);
        self.raw(",\"setup_crew\":").text_or_null(work.setup_crew.map(crew));
        self.raw(",\"run_crew\":").text_or_null(work.run_crew.map(crew));
    }

    fn tools(&mut self, problem: &Problem, tools: &[ToolIdx]) -> &mut Self {
        self.list(tools, |out, tool| {
            out.text(&problem.tool(*tool).id);
        })
    }

    fn placed(&mut self, problem: &Problem, at: OptionIdx, [setup_start, run_start, end]: [Minute; 3]) {
        let job = problem.job(at.job);
        self.raw("{\"job\":").text(&job.id).raw(",\"route\":").text(&job.routes[at.route].id);
        self.raw(",\"operation\":").text(&problem.operation(at).id);
        self.raw(",\"option\":").raw(&at.option.to_string());
        self.raw(",\"setup_start\":").minute(setup_start).raw(",\"run_start\":").minute(run_start);
        self.raw(",\"end\":").minute(end).raw("}");
    }
}
