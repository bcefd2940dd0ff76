/*! The methods' own tables, and the list of methods that a pipeline asks for. */

use super::names::interval_methods;
use super::*;
use crate::settings::sections::Sections;
use crate::settings::{SettingError, SettingRow, SettingsTable};

macro_rules! method_tables {
    ($($(#[$about:meta])* $name:ident $file:ident $words:literal $(with $settings:ident)?;)*) => {
        /// The table of each method that has settings, under its name.
        #[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
        #[allow(missing_docs)]
        pub struct MethodTables {
            $($(pub $file: super::methods::$file::$settings,)?)*
        }

        impl MethodTables {
            /// Rows of the settings reference.
            pub(crate) fn rows() -> Vec<SettingRow> {
                [$($(super::methods::$file::$settings::rows(),)?)*].concat()
            }

            /// Paths of the tables in the pipeline file.
            pub(crate) fn paths() -> Vec<&'static str> {
                vec![$($(super::methods::$file::$settings::TABLE,)?)*]
            }

            /// The values that cannot be used.
            pub(crate) fn check(&self) -> Vec<SettingError> {
                [$($({
                    let table: &super::methods::$file::$settings = &self.$file;
                    table.check()
                },)?)*].concat()
            }

            /// Takes the tables out of a pipeline file.
            pub(crate) fn cut(sections: &mut Sections<'_, '_>) -> Self {
                Self {
                    $($($file: super::methods::$file::$settings::cut(sections),)?)*
                }
            }

            /// The methods that `[intervals] methods` lists, in its order.
            pub(crate) fn asked_by(&self, intervals: &IntervalSettings) -> Vec<Box<dyn Method>> {
                let by_data = intervals.by_data();
                let one = |name: &MethodName| match name {
                    MethodName::Reliability | MethodName::IntervalTest if by_data => {
                        Box::new(WhereOutcomesAlone(self.method(*name)))
                    }
                    _ => self.method(*name),
                };
                intervals.methods.iter().map(one).collect()
            }

            fn method(&self, name: MethodName) -> Box<dyn Method> {
                match name {
                    $(MethodName::$name => Box::new(super::methods::$file::$name {
                        $(settings: super::methods::$file::$settings::clone(&self.$file),)?
                    }),)*
                }
            }
        }
    };
}

interval_methods!(method_tables);

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

    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposed {
        match self.fits(evidence) {
            true => self.0.proposal(evidence, group),
            false => {
                Err("values were kept, and a forecast from them tells more than in and out".into())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;
    use crate::reliability::{GroupReliability, ReliabilitySettings};

    fn all(tables: &MethodTables) -> Vec<Box<dyn Method>> {
        tables.asked_by(&IntervalSettings {
            methods: MethodName::ALL.to_vec(),
            ..IntervalSettings::default()
        })
    }

    #[test]
    fn every_method_is_listed_once_and_answers_by_its_name() {
        let tables = MethodTables::default();
        let names: Vec<_> = all(&tables).iter().map(|m| m.name()).collect();
        assert_eq!(names, MethodName::ALL);
        assert!(tables.check().is_empty());
        let rows = MethodTables::rows();
        assert!(rows.iter().all(|row| !row.about.is_empty()));
    }

    #[test]
    fn a_method_that_does_not_ask_the_group_answers_the_same_whatever_it_is() {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        for year in 0..8 {
            record = record.check(365.0 * f64::from(year), 0.3 * f64::from(year));
        }
        let (histories, fit) = (record.histories(), unfitted(Status::NoReading));
        let mut groups = EvidenceByGroup::build(&histories, Default::default());
        let settings = ReliabilitySettings::default();
        let reliability = crate::reliability::group_reliability_by(
            &histories,
            &settings,
            |_| true,
            |group, count, outcomes| GroupReliability::new(group, count, outcomes, &settings, 0.95),
        );
        groups.set_reliability(&reliability, &histories.items);
        let evidence = evidence(&histories, &fit);
        for method in all(&MethodTables::default()) {
            let of = |group: &GroupEvidence| method.propose(&evidence, group);
            let same = of(&GroupEvidence::default()) == of(groups.of(&histories.items[0]));
            assert_eq!(same, !method.asks_group(), "{:?}", method.name());
        }
    }
}
