/*! A control chart: values, averages and sums of the stretch since the last restart. */

/// One charted value with its statistics.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct ControlPoint {
    /// Day of the check.
    pub day: f64,
    /// The value, in the chart's unit.
    pub value: f64,
    /// Its standard deviation, by which its limits go.
    pub deviation: f64,
    /// Weighted average, and the half-width of its limits.
    pub ewma: (f64, f64),
    /// Upper and lower sum, in deviations.
    pub cusum: (f64, f64),
}

/// A signal that the chart names.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct ControlMark {
    /// Number of its point.
    pub index: usize,
    /// What it is, in a word or two.
    pub words: &'static str,
    /// What it is seen on.
    pub on: ControlPath,
    /// True where it is open.
    pub open: bool,
}

/// The path that a signal is seen on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum ControlPath {
    /// Single values.
    #[default]
    Values,
    /// The weighted average.
    Average,
    /// The cumulative sums.
    Sums,
}

/// A control chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct ControlView {
    /// "CS-1, 1 kg".
    pub name: String,
    /// File name of the item's page without extension; empty where it has none.
    pub slug: String,
    /// What the item serves for, in a word; may be empty.
    pub role: &'static str,
    /// The state in a sentence.
    pub finding: String,
    /// Unit of the values, or what they count.
    pub unit: String,
    /// The values in time order.
    pub points: Vec<ControlPoint>,
    /// Number of them in the base period.
    pub base: usize,
    /// Centre and deviation; `None` where there are no limits.
    pub centre: Option<(f64, f64)>,
    /// Limit of the sums, in deviations.
    pub cusum_limit: f64,
    /// First signal of each rule, open ones first.
    pub marks: Vec<ControlMark>,
    /// True where a signal is open.
    pub out_of_control: bool,
    /// What is charted, what the chart is worth, what the values say beside.
    pub sentences: Vec<String>,
}
