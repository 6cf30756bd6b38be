//! Setup keys and changeover times.
//!
//! A bending cell is set up with a set of tools and a part's program, so its key names both, and
//! the time from one key to the next depends on the tools that change. `default` is the longest
//! changeover that the cell has between the sets it may see, which is also what remounting a tool
//! costs; only pairs that differ from it are listed. Where that table would grow too long (a cell
//! with very many parts), keys name the tools alone, and every lot on the same tools pays for its
//! program: a little too much where the same part follows itself, never too little.
//!
//! Each lot begins with a first article whatever ran before, so that check is part of its run.

use super::knowledge::{OnCell, change, on_cell};
use super::rack::Rack;
use super::steps;
use elbowroom_problem::{CellIdx, Changeover, Pairs, Place, ToolIdx, Work};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::{Cell, WorkKind};
use elbowroom_units::Minutes;
use std::collections::{BTreeMap, HashMap};

/// Most pairs listed for one cell before its keys name the tools alone.
const MOST_PAIRS: usize = 20_000;

/// What a bending cell is set up with.
#[derive(Clone, Debug, PartialEq)]
struct BendSetup {
    tools: Vec<ToolIdx>,
    part: String,
}

/// The setups that the cells may see.
pub(crate) struct Setups {
    by_cell: Vec<BTreeMap<String, BendSetup>>,
}

impl Setups {
    pub(crate) fn new(cells: usize) -> Self {
        Self { by_cell: vec![BTreeMap::new(); cells] }
    }

    /// The key of a part's program on a set of tools; noted for the cell.
    pub(crate) fn key(&mut self, cell: CellIdx, rack: &Rack<'_>, tools: &[ToolIdx], part: &str) -> String {
        let key = program_key(&tools_key(rack, tools), part);
        let setup = || BendSetup { tools: tools.to_vec(), part: part.to_owned() };
        self.by_cell[cell.get()].entry(key.clone()).or_insert_with(setup);
        key
    }

    /// Changeovers of every cell; keys that must be shorter are changed in `options`.
    pub(crate) fn finish<'o>(
        self,
        shop: &Shop,
        rack: &Rack<'_>,
        options: impl Iterator<Item = &'o mut Work>,
    ) -> Vec<CellSetup> {
        let mut done = Vec::new();
        let mut renamed: Vec<HashMap<String, String>> = Vec::new();
        for (cell, setups) in shop.cells.iter().zip(self.by_cell) {
            let (setup, names) = match cell.work {
                WorkKind::Bend(_) => bending_cell(shop, cell, rack, &setups),
                work => (other_cell(shop, work), HashMap::new()),
            };
            done.push(setup);
            renamed.push(names);
        }
        rename(options, &renamed);
        done
    }
}

/// How a cell is changed over.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct CellSetup {
    pub(crate) initial: Option<String>,
    pub(crate) changeover: Option<Changeover>,
}

fn rename<'o>(options: impl Iterator<Item = &'o mut Work>, names: &[HashMap<String, String>]) {
    for option in options {
        if let Place::Cell(work) = &mut option.place
            && let Some(name) = names[work.cell.get()].get(&work.setup_key)
        {
            work.setup_key.clone_from(name);
        }
    }
}

fn other_cell(shop: &Shop, work: WorkKind) -> CellSetup {
    let default = steps::changeover(shop, work);
    let changeover = Changeover { default, same: Minutes::ZERO, pairs: Pairs::default() };
    CellSetup { initial: None, changeover: (default > Minutes::ZERO).then_some(changeover) }
}

/// A set of tools on a cell with the parts that run on it.
struct MountedSet {
    name: String,
    tools: Vec<OnCell>,
    parts: Vec<String>,
}

fn bending_cell(
    shop: &Shop,
    cell: &Cell,
    rack: &Rack<'_>,
    setups: &BTreeMap<String, BendSetup>,
) -> (CellSetup, HashMap<String, String>) {
    let sets = mounted_sets(rack, setups);
    let times = Times::new(shop, cell, &sets);
    let by_program = times.program_pairs(&sets) <= MOST_PAIRS;
    let start = start_setup(shop, cell, &sets);
    let setup = if by_program {
        times.with_programs(&sets, start.as_ref())
    } else {
        times.with_tools_alone(&sets, start.as_ref())
    };
    let names = if by_program { HashMap::new() } else { tool_names(rack, setups) };
    (setup, names)
}

fn mounted_sets(rack: &Rack<'_>, setups: &BTreeMap<String, BendSetup>) -> Vec<MountedSet> {
    let mut sets: BTreeMap<String, MountedSet> = BTreeMap::new();
    for setup in setups.values() {
        let name = tools_key(rack, &setup.tools);
        let tool = |tool: &ToolIdx| on_cell(&rack.tools[tool.get()].id, rack.keys[tool.get()].kind);
        let new = || MountedSet {
            name: name.clone(),
            tools: setup.tools.iter().map(tool).collect(),
            parts: Vec::new(),
        };
        sets.entry(name.clone()).or_insert_with(new).parts.push(setup.part.clone());
    }
    sets.into_values().collect()
}

fn tool_names(rack: &Rack<'_>, setups: &BTreeMap<String, BendSetup>) -> HashMap<String, String> {
    setups.iter().map(|(key, setup)| (key.clone(), tools_key(rack, &setup.tools))).collect()
}

fn tools_key(rack: &Rack<'_>, tools: &[ToolIdx]) -> String {
    if tools.is_empty() {
        return "no tools".to_owned();
    }
    tools.iter().map(|tool| rack.tools[tool.get()].id.as_str()).collect::<Vec<_>>().join(" + ")
}

fn program_key(tools: &str, part: &str) -> String {
    format!("{part} on {tools}")
}

/// Changeover times of one bending cell.
struct Times {
    /// From every set to every set for another program, by position in the list of sets.
    between: Vec<Vec<Minutes>>,
    /// From what is mounted at plan start to every set: another program, the same program.
    from_start: Vec<(Minutes, Minutes)>,
    /// The longest.
    default: Minutes,
}

impl Times {
    fn new(shop: &Shop, cell: &Cell, sets: &[MountedSet]) -> Self {
        let time = |from: Option<&[OnCell]>, to: &MountedSet, same_program| {
            change(shop, cell, from, &to.tools, same_program)
        };
        let mounted = mounted_now(shop, cell);
        let row = |from: &MountedSet| sets.iter().map(|to| time(Some(&from.tools), to, false)).collect();
        let between: Vec<Vec<Minutes>> = sets.iter().map(row).collect();
        let from_start: Vec<(Minutes, Minutes)> =
            sets.iter().map(|to| (time(Some(&mounted), to, false), time(Some(&mounted), to, true))).collect();
        let full = sets.iter().map(|to| time(None, to, false));
        let all = between.iter().flatten().copied().chain(from_start.iter().map(|times| times.0));
        Self { default: all.chain(full).max().unwrap_or(Minutes::ZERO), between, from_start }
    }

    /// How many pairs of programs differ from the default.
    fn program_pairs(&self, sets: &[MountedSet]) -> usize {
        let pairs = self.between.iter().zip(sets).flat_map(|(row, from)| {
            row.iter()
                .zip(sets)
                .filter(|(time, _)| **time != self.default)
                .map(|(_, to)| from.parts.len() * to.parts.len())
        });
        pairs.sum()
    }

    /// Keys that name tools and program.
    fn with_programs(&self, sets: &[MountedSet], start: Option<&StartSetup>) -> CellSetup {
        let keys: Vec<Vec<String>> = sets
            .iter()
            .map(|set| set.parts.iter().map(|part| program_key(&set.name, part)).collect())
            .collect();
        let mut pairs = Vec::new();
        for (row, from) in self.between.iter().zip(&keys) {
            for (time, to) in row.iter().zip(&keys).filter(|(time, _)| **time != self.default) {
                let each = from.iter().flat_map(|a| to.iter().filter(move |b| a != *b).map(move |b| (a, b)));
                pairs.extend(each.map(|(a, b)| (a.clone(), b.clone(), *time)));
            }
        }
        let initial = start.map(|start| {
            let key = program_key(&start.tools, start.program.as_deref().unwrap_or("no program"));
            if !keys.iter().flatten().any(|known| *known == key) {
                pairs.extend(self.pairs_from_start(&key, sets, &keys, start));
            }
            key
        });
        self.cell_setup(initial, Minutes::ZERO, pairs)
    }

    /// Pairs from a key that no job has.
    fn pairs_from_start(
        &self,
        key: &str,
        sets: &[MountedSet],
        keys: &[Vec<String>],
        start: &StartSetup,
    ) -> Vec<(String, String, Minutes)> {
        let mut pairs = Vec::new();
        for ((set, keys), (other, same)) in sets.iter().zip(keys).zip(&self.from_start) {
            for (part, to) in set.parts.iter().zip(keys) {
                let time = if start.program.as_ref() == Some(part) { *same } else { *other };
                pairs.push((key.to_owned(), to.clone(), time));
            }
        }
        pairs.retain(|(_, _, time)| *time != self.default);
        pairs
    }

    /// Keys that name the tools alone: the same tools again cost a program.
    fn with_tools_alone(&self, sets: &[MountedSet], start: Option<&StartSetup>) -> CellSetup {
        let mut pairs = Vec::new();
        for (from, row) in sets.iter().zip(&self.between) {
            let others =
                row.iter().zip(sets).filter(|(time, to)| **time != self.default && to.name != from.name);
            pairs.extend(others.map(|(time, to)| (from.name.clone(), to.name.clone(), *time)));
        }
        let initial = start.map(|start| {
            if !sets.iter().any(|set| set.name == start.tools) {
                let times = sets.iter().zip(&self.from_start).filter(|(_, time)| time.0 != self.default);
                pairs.extend(times.map(|(to, time)| (start.tools.clone(), to.name.clone(), time.0)));
            }
            start.tools.clone()
        });
        let program = (0..sets.len()).map(|set| self.between[set][set]).max().unwrap_or(Minutes::ZERO);
        self.cell_setup(initial, program, pairs)
    }

    fn cell_setup(
        &self,
        initial: Option<String>,
        same: Minutes,
        pairs: Vec<(String, String, Minutes)>,
    ) -> CellSetup {
        CellSetup {
            initial,
            changeover: Some(Changeover { default: self.default, same, pairs: pairs.into() }),
        }
    }
}

/// What is mounted at plan start, named as the keys are.
struct StartSetup {
    tools: String,
    program: Option<String>,
}

/// What is mounted now. Its name is that of the set with the same tools, if there is one, so that
/// it is the key of the lots that run on them.
fn start_setup(shop: &Shop, cell: &Cell, sets: &[MountedSet]) -> Option<StartSetup> {
    let mounted = mounted_now(shop, cell);
    let same_tools = |set: &&MountedSet| {
        set.tools.len() == mounted.len() && set.tools.iter().all(|tool| mounted.contains(tool))
    };
    let known = sets.iter().find(same_tools).map(|set| set.name.clone());
    let ids = mounted.iter().map(|tool| tool.id.as_str()).collect::<Vec<_>>().join(" + ");
    let tools = known.unwrap_or(ids);
    (!mounted.is_empty()).then(|| StartSetup { tools, program: cell.mounted_program.clone() })
}

/// The tools that are on a cell now.
pub(crate) fn mounted_now(shop: &Shop, cell: &Cell) -> Vec<OnCell> {
    let tool = |id: &String| shop.tools.iter().find(|tool| &tool.id == id);
    cell.mounted.iter().filter_map(tool).map(|tool| on_cell(&tool.id, tool.spec.kind)).collect()
}
