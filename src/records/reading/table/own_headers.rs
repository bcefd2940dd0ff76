/*! The columns of a table of a laboratory's own: each named once, for its settings, its place and its reading. */

/// Declares the settings table of the headers of such a table, and the place of each column: after its key
/// stands its place by name, and what it is: `text` where numbers in it are names, `needed` where the table
/// makes no sense without it.
macro_rules! own_headers {
    (
        $(#[doc = $about:literal])*
        pub struct $name:ident in $table:literal;
        $( $(#[doc = $doc:literal])* $key:ident $place:ident $($trait:ident)*; )*
    ) => {
        crate::settings! {
            $(#[doc = $about])*
            pub struct $name in $table {
                $( $(#[doc = $doc])* $key: crate::records::reading::header::own::OwnHeader =
                    crate::records::reading::header::own::OwnHeader::Same, )*
            }
        }

        /// Columns of the table, in their order.
        #[derive(Clone, Copy)]
        pub(crate) enum Column { $($place,)* }

        impl Column {
            /// Its key.
            pub(crate) fn key(self) -> &'static str {
                match self { $(Column::$place => stringify!($key),)* }
            }
        }

        impl $name {
            /// Each column as it is read, in their order.
            pub(crate) fn columns(&self) -> [crate::records::TableColumn<'_>; [$(stringify!($key)),*].len()] {
                [$({
                    let is: &[&str] = &[$(stringify!($trait)),*];
                    crate::records::TableColumn {
                        name: stringify!($key),
                        own: self.$key.as_deref(),
                        text: is.contains(&"text"),
                        needed: is.contains(&"needed"),
                    }
                }),*]
            }
        }
    };
}
pub(crate) use own_headers;
