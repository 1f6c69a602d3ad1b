//! What rules say of a fire alarm out of service, the gate before the first lift, and findings on the plan.

use cutover::{Presence, Way};
use job::{Answer, Finding, Job, Severity, whole_minutes};
use library::{Asked, Library};
use quantity::Hours;

use super::Cutover;
use super::clock::length;
use super::endless::{Why, is_unknown, output_of, stays_behind, stretches, tags};
use super::tasks::RemedyOf;
use crate::assess::Assessment;

/// One rule of the site on impairments.
#[derive(Clone, PartialEq, Debug)]
pub struct Rule {
    /// Its rule set.
    pub rules: String,
    /// How long the alarm may be out within 24 h; none: at once.
    pub after: Option<Hours>,
    /// What is asked for then.
    pub asks: Vec<Asked>,
    /// The same in a sentence.
    pub words: String,
    /// The clause.
    pub clause: String,
    /// Where that was read, or `from memory`.
    pub source: String,
}

impl Rule {
    /// `4 h`, `at once`.
    #[must_use]
    pub fn after_written(&self) -> String {
        self.after.map_or("at once".to_owned(), |hours| length(whole_minutes(hours)))
    }
}

/// What bounds the plan.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Limit {
    /// Minutes within any 24 h.
    pub minutes: u32,
    /// Where it stands: a clause, or the job's own word with its reason.
    pub clause: String,
    /// Whether the job set it.
    pub by_job: bool,
}

pub(crate) fn rules(job: &Job, library: &Library) -> Vec<Rule> {
    let sets = job.site.rules.iter().filter_map(|id| library.rules.get(id.as_str()));
    sets.flat_map(|set| {
        set.impairments.iter().map(|rule| Rule {
            rules: set.id.clone(),
            after: rule.after,
            asks: rule.asks.clone(),
            words: rule.words.clone(),
            clause: rule.clause.clone(),
            source: rule.source.clone(),
        })
    })
    .collect()
}

/// The job's own limit, else the strictest that is in hours.
pub(crate) fn limit(job: &Job, rules: &[Rule]) -> Option<Limit> {
    if let Some(hours) = job.cutover.impairment {
        let clause = format!("the job ({})", job.cutover.impairment_reason);
        return Some(Limit { minutes: whole_minutes(hours), clause, by_job: true });
    }
    let hours = rules.iter().filter_map(|rule| Some((whole_minutes(rule.after?), rule)));
    let (minutes, rule) = hours.min_by_key(|(minutes, _)| *minutes)?;
    Some(Limit { minutes, clause: rule.clause.clone(), by_job: false })
}

/// `authority_in_writing` as people say it.
pub(crate) const GATE: [(&str, &str); 5] = [
    ("authority_in_writing", "the authority's word in writing"),
    ("station_on_test", "the station has the account on test, read back"),
    ("fire_authority_told", "the fire authority is told"),
    ("asbestos_register_seen", "the asbestos register is seen"),
    ("access", "access: keys, lifts, ladders, escorts"),
];

/// The answers to the gate, in the order of [`GATE`].
pub(crate) fn gate(job: &Job) -> [&str; 5] {
    let standing = &job.standing;
    [
        &standing.authority_in_writing,
        &standing.station_on_test,
        &standing.fire_authority_told,
        &standing.asbestos_register_seen,
        &standing.access,
    ]
}

pub(crate) fn findings(
    assessment: &Assessment,
    cutover: &Cutover,
    remedies: &[Option<RemedyOf>],
) -> Vec<Finding> {
    let mut all: Vec<Finding> =
        assessment.findings.iter().filter(|finding| finding.code == "fire-law").cloned().collect();
    all.extend(from_sheets(assessment, cutover, remedies));
    let mut push = |severity, place: &str, code, text: String, remedy: &str| {
        all.push(Finding { severity, place: place.to_owned(), code, text, remedy: remedy.to_owned() });
    };
    gate_findings(cutover, &mut push);
    if let Err(error) = &cutover.plan {
        push(
            Severity::Stop,
            "job",
            "no-order",
            format!("No order of work was found: {error}."),
            "Widen the hours or the crew in [cutover], or split the work.",
        );
    }
    let left = cutover.left_out.iter().copied().filter(|it| output_of(cutover.job, it).is_none());
    let left = tags(left);
    if !left.is_empty() {
        let dead = match cutover.way {
            Way::SideBySide => "They stay on the old panel.",
            Way::Swap => "In a swap they are dead with all others, and do not come back.",
        };
        let unknown = cutover.left_out.iter().copied();
        let unknown = tags(unknown.filter(|it| is_unknown(it) && stays_behind(cutover.job, it)));
        let unknown = if unknown.is_empty() {
            String::new()
        } else {
            format!(" Nobody knows yet what hangs on {unknown}, so it counts as watched.")
        };
        push(
            Severity::Fix,
            "job",
            "not-allocated",
            format!("No input, or no profile of the module, so not in this order: {left}. {dead}{unknown}"),
            "Give each its input, or take it out of use in writing. A pair on which nothing hangs gets a network such as `wire:10m - open`.",
        );
    }
    left_out_findings(cutover, &mut push);
    for (module, profile) in used(assessment) {
        if profile.steps.is_empty() {
            push(
                Severity::Check,
                &module.id,
                "no-steps",
                format!(
                    "The profile {} has no [steps]: the method statement has the common ones alone.",
                    profile.id
                ),
                "Type the manual's steps into the profile, each with its proof.",
            );
        }
    }
    fire_findings(cutover, &mut push);
    exposure_findings(cutover, &mut push);
    all
}

/// Volts and currents that nobody may meet with a screwdriver in the hand.
const FEEDS: [&str; 3] = ["dangerous-volts", "foreign-volts", "foreign-current"];

/// What a resistor changed, moved or added answers: a remedy is chosen only where the circuit then reads right.
const ANSWERED: [&str; 5] =
    ["alarm-reads-normal", "masking", "rest-not-normal", "cannot-learn", "alarm-not-read"];

/// What the sheets of the circuits stop, and no change in this plan answers: what feeds a pair, moved or not; else of those
/// that move.
fn from_sheets<'f>(
    assessment: &'f Assessment,
    cutover: &'f Cutover,
    remedies: &'f [Option<RemedyOf>],
) -> impl Iterator<Item = Finding> + 'f {
    let unanswered = |finding: &Finding| {
        let at = cutover.circuits.iter().position(|circuit| circuit.tag.value == finding.place);
        let is_changed = |at: usize| remedies.get(at).is_some_and(Option::is_some);
        at.is_some_and(|at| !(is_changed(at) && ANSWERED.contains(&finding.code)))
    };
    let stops = assessment.findings.iter();
    let stops = stops.filter(|finding| finding.severity == Severity::Stop && finding.code != "fire-law");
    stops.filter(move |finding| FEEDS.contains(&finding.code) || unanswered(finding)).cloned()
}

/// Fire and sounder circuits that this order leaves behind, and home runs without an input.
fn left_out_findings(cutover: &Cutover, push: &mut Push) {
    let decide = "Give each its input before the work begins; else the owner and the authority decide in writing what watches \
                  there, from when to when.";
    let fire = tags(cutover.fire_left());
    if !fire.is_empty() {
        let text = match cutover.way {
            Way::Swap => format!(
                "Fire circuits without an input: {fire}. In a swap they are dead from the first lift on and do not come back."
            ),
            Way::SideBySide => format!(
                "Fire circuits without an input: {fire}. They stay on the old panel, which must stay in service, powered and \
                 monitored, as long as they do."
            ),
        };
        push(Severity::Stop, "job", "fire-left-out", text, decide);
    }
    let sounders = || cutover.left_out.iter().copied().filter(|it| it.duty == Some(job::Duty::Sounder));
    let driven = tags(sounders().filter(|it| output_of(cutover.job, it).is_some()));
    if !driven.is_empty() {
        let text = match cutover.way {
            Way::Swap => "From the first lift until their module is awake they sound for nothing",
            Way::SideBySide => "Until all is proven they sound for the old panel alone",
        };
        push(
            Severity::Check,
            "job",
            "sounder-meanwhile",
            format!(
                "Sounder circuits go to their outputs in steps that the plan gives no time of their own: {driven}. {text}."
            ),
            "Decide before the first lift what sounds in the meantime, and write it down.",
        );
    }
    let sounders = tags(sounders().filter(|it| output_of(cutover.job, it).is_none()));
    if !sounders.is_empty() {
        let text = match cutover.way {
            Way::Swap => format!(
                "Sounder circuits without an output: {sounders}. From the first lift on they sound for nothing, and do not come back."
            ),
            Way::SideBySide => format!(
                "Sounder circuits stay on the old panel: {sounders}. They do not sound for what the new equipment detects."
            ),
        };
        push(
            Severity::Fix,
            "job",
            "sounder-left-out",
            text,
            "Decide before the first lift what sounds for fire and intrusion in the meantime, and write it down.",
        );
    }
    for one in &cutover.endless {
        let Why::Core(with) = &one.why else { continue };
        push(
            if one.fire { Severity::Stop } else { Severity::Fix },
            &one.tag,
            "core-goes-over",
            format!(
                "It has no input and stays on the old panel, and it shares a core with {with}: when that goes over, the old panel \
                 no longer reads this circuit."
            ),
            "Give it an input, so that both go over together, or a core of its own, before the first lift.",
        );
    }
    for one in cutover.endless.iter().filter(|one| one.why == Why::InPart) {
        push(
            Severity::Fix,
            &one.tag,
            "split-without-input",
            format!(
                "Its home runs are split, and the job does not name an input for each: {} has none, is not enrolled and not proven. The circuit \
                 comes back in part.",
                one.what
            ),
            "Name the further inputs in the circuit's `also` (allocate --write does), or write each home run as a circuit of its own, before the first lift.",
        );
    }
}

fn used<'a>(assessment: &Assessment<'a>) -> Vec<(&'a job::Module, &'a library::Profile)> {
    let job = assessment.job;
    let of = |module: &'a job::Module| {
        let on = |circuit: &job::Circuit| {
            circuit.input.as_ref().is_some_and(|input| input.module == module.id.value)
        };
        let profile = assessment.library.profiles.get(module.profile.as_ref()?.as_str())?;
        job.circuits.iter().any(on).then_some((module, profile))
    };
    job.modules.iter().filter_map(of).collect()
}

type Push<'p> = dyn FnMut(Severity, &str, &'static str, String, &str) + 'p;

/// What of `[standing]` is still empty: a stop where fire is at stake and the building's alarm is a required one.
fn gate_findings(cutover: &Cutover, push: &mut Push) {
    let job = cutover.job;
    let fire = cutover.fire().chain(cutover.fire_left()).next().is_some();
    for ((key, words), said) in GATE.iter().zip(gate(job)) {
        if !said.is_empty() {
            continue;
        }
        let of_fire = matches!(*key, "authority_in_writing" | "station_on_test" | "fire_authority_told");
        let stops = of_fire && fire && job.fire.required != Answer::No;
        let severity = if stops { Severity::Stop } else { Severity::Check };
        push(
            severity,
            "job",
            "gate-open",
            format!("Before the first circuit is lifted, still open: {words}."),
            &format!("Write it into [standing] `{key}`, or \"not needed\"."),
        );
    }
    if job.cutover.start.is_none() {
        push(
            Severity::Note,
            "job",
            "no-start",
            "No date: times are those of day 1, day 2 and so on, and every day counts as a working day."
                .to_owned(),
            "Write `start = \"2026-12-01 08:00\"` into [cutover].",
        );
    }
}

fn fire_findings(cutover: &Cutover, push: &mut Push) {
    if !cutover.fire_goes_out() {
        return;
    }
    let Ok(plan) = &cutover.plan else { return };
    let rules: Vec<String> =
        cutover.rules.iter().map(|rule| format!("{} ({})", rule.after_written(), rule.clause)).collect();
    if rules.is_empty() {
        push(
            Severity::Check,
            "job",
            "no-impairment-rule",
            "Fire circuits, and no rule set of the site says how long they may be out of service.".to_owned(),
            "Ask the authority having jurisdiction, and write its word into [cutover] `impairment` with the reason.",
        );
    } else {
        push(
            Severity::Check,
            "job",
            "impairment-ask",
            format!(
                "How long a fire alarm may be out within 24 h is said in more than one way: {}.",
                rules.join("; ")
            ),
            "Ask the authority which holds here; the clock starts when the first circuit is lifted.",
        );
    }
    if let Some(limit) = &cutover.limit {
        if plan.outage.worst > limit.minutes {
            push(
                Severity::Stop,
                "job",
                "impairment-over",
                format!(
                    "The fire alarm is out for {} within 24 h, {} more than {} allows.",
                    length(plan.outage.worst),
                    length(plan.outage.worst - limit.minutes),
                    limit.clause
                ),
                "More technicians, side by side, or an approved fire watch or evacuation, agreed in writing before.",
            );
        }
        if limit.by_job {
            push(
                Severity::Note,
                "job",
                "impairment-by-job",
                format!(
                    "The limit of {} is {}; the rules' own stand beside it.",
                    length(limit.minutes),
                    limit.clause
                ),
                "Keep the paper with the job.",
            );
        }
    }
    if plan.fire_in_parts {
        push(
            Severity::Check,
            "job",
            "fire-in-parts",
            "The fire circuits fit into no single stretch of the hours: they go over in several, and each adds up.".to_owned(),
            "Longer hours for one evening, or more technicians.",
        );
    }
    let noisy = |(line, (from, to)): (&cutover::Line, &(u32, u32))| {
        let meets = |window: &cutover::Window| {
            window.presence == Presence::Occupied && window.from < *to && *from < window.to
        };
        line.fire && cutover.problem.windows.iter().any(meets)
    };
    if cutover.problem.lines.iter().zip(&plan.dead).any(noisy) {
        push(
            Severity::Check,
            "job",
            "fire-while-occupied",
            "Fire circuits are out, and tried, while people are in the building.".to_owned(),
            "Tell them before; or give hours in which the building is empty in [cutover] `hours`.",
        );
    }
}

fn exposure_findings(cutover: &Cutover, push: &mut Push) {
    let Ok(plan) = &cutover.plan else { return };
    let stretches = stretches(&cutover.problem);
    let alone =
        |from: u32, to: u32| stretches.iter().any(|(begin, end)| (*begin..*end).contains(&from) && to > *end);
    let dead = cutover.circuits.iter().zip(&plan.dead);
    let mut unattended: Vec<&str> =
        dead.filter(|(_, (from, to))| alone(*from, *to)).map(|(circuit, _)| circuit.tag.as_str()).collect();
    unattended.extend(cutover.endless.iter().map(|one| one.what.as_str()));
    if !unattended.is_empty() {
        let many = if unattended.len() == 1 { "circuit is" } else { "circuits are" };
        push(
            Severity::Fix,
            "job",
            "unattended",
            format!(
                "{} {many} without protection while nobody is at work: {}.",
                unattended.len(),
                unattended.join(", ")
            ),
            "Side by side, more technicians, longer hours; else somebody keeps watch, agreed in writing.",
        );
    }
    let last = plan.dead.iter().map(|(_, to)| *to).max().unwrap_or(0);
    let first = plan.first_lift.unwrap_or(0);
    if !cutover.dummies.is_empty() && alone(first, last) {
        push(
            Severity::Check,
            "job",
            "dummies-unattended",
            format!(
                "{} dummy resistors; the moves take more than one stretch of the hours, so some stay on the old terminals while nobody is at work.",
                cutover.dummies.len()
            ),
            "List them on the unprotected list, show them to the owner, have it signed; take all out at the end.",
        );
    }
    on_test_findings(cutover, push);
}

/// On test nobody is sent: not while people have gone home.
fn on_test_findings(cutover: &Cutover, push: &mut Push) {
    for pair in cutover.on_test.windows(2) {
        let (leave, back) = (pair[0].1, pair[1].0);
        push(
            Severity::Fix,
            "job",
            "account-on-test",
            format!(
                "Nobody is at work from {} to {}, {}: left on test, the account sends nobody in all that time.",
                cutover.clock.written(leave),
                cutover.clock.written(back),
                length(back - leave)
            ),
            "Before leaving: off test, a true signal sent and read back; on test again before the work goes on. The calls \
             take time that the plan does not count.",
        );
    }
}
