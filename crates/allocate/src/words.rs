//! A conflict in words.

use std::collections::{BTreeMap, BTreeSet};

use crate::allocation::DemandOf;
use crate::demands::alike;
use crate::order::natural;
use crate::problem::{Problem, Refusal};

/// Demands by kind, and inside a kind by tag or id.
pub(crate) fn sorted(problem: &Problem, demands: BTreeSet<DemandOf>) -> Vec<DemandOf> {
    let mut demands: Vec<DemandOf> = demands.into_iter().collect();
    let kind = std::mem::discriminant::<DemandOf>;
    demands.sort_by(|a, b| {
        if kind(a) == kind(b) { natural(&name(problem, a), &name(problem, b)) } else { a.cmp(b) }
    });
    demands
}

fn name(problem: &Problem, demand: &DemandOf) -> String {
    match demand {
        DemandOf::Circuit(index) | DemandOf::Pin(index) | DemandOf::Zone(index) => {
            problem.circuits[*index].tag.clone()
        }
        DemandOf::Commons(name) => name.clone(),
        DemandOf::Mode(index) => problem.existing[*index].id.clone(),
        DemandOf::Positions(index) | DemandOf::Spare(index) => problem.enclosures[*index].id.clone(),
        DemandOf::Most(index) => problem.offers[*index].profile.clone(),
        DemandOf::SpareOfJob | DemandOf::PanelZones | DemandOf::PanelModules => String::new(),
    }
}

/// What one demand asks.
pub(crate) fn demand(problem: &Problem, demand: &DemandOf) -> String {
    match demand {
        DemandOf::Circuit(index) => {
            let circuit = &problem.circuits[*index];
            let what = if circuit.smoke { " (two-wire smoke)" } else { "" };
            match circuit.ends_in {
                Some(end) => {
                    let others =
                        circuit.extensions.iter().map(|to| problem.enclosures[to.enclosure].id.clone());
                    let others: Vec<String> = others.collect();
                    let longer = if others.is_empty() {
                        String::new()
                    } else {
                        format!(" (may be extended to {})", listed(&others, "or"))
                    };
                    format!(
                        "{}{what} ends in {}{longer} and wants an input",
                        circuit.tag, problem.enclosures[end].id
                    )
                }
                None => format!("{}{what} wants an input", circuit.tag),
            }
        }
        DemandOf::Pin(index) => {
            let circuit = &problem.circuits[*index];
            let pin = circuit.pin.expect("a pin that is demanded is there");
            format!("{} is to stay on {}.{}", circuit.tag, problem.existing[pin.existing].id, pin.input)
        }
        DemandOf::Zone(index) => {
            let circuit = &problem.circuits[*index];
            format!(
                "{} is to have zone {}",
                circuit.tag,
                circuit.zone.expect("a zone that is demanded is there")
            )
        }
        DemandOf::Commons(name) => {
            let members = problem.circuits.iter().filter(|circuit| circuit.commons.as_ref() == Some(name));
            let mut tags: Vec<String> = members.map(|circuit| circuit.tag.clone()).collect();
            tags.sort_by(|a, b| natural(a, b));
            format!("{} share a core and must be on one module", listed(&tags, "and"))
        }
        DemandOf::Mode(index) => {
            let module = &problem.existing[*index];
            let mode = module.mode.expect("a mode that is demanded is there");
            format!("{} is to keep the mode {}", module.id, problem.offers[module.offer].modes[mode].id)
        }
        DemandOf::Positions(index) => {
            let enclosure = &problem.enclosures[*index];
            let left = enclosure.positions.unwrap_or(0);
            let more = enclosure.annex.as_ref().map_or(0, |annex| annex.most);
            let beside = if more > 0 {
                format!(", and {} can be hung beside it", counted(more, "enclosure"))
            } else {
                String::new()
            };
            format!("{} has {} left{beside}", enclosure.id, counted(left, "position"))
        }
        DemandOf::Spare(index) => {
            let enclosure = &problem.enclosures[*index];
            format!("{} wanted in {}", are(enclosure.spare, "free input"), enclosure.id)
        }
        DemandOf::SpareOfJob => format!("{} wanted in the whole job", are(problem.spare, "free input")),
        DemandOf::PanelZones => {
            let zones = problem.panel.zones.unwrap_or(0);
            let taken = crate::search::taken(&problem.panel.taken, zones).len();
            let but = if taken > 0 { format!(", {taken} of them taken") } else { String::new() };
            format!("the panel has {}{but}", counted(zones, "zone"))
        }
        DemandOf::PanelModules => {
            format!("the panel has room for {}", counted(problem.panel.modules.unwrap_or(0), "module"))
        }
        DemandOf::Most(index) => {
            let offer = &problem.offers[*index];
            format!("no more than {} new {} can be had", offer.most.unwrap_or(0), offer.profile)
        }
    }
}

/// The whole conflict in a sentence or two. Of one that is not proven irreducible nothing is said that follows only from
/// that.
pub(crate) fn sentence(problem: &Problem, demands: &[DemandOf], irreducible: bool) -> String {
    let circuits: Vec<usize> = demands
        .iter()
        .filter_map(|d| if let DemandOf::Circuit(index) = d { Some(*index) } else { None })
        .collect();
    let others: Vec<String> =
        demands.iter().filter(|d| !matches!(d, DemandOf::Circuit(_))).map(|d| demand(problem, d)).collect();
    // What stands in the way of circuits of one kind can be told as room; anything else is a list.
    let room = |d: &DemandOf| {
        let limit = matches!(
            d,
            DemandOf::Positions(_) | DemandOf::Mode(_) | DemandOf::Most(_) | DemandOf::PanelModules
        );
        limit || matches!(d, DemandOf::Circuit(_))
    };
    let kinds = kinds(problem, &circuits);
    let mut text = match (kinds.as_slice(), demands) {
        ([], [alone]) => no_circuit(problem, alone),
        ([kind], _) if demands.iter().all(room) => {
            let (who, there) = (kind.words(problem), if kind.end.is_some() { " there" } else { "" });
            let because = if others.is_empty() {
                String::new()
            } else {
                format!(", because {}", listed(&others, "and"))
            };
            let room = if irreducible {
                kind.room(problem, there)
            } else {
                format!("there is no room{there} for all of them")
            };
            format!("{who}, and {room}{because}")
        }
        _ => {
            let pieces: Vec<String> = kinds.iter().map(|kind| kind.piece(problem)).chain(others).collect();
            format!("these cannot stand together: {}", listed(&pieces, "and"))
        }
    };
    for reason in reasons(problem, demands, &circuits) {
        text.push_str("; ");
        text.push_str(&reason);
    }
    text
}

/// A demand that cannot be met whatever the circuits want.
fn no_circuit(problem: &Problem, alone: &DemandOf) -> String {
    let words = demand(problem, alone);
    match alone {
        DemandOf::PanelZones => format!("{words}, and the modules of the job take more"),
        DemandOf::PanelModules => format!("{words}, and the job has more"),
        _ => format!("{words}, and nothing that can be had gives them"),
    }
}

/// Circuits of a conflict that end in one enclosure and are or are not smoke.
struct Kind {
    end: Option<usize>,
    smoke: bool,
    circuits: Vec<usize>,
}

fn kinds(problem: &Problem, circuits: &[usize]) -> Vec<Kind> {
    let mut kinds: BTreeMap<(Option<usize>, bool), Vec<usize>> = BTreeMap::new();
    for index in circuits {
        let circuit = &problem.circuits[*index];
        kinds.entry((circuit.ends_in, circuit.smoke)).or_default().push(*index);
    }
    kinds.into_iter().map(|((end, smoke), circuits)| Kind { end, smoke, circuits }).collect()
}

impl Kind {
    /// Every circuit of this kind, in the conflict or not.
    fn all<'p>(&self, problem: &'p Problem) -> Vec<&'p crate::problem::Circuit> {
        problem.circuits.iter().filter(|of| (of.ends_in, of.smoke) == (self.end, self.smoke)).collect()
    }

    /// As one of several: "2 of the 3 smoke circuits that end in E2".
    fn piece(&self, problem: &Problem) -> String {
        let all = self.all(problem).len();
        if self.circuits.len() < 2 || self.circuits.len() == all {
            return self.words(problem);
        }
        let smoke = if self.smoke { "smoke " } else { "" };
        let does = match self.end {
            Some(end) => format!("end in {}", problem.enclosures[end].id),
            None => "want an input".into(),
        };
        format!("{} of the {all} {smoke}circuits that {does}", self.circuits.len())
    }

    /// "3 smoke circuits end in E2", all that do; "C07 wants an input".
    fn words(&self, problem: &Problem) -> String {
        let many = self.circuits.len() > 1;
        let who = if many {
            format!("{} {}circuits", self.all(problem).len(), if self.smoke { "smoke " } else { "" })
        } else {
            let tag = &problem.circuits[self.circuits[0]].tag;
            format!("{tag}{}", if self.smoke { " is a two-wire smoke circuit and" } else { "" })
        };
        let does = match (self.end, many) {
            (Some(end), true) => format!("end in {}", problem.enclosures[end].id),
            (Some(end), false) => format!("ends in {}", problem.enclosures[end].id),
            (None, true) => "want an input".into(),
            (None, false) => "wants an input".into(),
        };
        format!("{who} {does}")
    }

    /// What can take them. A conflict is irreducible, so all but one of them can land: that is the number.
    fn room(&self, problem: &Problem, there: &str) -> String {
        let (room, all) = (self.circuits.len() - 1, self.all(problem));
        if room > 0 && all.len() > self.circuits.len() {
            let any = all.iter().all(|of| alike(of, all[0]));
            let these = self.circuits.iter().map(|index| problem.circuits[*index].tag.clone());
            let which = if any { "any".to_owned() } else { listed(&these.collect::<Vec<_>>(), "and") + "," };
            return format!("{which} {} of them are already too many{}", self.circuits.len(), there);
        }
        let single = self.circuits.iter().all(|index| {
            let circuit = &problem.circuits[*index];
            circuit.commons.is_none() && circuit.fits.iter().all(|fit| fit.inputs <= 1)
        });
        match (room, single) {
            (0, _) => format!("no input{there} can take it"),
            (1, true) => format!("1 input{there} can take {}", if self.smoke { "one" } else { "them" }),
            (_, true) => format!("{room} inputs{there} can take {}", if self.smoke { "one" } else { "them" }),
            (_, false) => format!("the inputs{there} can take only {room} of them"),
        }
    }
}

/// Why circuits of the conflict are read wrong: by modules that keep their mode, on inputs that they are to stay on, and
/// where nothing reads one at all.
fn reasons(problem: &Problem, demands: &[DemandOf], circuits: &[usize]) -> Vec<String> {
    // By reason: who does not take whom.
    let mut refused: BTreeMap<String, (Vec<String>, Vec<String>)> = BTreeMap::new();
    let mut refuse = |by: String, tag: &str, reason: &str| {
        let (who, whom) = refused.entry(reason.to_owned()).or_default();
        if !who.contains(&by) {
            who.push(by);
        }
        if !whom.iter().any(|known| known == tag) {
            whom.push(tag.to_owned());
        }
    };
    let mut reasons = Vec::new();
    for demand in demands {
        match demand {
            DemandOf::Mode(module) => {
                let module = &problem.existing[*module];
                for circuit in circuits.iter().map(|index| &problem.circuits[*index]) {
                    let own = |r: &&Refusal| r.offer == module.offer && Some(r.mode) == module.mode;
                    if let Some(refusal) = circuit.refusals.iter().find(own) {
                        refuse(module.id.clone(), &circuit.tag, &refusal.reason);
                    }
                }
            }
            DemandOf::Pin(index) => {
                let circuit = &problem.circuits[*index];
                let module =
                    &problem.existing[circuit.pin.expect("a pin that is demanded is there").existing];
                let reach = circuit.extensions.iter().any(|to| to.enclosure == module.enclosure);
                if circuit.ends_in.is_some_and(|end| end != module.enclosure) && !reach {
                    let hangs = &problem.enclosures[module.enclosure].id;
                    reasons.push(format!("{} hangs in {hangs}", module.id));
                }
                reasons.extend(pinned(problem, *index));
                let fixed = demands.iter().any(|d| matches!(d, DemandOf::Mode(_)));
                let of_offer = || circuit.refusals.iter().filter(|r| r.offer == module.offer);
                for refusal in of_offer().filter(|_| !fixed && !circuit.fits.is_empty()) {
                    let mode = &problem.offers[module.offer].modes[refusal.mode].id;
                    refuse(format!("{} in {mode}", module.id), &circuit.tag, &refusal.reason);
                }
            }
            _ => {}
        }
    }
    for circuit in circuits.iter().map(|index| &problem.circuits[*index]).filter(|c| c.fits.is_empty()) {
        for refusal in &circuit.refusals {
            let offer = &problem.offers[refusal.offer];
            refuse(
                format!("{} in {}", offer.profile, offer.modes[refusal.mode].id),
                &circuit.tag,
                &refusal.reason,
            );
        }
    }
    reasons.extend(refused.into_iter().map(|(reason, (who, whom))| {
        let do_not = if who.len() == 1 { "does not" } else { "do not" };
        format!("{} {do_not} take {} because {reason}", listed(&who, "and"), listed(&whom, "and"))
    }));
    reasons
}

/// An input that does not take smoke, or that is not there.
fn pinned(problem: &Problem, index: usize) -> Option<String> {
    let circuit = &problem.circuits[index];
    let pin = circuit.pin.expect("a pin that is demanded is there");
    let module = &problem.existing[pin.existing];
    let offer = &problem.offers[module.offer];
    if !(1..=offer.inputs).contains(&pin.input) {
        return Some(format!("{} has {} inputs", module.id, offer.inputs));
    }
    let takes: Vec<String> = offer
        .modes
        .iter()
        .filter(|mode| mode.smoke_inputs.contains(&pin.input))
        .map(|mode| mode.id.clone())
        .collect();
    (circuit.smoke && takes.len() < offer.modes.len()).then(|| {
        let only =
            if takes.is_empty() { "in no mode".into() } else { format!("only in {}", listed(&takes, "or")) };
        format!("{}.{} takes a two-wire smoke circuit {only}", module.id, pin.input)
    })
}

fn counted(count: u32, what: &str) -> String {
    match count {
        0 => format!("no {what}"),
        1 => format!("1 {what}"),
        _ => format!("{count} {what}s"),
    }
}

fn are(count: u32, what: &str) -> String {
    format!("{} {}", counted(count, what), if count == 1 { "is" } else { "are" })
}

/// "A, B and C".
fn listed(texts: &[String], word: &str) -> String {
    match texts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} {word} {last}", first.join(", ")),
    }
}
