//! What a person must know or decide about one circuit.

use job::{Answer, Circuit, ControlListing, Duty, Finding, ResistorPlace, Severity, WiringClass};
use library::{Learns, PanelProfile, Scale};
use network::{Bounds, Form, Meaning, Network, Node, Part, Role, Step};
use quantity::{Interval, Ohms, Seconds, Written};

use crate::Setting;
use crate::remedy::Fit;
use crate::rewire::{at_end, has_smoke, in_panel};
use crate::sense::Sense;
use crate::study::Study;
use crate::words::range;

/// Where a circuit sits.
#[derive(Clone, Copy)]
pub struct Seat<'a> {
    /// The module's id.
    pub module: &'a str,
    /// The input and its mode.
    pub fit: Fit<'a>,
    /// What the module reports to.
    pub panel: Option<&'a PanelProfile>,
}

/// Collects the findings of one circuit.
pub(crate) struct Writer<'a> {
    pub(crate) setting: &'a Setting<'a>,
    pub(crate) circuit: &'a Circuit,
    findings: Vec<Finding>,
}

/// All findings about one circuit, the heaviest first.
#[must_use]
pub fn findings(
    setting: &Setting,
    circuit: &Circuit,
    network: Option<&Network>,
    seat: Option<&Seat>,
    study: Option<&Study>,
) -> Vec<Finding> {
    let mut writer = Writer { setting, circuit, findings: Vec::new() };
    writer.law();
    writer.missing(network, seat);
    writer.safety();
    if let Some(network) = network {
        writer.wiring(network, study);
        writer.unknown_devices(network);
        if let Some(study) = study {
            writer.as_found(network, study);
            if let Some(seat) = seat {
                writer.reading(network, seat, study);
                writer.silent(network, study);
                writer.input(network, seat, study);
                writer.meanings(network, seat, study);
            }
        }
    }
    writer.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    writer.findings
}

impl Writer<'_> {
    /// One more finding about this circuit.
    pub(crate) fn push(
        &mut self,
        severity: Severity,
        code: &'static str,
        text: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.findings.push(Finding {
            severity,
            place: self.circuit.tag.value.clone(),
            code,
            text: text.into(),
            remedy: remedy.into(),
        });
    }

    /// What the law and the listing decide before any electricity does.
    fn law(&mut self) {
        let fire = &self.setting.job.fire;
        let fires = self.circuit.duty.is_some_and(Duty::is_fire);
        if fires
            && fire.required != Answer::No
            && fire.control_listed_for != ControlListing::CommercialFire
            && fire.decision.is_empty()
        {
            self.push(
                Severity::Stop,
                "fire-law",
                "A fire circuit, and nobody has said that this building's fire alarm is not a required one, nor that \
                 the new control equipment is listed for commercial fire.",
                "Ask the authority having jurisdiction. Fill in [fire] required and control_listed_for, or record who \
                 decided, on what paper and when, in [fire] decision. Local code and licensed people decide.",
            );
        }
        if self.circuit.class == Some(WiringClass::A) {
            self.push(
                Severity::Stop,
                "class-a-as-b",
                "Wired as class A (out and back), and it lands on an input that watches one end only.",
                "Keep it on an input that watches both ends, or have the authority agree to class B in writing.",
            );
        }
    }

    fn missing(&mut self, network: Option<&Network>, seat: Option<&Seat>) {
        if let Some(other) = &self.circuit.other {
            self.push(
                Severity::Check,
                "not-computed",
                format!("Not computed, it has no series-parallel form: {other}"),
                "Rewire it as a line or a tree, or prove it device by device on site.",
            );
        } else if network.is_none() {
            self.push(
                Severity::Check,
                "no-network",
                "What hangs on this pair is not known yet.",
                "Measure at rest and with each device tripped, and write the network down.",
            );
        }
        if self.circuit.duty.is_none() {
            self.push(
                Severity::Check,
                "no-duty",
                "Nobody has said what this circuit is there for; it may belong to a fire alarm.",
                "Write its duty: intrusion, hold-up, smoke, heat, manual-call, waterflow, valve, tamper, technical or \
                 sounder.",
            );
        }
        let spare = network.is_some_and(is_spare);
        if spare {
            self.push(
                Severity::Note,
                "spare",
                "A spare pair.",
                "Leave it labelled; it may serve a home run.",
            );
        } else if self.circuit.input.is_none() && self.circuit.duty != Some(Duty::Sounder) {
            self.push(
                Severity::Check,
                "no-input",
                "On no input yet.",
                "Give it an input: `input = \"M1.1\"`.",
            );
        } else if self.circuit.input.is_some() && seat.is_none() {
            self.push(
                Severity::Check,
                "no-mode",
                "Its module has no profile, so how the input reads is not known.",
                "Name the module's profile.",
            );
        }
    }

    fn wiring(&mut self, network: &Network, study: Option<&Study>) {
        if let Some(duty) = self.circuit.duty.filter(|duty| !duty.is_fire())
            && has_smoke(network)
        {
            self.push(
                Severity::Fix,
                "duty-differs",
                format!(
                    "Its duty is {}, and its network has two-wire smoke detectors: one of the two is wrong.",
                    duty.word()
                ),
                "Look what hangs on it. A contact whose trips were missed reads as a smoke detector does: trip it again and \
                 watch it move. Then correct the duty or the network.",
            );
        }
        if let Some(contact) = bridging_contact(network) {
            self.push(
                Severity::Note,
                "bridges-all",
                format!("As written, {contact} bridges all that follows it while it is closed."),
                "If the resistor is across that contact alone, write brackets: `(nc:a | 4.7k) - 4.7k`.",
            );
        }
        self.resistor_place(network, study);
        let unread_polarity = network.elements().iter().any(|element| matches!(element.part, Part::Diode));
        if unread_polarity {
            self.push(
                Severity::Check,
                "diode",
                "A diode conducts one way only; its resistance is taken as anything from none to open.",
                "Measure both ways round.",
            );
        }
    }

    /// Where the resistor was seen against where the network has it: they cannot both be right, and what is hidden depends
    /// on it.
    fn resistor_place(&mut self, network: &Network, study: Option<&Study>) {
        let Some((seen, has)) = place_disagrees(self.circuit, network) else { return };
        let elsewhere = study.and_then(|study| study.elsewhere);
        let then = elsewhere.map_or(String::new(), |coverage| {
            format!(
                " Where it was seen, {} of {} single faults hide an alarm.",
                coverage.silent_dangerous,
                coverage.total()
            )
        });
        self.push(
            Severity::Fix,
            "resistor-place",
            format!("The resistor was seen {seen}, and the network has it {has}.{then}"),
            "Look again, and correct `resistor_at` or `network`; a resistor in the panel watches nothing of the pair: move it \
             to the end.",
        );
    }

    /// What the manual says of the input itself.
    fn input(&mut self, network: &Network, seat: &Seat, study: &Study) {
        let mode = seat.fit.mode();
        let smoke = has_smoke(network);
        if smoke && !mode.smoke_inputs.contains(&seat.fit.input) {
            let inputs: Vec<String> = mode.smoke_inputs.iter().map(u16::to_string).collect();
            let remedy = if inputs.is_empty() {
                "Choose a mode with a smoke input, or another module.".to_owned()
            } else {
                format!("Move it to input {} of {}.", inputs.join(" or "), seat.module)
            };
            let text = format!(
                "Two-wire smoke detectors, and input {} has no smoke listing in mode {}.",
                seat.fit.input, mode.id
            );
            self.push(Severity::Stop, "smoke-input", text, remedy);
        }
        if smoke {
            if Sense::new(self.circuit, network, mode).smoke_alarm().is_none() {
                let text = format!(
                    "No band of mode {} takes a detector that draws its alarm current for an alarm.",
                    mode.id
                );
                let remedy = "Choose a mode with an alarm band below rest, or another module.";
                self.push(Severity::Stop, "smoke-not-read", text, remedy);
            }
            self.smoke(network);
        }
        if study.line > mode.line_max {
            let text = format!(
                "Conductors and joints come to {}; mode {} allows {}.",
                study.line.shown(3),
                mode.id,
                mode.line_max.shown(3)
            );
            self.push(
                Severity::Fix,
                "line-too-long",
                text,
                "Use a spare core in parallel, or a nearer module.",
            );
        }
        let rest = study.states.first().map_or(Bounds::JOINED, |rest| rest.ohms);
        let learns = matches!(mode.scale, Scale::ShareOfLearned { .. });
        // The manual's range is for the resistor, printed to three figures; conductors and joints have their
        // own allowance on top.
        let fits = |accepts: &Interval<Ohms>| {
            accepts.lo().0 * 0.995 <= rest.lo && rest.hi <= (accepts.hi() + mode.line_max).0
        };
        if let Some(accepts) = mode.accepts.filter(|accepts| !learns && !smoke && !fits(accepts))
            && study.reads_right
        {
            let text = format!(
                "At rest it has {}; the manual accepts {} in mode {}.",
                range(rest),
                accepts.shown(),
                mode.id
            );
            self.push(
                Severity::Check,
                "outside-accepts",
                text,
                "Use the mode's own resistor, or ask the maker.",
            );
        }
        if matches!(mode.scale, Scale::ShareOfLearned { learns: Learns::AtPowerUp }) {
            self.push(
                Severity::Check,
                "learns-at-power-up",
                "This mode learns at every power-up: what is wrong at that moment becomes its normal.",
                "Measure every circuit at rest before each power-up, or use a mode that learns on command.",
            );
        }
        self.pulses(network, mode);
    }

    fn smoke(&mut self, network: &Network) {
        let unlisted: Vec<&str> = network
            .elements()
            .iter()
            .filter_map(|element| match &element.part {
                Part::Smoke(name) => Some(name.as_str()),
                _ => None,
            })
            .filter(|name| {
                let device = self.setting.device(&self.circuit.tag, name);
                device.is_none_or(|device| device.listing.is_empty())
            })
            .collect();
        if !unlisted.is_empty() {
            let text = format!(
                "Whether this module is listed as compatible with {} is not recorded.",
                unlisted.join(", ")
            );
            self.push(
                Severity::Check,
                "smoke-listing",
                text,
                "Look it up in the module's compatibility list and record it in the device's `listing`. It is never \
                 computed.",
            );
        }
    }

    fn pulses(&mut self, network: &Network, mode: &library::Mode) {
        if let Some((contact, pulse, response)) = too_slow(self.setting, self.circuit, network, mode) {
            let text = format!(
                "{contact} moves for {} and the input needs {}: its alarm is lost and nothing shows it.",
                pulse.written(),
                response.written()
            );
            let remedy = "Use a mode with a faster response, or a detector that holds its alarm.";
            self.push(Severity::Stop, "input-too-slow", text, remedy);
        }
    }

    /// Meanings that get lost on the way from the band to the panel.
    fn meanings(&mut self, network: &Network, seat: &Seat, study: &Study) {
        let used: std::collections::BTreeSet<Meaning> =
            study.means.iter().copied().filter(|means| *means != Meaning::Normal).collect();
        for means in used {
            let lost = if !seat.fit.profile.sends.contains(&means) {
                Some(format!("module {}", seat.module))
            } else if seat.panel.is_some_and(|panel| !panel.takes.contains(&means)) {
                Some("the panel".to_owned())
            } else {
                None
            };
            if let Some(whom) = lost {
                let text =
                    format!("A band of this circuit means {}, and {whom} cannot report that.", means.word());
                let remedy = "Give that band another meaning with `means`, or use equipment that reports it.";
                self.push(Severity::Fix, "meaning-lost", text, remedy);
            }
        }
        let alarms = |form| {
            network.elements().iter().any(|element| {
                matches!(&element.part, Part::Contact { role: Role::Alarm, form: this, .. } if *this == form)
            })
        };
        let both = alarms(Form::NormallyClosed) && alarms(Form::NormallyOpen);
        if both && seat.fit.mode().bands.len() == 3 && self.circuit.means.is_empty() {
            self.push(
                Severity::Check,
                "cut-looks-like-alarm",
                "Contacts that open and contacts that close are on one pair, so a cut and a short look like an alarm.",
                "Split them over two inputs, or use a mode of more bands.",
            );
        }
    }
}

/// The first contact whose pulse is shorter than what the mode needs to see it.
pub(crate) fn too_slow(
    setting: &Setting,
    circuit: &Circuit,
    network: &Network,
    mode: &library::Mode,
) -> Option<(String, Seconds, Seconds)> {
    let response = mode.response?;
    network.contacts().iter().find_map(|contact| {
        let pulse = setting.contact(&circuit.tag, &contact.name, contact.role)?.pulse?;
        (pulse < response).then(|| (contact.label(), pulse, response))
    })
}

/// Where the resistor was seen and where the network has it, where the two cannot both be right.
pub(crate) fn place_disagrees(circuit: &Circuit, network: &Network) -> Option<(&'static str, &'static str)> {
    let is_resistor = |element: &network::Element| matches!(element.part, Part::Resistor { .. });
    if !network.elements().iter().any(is_resistor) {
        return None;
    }
    let in_panel = in_panel(network);
    match circuit.resistor_at? {
        ResistorPlace::Panel if !in_panel => Some(("in the panel", "beyond the cable")),
        ResistorPlace::End if in_panel && !at_end(network) => Some(("at the end", "in the panel")),
        ResistorPlace::Device if in_panel && !at_end(network) => Some(("in a device", "in the panel")),
        ResistorPlace::End if !at_end(network) => Some(("at the end", "elsewhere")),
        _ => None,
    }
}

/// Whether a pair ends on nothing and has no contact.
fn is_spare(network: &Network) -> bool {
    let parts = network.elements();
    network.contacts().is_empty()
        && parts.iter().all(|element| element.is_cable() || matches!(element.part, Part::Open | Part::Joined))
}

/// A normally-closed contact that stands across all that follows it, on the way from the terminals.
fn bridging_contact(network: &Network) -> Option<String> {
    let mut node: Node = network.root();
    while let Some((piece, rest)) = network.operands(node) {
        if network.step(node) == Step::Across
            && let Step::Element(element) = network.step(piece)
            && crate::cases::is_closed(network, element)
        {
            return Some(crate::element_name(network, element));
        }
        node = rest;
    }
    None
}
