/*! Counts of actions, most urgent on top. */

use super::super::canvas::{Anchor, LABEL_SIZE, sheet};
use super::super::frame::heading;
use super::super::lettering::shortened;
use super::super::palette::Ink;
use super::super::scale::Scale;
use crate::report::text::{count, fixed};
use crate::report::view::{Action, FleetView};
use crate::report::words;
use crate::words::agreeing;

/// Counts of actions as bars, most urgent on top.
pub(crate) fn actions_chart(view: &FleetView) -> String {
    let counts = view.action_counts();
    let urgent = counts[0] + counts[1];
    let total = view.rows.len();
    let verb = agreeing(urgent, "needs", "need");
    let title = match urgent {
        0 => format!(
            "None of {} is to be withdrawn or reviewed",
            count(total, "history")
        ),
        _ => format!(
            "{} of {} {verb} a person today",
            fixed(urgent as f64, 0),
            count(total, "history")
        ),
    };
    let most = counts.iter().copied().max().unwrap_or(0).max(1);
    sheet((840, 220), &title, &words::intervals(view), |canvas| {
        let top = heading(canvas, &title, "", 840.0) + 12.0;
        let scale = Scale::new((0.0, most as f64), (100.0, 370.0));
        for (i, (action, number)) in Action::ALL.iter().zip(counts).enumerate() {
            let y = top + 32.0 * i as f64;
            let ink = [Ink::Alarm, Ink::Alarm, Ink::Plan, Ink::Grid, Ink::Reading][i];
            let end = scale.at(number as f64);
            canvas.text(
                action.word(),
                (90.0, y + 14.0),
                13.0,
                Ink::Text,
                Anchor::End,
            );
            canvas.rectangle((100.0, y), (end.max(100.5), y + 20.0), ink, 0.85);
            let text = format!(
                "{}\u{2003}{}",
                fixed(number as f64, 0),
                words::action_meaning(*action)
            );
            canvas.label(
                &shortened(&text, LABEL_SIZE, 820.0 - end - 8.0),
                (end + 8.0, y + 14.0),
                Ink::Text,
                Anchor::Start,
            );
        }
    })
}
