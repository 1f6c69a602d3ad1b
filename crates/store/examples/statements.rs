//! Fills a database as its users do and prints every statement that is made, as JSON lines: `{"sql": …, "filled": …}`, for
//! another database to take: `oracles/store_sql.py`. Usage: `statements FILE`, a file that is not there yet.
#![expect(clippy::print_stdout, reason = "a tool for the tests: it prints")]

use std::error::Error;
use std::path::Path;

use document::Plain;
use job::{Change, TableRef};
use serde_json::json;
use store::{Batch, Bundle, Entry, Photo, PhotoRow, Store, Summary, Which, Write};

/// Everything that quotes, patterns and encodings stumble over.
const ODD: [&str; 8] = [
    "it's \"so\"",
    "back\\slash \\' \\\\",
    "100 %_x",
    "Tür für Ø 3",
    "日本語 ☃ 🔥",
    "$1 and $2",
    "a\nb\r\n\tc",
    "",
];

const JOBS: usize = 24;

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args_os().nth(1).ok_or("usage: statements FILE")?;
    let store = Store::open_and_tell(Path::new(&path), |sql, filled| {
        println!("{}", json!({ "sql": sql, "filled": filled }));
    })?;
    let mut dice = Dice(1840);
    for number in 0..JOBS {
        begin(&store, &mut dice, number)?;
    }
    for round in 0..200 {
        change(&store, &mut dice, round)?;
    }
    for round in 0..200 {
        observe(&store, &mut dice, round)?;
    }
    refused(&store);
    taken_in(&store)?;
    looked_at(&store)?;
    Ok(())
}

/// The same throws for everybody.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        // A linear congruence (Knuth's constants, from memory); the high digits are the good ones.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 40).unwrap_or(0) % most
    }

    fn odd(&mut self) -> &'static str {
        ODD[self.below(ODD.len())]
    }

    /// One of the jobs; their ids sort otherwise by language than by byte.
    fn job(&mut self) -> String {
        name(self.below(JOBS))
    }

    /// A few only: jobs that were changed at the same second are listed by their ids.
    fn time(&mut self) -> String {
        format!("2026-03-14T10:00:{:02}Z", self.below(4))
    }
}

fn name(number: usize) -> String {
    let names = ["yard", "Yard", "y_ard", "y-ard", "Barn", "barn-2", "_x", "Z9"];
    format!("{}{}", names[number % names.len()], ["", "A", "b"][number / names.len()])
}

fn batch(dice: &mut Dice, writes: Vec<Write>) -> Batch {
    Batch { at: dice.time(), author: format!("A. Person {}", dice.odd()), writes }
}

fn summary(dice: &mut Dice, number: usize) -> Summary {
    Summary {
        name: format!("Hall {number} {}", dice.odd()),
        circuits: i64::try_from(number).unwrap_or(0),
        verdict: "fix".to_owned(),
        answer: format!("{} circuits. {}", number, dice.odd()),
    }
}

fn begin(store: &Store, dice: &mut Dice, number: usize) -> Result<(), Box<dyn Error>> {
    let text = format!("format = 1\n# {}\n", dice.odd());
    let summary = summary(dice, number);
    let write = Write::NewJob { id: name(number), text, summary, what: format!("begun, {}", dice.odd()) };
    let batch = batch(dice, vec![write]);
    store.carry_out(&batch)?;
    // The form was sent twice.
    Ok(store.carry_out(&batch)?)
}

fn change(store: &Store, dice: &mut Dice, round: usize) -> Result<(), Box<dyn Error>> {
    let job = dice.job();
    let Some(kept) = store.job(&job)? else { return Ok(()) };
    let text = format!("{}# change {round}: {}\n", kept.text, dice.odd());
    let to = Plain::Text(dice.odd().to_owned());
    let changes = vec![Change::key(TableRef::named("circuit", "C07"), "place", None, Some(to))];
    let takes_back = if round % 7 == 3 { format!("c{}", round - 1) } else { String::new() };
    let summary = summary(dice, round);
    let write = Write::Save {
        job: job.clone(),
        id: format!("c{round}"),
        version: kept.row.version,
        text,
        summary: summary.clone(),
        changes,
        what: format!("C07: {}", dice.odd()),
        takes_back,
    };
    let batch = batch(dice, vec![write]);
    store.carry_out(&batch)?;
    if round.is_multiple_of(10) {
        store.carry_out(&batch)?;
    }
    store.summarise(&job, kept.row.version + 1, &summary)?;
    Ok(store.summarise(&job, kept.row.version, &Summary::default())?)
}

fn observe(store: &Store, dice: &mut Dice, round: usize) -> Result<(), Box<dyn Error>> {
    let job = dice.job();
    let entry = Entry {
        id: format!("e{round}"),
        at: dice.time(),
        author: dice.odd().to_owned(),
        kind: ["reading", "trip", "note"][round % 3].to_owned(),
        about: ["C07", "C08", "Tür 3", ""][round % 4].to_owned(),
        words: format!("seen: {}", dice.odd()),
        data: json!({ "ohm": 2200.5, "odd": dice.odd() }).to_string(),
        ..Entry::default()
    };
    let mut writes = vec![Write::Evidence { job: job.clone(), entry }];
    if round.is_multiple_of(5) {
        let bytes = (0..dice.below(2000)).map(|_| u8::try_from(dice.below(256)).unwrap_or(0)).collect();
        let row = PhotoRow {
            id: format!("p{round}"),
            about: dice.odd().to_owned(),
            media_type: "image/png".to_owned(),
            ..PhotoRow::default()
        };
        writes.push(Write::Photo { job: job.clone(), photo: Photo { row, bytes } });
    }
    let batch = batch(dice, writes);
    store.carry_out(&batch)?;
    if round.is_multiple_of(25) {
        store.carry_out(&batch)?;
    }
    Ok(())
}

/// What is refused leaves its statements too, and a transaction that is given up.
fn refused(store: &Store) {
    let entry = |words: &str| {
        let entry = Entry {
            id: "e-twice".to_owned(),
            kind: "note".to_owned(),
            words: words.to_owned(),
            data: "{}".to_owned(),
            ..Entry::default()
        };
        Write::Evidence { job: name(0), entry }
    };
    let new = |text: &str| Write::NewJob {
        id: name(0),
        text: text.to_owned(),
        summary: Summary::default(),
        what: String::new(),
    };
    let stale = |id: &str, text: &str| Write::Save {
        job: name(0),
        id: id.to_owned(),
        version: 1,
        text: text.to_owned(),
        summary: Summary::default(),
        changes: Vec::new(),
        what: String::new(),
        takes_back: String::new(),
    };
    let mut dice = Dice(1);
    let mut fails = |writes: Vec<Write>| {
        let done = store.carry_out(&batch(&mut dice, writes));
        assert!(done.is_err(), "this is to be refused");
    };
    fails(vec![entry("one"), entry("another")]);
    fails(vec![new("another text")]);
    fails(vec![entry("lost with the rest"), stale("c-stale", "x")]);
    fails(vec![stale("first", "x")]);
    let Write::Evidence { entry, .. } = entry("of nobody") else { return };
    fails(vec![Write::Evidence { job: "nobody".to_owned(), entry }]);
}

fn taken_in(store: &Store) -> Result<(), Box<dyn Error>> {
    let Some(whole) = store.bundle(&name(0))? else { return Ok(()) };
    store.take_in("taken-in", &whole, &Summary::default(), "2026-04-01T00:00:00Z", "A. Person")?;
    let evidence = vec!["{\"kind\":\"signal\"}".to_owned(), "no JSON, it's ours".to_owned()];
    let bare = Bundle { text: "format = 1\n".to_owned(), evidence, ..Bundle::default() };
    Ok(store.take_in("taken-in-bare", &bare, &Summary::default(), "2026-04-01T00:00:00Z", "A. Person")?)
}

fn looked_at(store: &Store) -> Result<(), Box<dyn Error>> {
    for search in ["", "hall", "hall tür", "100 %_x", "\\", "日本語", "a b c d e f g h i j", "YARD"] {
        store.jobs(search, 0, 100)?;
        store.jobs(search, 3, 4)?;
    }
    for number in 0..JOBS {
        let job = name(number);
        for (kind, about) in [("", ""), ("reading", ""), ("", "Tür 3"), ("trip", "C08")] {
            store.lines(&job, Which { kind, about }, 0, 100)?;
            store.evidence(&job, Which { kind, about }, 2, 3)?;
        }
        store.entries(&job)?;
        store.entry(&job, "e7")?;
        store.evidence_lines(&job)?;
        store.versions(&job, 5)?;
        store.version(&job, "c7")?;
        for at in 0..6 {
            store.text_at(&job, at)?;
        }
        for photo in store.photos(&job)? {
            store.photo(&job, &photo.id)?;
        }
        store.photo(&job, "none")?;
        store.bundle(&job)?;
    }
    Ok(())
}
