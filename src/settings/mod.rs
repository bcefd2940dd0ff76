/*! The pipeline file, from its text to the complete plan of a run, and the one declaration of every settings table.

`pipeline_text`, `file` and `file_keys` read it and judge each key, `file_error` points at the line that is wrong;
`named_files` finds the files that it names, `not_named` those that nobody named; `planning` makes of all that the
[`Plan`](plan::Plan), in which nothing is missing any more. `run` and `output` are the two tables of no other room.

Each room declares its own table with `settings!`; the pipeline file gathers them and `driftbook settings` lists them
(`reference_page`), so that code, file and page cannot drift apart.
*/

pub mod allowed;
pub(crate) mod demo;
pub(crate) mod file;
pub(crate) mod file_error;
pub(crate) mod file_keys;
pub(crate) mod named_files;
pub(crate) mod not_named;
pub(crate) mod of_file;
pub(crate) mod one_table_file;
pub(crate) mod output;
pub(crate) mod pipeline_text;
pub mod plan;
pub(crate) mod planning;
pub(crate) mod reference_page;
pub(crate) mod run;
pub(crate) mod sections;
mod system_memory;
pub(crate) mod template;
pub(crate) mod toml_text;

pub use plan::PlanRequest;
pub use planning::plan;

/// One row of the settings reference.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingRow {
    /// Table of the pipeline file, as in `[drift]`.
    pub table: &'static str,
    /// Key inside the table.
    pub key: &'static str,
    /// Default as TOML text; empty where there is none.
    pub default: String,
    /// What is allowed beside the type; empty where the type says it all.
    pub allowed: String,
    /// What the setting does, in one line.
    pub about: String,
}

/// A value that parses but cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingError {
    /// Table of the pipeline file, as in `[drift]`.
    pub table: &'static str,
    /// Key inside the table.
    pub key: &'static str,
    /// What is wrong and what was expected.
    pub message: String,
}

impl SettingError {
    /// Builds the error for one key.
    pub fn new(table: &'static str, key: &'static str, message: impl Into<String>) -> Self {
        Self {
            table,
            key,
            message: message.into(),
        }
    }
}

/// A settings table that can be listed and checked.
pub trait SettingsTable: Default {
    /// Name of the table in the pipeline file.
    const TABLE: &'static str;
    /// One row a key, in declaration order.
    fn rows() -> Vec<SettingRow>;
    /// Its path in the pipeline file, as a list.
    fn paths() -> Vec<&'static str> {
        vec![Self::TABLE]
    }
    /// Takes it out of a pipeline file.
    fn cut(sections: &mut sections::Sections<'_, '_>) -> Self
    where
        Self: serde::de::DeserializeOwned,
    {
        sections.table()
    }
    /// Values that cannot be used: each by its own rule, then those that do not go together.
    fn check(&self) -> Vec<SettingError>;
}

/// Default value as it would be written in TOML; empty for an absent option.
pub fn default_text<T: serde::Serialize>(value: &T) -> String {
    #[derive(serde::Serialize)]
    struct Holder<'a, T> {
        v: &'a T,
    }
    match toml::to_string(&Holder { v: value }) {
        Ok(text) => text.trim().strip_prefix("v = ").unwrap_or("").to_string(),
        Err(_) => String::new(),
    }
}

/// What the rule of a setting allows, in words.
pub fn allowed_by<T>(rule: &dyn allowed::Rule<T>) -> String {
    rule.allowed()
}

/// `errors` and what `rule` says of one value.
pub fn judged<T>(
    mut errors: Vec<SettingError>,
    (table, key): (&'static str, &'static str),
    rule: &dyn allowed::Rule<T>,
    value: &T,
) -> Vec<SettingError> {
    let complaint = rule.complaint(value);
    errors.extend(complaint.map(|message| SettingError::new(table, key, message)));
    errors
}

/// Declares one settings table: struct, serde, defaults, rules and reference rows. After `=>` stands
/// the [`allowed::Rule`] of a key; after `together`, where values must go together, a function from
/// the table to the errors of that.
///
/// ```
/// use driftbook::settings::SettingsTable;
///
/// driftbook::settings! {
///     /// Where coffee is made.
///     pub struct CoffeeSettings in "coffee" {
///         /// Cups a day.
///         cups: u32 = 2 => at_least(1.0),
///     }
/// }
/// let mut settings = CoffeeSettings::default();
/// assert_eq!(settings.cups, 2);
/// settings.cups = 0;
/// assert_eq!(settings.check()[0].key, "cups");
/// ```
#[macro_export]
macro_rules! settings {
    (
        $(#[doc = $about:literal])*
        pub struct $name:ident in $table:literal {
            $( $(#[doc = $doc:literal])* $(#[serde($($serde:tt)*)])* $key:ident : $type:ty = $default:expr $(=> $rule:expr)? ),* $(,)?
        }
        $(together $together:path)?
    ) => {
        $(#[doc = $about])*
        #[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct $name {
            $( $(#[doc = $doc])* $(#[serde($($serde)*)])* pub $key: $type, )*
        }
        impl Default for $name {
            fn default() -> Self {
                Self { $( $key: $default, )* }
            }
        }
        impl $crate::settings::SettingsTable for $name {
            const TABLE: &'static str = $table;
            fn rows() -> Vec<$crate::settings::SettingRow> {
                #[allow(unused_imports)]
                use $crate::settings::allowed::*;
                let value = Self::default();
                vec![ $( $crate::settings::SettingRow {
                    table: $table,
                    key: stringify!($key),
                    default: $crate::settings::default_text(&value.$key),
                    allowed: String::new() $(+ &$crate::settings::allowed_by::<$type>(&$rule))?,
                    about: [$($doc),*].concat().trim().to_string(),
                } ),* ]
            }
            fn check(&self) -> Vec<$crate::settings::SettingError> {
                #[allow(unused_imports)]
                use $crate::settings::allowed::*;
                let errors: Vec<$crate::settings::SettingError> = Vec::new();
                $( $(
                    let errors = $crate::settings::judged(
                        errors,
                        ($table, stringify!($key)),
                        &$rule,
                        &self.$key,
                    );
                )? )*
                $( let errors = [errors, $together(self)].concat(); )?
                errors
            }
        }
    };
}
