//! From a job to the solver's problem: who takes part, what may be bought, what is asked for.

use std::collections::BTreeMap;

use ::allocate as engine;
use engine::{Effort, Problem};
use job::{Circuit, Duty, Job};
use library::{Kind, Library, ModePer, ModuleProfile, Profile, Task};

use super::costs::{of_extension, of_profile, of_remedy, weights};
use super::forbidden::forbidden;
use super::left::{Left, LeftBecause};
use super::places::Places;
use super::table::{Table, Way, has_smoke};

/// A problem with what its indices stand for in the job and the library.
pub(crate) struct Ground<'a> {
    pub(crate) problem: Problem,
    /// Places in the job's list, for each circuit of the problem.
    pub(crate) circuits: Vec<usize>,
    /// What each fit of each circuit is.
    pub(crate) ways: Vec<Vec<Way>>,
    /// Circuits that a person has put on an input that does not read them right in any mode: why, by place in the
    /// problem's list.
    pub(crate) wrong: BTreeMap<usize, String>,
    /// The profiles of the offers.
    pub(crate) offers: Vec<&'a Profile>,
    /// Places in the job's list, for each existing module of the problem.
    pub(crate) modules: Vec<usize>,
    /// Where cables end and modules hang.
    pub(crate) places: Places<'a>,
    /// Circuits that take no part, in the order of the job.
    pub(crate) left: Vec<Left>,
    /// Whether some remedy was dropped because a surer one exists.
    pub(crate) second_best: bool,
}

/// Which remedies count.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Remedies {
    /// Those that leave the fewest faults which hide an alarm.
    Surest,
    /// All.
    Any,
}

/// Builds the problem of a job.
pub(crate) fn ground<'a>(table: &Table<'a>, remedies: Remedies) -> Ground<'a> {
    let (job, library) = (table.setting.job, table.setting.library);
    let places = Places::new(job);
    let offers = offered(job, library);
    let mut modules = Vec::new();
    let mut existing = Vec::new();
    for (at, module) in job.modules.iter().enumerate() {
        let Some(offer) = offers.iter().position(|(profile, _)| is(module.profile.as_ref(), profile)) else {
            continue;
        };
        let modes = module_of(offers[offer].0).map_or(&[][..], |profile| &profile.modes);
        let mode = module.mode.as_ref().and_then(|id| modes.iter().position(|mode| mode.id == id.value));
        modules.push(at);
        let id = module.id.value.clone();
        existing.push(engine::Existing { id, enclosure: places.of_module(module), offer, mode });
    }
    let mut ground = Ground {
        problem: Problem {
            circuits: Vec::new(),
            enclosures: places.enclosures(job, library, &existing),
            offers: offers.iter().filter_map(|(profile, buy)| offer(library, profile, *buy)).collect(),
            existing,
            panel: panel(table),
            spare: job.allocate.spare,
            weights: weights(job),
            unmet: engine::Unmet::Never,
        },
        circuits: Vec::new(),
        ways: Vec::new(),
        wrong: BTreeMap::new(),
        offers: offers.iter().map(|(profile, _)| *profile).collect(),
        modules,
        places,
        left: Vec::new(),
        second_best: false,
    };
    let one = |at: usize| Entry::of(table, &ground, at, remedies);
    let entries = crate::threads::each(job.circuits.len(), &one, &|_, _| ());
    for (at, entry) in entries.into_iter().enumerate() {
        match entry {
            Ok(entry) => {
                if let Some(wrong) = entry.wrong {
                    ground.wrong.insert(ground.circuits.len(), wrong);
                }
                ground.second_best |= entry.second_best;
                ground.circuits.push(at);
                ground.ways.push(entry.ways);
                ground.problem.circuits.push(entry.circuit);
            }
            Err(because) => ground.left.push(Left { circuit: at, because }),
        }
    }
    let taken = ground.left.iter().filter_map(|left| job.circuits[left.circuit].zone);
    ground.problem.panel.taken.extend(taken);
    name_commons(table, &mut ground);
    ground
}

fn is(name: Option<&document::Located<String>>, profile: &Profile) -> bool {
    name.is_some_and(|name| name.value == profile.id)
}

pub(crate) fn module_of(profile: &Profile) -> Option<&ModuleProfile> {
    match &profile.kind {
        Kind::Module(module) => Some(module),
        _ => None,
    }
}

/// Every module type of the problem, and whether more of it may be bought.
fn offered<'a>(job: &Job, library: &'a Library) -> Vec<(&'a Profile, bool)> {
    let named =
        |id: &str| job.allocate.offer.as_ref().is_none_or(|offer| offer.iter().any(|of| of.value == id));
    let has = |profile: &Profile| job.modules.iter().any(|module| is(module.profile.as_ref(), profile));
    let modules = library.profiles.values().filter(|profile| module_of(profile).is_some());
    let buy = |profile: &Profile| job.allocate.new_modules && named(&profile.id);
    modules.map(|profile| (profile, buy(profile))).filter(|(profile, buy)| *buy || has(profile)).collect()
}

fn offer(library: &Library, profile: &Profile, buy: bool) -> Option<engine::Offer> {
    let module = module_of(profile)?;
    let mode =
        |mode: &library::Mode| engine::Mode { id: mode.id.clone(), smoke_inputs: mode.smoke_inputs.clone() };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a limit of amperes, in mA")]
    let aux_ma = module.aux.map_or(0, |aux| (aux.limit.0 * 1e3).max(0.0).floor() as u32);
    Some(engine::Offer {
        profile: profile.id.clone(),
        inputs: module.inputs,
        mode_per: match module.mode_per {
            ModePer::Module => engine::ModePer::Module,
            ModePer::Input => engine::ModePer::Input,
        },
        modes: module.modes.iter().map(mode).collect(),
        aux_ma,
        positions: 1,
        effort: of_profile(library, profile, Task::Module),
        most: if buy { None } else { Some(0) },
        zones: engine::ZoneUse::UsedInputs,
    })
}

fn panel(table: &Table) -> engine::Panel {
    match table.panel() {
        Some(panel) => engine::Panel { zones: panel.zones, modules: panel.modules, taken: Vec::new() },
        None => engine::Panel::default(),
    }
}

/// A circuit of the problem, or why it is none.
struct Entry {
    circuit: engine::Circuit,
    ways: Vec<Way>,
    wrong: Option<String>,
    /// Whether a remedy was dropped because a surer one exists.
    second_best: bool,
}

impl Entry {
    fn of(table: &Table, ground: &Ground, at: usize, remedies: Remedies) -> Result<Self, LeftBecause> {
        let job = table.setting.job;
        let circuit = &job.circuits[at];
        let pin = pin(ground, job, circuit);
        let network = circuit.network.as_ref().filter(|_| circuit.other.is_none());
        let spare = network.is_some_and(super::left::is_spare);
        let absent = match network {
            _ if circuit.input.is_some() && pin.is_none() => Some(LeftBecause::ModuleUnknown),
            None if circuit.other.is_some() => Some(LeftBecause::NotComputed),
            None => Some(LeftBecause::NoNetwork),
            Some(_) if spare => Some(LeftBecause::Spare),
            Some(_) if circuit.duty == Some(Duty::Sounder) => Some(LeftBecause::Sounder),
            Some(_) => None,
        };
        if let (Some(because), None) = (&absent, pin) {
            return Err(because.clone());
        }
        let circuit_asked = asked(table, ground, circuit, pin);
        let mut entry = Self { circuit: circuit_asked, ways: Vec::new(), wrong: None, second_best: false };
        if let (Some(network), None) = (network, &absent) {
            entry.fill(table, ground, at, network);
        }
        if entry.ways.is_empty() {
            let first = entry.reason(&ground.problem);
            let why = match absent {
                Some(because) => because.words().to_owned(),
                None => first.unwrap_or_else(|| "no module is there or offered".to_owned()),
            };
            match pin {
                Some(pin) => entry.stays(ground, circuit, pin, why),
                None => {
                    let found = network.and_then(|network| forbidden(table, ground, at, network));
                    return Err(match found {
                        Some(forbidden) => LeftBecause::Forbidden { why: format!("{why}; {forbidden}") },
                        None => LeftBecause::ReadsWrong(why),
                    });
                }
            }
        } else {
            if remedies == Remedies::Surest {
                entry.second_best = entry.only_the_surest();
            }
            entry.extend(table, ground, at);
        }
        Ok(entry)
    }

    /// A fit for every offer and mode that reads it right. What remains to be put right counts only where nothing
    /// else does.
    fn fill(&mut self, table: &Table, ground: &Ground, at: usize, network: &network::Network) {
        let circuit = &table.setting.job.circuits[at];
        let mut remaining = Vec::new();
        for (offer, profile) in ground.offers.iter().enumerate() {
            let Some(module) = module_of(profile) else { continue };
            for mode in 0..module.modes.len() {
                if !may_have(circuit, module, mode) {
                    continue;
                }
                match table.ways(at, network, module, mode) {
                    Ok(ways) => {
                        for way in ways {
                            let cost =
                                way.remedy.as_ref().map(|remedy| of_remedy(table.setting.library, remedy));
                            let fit = engine::Fit {
                                offer,
                                mode,
                                inputs: way.inputs,
                                effort: cost.unwrap_or_default(),
                            };
                            match &way.remains {
                                Some(_) => remaining.push((fit, way)),
                                None => self.push(fit, way),
                            }
                        }
                    }
                    Err(reason) => self.circuit.refusals.push(engine::Refusal { offer, mode, reason }),
                }
            }
        }
        let here = |fit: &engine::Fit| {
            self.circuit.pin.is_none_or(|pin| ground.problem.existing[pin.existing].offer == fit.offer)
        };
        let only = !self.circuit.fits.iter().any(here);
        for (fit, way) in remaining {
            if only {
                self.push(fit, way);
            } else {
                let reason = way.remains.unwrap_or_default();
                self.circuit.refusals.push(engine::Refusal { offer: fit.offer, mode: fit.mode, reason });
            }
        }
        // A person has said which module: what another would do does not help there.
        if let Some(pin) = self.circuit.pin {
            let kept = &ground.problem.existing[pin.existing];
            let fits = std::mem::take(&mut self.circuit.fits).into_iter().zip(std::mem::take(&mut self.ways));
            for (fit, way) in fits.filter(|(fit, _)| fit.offer == kept.offer) {
                self.push(fit, way);
            }
            // Inputs are kept for its home runs: they are to be parted, where that reads right at all.
            let promised = 1 + self.circuit.also.len();
            if promised > 1 && self.circuit.fits.iter().any(|fit| usize::from(fit.inputs) == promised) {
                let fits =
                    std::mem::take(&mut self.circuit.fits).into_iter().zip(std::mem::take(&mut self.ways));
                for (fit, way) in fits.filter(|(fit, _)| usize::from(fit.inputs) == promised) {
                    self.push(fit, way);
                }
            }
            if kept.mode.is_some_and(|mode| self.circuit.fits.iter().all(|fit| fit.mode != mode))
                && ground.problem.offers[kept.offer].mode_per == engine::ModePer::Module
            {
                self.circuit.fits.clear();
                self.ways.clear();
            }
        }
    }

    /// Why it is read wrong: on the module and in the mode that the job says, else the first reason of all.
    fn reason(&self, problem: &Problem) -> Option<String> {
        let kept = self.circuit.pin.map(|pin| &problem.existing[pin.existing]);
        let rank = |refusal: &&engine::Refusal| match kept {
            Some(kept) => (kept.offer != refusal.offer, kept.mode.is_some_and(|mode| mode != refusal.mode)),
            None => (false, false),
        };
        self.circuit.refusals.iter().min_by_key(rank).map(|refusal| refusal.reason.clone())
    }

    /// Of what has to be done to a circuit only that counts which leaves the fewest faults that hide an alarm:
    /// a cheaper one is no answer while a better one exists. Whether anything was dropped.
    fn only_the_surest(&mut self) -> bool {
        let rank = |way: &Way| way.remedy.as_ref().map(|remedy| (remedy.hard, !remedy.hides.is_empty()));
        let Some(best) = self.ways.iter().filter_map(rank).min() else { return false };
        let before = self.ways.len();
        let fits = std::mem::take(&mut self.circuit.fits).into_iter().zip(std::mem::take(&mut self.ways));
        for (fit, way) in fits.filter(|(_, way)| rank(way).is_none_or(|rank| rank <= best)) {
            self.push(fit, way);
        }
        self.ways.len() < before
    }

    fn push(&mut self, fit: engine::Fit, way: Way) {
        self.circuit.fits.push(fit);
        self.ways.push(way);
    }

    /// A person has put it there: it stays, and is told. Two-wire smoke detectors still need an input that is
    /// listed for them; the solver sees to that.
    fn stays(&mut self, ground: &Ground, circuit: &Circuit, pin: engine::Pin, why: String) {
        let kept = &ground.problem.existing[pin.existing];
        let Some(module) = module_of(ground.offers[kept.offer]) else { return };
        for mode in (0..module.modes.len()).filter(|&mode| may_have(circuit, module, mode)) {
            let fit = engine::Fit { offer: kept.offer, mode, inputs: 1, effort: Effort::default() };
            self.push(fit, Way { inputs: 1, remedy: None, remains: None });
        }
        self.wrong = Some(why);
    }

    /// Where its cable can be made longer to, as far as every fit holds with it.
    fn extend(&mut self, table: &Table, ground: &Ground, at: usize) {
        let job = table.setting.job;
        let (Some(ends_in), None) = (self.circuit.ends_in, self.circuit.pin) else { return };
        let Some(network) = &job.circuits[at].network else { return };
        let from = |extension: &&job::Extension| ground.places.index(&extension.from) == Some(ends_in);
        for extension in job.extensions.iter().filter(from) {
            let Some(enclosure) = ground.places.index(&extension.to).filter(|to| *to != ends_in) else {
                continue;
            };
            let holds = self.circuit.fits.iter().zip(&self.ways).all(|(fit, way)| {
                way.inputs == 1
                    && module_of(ground.offers[fit.offer]).is_some_and(|module| {
                        table.holds_longer(at, network, module, fit.mode, way, extension.length)
                    })
            });
            if holds && self.circuit.extensions.iter().all(|known| known.enclosure != enclosure) {
                let effort = of_extension(table.setting.library, extension.length, extension.minutes);
                self.circuit.extensions.push(engine::Extension { enclosure, effort });
            }
        }
    }
}

/// Where each input has its own mode, a circuit's own `mode` is kept.
pub(crate) fn may_have(circuit: &Circuit, module: &ModuleProfile, mode: usize) -> bool {
    match &circuit.mode {
        Some(own) if module.mode_per == ModePer::Input => {
            module.modes[mode].id == own.value || module.modes.iter().all(|other| other.id != own.value)
        }
        _ => true,
    }
}

fn pin(ground: &Ground, job: &Job, circuit: &Circuit) -> Option<engine::Pin> {
    let input = circuit.input.as_ref()?;
    let of_module = |at: &usize| job.modules[*at].id.value == input.module;
    let existing = ground.modules.iter().position(of_module)?;
    Some(engine::Pin { existing, input: input.number })
}

/// What the circuit asks for, without what reads it.
fn asked(table: &Table, ground: &Ground, circuit: &Circuit, pin: Option<engine::Pin>) -> engine::Circuit {
    let job = table.setting.job;
    let ends_in = match pin {
        Some(pin) => Some(ground.problem.existing[pin.existing].enclosure),
        None => circuit.ends_in.as_ref().and_then(|id| ground.places.index(id)),
    };
    let area = circuit.programmed.area.as_ref().map(|area| area.value.to_string());
    engine::Circuit {
        tag: circuit.tag.value.clone(),
        ends_in,
        area: area.filter(|_| job.allocate.areas_together),
        zone: circuit.zone,
        was: number(&circuit.was).filter(|_| job.allocate.keep_numbers),
        pin,
        also: circuit.also.iter().map(|also| also.number).collect(),
        aux_ma: aux(table, circuit),
        smoke: circuit.network.as_ref().is_some_and(has_smoke),
        ..engine::Circuit::default()
    }
}

/// `zone 7`, `zones 7 and 15`, `7`: the number that it had; none of `fire 1`, which counts elsewhere.
fn number(was: &str) -> Option<u32> {
    let rest = was.trim();
    let rest = rest.strip_prefix("zones").or_else(|| rest.strip_prefix("zone")).unwrap_or(rest).trim_start();
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().ok().filter(|number| *number > 0)
}

/// What its devices draw from the auxiliary output of a module, where the job says that one feeds them.
fn aux(table: &Table, circuit: &Circuit) -> u32 {
    let setting = &table.setting;
    let mut names: Vec<&str> = circuit
        .network
        .iter()
        .flat_map(|network| network.elements())
        .filter_map(|element| element.name())
        .collect();
    names.sort_unstable();
    names.dedup();
    let drawn = names.into_iter().filter_map(|name| {
        let device = setting.device(&circuit.tag, name)?;
        let owner = device.fed_by.as_ref()?.split_once('.')?.0;
        setting.job.modules.iter().find(|module| module.id.value == owner)?;
        let draws = setting.library.profiles.get(device.profile.as_ref()?.as_str())?.draws;
        match draws.alarm {
            library::Draw::Current(amperes) => Some(amperes.0),
            library::Draw::Power(watts) => Some(watts.0 / 10.5),
            library::Draw::Resistance(ohms) => Some(14.0 / ohms.0.max(1e-3)),
        }
    });
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "amperes of a few devices, in mA"
    )]
    let milliamperes = (drawn.sum::<f64>() * 1e3).ceil() as u32;
    milliamperes
}

/// Circuits that share a core get one name, that of the cable and the core.
fn name_commons(table: &Table, ground: &mut Ground) {
    let job = table.setting.job;
    let place: BTreeMap<usize, usize> =
        ground.circuits.iter().enumerate().map(|(place, at)| (*at, place)).collect();
    for cable in &job.cables {
        for core in &cable.cores {
            let mut group: Vec<usize> = core
                .to
                .iter()
                .filter_map(|end| match &end.value {
                    job::CoreEnd::Circuit { tag, .. } => {
                        job.circuits.iter().position(|circuit| circuit.tag.value == *tag)
                    }
                    _ => None,
                })
                .filter(|at| place.contains_key(at))
                .collect();
            group.sort_unstable();
            group.dedup();
            if group.len() < 2 {
                continue;
            }
            let all: Vec<usize> =
                reached(table, &group).into_iter().filter_map(|at| place.get(&at).copied()).collect();
            let known = all.iter().find_map(|place| ground.problem.circuits[*place].commons.clone());
            let name =
                known.unwrap_or_else(|| format!("{} {}", cable.id.value, core.colour).trim().to_owned());
            for place in all {
                ground.problem.circuits[place].commons = Some(name.clone());
            }
        }
    }
}

/// Everything that shares a core with these, or with what does.
fn reached(table: &Table, group: &[usize]) -> Vec<usize> {
    let mut all = group.to_vec();
    let mut next = 0;
    while let Some(&at) = all.get(next) {
        for other in table.sharers(at) {
            if !all.contains(other) {
                all.push(*other);
            }
        }
        next += 1;
    }
    all
}
