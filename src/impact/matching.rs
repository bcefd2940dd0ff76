/*! Which history a job belongs to: by its names as written, else as a person reads them. */

use super::in_unit::{NoUnit, in_unit};
use super::job::{Job, JobDoubt, unassessed};
use crate::records::screening::alike::{NearNames, looked_up};
use crate::records::{Item, date};
use crate::words::{agreeing, and_others};
use std::borrow::Cow;
use std::collections::HashMap;

/// Rows of the table named in one sentence.
const NAMED: usize = 5;

/// The jobs by history, and those that belong to none.
#[derive(Debug, Clone, Default)]
pub(crate) struct Matches<'a> {
    /// Jobs of each history by date, in the histories' order and in the unit of each.
    pub by_history: Vec<Vec<Cow<'a, Job>>>,
    /// Jobs that name no history, each with why.
    pub unmatched: Vec<JobDoubt>,
    /// What is to be said of names that were read otherwise than written.
    pub notes: Vec<String>,
}

impl<'a> Matches<'a> {
    /// Finds the history of every job. `items` are sorted by instrument and point; jobs dated
    /// after the day `as_of` have not been done yet.
    pub(crate) fn of(jobs: &'a [Job], items: &[Item], as_of: f64) -> Self {
        let names = Names::of(items);
        let mut found = Self {
            by_history: vec![Vec::new(); items.len()],
            ..Self::default()
        };
        let mut read_as: Vec<String> = Vec::new();
        let mut turned = 0;
        for job in jobs {
            match names.find(job, as_of) {
                Ok((histories, as_written)) => {
                    if !as_written {
                        read_as.push(job.job.clone());
                    }
                    for (index, job) in histories {
                        turned += usize::from(matches!(job, Cow::Owned(_)));
                        found.by_history[index].push(job);
                    }
                }
                Err(why) => found
                    .unmatched
                    .push(unassessed(job.clone(), why.to_string())),
            }
        }
        for own in &mut found.by_history {
            own.sort_by(|a, b| a.date.total_cmp(&b.date).then(a.row.cmp(&b.row)));
        }
        found.notes.extend(note(&read_as));
        if turned > 0 {
            found.notes.push(format!(
                "{} in another unit than the checks of the instrument and judged in theirs.",
                format_args!("{turned} {}", agreeing(turned, "job is", "jobs are"))
            ));
        }
        found
    }
}

fn note(read_as: &[String]) -> Option<String> {
    let named = read_as.iter().take(NAMED).cloned().collect::<Vec<_>>();
    let more = and_others(read_as.len() - named.len());
    (!named.is_empty()).then(|| {
        format!(
            "Names that differ from the records' only by case, blanks or the mark of decimals were taken as theirs: job {}{more}.",
            named.join(", ")
        )
    })
}

/// Why a job belongs to no history.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
enum NoMatch {
    #[error(
        "its date {date} lies after the as-of date {as_of}: work that is not done yet cannot be judged; mend the date or leave the row out"
    )]
    NotDone { date: String, as_of: String },
    #[error(
        "\"{name}\" is written as no instrument of the records, and may be any of \"{several}\": write the one meant"
    )]
    SeveralInstruments { name: String, several: String },
    #[error(
        "\"{name}\" names several instruments at once (\"{several}\"): write a row of the job for each of them"
    )]
    InOneCell { name: String, several: String },
    #[error("no check of \"{name}\" is known{near}")]
    NoInstrument { name: String, near: String },
    #[error(transparent)]
    Unit(#[from] NoUnit),
    #[error("\"{instrument}\" has no check at the point \"{point}\"{near}")]
    NoPoint {
        instrument: String,
        point: String,
        near: String,
    },
    #[error(
        "\"{instrument}\" has {points} points that read as \"{point}\": write the one meant as the records do"
    )]
    SeveralPoints {
        instrument: String,
        points: usize,
        point: String,
    },
}

/// The names of the histories, as written and as a person reads them.
struct Names<'a> {
    items: &'a [Item],
    /// First and last + 1 history of each instrument.
    instruments: HashMap<&'a str, (usize, usize)>,
    looked_up: HashMap<String, Vec<&'a str>>,
    near: NearNames<'a>,
}

impl<'a> Names<'a> {
    fn of(items: &'a [Item]) -> Self {
        let mut instruments: HashMap<&str, (usize, usize)> = HashMap::new();
        let mut known: HashMap<String, Vec<&str>> = HashMap::new();
        let mut first = 0;
        for own in items.chunk_by(|a, b| a.instrument == b.instrument) {
            let name = own[0].instrument.as_str();
            instruments.insert(name, (first, first + own.len()));
            known.entry(looked_up(name)).or_default().push(name);
            first += own.len();
        }
        Self {
            items,
            instruments,
            looked_up: known,
            near: NearNames::of(items.iter().map(|item| item.instrument.as_str())),
        }
    }

    /// Histories of the job, and whether its names are written as theirs.
    fn find<'j>(&self, job: &'j Job, as_of: f64) -> Result<(Vec<Of<'j>>, bool), NoMatch> {
        if job.date >= as_of.floor() + 1.0 {
            return Err(NoMatch::NotDone {
                date: date::iso(job.date),
                as_of: date::iso(as_of),
            });
        }
        let (name, same_name) = self.instrument(&job.instrument)?;
        let (first, last) = self.instruments.get(name).copied().unwrap_or_default();
        let own = self.items.get(first..last).unwrap_or_default();
        let (points, same_point) = points(own, name, &job.point)?;
        let each = points
            .into_iter()
            .map(|i| Ok((first + i, in_unit(job, &own[i])?)));
        let histories: Result<Vec<Of<'j>>, NoMatch> = each.collect();
        Ok((histories?, same_name && same_point))
    }

    fn instrument(&self, name: &'a str) -> Result<(&'a str, bool), NoMatch>
    where
        Self: 'a,
    {
        if self.instruments.contains_key(name) {
            return Ok((name, true));
        }
        match self.looked_up.get(&looked_up(name)).map(Vec::as_slice) {
            Some([one]) => Ok((one, false)),
            Some(several) if !several.is_empty() => Err(NoMatch::SeveralInstruments {
                name: name.to_string(),
                several: several.join("\", \""),
            }),
            _ => Err(self
                .in_one_cell(name)
                .unwrap_or_else(|| NoMatch::NoInstrument {
                    name: name.to_string(),
                    near: self.near.words(name),
                })),
        }
    }

    /// Where the name is several in one cell, some of which are known.
    fn in_one_cell(&self, name: &str) -> Option<NoMatch> {
        let parts = name.split(['/', ',', ';', '+', '&', '\n']).map(str::trim);
        let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
        let known = |part: &&str| {
            self.instruments.contains_key(*part) || self.looked_up.contains_key(&looked_up(part))
        };
        (parts.len() > 1 && parts.iter().any(known)).then(|| NoMatch::InOneCell {
            name: name.to_string(),
            several: parts.join("\", \""),
        })
    }
}

/// A history and the job in its unit.
type Of<'a> = (usize, Cow<'a, Job>);

/// Places among `own` of the point, and whether it is written as there.
fn points(own: &[Item], instrument: &str, point: &str) -> Result<(Vec<usize>, bool), NoMatch> {
    if point.is_empty() {
        return Ok(((0..own.len()).collect(), true));
    }
    let places = |same: &dyn Fn(&str) -> bool| -> Vec<usize> {
        let all = own.iter().enumerate();
        all.filter(|(_, item)| same(&item.point))
            .map(|(i, _)| i)
            .collect()
    };
    let written = places(&|known| known == point);
    if !written.is_empty() {
        return Ok((written, true));
    }
    let wanted = looked_up(point);
    let mut read = places(&|known| looked_up(known) == wanted);
    if read.is_empty() {
        let closed = |name: &str| name.replace(' ', "");
        let wanted = closed(&wanted);
        read = places(&|known| closed(&looked_up(known)) == wanted);
    }
    match read.len() {
        1 => Ok((read, false)),
        0 => Err(NoMatch::NoPoint {
            instrument: instrument.to_string(),
            point: point.to_string(),
            near: near_point(own, point),
        }),
        _ => Err(NoMatch::SeveralPoints {
            instrument: instrument.to_string(),
            points: read.len(),
            point: point.to_string(),
        }),
    }
}

/// The point that may be meant, in words: one of that number with a unit behind it, else the nearest name.
fn near_point(own: &[Item], point: &str) -> String {
    let names = || own.iter().map(|item| item.point.as_str());
    let number = looked_up(point);
    let with_unit = |name: &&str| {
        let name = looked_up(name);
        name.split_once(' ')
            .is_some_and(|(first, _)| first == number)
    };
    let of_number: Vec<&str> = names().filter(with_unit).collect();
    match of_number.as_slice() {
        [only] => format!("; there is \"{only}\""),
        _ => NearNames::of(names()).words(point),
    }
}
