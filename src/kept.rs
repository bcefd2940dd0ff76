/*! Results that outlive a run, as bytes: every number to its last bit, so that a result taken
from an earlier run is the very one that would be computed anew.

A room declares what of it is kept with [`kept!`]; the pipeline keeps the bytes by the hash of
what they were made from. The bytes are read by the program that wrote them and by no other.
*/

use nalgebra::DMatrix;
use std::collections::BTreeMap;

/// A value that can be kept as bytes and taken back.
pub trait Kept: Sized {
    /// Appends the value.
    fn put(&self, to: &mut Vec<u8>);
    /// Takes the value from the front; `None` where the bytes are not such a value.
    fn take(from: &mut &[u8]) -> Option<Self>;
}

/// Declares the fields of a struct, all of them and in any order, as what is kept of it.
#[macro_export]
macro_rules! kept {
    ($type:ty { $($field:ident),+ $(,)? }) => {
        impl $crate::kept::Kept for $type {
            fn put(&self, to: &mut Vec<u8>) {
                $($crate::kept::Kept::put(&self.$field, to);)+
            }
            fn take(from: &mut &[u8]) -> Option<Self> {
                $(let $field = $crate::kept::Kept::take(from)?;)+
                Some(Self { $($field),+ })
            }
        }
    };
}

macro_rules! numbers {
    ($($type:ty),+) => {$(
        impl Kept for $type {
            fn put(&self, to: &mut Vec<u8>) {
                to.extend(self.to_le_bytes());
            }
            fn take(from: &mut &[u8]) -> Option<Self> {
                let (bytes, rest) = from.split_first_chunk()?;
                *from = rest;
                Some(Self::from_le_bytes(*bytes))
            }
        }
    )+};
}

numbers!(u8, u32, u64, f64);

impl Kept for usize {
    fn put(&self, to: &mut Vec<u8>) {
        (*self as u64).put(to);
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        usize::try_from(u64::take(from)?).ok()
    }
}

impl Kept for bool {
    fn put(&self, to: &mut Vec<u8>) {
        u8::from(*self).put(to);
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        match u8::take(from)? {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }
    }
}

impl Kept for String {
    fn put(&self, to: &mut Vec<u8>) {
        self.len().put(to);
        to.extend(self.as_bytes());
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        let length = usize::take(from)?;
        let (bytes, rest) = from.split_at_checked(length)?;
        *from = rest;
        String::from_utf8(bytes.to_vec()).ok()
    }
}

impl<T: Kept> Kept for Option<T> {
    fn put(&self, to: &mut Vec<u8>) {
        self.is_some().put(to);
        self.iter().for_each(|value| value.put(to));
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        match bool::take(from)? {
            true => T::take(from).map(Some),
            false => Some(None),
        }
    }
}

impl<T: Kept, E: Kept> Kept for Result<T, E> {
    fn put(&self, to: &mut Vec<u8>) {
        self.is_ok().put(to);
        match self {
            Ok(value) => value.put(to),
            Err(why) => why.put(to),
        }
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        match bool::take(from)? {
            true => T::take(from).map(Ok),
            false => E::take(from).map(Err),
        }
    }
}

impl<T: Kept> Kept for Vec<T> {
    fn put(&self, to: &mut Vec<u8>) {
        self.len().put(to);
        self.iter().for_each(|value| value.put(to));
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        let length = usize::take(from)?;
        (0..length).map(|_| T::take(from)).collect()
    }
}

impl<K: Kept + Ord + Copy, V: Kept + Copy> Kept for BTreeMap<K, V> {
    fn put(&self, to: &mut Vec<u8>) {
        let pairs: Vec<(K, V)> = self.iter().map(|(key, value)| (*key, *value)).collect();
        pairs.put(to);
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        Some(Vec::take(from)?.into_iter().collect())
    }
}

impl<T: Kept, const N: usize> Kept for [T; N] {
    fn put(&self, to: &mut Vec<u8>) {
        self.iter().for_each(|value| value.put(to));
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        let values: Option<Vec<T>> = (0..N).map(|_| T::take(from)).collect();
        values?.try_into().ok()
    }
}

impl<A: Kept, B: Kept> Kept for (A, B) {
    fn put(&self, to: &mut Vec<u8>) {
        self.0.put(to);
        self.1.put(to);
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        Some((A::take(from)?, B::take(from)?))
    }
}

impl Kept for DMatrix<f64> {
    fn put(&self, to: &mut Vec<u8>) {
        self.nrows().put(to);
        self.as_slice().to_vec().put(to);
    }
    fn take(from: &mut &[u8]) -> Option<Self> {
        let rows = usize::take(from)?;
        let cells: Vec<f64> = Vec::take(from)?;
        let whole = rows > 0 && cells.len().is_multiple_of(rows);
        whole.then(|| DMatrix::from_vec(rows, cells.len() / rows, cells))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, PartialEq)]
    struct Found {
        days: Option<f64>,
        words: Result<Vec<String>, String>,
        pair: [(u32, bool); 2],
    }

    kept!(Found { days, words, pair });

    #[test]
    fn what_is_kept_is_taken_back_to_the_last_bit() {
        let found = Found {
            days: Some(0.1 + 0.2),
            words: Ok(vec!["±".into(), String::new()]),
            pair: [(7, true), (0, false)],
        };
        let mut bytes = Vec::new();
        found.put(&mut bytes);
        f64::NEG_INFINITY.put(&mut bytes);
        let mut rest = bytes.as_slice();
        assert_eq!(Found::take(&mut rest), Some(found));
        assert_eq!(f64::take(&mut rest), Some(f64::NEG_INFINITY));
        assert!(rest.is_empty());
        for cut in 0..bytes.len() - 8 {
            assert_eq!(Found::take(&mut &bytes[..cut]), None, "cut at {cut}");
        }
        let matrix = DMatrix::from_row_slice(2, 3, &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0]);
        let mut bytes = Vec::new();
        matrix.put(&mut bytes);
        assert_eq!(DMatrix::take(&mut bytes.as_slice()), Some(matrix));
    }

    #[test]
    fn a_length_beyond_the_bytes_is_refused() {
        let mut bytes = Vec::new();
        u64::MAX.put(&mut bytes);
        assert_eq!(Vec::<f64>::take(&mut bytes.as_slice()), None);
        assert_eq!(String::take(&mut bytes.as_slice()), None);
    }
}
