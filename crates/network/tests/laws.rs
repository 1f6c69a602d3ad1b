//! Laws that hold for every network: printing, bounds, effects, masking.

use network::{Bounds, Choice, Effect, End, Network, Node, Part};
use proptest::prelude::*;

/// A random network of the notation, as text.
fn text() -> impl Strategy<Value = String> {
    let element = prop_oneof![
        (1_u32..90).prop_map(|m| format!("wire:{m}m")),
        (1_u32..90).prop_map(|m| format!("core:{m}ft@18AWG")),
        prop::sample::select(vec!["a", "b", "c", "d", "e"]).prop_map(|n| format!("nc:{n}")),
        prop::sample::select(vec!["a", "b", "c", "f", "g"]).prop_map(|n| format!("no:{n}")),
        prop::sample::select(vec!["1k", "2.2k", "4k7", "470 ohm", "10k 1 %"]).prop_map(str::to_owned),
        Just("smoke:D1".to_owned()),
    ];
    element.prop_recursive(4, 24, 4, |inner| {
        (prop::collection::vec((inner, any::<bool>()), 1..4)).prop_map(|pieces| {
            let mut text = String::new();
            for (at, (piece, across)) in pieces.iter().enumerate() {
                if at > 0 {
                    text.push_str(if *across { " | " } else { " - " });
                }
                text.push_str(&format!("({piece})"));
            }
            text
        })
    })
}

/// Plain values: enough to tell elements apart, with a contact's two conditions.
fn choices(network: &Network) -> Vec<Choice> {
    let open = Bounds { lo: 1e6, hi: f64::INFINITY };
    let closed = Bounds { lo: 0.0, hi: 1.0 };
    let choice = |(at, element): (usize, &network::Element)| match &element.part {
        Part::Contact { form: network::Form::NormallyClosed, .. } => {
            Choice { rest: closed, active: Some(open) }
        }
        Part::Contact { .. } => Choice { rest: open, active: Some(closed) },
        Part::Resistor { nominal, .. } => {
            Choice { rest: Bounds { lo: nominal.0 * 0.95, hi: nominal.0 * 1.05 }, active: None }
        }
        _ => Choice { rest: Bounds { lo: at as f64, hi: at as f64 + 0.5 }, active: None },
    };
    network.elements().iter().enumerate().map(choice).collect()
}

fn with_active(network: &Network, choices: &[Choice], set: u32) -> Vec<Bounds> {
    let value = |at: usize| {
        let active = network.contact_of(at).is_some_and(|contact| set >> contact & 1 == 1);
        if active { choices[at].active.unwrap_or(choices[at].rest) } else { choices[at].rest }
    };
    (0..choices.len()).map(value).collect()
}

fn close(one: f64, other: f64) -> bool {
    (one.is_infinite() && other.is_infinite()) || (one - other).abs() <= 1e-9 * one.abs().max(other.abs())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn printing_reads_back_as_itself(text in text()) {
        let network = Network::parse(&text).unwrap();
        let printed = network.written();
        let again = Network::parse(&printed).unwrap();
        prop_assert_eq!(again.written(), printed);
        prop_assert_eq!(again.steps(), network.steps());
    }

    #[test]
    fn any_text_is_read_or_refused_inside_itself(text in "[ -~Ωµ\n]{0,60}") {
        if let Err(e) = Network::parse(&text) {
            prop_assert!(e.column >= 1 && e.column <= text.chars().count() + 1);
        }
    }

    /// What the terminals show follows each subtree as its effect says: the subtree's own value gives the
    /// whole, and a fault's effect gives the same as a network evaluated with it.
    #[test]
    fn effects_agree_with_evaluation(text in text(), x in prop_oneof![Just(0.0), 1.0..1e6, Just(f64::INFINITY)]) {
        let network = Network::parse(&text).unwrap();
        let values = with_active(&network, &choices(&network), 0);
        let whole = network.bounds(&values);
        let (mut nodes, mut low, mut high) = (Vec::new(), Vec::new(), Vec::new());
        network.all_bounds(&values, &mut nodes);
        network.effects(&nodes, End::Low, &mut low);
        network.effects(&nodes, End::High, &mut high);
        for node in network.nodes() {
            let at = node.index();
            prop_assert!(close(low[at].at(nodes[at].lo), whole.lo), "{} {:?}", low[at].at(nodes[at].lo), whole);
            prop_assert!(close(high[at].at(nodes[at].hi), whole.hi));
            if let network::Step::Element(element) = network.step(node) {
                let mut changed = values.clone();
                changed[element] = Bounds { lo: changed[element].lo + x, hi: changed[element].hi + x };
                prop_assert!(close(high[at].in_line_with(nodes[at].hi).at(x), network.bounds(&changed).hi));
                changed[element] = Bounds { lo: x, hi: x }.across(values[element]);
                prop_assert!(close(low[at].across_from(nodes[at].lo).at(x), network.bounds(&changed).lo));
            }
        }
    }

    /// Inverting an effect finds the sizes and no others.
    #[test]
    fn inverting_finds_the_edge(p in 0.001..10.0_f64, share in 0.0..0.999_f64, s in 0.001..10.0_f64, r in 1e-6..0.01_f64, target in 0.1..1e5_f64) {
        // It rises: p * s > q * r.
        let q = (share * p * s / r).min(1e4);
        let effect = Effect::ITSELF.affine(p, q).in_line_with(s).across_from(1.0 / r);
        if let Some(x) = effect.least_for(target) {
            prop_assert!(effect.at(x) >= target * (1.0 - 1e-6));
            prop_assert!(x == 0.0 || effect.at(x * 0.999) <= target * (1.0 + 1e-6));
        } else {
            prop_assert!(effect.at(f64::INFINITY) < target);
        }
    }

    /// Brute force over every set of active contacts, shared devices included: the same resistances are
    /// reached, no others.
    #[test]
    fn reach_is_what_brute_force_reaches(text in text()) {
        let network = Network::parse(&text).unwrap();
        let choices = choices(&network);
        let contacts = network.contacts().len();
        let reach = network.reach(&choices, &[]);
        prop_assert!(reach.complete);
        let mut brute = Vec::new();
        for set in 1_u32..1 << contacts {
            brute.push(network.bounds(&with_active(&network, &choices, set)));
        }
        for one in &brute {
            prop_assert!(
                reach.active.iter().any(|held| held.lo <= one.lo * (1.0 + 1e-12) && one.hi <= held.hi * (1.0 + 1e-12)),
                "{one:?} is not in {:?}", reach.active
            );
        }
        for held in &reach.active {
            prop_assert!(brute.iter().any(|one| close(one.lo, held.lo)));
            prop_assert!(brute.iter().any(|one| close(one.hi, held.hi)));
        }
    }
}

#[test]
fn a_line_of_two_hundred_steps_is_no_work() {
    let text = (0..200).map(|at| format!("(nc:d{at} | 4.7k)")).collect::<Vec<_>>().join(" - ");
    let network = Network::parse(&text).unwrap();
    let reach = network.reach(&choices(&network), &[]);
    assert!(reach.complete);
    let whole = network.reach(&choices(&network), &[Some(true); 200]);
    assert_eq!(whole.active.len(), 1, "all held active is one state");
    let root: Node = network.root();
    assert_eq!(network.elements_of(root).count(), 400);
}
