/*! Rows that could be checks, of an item or a point named as a sum or a mean is: nothing says which
they are. */

use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::collect::Headers;
use crate::records::reading::aside::names_a_sum;
use crate::records::setting_words::SumsAre;

/// The setting that says what they are.
pub(crate) const SUMS_ARE: &str = "sums_are";

/// Refuses files with such rows.
///
/// # Errors
/// The first row of them, and the setting to state.
pub(crate) fn check(
    batches: &[Batch],
    headers: &[Headers],
    file: impl Fn(u32) -> String,
) -> Result<(), LoadError> {
    for batch in batches {
        if headers[batch.file as usize].sums_are != SumsAre::Auto {
            continue;
        }
        let named = |(code, (item, point)): (u32, (&str, &str))| {
            let name = [item, point].into_iter().find(|name| names_a_sum(name))?;
            let at = batch.code.iter().position(|own| *own == code)?;
            Some((batch.row[at], name.trim().to_string()))
        };
        let names = (0u32..).zip(batch.names.iter());
        if let Some((row, name)) = names.filter_map(named).min() {
            let what = format!(
                "row {}: \"{name}\" has a date and a value, and seems to sum other rows up",
                batch.first_row + row
            );
            let mend = "State sums_are = \"aside\" under [checks] (such rows are no checks), or sums_are = \"records\" where it is the name of an item or a point.";
            return Err(LoadError::new(file(batch.file), what, mend).asking(SUMS_ARE));
        }
    }
    Ok(())
}
