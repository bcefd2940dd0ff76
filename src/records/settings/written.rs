/*! How the text of a table is written: the settings that checks, register and jobs have alike. */

/// Declares a settings table as `settings!` does, with those settings in place of `..written`.
macro_rules! table_settings {
    (
        $(#[doc = $about:literal])*
        pub struct $name:ident in $table:literal {
            $( $(#[doc = $doc:literal])* $key:ident : $type:ty = $default:expr $(=> $rule:expr)?, )*
            ..written,
            $($others:tt)*
        }
        $($together:tt)*
    ) => {
        crate::settings! {
            $(#[doc = $about])*
            pub struct $name in $table {
                $( $(#[doc = $doc])* $key: $type = $default $(=> $rule)?, )*
                /// Delimiter of a CSV file: auto, ",", ";", tab or "|".
                delimiter: crate::records::Delimiter = crate::records::Delimiter::Auto,
                /// Encoding of a CSV file: utf-8, latin-1 or another by its standard name, such as windows-1250, iso-8859-2, windows-1251 or shift_jis; auto takes utf-8 for a file that is all of it, else latin-1.
                encoding: crate::records::Encoding = crate::records::Encoding::Utf8,
                /// True where numbers are written 0,5 rather than 0.5; absent = a point, refused where the cells leave it open.
                decimal_comma: Option<bool> = None,
                /// Mark that groups thousands: "," or "." or "none"; "auto" goes by the cells of the file.
                thousands: crate::records::Thousands = crate::records::Thousands::Auto,
                /// Date format in strftime notation, such as "%d.%m.%Y"; empty for ISO 8601.
                date_format: String = String::new() => crate::records::date::UsableDateFormat,
                $($others)*
            }
            $($together)*
        }
    };
}
pub(crate) use table_settings;
