//! What a job names and a library holds: profiles, modes, inputs, bands and rule sets must exist.

use std::ops::Range;

use document::{Located, Problem, list, nearest};
use job::{Circuit, Job, Module};
use library::{Kind, Library, Mode, ModePer, ModuleProfile, SmallPart};

/// Everything in a job that names what the library does not hold, in the order of the text.
#[must_use]
pub fn check(job: &Job, library: &Library) -> Vec<Problem> {
    let mut check = Check { library, problems: Vec::new() };
    check.rules(job);
    check.profiles(job);
    for module in &job.modules {
        check.module(module);
    }
    check.circuits(job);
    check.standby(job);
    check.van(job);
    check.problems.sort_by_key(|problem| problem.span.start);
    check.problems
}

/// Kinds of equipment by the word of their profiles.
fn word(kind: &Kind) -> &'static str {
    match kind {
        Kind::Module(_) => "module",
        Kind::Supply(_) => "supply",
        Kind::Battery(_) => "battery",
        Kind::Transformer(_) => "transformer",
        Kind::Detector(_) => "detector",
        Kind::Sounder(_) => "sounder",
        Kind::Keypad => "keypad",
        Kind::Panel(_) => "panel",
        Kind::Enclosure(_) => "enclosure",
        Kind::Relay => "relay",
    }
}

/// What may stand in `loads`: everything that draws.
const LOADS: &[&str] = &["detector", "sounder", "keypad", "relay", "module", "panel"];

struct Check<'l> {
    library: &'l Library,
    problems: Vec<Problem>,
}

impl<'l> Check<'l> {
    fn report(&mut self, span: Range<usize>, text: String, accept: String) {
        self.problems.push(Problem::new(span, text, accept));
    }

    /// A name that must be one of those known.
    fn unknown<'n>(
        &mut self,
        what: &str,
        name: &Located<String>,
        known: impl Iterator<Item = &'n str> + Clone,
    ) {
        let hint =
            nearest(name, known.clone()).map_or(String::new(), |near| format!(", did you mean `{near}`?"));
        self.report(name.span.clone(), format!("no {what} `{name}`{hint}"), list(known));
    }

    fn rules(&mut self, job: &Job) {
        for rule_set in &job.site.rules {
            if !self.library.rules.contains_key(rule_set.as_str()) {
                self.unknown("rule set", rule_set, self.library.rules.keys().map(String::as_str));
            }
        }
    }

    fn profiles(&mut self, job: &Job) {
        self.profile(job.panel.as_ref().and_then(|panel| panel.profile.as_ref()), &["panel"]);
        for enclosure in &job.enclosures {
            self.profile(enclosure.profile.as_ref(), &["enclosure"]);
        }
        for offered in job.allocate.offer.iter().flatten() {
            self.profile(Some(offered), &["module"]);
        }
        self.profile(job.allocate.annex.as_ref(), &["enclosure"]);
        for module in &job.modules {
            self.profile(module.profile.as_ref(), &["module"]);
        }
        for device in &job.devices {
            self.profile(device.profile.as_ref(), &["detector", "sounder"]);
        }
        for supply in &job.supplies {
            self.profile(supply.profile.as_ref(), &["supply"]);
            self.profile(supply.battery.as_ref(), &["battery"]);
            self.profile(supply.transformer.as_ref(), &["transformer"]);
            for load in &supply.loads {
                self.profile(load.device.as_ref(), LOADS);
            }
        }
    }

    /// What the van carries is a small part or has a profile.
    fn van(&mut self, job: &Job) {
        for stock in &job.van {
            let small = SmallPart::ALL.iter().map(|part| part.word());
            let known = small.chain(self.library.profiles.keys().map(String::as_str));
            if !known.clone().any(|word| word == stock.part.value) {
                self.unknown("part", &stock.part, known);
            }
        }
    }

    /// A profile must be there and of a kind that fits.
    fn profile(&mut self, name: Option<&Located<String>>, kinds: &[&str]) {
        let Some(name) = name else { return };
        let library = self.library;
        let fitting = library
            .profiles
            .values()
            .filter(move |profile| kinds.contains(&word(&profile.kind)))
            .map(|profile| profile.id.as_str());
        match library.profiles.get(name.as_str()) {
            None => self.unknown(&format!("{} profile", list(kinds.iter().copied())), name, fitting),
            Some(profile) if !kinds.contains(&word(&profile.kind)) => {
                let text = format!("the profile `{name}` is a {}", word(&profile.kind));
                self.report(name.span.clone(), text, list(fitting));
            }
            Some(_) => {}
        }
    }

    fn module_profile(&self, module: &Module) -> Option<&'l ModuleProfile> {
        match &self.library.profiles.get(module.profile.as_ref()?.as_str())?.kind {
            Kind::Module(profile) => Some(profile),
            _ => None,
        }
    }

    fn module(&mut self, module: &Module) {
        let (Some(profile), Some(mode)) = (self.module_profile(module), &module.mode) else { return };
        self.mode(profile, mode);
    }

    fn mode(&mut self, profile: &ModuleProfile, mode: &Located<String>) {
        if !profile.modes.iter().any(|known| known.id == mode.value) {
            self.unknown("mode", mode, profile.modes.iter().map(|mode| mode.id.as_str()));
        }
    }

    /// What a local word takes must stand in its rule set.
    fn standby(&mut self, job: &Job) {
        for word in &job.standby {
            let Some(set) = self.library.rules.get(word.rules.as_str()) else { continue };
            for taken in &word.take {
                if !set.standby.iter().any(|rule| rule.id == taken.value) {
                    let known: Vec<&str> = set.standby.iter().map(|rule| rule.id.as_str()).collect();
                    self.unknown(&format!("standby rule of {}", set.id), taken, known.iter().copied());
                }
            }
        }
    }

    fn circuits(&mut self, job: &Job) {
        let modules: std::collections::BTreeMap<&str, &Module> =
            job.modules.iter().map(|module| (module.id.as_str(), module)).collect();
        for circuit in &job.circuits {
            let Some(input) = &circuit.input else { continue };
            let Some(module) = modules.get(input.module.as_str()) else { continue };
            let Some(profile) = self.module_profile(module) else { continue };
            if input.number > profile.inputs {
                let text = format!("{} has {} inputs, no input {}", module.id, profile.inputs, input.number);
                self.report(input.span.clone(), text, format!("a number from 1 to {}", profile.inputs));
            }
            for input in circuit.also.iter().filter(|also| also.number > profile.inputs) {
                let text = format!("{} has {} inputs, no input {}", module.id, profile.inputs, input.number);
                self.report(input.span.clone(), text, format!("a number from 1 to {}", profile.inputs));
            }
            if let Some(mode) = &circuit.mode {
                self.own_mode(module, profile, mode);
            }
            self.meanings(circuit, module, profile);
        }
    }

    /// A mode of its own needs a module whose inputs have modes of their own.
    fn own_mode(&mut self, module: &Module, profile: &ModuleProfile, mode: &Located<String>) {
        if profile.mode_per == ModePer::Module {
            let text = format!("{} has one mode for all its inputs", module.id);
            self.report(mode.span.clone(), text, format!("`mode` in the module {}", module.id));
        } else {
            self.mode(profile, mode);
        }
    }

    /// `means` may only name bands of the mode; while the mode is open, bands of any of the module's modes.
    fn meanings(&mut self, circuit: &Circuit, module: &Module, profile: &ModuleProfile) {
        let set = circuit.mode.as_ref().or(module.mode.as_ref());
        let modes: Vec<&Mode> =
            profile.modes.iter().filter(|mode| set.is_none_or(|set| mode.id == set.value)).collect();
        if modes.is_empty() {
            return;
        }
        let bands = || modes.iter().flat_map(|mode| &mode.bands).map(|band| band.name.as_str());
        for name in &circuit.bands_named {
            if !bands().any(|band| band == name.as_str()) {
                let mut known: Vec<&str> = bands().collect();
                known.sort_unstable();
                known.dedup();
                self.unknown("band", name, known.iter().copied());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use document::Source;

    use super::*;

    const LIBRARY: &str = r#"
id = "one-mode"
kind = "module"
title = "x"
basis = "test"
inputs = 4
[[mode]]
id = "m"
bands = [ { name = "short", below = "1k", means = "trouble" }, { name = "rest", means = "normal" } ]
"#;

    fn library() -> Library {
        let mut library = Library::embedded();
        for text in [LIBRARY.to_owned(), LIBRARY.replace("one-mode\"", "own-mode\"\nmode_per = \"input\"")] {
            library.add(&Source::new("x.toml", text)).expect("a good profile");
        }
        library
    }

    /// Every complaint of a job as `line:column: text`.
    fn told(text: &str) -> Vec<String> {
        let source = Source::new("job.toml", text);
        let job = Job::read(&source).expect("a good job");
        let complaint = |problem: &Problem| {
            let complaint = source.complaint(problem);
            format!("{}:{}: {}", complaint.line, complaint.column, complaint.text)
        };
        check(&job, &library()).iter().map(complaint).collect()
    }

    #[test]
    fn rule_sets_and_profiles_that_do_not_exist() {
        let job = r#"format = 1
site.rules = ["us-fire", "us-fires"]
panel.profile = "panel-640"
[[enclosure]]
id = "E1"
profile = "panel-64"
[[device]]
id = "D1"
profile = "motion-pirr"
[[supply]]
id = "P1"
profile = "psu"
battery = "psu-12v-2a"
loads = [ { at = "P1", device = "vrla-12v-7ah" }, { at = "P1", device = "motion-pir" } ]
"#;
        assert_eq!(
            told(job),
            [
                "2:26: no rule set `us-fires`, did you mean `us-fire`?",
                "3:17: no panel profile `panel-640`, did you mean `panel-64`?",
                "6:11: the profile `panel-64` is a panel",
                "9:11: no detector or sounder profile `motion-pirr`, did you mean `motion-pir`?",
                "12:11: no supply profile `psu`",
                "13:11: the profile `psu-12v-2a` is a supply",
                "14:33: the profile `vrla-12v-7ah` is a battery",
            ]
        );
    }

    #[test]
    fn modes_inputs_and_bands_that_the_profile_lacks() {
        let job = r#"format = 1
[[module]]
id = "M1"
profile = "one-mode"
mode = "n"
[[module]]
id = "M2"
profile = "own-mode"
[[module]]
id = "M3"
profile = "one-mode"
[[module]]
id = "M4"
[[circuit]]
tag = "C01"
input = "M1.5"
mode = "m"
[[circuit]]
tag = "C02"
input = "M2.4"
mode = "k"
[[circuit]]
tag = "C03"
input = "M2.1"
mode = "m"
means = { short = "alarm", open = "alarm" }
[[circuit]]
tag = "C04"
input = "M3.1"
means = { resst = "alarm" }
[[circuit]]
tag = "C05"
input = "M4.900"
mode = "anything"
means = { anything = "alarm" }
"#;
        assert_eq!(
            told(job),
            [
                "5:8: no mode `n`",
                "16:9: M1 has 4 inputs, no input 5",
                "17:8: M1 has one mode for all its inputs",
                "21:8: no mode `k`",
                "26:28: no band `open`",
                "30:11: no band `resst`, did you mean `rest`?",
            ]
        );
    }
}
