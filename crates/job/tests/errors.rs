//! Every kind of error of `docs/format.md`, section 1: line, column, words, and what would be accepted.

mod common;

use common::{complaints, expect};

#[test]
fn a_file_without_its_format_number() {
    let told = complaints("");
    assert_eq!(told.len(), 1);
    assert_eq!((told[0].line, told[0].column), (1, 1));
    assert!(told[0].text.contains("`format` is missing"), "{}", told[0].text);
    expect("format = 2\n         ^format 2 is out of range | a whole number from 1 to 1");
    expect("format = \"1\"\n         ^format is text | a whole number");
    expect("format = 1.0\n         ^format is a number");
}

#[test]
fn an_unknown_key_is_named_with_its_neighbour() {
    expect(
        r#"
format = 1
[[circuit]]
tag = "C01"
netwrok = "4.7k"
^unknown key `netwrok` in circuit, did you mean `network`? | tag, place
[sites]
 ^unknown key `sites`, did you mean `site`? | format, site
[meter]
voltage = "1 %"
^unknown key `voltage` in meter | ohms, leads
"#,
    );
}

#[test]
fn a_table_without_its_id() {
    expect(
        r#"
format = 1
[[circuit]]
^circuit has no `tag` | tag =
place = "somewhere"
[[module]]
^module has no `id`
[[enclosure]]
^enclosure has no `id`
[[device]]
^device has no `id`
[[cable]]
^cable has no `id`
[[supply]]
^supply has no `id`
[[output]]
^output has no `id`
"#,
    );
}

#[test]
fn a_quantity_is_wrong_at_its_place_inside_the_quotes() {
    expect(
        r#"
format = 1
[site]
cable_temperature = "40 C to 5 C"
                     ^reversed
[meter]
leads = "0.2"
         ^the unit of `0.2` is missing
ohms = "0.9 % and 2 digits"
              ^`+` is wanted
[assume]
contact_closed_max = 1
                     ^assume.contact_closed_max is a number | in quotes
contact_open_min = "1 Mohms!"
                           ^
joint_max = "-1 ohm"
             ^negative
resistor_tolerance = "5"
                      ^unit
cable = "22 AGW"
            ^`AGW` is no unit
length_tolerance = "120 %"
                    ^above
smoke_dry_min = "100 m"
                     ^
"#,
    );
}

#[test]
fn words_of_a_list() {
    expect(
        r#"
format = 1
[site]
units = "imperial"
         ^site.units `imperial` is not known | us or metric
[fire]
required = true
           ^fire.required is true or false | yes, no or unknown
control_listed_for = "comercial-fire"
                      ^did you mean `commercial-fire`?
[[module]]
id = "M1"
link = "wire"
        ^link `wire` is not known | radio, bus or direct
[[device]]
id = "D1"
connection = "inout"
              ^did you mean `in-out`?
[[circuit]]
tag = "C01"
duty = "smoke-two-wire"
        ^circuit.duty | intrusion, hold-up, smoke
resistor_at = "head"
               ^ | panel, splice, device, end or unknown
class = "C"
         ^ | A or B
means = { short = "fault", open = "alarm" }
                   ^circuit.means.short `fault` is not known | normal, alarm
"#,
    );
}

#[test]
fn a_network_is_wrong_at_its_own_column() {
    expect(
        r#"
format = 1
[[circuit]]
tag = "C01"
network = "nc:front-door - 2.2k"
                    ^
[[circuit]]
tag = "C02"
network = '470'
           ^unit
[[circuit]]
tag = "C03"
network = "(nc:a - 1k"
                     ^
[[circuit]]
tag = "C04"
network = ""
           ^
[[circuit]]
tag = "C05"
network = "nc:tür - 4,7k"
                    ^
"#,
    );
}

#[test]
fn network_and_other_exclude_each_other() {
    expect(
        r#"
format = 1
[[circuit]]
tag = "C01"
network = "4.7k"
other = "a class A return"
^not both
[[circuit]]
tag = "C02"
other = "a class A return"
network = "4.7k"
^not both
"#,
    );
}

#[test]
fn readings() {
    expect(
        r#"
format = 1
[[circuit]]
tag = "C01"
found = [
    { ohms = "2.21k" },
    ^has no `when`
    { when = "rest" },
    ^a reading shows nothing
    { when = "front-door", ohms = "open" },
                   ^`-` does not belong
    { when = "after 60", ohms = "open" },
                    ^unit
    { when = "core ", ohms = "open" },
                   ^the core has no name
    { when = "pir.mask", ohms = "open" },
                  ^no role of a contact | alarm, tamper or fault
    { when = "rest", ohms = "OL" },
                             ^ | `open`
    { when = "rest", volts_dc = "4.7k" },
                                    ^
    { when = "rest", fed = 1, ohms = "1 ohm" },
                           ^
]
"#,
    );
}

#[test]
fn a_table_in_the_wrong_brackets() {
    expect(
        r#"
format = 1
[circuit]
^circuit stands here as a single table | `[[circuit]]`
tag = "C01"
[[site]]
^site stands here as a list | `[site]`
name = "x"
"#,
    );
    expect("format = 1\ncircuit = \"C01\"\n          ^circuit is text");
}

#[test]
fn names_that_nobody_could_tie_to_a_cable() {
    expect(
        r#"
format = 1
[[circuit]]
tag = ""
       ^a name is empty
[[circuit]]
tag = " C01"
       ^begins or ends with a blank
[[circuit]]
tag = "C01/door"
          ^a tag holds a `/`
[[module]]
id = 7
     ^module.id is a number
"#,
    );
}

/// A slip in the syntax is told together with what is wrong elsewhere, but without its own echoes.
#[test]
fn all_errors_of_a_file_at_once() {
    expect(
        r#"
format = 1
[site]
name = Orchard Row
       ^string values must be quoted
units = "imperial"
         ^site.units
[[circuit]]
tag = "C01"
tag = "C02"
^this key stands here for the second time
gauge = "22"
         ^
input = "M1.1"
"#,
    );
    let many: String = (0..300).map(|at| format!("[[circuit]]\ntag = \"C{at}\"\nzone = 0\n")).collect();
    let told = complaints(&format!("format = 1\n{many}"));
    assert_eq!(told.len(), 201);
    assert!(told[200].text.contains("100 more problems"), "{}", told[200].text);
}

#[test]
fn a_broken_header_tells_nothing_about_the_keys_below_it() {
    expect(
        r#"
format = 1
[[circuit]
          ^unclosed array table
tag = "C01"
network = "4.7k"
"#,
    );
}

/// A condition in another form is no device, and only ohms are open.
#[test]
fn conditions_in_another_form_are_no_names() {
    let found = |reading: &str| {
        complaints(&format!("format = 1\n[[circuit]]\ntag = \"C01\"\nfound = [{{ {reading} }}]\n"))
    };
    for (when, word) in [
        ("Rest", "rest"),
        ("Tripped", "tripped"),
        ("trip", "tripped"),
        ("LIVE", "live"),
        ("Rest.tamper", "rest"),
    ] {
        let told = found(&format!("when = \"{when}\", ohms = \"1k\""));
        assert_eq!(told.len(), 1, "{when}");
        assert!(told[0].text.contains(&format!("`{word}`")), "{when}: {}", told[0].text);
    }
    for range in ["volts_dc", "volts_ac", "amps"] {
        let told = found(&format!("when = \"rest\", {range} = \"open\""));
        assert_eq!(told.len(), 1, "{range}");
        assert!(told[0].text.contains("only ohms are open"), "{range}: {}", told[0].text);
    }
}
