/*! A column of an Arrow stream as fields, of any usual type. */

use super::odd_types::{decimals, plain_type};
use super::parquet_column::{TypedColumn, typed};
use polars::polars_compute::cast::cast_default;
use polars::prelude::{
    ArrowDataType, ArrowField, Column, PlSmallStr, PolarsResult, Series, polars_err,
};
use polars_arrow::array::{Array, DictionaryArray, DictionaryKey};

/// The pieces of a column as fields; types that polars is built without under their plain type.
pub(crate) fn plain(
    field: &ArrowField,
    pieces: &[Box<dyn Array>],
    text: bool,
) -> PolarsResult<TypedColumn> {
    let stored = field.dtype.to_storage();
    if let ArrowDataType::Dictionary(..) = stored {
        return typed(&Column::from(looked_up(field, pieces)?).rechunk(), text);
    }
    let Some(plain) = plain_type(stored) else {
        return series(field, pieces.to_vec(), text);
    };
    match (stored, &plain) {
        (ArrowDataType::Decimal(..), ArrowDataType::Decimal(_, scale)) => {
            decimals(pieces, *scale, text)
        }
        (_, ArrowDataType::Decimal(..)) | (ArrowDataType::Float16, _) => Err(polars_err!(
            ComputeError: "column \"{}\" has the type {stored:?}; send it as a double", field.name
        )),
        _ => {
            let cast = pieces
                .iter()
                .map(|piece| cast_default(piece.as_ref(), &plain));
            let cast = cast.collect::<PolarsResult<Vec<_>>>()?;
            series(
                &ArrowField::new(field.name.clone(), plain, true),
                cast,
                text,
            )
        }
    }
}

/// The values that the keys of a dictionary's pieces stand for.
fn looked_up(field: &ArrowField, pieces: &[Box<dyn Array>]) -> PolarsResult<Series> {
    let mut all: Option<Series> = None;
    for piece in pieces {
        let (keys, values) = dictionary(piece.as_ref()).ok_or_else(|| {
            polars_err!(ComputeError: "column \"{}\" is stored otherwise than the stream says", field.name)
        })?;
        let stored = ArrowField::new(field.name.clone(), values.dtype().clone(), true);
        let keys = cast_default(keys.as_ref(), &ArrowDataType::UInt32)?;
        let keys = Series::try_from((PlSmallStr::EMPTY, keys))?;
        let found = Series::try_from((&stored, vec![values]))?.take(keys.u32()?)?;
        match &mut all {
            Some(all) => drop(all.append(&found)?),
            None => all = Some(found),
        }
    }
    Ok(all.unwrap_or_else(|| Series::new_null(field.name.clone(), 0)))
}

/// Keys and values of a dictionary.
fn dictionary(piece: &dyn Array) -> Option<(Box<dyn Array>, Box<dyn Array>)> {
    fn of<K: DictionaryKey>(piece: &dyn Array) -> Option<(Box<dyn Array>, Box<dyn Array>)> {
        let known = piece.as_any().downcast_ref::<DictionaryArray<K>>()?;
        Some((known.keys().clone().boxed(), known.values().clone()))
    }
    let signed = of::<i32>(piece)
        .or_else(|| of::<i8>(piece))
        .or_else(|| of::<i16>(piece));
    let signed = signed.or_else(|| of::<i64>(piece));
    let unsigned = || {
        of::<u32>(piece)
            .or_else(|| of::<u8>(piece))
            .or_else(|| of::<u16>(piece))
    };
    signed.or_else(unsigned).or_else(|| of::<u64>(piece))
}

fn series(
    field: &ArrowField,
    pieces: Vec<Box<dyn Array>>,
    text: bool,
) -> PolarsResult<TypedColumn> {
    let pieces = match pieces.is_empty() {
        true => vec![polars_arrow::array::new_empty_array(field.dtype.clone())],
        false => pieces,
    };
    typed(
        &Column::from(Series::try_from((field, pieces))?).rechunk(),
        text,
    )
}
