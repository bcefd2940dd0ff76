/*! Columns that a file may lack, or in which only some rows say anything. */

/// Stores the value of row `place`; a column in which no row says anything stays empty.
pub(crate) fn put<T: Copy + PartialEq>(column: &mut Vec<T>, place: usize, value: T, otherwise: T) {
    // What equals nothing, itself included, is a number that is not stated.
    #[allow(clippy::eq_op)]
    let stated = value == value && value != otherwise;
    if stated {
        column.resize(place, otherwise);
        column.push(value);
    }
}

/// The value of a row in a column that the file may lack.
pub(crate) fn value<T: Copy>(column: &[T], row: u32, otherwise: T) -> T {
    column.get(row as usize).copied().unwrap_or(otherwise)
}
