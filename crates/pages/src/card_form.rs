//! The form of the card: condition, display, units, pad and presses.

use maud::{Markup, html};

use crate::frame::Open;
use crate::typed::{Asked, UNITS, Unit};

/// Conditions that stand in the bar; the others are behind `more`.
const USUAL: [(&str, &str); 3] = [("rest", "at rest"), ("tripped", "tripped"), ("reversed", "reversed")];
/// The others.
const MORE: [(&str, &str); 7] = [
    ("joined", "joined at the far device"),
    ("opened", "opened at the far device"),
    ("after 60 s", "after a minute"),
    ("earth-a", "first leg to earth"),
    ("earth-b", "second leg to earth"),
    ("earth", "either leg to earth"),
    ("live", "live at the old terminals"),
];
/// Keys of the pad, row by row, each with what it is called: the last column is beside the digits.
const PAD: [(&str, &str); 15] = [
    ("7", "7"),
    ("8", "8"),
    ("9", "9"),
    ("back", "Take the last digit off"),
    ("4", "4"),
    ("5", "5"),
    ("6", "6"),
    ("minus", "Minus"),
    ("1", "1"),
    ("2", "2"),
    ("3", "3"),
    ("unstable", "unstable"),
    ("open", "open"),
    ("0", "0"),
    (".", "."),
];

/// Under what condition the meter was read.
pub(crate) fn conditions(when: &str, sent: Option<&Asked>) -> Markup {
    let usual = USUAL.iter().any(|(word, _)| *word == when);
    let other = MORE.iter().find(|(word, _)| *word == when);
    let when = if usual || other.is_some() { when } else { "rest" };
    let radio = |word: &str, words: &str| {
        html! {
            label.choice { input type="radio" name="when" value=(word) checked[word == when]; span { (words) } }
        }
    };
    html! {
        fieldset.conditions {
            legend.hidden { "Condition" }
            div.bar { @for (word, words) in USUAL { (radio(word, words)) } }
            details {
                summary { span data-chosen="more" { (other.map_or("more", |(_, words)| words)) } }
                div.more {
                    @for (word, words) in MORE { (radio(word, words)) }
                    label for="device" { "What was tripped, if you know its name" }
                    input id="device" name="device" autocomplete="off" autocapitalize="off" spellcheck="false" value=[sent.map(|sent| sent.device).filter(|device| !device.is_empty())] placeholder="as door or hall_pir";
                    label.choice { input type="checkbox" name="fed" value="yes" checked[sent.is_some_and(|sent| sent.fed)]; span { "Detectors had their supply" } }
                }
            }
        }
    }
}

/// The unit that is pressed: what was asked for, else the usual one.
fn pressed(unit: &str) -> &'static Unit {
    UNITS.iter().find(|one| one.word == unit).unwrap_or(&UNITS[0])
}

/// The digits, large, with their unit.
pub(crate) fn display(unit: &str, typed: &str) -> Markup {
    html! {
        div.display {
            label.hidden for="shown" { "What the meter shows" }
            input id="shown" name="shown" inputmode="decimal" autocomplete="off" autocapitalize="off" enterkeyhint="done" value=[(!typed.is_empty()).then_some(typed)] placeholder="0.00" data-pad="yes" required;
            span.unit hidden data-script="yes" data-unit="yes" aria-hidden="true" { (pressed(unit).label) }
        }
    }
}

/// Units, number pad and presses. Without script the phone's own pad is there.
pub(crate) fn keys(open: &Open, unit: &str) -> Markup {
    let pressed = pressed(unit);
    html! {
        div.keys {
            fieldset.units {
                legend.hidden { "Unit" }
                @for one in &UNITS {
                    label.choice { input type="radio" name="unit" value=(one.word) checked[one.word == pressed.word] aria-label=(one.name); span aria-hidden="true" { (one.label) } }
                }
            }
            div.pad hidden data-script="yes" role="group" aria-label="Number pad" {
                @for (key, name) in PAD {
                    @match key {
                        "back" => button type="button" data-key=(key) aria-label=(name) { "\u{232b}" },
                        "minus" => button type="button" data-key=(key) aria-label=(name) { "\u{2212}" },
                        "unstable" => button.tall type="button" data-key=(key) aria-label=(name) { "un" wbr; "stable" },
                        _ => button type="button" data-key=(key) { (key) },
                    }
                }
            }
            div.presses {
                button.strong type="submit" name="then" value="next" { "Keep" span data-shown="yes" {} }
                button type="submit" name="then" value="trip" { "Keep, trip next" }
                button type="submit" name="over" value="open" formnovalidate data-plain="yes" { "Keep: over range" }
                button type="submit" name="over" value="unstable" formnovalidate data-plain="yes" { "Keep: unstable" }
                a.button href=(open.path(&["survey"])) { "Leave it" }
            }
        }
    }
}

/// What the keyboard does in the display.
pub(crate) fn letters() -> Markup {
    html! {
        details.help {
            summary { "Keys" }
            dl.letters {
                @for (key, does) in [
                    ("k M R", "behind or among the digits: kilohms, megohms, ohms, as 4k7"),
                    ("o", "open, over range"), ("u", "unstable"),
                    ("a d", "volts AC, volts DC"), ("-", "minus"),
                    ("q t x", "at rest, tripped, reversed"),
                    ("Enter", "keep, and on to the next pair"), ("Shift Enter", "keep, trip next"),
                ] { div { dt { kbd { (key) } } dd { (does) } } }
            }
        }
    }
}
