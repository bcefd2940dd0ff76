/*! One column of a Parquet file as fields, whatever usual type it has. */

use super::local_time;
use crate::records::cells::field::Field;
use crate::records::reading::digits::field_in_own_digits;
use polars::prelude::*;
use std::borrow::Cow;

const SECONDS_PER_DAY: f64 = 86_400.0;

/// One column of a Parquet file.
pub(crate) enum TypedColumn {
    Text(StringChunked),
    Number(Float64Chunked),
    /// Days since 1970-01-01.
    Days(Float64Chunked),
    Flag(BooleanChunked),
}

impl TypedColumn {
    pub(crate) fn field(&self, row: usize) -> Field<'_> {
        match self {
            TypedColumn::Text(text) => text.get(row).map(Field::Text),
            TypedColumn::Number(numbers) => numbers.get(row).map(Field::Number),
            TypedColumn::Days(days) => days.get(row).map(Field::Date),
            TypedColumn::Flag(flags) => flags.get(row).map(Field::Flag),
        }
        .unwrap_or_default()
    }
}

/// The column as fields; numbers that are names stay text.
pub(crate) fn typed(column: &polars::prelude::Column, as_text: bool) -> PolarsResult<TypedColumn> {
    let series = column.as_materialized_series();
    let typed = match series.dtype() {
        DataType::String if as_text => TypedColumn::Text(series.str()?.clone()),
        DataType::String => TypedColumn::Text(in_own_digits(series.str()?)),
        DataType::Binary => {
            let words = series
                .binary()?
                .iter()
                .map(|value| value.map(std::str::from_utf8));
            let words: Result<Vec<Option<&str>>, _> = words.map(Option::transpose).collect();
            let words = words.map_err(|_| {
                polars_err!(ComputeError: "column \"{}\" holds bytes that are no UTF-8 text", series.name())
            })?;
            TypedColumn::Text(StringChunked::from_iter_options(
                "".into(),
                words.into_iter(),
            ))
        }
        DataType::Boolean => TypedColumn::Flag(series.bool()?.clone()),
        DataType::Date => {
            let days = series.to_physical_repr().cast(&DataType::Float64)?;
            TypedColumn::Days(days.f64()?.clone())
        }
        DataType::Datetime(unit, zone) => TypedColumn::Days(days(
            series,
            *unit,
            zone.as_ref().map(|zone| zone.as_str()),
        )?),
        // The decimal that a single-precision number was written as.
        DataType::Float32 => {
            let widen = |v: f32| v.to_string().parse().unwrap_or(f64::from(v));
            let numbers = series.f32()?.iter().map(|v| v.map(widen));
            TypedColumn::Number(Float64Chunked::from_iter_options("".into(), numbers))
        }
        // A column of whole numbers with gaps becomes one of doubles: 12.0 means the name 12.
        DataType::Float64 if as_text => {
            let names = series.f64()?.iter().map(|v| v.map(|v| v.to_string()));
            TypedColumn::Text(StringChunked::from_iter_options("".into(), names))
        }
        other if other.is_primitive_numeric() && as_text => {
            TypedColumn::Text(series.cast(&DataType::String)?.str()?.clone())
        }
        other if other.is_primitive_numeric() => {
            TypedColumn::Number(series.cast(&DataType::Float64)?.f64()?.clone())
        }
        DataType::Null => TypedColumn::Text(StringChunked::full_null("".into(), series.len())),
        other => {
            return Err(polars_err!(
                ComputeError: "column \"{}\" has the type {other}; expected text, number, date or true/false",
                series.name()
            ));
        }
    };
    Ok(typed)
}

/// The texts with their numbers and dates in the digits 0 to 9.
fn in_own_digits(texts: &StringChunked) -> StringChunked {
    let own = |text: &str| matches!(field_in_own_digits(text), Cow::Owned(_));
    match texts.iter().flatten().any(own) {
        true => {
            let own = texts.iter().map(|text| text.map(field_in_own_digits));
            StringChunked::from_iter_options("".into(), own)
        }
        false => texts.clone(),
    }
}

/// Timestamps in a unit as days since 1970-01-01, by the clock of their zone where they have one.
fn days(series: &Series, unit: TimeUnit, zone: Option<&str>) -> PolarsResult<Float64Chunked> {
    let per_second = match unit {
        TimeUnit::Nanoseconds => 1e9,
        TimeUnit::Microseconds => 1e6,
        TimeUnit::Milliseconds => 1e3,
    };
    let ticks = series.to_physical_repr().cast(&DataType::Float64)?;
    let seconds = ticks.f64()? / per_second;
    let local = match zone {
        Some(zone) => local_time::of(&seconds, zone)?,
        None => seconds,
    };
    Ok(local / SECONDS_PER_DAY)
}
