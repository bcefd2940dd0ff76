/*! The methods' own tables, and the list of methods that a pipeline asks for. */

use super::*;
use crate::conformity::ConformitySettings;
use crate::decisions::PolicySettings;
use crate::settings::{SettingError, SettingRow, SettingsTable};

/// Every table that a decision is made by: `[intervals]`, one a method that has settings,
/// `[policy]`, `[conformity]`.
#[derive(Debug, Clone, Default, PartialEq)]
#[allow(missing_docs)]
pub struct IntervalTables {
    pub intervals: IntervalSettings,
    pub staircase: StaircaseSettings,
    pub control_chart: ControlChartSettings,
    pub in_use_time: InUseTimeSettings,
    pub in_service_check: InServiceCheckSettings,
    pub simple_response: SimpleResponseSettings,
    pub incremental_response: IncrementalResponseSettings,
    pub interval_test: IntervalTestSettings,
    pub uncertainty_growth: UncertaintyGrowthSettings,
    pub group_regression: GroupRegressionSettings,
    pub least_cost: LeastCostSettings,
    pub policy: PolicySettings,
    pub conformity: ConformitySettings,
}

impl IntervalTables {
    /// Rows of the settings reference, in the order of the tables.
    pub fn rows() -> Vec<SettingRow> {
        [
            IntervalSettings::rows(),
            StaircaseSettings::rows(),
            ControlChartSettings::rows(),
            InUseTimeSettings::rows(),
            InServiceCheckSettings::rows(),
            SimpleResponseSettings::rows(),
            IncrementalResponseSettings::rows(),
            IntervalTestSettings::rows(),
            UncertaintyGrowthSettings::rows(),
            GroupRegressionSettings::rows(),
            LeastCostSettings::rows(),
            PolicySettings::rows(),
        ]
        .concat()
    }

    /// The values that cannot be used, over all tables.
    pub fn check(&self) -> Vec<SettingError> {
        [
            self.intervals.check(),
            self.staircase.check(),
            self.control_chart.check(),
            self.in_use_time.check(),
            self.in_service_check.check(),
            self.simple_response.check(),
            self.incremental_response.check(),
            self.interval_test.check(),
            self.uncertainty_growth.check(),
            self.group_regression.check(),
            self.least_cost.check(),
            self.policy.check(),
        ]
        .concat()
    }

    /// The methods that `[intervals] methods` lists, in its order.
    pub fn methods(&self) -> Vec<Box<dyn Method>> {
        let by_data = self.intervals.by_data();
        let one = |name: &MethodName| match name {
            MethodName::Reliability | MethodName::IntervalTest if by_data => {
                Box::new(WhereOutcomesAlone(self.method(*name)))
            }
            _ => self.method(*name),
        };
        self.intervals.methods.iter().map(one).collect()
    }

    fn method(&self, name: MethodName) -> Box<dyn Method> {
        match name {
            MethodName::DriftCrossing => Box::new(DriftCrossing),
            MethodName::Reliability => Box::new(Reliability),
            MethodName::Staircase => Box::new(Staircase {
                settings: self.staircase.clone(),
            }),
            MethodName::ControlChart => Box::new(ControlChart {
                settings: self.control_chart.clone(),
            }),
            MethodName::InUseTime => Box::new(InUseTime {
                settings: self.in_use_time.clone(),
            }),
            MethodName::InServiceCheck => Box::new(InServiceCheck {
                settings: self.in_service_check.clone(),
            }),
            MethodName::SimpleResponse => Box::new(SimpleResponse {
                settings: self.simple_response.clone(),
            }),
            MethodName::IncrementalResponse => Box::new(IncrementalResponse {
                settings: self.incremental_response.clone(),
            }),
            MethodName::IntervalTest => Box::new(IntervalTest {
                settings: self.interval_test.clone(),
            }),
            MethodName::UncertaintyGrowth => Box::new(UncertaintyGrowth {
                settings: self.uncertainty_growth.clone(),
            }),
            MethodName::GroupRegression => Box::new(GroupRegression {
                settings: self.group_regression.clone(),
            }),
            MethodName::LeastCost => Box::new(LeastCost {
                settings: self.least_cost.clone(),
            }),
        }
    }
}

/// A method on outcomes as a default: asked only where no value was kept, since a forecast from
/// values tells more.
struct WhereOutcomesAlone(Box<dyn Method>);

impl Method for WhereOutcomesAlone {
    fn name(&self) -> MethodName {
        self.0.name()
    }

    fn asks_group(&self) -> bool {
        self.0.asks_group()
    }

    fn fits(&self, evidence: &Evidence<'_>) -> bool {
        evidence.history.outcomes_alone()
    }

    fn propose(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal {
        match self.fits(evidence) {
            true => self.0.propose(evidence, group),
            false => Proposal::not_applicable(
                self.name(),
                "values were kept, and a forecast from them tells more than in and out",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Status;
    use crate::intervals::testing::{Record, evidence, unfitted};
    use crate::intervals::{GroupEvidence, Groups};
    use crate::reliability::{ReliabilitySettings, group_reliability};

    #[test]
    fn every_method_is_listed_once_and_answers_by_its_name() {
        let mut tables = IntervalTables::default();
        tables.intervals.methods = MethodName::ALL.to_vec();
        let names: Vec<_> = tables.methods().iter().map(|m| m.name()).collect();
        assert_eq!(names, MethodName::ALL);
        assert!(tables.check().is_empty());
        assert!(
            IntervalTables::rows()
                .iter()
                .all(|row| !row.about.is_empty())
        );
    }

    #[test]
    fn a_method_that_does_not_ask_the_group_answers_the_same_whatever_it_is() {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        for year in 0..8 {
            record = record.check(365.0 * f64::from(year), 0.3 * f64::from(year));
        }
        let (histories, fit) = (record.histories(), unfitted(Status::NoReading));
        let mut groups = Groups::build(&histories, Default::default());
        let reliability = group_reliability(&histories, &ReliabilitySettings::default(), 0.95);
        groups.lend(&reliability, &histories.items);
        let evidence = evidence(&histories, &fit);
        let mut tables = IntervalTables::default();
        tables.intervals.methods = MethodName::ALL.to_vec();
        for method in tables.methods() {
            let of = |group: &GroupEvidence| method.propose(&evidence, group);
            let same = of(&GroupEvidence::default()) == of(groups.of(&histories.items[0]));
            assert_eq!(same, !method.asks_group(), "{:?}", method.name());
        }
    }
}
