//! Needs and work as they are found, with what makes each a range.

use std::collections::{BTreeMap, BTreeSet};

use ::kit::{Count, Group, Item, Need, Price, Time, Work};
use circuit::Setting;
use job::{Circuit, Finding, InputRef, Job, Module, Severity};
use library::{Labour, Profile, Task};
use quantity::{Minutes, Money};

use super::causes::{Cause, Spread, widen};
use super::items;
use crate::Assessment;

/// Where work is counted that belongs to no enclosure.
pub(super) const SITE: &str = "site";
/// The word of time to reach a device; no task of the table.
pub(super) const ACCESS: &str = "access";

/// Everything that is found, in the order in which it is.
pub(super) struct Collector<'a, 'b> {
    pub(super) assessment: &'b Assessment<'a>,
    pub(super) setting: Setting<'a>,
    pub(super) labour: &'a Labour,
    pub(super) year: Option<i32>,
    /// The job before it was planned: where cables were found to end.
    pub(super) as_found: &'b Job,
    /// Inputs beside the first of circuits whose home runs are split.
    pub(super) further: Vec<InputRef>,
    /// Needs, each with its rank inside its group.
    pub(super) needs: Vec<(f64, Need)>,
    pub(super) work: Vec<Work>,
    pub(super) spread: Vec<Spread>,
    pub(super) findings: Vec<Finding>,
    /// Why somebody may have to come back.
    pub(super) second: Vec<String>,
    modules: BTreeMap<&'a str, &'a Module>,
    /// Devices whose access is counted already.
    reached: BTreeSet<&'a str>,
}

impl<'a, 'b> Collector<'a, 'b> {
    pub(super) fn new(assessment: &'b Assessment<'a>, as_found: &'b Job, year: Option<i32>) -> Self {
        Self {
            assessment,
            setting: Setting::new(assessment.job, assessment.library),
            labour: assessment.library.working_time(),
            year,
            as_found,
            further: Vec::new(),
            needs: Vec::new(),
            work: Vec::new(),
            spread: Vec::new(),
            findings: Vec::new(),
            second: Vec::new(),
            modules: assessment.job.modules.iter().map(|module| (module.id.as_str(), module)).collect(),
            reached: BTreeSet::new(),
        }
    }

    /// So many of an item for a place; `cause` says why it may be fewer.
    pub(super) fn need(&mut self, item: Item, count: Count, place: &str, why: &str, cause: Option<Cause>) {
        self.need_ranked(0.0, item, count, place, why, cause);
    }

    /// The same with its rank: resistors stand by their ohms.
    pub(super) fn need_ranked(
        &mut self,
        rank: f64,
        item: Item,
        count: Count,
        place: &str,
        why: &str,
        cause: Option<Cause>,
    ) {
        if count.hi() == 0 {
            return;
        }
        if let Some(cause) = cause {
            let price = items::terms(self.assessment, &item).price.unwrap_or_default();
            let more = price.hi().times(count.hi() - count.lo());
            widen(&mut self.spread, cause, place, more, 0);
        }
        self.needs.push((rank, Need { item, count, place: place.to_owned(), why: why.to_owned() }));
    }

    /// A resistor.
    pub(super) fn resistor(
        &mut self,
        ohms: quantity::Ohms,
        count: Count,
        place: &str,
        why: &str,
        cause: Option<Cause>,
    ) {
        self.need_ranked(ohms.0, items::resistor(ohms), count, place, why, cause);
    }

    /// So many of a task; `cause` says why it may be fewer.
    pub(super) fn task(
        &mut self,
        task: Task,
        enclosure: &str,
        place: &str,
        count: Count,
        cause: Option<Cause>,
    ) {
        self.work_of(task, enclosure, place, count, cause, None);
    }

    /// The same, fitting a part.
    pub(super) fn fit(&mut self, task: Task, enclosure: &str, place: &str, count: Count, profile: &Profile) {
        if profile.minutes.0 > 0.0 {
            let each = Time::of_minutes(quantity::Interval::exact(profile.minutes));
            let part = Some((profile.id.clone(), String::new()));
            self.put(task.word(), task.title(), enclosure, place, count, each.for_each(count, 1), part);
            return;
        }
        self.work_of(task, enclosure, place, count, None, Some((profile.id.clone(), String::new())));
    }

    /// A task that fits an item.
    pub(super) fn work_of(
        &mut self,
        task: Task,
        enclosure: &str,
        place: &str,
        count: Count,
        cause: Option<Cause>,
        part: Option<(String, String)>,
    ) {
        let effort = self.labour.effort(task);
        let each = Time::of_minutes(effort.minutes);
        let time = each.for_each(count, effort.per);
        if let Some(cause) = cause {
            let least = each.for_each(Count::exact(count.lo()), effort.per);
            widen(&mut self.spread, cause, place, Money::ZERO, time.hi() - least.hi());
        }
        self.put(task.word(), task.title(), enclosure, place, count, time, part);
    }

    /// A task that takes these minutes in all, as the job says.
    pub(super) fn took(
        &mut self,
        task: Task,
        enclosure: &str,
        place: &str,
        count: Count,
        minutes: Minutes,
        part: Option<(String, String)>,
    ) {
        self.put(task.word(), task.title(), enclosure, place, count, exact(minutes), part);
    }

    /// A resistor changed at a device, as that is reached.
    pub(super) fn resistor_work(
        &mut self,
        reach: Reach,
        enclosure: &str,
        place: &str,
        count: Count,
        cause: Option<Cause>,
    ) {
        let part = None;
        match reach {
            Reach::Known => self.work_of(Task::ResistorAtDevice, enclosure, place, count, cause, part),
            Reach::Lift => self.work_of(Task::ResistorByLift, enclosure, place, count, cause, part),
            Reach::Unknown => {
                let plain = Time::of_minutes(self.labour.effort(Task::ResistorAtDevice).minutes);
                let lift = Time::of_minutes(self.labour.effort(Task::ResistorByLift).minutes);
                let time = plain.hull(lift).for_each(count, 1);
                // What the lift adds to the table's own range, and what more of them add.
                let known = plain.for_each(Count::exact(count.lo()), 1);
                let more = time.hi().saturating_sub(known.hi());
                widen(&mut self.spread, cause.unwrap_or(Cause::Reach), place, Money::ZERO, more);
                let task = Task::ResistorAtDevice;
                self.put(task.word(), task.title(), enclosure, place, count, time, None);
            }
        }
    }

    /// Time to reach a device, once a visit.
    pub(super) fn reach(
        &mut self,
        circuit: &Circuit,
        name: &str,
        enclosure: &str,
        count: Count,
        cause: Option<Cause>,
    ) {
        let Some(device) = self.setting.device(&circuit.tag, name) else { return };
        let Some(minutes) = device.minutes.filter(|minutes| minutes.0 > 0.0) else { return };
        if count.hi() == 0 || !self.reached.insert(device.id.as_str()) {
            return;
        }
        let one = Count::between(count.lo().min(1), 1);
        let time = exact(minutes).for_each(one, 1);
        if let Some(cause) = cause {
            widen(&mut self.spread, cause, &circuit.tag, Money::ZERO, time.hi() - time.lo());
        }
        let place = device.id.value.clone();
        self.put(ACCESS, "reaching a device, as the survey says", enclosure, &place, one, time, None);
    }

    /// How a resistor at these devices is reached: the hardest of them counts.
    pub(super) fn hardest(&self, circuit: &Circuit, names: &[String]) -> Reach {
        let one = |name: &String| match self.setting.device(&circuit.tag, name) {
            Some(device) if super::access::by_lift(&device.access) => Reach::Lift,
            Some(device) if !device.access.is_empty() || device.minutes.is_some() => Reach::Known,
            _ => Reach::Unknown,
        };
        names.iter().map(one).max().unwrap_or(Reach::Unknown)
    }

    #[expect(clippy::too_many_arguments, reason = "one row of the list, and the only place that makes one")]
    fn put(
        &mut self,
        task: &'static str,
        what: &str,
        enclosure: &str,
        place: &str,
        count: Count,
        time: Time,
        part: Option<(String, String)>,
    ) {
        if count.hi() == 0 {
            return;
        }
        let (what, enclosure, place) = (what.to_owned(), enclosure.to_owned(), place.to_owned());
        self.work.push(Work { task, what, enclosure, place, count, time, part });
    }

    pub(super) fn find(
        &mut self,
        severity: Severity,
        place: &str,
        code: &'static str,
        text: String,
        remedy: &str,
    ) {
        let (place, remedy) = (place.to_owned(), remedy.to_owned());
        self.findings.push(Finding { severity, place, code, text, remedy });
    }

    pub(super) fn profile(&self, id: Option<&document::Located<String>>) -> Option<&'a Profile> {
        self.assessment.library.profiles.get(id?.as_str())
    }

    /// The price of one of an item, where it is given.
    pub(super) fn price(&self, item: &Item) -> Option<Price> {
        items::terms(self.assessment, item).price
    }

    /// The enclosure at which a circuit is worked on: that of its module, else that in which its cable ends.
    pub(super) fn enclosure(&self, circuit: &Circuit) -> String {
        let module = circuit.input.as_ref().and_then(|input| self.modules.get(input.module.as_str()));
        let enclosure = module.and_then(|module| module.enclosure.as_ref()).or(circuit.ends_in.as_ref());
        enclosure.map_or_else(|| SITE.to_owned(), |enclosure| enclosure.value.clone())
    }

    /// Tools that what was found asks for; resistors by their ohms.
    pub(super) fn close(&mut self) {
        let has = |group: Group, parts: &[&str], needs: &[(f64, Need)]| {
            needs.iter().any(|(_, need)| need.item.group == group && parts.contains(&need.item.part.as_str()))
        };
        if has(Group::SmallParts, &["ferrule", "gel-joint"], &self.needs) {
            let item =
                items::plain(Group::Tools, "crimping tool", "", "for end sleeves and gel-filled crimps");
            self.need(item, Count::ONE, "job", "end sleeves and joints", None);
        }
        let item = items::plain(Group::Tools, "meter", "", "rated for mains, its leads and fresh batteries");
        self.need(item, Count::ONE, "job", "every pair: highest AC range first, both legs to earth", None);
        self.needs.sort_by(|(one, first), (other, second)| {
            first.item.group.cmp(&second.item.group).then(one.total_cmp(other))
        });
    }
}

/// How a device is reached; the harder the greater.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Reach {
    /// The survey says how, and it needs no lift.
    Known,
    /// Nobody has written it down.
    Unknown,
    /// A lift, a tower or a platform.
    Lift,
}

/// An exact time.
pub(super) fn exact(minutes: Minutes) -> Time {
    Time::of_minutes(quantity::Interval::exact(minutes))
}
