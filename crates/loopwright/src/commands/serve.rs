//! `serve`: jobs in a browser on this machine.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use document::Complaint;
use pack::{Options, Paper};
use pages::Assessed;
use serve::{PackFile, PackOf, Stopper};

use super::print_text;
use crate::arguments::{Common, Serve};
use crate::outcome::Outcome;
use crate::{input, kept, talk, world};

/// Runs the command.
pub(crate) fn run(asked: &Serve, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    serve::check_address(asked.listen).map_err(|refused| {
        vec![input::about_file("command line", refused.to_string(), refused.accepted())]
    })?;
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    with_one_heap();
    let library = world::load_library(common)?;
    let store = kept::open(asked.db.as_deref())?;
    let path = store.path().display().to_string();
    // One page that fails is told of in the log and answered with 500; the others go on.
    std::panic::set_hook(Box::new(|panic| {
        talk::say(&format!("a fault of the program itself, not of your job: {panic}"));
    }));
    let options = serve::Options {
        listen: asked.listen,
        store,
        library: Arc::new(library),
        author: author(),
        packer: Box::new(packed),
        log: Box::new(talk::say),
    };
    let mut printed = Ok(());
    let served = serve::run(options, &Stopper::default(), |address| printed = told(address, &path));
    Ok(match served {
        Ok(()) => {
            talk::say("stopped; everything that was acknowledged is kept");
            Outcome::Done.after_printing(printed)
        }
        Err(error) if error.kind() == io::ErrorKind::AddrInUse => {
            let text = format!("{} is in use already", asked.listen);
            let accept = "a port that nobody uses, as --listen 127.0.0.1:8421, or port 0 for any";
            return Err(vec![input::about_file("command line", text, accept)]);
        }
        Err(error) => {
            talk::say(&format!("stopped: {error}"));
            Outcome::MachineFailed
        }
    })
}

/// Begins the program anew, in its own place, with one heap for all threads. The system's allocator keeps a heap for every
/// few of them, and each grows to what its largest job once took: twice the memory with 200 jobs (`docs/benchmarks.md`).
/// What stands in the environment already is somebody's wish.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
fn with_one_heap() {
    const HEAPS: &str = "MALLOC_ARENA_MAX";
    /// Pieces from here on go back to the system when they are done with: the pixels of a photo.
    const LARGE: (&str, &str) = ("MALLOC_MMAP_THRESHOLD_", "1048576");
    if std::env::var_os(HEAPS).is_some() {
        return;
    }
    if let Ok(own) = std::env::current_exe() {
        let mut anew = std::process::Command::new(own);
        anew.args(std::env::args_os().skip(1)).env(HEAPS, "1").env(LARGE.0, LARGE.1);
        // It comes back only where it could not be done; then it goes on as it is.
        let _ = std::os::unix::process::CommandExt::exec(&mut anew);
    }
}

/// The address on stdout, and what to do with it.
fn told(address: SocketAddr, path: &str) -> io::Result<()> {
    talk::say(&format!("jobs are kept in {path}"));
    talk::say("open the address in a browser on this machine; Ctrl-C stops");
    print_text(&format!("http://{address}/\n"))
}

/// Who is written down, until there are accounts: the user of this machine.
fn author() -> String {
    let named = ["USER", "LOGNAME", "USERNAME"].iter().find_map(|variable| std::env::var(variable).ok());
    named.filter(|name| !name.trim().is_empty()).unwrap_or_else(|| "this machine".to_owned())
}

/// The documents of a job.
fn packed(assessed: &Assessed, of: &PackOf) -> Result<Vec<PackFile>, String> {
    let options = Options {
        paper: if of.paper == "letter" { Paper::Letter } else { Paper::A4 },
        date: of.date.clone(),
        file_name: "job.toml".to_owned(),
        revision: format!("change {}", of.version),
        checked: of.checked.clone(),
    };
    let files = pack::pack(assessed.assessment(), &options).map_err(|error| error.to_string())?;
    Ok(files.files.into_iter().map(|file| PackFile { name: file.name, bytes: file.bytes }).collect())
}
