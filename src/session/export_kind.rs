//! What a session can be written as, told by a file's ending.

use std::path::Path;

/// Every ending that says one, for whoever has to choose.
pub const ENDINGS: &str = ".html, .md, .svg, .csv or .json";

/// What can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExportKind {
    /// The report, to be printed.
    Html,
    /// The report as text.
    Markdown,
    /// The plot.
    Svg,
    /// The readings.
    Csv,
    /// The judgement.
    Json,
}

impl ExportKind {
    /// The kind that the file's ending names.
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "html" | "htm" => Some(Self::Html),
            "md" => Some(Self::Markdown),
            "svg" => Some(Self::Svg),
            "csv" => Some(Self::Csv),
            "json" => Some(Self::Json),
            _ => None,
        }
    }
}
