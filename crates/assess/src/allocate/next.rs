//! Why a circuit sits where it does: the next best seat that the plan leaves free, and what it would cost more.

use ::allocate as engine;

use super::ground::Ground;
use super::plan::ModulePlan;

/// The next best seat of one circuit, all others staying where the plan has them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NextSeat {
    /// Another module of the plan would read it too.
    On {
        /// Its id.
        module: String,
        /// The mode in which it reads it.
        mode: String,
        /// What that costs more, in hundredths of the currency, working time folded in; below 0 where it costs less by
        /// itself and the plan gains elsewhere.
        adds: i64,
        /// What would have to be done to the circuit.
        remedy: Option<String>,
    },
    /// The job says which input.
    Pinned,
    /// It shares a core with others, so that all of them would have to move.
    Shares,
    /// No other module of the plan has a free input that reads it, where its cable ends.
    Nowhere,
}

/// The next best seat of a circuit that has one.
pub(crate) fn next(
    ground: &Ground,
    answer: &engine::Allocation,
    modules: &[ModulePlan],
    landed: &engine::Landed,
) -> NextSeat {
    let problem = &ground.problem;
    let asked = &problem.circuits[landed.circuit];
    if asked.pin.is_some() {
        return NextSeat::Pinned;
    }
    if asked.commons.is_some() {
        return NextSeat::Shares;
    }
    let fold = |effort| i64::try_from(problem.weights.fold(effort)).unwrap_or(i64::MAX);
    let own = &asked.fits[landed.fit];
    let place = answer.modules[landed.module].enclosure;
    let others = answer.modules.iter().enumerate().filter(|(at, module)| {
        let reaches = asked.ends_in.is_none() || module.enclosure == place;
        *at != landed.module && reaches && module.aux_left_ma >= asked.aux_ma
    });
    let seats = others.flat_map(|(at, module)| {
        let fits = asked.fits.iter().enumerate().filter(move |(_, fit)| {
            let offer = &problem.offers[fit.offer];
            let free = if asked.smoke {
                let listed = &offer.modes[fit.mode].smoke_inputs;
                module.spare.iter().filter(|input| listed.contains(input)).count()
            } else {
                module.spare.len()
            };
            fit.offer == module.offer
                && module.mode.is_none_or(|mode| mode == fit.mode)
                && free >= usize::from(fit.inputs)
        });
        fits.map(move |(number, fit)| (fold(fit.effort) - fold(own.effort), at, number))
    });
    match seats.min() {
        None => NextSeat::Nowhere,
        Some((adds, at, number)) => {
            let fit = &asked.fits[number];
            NextSeat::On {
                module: modules[at].id.clone(),
                mode: problem.offers[fit.offer].modes[fit.mode].id.clone(),
                adds,
                remedy: ground.ways[landed.circuit][number].remedy.as_ref().map(|remedy| remedy.text.clone()),
            }
        }
    }
}
