//! Any text as a network: a network that prints, reads and prints the same, or an error with a column in it.
#![no_main]

use libfuzzer_sys::fuzz_target;
use network::Network;

fuzz_target!(|text: &str| {
    match Network::parse(text) {
        Ok(network) => {
            let written = network.written();
            let again = Network::parse(&written).expect("what we print is read");
            assert_eq!(again.written(), written);
        }
        Err(error) => {
            assert!((1..=text.chars().count() + 1).contains(&error.column), "{error:?}");
            assert!(!error.text.is_empty());
        }
    }
});
