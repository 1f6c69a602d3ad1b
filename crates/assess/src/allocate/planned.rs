//! The job as it would be with a plan, and what puts the plan into the file.

use document::Located;
use job::{Change, Enclosure, InputRef, Job, Module, Noted, Plain, TableRef};
use quantity::Written;

use super::plan::{AllocationPlan, InputPlan};
use super::table::longer;

/// The job with its plan: new modules and enclosures, inputs, modes, zones, longer cables. The same job where nothing
/// was found.
#[must_use]
pub fn planned(plan: &AllocationPlan) -> Job {
    let mut job = plan.job.clone();
    if !plan.found() {
        return job;
    }
    for (place, annex) in
        plan.places.iter().flat_map(|place| place.annexes.iter().map(move |annex| (place, annex)))
    {
        job.enclosures.push(Enclosure {
            id: Located::nowhere(annex.id.clone()),
            place: beside(plan, &place.id),
            profile: Some(Located::nowhere(annex.profile.clone())),
            beside: Some(Located::nowhere(place.id.clone())),
            spare: 0,
            spare_at: None,
        });
    }
    for module in &plan.modules {
        match module.existing {
            Some(at) => {
                let own = &mut job.modules[at];
                own.mode = own.mode.take().or_else(|| module.mode.clone().map(Located::nowhere));
                own.tamper = Some(module.tamper);
            }
            None => job.modules.push(Module {
                id: Located::nowhere(module.id.clone()),
                enclosure: module.enclosure.clone().map(Located::nowhere),
                profile: Some(Located::nowhere(module.profile.clone())),
                mode: module.mode.clone().map(Located::nowhere),
                link: None,
                fed_by: None,
                tamper: Some(module.tamper),
            }),
        }
    }
    for input in &plan.inputs {
        let circuit = &mut job.circuits[input.circuit];
        circuit.zone = circuit.zone.or(input.zones.first().copied());
        if input.mode_is_own && input.wrong.is_none() {
            circuit.mode = circuit.mode.take().or_else(|| Some(Located::nowhere(input.mode.clone())));
        }
        let first = input.inputs.first().cloned();
        if circuit.also.is_empty() {
            circuit.also = input.inputs.iter().skip(1).cloned().map(Located::nowhere).collect();
        }
        circuit.input = circuit.input.take().or_else(|| first.map(Located::nowhere));
        if let Some(extension) = &input.extension {
            circuit.ends_in = Some(Located::nowhere(extension.to.clone()));
            circuit.network =
                circuit.network.take().map(|network| longer(&network, extension.length).unwrap_or(network));
        }
    }
    job
}

/// The same job with nothing assigned: no modules and no outputs of theirs, no inputs, no modes of inputs. What a plan from scratch starts from.
#[must_use]
pub fn freed(job: &Job) -> Job {
    let mut job = job.clone();
    let of_module = |id: &str| {
        id.split_once('.').is_some_and(|(owner, _)| job.modules.iter().any(|of| of.id.value == owner))
    };
    let outputs = job.outputs.iter().filter(|output| !of_module(&output.id)).cloned().collect();
    job.outputs = outputs;
    job.modules.clear();
    for circuit in &mut job.circuits {
        circuit.input = None;
        circuit.also.clear();
        circuit.mode = None;
    }
    job
}

/// What puts a plan into the job file; nothing where nothing was found. What the file says already stays.
#[must_use]
pub fn changes(plan: &AllocationPlan) -> Vec<Noted> {
    let mut changes = Vec::new();
    if !plan.found() {
        return changes;
    }
    let plain = |change| Noted { change, note: String::new() };
    for (place, annex) in
        plan.places.iter().flat_map(|place| place.annexes.iter().map(move |annex| (place, annex)))
    {
        let keys = [
            ("id", text(&annex.id)),
            ("place", text(&beside(plan, &place.id))),
            ("profile", text(&annex.profile)),
            ("beside", text(&place.id)),
        ];
        changes.push(plain(Change::new_table(TableRef::named("enclosure", &annex.id), Plain::table(keys))));
    }
    for module in plan.modules.iter().filter(|module| module.existing.is_none()) {
        let mut keys = vec![("id", text(&module.id))];
        keys.extend(module.enclosure.as_ref().map(|id| ("enclosure", text(id))));
        keys.push(("profile", text(&module.profile)));
        keys.extend(module.mode.as_ref().map(|mode| ("mode", text(mode))));
        keys.push(("tamper", text(module.tamper.word())));
        changes.push(plain(Change::new_table(TableRef::named("module", &module.id), Plain::table(keys))));
    }
    for module in &plan.modules {
        let Some(own) = module.existing.map(|at| &plan.job.modules[at]) else { continue };
        let table = || TableRef::named("module", &module.id);
        if own.mode.is_none()
            && let Some(mode) = &module.mode
        {
            changes.push(plain(Change::key(table(), "mode", None, Some(text(mode)))));
        }
        if own.tamper.is_none() {
            changes.push(plain(Change::key(table(), "tamper", None, Some(text(module.tamper.word())))));
        }
    }
    for input in &plan.inputs {
        of_circuit(plan, input, &mut changes);
    }
    changes
}

fn of_circuit(plan: &AllocationPlan, input: &InputPlan, changes: &mut Vec<Noted>) {
    let circuit = &plan.job.circuits[input.circuit];
    let mut put = |key: &str, from: Option<Plain>, to: Plain, note: String| {
        let change = Change::key(TableRef::named("circuit", &circuit.tag), key, from, Some(to));
        changes.push(Noted { change, note });
    };
    if let Some(extension) = &input.extension {
        let note = format!("to be made longer from {} by {}", extension.from, extension.length.written());
        let from = circuit.ends_in.as_ref().map(|id| text(id));
        put("ends_in", from, text(&extension.to), note.clone());
        let longer = circuit.network.as_ref().and_then(|network| longer(network, extension.length));
        if let (Some(network), Some(longer)) = (&circuit.network, longer) {
            let from = (!circuit.inferred).then(|| text(&network.written()));
            put("network", from, text(&longer.written()), note);
        }
    }
    if circuit.input.is_none()
        && let Some(first) = input.inputs.first()
    {
        put("input", None, text(&written(first)), String::new());
    }
    let further: Vec<Plain> = input.inputs.iter().skip(1).map(|of| text(&written(of))).collect();
    if circuit.also.is_empty() && !further.is_empty() {
        put("also", None, Plain::List(further), "kept until its home runs are parted".to_owned());
    }
    if circuit.mode.is_none() && input.mode_is_own && input.wrong.is_none() {
        put("mode", None, text(&input.mode), String::new());
    }
    if circuit.zone.is_none()
        && let Some(zone) = input.zones.first()
    {
        put("zone", None, Plain::Integer(i64::from(*zone)), String::new());
    }
}

fn text(text: &str) -> Plain {
    Plain::Text(text.to_owned())
}

fn written(input: &InputRef) -> String {
    format!("{}.{}", input.module, input.number)
}

fn beside(plan: &AllocationPlan, id: &str) -> String {
    let place =
        plan.job.enclosures.iter().find(|enclosure| enclosure.id.value == id).map(|of| of.place.as_str());
    match place {
        None | Some("") => format!("beside {id}"),
        Some(place) => format!("beside {id}, {place}"),
    }
}
