//! Profiles that nobody would write on purpose: a profile or problems that lie inside the text, never a panic.

use document::Source;
use library::{Library, Profile};
use proptest::prelude::*;

fn read(text: &str) -> Result<(), TestCaseError> {
    let source = Source::new("x.toml", text);
    let problems = [Profile::read(&source).err(), Library::default().add_rules(&source).err()];
    for problem in problems.into_iter().flatten().flatten() {
        prop_assert!(
            problem.span.start <= problem.span.end && problem.span.end <= text.len() + 1,
            "{problem:?}"
        );
        let complaint = source.complaint(&problem);
        prop_assert!(complaint.column <= source.line(complaint.line).chars().count() + 2, "{complaint:?}");
    }
    Ok(())
}

fn embedded() -> impl Strategy<Value = &'static str> {
    let texts: Vec<&str> = Library::embedded_equipment()
        .iter()
        .chain(Library::embedded_rules())
        .map(|(_, text)| *text)
        .collect();
    prop::sample::select(texts)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// Any value of any embedded file replaced by any text.
    #[test]
    fn any_value_anywhere(text in embedded(), place in any::<prop::sample::Index>(), value in "[ -~]{0,12}", quoted in any::<bool>()) {
        let equals: Vec<usize> = text.match_indices(" = ").map(|(at, _)| at + 3).collect();
        let at = equals[place.index(equals.len())];
        let end = text[at..].find([',', '\n', '}', ']']).map_or(text.len(), |end| at + end);
        let value = if quoted { format!("'{}'", value.replace('\'', "")) } else { value };
        read(&format!("{}{value}{}", &text[..at], &text[end..]))?;
    }

    #[test]
    fn any_text(text in "\\PC{0,120}") {
        read(&text)?;
    }

    /// Any numbers and tolerances for edges, in any of the four kinds.
    #[test]
    fn any_bands(
        edges in prop::collection::vec((0..1_000_000_u32, prop::sample::select(vec!["ohm", "k", "V", "% of source", "%", "A"])), 0..5),
        tolerance in 0..100_u32,
        keys in prop::sample::subsequence(vec!["source = \"5 V 2 %\"", "pull_up = \"2.2k 1 %\"", "pull_up = \"0 ohm\"", "learned = \"command\""], 0..=3),
    ) {
        let bands: Vec<String> = edges
            .iter()
            .enumerate()
            .map(|(at, (edge, unit))| format!("{{ name = \"b{at}\", below = \"{edge} {unit}\", means = \"normal\" }}"))
            .collect();
        let text = format!(
            "id = \"x\"\nkind = \"module\"\ntitle = \"x\"\nbasis = \"x\"\ninputs = 8\n[[mode]]\nid = \"m\"\nedge_tolerance = \"{tolerance} %\"\n{}\nbands = [ {} {{ name = \"last\", means = \"alarm\" }} ]",
            keys.join("\n"),
            bands.iter().map(|band| format!("{band}, ")).collect::<String>(),
        );
        read(&text)?;
        if let Ok(profile) = Profile::read(&Source::new("x", text)) {
            let library::Kind::Module(module) = profile.kind else { panic!("a module") };
            for limits in module.modes.iter().flat_map(|mode| &mode.limits) {
                prop_assert!(limits.sure_lo <= limits.sure_hi && limits.may_lo <= limits.sure_lo && limits.sure_hi <= limits.may_hi);
            }
        }
    }
}
