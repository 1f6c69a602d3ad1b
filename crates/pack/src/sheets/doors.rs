//! The door schedule of an enclosure: what is on every input, a column for each module.

use assess::Assessment;
use job::Module;
use serde::Serialize;

use crate::words::{capital, inputs};

/// The schedule inside one enclosure's door.
#[derive(Serialize)]
pub(crate) struct Door {
    enclosure: String,
    place: String,
    modules: Vec<DoorColumn>,
    /// Circuits whose cable ends here and that are on no input.
    others: Vec<DoorRow>,
}

/// One module.
#[derive(Serialize)]
struct DoorColumn {
    module: String,
    title: String,
    rows: Vec<DoorRow>,
}

/// One input.
#[derive(Serialize)]
struct DoorRow {
    input: String,
    tag: String,
    place: String,
    was: String,
    zone: String,
}

/// A door for every enclosure, in the order of the job, and one for modules that are in none.
pub(crate) fn doors(assessment: &Assessment) -> Vec<Door> {
    let job = assessment.job;
    let mut doors: Vec<Door> = job
        .enclosures
        .iter()
        .map(|enclosure| door(assessment, enclosure.id.as_str(), &enclosure.place))
        .collect();
    let homeless: Vec<&Module> = job.modules.iter().filter(|module| module.enclosure.is_none()).collect();
    if !homeless.is_empty() {
        let modules = homeless.iter().map(|module| column(assessment, module)).collect();
        doors.push(Door {
            enclosure: "no enclosure".to_owned(),
            place: "modules that the job puts in no enclosure".to_owned(),
            modules,
            others: Vec::new(),
        });
    }
    doors
}

fn door(assessment: &Assessment, id: &str, place: &str) -> Door {
    let job = assessment.job;
    let here =
        |named: &Option<document::Located<String>>| named.as_ref().is_some_and(|named| named.as_str() == id);
    let modules = job.modules.iter().filter(|module| here(&module.enclosure));
    let others = job.circuits.iter().filter(|circuit| circuit.input.is_none() && here(&circuit.ends_in));
    Door {
        enclosure: id.to_owned(),
        place: capital(place),
        modules: modules.map(|module| column(assessment, module)).collect(),
        others: others.map(|circuit| row("none".to_owned(), circuit)).collect(),
    }
}

fn column(assessment: &Assessment, module: &Module) -> DoorColumn {
    let title = module.profile.as_ref().and_then(|id| assessment.library.profiles.get(id.as_str()));
    let rows = (1..=inputs(assessment, module)).map(|number| {
        let on = assessment.job.circuits.iter().find(|circuit| {
            circuit
                .input
                .as_ref()
                .is_some_and(|input| input.module == module.id.value && input.number == number)
        });
        match on {
            Some(circuit) => row(number.to_string(), circuit),
            None => DoorRow {
                input: number.to_string(),
                tag: String::new(),
                place: "spare".to_owned(),
                was: String::new(),
                zone: String::new(),
            },
        }
    });
    DoorColumn {
        module: module.id.value.clone(),
        title: title.map_or_else(String::new, |profile| profile.title.clone()),
        rows: rows.collect(),
    }
}

fn row(input: String, circuit: &job::Circuit) -> DoorRow {
    DoorRow {
        input,
        tag: circuit.tag.value.clone(),
        place: capital(&circuit.place),
        was: circuit.was.clone(),
        zone: circuit.zone.map_or_else(String::new, |zone| zone.to_string()),
    }
}
