//! A conflict in words.

use std::collections::{BTreeMap, BTreeSet};

use crate::allocation::DemandOf;
use crate::order::natural;
use crate::problem::Problem;

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

/// The whole conflict in a sentence or two.
pub(crate) fn sentence(problem: &Problem, demands: &[DemandOf]) -> String {
    let circuits: Vec<usize> = demands
        .iter()
        .filter_map(|d| if let DemandOf::Circuit(index) = d { Some(*index) } else { None })
        .collect();
    let others: Vec<String> =
        demands.iter().filter(|d| !matches!(d, DemandOf::Circuit(_))).map(|d| demand(problem, d)).collect();
    let single = |index: &usize| {
        let circuit = &problem.circuits[*index];
        circuit.pin.is_none() && circuit.commons.is_none() && circuit.fits.iter().all(|fit| fit.inputs <= 1)
    };
    let kinds: BTreeMap<(Option<usize>, bool), usize> =
        circuits.iter().fold(BTreeMap::new(), |mut kinds, index| {
            let circuit = &problem.circuits[*index];
            *kinds.entry((circuit.ends_in, circuit.smoke)).or_default() += 1;
            kinds
        });
    let one_kind = kinds.len() == 1 && circuits.iter().all(single);
    let only_room = demands.iter().all(|d| {
        matches!(d, DemandOf::Circuit(_) | DemandOf::Positions(_) | DemandOf::Mode(_) | DemandOf::Most(_))
    });
    let mut text = match (circuits.as_slice(), one_kind && only_room) {
        ([], _) => format!("These cannot stand together: {}", listed(&others, "and")),
        ([alone], true) => {
            let circuit = &problem.circuits[*alone];
            let what = if circuit.smoke { " is a two-wire smoke circuit" } else { "" };
            let (end, there) = ending(problem, circuit.ends_in, 1);
            let and = if what.is_empty() || end.is_empty() { "" } else { " and" };
            format!("{}{what}{and}{end}, and no input{there} can take it{}", circuit.tag, because(&others))
        }
        (many, true) => {
            let circuit = &problem.circuits[many[0]];
            let smoke = if circuit.smoke { "smoke circuits" } else { "circuits" };
            let (end, there) = ending(problem, circuit.ends_in, many.len());
            let end = if end.is_empty() { " want an input".to_owned() } else { end };
            let room = many.len() - 1;
            let inputs = if room == 1 { "input" } else { "inputs" };
            let one = if circuit.smoke { "one" } else { "them" };
            format!(
                "{} {smoke}{end}, and {room} {inputs}{there} can take {one}{}",
                many.len(),
                because(&others)
            )
        }
        (some, false) => {
            let groups = kinds.iter().map(|((end, smoke), count)| {
                let mut tags = some.iter().filter(|index| {
                    let circuit = &problem.circuits[**index];
                    (circuit.ends_in, circuit.smoke) == (*end, *smoke)
                });
                let who = match *count {
                    1 => problem.circuits[*tags.next().expect("one of them")].tag.clone(),
                    count => format!("{count} {}", if *smoke { "smoke circuits" } else { "circuits" }),
                };
                let (end, _) = ending(problem, *end, *count);
                let wants = if *count == 1 { " wants an input" } else { " want an input" };
                format!("{who}{}", if end.is_empty() { wants.to_owned() } else { end })
            });
            let pieces: Vec<String> = groups.chain(others).collect();
            format!("These cannot stand together: {}", listed(&pieces, "and"))
        }
    };
    let reasons = reasons(problem, demands, &circuits);
    if !reasons.is_empty() {
        text.push_str("; ");
        text.push_str(&reasons.join("; "));
    }
    text
}

/// "ends in E2" and "there".
fn ending(problem: &Problem, end: Option<usize>, count: usize) -> (String, &'static str) {
    match end {
        Some(end) => {
            let verb = if count == 1 { "ends" } else { "end" };
            (format!(" {verb} in {}", problem.enclosures[end].id), " there")
        }
        None => (String::new(), ""),
    }
}

fn because(others: &[String]) -> String {
    if others.is_empty() { String::new() } else { format!(", because {}", listed(others, "and")) }
}

/// Why circuits of the conflict are read wrong: by modules that keep their mode, and where nothing reads one at all.
fn reasons(problem: &Problem, demands: &[DemandOf], circuits: &[usize]) -> Vec<String> {
    let mut by_reason: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for demand in demands {
        let DemandOf::Mode(module) = demand else { continue };
        let module = &problem.existing[*module];
        for index in circuits {
            let circuit = &problem.circuits[*index];
            let refused =
                circuit.refusals.iter().find(|r| r.offer == module.offer && Some(r.mode) == module.mode);
            if let Some(refused) = refused {
                let who = by_reason.entry((module.id.clone(), refused.reason.clone())).or_default();
                who.push(circuit.tag.clone());
            }
        }
    }
    let mut reasons: Vec<String> = by_reason
        .into_iter()
        .map(|((module, reason), tags)| {
            format!("{module} does not take {} because {reason}", listed(&tags, "and"))
        })
        .collect();
    for index in circuits.iter().filter(|index| problem.circuits[**index].fits.is_empty()) {
        let circuit = &problem.circuits[*index];
        let mut seen = BTreeSet::new();
        for refused in circuit.refusals.iter().filter(|refused| seen.insert(&refused.reason)) {
            let offer = &problem.offers[refused.offer];
            reasons.push(format!(
                "{} in {} does not take {} because {}",
                offer.profile, offer.modes[refused.mode].id, circuit.tag, refused.reason
            ));
        }
    }
    reasons
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
