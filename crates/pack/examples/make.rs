//! Makes the pack of a job file without the command line: `make JOB DIR [a4|letter]`. For the oracles.

use std::path::Path;
use std::process::ExitCode;

use document::Source;
use job::Job;
use library::Library;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [job, folder, rest @ ..] = arguments.as_slice() else {
        return ExitCode::from(2);
    };
    match make(job, Path::new(folder), rest.first().map_or("a4", String::as_str)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let _ = std::io::Write::write_all(&mut std::io::stderr(), format!("{error}\n").as_bytes());
            ExitCode::from(3)
        }
    }
}

fn make(job: &str, folder: &Path, paper: &str) -> Result<(), Box<dyn std::error::Error>> {
    let text = std::fs::read_to_string(job)?;
    let job = Job::read(&Source::new("job.toml", text)).map_err(|problems| format!("{problems:?}"))?;
    let library = Library::embedded();
    let assessment = assess::assess(&job, &library, &|_, _| {});
    let options = pack::Options {
        paper: paper.parse()?,
        date: "2026-11-25".to_owned(),
        file_name: "job.toml".to_owned(),
        revision: "change 1".to_owned(),
        checked: String::new(),
    };
    std::fs::create_dir_all(folder.join("tables"))?;
    for file in pack::pack(&assessment, &options)?.files {
        std::fs::write(folder.join(file.name), file.bytes)?;
    }
    Ok(())
}
