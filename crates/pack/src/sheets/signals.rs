//! What is programmed, what the monitoring station is told, and the call sheet of the test; only for a job that says
//! anything of either.

use assess::Assessment;
use library::Kind;
use serde::Serialize;
use signal::station::StationSheet;
use signal::{Room, Sheet, Table, calls};

/// The three documents.
#[derive(Serialize)]
pub(crate) struct Signals {
    programming: Programming,
    station: Option<Station>,
    calls: Vec<[String; 5]>,
}

/// What is typed into the control equipment, area by area.
#[derive(Serialize)]
struct Programming {
    answer: String,
    areas: Vec<AreaBlock>,
    users: Vec<Vec<String>>,
    call_order: Vec<Vec<String>>,
    findings: Vec<[String; 4]>,
}

#[derive(Serialize)]
struct AreaBlock {
    title: String,
    facts: Vec<[String; 2]>,
    inputs: Vec<InputLine>,
}

/// One input as it is typed in.
#[derive(Serialize)]
struct InputLine {
    number: String,
    name: String,
    /// Circuit, input, place.
    seat: String,
    response: String,
    code: String,
    says: String,
    over: String,
    trouble: String,
    watched: String,
}

/// What the station is told.
#[derive(Serialize)]
struct Station {
    items: Vec<[String; 2]>,
    tables: Vec<StationTable>,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
struct StationTable {
    title: &'static str,
    heads: Vec<&'static str>,
    /// In parts of what the sheet is wide.
    widths: Vec<usize>,
    rows: Vec<Vec<String>>,
}

/// All three; none where the job says nothing of programming or of a station.
pub(crate) fn signals(assessment: &Assessment) -> Option<Signals> {
    let job = assessment.job;
    if !wanted(assessment) {
        return None;
    }
    let lines = calls::of(job, &[]).into_iter().map(|line| {
        let number = |number: Option<u32>| number.map_or(String::new(), |number| number.to_string());
        [line.number.to_string(), line.says, number(line.area), number(line.zone), line.code]
    });
    Some(Signals {
        programming: programming(assessment),
        station: job.station.is_some().then(|| station(assessment)),
        calls: lines.collect(),
    })
}

/// Whether the job says anything of them.
pub(crate) fn wanted(assessment: &Assessment) -> bool {
    let job = assessment.job;
    job.station.is_some() || !job.areas.is_empty() || !job.users.is_empty()
}

/// What the control equipment has room for.
pub(crate) fn room(assessment: &Assessment) -> Room {
    let profile = assessment.job.panel.as_ref().and_then(|panel| panel.profile.as_ref());
    match profile.and_then(|id| assessment.library.profiles.get(id.as_str())).map(|profile| &profile.kind) {
        Some(Kind::Panel(panel)) => {
            Room { name_letters: panel.name_length.map(|letters| letters as usize), zones: panel.zones }
        }
        _ => Room::default(),
    }
}

fn programming(assessment: &Assessment) -> Programming {
    let sheet = Sheet::of(assessment.job, room(assessment));
    let mut tables = sheet.tables().into_iter();
    let mut next = || tables.next().map(|table| table.rows).unwrap_or_default();
    let (inputs, areas, users, call_order) = (next(), next(), next(), next());
    let blocks = sheet.areas.iter().zip(&areas).map(|(area, cells)| {
        let of = sheet.inputs.iter().zip(&inputs).filter(|(input, _)| input.area.value == area.number);
        AreaBlock {
            title: format!("Area {}", named(area.number, &area.name)),
            facts: area_facts(cells),
            inputs: of.map(|(input, cells)| line(input, cells)).collect(),
        }
    });
    let unsettled = sheet.inputs.iter().filter(|input| input.response.is_none()).count();
    Programming {
        answer: match unsettled {
            0 => "What is typed in, area by area. A question mark is our suggestion, for a person to settle."
                .to_owned(),
            one => format!(
                "{} not settled yet. A question mark is our suggestion, for a person to settle.",
                crate::words::counted(one, "input's response is", "inputs' responses are")
            ),
        },
        areas: blocks.collect(),
        users,
        call_order,
        findings: sheet
            .findings
            .iter()
            .map(|finding| {
                [
                    finding.severity.word().to_owned(),
                    finding.place.clone(),
                    finding.text.clone(),
                    finding.remedy.clone(),
                ]
            })
            .collect(),
    }
}

fn named(number: u32, name: &str) -> String {
    if name.is_empty() { number.to_string() } else { format!("{number}, {name}") }
}

/// Way in, times, when it counts as confirmed: the cells behind number, name and circuits.
fn area_facts(cells: &[String]) -> Vec<[String; 2]> {
    let heads = ["way in", "entry", "exit", "sounders", "confirmed when"];
    let filled = heads.iter().zip(cells.iter().skip(3)).filter(|(_, cell)| !cell.is_empty());
    filled.map(|(head, cell)| [(*head).to_owned(), cell.clone()]).collect()
}

fn line(input: &signal::InputRow, cells: &[String]) -> InputLine {
    let cell = |at: usize| cells.get(at).cloned().unwrap_or_default();
    let place = if input.place == input.name { String::new() } else { format!(" · {}", input.place) };
    InputLine {
        number: cell(0),
        name: cell(1),
        seat: format!("{} · input {}{place}", cell(2), cell(3)),
        response: cell(5),
        code: cell(6),
        says: cell(7),
        over: cell(8),
        trouble: cell(9),
        watched: cell(10),
    }
}

fn station(assessment: &Assessment) -> Station {
    let sheet = StationSheet::of(assessment.job, room(assessment));
    let tables = sheet.tables().into_iter().skip(1).filter(|table| !table.rows.is_empty());
    Station {
        items: sheet.items.iter().map(|(what, is)| [(*what).to_owned(), is.clone()]).collect(),
        tables: tables.map(station_table).collect(),
        cautions: sheet.cautions,
    }
}

fn station_table(table: Table) -> StationTable {
    let width = |at: usize| {
        let cells = table.rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count());
        let longest = cells.chain([table.columns[at].chars().count() + 1]).max().unwrap_or(4);
        (longest + 3).clamp(5, 36)
    };
    StationTable {
        widths: (0..table.columns.len()).map(width).collect(),
        title: table.title,
        heads: table.columns,
        rows: table.rows,
    }
}
