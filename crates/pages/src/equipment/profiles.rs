//! Profiles of the library in words: what a module reads, what a supply gives.

use library::{Band, Kind, Library, Mode, ModePer, ModuleProfile, Profile, Scale};
use maud::{Markup, html};
use quantity::{Ohms, Volts, Written};
use view::words::counted;

/// The word of its kind in a profile's file.
pub(super) fn kind_of(profile: &Profile) -> &'static str {
    match profile.kind {
        Kind::Module(_) => "module",
        Kind::Supply(_) => "supply",
        Kind::Battery(_) => "battery",
        Kind::Transformer(_) => "transformer",
        Kind::Detector(_) => "detector",
        Kind::Sounder(_) => "sounder",
        Kind::Keypad => "keypad",
        Kind::Panel(_) => "panel",
        Kind::Enclosure(_) => "enclosure",
        Kind::Relay => "relay",
    }
}

/// A profile as a choice: its id, what it is, what decides between it and others.
pub(super) fn words_of(profile: &Profile) -> String {
    let more = match &profile.kind {
        Kind::Module(module) => {
            let modes: Vec<&str> = module.modes.iter().map(|mode| mode.id.as_str()).collect();
            format!("; modes {}", modes.join(", "))
        }
        Kind::Enclosure(enclosure) => enclosure
            .positions
            .map_or_else(String::new, |count| format!("; {}", counted_u32(count, "position", "positions"))),
        Kind::Panel(panel) => {
            panel.zones.map_or_else(String::new, |count| format!("; {}", counted_u32(count, "zone", "zones")))
        }
        _ => String::new(),
    };
    format!("{}: {}{more}", profile.id, profile.title)
}

fn counted_u32(count: u32, one: &str, many: &str) -> String {
    counted(usize::try_from(count).unwrap_or(usize::MAX), one, many)
}

/// Every module of the library: its inputs, its modes and where their bands lie.
pub(super) fn modules(library: &Library) -> Markup {
    let all = library.profiles.values().filter_map(|profile| match &profile.kind {
        Kind::Module(module) => Some((profile, module)),
        _ => None,
    });
    html! {
        details {
            summary { "What the modules of the library read" }
            @for (profile, module) in all {
                h3 { (profile.id) }
                p { (profile.title) ", " (counted(usize::from(module.inputs), "input", "inputs")) ", "
                    @match module.mode_per { ModePer::Module => "one mode for all of them", ModePer::Input => "each input with its own mode" } ". " span.quiet { (profile.basis) "." } }
                (modes(module))
            }
        }
    }
}

fn modes(module: &ModuleProfile) -> Markup {
    html! {
        dl.modes {
            @for mode in &module.modes {
                dt { (mode.id) }
                dd {
                    @if let Some(resistor) = mode.eol { "Wants " (resistor.written()) " at the end. " }
                    (bands(mode)) "."
                    @if !mode.smoke_inputs.is_empty() { " Two-wire smoke detectors on " (view::words::listed(&mode.smoke_inputs.iter().map(u16::to_string).collect::<Vec<_>>(), 12)) "." }
                }
            }
        }
    }
}

/// `short below 1.2k: trouble; rest below 3.4k: normal; open: alarm`.
fn bands(mode: &Mode) -> String {
    let one = |band: &Band| {
        let below =
            band.below.map_or_else(String::new, |edge| format!(" below {}", edge_of(mode.scale, edge)));
        format!("{}{below}: {}", band.name, band.means.word())
    };
    mode.bands.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn edge_of(scale: Scale, edge: f64) -> String {
    match scale {
        Scale::Ohms => Ohms(edge).written(),
        Scale::Volts { .. } => Volts(edge).written(),
        Scale::ShareOfSource { .. } => format!("{:.0} % of its source", edge * 100.0),
        Scale::ShareOfLearned { .. } => format!("{:.0} % of what it learned", edge * 100.0),
    }
}
