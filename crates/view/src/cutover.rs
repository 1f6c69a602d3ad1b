//! The cut-over: what is unprotected when, the running order to tick by hand, the method statement, texts to people.

use assess::{ChartBar, ChartRow, Clock, Cutover};
use drawing::{TimeBar, TimeRequest, TimeRow, TimeSpan, TimeTone, time_picture};
use serde::Serialize;

use crate::figures::{ACROSS, Figure, ON_A_PHONE};
use crate::findings::{FindingRow, rows_of};
use crate::now::{Running, glance};

/// Rows of a chart that read well on one sheet, under the sheet's answer.
const ROWS_A_CHART: usize = 36;
/// Rows of a chart that shares its sheet.
const ROWS_BESIDE: usize = 30;

/// All documents of the cut-over.
#[derive(Serialize)]
pub struct CutoverSheets {
    /// The answer in a sentence or two.
    pub answer: String,
    /// How the work is divided.
    pub way: &'static str,
    /// What the job says besides.
    pub notes: String,
    /// What was found, the heaviest first.
    pub findings: Vec<FindingRow>,
    /// Bars over time, module by module, in parts where there are many.
    pub charts: Vec<Figure>,
    /// The same, as wide as a phone, each row with its times.
    #[serde(skip)]
    pub narrow: Vec<Figure>,
    /// What and how much, at a glance.
    #[serde(skip)]
    pub glance: Vec<[String; 2]>,
    /// For a look at one minute of it.
    #[serde(skip)]
    pub running: Running,
    /// The same, circuit by circuit.
    pub circuits: Vec<Figure>,
    /// The same, as wide as a phone.
    #[serde(skip)]
    pub circuits_narrow: Vec<Figure>,
    /// How long fire circuits may be out; empty where no rule says.
    pub limit: String,
    /// From, to, how long fire circuits are out.
    pub outs: Vec<[String; 3]>,
    /// After how long, clause, what is asked, where it was read.
    pub rules: Vec<[String; 4]>,
    /// From when on, how many, which and since when.
    pub unprotected: Vec<[String; 3]>,
    /// The running order, day by day.
    pub days: Vec<OrderDay>,
    /// The method statement.
    pub steps: Vec<StepRow>,
    /// Tag, old terminal, what to put there.
    pub dummies: Vec<[String; 3]>,
    /// Texts to people.
    pub notices: Vec<NoticeSheet>,
}

/// One day of the running order.
#[derive(Serialize)]
pub struct OrderDay {
    /// Which.
    pub day: String,
    /// Time, who, what, where.
    pub rows: Vec<[String; 4]>,
}

/// One numbered step.
#[derive(Serialize)]
pub struct StepRow {
    /// Its number.
    pub number: String,
    /// Where; empty for the job.
    pub place: String,
    /// What to do.
    pub act: String,
    /// What must be seen.
    pub proof: String,
    /// How to take it back.
    pub undoes: String,
    /// What to mind.
    pub caution: String,
}

/// A text to somebody.
#[derive(Serialize)]
pub struct NoticeSheet {
    /// What it is.
    pub title: &'static str,
    /// Who may hold it.
    pub holder: &'static str,
    /// The text.
    pub text: String,
    /// What is asked, and what the job knows.
    pub fields: Vec<[String; 2]>,
    /// What must be said with it.
    pub cautions: Vec<String>,
}

/// The documents; none where nothing moves.
pub fn cutover_sheets(cutover: &Cutover) -> Option<CutoverSheets> {
    if cutover.circuits.is_empty() {
        return None;
    }
    let rule = |rule: &assess::Rule| {
        [rule.after_written(), rule.clause.clone(), rule.words.clone(), rule.source.clone()]
    };
    let limit = cutover.limit.as_ref();
    let step = |step: &assess::Step| StepRow {
        number: step.number.to_string(),
        place: if step.place == "job" { String::new() } else { step.place.clone() },
        act: step.act.clone(),
        proof: step.proof.clone(),
        undoes: step.undoes.clone(),
        caution: step.caution.clone(),
    };
    let dummy = |dummy: &assess::Dummy| [dummy.tag.clone(), dummy.was.clone(), dummy.text.clone()];
    Some(CutoverSheets {
        answer: cutover.answer(),
        way: cutover.way.word(),
        notes: cutover.job.cutover.notes.clone(),
        findings: rows_of(&cutover.findings, |_| true),
        charts: charts(cutover, "When", &cutover.rows_by_module(), ROWS_BESIDE, ACROSS),
        narrow: charts(cutover, "When", &timed(cutover, cutover.rows_by_module()), ROWS_BESIDE, ON_A_PHONE),
        glance: glance(cutover),
        running: Running::of(cutover),
        circuits: charts(cutover, "Circuit by circuit", &cutover.rows_by_circuit(), ROWS_A_CHART, ACROSS),
        circuits_narrow: charts(
            cutover,
            "Circuit by circuit",
            &timed(cutover, cutover.rows_by_circuit()),
            ROWS_A_CHART,
            ON_A_PHONE,
        ),
        limit: limit
            .map_or(String::new(), |limit| format!("{} min within 24 h: {}", limit.minutes, limit.clause)),
        outs: outs(cutover),
        rules: cutover.rules.iter().map(rule).collect(),
        unprotected: unprotected(cutover),
        days: days(cutover),
        steps: cutover.steps.iter().map(step).collect(),
        dummies: cutover.dummies.iter().map(dummy).collect(),
        notices: cutover.notices.iter().map(notice).collect(),
    })
}

fn notice(notice: &assess::Notice) -> NoticeSheet {
    NoticeSheet {
        title: notice.title,
        holder: match notice.id {
            "station" => "the monitoring station, once a person has filled it in and signed it.",
            "authority" => "the authority, once a licensed person has filled it in and signed it.",
            "owner" => "the owner, once a person has filled it in and signed it.",
            _ => "everybody in the building; posted where the alarm is out.",
        },
        text: notice.text.clone(),
        fields: notice.fields.iter().map(|field| [field.label.clone(), field.value.clone()]).collect(),
        cautions: notice.cautions.clone(),
    }
}

/// A chart for every so many rows.
fn charts(cutover: &Cutover, title: &str, rows: &[ChartRow], most: usize, width_mm: f64) -> Vec<Figure> {
    rows.chunks(most).filter_map(|rows| chart(cutover, title, rows, width_mm)).collect()
}

/// Rows with their first and last minute before their names.
fn timed(cutover: &Cutover, rows: Vec<ChartRow>) -> Vec<ChartRow> {
    let name = |row: &ChartRow| {
        let from = row.bars.iter().map(|bar| bar.from).min()?;
        let to = row.bars.iter().map(|bar| bar.to).max()?;
        let until = match Clock::day_of(from) == Clock::day_of(to) {
            true => Clock::time(to),
            false => cutover.clock.written(to),
        };
        Some(format!("{} to {until}: {}", cutover.clock.written(from), row.name))
    };
    rows.into_iter().map(|row| ChartRow { name: name(&row).unwrap_or_default(), ..row }).collect()
}

/// Bars over time with the exposure under them; none without an order.
fn chart(cutover: &Cutover, title: &str, rows: &[ChartRow], width_mm: f64) -> Option<Figure> {
    let span = |day: assess::ChartDay| TimeSpan { from: day.from, to: day.to, label: day.label };
    let spans: Vec<TimeSpan> = cutover.days().into_iter().map(span).collect();
    if spans.is_empty() || rows.is_empty() {
        return None;
    }
    let row = |row: &ChartRow| TimeRow { name: row.name.clone(), bars: row.bars.iter().map(bar).collect() };
    let rows: Vec<TimeRow> = rows.iter().map(row).collect();
    // Weights are small whole numbers.
    let level = |(at, _, weight): &(u32, usize, u64)| (*at, *weight as f64);
    let levels: Vec<(u32, f64)> = cutover.levels().iter().map(level).collect();
    let picture = time_picture(&TimeRequest {
        title,
        spans: &spans,
        rows: &rows,
        levels: &levels,
        level_words: "exposure: weight without protection",
        width_mm,
    });
    Some(Figure::new(picture, format!("{title}: bars over time, under them the weight without protection")))
}

fn bar(bar: &ChartBar) -> TimeBar {
    let tone = match (bar.dead, bar.fire) {
        (_, true) => TimeTone::Fire,
        (true, false) => TimeTone::Dead,
        (false, false) => TimeTone::Work,
    };
    TimeBar { from: bar.from, to: bar.to, tone }
}

/// From, to, minutes out and minutes within 24 h.
fn outs(cutover: &Cutover) -> Vec<[String; 3]> {
    let Ok(plan) = &cutover.plan else { return Vec::new() };
    let mut rows = Vec::new();
    for out in &plan.outage.intervals {
        let within = plan.outage.within_day_from(out.from);
        rows.push([
            cutover.clock.written(out.from),
            cutover.out_until(out),
            format!("{}; {within} min within the 24 h from there", cutover.out_length(out)),
        ]);
    }
    rows
}

/// From when on what is without protection, each with since when.
fn unprotected(cutover: &Cutover) -> Vec<[String; 3]> {
    let mut rows = Vec::new();
    for (at, count) in cutover.moments() {
        let now = cutover.gone_at(at);
        let since = |since: u32| {
            let time = if Clock::day_of(since) == Clock::day_of(at) {
                Clock::time(since)
            } else {
                cutover.clock.written(since)
            };
            if since == at { String::new() } else { format!(" since {time}") }
        };
        // All of one moment together; a swap lists them once, then what came back.
        let same = now.iter().filter(|one| one.since == at || now.len() <= 6);
        let tags: Vec<String> = same.map(|one| format!("{}{}", one.what, since(one.since))).collect();
        let tags = match (tags.is_empty(), now.is_empty()) {
            (_, true) => "nothing".to_owned(),
            (true, false) => "those before, less what is proven".to_owned(),
            _ => tags.join(", "),
        };
        let on_test = cutover.on_test_since(at);
        let tags = on_test.map_or(tags.clone(), |from| format!("{tags}; account on test{}", since(from)));
        rows.push([cutover.clock.written(at), count.to_string(), tags]);
    }
    rows
}

/// The running order, day by day.
fn days(cutover: &Cutover) -> Vec<OrderDay> {
    let mut days: Vec<OrderDay> = Vec::new();
    let mut last = None;
    for row in cutover.order() {
        if last != Some(row.day) {
            days.push(OrderDay { day: cutover.clock.day(row.day), rows: Vec::new() });
            last = Some(row.day);
        }
        let until = if row.to == row.from { String::new() } else { format!("–{}", Clock::time(row.to)) };
        let who: Vec<String> = row.who.iter().map(|who| format!("T{who}")).collect();
        let cells = [format!("{}{until}", Clock::time(row.from)), who.join(" "), row.what, row.place];
        if let Some(day) = days.last_mut() {
            day.rows.push(cells);
        }
    }
    days
}
