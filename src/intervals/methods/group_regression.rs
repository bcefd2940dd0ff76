/*! Group regression: the change since the last calibration against the time since then.

Over all calibrations of a group the law of change is fitted by regression through
the origin ([`ChangeLaw`]); the interval is the first time at which the item, left
at e with standard uncertainty u₀, is in tolerance with a probability below the
target. Changes are taken as shares of each item's tolerance, so that points of
different range can be pooled. The scatter holds the noise of both readings, so u₀
is counted twice in part: on the safe side. Neighbouring changes of an unadjusted
item share a reading, so the variance of the mean is somewhat overstated.
*/

use crate::intervals::change_law::sums::ChangeSums;
use crate::intervals::no_proposal::NoProposal;
use crate::intervals::search::{Crossing, first_below};
use crate::intervals::{
    ChangeLaw, Evidence, GroupEvidence, Method, MethodName, Order, Proposal, Proposed, Scatter,
};
use crate::records::{DAYS_PER_YEAR, Tolerance};
use crate::words::{count, days, figure, percent, plus_minus, significant};

crate::settings! {
    /// Group regression: change since the last calibration against time, over the group.
    pub struct GroupRegressionSettings in "intervals.group_regression" {
        /// Scatter of the changes: "growing" (variance in proportion to time) or "constant".
        scatter: Scatter = Scatter::Growing,
        /// Mean change with time: "tested" (quadratic where the times are spread twofold and an F test at 5 % keeps the square), "linear" or "quadratic".
        order: Order = Order::Tested,
        /// Fewest changes for a regression.
        fewest: u32 = 5 => at_least(2.0),
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct GroupRegression {
    pub settings: GroupRegressionSettings,
}

/// Panels of the first look; the curve is smooth.
const PANELS: usize = 24;

impl Method for GroupRegression {
    fn name(&self) -> MethodName {
        MethodName::GroupRegression
    }

    fn asks_group(&self) -> bool {
        true
    }

    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposed {
        let tolerance = evidence.tolerance.ok_or(NoProposal::NoTolerance)?;
        let own;
        let (sums, whose) = if group.name.is_empty() {
            own = group.alone(&evidence.history);
            (&own.changes, "the item".to_string())
        } else {
            (&group.changes, format!("group \"{}\"", group.name))
        };
        if sums.n < u64::from(self.settings.fewest) {
            return Err(NoProposal::FewChanges {
                whose,
                known: sums.n,
                needed: self.settings.fewest,
            });
        }
        let law = ChangeLaw::fit(sums, self.settings.scatter, self.settings.order)
            .ok_or(NoProposal::NoRegression)?;
        let start = left_at_last_calibration(evidence)?;
        let half = tolerance.half_width();
        let shares = (tolerance.lower() / half, tolerance.upper() / half);
        let (error, variance) = (start.0 / half, (start.1 / half).powi(2));
        let probability = |t: f64| law.probability_in(t, error, variance, shares);
        let cap = evidence.cap;
        let panels: Vec<f64> = (1..=PANELS)
            .map(|j| cap * (j as f64 / PANELS as f64).powi(2))
            .collect();
        let target = percent(evidence.target);
        let (interval, finding) = match first_below(evidence.target, 0.0, &panels, probability) {
            Crossing::AtStart => (0.0, format!("is below {target} from the start")),
            Crossing::At(t) => (t, format!("stays at or above {target} for {}", days(t))),
            Crossing::Beyond => (cap, format!("stays above {target} for {}", days(cap))),
        };
        let beyond = match interval > sums.longest {
            true => format!(
                "; no change over more than {} was seen, so beyond that the fitted law decides, not the records",
                days(sums.longest)
            ),
            false => String::new(),
        };
        let reason = format!(
            "left at {}, and changing like {whose}, its probability in tolerance {finding}{beyond}",
            figure(start.0, &evidence.history.item.unit)
        );
        Ok(Proposal::of(
            self.name(),
            interval,
            sums.n as f64,
            basis(sums, &law, tolerance, evidence),
            reason,
        ))
    }
}

/// "34 changes over 31 item-years: mean 0.02 ± 0.01 mK a year, scatter 0.2 mK per √year".
fn basis(
    sums: &ChangeSums,
    law: &ChangeLaw,
    tolerance: Tolerance,
    evidence: &Evidence<'_>,
) -> String {
    let unit = &evidence.history.item.unit;
    let half = tolerance.half_width();
    let scatter = match law.kind {
        Scatter::Growing => {
            let per_root_year = (law.scatter * DAYS_PER_YEAR).sqrt() * half;
            format!("{} per √year", figure(per_root_year, unit))
        }
        Scatter::Constant => figure(law.scatter.sqrt() * half, unit),
    };
    let bend = match (law.bend != 0.0, law.p_square.is_nan()) {
        (true, _) => {
            let per_square = DAYS_PER_YEAR * DAYS_PER_YEAR * half;
            format!(
                " and {} a year² (a square is needed: p = {})",
                plus_minus(
                    law.bend * per_square,
                    law.covariance[2].sqrt() * per_square,
                    unit
                ),
                significant(law.p_square, 2)
            )
        }
        (false, false) => format!(
            ", a square is not needed (p = {})",
            significant(law.p_square, 2)
        ),
        (false, true) => String::new(),
    };
    format!(
        "{} over {} item-years: {} a year (k = 1){bend}, scatter {scatter}",
        count(sums.n as usize, "change"),
        figure(sums.t / DAYS_PER_YEAR, ""),
        plus_minus(
            law.rate * DAYS_PER_YEAR * half,
            law.covariance[0].sqrt() * DAYS_PER_YEAR * half,
            unit
        )
    )
}

/// Error left at the last calibration row with its standard uncertainty (0 where not stated).
fn left_at_last_calibration(evidence: &Evidence<'_>) -> Result<(f64, f64), NoProposal> {
    let history = &evidence.history;
    let row = evidence
        .calibrations()
        .last()
        .ok_or(NoProposal::NoCalibration)?;
    let left = history.left(row);
    if !left.is_finite() {
        return Err(NoProposal::LeftUnknown);
    }
    let u = history.u[row];
    let random = if u.is_nan() { 0.0 } else { u };
    Ok((left, random.hypot(history.u_common[row])))
}
