//! A page of lines: knows its width, wraps, and is written out at once.

use std::io::{self, IsTerminal, Write};

use anstyle::Style;
use drawing::{width, wrapped};

/// Columns where nothing is known of the terminal, and the least that a wider terminal is used for.
const COLUMNS: usize = 80;
/// Text wider than this is hard to read.
const MOST_COLUMNS: usize = 100;
/// Nothing can be laid out in fewer.
const LEAST_COLUMNS: usize = 48;

/// A page in the making.
pub(crate) struct Page {
    columns: usize,
    text: String,
}

impl Page {
    /// An empty page as wide as stdout's terminal, within reason.
    pub(crate) fn of_stdout() -> Self {
        Self { columns: columns(&io::stdout()), text: String::new() }
    }

    /// How many columns a line may have.
    pub(crate) fn columns(&self) -> usize {
        self.columns
    }

    /// A line as it is.
    pub(crate) fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// An empty line.
    pub(crate) fn gap(&mut self) {
        self.text.push('\n');
    }

    /// A heading.
    pub(crate) fn heading(&mut self, text: &str) {
        self.gap();
        for line in wrapped(text, self.columns) {
            self.line(&styled(&line, Style::new().bold()));
        }
    }

    /// A paragraph behind so many blanks.
    pub(crate) fn paragraph(&mut self, indent: usize, text: &str) {
        self.hanging(&" ".repeat(indent), indent, text);
    }

    /// A paragraph whose first line begins with `first` of `indent` columns, which may be styled.
    pub(crate) fn hanging(&mut self, first: &str, indent: usize, text: &str) {
        let lines = wrapped(text, self.columns.saturating_sub(indent).max(8));
        for (at, line) in lines.iter().enumerate() {
            if at == 0 {
                self.line(&format!("{first}{line}"));
            } else {
                self.line(&format!("{:indent$}{line}", ""));
            }
        }
    }

    /// Parts in one paragraph, each kept whole where it fits, ` · ` between those on one line.
    pub(crate) fn parts(&mut self, indent: usize, parts: &[String]) {
        let room = self.columns.saturating_sub(indent);
        let mut line = String::new();
        for part in parts.iter().filter(|part| !part.is_empty()) {
            if !line.is_empty() && width(&line) + 3 + width(part) > room {
                self.paragraph(indent, &std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push_str(" · ");
            }
            line.push_str(part);
        }
        if !line.is_empty() {
            self.paragraph(indent, &line);
        }
    }

    /// Rows of a table, columns two blanks apart; the last column takes what is left and is wrapped.
    pub(crate) fn table(&mut self, indent: usize, rows: &[Vec<String>]) {
        let count = rows.iter().map(Vec::len).max().unwrap_or(0);
        let room = self.columns.saturating_sub(indent);
        let fair = room / count.max(1);
        let widest = |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| width(cell)).max();
        let mut widths: Vec<usize> = (0..count).map(|at| widest(at).unwrap_or(0)).collect();
        let total = |widths: &[usize]| widths.iter().sum::<usize>() + 2 * count.saturating_sub(1);
        // The widest column gives way until all fit, none below its fair share.
        while total(&widths) > room
            && let Some(at) =
                (0..count).filter(|&at| widths[at] > fair.saturating_sub(2)).max_by_key(|&at| widths[at])
            && widths[at] > 2
        {
            widths[at] -= 1;
        }
        for row in rows {
            let cells: Vec<Vec<String>> =
                row.iter().zip(&widths).map(|(cell, &columns)| wrapped(cell, columns)).collect();
            let height = cells.iter().map(Vec::len).max().unwrap_or(0);
            for at in 0..height {
                let mut line = " ".repeat(indent);
                for (cell, &columns) in cells.iter().zip(&widths) {
                    line.push_str(&drawing::padded(cell.get(at).map_or("", String::as_str), columns));
                    line.push_str("  ");
                }
                self.line(&line);
            }
        }
    }

    /// Writes the page on stdout, with colour or not as was asked for.
    ///
    /// A thin space becomes a plain one: few terminals draw it, and nobody can type it to search.
    pub(crate) fn print(self) -> io::Result<()> {
        let mut out = anstream::stdout().lock();
        out.write_all(self.text.replace('\u{2009}', " ").as_bytes())?;
        out.flush()
    }
}

/// How many columns are used on a stream: those of its terminal, within reason.
pub(crate) fn columns(stream: &impl IsTerminal) -> usize {
    let terminal = if stream.is_terminal() { terminal_size::terminal_size() } else { None };
    let columns = terminal.map_or(COLUMNS, |(terminal_size::Width(columns), _)| usize::from(columns));
    columns.clamp(LEAST_COLUMNS, MOST_COLUMNS)
}

/// A text in a style.
pub(crate) fn styled(text: &str, style: Style) -> String {
    format!("{style}{text}{style:#}")
}
