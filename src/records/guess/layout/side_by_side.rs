/*! Two tables beside each other in one file or sheet: one is read, and the other is asked about. */

use crate::records::cells::marks::Marks;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::sample::Sample;

/// How many columns the first table has, where a blank column parts it from another table with dates and
/// numbers; `is_date` tells of each column whether it holds dates.
pub(crate) fn first_table(samples: &[Sample], is_date: &[bool]) -> usize {
    let numbers = |sample: &Sample| {
        [true, false]
            .map(Marks::with_thousands)
            .iter()
            .any(|marks| sample.holds_numbers(*marks))
    };
    let is_table = |places: std::ops::Range<usize>| {
        let mut own = places.clone();
        let mut others = places;
        own.any(|i| is_date[i]) && others.any(|i| !is_date[i] && numbers(&samples[i]))
    };
    let blank = |i: &usize| {
        let sample = &samples[*i];
        sample.header.trim().is_empty() && sample.values().next().is_none()
    };
    let parts = |i: &usize| is_table(0..*i) && is_table(*i + 1..samples.len());
    (0..samples.len())
        .filter(blank)
        .find(parts)
        .unwrap_or(samples.len())
}

/// The question about the columns of the other tables.
pub(crate) fn about_tables_beside(others: &[Sample]) -> Option<Doubt> {
    let headers = others.iter().map(|sample| sample.header.trim());
    let headers: Vec<String> = headers
        .filter(|header| !header.is_empty())
        .map(|header| format!("\"{header}\""))
        .collect();
    let first = headers.first()?;
    let words = format!(
        "Behind a blank column stands another table ({}), which is not read: put it into a file or a sheet of its own.",
        headers.join(", ")
    );
    let doubt = Doubt::new("tables_beside", words);
    Some(doubt.or(
        format!("what begins with {first} is left out"),
        Answer::AsTaken,
    ))
}
