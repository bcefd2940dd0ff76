/*! A settings file that is one table of its own, such as that of a simulation. */

use super::SettingError;
use thiserror::Error;

/// Why such a file cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum OneTableError {
    /// It does not parse; the text names the line.
    #[error("{0}")]
    Unreadable(String),
    /// It parses, and some of its values are impossible.
    #[error("{}", lines(.0))]
    Impossible(Vec<SettingError>),
}

fn lines(errors: &[SettingError]) -> String {
    let line = |error: &SettingError| format!("[{}] {}: {}", error.table, error.key, error.message);
    errors.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// Reads `text`; `check` lists what is impossible.
///
/// # Errors
/// The first error with its line, or all impossible values.
pub(crate) fn one_table<T: serde::de::DeserializeOwned>(
    text: &str,
    check: impl Fn(&T) -> Vec<SettingError>,
) -> Result<T, OneTableError> {
    let unreadable = |error: toml::de::Error| OneTableError::Unreadable(error.to_string());
    let settings = toml::from_str(text).map_err(unreadable)?;
    let errors = check(&settings);
    match errors.is_empty() {
        true => Ok(settings),
        false => Err(OneTableError::Impossible(errors)),
    }
}
