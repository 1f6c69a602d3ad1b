//! The mains side.

use job::Severity;
use library::Current;
use quantity::{Amperes, Volts, Written};

use super::Say;
use crate::mains::Mains;
use crate::study::Study;

pub(super) fn put(say: &mut Say, study: &Study) {
    let supply = study.plan.supply;
    let input = study.plan.profile.and_then(|profile| profile.input);
    let Some(mains) = &study.mains else {
        if let Some(input) = input {
            say.push(
                Severity::Check,
                "transformer-open",
                format!(
                    "Supply {} wants {} from a transformer or adapter, and the job names none.",
                    supply.id.value,
                    input.current.word().to_uppercase()
                ),
                "Name its `transformer`, with the cable from it and what outlet it hangs on.",
            );
        }
        return;
    };
    if input.is_none() {
        say.push(
            Severity::Check,
            "transformer-not-wanted",
            format!(
                "The profile of supply {} has no low-voltage input, and the job feeds it from {}.",
                supply.id.value, mains.profile
            ),
            "If it hangs on mains itself, strike `transformer`; if it does take one, add `input` to the profile from its manual.",
        );
    }
    kind(say, mains);
    rating(say, mains);
    if mains.outlet.is_empty() {
        say.push(
            Severity::Check,
            "outlet-open",
            format!("Nobody has said what outlet the transformer of {} hangs on.", supply.id.value),
            "Never a switched one: record circuit, breaker and how the plug is held in `outlet`.",
        );
    }
}

fn kind(say: &mut Say, mains: &Mains) {
    match (mains.gives, mains.wants) {
        (Current::Alternating, Some(Current::Direct)) => say.push(
            Severity::Stop,
            "ac-into-dc",
            format!("{} gives AC, and the supply wants DC: that destroys it.", mains.profile),
            "Fit a DC adapter, its polarity by meter.",
        ),
        (Current::Direct, Some(Current::Alternating)) => say.push(
            Severity::Check,
            "dc-into-ac",
            format!(
                "{} gives DC, and the supply wants AC: it often runs, and may show a mains fault for good.",
                mains.profile
            ),
            "Ask the manual, or fit the transformer that it names.",
        ),
        (Current::Direct, _) if mains.marked.is_empty() => say.push(
            Severity::Check,
            "adapter-lead-open",
            format!("Which lead of {} is marked, and how, is not written down.", mains.profile),
            "Find positive with a meter before it is landed, and write it into the profile's `marked`.",
        ),
        _ => {}
    }
}

fn rating(say: &mut Say, mains: &Mains) {
    let unit = if mains.gives == Current::Direct { "W" } else { "VA" };
    if let Some(rated) = mains.rated_va {
        if let Some(asked) = mains.asked_va.filter(|asked| *asked > rated) {
            say.push(
                Severity::Fix,
                "transformer-below-manual",
                format!(
                    "{} has {rated:.0} {unit}; the supply's manual asks for {asked:.0} {unit}.",
                    mains.profile
                ),
                "Fit the transformer that the manual asks for.",
            );
        }
        if mains.needed_va > rated {
            say.push(
                Severity::Fix,
                "transformer-too-small",
                format!(
                    "In alarm with the charger at work {:.0} {unit} are wanted; {} has {rated:.0} {unit}.",
                    mains.needed_va, mains.profile
                ),
                "A larger transformer, within what the supply takes, or less load.",
            );
        }
    }
    if mains.cannot_deliver {
        say.push(
            Severity::Fix,
            "transformer-volts",
            format!(
                "{} cannot deliver it: at full load {} are wanted, and the cable would lose all of its volts.",
                mains.profile,
                Amperes(mains.amperes).shown(3)
            ),
            "A thicker or shorter cable from the transformer, or less load.",
        );
        return;
    }
    let (Some(volts), Some((least, most))) = (mains.arrives.or(mains.volts), mains.input_volts) else {
        return;
    };
    if volts < least || mains.volts.is_some_and(|volts| volts > most) {
        say.push(
            Severity::Fix,
            "transformer-volts",
            format!(
                "{} arrive at the supply's input at full load; it takes {} to {}.",
                Volts(volts).shown(3),
                Volts(least).shown(3),
                Volts(most).shown(3)
            ),
            "A thicker or shorter cable from the transformer, or one of other volts.",
        );
    }
}
