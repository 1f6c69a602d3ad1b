//! Texts to people: a fire-watch notice, station, owner, authority. Fields, to be filled in and signed by people.

use cutover::Way;

use super::Cutover;
use super::clock::length;
use super::endless::stretches;

/// A line of a form: empty where a person fills it in.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Field {
    /// What is asked.
    pub label: String,
    /// What the job knows; empty otherwise.
    pub value: String,
}

/// One text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Notice {
    /// `fire-watch`, `station`, `owner`, `authority`.
    pub id: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What it says before the fields.
    pub text: String,
    /// Its fields.
    pub fields: Vec<Field>,
    /// The usual cautions.
    pub cautions: Vec<String>,
}

const PEOPLE_DECIDE: &str = "Local code and the authority having jurisdiction decide; this text is a draft that a person fills in and signs.";

pub(crate) fn notices(cutover: &Cutover) -> Vec<Notice> {
    let mut all = Vec::new();
    if cutover.fire_goes_out() {
        all.push(fire_watch(cutover));
        all.push(authority(cutover));
    }
    if !cutover.circuits.is_empty() {
        all.push(station(cutover));
        all.push(owner(cutover));
    }
    all
}

fn field(label: &str, value: impl Into<String>) -> Field {
    Field { label: label.to_owned(), value: value.into() }
}

fn blank(label: &str) -> Field {
    field(label, "")
}

/// When fire circuits are out, as `2026-12-01 18:00 to 2026-12-01 20:10, 2 h 10 min`.
fn out(cutover: &Cutover) -> Vec<Field> {
    let Ok(plan) = &cutover.plan else { return vec![blank("Out of service, from and to (planned)")] };
    let one = |out: &cutover::Out| {
        field(
            "Out of service, planned",
            format!(
                "{} to {}, {}",
                cutover.clock.written(out.from),
                cutover.out_until(out),
                cutover.out_length(out)
            ),
        )
    };
    let mut fields: Vec<Field> = plan.outage.intervals.iter().map(one).collect();
    fields.push(field("Within any 24 h, at most", length(plan.outage.worst)));
    if let Some(limit) = &cutover.limit {
        fields.push(field(
            "Limit that bounds the plan",
            format!("{}, {}", length(limit.minutes), limit.clause),
        ));
    }
    fields
}

fn rules(cutover: &Cutover) -> Vec<String> {
    let rule = |rule: &super::Rule| format!("{}: {} ({}).", rule.after_written(), rule.words, rule.clause);
    let mut all: Vec<String> = cutover.rules.iter().map(rule).collect();
    all.push(
        "Ask the authority which of them holds here; the clock starts when the first circuit is lifted."
            .to_owned(),
    );
    all
}

fn fire_tags(cutover: &Cutover) -> String {
    let one = |circuit: &job::Circuit| {
        let place = if circuit.place.is_empty() { String::new() } else { format!(" {}", circuit.place) };
        format!("{}{place}", circuit.tag.value)
    };
    let mut all: Vec<String> = cutover.fire().map(one).collect();
    if cutover.way == Way::Swap {
        all.extend(cutover.fire_left().map(|circuit| format!("{} (does not come back)", one(circuit))));
    }
    all.join("; ")
}

fn site(cutover: &Cutover) -> Field {
    field("Premises", cutover.job.site.name.clone())
}

fn fire_watch(cutover: &Cutover) -> Notice {
    let mut fields = vec![site(cutover), field("Circuits out of service", fire_tags(cutover))];
    fields.extend(out(cutover));
    fields.extend([
        blank("Out of service, true: from"),
        blank("Back in service, true: at"),
        blank("Impairment coordinator, telephone"),
        blank("Fire watch: names, and what each one walks"),
        blank("A round every (minutes), written down"),
        blank("How the fire department is called from here"),
        blank("How people are warned while the alarm is out"),
        blank("Posted at, by, time"),
    ]);
    let mut cautions = rules(cutover);
    cautions
        .push("Whoever keeps watch does nothing else meanwhile. Hot work and other risks stop.".to_owned());
    cautions
        .push("A tag hangs at the control unit and at every annunciator until the alarm is back.".to_owned());
    cautions.push(PEOPLE_DECIDE.to_owned());
    Notice {
        id: "fire-watch",
        title: "Fire alarm out of service: fire watch",
        text: "The fire alarm of this building is out of service, wholly or in part, as below.".to_owned(),
        fields,
        cautions,
    }
}

fn authority(cutover: &Cutover) -> Notice {
    let mut fields = vec![site(cutover), blank("To (authority, person, telephone)")];
    fields.push(field("Work", "old control equipment replaced; field wiring and devices stay"));
    fields.push(field("Circuits", fire_tags(cutover)));
    fields.extend(out(cutover));
    fields.extend([
        blank("Asked: which limit holds, and what is wanted beyond it"),
        blank("Permit or plan review, number"),
        blank("Licensed person in charge, licence number"),
        blank("Answer, by whom, on what paper, when"),
        blank("Told when out (time), told when back (time)"),
    ]);
    let mut cautions = rules(cutover);
    cautions.push(PEOPLE_DECIDE.to_owned());
    Notice {
        id: "authority",
        title: "To the authority having jurisdiction",
        text: "A planned impairment of a fire alarm, for the replacement of its control equipment."
            .to_owned(),
        fields,
        cautions,
    }
}

fn station(cutover: &Cutover) -> Notice {
    let station = cutover.job.station.as_ref();
    let of = |value: Option<String>| value.unwrap_or_default();
    let mut fields = vec![
        field("Station", of(station.map(|station| station.name.clone()))),
        field("Telephone", of(station.map(|station| station.telephone.clone()))),
        field("New account", of(station.and_then(|station| Some(station.account.as_ref()?.value.clone())))),
        blank("Old account"),
        site(cutover),
    ];
    if let Ok(plan) = &cutover.plan {
        for (on, off) in &cutover.on_test {
            fields.push(field(
                "On test, planned",
                format!("{} to {}", cutover.clock.written(*on), cutover.clock.written(*off)),
            ));
        }
        if cutover.on_test.is_empty() {
            fields.push(field("On test, planned", format!("until {}", cutover.clock.written(plan.end))));
        }
    }
    if cutover.fire_goes_out() {
        fields.extend(out(cutover));
    }
    fields.extend([
        blank("Both accounts on test: fire and burglary; operator, time"),
        blank("Read back: until when, who may prolong"),
        blank("Signals that still go through to the fire department"),
        blank("Off test: operator, time"),
        blank("True signals received after: fire, intrusion"),
    ]);
    Notice {
        id: "station",
        title: "To the monitoring station",
        text: "Both accounts on test for the cut-over; signals will come from old and new equipment."
            .to_owned(),
        fields,
        cautions: vec![
            "On test means that nobody is sent: the people in the building are told so.".to_owned(),
            "Off test is read back, and a true signal follows.".to_owned(),
            PEOPLE_DECIDE.to_owned(),
        ],
    }
}

/// Circuits with when they are without protection: those of the same times together, then what spans unattended hours.
fn unprotected(cutover: &Cutover, plan: &cutover::Plan) -> Vec<Field> {
    let mut groups: Vec<((u32, u32), Vec<&str>)> = Vec::new();
    for (circuit, times) in cutover.circuits.iter().zip(&plan.dead) {
        match groups.iter_mut().find(|(known, _)| known == times) {
            Some((_, tags)) => tags.push(circuit.tag.as_str()),
            None => groups.push((*times, vec![circuit.tag.as_str()])),
        }
    }
    groups.sort();
    let one = |((from, to), tags): &((u32, u32), Vec<&str>)| {
        format!("{} {} to {}", tags.join(", "), cutover.clock.written(*from), cutover.clock.written(*to))
    };
    let mut fields = vec![field(
        "Without protection, each from and to (planned)",
        groups.iter().map(one).collect::<Vec<_>>().join("; "),
    )];
    let endless = |one: &super::Endless| format!("{} from {}", one.what, cutover.clock.written(one.since));
    let endless: Vec<String> = cutover.endless.iter().map(endless).collect();
    if !endless.is_empty() {
        fields.push(field("Without protection, with no end in this plan", endless.join("; ")));
    }
    let stretches = stretches(&cutover.problem);
    let nights = stretches.windows(2).filter_map(|pair| {
        let (leave, back) = (pair[0].1, pair[1].0);
        let now = cutover.gone_at(leave);
        let tags: Vec<&str> = now.iter().map(|gone| gone.what.as_str()).collect();
        let through = leave < plan.end && !tags.is_empty();
        through.then(|| {
            format!(
                "{} to {}: {}",
                cutover.clock.written(leave),
                cutover.clock.written(back),
                tags.join(", ")
            )
        })
    });
    let mut nights: Vec<String> = nights.collect();
    if !cutover.endless.is_empty() {
        let tags: Vec<&str> = cutover.endless.iter().map(|one| one.what.as_str()).collect();
        nights.push(format!(
            "from {} on, day and night: {}",
            cutover.clock.written(plan.end),
            tags.join(", ")
        ));
    }
    let nights = if nights.is_empty() { "none".to_owned() } else { nights.join("; ") };
    fields.push(field("Of these while nobody is at work (nights, breaks, weekends)", nights));
    fields
}

fn owner(cutover: &Cutover) -> Notice {
    let mut fields = vec![site(cutover), blank("To (owner, person in charge, telephone)")];
    if let Ok(plan) = &cutover.plan {
        let from = plan.first_lift.unwrap_or(0);
        fields.push(field("First circuit lifted, planned", cutover.clock.written(from)));
        let last = plan.dead.iter().map(|(_, to)| *to).max().unwrap_or(from);
        fields.push(field("Last circuit back, planned", cutover.clock.written(last)));
        fields.extend(unprotected(cutover, plan));
        let most = plan.curve.iter().map(|level| level.count).max().unwrap_or(0);
        fields.push(field("Circuits without protection at one time, at most", most.to_string()));
    }
    if cutover.fire_goes_out() {
        fields.extend(out(cutover));
    }
    if !cutover.left_out.is_empty() {
        let tags: Vec<&str> = cutover.left_out.iter().map(|circuit| circuit.tag.as_str()).collect();
        fields.push(field("Circuits that do not go over", tags.join(", ")));
    }
    fields.extend([
        blank("Who keeps watch meanwhile, day and night"),
        blank("Insurer told: by, when"),
        blank("Keys, lifts, ladders, escorts: from whom"),
        blank("Hot work and other risks stopped: by"),
        blank("Read and agreed: name, date, signature"),
    ]);
    Notice {
        id: "owner",
        title: "To the owner",
        text: "While circuits move, parts of the building are without protection, as below.".to_owned(),
        fields,
        cautions: vec![
            "The insurer and, for fire, the authority have a say in this; ask before the day.".to_owned(),
            PEOPLE_DECIDE.to_owned(),
        ],
    }
}
