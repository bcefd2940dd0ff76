/*! The columns of the checks, named once: for the histories that own them, those that borrow them, and one check. */

use super::event::{CheckKind, Event, Outcome};
use super::item::Item;
use std::ops::Range;

macro_rules! columns {
    ($($(#[$about:meta])* $name:ident: $value:ty = $unstated:expr,)*) => {
        /// The columns of all checks.
        #[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
        #[allow(missing_docs)]
        pub struct Columns {
            $($(#[$about])* pub $name: Vec<$value>,)*
            /// Who gave each reading, a place among `givers`; empty where no file says so. Taken out once
            /// the sources are settled, as are the next three.
            pub given_by: Vec<u32>,
            /// Their names, sorted; "" for rows that name none.
            pub givers: Vec<String>,
            /// Values that certificates state; empty where no file has any.
            pub assigned: Vec<f64>,
            pub u_assigned: Vec<f64>,
        }

        /// One history: a borrowed slice of every column. All slices have one length.
        #[derive(Debug, Clone, Copy)]
        pub struct History<'a> {
            /// Identity and register facts.
            pub item: &'a Item,
            $($(#[$about])* pub $name: &'a [$value],)*
        }

        /// One check: a value of every column.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Check {
            $($(#[$about])* pub $name: $value,)*
        }

        impl Check {
            /// A check of which nothing is stated.
            pub const UNSTATED: Check = Check { $($name: $unstated,)* };
        }

        impl Columns {
            /// These rows, as a history of `item`; panics past the end, like a slice.
            pub(crate) fn history<'a>(&'a self, item: &'a Item, rows: Range<usize>) -> History<'a> {
                History { item, $($name: &self.$name[rows.clone()],)* }
            }

            /// Adds the checks of a history at the end.
            pub(crate) fn extend(&mut self, history: &History<'_>) {
                $(self.$name.extend_from_slice(history.$name);)*
            }

            /// Adds a check before row `at`; panics past the end, like a vector.
            pub(crate) fn insert(&mut self, at: usize, check: Check) {
                $(self.$name.insert(at, check.$name);)*
            }
        }

        impl<'a> History<'a> {
            /// The checks of some rows; panics past the end, like a slice.
            pub(crate) fn rows(&self, rows: Range<usize>) -> History<'a> {
                History { item: self.item, $($name: &self.$name[rows.clone()],)* }
            }
        }
    };
}

columns! {
    /// When checked: days since 1970-01-01, with the time of day as fraction. Ascending.
    date: f64 = f64::NAN,
    /// Error as found (indicated minus conventional value); NaN where only the outcome was kept.
    as_found: f64 = f64::NAN,
    /// Error as left; NaN where the row does not state it, see `History::left`.
    as_left: f64 = f64::NAN,
    /// Conventional value that was subtracted (0 where none).
    nominal: f64 = 0.0,
    /// Standard uncertainty of the reading, random part; NaN where not stated.
    u: f64 = f64::NAN,
    /// Standard uncertainty shared by all checks of the history; 0 where not stated.
    u_common: f64 = 0.0,
    /// Lower tolerance limit at that check; NaN where none.
    lower: f64 = f64::NAN,
    /// Upper tolerance limit at that check; NaN where none.
    upper: f64 = f64::NAN,
    /// Cumulative use at the check, hours or cycles; NaN where not stated.
    usage: f64 = f64::NAN,
    /// Outcome as found: stated, else from `as_found` and the tolerance at that check.
    outcome: Outcome = Outcome::Unknown,
    /// What happened at the check.
    event: Event = Event::None,
    /// Check or calibration.
    kind: CheckKind = CheckKind::Unstated,
    /// Index of the input file and row number, for the trail from number to source.
    source: (u32, u32) = (0, 0),
}

impl Columns {
    /// Number of checks.
    pub(crate) fn len(&self) -> usize {
        self.date.len()
    }

    /// Adds a check at the end.
    pub fn push(&mut self, check: Check) {
        self.insert(self.len(), check);
    }

    /// Takes over from the `rows` of `old` who gave the readings, and what certificates state.
    pub(crate) fn take_givers(&mut self, old: &Columns, rows: &[usize]) {
        fn of<T: Copy>(column: &[T], rows: &[usize]) -> Vec<T> {
            rows.iter()
                .filter_map(|row| column.get(*row).copied())
                .collect()
        }
        self.givers = old.givers.clone();
        self.given_by = of(&old.given_by, rows);
        (self.assigned, self.u_assigned) = (of(&old.assigned, rows), of(&old.u_assigned, rows));
    }
}
