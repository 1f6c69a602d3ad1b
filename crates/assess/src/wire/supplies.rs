//! The serialisable twin of a supply. Volts, amperes, hours as plain numbers; what nothing solves is null.

use quantity::Gauge;
use schemars::JsonSchema;
use serde::Serialize;
use supply::{Between, Budget, Discharge, Point, Ruled, Study, Way};

/// One supply.
#[derive(Serialize, JsonSchema, Debug)]
pub struct SupplyJson {
    id: String,
    /// The largest total at rest at the terminals over the battery's working range.
    standby_a: f64,
    /// The same in alarm.
    alarm_a: f64,
    /// Where the equipment stops, in volt.
    cut_off: f64,
    /// By the rule that asks most; null without a rule.
    required_ah: Option<f64>,
    /// The battery as it is fitted, new; null without one.
    fitted_ah: Option<f64>,
    /// At rest, aged to 80 % and at its coldest; null without a battery.
    hours_to_cutoff: Option<f64>,
    loads: Vec<LoadJson>,
    points: Vec<PointJson>,
    budgets: Vec<BudgetJson>,
    rules: Vec<RuleJson>,
    battery: Option<BatteryJson>,
    mains: Option<MainsJson>,
    terminals: Vec<TerminalJson>,
    /// Which run to change first where a load is short of volts, as the point that it leads to.
    change_first: Option<String>,
}

/// Least and most; both null where the loads want more than the cable can deliver.
#[derive(Serialize, JsonSchema, Debug, Clone, Copy)]
pub struct VoltsJson {
    lo: Option<f64>,
    hi: Option<f64>,
}

/// One row of loads.
#[derive(Serialize, JsonSchema, Debug)]
pub struct LoadJson {
    at: String,
    name: String,
    count: u32,
    minimum: Option<f64>,
    /// Null where nothing could be computed.
    ok: Option<bool>,
    volts: LoadVoltsJson,
}

/// Volts of a row of loads.
#[derive(Serialize, JsonSchema, Debug)]
pub struct LoadVoltsJson {
    /// On mains.
    standby: VoltsJson,
    /// On mains.
    alarm: VoltsJson,
    /// In alarm on a new, full battery.
    full_battery: Option<VoltsJson>,
    /// In alarm on the aged battery after the whole standby; null without battery and where it is shed; an end is 0
    /// where the equipment has cut the battery off, null where its loads collapse on it.
    last_minute: Option<VoltsJson>,
}

/// One point of the tree with what leads to it.
#[derive(Serialize, JsonSchema, Debug)]
pub struct PointJson {
    name: String,
    /// Null for the supply's terminals.
    from: Option<String>,
    /// `terminals`, `run`, `output`, `module`, `aux`, `relay` or `leg`.
    way: &'static str,
    /// Of the way here, out and back.
    ohms: VoltsJson,
    standby: VoltsJson,
    alarm: VoltsJson,
    last_minute: Option<VoltsJson>,
    /// The most through the way here in alarm on mains; null where nothing solves.
    alarm_a: Option<f64>,
    /// The most that is lost in it then, in volt.
    drop_v: Option<f64>,
    /// And in watt.
    heat_w: Option<f64>,
    /// For a run: the smallest conductor with which, all else as it is, every load has its volts; null: none, or not
    /// a run.
    smallest: Option<String>,
    /// For a run: whether doubling its cores does.
    doubled_does: Option<bool>,
}

/// What is drawn from something that has a limit.
#[derive(Serialize, JsonSchema, Debug)]
pub struct BudgetJson {
    at: String,
    /// `supply`, `output`, `aux` or `contact`.
    of: &'static str,
    limit_a: f64,
    /// Null where nothing solves.
    standby_a: Option<f64>,
    /// Null where nothing solves.
    alarm_a: Option<f64>,
    ok: bool,
}

/// One standby rule with its working.
#[derive(Serialize, JsonSchema, Debug)]
pub struct RuleJson {
    rules: String,
    rule: String,
    edition: String,
    clause: String,
    source: String,
    /// Whether some of it is from memory and must be looked up before use.
    remembered: bool,
    /// `fire` or `intrusion`.
    system: &'static str,
    standby_h: f64,
    alarm_min: f64,
    standby_a: f64,
    alarm_a: f64,
    factor: f64,
    required_ah: f64,
    /// Whether it asks most of all.
    governs: bool,
    /// Reasons of local words that changed it.
    words: Vec<String>,
    working: Vec<String>,
}

/// A battery with all that it does.
#[derive(Serialize, JsonSchema, Debug)]
pub struct BatteryJson {
    profile: String,
    in_series: u32,
    strings: u32,
    volts: f64,
    temperature_c: VoltsJson,
    /// At rest to the cut-off: aged and coldest, new and warmest.
    hours: VoltsJson,
    discharges: Vec<DischargeJson>,
    charge_a: Option<f64>,
    /// Smallest and largest that the charger may charge, in ampere-hours.
    chargeable_ah: Option<VoltsJson>,
    recharge: Vec<RechargeJson>,
}

/// One simulated standby and alarm.
#[derive(Serialize, JsonSchema, Debug)]
pub struct DischargeJson {
    /// The rules that ask for it.
    rules: Vec<String>,
    standby_h: f64,
    alarm_min: f64,
    /// Aged to 80 % and at its coldest.
    aged: CurveJson,
    /// New and at its warmest.
    new: CurveJson,
}

/// A discharge curve.
#[derive(Serialize, JsonSchema, Debug)]
pub struct CurveJson {
    /// When it ends before its time; null: it lasts.
    ends_h: Option<f64>,
    hours: Vec<f64>,
    volts: Vec<f64>,
    amperes: Vec<f64>,
}

/// One recharge time.
#[derive(Serialize, JsonSchema, Debug)]
pub struct RechargeJson {
    rule: String,
    share: f64,
    within_h: f64,
    takes_h: f64,
}

/// The mains side.
#[derive(Serialize, JsonSchema, Debug)]
pub struct MainsJson {
    profile: String,
    /// `ac` or `dc`.
    gives: &'static str,
    wants: Option<&'static str>,
    rated_va: Option<f64>,
    needed_va: f64,
    /// Volts at the supply's input at full load.
    arrives: Option<f64>,
    outlet: String,
    working: Vec<String>,
}

/// One of the supply's own terminals.
#[derive(Serialize, JsonSchema, Debug)]
pub struct TerminalJson {
    name: String,
    lands: String,
    mind: String,
}

impl VoltsJson {
    pub(super) fn of(volts: Option<Between>) -> Self {
        Self { lo: volts.map(|volts| volts.0), hi: volts.map(|volts| volts.1) }
    }
}

impl SupplyJson {
    /// The twin of a study.
    #[must_use]
    pub fn new(study: &Study) -> Self {
        let battery = study.battery.as_ref();
        let first = study.sizing.first.map(|at| study.sizing.runs[at].point);
        Self {
            id: study.plan.supply.id.value.clone(),
            standby_a: study.standby_a,
            alarm_a: study.alarm_a,
            cut_off: study.cut_off,
            required_ah: study.required_ah(),
            fitted_ah: battery.map(|battery| battery.bank.capacity_ah()),
            hours_to_cutoff: battery.map(|battery| battery.hours.0),
            loads: (0..study.loads.len()).map(|row| load(study, row)).collect(),
            points: (0..study.plan.points.len()).map(|at| point(study, at)).collect(),
            budgets: study.budgets.iter().map(|one| budget(study, one)).collect(),
            rules: (0..study.rules.len())
                .map(|at| rule(&study.rules[at], study.governing == Some(at)))
                .collect(),
            battery: battery_json(study),
            mains: study.mains.as_ref().map(mains),
            terminals: study
                .terminals
                .iter()
                .map(|terminal| TerminalJson {
                    name: terminal.name.clone(),
                    lands: terminal.lands.clone(),
                    mind: terminal.mind.clone(),
                })
                .collect(),
            change_first: first.map(|point| study.plan.points[point].name.clone()),
        }
    }
}

fn load(study: &Study, at: usize) -> LoadJson {
    let (row, result) = (&study.plan.rows[at], &study.loads[at]);
    LoadJson {
        at: row.at_name.clone(),
        name: row.name.clone(),
        count: row.count,
        minimum: row.minimum.map(|minimum| minimum.0),
        ok: result.ok,
        volts: LoadVoltsJson {
            standby: VoltsJson::of(result.standby),
            alarm: VoltsJson::of(result.alarm),
            full_battery: result.full.map(|full| VoltsJson::of(Some(full))),
            last_minute: result.last_minute.map(|volts| last_minute(study, volts)),
        },
    }
}

/// Null at the end at which the loads collapse on the battery; 0 where the equipment has cut it off.
fn last_minute(study: &Study, volts: Between) -> VoltsJson {
    let (low, high) = study.last_minute_solves();
    VoltsJson { lo: low.then_some(volts.0), hi: high.then_some(volts.1) }
}

fn point(study: &Study, at: usize) -> PointJson {
    let point: &Point = &study.plan.points[at];
    let (standby, alarm) = (solved(&study.standby), solved(&study.alarm));
    let choice = study.sizing.runs.iter().find(|choice| choice.point == at);
    PointJson {
        name: point.name.clone(),
        from: (at > 0).then(|| study.plan.points[point.parent].name.clone()),
        way: way(&point.way),
        ohms: VoltsJson::of(Some((point.ohms.lo().0, point.ohms.hi().0))),
        standby: VoltsJson::of(standby.map(|solved| solved.volts[at])),
        alarm: VoltsJson::of(alarm.map(|solved| solved.volts[at])),
        last_minute: study.last_minute.as_ref().map(|volts| last_minute(study, volts[at])),
        alarm_a: alarm.map(|solved| solved.amperes[at]),
        drop_v: alarm.map(|solved| solved.drop[at]),
        heat_w: alarm.map(|solved| solved.heat_w[at]),
        smallest: choice.and_then(|choice| choice.smallest).map(Gauge::written),
        doubled_does: choice.map(|choice| choice.doubled_does),
    }
}

fn solved(condition: &Option<Result<supply::Solved, supply::Collapsed>>) -> Option<&supply::Solved> {
    condition.as_ref()?.as_ref().ok()
}

fn way(way: &Way) -> &'static str {
    match way {
        Way::Terminals => "terminals",
        Way::Run(_) => "run",
        Way::Output => "output",
        Way::Module => "module",
        Way::Aux => "aux",
        Way::Relay => "relay",
        Way::Leg => "leg",
    }
}

fn budget(study: &Study, budget: &Budget) -> BudgetJson {
    BudgetJson {
        at: study.plan.points[budget.point].name.clone(),
        of: budget.limit.of.word(),
        limit_a: budget.limit.most.0,
        standby_a: super::finite(budget.standby_a),
        alarm_a: super::finite(budget.alarm_a),
        ok: budget.holds(),
    }
}

fn rule(rule: &Ruled, governs: bool) -> RuleJson {
    RuleJson {
        rules: rule.rules.clone(),
        rule: rule.rule.clone(),
        edition: rule.edition.clone(),
        clause: rule.clause.clone(),
        source: rule.source.clone(),
        remembered: rule.remembered,
        system: rule.system.word(),
        standby_h: rule.standby_h(),
        alarm_min: rule.alarm_min,
        standby_a: rule.standby_a,
        alarm_a: rule.alarm_a,
        factor: rule.factor(),
        required_ah: rule.required_ah,
        governs,
        words: rule.words.clone(),
        working: rule.working.clone(),
    }
}

fn battery_json(study: &Study) -> Option<BatteryJson> {
    let battery = study.battery.as_ref()?;
    let named = |at: &usize| format!("{} {}", study.rules[*at].rules, study.rules[*at].rule);
    Some(BatteryJson {
        profile: battery.profile.clone(),
        in_series: battery.bank.in_series,
        strings: battery.bank.strings,
        volts: battery.bank.volts(),
        temperature_c: VoltsJson::of(Some(battery.temperature)),
        hours: VoltsJson::of(Some(battery.hours)),
        discharges: battery
            .runs
            .iter()
            .map(|run| DischargeJson {
                rules: run.rules.iter().map(named).collect(),
                standby_h: run.standby_h,
                alarm_min: run.alarm_min,
                aged: curve(&run.low),
                new: curve(&run.high),
            })
            .collect(),
        charge_a: battery.charge_a,
        chargeable_ah: battery.chargeable.map(|range| VoltsJson::of(Some(range))),
        recharge: battery
            .recharged
            .iter()
            .map(|asked| RechargeJson {
                rule: format!("{} {}", asked.rules, asked.rule),
                share: asked.share,
                within_h: asked.within_h,
                takes_h: asked.takes_h,
            })
            .collect(),
    })
}

fn curve(discharge: &Discharge) -> CurveJson {
    let of = |value: fn(&supply::Sample) -> f64| discharge.curve.iter().map(value).collect();
    CurveJson {
        ends_h: discharge.ends.map(|ended| ended.hours),
        hours: of(|sample| sample.hours),
        volts: of(|sample| sample.volts),
        amperes: of(|sample| sample.amperes),
    }
}

fn mains(mains: &supply::Mains) -> MainsJson {
    MainsJson {
        profile: mains.profile.clone(),
        gives: mains.gives.word(),
        wants: mains.wants.map(library::Current::word),
        rated_va: mains.rated_va,
        needed_va: mains.needed_va,
        arrives: mains.arrives,
        outlet: mains.outlet.clone(),
        working: mains.working.clone(),
    }
}
