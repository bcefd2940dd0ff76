/*! The columns of a table beside the checks, as they are found by their headers and cells. */

use super::super::dates::{Clock, Headed, date_format, headed_as_date};
use super::super::draft::Guess;
use super::super::headers::Headers;
use super::super::sample::{Sample, is_number};
use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::register::{About, ItemStatus, Role};
use crate::records::words::register_words;

pub(super) struct Look<'a> {
    pub(super) samples: &'a [Sample],
    pub(super) checks: &'a Guess,
    pub(super) clock: Clock,
    pub(super) headers: Headers,
}

/// Columns as they are found, each header once.
pub(super) struct Found<'a> {
    pub(super) look: &'a Look<'a>,
    pub(super) taken: Vec<bool>,
    pub(super) columns: Vec<(&'static str, usize)>,
}

impl Found<'_> {
    pub(super) fn take(&mut self, name: &'static str, words: &'static [String]) -> Option<usize> {
        let fits = |i: usize| !self.taken[i] && self.look.fits(name, &self.look.samples[i]);
        let (place, _) = self.look.headers.find_of(words, fits)?;
        self.put(name, place);
        Some(place)
    }

    pub(super) fn put(&mut self, name: &'static str, place: usize) {
        self.taken[place] = true;
        self.columns.push((name, place));
    }

    /// The dates of what is to come, or was no calibration. The first that tells when the next one is due is
    /// read, the others are no column of ours.
    pub(super) fn other_dates(&mut self) -> Vec<usize> {
        let next_due = self.take("next_due", register_words("next_due"));
        let mut places: Vec<usize> = next_due.into_iter().collect();
        let free = |taken: &[bool], i: usize| {
            !taken[i] && self.look.fits("other_dates", &self.look.samples[i])
        };
        for words in ["next_due", "other_dates"].map(register_words) {
            while let Some((place, _)) = self.look.headers.find_of(words, |i| free(&self.taken, i))
            {
                self.taken[place] = true;
                places.push(place);
            }
        }
        places
    }

    pub(super) fn place(&self, name: &str) -> Option<usize> {
        let found = self.columns.iter().find(|(own, _)| *own == name);
        found.map(|(_, place)| *place)
    }
}

impl<'a> Look<'a> {
    pub(super) fn found(&'a self) -> Found<'a> {
        let unnamed = |sample: &Sample| sample.header.trim().is_empty();
        Found {
            look: self,
            taken: self.samples.iter().map(unnamed).collect(),
            columns: Vec::new(),
        }
    }

    /// Where the checks would have a column by its header.
    pub(super) fn headed(&self, column: Column) -> Option<usize> {
        let mut doubts = self.checks.doubts.iter();
        if doubts.any(|doubt| doubt.column == Some(column)) {
            return None;
        }
        let header = self.checks.header(column)?;
        self.samples.iter().position(|s| s.header == header)
    }

    pub(super) fn fits(&self, name: &str, sample: &Sample) -> bool {
        let marks = self.checks.marks();
        let is_date = || date_format(&Headed::ahead(sample)).is_some();
        let numbers = || sample.mostly(|v| is_number(v, marks));
        match name {
            "last_calibration" | "next_due" | "until" | "control_from" | "other_dates"
            | "issued" => headed_as_date(&Headed::ahead(sample), self.clock).is_some(),
            "control_chart" => sample.mostly(|v| About::of(v).is_some()),
            "interval_days"
            | "cap_days"
            | "floor_days"
            | "cost"
            | "cost_out_of_tolerance"
            | "lower"
            | "upper"
            | "measured_error"
            | "sensitivity"
            | "u" => !is_date() && numbers(),
            "reliability_target" => sample.mostly(|v| {
                let share = v.replace(',', ".").parse::<f64>();
                share.is_ok_and(|share| share > 0.0 && share < 1.0)
            }),
            "tolerance" => sample.mostly(has_digit),
            "status" => sample.mostly(|v| ItemStatus::of_word(v).is_some()),
            "role" => sample.mostly(|v| Role::of(v).is_some()),
            _ => !is_date(),
        }
    }
}
