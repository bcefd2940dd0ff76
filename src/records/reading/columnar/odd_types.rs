/*! Parquet columns of the types that polars is built without: small integers, half
precision, decimals, and words kept as a dictionary (a category of a data frame).

Every feature of polars costs minutes of the build, so such a column is decoded under
its plain type: small integers as 32 bits, a dictionary as the values it stands for.
*/

use super::parquet_column::TypedColumn;
use polars::prelude::{
    ArrowDataType, ArrowField, Column, Float64Chunked, NewChunkedArray, PolarsError,
};
use polars::prelude::{PolarsResult, Series, StringChunked, polars_err};
use polars_arrow::array::{Array, FixedSizeBinaryArray, PrimitiveArray};
use polars_buffer::Buffer;
use polars_parquet::read::{BasicDecompressor, FileMetadata, PageReader, column_iter_to_arrays};
use std::fs::File;
use std::io::{Cursor, Read, Seek, SeekFrom};

/// The plain type under which a column of type `dtype` is decoded; `None` where polars
/// reads it itself.
pub(crate) fn plain_type(dtype: &ArrowDataType) -> Option<ArrowDataType> {
    use ArrowDataType::{Decimal, Decimal32, Decimal64, Dictionary, Float16};
    use ArrowDataType::{FixedSizeBinary, Int8, Int16, Int32, UInt8, UInt16};
    match dtype {
        Dictionary(_, values, _) => Some(plain_type(values).unwrap_or(*values.clone())),
        Int8 | Int16 | UInt8 | UInt16 => Some(Int32),
        Float16 => Some(FixedSizeBinary(2)),
        Decimal(precision, scale) | Decimal32(precision, scale) | Decimal64(precision, scale) => {
            Some(Decimal(*precision, *scale))
        }
        _ => None,
    }
}

/// What a column holds whose type can be no cell of a table, in words; `None` where it can be one.
pub(crate) fn no_cells(dtype: &ArrowDataType) -> Option<&'static str> {
    use ArrowDataType as Type;
    match dtype {
        Type::Dictionary(_, values, _) => no_cells(values),
        Type::Extension(extension) => no_cells(&extension.inner),
        Type::List(_) | Type::FixedSizeList(..) | Type::LargeList(_) => Some("lists"),
        Type::Struct(_) | Type::Map(..) | Type::Union(_) => Some("cells of several fields"),
        Type::Time32(_) | Type::Time64(_) => Some("times of day without a date"),
        Type::Duration(_) | Type::Interval(_) => Some("lengths of time"),
        Type::Decimal256(..) => Some("decimals of more than 38 digits"),
        Type::Int128 | Type::UInt128 => Some("whole numbers of 128 bits"),
        _ => None,
    }
}

/// Decodes the column `name` under its plain type.
pub(crate) fn read(
    file: &mut File,
    metadata: &FileMetadata,
    name: &str,
    plain: &ArrowDataType,
    as_text: bool,
) -> PolarsResult<TypedColumn> {
    let field = ArrowField::new(name.into(), plain.clone(), true);
    let mut arrays = Vec::new();
    for group in &metadata.row_groups {
        let chunks = group.columns_under_root_iter(name);
        for chunk in chunks.into_iter().flatten() {
            let range = chunk.byte_range();
            let mut bytes = Vec::new();
            file.seek(SeekFrom::Start(range.start))?;
            let length = range.end.saturating_sub(range.start);
            Read::by_ref(file).take(length).read_to_end(&mut bytes)?;
            let pages = PageReader::new(
                Cursor::new(Buffer::from(bytes)),
                chunk,
                Vec::new(),
                usize::MAX,
            );
            let pages = BasicDecompressor::new(pages, Vec::new());
            let stored = &chunk.descriptor().descriptor.primitive_type;
            arrays.extend(column_iter_to_arrays(vec![pages], vec![stored], field.clone(), None)?.0);
        }
    }
    match plain {
        ArrowDataType::Decimal(_, scale) => decimals(&arrays, *scale, as_text),
        ArrowDataType::FixedSizeBinary(2) => halves(&arrays, as_text),
        _ if arrays.is_empty() => Ok(of_texts(Vec::new(), true)),
        _ => {
            let column = Column::from(Series::try_from((&field, arrays))?);
            super::parquet_column::typed(&column.rechunk(), as_text)
        }
    }
}

pub(crate) fn decimals(
    arrays: &[Box<dyn Array>],
    scale: usize,
    as_text: bool,
) -> PolarsResult<TypedColumn> {
    let mut texts = Vec::new();
    for array in arrays {
        let integers = array.as_any().downcast_ref::<PrimitiveArray<i128>>();
        let integers = integers.ok_or_else(unexpected)?;
        texts.extend(integers.iter().map(|v| v.map(|v| decimal_text(*v, scale))));
    }
    Ok(of_texts(texts, as_text))
}

/// `integer` × 10^−`scale` in digits.
fn decimal_text(integer: i128, scale: usize) -> String {
    let digits = format!("{:0>width$}", integer.unsigned_abs(), width = scale + 1);
    let (whole, part) = digits.split_at(digits.len() - scale);
    let sign = if integer < 0 { "-" } else { "" };
    match part.trim_end_matches('0') {
        "" => format!("{sign}{whole}"),
        part => format!("{sign}{whole}.{part}"),
    }
}

fn halves(arrays: &[Box<dyn Array>], as_text: bool) -> PolarsResult<TypedColumn> {
    let mut texts = Vec::new();
    for array in arrays {
        let pairs = array.as_any().downcast_ref::<FixedSizeBinaryArray>();
        for pair in pairs.ok_or_else(unexpected)?.iter() {
            let bits = |pair: &[u8]| u16::from_le_bytes([pair[0], pair[1]]);
            texts.push(pair.map(|pair| half_text(bits(pair))));
        }
    }
    Ok(of_texts(texts, as_text))
}

/// A half-precision number (IEEE 754 binary16) as the shortest decimal that reads back to it.
fn half_text(bits: u16) -> String {
    /// Digits that tell any two half-precision numbers apart: 11 binary ones, and one more.
    const MOST_DIGITS: usize = 5;
    let value = half_value(bits);
    let magnitude = bits & 0x7fff;
    if !value.is_finite() || magnitude == 0 {
        return value.to_string();
    }
    let below = value.abs() - half_value(magnitude - 1);
    let shortest = (0..MOST_DIGITS).find_map(|digits| {
        let read: f64 = format!("{value:.digits$e}").parse().ok()?;
        // Rounding to it reaches half a step, of which the lower one is never the larger.
        ((read - value).abs() < 0.5 * below).then_some(read)
    });
    shortest.unwrap_or(value).to_string()
}

fn half_value(bits: u16) -> f64 {
    let sign = if bits & 0x8000 == 0 { 1.0 } else { -1.0 };
    let (exponent, fraction) = (i32::from(bits >> 10 & 0x1f), f64::from(bits & 0x3ff));
    sign * match exponent {
        0 => fraction * 2f64.powi(-24),
        0x1f if fraction == 0.0 => f64::INFINITY,
        0x1f => f64::NAN,
        _ => (1024.0 + fraction) * 2f64.powi(exponent - 25),
    }
}

fn of_texts(texts: Vec<Option<String>>, as_text: bool) -> TypedColumn {
    if as_text {
        return TypedColumn::Text(StringChunked::from_iter_options(
            "".into(),
            texts.into_iter(),
        ));
    }
    let numbers = texts
        .into_iter()
        .map(|text| text.map(|text| text.parse().unwrap_or(f64::NAN)));
    TypedColumn::Number(Float64Chunked::from_iter_options("".into(), numbers))
}

fn unexpected() -> PolarsError {
    polars_err!(ComputeError: "a column is stored otherwise than the file says")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn types_that_can_be_no_cell_are_named_in_words() {
        use polars::prelude::ArrowTimeUnit::Second;
        let inner = ArrowField::new("a".into(), ArrowDataType::Float64, true);
        let many = ArrowDataType::Dictionary(
            polars_arrow::datatypes::IntegerType::Int8,
            Box::new(ArrowDataType::List(Box::new(inner.clone()))),
            false,
        );
        for (dtype, held) in [
            (
                ArrowDataType::Struct(vec![inner]),
                Some("cells of several fields"),
            ),
            (many, Some("lists")),
            (
                ArrowDataType::Time32(Second),
                Some("times of day without a date"),
            ),
            (ArrowDataType::Duration(Second), Some("lengths of time")),
            (
                ArrowDataType::Decimal256(40, 2),
                Some("decimals of more than 38 digits"),
            ),
            (ArrowDataType::Decimal(38, 2), None),
            (ArrowDataType::Timestamp(Second, None), None),
            (ArrowDataType::Utf8View, None),
        ] {
            assert_eq!(no_cells(&dtype), held, "{dtype:?}");
        }
    }

    #[test]
    fn decimals_keep_their_digits() {
        let cases = [
            (1234, 2, "12.34"),
            (-5, 3, "-0.005"),
            (1200, 2, "12"),
            (7, 0, "7"),
        ];
        for (integer, scale, text) in cases {
            assert_eq!(decimal_text(integer, scale), text);
        }
    }

    /// Bits and values of the format's own definition (IEEE 754-2019, binary16): the least
    /// subnormal is 2^-24, the greatest number 65504, and 0.1 is stored as 0x2e66.
    #[test]
    fn half_precision_reads_as_the_decimal_that_was_written() {
        assert_eq!(half_value(0x0001), 2f64.powi(-24));
        assert_eq!(half_value(0x7bff), 65504.0);
        let cases = [
            (0x2e66, "0.1"),
            (0xc100, "-2.5"),
            (0x3c00, "1"),
            (0x0000, "0"),
        ];
        for (bits, text) in cases {
            assert_eq!(half_text(bits), text);
        }
        assert_eq!(half_text(0x7c00), "inf");
    }
}
