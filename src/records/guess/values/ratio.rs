/*! Readings divided by their nominal values, which are no errors. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::is_ratio;
use crate::records::guess::sample::Sample;

/// Asks about readings whose header says that they are ratios: no nominal value is subtracted from a ratio.
pub(crate) fn about_ratio(_: &[Sample], guess: &Guess) -> Option<Doubt> {
    let header = header_of(guess, Column::AsFound).filter(|header| is_ratio(header))?;
    let words = format!(
        "\"{header}\" seems to hold ratios, such as a reading divided by its nominal value, and no errors: write errors in their place, (ratio - 1) × nominal value, in the unit of the limits. Where the limits are of the ratio itself (0.995 and 1.005), nominal = false under columns reads it as it stands."
    );
    let doubt = Doubt::new("ratio", words);
    Some(match guess.reads(Column::Nominal) {
        true => doubt
            .or(
                "the limits are of the ratio itself",
                Answer::Off(Column::Nominal),
            )
            .or("they are values or errors", Answer::AsTaken),
        false => doubt.or("the limits are of the ratio itself", Answer::AsTaken),
    })
}
