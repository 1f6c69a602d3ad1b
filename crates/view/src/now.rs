//! A minute of the cut-over, by the plan: what is under way, what is without protection, what comes next.

use assess::{Clock, Cutover, OrderRow};
use job::{Circuit, Day, Job, whole_minutes};

/// Minutes within which a rule adds up how long a fire alarm is out.
const WITHIN: i64 = 24 * 60;

/// The plan as far as a minute of it can be looked up.
pub struct Running {
    clock: Clock,
    order: Vec<OrderRow>,
    moments: Vec<Moment>,
    /// From when to when the fire alarm is out; none: without end.
    outs: Vec<(u32, Option<u32>)>,
    /// Minutes within 24 h that the fire alarm may be out, with the clause.
    limit: Option<(u32, String)>,
    /// After how many minutes, and what is asked then.
    rules: Vec<(u32, String)>,
}

/// From when on what is without protection.
struct Moment {
    at: u32,
    gone: Vec<Gone>,
    on_test: bool,
}

/// A circuit, or a part of one, without protection.
#[derive(Clone)]
struct Gone {
    what: String,
    place: String,
    duty: &'static str,
    fire: bool,
    since: u32,
}

/// What the plan says of a minute.
pub struct Now {
    /// The minute: `2026-12-01 10:32`.
    pub at: String,
    /// Before the first minute of work, or after the last.
    pub outside: Option<String>,
    /// The fire alarm, while any circuit of it is without protection.
    pub fire: Option<FireOut>,
    /// Until when, what, where: what is under way.
    pub work: Vec<[String; 3]>,
    /// What else is without protection, by duty.
    pub gone: Vec<GoneOf>,
    /// Whether the account is on test.
    pub on_test: bool,
    /// When the next work begins and what it is; empty at the end.
    pub next: String,
    /// The place of the present day in the running order.
    pub day: Option<usize>,
}

/// The fire alarm out of service.
pub struct FireOut {
    /// Since when, and how much of what may be used is used.
    pub says: String,
    /// What is asked by now, each with its clause.
    pub asked: Vec<String>,
    /// What will be asked if it stays out, each with its clause.
    pub later: Vec<String>,
    /// Tag, place, duty, since when.
    pub gone: Vec<[String; 4]>,
}

/// Circuits of one duty without protection.
pub struct GoneOf {
    /// The duty.
    pub duty: &'static str,
    /// Tag, place, since when.
    pub gone: Vec<[String; 3]>,
}

impl Running {
    pub(crate) fn of(cutover: &Cutover) -> Self {
        let gone = |one: assess::Gone| {
            let circuit = circuit_of(cutover.job, &one.what);
            let duty = circuit.and_then(|circuit| circuit.duty);
            Gone {
                place: circuit.map_or(String::new(), |circuit| circuit.place.clone()),
                duty: crate::words::duty_title(duty),
                fire: duty.is_some_and(job::Duty::is_fire),
                what: one.what,
                since: one.since,
            }
        };
        let moment = |(at, _): (u32, usize)| Moment {
            at,
            gone: cutover.gone_at(at).into_iter().map(gone).collect(),
            on_test: cutover.on_test_since(at).is_some(),
        };
        let endless = |out: &(u32, u32)| {
            cutover.endless.iter().any(|one| one.fire && (out.0..out.1).contains(&one.since))
        };
        let outs = cutover
            .plan
            .as_ref()
            .map_or(Vec::new(), |plan| plan.outage.intervals.iter().map(|out| (out.from, out.to)).collect());
        let rule = |rule: &assess::Rule| {
            (rule.after.map_or(0, whole_minutes), format!("{}: {}", rule.clause, rule.words))
        };
        Self {
            clock: cutover.clock.clone(),
            order: cutover.order(),
            moments: cutover.moments().into_iter().map(moment).collect(),
            outs: outs.iter().map(|out| (out.0, (!endless(out)).then_some(out.1))).collect(),
            limit: cutover.limit.as_ref().map(|limit| (limit.minutes, limit.clause.clone())),
            rules: cutover.rules.iter().map(rule).collect(),
        }
    }

    /// The plan at a day, counted from 1970-01-01, and a minute of it; none where the job says no date, or nothing is planned.
    #[must_use]
    pub fn now(&self, day: i64, time: u32) -> Option<Now> {
        let minute = self.clock.minute_at(Day(day), time)?;
        let (first, end) = (self.order.first()?.from, self.order.iter().map(|row| row.to).max()?);
        let known = u32::try_from(minute.max(0)).unwrap_or(u32::MAX);
        let outside = if minute < i64::from(first) {
            Some(format!("The work begins {}.", self.clock.written(first)))
        } else if minute >= i64::from(end) {
            Some(format!("By the plan the work ended {}.", self.clock.written(end)))
        } else {
            None
        };
        let under_way = |row: &&OrderRow| row.from <= known && known < row.to;
        let work = self
            .order
            .iter()
            .filter(under_way)
            .map(|row| [format!("until {}", Clock::time(row.to)), row.what.clone(), row.place.clone()]);
        let next = self.order.iter().find(|row| i64::from(row.from) > minute);
        let moment = self.moments.iter().rev().find(|moment| i64::from(moment.at) <= minute);
        let gone = moment.map_or(&[][..], |moment| &moment.gone);
        let mut days: Vec<u32> = self.order.iter().map(|row| row.day).collect();
        days.dedup();
        Some(Now {
            at: format!("{} {}", Day(day).written(), Clock::time(time)),
            outside,
            fire: self.fire(minute, gone),
            work: work.collect(),
            gone: self.others(minute, gone),
            on_test: moment.is_some_and(|moment| moment.on_test),
            next: next.map_or(String::new(), |row| {
                format!("{}: {} {}", self.clock.written(row.from), row.what, row.place).trim_end().to_owned()
            }),
            day: days.iter().position(|one| i64::from(*one) == minute.div_euclid(24 * 60)),
        })
    }

    /// The fire alarm in a minute, where anything of it is without protection.
    fn fire(&self, minute: i64, gone: &[Gone]) -> Option<FireOut> {
        let fire: Vec<&Gone> = gone.iter().filter(|one| one.fire).collect();
        let first = fire.iter().map(|one| one.since).min()?;
        let is_now = |out: &&(u32, Option<u32>)| {
            i64::from(out.0) <= minute && out.1.is_none_or(|to| minute < i64::from(to))
        };
        let since = self.outs.iter().find(is_now).map_or(first, |out| out.0);
        let used: i64 = self
            .outs
            .iter()
            .map(|(from, to)| {
                let to = to.map_or(minute, |to| minute.min(i64::from(to)));
                (to - i64::from(*from).max(minute - WITHIN)).max(0)
            })
            .sum();
        let used_of = match &self.limit {
            Some((limit, clause)) => {
                let over = used - i64::from(*limit);
                let over = if over > 0 { format!(", {over} min too many") } else { String::new() };
                format!("{used} of {limit} min used within 24 h{over} ({clause})")
            }
            None => format!("{used} min within 24 h; no rule here names a limit in hours"),
        };
        let of_rules = |now: bool| -> Vec<String> {
            let rules = self.rules.iter().filter(|(after, _)| (i64::from(*after) <= used) == now);
            rules
                .map(|(after, words)| if now { words.clone() } else { format!("after {after} min, {words}") })
                .collect()
        };
        let row = |one: &&Gone| {
            [one.what.clone(), one.place.clone(), one.duty.to_owned(), self.since(one.since, minute)]
        };
        Some(FireOut {
            says: format!("The fire alarm is out since {}, {used_of}.", self.since(since, minute)),
            asked: of_rules(true),
            later: of_rules(false),
            gone: fire.iter().map(row).collect(),
        })
    }

    /// All the others, duty by duty, in the order of the first of each.
    fn others(&self, minute: i64, gone: &[Gone]) -> Vec<GoneOf> {
        let mut all: Vec<GoneOf> = Vec::new();
        for one in gone.iter().filter(|one| !one.fire) {
            let row = [one.what.clone(), one.place.clone(), self.since(one.since, minute)];
            match all.iter_mut().find(|of| of.duty == one.duty) {
                Some(of) => of.gone.push(row),
                None => all.push(GoneOf { duty: one.duty, gone: vec![row] }),
            }
        }
        all
    }

    /// A minute as it is said in another: its day only where that is not the present one.
    fn since(&self, since: u32, minute: i64) -> String {
        if i64::from(Clock::day_of(since)) == minute.div_euclid(24 * 60) {
            Clock::time(since)
        } else {
            self.clock.written(since)
        }
    }
}

/// The circuit of a tag, or of a tag with the runs that are meant: the longest tag that fits.
fn circuit_of<'a>(job: &'a Job, what: &str) -> Option<&'a Circuit> {
    let fits = |circuit: &&Circuit| {
        let rest = what.strip_prefix(circuit.tag.as_str());
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
    };
    job.circuits.iter().filter(fits).max_by_key(|circuit| circuit.tag.as_str().len())
}

/// What the whole plan comes to at a glance: what and how much.
pub(crate) fn glance(cutover: &Cutover) -> Vec<[String; 2]> {
    let named = |at: u32| {
        let gone = cutover.gone_at(at);
        let tags: Vec<&str> = gone.iter().map(|one| one.what.as_str()).collect();
        format!("{}: {}", cutover.clock.written(at), crate::words::listed(&tags, 12))
    };
    let levels = cutover.levels();
    let mut rows = Vec::new();
    if let Some((at, ..)) = levels.iter().find(|(_, count, _)| *count > 0) {
        rows.push(["The first without protection".to_owned(), named(*at)]);
    }
    let heaviest = levels.iter().rev().max_by_key(|(_, _, weight)| *weight);
    if let Some((at, count, weight)) = heaviest.filter(|(_, count, _)| *count > 0) {
        let circuits = crate::words::counted(*count, "circuit", "circuits");
        rows.push([format!("Most weight at once: {weight}, {circuits}"), named(*at)]);
    }
    let last = match (levels.last(), cutover.endless.is_empty()) {
        (Some((at, ..)), true) => cutover.clock.written(*at),
        (Some(_), false) => "not in this plan; what has no end is named above".to_owned(),
        (None, _) => return rows,
    };
    rows.push(["All have protection again".to_owned(), last]);
    let spans: Vec<String> = cutover
        .on_test
        .iter()
        .map(|(on, off)| format!("{} to {}", cutover.clock.written(*on), Clock::time(*off)))
        .collect();
    if !spans.is_empty() {
        rows.push(["The account is on test".to_owned(), spans.join("; ")]);
    }
    rows
}
