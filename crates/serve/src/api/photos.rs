//! Photos: listed, fetched, added.

use std::sync::PoisonError;

use store::{Photo, PhotoRow, StoreError, Write};

use super::jobs::{missing, own_or_fresh};
use super::wire::{PhotoJson, PhotosJson, SentJson};
use super::{Call, json};
use crate::refusal::Refusal;
use crate::reply::Reply;
use crate::{files, photo};

/// The photos of a job.
pub(crate) fn list(call: &Call<'_>) -> Result<Reply, Refusal> {
    let job = there(call)?;
    let one = |row: PhotoRow| PhotoJson { id: row.id, at: row.at, author: row.author, about: row.about };
    json(200, &PhotosJson { photos: call.state.store.photos(job)?.into_iter().map(one).collect() })
}

/// One photo.
pub(crate) fn one(call: &Call<'_>) -> Result<Reply, Refusal> {
    files::photo(call.state, call.named[0], call.named[1])
}

/// Adds a photo.
pub(crate) fn add(call: &Call<'_>) -> Result<Reply, Refusal> {
    let job = there(call)?;
    let id = own_or_fresh(call.asked("id").map(str::to_owned))?;
    let about = call.asked("about").unwrap_or_default().to_owned();
    let kept = call.state.store.job(job)?.ok_or_else(|| missing(job))?;
    // Whoever sends one again that is kept gets the same answer, whatever the job holds by now.
    let is_new = call.state.store.photo(job, &id)?.is_none();
    if is_new && !about.is_empty() && super::jobs::read(&kept.text).is_ok_and(|job| !job.names(&about)) {
        let text = format!("the job has no `{about}` that this could be a photo of");
        return Err(Refusal::new(
            422,
            text,
            "the tag of a circuit, the id of an enclosure or of other equipment, or nothing",
        ));
    }
    let bytes = {
        let _room = call.state.photos.lock().unwrap_or_else(PoisonError::into_inner);
        photo::made_anew(call.body)?
    };
    if let Some(known) = call.state.store.photo(job, &id)? {
        if known.bytes == bytes && known.row.about == about {
            return json(200, &SentJson { id, new: false });
        }
        let stands = format!("a photo of `{}`, {}", known.row.about, known.row.at);
        return Err(StoreError::Conflict { job: job.to_owned(), id, stands }.into());
    }
    let row =
        PhotoRow { id: id.clone(), about, media_type: photo::MEDIA_TYPE.to_owned(), ..PhotoRow::default() };
    let write = Write::Photo { job: job.to_owned(), photo: Photo { row, bytes } };
    call.state.carry_out(&call.state.author, vec![write])?;
    json(201, &SentJson { id, new: true })
}

/// The job, where there is one.
fn there<'c>(call: &Call<'c>) -> Result<&'c str, Refusal> {
    let job = call.named[0];
    if call.state.store.versions(job, 1)?.is_empty() { Err(missing(job)) } else { Ok(job) }
}
