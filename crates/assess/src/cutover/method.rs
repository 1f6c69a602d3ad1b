//! The method statement: what is done, what must be seen, what undoes it; in the order of the plan.

mod circuits;
mod people;

use cutover::{Act, Plan, Way};
use library::Profile;

use super::endless::on_test;
use super::law::{GATE, gate};
use super::tasks::{Piece, Work, is_smoke};
use super::words::{end_resistor, feeds, input};
use crate::assess::Assessment;
use people::{POWER_DOWN, Told};

/// Part of the work that a step belongs to, in the order in which a module sees them in a swap.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Phase {
    /// Before the first circuit is lifted.
    Gate,
    /// New equipment is mounted, checked, programmed.
    Prepare,
    /// A phase of a profile's `[steps]`, by its word.
    Profile(String),
    /// A circuit goes over.
    Circuit,
    /// When all is proven.
    Close,
}

impl Phase {
    /// The word in JSON.
    #[must_use]
    pub fn word(&self) -> &str {
        match self {
            Self::Gate => "gate",
            Self::Prepare => "prepare",
            Self::Profile(word) => word,
            Self::Circuit => "circuit",
            Self::Close => "finish",
        }
    }
}

/// One numbered step.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// From 1.
    pub number: usize,
    /// The task that it is part of, as a place in [`Plan::tasks`]; none before the work begins, and without a plan.
    pub task: Option<usize>,
    /// What it belongs to.
    pub phase: Phase,
    /// The module, circuit, enclosure or supply; `job` for the whole.
    pub place: String,
    /// What to do.
    pub act: String,
    /// What must be seen.
    pub proof: String,
    /// What undoes it; empty when nothing has to.
    pub undoes: String,
    /// What never to do, and what can hurt; empty when nothing.
    pub caution: String,
}

/// The phases of a module's profile up to the first circuit, side by side.
const AWAKE_FIRST: [&str; 3] = ["power_up", "enrol_module", "prove_outputs"];
/// Every phase that has its place; another one comes before learning is left.
const KNOWN: [&str; 10] = [
    "clear",
    "set_mode",
    "land",
    "power_up",
    "enrol_module",
    "prove_outputs",
    "enrol_inputs",
    "prove_smoke",
    "leave_learning",
    "close",
];

/// What is seen of a profile's smoke step where the module carries no smoke.
const NO_SMOKE: &str = "no smoke circuit here: nothing to prove; seen on the list of its inputs";

struct Writer<'w, 'a> {
    assessment: &'w Assessment<'a>,
    work: &'w Work<'a>,
    steps: Vec<Step>,
    task: Option<usize>,
    /// Modules whose `land`, and whose `enrol_inputs`, are written.
    landed: Vec<bool>,
    proven: Vec<bool>,
    /// Smoke circuits of each module that are not proven yet.
    smoke: Vec<usize>,
    told: Told,
    /// When the account is on test, and in which of these times the writer is.
    on_test: Vec<(u32, u32)>,
    span: usize,
    /// In a swap: the old panel is down.
    down: bool,
}

pub(crate) fn steps<'a>(assessment: &Assessment<'a>, work: &Work<'a>, plan: Option<&Plan>) -> Vec<Step> {
    let modules = work.modules.len();
    let acts = acts(work, plan);
    let mut smoke = vec![0; modules];
    for (circuit, line) in work.circuits.iter().zip(&work.problem.lines) {
        smoke[line.module] += usize::from(is_smoke(circuit));
    }
    let mut writer = Writer {
        assessment,
        work,
        steps: Vec::new(),
        task: None,
        landed: vec![false; modules],
        proven: vec![false; modules],
        smoke,
        told: Told::new(work, plan, &acts),
        on_test: plan.map_or(Vec::new(), |plan| on_test(work, plan)),
        span: 0,
        down: false,
    };
    writer.gate();
    for (task, act) in acts {
        if let Some((plan, task)) = plan.zip(task) {
            writer.between(&plan.tasks[task]);
        }
        writer.task = task;
        writer.tell_before(act);
        writer.write(act);
        writer.tell_after(act);
    }
    for (at, step) in writer.steps.iter_mut().enumerate() {
        step.number = at + 1;
    }
    writer.steps
}

/// Every act in its order; without a plan the order of the job.
fn acts(work: &Work, plan: Option<&Plan>) -> Vec<(Option<usize>, Act)> {
    if let Some(plan) = plan {
        return plan.tasks.iter().enumerate().map(|(at, task)| (Some(at), task.act)).collect();
    }
    let all = |stages: &[Vec<Vec<Piece>>], act: fn(usize, usize, usize) -> Act| {
        let mut acts = Vec::new();
        for (stage, chains) in stages.iter().enumerate() {
            for (chain, pieces) in chains.iter().enumerate() {
                acts.extend((0..pieces.len()).map(|at| act(stage, chain, at)));
            }
        }
        acts
    };
    let lines = || 0..work.problem.lines.len();
    let mut acts = all(&work.before, Act::Prepare);
    acts.push(Act::Gate);
    match work.way {
        Way::SideBySide => {
            acts.extend(lines().map(Act::Move));
            acts.push(Act::Proven);
        }
        Way::Swap => {
            acts.extend(lines().map(Act::Lift));
            acts.push(Act::Lifted);
            acts.extend(lines().map(Act::Land));
            acts.extend((0..work.modules.len()).map(Act::Wake));
            acts.extend(lines().map(Act::Prove));
            acts.extend([Act::FireProven, Act::Proven]);
        }
    }
    acts.extend(all(&work.after, Act::Finish));
    acts.into_iter().map(|act| (None, act)).collect()
}

impl<'w> Writer<'w, '_> {
    fn put(&mut self, phase: Phase, place: &str, [act, proof, undoes, caution]: [String; 4]) {
        let place = place.to_owned();
        self.steps.push(Step { number: 0, task: self.task, phase, place, act, proof, undoes, caution });
    }

    fn plain(&mut self, phase: Phase, place: &str, act: &str, proof: &str, undoes: &str) {
        self.put(phase, place, [act.to_owned(), proof.to_owned(), undoes.to_owned(), String::new()]);
    }

    fn gate(&mut self) {
        for ((_, words), said) in GATE.iter().zip(gate(self.assessment.job)) {
            let proof =
                if said.is_empty() { "OPEN: nothing is written yet".to_owned() } else { said.to_owned() };
            self.put(Phase::Gate, "job", [format!("gate: {words}"), proof, String::new(), String::new()]);
        }
        let moved = self.work.circuits.iter().chain(&self.work.left_out).copied();
        for (circuit, feeds) in moved.filter_map(|circuit| Some((circuit, feeds(circuit)?))) {
            let act = "what feeds this pair is found and switched off; at more than 50 V AC or 120 V DC that is an electrician's work";
            let proof = "volts AC and DC of the pair and of each leg to earth: each under 1 V, written into its readings";
            self.put(Phase::Gate, &circuit.tag, [act.to_owned(), proof.to_owned(), String::new(), feeds]);
        }
        self.put(
            Phase::Gate,
            "job",
            [
                "isolate releasing, door, lift, fan and suppression outputs by their designed means, in writing".to_owned(),
                "each is seen isolated, and stands on a list to be restored by a test".to_owned(),
                "restore each by a test at the end".to_owned(),
                "No voltage is fed into a pair that is not proven clear of these.".to_owned(),
            ],
        );
        self.plain(
            Phase::Gate,
            "job",
            "with the account on test and the people told: test the old installation whole; photograph every strip; tag every conductor with its old terminal",
            "what does not work is on paper, signed by the owner, before anything is loosened",
            "",
        );
        if let Some(profile) = self.panel() {
            let phases: Vec<String> = profile.steps.keys().cloned().collect();
            for phase in phases.into_iter().filter(|phase| phase != POWER_DOWN) {
                self.profile_steps(profile, &phase, "panel");
            }
        }
    }

    /// The profile of the old panel.
    fn panel(&self) -> Option<&'w Profile> {
        let panel = self.assessment.job.panel.as_ref()?.profile.as_ref()?;
        self.assessment.library.profiles.get(panel.as_str())
    }

    fn write(&mut self, act: Act) {
        match act {
            Act::Prepare(stage, chain, at) => self.piece(self.work.before[stage][chain][at]),
            Act::Finish(stage, chain, at) => self.piece(self.work.after[stage][chain][at]),
            Act::Gate => {
                let words = "GATE: no circuit is lifted before every line above is ticked";
                self.plain(
                    Phase::Gate,
                    "job",
                    words,
                    "every line above is ticked, the time is written down",
                    "",
                );
            }
            Act::Move(line) => {
                self.module_lands(line);
                self.module_proves(line);
                self.moves(line);
            }
            Act::Lift(line) => self.lifts(line),
            Act::Land(line) => {
                self.module_lands(line);
                self.lands(line);
            }
            Act::Wake(module) => self.wakes(module),
            Act::Prove(line) => {
                self.module_proves(line);
                self.proves(line);
            }
            // Side by side sounders go over when nothing waits for the old panel any more; in a swap each with its module.
            Act::Proven => {
                let ids: Vec<&str> = self.work.modules.iter().map(|(module, _)| module.id.as_str()).collect();
                let side = self.work.way == Way::SideBySide;
                self.sounders(&|module| side || !ids.contains(&module));
            }
            Act::Lifted | Act::FireLanded | Act::FireProven => {}
        }
    }

    fn module(&self, at: usize) -> (String, &'_ Profile) {
        (self.work.modules[at].0.id.value.clone(), self.work.modules[at].1)
    }

    /// The steps of one phase of a profile.
    fn profile_steps(&mut self, profile: &Profile, phase: &str, place: &str) {
        for step in profile.steps.get(phase).into_iter().flatten() {
            let proof = if step.proof.is_empty() { "done, and seen by a second person" } else { &step.proof };
            self.plain(Phase::Profile(phase.to_owned()), place, &step.act, proof, &step.undoes);
        }
    }

    fn module_phases(&mut self, at: usize, phases: &[&str]) {
        let profile = self.work.modules[at].1;
        let place = self.work.modules[at].0.id.value.clone();
        for phase in phases {
            self.profile_steps(profile, phase, &place);
        }
    }

    fn piece(&mut self, piece: Piece) {
        let job = self.assessment.job;
        match piece {
            Piece::Enclosure(at) => {
                let enclosure = &job.enclosures[at];
                let place =
                    if enclosure.place.is_empty() { String::new() } else { format!(", {}", enclosure.place) };
                let act = format!("mount the new enclosure beside the old one{place}; earth it");
                self.plain(Phase::Prepare, &enclosure.id, &act, "it hangs firm, the earth is measured", "");
            }
            Piece::Supply(at) => self.supply(at),
            Piece::Fit(at) => {
                let (id, _) = self.module(at);
                let act = "fit the module in its place, supply off; no field wiring on it";
                self.plain(Phase::Prepare, &id, act, "it sits in its place, its label is readable", "");
                self.module_phases(at, &["clear", "set_mode"]);
            }
            Piece::Bench(at) => {
                let (id, profile) = self.module(at);
                let eol =
                    end_resistor(profile, self.work.modules[at].0.mode.as_ref().map(|mode| mode.as_str()));
                let act =
                    format!("a resistor on every input, no field wiring{eol}; supply it for the check alone");
                self.plain(
                    Phase::Prepare,
                    &id,
                    &act,
                    "every input reads normal; one opened, one shorted: each is shown",
                    "",
                );
            }
            Piece::Programme(at) => {
                let (id, _) = self.module(at);
                let act = "programme number, name, area and response of every input of this module";
                self.plain(
                    Phase::Prepare,
                    &id,
                    act,
                    "the list read back is that of the programming sheet",
                    "",
                );
            }
            Piece::Adapters(at) => self.adapters(at),
            Piece::Wake(at) => self.wakes(at),
            Piece::OnTest => {
                let act = "both accounts, old and new, on test; new path to the station proven; people in the building told";
                let proof = "the operator reads back account, until when, and who asked";
                self.plain(Phase::Gate, "job", act, proof, "off test, and a true signal sent");
            }
            Piece::LeaveLearning(at) => {
                let profile = self.work.modules[at].1;
                let others: Vec<String> =
                    profile.steps.keys().filter(|phase| !KNOWN.contains(&phase.as_str())).cloned().collect();
                let others: Vec<&str> = others.iter().map(String::as_str).collect();
                self.no_smoke(at);
                self.module_phases(at, &others);
                self.missing(
                    at,
                    "leave_learning",
                    "leave learning and enrolment",
                    "nothing shows that it still learns",
                );
                self.module_phases(at, &["leave_learning"]);
            }
            Piece::Close(at) => {
                self.missing(
                    at,
                    "close",
                    "close the cover, trip its tamper once",
                    "a tamper arrives, and restores",
                );
                self.module_phases(at, &["close"]);
            }
            Piece::PowerDown => self.old_panel_down(),
            Piece::OffTest => self.off_test(),
        }
    }

    /// The common step where a profile has none of a phase.
    fn missing(&mut self, at: usize, phase: &str, act: &str, proof: &str) {
        let (id, profile) = self.module(at);
        if profile.steps.get(phase).is_none_or(Vec::is_empty) {
            self.plain(Phase::Close, &id, act, proof, "");
        }
    }

    fn supply(&mut self, at: usize) {
        let supply = &self.assessment.job.supplies[at];
        let id = supply.id.value.clone();
        self.put(
            Phase::Prepare,
            &id,
            [
                "mount and connect supply, transformer and battery leads; mains off, battery off".to_owned(),
                "polarity measured, fuse in its place, outlet not switched".to_owned(),
                "battery off first, then mains".to_owned(),
                "Mains: isolated and proven dead; an electrician where the law reserves it. A shorted battery burns: \
                 rings off, insulated tools, terminals covered; the battery is connected last."
                    .to_owned(),
            ],
        );
        let profile =
            supply.profile.as_ref().and_then(|id| self.assessment.library.profiles.get(id.as_str()));
        if let Some(profile) = profile {
            let phases: Vec<String> = profile.steps.keys().cloned().collect();
            for phase in phases {
                self.profile_steps(profile, &phase, &id);
            }
        }
    }

    fn adapters(&mut self, at: usize) {
        for line in 0..self.work.circuits.len() {
            let here = self.work.problem.lines[line].module == at;
            let Some(remedy) = self.work.remedies[line].clone().filter(|remedy| here && remedy.at_terminals)
            else {
                continue;
            };
            let tag = self.work.circuits[line].tag.value.clone();
            let mut act =
                format!("at the new terminals of {}: {}", input(self.work.circuits[line]), remedy.text);
            if !remedy.better.is_empty() {
                act.push_str(&format!(" Only where this does not come first: {}", remedy.better));
            }
            self.plain(
                Phase::Prepare,
                &tag,
                &act,
                "the resistors are measured before they are fitted",
                "take them out",
            );
        }
    }

    fn wakes(&mut self, at: usize) {
        let phases = [
            (
                "power_up",
                "mains, then battery, unless the manual says otherwise",
                "no trouble is shown, the volts lie in their range",
            ),
            ("enrol_module", "enrol the module itself", "its identity is that of its label"),
            (
                "prove_outputs",
                "operate every output and the smoke reset over the link",
                "each is heard or measured, and restores",
            ),
        ];
        for ((phase, act, proof), own) in phases.into_iter().zip(AWAKE_FIRST) {
            self.missing(at, phase, act, proof);
            self.module_phases(at, &[own]);
        }
        if self.work.way == Way::Swap {
            let id = self.work.modules[at].0.id.value.clone();
            self.sounders(&|module| module == id);
        }
    }

    fn module_lands(&mut self, line: usize) {
        let at = self.work.problem.lines[line].module;
        if !std::mem::replace(&mut self.landed[at], true) {
            self.module_phases(at, &["land"]);
        }
    }

    fn module_proves(&mut self, line: usize) {
        let at = self.work.problem.lines[line].module;
        if !std::mem::replace(&mut self.proven[at], true) {
            self.module_phases(at, &["enrol_inputs"]);
        }
    }

    /// Smoke is proven once the last smoke circuit of the module is on it.
    fn smoke_proven(&mut self, line: usize) {
        let at = self.work.problem.lines[line].module;
        if !is_smoke(self.work.circuits[line]) {
            return;
        }
        self.smoke[at] -= 1;
        if self.smoke[at] == 0 {
            self.module_phases(at, &["prove_smoke"]);
        }
    }

    /// A profile's step for smoke, at a module on which there is none.
    fn no_smoke(&mut self, at: usize) {
        let lines = self.work.problem.lines.iter().zip(&self.work.circuits);
        if lines.into_iter().any(|(line, circuit)| line.module == at && is_smoke(circuit)) {
            return;
        }
        let (place, profile) = (self.work.modules[at].0.id.value.clone(), self.work.modules[at].1);
        for step in profile.steps.get("prove_smoke").into_iter().flatten() {
            let phase = Phase::Profile("prove_smoke".to_owned());
            self.plain(phase, &place, &step.act, NO_SMOKE, "");
        }
    }

    fn off_test(&mut self) {
        self.old_panel_stays();
        let act = "isolated outputs restored, each by a test";
        self.plain(Phase::Close, "job", act, "every line of the list of isolated outputs is ticked", "");
        let act = "account off test; a true signal of fire and one of intrusion sent";
        self.plain(Phase::Close, "job", act, "the operator reads both back with account and number", "");
        let act = "what is still unprotected is written down, shown and signed; an impairment is closed with its time";
        self.plain(Phase::Close, "job", act, "the list is empty, or somebody has signed for each line", "");
    }
}
