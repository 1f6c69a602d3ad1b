//! Battery by rule and by physics, charger, fuse, enclosure.

use job::{Job, Severity};
use library::{Kind, Library, System};
use quantity::{AmpereHours, Amperes, Interval, Volts, Written};

use super::Say;
use super::volts::change;
use crate::condition::{Source, solve};
use crate::plan::Case;
use crate::rule::short;
use crate::study::{BatteryResult, Study};

/// More charging current than this share of the capacity is too much for a sealed battery (from memory).
const MOST_CHARGE: f64 = 0.3;
/// A bank's volts may lie so far from the supply's before they are another number of cells.
const SAME_VOLTS: f64 = 0.5;

pub(super) fn put(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    let id = study.plan.supply.id.value.clone();
    let Some(battery) = &study.battery else {
        if !study.rules.is_empty() {
            let required = study.required_ah();
            let required = required.map_or("not known".to_owned(), |required| format!("{required:.2} Ah"));
            say.push(
                Severity::Check,
                "no-battery",
                format!("Supply {id} has no battery; what its rules ask for: {required}."),
                "Name its battery.",
            );
        }
        return;
    };
    let bank = &battery.bank;
    if (bank.volts() - study.plan.nominal()).abs() > SAME_VOLTS {
        say.push(
            Severity::Fix,
            "battery-volts",
            format!(
                "{} in series make {}; supply {id} is for {}.",
                blocks(bank.in_series),
                Volts(bank.volts()).shown(3),
                Volts(study.plan.nominal()).shown(3)
            ),
            "As many blocks in series as the supply's volts want, all of one make, size and age.",
        );
    }
    by_rule(say, study, battery);
    by_physics(say, study, battery);
    charger(say, study, battery);
    fuse(say, study, battery);
    enclosure(say, job, library, study, battery);
}

fn blocks(count: u32) -> String {
    if count == 1 { "1 block".to_owned() } else { format!("{count} blocks") }
}

fn by_rule(say: &mut Say, study: &Study, battery: &BatteryResult) {
    let Some(rule) = study.governing.map(|at| &study.rules[at]) else { return };
    let fitted = battery.bank.capacity_ah();
    if rule.required_ah > fitted {
        say.push(
            Severity::Fix,
            "battery-too-small",
            format!(
                "The battery has {}; {} asks for {:.2} Ah: {} h at rest with {:.3} A, {} min in alarm with {:.3} A.",
                AmpereHours(fitted).shown(3),
                rule.named(),
                rule.required_ah,
                short(rule.standby_h()),
                rule.standby_a,
                short(rule.alarm_min),
                rule.alarm_a
            ),
            "The next larger size that charger and enclosure take, or less load: `explain` has the working.",
        );
    }
}

fn by_physics(say: &mut Say, study: &Study, battery: &BatteryResult) {
    for run in &battery.runs {
        let Some(ended) = run.low.ends else { continue };
        let rule = &study.rules[run.rules[0]];
        let new = match run.high.ends {
            None => "A new and warm one lasts.".to_owned(),
            Some(ended) => format!("A new and warm one ends after {:.1} h.", ended.hours),
        };
        let how = if ended.collapsed { "its load collapses" } else { "the equipment cuts it off" };
        let total = run.standby_h + run.alarm_min / 60.0;
        let code = if ended.collapsed { "collapse" } else { "battery-ends-early" };
        say.push(
            Severity::Fix,
            code,
            format!(
                "Aged to 80 % and at {} C, {how} after {:.1} h of the {} h that {} asks for. {new}",
                short(battery.temperature.0),
                ended.hours,
                short((total * 100.0).round() / 100.0),
                rule.named()
            ),
            if ended.collapsed && cable_collapses(study, run.system) {
                format!("No battery helps: the cables collapse on a full one already. {}", change(study))
            } else {
                "A larger battery, or a warmer place for it. By rule and by physics the stricter counts."
                    .to_owned()
            },
        );
    }
}

/// Whether the loads collapse behind their cables on full and stiff battery volts too.
fn cable_collapses(study: &Study, system: System) -> bool {
    let full = Interval::exact(Volts(crate::FULL_VOLTS * study.plan.nominal() / 12.0));
    let source = Source { on_battery: true, ..Source::held(full) };
    solve(&study.plan, &source, Case::AlarmOf(system)).is_err()
}

fn charger(say: &mut Say, study: &Study, battery: &BatteryResult) {
    let fitted = battery.bank.capacity_ah();
    let shown = AmpereHours(fitted).shown(3);
    if let Some((least, most)) = battery.chargeable {
        let range = format!("{} to {}", AmpereHours(least).shown(3), AmpereHours(most).shown(3));
        if fitted > most {
            say.push(
                Severity::Fix,
                "charger-too-weak",
                format!(
                    "{shown} are more than the charger of {} may charge, {range}.",
                    study.plan.supply.id.value
                ),
                "It would never be full: a smaller battery, or a supply with a larger charger.",
            );
        } else if fitted < least {
            say.push(
                Severity::Fix,
                "charger-too-strong",
                format!(
                    "{shown} are less than the charger of {} may charge, {range}.",
                    study.plan.supply.id.value
                ),
                "It would be charged too hard: a larger battery, or a supply with a smaller charger.",
            );
        }
    }
    if let Some(charge) = battery.charge_a
        && battery.chargeable.is_none()
        && charge > MOST_CHARGE * fitted
    {
        say.push(
            Severity::Check,
            "charge-current",
            format!("The charger gives {}, more than {MOST_CHARGE} of {shown} (a sealed battery's usual most, from memory).", Amperes(charge).shown(3)),
            "Look up what the battery may be charged with.",
        );
    }
    let slow = battery.recharged.iter().filter(|asked| asked.takes_h > asked.within_h);
    if let Some(worst) =
        slow.max_by(|one, other| (one.takes_h / one.within_h).total_cmp(&(other.takes_h / other.within_h)))
    {
        say.push(
            Severity::Fix,
            "recharge-too-slow",
            format!(
                "To {:.0} % of {shown} the charger needs {:.1} h; {} ({}) asks for {} h.",
                100.0 * worst.share,
                worst.takes_h,
                worst.rules,
                worst.rule,
                short(worst.within_h)
            ),
            "A supply with a larger charger, or a smaller battery where the rules leave room.",
        );
    }
}

fn fuse(say: &mut Say, study: &Study, battery: &BatteryResult) {
    let Some(fuse) = study.plan.supply.fuse else { return };
    let peaks = battery.runs.iter().flat_map(|run| run.low.curve.iter().chain(&run.high.curve));
    let full =
        study.full_alarm.as_ref().and_then(|alarm| alarm.as_ref().ok()).map_or(0.0, |alarm| alarm.total_a.1);
    let peak = peaks.map(|sample| sample.amperes).fold(full, f64::max);
    if peak > fuse.0 {
        say.push(
            Severity::Fix,
            "fuse-too-small",
            format!("{} flow out of the battery; its fuse is for {}.", Amperes(peak).shown(3), fuse.shown(3)),
            "Less load, or the fuse that the supply's manual names; never a stronger one than that.",
        );
    }
}

/// All blocks of an enclosure against its spaces; told once, at the last supply in it.
fn enclosure(say: &mut Say, job: &Job, library: &Library, study: &Study, battery: &BatteryResult) {
    let Some(id) = &study.plan.supply.enclosure else { return };
    let told = job.enclosures.iter().find(|enclosure| enclosure.id.value == id.value);
    let profile = told.and_then(|enclosure| library.profiles.get(enclosure.profile.as_ref()?.as_str()));
    let Some(Kind::Enclosure(enclosure)) = profile.map(|profile| &profile.kind) else { return };
    let Some(spaces) = enclosure.batteries else { return };
    let with_battery = || {
        job.supplies.iter().filter(|supply| supply.enclosure.as_ref() == Some(id) && supply.battery.is_some())
    };
    if with_battery().next_back().is_some_and(|last| last.id.value != study.plan.supply.id.value) {
        return;
    }
    let others: u32 = with_battery()
        .filter(|supply| supply.id.value != study.plan.supply.id.value)
        .map(|supply| supply.strings * crate::study::in_series(library, supply))
        .sum();
    let own = battery.bank.strings * battery.bank.in_series;
    if others + own > spaces {
        say.push(
            Severity::Fix,
            "enclosure-full",
            format!(
                "{} are to stand in enclosure {}, which has room for {spaces}.",
                blocks(others + own),
                id.value
            ),
            "Fewer and larger blocks, or a battery box; never a sealed one, and short, fused leads.",
        );
    }
}
