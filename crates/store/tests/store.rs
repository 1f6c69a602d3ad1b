//! What is written is read; what is stale, taken or missing is refused, and then nothing is written.

mod common;
#[path = "common/fresh.rs"]
mod fresh;

use common::{batch, evidence, new_job, save};
use document::Plain;
use fresh::fresh;
use job::{Change, TableRef};
use proptest::prelude::*;
use store::{Store, StoreError, Summary, Which, Write};

#[test]
fn every_text_that_a_job_had_can_be_read_again() {
    let (_folder, store) = fresh();
    let texts = ["format = 1\n", "format = 1\n# ä\n", "# €\n", "", "format = 1\n"];
    store.carry_out(&batch(vec![new_job("yard", texts[0])])).unwrap();
    for (at, text) in texts.iter().enumerate().skip(1) {
        store.carry_out(&batch(vec![save("yard", &format!("c{at}"), at as i64, text)])).unwrap();
    }
    for (at, text) in texts.iter().enumerate() {
        assert_eq!(store.text_at("yard", at as i64 + 1).unwrap().as_deref(), Some(*text));
    }
    assert_eq!(store.text_at("yard", 0).unwrap(), None);
    assert_eq!(store.text_at("yard", 6).unwrap(), None);
    assert_eq!(store.text_at("barn", 1).unwrap(), None);
    let newest: Vec<i64> = store.versions("yard", 2).unwrap().iter().map(|one| one.version).collect();
    assert_eq!(newest, [5, 4]);
}

#[test]
fn a_change_is_kept_with_what_it_was() {
    let (_folder, store) = fresh();
    let to = Plain::Text("wire:10m - 2.2k".to_owned());
    let change = Change::key(TableRef::named("circuit", "C07"), "network", None, Some(to));
    let Write::Save { job, id, version, text, summary, what, .. } = save("yard", "c1", 1, "b") else {
        unreachable!()
    };
    let write = Write::Save {
        job,
        id,
        version,
        text,
        summary,
        what,
        changes: vec![change.clone()],
        takes_back: "c0".to_owned(),
    };
    store.carry_out(&batch(vec![new_job("yard", "a"), write])).unwrap();
    let kept = store.version("yard", "c1").unwrap().unwrap();
    assert_eq!((kept.version, kept.author.as_str(), kept.what.as_str()), (2, "A. Person", "change c1"));
    assert_eq!((kept.changes, kept.takes_back.as_str()), (vec![change], "c0"));
}

#[test]
fn a_stale_text_is_refused_and_the_rest_of_its_batch_with_it() {
    let (_folder, store) = fresh();
    store.carry_out(&batch(vec![new_job("yard", "a")])).unwrap();
    store.carry_out(&batch(vec![save("yard", "c1", 1, "b")])).unwrap();
    let stale = batch(vec![evidence("yard", "e1", "seen"), save("yard", "c2", 1, "c")]);
    let refused = store.carry_out(&stale);
    assert!(matches!(refused, Err(StoreError::Stale { version: 2, .. })), "{refused:?}");
    assert_eq!(store.entries("yard").unwrap(), 0);
    assert_eq!(store.job("yard").unwrap().unwrap().text, "b");
}

#[test]
fn the_same_id_twice_is_one() {
    let (_folder, store) = fresh();
    store.carry_out(&batch(vec![new_job("yard", "a")])).unwrap();
    for _ in 0..2 {
        store.carry_out(&batch(vec![new_job("yard", "a")])).unwrap();
        store.carry_out(&batch(vec![save("yard", "c1", 1, "b"), evidence("yard", "e1", "seen")])).unwrap();
    }
    assert_eq!((store.job("yard").unwrap().unwrap().row.version, store.entries("yard").unwrap()), (2, 1));
    let taken = store.carry_out(&batch(vec![new_job("yard", "another")]));
    assert!(matches!(taken, Err(StoreError::Taken { .. })));
}

#[test]
fn what_belongs_to_no_job_is_refused() {
    let (_folder, store) = fresh();
    let photo = Write::Photo { job: "barn".to_owned(), photo: store::Photo::default() };
    for write in [evidence("barn", "e1", "seen"), save("barn", "c1", 1, "a"), photo] {
        let refused = store.carry_out(&batch(vec![write]));
        assert!(matches!(refused, Err(StoreError::NoJob { .. })), "{refused:?}");
    }
    for id in ["", "../up", "a b", "ä", &"x".repeat(65)] {
        let refused = store.carry_out(&batch(vec![new_job(id, "a")]));
        assert!(matches!(refused, Err(StoreError::Refused { .. })), "{refused:?}");
    }
}

#[test]
fn evidence_is_found_by_kind_and_by_what_it_is_about() {
    let (_folder, store) = fresh();
    store.carry_out(&batch(vec![new_job("yard", "a")])).unwrap();
    for (id, kind, about) in
        [("1", "trip", "C01"), ("2", "note", "C01"), ("3", "trip", "C02"), ("4", "trip", "C01")]
    {
        let Write::Evidence { job, mut entry } = evidence("yard", id, "seen") else { unreachable!() };
        entry.kind = kind.to_owned();
        entry.about = about.to_owned();
        store.carry_out(&batch(vec![Write::Evidence { job, entry }])).unwrap();
    }
    let found = |kind, about, from, count| -> String {
        let found = store.evidence("yard", Which { kind, about }, from, count).unwrap();
        found.iter().map(|entry| entry.id.as_str()).collect()
    };
    assert_eq!(found("", "", 0, 9), "4321");
    assert_eq!(found("trip", "", 0, 9), "431");
    assert_eq!(found("", "C01", 1, 2), "21");
    assert_eq!(found("trip", "C01", 0, 1), "4");
    assert_eq!(found("signal", "", 0, 9), "");
}

#[test]
fn a_search_finds_every_word_in_any_case_and_takes_signs_as_they_are() {
    let (_folder, store) = fresh();
    let named = |id: &str, name: &str| Write::NewJob {
        id: id.to_owned(),
        text: String::new(),
        summary: Summary { name: name.to_owned(), ..Summary::default() },
        what: String::new(),
    };
    let jobs = [("a1", "Old Mill, Österreich Lane"), ("b2", "New Mill 100 %"), ("c3", "Barn_7")];
    for (id, name) in jobs {
        store.carry_out(&batch(vec![named(id, name)])).unwrap();
    }
    let found = |search: &str| -> Vec<String> {
        store.jobs(search, 0, 10).unwrap().rows.into_iter().map(|row| row.id).collect()
    };
    assert_eq!(found(""), ["c3", "b2", "a1"]);
    assert_eq!(found("mill ÖSTER"), ["a1"]);
    assert_eq!(found("%"), ["b2"]);
    assert_eq!(found("_"), ["c3"]);
    assert_eq!(found("b2"), ["b2"]);
    assert_eq!(found("mill barn"), [""; 0]);
    let second = store.jobs("mill", 1, 1).unwrap();
    assert_eq!((second.rows[0].id.as_str(), second.rows.len(), second.of), ("a1", 1, 2));
}

#[test]
fn a_file_of_another_program_stays_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.db");
    std::fs::write(&path, "not a database at all, but long enough to be looked at as one".repeat(20))
        .unwrap();
    let before = std::fs::read(&path).unwrap();
    assert!(matches!(Store::open(&path), Err(StoreError::NotOurs { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[cfg(unix)]
#[test]
fn the_file_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let (_folder, store) = fresh();
    assert_eq!(std::fs::metadata(store.path()).unwrap().permissions().mode() & 0o777, 0o600);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn many_writers_lose_nothing(texts in proptest::collection::vec("[abä]{0,6}", 1..12)) {
        let (_folder, store) = fresh();
        store.carry_out(&batch(vec![new_job("yard", "")])).unwrap();
        // Each writer tries until its own change stands; every text must be in the history.
        std::thread::scope(|scope| {
            for (at, text) in texts.iter().enumerate() {
                let store = &store;
                scope.spawn(move || loop {
                    let version = store.job("yard").unwrap().unwrap().row.version;
                    match store.carry_out(&batch(vec![save("yard", &format!("c{at}"), version, text)])) {
                        Ok(()) => break,
                        Err(StoreError::Stale { .. }) => {}
                        Err(error) => panic!("{error}"),
                    }
                });
            }
        });
        let versions = store.versions("yard", usize::MAX).unwrap();
        prop_assert_eq!(versions.len(), texts.len() + 1);
        for version in versions.iter().filter(|version| version.version > 1) {
            let at: usize = version.id[1..].parse().unwrap();
            let text = store.text_at("yard", version.version).unwrap().unwrap();
            prop_assert_eq!(&text, &texts[at]);
        }
    }
}

#[test]
fn an_id_that_was_given_to_something_else_is_a_conflict_that_shows_what_stands() {
    let (_folder, store) = fresh();
    store.carry_out(&batch(vec![new_job("yard", "a"), evidence("yard", "n1", "first")])).unwrap();
    store.carry_out(&batch(vec![save("yard", "c1", 1, "b")])).unwrap();
    // The same again is one.
    store.carry_out(&batch(vec![evidence("yard", "n1", "first"), save("yard", "c1", 1, "b")])).unwrap();
    let other = store.carry_out(&batch(vec![evidence("yard", "n1", "second")]));
    assert!(
        matches!(&other, Err(StoreError::Conflict { stands, .. }) if stands.contains("first")),
        "{other:?}"
    );
    let other = store.carry_out(&batch(vec![save("yard", "c1", 2, "c")]));
    assert!(matches!(&other, Err(StoreError::Conflict { stands, .. }) if stands == "change c1"), "{other:?}");
    let both = store.carry_out(&batch(vec![save("yard", "c2", 2, "c"), evidence("yard", "n1", "second")]));
    assert!(both.is_err());
    assert_eq!(store.job("yard").unwrap().unwrap().text, "b", "all of a batch or nothing");
    assert_eq!(store.entries("yard").unwrap(), 1);
}
