//! The sheet for the monitoring station: what it needs to know and nothing that opens a door. No terminals, no
//! resistors, no codes of users, no pass words.

use job::{Job, ReportFormat};
use quantity::Written;

use crate::codes::Codes;
use crate::programming::{self, Chosen};
use crate::sheet::{Room, Sheet, alarm, restore, says, settled};
use crate::table::Table;

/// The station's sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StationSheet {
    /// Headings and what stands behind them, in their order.
    pub items: Vec<(&'static str, String)>,
    /// What each number means.
    pub zones: Vec<StationZone>,
    /// Areas, users, call order.
    more: Vec<Table>,
    /// What must be said with it.
    pub cautions: Vec<&'static str>,
}

/// One number as the station sees it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StationZone {
    /// The number in the signal.
    pub zone: u32,
    /// The area in the signal.
    pub area: u32,
    /// Where it is, whole.
    pub place: String,
    /// What it is there for.
    pub duty: &'static str,
    /// The code of its alarm.
    pub code: String,
    /// What the code says.
    pub code_says: String,
    /// The code of its restore.
    pub restore: String,
}

const CAUTIONS: [&str; 3] = [
    "Pass words and codes are agreed by telephone and never written here.",
    "Before any work the account goes on test, read back with who and until when; at the end a real signal is sent \
     and the account is taken off test.",
    "Whether fire signals go to this station, and how soon, is decided by the local code and the authority.",
];

impl StationSheet {
    /// The sheet of a job.
    #[must_use]
    pub fn of(job: &Job, room: Room) -> Self {
        let sheet = Sheet::of(job, room);
        let codes = Codes::embedded();
        let format = job.station.as_ref().map(|station| station.format).unwrap_or_default();
        let mut zones = Vec::new();
        for (circuit, programmed) in job.circuits.iter().zip(programming::of(job)) {
            let (Some(zone), Some(book)) = (programmed.zone, &programmed.codes) else { continue };
            zones.push(StationZone {
                zone: zone.value,
                area: programmed.area.value,
                place: circuit.place.clone(),
                duty: circuit.duty.map_or("", job::Duty::word),
                code: alarm(book, format).value,
                code_says: says(book, format, &codes),
                restore: restore(book, format),
            });
        }
        zones.sort_by_key(|zone| zone.zone);
        let more = vec![without_route(sheet.area_table()), sheet.user_table(), sheet.call_table()];
        Self { items: items(job, format), zones, more, cautions: CAUTIONS.to_vec() }
    }

    /// Its tables.
    #[must_use]
    pub fn tables(&self) -> Vec<Table> {
        let mut items = Table::new("account", &["What", "Is"]);
        items.rows.extend(self.items.iter().map(|(what, is)| vec![(*what).to_owned(), is.clone()]));
        let mut zones = Table::new("zones", &["No", "Area", "Place", "For", "Code", "Says", "Restore"]);
        for zone in &self.zones {
            zones.rows.push(vec![
                zone.zone.to_string(),
                zone.area.to_string(),
                zone.place.clone(),
                zone.duty.to_owned(),
                zone.code.clone(),
                zone.code_says.clone(),
                zone.restore.clone(),
            ]);
        }
        let mut tables = vec![items, zones];
        tables.extend(self.more.iter().cloned());
        tables
    }
}

/// The way in is nobody's business at the station.
fn without_route(mut table: Table) -> Table {
    if let Some(at) = table.columns.iter().position(|column| *column == "Way in") {
        table.columns.remove(at);
        for row in &mut table.rows {
            row.remove(at);
        }
    }
    table
}

fn items(job: &Job, format: ReportFormat) -> Vec<(&'static str, String)> {
    let station = job.station.clone().unwrap_or_default();
    let list = |texts: &[String]| settled(&texts.join("; "));
    let prefix = station.prefix.map_or(Chosen { value: "0".to_owned(), given: false }, |prefix| Chosen {
        value: prefix.value,
        given: true,
    });
    vec![
        ("Station", settled(&station.name)),
        ("Station's telephone", settled(&station.telephone)),
        ("Account", settled(&station.account.map(|account| account.value).unwrap_or_default())),
        ("Account prefix", if prefix.given { prefix.value } else { "0 (none)".to_owned() }),
        ("Receiver number", station.receiver.map_or("none".to_owned(), |receiver| receiver.value)),
        (
            "Reported as",
            match format {
                ReportFormat::ContactId => "Contact ID (DC-05) in DC-09".to_owned(),
                ReportFormat::TwoLetter => "two-letter codes (DC-03) in DC-09".to_owned(),
            },
        ),
        ("Test report every", station.test_report.map_or("to be settled".to_owned(), Written::written)),
        ("Site", settled(&job.site.name)),
        ("Address", settled(&station.premises)),
        ("Time zone", settled(&station.time_zone)),
        ("Telephone on site", settled(&station.site_telephone)),
        ("Police, fire, medical", list(&station.authorities)),
        ("Alarm permit", settled(&station.permit)),
        ("Pass word", "by telephone only".to_owned()),
        ("On test", settled(&job.standing.station_on_test)),
    ]
}
