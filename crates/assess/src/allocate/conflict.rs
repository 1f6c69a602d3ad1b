//! Why it cannot be done: each demand with its place in the job file.

use std::ops::Range;

use ::allocate as engine;
use engine::DemandOf;
use job::{CoreEnd, Job};

use super::ground::Ground;

/// Demands that cannot stand together. Drop any one of them and the others can, where `irreducible` says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ConflictPlan {
    /// All of it in one or two sentences.
    pub words: String,
    /// The demands, by kind and then by tag or id.
    pub demands: Vec<DemandPlan>,
    /// What the job forbids that might make room: no demands of their own, since giving up one alone may not be enough.
    pub forbids: Vec<DemandPlan>,
    /// Whether each of the demands is needed; false only where the search ended before that was clear.
    pub irreducible: bool,
    /// Whether no smaller set of demands is a conflict, or only that each of these is needed.
    pub smallest: bool,
}

/// One demand that a person can give up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DemandPlan {
    /// What it asks, in words.
    pub words: String,
    /// A circuit's tag, a module's or an enclosure's id, or `job`.
    pub place: String,
    /// Where it stands in the job file; none where the file says nothing of it.
    pub span: Option<Range<usize>>,
}

pub(crate) fn conflict(job: &Job, ground: &Ground, found: &engine::Conflict) -> ConflictPlan {
    let demand = |demand: &engine::Demand| {
        let (place, span) = place(job, ground, &demand.of);
        DemandPlan { words: demand.words.clone(), place, span }
    };
    let forbids = forbids(job, &found.demands);
    let mut words = found.words.clone();
    for forbidden in &forbids {
        words.push_str("; ");
        words.push_str(&forbidden.words);
    }
    ConflictPlan {
        words,
        forbids,
        irreducible: found.irreducible,
        demands: found.demands.iter().map(demand).collect(),
        smallest: found.smallest,
    }
}

/// Keys of `[allocate]` that forbid what might make room for these demands.
fn forbids(job: &Job, demands: &[engine::Demand]) -> Vec<DemandPlan> {
    let terms = &job.allocate;
    let any = |what: fn(&DemandOf) -> bool| demands.iter().any(|demand| what(&demand.of));
    let wants = any(|of| matches!(of, DemandOf::Circuit(_) | DemandOf::Spare(_) | DemandOf::SpareOfJob));
    let full = any(|of| matches!(of, DemandOf::Positions(_)));
    let of_job = |words: &str, span: &Option<Range<usize>>| DemandPlan {
        words: words.to_owned(),
        place: "job".to_owned(),
        span: span.clone(),
    };
    let mut all = Vec::new();
    if wants && !terms.new_modules {
        all.push(of_job("`new_modules = false` forbids to buy a module", &terms.new_modules_at));
    }
    if full && terms.annexes == 0 {
        all.push(of_job(
            "`annexes = 0` forbids to hang an enclosure beside one that is full",
            &terms.annexes_at,
        ));
    }
    all
}

fn place(job: &Job, ground: &Ground, of: &DemandOf) -> (String, Option<Range<usize>>) {
    let circuit = |at: usize| &job.circuits[ground.circuits[at]];
    let module = |at: usize| &job.modules[ground.modules[at]];
    let enclosure = |at: usize| {
        let first = ground.places.places[at].first();
        let span = first.map(|enclosure| enclosure.id.span.clone());
        (first.map_or("job".to_owned(), |enclosure| enclosure.id.value.clone()), span)
    };
    let of_job = |span: Option<Range<usize>>| ("job".to_owned(), span);
    let panel =
        || job.panel.as_ref().and_then(|panel| panel.profile.as_ref()).map(|profile| profile.span.clone());
    match of {
        DemandOf::Circuit(at) => (circuit(*at).tag.value.clone(), Some(circuit(*at).tag.span.clone())),
        DemandOf::Zone(at) => (circuit(*at).tag.value.clone(), circuit(*at).zone_at.clone()),
        DemandOf::Pin(at) => {
            let input = circuit(*at).input.as_ref().map(|input| input.span.clone());
            (circuit(*at).tag.value.clone(), input)
        }
        DemandOf::Mode(at) => {
            let mode = module(*at).mode.as_ref().map(|mode| mode.span.clone());
            (module(*at).id.value.clone(), mode)
        }
        DemandOf::Positions(at) => enclosure(*at),
        DemandOf::Spare(at) => {
            let (id, span) = enclosure(*at);
            let own = ground.places.places[*at].iter().find_map(|enclosure| enclosure.spare_at.clone());
            (id, own.or(span))
        }
        DemandOf::Commons(name) => {
            let cables =
                job.cables.iter().flat_map(|cable| cable.cores.iter().map(move |core| (cable, core)));
            let named = cables
                .filter(|(cable, core)| format!("{} {}", cable.id.value, core.colour).trim() == name)
                .find_map(|(_, core)| {
                    core.to.iter().find(|end| matches!(end.value, CoreEnd::Circuit { .. }))
                });
            (name.split(' ').next().unwrap_or(name).to_owned(), named.map(|end| end.span.clone()))
        }
        DemandOf::PanelZones | DemandOf::PanelModules => of_job(panel()),
        DemandOf::SpareOfJob => of_job(job.allocate.spare_at.clone()),
        DemandOf::Most(_) => of_job(None),
    }
}
