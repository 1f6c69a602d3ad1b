//! A two-wire smoke circuit under power: volts at every detector, and whether its currents tell open, rest, alarm and
//! short apart.
//!
//! The source has three regions: its volts behind its series resistance, the fall along that resistance, and its
//! current limit. A detector at rest draws a constant current; in alarm it clamps the pair. Listing is never computed.

use job::{Circuit, Job};
use library::{Kind, Library, SmokeSource, TwoWire};
use network::{Network, Part};
use quantity::{Amperes, Interval, Ohms, Volts};

use crate::plan::End;
use crate::rows::{Legs, device};
use crate::solve::Solver;
use crate::study::Between;
use crate::tree::{Draw, Tree};

/// A clamp's own slope, in ohm: small beside any line, large enough to compute with.
const CLAMP_OHMS: f64 = 0.01;

/// What is found out about one two-wire smoke circuit.
#[derive(Clone, PartialEq, Debug)]
pub struct SmokeLoop {
    /// The module's source in its mode.
    pub source: SmokeSource,
    /// The detectors, in the order of the network.
    pub heads: Vec<Head>,
    /// Current of the circuit at rest, in ampere.
    pub rest_a: Between,
    /// With the pair open somewhere: none to all detectors at rest.
    pub open_a: Between,
    /// With any one detector in alarm.
    pub alarm_a: Between,
    /// With the pair shorted, at the far end to at the terminals.
    pub short_a: Between,
    /// At rest, all detectors together, at most.
    pub standby_a: f64,
    /// When the supply comes back after a reset, at most.
    pub start_a: f64,
    /// From the terminals to the farthest detector, out and back.
    pub line: Interval<Ohms>,
    /// Whether the end resistor stands at or behind the last detector; none where there is none.
    pub end_is_last: Option<bool>,
    /// How many detectors the standby current allows.
    pub most_by_current: u32,
    /// Whether somebody has said of every detector what it draws and where it clamps; where not, only the volts of the source,
    /// the end resistor and a short are known.
    pub known: bool,
    /// How many there may be: the least of that and of the listing's number; 0 until a listing is recorded.
    pub most: u32,
    /// Whether the module's reset is deep and long enough for every detector; none where a manual is silent.
    pub resets: Option<bool>,
}

/// One detector of a two-wire smoke circuit.
#[derive(Clone, PartialEq, Debug)]
pub struct Head {
    /// Its name in the network.
    pub name: String,
    /// Its profile; none where the job names none, and then nothing of it is computed.
    pub profile: Option<TwoWire>,
    /// At rest, all others at rest too.
    pub standby_v: Between,
    /// Through itself, when it alone is in alarm.
    pub alarm_a: Between,
    /// Through the whole circuit then.
    pub circuit_a: Between,
    /// The least volts that any other detector has then; none where there is no other.
    pub others_v: Option<f64>,
    /// Whether somebody has recorded the listing that names it together with the module.
    pub listed: bool,
}

/// One end of everything uncertain.
struct Corner {
    volts: f64,
    series: f64,
    limit: f64,
    line: End,
    /// The end resistor's share of its nominal value.
    resistor: End,
    /// What detectors at rest draw.
    heads: End,
}

struct Scene<'a> {
    legs: Legs,
    heads: Vec<(String, usize, Option<TwoWire>)>,
    resistors: Vec<(usize, Interval<Ohms>)>,
    source: &'a SmokeSource,
}

impl Scene<'_> {
    fn corner(&self, high: bool) -> Corner {
        let source = self.source;
        if high {
            Corner {
                volts: source.volts.hi().0,
                series: source.series.lo().0,
                limit: source.limit.hi().0,
                line: End::Low,
                resistor: End::Low,
                heads: End::High,
            }
        } else {
            Corner {
                volts: source.volts.lo().0,
                series: source.series.hi().0,
                limit: source.limit.lo().0,
                line: End::High,
                resistor: End::High,
                heads: End::Low,
            }
        }
    }

    /// The circuit at a corner, with one detector clamping or none.
    fn tree(&self, corner: &Corner, alarm: Option<(usize, f64)>) -> Tree {
        let mut tree = Tree::new(corner.series);
        for (parent, ohms) in &self.legs.legs {
            tree.point(*parent, corner.line.of(*ohms));
        }
        for (at, ohms) in &self.resistors {
            tree.load(*at, Draw { siemens: 1.0 / corner.resistor.of(*ohms).max(1e-3), ..Draw::default() });
        }
        for (index, (_, at, profile)) in self.heads.iter().enumerate() {
            let Some(profile) = profile else { continue };
            let draw = match alarm {
                Some((which, clamp)) if which == index => {
                    Draw { siemens: 1.0 / CLAMP_OHMS, amperes: -clamp / CLAMP_OHMS, watts: 0.0 }
                }
                // Beside a clamp the others may draw anything from nothing to their standby current.
                Some(_) if corner.heads == End::Low => Draw::default(),
                _ => Draw { amperes: corner.heads.of(profile.standby), ..Draw::default() },
            };
            tree.load(*at, draw);
        }
        tree
    }

    /// Solves at a corner; beyond the source's limit its volts fall until that flows.
    fn solve(&self, corner: &Corner, tree: &Tree) -> Option<Solver> {
        let mut solver = Solver::new();
        solver.solve(tree, corner.volts).ok()?;
        if solver.amperes()[0] <= corner.limit {
            return Some(solver);
        }
        let (mut low, mut high) = (0.0, corner.volts);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let above = solver.solve(tree, middle).is_ok() && solver.amperes()[0] > corner.limit;
            if above { high = middle } else { low = middle }
        }
        solver.solve(tree, high).ok()?;
        Some(solver)
    }

    /// All at rest: the circuit's current and every detector's volts.
    fn rest(&self, corner: &Corner) -> (f64, Vec<f64>) {
        let tree = self.tree(corner, None);
        match self.solve(corner, &tree) {
            Some(solver) => {
                let volts = self.heads.iter().map(|(_, at, _)| solver.volts()[*at]).collect();
                (solver.amperes()[0], volts)
            }
            None => (corner.limit, vec![0.0; self.heads.len()]),
        }
    }

    /// One in alarm: the circuit's current, its own, and the least volts at the others.
    fn alarm(&self, corner: &Corner, which: usize, clamp: f64) -> (f64, f64, Option<f64>) {
        let tree = self.tree(corner, Some((which, clamp)));
        let at = self.heads[which].1;
        if let Some(solver) = self.solve(corner, &tree) {
            let own = (solver.volts()[at] - clamp) / CLAMP_OHMS;
            if own > 0.0 {
                let others = (0..self.heads.len()).filter(|other| *other != which);
                let least = others.map(|other| solver.volts()[self.heads[other].1]).reduce(f64::min);
                return (solver.amperes()[0], own, least);
            }
        }
        // It clamps above what reaches it: it draws nothing more than at rest.
        let (rest, volts) = self.rest(corner);
        let least =
            (0..volts.len()).filter(|other| *other != which).map(|other| volts[other]).reduce(f64::min);
        (rest, 0.0, least)
    }
}

/// Studies a two-wire smoke circuit on a source; none where the network has no such detector.
#[must_use]
pub fn smoke_loop(
    job: &Job,
    library: &Library,
    circuit: &Circuit,
    network: &Network,
    source: &SmokeSource,
) -> Option<SmokeLoop> {
    let tag = circuit.tag.as_str();
    let legs = Legs::of(job, circuit, network);
    let mut heads = Vec::new();
    let mut resistors = Vec::new();
    for (element, at) in &legs.elements {
        match &network.elements()[*element].part {
            Part::Smoke(name) => heads.push((*element, *at, name.clone())),
            Part::Resistor { nominal, tolerance } => {
                let tolerance = tolerance.unwrap_or(job.assume.resistor_tolerance);
                resistors.push((*at, Interval::with_tolerance(*nominal, tolerance)));
            }
            _ => {}
        }
    }
    if heads.is_empty() {
        return None;
    }
    heads.sort_by_key(|(element, _, _)| *element);
    let profile = |name: &str| -> Option<TwoWire> {
        let id = device(job, tag, name)?.profile.as_ref()?;
        match &library.profiles.get(id.as_str())?.kind {
            Kind::Detector(detector) => detector.two_wire.clone(),
            _ => None,
        }
    };
    let heads = heads.into_iter().map(|(_, at, name)| {
        let profile = profile(&name);
        (name, at, profile)
    });
    let scene = Scene { heads: heads.collect(), legs, resistors, source };
    Some(studied(job, tag, &scene))
}

fn studied(job: &Job, tag: &str, scene: &Scene) -> SmokeLoop {
    let source = scene.source;
    let (low, high) = (scene.corner(false), scene.corner(true));
    let (rest_low, rest_high) = (scene.rest(&low), scene.rest(&high));
    // Volts are least with every detector and the end resistor drawing their most.
    let thirsty = Corner { resistor: End::Low, heads: End::High, ..scene.corner(false) };
    let sated = Corner { resistor: End::High, heads: End::Low, ..scene.corner(true) };
    let (least_v, most_v) = (scene.rest(&thirsty).1, scene.rest(&sated).1);
    let known = |of: fn(&TwoWire) -> f64| -> f64 {
        scene.heads.iter().filter_map(|(_, _, profile)| profile.as_ref().map(of)).sum()
    };
    let mut heads = Vec::new();
    for (index, (name, _, profile)) in scene.heads.iter().enumerate() {
        let clamp = profile.as_ref().map(|profile| profile.alarm_volts);
        let (weak, strong) = match clamp {
            Some(clamp) => (scene.alarm(&low, index, clamp.hi().0), scene.alarm(&high, index, clamp.lo().0)),
            None => ((0.0, 0.0, None), (0.0, 0.0, None)),
        };
        heads.push(Head {
            name: name.clone(),
            profile: profile.clone(),
            standby_v: (least_v[index], most_v[index]),
            alarm_a: (weak.1, strong.1),
            circuit_a: (weak.0, strong.0),
            others_v: [weak.2, strong.2].into_iter().flatten().reduce(f64::min),
            listed: device(job, tag, name).is_some_and(|device| !device.listing.is_empty()),
        });
    }
    let standby_a = known(|profile| profile.standby.hi().0);
    let start = known(|profile| profile.start.map_or(profile.standby.hi().0, |start| start.0));
    let line = scene.line();
    let short_low = (source.volts.lo().0 / (source.series.hi().0 + line.hi().0)).min(source.limit.lo().0);
    let most_by_current = most_by_current(source, &heads);
    let listed = heads.iter().all(|head| head.listed);
    let alarm = |of: fn(Between) -> f64, first: f64, pick: fn(f64, f64) -> f64| {
        heads.iter().map(|head| of(head.circuit_a)).fold(first, pick)
    };
    SmokeLoop {
        source: *source,
        rest_a: (rest_low.0, rest_high.0),
        open_a: (0.0, standby_a),
        alarm_a: (alarm(|a| a.0, f64::INFINITY, f64::min), alarm(|a| a.1, 0.0, f64::max)),
        short_a: (short_low, source.limit.hi().0),
        standby_a,
        start_a: rest_high.0 - standby_a + start,
        line,
        end_is_last: scene.end_is_last(),
        most_by_current,
        known: heads.iter().all(|head| head.profile.is_some()),
        most: if listed { most_by_current.min(source.most_heads.unwrap_or(0)) } else { 0 },
        resets: resets(source, &heads),
        heads,
    }
}

impl Scene<'_> {
    /// From the terminals to a point, out and back.
    fn to(&self, point: usize) -> Interval<Ohms> {
        let (mut low, mut high) = (0.0, 0.0);
        let mut at = point;
        while at != 0 {
            let (parent, ohms) = self.legs.legs[at - 1];
            low += ohms.lo().0;
            high += ohms.hi().0;
            at = parent;
        }
        Interval::new(Ohms(low), Ohms(high))
    }

    fn line(&self) -> Interval<Ohms> {
        let all = self.heads.iter().map(|(_, at, _)| self.to(*at));
        all.max_by(|one, other| one.hi().0.total_cmp(&other.hi().0)).unwrap_or(Interval::exact(Ohms(0.0)))
    }

    /// Whether some end resistor stands where every detector's pair has passed by.
    fn end_is_last(&self) -> Option<bool> {
        if self.resistors.is_empty() {
            return None;
        }
        let behind = |resistor: usize, head: usize| {
            let mut at = resistor;
            loop {
                if at == head {
                    return true;
                }
                if at == 0 {
                    return false;
                }
                at = self.legs.legs[at - 1].0;
            }
        };
        let last = |resistor: usize| self.heads.iter().all(|(_, head, _)| behind(resistor, *head));
        Some(self.resistors.iter().any(|(at, _)| last(*at)))
    }
}

/// `floor(I_max / I_detector)` in whole microamperes: in binary fractions 0.3 / 0.1 is 2.
fn most_by_current(source: &SmokeSource, heads: &[Head]) -> u32 {
    let micro = |amperes: Amperes| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "microamperes of a pair")]
        let micro = (amperes.0 * 1e6).round().max(0.0) as u64;
        micro
    };
    let thirstiest =
        heads.iter().filter_map(|head| head.profile.as_ref()).map(|head| micro(head.standby.hi())).max();
    match thirstiest {
        Some(0) | None => 0,
        Some(one) => u32::try_from(micro(source.standby) / one).unwrap_or(u32::MAX),
    }
}

/// Whether the reset is deep and long enough.
fn resets(source: &SmokeSource, heads: &[Head]) -> Option<bool> {
    let mut all = true;
    for head in heads {
        let profile = head.profile.as_ref()?;
        let deep = |need: Volts| source.reset_volts.map(|left| left <= need);
        let long = source.reset.zip(profile.reset).map(|(lasts, need)| lasts >= need);
        all &= deep(profile.reset_volts?)? && long?;
    }
    Some(all)
}
