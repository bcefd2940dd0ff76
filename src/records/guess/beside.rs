/*! Tables that stand beside the checks: a register of the instruments, jobs done with them.

They are told from checks by what their headers name, and by what they lack: a register has one row an
instrument and no reading, a job its number and no value found before an adjustment. */

mod found;
mod item_names;
mod table;
mod times;

use super::dates::Clock;
use super::dates::length_of_time::means_interval;
use super::doubt::{Answer, Doubt};
use super::draft::Guess;
use super::headers::Headers;
use super::sample::Sample;
use super::stated::Stated;
use crate::records::cells::column::Column;
use crate::records::register::ItemStatus;
use crate::records::words::{job_words, plain, register_words, words};
use found::{Found, Look};
use item_names::ItemNames;
pub(crate) use table::{Beside, Kind};

/// Columns of the register by its own words, the more telling first.
const REGISTER: [&str; 16] = [
    "cap_days",
    "floor_days",
    "interval_days",
    "last_calibration",
    "until",
    "reliability_target",
    "cost_out_of_tolerance",
    "cost",
    "formerly",
    "status",
    "role",
    "control_chart",
    "control_from",
    "criticality",
    "group",
    "description",
];

/// Of these, the ones that hold a few known words: "Valid" or "Overdue" below "Status" is no status of ours.
const OF_KNOWN_WORDS: [&str; 2] = ["status", "role"];

/// Columns of register and jobs by the words that checks have for them.
const SHARED: [Column; 5] = [
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::Unit,
    Column::Point,
];

/// Of the rows of a register, those that name an item for the first time: nineteen in twenty, since
/// someone may have entered one twice.
const DISTINCT: (usize, usize) = (19, 20);

/// Rows of a register of which one may name an item again all the same: nineteen in twenty of few rows are all of them.
/// Our own choice, no source.
const ONE_AGAIN: usize = 4;

/// What the columns `samples` are beside checks; `None` where they are none of it. `checks` is what
/// they would be as checks.
pub(super) fn beside(samples: &[Sample], checks: &Guess, clock: Clock) -> Option<Beside> {
    let look = Look {
        samples,
        checks,
        clock,
        headers: Headers::of(samples.iter().map(|sample| sample.header.as_str())),
    };
    look.jobs().or_else(|| look.register())
}

impl Look<'_> {
    fn register(&self) -> Option<Beside> {
        let first = self.headed(Column::Instrument)?;
        let named = self.named_as_items();
        let others = named.iter().copied().filter(|place| *place != first);
        let mut places = std::iter::once(first).chain(others);
        let mut register = places.find_map(|place| self.register_by(place))?;
        let item_names = named.iter().map(|place| ItemNames {
            header: self.samples[*place].header.clone(),
            names: self.samples[*place].values().map(str::to_string).collect(),
        });
        register.item_names = item_names.collect();
        Some(register)
    }

    /// Columns whose headers and cells may name instruments, the more telling first.
    fn named_as_items(&self) -> Vec<usize> {
        let mut places: Vec<usize> = Vec::new();
        let free = |places: &[usize], i: usize| {
            !places.contains(&i) && self.fits("instrument", &self.samples[i])
        };
        while let Some((place, _)) = self.headers.find(Column::Instrument, |i| free(&places, i)) {
            places.push(place);
        }
        places
    }

    /// A register whose instruments the column at `place` names.
    fn register_by(&self, place: usize) -> Option<Beside> {
        let mut found = self.found();
        found.put("instrument", place);
        let other_dates = found.other_dates();
        for name in REGISTER {
            found.take(name, register_words(name));
        }
        // A description alone makes no register, nor does a column in which nothing stands.
        let tells = |(name, place): &&(&str, usize)| {
            !["instrument", "description"].contains(name)
                && self.samples[*place].values().next().is_some()
        };
        let own = found.columns.iter().filter(tells).count();
        for column in SHARED {
            found.take(column.name(), words(column));
        }
        let limits = ["lower", "upper", "tolerance"];
        let limited = limits.iter().any(|name| found.place(name).is_some());
        let reading = [Column::AsFound, Column::AsLeft, Column::InTolerance]
            .iter()
            .any(|column| self.headed(*column).is_some());
        let last = found.place("last_calibration");
        let of_register = |place: usize| {
            let own = [last, found.place("until"), found.place("control_from")];
            own.contains(&Some(place)) || other_dates.contains(&place)
        };
        let date = self.headed(Column::Date);
        let checked = date.is_some_and(|place| !of_register(place));
        let is = (own > 0 || limited) && self.one_row_an_item(&found) && !(reading && checked);
        is.then(|| self.made(Kind::Register, found, !(reading && last.is_some())))
    }

    /// True where each row names another item.
    fn one_row_an_item(&self, found: &Found<'_>) -> bool {
        let sample = |name| found.place(name).map(|place| &self.samples[place]);
        let Some(instruments) = sample("instrument") else {
            return false;
        };
        let rows = instruments.values().count();
        let different = match sample("point") {
            Some(points) => instruments.distinct() * points.distinct().max(1),
            None => instruments.distinct(),
        };
        let one_again = rows >= ONE_AGAIN && rows - different.min(rows) <= 1;
        rows > 0 && (one_again || different * DISTINCT.1 >= rows * DISTINCT.0)
    }

    fn jobs(&self) -> Option<Beside> {
        let mut found = self.found();
        let job = found.take("job", job_words("job"));
        let used = found.take("instrument", job_words("instrument"));
        if job.is_none() {
            used?;
            found.take("job", job_words("certificate"))?;
        }
        if used.is_none() {
            let place = self.headed(Column::Instrument)?;
            (!found.taken[place]).then(|| found.put("instrument", place))?;
        }
        match self.headed(Column::Date) {
            Some(date) => (!found.taken[date]).then(|| found.put("date", date))?,
            None => {
                let place = found.take("issued", job_words("issued"))?;
                found.columns.retain(|(name, _)| *name != "issued");
                found.put("date", place);
            }
        }
        let own = ["measured_error", "sensitivity", "calibrates"]
            .map(|name| found.take(name, job_words(name)).is_some());
        let reading = self.headed(Column::AsFound).is_some();
        if found.place("measured_error").is_none() {
            found.take("measured_error", job_words("error"));
        }
        let exact = |i: usize| self.samples[i].header.trim() == "u";
        match (0..self.samples.len()).find(|i| exact(*i) && !found.taken[*i]) {
            Some(place) => found.put("u", place),
            None => {
                found.take("u", job_words("u"));
            }
        }
        for column in SHARED {
            found.take(column.name(), words(column));
        }
        // What only a record of the instrument itself has.
        let record = [Column::AsLeft, Column::Nominal, Column::Event];
        if record.iter().any(|column| self.headed(*column).is_some()) {
            return None;
        }
        // A column of what was used, and none of what was calibrated.
        let alone = used.is_some() && self.headed(Column::Instrument) == used;
        let sure = own.contains(&true) || alone || !reading;
        Some(self.made(Kind::Jobs, found, sure))
    }

    fn made(&self, kind: Kind, mut found: Found<'_>, sure: bool) -> Beside {
        let mut beside = Beside {
            kind,
            sheet: String::new(),
            columns: Vec::new(),
            ignored: Vec::new(),
            delimiter: self.checks.delimiter,
            encoding: self.checks.encoding,
            to_state: Stated::default(),
            to_check: Vec::new(),
            doubts: Vec::new(),
            sure,
            item_names: Vec::new(),
            off: Vec::new(),
        };
        if self.checks.decimal_comma {
            beside.to_state.set("decimal_comma", "true");
        }
        let format = self.dates(&mut beside, &found);
        if kind == Kind::Register {
            self.intervals(&mut beside, &mut found, &format);
        }
        found.columns.sort_by_key(|(_, place)| *place);
        let header = |place: usize| self.samples[place].header.clone();
        let columns = found.columns.iter();
        beside.columns = columns
            .map(|(name, place)| (*name, header(*place)))
            .collect();
        let mapped = |header: &String| beside.columns.iter().any(|(_, own)| own == header);
        let headers = (0..self.samples.len()).map(header);
        beside.ignored = headers
            .filter(|h| !h.trim().is_empty() && !mapped(h))
            .collect();
        let unstated = ["interval_days", "next_due"]
            .iter()
            .all(|name| found.place(name).is_none());
        let unread = beside.ignored.iter().find(|header| means_interval(header));
        if let Some(header) = unread.filter(|_| kind == Kind::Register && unstated) {
            let words = format!(
                "\"{header}\" is not read and tells the interval in use, which nothing else in the register states: what is due, overdue, kept or extended counts from it. Write it as a number with its unit (12 months), or as dates, or state one interval for all by current_interval_days under [intervals]."
            );
            let doubt = Doubt::new("register_interval_not_read", words);
            beside.doubts.push(doubt.or(
                "the interval under [intervals] is that of all items",
                Answer::AsTaken,
            ));
        }
        beside.doubts.extend(self.status_in_unknown_words(&beside));
        let named = |name: &&str| beside.ignored.iter().any(|header| plain(header) == **name);
        beside.off = OF_KNOWN_WORDS.into_iter().filter(named).collect();
        beside
    }

    /// A doubt where a column of status is not read, since most of its words are unknown, though some of them
    /// says that an item is not in use.
    fn status_in_unknown_words(&self, beside: &Beside) -> Option<Doubt> {
        let is_status = |sample: &&Sample| {
            beside.kind == Kind::Register
                && beside.ignored.contains(&sample.header)
                && register_words("status").contains(&plain(&sample.header))
        };
        let status = self.samples.iter().find(is_status)?;
        let says_other = |text: &&str| {
            ItemStatus::of_word(text).is_some_and(|status| status != ItemStatus::InUse)
        };
        let out = status.values().find(says_other)?;
        let unknown = status
            .values()
            .find(|text| ItemStatus::of_word(text).is_none())?;
        let words = format!(
            "\"{}\" is not read: it says \"{out}\" of an item, but words such as \"{unknown}\" are not known, and all items are taken for those in use. Write its cells as in_use, lent, stored, retired or lost, and map status to it.",
            status.header
        );
        let doubt = Doubt::new("register_status_not_read", words);
        Some(doubt.or("all items are in use", Answer::AsTaken))
    }
}
