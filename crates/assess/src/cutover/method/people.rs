//! Steps that people ask for: who is told when fire goes out and comes back, what is done before everybody leaves, how the old
//! panel comes down or stays.

use cutover::{Act, Plan, Way};

use super::{Phase, Writer};
use crate::cutover::endless::{is_fire, output_of, stays_behind, tags};
use crate::cutover::tasks::Work;
use crate::cutover::words::{caution, feeds, first, old_terminal};

/// The phase of a panel's profile that stands where the panel comes down.
pub(super) const POWER_DOWN: &str = "power_down";

/// Acts before which people are told that fire goes out, and acts after which that it is back.
#[derive(Default)]
pub(super) struct Told {
    out: Vec<Act>,
    back: Vec<Act>,
}

impl Told {
    pub(super) fn new(work: &Work, plan: Option<&Plan>, acts: &[(Option<usize>, Act)]) -> Self {
        let fire = |act: &Act| matches!(act, Act::Move(line) if work.problem.lines[*line].fire);
        if work.way == Way::Swap {
            let any = work.problem.lines.iter().any(|line| line.fire)
                || work.left_out.iter().any(|circuit| is_fire(circuit));
            let first = acts.iter().map(|(_, act)| *act).find(|act| any && matches!(act, Act::Lift(_)));
            return Self { out: first.into_iter().collect(), back: Vec::new() };
        }
        let moves: Vec<Act> = acts.iter().map(|(_, act)| *act).filter(fire).collect();
        let Some(plan) = plan else {
            return Self {
                out: moves.first().copied().into_iter().collect(),
                back: moves.last().copied().into_iter().collect(),
            };
        };
        let mut told = Self::default();
        for out in &plan.outage.intervals {
            let inside =
                |task: &&cutover::Planned| fire(&task.act) && task.start >= out.from && task.end <= out.to;
            let of = || plan.tasks.iter().filter(inside);
            told.out.extend(of().map(|task| task.act).next());
            told.back.extend(of().max_by_key(|task| task.end).map(|task| task.act));
        }
        told
    }
}

impl Writer<'_, '_> {
    /// What is said before an act.
    pub(super) fn tell_before(&mut self, act: Act) {
        if self.told.out.contains(&act) {
            let act = "fire alarm out of service from now on: tell the owner, the authority and the station; fire watch in its \
                       place";
            let proof =
                "each is told, with the time, and reads it back; the watch walks; the time is written down";
            self.put(
                Phase::Circuit,
                "job",
                [
                    act.to_owned(),
                    proof.to_owned(),
                    "lift nothing, and tell each that the alarm stayed in service".to_owned(),
                    "The clock of the impairment starts at the first lift.".to_owned(),
                ],
            );
        }
        if matches!(act, Act::Lift(_))
            && self.work.way == Way::Swap
            && !std::mem::replace(&mut self.down, true)
        {
            self.old_panel_down();
        }
    }

    /// What is said after an act.
    pub(super) fn tell_after(&mut self, act: Act) {
        if self.told.back.contains(&act)
            || (act == Act::FireProven && self.work.problem.lines.iter().any(|line| line.fire))
        {
            self.fire_back();
        }
        if act == Act::Lifted && self.work.way == Way::Swap && !self.work.problem.lines.is_empty() {
            self.left_lifted();
        }
    }

    fn fire_back(&mut self) {
        let work = self.work;
        let left = work.left_out.iter().copied().filter(|circuit| work.way == Way::Swap && is_fire(circuit));
        let left = tags(left);
        let but = if left.is_empty() {
            String::new()
        } else {
            format!(", but for {left}: the watch goes on there")
        };
        let act = format!(
            "fire circuits are back{but}: tell the authority, the station and the owner, write the time down"
        );
        self.plain(Phase::Circuit, "job", &act, "each is told, with the time, and read back", "");
    }

    /// In a swap the pairs without an input come off the old panel with all others.
    fn left_lifted(&mut self) {
        let job = self.assessment.job;
        for circuit in self.work.left_out.iter().copied() {
            if let Some(output) = output_of(job, circuit) {
                let act = format!(
                    "{}lift {} too, ends apart: it goes to {}",
                    first(circuit),
                    old_terminal(circuit),
                    output.id.value
                );
                let proof = "tagged, ends apart; nothing sounds from here until its output is proven";
                self.put(
                    Phase::Circuit,
                    &circuit.tag.value,
                    [act, proof.to_owned(), "land it again".to_owned(), caution(circuit)],
                );
            }
        }
        let left = self.work.left_out.iter().copied().filter(|circuit| stays_behind(job, circuit));
        for circuit in left {
            let act = format!(
                "{}lift {} too, ends apart: it has no input and does not come back",
                first(circuit),
                old_terminal(circuit)
            );
            let proof =
                "tagged, on the unprotected list without an end; somebody has signed for what watches there";
            let undoes = "give it an input, land it, prove it".to_owned();
            let caution = feeds(circuit).unwrap_or_default();
            self.put(Phase::Circuit, &circuit.tag.value, [act, proof.to_owned(), undoes, caution]);
        }
    }

    /// Before everybody leaves, and before the work goes on, where the next task lies in another stretch.
    pub(super) fn between(&mut self, task: &cutover::Planned) {
        let span = self.on_test.iter().position(|(on, off)| *on <= task.start && task.end <= *off);
        let Some(span) = span.filter(|_| task.end > task.start) else { return };
        for _ in self.span..span {
            let act = "before leaving: account off test; a true signal of each account sent; what is without protection listed, \
                       shown and signed";
            let proof = "the operator reads the signals back; somebody has signed for what watches meanwhile";
            self.plain(Phase::Gate, "job", act, proof, "");
            let act = "before the work goes on: account on test again; people in the building told";
            let proof = "the operator reads back account, until when, and who asked";
            self.plain(Phase::Gate, "job", act, proof, "off test, and a true signal sent");
        }
        self.span = span.max(self.span);
    }

    /// The old panel out of service: first what sounds and dials, then battery and mains.
    pub(super) fn old_panel_down(&mut self) {
        self.put(
            Phase::Circuit,
            "panel",
            [
                "silence and isolate the old sounder and the old dialler; a self-powered sounder by its own means".to_owned(),
                "nothing sounds, nothing is dialled; both stand on the list of isolated outputs".to_owned(),
                "connect them again".to_owned(),
                "A self-powered sounder sounds when its hold-off goes: people told, its battery lifted first.".to_owned(),
            ],
        );
        self.put(
            Phase::Circuit,
            "panel",
            [
                "the old panel comes out of service: battery and mains off in the order of its manual".to_owned(),
                "mains measured dead at the terminals; battery leads apart and covered; the time is written down".to_owned(),
                "mains and battery on again in the order of its manual".to_owned(),
                "Mains: isolated and proven dead; an electrician where the law reserves it. A shorted battery burns: rings \
                 off, insulated tools, terminals covered."
                    .to_owned(),
            ],
        );
        if let Some(profile) = self.panel() {
            self.profile_steps(profile, POWER_DOWN, "panel");
        }
        if !self.work.dummies.is_empty() {
            let act = "take every dummy resistor off the old terminals";
            self.plain(Phase::Close, "job", act, "their count is that of the list; none is left", "");
        }
    }

    /// Sounder circuits on the outputs that drive them, those of the modules that are wanted.
    pub(super) fn sounders(&mut self, wanted: &dyn Fn(&str) -> bool) {
        let job = self.assessment.job;
        for circuit in self.work.left_out.iter().copied() {
            let Some(output) = output_of(job, circuit) else { continue };
            if !wanted(output.id.value.split('.').next().unwrap_or_default()) {
                continue;
            }
            let lift = if self.work.way == Way::Swap { "" } else { "lift it from the old panel; " };
            let act =
                format!("{lift}measure; land on {}; operate the output, then silence it", output.id.value);
            let proof =
                "it sounds from the new equipment, and is silent again; polarity at rest as its manual says";
            self.put(
                Phase::Circuit,
                &circuit.tag.value,
                [act, proof.to_owned(), "lift it again".to_owned(), caution(circuit)],
            );
        }
    }

    /// Side by side, when circuits stay on it.
    pub(super) fn old_panel_stays(&mut self) {
        let work = self.work;
        let stay = work
            .left_out
            .iter()
            .copied()
            .filter(|circuit| work.way == Way::SideBySide && stays_behind(self.assessment.job, circuit));
        let stay = tags(stay);
        if stay.is_empty() || work.circuits.is_empty() {
            return;
        }
        let dummies = if work.dummies.is_empty() {
            ""
        } else {
            "; the dummy resistors of the circuits that went over stay on its terminals and on the list"
        };
        let act = format!(
            "the old panel stays in service for {stay}: powered, its battery good, its account open{dummies}"
        );
        let proof = "each of them is tripped at the old panel, and arrives; somebody has signed until when";
        self.plain(Phase::Close, "panel", &act, proof, "");
    }
}
