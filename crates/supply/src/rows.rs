//! The rows of loads of a supply, and the ohms of its runs.

use job::{Device, Feeding, Job, Load, Module, Run, RunConductor};
use library::{Kind, Library, Profile};
use network::{Network, Node, Part, Step};
use quantity::{Celsius, Gauge, Interval, Metres, Ohms, Ratio, Volts};

use crate::plan::{Plan, Point, Row, RowFrom, Way};
use crate::tree::Draw;

/// Finds or makes a point of a plan by its name in the job.
type PointMaker<'m, 'a> = &'m mut dyn FnMut(&mut Plan<'a>, &str) -> Option<usize>;

/// Puts every row of loads that hangs on the supply at this place of the job's list.
pub(crate) fn put<'a>(
    plan: &mut Plan<'a>,
    job: &'a Job,
    library: &'a Library,
    feeding: &Feeding<'a>,
    at: usize,
    point: PointMaker<'_, 'a>,
) {
    for load in job.supplies.iter().flat_map(|supply| &supply.loads) {
        if let Some(place) = point(plan, &load.at) {
            plan.rows.push(of_load(library, load, place));
        }
    }
    for module in &job.modules {
        if feeding.supply(&module.id) == Some(at) {
            of_module(plan, library, feeding, module);
        }
    }
    for output in &job.outputs {
        let Some(place) = plan.point(&output.id) else { continue };
        let driven = job.circuits.iter().filter(|circuit| names(&output.drives, &circuit.tag));
        for circuit in driven {
            if let Some(network) = &circuit.network {
                of_sounder_circuit(plan, job, library, (circuit, network), place);
            }
        }
    }
    let own = plan.supply.profile.as_ref().and_then(|id| library.profiles.get(id.as_str()));
    if let Some(profile) = own {
        let mut row = of_profile(profile, 0, &plan.supply.id, RowFrom::Own);
        row.name = format!("{}, its own draw", plan.supply.id.value);
        plan.rows.push(row);
    }
}

/// Whether a sentence names a tag as a whole word.
fn names(sentence: &str, tag: &str) -> bool {
    let word = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_');
    sentence.match_indices(tag).any(|(at, _)| {
        let before = sentence[..at].chars().next_back();
        let after = sentence[at + tag.len()..].chars().next();
        !before.is_some_and(word) && !after.is_some_and(word)
    })
}

/// A load of which no profile is known: it draws nothing until somebody types what.
fn without_profile(at: usize, at_name: &str, from: RowFrom) -> Row {
    Row {
        name: String::new(),
        at,
        at_name: at_name.to_owned(),
        count: 1,
        standby: Draw::default(),
        alarm: Draw::default(),
        minimum: None,
        alarm_in: Vec::new(),
        shed: false,
        told: false,
        from,
        profile: None,
    }
}

fn of_load(library: &Library, load: &Load, at: usize) -> Row {
    let profile = load.device.as_ref().and_then(|id| library.profiles.get(id.as_str()));
    let mut row = match profile {
        Some(profile) => of_profile(profile, at, &load.at, RowFrom::Load),
        None => without_profile(at, &load.at, RowFrom::Load),
    };
    if let Some(standby) = load.standby {
        row.standby = typed(standby);
        row.told = true;
        // A standby alone holds in alarm too, as in a profile.
        if profile.is_none() {
            row.alarm = row.standby;
        }
    }
    if let Some(alarm) = load.alarm {
        row.alarm = typed(alarm);
        row.told = true;
    }
    if !load.name.is_empty() {
        row.name.clone_from(&load.name);
    } else if let Some(device) = &load.device {
        row.name.clone_from(&device.value);
    }
    row.minimum = load.minimum.or(row.minimum);
    row.count = load.count;
    row.alarm_in.clone_from(&load.alarm_in);
    row.shed = load.shed;
    row
}

fn of_profile(profile: &Profile, at: usize, at_name: &str, from: RowFrom) -> Row {
    Row {
        name: profile.title.clone(),
        at,
        at_name: at_name.to_owned(),
        count: 1,
        standby: of_library(profile.draws.standby),
        alarm: of_library(profile.draws.alarm),
        minimum: minimum(profile),
        alarm_in: Vec::new(),
        shed: false,
        told: true,
        from,
        profile: Some(profile.id.clone()),
    }
}

/// The least volts that a device needs.
fn minimum(profile: &Profile) -> Option<Volts> {
    match &profile.kind {
        Kind::Detector(detector) => detector.minimum,
        Kind::Sounder(sounder) => sounder.minimum,
        _ => None,
    }
}

fn typed(draw: job::Draw) -> Draw {
    match draw {
        job::Draw::Current(amperes) => Draw { amperes: amperes.0, ..Draw::default() },
        job::Draw::Power(watts) => Draw { watts: watts.0, ..Draw::default() },
        job::Draw::Resistance(ohms) => Draw { siemens: 1.0 / ohms.0, ..Draw::default() },
    }
}

fn of_library(draw: library::Draw) -> Draw {
    match draw {
        library::Draw::Current(amperes) => Draw { amperes: amperes.0, ..Draw::default() },
        library::Draw::Power(watts) => Draw { watts: watts.0, ..Draw::default() },
        library::Draw::Resistance(ohms) => Draw { siemens: 1.0 / ohms.0.max(1e-3), ..Draw::default() },
    }
}

/// A module stands at the point that feeds it, unless a run or an output of its own made it a point.
fn of_module(plan: &mut Plan, library: &Library, feeding: &Feeding, module: &Module) {
    let Some(profile) = module.profile.as_ref().and_then(|id| library.profiles.get(id.as_str())) else {
        return;
    };
    let parent = feeding.parent(&module.id).unwrap_or(&plan.supply.id);
    let place = plan.point(&module.id).or_else(|| plan.point(parent)).unwrap_or(0);
    let at_name =
        if matches!(plan.points[place].way, Way::Run(_)) { plan.points[place].name.as_str() } else { parent };
    let mut row = of_profile(profile, place, at_name, RowFrom::Module);
    row.name = format!("module {}", module.id.value);
    plan.rows.push(row);
}

/// The legs of a sounder circuit as points, its sounders and its end resistor as rows.
fn of_sounder_circuit(
    plan: &mut Plan,
    job: &Job,
    library: &Library,
    (circuit, network): (&job::Circuit, &Network),
    output: usize,
) {
    let tag = circuit.tag.as_str();
    let legs = Legs::of(job, circuit, network);
    let mut points = vec![output];
    for (at, (parent, ohms)) in legs.legs.iter().enumerate() {
        points.push(plan.push(Point {
            name: format!("{tag}, leg {}", at + 1),
            parent: points[*parent],
            way: Way::Leg,
            ohms: *ohms,
            lost: Interval::exact(Volts(0.0)),
            limits: Vec::new(),
            switched: false,
        }));
    }
    for (element, at) in legs.elements {
        of_element(plan, job, library, (tag, &network.elements()[element].part), points[at]);
    }
}

/// A circuit's pair as a tree of legs: point 0 is the terminals, leg `n` ends at point `n + 1`.
#[derive(Clone, Debug)]
pub(crate) struct Legs {
    /// Parent and ohms out and back of every leg, parents first.
    pub(crate) legs: Vec<(usize, Interval<Ohms>)>,
    /// Elements that stand across the pair, with the point where they do.
    pub(crate) elements: Vec<(usize, usize)>,
}

impl Legs {
    /// Follows a network outwards. What stands in line and is no cable, no joint and no resistor counts as joined.
    pub(crate) fn of(job: &Job, circuit: &job::Circuit, network: &Network) -> Self {
        let mut all = Self { legs: Vec::new(), elements: Vec::new() };
        let mut open: Vec<(Node, usize)> = vec![(network.root(), 0)];
        while let Some((node, at)) = open.pop() {
            let Some((piece, rest)) = network.operands(node) else {
                if let Step::Element(element) = network.step(node) {
                    all.elements.push((element, at));
                }
                continue;
            };
            let in_line = network.step(node) == Step::InLine;
            let leg = match network.step(piece) {
                Step::Element(element) if in_line => {
                    leg_ohms(job, circuit, &network.elements()[element].part)
                }
                _ => None,
            };
            match leg {
                Some(ohms) => {
                    all.legs.push((at, ohms));
                    open.push((rest, all.legs.len()));
                }
                None => {
                    open.push((rest, at));
                    open.push((piece, at));
                }
            }
        }
        all
    }
}

fn of_element(plan: &mut Plan, job: &Job, library: &Library, (tag, part): (&str, &Part), at: usize) {
    match part {
        Part::Sounder(name) => {
            let device = device(job, tag, name);
            let profile = device.and_then(|device| device.profile.as_ref());
            let profile = profile.and_then(|id| library.profiles.get(id.as_str()));
            let at_name = format!("{tag}.{name}");
            let mut row = match profile {
                Some(profile) => of_profile(profile, at, &at_name, RowFrom::Sounder),
                None => without_profile(at, &at_name, RowFrom::Sounder),
            };
            // The output gives nothing in this polarity until it sounds.
            row.standby = Draw::default();
            row.name = format!("sounder {name} on {tag}");
            plan.rows.push(row);
        }
        Part::Resistor { nominal, tolerance } => {
            let tolerance = tolerance.unwrap_or(job.assume.resistor_tolerance);
            let least = nominal.0 * (1.0 - tolerance.0);
            plan.rows.push(Row {
                name: format!("end resistor of {tag}"),
                at,
                at_name: tag.to_owned(),
                count: 1,
                standby: Draw::default(),
                alarm: Draw { siemens: 1.0 / least.max(1.0), ..Draw::default() },
                minimum: None,
                alarm_in: Vec::new(),
                shed: false,
                told: true,
                from: RowFrom::EndResistor,
                profile: None,
            });
        }
        _ => {}
    }
}

/// A device by the name that a circuit's network gives it.
pub(crate) fn device<'j>(job: &'j Job, tag: &str, name: &str) -> Option<&'j Device> {
    let is = |device: &&Device| match device.id.split_once('/') {
        Some((home, device)) => home == tag && device == name,
        None => device.id.as_str() == name,
    };
    job.devices
        .iter()
        .find(|device| device.id.contains('/') && is(device))
        .or_else(|| job.devices.iter().find(is))
}

/// The ohms of a leg of a circuit's own cable, out and back; none for what is no cable and no joint.
pub(crate) fn leg_ohms(job: &Job, circuit: &job::Circuit, part: &Part) -> Option<Interval<Ohms>> {
    let (conductor, legs) = match part {
        Part::Wire(conductor) => (conductor, 2.0),
        Part::Core(conductor) => (conductor, 1.0),
        Part::Joint(_) => return Some(Interval::new(Ohms(0.0), job.assume.joint_max)),
        Part::Resistor { nominal, tolerance } => {
            let tolerance = tolerance.unwrap_or(job.assume.resistor_tolerance);
            return Some(Interval::with_tolerance(*nominal, tolerance));
        }
        _ => return None,
    };
    let gauge = conductor.inherited.or(circuit.gauge).unwrap_or(job.assume.cable);
    Some(match (conductor.run.length(), conductor.run) {
        (Some(length), _) => cable_ohms(job, length, gauge, legs),
        (None, network::Run::Measured(ohms)) => ohms,
        (None, network::Run::Length { .. }) => Interval::exact(Ohms(0.0)),
    })
}

/// The ohms of a run out and back, cold and shortest to hot and longest.
pub(crate) fn run_ohms(job: &Job, run: &Run) -> Interval<Ohms> {
    let cores = f64::from(run.cores.max(1));
    let one = match run.conductor {
        RunConductor::Cable { length, gauge } => cable_ohms(job, length, gauge, 2.0),
        RunConductor::Measured(ohms) => ohms,
    };
    let joints = f64::from(run.joints) * job.assume.joint_max.0;
    Interval::new(Ohms(one.lo().0 / cores), Ohms(one.hi().0 / cores + joints))
}

/// `legs` conductors of a length in line: 2 for a pair.
pub(crate) fn cable_ohms(job: &Job, length: Interval<Metres>, gauge: Gauge, legs: f64) -> Interval<Ohms> {
    let Ratio(spread) = job.assume.length_tolerance;
    let [cold, hot]: [Celsius; 2] = [job.site.cable_temperature.lo(), job.site.cable_temperature.hi()];
    Interval::new(
        Ohms(legs * length.lo().0 * (1.0 - spread) * gauge.per_metre(cold).lo().0),
        Ohms(legs * length.hi().0 * (1.0 + spread) * gauge.per_metre(hot).hi().0),
    )
}
