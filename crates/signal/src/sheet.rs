//! The programming sheet: what a person types into the control equipment, per input, area and user; never a code.

use std::collections::{BTreeMap, BTreeSet};

use job::{Circuit, Duty, Finding, Job, ReportFormat, Response, Severity, WiringClass};
use network::{Part, Piece};
use quantity::{Seconds, Written};

use crate::codes::Codes;
use crate::contact_id::Qualifier;
use crate::programming::{self, Chosen, Codebook, Programming};
use crate::table::Table;

/// What the control equipment has room for, from its profile; none: not known.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Room {
    /// Letters of a zone's name.
    pub name_letters: Option<usize>,
    /// Zones.
    pub zones: Option<u32>,
}

/// The programming sheet.
#[derive(Clone, PartialEq, Debug)]
pub struct Sheet {
    /// One row an input that has a number, by number.
    pub inputs: Vec<InputRow>,
    /// One row an area, by number.
    pub areas: Vec<AreaRow>,
    /// One row a user, by number.
    pub users: Vec<UserRow>,
    /// Whom the station calls, in this order.
    pub call_order: Vec<String>,
    /// What a person must settle before this is typed in.
    pub findings: Vec<Finding>,
}

/// One input.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct InputRow {
    /// Its zone number.
    pub zone: Chosen<u32>,
    /// The circuit.
    pub tag: String,
    /// Module and input; none where the circuit is on none.
    pub input: Option<String>,
    /// The name to type in, as long as the control equipment takes.
    pub name: String,
    /// Where the circuit goes, whole.
    pub place: String,
    /// Its area.
    pub area: Chosen<u32>,
    /// When it raises an alarm.
    pub response: Option<Chosen<Response>>,
    /// What it reports: code in the job's format.
    pub code: Option<Chosen<String>>,
    /// What the code says.
    pub code_says: String,
    /// The code of its restore.
    pub restore: String,
    /// The code of its trouble.
    pub trouble: String,
    /// Whether its wiring is watched, and if not why.
    pub supervised: Supervised,
}

/// Whether a cut or a short of a pair can be told from a device.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Supervised {
    /// Something stands at its end.
    Yes,
    /// The resistor sits in the panel, before the cable.
    ResistorInPanel,
    /// Nothing stands at its end.
    NothingAtEnd,
    /// Nobody knows yet what is on it.
    Unknown,
}

impl Supervised {
    /// For people.
    #[must_use]
    pub fn says(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::ResistorInPanel => "no: the resistor sits in the panel",
            Self::NothingAtEnd => "no: nothing at the end of the pair",
            Self::Unknown => "not known yet",
        }
    }
}

/// One area.
#[derive(Clone, PartialEq, Debug)]
pub struct AreaRow {
    /// Its number.
    pub number: u32,
    /// Its name.
    pub name: String,
    /// Its circuits.
    pub circuits: Vec<String>,
    /// The way in: the first begins the entry time, the others follow.
    pub route: Vec<String>,
    /// Time to unset after coming in.
    pub entry: Option<Seconds>,
    /// Time to leave after setting.
    pub exit: Option<Seconds>,
    /// How long the sounders go on.
    pub sounder: Option<Seconds>,
    /// When an alarm counts as confirmed.
    pub confirm: String,
}

/// One user.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UserRow {
    /// The number that is reported.
    pub number: u32,
    /// Who that is.
    pub name: String,
    /// What the user may do.
    pub may: String,
}

impl Sheet {
    /// The sheet of a job.
    #[must_use]
    pub fn of(job: &Job, room: Room) -> Self {
        let programming = programming::of(job);
        let mut sheet = Self {
            inputs: Vec::new(),
            areas: areas(job, &programming),
            users: users(job),
            call_order: job.station.as_ref().map_or(Vec::new(), |station| station.call_order.clone()),
            findings: Vec::new(),
        };
        let codes = Codes::embedded();
        let format = job.station.as_ref().map(|station| station.format).unwrap_or_default();
        for (circuit, programmed) in job.circuits.iter().zip(&programming) {
            if let Some(zone) = programmed.zone {
                sheet.inputs.push(input(circuit, programmed, zone, room, format, &codes));
            }
        }
        sheet.inputs.sort_by_key(|row| row.zone.value);
        sheet.findings = findings(job, &sheet, room, format);
        sheet
    }

    /// Its tables.
    #[must_use]
    pub fn tables(&self) -> Vec<Table> {
        let columns = [
            "No",
            "Name",
            "Circuit",
            "Input",
            "Area",
            "Response",
            "Report code",
            "Says",
            "Restore",
            "Trouble",
            "Supervised",
        ];
        let mut inputs = Table::new("inputs", &columns);
        let unsettled = || "to be settled".to_owned();
        for row in &self.inputs {
            let response =
                row.response.map_or_else(unsettled, |response| marked(response.value.word(), response.given));
            let code = row.code.as_ref().map_or_else(unsettled, |code| marked(&code.value, code.given));
            inputs.rows.push(vec![
                marked(&row.zone.value.to_string(), row.zone.given),
                row.name.clone(),
                row.tag.clone(),
                row.input.clone().unwrap_or_else(|| "on none".to_owned()),
                marked(&row.area.value.to_string(), row.area.given),
                response,
                code,
                row.code_says.clone(),
                row.restore.clone(),
                row.trouble.clone(),
                row.supervised.says().to_owned(),
            ]);
        }
        vec![inputs, self.area_table(), self.user_table(), self.call_table()]
    }

    pub(crate) fn area_table(&self) -> Table {
        let columns = ["Area", "Name", "Circuits", "Way in", "Entry", "Exit", "Sounders", "Confirmed when"];
        let mut table = Table::new("areas", &columns);
        let time = |time: Option<Seconds>| time.map_or("to be settled".to_owned(), Written::written);
        for row in &self.areas {
            table.rows.push(vec![
                row.number.to_string(),
                row.name.clone(),
                row.circuits.join(" "),
                row.route.join(" then "),
                time(row.entry),
                time(row.exit),
                time(row.sounder),
                settled(&row.confirm),
            ]);
        }
        table
    }

    pub(crate) fn user_table(&self) -> Table {
        let mut table = Table::new("users", &["User", "Name", "May"]);
        let rows = self.users.iter();
        table
            .rows
            .extend(rows.map(|user| vec![user.number.to_string(), user.name.clone(), user.may.clone()]));
        table
    }

    pub(crate) fn call_table(&self) -> Table {
        let mut table = Table::new("call order", &["Call", "Whom"]);
        let rows = (1..).zip(&self.call_order);
        table.rows.extend(rows.map(|(at, whom): (u32, &String)| vec![at.to_string(), whom.clone()]));
        table
    }
}

/// What stands there, or that somebody must say it.
pub(crate) fn settled(text: &str) -> String {
    if text.is_empty() { "to be settled".to_owned() } else { text.to_owned() }
}

/// A suggestion is marked, so that nobody takes it for what somebody decided.
fn marked(text: &str, given: bool) -> String {
    if given { text.to_owned() } else { format!("{text}?") }
}

fn areas(job: &Job, programming: &[Programming]) -> Vec<AreaRow> {
    let mut rows: Vec<AreaRow> = job
        .areas
        .iter()
        .map(|area| AreaRow {
            number: area.number.value,
            name: area.name.clone(),
            circuits: Vec::new(),
            route: area.route.iter().map(|tag| tag.value.clone()).collect(),
            entry: area.entry,
            exit: area.exit,
            sounder: area.sounder,
            confirm: area.confirm.clone(),
        })
        .collect();
    for programmed in programming.iter().filter(|programmed| programmed.zone.is_some()) {
        let number = programmed.area.value;
        if !rows.iter().any(|row| row.number == number) {
            rows.push(AreaRow {
                number,
                name: String::new(),
                circuits: Vec::new(),
                route: Vec::new(),
                entry: None,
                exit: None,
                sounder: None,
                confirm: String::new(),
            });
        }
        if let Some(row) = rows.iter_mut().find(|row| row.number == number) {
            row.circuits.push(programmed.tag.clone());
        }
    }
    rows.sort_by_key(|row| row.number);
    rows
}

fn users(job: &Job) -> Vec<UserRow> {
    let user = |user: &job::User| UserRow {
        number: user.number.value,
        name: user.name.clone(),
        may: user.may.clone(),
    };
    let mut users: Vec<UserRow> = job.users.iter().map(user).collect();
    users.sort_by_key(|user| user.number);
    users
}

fn input(
    circuit: &Circuit,
    programmed: &Programming,
    zone: Chosen<u32>,
    room: Room,
    format: ReportFormat,
    codes: &Codes,
) -> InputRow {
    let whole = if circuit.programmed.name.is_empty() { &circuit.place } else { &circuit.programmed.name };
    let whole = if whole.is_empty() { circuit.tag.as_str() } else { whole };
    let book = programmed.codes.as_ref();
    InputRow {
        zone,
        tag: programmed.tag.clone(),
        input: circuit.input.as_ref().map(|input| format!("{}.{}", input.module, input.number)),
        name: fitted(whole, room.name_letters),
        place: circuit.place.clone(),
        area: programmed.area,
        response: programmed.response,
        code: book.map(|book| alarm(book, format)),
        code_says: book.map_or(String::new(), |book| says(book, format, codes)),
        restore: book.map_or(String::new(), |book| restore(book, format)),
        trouble: book.map_or(String::new(), |book| trouble(book, format)),
        supervised: supervised(circuit),
    }
}

/// A name as long as the equipment takes: what stands behind a comma goes first, then whole words, then letters.
fn fitted(name: &str, letters: Option<usize>) -> String {
    let fits = |text: &str| letters.is_none_or(|letters| text.chars().count() <= letters);
    let mut text = name;
    for sign in [',', ' '] {
        while !fits(text)
            && let Some((shorter, _)) = text.rsplit_once(sign)
        {
            text = shorter.trim_end_matches([',', ' ']);
        }
    }
    match letters {
        Some(letters) if !fits(text) => text.chars().take(letters).collect(),
        _ => text.to_owned(),
    }
}

pub(crate) fn alarm(book: &Codebook, format: ReportFormat) -> Chosen<String> {
    match format {
        ReportFormat::ContactId => {
            Chosen { value: format!("{:03}", book.alarm.value), given: book.alarm.given }
        }
        ReportFormat::TwoLetter => {
            Chosen { value: word(book.alarm_letters.value), given: book.alarm_letters.given }
        }
    }
}

pub(crate) fn says(book: &Codebook, format: ReportFormat, codes: &Codes) -> String {
    let row = match format {
        ReportFormat::ContactId => codes.contact_id(book.alarm.value),
        ReportFormat::TwoLetter => codes.two_letter(book.alarm_letters.value),
    };
    row.map_or("not in our table".to_owned(), |row| row.says(Qualifier::New))
}

pub(crate) fn restore(book: &Codebook, format: ReportFormat) -> String {
    match format {
        ReportFormat::ContactId => format!("{:03} restore", book.alarm.value),
        ReportFormat::TwoLetter => book.restore_letters.first().copied().map(word).unwrap_or_default(),
    }
}

fn trouble(book: &Codebook, format: ReportFormat) -> String {
    match format {
        ReportFormat::ContactId => book.trouble.first().map(|code| format!("{code:03}")).unwrap_or_default(),
        ReportFormat::TwoLetter => book.trouble_letters.first().copied().map(word).unwrap_or_default(),
    }
}

fn word(letters: [u8; 2]) -> String {
    letters.map(char::from).iter().collect()
}

fn supervised(circuit: &Circuit) -> Supervised {
    if circuit.class == Some(WiringClass::A) {
        return Supervised::Yes;
    }
    if circuit.resistor_at == Some(job::ResistorPlace::Panel) {
        return Supervised::ResistorInPanel;
    }
    let Some(network) = &circuit.network else { return Supervised::Unknown };
    let pieces: Vec<&Piece> = network.sketch().pieces().map(|(piece, _)| piece).collect();
    let is_end = |piece: &Piece| matches!(piece, Piece::Element(element) if matches!(element.part, Part::Resistor { .. } | Part::Capacitor(_)));
    let Some((last, before)) = pieces.split_last() else { return Supervised::Unknown };
    if !is_end(last) {
        let anywhere = before.iter().any(|piece| is_end(piece));
        return if anywhere { Supervised::ResistorInPanel } else { Supervised::NothingAtEnd };
    }
    // Home runs that meet in the box have their resistor there.
    let in_box = before.iter().all(|piece| matches!(piece, Piece::Bracket(_)) || is_end(piece));
    if in_box { Supervised::ResistorInPanel } else { Supervised::Yes }
}

fn findings(job: &Job, sheet: &Sheet, room: Room, format: ReportFormat) -> Vec<Finding> {
    let mut findings = Vec::new();
    if job.station.as_ref().is_none_or(|station| station.account.is_none()) {
        let text = "The job names no account at the monitoring station.".to_owned();
        findings.push(check("job", "no-account", text, "Ask the station, and write it into [station]."));
    }
    let unsettled: Vec<&str> =
        sheet.inputs.iter().filter(|row| row.response.is_none()).map(|row| row.tag.as_str()).collect();
    if !unsettled.is_empty() {
        let text = format!("When these raise an alarm is not settled: {}.", unsettled.join(", "));
        let remedy = "Give each a `response`, or its place on an area's `route`.";
        findings.push(check("job", "response-unsettled", text, remedy));
    }
    let mut names: BTreeMap<&str, &str> = BTreeMap::new();
    let mut zones: BTreeSet<u32> = BTreeSet::new();
    for row in &sheet.inputs {
        if let Some(first) = names.insert(&row.name, &row.tag) {
            let text = format!("{first} and {} would have the same name, `{}`.", row.tag, row.name);
            findings.push(check(&row.tag, "name-twice", text, "Give one of them a `name`."));
        }
        if !zones.insert(row.zone.value) {
            let text = format!("Zone {} is given to two circuits.", row.zone.value);
            findings.push(check(&row.tag, "zone-twice", text, "Give one of them another `zone`."));
        }
        of_row(job, row, room, format, &mut findings);
    }
    let unnumbered = job.circuits.iter().filter(|circuit| {
        circuit.input.is_none()
            && circuit.zone.is_none()
            && !matches!(circuit.duty, Some(Duty::Sounder) | None)
    });
    for circuit in unnumbered {
        let text = "It is on no input, so it has no number and reports nothing.".to_owned();
        findings.push(check(circuit.tag.as_str(), "no-number", text, "Give it an `input`."));
    }
    findings
}

/// What the control equipment or the format has no room for.
fn of_row(job: &Job, row: &InputRow, room: Room, format: ReportFormat, findings: &mut Vec<Finding>) {
    let circuit = job.circuits.iter().find(|circuit| circuit.tag.as_str() == row.tag);
    let name = circuit.map_or("", |circuit| circuit.programmed.name.as_str());
    if let Some(letters) = room.name_letters.filter(|letters| name.chars().count() > *letters) {
        let text = format!("`{name}` is longer than the {letters} letters that the control equipment takes.");
        findings.push(check(&row.tag, "name-too-long", text, "Shorten `name`."));
    }
    let zone = row.zone.value;
    if let Some(most) = room.zones.filter(|most| zone > *most) {
        let text = format!("Zone {zone}: the control equipment has room for {most}.");
        findings.push(check(&row.tag, "zone-too-high", text, "Give it a number that exists."));
    }
    if format == ReportFormat::ContactId && zone > 999 {
        let text = format!("Zone {zone}: Contact ID reports three digits.");
        let remedy = "Give it a number up to 999, or report two-letter codes.";
        findings.push(check(&row.tag, "zone-not-reportable", text, remedy));
    }
}

fn check(place: &str, code: &'static str, text: String, remedy: &str) -> Finding {
    Finding { severity: Severity::Check, place: place.to_owned(), code, text, remedy: remedy.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_shortened_by_parts_then_words_then_letters() {
        for (name, letters, wanted) in [
            ("front entrance", 16, "front entrance"),
            ("kennel corridor, three windows", 16, "kennel corridor"),
            ("dispensary hatch and drug cupboard", 16, "dispensary hatch"),
            ("Donaudampfschifffahrt", 8, "Donaudam"),
            ("Küche, Tür", 5, "Küche"),
        ] {
            assert_eq!(fitted(name, Some(letters)), wanted);
        }
        assert_eq!(fitted("dispensary hatch and drug cupboard", None), "dispensary hatch and drug cupboard");
    }
}
