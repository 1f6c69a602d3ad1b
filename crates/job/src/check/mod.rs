//! References inside a job: nothing may point at what is not there, and no name may stand twice.

mod points;

use std::collections::{BTreeMap, BTreeSet};

use document::{Key, Located, Problems, list, nearest};
use network::Network;

use crate::feeding::Feeding;
use crate::model::{Circuit, CoreEnd, InputRef, Job};
use points::Points;

/// Reports every reference to nothing, every double name and every double use of an input. `unread` are
/// the kinds of tables of which some could not be read; references to those are not judged.
pub(crate) fn references(job: &Job, unread: &[Key], problems: &Problems) {
    let check = Check::new(job, unread, problems);
    check.double_names();
    check.modules_and_supplies();
    check.circuits();
    check.devices();
    check.cables();
    check.outputs();
    check.neighbours();
    check.programming();
    check.standby();
    check.loops();
}

/// The names that a job gives, and where complaints go.
struct Check<'j> {
    job: &'j Job,
    unread: &'j [Key],
    problems: &'j Problems,
    enclosures: BTreeSet<&'j str>,
    modules: BTreeSet<&'j str>,
    supplies: BTreeSet<&'j str>,
    tags: BTreeSet<&'j str>,
    circuits: BTreeMap<&'j str, &'j Circuit>,
    points: Points<'j>,
}

impl<'j> Check<'j> {
    fn new(job: &'j Job, unread: &'j [Key], problems: &'j Problems) -> Self {
        let modules: BTreeSet<&str> = job.modules.iter().map(|module| module.id.as_str()).collect();
        let supplies: BTreeSet<&str> = job.supplies.iter().map(|supply| supply.id.as_str()).collect();
        let points = Points::of(job, &supplies, &modules, problems);
        Self {
            job,
            unread,
            problems,
            enclosures: job.enclosures.iter().map(|enclosure| enclosure.id.as_str()).collect(),
            modules,
            supplies,
            tags: job.circuits.iter().map(|circuit| circuit.tag.as_str()).collect(),
            circuits: job.circuits.iter().map(|circuit| (circuit.tag.as_str(), circuit)).collect(),
            points,
        }
    }

    fn double_names(&self) {
        let job = self.job;
        self.doubles("enclosure", job.enclosures.iter().map(|table| &table.id));
        self.doubles("module", job.modules.iter().map(|table| &table.id));
        self.doubles("device", job.devices.iter().map(|table| &table.id));
        self.doubles("circuit", job.circuits.iter().map(|table| &table.tag));
        self.doubles("cable", job.cables.iter().map(|table| &table.id));
        self.doubles("supply", job.supplies.iter().map(|table| &table.id));
        self.doubles("output", job.outputs.iter().map(|table| &table.id));
        self.doubles("rule set", job.site.rules.iter());
    }

    /// The second of two equal names is the one complained of.
    fn doubles(&self, kind: &str, names: impl Iterator<Item = &'j Located<String>>) {
        let mut seen = BTreeSet::new();
        for name in names {
            if !seen.insert(name.as_str()) {
                let text = format!("the {kind} `{name}` stands here for the second time");
                self.problems.report(name.span.clone(), text, "each name once in its table");
            }
        }
    }

    fn known(&self, kind: Key, name: Option<&Located<String>>, names: &BTreeSet<&str>) {
        let Some(name) = name else { return };
        if names.contains(name.as_str()) || self.unread.contains(&kind) {
            return;
        }
        let hint = nearest(name, names.iter().copied());
        let hint = hint.map_or(String::new(), |near| format!(", did you mean `{near}`?"));
        self.problems.report_missing(
            name.span.clone(),
            format!("no {kind} `{name}`{hint}"),
            those(kind, names),
        );
    }

    fn modules_and_supplies(&self) {
        for module in &self.job.modules {
            self.known("enclosure", module.enclosure.as_ref(), &self.enclosures);
            if let Some(point) = &module.fed_by {
                self.point(point);
            }
        }
        for supply in &self.job.supplies {
            self.known("enclosure", supply.enclosure.as_ref(), &self.enclosures);
            for rules in supply.rules.iter().flatten() {
                self.of_site(rules);
            }
            for load in &supply.loads {
                self.point(&load.at);
            }
        }
    }

    fn circuits(&self) {
        let mut on: BTreeMap<(&str, u16), &str> = BTreeMap::new();
        for circuit in &self.job.circuits {
            self.known("enclosure", circuit.ends_in.as_ref(), &self.enclosures);
            for input in &circuit.also {
                self.also(circuit, input, &mut on);
            }
            let Some(input) = &circuit.input else { continue };
            let module = Located::new(input.module.clone(), input.span.clone());
            self.known("module", Some(&module), &self.modules);
            if let Some(first) = on.insert((&input.module, input.number), &circuit.tag) {
                let text = format!("{} is on {}.{} already", first, input.module, input.number);
                self.problems.report(input.span.clone(), text, "an input that no other circuit has");
            }
        }
    }

    /// What is kept for the home runs of a circuit is on its own module, and no other circuit's.
    fn also<'c>(
        &self,
        circuit: &'c Circuit,
        input: &'c Located<InputRef>,
        on: &mut BTreeMap<(&'c str, u16), &'c str>,
    ) {
        let own = circuit.input.as_ref();
        if own.is_none_or(|own| own.module != input.module) {
            let text = format!("{} is not on {}", circuit.tag, input.module);
            self.problems.report(
                input.span.clone(),
                text,
                "a further input of the module that `input` names",
            );
        }
        if let Some(first) = on.insert((&input.module, input.number), &circuit.tag) {
            let text = format!("{} is on {}.{} already", first, input.module, input.number);
            self.problems.report(input.span.clone(), text, "an input that no other circuit has");
        }
    }

    fn devices(&self) {
        let homes = homes(self.job);
        let mut described: BTreeMap<(&str, &str), &str> = BTreeMap::new();
        for device in &self.job.devices {
            if let Some(point) = &device.fed_by {
                self.point(point);
            }
            let home = match device.id.split_once('/') {
                Some((tag, name)) => self.named_circuit(&device.id, tag, name),
                None => self.only_circuit(&device.id, &homes),
            };
            if let Some(home) = home
                && let Some(first) = described.insert(home, &device.id)
                && first != device.id.as_str()
            {
                let text = format!("`{}` and `{first}` are the same device", device.id);
                self.problems.report(device.id.span.clone(), text, "one [[device]] for each device");
            }
        }
    }

    /// `C01/door`: the circuit must exist, and where its network is known the device must stand in it.
    fn named_circuit<'d>(
        &self,
        id: &Located<String>,
        tag: &'d str,
        name: &'d str,
    ) -> Option<(&'d str, &'d str)> {
        if !self.tags.contains(tag) {
            let tag = Located::new(tag.to_owned(), id.span.clone());
            self.known("circuit", Some(&tag), &self.tags);
            return None;
        }
        if let Some(network) = self.circuits.get(tag).and_then(|circuit| circuit.network.as_ref()) {
            let names: BTreeSet<&str> = names(network).collect();
            if !names.contains(name) {
                let hint = nearest(name, names.iter().copied());
                let hint = hint.map_or(String::new(), |near| format!(", did you mean `{tag}/{near}`?"));
                let text = format!("no device `{name}` in the network of {tag}{hint}");
                self.problems.report_missing(id.span.clone(), text, those("device", &names));
                return None;
            }
        }
        Some((tag, name))
    }

    /// A name alone: it may stand in one circuit only; in none it waits for a network to be known.
    fn only_circuit<'d>(
        &self,
        id: &'d Located<String>,
        homes: &BTreeMap<&str, BTreeSet<&'d str>>,
    ) -> Option<(&'d str, &'d str)> {
        let tags = homes.get(id.as_str())?;
        let first = tags.first()?;
        if tags.len() == 1 {
            return Some((first, id.as_str()));
        }
        let written: Vec<String> = tags.iter().map(|tag| format!("`{tag}/{id}`")).collect();
        let text = format!("a device `{id}` stands in {} circuits", tags.len());
        self.problems.report(id.span.clone(), text, list(written.iter().map(String::as_str)));
        None
    }

    fn cables(&self) {
        for cable in &self.job.cables {
            self.known("enclosure", cable.ends_in.as_ref(), &self.enclosures);
            for end in cable.cores.iter().flat_map(|core| &core.to) {
                match &end.value {
                    CoreEnd::Circuit { tag, .. } => {
                        let tag = Located::new(tag.clone(), end.span.clone());
                        self.known("circuit", Some(&tag), &self.tags);
                    }
                    CoreEnd::Supply { point, .. } => {
                        self.point(&Located::new(point.clone(), end.span.clone()));
                    }
                    CoreEnd::Spare => {}
                }
            }
        }
    }

    /// `M1.S1`, `P1.bell`: what stands before the last point is a module or a supply.
    fn outputs(&self) {
        for output in &self.job.outputs {
            if let Some((owner, _)) = output.id.rsplit_once('.')
                && !self.modules.contains(owner)
                && !self.supplies.contains(owner)
                && !self.unread.iter().any(|kind| matches!(*kind, "module" | "supply"))
            {
                let owners: BTreeSet<&str> = self.modules.union(&self.supplies).copied().collect();
                let text = format!("no module and no supply `{owner}`");
                self.problems.report_missing(
                    output.id.span.clone(),
                    text,
                    those("module or supply", &owners),
                );
            }
            if let Some(point) = &output.fed_from {
                self.point(point);
            }
        }
    }

    /// What hangs beside what, and which cables can be made longer to where.
    fn neighbours(&self) {
        let job = self.job;
        for enclosure in &job.enclosures {
            let Some(beside) = &enclosure.beside else { continue };
            self.known("enclosure", Some(beside), &self.enclosures);
            let other = job.enclosures.iter().find(|other| other.id.value == beside.value);
            if beside.value == enclosure.id.value || other.is_some_and(|other| other.beside.is_some()) {
                let text = format!("`{}` hangs beside `{beside}`, which hangs beside another", enclosure.id);
                self.problems.report(beside.span.clone(), text, "the enclosure in which the cables end");
            }
        }
        let mut ways = BTreeSet::new();
        for extension in &job.extensions {
            self.known("enclosure", Some(&extension.from), &self.enclosures);
            self.known("enclosure", Some(&extension.to), &self.enclosures);
            let way = (extension.from.as_str(), extension.to.as_str());
            if way.0 == way.1 || !ways.insert(way) {
                let text = format!("the way from `{}` to `{}` is none, or stands here twice", way.0, way.1);
                self.problems.report(
                    extension.to.span.clone(),
                    text,
                    "each way once, from one enclosure to another",
                );
            }
        }
    }

    /// Areas and users by number, and the circuits of an entry route.
    fn programming(&self) {
        let job = self.job;
        self.double_numbers("area", job.areas.iter().map(|area| &area.number));
        self.double_numbers("user", job.users.iter().map(|user| &user.number));
        let areas: BTreeSet<u32> = job.areas.iter().map(|area| area.number.value).collect();
        for area in job.circuits.iter().filter_map(|circuit| circuit.programmed.area.as_ref()) {
            if !areas.contains(&area.value) && !areas.is_empty() {
                let names: Vec<String> = areas.iter().map(u32::to_string).collect();
                let text = format!("no area {}", area.value);
                self.problems.report(area.span.clone(), text, list(names.iter().map(String::as_str)));
            }
        }
        for tag in job.areas.iter().flat_map(|area| &area.route) {
            self.known("circuit", Some(tag), &self.tags);
        }
    }

    fn double_numbers(&self, kind: &str, numbers: impl Iterator<Item = &'j Located<u32>>) {
        let mut seen = BTreeSet::new();
        for number in numbers {
            if !seen.insert(number.value) {
                let text = format!("{kind} {} stands here for the second time", number.value);
                self.problems.report(number.span.clone(), text, "each number once");
            }
        }
    }

    /// A local word speaks of a rule set of the site, and of supplies of the job.
    fn standby(&self) {
        for word in &self.job.standby {
            self.of_site(&word.rules);
            for supply in &word.supplies {
                self.known("supply", Some(supply), &self.supplies);
            }
        }
    }

    fn of_site(&self, rules: &Located<String>) {
        let named: BTreeSet<&str> = self.job.site.rules.iter().map(|rules| rules.as_str()).collect();
        if !named.contains(rules.as_str()) {
            let hint = nearest(rules, named.iter().copied());
            let hint = hint.map_or(String::new(), |near| format!(", did you mean `{near}`?"));
            let text = format!("the site names no rule set `{rules}`{hint}");
            self.problems.report_missing(rules.span.clone(), text, those("rule set in [site]", &named));
        }
    }

    /// A module or an output that feeds itself: through its own auxiliary output, through a run from itself.
    fn loops(&self) {
        let feeding = Feeding::new(self.job);
        let fed = self.job.modules.iter().filter_map(|module| Some((&module.id, module.fed_by.as_ref()?)));
        let outputs = self.job.outputs.iter().filter_map(|out| Some((&out.id, out.fed_from.as_ref()?)));
        for (id, point) in fed.chain(outputs) {
            if feeding.is_loop(id) {
                let text = format!("`{id}` feeds itself: {}", feeding.chain(point).join(" from "));
                let accept = "a point that hangs on a supply by another way: the points are a tree";
                self.problems.report(point.span.clone(), text, accept);
            }
        }
    }

    /// A supply, one of its points, or an output of a supply or a module.
    fn point(&self, point: &Located<String>) {
        if self.points.reaches(point) || self.unread.iter().any(|kind| matches!(*kind, "module" | "supply")) {
            return;
        }
        let names: BTreeSet<&str> = self.points.names().chain(self.supplies.iter().copied()).collect();
        let hint = nearest(point, names.iter().copied());
        let hint = hint.map_or(String::new(), |near| format!(", did you mean `{near}`?"));
        let text = format!("no supply point `{point}`{hint}");
        self.problems.report_missing(point.span.clone(), text, those("supply point", &names));
    }
}

/// The devices that stand in a network.
fn names(network: &Network) -> impl Iterator<Item = &str> {
    network.elements().iter().filter_map(|element| element.name())
}

/// In which circuits each name stands.
fn homes(job: &Job) -> BTreeMap<&str, BTreeSet<&str>> {
    let mut homes: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    if job.devices.is_empty() {
        return homes;
    }
    for circuit in &job.circuits {
        for name in circuit.network.iter().flat_map(names) {
            homes.entry(name).or_default().insert(&circuit.tag);
        }
    }
    homes
}

/// What would be accepted where a name of a kind is wanted.
fn those(kind: &str, names: &BTreeSet<&str>) -> String {
    if names.is_empty() {
        return format!("the job has no {kind}");
    }
    list(names.iter().copied())
}
