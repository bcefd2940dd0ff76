/*! The control chart of an item in sentences. */

use super::item::{ControlState, ItemChart};
use super::run_length::RunLengths;
use super::runs::Rule;
use super::settings::ControlSettings;
use super::shared::SharedShift;
use super::stretch::Stretch;
use super::tests_of_change::Change;
use crate::records::About;
use crate::stats::p_value;
use crate::words::{capitalised, count, date, figure, significant};

/// Fewer base values than this make limits provisional (common practice).
const DEPENDABLE_BASELINE: usize = 20;
/// Probability below which a test of the base period is told: one in a hundred by chance.
const WORTH_TELLING: f64 = 0.01;

impl SharedShift {
    /// What its items wait for, without a full stop.
    pub(crate) fn words(&self) -> String {
        let (brief, rest) = self.parts();
        brief + &rest
    }

    /// The same as what is said in short, and the rest of the sentence.
    pub(crate) fn parts(&self) -> (String, String) {
        let until = match date(self.from) == date(self.until) {
            true => String::new(),
            false => format!(" to {}", date(self.until)),
        };
        let brief = format!(
            "the readings of {} of {} moved together",
            count(self.items, "item"),
            self.class_words()
        );
        let rest = format!(
            ", by {} (mean {} standard deviations of their predictions) from {}{until}: the reference or the method, which they share, is to be looked at before any item",
            figure(self.size, &self.unit),
            significant(self.mean, 2),
            date(self.from)
        );
        (brief, rest)
    }

    /// Group and unit in words.
    pub(crate) fn class_words(&self) -> String {
        match self.group.as_str() {
            "" => format!("no group, in {}", self.unit),
            group => group.to_string(),
        }
    }
}

impl ItemChart {
    /// The state in one sentence, without a full stop.
    pub(crate) fn finding(&self) -> String {
        let Some(stretch) = self.current() else {
            return "no value".into();
        };
        let points = &stretch.result.points;
        let since = match &stretch.restart {
            Some(restart) if restart.why == "register" => {
                format!(
                    " since {}, where the register starts the chart anew",
                    date(restart.day)
                )
            }
            Some(restart) => format!(" since it was {} on {}", restart.why, date(restart.day)),
            None => String::new(),
        };
        let values = count(points.len(), "value");
        match self.state {
            ControlState::Unknown => match points.is_empty() && !since.is_empty() {
                true => format!("nothing can be said: no value{since}"),
                false => format!("nothing can be said: {}{since}", stretch.result.missing),
            },
            ControlState::InControl => {
                format!("in control: {values}{since}, {}", self.old_signals())
            }
            ControlState::Warning => format!(
                "in control, with a warning: the last of {values}{since} lies beyond two standard deviations"
            ),
            ControlState::OutOfControl => format!("NOT in control: {}", self.open_signals()),
        }
    }

    /// What the state asks for.
    fn asked(&self) -> Option<&'static str> {
        match self.state {
            ControlState::InControl | ControlState::Unknown => None,
            ControlState::Warning => {
                Some("A warning asks to repeat the check: of twenty good values one lies there.")
            }
            ControlState::OutOfControl => Some(
                "Stop and look for the cause before the item, or what was checked beside it, is relied on; once it is known, close the case (driftbook close) or start the chart anew in the register (control_from).",
            ),
        }
    }

    fn old_signals(&self) -> String {
        match self.signals.last() {
            None => "no signal".into(),
            Some(last) => format!(
                "no open signal (the last, {}, on {})",
                last.signal.rule.words(),
                date(last.signal.date)
            ),
        }
    }

    /// The rules with an open signal, each with its first day.
    fn open_signals(&self) -> String {
        let mut signals: Vec<(Rule, usize, f64)> = Vec::new();
        for signal in self.signals.iter().filter(|s| s.open).map(|s| &s.signal) {
            match signals.iter_mut().find(|(rule, ..)| *rule == signal.rule) {
                Some((_, times, _)) => *times += 1,
                None => signals.push((signal.rule, 1, signal.date)),
            }
        }
        let part = |(rule, times, day): &(Rule, usize, f64)| {
            let more = match times {
                1 => String::new(),
                times => format!(", {times} times"),
            };
            format!("{} (first on {}{more})", rule.words(), date(*day))
        };
        signals.iter().map(part).collect::<Vec<_>>().join("; ")
    }

    /// What is charted, what the chart is worth, and what else the values say.
    pub(crate) fn sentences(
        &self,
        unit: &str,
        settings: &ControlSettings,
        lengths: Option<&RunLengths>,
    ) -> Vec<String> {
        let Some(stretch) = self.current().filter(|s| s.result.centre.is_some()) else {
            return Vec::new();
        };
        let mut sentences: Vec<String> = self.asked().map(String::from).into_iter().collect();
        let of_sizes = stretch.of_other_sizes(settings.deviation, unit);
        sentences.push(self.charted(stretch, unit, of_sizes.is_some()));
        sentences.extend(of_sizes);
        sentences.extend(lengths.map(|lengths| self.worth(lengths)));
        sentences.extend(self.beside(settings));
        sentences.extend(self.tested());
        sentences
    }

    fn charted(&self, stretch: &Stretch, unit: &str, by_number: bool) -> String {
        let result = &stretch.result;
        let base = match (
            stretch.result.points.first(),
            result.points.get(result.base.saturating_sub(1)),
        ) {
            (Some(first), Some(last)) => format!(
                "{} from {} to {}",
                count(result.base, "value"),
                date(first.date),
                date(last.date)
            ),
            _ => String::new(),
        };
        let provisional = match result.base < DEPENDABLE_BASELINE {
            true => ", too few for more than provisional limits",
            false => "",
        };
        let Some(centre) = &result.centre else {
            return base;
        };
        let limits = match by_number {
            true => "the scatter of repeated readings".to_string(),
            false => format!("its standard deviation {}", figure(centre.deviation, unit)),
        };
        match self.about {
            About::Constant => format!(
                "Charted about a constant: the mean {} of the base period ({base}{provisional}), limits by {limits}. Warning at two, action at three standard deviations.",
                figure(centre.value, unit)
            ),
            About::Drift => {
                let scale = match centre.deviation < 1.0 {
                    true => format!(
                        " In the base period ({base}) they scatter {} times what the model says, since readings share most of their u; the limits go by that.",
                        significant(centre.deviation, 2)
                    ),
                    false => format!(" Base period: {base}."),
                };
                format!(
                    "Charted against its own drift: each reading minus what the readings before it predict, in the standard deviations of that prediction, so that a steady drift gives no signal. Warning at two, action at three.{scale}"
                )
            }
        }
    }

    fn worth(&self, lengths: &RunLengths) -> String {
        let whole = |checks: f64| match checks < 100.0 {
            true => significant(checks, 3),
            false if checks.is_infinite() => "more than can be computed".into(),
            false => format!("{checks:.0}"),
        };
        let (alarm, found) = (whole(lengths.in_control), whole(lengths.shifted));
        let (least, most) = match lengths.bounds {
            true => ("at the most ", "no later than "),
            false => ("", ""),
        };
        let follows = match self.about {
            About::Drift => {
                ", as long as the mean of the residuals stays off (the model follows a step within a few readings, so that a small one may pass)"
            }
            About::Constant => "",
        };
        let more = match lengths.more {
            true => " The other charts that signal add to both.",
            false => "",
        };
        format!(
            "Where nothing changes there is {least}one false alarm in {alarm} checks on average; a lasting shift of one standard deviation is found {most}after {found} on average{follows}.{more}"
        )
    }

    /// Patterns of the current stretch that the settings do not let signal.
    fn beside(&self, settings: &ControlSettings) -> Option<String> {
        let signals = &self.current()?.result.signals;
        let quiet = |rule: Rule| rule.chart().is_some() && !rule.is_signal(&settings.signals);
        let mut fired: Vec<(Rule, f64)> = Vec::new();
        for signal in signals.iter().rev().filter(|s| quiet(s.rule)) {
            if fired.iter().all(|(rule, _)| *rule != signal.rule) {
                fired.push((signal.rule, signal.date));
            }
        }
        let part = |(rule, day): &(Rule, f64)| format!("{} (last on {})", rule.words(), date(*day));
        let parts: Vec<String> = fired.iter().map(part).collect();
        (!parts.is_empty()).then(|| {
            format!(
                "Beside that, and no signal by the settings: {}.",
                parts.join("; ")
            )
        })
    }

    fn tested(&self) -> Option<String> {
        let tests = &self.tests;
        let shows = |change: Option<Change>| change.filter(|c| c.p_value < WORTH_TELLING);
        let mut parts = Vec::new();
        if let Some(t) = shows(tests.last) {
            parts.push(format!(
                "the last value differs from the accepted one (t = {}, {})",
                significant(t.statistic, 3),
                p_value(t.p_value)
            ));
        }
        if let Some(t) = shows(tests.mean) {
            parts.push(format!(
                "the mean since the base period differs from its mean (t = {}, {})",
                significant(t.statistic, 3),
                p_value(t.p_value)
            ));
        }
        if let Some(f) = shows(tests.scatter) {
            parts.push(format!(
                "the values scatter more than in the base period (F = {}, {})",
                significant(f.statistic, 3),
                p_value(f.p_value)
            ));
        }
        if let Some(r) = tests.neighbours {
            let more = match r > 0.0 {
                true => "so that false alarms are more often than stated",
                false => "so that the run lengths stated do not hold",
            };
            parts.push(format!(
                "neighbours go together (r = {}), {more}",
                significant(r, 2)
            ));
        }
        (!parts.is_empty()).then(|| capitalised(&parts.join("; ")) + ".")
    }
}
