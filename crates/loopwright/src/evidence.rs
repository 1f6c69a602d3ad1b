//! Evidence beside the job file: JSON lines, added to and never changed; a correction is a new line.

use std::fs::{File, OpenOptions};
use std::io::{self, BufRead, BufReader, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use serde::Deserialize;

/// Lines longer than this are none of ours.
const LONGEST_LINE: u64 = 64 * 1024;

/// The evidence file of a job: `evidence.jsonl` beside `job.toml`, `NAME.evidence.jsonl` beside `NAME.toml`.
pub(crate) fn path(job_file: &Path) -> PathBuf {
    match job_file.file_stem().and_then(|stem| stem.to_str()) {
        Some("job") | None => job_file.with_file_name("evidence.jsonl"),
        Some(stem) => job_file.with_file_name(format!("{stem}.evidence.jsonl")),
    }
}

/// An evidence file that is being added to.
pub(crate) struct Evidence {
    file: File,
    lines: Vec<u8>,
}

impl Evidence {
    /// Opens the file at its end. A last line that was cut off (the machine lost its power) stays, on a line of its
    /// own.
    ///
    /// # Errors
    /// What the system says.
    pub(crate) fn open(path: &Path) -> io::Result<Self> {
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
        let mut lines = Vec::new();
        if file.metadata()?.len() > 0 {
            let mut last = [0];
            file.seek(SeekFrom::End(-1))?;
            file.read_exact(&mut last)?;
            if last != *b"\n" {
                lines.push(b'\n');
            }
        }
        Ok(Self { file, lines })
    }

    /// Adds a line, which is written with the next [`Self::settle`].
    ///
    /// # Errors
    /// None that is known: the line goes into memory.
    pub(crate) fn add(&mut self, line: &impl serde::Serialize) -> io::Result<()> {
        serde_json::to_writer(&mut self.lines, line)?;
        self.lines.push(b'\n');
        Ok(())
    }

    /// Writes what was added.
    ///
    /// # Errors
    /// What the system says; then nothing of it may be answered.
    pub(crate) fn settle(&mut self) -> io::Result<()> {
        if !self.lines.is_empty() {
            self.file.write_all(&self.lines)?;
            self.lines.clear();
        }
        Ok(())
    }
}

/// What is read back of a line: which expected signals it was tied to, and when it came, as far as the line says.
#[derive(Deserialize, Debug, Default)]
#[serde(default)]
pub(crate) struct Kept {
    /// `received`, `station-list`, `call-sheet`.
    pub(crate) way: String,
    /// RFC 3339.
    pub(crate) at: String,
    /// The row of a station's list.
    pub(crate) row: String,
    /// What it was tied to.
    pub(crate) ties: Vec<KeptTie>,
}

/// One tie of a kept line.
#[derive(Deserialize, Debug, Default)]
#[serde(default)]
pub(crate) struct KeptTie {
    /// The key of the expected signal; none when it was none.
    pub(crate) expected: Option<String>,
}

/// Reads what is kept; none of a file that is not there. Also how many lines could not be read.
///
/// # Errors
/// What the system says.
pub(crate) fn read(path: &Path) -> io::Result<(Vec<Kept>, usize)> {
    let mut from = match File::open(path) {
        Ok(file) => BufReader::new(file),
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok((Vec::new(), 0)),
        Err(error) => return Err(error),
    };
    let mut kept = Vec::new();
    let mut unread = 0;
    let mut line = Vec::new();
    loop {
        line.clear();
        if from.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line)? == 0 {
            return Ok((kept, unread));
        }
        if line.trim_ascii().is_empty() {
            continue;
        }
        match serde_json::from_slice::<Kept>(&line) {
            Ok(one) => kept.push(one),
            Err(_) => unread += 1,
        }
    }
}

/// What each way of evidence has brought, in the order in which the ways first stand in the file. The ways are counted
/// apart: one signal that both this program and the station received is one signal.
pub(crate) fn by_way(kept: &[Kept], expected: &[signal::Expected]) -> Vec<(String, signal::Tally)> {
    let mut ways: Vec<(String, signal::Tally)> = Vec::new();
    for line in kept {
        let keys: Vec<&str> = line.ties.iter().filter_map(|tie| tie.expected.as_deref()).collect();
        if keys.is_empty() {
            continue;
        }
        let at = ways.iter().position(|(way, _)| *way == line.way).unwrap_or_else(|| {
            ways.push((line.way.clone(), signal::Tally::new(expected.to_vec())));
            ways.len() - 1
        });
        for key in keys {
            // A key that the job no longer has was told of where the evidence was opened.
            let _ = ways[at].1.count(key);
        }
    }
    ways
}
