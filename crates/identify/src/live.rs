//! Volts at the old equipment's terminals while it still works: a survey that lifts no wire.
//!
//! An old board feeds each input through a pull-up from a source: `V = Vo R / (R + Rp)`. Neither `Vo` nor `Rp` is
//! known; circuits whose ohms were read calibrate them, and so do the others, because their resistors have values of
//! the catalogue. Field ohms are given only when all circuits of a board leave little doubt of both.

use job::{Display, Job};
use quantity::{Interval, Ohms, Volts};

use crate::evidence::Setting;
use crate::look::{Asked, Looks};
use crate::refusal;

/// Pull-ups are looked for between these, in ohm, by steps of 3 %.
const PULL_UP: (f64, f64) = (300.0, 20e3);
const STEP: f64 = 1.03;
/// The source lies between the largest volts that were read and so many times them.
const SOURCE_UP_TO: f64 = 1.6;
/// Steps of the source, of 1 %.
const SOURCE_STEP: f64 = 1.01;
/// Field ohms that are less certain than this are not given (one standard deviation, as a share).
const DOUBT: f64 = 0.05;
/// The grid itself leaves this much open, as a share of the volts.
const GRID: f64 = 0.01;
/// Of pairs read live, so many are neither open, low, nor near a value of the catalogue (from memory).
const STRAY: f64 = 0.05;
/// Below this share of the source a pair is low, above the other it is open.
const NEARLY: f64 = 0.02;
/// One part in three of the spread of an even law is its standard deviation, squared.
const EVEN: f64 = 1.0 / 3.0;

/// What is inferred of the old board in one enclosure.
#[derive(Clone, PartialEq, Debug)]
pub struct OldBoard {
    /// The enclosure; none for circuits that name none.
    pub enclosure: Option<String>,
    /// Its pull-up.
    pub pull_up: Interval<Ohms>,
    /// Its source: the volts at open terminals.
    pub source: Interval<Volts>,
    /// Field ohms by the circuit's place in the job; infinite when open; only where there is little doubt.
    pub field: Vec<(usize, Interval<Ohms>)>,
}

/// One circuit's terminal volts.
struct Terminal {
    circuit: usize,
    volts: f64,
    deviation: f64,
    /// Ohms at rest, where they were read with the pair lifted.
    known: Option<f64>,
}

/// One point of the grid, with its weight.
struct Point {
    pull_up: f64,
    source: f64,
    weight: f64,
}

/// Every board on which something was read live.
pub(crate) fn boards(job: &Job, setting: &Setting, looks: &[Looks]) -> Vec<OldBoard> {
    let mut enclosures: Vec<Option<String>> = Vec::new();
    for circuit in &job.circuits {
        let enclosure = circuit.ends_in.as_ref().map(|id| id.value.clone());
        if !enclosures.contains(&enclosure) {
            enclosures.push(enclosure);
        }
    }
    let of = |enclosure: Option<String>| {
        let on_it = |at: &usize| job.circuits[*at].ends_in.as_ref().map(|id| &id.value) == enclosure.as_ref();
        let terminals: Vec<Terminal> = (0..job.circuits.len())
            .filter(on_it)
            .filter_map(|at| terminal(at, looks.get(at)?, setting))
            .collect();
        board(enclosure, &terminals, setting)
    };
    enclosures.into_iter().filter_map(of).collect()
}

fn terminal(circuit: usize, looks: &Looks, setting: &Setting) -> Option<Terminal> {
    let (volts, digit) = looks.live?;
    if refusal::of(looks).is_some() {
        // Foreign volts tell nothing of a board.
        return None;
    }
    let (percent, digits) = (setting.meter.percent.0 * volts, f64::from(setting.meter.digits) * digit);
    let deviation = (EVEN * (percent * percent + digits * digits) + (GRID * volts).powi(2)).sqrt();
    let known =
        looks.ohms.iter().find(|look| look.asked == Asked::Rest).and_then(|look| match look.display {
            Display::Value { value, .. } => Some((value.0 - setting.line.leads_mean()).max(0.0)),
            Display::Open => Some(f64::INFINITY),
            Display::Unstable => None,
        });
    Some(Terminal { circuit, volts, deviation: deviation.max(1e-3), known })
}

fn board(enclosure: Option<String>, terminals: &[Terminal], setting: &Setting) -> Option<OldBoard> {
    let most = terminals.iter().map(|terminal| terminal.volts).fold(0.0, f64::max);
    if terminals.len() < 2 || most <= 0.0 {
        return None;
    }
    let points = grid(terminals, most, setting);
    let mean = |of: &dyn Fn(&Point) -> f64| points.iter().map(|point| point.weight * of(point)).sum::<f64>();
    let range = |of: &dyn Fn(&Point) -> f64| {
        let middle = mean(of);
        let off = 2.0 * (mean(&|point| (of(point) - middle).powi(2))).max(0.0).sqrt();
        ((middle - off).max(0.0), middle + off)
    };
    let (pull_lo, pull_hi) = range(&|point| point.pull_up);
    let (source_lo, source_hi) = range(&|point| point.source);
    let mut field = Vec::new();
    for terminal in terminals {
        let ratio = mean(&|point| terminal.volts / point.source);
        if ratio >= 1.0 - NEARLY {
            field.push((terminal.circuit, Interval::exact(Ohms::INFINITE)));
            continue;
        }
        let ohms = |point: &Point| {
            point.pull_up * terminal.volts / (point.source - terminal.volts).max(point.source * 1e-3)
        };
        let middle = mean(&ohms);
        // The reading's own error, carried to ohms: dR/dV = R Vo / (V (Vo - V)).
        let own = middle * terminal.deviation / (terminal.volts.max(1e-3) * (1.0 - ratio));
        let off = (mean(&|point| (ohms(point) - middle).powi(2)) + own * own).sqrt();
        if off <= DOUBT * middle || middle < NEARLY * pull_lo {
            field.push((
                terminal.circuit,
                Interval::new(Ohms((middle - 2.0 * off).max(0.0)), Ohms(middle + 2.0 * off)),
            ));
        }
    }
    let pull_up = Interval::new(Ohms(pull_lo), Ohms(pull_hi));
    let source = Interval::new(Volts(source_lo), Volts(source_hi));
    Some(OldBoard { enclosure, pull_up, source, field })
}

/// The posterior of pull-up and source over the grid; weights sum to 1.
fn grid(terminals: &[Terminal], most: f64, setting: &Setting) -> Vec<Point> {
    let mut points = Vec::new();
    let mut best = f64::NEG_INFINITY;
    let mut source = most;
    while source <= most * SOURCE_UP_TO {
        let mut pull_up = PULL_UP.0;
        while pull_up <= PULL_UP.1 {
            let log: f64 = terminals.iter().map(|one| libm::log(fit(one, pull_up, source, setting))).sum();
            best = best.max(log);
            points.push(Point { pull_up, source, weight: log });
            pull_up *= STEP;
        }
        source *= SOURCE_STEP;
    }
    let mut sum = 0.0;
    for point in &mut points {
        point.weight = libm::exp(point.weight - best);
        sum += point.weight;
    }
    points.iter_mut().for_each(|point| point.weight /= sum);
    points
}

/// How well a terminal's volts fit a board; a density per volt.
fn fit(terminal: &Terminal, pull_up: f64, source: f64, setting: &Setting) -> f64 {
    let at = |ohms: f64, spread: f64| {
        let volts = if ohms.is_finite() { source * ohms / (ohms + pull_up) } else { source };
        // dV/V = Rp / (R + Rp) dR/R
        let spread = if ohms.is_finite() { volts * spread * pull_up / (ohms + pull_up) } else { 0.0 };
        let deviation = (terminal.deviation.powi(2) + spread * spread).sqrt();
        let off = (terminal.volts - volts) / deviation;
        libm::exp(-0.5 * off * off) / deviation
    };
    let stray = STRAY / source;
    if let Some(ohms) = terminal.known {
        return (1.0 - STRAY) * at(ohms, setting.meter.percent.0) + stray;
    }
    let tolerance = setting.habits.spread.resistor.0 * EVEN.sqrt();
    let line = setting.habits.spread.cable.hi().0 / 2.0;
    let resistors: f64 = setting
        .values
        .iter()
        .zip(&setting.weights)
        .map(|(ohms, weight)| weight * at(ohms + line, tolerance))
        .sum();
    // A third each of open and low pairs hardly tells boards apart, but must not be taken for resistors.
    (1.0 - STRAY) * (0.7 * resistors + 0.15 * at(f64::INFINITY, 0.0) + 0.15 * at(line, 0.5)) + stray
}
