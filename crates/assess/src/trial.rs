//! A circuit tried out: what its input would read of another network, with some contacts active.

use circuit::{Fit, Setting, model};
use library::{Kind, Scale};
use network::{Bounds, Meaning, Network};
use quantity::MeterDisplay;

use crate::assess::Assessment;
use crate::commons::commons;

/// What a tried circuit shows.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Trial {
    /// At the input's terminals.
    pub ohms: Bounds,
    /// What the job's meter shows, the pair off its terminals.
    pub meter: MeterDisplay,
    /// The band that it surely is; none without an input, and between two bands.
    pub band: Option<usize>,
    /// What that band means to the circuit.
    pub means: Option<Meaning>,
    /// Whether it means what the active contacts ask for; none without an input.
    pub ok: Option<bool>,
}

/// Tries a circuit of the job (its place in the list) with another network on its input as it is; `active` are contacts
/// of that network. An input that learned keeps what it learned from the circuit as it is. None where the job has no such
/// circuit.
#[must_use]
pub fn trial(assessment: &Assessment, at: usize, network: &Network, active: &[usize]) -> Option<Trial> {
    let setting = Setting::new(assessment.job, assessment.library);
    let result = assessment.circuits.get(at)?;
    let module = result.circuit.input.as_ref().and_then(|input| {
        let module = assessment.job.modules.iter().find(|module| module.id.value == input.module)?;
        Some((input.number, module.profile.as_ref()?))
    });
    let seat = module.and_then(|(input, id)| {
        let Kind::Module(profile) = &assessment.library.profiles.get(id.as_str())?.kind else { return None };
        let mode = profile.modes.iter().position(|mode| result.mode.is_some_and(|of| of.id == mode.id))?;
        Some((profile, mode, input))
    });
    let shared = commons(&setting, &mut Vec::new());
    let fit = seat.map(|(profile, mode, input)| Fit {
        profile,
        mode,
        input,
        free_inputs: 0,
        by_mode: &[],
        lift: shared.get(&at).map(|shares| shares.lift(&profile.modes[mode])).unwrap_or_default(),
        shares: shared.contains_key(&at),
    });
    let model = model(&setting, result.circuit, network, fit.as_ref());
    let reading = model.reading(active);
    // What it does not accept it does not learn: then there is no reading, as on the sheet.
    let can_learn = result.study.as_ref().is_none_or(|study| study.can_learn);
    let learned = result.study.as_ref().and_then(|study| study.states.first()).map(|rest| rest.ohms);
    let learns = fit.is_some_and(|fit| matches!(fit.mode().scale, Scale::ShareOfLearned { .. }));
    // What the two have in common is not told apart: that only widens the result.
    let scaled = match learned.filter(|_| learns) {
        Some(rest) => Bounds { lo: reading.ohms.lo / rest.hi, hi: reading.ohms.hi / rest.lo },
        None => reading.scaled,
    };
    let sense = model.sense.as_ref();
    let band = sense.filter(|_| can_learn || !learns).and_then(|sense| sense.band(scaled));
    let means = sense.zip(band).map(|(sense, band)| sense.means[band]);
    let ok = sense.map(|sense| means.is_some_and(|means| sense.is_right(means, model.raised(active))));
    let meter = assessment.job.meter.shows(model.field(active, &[]).interval());
    Some(Trial { ohms: reading.ohms, meter, band, means, ok })
}

#[cfg(test)]
mod tests {
    use document::Source;
    use job::Job;
    use library::Library;

    use super::*;
    use crate::assess;

    const JOB: &str = r#"
format = 1
[[module]]
id = "M1"
profile = "input-12"
mode = "fixed-2k2"
[[circuit]]
tag = "C01"
network = "wire:38m - nc:leaf1 - 2.2k"
input = "M1.1"
"#;

    /// A loop of 3 ohm on a mode that learns from 1 to 12 kohm learns nothing, so nothing is read of it, tripped or not: the
    /// same as the sheet says (`cannot-learn`).
    #[test]
    fn an_input_that_can_learn_nothing_reads_nothing() {
        let text = JOB.replace("input-12", "input-16").replace("fixed-2k2", "learned").replace(" - 2.2k", "");
        let job = Job::read(&Source::new("job.toml", text)).expect("it reads");
        let library = Library::embedded();
        let assessment = assess(&job, &library, &|_, _| {});
        assert!(assessment.findings.iter().any(|finding| finding.code == "cannot-learn"));
        let network = job.circuits[0].network.as_ref().expect("it has one");
        for active in [&[][..], &[0][..]] {
            let trial = trial(&assessment, 0, network, active).expect("it is there");
            assert_eq!((trial.band, trial.means, trial.ok), (None, None, Some(false)));
        }
    }

    /// The circuit as it is must show what the study found; a cut, by the law of the mode, is open.
    #[test]
    fn a_circuit_tried_as_it_is_reads_as_studied_and_a_cut_one_reads_open() {
        let job = Job::read(&Source::new("job.toml", JOB)).expect("it reads");
        let library = Library::embedded();
        let assessment = assess(&job, &library, &|_, _| {});
        let network = job.circuits[0].network.as_ref().expect("it has one");
        let study = assessment.circuits[0].study.as_ref().expect("it is studied");
        for state in &study.states {
            let trial = trial(&assessment, 0, network, &state.active).expect("it is there");
            assert_eq!((trial.ohms, trial.band, trial.ok), (state.ohms, state.band, state.ok));
        }
        let cut = Network::parse("wire:38m - open - nc:leaf1 - 2.2k").expect("it parses");
        let trial = trial(&assessment, 0, &cut, &[]).expect("it is there");
        assert!(trial.ohms.lo.is_infinite());
        assert_eq!(trial.means, Some(Meaning::Alarm));
    }
}
