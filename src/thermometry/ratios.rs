/*! W at other fixed points, from sessions that also read the triple point of water.

W = R/R(273.16 K). What changed in W since an earlier session is the part of a change that
updating R at the triple point cannot mend. The relative variances of the two resistances
add up; what they share within a session (resistor, bridge) would lessen the sum and is
not counted, which is on the safe side.
*/

use super::ThermometerFacts;
use super::from_certificate::{FromCertificate, from_certificate};
use super::its90::{FixedPoint, Reference};
use super::range::{RatioChange, ratio_change};
use super::readings::ReadingPoint;
use super::session::SessionResult;
use crate::records::{self, Event};

/// W of one thermometer at one point in one session.
#[derive(Debug, Clone, PartialEq)]
pub struct Ratio {
    /// The session at the point, as a place among the results.
    pub place: usize,
    /// The one at the triple point of water that it is divided by.
    pub water: usize,
    pub point: FixedPoint,
    /// W.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// The part of it that is new with every session.
    pub u_new: f64,
    /// Against the session before at this point; `None` for the first.
    pub since_last: Option<RatioChange>,
    /// Against the first session at this point since the last certificate, adjustment or
    /// replacement; `None` for the first.
    pub since_first: Option<RatioChange>,
    /// Against the coefficients of the certificate, where they cover the point.
    pub from_certificate: Option<FromCertificate>,
}

/// W of `instrument` wherever a triple point of water was read in the same session, or
/// within `within_days` of it; by date. Rejected sessions make none.
pub(crate) fn ratios(
    instrument: &str,
    results: &[SessionResult],
    within_days: f64,
    facts: Option<&ThermometerFacts>,
) -> Vec<Ratio> {
    let usable = |r: &SessionResult| {
        r.instrument == instrument && r.is_accepted() && r.reduced.resistance_ohm > 0.0
    };
    let mut found: Vec<Ratio> = Vec::new();
    for (place, result) in results.iter().enumerate().filter(|(_, r)| usable(r)) {
        let ReadingPoint::Fixed(point) = result.point else {
            continue;
        };
        let waters = results.iter().enumerate().filter(|(_, w)| {
            usable(w)
                && w.point == ReadingPoint::Fixed(FixedPoint::Water)
                && (w.session == result.session || apart(w, result) <= within_days)
        });
        let nearest = waters.min_by(|(_, a), (_, b)| {
            let other = |w: &SessionResult| w.session != result.session;
            (other(a), apart(a, result))
                .partial_cmp(&(other(b), apart(b, result)))
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        let Some((water, _)) = nearest.filter(|_| point != FixedPoint::Water) else {
            continue;
        };
        let mut ratio = divided(results, place, water, point);
        let date = result.date;
        let since = renewed(instrument, results, date, facts);
        let same = |r: &&Ratio| r.point == point && results[r.place].date > since;
        let earlier: Vec<&Ratio> = found.iter().filter(same).collect();
        let against = |before: &&&Ratio| change(results, before, &ratio);
        let (since_first, since_last) = (
            earlier.first().as_ref().map(against),
            earlier.last().as_ref().map(against),
        );
        (ratio.since_first, ratio.since_last) = (since_first, since_last);
        ratio.from_certificate =
            facts.and_then(|f| from_certificate(point, (ratio.value, ratio.u), date, f));
        found.push(ratio);
    }
    found
}

/// Day of the last certificate, adjustment or replacement before `date`: W starts anew there.
fn renewed(
    instrument: &str,
    results: &[SessionResult],
    date: f64,
    facts: Option<&ThermometerFacts>,
) -> f64 {
    let certified = facts.map_or(f64::NEG_INFINITY, |f| f.certified_on(date).from);
    let renewing = |r: &&SessionResult| {
        r.instrument == instrument
            && r.date <= date
            && matches!(
                records::event(&r.event),
                Some(Event::Adjusted | Event::Replaced)
            )
    };
    let event = results.iter().filter(renewing).map(|r| r.date.floor());
    event.fold(certified, f64::max)
}

fn apart(a: &SessionResult, b: &SessionResult) -> f64 {
    (a.date - b.date).abs()
}

fn divided(results: &[SessionResult], place: usize, water: usize, point: FixedPoint) -> Ratio {
    let (at, below) = (&results[place].reduced, &results[water].reduced);
    let value = at.resistance_ohm / below.resistance_ohm;
    let u_of = |at_ohm: f64, water_ohm: f64| {
        value * (at_ohm / at.resistance_ohm).hypot(water_ohm / below.resistance_ohm)
    };
    Ratio {
        place,
        water,
        point,
        value,
        u: u_of(at.budget.u_ohm(), below.budget.u_ohm()),
        u_new: u_of(at.budget.u_random_ohm(), below.budget.u_random_ohm()),
        since_last: None,
        since_first: None,
        from_certificate: None,
    }
}

fn change(results: &[SessionResult], before: &Ratio, now: &Ratio) -> RatioChange {
    let (old, new) = (&results[before.water].reduced, &results[now.water].reduced);
    let slope = Reference::Joined.slope(now.point.kelvin());
    ratio_change(
        now.point,
        (before.value, now.value),
        before.u_new.hypot(now.u_new) / slope * 1000.0,
        new.in_mk(new.resistance_ohm - old.resistance_ohm),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::Thermometers;
    use crate::thermometry::its90::PlatinumRatios;
    use crate::thermometry::ratio_findings::{most_moved, platinum_ratios};
    use crate::thermometry::reduction::BudgetSettings;
    use crate::thermometry::session::{SessionSettings, reduce_sessions};
    use crate::thermometry::testing::read_text;

    /// Resistances of one thermometer at water and zinc in two sessions; between them
    /// `added` Ω was added everywhere.
    fn sessions(added: f64) -> Vec<SessionResult> {
        let mut text = String::from(
            "session,instrument,date,point,resistance_ohm,current_ma,depth_m,cell,delta_deuterium,delta_oxygen_18\n",
        );
        let (water, zinc) = (25.5, 25.5 * FixedPoint::Zinc.reference_ratio());
        for (session, day, more) in [("A", "2026-01-05", 0.0), ("B", "2026-02-05", added)] {
            for (point, ohm) in [("triple point of water", water), ("zinc", zinc)] {
                for minute in 10..22 {
                    let ohm = ohm + more + 1e-7 * f64::from(minute % 2);
                    text += &format!(
                        "{session},TH-1,{day}T09:{minute},{point},{ohm},1,0.2,C-1,-0.06,-0.0085\n"
                    );
                }
            }
        }
        let table = read_text(&text).unwrap();
        assert!(table.rejected.is_empty(), "{:?}", table.rejected);
        let facts = Thermometers::default();
        let (budget, rules) = (BudgetSettings::default(), SessionSettings::default());
        reduce_sessions(&table.readings, &facts, &budget, &rules).results
    }

    /// An added resistance worth +1 mK at the triple point lowers W at zinc by 1.7903 mK
    /// (evaluated independently in Python).
    #[test]
    fn an_added_resistance_moves_w_and_a_scaled_one_does_not() {
        let added = 25.5 * 3.988_528_485e-3 * 1e-3;
        let moved = ratios("TH-1", &sessions(added), 7.0, None);
        assert_eq!(moved.len(), 2);
        near!(moved[0].value, FixedPoint::Zinc.reference_ratio(), 2e-5);
        assert!(moved[0].since_last.is_none());
        let change = moved[1].since_last.clone().unwrap();
        assert!((change.change_mk + 1.7903).abs() < 2e-3, "{change:?}");
        assert!((change.if_added_mk + 1.7903).abs() < 2e-3, "{change:?}");
        assert_eq!(most_moved(&moved).map(|f| f.what), Some(change));
        assert_eq!(platinum_ratios(&moved), PlatinumRatios::default());
        let same = ratios("TH-1", &sessions(0.0), 7.0, None);
        says!(same[1].since_first.clone().unwrap().words, "is not shown");
    }

    #[test]
    fn nothing_to_divide_by_makes_no_ratio() {
        let mut only_zinc = sessions(0.0);
        only_zinc.retain(|r| r.point == ReadingPoint::Fixed(FixedPoint::Zinc));
        assert!(ratios("TH-1", &only_zinc, 7.0, None).is_empty());
        assert!(ratios("TH-2", &sessions(0.0), 7.0, None).is_empty());
    }
}
