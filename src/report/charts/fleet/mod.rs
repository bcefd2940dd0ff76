/*! The fleet in pictures: counts of actions, due dates, intervals, workload, shares out of tolerance.

A picture with a mark or a line for each history becomes counts in classes (`counts`) where there are too many to tell apart.
*/

mod actions;
mod counts;
mod due;
mod due_calendar;
mod due_counts;
mod intervals;
mod proportions;
mod workload;

pub(crate) use actions::actions_chart;
pub(crate) use due::due_chart;
pub(crate) use due_calendar::due_calendar;
pub(crate) use intervals::intervals_chart;
pub(crate) use proportions::{out_of_tolerance_by_group, out_of_tolerance_chart};
pub(crate) use workload::workload_chart;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::view::{Action, FleetRow, FleetView};

    /// `n` histories with due dates from a year before to five years after, some of unknown probability.
    fn fleet(n: usize) -> FleetView {
        let row = |i: usize| FleetRow {
            instrument: format!("N-{i:05}"),
            action: [
                Action::Extend,
                Action::Keep,
                Action::Shorten,
                Action::Review,
            ][i % 4],
            due_day: Some(20_000.0 - 365.0 + (i * 37 % 2_190) as f64),
            probability_when_due: (!i.is_multiple_of(10))
                .then_some(1.0 - (i * 13 % 100) as f64 / 150.0),
            current_interval_days: Some(365.0),
            interval_days: Some(30.0 + (i * 17 % 2_000) as f64),
            ..FleetRow::default()
        };
        FleetView {
            as_of: 20_000.0,
            rows: (0..n).map(row).collect(),
            ..FleetView::default()
        }
    }

    /// Sum of the texts of a picture that are whole numbers alone.
    fn counted(svg: &str) -> usize {
        let texts = svg.split("<text").skip(1);
        let alone = texts.filter_map(|text| text.split(['>', '<']).nth(1));
        let digits = |text: &str| text.replace('\u{202f}', "").trim().parse::<usize>().ok();
        alone.filter_map(digits).sum()
    }

    #[test]
    fn a_large_fleet_is_counted_whole_and_never_a_cloud() {
        let view = fleet(2_000);
        let due = due_chart(&view);
        assert_eq!(counted(&due), 2_000, "each history in one cell");
        assert!(!due.contains("<circle"), "no dots");
        let intervals = intervals_chart(&view);
        let decided = view.rows.iter().filter(|row| row.action != Action::Review);
        assert_eq!(counted(&intervals), decided.count());
        assert!(intervals.len() < 40_000, "{}", intervals.len());
    }

    #[test]
    fn a_small_fleet_stays_dots_and_says_what_it_leaves_out() {
        let due = due_chart(&fleet(20));
        says!(due, "<circle", "2 of unknown probability not drawn");
    }

    #[test]
    fn no_name_crosses_the_line_of_today() {
        let mut view = fleet(1);
        view.rows[0].due_day = Some(view.as_of - 6.0);
        view.rows[0].probability_when_due = Some(0.7);
        // Of what is drawn: the description names it all the same.
        let named = |view: &FleetView| {
            let svg = due_chart(view);
            let (_, drawn) = svg.split_once("</desc>").unwrap();
            drawn.contains("N-00000")
        };
        assert!(
            !named(&view),
            "a name that finds no free place on either side is left out"
        );
        view.rows[0].due_day = Some(view.as_of + 60.0);
        assert!(named(&view));
    }
}
