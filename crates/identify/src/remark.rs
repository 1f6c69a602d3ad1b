//! Plain sentences that no candidate says by itself: readings that contradict each other, and what a pair looks like
//! that is no circuit of contacts.

use job::Display;
use library::Wiring;

use crate::candidate::{Place, Ranking};
use crate::evidence::{Evidence, Setting};
use crate::look::{Asked, Look, Looks};
use crate::refusal::ELECTRICIAN_AC;
use crate::survey::{Breaker, Pair, SharedCore, Survey};
use crate::testimony::{Agreement, misfits, statements};

/// A pair that is no circuit of contacts is spoken of from here on.
const WORTH_A_WORD: f64 = 0.02;
/// Readings within this share of each other are the same.
const SAME: f64 = 0.05;

/// What is to be said of a pair besides its candidates.
#[must_use]
pub fn remarks(survey: &Survey, pair: &Pair) -> Vec<String> {
    let mut remarks = of_readings(&survey.setting, &pair.evidence, &pair.ranking);
    remarks.extend(survey.breakers.iter().filter(|one| one.circuit == pair.circuit).map(Breaker::text));
    remarks.extend(survey.shared.iter().filter(|one| one.circuit == pair.circuit).map(SharedCore::text));
    remarks.extend(untold(pair));
    remarks
}

/// Whether a reading contradicts what a pair is taken for, so that it has to be taken again.
#[must_use]
pub fn is_contradicted(survey: &Survey, pair: &Pair) -> bool {
    contradiction(&survey.setting, &pair.evidence, &pair.ranking).is_some()
}

/// What cannot be told from here at all.
fn untold(pair: &Pair) -> Option<String> {
    let first = pair.ranking.settled()?;
    let place = first.place == Place::Unknown;
    place.then(|| {
        "Where its resistor sits cannot be told from here: join or open the pair at the far device, or look.".to_owned()
    })
}

fn of_readings(setting: &Setting, evidence: &Evidence, ranking: &Ranking) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some(refusal) = &evidence.refusal {
        remarks.push(format!("{} {}", refusal.text(), refusal.remedy()));
        if let Some(source) = source_of_volts(&evidence.looks) {
            remarks.push(source.to_owned());
        }
    }
    // What is contradicted has been told in full: the softer sentence would say it twice.
    remarks.extend(contradiction(setting, evidence, ranking).or_else(|| seldom(setting, evidence, ranking)));
    let unlike: f64 =
        ranking.all.iter().filter(|one| one.wiring == Wiring::UnlikeAny).map(|one| one.probability).sum();
    if unlike >= WORTH_A_WORD && evidence.refusal.is_none() && !evidence.looks.ohms.is_empty() {
        remarks.push(match look_alike(&evidence.looks) {
            Some(like) => format!("If it is none of these: {like}."),
            None => "If it is none of these: nothing that is known here shows such readings; look at it."
                .to_owned(),
        });
    }
    if drifts(&evidence.looks) {
        remarks.push(
            "The reading moves: a high-resistance joint. Lowest range, tap and flex each joint; more than 5 ohm of \
             movement is a repair."
                .to_owned(),
        );
    }
    remarks
}

/// Readings of which the likeliest candidate can show not all.
fn contradiction(setting: &Setting, evidence: &Evidence, ranking: &Ranking) -> Option<String> {
    let first = ranking.all.first()?;
    if evidence.looks.ohms.is_empty() {
        return None;
    }
    if first.wiring == Wiring::UnlikeAny {
        return Some(
            "No wiring that is known here explains these readings. Read them again before anything else."
                .to_owned(),
        );
    }
    let statements = statements(setting, evidence, first);
    let odd: Vec<String> = statements
        .iter()
        .filter(|one| one.agreement == Agreement::No)
        .map(|one| format!("{} (it would show {})", one.reading, one.expected))
        .collect();
    if odd.is_empty() {
        return None;
    }
    Some(format!(
        "The readings contradict each other: even the likeliest candidate does not explain {}. Read that again.",
        odd.join(", nor ")
    ))
}

/// Readings that a settled candidate shows only seldom, or not of itself: then nothing is written of it.
fn seldom(setting: &Setting, evidence: &Evidence, ranking: &Ranking) -> Option<String> {
    let first = ranking.settled()?;
    let misfits = misfits(setting, evidence, first);
    if !misfits.is_empty() {
        return Some(format!(
            "What it is taken for shows this only by a contact that did not move, a missing supply or an error: {}. \
             Read that again; until then no network is written or used.",
            misfits.join("; ")
        ));
    }
    let seldom: Vec<String> = statements(setting, evidence, first)
        .into_iter()
        .filter(|one| one.agreement == Agreement::Seldom)
        .map(|one| format!("{} (it usually shows {})", one.reading, one.expected))
        .collect();
    if seldom.is_empty() {
        return None;
    }
    let two = if trips_differ(&evidence.looks) {
        " If both come again, two circuits may hang on this pair, each with a resistor of its own."
    } else {
        ""
    };
    Some(format!(
        "What it is taken for can show this, but seldom does: {}. Read that again.{two}",
        seldom.join("; ")
    ))
}

/// Whether two trips of one kind show resistors that are not the same.
fn trips_differ(looks: &Looks) -> bool {
    let trips: Vec<f64> = looks
        .ohms
        .iter()
        .filter(|look| matches!(look.asked, Asked::Trip { role: network::Role::Alarm }))
        .filter_map(value)
        .collect();
    let least = trips.iter().copied().fold(f64::INFINITY, f64::min);
    let most = trips.iter().copied().fold(0.0, f64::max);
    trips.len() > 1 && most - least > SAME * most + 0.5
}

/// What a pair looks like that is no circuit of contacts (rows of public trade pages, common practice).
fn look_alike(looks: &Looks) -> Option<&'static str> {
    let rest: Vec<&Look> = looks.ohms.iter().filter(|look| look.asked == Asked::Rest).collect();
    let later_open =
        looks.ohms.iter().any(|look| look.asked == Asked::After && look.display == Display::Open);
    let restless = rest.iter().any(|look| look.display == Display::Unstable);
    let first = rest.iter().find_map(|look| value(look));
    if later_open && (restless || first.is_some()) {
        return Some("a capacitor, at the end of the line, in a sounder or in a detector's supply input");
    }
    let first = first?;
    let moved = looks.ohms.iter().any(|look| match look.asked {
        Asked::Trip { .. } | Asked::Reversed => {
            value(look).is_none_or(|ohms| (ohms - first).abs() > SAME * first + 0.5)
        }
        _ => false,
    });
    if moved {
        return None;
    }
    match first {
        _ if first < 3.0 => {
            Some("a transformer winding (0.5 to 3 ohm) if 16 V AC comes on it, or a looped pair")
        }
        _ if first < 15.0 => Some("a loudspeaker or passive horn of 4 to 16 ohm, or a looped pair"),
        _ if (50.0..=1200.0).contains(&first) => {
            Some("the coil of a relay or lock, or a supervision relay (400 to 1000 ohm)")
        }
        _ => None,
    }
}

fn value(look: &Look) -> Option<f64> {
    match look.display {
        Display::Value { value, .. } => Some(value.0),
        _ => None,
    }
}

/// Whether low readings at rest move although nothing was done.
fn drifts(looks: &Looks) -> bool {
    let still: Vec<f64> = looks
        .ohms
        .iter()
        .filter(|look| matches!(look.asked, Asked::Rest | Asked::After))
        .filter_map(value)
        .filter(|ohms| *ohms < 200.0)
        .collect();
    let least = still.iter().copied().fold(f64::INFINITY, f64::min);
    let most = still.iter().copied().fold(0.0, f64::max);
    most - least > 5.0 && still.len() > 1
}

/// Where volts of this size usually come from.
fn source_of_volts(looks: &Looks) -> Option<&'static str> {
    let (dc, ac) = (looks.volts_dc.unwrap_or(0.0), looks.volts_ac.unwrap_or(0.0));
    if (14.0..=19.0).contains(&ac) {
        return Some("16 to 18 V AC: a transformer.");
    }
    if (20.0..=30.0).contains(&ac) {
        return Some("24 V AC: a door or a gate.");
    }
    // Above the electrician's limit nobody is told that it may be harmless.
    if ac > 1.0 && ac <= ELECTRICIAN_AC {
        return Some("AC that vanishes under a load was induced by a cable beside it.");
    }
    if (10.0..=16.0).contains(&dc) || (20.0..=30.0).contains(&dc) {
        return Some(
            "12 to 14 or 24 to 28 V DC: another supply still live, a back-feed, or a sounder's hold-off line.",
        );
    }
    if looks.volts_restless || (2.0..10.0).contains(&dc) {
        return Some(
            "A few restless volts: a keypad or module bus, or an addressable loop, still powered from elsewhere.",
        );
    }
    None
}
