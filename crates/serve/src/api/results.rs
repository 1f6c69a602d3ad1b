//! What the engines say, in the bytes that the command line prints.

use std::ops::Range;
use std::sync::Arc;
use std::time::Instant;

use assess::wire::{AllocationJson, AssessmentJson, CutoverJson, IdentifyJson, KitJson};
use assess::{CUTOVER_NODES, CutoverAsked, Limits, TIME_LIMITS, allocate, freed, time_limit};
use document::Source;
use job::CutoverWay;
use pages::{Assessed, Desk};

use super::doors::MOST_NODES;
use super::{Call, json};
use crate::clock;
use crate::long::LONGEST;
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

/// `allocate --json` of the job.
pub(crate) fn allocation(call: &Call<'_>) -> Result<Reply, Refusal> {
    let nodes = nodes(call, 200_000, 1)?;
    let refused = || Refusal::new(422, "`time_limit` is no time", TIME_LIMITS);
    let asked = call.asked("time_limit").map(|text| time_limit(text).ok_or_else(refused)).transpose()?;
    let (begun, limit) = (Instant::now(), asked.unwrap_or(LONGEST).min(LONGEST));
    let stop = || begun.elapsed() >= limit;
    let limits = Limits { nodes, stop: &stop };
    let own = Side::of(call, call.named[0])?;
    let Some(other) = call.asked("compare") else { return json(200, &own.allocation(&limits)) };
    let beside = if other.is_empty() {
        let free = freed(own.assessed.assessment().job);
        AllocationJson::new(&allocate(&free, own.desk.library(), &limits), &|span| own.line(span))
    } else {
        Side::of(call, other)?.allocation(&limits)
    };
    json(200, &own.allocation(&limits).beside(beside))
}

/// `cutover --json` of the job.
pub(crate) fn cut_over(call: &Call<'_>) -> Result<Reply, Refusal> {
    let way = match call.asked("way") {
        None => None,
        Some("side-by-side") => Some(CutoverWay::SideBySide),
        Some("swap") => Some(CutoverWay::Swap),
        Some(_) => return Err(Refusal::new(422, "`way` is no way of a cut-over", "side-by-side, swap")),
    };
    let asked = CutoverAsked { way, nodes: nodes(call, CUTOVER_NODES, 0)? };
    let own = Side::of(call, call.named[0])?;
    json(200, &CutoverJson::new(&assess::cutover(own.assessed.assessment(), asked)))
}

/// `kit --json` of the job.
pub(crate) fn kit(call: &Call<'_>) -> Result<Reply, Refusal> {
    let today = || clock::now().chars().take(10).collect();
    let date: String = call.asked("date").map_or_else(today, str::to_owned);
    let no_date = || Refusal::new(422, "`date` is no date", "a date as 2026-11-25");
    let year = assess::kit::year_of(&date).ok_or_else(no_date)?;
    let own = Side::of(call, call.named[0])?;
    json(200, &KitJson::new(&assess::kit::planned_kit(own.assessed.assessment(), Some(year))))
}

fn nodes(call: &Call<'_>, usual: u64, least: usize) -> Result<u64, Refusal> {
    let usual = usize::try_from(usual).unwrap_or(usize::MAX);
    let nodes = call.number("nodes", usual, least, MOST_NODES as usize)?;
    Ok(u64::try_from(nodes).unwrap_or(u64::MAX))
}

/// A job as the command line works on it.
struct Side {
    source: Source,
    desk: Arc<Desk>,
    assessed: Arc<Assessed>,
}

impl Side {
    fn of(call: &Call<'_>, job: &str) -> Result<Self, Refusal> {
        let kept = call.state.store.job(job)?.ok_or_else(|| super::jobs::missing(job))?;
        let (text, desk) = call.state.desks.of(job, &kept.text);
        let desk = desk.map_err(|problems| Refusal::unread(&text, &problems))?;
        let assessed = call.state.desks.assessed(job, &desk);
        Ok(Self { source: Source::new("job.toml", text.as_ref()), desk, assessed })
    }

    fn allocation(&self, limits: &Limits) -> AllocationJson {
        let plan = allocate(self.assessed.assessment().job, self.desk.library(), limits);
        AllocationJson::new(&plan, &|span| self.line(span))
    }

    fn line(&self, span: &Range<usize>) -> usize {
        self.source.place(span.start).line
    }
}

fn desk(call: &Call<'_>) -> Result<Arc<Desk>, Refusal> {
    let job = call.named[0];
    let kept = call.state.store.job(job)?.ok_or_else(|| super::jobs::missing(job))?;
    let (text, desk) = call.state.desks.of(job, &kept.text);
    desk.map_err(|problems| Refusal::unread(&text, &problems))
}
