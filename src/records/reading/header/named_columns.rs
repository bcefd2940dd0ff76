/*! The columns of a table, each named once: for its settings and its place. */

/// Declares the settings table of a person's own headers for the columns of a table, and the place of each column:
/// after its key stands its place by name.
macro_rules! named_columns {
    (
        $(#[doc = $about:literal])*
        pub struct $name:ident in $table:literal;
        $( $(#[doc = $doc:literal])* $key:ident $place:ident; )*
    ) => {
        crate::settings! {
            $(#[doc = $about])*
            pub struct $name in $table {
                $( $(#[doc = $doc])* $key: crate::records::reading::header::own::OwnHeader =
                    crate::records::reading::header::own::OwnHeader::Same, )*
            }
        }

        /// Columns of the table, in their order.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(crate) enum Column { $($place,)* }

        impl Column {
            pub(crate) const ALL: [Column; [$(stringify!($key)),*].len()] = [$(Column::$place),*];

            /// The name in our own tables, which is the key of its setting.
            pub(crate) fn name(self) -> &'static str {
                match self { $(Column::$place => stringify!($key),)* }
            }
        }

        impl $name {
            /// Own headers in the order of the columns.
            pub(crate) fn headers(&self) -> [Option<&str>; Column::ALL.len()] {
                [$(self.$key.as_deref()),*]
            }
        }
    };
}
pub(crate) use named_columns;
