//! What a person must know or decide about the job as a whole.

use circuit::Setting;
use document::nearest;
use job::{Answer, ControlListing, Duty, Feeding, Finding, Job, Severity};

/// Findings that belong to no single circuit.
pub(crate) fn job_findings(setting: &Setting, findings: &mut Vec<Finding>) {
    let mut push = |severity, place: &str, code, text: String, remedy: &str| {
        findings.push(Finding { severity, place: place.to_owned(), code, text, remedy: remedy.to_owned() });
    };
    let job = setting.job;
    let feeding = Feeding::new(job);
    let fire = fire_circuits(setting);
    if !fire.is_empty() {
        push(
            Severity::Stop,
            "job",
            "fire-law",
            format!("Fire circuits, and nobody has decided whether they may be taken over: {}.", list(&fire)),
            "Ask the authority having jurisdiction first. Record required, control_listed_for or the decision in \
             [fire]. Local code and licensed people decide.",
        );
    }
    if job.circuits.is_empty() {
        push(
            Severity::Check,
            "job",
            "no-circuits",
            "No circuits yet.".to_owned(),
            "Add a [[circuit]] for every pair that ends in the old panel: its tag first.",
        );
    }
    let standing = &job.standing;
    let open: Vec<&str> = [
        ("authority_in_writing", &standing.authority_in_writing),
        ("station_on_test", &standing.station_on_test),
        ("fire_authority_told", &standing.fire_authority_told),
        ("asbestos_register_seen", &standing.asbestos_register_seen),
        ("access", &standing.access),
    ]
    .into_iter()
    .filter(|(_, text)| text.is_empty())
    .map(|(key, _)| key)
    .collect();
    if !open.is_empty() {
        push(
            Severity::Check,
            "job",
            "standing-open",
            format!("Before the first circuit is lifted, not said yet: {}.", open.join(", ")),
            "Fill in [standing]: a sentence each, or \"not needed\".",
        );
    }
    for module in &job.modules {
        if module.profile.is_none() {
            push(
                Severity::Check,
                &module.id,
                "module-without-profile",
                format!("Module {} has no profile, so nothing on it can be computed.", module.id.value),
                "Name its profile, or type one in from its manual.",
            );
        }
        if feeding.supply(&module.id).is_none() {
            push(
                Severity::Check,
                &module.id,
                "module-without-supply",
                format!(
                    "No supply feeds module {}: none is in its enclosure, and it has no `fed_by`.",
                    module.id.value
                ),
                "Add the [[supply]] that feeds it, with its battery.",
            );
        }
    }
    if job.modules.is_empty() && !job.supplies.is_empty() {
        for supply in &job.supplies {
            push(
                Severity::Check,
                &supply.id,
                "supply-without-module",
                format!("Supply {} feeds no module.", supply.id.value),
                "Add the [[module]] that it is there for.",
            );
        }
    }
    if let Some(panel) = &job.panel
        && !job.supplies.is_empty()
        && panel.power.is_empty()
        && !counts_panel(setting)
    {
        push(
            Severity::Check,
            "job",
            "panel-not-counted",
            "The control equipment itself is no load of any supply here, and nobody has said what feeds it."
                .to_owned(),
            "Add it to the `loads` of the supply that feeds it, or write into [panel] `power` what does, with its hours.",
        );
    }
    if let Some(panel) = &job.panel
        && !job.supplies.is_empty()
        && panel.path_out.is_empty()
    {
        push(
            Severity::Check,
            "job",
            "path-out",
            "What feeds the way out to the station (router, modem, switch) without mains nobody has said."
                .to_owned(),
            "It needs the same hours as the supplies: feed it from one, then write `path_out` into [panel].",
        );
    }
}

/// Whether some supply carries the control equipment.
fn counts_panel(setting: &Setting) -> bool {
    let loads = setting.job.supplies.iter().flat_map(|supply| &supply.loads);
    let kinds = loads.filter_map(|load| setting.library.profiles.get(load.device.as_ref()?.as_str()));
    kinds.into_iter().any(|profile| matches!(profile.kind, library::Kind::Panel(_)))
}

/// Devices that no network names: what their profiles say counts for no circuit.
///
/// A name that nearly stands somewhere is most likely one that was called anew in one of the two places.
pub(crate) fn devices_without_circuit(job: &Job, findings: &mut Vec<Finding>) {
    let mut named: Vec<(String, &str)> = Vec::new();
    for circuit in &job.circuits {
        let names = circuit.network.as_ref().map(crate::kit::names).unwrap_or_default();
        named.extend(names.into_iter().map(|name| (name, circuit.tag.as_str())));
    }
    let described = |name: &str| job.devices.iter().any(|device| device.id.as_str() == name);
    for device in &job.devices {
        // Of a tag: the job is not read where that circuit's network has no such device.
        let name = device.id.as_str();
        if name.contains('/') || named.iter().any(|(one, _)| one == name) {
            continue;
        }
        let others = named.iter().map(|(one, _)| one.as_str()).filter(|one| !described(one));
        let near = nearest(name, others).map_or_else(String::new, |near| {
            let tag = named.iter().find(|(one, _)| one == near).map_or("", |(_, tag)| tag);
            format!(" Nearly so called, and described nowhere: `{near}` in {tag}.")
        });
        findings.push(Finding {
            severity: Severity::Check,
            place: name.to_owned(),
            code: "device-in-no-network",
            text: format!(
                "Device {name} stands in no network: what its profile says counts for no circuit.{near}"
            ),
            remedy: "Call it in its circuit's network and in its [[device]] alike; where that network is not known yet, \
                     write it once it is."
                .to_owned(),
        });
    }
}

fn fire_circuits<'a>(setting: &Setting<'a>) -> Vec<&'a str> {
    let fire = &setting.job.fire;
    if fire.required == Answer::No
        || fire.control_listed_for == ControlListing::CommercialFire
        || !fire.decision.is_empty()
    {
        return Vec::new();
    }
    let circuits = setting.job.circuits.iter();
    circuits
        .filter(|circuit| circuit.duty.is_some_and(Duty::is_fire))
        .map(|circuit| circuit.tag.as_str())
        .collect()
}

fn list(tags: &[&str]) -> String {
    const SHOWN: usize = 12;
    let mut text = tags.iter().take(SHOWN).copied().collect::<Vec<_>>().join(", ");
    if tags.len() > SHOWN {
        text.push_str(&format!(" and {} more", tags.len() - SHOWN));
    }
    text
}
