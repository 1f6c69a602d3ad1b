//! What people read in every room of a small job, word for word. A snapshot is accepted once somebody has read it.

mod dom;
mod shelf;

use pages::Content;
use shelf::Shelf;

/// One circuit that reads right, one that does not, one that nobody has written down, on one module with one supply.
const JOB: &str = r#"format = 1
[site]
name = "Quarry Lane 4"
units = "metric"
[[enclosure]]
id = "E1"
place = "hall cupboard"
profile = "enclosure-small"
[[module]]
id = "M1"
enclosure = "E1"
profile = "input-8"
mode = "fixed-4k7"
[[circuit]]
tag = "C01"
place = "front door"
duty = "intrusion"
ends_in = "E1"
network = "wire:12m - nc:door - 4.7k"
found = [{ when = "rest", ohms = "4.71k" }, { when = "door", ohms = "open" }]
input = "M1.1"
[[circuit]]
tag = "C02"
place = "back door"
duty = "intrusion"
ends_in = "E1"
network = "2.2k - wire:20m - nc:door"
found = [{ when = "rest", ohms = "2.20k" }]
input = "M1.2"
[[circuit]]
tag = "C03"
ends_in = "E1"
[[supply]]
id = "P1"
enclosure = "E1"
profile = "psu-12v-1a"
battery = "vrla-12v-7ah"
loads = [{ at = "P1", device = "keypad" }]
"#;

fn text(shelf: &Shelf, target: &str) -> String {
    match shelf.get(target).content {
        Content::Html(html) => dom::page(&html).text,
        Content::Redirect(to) => format!("goes to {to}"),
        Content::Json(_) | Content::Text(_) | Content::Svg(_) | Content::File { .. } => "a file".to_owned(),
    }
}

#[test]
fn every_room_of_a_small_job() {
    let shelf = Shelf::new();
    shelf.put("quarry", JOB);
    shelf.post(
        "/j/quarry/survey/C02",
        &[("id", "r1"), ("when", "tripped"), ("shown", "open"), ("unit", "kohm")],
    );
    shelf.post("/j/quarry/walk", &[("id", "t1"), ("tag", "C01"), ("device", "door")]);
    let rooms = [
        ("list", "/"),
        ("new", "/new"),
        ("front", "/j/quarry"),
        ("survey", "/j/quarry/survey"),
        ("card", "/j/quarry/survey/C02"),
        ("card_of_nothing", "/j/quarry/survey/C03"),
        ("weighed", "/j/quarry/survey/C03/weigh?when=rest&shown=2.21&unit=kohm"),
        ("walk", "/j/quarry/walk"),
        ("circuits", "/j/quarry/circuits"),
        ("circuits_to_fix", "/j/quarry/circuits?only=fix"),
        ("circuit", "/j/quarry/c/C02"),
        ("circuit_of_nothing", "/j/quarry/c/C03"),
        ("no_circuit", "/j/quarry/c/C04"),
        ("tried", "/j/quarry/c/C01/play?trip=door&fault=short&at=1"),
        ("supplies", "/j/quarry/supplies"),
        ("supply", "/j/quarry/s/P1"),
        ("inputs", "/j/quarry/inputs"),
        ("divided", "/j/quarry/inputs/divide"),
        ("compared", "/j/quarry/inputs/compare"),
        ("equipment", "/j/quarry/equipment"),
        ("text", "/j/quarry/text"),
        ("kit", "/j/quarry/kit"),
        ("cut_over", "/j/quarry/cut-over"),
        ("record", "/j/quarry/record"),
        ("not_here", "/j/elsewhere"),
    ];
    for (name, target) in rooms {
        insta::assert_snapshot!(name, text(&shelf, target));
    }
}
