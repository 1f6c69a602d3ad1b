//! What the program knows by itself: the files of `equipment/`, `rules/`, `habits/` and `labour/`, built in.

use std::sync::OnceLock;

use document::Source;

use crate::labour::Labour;
use crate::model::Library;

macro_rules! files {
    ($folder:literal: $($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../../../", $folder, "/", $name, ".toml")))),*]
    };
}

/// Every file of `equipment/` without its ending; a test compares the list with the folder.
const EQUIPMENT: &[(&str, &str)] = files!["equipment": "adapter-16v-dc", "call-point", "call-point-470", "call-point-680", "contact-door", "contact-overhead", "cover-tamper", "enclosure-large", "enclosure-small", "fire-sounder-24v", "flood-sensor", "freezer-sensor", "glass-break", "glass-contact", "heat-fixed", "heat-rate", "hold-up-button", "hold-up-button-no", "horn-strobe-24v", "input-12", "input-16", "input-8", "keypad", "motion-dual", "motion-mask", "motion-pir", "motion-two-resistor", "panel-16", "panel-64", "power-supervision-relay", "psu-12v-1a", "psu-12v-2a", "psu-24v-3a", "relay-12v", "shock", "smoke-four-wire", "smoke-four-wire-old", "smoke-two-wire", "sounder-indoor", "sounder-outdoor", "sounder-polarised", "speaker-driver", "strobe", "transformer-16v-40va", "transformer-18v-50va", "valve-switch", "vrla-12v-12ah", "vrla-12v-18ah", "vrla-12v-4ah", "vrla-12v-7ah", "waterflow-switch"];

/// Every file of `rules/` without its ending.
const RULES: &[(&str, &str)] = files!["rules": "au-fire", "de-fire", "eu-intrusion", "uk-fire", "us-fire", "us-fire-household", "us-intrusion-commercial"];

/// Every file of `habits/` without its ending.
const HABITS: &[(&str, &str)] = files!["habits": "default"];

/// Every file of `labour/` without its ending.
const LABOUR: &[(&str, &str)] = files!["labour": "default"];

impl Labour {
    /// The embedded table, typical times from memory: what every other one stands on.
    ///
    /// # Panics
    /// Never: a test reads the embedded file.
    #[must_use]
    pub fn embedded() -> &'static Self {
        static EMBEDDED: OnceLock<Labour> = OnceLock::new();
        EMBEDDED.get_or_init(|| {
            let (name, text) = LABOUR[0];
            Self::read(&Source::new(name, text)).expect("a test reads the embedded labour table")
        })
    }
}

impl Library {
    /// The embedded profiles and rule sets: generic classes with typical values, marked so.
    ///
    /// # Panics
    /// Never: a test reads every embedded file.
    #[must_use]
    pub fn embedded() -> Self {
        static EMBEDDED: OnceLock<Library> = OnceLock::new();
        EMBEDDED.get_or_init(read_all).clone()
    }

    /// The names and texts of the embedded profiles, for tests and for whoever wants to start from one.
    #[must_use]
    pub fn embedded_equipment() -> &'static [(&'static str, &'static str)] {
        EQUIPMENT
    }

    /// The names and texts of the embedded rule sets.
    #[must_use]
    pub fn embedded_rules() -> &'static [(&'static str, &'static str)] {
        RULES
    }

    /// The names and texts of the embedded habits.
    #[must_use]
    pub fn embedded_habits() -> &'static [(&'static str, &'static str)] {
        HABITS
    }

    /// The names and texts of the embedded labour tables.
    #[must_use]
    pub fn embedded_labour() -> &'static [(&'static str, &'static str)] {
        LABOUR
    }
}

fn read_all() -> Library {
    let mut library = Library::default();
    for (name, text) in EQUIPMENT {
        library.add_equipment(&Source::new(*name, *text)).expect("a test reads every embedded profile");
    }
    for (name, text) in RULES {
        library.add_rules(&Source::new(*name, *text)).expect("a test reads every embedded rule set");
    }
    for (name, text) in HABITS {
        library.add_habits(&Source::new(*name, *text)).expect("a test reads every embedded habits file");
    }
    for (name, text) in LABOUR {
        library.add_labour(&Source::new(*name, *text)).expect("a test reads every embedded labour table");
    }
    library
}
