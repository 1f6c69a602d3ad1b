//! Standby rules: which hold, what is open about them, fire and intrusion on one supply.

use job::{Duty, Feeding, Job, Severity};
use library::{Library, System};

use super::Say;
use crate::rule::short;
use crate::study::Study;

pub(super) fn put(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    open(say, job, study);
    local(say, study);
    beyond_hours(say, study);
    for named in &job.site.rules {
        let Some(set) = library.rules.get(named.as_str()) else { continue };
        if set.standby.is_empty() {
            say.push(
                Severity::Check,
                "rule-without-numbers",
                format!("Rule set {} holds its standby in words only, so it is not computed.", set.id),
                "Give it a [[standby]] in your own library, from the edition in force.",
            );
        }
    }
    unasked(say, job, library, study);
    let remembered: Vec<&str> =
        study.rules.iter().filter(|rule| rule.remembered).map(|rule| rule.clause.as_str()).collect();
    if !remembered.is_empty() {
        say.push(
            Severity::Note,
            "rule-from-memory",
            format!("Partly from memory, to be looked up before use: {}.", remembered.join("; ")),
            "Read the edition in force. Local code and the authority having jurisdiction decide.",
        );
    }
    combined(say, job, study);
}

/// Several rules of one set that ask for different ampere-hours, and nobody has said which holds.
fn open(say: &mut Say, job: &Job, study: &Study) {
    for named in &job.site.rules {
        let rules: Vec<_> = study.rules.iter().filter(|rule| rule.rules == named.value).collect();
        let said = job.standby.iter().any(|word| {
            let here = word.supplies.is_empty()
                || word.supplies.iter().any(|id| id.value == study.plan.supply.id.value);
            here && word.rules.value == named.value && !word.take.is_empty()
        });
        let ask =
            |of: fn(f64, f64) -> f64, first: f64| rules.iter().map(|rule| rule.required_ah).fold(first, of);
        let (least, most) = (ask(f64::min, f64::INFINITY), ask(f64::max, 0.0));
        if rules.len() < 2 || said || most - least < 1e-9 {
            continue;
        }
        let each: Vec<String> = rules
            .iter()
            .map(|rule| format!("{} ({}): {:.2} Ah", rule.rule, rule.edition, rule.required_ah))
            .collect();
        say.push(
            Severity::Check,
            "rule-open",
            format!(
                "Which rule of {} is in force nobody has said; the largest counts. {}.",
                named.value,
                each.join("; ")
            ),
            format!(
                "Ask the authority, then record it: [[standby]] with rules = \"{}\", take and reason.",
                named.value
            ),
        );
    }
}

/// No rule asks for a standby time, and no rule set explains why by holding it in words only.
fn unasked(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    let in_words = job
        .site
        .rules
        .iter()
        .any(|named| library.rules.get(named.as_str()).is_some_and(|set| set.standby.is_empty()));
    if study.rules.is_empty() && !in_words {
        say.push(
            Severity::Check,
            "standby-not-asked",
            format!(
                "No rule asks supply {} for a standby time, so its battery is held against none.",
                study.plan.supply.id.value
            ),
            "Name the rule sets that hold in `rules` of the site; local code and the authority decide which.",
        );
    }
}

/// Figures that local words set: other than the clause's, and at odds with each other.
fn local(say: &mut Say, study: &Study) {
    let (mut changed, mut odd) = (Vec::new(), Vec::new());
    for rule in &study.rules {
        for word in &rule.local {
            if word.overrides() {
                let less =
                    if word.counts() < word.clause { "less than the clause" } else { "more than the clause" };
                changed.push(format!(
                    "{} ({}): {} instead of {} by {}, {less}; reason: {}",
                    rule.rules,
                    rule.rule,
                    word.figure.shown(word.counts()),
                    word.figure.shown(word.clause),
                    rule.clause,
                    word.reason()
                ));
            }
            if let Some([one, other]) = word.conflict() {
                odd.push(format!(
                    "{} ({}): {} ({}), and {} ({})",
                    rule.rules,
                    rule.rule,
                    word.figure.shown(one.0),
                    one.1,
                    word.figure.shown(other.0),
                    other.1
                ));
            }
        }
    }
    if !changed.is_empty() {
        say.push(
            Severity::Check,
            "rule-overridden",
            format!("A local word counts in place of the rule's figure. {}.", changed.join(". ")),
            "Have the authority's word on paper: what is less than the clause is its decision and nobody else's.",
        );
    }
    if !odd.is_empty() {
        say.push(
            Severity::Check,
            "local-words-differ",
            format!(
                "Two entries of [[standby]] set the same figure, and the largest counts. {}.",
                odd.join(". ")
            ),
            "Ask which of them holds, and strike the other.",
        );
    }
}

/// An alarm that does not fit into the hours in which it lies.
fn beyond_hours(say: &mut Say, study: &Study) {
    let beyond: Vec<String> = study
        .rules
        .iter()
        .filter(|rule| rule.alarm_beyond_hours())
        .map(|rule| format!("{}: {} min, {} h", rule.named(), short(rule.alarm_min), short(rule.hours)))
        .collect();
    if !beyond.is_empty() {
        say.push(
            Severity::Check,
            "alarm-beyond-hours",
            format!(
                "The alarm lies inside the hours and is longer than they are; all of it counts, and nothing at rest. {}.",
                beyond.join("; ")
            ),
            "Mend `hours` or `alarm` of the [[standby]].",
        );
    }
}

/// Fire and intrusion on one supply, where a rule wants that to be asked.
fn combined(say: &mut Say, job: &Job, study: &Study) {
    let Some(rule) = study.rules.iter().find(|rule| rule.ask_combined) else { return };
    let feeding = Feeding::new(job);
    let here = job.supplies.iter().position(|supply| supply.id.value == study.plan.supply.id.value);
    let fed = |module: &str| here.is_some() && feeding.supply(module) == here;
    let duties = job
        .circuits
        .iter()
        .filter(|circuit| circuit.input.as_ref().is_some_and(|input| fed(&input.module)))
        .filter_map(|circuit| circuit.duty);
    let (mut fire, mut other) = (false, false);
    for duty in duties {
        fire |= duty.is_fire();
        other |= matches!(duty, Duty::Intrusion | Duty::HoldUp | Duty::Tamper | Duty::Technical);
    }
    for row in study.plan.rows.iter().filter(|row| !row.alarm_in.is_empty()) {
        fire |= row.sounds_in(System::Fire);
        other |= row.sounds_in(System::Intrusion);
    }
    if fire && other {
        say.push(
            Severity::Check,
            "fire-and-intrusion",
            format!(
                "Fire and intrusion hang on supply {} together; the fire rule then carries all of it ({}).",
                study.plan.supply.id.value, rule.clause
            ),
            "Ask the authority whether one supply may serve both, and that no fault of one takes the other along.",
        );
    }
}
