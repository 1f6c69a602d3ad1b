//! `sheet JOB`: the programming sheet, the station's sheet, the call sheet.

use std::path::Path;

use document::Complaint;
use library::Kind;
use schemars::JsonSchema;
use serde::Serialize;
use signal::station::StationSheet;
use signal::{Expected, Room, Sheet, Table, calls};

use super::{print_json, print_text};
use crate::arguments::{Common, Which};
use crate::evidence;
use crate::outcome::Outcome;
use crate::report::finding;
use crate::report::page::Page;
use crate::world::World;
use crate::{input, world};

/// What `sheet --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct SheetJson {
    /// The tables, in their order.
    tables: Vec<TableJson>,
    /// What must be said with them.
    cautions: Vec<String>,
    /// What a person must settle first.
    findings: Vec<assess::wire::FindingJson>,
}

/// One table.
#[derive(Serialize, JsonSchema, Debug)]
struct TableJson {
    /// What it is called.
    title: &'static str,
    /// Its headings.
    columns: Vec<&'static str>,
    /// Its rows, each as long as the headings.
    rows: Vec<Vec<String>>,
}

/// A sheet made ready.
struct Made {
    tables: Vec<Table>,
    cautions: Vec<&'static str>,
    findings: Vec<job::Finding>,
}

/// A question mark stands for what nobody has said yet.
const SUGGESTED: &str = "A question mark: our suggestion, for a person to settle.";

/// Runs the command.
pub(crate) fn run(job: &Path, which: Which, csv: bool, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(job, common)?;
    let made = made(&world, job, which)?;
    let printed = if common.json {
        print_json(&SheetJson {
            tables: made
                .tables
                .into_iter()
                .map(|table| TableJson { title: table.title, columns: table.columns, rows: table.rows })
                .collect(),
            cautions: made.cautions.into_iter().map(str::to_owned).collect(),
            findings: made.findings.iter().map(assess::wire::FindingJson::new).collect(),
        })
    } else if csv {
        print_text(&made.tables.first().map_or(String::new(), Table::csv))
    } else {
        report(&made).print()
    };
    Ok(Outcome::Done.after_printing(printed))
}

fn made(world: &World, job: &Path, which: Which) -> Result<Made, Vec<Complaint>> {
    let room = room(world);
    Ok(match which {
        Which::Programming => {
            let sheet = Sheet::of(&world.job, room);
            Made { tables: sheet.tables(), cautions: vec![SUGGESTED], findings: sheet.findings }
        }
        Which::Station => {
            let sheet = StationSheet::of(&world.job, room);
            Made { tables: sheet.tables(), cautions: sheet.cautions, findings: Vec::new() }
        }
        Which::Calls => {
            let path = evidence::path(&input::job_file(job));
            let (kept, _) = evidence::read(&path).map_err(|error| {
                let text = format!("the evidence cannot be read: {error}");
                vec![input::about_file(&path.display().to_string(), text, "a file that you may read")]
            })?;
            let ways = evidence::by_way(&kept, &Expected::of(&world.job));
            let caution = "The account is on test while this is read back. A signal names a circuit, not a device: \
                           trip one at a time.";
            Made {
                tables: vec![calls::table(&calls::of(&world.job, &ways))],
                cautions: vec![caution],
                findings: Vec::new(),
            }
        }
    })
}

/// What the panel's profile has room for.
fn room(world: &World) -> Room {
    let profile = world.job.panel.as_ref().and_then(|panel| panel.profile.as_ref());
    match profile.and_then(|id| world.library.profiles.get(id.as_str())).map(|profile| &profile.kind) {
        Some(Kind::Panel(panel)) => {
            Room { name_letters: panel.name_length.map(|letters| letters as usize), zones: panel.zones }
        }
        _ => Room::default(),
    }
}

fn report(made: &Made) -> Page {
    let mut page = Page::of_stdout();
    for table in made.tables.iter().filter(|table| !table.rows.is_empty()) {
        page.heading(table.title);
        if table.columns.len() > WIDEST {
            entries(&mut page, table);
            continue;
        }
        let heads = table.columns.iter().map(|head| (*head).to_owned()).collect();
        let rows: Vec<Vec<String>> = std::iter::once(heads).chain(table.rows.iter().cloned()).collect();
        page.table(0, &rows);
    }
    page.gap();
    for caution in &made.cautions {
        page.paragraph(0, caution);
    }
    if !made.findings.is_empty() {
        page.gap();
        finding::put(&mut page, &made.findings, true);
    }
    page
}

/// More columns than this do not fit a terminal.
const WIDEST: usize = 8;
/// What stands on the first line of an entry.
const ON_TOP: usize = 4;

/// A wide table as entries: the first columns on one line, the others named below.
fn entries(page: &mut Page, table: &Table) {
    let top: Vec<Vec<String>> =
        table.rows.iter().map(|row| row.iter().take(ON_TOP).cloned().collect()).collect();
    let widest = |at: usize| top.iter().filter_map(|row| row.get(at)).map(|cell| drawing::width(cell)).max();
    let widths: Vec<usize> = (0..ON_TOP).map(|at| widest(at).unwrap_or(0)).collect();
    for (row, top) in table.rows.iter().zip(&top) {
        let cells: Vec<String> =
            top.iter().zip(&widths).map(|(cell, columns)| drawing::padded(cell, *columns)).collect();
        page.line(&cells.join("  "));
        let parts: Vec<String> = table
            .columns
            .iter()
            .zip(row)
            .skip(ON_TOP)
            .filter(|(_, cell)| !cell.is_empty())
            .map(|(head, cell)| format!("{}: {cell}", head.to_lowercase()))
            .collect();
        page.parts(widths[0] + 2, &parts);
    }
}
