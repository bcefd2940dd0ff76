/*! What the words of events mean, and remarks that tell of events. */

use crate::records::Event;
use crate::records::cells::column::Column;
use crate::records::cells::field::{self};
use crate::records::cells::row::said::{answer, asked_event, said_beside_events, spoken_of};
use crate::records::guess::doubt::{Answer, Doubt, EVENT_WORDS, EVENTS_IN_REMARKS};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::said::event_words::EventWords;
use crate::records::guess::sample::Sample;
use crate::words::quoted_list;
use std::collections::{BTreeMap, BTreeSet};

pub(crate) fn about_events(samples: &[Sample], guess: &mut Guess) {
    let Some(header) = header_of(guess, Column::Event) else {
        return;
    };
    let sample = guess.sample(samples, Column::Event);
    // "Adjusted?" is answered by yes and no.
    let asked = asked_event(&header).is_some();
    let known = |text: &str| {
        asked && answer(text).is_some()
            || field::event(text).is_some()
            || said_beside_events(text).is_some()
    };
    let unknown: BTreeSet<&str> = sample
        .into_iter()
        .flat_map(Sample::values)
        .filter(|text| !known(text))
        .take(1000)
        .collect();
    let answers: Vec<&&str> = unknown
        .iter()
        .filter(|text| answer(text).is_some())
        .collect();
    if let Some(first) = answers.first() {
        let words = format!(
            "\"{header}\" holds answers (\"{first}\"), and its header asks for no event that is known: they are read as none. State what they mean, as in \"{first}\" = \"adjusted\" under [checks.events]."
        );
        let doubt = Doubt::new("event_answers", words);
        let doubt = doubt.or("nothing that moves the value was done", Answer::AsTaken);
        guess.doubts.push(doubt);
        return;
    }
    let silent: Vec<&&str> = unknown
        .iter()
        .filter(|text| spoken_of(text).event == Event::None)
        .collect();
    if !silent.is_empty() {
        guess.to_check.push(format!(
            "Words in \"{header}\" that are read as no event: {}; give them a meaning under events.",
            quoted_list(silent.iter().take(5))
        ));
    }
    let own = EventWords::of(unknown);
    if !own.is_empty() {
        let words = format!(
            "\"{header}\" speaks of events in words of its own.{}",
            own.told()
        );
        let doubt = Doubt::new(EVENT_WORDS, words).or("each was done", Answer::AsTaken);
        guess.doubts.push(doubt);
        guess.event_words = own;
    }
}

/// Asks about a column that is not read and tells of adjustments or the like, where no column of
/// events is read.
pub(crate) fn about_events_in_remarks(samples: &[Sample], guess: &mut Guess) {
    if guess.reads(Column::Event) || guess.is_wide(Column::Event) {
        return;
    }
    // What the outcome of the row tells already ("FAIL - adjusted") is read.
    let outcomes = guess.sample(samples, Column::InTolerance);
    let told: BTreeMap<u32, Event> = outcomes
        .into_iter()
        .flat_map(Sample::by_row)
        .map(|(row, text)| (row, spoken_of(text).event))
        .collect();
    let event = |(row, text): &(u32, &str)| {
        let event = spoken_of(text).event;
        event != Event::None && told.get(row) != Some(&event)
    };
    let found = guess
        .not_read(samples)
        .into_iter()
        .find_map(|s| Some((s.header.clone(), s.by_row().find(event)?.1)));
    if let Some((header, text)) = found {
        let remarks = samples.iter().filter(|s| s.header == header);
        guess.event_words = EventWords::of(remarks.flat_map(Sample::values));
        let own = guess.event_words.told();
        let words = format!(
            "\"{header}\" is not read and tells of events (\"{text}\"): an adjustment changes what the values after it mean. It is read by event = \"{header}\" under columns.{own}"
        );
        let doubt = Doubt::new(EVENTS_IN_REMARKS, words)
            .or("read it as the events", Answer::Map(Column::Event, header))
            .or("remarks alone, nothing was done", Answer::AsTaken);
        guess.doubts.push(doubt);
    }
}
