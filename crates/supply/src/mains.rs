//! The mains side: transformer or adapter, its cable, its lead, its outlet, and the supply's own terminals.

use job::{Job, RunConductor, Supply};
use library::{Current, Kind, Library, SupplyProfile, TransformerProfile};
use quantity::{Interval, Ohms};

use crate::rows::cable_ohms;

/// Alternating current into a rectifier with a capacitor, for each ampere of direct current behind it: 1 / 0.62 of
/// transformer makers' guides (from memory).
const RECTIFIER: f64 = 1.61;

/// What a transformer or adapter must give and what it gives.
#[derive(Clone, PartialEq, Debug)]
pub struct Mains {
    /// The transformer's profile id.
    pub profile: String,
    /// AC or DC out of it.
    pub gives: Current,
    /// What the supply wants, where its profile says so.
    pub wants: Option<Current>,
    /// Its volts.
    pub volts: Option<f64>,
    /// Its rating, VA (W for DC).
    pub rated_va: Option<f64>,
    /// What the supply's manual asks for.
    pub asked_va: Option<f64>,
    /// What load and charger together take, VA (W for DC).
    pub needed_va: f64,
    /// The current in its cable, in ampere.
    pub amperes: f64,
    /// The cable from it, out and back, where the job gives it.
    pub cable: Option<Interval<Ohms>>,
    /// Volts at the supply's input at full load, with the cable hot; none without volts or cable, and where nothing
    /// arrives at all.
    pub arrives: Option<f64>,
    /// Whether the cable alone would lose all of the transformer's volts, so that this load cannot be delivered.
    pub cannot_deliver: bool,
    /// What the supply takes.
    pub input_volts: Option<(f64, f64)>,
    /// Which lead is marked, and how; empty when not said.
    pub marked: String,
    /// What the job says of the outlet.
    pub outlet: String,
    /// The working, line by line.
    pub working: Vec<String>,
}

/// One of the supply's own terminals, for the terminal drawing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Terminal {
    /// Its name: `AC`, `battery +`, `aux -`.
    pub name: String,
    /// What lands on it.
    pub lands: String,
    /// What to mind; empty when nothing.
    pub mind: String,
}

/// What the mains side of a supply must give when `load_a` flow at the direct volts `dc`, and its charger too.
#[must_use]
pub fn mains(
    job: &Job,
    library: &Library,
    supply: &Supply,
    profile: &SupplyProfile,
    load_a: f64,
) -> Option<Mains> {
    let id = supply.transformer.as_ref()?;
    let Kind::Transformer(transformer) = &library.profiles.get(id.as_str())?.kind else { return None };
    let charge = profile.charge.map_or(0.0, |charge| charge.0);
    let total = load_a + charge;
    let amperes = match transformer.gives {
        Current::Alternating => RECTIFIER * total,
        Current::Direct => total,
    };
    let volts = transformer.volts.map(|volts| volts.0);
    let cable = match supply.transformer_cable {
        Some(RunConductor::Cable { length, gauge }) => Some(cable_ohms(job, length, gauge, 2.0)),
        Some(RunConductor::Measured(ohms)) => Some(ohms),
        None => None,
    };
    let needed_va = volts.unwrap_or(profile.volts.hi().0) * amperes;
    let unit = if transformer.gives == Current::Direct { "W" } else { "VA" };
    let mut working = vec![format!("load {load_a:.3} A + charger {charge:.3} A = {total:.3} A direct")];
    if transformer.gives == Current::Alternating {
        working.push(format!(
            "a rectifier with its capacitor takes {RECTIFIER} times that as alternating current (from memory): {amperes:.3} A"
        ));
    }
    working.push(format!(
        "{:.1} V x {amperes:.3} A = {needed_va:.1} {unit}",
        volts.unwrap_or(profile.volts.hi().0)
    ));
    let left = arrives(transformer, cable, amperes);
    let arrives = left.filter(|volts| *volts > 0.0);
    let cannot_deliver = left.is_some() && arrives.is_none();
    if let (Some(arrives), Some(cable)) = (arrives, cable) {
        working.push(format!(
            "less {amperes:.3} A x {:.3} ohm of cable: {arrives:.2} V at the supply",
            cable.hi().0
        ));
    } else if let (true, Some(cable)) = (cannot_deliver, cable) {
        working.push(format!(
            "{amperes:.3} A through {:.3} ohm of cable would lose all of that: it cannot deliver it",
            cable.hi().0
        ));
    }
    Some(Mains {
        profile: id.value.clone(),
        gives: transformer.gives,
        wants: profile.input.map(|input| input.current),
        volts,
        rated_va: transformer.volt_amperes,
        asked_va: profile.input.and_then(|input| input.volt_amperes),
        needed_va,
        amperes,
        cable,
        arrives,
        cannot_deliver,
        input_volts: profile.input.and_then(|input| input.volts).map(|volts| (volts.lo().0, volts.hi().0)),
        marked: transformer.marked.clone(),
        outlet: supply.outlet.clone(),
        working,
    })
}

fn arrives(transformer: &TransformerProfile, cable: Option<Interval<Ohms>>, amperes: f64) -> Option<f64> {
    Some(transformer.volts?.0 - amperes * cable?.hi().0)
}

/// The supply's terminals: what comes in, the battery, its outputs.
#[must_use]
pub fn terminals(supply: &Supply, profile: Option<&SupplyProfile>, mains: Option<&Mains>) -> Vec<Terminal> {
    let mut all = Vec::new();
    let mut put = |name: &str, lands: &str, mind: &str| {
        all.push(Terminal { name: name.to_owned(), lands: lands.to_owned(), mind: mind.to_owned() });
    };
    let wants = profile.and_then(|profile| profile.input).map(|input| input.current);
    match (wants.or(mains.map(|mains| mains.gives)), mains) {
        (Some(Current::Alternating), mains) => {
            let lands = mains.map_or("the transformer", |mains| mains.profile.as_str());
            let mind = "land this end before the plug goes in: its inner fuse does not come back when the leads touch";
            put("AC", lands, mind);
            put("AC", lands, "either way round");
        }
        (Some(Current::Direct), mains) => {
            let lands = mains.map_or("the adapter", |mains| mains.profile.as_str());
            let marked = mains.map_or("", |mains| mains.marked.as_str());
            put("DC +", lands, if marked.is_empty() { "polarity by meter" } else { marked });
            put("DC -", lands, "");
        }
        (None, _) => {
            put(
                "L, N, PE",
                "mains",
                "a licensed electrician's, where the law reserves it; isolate and prove dead",
            );
        }
    }
    let battery = supply.battery.as_ref().map_or("battery", |battery| battery.as_str());
    put("battery +", battery, "last on, first off, unless the manual says otherwise; polarity by meter");
    put("battery -", battery, "");
    for output in profile.map_or(&[][..], |profile| &profile.outputs) {
        put(&format!("{} +", output.id), "", "");
        put(&format!("{} -", output.id), "", "");
    }
    all
}
