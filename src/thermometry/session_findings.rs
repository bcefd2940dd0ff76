/*! From tables of raw readings to everything a report says about each thermometer. */

use super::advice::{Advice, AdviceInput, AdviceSettings, Total, advise, after_rejection};
use super::before_use::{BeforeUse, LastSession, before_use};
use super::closure::DatedChange;
use super::evidence::advice_input;
use super::facts::USUAL_RANGE_C;
use super::found::Confirmable;
use super::its90::{FixedPoint, Platinum, PlatinumKind};
use super::range::{RangeRow, RatioChange, range_curve, range_table};
use super::ratio_findings::{most_moved, off_certificate, platinum};
use super::ratios::{Ratio, ratios};
use super::readings::{RawReading, ReadingPoint, RejectedReading};
use super::session::{SessionResult, reduce_sessions};
use super::{ThermometerFacts, Thermometers, ThermometrySettings};
use crate::records::{Event, date};
use std::collections::BTreeSet;

/// All sessions and what they mean.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SessionFindings {
    /// Every thermometer's sessions, by date.
    pub results: Vec<SessionResult>,
    /// Readings that could not be reduced, and sessions that were rejected, with reasons.
    pub rejected: Vec<RejectedReading>,
    /// One entry a thermometer that was read at the triple point of water, by name.
    pub thermometers: Vec<ThermometerReport>,
    /// What the file of thermometers says of each on the as-of date, those without sessions among them.
    pub known: Thermometers,
    /// Limits of the advice, where a thermometer states none of its own.
    pub limits: AdviceSettings,
}

/// What the sessions say about one thermometer at the triple point of water.
#[derive(Debug, Clone, PartialEq)]
pub struct ThermometerReport {
    /// Identity.
    pub instrument: String,
    /// Its sessions at the triple point of water, as places in [`SessionFindings::results`].
    pub sessions: Vec<usize>,
    /// Advice after the last session; `None` where no value is in use to compare with.
    pub advice: Option<Advice>,
    /// Changes beyond which the rules ask for an anneal and for a withdrawal, mK.
    pub limits_mk: Option<(f64, f64)>,
    /// What the last change means over the range.
    pub range: Vec<RangeRow>,
    /// The same evenly spaced, for a chart.
    pub curve: Vec<RangeRow>,
    /// W at other fixed points, by date.
    pub ratios: Vec<Ratio>,
    /// Whether the platinum carries the scale, by the latest W.
    pub platinum: Confirmable<Platinum>,
    /// Change since the last certificate.
    pub total: Option<Total>,
    /// Longest interval where W was read at no other point since the last certificate, days.
    pub water_only_days: Option<f64>,
    /// Whether it may serve as a reference on the as-of date.
    pub before_use: BeforeUse,
}

/// Points of the range chart.
const CURVE_POINTS: usize = 121;

impl SessionFindings {
    /// What is said about `instrument`.
    pub(crate) fn of(&self, instrument: &str) -> Option<&ThermometerReport> {
        self.thermometers
            .iter()
            .find(|t| t.instrument == instrument)
    }

    /// Number of sessions that become checks.
    pub(crate) fn checks_made(&self) -> usize {
        let accepted = |r: &&&SessionResult| r.is_accepted();
        self.checks().iter().filter(accepted).count()
    }

    /// Thermometers with sessions at another fixed point that form no W, though they were read at the triple point
    /// of water too: name, point and number of such sessions.
    pub(crate) fn without_ratio(&self) -> Vec<(&str, ReadingPoint, usize)> {
        let water = ReadingPoint::Fixed(FixedPoint::Water);
        let mut found: Vec<(&str, ReadingPoint, usize)> = Vec::new();
        for result in self.checks() {
            let elsewhere = matches!(result.point, ReadingPoint::Fixed(_)) && result.point != water;
            let accepted = result.is_accepted();
            if !elsewhere || !accepted || self.of(&result.instrument).is_none() {
                continue;
            }
            let same = |(name, point, _): &&mut (&str, ReadingPoint, usize)| {
                *name == result.instrument && *point == result.point
            };
            match found.iter_mut().find(same) {
                Some((.., count)) => *count += 1,
                None => found.push((&result.instrument, result.point, 1)),
            }
        }
        found
    }

    /// Sessions that become checks of a history: all but those at another fixed point whose
    /// W is known. R there is W times R at the triple point, whose history tells its drift.
    pub(crate) fn checks(&self) -> Vec<&SessionResult> {
        let divided: BTreeSet<usize> = self
            .thermometers
            .iter()
            .flat_map(|t| t.ratios.iter().map(|r| r.place))
            .collect();
        let kept = (0..self.results.len()).filter(|place| !divided.contains(place));
        kept.map(|place| &self.results[place]).collect()
    }
}

impl ThermometerReport {
    /// The change of W that speaks loudest for a change that updating does not mend.
    pub(crate) fn moved(&self) -> Option<Confirmable<RatioChange>> {
        most_moved(&self.ratios)
    }
}

/// Reduces readings and draws the conclusions as of `as_of` (days since 1970-01-01).
pub(crate) fn session_findings(
    readings: &[RawReading],
    facts: &Thermometers,
    settings: &ThermometrySettings,
    as_of: f64,
) -> SessionFindings {
    let known = facts.known_on(as_of);
    let facts = &known;
    let (readings, mut rejected) = known_on(readings, as_of);
    let sessions = reduce_sessions(&readings, facts, &settings.budget, &settings.session);
    rejected.extend(sessions.rejected);
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
    SessionFindings {
        results: sessions.results,
        rejected,
        thermometers,
        limits: settings.advice.clone(),
        known,
    }
}

/// The readings that exist on `as_of`, and those that are dated after it, as rejected ones.
fn known_on(readings: &[RawReading], as_of: f64) -> (Vec<RawReading>, Vec<RejectedReading>) {
    let (known, later): (Vec<_>, Vec<_>) = readings
        .iter()
        .cloned()
        .partition(|r| r.date.floor() <= as_of.floor());
    let after = later.into_iter().map(|r| RejectedReading {
        file: r.file,
        row: r.row,
        column: "date",
        value: date::iso(r.date),
        reason: format!("after the as-of date {}", date::iso(as_of)),
        session_cause: None,
        event: Event::None,
    });
    (known, after.collect())
}

/// What the change of a session means over a range of temperatures: at its points, and evenly spaced.
fn over_range(last: &SessionResult, limits_c: (f64, f64)) -> (Vec<RangeRow>, Vec<RangeRow>) {
    let u_mk = last.u_mk().hypot(last.u_common_mk());
    let change_mk = last.change_from_mk(last.carried_ohm());
    (
        range_table(change_mk, u_mk, limits_c),
        range_curve(change_mk, u_mk, limits_c, CURVE_POINTS),
    )
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
    let (low_c, high_c) = facts.map_or(USUAL_RANGE_C, ThermometerFacts::range_c);
    let ratios = ratios(instrument, results, settings.session.ratio_days, facts);
    let to_silver = high_c >= FixedPoint::Silver.celsius();
    let platinum = platinum(&ratios, to_silver, &settings.platinum);
    let limits = settings.advice.of(facts);
    let claims = facts.is_none_or(|f| f.platinum == PlatinumKind::Standard);
    let compared = facts.zip(last.filter(|r| r.reference_in_use));
    let input = compared.map(|(facts, _)| AdviceInput {
        other_point: most_moved(&ratios),
        certificate: off_certificate(&ratios, limits.u_certificate_mk, limits.coverage_factor),
        platinum: Some(platinum.clone()).filter(|_| claims),
        ..advice_input(&own, facts, &limits)
    });
    let over_range = |last: &&SessionResult| over_range(last, (low_c, high_c));
    let (range, curve) = last.map(over_range).unwrap_or_default();
    let input_total = input.as_ref().and_then(|input| input.total.clone());
    let since = facts.map_or(f64::NEG_INFINITY, |f| f.certified_on(as_of).from);
    let read_elsewhere = ratios.iter().any(|r| results[r.place].date > since);
    let u_change_mk = input.as_ref().map_or(f64::NAN, |input| input.u_change_mk);
    let compared = input.is_some();
    let rejected = last.filter(|r| !r.is_accepted());
    let advice = input
        .map(|input| advise(&input, &limits))
        .or_else(|| Some(after_rejection(&rejected?.reasons())));
    let last_session = last.map(|r| LastSession {
        check: DatedChange {
            u_mk: u_change_mk,
            ..DatedChange::of(r, r.carried_ohm())
        },
        standing: r.standing(),
        value_stated: r.reference_in_use,
        advice: advice.as_ref(),
    });
    ThermometerReport {
        instrument: instrument.to_string(),
        before_use: before_use(last_session, as_of, &settings.around_work),
        limits_mk: compared.then_some((limits.adopt_mk, limits.withdraw_mk)),
        advice,
        range,
        curve,
        ratios,
        platinum,
        total: input_total,
        water_only_days: (!read_elsewhere).then_some(limits.water_only_days),
        sessions,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::advice::AdviceKind;
    use crate::thermometry::testing::read_text;

    /// The invented demo: TH-105 drifts by 0.95 mK a year and wants adopting or annealing,
    /// TH-104 was knocked and annealed, the check standard stays.
    #[test]
    fn the_demo_season_ends_in_advice() {
        let path = |name: &str| format!("{}/data/demo/{name}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(path("triple-point-readings.csv")).unwrap();
        let table = read_text(&text).unwrap();
        let text = std::fs::read_to_string(path("thermometers.toml")).unwrap();
        let facts = Thermometers::from_text(&text).unwrap();
        let findings = session_findings(
            &table.readings,
            &facts,
            &ThermometrySettings::default(),
            20_634.0,
        );
        assert_eq!(findings.thermometers.len(), 6);
        let advice = |name: &str| {
            let report = findings
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
        says!(advice("TH-105").impact, "660");
        assert!(matches!(
            advice("TH-101").kind,
            AdviceKind::Keep | AdviceKind::Adopt
        ));
        assert!(
            findings
                .rejected
                .iter()
                .any(|r| r.reason.contains("check standard TH-101"))
        );
    }
}
