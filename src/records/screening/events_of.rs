/*! Whether what is told at one point of an instrument holds at its others: a certificate of ten points says once
that the instrument was repaired, and an adjustment may be of one range alone. */

use crate::records::settings::words::EventsOf;
use crate::records::{Event, Histories, Item, Warning, date};
use crate::words::{agreeing, count};
use std::collections::BTreeMap;
use std::ops::Range;

/// Applies the setting, and tells of what changes the whole instrument and stands at some of its points alone.
pub(crate) fn settle(histories: &mut Histories, events_of: EventsOf) -> Vec<Warning> {
    let mut warnings = Vec::new();
    let mut first = 0;
    let items = std::mem::take(&mut histories.items);
    for own in items.chunk_by(|a, b| a.instrument == b.instrument) {
        let points = first..first + own.len();
        first = points.end;
        if own.len() > 1 {
            let silent = silent_rows(histories, points);
            match events_of {
                EventsOf::Instrument => silent
                    .iter()
                    .for_each(|silent| histories.columns.event[silent.row] = silent.event),
                EventsOf::Point => warnings.extend(told(&items, &silent)),
            }
        }
    }
    histories.items = items;
    warnings
}

/// A check without event on a day on which another point of its instrument has one.
struct Silent {
    row: usize,
    event: Event,
    /// The history that tells it, and the day.
    told_by: usize,
    day: f64,
}

/// Such checks of the histories at `points`, in their order.
fn silent_rows(histories: &Histories, points: Range<usize>) -> Vec<Silent> {
    let columns = &histories.columns;
    let rows = |history: usize| histories.offsets[history]..histories.offsets[history + 1];
    // What ends the drift goes before what resets the value alone, and the first point that tells of it.
    let mut told: BTreeMap<i64, (Event, usize)> = BTreeMap::new();
    for history in points.clone() {
        for row in rows(history).filter(|row| columns.event[*row] != Event::None) {
            let (event, day) = (columns.event[row], columns.date[row].floor() as i64);
            let standing = told.entry(day).or_insert((event, history));
            if event.restarts_drift() && !standing.0.restarts_drift() {
                *standing = (event, history);
            }
        }
    }
    let mut silent = Vec::new();
    for history in points {
        let days: Vec<usize> = rows(history).collect();
        let days = days.chunk_by(|a, b| columns.date[*a].floor() == columns.date[*b].floor());
        for day in days {
            let Some(last) = day.last() else { continue };
            let date = columns.date[*last].floor();
            let states = day.iter().any(|row| columns.event[*row] != Event::None);
            if let Some((event, told_by)) = told.get(&(date as i64))
                && !states
            {
                silent.push(Silent {
                    row: *last,
                    event: *event,
                    told_by: *told_by,
                    day: date,
                });
            }
        }
    }
    silent
}

/// One warning an instrument, of what changes the whole of it: an adjustment may be of one point.
fn told(items: &[Item], silent: &[Silent]) -> Option<Warning> {
    let whole = silent.iter().filter(|silent| silent.event.restarts_drift());
    let rows = whole.clone().count();
    let first = whole.min_by(|a, b| a.day.total_cmp(&b.day))?;
    let item = &items[first.told_by];
    let words = format!(
        "it was {} on {}, as the row of {} says, and {} of its other points of such days {} nothing: their drift goes on across it. State it in their rows too, or events_of = \"instrument\" under [checks], where it is of the whole instrument",
        first.event.word(),
        date::iso(first.day),
        item.point,
        count(rows, "check"),
        agreeing(rows, "says", "say")
    );
    Some(Warning::new(item.instrument.clone(), words))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::load_files;
    use crate::records::{ChecksSettings, Loaded, RegisterSettings};

    const ROWS: &str = "instrument,point,date,as_found,event\n\
        M,1 V,2020-01-05,1,\nM,10 V,2020-01-05,1,\nN,1 V,2020-01-05,1,\n\
        M,1 V,2021-01-05,1,REPAIRED\nM,10 V,2021-01-05,1,\nN,1 V,2021-01-05,1,\n\
        M,1 V,2022-01-05,1,adjusted\nM,10 V,2022-01-05,1,\n";

    fn loaded(event: &str, events_of: EventsOf) -> Loaded {
        let checks = ChecksSettings {
            events_of,
            ..ChecksSettings::default()
        };
        let text = ROWS.replace("REPAIRED", event);
        load_files(&[("f.csv", text)], (&checks, &RegisterSettings::default())).unwrap()
    }

    fn events(loaded: &Loaded, point: &str) -> Vec<Event> {
        let mut histories = loaded.histories.iter();
        let own = histories.find(|h| h.item.instrument == "M" && h.item.point == point);
        own.unwrap().event.to_vec()
    }

    fn told(loaded: &Loaded) -> Vec<String> {
        let all = loaded.warnings.iter().map(ToString::to_string);
        all.filter(|words| words.contains("events_of")).collect()
    }

    #[test]
    fn what_changes_the_whole_instrument_is_told_where_other_points_are_silent() {
        let loaded = loaded("repaired", EventsOf::Point);
        assert_eq!(events(&loaded, "10 V"), [Event::None; 3]);
        let told = told(&loaded);
        assert_eq!(told.len(), 1);
        let words = "M: it was repaired on 2021-01-05, as the row of 1 V says, and 1 check";
        assert!(told[0].starts_with(words), "{told:?}");
    }

    #[test]
    fn an_adjustment_may_be_of_one_point() {
        assert_eq!(
            told(&loaded("adjusted", EventsOf::Point)),
            Vec::<String>::new()
        );
    }

    #[test]
    fn events_of_the_instrument_hold_at_all_its_points_that_day() {
        let loaded = loaded("repaired", EventsOf::Instrument);
        let wanted = [Event::None, Event::Repaired, Event::Adjusted];
        assert_eq!(events(&loaded, "10 V"), wanted);
        assert_eq!(events(&loaded, "1 V"), wanted);
        assert_eq!(told(&loaded), Vec::<String>::new());
        let mut others = loaded.histories.iter();
        let other = others.find(|h| h.item.instrument == "N").unwrap();
        assert_eq!(other.event, [Event::None; 2]);
    }
}
