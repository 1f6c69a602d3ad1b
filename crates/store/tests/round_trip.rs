//! Out into a folder and back, out into a backup and back: nothing is lost.

mod common;
#[path = "common/fresh.rs"]
mod fresh;

use common::{batch, evidence, new_job, save};
use fresh::fresh;
use proptest::prelude::*;
use store::{
    Bundle, Photo, PhotoRow, Store, StoreError, Summary, Which, Write, backup, read_folder, read_id, restore,
    write_folder,
};

/// When things are restored.
const WHEN: &str = "2026-03-14T09:26:53Z";

/// What somebody may do to a job.
#[derive(Clone, Debug)]
enum Deed {
    Saves(String),
    Observes(String),
    Photographs(Vec<u8>, bool),
}

fn deed() -> impl Strategy<Value = Deed> {
    prop_oneof![
        "\\PC{0,40}".prop_map(Deed::Saves),
        "(?s:.{0,40})".prop_map(Deed::Observes),
        (proptest::collection::vec(any::<u8>(), 0..40), any::<bool>())
            .prop_map(|(bytes, png)| Deed::Photographs(bytes, png)),
    ]
}

fn carry_out(store: &Store, deeds: &[Deed]) {
    store.carry_out(&batch(vec![new_job("yard", "format = 1\n")])).expect("the store takes it");
    let mut version = 1;
    for (at, deed) in deeds.iter().enumerate() {
        let write = match deed {
            Deed::Saves(text) => {
                version += 1;
                save("yard", &format!("c{at}"), version - 1, text)
            }
            Deed::Observes(words) => evidence("yard", &format!("e{at}"), words),
            Deed::Photographs(bytes, png) => {
                let kind = if *png { "image/png" } else { "image/jpeg" };
                let row =
                    PhotoRow { id: format!("p{at}"), media_type: kind.to_owned(), ..PhotoRow::default() };
                Write::Photo { job: "yard".to_owned(), photo: Photo { row, bytes: bytes.clone() } }
            }
        };
        store.carry_out(&batch(vec![write])).expect("the store takes it");
    }
}

fn through_a_folder(bundle: &Bundle) -> Bundle {
    let folder = tempfile::tempdir().expect("the store takes it");
    let inside = folder.path().join("out");
    write_folder("yard", bundle, &inside).expect("the store takes it");
    read_folder(&inside.join("job.toml"), &inside.join("evidence.jsonl")).expect("the store takes it")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn a_job_survives_a_folder_and_another_database(deeds in proptest::collection::vec(deed(), 0..10)) {
        let (_folder, store) = fresh();
        carry_out(&store, &deeds);
        let before = store.bundle("yard").unwrap().unwrap();
        let read = through_a_folder(&before);
        prop_assert_eq!(&read, &before);
        let (_other_folder, other) = fresh();
        other.take_in("barn", &read, &Summary::default(), "2026-03-15T00:00:00Z", "B. Person").unwrap();
        prop_assert_eq!(&other.bundle("barn").unwrap().unwrap(), &before);
        prop_assert_eq!(other.job("barn").unwrap().unwrap().row.version, before.versions.len() as i64);
    }

    #[test]
    fn lines_of_a_receiver_stay_byte_for_byte(
        lines in proptest::collection::vec("\\PC{0,60}".prop_filter("no blank line", |line| !line.trim().is_empty()), 0..8)
    ) {
        let (_folder, store) = fresh();
        let bundle = Bundle { text: "format = 1\n".to_owned(), evidence: lines.clone(), ..Bundle::default() };
        store.take_in("yard", &bundle, &Summary::default(), "2026-03-15T00:00:00Z", "B. Person").unwrap();
        let kept = store.bundle("yard").unwrap().unwrap();
        prop_assert_eq!(&kept.evidence, &lines);
        prop_assert_eq!(&through_a_folder(&kept).evidence, &lines);
    }
}

#[test]
fn two_equal_lines_are_two_and_a_line_with_another_ones_id_is_kept_too() {
    let (_folder, store) = fresh();
    let lines = [
        "{\"kind\":\"signal\"}",
        "{\"kind\":\"signal\"}",
        "{\"id\":\"a\"}",
        "{\"id\":\"a\",\"x\":1}",
        "{\"id\":\"line-1\"}",
    ];
    let evidence: Vec<String> = lines.map(str::to_owned).to_vec();
    let bundle = Bundle { text: String::new(), evidence: evidence.clone(), ..Bundle::default() };
    store.take_in("yard", &bundle, &Summary::default(), "", "").unwrap();
    assert_eq!(store.bundle("yard").unwrap().unwrap().evidence, evidence);
    let mut ids: Vec<String> =
        store.evidence("yard", Which::default(), 0, 9).unwrap().into_iter().map(|one| one.id).collect();
    ids.sort();
    assert_eq!(ids, ["a", "line-1", "line-1-2", "line-2", "line-4"]);
}

#[test]
fn versions_that_do_not_lead_to_one_another_are_refused() {
    let (_folder, store) = fresh();
    carry_out(&store, &[Deed::Saves("b".to_owned()), Deed::Saves("c".to_owned())]);
    let whole = store.bundle("yard").unwrap().unwrap();
    let mut bundle = whole.clone();
    bundle.versions.remove(1);
    let refused = store.take_in("barn", &bundle, &Summary::default(), "", "");
    assert!(matches!(refused, Err(StoreError::Refused { .. })), "{refused:?}");
    assert!(matches!(
        store.take_in("yard", &whole, &Summary::default(), "", ""),
        Err(StoreError::Taken { .. })
    ));
}

#[test]
fn a_backup_brings_everything_back_and_a_damaged_one_nothing() {
    let (folder, store) = fresh();
    carry_out(&store, &[Deed::Saves("b".to_owned()), Deed::Observes("seen".to_owned())]);
    let before = store.bundle("yard").unwrap();
    let file = folder.path().join("copy.db");
    backup(&store, &file).unwrap();
    #[cfg(unix)]
    {
        let mode = std::os::unix::fs::PermissionsExt::mode(&std::fs::metadata(&file).unwrap().permissions());
        assert_eq!(mode & 0o777, 0o600, "{mode:o}");
    }
    assert!(matches!(backup(&store, &file), Err(StoreError::Refused { .. })));
    store.carry_out(&batch(vec![new_job("later", "x"), save("yard", "late", 2, "lost")])).unwrap();
    let kept = std::fs::read(&file).unwrap();
    let damaged = folder.path().join("damaged.db");
    let mut bytes = kept.clone();
    let middle = bytes.len() / 2;
    bytes[middle..].fill(0x5a);
    std::fs::write(&damaged, &bytes).unwrap();
    // It is told of the file that was brought.
    let refused = restore(&store, &damaged, WHEN).unwrap_err().to_string();
    assert!(refused.starts_with(&damaged.display().to_string()), "{refused}");
    assert!(store.job("later").unwrap().is_some());
    let inside = {
        // Somebody serves it meanwhile.
        let served = Store::open(store.path()).unwrap();
        let refused = restore(&store, &file, WHEN);
        assert!(matches!(refused, Err(StoreError::Refused { .. })), "{refused:?}");
        served.carry_out(&batch(vec![evidence("yard", "meanwhile", "kept")])).unwrap();
        served.entry("yard", "meanwhile").unwrap()
    };
    assert!(inside.is_some() && store.job("later").unwrap().is_some());
    let replaced = restore(&store, &file, WHEN).unwrap();
    assert_eq!(replaced.file_name().unwrap(), "jobs.db.before-restore-2026-03-14T092653Z");
    {
        let copy = folder.path().join("looked-at");
        std::fs::create_dir(&copy).unwrap();
        std::fs::copy(&replaced, copy.join("jobs.db")).unwrap();
        let replaced = Store::open(&copy.join("jobs.db")).unwrap();
        assert!(replaced.job("later").unwrap().is_some(), "what was replaced lies beside it");
        assert_eq!(replaced.entry("yard", "meanwhile").unwrap(), inside);
        drop(replaced);
        std::fs::remove_dir_all(copy).unwrap();
    }
    assert_eq!(store.bundle("yard").unwrap(), before);
    assert!(store.job("later").unwrap().is_none());
    assert_eq!(std::fs::read(&file).unwrap(), kept);
    assert_eq!(
        std::fs::read_dir(folder.path()).unwrap().count(),
        7,
        "database, three of its own, three copies"
    );
    // And the restored one still takes what comes.
    store.carry_out(&batch(vec![save("yard", "next", 2, "c")])).unwrap();
    drop(store);
    let again = Store::open(&folder.path().join("jobs.db")).unwrap();
    assert_eq!(again.job("yard").unwrap().unwrap().text, "c");
}

#[test]
fn a_folder_with_something_in_it_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("mine.txt"), "mine").unwrap();
    assert!(matches!(
        write_folder("yard", &Bundle::default(), folder.path()),
        Err(StoreError::Refused { .. })
    ));
}

#[test]
fn a_folder_says_the_id_of_its_job() {
    let folder = tempfile::tempdir().unwrap();
    let inside = folder.path().join("elsewhere");
    write_folder("yard-7", &Bundle::default(), &inside).unwrap();
    assert_eq!(read_id(&inside.join("job.toml")).unwrap().as_deref(), Some("yard-7"));
    assert_eq!(read_id(&inside.join("other.toml")).unwrap(), None);
    std::fs::write(inside.join("job.json"), "{\"id\":\"../up\"}").unwrap();
    assert!(matches!(read_id(&inside.join("job.toml")), Err(StoreError::Refused { .. })));
    std::fs::remove_file(inside.join("job.json")).unwrap();
    assert_eq!(read_id(&inside.join("job.toml")).unwrap(), None);
}
