//! The kit, the working time and the quotation of a job, from what was assessed.
//!
//! [`kit()`] is the door; `circuits`, `equipment`, `runs`, `devices` and `access` say what is needed and why, `collector`
//! keeps it with what makes each amount a range, `options` and `quotation` say what an office offers.

mod access;
mod answer;
mod causes;
mod circuits;
mod collector;
mod date;
mod devices;
mod dummy;
mod equipment;
mod items;
mod options;
mod quotation;
mod remedies;
mod runs;
mod supplied;

use ::kit::{Bill, Kit, Line, Rates, Unit, Work, total};
use job::{Duty, Finding, InputRef, Job, Severity, Units};
use quantity::{Money, Ratio};

pub use answer::{answer, quoted};
pub use causes::{Cause, Spread};
pub use date::year_of;
pub(crate) use dummy::LINK_BELOW;
pub use dummy::{Dummy, dummy};
pub use options::{CircuitOptions, Offer, Way};
pub use quotation::Quotation;
pub(crate) use remedies::names;

use crate::{Assessment, CircuitResult};
use collector::Collector;

/// Everything that goes along, all work, and what it costs.
#[derive(Clone, Debug)]
pub struct Outfit {
    /// The list, line by line with its reasons.
    pub kit: Kit,
    /// Every piece of work.
    pub work: Vec<Work>,
    /// What the office charges.
    pub rates: Rates,
    /// The currency's word; empty where nobody has said.
    pub currency: String,
    /// How lengths are shown.
    pub units: Units,
    /// What it comes to.
    pub bill: Bill,
    /// What makes it a range, the widest first.
    pub spread: Vec<Spread>,
    /// What forces a second visit unless it is settled before.
    pub second_visit: Vec<String>,
    /// What can be done about each circuit that does not do as it is.
    pub options: Vec<CircuitOptions>,
    /// The words of the quotation.
    pub quotation: Quotation,
    /// Why the price is not that of the whole job: said before everything else. None where it is.
    pub caveat: Option<String>,
    /// What a person must settle first.
    pub findings: Vec<Finding>,
}

impl Outfit {
    /// What is carried of a cable in feet, up to the whole foot, where the job is shown in feet; none elsewhere.
    #[must_use]
    pub fn feet(&self, line: &Line) -> Option<String> {
        /// The international foot, in tenths of a millimetre.
        const FOOT: u64 = 3_048;
        if line.item.unit != Unit::Metre || self.units != Units::Us {
            return None;
        }
        let metres = u64::from(line.needed.hi()) + u64::from(line.spares);
        Some(format!("{metres} m with spare, {} ft", (metres * 10_000).div_ceil(FOOT)))
    }
}

/// What goes along on the visit to a job, how long it takes, and what it costs.
///
/// * `year`: of the visit, for the age of detectors; none where nobody says when it is.
///
/// Pure: the same assessment and year give the same answer.
#[must_use]
pub fn kit(assessment: &Assessment, year: Option<i32>) -> Outfit {
    kit_from(assessment, assessment.job, split_further(assessment), year)
}

/// Steps of the search for inputs: what some hundred circuits take, and the same answer everywhere.
const NODES: u64 = 200_000;

/// The same for circuits that have no input yet, each on the input that the allocation gives it; where it gives none, or
/// where nothing waits for one, as the job stands.
#[must_use]
pub fn planned_kit(assessment: &Assessment, year: Option<i32>) -> Outfit {
    let waits = |result: &CircuitResult| {
        let can_raise = |network: &network::Network| {
            let smoke = |element: &network::Element| matches!(element.part, network::Part::Smoke(_));
            !network.contacts().is_empty() || network.elements().iter().any(smoke)
        };
        let circuit = result.circuit;
        circuit.input.is_none()
            && circuit.duty != Some(Duty::Sounder)
            && circuit.network.as_ref().is_some_and(can_raise)
    };
    if !assessment.circuits.iter().any(waits) {
        return kit(assessment, year);
    }
    let limits = crate::Limits { nodes: NODES, stop: &|| false };
    let plan = crate::allocate(assessment.job, assessment.library, &limits);
    if !plan.found() {
        return unplanned(kit(assessment, year), &plan);
    }
    let then = crate::planned(&plan);
    let planned = crate::assess(&then, assessment.library, &|_, _| ());
    let further = plan.inputs.iter().flat_map(|input| input.inputs.iter().skip(1).cloned()).collect();
    let mut outfit = kit_from(&planned, assessment.job, further, year);
    outfit.findings.push(Finding {
        severity: Severity::Note,
        place: "job".to_owned(),
        code: "kit-as-allocated",
        text: "Circuits that have no input in the job are counted on the one that the allocation gives them, with the \
               modules and enclosures that it buys."
            .to_owned(),
        remedy: "Look at the allocation, and put it into the job.".to_owned(),
    });
    outfit
}

/// A kit whose circuits cannot be allocated: that is said before everything else, wherever the price is.
fn unplanned(mut outfit: Outfit, plan: &crate::AllocationPlan) -> Outfit {
    let why = match &plan.conflict {
        Some(conflict) => format!("The allocation cannot be done: {}", conflict.words),
        None => format!("No allocation was found within {} steps", plan.nodes),
    };
    let text = format!("{why}; this price is of what is named in the job only.");
    outfit.quotation.cautions.insert(0, text.clone());
    outfit.findings.insert(
        0,
        Finding {
            severity: Severity::Stop,
            place: "job".to_owned(),
            code: "kit-not-allocated",
            text: text.clone(),
            remedy: "Settle what `allocate` says first; promise no price before.".to_owned(),
        },
    );
    outfit.caveat = Some(text);
    outfit
}

/// Further inputs of circuits that are split: those that the job names, and where it names none, on the module of the first.
fn split_further(assessment: &Assessment) -> Vec<InputRef> {
    let split = |(circuit, remedy): (&job::Circuit, Option<&circuit::Remedy>)| {
        let first = circuit.input.as_ref()?.value.clone();
        let further =
            remedy.filter(|remedy| remedy.kind == circuit::RemedyKind::Split)?.at_panel.saturating_sub(1);
        let named = circuit.also.iter().map(|also| also.value.clone());
        Some(named.chain(std::iter::repeat(first)).take(further).collect::<Vec<_>>())
    };
    let circuits = assessment.job.circuits.iter();
    circuits.zip(crate::answer::chosen_remedies(assessment)).filter_map(split).flatten().collect()
}

/// `as_found`: the job before it was planned, which says where cables end; `further`: inputs of split circuits beside
/// their first.
fn kit_from(assessment: &Assessment, as_found: &Job, further: Vec<InputRef>, year: Option<i32>) -> Outfit {
    let mut collector = Collector::new(assessment, as_found, year);
    collector.further = further;
    equipment::collect(&mut collector);
    circuits::collect(&mut collector);
    runs::collect(&mut collector);
    devices::collect(&mut collector);
    access::collect(&mut collector);
    let rates = rates(assessment);
    let options = options::options(&mut collector, &rates);
    collector.close();
    let Collector { needs, work, spread, mut findings, second, .. } = collector;
    let needs = needs.into_iter().map(|(_, need)| need).collect();
    let kit = Kit::of(needs, &|item| items::terms(assessment, item), &items::stock(assessment), &work);
    let bill = Bill::of(kit.price(), total(&work), &rates, !second.is_empty());
    let mut spread = spread;
    causes::finish(&mut spread, &rates, &bill);
    quotation::findings(assessment, &kit, &mut findings);
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    Outfit {
        quotation: quotation::quotation(assessment, &kit, &options, &findings, year),
        currency: assessment.job.rates.as_ref().map(|rates| rates.currency.clone()).unwrap_or_default(),
        units: assessment.job.site.units,
        kit,
        work,
        rates,
        bill,
        spread,
        second_visit: second,
        caveat: None,
        options,
        findings,
    }
}

/// A working day where nobody has said how long one is.
const DAY_S: u64 = 8 * 3_600;

fn rates(assessment: &Assessment) -> Rates {
    let given = assessment.job.rates.clone().unwrap_or_default();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a quarter of an hour to a day"
    )]
    let day_s = given.day.map_or(DAY_S, |day| (day.0 * 3_600.0).round() as u64);
    Rates {
        hour: given.hour,
        crew: given.crew.unwrap_or(1),
        day_s,
        travel: given.travel.unwrap_or(Money::ZERO),
        second_visit: given.second_visit.unwrap_or(Money::ZERO),
        margin: given.margin.unwrap_or(Ratio(0.0)),
    }
}
