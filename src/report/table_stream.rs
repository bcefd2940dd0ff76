/*! Tables out as one Arrow IPC stream.

An engine that maps batches has one schema for all that comes back: the stream has a column `table`
with the name of a row's table, and one column a table, which holds its row as a structure and is
null in the rows of the others. Where one table alone is asked for its columns are those of the stream.
*/

use super::table::{Cells, Table};
use polars::prelude::{PolarsResult, polars_err};
use polars_arrow::array::{
    Array, BinaryArray, BooleanArray, PrimitiveArray, StructArray, Utf8Array, new_null_array,
};
use polars_arrow::datatypes::{ArrowDataType, ArrowSchema, ArrowSchemaRef, Field};
use polars_arrow::io::ipc::write::{StreamWriter, WriteOptions};
use polars_arrow::record_batch::RecordBatchT;
use std::io::Write;
use std::sync::Arc;

/// The column that names a row's table.
const TABLE: &str = "table";

/// Which tables a stream holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Asked {
    /// All of them.
    All,
    /// The one of this name.
    One(&'static str),
}

/// A stream of tables that is being written.
pub(crate) struct TableStream<W: Write> {
    writer: StreamWriter<W>,
    schema: ArrowSchemaRef,
    asked: Asked,
}

impl<W: Write> TableStream<W> {
    /// Begins the stream of the tables of these names and `shapes`, whose rows are ignored.
    ///
    /// # Errors
    /// A reader that went away.
    pub(crate) fn begin(
        out: W,
        shapes: &[(&'static str, Table<'_>)],
        asked: Asked,
    ) -> PolarsResult<Self> {
        let fields: Vec<Field> = match asked {
            Asked::One(one) => shapes
                .iter()
                .filter(|(name, _)| *name == one)
                .flat_map(|(_, shape)| columns(shape).0)
                .collect(),
            Asked::All => std::iter::once(Field::new(TABLE.into(), ArrowDataType::Utf8, false))
                .chain(shapes.iter().map(|(name, shape)| {
                    Field::new(
                        (*name).into(),
                        ArrowDataType::Struct(columns(shape).0),
                        true,
                    )
                }))
                .collect(),
        };
        let schema: ArrowSchemaRef = Arc::new(ArrowSchema::from_iter(fields));
        let mut writer = StreamWriter::new(out, WriteOptions { compression: None });
        writer.start(&schema, None)?;
        Ok(Self {
            writer,
            schema,
            asked,
        })
    }

    /// True where the table `name` is asked for.
    pub(crate) fn asks(&self, name: &str) -> bool {
        match self.asked {
            Asked::All => true,
            Asked::One(one) => one == name,
        }
    }

    /// Writes the rows of the table `name`; nothing where it is not asked for.
    ///
    /// # Errors
    /// A table that was not announced, a reader that went away.
    pub(crate) fn write(&mut self, name: &str, table: &Table<'_>) -> PolarsResult<()> {
        let rows = table.height();
        if rows == 0 || !self.asks(name) {
            return Ok(());
        }
        let (fields, values) = columns(table);
        let arrays = match self.asked {
            Asked::One(_) => values,
            Asked::All => self.beside(name, rows, fields, values)?,
        };
        let batch = RecordBatchT::try_new(rows, self.schema.clone(), arrays)?;
        self.writer.write(&batch, None)
    }

    /// The rows of one table beside the empty columns of the others.
    fn beside(
        &self,
        name: &str,
        rows: usize,
        fields: Vec<Field>,
        values: Vec<Box<dyn Array>>,
    ) -> PolarsResult<Vec<Box<dyn Array>>> {
        let own = StructArray::try_new(ArrowDataType::Struct(fields), rows, values, None)?;
        let mut own = Some(own.boxed());
        let mut arrays: Vec<Box<dyn Array>> = Vec::with_capacity(self.schema.len());
        for field in self.schema.iter_values() {
            arrays.push(match field.name.as_str() {
                TABLE => Utf8Array::<i32>::from_slice(vec![name; rows]).boxed(),
                other if other == name => own.take().ok_or_else(|| unannounced(name))?,
                _ => new_null_array(field.dtype.clone(), rows),
            });
        }
        match own {
            None => Ok(arrays),
            Some(_) => Err(unannounced(name)),
        }
    }

    /// Writes the end mark, without which the stream counts as cut.
    ///
    /// # Errors
    /// A reader that went away.
    pub(crate) fn finish(mut self) -> PolarsResult<()> {
        self.writer.finish()?;
        Ok(self.writer.into_inner().flush()?)
    }
}

/// Writes a stream of one row: `counts`, and behind them `bytes`.
///
/// # Errors
/// A reader that went away.
pub(crate) fn write_row(
    out: impl Write,
    counts: &[(&'static str, u64)],
    (name, bytes): (&'static str, Vec<u8>),
) -> PolarsResult<()> {
    let count = |(name, number): &(&'static str, u64)| {
        let value = PrimitiveArray::<i64>::from_slice([*number as i64]).boxed();
        (
            Field::new((*name).into(), ArrowDataType::Int64, false),
            value,
        )
    };
    let (mut fields, mut arrays): (Vec<Field>, Vec<Box<dyn Array>>) =
        counts.iter().map(count).unzip();
    fields.push(Field::new(name.into(), ArrowDataType::LargeBinary, false));
    arrays.push(BinaryArray::<i64>::from_slice([bytes]).boxed());
    let schema: ArrowSchemaRef = Arc::new(ArrowSchema::from_iter(fields));
    let mut writer = StreamWriter::new(out, WriteOptions { compression: None });
    writer.start(&schema, None)?;
    writer.write(&RecordBatchT::try_new(1, schema, arrays)?, None)?;
    writer.finish()?;
    Ok(writer.into_inner().flush()?)
}

fn unannounced(name: &str) -> polars::prelude::PolarsError {
    polars_err!(ComputeError: "the table {name} was not announced")
}

/// The columns of a table as Arrow has them, of the types that every reader knows.
fn columns(table: &Table<'_>) -> (Vec<Field>, Vec<Box<dyn Array>>) {
    let column = |(name, cells): (&'static str, &Cells<'_>)| {
        let values = array(cells);
        (
            Field::new(name.into(), values.dtype().clone(), true),
            values,
        )
    };
    table.names().zip(table.cells()).map(column).unzip()
}

fn array(cells: &Cells<'_>) -> Box<dyn Array> {
    let present = |value: &f64| value.is_finite().then_some(*value);
    match cells {
        Cells::Text(owned) => texts(owned.iter().map(String::as_str)),
        Cells::Shared(shared) => texts(shared.iter().copied()),
        Cells::Word(words) => texts(words.iter().copied()),
        Cells::Number(numbers) => {
            PrimitiveArray::<f64>::from_iter(numbers.iter().map(present)).boxed()
        }
        Cells::Whole(numbers) => PrimitiveArray::<i64>::from_iter(numbers.iter().copied()).boxed(),
        Cells::Date(days) => {
            let whole = days
                .iter()
                .map(|day| present(day).map(|d| d.floor() as i32));
            PrimitiveArray::<i32>::from_iter(whole)
                .to(ArrowDataType::Date32)
                .boxed()
        }
        Cells::Flag(flags) => BooleanArray::from_slice(flags).boxed(),
    }
}

fn texts<'t>(texts: impl Iterator<Item = &'t str>) -> Box<dyn Array> {
    let present = texts.map(|text| (!text.is_empty()).then_some(text));
    Utf8Array::<i32>::from_iter(present).boxed()
}
