//! Every house rule by name. What breaks it is listed, one sentence each.

use std::sync::LazyLock;

use xtask::metadata::Workspace;
use xtask::{arrows, closure, length, licences, links, pure, tree, words};

static WORKSPACE: LazyLock<Workspace> = LazyLock::new(|| Workspace::read(&tree::root()));

fn kept(broken: &[String]) {
    assert!(broken.is_empty(), "\n{}", broken.join("\n"));
}

fn files(endings: &[&str]) -> Vec<tree::File> {
    let files = tree::files(&tree::root(), endings);
    assert!(!files.is_empty(), "no {} files", endings.join(", "));
    files
}

#[test]
fn imports_go_one_way() {
    assert!(WORKSPACE.ours().count() > 5, "cargo shows our crates");
    kept(&arrows::broken(&WORKSPACE));
}

#[test]
fn what_is_listed_is_used() {
    kept(&arrows::unused(&WORKSPACE, &files(&[".rs"])));
}

#[test]
fn nothing_of_the_machine_comes_into_the_closure_of_what_a_phone_runs() {
    kept(&closure::broken(&WORKSPACE, &tree::root()));
}

#[test]
fn what_we_build_on_may_be_used() {
    kept(&licences::broken(&WORKSPACE));
}

#[test]
fn every_dependency_has_a_reason() {
    let explained = std::fs::read_to_string(tree::root().join("docs/dependencies.md")).unwrap_or_default();
    kept(&licences::unexplained(&WORKSPACE, &explained));
}

#[test]
fn pure_crates_touch_nothing_of_the_machine() {
    kept(&pure::broken(&files(&[".rs"])));
}

#[test]
fn files_stay_short_enough_to_be_read() {
    kept(&length::broken(&files(&[".rs", ".py"])));
}

#[test]
fn words_that_only_people_may_say_are_not_printed() {
    let printed = files(&[".rs", ".toml", ".snap"]).into_iter().filter(|file| words::is_printed(&file.path));
    kept(&words::broken(&printed.collect::<Vec<_>>()));
}

#[test]
fn links_lead_to_files() {
    kept(&links::broken(&tree::root(), &files(&[".md"])));
}
