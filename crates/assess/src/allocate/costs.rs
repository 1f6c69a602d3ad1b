//! What things take, in money and time: modules, enclosures, remedies, longer cables.

use ::allocate as engine;
use engine::Effort;
use job::{DEFAULT_HOUR, Job};
use library::{Labour, Library, Profile, SmallPart, Task};
use quantity::{Metres, Minutes};

/// What one thing takes; money to the hundredth, time to the second.
pub(crate) fn effort(price: f64, minutes: f64) -> Effort {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "prices and times are limited"
    )]
    let whole = |number: f64| number.max(0.0).round() as u64;
    Effort { cents: whole(price * 100.0), seconds: whole(minutes * 60.0) }
}

/// The middle of what the labour table says of a task; nothing where there is no table.
fn usual(labour: Option<&Labour>, task: Task, count: u32) -> f64 {
    labour.map_or(0.0, |labour| {
        let minutes = labour.minutes(task, count);
        f64::midpoint(minutes.lo().0, minutes.hi().0)
    })
}

/// To buy and to fit one of a profile: its own minutes, else those of the labour table.
pub(crate) fn of_profile(library: &Library, profile: &Profile, task: Task) -> Effort {
    let labour = library.labour.get("default");
    let minutes = if profile.minutes > Minutes(0.0) { profile.minutes.0 } else { usual(labour, task, 1) };
    effort(profile.price, minutes)
}

/// A remedy: its resistors and its minutes.
pub(crate) fn of_remedy(library: &Library, remedy: &circuit::Remedy) -> Effort {
    let labour = library.labour.get("default");
    let resistor = labour.map_or(0, |labour| labour.part(SmallPart::Resistor).price.hundredths());
    let parts = u64::try_from(remedy.resistors.len()).unwrap_or(u64::MAX);
    let Effort { seconds, .. } = effort(0.0, remedy.minutes.0);
    Effort { cents: u64::try_from(resistor).unwrap_or(0).saturating_mul(parts), seconds }
}

/// So many metres of cable from one enclosure to another, for one circuit.
pub(crate) fn of_extension(library: &Library, length: Metres, minutes: Option<Minutes>) -> Effort {
    let labour = library.labour.get("default");
    let metre = labour.map_or(0, |labour| labour.part(SmallPart::CableSignal).price.hundredths());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 10 km")]
    let metres = length.0.ceil() as u32;
    let minutes = minutes.map_or_else(|| usual(labour, Task::Cable, metres), |minutes| minutes.0);
    let Effort { seconds, .. } = effort(0.0, minutes);
    Effort { cents: u64::try_from(metre).unwrap_or(0).saturating_mul(u64::from(metres)), seconds }
}

/// What an hour counts beside money.
pub(crate) fn weights(job: &Job) -> engine::Weights {
    let hour = job.allocate.hour.or_else(|| job.rates.as_ref()?.hour).unwrap_or(DEFAULT_HOUR);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000, whole percent")]
    let money_percent = (job.allocate.money.0 * 100.0).round() as u64;
    engine::Weights { cents_per_hour: u64::try_from(hour.hundredths()).unwrap_or(0), money_percent }
}
