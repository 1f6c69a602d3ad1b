//! What the engines say, in the bytes that the command line prints.

use std::sync::Arc;

use assess::wire::{AssessmentJson, IdentifyJson};
use pages::Desk;

use super::{Call, json};
use crate::refusal::Refusal;
use crate::reply::Reply;

/// `assess --json` of the job.
pub(crate) fn assessment(call: &Call<'_>) -> Result<Reply, Refusal> {
    let all = match call.asked("all") {
        None | Some("false") => false,
        Some("true") => true,
        Some(_) => return Err(Refusal::new(422, "`all` is neither true nor false", "true, false")),
    };
    let assessed = call.state.desks.assessed(call.named[0], &*desk(call)?);
    json(200, &AssessmentJson::new(assessed.assessment(), all))
}

/// `identify --json` of the job.
pub(crate) fn identify(call: &Call<'_>) -> Result<Reply, Refusal> {
    let surveyed = call.state.desks.surveyed(call.named[0], &*desk(call)?);
    let no_habits = || Refusal::new(422, "the library has no habits called `default`", "a file in habits/");
    let survey = surveyed.survey().ok_or_else(no_habits)?;
    json(200, &IdentifyJson::new(survey, Vec::new()))
}

fn desk(call: &Call<'_>) -> Result<Arc<Desk>, Refusal> {
    let job = call.named[0];
    let kept = call.state.store.job(job)?.ok_or_else(|| super::jobs::missing(job))?;
    let (text, desk) = call.state.desks.of(job, &kept.text);
    desk.map_err(|problems| Refusal::unread(&text, &problems))
}
