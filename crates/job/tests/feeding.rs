//! Which supply point hangs on which.

mod common;

use common::good;
use job::Feeding;

#[test]
fn points_outputs_and_modules_hang_on_their_supply() {
    let job = good(
        r#"
format = 1
[[enclosure]]
id = "E1"
[[module]]
id = "M1"
enclosure = "E1"
[[module]]
id = "M2"
fed_by = "J2"
[[module]]
id = "M3"
[[supply]]
id = "P1"
runs = [{ from = "P2.bell", to = "J3", ohms = "1 ohm" }]
[[supply]]
id = "P2"
enclosure = "E1"
runs = [{ from = "P2", to = "J1", ohms = "1 ohm" }, { from = "J1", to = "J2", ohms = "1 ohm" }]
[[output]]
id = "M1.S1"
fed_from = "J1"
[[output]]
id = "M2.S1"
"#,
    );
    let feeding = Feeding::new(&job);
    assert_eq!(feeding.chain("J2"), ["J2", "J1", "P2"]);
    // A run belongs to the supply that it hangs on, wherever it is listed.
    assert_eq!(feeding.chain("J3"), ["J3", "P2.bell", "P2"]);
    // By its enclosure; by what it says; by nothing.
    assert_eq!(feeding.chain("M1.aux"), ["M1.aux", "M1", "P2"]);
    assert_eq!(feeding.chain("M2.aux"), ["M2.aux", "M2", "J2", "J1", "P2"]);
    assert_eq!((feeding.parent("M3"), feeding.supply("M3.aux")), (None, None));
    // An output by its own word, else by whom it belongs to.
    assert_eq!(feeding.chain("M1.S1"), ["M1.S1", "J1", "P2"]);
    assert_eq!(feeding.chain("M2.S1")[..3], ["M2.S1", "M2", "J2"]);
    for (point, supply) in [("P1", 0), ("P2", 1), ("J3", 1), ("M2.aux", 1), ("P1.aux", 0)] {
        assert_eq!(feeding.supply(point), Some(supply), "{point}");
    }
    assert!(!feeding.is_loop("M2"));
}
