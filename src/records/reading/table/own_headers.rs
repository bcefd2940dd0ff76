/*! The columns of a table of a laboratory's own: each named once, for its settings, its place and its reading. */

/// As `named_columns`, with how each column is read: after its place stands `text` where numbers in it are names,
/// `needed` where the table makes no sense without it.
macro_rules! own_headers {
    (
        $(#[doc = $about:literal])*
        pub struct $name:ident in $table:literal;
        $( $(#[doc = $doc:literal])* $key:ident $place:ident $($trait:ident)*; )*
    ) => {
        crate::records::reading::header::named_columns::named_columns! {
            $(#[doc = $about])*
            pub struct $name in $table;
            $( $(#[doc = $doc])* $key $place; )*
        }

        impl $name {
            /// Each column as it is read, in their order.
            pub(crate) fn columns(&self) -> [crate::records::TableColumn<'_>; Column::ALL.len()] {
                let headers = self.headers();
                Column::ALL.map(|column| {
                    let is: &[&str] = match column {
                        $(Column::$place => &[$(stringify!($trait)),*],)*
                    };
                    crate::records::TableColumn {
                        name: column.name(),
                        own: headers[column as usize],
                        text: is.contains(&"text"),
                        needed: is.contains(&"needed"),
                    }
                })
            }
        }
    };
}
pub(crate) use own_headers;
