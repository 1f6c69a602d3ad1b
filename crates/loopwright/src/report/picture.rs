//! The band picture of one circuit, from what the engine found out.

use assess::CircuitResult;
use circuit::{State, Study};
use drawing::{Band, BandPicture, BarKind};
use job::{Display, Reading, Shown, When};
use library::Scale;
use network::Bounds;
use quantity::{Ohms, Written};

/// A circuit's picture, and the learned value that it is drawn for.
pub(crate) struct Picture {
    /// Laid out.
    pub(crate) bands: BandPicture,
    /// In a mode that learns: the value at rest for which its bands are drawn.
    pub(crate) learned: Option<Ohms>,
}

/// Lays out what is known of a circuit; none where there is nothing to draw.
pub(crate) fn picture(result: &CircuitResult) -> Option<Picture> {
    let study = result.study.as_ref();
    let learned = study.and_then(|study| learned(result, study));
    let mut bands = BandPicture::new(&study.map(|study| bands(result, study, learned)).unwrap_or_default());
    for state in study.iter().flat_map(|study| &study.states) {
        bands.predict(kind(state), drawn(state, learned));
    }
    for reading in &result.circuit.found {
        measure(&mut bands, reading);
    }
    let empty = bands.bars.is_empty() && bands.plumbs.is_empty();
    (!empty).then_some(Picture { bands, learned })
}

/// A mode that learns compares with what it found at rest: the picture is drawn for the middle of what that
/// can be, on the scale's own terms.
fn learned(result: &CircuitResult, study: &Study) -> Option<Ohms> {
    let Scale::ShareOfLearned { .. } = result.mode?.scale else { return None };
    let rest = study.states.first()?.ohms;
    let middle = (rest.lo * rest.hi).sqrt();
    (middle.is_finite() && middle > 0.0).then_some(Ohms(middle))
}

fn bands(result: &CircuitResult, study: &Study, learned: Option<Ohms>) -> Vec<Band> {
    let Some(mode) = result.mode else { return Vec::new() };
    if matches!(mode.scale, Scale::ShareOfLearned { .. }) && learned.is_none() {
        return Vec::new();
    }
    let unit = learned.map_or(1.0, |ohms| ohms.0);
    let band = |at: usize| {
        let limits = mode.limits.get(at)?;
        let sure = Bounds { lo: limits.sure_lo * unit, hi: limits.sure_hi * unit };
        Some(Band { name: mode.bands.get(at)?.name.clone(), means: *study.means.get(at)?, sure })
    };
    (0..mode.bands.len()).filter_map(band).collect()
}

fn kind(state: &State) -> BarKind {
    match state {
        state if state.active.is_empty() => BarKind::Rest,
        State { ok: Some(false), .. } => BarKind::Wrong,
        _ => BarKind::Right,
    }
}

fn drawn(state: &State, learned: Option<Ohms>) -> Bounds {
    match learned {
        Some(ohms) => Bounds { lo: state.scaled.lo * ohms.0, hi: state.scaled.hi * ohms.0 },
        None => state.ohms,
    }
}

/// Readings of the pair as it stands are drawn; those of other conditions belong to other places.
fn measure(bands: &mut BandPicture, reading: &Reading) {
    let rest = match reading.when {
        When::Rest => true,
        When::Tripped | When::Device(_) => false,
        _ => return,
    };
    for shown in &reading.shown {
        match shown {
            Shown::Ohms(Display::Value { value, digit }) => {
                bands.measure(*value, as_typed(*value, *digit), rest);
            }
            Shown::Ohms(Display::Open) => bands.measure(Ohms::INFINITE, "open".to_owned(), rest),
            _ => {}
        }
    }
}

/// A display with the digits that were typed: `2.20 kΩ`.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and 12 by the clamp")]
pub(crate) fn as_typed(value: Ohms, digit: Ohms) -> String {
    let steps = value.0 / digit.0;
    let figures = if steps >= 1.0 { steps.log10().floor().clamp(0.0, 11.0) as usize + 1 } else { 1 };
    value.shown(figures)
}
