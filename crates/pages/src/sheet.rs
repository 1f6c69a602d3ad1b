//! Survey sheets that somebody filled in: a job made of one, and readings out of one into a job that is there.

use std::collections::BTreeSet;

use document::{Plain, Source};
use identify::{Column, Heads, SheetReading, cell_name, survey_sheet};
use job::Job;
use maud::{Markup, html};

use crate::answer::Answer;
use crate::changes::Act;
use crate::frame::{Open, Page, Tab, refused};
use crate::request::Request;
use crate::sheet_plan::{Ground, NoPlan, Plan, Safety, with_pairs};
use crate::sheet_told::{named, show, unread};
use crate::survey::{clearances, entry_id};
use crate::world::{Entry, Table, World};

/// Readings that are written into a job at once.
pub(crate) const MOST_AT_ONCE: usize = 2_000;
/// The longest id of an enclosure that a cell is taken to name.
const LONGEST_ID: usize = 20;

/// A sheet that came along.
pub(crate) struct Brought {
    /// The file's name.
    pub(crate) file: String,
    rows: Vec<Vec<String>>,
    /// Its heads.
    pub(crate) heads: Heads,
}

impl Brought {
    /// The survey sheet of the file that came along: of a workbook the one whose heads are those of a survey.
    pub(crate) fn of(world: &dyn World, request: &Request, back: &str) -> Result<Self, Box<Answer>> {
        let refuse = |says: &str, accept: &str| Box::new(refused(request, says, accept, back));
        let Some(upload) = request.upload.as_ref().filter(|upload| !upload.bytes.is_empty()) else {
            return Err(refuse("No file came along, or an empty one.", ""));
        };
        let tables = world.tables(&upload.bytes).map_err(|unread| {
            let says = format!("{}.", view::words::capital(&unread.says));
            refuse(&says, &format!("Accepted: {}.", unread.accept))
        })?;
        let file = upload.name.chars().filter(|letter| !letter.is_control()).take(80).collect();
        Self::chosen(file, tables).ok_or_else(|| {
            let accept = "Accepted: a row with the heads of a survey sheet: Tag, Place, At rest, Tripped and the others.";
            refuse("No row of this sheet has a head called Tag.", accept)
        })
    }

    fn chosen(file: String, mut tables: Vec<Table>) -> Option<Self> {
        let (at, heads) = survey_sheet(tables.iter().map(|table| table.rows.as_slice()), &[])?;
        Some(Self { file, rows: tables.swap_remove(at).rows, heads })
    }

    /// As the form carries it from the page that shows it to the press that writes it.
    pub(crate) fn field(&self) -> String {
        serde_json::json!({ "file": self.file, "rows": self.rows }).to_string()
    }

    fn of_field(text: &str) -> Option<Self> {
        let value: serde_json::Value = serde_json::from_str(text).ok()?;
        let rows = value.get("rows")?.as_array()?.iter().map(|row| {
            row.as_array()?
                .iter()
                .map(|cell| cell.as_str().map(str::to_owned))
                .collect::<Option<Vec<String>>>()
        });
        let table = Table { name: String::new(), rows: rows.collect::<Option<Vec<_>>>()? };
        Self::chosen(value.get("file")?.as_str()?.to_owned(), vec![table])
    }

    pub(crate) fn below(&self) -> &[Vec<String>] {
        self.rows.get(self.heads.row + 1..).unwrap_or_default()
    }

    pub(crate) fn cell<'r>(&self, row: &'r [String], wanted: Column) -> &'r str {
        let at = self.heads.columns.iter().position(|column| *column == Some(wanted));
        at.and_then(|at| row.get(at)).map_or("", |cell| cell.trim())
    }

    /// The first row of every tag that is not known yet, in their order.
    pub(crate) fn new_tags(&self, known: &Job) -> Vec<&[String]> {
        let mut seen: BTreeSet<String> =
            known.circuits.iter().map(|circuit| circuit.tag.value.to_ascii_lowercase()).collect();
        let rows = self.below().iter().map(Vec::as_slice);
        rows.filter(|row| {
            let tag = self.cell(row, Column::Tag);
            !tag.is_empty() && seen.insert(tag.to_ascii_lowercase())
        })
        .collect()
    }

    /// The name of a reading's cell.
    pub(crate) fn place(&self, reading: &SheetReading) -> String {
        cell_name(reading.reading.line + self.heads.row, reading.column)
    }

    /// A circuit as the sheet has it; where it ends only where there is such an enclosure.
    pub(crate) fn circuit(
        &self,
        row: &[String],
        has_box: &dyn Fn(&str) -> bool,
    ) -> Vec<(&'static str, Plain)> {
        let columns = [
            ("tag", Column::Tag),
            ("place", Column::Place),
            ("was", Column::Was),
            ("ends_in", Column::EndsIn),
        ];
        let text = |(key, column)| (key, self.cell(row, column));
        let is_said = |(key, text): &(&str, &str)| !text.is_empty() && (*key != "ends_in" || has_box(text));
        let said = columns.into_iter().map(text).filter(is_said);
        said.map(|(key, text)| (key, Plain::Text(text.to_owned()))).collect()
    }
}

/// A job that a sheet makes.
pub(crate) struct Made {
    /// Its text.
    pub(crate) text: String,
    /// In a sentence where it came from, and which ohms were not taken.
    pub(crate) what: String,
    /// Its readings as evidence.
    pub(crate) entries: Vec<Entry>,
}

/// A job with a circuit for every tag of the sheet and its readings in it, behind the beginning of a text.
pub(crate) fn new_job(request: &Request, begun: &str, sheet: &Brought) -> Result<Made, Box<Answer>> {
    let refuse = |says: &str| Box::new(refused(request, says, "", "/new"));
    let ids = sheet.below().iter().map(|row| sheet.cell(row, Column::EndsIn)).filter(|id| is_id(id));
    let mut text = begun.to_owned();
    for id in ids.collect::<BTreeSet<&str>>() {
        text += &format!("\n[[enclosure]]\nid = {}\n", Plain::Text(id.to_owned()).literal());
    }
    let source = Source::new("job.toml", text.as_str());
    let Ok(job) = Job::read(&source) else {
        return Err(refuse("The name of the site cannot be used as it is."));
    };
    let ground = Ground { text: &text, job: &job, safety: Safety::New };
    let plan = Plan::of(&ground, sheet).map_err(|no| no_plan(request, sheet, no, "/new"))?;
    let text = with_pairs(&text, &plan.changes);
    let cells: Vec<String> = plan.refused().map(|(one, _)| sheet.place(one)).collect();
    let what = if cells.is_empty() {
        format!("From the survey sheet {}.", sheet.file)
    } else {
        format!(
            "From the survey sheet {}. Not taken: the ohms in {}; that sheet itself has 1 V or more on these pairs, or a leg that finds earth.",
            sheet.file,
            named(&cells)
        )
    };
    let id = match request.field("id") {
        "" => &request.fresh_id,
        id => id,
    };
    Ok(Made { text, what, entries: plan.evidence(request, id, sheet) })
}

/// Whether a cell is the id of an enclosure and no description of one.
fn is_id(text: &str) -> bool {
    let is_letter = |byte: u8| byte.is_ascii_alphanumeric() || b"-_".contains(&byte);
    !text.is_empty() && text.len() <= LONGEST_ID && text.bytes().all(is_letter)
}

fn no_plan(request: &Request, sheet: &Brought, no: NoPlan, back: &str) -> Box<Answer> {
    Box::new(match no {
        NoPlan::Says(says) => refused(request, &says, "", back),
        NoPlan::Cells(problems) => unread(request, sheet, &problems, back),
    })
}

/// The form for a sheet.
pub(crate) fn form(open: &Open) -> Markup {
    html! {
        form method="post" action=(open.path(&["readings"])) enctype="multipart/form-data" {
            (open.form_fields())
            label for="sheet" { "A filled-in sheet: a workbook (XLSX, ODS) or CSV, with " code { "Tag" } ", " code { "At rest" } ", " code { "Tripped" } " …" }
            div.with-press {
                input id="sheet" type="file" name="sheet" accept=".csv,.xlsx,.ods,text/csv,text/plain" required;
                button type="submit" { "Show what is in it" }
            }
            p.quiet { "The sheet called survey in tables.xlsx (Record) is one to fill in. Nothing is written before you have seen it." }
        }
    }
}

/// The page with the form.
pub(crate) fn page(open: &Open) -> Answer {
    let body = html! {
        p.answer { "Readings that somebody wrote into a sheet, put beside those of this job." }
        (form(open))
    };
    Page::new(Tab::Survey, "Readings from a sheet", body).answer(open)
}

/// A sheet is shown, or written once it was seen.
pub(crate) fn take(open: &Open) -> Answer {
    let back = open.path(&["readings"]);
    let carried = open.request.field("rows");
    let sheet = if carried.is_empty() {
        Brought::of(open.world, open.request, &back)
    } else {
        let says = "What the page carried of the sheet did not come back whole. Bring the file again.";
        Brought::of_field(carried).ok_or_else(|| Box::new(refused(open.request, says, "", &back)))
    };
    let entries = clearances(open);
    let ground = Ground { text: &open.kept.text, job: open.job(), safety: Safety::Entries(&entries) };
    let planned = sheet.and_then(|sheet| {
        let plan = Plan::of(&ground, &sheet).map_err(|no| no_plan(open.request, &sheet, no, &back))?;
        Ok((plan, sheet))
    });
    match planned {
        Err(answer) => *answer,
        Ok((plan, sheet)) if carried.is_empty() => show(open, &plan, &sheet),
        Ok((plan, sheet)) => write(open, plan, &sheet),
    }
}

/// Everything as one change, and every reading as evidence.
fn write(open: &Open, plan: Plan, sheet: &Brought) -> Answer {
    let entries = plan.evidence(open.request, &entry_id(open), sheet);
    if entries.len() > MOST_AT_ONCE {
        let says = "More than 2,000 readings are not written at once: bring the sheet in parts.";
        return refused(open.request, says, "", &open.path(&["readings"]));
    }
    let readings = view::words::counted(entries.len(), "reading", "readings");
    let pairs = match plan.new_pairs.len() {
        0 => String::new(),
        count => format!(" and {}", view::words::counted(count, "new pair", "new pairs")),
    };
    let what = format!("{readings}{pairs} from the sheet {}.", sheet.file);
    let mut act = Act::new(what, plan.changes, open.path(&["survey"]));
    act.entries = entries;
    act.answer(open)
}
