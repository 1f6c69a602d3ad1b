//! Faults against the notation itself: a fault of a size is written into the circuit as a resistor without
//! tolerance, and what the engine says of the fault must be what it says of that circuit's states.
//!
//! Second method: sizes are tried one by one, where the engine inverts.

use circuit::{Class, Fault, FaultKind, Fit, Lift, Place, Raised, Sense, Setting, Study};
use document::Source;
use job::Job;
use library::{Kind, Library, ModuleProfile};
use network::{Network, Role};
use proptest::prelude::*;

const PROFILE: &str = r#"
id = "t"
kind = "module"
title = "Test module"
basis = "invented for these tests"
inputs = 4
earth = "common-earthed"
[[mode]]
id = "three"
edge_tolerance = "3 %"
bands = [ { name = "short", below = "1.4k", means = "trouble" }, { name = "rest", below = "6.8k", means = "normal" },
          { name = "open", means = "alarm" } ]
[[mode]]
id = "five"
edge_tolerance = "2 %"
bands = [ { name = "short", below = "1.1k", means = "tamper" }, { name = "rest", below = "3.4k", means = "normal" },
          { name = "alarm", below = "9k", means = "alarm" }, { name = "masked", below = "18k", means = "trouble" },
          { name = "open", means = "tamper" } ]
"#;

fn library() -> Library {
    let mut library = Library::default();
    library.add(&Source::new("t.toml", PROFILE)).expect("the test profile reads");
    library
}

fn profile(library: &Library) -> &ModuleProfile {
    match &library.profiles["t"].kind {
        Kind::Module(profile) => profile,
        _ => panic!("it is a module"),
    }
}

fn job(network: &str) -> Job {
    let text = format!(
        "format = 1\n[assume]\nlength_tolerance = \"0 %\"\n[[circuit]]\ntag = \"C1\"\nduty = \"intrusion\"\nnetwork = \
         \"{network}\"\n"
    );
    Job::read(&Source::new("job.toml", text)).unwrap_or_else(|problems| panic!("{network}: {problems:?}"))
}

fn fit(library: &Library, mode: usize) -> Fit<'_> {
    Fit {
        profile: profile(library),
        mode,
        input: 1,
        free_inputs: 0,
        by_mode: &[],
        lift: Lift::default(),
        shares: false,
    }
}

fn studied(network: &str, mode: usize) -> (Job, Study) {
    let job = job(network);
    let library = library();
    let fit = fit(&library, mode);
    let setting = Setting::new(&job, &library);
    let circuit = &job.circuits[0];
    let study = circuit::study(&setting, circuit, circuit.network.as_ref().expect("a network"), Some(&fit));
    (job, study)
}

/// Pieces of a line with the sign behind each, as text.
type Pieces = Vec<(String, &'static str)>;

fn pieces() -> impl Strategy<Value = Pieces> {
    let piece = prop_oneof![
        3 => (0_usize..4).prop_map(|at| (format!("nc:n{at}"), " - ")),
        2 => (0_usize..4).prop_map(|at| (format!("no:o{at}"), " | ")),
        2 => (5_u32..60).prop_map(|metres| (format!("wire:{metres}m"), " - ")),
        1 => (0_usize..3).prop_map(|at| (format!("(nc:t{at} | 2.2k)"), " - ")),
        1 => (0_usize..3).prop_map(|at| (format!("(wire:9m - no:b{at})"), " | ")),
        1 => Just(("2.2k".to_owned(), " - ")),
    ];
    let end = prop::sample::select(vec!["2.2k", "4.7k", "1.5k", "3.3k 1 %"]);
    (prop::collection::vec(piece, 1..5), end).prop_map(|(mut pieces, end)| {
        pieces.push((end.to_owned(), ""));
        pieces
    })
}

fn written(pieces: &[(String, &'static str)]) -> String {
    pieces.iter().map(|(piece, sign)| format!("{piece}{sign}")).collect()
}

/// The circuit with `fault` written in front of piece `at`; `across` puts it across what follows.
fn with_fault(pieces: &Pieces, at: usize, ohms: f64, across: bool) -> String {
    let sign = if across { "|" } else { "-" };
    let front = written(&pieces[..at]);
    format!("{front}({ohms} ohm 0 % {sign} ({}))", written(&pieces[at..]))
}

/// Whether the circuit may read normal at rest, and whether some contact that was right before is wrong now.
fn verdict(text: &str, mode: usize, right_before: &[String]) -> (bool, bool) {
    let job = job(text);
    let library = library();
    let circuit = &job.circuits[0];
    let network: &Network = circuit.network.as_ref().expect("a network");
    let setting = Setting::new(&job, &library);
    let fit = fit(&library, mode);
    let model = circuit::model(&setting, circuit, network, Some(&fit));
    let sense = Sense::new(circuit, network, &profile(&library).modes[mode]);
    let silent = sense.may_be_normal(model.reading(&[]).scaled);
    let lost = network.contacts().iter().enumerate().any(|(at, contact)| {
        right_before.contains(&contact.label())
            && !sense.reads_right(model.reading(&[at]).scaled, Raised::one(contact.role))
    });
    (silent, lost)
}

fn right_before(job: &Job, study: &Study) -> Vec<String> {
    let network = job.circuits[0].network.as_ref().expect("a network");
    let alone = study.states.iter().filter(|state| state.ok == Some(true));
    alone
        .filter_map(|state| match state.active.as_slice() {
            [one] if network.contacts()[*one].role != Role::Fault => Some(network.contacts()[*one].label()),
            _ => None,
        })
        .collect()
}

/// The leak or joint of a study at the place in front of piece `at`.
fn fault_at<'s>(study: &'s Study, network: &Network, kind: FaultKind, at: usize) -> Option<&'s Fault> {
    let mut node = network.root();
    for _ in 0..at {
        node = network.operands(node)?.1;
    }
    study.faults.iter().find(|fault| {
        fault.kind == kind
            && match fault.place {
                Place::Terminals => at == 0,
                Place::Behind { rest, .. } => at > 0 && rest == node,
                _ => false,
            }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn sizes_are_what_trying_them_finds(pieces in pieces(), at in 0_usize..6, mode in 0_usize..2, leak in any::<bool>()) {
        let at = at % pieces.len();
        let text = written(&pieces);
        let (job, study) = studied(&text, mode);
        let network = job.circuits[0].network.as_ref().expect("a network");
        let kind = if leak { FaultKind::Leak } else { FaultKind::Joint };
        // Behind an element that stands across, the two cores are the same node as before it.
        let Some(fault) = fault_at(&study, network, kind, at) else { return Ok(()) };
        let before = right_before(&job, &study);
        let (from, to) = if leak { (1e3, 1e6) } else { (1.0, 1e5) };
        let mut worst = Class::Announced;
        let mut found: Option<(f64, f64)> = None;
        for step in 0..=120 {
            let x = from * f64::powf(to / from, f64::from(step) / 120.0);
            let (silent, lost) = verdict(&with_fault(&pieces, at, x, leak), mode, &before);
            let class = match (silent, lost) {
                (false, _) => Class::Announced,
                (true, false) => Class::SilentSafe,
                (true, true) => Class::SilentDangerous,
            };
            if class > worst {
                worst = class;
                found = None;
            }
            if class == worst && class != Class::Announced {
                found = Some(found.map_or((x, x), |(lo, _)| (lo, x)));
            }
        }
        // A step is 5.9 % for a leak and 10 % for a joint; what lies between two steps is not seen.
        prop_assert!(fault.class >= worst, "{text} at {at}: {worst:?} is found, {fault:?} said");
        if fault.class == worst
            && let (Some((lo, hi)), Some(sizes)) = (found, fault.sizes)
        {
            let step = f64::powf(to / from, 1.0 / 120.0);
            prop_assert!(sizes.lo <= lo * 1.0001 && lo <= sizes.lo * step * 1.0001, "{text} at {at}: {lo} is found, {sizes:?} said");
            prop_assert!(sizes.hi >= hi * 0.9999 && hi * step * 1.0001 >= sizes.hi, "{text} at {at}: {hi} is found, {sizes:?} said");
        }
        // What is said of sizes must be found at one of them.
        if let (Class::SilentDangerous, Some(sizes)) = (fault.class, fault.sizes) {
            let inside = [sizes.lo * 1.000_001, (sizes.lo * sizes.hi).sqrt(), sizes.hi * 0.999_999];
            let found = inside.iter().any(|&x| verdict(&with_fault(&pieces, at, x, leak), mode, &before) == (true, true));
            prop_assert!(found, "{text} at {at}: none of {sizes:?} is silent and dangerous");
        }
    }

    /// A cut or a short written into the circuit gives the fault's reading and class.
    #[test]
    fn cuts_and_shorts_are_what_the_circuit_with_them_shows(pieces in pieces(), at in 0_usize..6, mode in 0_usize..2, cut in any::<bool>()) {
        let at = at % pieces.len();
        let text = written(&pieces);
        let (job, study) = studied(&text, mode);
        let network = job.circuits[0].network.as_ref().expect("a network");
        let kind = if cut { FaultKind::Open } else { FaultKind::Short };
        let Some(fault) = fault_at(&study, network, kind, at) else { return Ok(()) };
        let front = written(&pieces[..at]);
        let rest = written(&pieces[at..]);
        let faulty = if cut { format!("{front}(open - ({rest}))") } else { format!("{front}(joined | ({rest}))") };
        let before = right_before(&job, &study);
        let (silent, lost) = verdict(&faulty, mode, &before);
        let class = match (silent, lost) {
            (false, _) => Class::Announced,
            (true, false) => Class::SilentSafe,
            (true, true) => Class::SilentDangerous,
        };
        prop_assert_eq!(fault.class, class, "{} at {}", &text, at);
        let (_, with) = studied(&faulty, mode);
        let close = |one: f64, other: f64| (one.is_infinite() && other.is_infinite()) || (one - other).abs() <= 1e-9 * one.abs().max(other.abs());
        prop_assert!(close(fault.ohms.lo, with.states[0].ohms.lo), "{:?} {:?}", fault.ohms, with.states[0].ohms);
        prop_assert!(close(fault.ohms.hi, with.states[0].ohms.hi), "{:?} {:?}", fault.ohms, with.states[0].ohms);
    }
}
