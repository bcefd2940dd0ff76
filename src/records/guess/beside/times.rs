/*! How a table beside the checks states dates and lengths of time. */

use super::super::dates::length_of_time::{INTERVAL_IN, UnitOfTime, unit_of_time};
use super::super::dates::{Headed, headed_as_date};
use super::super::doubt::{Answer, Doubt};
use super::super::said::own_facts::{about_months, other_format};
use super::super::sample::Sample;
use super::found::{Found, Look};
use super::table::{Beside, Kind};
use crate::records::cells::number::written::is_no_number;
use crate::records::cells::unit::length_of_time::with_unit;
use crate::settings::toml_text::quoted;

impl Look<'_> {
    /// The format of the dates: that of the first column of them, empty where none has one of its own.
    pub(super) fn dates(&self, beside: &mut Beside, found: &Found<'_>) -> String {
        let named = ["date", "last_calibration", "next_due", "until"];
        let mut places = named
            .iter()
            .filter_map(|name| Some((*name, &self.samples[found.place(name)?])));
        let format = places.find_map(|(name, sample)| {
            let column = match name {
                "next_due" | "until" => Headed::ahead(sample),
                _ => Headed::past(sample, self.clock),
            };
            headed_as_date(&column, self.clock)
        });
        let Some(format) = format else {
            return String::new();
        };
        if !format.format.is_empty() {
            beside.take(&Answer::Dates(format.format.clone()));
        }
        let name = match beside.kind {
            Kind::Register => "register_dates",
            Kind::Jobs => "jobs_dates",
        };
        let doubt = format.doubt.map(|doubt| Doubt { name, ..doubt });
        beside.doubts.extend(doubt);
        let due = found.place("next_due").map(|place| &self.samples[place]);
        let other = due.and_then(|due| {
            let own = headed_as_date(&Headed::ahead(due), self.clock)?;
            other_format(due, &own, &format.format)
        });
        if let Some(other) = other {
            beside.take(&Answer::State("next_due_format", quoted(&other.format)));
            beside
                .doubts
                .extend(about_months(&other, "next_due_format"));
        }
        format.format
    }

    /// A doubt where some cells of the intervals are no lengths of time: the interval of all would count for them.
    fn unread_interval(&self, headers: &[String]) -> Option<Doubt> {
        let unread = |text: &&str| {
            let number = text.replace(',', ".").parse::<f64>();
            with_unit(text).is_none() && number.is_err() && !is_no_number(text)
        };
        let own = |sample: &&Sample| headers.contains(&sample.header);
        let mut samples = self.samples.iter().filter(own);
        let (header, text) =
            samples.find_map(|sample| Some((&sample.header, sample.values().find(unread)?)))?;
        let words = format!(
            "\"{header}\" has cells that are no lengths of time (\"{text}\"): for such items the interval under [intervals] counts. Write them as numbers with their unit, such as 12 months."
        );
        let doubt = Doubt::new("register_interval_not_read", words);
        Some(doubt.or("the interval under [intervals] is theirs", Answer::AsTaken))
    }

    /// The unit of the intervals by the dates between which they lie.
    fn unit_by_dates(&self, found: &Found<'_>, format: &str) -> Option<UnitOfTime> {
        let sample = |name: &str| found.place(name).map(|place| &self.samples[place]);
        let dates = [sample("last_calibration")?, sample("next_due")?];
        UnitOfTime::by_dates(sample("interval_days")?, dates, format)
    }

    /// The unit of the intervals, by their headers; where none states it, by their size, or asked.
    pub(super) fn intervals(&self, beside: &mut Beside, found: &mut Found<'_>, format: &str) {
        let names = ["interval_days", "cap_days", "floor_days"];
        let stated = |found: &Found<'_>| {
            let places = names.iter().filter_map(|name| found.place(name));
            let headers = places.map(|place| self.samples[place].header.clone());
            headers.collect::<Vec<String>>()
        };
        let headers = stated(found);
        let Some(first) = headers.first() else {
            return;
        };
        beside.doubts.extend(self.unread_interval(&headers));
        let units: Vec<_> = headers.iter().filter_map(|h| unit_of_time(h)).collect();
        let unit = match units.split_first() {
            Some((unit, others)) if others.iter().all(|other| other == unit) => {
                UnitOfTime::Stated(*unit)
            }
            Some(_) => {
                beside.to_check.push(format!(
                    "\"{}\" state lengths of time in several units: none of them is read.",
                    headers.join("\", \"")
                ));
                found.columns.retain(|(name, _)| !names.contains(name));
                return;
            }
            None => self.unit_by_dates(found, format).unwrap_or_else(|| {
                let places = names.iter().filter_map(|name| found.place(name));
                UnitOfTime::by_size(places.flat_map(|place| self.samples[place].values()))
            }),
        };
        let which = format!("The register's \"{first}\"");
        let (value, doubt) = unit.drafted("register_interval", &which);
        beside.to_state.set(INTERVAL_IN, value);
        beside.doubts.extend(doubt);
    }
}
