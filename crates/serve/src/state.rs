//! What every request shares.

use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

use library::Library;
use pages::Assessed;
use store::{Batch, Store, StoreError, Write};
use tokio::sync::{Semaphore, watch};

use crate::assets::Assets;
use crate::clock;
use crate::desks::Desks;
use crate::events::{Changed, Events};
use crate::files::Packs;
use crate::long::Long;
use crate::summaries::Summaries;
use crate::turns::Turns;

/// A file of a pack.
#[derive(Clone, Debug)]
pub struct PackFile {
    /// Its name, as `pack.pdf`.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// What the documents of a job are to say of themselves.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PackOf {
    /// `a4` or `letter`.
    pub paper: &'static str,
    /// The day, as `2026-11-25`.
    pub date: String,
    /// The version of the job that they are made from.
    pub version: u64,
    /// Who looked through it, with the version; empty where nobody has.
    pub checked: String,
}

/// Makes the documents of a job from what the engines say of it.
pub type Packer = Box<dyn Fn(&Assessed, &PackOf) -> Result<Vec<PackFile>, String> + Send + Sync>;

/// Takes one line of the log.
pub type Log = Box<dyn Fn(&str) + Send + Sync>;

/// What a server is made of.
pub struct Options {
    /// Where to listen: an address of loopback; port 0 is any.
    pub listen: SocketAddr,
    /// What is kept.
    pub store: Store,
    /// Equipment, rules and habits.
    pub library: Arc<Library>,
    /// Who is written down for what is done here.
    pub author: String,
    /// Makes the documents.
    pub packer: Packer,
    /// Where log lines go.
    pub log: Log,
}

/// Bodies of many megabytes that are read at once.
const LARGE_AT_ONCE: usize = 4;

/// What every request shares.
pub(crate) struct State {
    pub(crate) address: SocketAddr,
    pub(crate) store: Store,
    pub(crate) desks: Desks,
    pub(crate) assets: Assets,
    pub(crate) events: Events,
    pub(crate) packs: Packs,
    /// Who writes to a job now.
    pub(crate) turns: Turns,
    /// Jobs that the list is still to say something of.
    pub(crate) summaries: Summaries,
    pub(crate) author: String,
    pub(crate) log: Log,
    /// Large bodies that are read at once.
    pub(crate) large: Semaphore,
    /// Whose turn it is to compute for long.
    pub(crate) long: Long,
    /// Whose turn it is with a body of many octets: what is made of it may take much room.
    pub(crate) bulky: Arc<Semaphore>,
    /// Held while a photo is made anew.
    pub(crate) photos: Mutex<()>,
    pub(crate) stopping: watch::Receiver<bool>,
}

impl State {
    pub(crate) fn new(options: Options, address: SocketAddr, stopping: watch::Receiver<bool>) -> Self {
        Self {
            address,
            store: options.store,
            desks: Desks::new(options.library),
            assets: Assets::new(pages::assets()),
            events: Events::new(),
            packs: Packs::new(options.packer),
            turns: Turns::default(),
            summaries: Summaries::default(),
            author: options.author,
            log: options.log,
            large: Semaphore::new(LARGE_AT_ONCE),
            long: Long::default(),
            bulky: Arc::new(Semaphore::new(1)),
            photos: Mutex::new(()),
            stopping,
        }
    }

    /// Writes what belongs together as somebody's, and tells every open window.
    pub(crate) fn carry_out(&self, author: &str, writes: Vec<Write>) -> Result<(), StoreError> {
        let batch = Batch { at: clock::now(), author: author.to_owned(), writes };
        self.store.carry_out(&batch)?;
        let mut told: Vec<&str> = Vec::new();
        for write in &batch.writes {
            let job = match write {
                Write::NewJob { id, .. } => id,
                Write::Save { job, .. } | Write::Evidence { job, .. } | Write::Photo { job, .. } => job,
            };
            if !told.contains(&job.as_str()) {
                told.push(job);
                let version = self.store.versions(job, 1)?.first().map_or(0, |newest| newest.version);
                if batch.writes.iter().any(|write| matches!(write, Write::NewJob { .. } | Write::Save { .. }))
                {
                    self.summaries.ask(job);
                }
                self.events.tell(Changed { job: job.clone(), version });
            }
        }
        Ok(())
    }
}
