//! What is to be divided, over what, and what counts: plain data, nothing of it computed here.

/// Circuits, what they may land on, and what people ask for.
///
/// Indices into the lists of this struct stand for its entries everywhere (`ends_in`, `offer`, `existing`). The order of
/// circuits and of modules means nothing to the result: ties are broken by tag and by id, then by the order of enclosures.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// What wants an input.
    pub circuits: Vec<Circuit>,
    /// Where cables end and modules hang. A job that names none has one here for everything.
    pub enclosures: Vec<Enclosure>,
    /// Module types: those that may be bought, and those of the modules that are there.
    pub offers: Vec<Offer>,
    /// Modules that the job already has. They cost nothing more and stay, used or not.
    pub existing: Vec<Existing>,
    /// What the modules report to.
    pub panel: Panel,
    /// Free inputs wanted in the whole job when all is landed, beyond none.
    pub spare: u32,
    /// What an hour is worth beside money.
    pub weights: Weights,
    /// Whether circuits may stay without an input.
    pub unmet: Unmet,
}

/// One pair (or a set of home runs that meet in the box), with everything that decides where it may land.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Circuit {
    /// The tag of the job; unique.
    pub tag: String,
    /// The enclosure where the cable ends; none: any enclosure will do, at no cost.
    pub ends_in: Option<usize>,
    /// Other enclosures that the cable may be extended to, and what that costs.
    pub extensions: Vec<Extension>,
    /// Circuits of one name here share a core and must be on one module.
    pub commons: Option<String>,
    /// Circuits of one area are kept on as few modules as their number and the cost allow.
    pub area: Option<String>,
    /// The zone number that it must have.
    pub zone: Option<u32>,
    /// The number that it had, kept where nothing speaks against it.
    pub was: Option<u32>,
    /// The input that the job gives it: stays.
    pub pin: Option<Pin>,
    /// Further inputs of the same module that are kept for it; nothing without a pin.
    pub also: Vec<u16>,
    /// Current that its detectors draw from the auxiliary output of its module, in mA.
    pub aux_ma: u32,
    /// A two-wire smoke circuit: only inputs that the mode lists can take it.
    pub smoke: bool,
    /// Every way in which an input reads it right. Several for one offer and mode are alternatives.
    pub fits: Vec<Fit>,
    /// Why it is read wrong where no fit is listed; used when nothing else can be said of it.
    pub refusals: Vec<Refusal>,
}

/// A cable made longer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extension {
    /// The enclosure that it then ends in.
    pub enclosure: usize,
    /// What that takes.
    pub effort: Effort,
}

impl Circuit {
    /// The inputs that the job keeps for it on this module, the pin first.
    pub(crate) fn kept(&self) -> impl Iterator<Item = u16> + '_ {
        self.pin.into_iter().flat_map(|pin| std::iter::once(pin.input).chain(self.also.iter().copied()))
    }
}

/// An input of a module of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pin {
    /// Index into [`Problem::existing`].
    pub existing: usize,
    /// Number of the input, from 1. With a fit that takes several inputs, it is the first of them.
    pub input: u16,
}

/// One way in which an offer in a mode reads a circuit right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fit {
    /// Index into [`Problem::offers`].
    pub offer: usize,
    /// Index into [`Offer::modes`].
    pub mode: usize,
    /// Inputs that it takes: 1, or the number of home runs when it is split. At least 1.
    pub inputs: u16,
    /// What has to be done to the circuit for it; nothing where it reads right as it is.
    pub effort: Effort,
}

/// Why an offer in a mode does not read a circuit right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// Index into [`Problem::offers`].
    pub offer: usize,
    /// Index into [`Offer::modes`].
    pub mode: usize,
    /// In words, without the circuit's tag, to go after "because".
    pub reason: String,
}

/// Money and working time of one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Parts, in hundredths of the job's currency.
    pub cents: u64,
    /// Work, in seconds.
    pub seconds: u64,
}

/// How efforts become one number: [`Weights::fold`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weights {
    /// What an hour of work counts, in hundredths of the currency.
    pub cents_per_hour: u64,
    /// How much money counts, in percent: 100 as it is, 0 for working time alone.
    pub money_percent: u64,
}

impl Default for Weights {
    /// 60 an hour, money as it is. Common practice, no source: an office types in its own rate.
    fn default() -> Self {
        Self { cents_per_hour: 6_000, money_percent: 100 }
    }
}

impl Weights {
    /// One effort as one whole number of hundredths, halves rounded up. Rounded per thing, so that the sums of two
    /// methods agree to the last digit.
    #[must_use]
    pub fn fold(&self, effort: Effort) -> u64 {
        (effort.cents * self.money_percent * 36 + effort.seconds * self.cents_per_hour + 1_800) / 3_600
    }
}

/// Where cables end and modules hang.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Enclosure {
    /// Its id in the job.
    pub id: String,
    /// Positions left beside the modules that are there; none: not known, no limit.
    pub positions: Option<u32>,
    /// Free inputs wanted in this enclosure when all is landed.
    pub spare: u32,
    /// Another enclosure that can be hung beside it.
    pub annex: Option<Annex>,
}

/// An enclosure to be bought and hung beside one that is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Annex {
    /// Its profile.
    pub profile: String,
    /// Positions in it.
    pub positions: u32,
    /// What one takes.
    pub effort: Effort,
    /// How many there is room for.
    pub most: u32,
}

/// A module type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Its profile.
    pub profile: String,
    /// Inputs, numbered from 1.
    pub inputs: u16,
    /// Whether a mode is the module's or each input's own.
    pub mode_per: ModePer,
    /// Its modes.
    pub modes: Vec<Mode>,
    /// What its auxiliary output gives, in mA; 0 for none.
    pub aux_ma: u32,
    /// Positions that it takes in an enclosure.
    pub positions: u32,
    /// What a new one takes, to buy and to set up.
    pub effort: Effort,
    /// How many new ones may be had; none: any number, `Some(0)`: only those of the job.
    pub most: Option<u32>,
    /// What it takes of the panel's zones.
    pub zones: ZoneUse,
}

/// Whose the mode is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ModePer {
    /// One mode for all inputs.
    #[default]
    Module,
    /// Each input has its own.
    Input,
}

/// What a module takes of the panel's zones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ZoneUse {
    /// One for each input that is used.
    #[default]
    UsedInputs,
    /// One for each input, used or not.
    AllInputs,
}

/// A mode of a module.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Mode {
    /// Its id in the profile.
    pub id: String,
    /// Inputs that can take a two-wire smoke circuit in this mode. Any other circuit may have them too.
    pub smoke_inputs: Vec<u16>,
}

/// A module that the job has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Existing {
    /// Its id in the job.
    pub id: String,
    /// The enclosure that it hangs in.
    pub enclosure: usize,
    /// Index into [`Problem::offers`].
    pub offer: usize,
    /// The mode that it must keep; none: to be chosen. Means nothing where each input has its own.
    pub mode: Option<usize>,
}

/// What the modules report to; a limit that is not known is none.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Panel {
    /// Zones that it has. Zone numbers run from 1 to this.
    pub zones: Option<u32>,
    /// Modules (identities) that it has room for, those of the job counted.
    pub modules: Option<u32>,
    /// Zone numbers that something else has.
    pub taken: Vec<u32>,
}

/// Whether circuits may stay without an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Unmet {
    /// Every circuit lands, or the answer is a conflict.
    #[default]
    Never,
    /// As few as can be stay without; then the cheapest. Other demands are never given up: circuits that share a core land
    /// all or none, and the input of a pinned circuit stays its own.
    Fewest,
}

/// How long to look.
pub struct Limits<'a> {
    /// Nodes of the search, over everything. The same count gives the same answer.
    pub nodes: u64,
    /// Asked now and then; true ends the search with what there is. A clock comes in here, the engine has none.
    pub stop: &'a dyn Fn() -> bool,
}

impl Default for Limits<'_> {
    fn default() -> Self {
        Self { nodes: 200_000, stop: &|| false }
    }
}
