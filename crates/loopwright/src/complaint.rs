//! What is wrong with the input, for people (with the line and a caret) and for programs.

use std::io::{self, Write};

use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use assess::wire::{ErrorJson, ErrorsJson};
use document::{Complaint, MOST_PROBLEMS};

use crate::report::page;

/// Characters under which carets stand; the rest of a long text is meant all the same.
const WIDEST_CARET: usize = 24;

/// A complaint about the command line.
pub(crate) fn of_command_line(text: &str) -> Complaint {
    crate::input::about_file("command line", text.to_owned(), "see `loopwright --help`")
}

/// Prints what is wrong: JSON on stdout, or talk on stderr.
pub(crate) fn print(complaints: &[Complaint], json: bool) -> io::Result<()> {
    if json {
        return print_json(complaints);
    }
    let mut out = anstream::stderr().lock();
    for complaint in complaints {
        writeln!(out, "{}\n", rendered(complaint))?;
    }
    writeln!(out, "{}", summary(complaints.len()))
}

/// Prints what is wrong as JSON on stdout.
pub(crate) fn print_json(complaints: &[Complaint]) -> io::Result<()> {
    let errors = complaints.iter().map(|complaint| ErrorJson {
        file: complaint.file.clone(),
        line: complaint.line,
        column: complaint.column,
        text: complaint.text.clone(),
        accept: complaint.accept.clone(),
    });
    crate::commands::print_json(&ErrorsJson { errors: errors.collect() })
}

fn summary(count: usize) -> String {
    match count {
        more if more > MOST_PROBLEMS => format!("More than {MOST_PROBLEMS} errors; nothing was computed."),
        1 => "1 error; nothing was computed.".to_owned(),
        count => format!("{count} errors; nothing was computed."),
    }
}

/// One complaint with its line and caret.
fn rendered(complaint: &Complaint) -> String {
    let columns = page::columns(&io::stderr());
    let broken = |text: &str, label: usize| drawing::wrapped(text, columns - label).join("\n");
    let title = Level::ERROR.primary_title(broken(&complaint.text, "error: ".len()));
    let group = if complaint.source_line.is_empty() {
        title
            .element(Origin::path(complaint.file.as_str()).line(complaint.line).char_column(complaint.column))
    } else {
        let at = |characters: usize| {
            let line = complaint.source_line.char_indices();
            line.map(|(byte, _)| byte).nth(characters).unwrap_or(complaint.source_line.len())
        };
        let from = at(complaint.caret.saturating_sub(1));
        let to = at(complaint.caret.saturating_sub(1) + complaint.width.min(WIDEST_CARET));
        title.element(
            Snippet::source(complaint.source_line.as_str())
                .line_start(complaint.line)
                .path(complaint.file.as_str())
                .annotation(AnnotationKind::Primary.span(from..to)),
        )
    };
    let group = if complaint.accept.is_empty() {
        group
    } else {
        group.element(
            Level::HELP.with_name("accepted").message(broken(&complaint.accept, " = accepted: ".len() + 4)),
        )
    };
    Renderer::styled().term_width(columns).render(&[group])
}
