/*! Every calibration of the past against the value assigned before it and the value that the
checks before it predicted: did it differ, and what was to be carried from then on. */

use super::compare::{Adoption, Fits, Stated, adopt};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Axis;
use crate::drift::state::walk::StateWalk;
use crate::drift::{DriftSettings, Fit, ModelName, Prediction, fit_forecast};
use crate::records::{Certificate, CheckKind, DAYS_PER_YEAR, History, in_force};

/// One calibration and how it compares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PastAdoption {
    /// Row of the history.
    pub row: usize,
    /// Row of the certificate or the calibration that assigned the value before it.
    pub assigned_row: usize,
    /// What was measured: as found.
    pub measured: Stated,
    /// What was assigned: by the certificate in force, else as left at the calibration before.
    pub assigned: Stated,
    /// What the checks before it predicted; `None` where nothing could be predicted.
    pub predicted: Option<Prediction>,
    /// What was left where an event set a new level: that is carried, whatever the comparison says.
    pub left: Option<Stated>,
    /// True where that lies outside the tolerance: nothing is carried before a check confirmed it.
    pub left_outside: bool,
    /// The comparison; `None` where neither the record nor the fit gives an uncertainty.
    pub adoption: Option<Adoption>,
}

/// The latest calibrations of `history`, `most` of them at the most, oldest first, each against
/// the value assigned before it, by one of `certificates` or as left at the calibration before,
/// and against the fit of all checks before it.
///
/// Where the record marks no calibration every check is one. A reading that states no u has
/// that of a reading as the fit before it sees it. The class parameters are those of all
/// records, the later ones included.
pub(crate) fn past_adoptions(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
    certificates: &[Certificate],
    most: usize,
) -> Vec<PastAdoption> {
    let marked = history.kind.contains(&CheckKind::Calibration);
    let valued: Vec<usize> = (0..history.len())
        .filter(|&i| !marked || history.kind[i] == CheckKind::Calibration)
        .filter(|&i| history.as_found[i].is_finite())
        .collect();
    let from = valued.len().saturating_sub(most.saturating_add(1));
    let mut past = PastFits {
        history,
        class,
        settings,
        certificates,
        walk: (settings.model == ModelName::State)
            .then(|| StateWalk::new(history, class, settings)),
        last: None,
    };
    valued[from..]
        .windows(2)
        .map(|pair| compared(&mut past, pair[0], pair[1]))
        .collect()
}

/// Fits of the first checks of a history. The fit with a calibration is most often the one
/// before the next calibration: the last is kept.
struct PastFits<'a> {
    history: &'a History<'a>,
    class: &'a ClassParameters,
    settings: &'a DriftSettings,
    certificates: &'a [Certificate],
    /// The state model makes its fits in one pass.
    walk: Option<StateWalk<'a>>,
    last: Option<(usize, Fit)>,
}

impl PastFits<'_> {
    /// The fit of the first `rows` checks.
    fn of_first(&mut self, rows: usize) -> Fit {
        match (
            self.last.take_if(|(known, _)| *known == rows),
            &mut self.walk,
        ) {
            (Some((_, fit)), _) => fit,
            (None, Some(walk)) => walk.of_first(rows),
            (None, None) => fit_forecast(&self.history.first(rows), self.class, self.settings),
        }
    }
}

fn compared(past: &mut PastFits<'_>, calibrated: usize, row: usize) -> PastAdoption {
    let (history, settings) = (past.history, past.settings);
    let fit = past.of_first(row);
    let x = match settings.axis {
        Axis::Time => history.date[row] / DAYS_PER_YEAR,
        Axis::Usage => history.usage[row],
    };
    let predicted = fit
        .at(x)
        .filter(|p| p.expected.is_finite() && p.u_error.is_finite());
    let of_reading = predicted.map_or(f64::NAN, |p| {
        // The next reading shares the reference's part, the true error does not.
        let own = p.u_error.powi(2) - fit.u_common.powi(2);
        (p.u_reading.powi(2) - own).max(0.0).sqrt()
    });
    let stated = |value: f64, u: f64| Stated {
        value,
        u: if u.is_nan() { of_reading } else { u },
    };
    let measured = stated(history.as_found[row], history.u[row]);
    let certificate = in_force(past.certificates, history, row);
    let (assigned_row, assigned) = match certificate {
        Some(certificate) => (certificate.row, stated(certificate.value, certificate.u)),
        None => (
            calibrated,
            stated(history.left(calibrated), history.u[calibrated]),
        ),
    };
    let adopted = || {
        let after = past.of_first(row + 1);
        let fits = Fits {
            before: &fit,
            after: &after,
        };
        let adoption = adopt(fits, x, measured, assigned, settings.level);
        past.last = Some((row + 1, after));
        adoption
    };
    let known = measured.u > 0.0 && assigned.u >= 0.0;
    PastAdoption {
        row,
        assigned_row,
        measured,
        assigned,
        predicted,
        adoption: known.then(adopted),
        left_outside: (history.tolerance_at(row))
            .is_some_and(|tolerance| !tolerance.contains(history.left(row))),
        left: history
            .happened(row)
            .restarts_level()
            .then(|| stated(history.left(row), history.u[row])),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::adoption::compare::Carry;
    use crate::drift::diagnostics::suspects::tests::class_of_six;
    use crate::drift::testing::*;
    use crate::records::Event;

    /// A steady drift of 0.05 a year, u 0.1: single years do not show it, the prediction holds,
    /// and a jump of 1.5 differs from both.
    #[test]
    fn each_calibration_is_judged_by_what_came_before() {
        let all = class_of_six(&|check| if check == 11 { 1.5 } else { 0.0 });
        let settings = DriftSettings::default();
        let classes = class_parameters(&all, &settings);
        let found = past_adoptions(&all.get(0), classes.of_history(0), &settings, &[], 40);
        assert_eq!(found.len(), 11);
        let judged = |i: usize| found[i].adoption.as_ref().unwrap();
        for i in 3..10 {
            assert!(!judged(i).from_predicted.unwrap().significant, "{i}");
        }
        assert!(judged(10).from_assigned.significant);
        assert!(judged(10).from_predicted.unwrap().significant);
        assert_eq!(judged(10).carry, Carry::Unconfirmed);
        let latest = past_adoptions(&all.get(0), classes.of_history(0), &settings, &[], 2);
        assert_eq!(latest[..], found[9..]);
    }

    /// A certificate states 0.4 at the sixth check: the seventh is held against it, not against the reading.
    #[test]
    fn a_certificate_assigns_until_an_event_sets_the_level_anew() {
        let mut all = class_of_six(&|_| 0.0);
        all.columns.event[8] = Event::Adjusted;
        let settings = DriftSettings::default();
        let classes = class_parameters(&all, &settings);
        let stated = Certificate {
            row: 5,
            value: 0.4,
            u: 0.05,
        };
        let class = classes.of_history(0);
        let found = past_adoptions(&all.get(0), class, &settings, &[stated], 40);
        let (before, after, anew) = (&found[4], &found[6], &found[8]);
        assert_eq!((before.row, before.assigned_row), (5, 4));
        assert_eq!((after.row, after.assigned_row), (7, 5));
        assert_eq!((after.assigned.value, after.assigned.u), (0.4, 0.05));
        assert_eq!((anew.row, anew.assigned_row), (9, 8));
    }

    #[test]
    fn without_u_the_fit_lends_one() {
        let mut all = class_of_six(&|_| 0.0);
        all.columns.u.iter_mut().for_each(|u| *u = f64::NAN);
        let settings = DriftSettings {
            model: ModelName::Line,
            ..DriftSettings::default()
        };
        let classes = class_parameters(&all, &settings);
        let found = past_adoptions(&all.get(0), classes.of_history(0), &settings, &[], 40);
        assert!(found[0].adoption.is_none() && found[0].predicted.is_none());
        assert!(found[5].adoption.is_some() && found[5].measured.u > 0.0);
    }
}
