//! Ampere-hours by rule: which standby rules hold for a supply, what each asks for, and how that comes about.

use job::{Job, StandbyWord, Supply};
use library::{Library, Recharge, Requirement, System};
use quantity::Volts;

use crate::cell::FULL_VOLTS;
use crate::condition::{Source, solve};
use crate::discharge::Bank;
use crate::plan::{Case, Plan};

/// One standby rule, applied to one supply.
#[derive(Clone, PartialEq, Debug)]
pub struct Ruled {
    /// The rule set's id.
    pub rules: String,
    /// The rule's id inside it.
    pub rule: String,
    /// Its edition.
    pub edition: String,
    /// Its clause.
    pub clause: String,
    /// Where that was read, or `from memory`.
    pub source: String,
    /// Whether some of it is from memory and must be looked up before use.
    pub remembered: bool,
    /// Which alarm it is about.
    pub system: System,
    /// Hours without mains.
    pub hours: f64,
    /// Minutes of alarm.
    pub alarm_min: f64,
    /// Whether these lie inside the hours.
    pub alarm_inside: bool,
    /// All loads at rest, in ampere, at the supply's terminals.
    pub standby_a: f64,
    /// With the loads of this rule's alarm sounding.
    pub alarm_a: f64,
    /// Margins that hold, by name.
    pub factors: Vec<(String, f64)>,
    /// What an ampere-hour in alarm counts in the end, `D` times the rule's own weight.
    pub alarm_weight: f64,
    /// Ampere-hours asked for.
    pub required_ah: f64,
    /// How the battery must be full again.
    pub recharge: Vec<Recharge>,
    /// Volts down to which equipment must work, at the supply's nominal volts.
    pub end_volts: Option<f64>,
    /// Whether fire and intrusion on one supply is something to ask about.
    pub ask_combined: bool,
    /// Local words that changed it, with their reasons.
    pub words: Vec<String>,
    /// Every figure that they set, beside the clause's.
    pub local: Vec<LocalWord>,
    /// The working, line by line, as an authority can follow it.
    pub working: Vec<String>,
}

impl Ruled {
    /// Hours of standby before the alarm.
    #[must_use]
    pub fn standby_h(&self) -> f64 {
        let inside = if self.alarm_inside { self.alarm_min / 60.0 } else { 0.0 };
        (self.hours - inside).max(0.0)
    }

    /// The rule as a sentence names it: its set and itself, and whether a local word changed its figures.
    #[must_use]
    pub fn named(&self) -> String {
        let local = if self.overridden() { ", by local word" } else { "" };
        format!("{} ({}{local})", self.rules, self.rule)
    }

    /// Whether a local word changed a figure of its clause.
    #[must_use]
    pub fn overridden(&self) -> bool {
        self.local.iter().any(LocalWord::overrides)
    }

    /// Whether the alarm does not fit into the hours in which it lies.
    #[must_use]
    pub fn alarm_beyond_hours(&self) -> bool {
        self.alarm_inside && self.alarm_min / 60.0 > self.hours + 1e-9
    }

    /// The product of all margins.
    #[must_use]
    pub fn factor(&self) -> f64 {
        self.factors.iter().map(|(_, times)| times).product()
    }
}

/// A rule that holds, before its currents are known: the library's with the job's words on it.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    rules: &'a str,
    rule: &'a Requirement,
    words: Vec<&'a StandbyWord>,
}

impl Asked<'_> {
    /// The largest figure that a local word sets; the rule's own where none does.
    fn figure(&self, of: impl Fn(&StandbyWord) -> Option<f64>, own: f64) -> f64 {
        self.words.iter().filter_map(|word| of(word)).reduce(f64::max).unwrap_or(own)
    }

    fn hours(&self) -> f64 {
        self.figure(|word| word.hours.map(|hours| hours.0), self.rule.hours.0)
    }

    fn alarm_min(&self) -> f64 {
        self.figure(|word| word.alarm.map(|alarm| alarm.0), self.rule.alarm.0)
    }

    /// The clause's own margins that hold at the hours that count.
    fn own_factors(&self) -> Vec<(String, f64)> {
        let hours = self.hours();
        let holds = |factor: &&library::Factor| factor.up_to.is_none_or(|up_to| hours <= up_to.0);
        self.rule.factors.iter().filter(holds).map(|factor| (factor.name.clone(), factor.times)).collect()
    }

    fn factors(&self) -> Vec<(String, f64)> {
        if self.words.iter().any(|word| word.factor.is_some()) {
            return vec![("by local word".to_owned(), self.figure(|word| word.factor, 1.0))];
        }
        self.own_factors()
    }

    /// Every figure that local words set, beside the clause's.
    fn local_words(&self) -> Vec<LocalWord> {
        let margin = self.own_factors().iter().map(|(_, times)| times).product();
        let figures: [(LocalFigure, f64, Vec<Option<f64>>); 3] = [
            (LocalFigure::Hours, self.rule.hours.0, self.of_words(|word| word.hours.map(|hours| hours.0))),
            (LocalFigure::Alarm, self.rule.alarm.0, self.of_words(|word| word.alarm.map(|alarm| alarm.0))),
            (LocalFigure::Factor, margin, self.of_words(|word| word.factor)),
        ];
        let mut all = Vec::new();
        for (figure, clause, set) in figures {
            let said = set.into_iter().zip(&self.words);
            let said: Vec<(f64, String)> =
                said.filter_map(|(value, word)| Some((value?, word.reason.clone()))).collect();
            if !said.is_empty() {
                all.push(LocalWord { figure, clause, said });
            }
        }
        all
    }

    fn of_words(&self, of: impl Fn(&StandbyWord) -> Option<f64>) -> Vec<Option<f64>> {
        self.words.iter().map(|word| of(word)).collect()
    }
}

/// What a local word can set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LocalFigure {
    /// Hours without mains.
    Hours,
    /// Minutes of alarm.
    Alarm,
    /// The product of all margins.
    Factor,
}

impl LocalFigure {
    /// A value of it in words.
    #[must_use]
    pub fn shown(self, value: f64) -> String {
        match self {
            Self::Hours => format!("{} h", short(value)),
            Self::Alarm => format!("{} min in alarm", short(value)),
            Self::Factor => format!("a margin of {}", short(value)),
        }
    }
}

/// One figure of a rule that local words set.
#[derive(Clone, PartialEq, Debug)]
pub struct LocalWord {
    /// Which.
    pub figure: LocalFigure,
    /// What the clause has.
    pub clause: f64,
    /// What each local word says, with its reason; at least one. The largest counts.
    pub said: Vec<(f64, String)>,
}

impl LocalWord {
    /// What counts.
    #[must_use]
    pub fn counts(&self) -> f64 {
        self.said.iter().map(|(value, _)| *value).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Whether it is another figure than the clause's.
    #[must_use]
    pub fn overrides(&self) -> bool {
        (self.counts() - self.clause).abs() > 1e-9
    }

    /// Two words that say different figures, if any do.
    #[must_use]
    pub fn conflict(&self) -> Option<[&(f64, String); 2]> {
        let first = self.said.first()?;
        let other = self.said.iter().find(|(value, _)| (value - first.0).abs() > 1e-9)?;
        Some([first, other])
    }

    /// The reason of the word that counts.
    #[must_use]
    pub fn reason(&self) -> &str {
        let counts = self.counts();
        let said = self.said.iter().find(|(value, _)| (value - counts).abs() < 1e-9);
        said.map_or("", |(_, reason)| reason.as_str())
    }
}

/// The rules that hold for a supply, in the order of the site and of each rule set.
#[must_use]
pub fn asked<'a>(job: &'a Job, library: &'a Library, supply: &Supply) -> Vec<Asked<'a>> {
    let mut asked = Vec::new();
    for named in &job.site.rules {
        let counts = supply.rules.as_ref().is_none_or(|rules| rules.iter().any(|id| id.value == named.value));
        let Some(set) = library.rules.get(named.as_str()).filter(|_| counts) else { continue };
        let here = |word: &&StandbyWord| {
            word.rules.value == named.value
                && (word.supplies.is_empty() || word.supplies.iter().any(|id| id.value == supply.id.value))
        };
        let words: Vec<&StandbyWord> = job.standby.iter().filter(here).collect();
        let taken: Vec<&str> = words.iter().flat_map(|word| &word.take).map(|taken| taken.as_str()).collect();
        let holds = |rule: &&Requirement| {
            if taken.is_empty() { rule.usual } else { taken.contains(&rule.id.as_str()) }
        };
        asked.extend(set.standby.iter().filter(holds).map(|rule| {
            Asked {
                rules: set.id.as_str(),
                rule,
                words: words
                    .iter()
                    .copied()
                    // What an entry says is said of the rules that it takes; without any, of all.
                    .filter(|word| word.take.is_empty() || word.take.iter().any(|id| id.value == rule.id))
                    .collect(),
            }
        }));
    }
    asked
}

/// The largest total at the supply's terminals between two volts, the loads of a case on battery; summed up
/// without the cables where these collapse.
#[must_use]
pub fn worst_current(plan: &Plan, case: Case, least: f64, most: f64) -> f64 {
    let at = |volts: f64| {
        let exact = quantity::Interval::exact(Volts(volts));
        let source = Source { on_battery: true, ..Source::held(exact) };
        solve(plan, &source, case).map_or_else(
            |_| plan.rows.iter().map(|row| row.draws(case, true).at(volts)).sum(),
            |solved| solved.total_a.1,
        )
    };
    at(least).max(at(most))
}

/// What a rule asks of a supply; `cut_off` are the volts at which its equipment stops.
#[must_use]
pub fn ruled(plan: &Plan, asked: &Asked, cut_off: f64) -> Ruled {
    let rule = asked.rule;
    let sixes = plan.nominal() / 12.0;
    let full = FULL_VOLTS * sixes;
    let end_volts = rule.end_volts.map(|volts| volts.0 * sixes);
    let standby_a = worst_current(plan, Case::Standby, cut_off, full);
    let alarm_a = worst_current(plan, Case::AlarmOf(rule.system), cut_off, full);
    let mut ruled = Ruled {
        rules: asked.rules.to_owned(),
        rule: rule.id.clone(),
        edition: rule.edition.clone(),
        clause: rule.clause.clone(),
        source: rule.source.clone(),
        remembered: rule.remembered(),
        system: rule.system,
        hours: asked.hours(),
        alarm_min: asked.alarm_min(),
        alarm_inside: rule.alarm_inside,
        standby_a,
        alarm_a,
        factors: asked.factors(),
        alarm_weight: rule.alarm_weight,
        required_ah: 0.0,
        recharge: rule.recharge.clone(),
        end_volts,
        ask_combined: rule.ask_combined,
        words: asked.words.iter().map(|word| word.reason.clone()).collect(),
        local: asked.local_words(),
        working: Vec::new(),
    };
    work(&mut ruled, rule.high_rate, (cut_off, full));
    ruled
}

/// Computes the ampere-hours and writes down how.
fn work(ruled: &mut Ruled, high_rate: Option<f64>, (cut_off, full): (f64, f64)) {
    let (standby_h, alarm_h) = (ruled.standby_h(), ruled.alarm_min / 60.0);
    let factor = ruled.factor();
    let standby_ah = ruled.standby_a * standby_h;
    let sum = |weight: f64| factor * (standby_ah + weight * ruled.alarm_a * alarm_h);
    let mut lines = times(ruled);
    lines.extend([
        format!(
            "I_s = {:.4} A: all loads at rest; the most between {cut_off:.2} V and {full:.2} V at the supply",
            ruled.standby_a
        ),
        format!(
            "I_a = {:.4} A: the same with what sounds in {} alarm",
            ruled.alarm_a,
            match ruled.system {
                System::Fire => "a fire",
                System::Intrusion => "an intrusion",
            }
        ),
        format!("I_s T_s = {:.4} A x {} h = {standby_ah:.4} Ah", ruled.standby_a, short(standby_h)),
    ]);
    let mut weight = ruled.alarm_weight;
    if let Some(high) = high_rate {
        let plain = sum(weight);
        let limit = plain / 20.0;
        if ruled.alarm_a > limit {
            weight *= high;
            lines.push(format!(
                "D = {high}: I_a is above a twentieth of {plain:.4} Ah, {limit:.4} A (with D = 1)"
            ));
        } else {
            lines.push(format!("D = 1: I_a is not above a twentieth of {plain:.4} Ah, {limit:.4} A"));
        }
    }
    let alarm_ah = weight * ruled.alarm_a * alarm_h;
    let weighed = if (weight - 1.0).abs() < 1e-12 { String::new() } else { format!("{} x ", short(weight)) };
    lines.push(format!(
        "{weighed}I_a T_a = {weighed}{:.4} A x {:.4} h = {alarm_ah:.4} Ah",
        ruled.alarm_a, alarm_h
    ));
    let margins: String = ruled.factors.iter().map(|(name, times)| format!(" x {times} ({name})")).collect();
    let required = sum(weight);
    lines.push(format!(
        "C = ({standby_ah:.4} + {alarm_ah:.4}) Ah{margins} = {required:.4} Ah at the 20 h rate"
    ));
    if let Some(end) = ruled.end_volts {
        lines.push(format!("equipment must work down to {end:.2} V; this one stops at {cut_off:.2} V"));
    }
    ruled.alarm_weight = weight;
    ruled.required_ah = required;
    ruled.working = lines;
}

/// Which times count: the clause's, and apart from them what local words made of them.
fn times(ruled: &Ruled) -> Vec<String> {
    let counts =
        format!("{} h in standby, then {} min in alarm", short(ruled.standby_h()), short(ruled.alarm_min));
    let overriding: Vec<&LocalWord> = ruled.local.iter().filter(|word| word.overrides()).collect();
    if overriding.is_empty() {
        return vec![format!("{}: {counts}", ruled.clause)];
    }
    let list = |shown: fn(&LocalWord) -> String| -> String {
        overriding.iter().map(|word| shown(word)).collect::<Vec<_>>().join(", ")
    };
    let clause = list(|word| word.figure.shown(word.clause));
    let local = list(|word| format!("{} ({})", word.figure.shown(word.counts()), word.reason()));
    vec![format!("{}: {clause}; by local word: {local}", ruled.clause), format!("so {counts}")]
}

/// A number without zeros behind its point.
pub(crate) fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// How a battery must be charged again, and whether it is.
#[derive(Clone, PartialEq, Debug)]
pub struct Recharged {
    /// The rule set.
    pub rules: String,
    /// The rule inside it.
    pub rule: String,
    /// To this share of the rated capacity.
    pub share: f64,
    /// Within so many hours.
    pub within_h: f64,
    /// It takes so many.
    pub takes_h: f64,
}

/// Ampere-hours to be put in for each that was taken out (from memory; reference/standby.md, 3).
pub const CHARGE_FACTOR: f64 = 1.25;

/// Hours to charge an empty bank to a share of its capacity with a current.
#[must_use]
pub fn recharge_hours(bank: &Bank, share: f64, charge_a: f64) -> f64 {
    CHARGE_FACTOR * share * bank.capacity_ah() / charge_a
}

/// Every recharge time that the rules ask for.
#[must_use]
pub fn recharged(rules: &[Ruled], bank: &Bank, charge_a: f64) -> Vec<Recharged> {
    let mut all = Vec::new();
    for ruled in rules {
        all.extend(ruled.recharge.iter().map(|asked| Recharged {
            rules: ruled.rules.clone(),
            rule: ruled.rule.clone(),
            share: asked.share.0,
            within_h: asked.within.0,
            takes_h: recharge_hours(bank, asked.share.0, charge_a),
        }));
    }
    all
}
