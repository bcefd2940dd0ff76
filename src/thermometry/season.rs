/*! From tables of raw readings to everything a report says about each thermometer. */

use super::advice::{Advice, AdviceInput, advise};
use super::closure::{BeforeUse, DatedChange, before_use};
use super::its90::FixedPoint;
use super::range::{RangeRow, range_table};
use super::readings::{RawReading, ReadingPoint, RejectedReading};
use super::session::{SessionResult, Standing, reduce_sessions};
use super::{ThermometerFacts, Thermometers, ThermometrySettings};
use std::collections::BTreeSet;

/// Highest temperature of use where neither rating nor coefficients state one, °C
/// (freezing point of zinc: the usual range of such thermometers).
const USUAL_MAXIMUM_C: f64 = 419.527;

/// All sessions and what they mean.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Season {
    /// Every thermometer's sessions, by date.
    pub results: Vec<SessionResult>,
    /// Readings that could not be reduced, and sessions that were rejected, with reasons.
    pub rejected: Vec<RejectedReading>,
    /// One entry a thermometer that was read at the triple point of water, by name.
    pub thermometers: Vec<ThermometerReport>,
}

/// What the sessions say about one thermometer at the triple point of water.
#[derive(Debug, Clone, PartialEq)]
pub struct ThermometerReport {
    /// Identity.
    pub instrument: String,
    /// Its sessions at the triple point of water, as places in [`Season::results`].
    pub sessions: Vec<usize>,
    /// Advice after the last session; `None` where no value is in use to compare with.
    pub advice: Option<Advice>,
    /// What the last change means over the range.
    pub range: Vec<RangeRow>,
    /// Whether it may serve as a reference on the as-of date.
    pub before_use: BeforeUse,
}

/// Reduces readings and draws the conclusions as of `as_of` (days since 1970-01-01).
pub fn season(
    readings: &[RawReading],
    facts: &Thermometers,
    settings: &ThermometrySettings,
    as_of: f64,
) -> Season {
    let sessions = reduce_sessions(readings, facts, &settings.budget, &settings.session);
    let mut rejected = sessions.rejected;
    let refused = sessions
        .results
        .iter()
        .filter_map(|r| r.check(settings.unit).err());
    rejected.extend(refused);
    rejected.sort_by_key(|r| (r.file, r.row));
    let water = ReadingPoint::Fixed(FixedPoint::Water);
    let names: BTreeSet<&str> = sessions
        .results
        .iter()
        .filter(|r| r.point == water)
        .map(|r| r.instrument.as_str())
        .collect();
    let thermometers = names
        .into_iter()
        .map(|name| {
            let own: Vec<usize> = (0..sessions.results.len())
                .filter(|&i| {
                    sessions.results[i].instrument == name && sessions.results[i].point == water
                })
                .collect();
            report(
                name,
                own,
                &sessions.results,
                facts.of(name),
                settings,
                as_of,
            )
        })
        .collect();
    Season {
        results: sessions.results,
        rejected,
        thermometers,
    }
}

fn report(
    instrument: &str,
    sessions: Vec<usize>,
    results: &[SessionResult],
    facts: Option<&ThermometerFacts>,
    settings: &ThermometrySettings,
    as_of: f64,
) -> ThermometerReport {
    let own: Vec<&SessionResult> = sessions.iter().map(|&i| &results[i]).collect();
    let last = own.last();
    let (low_c, high_c) = range_of(facts);
    let input = last
        .filter(|r| r.reference_in_use)
        .map(|r| advice_input(r, &own, facts, high_c));
    let range = last.map_or_else(Vec::new, |r| {
        let u_mk = r.u_mk().hypot(r.u_common_mk());
        range_table(r.change_mk(), u_mk, (low_c, high_c))
    });
    let dated = last.map(|r| {
        let change = DatedChange {
            date: r.date,
            change_mk: r.change_mk(),
            u_mk: r.u_mk(),
        };
        (change, r.standing())
    });
    ThermometerReport {
        instrument: instrument.to_string(),
        advice: input.map(|input| advise(&input, &settings.advice)),
        range,
        before_use: before_use(dated, as_of, &settings.around_work),
        sessions,
    }
}

fn advice_input(
    last: &SessionResult,
    own: &[&SessionResult],
    facts: Option<&ThermometerFacts>,
    highest_use_c: f64,
) -> AdviceInput {
    let u_in_use = last
        .reduced
        .in_mk(facts.map_or(0.0, |f| f.u_triple_point_ohm));
    // Sessions at the end of the record that each followed an anneal: the cycles so far.
    let mut after_anneals_mk: Vec<f64> = own
        .iter()
        .rev()
        .take_while(|r| r.event == "annealed" && r.standing() != Standing::Rejected)
        .map(|r| r.change_mk())
        .collect();
    after_anneals_mk.reverse();
    AdviceInput {
        standing: last.standing(),
        session_reasons: last.reasons(),
        change_mk: last.change_mk(),
        u_change_mk: last.u_mk().hypot(u_in_use),
        expected: None,
        after_anneals_mk,
        other_point: None,
        platinum: None,
        maximum_c: facts.and_then(|f| f.maximum_c),
        highest_use_c,
    }
}

/// Range of the coefficients, up to the rating where that is lower, °C.
fn range_of(facts: Option<&ThermometerFacts>) -> (f64, f64) {
    let Some(facts) = facts else {
        return (0.0, USUAL_MAXIMUM_C);
    };
    let rated = facts.maximum_c.unwrap_or(f64::INFINITY);
    let limits = facts.thermometer().map(|t| t.range_c());
    let (low, high) = limits.unwrap_or((0.0, facts.maximum_c.unwrap_or(USUAL_MAXIMUM_C)));
    (low, high.min(rated))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::advice::AdviceKind;
    use crate::thermometry::readings::read_table;
    use std::collections::BTreeMap;

    /// The invented demo: TH-105 drifts by 0.95 mK a year and wants adopting or annealing,
    /// TH-104 was knocked and annealed, the check standard stays.
    #[test]
    fn the_demo_season_ends_in_advice() {
        let path = |name: &str| format!("{}/data/demo/{name}", env!("CARGO_MANIFEST_DIR"));
        let file = std::fs::File::open(path("triple-point-readings.csv")).unwrap();
        let table = read_table(file, &BTreeMap::new()).unwrap();
        let text = std::fs::read_to_string(path("thermometers.toml")).unwrap();
        let facts = Thermometers::from_text(&text).unwrap();
        let season = season(
            &table.readings,
            &facts,
            &ThermometrySettings::default(),
            20_634.0,
        );
        assert_eq!(season.thermometers.len(), 6);
        let advice = |name: &str| {
            let report = season
                .thermometers
                .iter()
                .find(|t| t.instrument == name)
                .unwrap();
            assert!(!report.range.is_empty());
            report.advice.clone().unwrap()
        };
        assert_eq!(
            advice("TH-105").kind,
            AdviceKind::Anneal,
            "{:?}",
            advice("TH-105")
        );
        assert!(advice("TH-105").impact.contains("660"));
        assert!(matches!(
            advice("TH-101").kind,
            AdviceKind::Keep | AdviceKind::Adopt
        ));
        assert!(
            season
                .rejected
                .iter()
                .any(|r| r.reason.contains("check standard TH-101"))
        );
    }
}
