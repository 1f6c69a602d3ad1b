//! A sheet as a plain table: what terminal, CSV, workbook and page are drawn from.

/// One table of a sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Table {
    /// What it is called; in lower case and without blanks it is a good name for a file.
    pub title: &'static str,
    /// Its headings.
    pub columns: Vec<&'static str>,
    /// Its rows, each as long as the headings.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// A table of these headings without rows.
    #[must_use]
    pub(crate) fn new(title: &'static str, columns: &[&'static str]) -> Self {
        Self { title, columns: columns.to_vec(), rows: Vec::new() }
    }

    /// As CSV with a heading row. A cell that a spreadsheet would take for a formula gets an apostrophe in front.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let rows = std::iter::once(self.columns.iter().map(|cell| (*cell).to_owned()).collect());
        for row in
            rows.chain(self.rows.iter().map(|row| row.iter().map(|cell| tame(cell)).collect::<Vec<_>>()))
        {
            // Into memory, rows of one length: it cannot fail.
            let _ = writer.write_record(&row);
        }
        writer.into_inner().map(|octets| String::from_utf8_lossy(&octets).into_owned()).unwrap_or_default()
    }
}

/// No text of a job becomes a formula in somebody's spreadsheet.
fn tame(cell: &str) -> String {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{cell}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_and_no_formula() {
        let mut table = Table::new("t", &["a", "b"]);
        table.rows.push(vec!["x, \"y\"".to_owned(), "=1+1".to_owned()]);
        assert_eq!(table.csv(), "a,b\n\"x, \"\"y\"\"\",'=1+1\n");
    }
}
