//! Findings: what a person must know or decide.

/// How much a finding weighs; the order is the order of weight.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// A person has to look, ask or measure.
    Check,
    /// Has to be changed before it works as it should.
    Fix,
    /// Nothing goes on before this is settled.
    Stop,
}

impl Severity {
    /// The word in reports and JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Check => "check",
            Self::Fix => "fix",
            Self::Stop => "stop",
        }
    }
}

/// One thing that a person must know or decide.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// How much it weighs.
    pub severity: Severity,
    /// The circuit's tag, the module's id, or `job`.
    pub place: String,
    /// Its kind, in kebab-case; never changed once shipped.
    pub code: &'static str,
    /// What is the matter, in plain words.
    pub text: String,
    /// What to do about it.
    pub remedy: String,
}
