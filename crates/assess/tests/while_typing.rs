//! One circuit weighed while someone types says the same as the whole building weighed again.

use document::Source;
use job::{Display, Job, Reading, Shown, When};
use library::Library;
use quantity::Ohms;

/// A building with one habit, one odd circuit and one pair that nobody has read.
fn building() -> Job {
    let mut text = String::from("format = 1\n");
    for at in 1..=7 {
        let value = if at == 5 { "4.71k" } else { "2.21k" };
        text += &format!(
            "[[circuit]]\ntag = \"C0{at}\"\nfound = [{{ when = \"rest\", ohms = \"{value}\" }}, {{ when = \"tripped\", ohms = \"open\" }}]\n"
        );
    }
    text += "[[circuit]]\ntag = \"C08\"\n";
    Job::read(&Source::new("job.toml", text)).expect("it reads")
}

#[test]
fn the_circuit_comes_out_as_from_the_whole_building() {
    let library = Library::embedded();
    let job = building();
    let before = assess::identify(&job, &library).expect("there are habits");
    for at in 0..job.circuits.len() {
        let mut changed = job.clone();
        let shown = Shown::Ohms(Display::Value { value: Ohms(4710.0), digit: Ohms(10.0) });
        let reading = Reading { when: When::Reversed, fed: false, shown: vec![shown], line: 0 };
        changed.circuits[at].found.push(reading);
        let whole = assess::identify(&changed, &library).expect("there are habits");
        let one = assess::identify_one(&before, &changed, &library, at).expect("there are habits");
        let of_whole = whole.pairs.iter().find(|pair| pair.circuit == at).expect("it was read");
        let [of_one] = one.pairs.as_slice() else { panic!("one pair comes back") };
        assert_eq!(of_one.ranking, of_whole.ranking, "{at}");
        assert_eq!(of_one.next, of_whole.next, "{at}");
        assert_eq!(identify::remarks(&one, of_one), identify::remarks(&whole, of_whole), "{at}");
    }
}
