/*! The values that a history stated before the new reading, which the reading is compared with. */

use super::stored::Stored;
use crate::drift::adoption::assignment::Assignment;
use crate::drift::adoption::compare::Stated;
use crate::records::{Certificate, History, in_force};

/// Values that were stated before the new reading, with their dates.
pub(crate) struct Earlier {
    /// The last check as left.
    pub last: Stated,
    pub last_date: f64,
    /// The last calibration as left; unknown where a register alone knows of it.
    pub calibration: Stated,
    pub calibration_date: f64,
    /// The value that holds: of the certificate in force, else of the last calibration.
    pub assigned: Stated,
    /// What assigned it.
    pub assignment: Assignment,
    /// The value at the start: of the certificate in force, else of the last event that set it, else
    /// of the first check.
    pub start: Stated,
    pub start_date: f64,
    /// True where a certificate states the value at the start.
    pub certified: bool,
}

impl Earlier {
    /// Those of `history`, which is number `index` of the stored ones.
    pub(crate) fn of(stored: &Stored, index: usize, history: &History<'_>) -> Self {
        let last_row = history.len().saturating_sub(1);
        let calibration_date = history.last_calibration();
        let before_or_on = row_at(history, calibration_date);
        // A register may know of a calibration that no row tells of: its value is unknown.
        let of_a_row =
            before_or_on.filter(|row| history.date[*row].floor() == calibration_date.floor());
        let calibration_row = before_or_on.unwrap_or(last_row);
        let certificates = stored.certificates.get(index);
        let certificates = certificates.map_or(&[][..], Vec::as_slice);
        let of_row = |row| certificates.iter().find(|c| c.row == row).map(certified);
        let calibration =
            of_row(calibration_row).unwrap_or_else(|| stated(history, calibration_row));
        let certificate = in_force(certificates, history, history.len());
        let (start_row, start) = match certificate {
            Some(certificate) => (certificate.row, certified(certificate)),
            None => {
                let row = start_of(history);
                (row, stated(history, row))
            }
        };
        let assigned_row = certificate.map_or(calibration_row, |certificate| certificate.row);
        Self {
            last: stated(history, last_row),
            last_date: history.date[last_row],
            calibration: of_a_row.map_or(Stated::UNKNOWN, |_| calibration),
            calibration_date: of_a_row.map_or(calibration_date, |row| history.date[row]),
            assigned: certificate.map_or(calibration, certified),
            assignment: Assignment::of_row(history, stored.given_of(index), assigned_row),
            start,
            start_date: history.date[start_row],
            certified: certificate.is_some(),
        }
    }
}

/// Row of the check on the day `date`; the last one before it otherwise.
fn row_at(history: &History<'_>, date: f64) -> Option<usize> {
    (0..history.len())
        .rev()
        .find(|&i| history.date[i].floor() <= date)
}

/// Row at which the value held now began: the last event that set it, else the first check.
fn start_of(history: &History<'_>) -> usize {
    (0..history.len())
        .rev()
        .find(|&i| history.happened(i).restarts_level())
        .unwrap_or(0)
}

fn stated(history: &History<'_>, row: usize) -> Stated {
    Stated {
        value: history.left(row),
        u: history.u[row],
    }
}

fn certified(certificate: &Certificate) -> Stated {
    Stated {
        value: certificate.value,
        u: certificate.u,
    }
}
