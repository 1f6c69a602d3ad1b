//! What a minute without a circuit weighs, by its duty: what a cut-over keeps small.

/// The duties of the job file, in its words and order.
pub(crate) const DUTY_KEYS: &[document::Key] = &[
    "intrusion",
    "hold-up",
    "smoke",
    "heat",
    "manual-call",
    "waterflow",
    "valve",
    "tamper",
    "technical",
    "sounder",
];

/// What a minute without a circuit of one duty weighs; only how weights stand to each other matters.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DutyWeight {
    /// While nobody is in the building, 0 to 1000.
    pub empty: u32,
    /// While people are in, 0 to 1000.
    pub occupied: u32,
    /// Where the number comes from.
    pub basis: String,
}
