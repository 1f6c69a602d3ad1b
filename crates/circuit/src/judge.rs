//! Judging faults: silent or not, dangerous or not, and at which sizes.

use job::Circuit;
use library::Earth;
use network::{Bounds, Effect, Meaning, Node, Role};

use crate::Setting;
use crate::cases::{Case, Does, cases};
use crate::fault::{Class, Fault, FaultKind, Raiser};
use crate::model::{Condition, Corner, Model};
use crate::scene::{Act, Scene};
use crate::sense::{Raised, Sense};

/// Sizes closer together than this share of themselves are one: what inverting leaves of a common edge.
const SLIVER: f64 = 1e-9;

/// A case with what has been found of it so far.
struct Trial {
    case: Case,
    /// Sizes (or numbers of acts and values) that may read normal, at the corner that is being tried.
    silent: Vec<Bounds>,
    ever_silent: Option<Bounds>,
    dangerous: Option<Bounds>,
    endangers: Option<Raiser>,
    reads_normal: bool,
}

/// Judges every fault of a circuit that is read by an input; nothing for a circuit that is not.
///
/// `raisers` are the contacts and detectors whose alarm comes through without a fault.
pub(crate) fn judged(
    setting: &Setting,
    circuit: &Circuit,
    model: &Model,
    earth: Earth,
    shares: bool,
    raisers: &[Raiser],
) -> Vec<Fault> {
    let Some(sense) = &model.sense else { return Vec::new() };
    let mut trials: Vec<Trial> = cases(setting, circuit, model, earth, shares)
        .into_iter()
        .map(|case| Trial {
            case,
            silent: Vec::new(),
            ever_silent: None,
            dangerous: None,
            endangers: None,
            reads_normal: false,
        })
        .collect();
    let mut rest = Scene::default();
    let mut raised = Scene::default();
    let mut special = Scene::default();
    for corner in model.corners() {
        rest.set(model, corner, Condition::REST);
        for trial in &mut trials {
            trial.at_rest(model, sense, corner, &rest, &mut special);
        }
        for &raiser in raisers {
            raise(model, corner, raiser, &mut raised);
            for trial in trials.iter_mut().filter(|trial| !trial.silent.is_empty()) {
                trial.with(raiser, model, sense, corner, (&raised, &rest), &mut special);
            }
        }
    }
    // The classes are known: now what the terminals show over the sizes that make them.
    let scaled: Vec<Bounds> = shown(model, model.corners(), &trials, &mut rest, &mut special);
    let ohms = if sense.learns() {
        shown(model, &[Corner::plain()], &trials, &mut rest, &mut special)
    } else {
        scaled.clone()
    };
    let shown = scaled.into_iter().zip(ohms);
    trials.into_iter().zip(shown).map(|(trial, (scaled, ohms))| trial.fault(sense, scaled, ohms)).collect()
}

/// The reading at rest with each fault, over the sizes that make its class and over all corners.
fn shown(
    model: &Model,
    corners: &[Corner],
    trials: &[Trial],
    rest: &mut Scene,
    special: &mut Scene,
) -> Vec<Bounds> {
    let mut all: Vec<Bounds> = Vec::new();
    for corner in corners {
        rest.set(model, corner, Condition::REST);
        let here =
            trials.iter().map(|trial| trial.reading(model, corner, rest, special, trial.class_sizes().1));
        let here: Vec<Bounds> = here.collect();
        all = if all.is_empty() {
            here
        } else {
            all.into_iter().zip(here).map(|(so_far, now)| so_far.hull(now)).collect()
        };
    }
    all
}

/// Sets a scene to one contact active, or one detector drawing its alarm current.
pub(crate) fn raise(model: &Model, corner: &Corner, raiser: Raiser, scene: &mut Scene) {
    match raiser {
        Raiser::Contact(contact) => scene.set(model, corner, Condition::active(&[contact])),
        Raiser::Smoke(element) => {
            let alarm = model.sense.as_ref().and_then(|sense| sense.smoke_alarm());
            let changed = alarm.map(|ohms| (element, Bounds { lo: ohms, hi: ohms }));
            scene.set_with(model, corner, Condition::REST, changed);
        }
    }
}

fn is_sounder(model: &Model, raiser: Raiser) -> bool {
    let Raiser::Smoke(element) = raiser else { return false };
    matches!(model.network.elements()[element].part, network::Part::Sounder(_))
}

fn role_of(model: &Model, raiser: Raiser) -> Role {
    match raiser {
        Raiser::Contact(contact) => model.network.contacts()[contact].role,
        Raiser::Smoke(_) => Role::Alarm,
    }
}

impl Trial {
    /// Finds the silent sizes at one corner.
    fn at_rest(&mut self, model: &Model, sense: &Sense, corner: &Corner, rest: &Scene, special: &mut Scene) {
        self.silent.clear();
        match &self.case.does {
            Does::Sized(act, sizes) => {
                let follows = rest.follows(*act, None);
                self.silent = may_be_normal(sense, follows, *sizes);
            }
            Does::Earthed { past, on_return, sizes } => {
                let follows = rest.follows_to_return(past, *on_return);
                self.silent = may_be_normal(sense, follows, *sizes);
            }
            Does::Nothing(Some(sizes)) => {
                if sense.may_be_normal(rest.reading(model.network.root())) {
                    self.silent = vec![*sizes];
                }
            }
            Does::OneOf(acts) => {
                let reads = acts.iter().map(|(act, x)| at(rest.follows(*act, None), *x));
                self.silent = numbers(reads, |reading| sense.may_be_normal(reading));
            }
            Does::Values(node, values) => {
                let follows = rest.follows(Act::Becomes(*node), None);
                let reads = values.iter().map(|(_, x)| at(follows, *x));
                self.silent = numbers(reads, |reading| sense.may_be_normal(reading));
            }
            Does::Detected => {}
            _ => {
                let reading = self.whole(model, corner, rest, special);
                self.silent = numbers([reading], |reading| sense.may_be_normal(reading));
            }
        }
        for &sizes in &self.silent {
            self.ever_silent = Some(self.ever_silent.map_or(sizes, |so_far| so_far.hull(sizes)));
        }
    }

    /// The reading at rest of a fault that is no act on one piece.
    fn whole(&self, model: &Model, corner: &Corner, rest: &Scene, special: &mut Scene) -> Bounds {
        match &self.case.does {
            Does::Active(contact) => special.set(model, corner, Condition::active(&[*contact])),
            Does::Unfed(contacts) => special.set(model, corner, Condition { active: &[], unfed: contacts }),
            _ => return rest.reading(model.network.root()),
        }
        special.reading(model.network.root())
    }

    /// Finds which silent sizes take a raiser's alarm away, at one corner.
    fn with(
        &mut self,
        raiser: Raiser,
        model: &Model,
        sense: &Sense,
        corner: &Corner,
        (raised, rest): (&Scene, &Scene),
        special: &mut Scene,
    ) {
        let role = Raised::one(role_of(model, raiser));
        let lost: Vec<Bounds> = match &self.case.does {
            Does::Nothing(_) | Does::Detected => Vec::new(),
            // What a sounder still gets through a fault is a matter of its supply: any fault that acts on its
            // pair and is not shown is taken to silence it.
            Does::Active(_) | Does::Unfed(_) if is_sounder(model, raiser) => Vec::new(),
            _ if is_sounder(model, raiser) => self.silent.clone(),
            Does::Sized(act, _) => not_right(sense, raised.follows(*act, Some(rest)), role, &self.silent),
            Does::Earthed { past, on_return, .. } => {
                not_right(sense, raised.follows_to_return(past, *on_return), role, &self.silent)
            }
            Does::OneOf(acts) => self.wrong_numbers(
                |number| acts.get(number).map(|(act, x)| at(raised.follows(*act, Some(rest)), *x)),
                sense,
                role,
            ),
            Does::Values(node, values) => {
                let follows = raised.follows(Act::Becomes(*node), None);
                self.wrong_numbers(|number| values.get(number).map(|(_, x)| at(follows, *x)), sense, role)
            }
            Does::Dead => match raiser {
                Raiser::Smoke(_) => self.silent.clone(),
                Raiser::Contact(_) => Vec::new(),
            },
            Does::Active(stuck) => {
                let both = match raiser {
                    Raiser::Contact(contact) => vec![*stuck, contact],
                    Raiser::Smoke(_) => vec![*stuck],
                };
                let condition = Condition::active(&both);
                let own = raiser == Raiser::Contact(*stuck);
                self.all_if(
                    own || !self.still_right(model, sense, corner, condition, (raiser, role), special),
                )
            }
            Does::Unfed(contacts) => {
                let (active, own) = match raiser {
                    Raiser::Contact(contact) => (vec![contact], contacts.contains(&contact)),
                    Raiser::Smoke(_) => (Vec::new(), false),
                };
                let condition = Condition { active: &active, unfed: contacts };
                self.all_if(
                    own || !self.still_right(model, sense, corner, condition, (raiser, role), special),
                )
            }
        };
        for sizes in lost {
            let normal =
                self.raised_reading(sizes, (raised, rest)).is_none_or(|reads| sense.may_be_normal(reads));
            if normal && !self.reads_normal {
                // The worst is told of: an alarm that is not seen at all.
                self.endangers = Some(raiser);
                self.reads_normal = true;
            }
            self.dangerous = Some(self.dangerous.map_or(sizes, |so_far| so_far.hull(sizes)));
            self.endangers.get_or_insert(raiser);
        }
    }

    fn all_if(&self, lost: bool) -> Vec<Bounds> {
        if lost { self.silent.clone() } else { Vec::new() }
    }

    /// Whether a raiser's alarm is still read as one while other contacts do not stand as they should.
    fn still_right(
        &self,
        model: &Model,
        sense: &Sense,
        corner: &Corner,
        condition: Condition,
        (raiser, role): (Raiser, Raised),
        special: &mut Scene,
    ) -> bool {
        let changed = match raiser {
            Raiser::Contact(_) => None,
            Raiser::Smoke(element) => {
                sense.smoke_alarm().map(|ohms| (element, Bounds { lo: ohms, hi: ohms }))
            }
        };
        special.set_with(model, corner, condition, changed);
        sense.reads_right(special.reading(model.network.root()), role)
    }

    /// The reading with a raiser active over some sizes; none for a fault that leaves it as at rest.
    fn raised_reading(&self, sizes: Bounds, (raised, rest): (&Scene, &Scene)) -> Option<Bounds> {
        match &self.case.does {
            Does::Sized(act, _) => Some(over(raised.follows(*act, Some(rest)), sizes)),
            Does::Earthed { past, on_return, .. } => {
                Some(over(raised.follows_to_return(past, *on_return), sizes))
            }
            Does::OneOf(acts) => {
                let (act, x) = acts.get(sizes.lo as usize)?;
                Some(at(raised.follows(*act, Some(rest)), *x))
            }
            Does::Values(node, values) => {
                let (_, x) = values.get(sizes.lo as usize)?;
                Some(at(raised.follows(Act::Becomes(*node), None), *x))
            }
            _ => None,
        }
    }

    fn wrong_numbers(
        &self,
        reading: impl Fn(usize) -> Option<Bounds>,
        sense: &Sense,
        role: Raised,
    ) -> Vec<Bounds> {
        let wrong = |sizes: &&Bounds| {
            reading(sizes.lo as usize).is_some_and(|reading| !sense.reads_right(reading, role))
        };
        self.silent.iter().filter(wrong).copied().collect()
    }

    /// The class, and the sizes that make it.
    fn class_sizes(&self) -> (Class, Option<Bounds>) {
        let own = matches!(self.case.kind, FaultKind::StuckAtRest | FaultKind::Bridged | FaultKind::LeadOff);
        match (self.ever_silent, self.dangerous) {
            (None, _) => (Class::Announced, None),
            (Some(_), _) if own => (Class::TestOnly, self.ever_silent),
            (Some(_), Some(_)) => (Class::SilentDangerous, self.dangerous),
            (Some(_), None) => (Class::SilentSafe, self.ever_silent),
        }
    }

    /// What comes of it.
    fn fault(self, sense: &Sense, scaled: Bounds, ohms: Bounds) -> Fault {
        let (class, sizes) = self.class_sizes();
        let band = sense.band(scaled);
        let announced_as = if class == Class::Announced { self.announced_as(sense, band) } else { None };
        let sizes = self.sizes_in_ohms(sizes);
        Fault {
            kind: self.case.kind,
            place: self.case.place,
            leg: self.case.leg,
            point: self.case.point,
            ohms,
            sizes,
            band,
            announced_as,
            class,
            endangers: if class == Class::SilentDangerous { self.endangers } else { None },
            reads_normal: self.reads_normal,
        }
    }

    fn announced_as(&self, sense: &Sense, band: Option<usize>) -> Option<Meaning> {
        match self.case.does {
            Does::Detected => Some(Meaning::Trouble),
            _ => band.map(|band| sense.means[band]),
        }
    }

    /// The reading at rest over some sizes; over all of them when none are given.
    fn reading(
        &self,
        model: &Model,
        corner: &Corner,
        rest: &Scene,
        special: &mut Scene,
        sizes: Option<Bounds>,
    ) -> Bounds {
        let over = |(low, high): (Effect, Effect), sizes: Bounds| Bounds {
            lo: low.at(sizes.lo),
            hi: high.at(sizes.hi),
        };
        let hull =
            |reads: &mut dyn Iterator<Item = Bounds>| reads.reduce(Bounds::hull).unwrap_or(Bounds::OPEN);
        let chosen =
            |number: usize| sizes.is_none_or(|sizes| sizes.lo <= number as f64 && number as f64 <= sizes.hi);
        match &self.case.does {
            Does::Sized(act, all) => over(rest.follows(*act, None), sizes.unwrap_or(*all)),
            Does::Earthed { past, on_return, sizes: all } => {
                over(rest.follows_to_return(past, *on_return), sizes.unwrap_or(*all))
            }
            Does::OneOf(acts) => hull(
                &mut acts
                    .iter()
                    .enumerate()
                    .filter(|(number, _)| chosen(*number))
                    .map(|(_, (act, x))| at(rest.follows(*act, None), *x)),
            ),
            Does::Values(node, values) => {
                let follows = rest.follows(Act::Becomes(*node), None);
                let chosen = values.iter().enumerate().filter(|(number, _)| chosen(*number));
                hull(&mut chosen.map(|(_, (_, x))| at(follows, *x)))
            }
            _ => self.whole(model, corner, rest, special),
        }
    }

    /// Sizes as ohms: numbers of values become the values' nominal ohms, a fault without a size has none.
    fn sizes_in_ohms(&self, sizes: Option<Bounds>) -> Option<Bounds> {
        let sizes = sizes?;
        match &self.case.does {
            Does::Sized(..) | Does::Nothing(Some(_)) => Some(sizes),
            Does::Earthed { sizes: all, .. } if all.lo < all.hi => Some(sizes),
            Does::Values(_, values) => {
                let chosen = values.get(sizes.lo as usize..=sizes.hi as usize)?;
                let ohms = chosen.iter().map(|(nominal, _)| Bounds::exact(*nominal));
                ohms.reduce(Bounds::hull)
            }
            _ => None,
        }
    }
}

/// The readings over some sizes.
fn over((low, high): (Effect, Effect), sizes: Bounds) -> Bounds {
    Bounds { lo: low.at(sizes.lo), hi: high.at(sizes.hi) }
}

/// The reading at one size, everything low and everything high.
fn at((low, high): (Effect, Effect), x: Bounds) -> Bounds {
    Bounds { lo: low.at(x.lo), hi: high.at(x.hi) }
}

/// The numbers of the readings that hold.
fn numbers(readings: impl IntoIterator<Item = Bounds>, holds: impl Fn(Bounds) -> bool) -> Vec<Bounds> {
    let numbered = readings.into_iter().enumerate();
    let held = numbered.filter(|(_, reading)| holds(*reading));
    held.map(|(number, _)| Bounds { lo: number as f64, hi: number as f64 }).collect()
}

/// The sizes at which the reading may be taken for normal.
fn may_be_normal(sense: &Sense, (low, high): (Effect, Effect), sizes: Bounds) -> Vec<Bounds> {
    let mut silent = Vec::new();
    for limits in sense.normal_limits() {
        let (Some(from), Some(to)) = (high.least_for(limits.may_lo), low.greatest_for(limits.may_hi)) else {
            continue;
        };
        let silent_sizes = Bounds { lo: from.max(sizes.lo), hi: to.min(sizes.hi) };
        if silent_sizes.lo <= silent_sizes.hi {
            silent.push(silent_sizes);
        }
    }
    silent
}

/// What is left of some sizes when those are taken away at which the reading is surely right.
fn not_right(sense: &Sense, (low, high): (Effect, Effect), raised: Raised, sizes: &[Bounds]) -> Vec<Bounds> {
    // Most often nothing is lost, and the two ends show it.
    let right_all_over = |sizes: &Bounds| {
        let reads = over((low, high), *sizes);
        sense.right_limits(raised).any(|limits| limits.sure_lo <= reads.lo && reads.hi <= limits.sure_hi)
    };
    if sizes.iter().all(right_all_over) {
        return Vec::new();
    }
    let mut left = sizes.to_vec();
    for limits in sense.right_limits(raised) {
        let (Some(from), Some(to)) = (low.least_for(limits.sure_lo), high.greatest_for(limits.sure_hi))
        else {
            continue;
        };
        if from > to {
            continue;
        }
        left = left.into_iter().flat_map(|sizes| without(sizes, Bounds { lo: from, hi: to })).collect();
    }
    left
}

/// One interval less another: what is left below and above.
fn without(whole: Bounds, taken: Bounds) -> impl Iterator<Item = Bounds> {
    let missed = taken.hi < whole.lo || taken.lo > whole.hi;
    let below = Bounds { lo: whole.lo, hi: taken.lo };
    let above = Bounds { lo: taken.hi, hi: whole.hi };
    let real = |left: &Bounds| left.hi - left.lo > SLIVER * left.hi;
    let parts =
        if missed { [Some(whole), None] } else { [Some(below).filter(real), Some(above).filter(real)] };
    parts.into_iter().flatten()
}

/// Contacts and detectors whose alarm comes through without a fault.
pub(crate) fn raisers(model: &Model) -> Vec<Raiser> {
    let Some(sense) = &model.sense else { return Vec::new() };
    let mut all = Vec::new();
    for (at, contact) in model.network.contacts().iter().enumerate() {
        if contact.role != Role::Fault
            && sense.reads_right(model.reading(&[at]).scaled, Raised::one(contact.role))
        {
            all.push(Raiser::Contact(at));
        }
    }
    let mut scene = Scene::default();
    for (element, part) in model.network.elements().iter().enumerate() {
        if matches!(part.part, network::Part::Sounder(_)) {
            all.push(Raiser::Smoke(element));
        }
        if !matches!(part.part, network::Part::Smoke(_)) || sense.smoke_alarm().is_none() {
            continue;
        }
        let root: Node = model.network.root();
        let comes_through = model.corners().iter().all(|corner| {
            raise(model, corner, Raiser::Smoke(element), &mut scene);
            sense.reads_right(scene.reading(root), Raised::one(Role::Alarm))
        });
        if comes_through {
            all.push(Raiser::Smoke(element));
        }
    }
    all
}
