//! One supply studied: volts, budgets, ampere-hours by rule, the battery by physics, charger, mains side, remedies.

use job::{Feeding, Job};
use library::{Kind, Library, System};
use quantity::{Interval, Volts};

use crate::condition::{Collapsed, Solved, Source, solve};
use crate::discharge::{Bank, Discharge, Ends, Load, State, discharge, hours_to_cut_off};
use crate::mains::{Mains, Terminal, mains, terminals};
use crate::plan::{Case, End, Limit, Plan};
use crate::rule::{Recharged, Ruled, asked, recharged, ruled, worst_current};
use crate::size::{Demand, Sizing, sizing};

/// Cut-off for each 12 V where no profile says otherwise (`docs/format.md`, section 3).
const CUT_OFF: f64 = 10.5;

/// Least and most, in volt.
pub type Between = (f64, f64);

/// All that is found out about one supply.
#[derive(Clone, Debug)]
pub struct Study<'a> {
    /// Its points and rows.
    pub plan: Plan<'a>,
    /// At rest on mains; none without a profile.
    pub standby: Option<Result<Solved, Collapsed>>,
    /// Everything in alarm on mains.
    pub alarm: Option<Result<Solved, Collapsed>>,
    /// At rest on a new, full battery.
    pub full_standby: Option<Result<Solved, Collapsed>>,
    /// Everything in alarm on a new, full battery.
    pub full_alarm: Option<Result<Solved, Collapsed>>,
    /// Volts of every point in the last alarm minute: at least on an aged battery at its coldest, at most on a new one
    /// at its warmest; 0 where the battery does not last. The worst over all rules; at the cut-off where no rule
    /// holds. None without a battery.
    pub last_minute: Option<Vec<Between>>,
    /// One for each row of the plan.
    pub loads: Vec<LoadResult>,
    /// Everything that is limited, in the order of the points.
    pub budgets: Vec<Budget>,
    /// The largest total at rest at the terminals over the battery's working range, in ampere.
    pub standby_a: f64,
    /// The same in alarm.
    pub alarm_a: f64,
    /// Where the equipment stops, in volt.
    pub cut_off: f64,
    /// Every standby rule that holds.
    pub rules: Vec<Ruled>,
    /// The one that asks most, as a place in `rules`.
    pub governing: Option<usize>,
    /// The battery; none where none is fitted.
    pub battery: Option<BatteryResult>,
    /// Transformer or adapter; none where the job names none.
    pub mains: Option<Mains>,
    /// The supply's own terminals.
    pub terminals: Vec<Terminal>,
    /// Conductors that do, and which run to change first.
    pub sizing: Sizing,
}

impl Study<'_> {
    /// Ampere-hours that the rules ask for. None without a rule, and where nothing that is drawn is known: no profile
    /// and no load.
    #[must_use]
    pub fn required_ah(&self) -> Option<f64> {
        let asked = self.rules[self.governing?].required_ah;
        (self.plan.profile.is_some() || asked > 0.0).then_some(asked)
    }

    /// Whether the last minute has a solution at its least and at its most: not where constant powers collapse on the
    /// battery before the equipment cuts it off.
    #[must_use]
    pub fn last_minute_solves(&self) -> (bool, bool) {
        let runs = || self.battery.iter().flat_map(|battery| &battery.runs);
        let solves = |ends: Option<crate::Ended>| !ends.is_some_and(|ended| ended.collapsed);
        (runs().all(|run| solves(run.low.ends)), runs().all(|run| solves(run.high.ends)))
    }
}

/// One row of loads with its volts.
#[derive(Clone, PartialEq, Debug)]
pub struct LoadResult {
    /// At rest on mains; none where nothing could be computed or nothing solves.
    pub standby: Option<Between>,
    /// Everything in alarm on mains.
    pub alarm: Option<Between>,
    /// Everything in alarm on a new, full battery.
    pub full: Option<Between>,
    /// In the last alarm minute; none without a battery or where the load is shed.
    pub last_minute: Option<Between>,
    /// Whether it has its volts in all of them; none where nothing could be computed.
    pub ok: Option<bool>,
}

/// What is drawn from something that has a limit.
#[derive(Clone, PartialEq, Debug)]
pub struct Budget {
    /// The point.
    pub point: usize,
    /// Its limit.
    pub limit: Limit,
    /// At most at rest on mains, in ampere.
    pub standby_a: f64,
    /// At most in alarm, on mains or on battery.
    pub alarm_a: f64,
}

impl Budget {
    /// Whether it stays within its limit.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.standby_a <= self.limit.most.0 && self.alarm_a <= self.limit.most.0
    }
}

/// A battery with all that it does.
#[derive(Clone, PartialEq, Debug)]
pub struct BatteryResult {
    /// Its blocks.
    pub bank: Bank,
    /// Its profile's id.
    pub profile: String,
    /// Hours at rest to the cut-off: aged and coldest, new and warmest.
    pub hours: Between,
    /// Coldest and hottest that it gets.
    pub temperature: (f64, f64),
    /// One simulated discharge for each different pair of hours and alarm among the rules.
    pub runs: Vec<RuleRun>,
    /// What the charger gives, in ampere.
    pub charge_a: Option<f64>,
    /// Smallest and largest battery that the charger may charge, in ampere-hours.
    pub chargeable: Option<(f64, f64)>,
    /// Every recharge time that the rules ask for; empty without a charger.
    pub recharged: Vec<Recharged>,
}

/// A rule's standby and alarm, simulated.
#[derive(Clone, PartialEq, Debug)]
pub struct RuleRun {
    /// The rules that ask for this, as places in the study's list.
    pub rules: Vec<usize>,
    /// Hours of standby.
    pub standby_h: f64,
    /// Minutes of alarm.
    pub alarm_min: f64,
    /// Which alarm.
    pub system: System,
    /// Aged and coldest; the end of the cables at which it ends lower.
    pub low: Discharge,
    /// New and warmest.
    pub high: Discharge,
    /// Volts of every point in the last minute.
    pub last_minute: Vec<Between>,
}

/// Studies the supply at this place of the job's list.
#[must_use]
pub fn study<'a>(job: &'a Job, library: &'a Library, feeding: &Feeding<'a>, at: usize) -> Study<'a> {
    let plan = Plan::new(job, library, feeding, at);
    let cut_off = plan.profile.map_or(CUT_OFF * plan.nominal() / 12.0, |profile| profile.cut_off.0);
    let bank = bank(library, &plan);
    let full_volts = crate::FULL_VOLTS * plan.nominal() / 12.0;
    let held = plan.profile.map(|profile| Source::held(profile.volts));
    let fresh = bank.as_ref().map(|(bank, _)| {
        let new = State { aged: false, temperature: quantity::Celsius(20.0) };
        let volts = Interval::exact(Volts(bank.full_volts()));
        let ohms = bank.ohms(new);
        Source { volts, ohms_when_low: ohms, ohms_when_high: ohms, on_battery: true }
    });
    let on = |source: &Option<Source>, case| source.as_ref().map(|source| solve(&plan, source, case));
    let rules: Vec<Ruled> =
        asked(job, library, plan.supply).iter().map(|asked| ruled(&plan, asked, cut_off)).collect();
    let most = |one: &usize, other: &usize| rules[*one].required_ah.total_cmp(&rules[*other].required_ah);
    let governing = (0..rules.len()).rev().max_by(most);
    let battery = bank.map(|(bank, profile)| battery(job, &plan, bank, profile, &rules, cut_off));
    let last_minute = battery.as_ref().map(|battery| last_minute(&plan, battery, cut_off));
    let mut study = Study {
        standby: on(&held, Case::Standby),
        alarm: on(&held, Case::Alarm),
        full_standby: on(&fresh, Case::Standby),
        full_alarm: on(&fresh, Case::Alarm),
        last_minute,
        loads: Vec::new(),
        budgets: Vec::new(),
        standby_a: worst_current(&plan, Case::Standby, cut_off, full_volts),
        alarm_a: worst_current(&plan, Case::Alarm, cut_off, full_volts),
        cut_off,
        governing,
        rules,
        battery,
        mains: None,
        terminals: Vec::new(),
        sizing: Sizing::default(),
        plan,
    };
    study.loads = (0..study.plan.rows.len()).map(|row| load(&study, row)).collect();
    study.budgets = budgets(&study);
    if let Some(profile) = study.plan.profile {
        let load_a = study
            .alarm
            .as_ref()
            .and_then(|alarm| alarm.as_ref().ok())
            .map_or(study.alarm_a, |alarm| alarm.total_a.1);
        study.mains = mains(job, library, study.plan.supply, profile, load_a);
        study.sizing = sizing(job, &study.plan, &demands(&study, profile.volts.lo().0));
    }
    study.terminals = terminals(study.plan.supply, study.plan.profile, study.mains.as_ref());
    study
}

/// The supply's blocks, with their profile's id.
fn bank(library: &Library, plan: &Plan) -> Option<(Bank, String)> {
    let id = plan.supply.battery.as_ref()?;
    let Kind::Battery(profile) = &library.profiles.get(id.as_str())?.kind else { return None };
    let in_series = in_series(library, plan.supply);
    let leads = plan.supply.leads.unwrap_or(job::DEFAULT_LEADS);
    let bank = Bank::new(profile, in_series, plan.supply.strings, leads.0);
    Some((bank, id.value.clone()))
}

/// Blocks in series in each string of a supply: as the job says, else as many as its volts want.
#[must_use]
pub fn in_series(library: &Library, supply: &job::Supply) -> u32 {
    let kind = |id: &str| library.profiles.get(id).map(|profile| &profile.kind);
    let block = match supply.battery.as_ref().and_then(|id| kind(id.as_str())) {
        Some(Kind::Battery(profile)) => profile.volts.0,
        _ => return supply.in_series.unwrap_or(1),
    };
    let own = supply.profile.as_ref().and_then(|id| crate::plan::supply_profile(library, id.as_str()));
    let wanted = (crate::plan::nominal(own) / block).round().max(1.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 64 blocks")]
    supply.in_series.unwrap_or(wanted.min(64.0) as u32)
}

fn battery(
    job: &Job,
    plan: &Plan,
    bank: Bank,
    profile: String,
    rules: &[Ruled],
    cut_off: f64,
) -> BatteryResult {
    let temperature = plan.supply.temperature.unwrap_or(job.site.cable_temperature);
    let states = Extremes {
        low: State { aged: true, temperature: temperature.lo() },
        high: State { aged: false, temperature: temperature.hi() },
    };
    let ends = |cables, regulators| Ends { cables, regulators };
    let hours =
        |state, regulators| hours_to_cut_off(plan, &bank, state, ends(End::High, regulators), cut_off);
    let mut runs: Vec<RuleRun> = Vec::new();
    for (at, rule) in rules.iter().enumerate() {
        let same = |run: &&mut RuleRun| {
            (run.standby_h - rule.standby_h()).abs() < 1e-9
                && (run.alarm_min - rule.alarm_min).abs() < 1e-9
                && run.system == rule.system
        };
        match runs.iter_mut().find(same) {
            Some(run) => run.rules.push(at),
            None => runs.push(rule_run(plan, &bank, &states, rule, at, cut_off)),
        }
    }
    let charge_a = plan.profile.and_then(|profile| profile.charge).map(|charge| charge.0);
    BatteryResult {
        hours: (hours(states.low, End::High), hours(states.high, End::Low)),
        temperature: (temperature.lo().0, temperature.hi().0),
        runs,
        chargeable: plan
            .profile
            .and_then(|profile| profile.battery)
            .map(|battery| (battery.lo().0, battery.hi().0)),
        recharged: charge_a.map_or(Vec::new(), |charge_a| recharged(rules, &bank, charge_a)),
        charge_a,
        profile,
        bank,
    }
}

/// The worst and the best that a battery can be.
struct Extremes {
    low: State,
    high: State,
}

fn rule_run(plan: &Plan, bank: &Bank, states: &Extremes, rule: &Ruled, at: usize, cut_off: f64) -> RuleRun {
    let load = Load {
        standby_h: rule.standby_h(),
        alarm_min: rule.alarm_min,
        alarm: Case::AlarmOf(rule.system),
        cut_off,
    };
    let run = |state, cables, regulators| discharge(plan, bank, state, Ends { cables, regulators }, &load);
    let lows = [End::High, End::Low].map(|cables| run(states.low, cables, End::High));
    let highs = [End::Low, End::High].map(|cables| run(states.high, cables, End::Low));
    let points = plan.points.len();
    let of =
        |discharge: &Discharge, point: usize| discharge.last_volts.as_ref().map_or(0.0, |volts| volts[point]);
    let last_minute = (0..points)
        .map(|point| {
            let low = lows.iter().map(|low| of(low, point)).fold(f64::INFINITY, f64::min);
            let high = highs.iter().map(|high| of(high, point)).fold(0.0, f64::max);
            (low, high)
        })
        .collect();
    let [hot, cold] = lows;
    let low = match (&hot.ends, &cold.ends) {
        (None, Some(_)) => cold,
        _ => hot,
    };
    let [high, _] = highs;
    RuleRun {
        rules: vec![at],
        standby_h: load.standby_h,
        alarm_min: load.alarm_min,
        system: rule.system,
        low,
        high,
        last_minute,
    }
}

/// Over all rules; where none holds, at the cut-off with everything in alarm.
fn last_minute(plan: &Plan, battery: &BatteryResult, cut_off: f64) -> Vec<Between> {
    let points = plan.points.len();
    if battery.runs.is_empty() {
        let exact = Interval::exact(Volts(cut_off));
        let source = Source { on_battery: true, ..Source::held(exact) };
        return solve(plan, &source, Case::Alarm).map_or(vec![(0.0, 0.0); points], |solved| solved.volts);
    }
    let over = |point: usize| {
        battery
            .runs
            .iter()
            .map(|run| run.last_minute[point])
            .fold((f64::INFINITY, 0.0), |all: Between, one| (all.0.min(one.0), all.1.max(one.1)))
    };
    (0..points).map(over).collect()
}

fn load(study: &Study, at: usize) -> LoadResult {
    let row = &study.plan.rows[at];
    let of = |condition: &Option<Result<Solved, Collapsed>>| {
        condition.as_ref()?.as_ref().ok().map(|solved| solved.volts[row.at])
    };
    let on_battery = |volts: Option<Between>| volts.filter(|_| !row.shed);
    let last = study.last_minute.as_ref().map(|volts| volts[row.at]);
    let mut result = LoadResult {
        standby: of(&study.standby),
        alarm: of(&study.alarm),
        full: on_battery(of(&study.full_alarm)),
        last_minute: on_battery(last),
        ok: None,
    };
    let enough = |volts: Option<Between>| {
        let volts = volts?;
        Some(volts.0 > 0.0 && row.minimum.is_none_or(|minimum| volts.0 >= minimum.0))
    };
    let collapsed = |condition: &Option<Result<Solved, Collapsed>>| matches!(condition, Some(Err(_)));
    let mut held = vec![enough(result.standby), enough(result.alarm)];
    if collapsed(&study.standby) || collapsed(&study.alarm) {
        held.push(Some(false));
    }
    if !row.shed {
        held.extend([enough(result.full), enough(result.last_minute)]);
        if collapsed(&study.full_standby) || collapsed(&study.full_alarm) {
            held.push(Some(false));
        }
    }
    let known: Vec<bool> = held.into_iter().flatten().collect();
    result.ok = (!known.is_empty()).then(|| known.iter().all(|held| *held));
    result
}

fn budgets(study: &Study) -> Vec<Budget> {
    let amperes = |condition: &Option<Result<Solved, Collapsed>>, point: usize| match condition {
        Some(Ok(solved)) => solved.amperes[point],
        // Nothing solves: that is told of; here it counts as beyond every limit.
        Some(Err(_)) => f64::INFINITY,
        None => 0.0,
    };
    let mut budgets = Vec::new();
    for (point, made) in study.plan.points.iter().enumerate() {
        for limit in &made.limits {
            let standby_a = amperes(&study.standby, point);
            let alarm_a = amperes(&study.alarm, point).max(match limit.of {
                // A supply's limit is its power stage's; on battery its fuse counts.
                crate::LimitOf::Supply => 0.0,
                _ => amperes(&study.full_alarm, point),
            });
            budgets.push(Budget { point, limit: *limit, standby_a, alarm_a });
        }
    }
    budgets
}

/// What conductors have to do: the least volts on mains at rest and in alarm, and each rule's last minute on an aged
/// battery; the cut-off where it does not last, and where no rule holds.
fn demands(study: &Study, mains_v: f64) -> Vec<Demand> {
    let on_mains = |case| Demand { volts: mains_v, ohms: 0.0, case, on_battery: false };
    let mut demands = vec![on_mains(Case::Standby), on_mains(Case::Alarm)];
    let Some(battery) = &study.battery else { return demands };
    if battery.runs.is_empty() {
        demands.push(Demand { volts: study.cut_off, ohms: 0.0, case: Case::Alarm, on_battery: true });
    }
    let state = State { aged: true, temperature: quantity::Celsius(battery.temperature.0) };
    for run in &battery.runs {
        // A battery that does not last has nothing left; a larger one would end at the cut-off at the worst.
        let (volts, ohms) = match run.low.ends {
            None => (run.low.last_rested, battery.bank.ohms(state)),
            Some(_) => (study.cut_off, 0.0),
        };
        demands.push(Demand { volts, ohms, case: Case::AlarmOf(run.system), on_battery: true });
    }
    demands
}
