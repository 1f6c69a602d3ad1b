//! Errors of what one table says of another: names that stand twice, references to nothing, trees that close.

mod common;

use common::expect;

#[test]
fn double_names() {
    expect(
        r#"
format = 1
[site]
rules = ["us-fire", "us-fire"]
                    ^the rule set `us-fire` stands here for the second time
[[enclosure]]
id = "E1"
[[enclosure]]
id = "E1"
     ^the enclosure `E1`
[[module]]
id = "M1"
[[module]]
id = "M1"
     ^the module `M1`
[[device]]
id = "D1"
[[device]]
id = "D1"
     ^the device `D1`
[[circuit]]
tag = "C01"
[[circuit]]
tag = "C01"
      ^the circuit `C01`
[[cable]]
id = "K1"
[[cable]]
id = "K1"
     ^the cable `K1`
[[supply]]
id = "P1"
[[supply]]
id = "P1"
     ^the supply `P1`
[[output]]
id = "O1"
[[output]]
id = "O1"
     ^the output `O1`
"#,
    );
}

#[test]
fn references_to_nothing() {
    expect(
        r#"
format = 1
[[enclosure]]
id = "E1"
[[module]]
id = "M1"
enclosure = "E2"
            ^no enclosure `E2`, did you mean `E1`? | E1
[[circuit]]
tag = "C01"
ends_in = "E9"
          ^no enclosure `E9`
input = "M2.1"
        ^no module `M2`, did you mean `M1`?
[[cable]]
id = "K1"
ends_in = "E3"
          ^no enclosure `E3`
cores = [ { to = "C02.a" }, { to = ["C01.b", "J7.0v"] }, { to = "spare" } ]
                 ^no circuit `C02`
                                             ^no supply point `J7`
[[supply]]
id = "P1"
enclosure = "E4"
            ^no enclosure `E4`
loads = [ { at = "J1", name = "strobe" } ]
                 ^no supply point `J1`
[[device]]
id = "D1"
fed_by = "J2"
         ^no supply point `J2` | P1
[[device]]
id = "C03/door"
     ^no circuit `C03`
[[output]]
id = "M7.S1"
     ^no module and no supply `M7`
fed_from = "P2"
           ^no supply point `P2`
"#,
    );
}

#[test]
fn inputs() {
    expect(
        r#"
format = 1
[[module]]
id = "M1"
[[circuit]]
tag = "C01"
input = "M1.7"
[[circuit]]
tag = "C02"
input = "M1.7"
        ^C01 is on M1.7 already
[[circuit]]
tag = "C03"
input = "M1"
         ^`M1` names no input | `M1.7`
[[circuit]]
tag = "C04"
input = "M1.seven"
            ^`seven` is no number of an input | from 1 to 1000
[[circuit]]
tag = "C05"
input = "M1.0"
            ^`0` is no number
[[circuit]]
tag = "C06"
input = "M1.+8"
            ^`+8` is no number
[[circuit]]
tag = "C07"
zone = 0
       ^circuit.zone 0 is out of range
"#,
    );
}

#[test]
fn devices_and_the_circuits_that_they_stand_in() {
    expect(
        r#"
format = 1
[[circuit]]
tag = "C01"
network = "nc:door - nc:leaf - 4.7k"
[[circuit]]
tag = "C02"
network = "nc:door - 4.7k"
[[device]]
id = "door"
     ^a device `door` stands in 2 circuits | `C01/door` or `C02/door`
[[device]]
id = "C01/door"
[[device]]
id = "C02/leaf"
     ^no device `leaf` in the network of C02
[[device]]
id = "leaf"
[[device]]
id = "C01/leaf"
     ^`C01/leaf` and `leaf` are the same device
[[device]]
id = "nowhere_yet"
"#,
    );
}

#[test]
fn runs_are_a_tree_from_their_supply() {
    expect(
        r#"
format = 1
[[supply]]
id = "P1"
runs = [
    { from = "P1", to = "J1", cable = "25 m of 18 AWG" },
    { from = "J2", to = "J1", ohms = "1 ohm" },
             ^the run from `J2` is fed by nothing
                        ^a second run ends at `J1`
    { from = "J1", to = "J3" },
    ^a run is made of nothing
    { from = "J1", to = "J4", cable = "25 m", ohms = "1 ohm" },
                                       ^a length and a conductor
                                              ^not both
    { from = "J1", to = "P1", ohms = "1 ohm" },
                        ^a run ends at `P1`, which feeds
    { from = "J8", to = "J9", ohms = "1 ohm" },
             ^the run from `J8` is fed by nothing
    { from = "J9", to = "J8", ohms = "1 ohm" },
             ^the run from `J9` is fed by nothing
    { to = "J5", ohms = "1" },
    ^run
                         ^unit
]
"#,
    );
}

#[test]
fn no_point_feeds_itself() {
    expect(
        r#"
format = 1
[[module]]
id = "M1"
fed_by = "J1"
         ^`M1` feeds itself: J1 from M1.aux from M1 | the points are a tree
[[supply]]
id = "P1"
runs = [{ from = "M1.aux", to = "J1", ohms = "1 ohm" }]
[[output]]
id = "P1.bell"
fed_from = "P1.bell"
           ^`P1.bell` feeds itself
"#,
    );
}

#[test]
fn a_local_word_on_standby_has_its_reason_and_its_rule_set() {
    expect(
        r#"
format = 1
site.rules = ["us-fire"]
[[supply]]
id = "P1"
rules = ["us-fir"]
         ^the site names no rule set `us-fir`, did you mean `us-fire`? | us-fire
strings = 0
          ^out of range
in_series = 100
            ^out of range
[[standby]]
^standby has no `reason`
rules = "us-fire"
[[standby]]
rules = "uk-fire"
        ^the site names no rule set `uk-fire`
supply = "P2"
         ^no supply `P2`
hours = "-1 h"
         ^
reason = " "
         ^without its reason | who said so
"#,
    );
}

#[test]
fn loads_and_cables() {
    expect(
        r#"
format = 1
[[supply]]
id = "P1"
loads = [
    { at = "P1", count = 0 },
                         ^out of range
    { at = "P1", standby = "2 V" },
                              ^ | amperes, watts or ohms
    { at = "P1", standby = "-20 mA" },
                            ^ | amperes, watts or ohms
    { at = "P1", alarm = "0 ohm" },
                          ^a load of next to no ohms is a short
    { at = "P1", alarm_in = ["fier"] },
                              ^did you mean `fire`?
    { at = "P1", shed = "yes" },
                        ^ | true or false
    { name = "no place" },
    ^
]
runs = [
    { from = "P1", to = "J1", cable = "25 of 18 AWG" },
                                       ^unit
    { from = "P1", to = "J2", cable = "25 m of 18 AVG" },
                                                  ^
]
[[cable]]
id = "K1"
cores = [ { to = "C01.c" }, { to = "C01" } ]
                      ^`c` is no leg
                                    ^`C01` names no end
"#,
    );
}
