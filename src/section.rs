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

impl SectionView {
    /// A part of sentences.
    pub fn of(
        title: impl Into<String>,
        paragraphs: impl IntoIterator<Item = impl Into<String>>,
    ) -> Self {
        Self {
            title: title.into(),
            paragraphs: paragraphs.into_iter().map(Into::into).collect(),
            ..Self::default()
        }
    }

    /// The same with a table behind them, whose `headers` are written as in a line of one: "date | u | reason".
    pub fn table(self, headers: &str, rows: impl IntoIterator<Item = Vec<String>>) -> Self {
        Self {
            headers: headers.split(" | ").map(String::from).collect(),
            rows: rows.into_iter().collect(),
            ..self
        }
    }

    /// The same with charts at its end.
    pub fn figures(self, figures: impl IntoIterator<Item = FigureView>) -> Self {
        Self {
            figures: figures.into_iter().collect(),
            ..self
        }
    }
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

impl FigureView {
    /// A chart that the report holds.
    pub fn of(title: impl Into<String>, svg: String) -> Self {
        Self {
            title: title.into(),
            svg,
            file: String::new(),
        }
    }
}
