/*! Calibrations due in each coming month, with today's and with the decided intervals. */

use super::canvas::{Anchor, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::LABEL_SIZE;
use super::palette::Ink;
use super::scale::{Scale, Tick, value_axis};
use crate::report::text::{count, date, fixed, month_year};
use crate::report::view::MonthCount;

/// Bars of the workload by month.
pub fn workload_chart(months: &[MonthCount]) -> String {
    let now: u64 = months.iter().map(|m| m.now).sum();
    let decided: u64 = months.iter().map(|m| m.decided).sum();
    let busiest = months
        .iter()
        .max_by(|a, b| a.decided.cmp(&b.decided).then(b.month.total_cmp(&a.month)));
    let title = match busiest {
        Some(busy) if busy.decided > 0 => format!(
            "{} in {}; the busiest month is {} with {}",
            count(decided as usize, "calibration"),
            count(months.len(), "month"),
            month_year(busy.month),
            fixed(busy.decided as f64, 0)
        ),
        _ => "No calibration falls due in the months shown".to_string(),
    };
    let second = format!(
        "due by month: filled with the decided intervals, outlined with today's ({} in all)",
        fixed(now as f64, 0)
    );
    sheet((840, 300), &title, &second, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 14.0;
        let most = months
            .iter()
            .map(|m| m.now.max(m.decided))
            .max()
            .unwrap_or(0)
            .max(1) as f64;
        let frame = Frame {
            x: Scale {
                domain: (0.0, months.len().max(1) as f64),
                range: (56.0, 826.0),
            },
            y: Scale {
                domain: (0.0, most),
                range: (262.0, top),
            },
        };
        let whole = |tick: &Tick| tick.at.fract() == 0.0;
        let ticks: Vec<Tick> = value_axis(0.0, most, "", 5)
            .ticks
            .into_iter()
            .filter(whole)
            .collect();
        frame.y_ticks(canvas, &ticks);
        frame.x_ticks(canvas, &[]);
        let room = frame.x.at(1.0) - frame.x.at(0.0);
        for (i, month) in months.iter().enumerate() {
            let (left, right) = (
                frame.x.at(i as f64) + 0.15 * room,
                frame.x.at(i as f64 + 1.0) - 0.15 * room,
            );
            let foot = frame.y.range.0;
            if month.decided > 0 {
                canvas.rectangle(
                    (left, frame.y.at(month.decided as f64)),
                    (right, foot),
                    Ink::Plan,
                    0.75,
                );
            }
            let head = frame.y.at(month.now as f64);
            let outline = [
                (left - 2.0, foot),
                (left - 2.0, head),
                (right + 2.0, head),
                (right + 2.0, foot),
            ];
            if month.now > 0 {
                canvas.path(&outline, Stroke(Ink::Grid, 1.25, Dash::Solid));
            }
            let middle = 0.5 * (left + right);
            let named = room > 30.0 || i.is_multiple_of(3);
            if let Some(day) = date(month.month).filter(|_| named) {
                let year = i == 0 || day.format("%m").to_string() == "01";
                canvas.text(
                    &day.format("%b").to_string(),
                    (middle, foot + 17.0),
                    LABEL_SIZE,
                    Ink::Text,
                    Anchor::Middle,
                );
                if year {
                    canvas.text(
                        &day.format("%Y").to_string(),
                        (middle, foot + 32.0),
                        LABEL_SIZE,
                        Ink::Text,
                        Anchor::Middle,
                    );
                }
            }
        }
    })
}
