//! What the job says of one supply, made ready for computing: points, runs and loads.

use std::collections::BTreeMap;

use job::{Feeding, Job, Run, Supply};
use library::{Kind, Library, SupplyProfile};
use quantity::{Amperes, Interval, Ohms, Volts};

use crate::rows;
use crate::tree::{Draw, Tree};

/// What leads into a point.
#[derive(Clone, Debug)]
pub enum Way<'a> {
    /// The supply's own terminals.
    Terminals,
    /// A run of cable.
    Run(&'a Run),
    /// An output of the supply.
    Output,
    /// A module.
    Module,
    /// A module's auxiliary output.
    Aux,
    /// A relay or a sounder output of a module.
    Relay,
    /// A leg of a sounder circuit, from the circuit's network.
    Leg,
}

/// One point of a supply's tree.
#[derive(Clone, Debug)]
pub struct Point<'a> {
    /// Its name in the job; a point on a sounder circuit is named by the circuit and a number.
    pub name: String,
    /// The point that it is fed from; its own number for the terminals.
    pub parent: usize,
    /// What leads here.
    pub way: Way<'a>,
    /// Resistance out and back, in ohm: cables cold and shortest to hot and longest, joints at none to the most.
    pub ohms: Interval<Ohms>,
    /// Volts that a module loses between its own terminals and its auxiliary output.
    pub lost: Interval<Volts>,
    /// The most that may be drawn from here, with what says so.
    pub limits: Vec<Limit>,
    /// Whether a reset breaks it.
    pub switched: bool,
}

/// A limit with what it is of.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limit {
    /// The most.
    pub most: Amperes,
    /// Of what.
    pub of: LimitOf,
}

/// What a limit is of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LimitOf {
    /// All that the supply gives.
    Supply,
    /// One output of it.
    Output,
    /// A module's auxiliary output.
    Aux,
    /// A relay contact.
    Contact,
}

impl LimitOf {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Supply => "supply",
            Self::Output => "output",
            Self::Aux => "aux",
            Self::Contact => "contact",
        }
    }
}

/// Where a row of loads comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum RowFrom {
    /// An entry of `loads`.
    Load,
    /// A module that the supply feeds.
    Module,
    /// The supply itself.
    Own,
    /// A sounder of a circuit that an output drives.
    Sounder,
    /// The resistor at the end of such a circuit: it draws while the circuit sounds.
    EndResistor,
}

/// One row of loads: so many of one kind at one point.
#[derive(Clone, Debug)]
pub struct Row {
    /// What people call it.
    pub name: String,
    /// The point, as its place in the plan.
    pub at: usize,
    /// The point as the job writes it.
    pub at_name: String,
    /// How many.
    pub count: u32,
    /// What one draws in standby.
    pub standby: Draw,
    /// What one draws in alarm.
    pub alarm: Draw,
    /// The least volts it needs.
    pub minimum: Option<Volts>,
    /// In which alarms it draws its alarm current; empty: in every one.
    pub alarm_in: Vec<String>,
    /// Whether it is dropped when the mains is gone.
    pub shed: bool,
    /// Whether anybody has said what it draws.
    pub told: bool,
    /// Where it comes from.
    pub from: RowFrom,
    /// Its profile's id, where it has one.
    pub profile: Option<String>,
}

/// Which loads draw their alarm current.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Case {
    /// None.
    Standby,
    /// All of them.
    Alarm,
    /// Those that sound in this alarm.
    AlarmOf(library::System),
}

impl Row {
    /// What the whole row draws, in a case; nothing on battery where it is shed.
    #[must_use]
    pub fn draws(&self, case: Case, on_battery: bool) -> Draw {
        if self.shed && on_battery {
            return Draw::default();
        }
        let alarm = match case {
            Case::Standby => false,
            Case::Alarm => true,
            Case::AlarmOf(system) => self.sounds_in(system),
        };
        (if alarm { self.alarm } else { self.standby }).times(f64::from(self.count))
    }

    /// Whether it draws its alarm current in an alarm of this kind.
    #[must_use]
    pub fn sounds_in(&self, system: library::System) -> bool {
        const FIRE: [&str; 7] = ["fire", "smoke", "heat", "manual-call", "waterflow", "valve", "sounder"];
        let fire = |word: &String| FIRE.contains(&word.as_str());
        let other = |word: &String| !fire(word) || word == "sounder";
        self.alarm_in.is_empty()
            || match system {
                library::System::Fire => self.alarm_in.iter().any(fire),
                library::System::Intrusion => self.alarm_in.iter().any(other),
            }
    }
}

/// Everything low or everything high.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    /// Cables cold and shortest; regulators lose the least.
    Low,
    /// Cables hot and longest; regulators lose the most.
    High,
}

impl End {
    pub(crate) fn of<Q: quantity::Quantity>(self, interval: Interval<Q>) -> f64 {
        match self {
            Self::Low => interval.lo().value(),
            Self::High => interval.hi().value(),
        }
    }
}

/// One supply of a job as a tree.
#[derive(Clone, Debug)]
pub struct Plan<'a> {
    /// The supply in the job.
    pub supply: &'a Supply,
    /// Its profile; none where the job names none.
    pub profile: Option<&'a SupplyProfile>,
    /// Its points, parents first; the terminals are point 0.
    pub points: Vec<Point<'a>>,
    /// Its loads, in the order of the job; modules, sounders and the supply's own draw behind them.
    pub rows: Vec<Row>,
    by_name: BTreeMap<String, usize>,
}

impl<'a> Plan<'a> {
    /// Makes the supply at this place of the job's list ready.
    #[must_use]
    pub fn new(job: &'a Job, library: &'a Library, feeding: &Feeding<'a>, at: usize) -> Self {
        let supply = &job.supplies[at];
        let profile = supply.profile.as_ref().and_then(|id| supply_profile(library, id.as_str()));
        let terminals = Point {
            name: supply.id.value.clone(),
            parent: 0,
            way: Way::Terminals,
            ohms: Interval::exact(Ohms(0.0)),
            lost: Interval::exact(Volts(0.0)),
            limits: profile
                .map(|profile| Limit { most: profile.limit, of: LimitOf::Supply })
                .into_iter()
                .collect(),
            switched: false,
        };
        let by_name = BTreeMap::from([(supply.id.value.clone(), 0)]);
        let mut plan = Self { supply, profile, points: vec![terminals], rows: Vec::new(), by_name };
        let mut maker = Maker::new(job, library, feeding, at);
        maker.points(&mut plan);
        rows::put(&mut plan, job, library, feeding, at, &mut |plan, name| maker.point(plan, name));
        plan
    }

    /// A point by its name in the job.
    #[must_use]
    pub fn point(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).copied()
    }

    pub(crate) fn push(&mut self, point: Point<'a>) -> usize {
        self.by_name.insert(point.name.clone(), self.points.len());
        self.points.push(point);
        self.points.len() - 1
    }

    /// The tree at one end of its cables and regulators, with nothing on it.
    #[must_use]
    pub fn tree(&self, cables: End, regulators: End, source_ohms: f64) -> Tree {
        let mut tree = Tree::new(source_ohms);
        for point in self.points.iter().skip(1) {
            tree.point_with_drop(point.parent, cables.of(point.ohms), regulators.of(point.lost));
        }
        tree
    }

    /// Puts the loads of a case on a tree.
    pub fn load(&self, tree: &mut Tree, case: Case, on_battery: bool) {
        tree.unload();
        for row in &self.rows {
            tree.load(row.at, row.draws(case, on_battery));
        }
    }

    /// The supply's nominal volts: 12 for 13.8 V, 24 for 27.6 V; 12 where there is no profile.
    #[must_use]
    pub fn nominal(&self) -> f64 {
        nominal(self.profile)
    }
}

/// Nominal volts of a supply with this profile.
pub(crate) fn nominal(profile: Option<&SupplyProfile>) -> f64 {
    profile.map_or(12.0, |profile| (profile.volts.hi().0 / 12.0).floor().max(1.0) * 12.0)
}

/// The profile of a supply by its id.
pub(crate) fn supply_profile<'l>(library: &'l Library, id: &str) -> Option<&'l SupplyProfile> {
    match &library.profiles.get(id)?.kind {
        Kind::Supply(profile) => Some(profile),
        _ => None,
    }
}

/// Adds points to a plan, each behind the one that it is fed from.
struct Maker<'a, 'f> {
    job: &'a Job,
    library: &'a Library,
    feeding: &'f Feeding<'a>,
    at: usize,
    runs: BTreeMap<&'a str, &'a Run>,
}

impl<'a, 'f> Maker<'a, 'f> {
    fn new(job: &'a Job, library: &'a Library, feeding: &'f Feeding<'a>, at: usize) -> Self {
        let runs = job.supplies.iter().flat_map(|supply| &supply.runs);
        let runs = runs.map(|run| (run.to.as_str(), run)).collect();
        Self { job, library, feeding, at, runs }
    }

    /// Every point that the job names and that hangs on this supply.
    fn points(&mut self, plan: &mut Plan<'a>) {
        let job = self.job;
        let runs = job.supplies.iter().flat_map(|supply| &supply.runs).map(|run| run.to.as_str());
        let outputs = job.outputs.iter().map(|output| output.id.as_str());
        let devices = job.devices.iter().filter_map(|device| Some(device.fed_by.as_ref()?.as_str()));
        for name in runs.chain(outputs).chain(devices) {
            self.point(plan, name);
        }
    }

    /// A point and all that it hangs on; none where that is another supply or none.
    fn point(&mut self, plan: &mut Plan<'a>, name: &str) -> Option<usize> {
        if let Some(at) = plan.point(name) {
            return Some(at);
        }
        if self.feeding.supply(name) != Some(self.at) {
            return None;
        }
        let mut missing = Vec::new();
        let mut at = name;
        let mut parent = loop {
            match plan.point(at) {
                Some(known) => break known,
                None => missing.push(at),
            }
            at = self.feeding.parent(at)?;
        };
        for name in missing.into_iter().rev() {
            parent = plan.push(self.made(plan, name, parent));
        }
        Some(parent)
    }

    fn made(&self, plan: &Plan<'a>, name: &str, parent: usize) -> Point<'a> {
        let mut point = Point {
            name: name.to_owned(),
            parent,
            way: Way::Relay,
            ohms: Interval::exact(Ohms(0.0)),
            lost: Interval::exact(Volts(0.0)),
            limits: Vec::new(),
            switched: false,
        };
        if let Some(run) = self.runs.get(name) {
            point.way = Way::Run(run);
            point.ohms = rows::run_ohms(self.job, run);
            return point;
        }
        let named = |id: &str| self.job.modules.iter().find(|module| module.id.as_str() == id);
        if named(name).is_some() {
            point.way = Way::Module;
            return point;
        }
        let (owner, output) = name.rsplit_once('.').unwrap_or((name, ""));
        if let Some(module) = named(owner) {
            if output == "aux" {
                self.aux(plan, module, &mut point);
            }
        } else {
            point.way = Way::Output;
            let outputs = plan.profile.map_or(&[][..], |profile| &profile.outputs);
            if let Some(known) = outputs.iter().find(|known| known.id == output) {
                point.limits.push(Limit { most: known.limit, of: LimitOf::Output });
                point.ohms = Interval::exact(known.ohms);
                point.switched = known.switched;
            }
        }
        let told = self.job.outputs.iter().find(|output| output.id.as_str() == name);
        if let Some(contact) = told.and_then(|output| output.contact) {
            point.limits.push(Limit { most: contact, of: LimitOf::Contact });
        }
        point
    }

    /// A module's auxiliary output follows the module's own volts: it loses at most what lies between the least that
    /// the supply and the least that the output has on mains, and at least what lies between the most of both.
    fn aux(&self, plan: &Plan<'a>, module: &job::Module, point: &mut Point<'a>) {
        point.way = Way::Aux;
        let kind = module.profile.as_ref().and_then(|id| self.library.profiles.get(id.as_str()));
        let Some(Kind::Module(profile)) = kind.map(|profile| &profile.kind) else { return };
        let Some(aux) = profile.aux else { return };
        point.limits.push(Limit { most: aux.limit, of: LimitOf::Aux });
        point.switched = aux.switched;
        if let Some(supply) = plan.profile {
            let least = (supply.volts.hi().0 - aux.volts.hi().0).max(0.0);
            let most = (supply.volts.lo().0 - aux.volts.lo().0).max(least);
            point.lost = Interval::new(Volts(least), Volts(most));
        }
    }
}
