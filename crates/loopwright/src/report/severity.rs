//! Severities as shape, word, then colour.

use anstyle::{AnsiColor, Style};
use job::Severity;

use super::page::styled;

/// Columns of shape and word.
pub(crate) const MARK_COLUMNS: usize = 7;

/// The shape.
pub(crate) fn shape(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "■",
        Severity::Fix => "▲",
        Severity::Check => "◇",
        Severity::Note => "·",
    }
}

fn style(severity: Severity) -> Style {
    match severity {
        Severity::Stop | Severity::Fix => AnsiColor::Red.on_default().bold(),
        Severity::Check => Style::new().bold(),
        Severity::Note => Style::new(),
    }
}

/// Shape and word, filled up to [`MARK_COLUMNS`].
pub(crate) fn mark(severity: Severity) -> String {
    let text = format!("{} {}", shape(severity), severity.word());
    styled(&drawing::padded(&text, MARK_COLUMNS), style(severity))
}

/// The mark of a circuit: its heaviest finding, `right` where it reads right, `-` where nothing is known.
pub(crate) fn circuit_mark(heaviest: Option<Severity>, reads_right: Option<bool>) -> String {
    match (heaviest, reads_right) {
        (Some(severity), _) if severity > Severity::Note => mark(severity),
        (_, Some(true)) => drawing::padded("  right", MARK_COLUMNS),
        (_, Some(false)) => drawing::padded("  wrong", MARK_COLUMNS),
        (_, None) => drawing::padded("  -", MARK_COLUMNS),
    }
}
