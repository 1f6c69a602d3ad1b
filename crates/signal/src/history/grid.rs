//! Pasted text as rows and cells.

/// Rows of cells, as a list has them.
pub type Grid = Vec<Vec<String>>;

/// Takes a text apart: at tabs, semicolons, commas or bars, whichever its lines have most of; where they have none, at
/// the columns that are blank in every line.
#[must_use]
pub fn grid(text: &str) -> Grid {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = || text.lines().filter(|line| !line.trim().is_empty());
    let count = |sign: char| lines().filter(|line| line.contains(sign)).count();
    // A sign that most lines have; a tab before a semicolon before a comma, because texts hold commas.
    let sign = ['\t', ';', ',', '|'].into_iter().find(|sign| count(*sign) * 2 > lines().count());
    match sign {
        Some(sign) => separated(text, sign),
        None => columns(&lines().collect::<Vec<_>>()),
    }
}

fn separated(text: &str, sign: char) -> Grid {
    let reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(u8::try_from(sign).unwrap_or(b','))
        .from_reader(text.as_bytes());
    let row = |row: csv::StringRecord| row.iter().map(str::to_owned).collect();
    reader.into_records().filter_map(Result::ok).map(row).collect()
}

/// Text whose columns are kept apart by blanks: a column begins where two blanks or more end in the first line.
fn columns(lines: &[&str]) -> Grid {
    let Some(first) = lines.first() else { return Vec::new() };
    let signs: Vec<char> = first.chars().collect();
    let mut starts = vec![0];
    for at in 2..signs.len() {
        if signs[at] != ' ' && signs[at - 1] == ' ' && signs[at - 2] == ' ' {
            starts.push(at);
        }
    }
    let cells = |line: &&str| {
        let signs: Vec<char> = line.chars().collect();
        let ends = starts.iter().skip(1).copied().chain([usize::MAX]);
        let cell = |(from, to): (&usize, usize)| {
            let to = to.min(signs.len());
            signs
                .get(*from..to)
                .map_or(String::new(), |cell| cell.iter().collect::<String>().trim().to_owned())
        };
        starts.iter().zip(ends).map(cell).collect()
    };
    lines.iter().map(cells).collect()
}
