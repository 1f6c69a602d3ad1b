//! The words of the quotation: what is in it, what is not, what it stands on.

use ::kit::{Group, Kit};
use job::{Answer, Duty, Finding, Severity};

use super::equipment::COVER;
use super::options::CircuitOptions;
use super::supplied;
use crate::Assessment;
use crate::answer::{Need, needs};

/// The words of a quotation; its numbers stand in the bill.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Quotation {
    /// Whom it is for; empty when not given.
    pub customer: String,
    /// Who makes it; empty when not given.
    pub from: String,
    /// What is done.
    pub scope: Vec<String>,
    /// What is not in it.
    pub exclusions: Vec<String>,
    /// What else the office offers.
    pub offered: Vec<String>,
    /// What it stands on.
    pub assumptions: Vec<String>,
    /// What must be said with it.
    pub cautions: Vec<String>,
    /// What is to be said of tax; empty when nobody has said.
    pub tax: String,
    /// How many days it holds.
    pub valid_days: u32,
}

/// Days that a quotation holds where nobody has said.
const VALID_DAYS: u32 = 30;
/// Embedded profiles say this of their numbers.
const GENERIC: &str = "generic class";

/// What a person must settle before a price is given.
pub(super) fn findings(assessment: &Assessment, kit: &Kit, findings: &mut Vec<Finding>) {
    let mut push = |severity, code, text: String, remedy: &str| {
        findings.push(Finding { severity, place: "job".to_owned(), code, text, remedy: remedy.to_owned() });
    };
    let rates = assessment.job.rates.as_ref();
    if rates.and_then(|rates| rates.hour).is_none() {
        push(
            Severity::Check,
            "kit-no-rates",
            "Nobody has said what an hour costs, so working time has no price.".to_owned(),
            "Write hour under [rates], with the currency's word.",
        );
    }
    let without: Vec<String> = kit.without_price().map(named).collect();
    if !without.is_empty() {
        push(
            Severity::Check,
            "kit-no-price",
            format!("No price is given of: {}. The sum is without them.", without.join(", ")),
            "Write price into their profiles; name the profile of a device.",
        );
    }
    if is_typical(assessment, kit) {
        push(
            Severity::Note,
            "kit-typical-prices",
            "Prices and times that are built in are invented, round and from memory.".to_owned(),
            "Type in your own: price in equipment/*.toml, times and small parts in labour/*.toml, of a folder that \
             --library names.",
        );
    }
}

fn named(line: &::kit::Line) -> String {
    [line.item.what.as_str(), line.item.value.as_str()]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Whether a line's price is one that is built in.
fn is_typical(assessment: &Assessment, kit: &Kit) -> bool {
    let library = assessment.library;
    library.working_time() == library::Labour::embedded()
        || kit.lines.iter().any(|line| {
            let profile = library.profiles.get(&line.item.part);
            line.price.is_some() && profile.is_some_and(|profile| profile.basis.starts_with(GENERIC))
        })
}

/// Scope, exclusions, assumptions and cautions, the office's own words behind ours.
pub(super) fn quotation(
    assessment: &Assessment,
    kit: &Kit,
    options: &[CircuitOptions],
    findings: &[Finding],
    year: Option<i32>,
) -> Quotation {
    let words = assessment.job.quotation.clone().unwrap_or_default();
    let rates = assessment.job.rates.clone().unwrap_or_default();
    let mut scope = scope(assessment, kit);
    scope.extend(words.scope);
    let mut exclusions = exclusions(assessment, kit, options, findings);
    exclusions.extend(words.exclusions);
    Quotation {
        customer: words.customer,
        from: words.from,
        scope,
        exclusions,
        offered: words.options,
        assumptions: assumptions(assessment, kit, year),
        cautions: cautions(assessment, findings),
        tax: rates.tax,
        valid_days: rates.valid_days.unwrap_or(VALID_DAYS),
    }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

fn scope(assessment: &Assessment, kit: &Kit) -> Vec<String> {
    let job = assessment.job;
    let spare = needs(assessment).into_iter().filter(|need| *need == Need::Spare).count();
    let taken = job.circuits.len() - spare;
    let mut scope = Vec::new();
    if taken > 0 {
        scope.push(format!(
            "{} measured, moved from the old control equipment to the new, programmed and proven device by device; \
             cables and devices stay.",
            counted(taken, "existing circuit", "existing circuits")
        ));
    }
    scope.extend(of_lines(kit));
    let remedies = needs(assessment)
        .into_iter()
        .zip(crate::answer::chosen_remedies(assessment))
        .filter(|(_, remedy)| remedy.is_some())
        .count();
    if remedies > 0 {
        scope.push(format!(
            "{} changed so that the new inputs can supervise {}.",
            counted(remedies, "circuit", "circuits"),
            if remedies == 1 { "it" } else { "them" }
        ));
    }
    if job.station.is_some() {
        scope.push("Every signal read back with the monitoring station.".to_owned());
    }
    if taken > 0 {
        scope.push(
            "Labels, charts inside the doors, the record of every reading, and a lesson for the users."
                .to_owned(),
        );
    }
    scope
}

/// What is new, from the lines that make up the price: equipment, then cable, then devices.
fn of_lines(kit: &Kit) -> Vec<String> {
    let of = |group: Group| kit.lines.iter().filter(move |line| line.item.group == group);
    let mut scope = Vec::new();
    let (covers, devices): (Vec<_>, Vec<_>) = of(Group::Devices).partition(|line| line.item.part == COVER);
    let equipment: Vec<String> = of(Group::Equipment).chain(covers).map(pieces).collect();
    if !equipment.is_empty() {
        scope.push(format!("New, mounted and connected: {}.", equipment.join("; ")));
    }
    for line in of(Group::Cable) {
        let why = line.reasons().into_iter().map(|(why, places)| format!("{why}: {}", places.join(", ")));
        let why = why.collect::<Vec<_>>().join("; ");
        scope.push(format!("New cable: {} m of {} ({why}).", line.needed.written(), named(line)));
    }
    let devices: Vec<String> = devices.into_iter().map(pieces).collect();
    if !devices.is_empty() {
        scope.push(format!("Devices replaced: {}.", devices.join("; ")));
    }
    scope
}

/// `2 x Keypad`; with a lower end of none it is only as needed.
fn pieces(line: &::kit::Line) -> String {
    let maybe = if line.needed.lo() == 0 { ", where needed" } else { "" };
    format!("{} x {}{maybe}", line.needed.written(), named(line))
}

fn exclusions(
    assessment: &Assessment,
    kit: &Kit,
    options: &[CircuitOptions],
    findings: &[Finding],
) -> Vec<String> {
    let job = assessment.job;
    let mut exclusions = Vec::new();
    let spare: Vec<&str> = job
        .circuits
        .iter()
        .zip(needs(assessment))
        .filter(|(_, need)| *need == Need::Spare)
        .map(|(circuit, _)| circuit.tag.as_str())
        .collect();
    if !spare.is_empty() {
        exclusions.push(format!("Spare pairs, which are tagged and left: {}.", spare.join(", ")));
    }
    let open: Vec<&str> = options
        .iter()
        .filter(|one| one.offers.iter().all(|offer| !offer.in_price))
        .map(|one| one.tag.as_str())
        .collect();
    if !open.is_empty() {
        exclusions.push(format!("The cure of {}, until an option is chosen.", open.join(", ")));
    }
    let without: Vec<String> = kit.without_price().map(named).collect();
    if !without.is_empty() {
        exclusions.push(format!("Parts of which no price is given: {}.", without.join(", ")));
    }
    let unnamed: Vec<&str> = findings
        .iter()
        .filter(|finding| finding.code == "kit-without-profile")
        .map(|finding| finding.place.as_str())
        .collect();
    if !unnamed.is_empty() {
        exclusions.push(format!("Equipment of which nobody has said what it is: {}.", unnamed.join(", ")));
    }
    let mut open: Vec<&str> = findings
        .iter()
        .filter(|finding| finding.code == supplied::OPEN)
        .map(|finding| finding.place.as_str())
        .collect();
    open.dedup();
    if !open.is_empty() {
        let supplies = if open.len() == 1 { "supply" } else { "supplies" };
        exclusions.push(format!(
            "What {supplies} {} still want{}: it is open, as said below.",
            open.join(", "),
            if open.len() == 1 { "s" } else { "" }
        ));
    }
    exclusions.push("Work on the mains that the law keeps for an electrician.".to_owned());
    exclusions.push("Faults of the old cables and devices that no reading of this survey shows, beyond what is allowed for above.".to_owned());
    if job.circuits.iter().any(|circuit| circuit.duty.is_some_and(Duty::is_fire)) {
        exclusions.push(
            "Permits, plan review, fire watch and what else the fire authority may ask for.".to_owned(),
        );
    }
    exclusions
}

fn assumptions(assessment: &Assessment, kit: &Kit, year: Option<i32>) -> Vec<String> {
    let labour = assessment.library.working_time();
    let mut assumptions = vec![
        "A price is from what to what: what can add to the least is listed, with what narrows it.".to_owned(),
        format!("Working times: {}.", labour.basis),
        "Spares are carried and charged only where they are used.".to_owned(),
        "Time to reach a device is that of the survey, counted once a visit.".to_owned(),
    ];
    if is_typical(assessment, kit) {
        assumptions.push("Prices and times that are built in are invented, round and from memory; the office's own replace them.".to_owned());
    }
    if let Some(year) = year {
        let allowance = labour.allowance;
        assumptions.push(format!(
            "Fire detectors are taken as due {} years after they were made and as perhaps due after {}; the year is {year}. \
             From memory: the maker and the local code decide.",
            allowance.due_after, allowance.old_after
        ));
    }
    assumptions
}

fn cautions(assessment: &Assessment, findings: &[Finding]) -> Vec<String> {
    let job = assessment.job;
    let of_supply = |finding: &&Finding| [supplied::BATTERY, supplied::OPEN].contains(&finding.code);
    let mut cautions: Vec<String> = findings
        .iter()
        .filter(of_supply)
        .map(|finding| match finding.code {
            supplied::OPEN => {
                format!("Open at supply {}, and not in the price. {}", finding.place, finding.text)
            }
            _ => finding.text.clone(),
        })
        .collect();
    if job.circuits.iter().any(|circuit| circuit.duty.is_some_and(Duty::is_fire)) {
        if job.fire.decision.is_empty() && job.fire.required != Answer::No {
            cautions.push(
                "Nobody has recorded whether the fire circuits may be taken over: none of them is lifted before the \
                 authority having jurisdiction has been asked."
                    .to_owned(),
            );
        }
        cautions.push(
            "Replacing a control unit takes fire protection out of service: owner, station and fire authority are told \
             before, and how long is theirs to allow. All devices are tested after it."
                .to_owned(),
        );
    }
    if !job.supplies.is_empty() {
        cautions.push("Batteries short with a flame: insulated tools, no rings, connected last.".to_owned());
    }
    cautions.push(
        "Local code, the authority having jurisdiction and licensed people decide; Loopwright computes and records."
            .to_owned(),
    );
    cautions
}
