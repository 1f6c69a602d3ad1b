//! What a supply gets where what the job names does not do: changed runs, a larger battery. What no part of the list
//! settles stays an open point, in list and quotation.

use job::{Feeding, Finding, Job, RunConductor, Severity};
use library::{Kind, Library, Profile};
use supply::{Study, Way};

use super::runs::changes;

/// What a larger battery settles.
const LARGER: [&str; 3] = ["battery-too-small", "battery-ends-early", "charger-too-strong"];
/// The code of a battery that is priced in place of the one that the job names.
pub(super) const BATTERY: &str = "kit-battery-larger";
/// The code of what is wrong with a supply and no part of the list settles.
pub(super) const OPEN: &str = "kit-supply-open";

/// A supply with the parts of the list.
#[derive(Default)]
pub(super) struct Supplied<'a> {
    /// The smallest battery of the library that does, in place of the one that the job names; none where that one does,
    /// and where none does.
    pub(super) battery: Option<&'a Profile>,
    /// Whether the one that the job names is too small, and none of the library does.
    pub(super) too_small: bool,
    /// What is changed without the job saying so, and what stays open.
    pub(super) findings: Vec<Finding>,
}

/// What the supply at this place gets.
pub(super) fn supplied<'a>(job: &Job, library: &'a Library, study: &Study, at: usize) -> Supplied<'a> {
    let before = heavy(job, library, study);
    if before.is_empty() {
        return Supplied::default();
    }
    let mut changed = job.clone();
    change_runs(&mut changed, study, at);
    let mut open = studied(&changed, library, at);
    let mut supplied = Supplied::default();
    let mut against = String::new();
    match larger(&mut changed, library, study, at, &open) {
        Larger::NotAsked => {}
        Larger::Does(profile) => {
            supplied.findings.push(told(job, study, at, &open, profile));
            supplied.battery = Some(profile);
            open = studied(&changed, library, at);
        }
        Larger::None(why) => {
            against = why;
            supplied.too_small = true;
        }
    }
    supplied.findings.extend(open.into_iter().map(|finding| {
        // Told once, with the first that asks for a larger one.
        let why = if LARGER.contains(&finding.code) { std::mem::take(&mut against) } else { String::new() };
        let text = format!("No part of this list settles it{why}: {}", finding.text);
        Finding { text, code: OPEN, ..finding }
    }));
    supplied
}

/// Whether a larger battery does.
enum Larger<'a> {
    /// Nothing asks for one.
    NotAsked,
    /// The smallest that does.
    Does(&'a Profile),
    /// None does; why, as the rest of a sentence.
    None(String),
}

/// What has to be put right before it may work.
fn heavy(job: &Job, library: &Library, study: &Study) -> Vec<Finding> {
    let mut findings = supply::findings(job, library, study);
    findings.retain(|finding| finding.severity >= Severity::Fix);
    findings
}

fn studied(job: &Job, library: &Library, at: usize) -> Vec<Finding> {
    let feeding = Feeding::new(job);
    heavy(job, library, &supply::study(job, library, &feeding, at))
}

/// The runs as the list has them. One that was measured has no length, so nothing is bought for it and it stays.
fn change_runs(job: &mut Job, study: &Study, at: usize) {
    for (point, gauge) in changes(study) {
        let Way::Run(of) = &study.plan.points[point].way else { continue };
        let same = |run: &&mut job::Run| run.from.value == of.from.value && run.to.value == of.to.value;
        let Some(run) = job.supplies[at].runs.iter_mut().find(same) else { continue };
        match (&mut run.conductor, gauge) {
            (RunConductor::Cable { gauge: own, .. }, Some(gauge)) => *own = gauge,
            (RunConductor::Cable { .. }, None) => run.cores = run.cores.saturating_mul(2),
            (RunConductor::Measured(_), _) => {}
        }
    }
}

/// Puts the smallest battery of the library that does into the job: of the same volts, larger, with nothing wrong that
/// was not wrong before. Where none does, the job stays as it was.
fn larger<'a>(job: &mut Job, library: &'a Library, study: &Study, at: usize, open: &[Finding]) -> Larger<'a> {
    let is_larger = |finding: &&Finding| LARGER.contains(&finding.code);
    if !open.iter().any(|finding| is_larger(&finding)) {
        return Larger::NotAsked;
    }
    let block = |profile: &'a Profile| match &profile.kind {
        Kind::Battery(battery) => Some((profile, battery.volts.0, battery.capacity.0)),
        _ => None,
    };
    let own = job.supplies[at].battery.clone();
    let named = own.as_ref().and_then(|id| library.profiles.get(id.as_str())).and_then(block);
    let Some((_, volts, capacity)) = named else { return Larger::NotAsked };
    let strings = f64::from(study.plan.supply.strings);
    let mut sizes: Vec<_> = library
        .profiles
        .values()
        .filter_map(block)
        .filter(|(_, of, size)| (of - volts).abs() < 1e-9 && *size > capacity)
        // By rule it is too small already: no need to study it.
        .filter(|(_, _, size)| study.required_ah().is_none_or(|asked| size * strings >= asked))
        .collect();
    sizes.sort_by(|one, other| one.2.total_cmp(&other.2).then(one.0.id.cmp(&other.0.id)));
    let mut against = Vec::new();
    for (profile, _, _) in sizes {
        if let Some(battery) = &mut job.supplies[at].battery {
            battery.value.clone_from(&profile.id);
        }
        let then = studied(job, library, at);
        let known = |finding: &Finding| open.iter().any(|before| before.code == finding.code);
        if then.iter().all(|finding| known(finding) && !is_larger(&finding)) {
            return Larger::Does(profile);
        }
        if let Some(worse) = then.iter().find(|finding| !known(finding) || is_larger(finding)) {
            against.push(format!("with {}: {}", profile.id, worse.text.trim_end_matches('.')));
        }
    }
    job.supplies[at].battery = own;
    Larger::None(match against.is_empty() {
        true => ", and no battery of the library is large enough".to_owned(),
        false => format!(", and no battery of the library does ({})", against.join("; ")),
    })
}

fn told(job: &Job, study: &Study, at: usize, open: &[Finding], profile: &Profile) -> Finding {
    let supply = &job.supplies[at];
    let id = supply.id.as_str();
    let named = supply.battery.as_ref().map_or("", |battery| battery.as_str());
    let of_battery = open.iter().filter(|finding| LARGER.contains(&finding.code));
    let why: Vec<&str> = of_battery.map(|finding| finding.text.as_str()).collect();
    let clause = study.governing.map_or("", |rule| study.rules[rule].clause.as_str());
    let clause = if clause.is_empty() { String::new() } else { format!(" Clause: {clause}.") };
    Finding {
        severity: Severity::Fix,
        place: id.to_owned(),
        code: BATTERY,
        text: format!(
            "The battery that the job names for supply {id}, {named}, does not do. {}{clause} List and price hold {}, the \
             smallest of the library that does.",
            why.join(" "),
            profile.id
        ),
        remedy: format!("Write battery = \"{}\" at supply {id}, or draw less.", profile.id),
    }
}
