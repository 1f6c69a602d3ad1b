//! A job's expected signals as messages: for dry runs of a station's account and for tests.

use job::{Job, ReportFormat};

use crate::contact_id::Qualifier;
use crate::expected::{Condition, Expected};

/// One message that a job's equipment would send.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Message {
    /// The expected signal's key.
    pub key: String,
    /// What it says, for people: `C05 kennel corridor, w2: alarm`.
    pub says: String,
    /// The token.
    pub id: &'static str,
    /// What stands in the brackets.
    pub data: String,
}

/// A signal that no message of the format can say.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{key} has number {number}; Contact ID has three digits")]
pub struct TooLarge {
    /// The expected signal's key.
    pub key: String,
    /// Its number.
    pub number: u32,
}

/// Every expected signal of a job in the order of the test, each device's alarm with its end behind it.
///
/// # Errors
/// A zone or user number that the format cannot say.
pub fn messages(job: &Job, account: &str) -> Result<Vec<Message>, TooLarge> {
    let format = job.station.as_ref().map(|station| station.format).unwrap_or_default();
    let expected = Expected::of(job);
    let mut messages = Vec::new();
    for (at, time) in in_order(&expected) {
        if let Some(one) = expected.get(at) {
            messages.push(message(job, one, time, format, account)?);
        }
    }
    Ok(messages)
}

/// Places in the list and the device's turn, in the order of the test: what ends stands behind what begins.
pub(crate) fn in_order(expected: &[Expected]) -> Vec<(usize, usize)> {
    let mut order = Vec::new();
    let mut at = 0;
    while let Some(one) = expected.get(at) {
        let paired =
            !one.condition.is_over() && expected.get(at + 1).is_some_and(|next| next.condition.is_over());
        for time in 0..one.times() {
            order.push((at, time));
            if paired {
                order.push((at + 1, time));
            }
        }
        at += if paired { 2 } else { 1 };
    }
    order
}

fn message(
    job: &Job,
    expected: &Expected,
    time: usize,
    format: ReportFormat,
    account: &str,
) -> Result<Message, TooLarge> {
    let key = expected.to_string();
    let number = expected.number.unwrap_or(0);
    let area = expected.area.unwrap_or(0);
    let (id, data) = match format {
        ReportFormat::ContactId => {
            if number > 999 {
                return Err(TooLarge { key, number });
            }
            let qualifier = if expected.condition.is_over() { Qualifier::Restore } else { Qualifier::New };
            let code = expected.codes.first().copied().unwrap_or(140);
            ("ADM-CID", format!("#{account}|{}{code:03} {area:02} {number:03}", qualifier.digit()))
        }
        ReportFormat::TwoLetter => {
            let code = expected.letters.first().copied().unwrap_or(*b"UA").map(char::from);
            let area = if area > 0 { format!("ri{area}/") } else { String::new() };
            let number = if number > 0 { number.to_string() } else { String::new() };
            ("SIA-DCS", format!("#{account}|N{area}{}{}{number}", code[0], code[1]))
        }
    };
    Ok(Message { says: says(job, expected, time), key, id, data })
}

pub(crate) fn says(job: &Job, expected: &Expected, time: usize) -> String {
    let device = expected.devices.get(time).map_or(String::new(), |device| format!(", {device}"));
    let condition = match expected.condition {
        Condition::Trouble | Condition::TroubleOver if device.is_empty() => {
            format!("circuit {}", expected.condition.says())
        }
        condition => condition.says().to_owned(),
    };
    match &expected.tag {
        Some(tag) => {
            let circuit = job.circuits.iter().find(|circuit| circuit.tag.as_str() == tag);
            let place = circuit.map_or("", |circuit| circuit.place.as_str());
            let place = if place.is_empty() { String::new() } else { format!(" {place}") };
            format!("{tag}{place}{device}: {condition}")
        }
        None => match expected.number {
            Some(user) => format!("user {user}: {condition}"),
            None => condition,
        },
    }
}
