/*! A table on its way out: named columns of equal length. */

use polars::prelude::*;

/// One column of a table.
#[derive(Debug, Clone)]
pub(crate) enum Cells<'a> {
    /// Text; empty text is an empty cell.
    Text(Vec<String>),
    /// Text that lives elsewhere; empty text is an empty cell.
    Shared(Vec<&'a str>),
    /// Words from a fixed list; empty is an empty cell.
    Word(Vec<&'static str>),
    /// Numbers; NaN and infinities are empty cells.
    Number(Vec<f64>),
    /// Whole numbers; `None` is an empty cell.
    Whole(Vec<Option<i64>>),
    /// Dates as days since 1970-01-01 (time of day dropped); NaN is an empty cell.
    Date(Vec<f64>),
    /// Truth values.
    Flag(Vec<bool>),
}

/// Named columns of equal length, each with what docs/tables.md says of it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table<'a> {
    columns: Vec<(&'static str, Cells<'a>)>,
    about: Vec<&'static str>,
}

impl<'a> Table<'a> {
    /// Adds a column at the right.
    pub(crate) fn with(mut self, name: &'static str, cells: Cells<'a>) -> Self {
        self.columns.push((name, cells));
        self.about.push("");
        self
    }

    /// Says what the last column holds, where its name does not say it.
    pub(crate) fn about(mut self, words: &'static str) -> Self {
        self.about.pop();
        self.about.push(words);
        self
    }

    /// The columns as docs/tables.md lists them.
    pub(super) fn described(&self) -> String {
        let one = |(name, about): (&str, &&str)| match about.is_empty() {
            true => format!("`{name}`"),
            false => format!("`{name}` ({about})"),
        };
        let columns: Vec<String> = self.names().zip(&self.about).map(one).collect();
        columns.join(", ")
    }

    /// Names of the columns.
    pub(crate) fn names(&self) -> impl Iterator<Item = &'static str> {
        self.columns.iter().map(|(name, _)| *name)
    }

    /// The columns.
    pub(crate) fn cells(&self) -> impl Iterator<Item = &Cells<'a>> {
        self.columns.iter().map(|(_, cells)| cells)
    }

    /// Number of rows.
    pub(crate) fn height(&self) -> usize {
        self.cells().map(Cells::len).min().unwrap_or(0)
    }

    /// The columns as polars keeps them.
    pub(super) fn frame(&self) -> PolarsResult<DataFrame> {
        let columns = self
            .columns
            .iter()
            .map(|(name, cells)| column(name, cells))
            .collect::<PolarsResult<Vec<Column>>>()?;
        DataFrame::new_infer_height(columns)
    }
}

impl Cells<'_> {
    fn len(&self) -> usize {
        match self {
            Cells::Text(texts) => texts.len(),
            Cells::Shared(texts) => texts.len(),
            Cells::Word(words) => words.len(),
            Cells::Number(numbers) => numbers.len(),
            Cells::Whole(numbers) => numbers.len(),
            Cells::Date(days) => days.len(),
            Cells::Flag(flags) => flags.len(),
        }
    }
}

fn texts<'t>(name: PlSmallStr, texts: impl Iterator<Item = &'t str>) -> Column {
    let present = texts.map(|text| (!text.is_empty()).then_some(text));
    StringChunked::from_iter_options(name, present).into_column()
}

fn column(name: &str, cells: &Cells<'_>) -> PolarsResult<Column> {
    let name = PlSmallStr::from_str(name);
    let present = |value: &f64| value.is_finite().then_some(*value);
    Ok(match cells {
        Cells::Text(owned) => texts(name, owned.iter().map(String::as_str)),
        Cells::Shared(shared) => texts(name, shared.iter().copied()),
        Cells::Word(words) => texts(name, words.iter().copied()),
        Cells::Number(numbers) => {
            Float64Chunked::from_iter_options(name, numbers.iter().map(present)).into_column()
        }
        Cells::Whole(numbers) => {
            Int64Chunked::from_iter_options(name, numbers.iter().copied()).into_column()
        }
        Cells::Date(days) => {
            let whole = days
                .iter()
                .map(|day| present(day).map(|d| d.floor() as i32));
            Int32Chunked::from_iter_options(name, whole)
                .into_column()
                .cast(&DataType::Date)?
        }
        Cells::Flag(flags) => {
            BooleanChunked::from_iter_values(name, flags.iter().copied()).into_column()
        }
    })
}
