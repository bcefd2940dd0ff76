/*! A titled part of what a person reads, for all rooms. */

/// A titled part of a report: sentences, then perhaps a table or preformatted text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SectionView {
    /// Heading.
    pub title: String,
    /// Sentences, one paragraph each.
    pub paragraphs: Vec<String>,
    /// Column headers; empty for no table.
    pub headers: Vec<String>,
    /// Cells, one row each, as text.
    pub rows: Vec<Vec<String>>,
    /// Charts, after the table.
    pub figures: Vec<FigureView>,
}

/// A chart of a section.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FigureView {
    /// What it shows, in words, for a report that links to it.
    pub title: String,
    /// The picture, for a report that holds it.
    pub svg: String,
    /// Where it stands in the report's folder.
    pub file: String,
}
