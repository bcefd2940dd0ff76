/*! Enums whose values each have a word in tables and sentences. */

/// Declares an enum and the method, named after `with`, that gives the word of each value: it stands behind the value.
/// A second method, named after `and`, gives what stands behind the word.
macro_rules! worded {
    (
        $(#[$about:meta])*
        $visible:vis enum $name:ident with $method:ident and $other:ident {
            $( $(#[$doc:meta])* $value:ident = $word:literal, $words:literal; )*
        }
    ) => {
        crate::words::worded! {
            $(#[$about])*
            $visible enum $name with $method { $( $(#[$doc])* $value = $word, )* }
        }

        impl $name {
            /// The same in other words.
            pub(crate) fn $other(self) -> &'static str {
                match self { $( Self::$value => $words, )* }
            }
        }
    };
    (
        $(#[$about:meta])*
        $visible:vis enum $name:ident with $method:ident {
            $( $(#[$doc:meta])* $value:ident = $word:literal, )*
        }
    ) => {
        $(#[$about])*
        $visible enum $name { $( $(#[$doc])* $value, )* }

        impl $name {
            /// As tables and sentences write it.
            pub(crate) fn $method(self) -> &'static str {
                match self { $( Self::$value => $word, )* }
            }
        }
    };
}
pub(crate) use worded;
