//! Which tools of the shop serve for what a part asks, and what would have to be bought.

use super::frame::Frame;
use super::key::ToolKey;
use super::knowledge::{serves_exactly, substitute_for};
use elbowroom_bending::fit::Difference;
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_problem::{Availability, CellIdx, Tool as ProblemTool, ToolIdx};
use elbowroom_shop::rack::{Tool, ToolState};
use elbowroom_units::{Minute, quantity};
use std::collections::HashMap;
use std::rc::Rc;

/// Most tools that are considered for one need on one cell: more options cost search time and
/// hardly ever help.
const MOST_CHOICES: usize = 3;

/// A tool for a need.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Pick {
    /// One of the shop's list, by position.
    Listed(usize),
    /// One that nobody has offered: bought at default price and lead time.
    Estimated(ToolSpec),
}

/// What a set of tools takes to be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Effort {
    /// In the house or on order.
    Owned,
    /// Something that a tool maker offers must be bought.
    Offered,
    /// Something that nobody has offered must be bought.
    Estimated,
}

/// Tools that together serve all needs.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ToolSet {
    pub(crate) picks: Vec<Pick>,
    pub(crate) effort: Effort,
}

/// The shop's tools, and those of them that the problem has so far.
pub(crate) struct Rack<'a> {
    frame: &'a Frame<'a>,
    by_kind: HashMap<ToolKind, Vec<usize>>,
    found: HashMap<(NeedKey, CellIdx), Rc<[Pick]>>,
    known: HashMap<String, ToolIdx>,
    /// Tools of the problem.
    pub(crate) tools: Vec<ProblemTool>,
    /// What they are, by tool of the problem.
    pub(crate) keys: Vec<ToolKey>,
    /// Their dimensions, by tool of the problem.
    pub(crate) specs: Vec<ToolSpec>,
}

/// The dimensions of a need in a form that can be looked up.
type NeedKey = (ToolKind, u64, Option<u64>, Option<u64>, u32);

impl<'a> Rack<'a> {
    pub(crate) fn new(frame: &'a Frame<'a>) -> Self {
        let mut by_kind: HashMap<ToolKind, Vec<usize>> = HashMap::new();
        for (position, tool) in frame.shop.tools.iter().enumerate() {
            by_kind.entry(tool.spec.kind).or_default().push(position);
        }
        Self {
            frame,
            by_kind,
            found: HashMap::new(),
            known: HashMap::new(),
            tools: Vec::new(),
            keys: Vec::new(),
            specs: Vec::new(),
        }
    }

    /// Sets of tools that serve all needs on a cell, best first. The first takes the first choice
    /// for each need, the second the second where there is one, and so on: enough for two lots
    /// side by side, without every combination.
    pub(crate) fn sets(&mut self, cell: CellIdx, needs: &[ToolSpec]) -> Vec<ToolSet> {
        let choices: Vec<Rc<[Pick]>> = needs.iter().map(|need| self.choices(cell, need)).collect();
        let most = choices.iter().map(|choice| choice.len()).max().unwrap_or(1);
        let mut sets: Vec<ToolSet> = Vec::new();
        for rank in 0..most {
            let set = self.set(choices.iter().map(|choice| choice[rank.min(choice.len() - 1)]));
            if !sets.contains(&set) {
                sets.push(set);
            }
        }
        sets
    }

    fn set(&self, chosen: impl Iterator<Item = Pick>) -> ToolSet {
        let mut picks: Vec<Pick> = Vec::new();
        // One tool may serve two needs; it is held once.
        chosen.for_each(|pick| {
            if !picks.contains(&pick) {
                picks.push(pick)
            }
        });
        let effort = picks.iter().map(|pick| self.effort(*pick)).max().unwrap_or(Effort::Owned);
        ToolSet { picks, effort }
    }

    fn effort(&self, pick: Pick) -> Effort {
        match pick {
            Pick::Estimated(_) => Effort::Estimated,
            Pick::Listed(tool) if is_offer(&self.frame.shop.tools[tool]) => Effort::Offered,
            Pick::Listed(_) => Effort::Owned,
        }
    }

    /// Tools for one need on one cell, best first; never empty.
    pub(crate) fn choices(&mut self, cell: CellIdx, need: &ToolSpec) -> Rc<[Pick]> {
        let key = (need_key(need), cell);
        if let Some(found) = self.found.get(&key) {
            return found.clone();
        }
        let found: Rc<[Pick]> = self.search(cell, need).into();
        self.found.insert(key, found.clone());
        found
    }

    fn search(&self, cell: CellIdx, need: &ToolSpec) -> Vec<Pick> {
        let tools = &self.frame.shop.tools;
        let kind = self.by_kind.get(&need.kind).map_or(&[][..], Vec::as_slice);
        let fitting = kind.iter().copied().filter(|tool| self.fits(&tools[*tool], cell, need));
        let (offers, mut owned): (Vec<usize>, Vec<usize>) = fitting.partition(|tool| is_offer(&tools[*tool]));
        if owned.is_empty() {
            return self.best_offers(offers).unwrap_or_else(|| vec![Pick::Estimated(*need)]);
        }
        let mounted = &self.frame.shop.cells[cell.get()].mounted;
        owned.sort_by_key(|tool| {
            (!mounted.contains(&tools[*tool].id), self.usable_from(&tools[*tool]), *tool)
        });
        owned.into_iter().take(MOST_CHOICES).map(Pick::Listed).collect()
    }

    fn fits(&self, tool: &Tool, cell: CellIdx, need: &ToolSpec) -> bool {
        self.goes_on(tool, cell) && serves_exactly(&tool.spec, need, &self.frame.shop.rules)
    }

    fn goes_on(&self, tool: &Tool, cell: CellIdx) -> bool {
        let cell = &self.frame.shop.cells[cell.get()].id;
        tool.fits.as_ref().is_none_or(|cells| cells.contains(cell))
    }

    /// Tools of the house that may be tried for one need on one cell if the tool maker agrees, with
    /// what differs. They are offered, never assumed.
    pub(crate) fn substitutes(&self, cell: CellIdx, need: &ToolSpec) -> Vec<(usize, Vec<Difference>)> {
        let tools = &self.frame.shop.tools;
        let kind = self.by_kind.get(&need.kind).map_or(&[][..], Vec::as_slice);
        let there = |at: &usize| !is_offer(&tools[*at]) && self.goes_on(&tools[*at], cell);
        let differs = |at: usize| {
            let differences = substitute_for(&tools[at].spec, need, &self.frame.shop.rules)?;
            Some((at, differences))
        };
        kind.iter().copied().filter(there).filter_map(differs).collect()
    }

    /// The cheapest offer, and the quickest where that is another one.
    fn best_offers(&self, offers: Vec<usize>) -> Option<Vec<Pick>> {
        let terms = |tool: &usize| match self.frame.shop.tools[*tool].state {
            ToolState::Offered { price, lead, .. } => (price, lead),
            ToolState::Rack | ToolState::OnOrder { .. } => Default::default(),
        };
        let cheapest = offers.iter().copied().min_by_key(|tool| terms(tool))?;
        let quickest = offers.iter().copied().min_by_key(|tool| (terms(tool).1, terms(tool).0))?;
        let mut picks = vec![Pick::Listed(cheapest)];
        if terms(&quickest).1 < terms(&cheapest).1 {
            picks.push(Pick::Listed(quickest));
        }
        Some(picks)
    }

    fn usable_from(&self, tool: &Tool) -> Minute {
        match tool.state {
            ToolState::Rack => Minute::ZERO,
            ToolState::OnOrder { arrives } => self.frame.received(arrives).max(Minute::ZERO),
            ToolState::Offered { lead, .. } => self.frame.arrival_of_offer(lead),
        }
    }

    /// The problem's tool for a pick; taken into the problem if it is not there yet.
    pub(crate) fn take(&mut self, pick: Pick) -> ToolIdx {
        let id = self.id_of(pick);
        if let Some(known) = self.known.get(&id) {
            return *known;
        }
        match pick {
            Pick::Listed(tool) => self.add_listed(&self.frame.shop.tools[tool]),
            Pick::Estimated(spec) => self.add_estimated(&id, spec),
        }
    }

    /// The id of a pick in the problem.
    pub(crate) fn id_of(&self, pick: Pick) -> String {
        match pick {
            Pick::Listed(tool) => self.frame.shop.tools[tool].id.clone(),
            Pick::Estimated(spec) => self.estimated_id(&spec),
        }
    }

    /// The tool of a set that can be used last, and from when.
    pub(crate) fn last_of(&self, set: &ToolSet) -> Option<(Minute, Pick)> {
        let usable = |pick: &Pick| match pick {
            Pick::Listed(tool) => self.usable_from(&self.frame.shop.tools[*tool]),
            Pick::Estimated(spec) => {
                self.frame.arrival_of_offer(self.frame.shop.rules.tooling.default.of(spec.kind).lead)
            }
        };
        set.picks.iter().map(|pick| (usable(pick), *pick)).max_by_key(|(usable, _)| *usable)
    }

    /// Whether it can be used at plan start.
    pub(crate) fn is_in_house(&self, pick: Pick) -> bool {
        match pick {
            Pick::Listed(tool) => {
                let tool = &self.frame.shop.tools[tool];
                !is_offer(tool) && self.usable_from(tool) == Minute::ZERO
            }
            Pick::Estimated(_) => false,
        }
    }

    fn add_listed(&mut self, tool: &Tool) -> ToolIdx {
        let usable = self.usable_from(tool);
        let (availability, lead, estimated) = match tool.state {
            ToolState::Offered { price, lead, estimated } => {
                (Availability::Offer { price, lead: usable }, Some(lead), estimated)
            }
            ToolState::Rack | ToolState::OnOrder { .. } => (Availability::From(usable), None, false),
        };
        let made = ProblemTool { id: tool.id.clone(), count: tool.pieces, availability };
        self.add(made, ToolKey { kind: tool.spec.kind, lead, estimated }, tool.spec)
    }

    fn add_estimated(&mut self, id: &str, spec: ToolSpec) -> ToolIdx {
        let usual = self.frame.shop.rules.tooling.default.of(spec.kind);
        let lead = self.frame.arrival_of_offer(usual.lead);
        let availability = Availability::Offer { price: usual.price, lead };
        let made = ProblemTool { id: id.to_owned(), count: 1, availability };
        self.add(made, ToolKey { kind: spec.kind, lead: Some(usual.lead), estimated: true }, spec)
    }

    fn add(&mut self, tool: ProblemTool, key: ToolKey, spec: ToolSpec) -> ToolIdx {
        let index = ToolIdx::new(self.tools.len());
        self.known.insert(tool.id.clone(), index);
        self.tools.push(tool);
        self.keys.push(key);
        self.specs.push(spec);
        index
    }

    /// A name made of kind and dimensions that no listed tool has.
    fn estimated_id(&self, spec: &ToolSpec) -> String {
        let mut id = described(spec);
        while self.frame.shop.tools.iter().any(|tool| tool.id == id) {
            id.push_str(" (new)");
        }
        id
    }
}

fn is_offer(tool: &Tool) -> bool {
    matches!(tool.state, ToolState::Offered { .. })
}

fn need_key(need: &ToolSpec) -> NeedKey {
    let bits = |length: elbowroom_units::Mm| length.mm().to_bits();
    (need.kind, bits(need.od), need.clr.map(bits), need.wall.map(bits), need.balls)
}

/// A tool by kind and dimensions: `bend die 38.1x114.3`, `mandrel 38.1x1.65, 2 balls`.
pub(crate) fn described(spec: &ToolSpec) -> String {
    let mut text = format!("{} {}", spec.kind, quantity::plain(spec.od.mm(), 3));
    for length in [spec.clr, spec.wall].into_iter().flatten() {
        text.push('x');
        text.push_str(&quantity::plain(length.mm(), 3));
    }
    if spec.balls > 0 {
        text.push_str(&format!(", {} ball{}", spec.balls, if spec.balls == 1 { "" } else { "s" }));
    }
    text
}
