/*! An Arrow IPC stream in: whole or not at all, its columns by name, of any usual type.

The format lets a stream end without a mark, and then nothing tells one that was cut between two
batches from a whole one: a stream without the mark is refused.
*/

use super::arrow_column::plain;
use super::parquet_column::TypedColumn;
use super::parquet_file::MOST_ROWS;
use super::rows::{HEADER_ROW, batches, wanted};
use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::row::rules::Rules;
use crate::records::cells::shape::Shape;
use crate::records::reading::guarded::{ARROW, guarded};
use crate::records::reading::header::Matched;
use crate::records::reading::header::checks::match_columns;
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::Thousands;
use polars::prelude::{ArrowDataType, ArrowField, PolarsError, PolarsResult, polars_err};
use polars_arrow::array::{Array, BinaryArray, BinaryViewArray, Utf8Array};
use polars_arrow::datatypes::{ArrowSchema, ArrowSchemaRef};
use polars_arrow::io::ipc::read::{StreamReader, StreamState, read_stream_metadata};
use polars_arrow::io::ipc::write::{StreamWriter, WriteOptions};
use polars_arrow::record_batch::RecordBatchT;
use std::borrow::Cow;
use std::io::{Cursor, Write};
use std::sync::Arc;

/// First bytes of an Arrow file, which is no stream.
const FILE_MAGIC: &[u8] = b"ARROW1";

/// The columns of a whole stream.
pub(crate) struct ArrowTable {
    shown: String,
    fields: Vec<ArrowField>,
    /// The pieces of each column.
    columns: Vec<Vec<Box<dyn Array>>>,
    rows: usize,
}

impl ArrowTable {
    /// Reads the stream of `bytes`, which messages call `shown`.
    ///
    /// # Errors
    /// Another format, a stream that was cut, something behind its end, or too many rows.
    pub(crate) fn read(bytes: &[u8], shown: &str) -> Result<Self, LoadError> {
        let refuse = |what: &str, mend: &str| Err(LoadError::new(shown, what, mend));
        if bytes.is_empty() {
            return refuse("nothing was sent", ARROW.mend);
        }
        if bytes.starts_with(FILE_MAGIC) {
            return refuse(
                "an Arrow file, and not a stream",
                "Write it with a stream writer: the file format needs its end to be read.",
            );
        }
        let read = || Self::whole(bytes, shown).map_err(|error| unreadable(shown, &error));
        guarded(shown, ARROW, read)
    }

    fn whole(bytes: &[u8], shown: &str) -> PolarsResult<Self> {
        let mut cursor = Cursor::new(bytes);
        let metadata = read_stream_metadata(&mut cursor)?;
        let fields: Vec<ArrowField> = metadata.schema.iter_values().cloned().collect();
        let mut columns: Vec<Vec<Box<dyn Array>>> = fields.iter().map(|_| Vec::new()).collect();
        let mut rows = 0;
        for next in StreamReader::new(&mut cursor, metadata, None) {
            let StreamState::Some(batch) = next? else {
                return Err(polars_err!(ComputeError: "it ends without its end mark: it was cut"));
            };
            rows += batch.len();
            if rows > MOST_ROWS {
                return Err(polars_err!(
                    ComputeError: "it has more than the {MOST_ROWS} rows that are read; send a smaller partition"
                ));
            }
            for (column, piece) in columns.iter_mut().zip(batch.into_arrays()) {
                column.push(piece);
            }
        }
        if cursor.position() != bytes.len() as u64 {
            return Err(polars_err!(ComputeError: "something follows the end of the stream"));
        }
        Ok(Self {
            shown: shown.to_string(),
            fields,
            columns,
            rows,
        })
    }

    /// The names of the columns.
    pub(crate) fn headers(&self) -> Vec<String> {
        self.fields
            .iter()
            .map(|field| field.name.to_string())
            .collect()
    }

    /// The values of the column `name` of bytes.
    ///
    /// # Errors
    /// No such column, another type, or an empty value.
    pub(crate) fn bytes(&self, name: &str) -> Result<Vec<Vec<u8>>, LoadError> {
        let odd = |what: &str| {
            let mend = "Give what driftbook worker learn wrote, its rows together in one stream.";
            LoadError::new(&self.shown, format!("{what} \"{name}\""), mend)
        };
        let place = self.fields.iter().position(|field| field.name == name);
        let pieces = place.and_then(|place| self.columns.get(place));
        let mut all = Vec::with_capacity(self.rows);
        for piece in pieces.ok_or_else(|| odd("there is no column"))? {
            let any = piece.as_any();
            let values: Vec<Option<&[u8]>> = match (
                any.downcast_ref::<BinaryArray<i32>>(),
                any.downcast_ref::<BinaryArray<i64>>(),
                any.downcast_ref::<BinaryViewArray>(),
            ) {
                (Some(small), _, _) => small.iter().collect(),
                (_, Some(large), _) => large.iter().collect(),
                (_, _, Some(view)) => view.iter().collect(),
                _ => return Err(odd("there are no bytes in the column")),
            };
            for value in values {
                all.push(
                    value
                        .ok_or_else(|| odd("a value is missing in the column"))?
                        .to_vec(),
                );
            }
        }
        Ok(all)
    }

    /// The rows as checks.
    ///
    /// # Errors
    /// A needed column missing, a column of a type that cannot be a check's.
    pub(crate) fn checks(&self, rules: &Rules<'_>) -> Result<(Vec<Batch>, Matched), LoadError> {
        guarded(&self.shown, ARROW, || self.judged(rules))
    }

    fn judged(&self, rules: &Rules<'_>) -> Result<(Vec<Batch>, Matched), LoadError> {
        let mut matched = match_columns(&self.shown, self.headers(), rules)?;
        matched.header_row = HEADER_ROW;
        let mut shape = Shape::of(&matched, rules.settings);
        // Who sends a stream has chosen its columns.
        shape.remarks.clear();
        shape.void.watched.clear();
        let mut columns = Vec::new();
        for (at, (place, text)) in wanted(&matched, &shape).into_iter().enumerate() {
            let column = Column::ALL.get(at).filter(|_| at < COLUMN_COUNT).copied();
            let read = |place| self.typed(place, text, column, rules.settings);
            columns.push(place.map(read).transpose()?);
        }
        Ok((batches(self.rows, &columns, &shape, rules), matched))
    }

    /// Number of rows.
    pub(crate) fn len(&self) -> usize {
        self.rows
    }

    /// The names of the instruments as they are written, blanks at the ends by the settings.
    ///
    /// # Errors
    /// A type that cannot be a name's.
    pub(crate) fn instruments(
        &self,
        matched: &Matched,
        rules: &Rules<'_>,
    ) -> Result<Vec<String>, LoadError> {
        let place = matched.place(Column::Instrument);
        let read = |place| self.typed(place, true, Some(Column::Instrument), rules.settings);
        let column = place.map(read).transpose()?;
        let name = |row: usize| {
            let name = column
                .as_ref()
                .map_or(Cow::Borrowed(""), |column| column.field(row).text());
            match rules.settings.trim_names {
                true => name.trim().to_string(),
                false => name.into_owned(),
            }
        };
        Ok((0..self.rows).map(name).collect())
    }

    /// Writes the stream again, with columns of texts behind its own.
    ///
    /// # Errors
    /// A reader that went away.
    pub(crate) fn write_with(
        &self,
        added: &[(&str, &Vec<String>)],
        out: impl Write,
    ) -> PolarsResult<()> {
        let text = |(name, _): &(&str, &Vec<String>)| {
            ArrowField::new((*name).into(), ArrowDataType::Utf8, false)
        };
        let fields = self.fields.iter().cloned().chain(added.iter().map(text));
        let schema: ArrowSchemaRef = Arc::new(ArrowSchema::from_iter(fields));
        let mut writer = StreamWriter::new(out, WriteOptions { compression: None });
        writer.start(&schema, None)?;
        let mut first = 0;
        for piece in 0..self.columns.first().map_or(0, Vec::len) {
            let own = self.columns.iter().map(|pieces| pieces[piece].clone());
            let mut arrays: Vec<Box<dyn Array>> = own.collect();
            let rows = arrays.first().map_or(0, |array| array.len());
            for (_, texts) in added {
                let texts = &texts[first..first + rows];
                arrays.push(Utf8Array::<i32>::from_slice(texts).boxed());
            }
            first += rows;
            let batch = RecordBatchT::try_new(rows, schema.clone(), arrays)?;
            writer.write(&batch, None)?;
        }
        writer.finish()?;
        Ok(writer.into_inner().flush()?)
    }

    /// The column at `place`, as `column` of the checks or a part of the point.
    fn typed(
        &self,
        place: usize,
        text: bool,
        column: Option<Column>,
        settings: &ChecksSettings,
    ) -> Result<TypedColumn, LoadError> {
        let field = &self.fields[place];
        let refuse = |expected: &str| {
            let what = format!(
                "the column \"{}\" has the type {:?}; expected {expected}",
                field.name, field.dtype
            );
            let mend = "Cast it in the query that sends it.";
            Err(LoadError::new(&self.shown, what, mend))
        };
        let typed = plain(field, &self.columns[place], text);
        let typed = typed.map_err(|error| unreadable(&self.shown, &error))?;
        match (column, &typed) {
            (Some(Column::Date), TypedColumn::Number(_) | TypedColumn::Flag(_)) => {
                refuse("a date or a timestamp")
            }
            (Some(column), TypedColumn::Days(_) | TypedColumn::Flag(_)) if is_number(column) => {
                refuse("a number")
            }
            (Some(column), TypedColumn::Text(_))
                if is_number(column)
                    && field.dtype != ArrowDataType::Null
                    && !states_marks(settings) =>
            {
                let what = format!(
                    "the column \"{}\" holds text, and how its numbers are written shows in all of them together, of which a stream may be a part",
                    field.name
                );
                let mend = "Cast it to a number in the query that sends it, or state decimal_comma and thousands under [checks].";
                Err(LoadError::new(&self.shown, what, mend))
            }
            _ => Ok(typed),
        }
    }
}

/// True where the settings say how every number is written.
fn states_marks(settings: &ChecksSettings) -> bool {
    settings.decimal_comma.is_some() && settings.thousands != Thousands::Auto
}

/// True where a column of the checks holds numbers alone.
fn is_number(column: Column) -> bool {
    column.has_unit() || column == Column::Usage
}

fn unreadable(shown: &str, error: &PolarsError) -> LoadError {
    LoadError::new(
        shown,
        format!("cannot be read as an Arrow stream: {error}"),
        ARROW.mend,
    )
}
