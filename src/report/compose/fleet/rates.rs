/*! Out-of-tolerance rates by group and age, and the items that go out far more or less often. */

use crate::records::Histories;
use crate::reliability::{
    LevelRate, RATE_FACTORS, ReliabilitySettings, fit_rates, item_counts, level_rates, rate_cells,
    standouts,
};
use crate::report::SectionView;
use crate::stats::p_digits;
use std::collections::BTreeMap;

/// Sentences on the items of each group that stand out, by group; groups without any are absent.
pub(crate) fn standout_sentences(
    histories: &Histories,
    settings: &ReliabilitySettings,
) -> BTreeMap<String, Vec<String>> {
    let found = item_counts(histories, settings.renewal)
        .into_iter()
        .filter_map(|(group, items)| {
            let words: Vec<String> = standouts(&items, settings.false_discovery_rate)
                .into_iter()
                .map(|standout| standout.words)
                .collect();
            (!words.is_empty()).then_some((group, words))
        });
    found.collect()
}

/// Rates by group and age with exact limits, and the Poisson model's word on the differences.
/// `None` where no check was at risk.
pub(crate) fn rate_section(
    histories: &Histories,
    settings: &ReliabilitySettings,
) -> Option<SectionView> {
    let cells = rate_cells(histories, settings.renewal);
    let rates = level_rates(&RATE_FACTORS, &cells, settings.level);
    let mut paragraphs = vec![format!(
        "Checks found out of tolerance per year at risk, with exact {:.0} % limits.",
        100.0 * settings.level
    )];
    match fit_rates(&RATE_FACTORS, &cells) {
        Ok(model) => {
            paragraphs.push(format!(
                "Poisson model with group and age: rates as different as these would come by chance with probability {}.",
                p_digits(model.p_value)
            ));
            paragraphs.extend(model.notes);
        }
        Err(why) => paragraphs.push(format!("No model of the differences: {why}.")),
    }
    (!rates.is_empty()).then(|| {
        SectionView::of("Out-of-tolerance rates", paragraphs).table(
            "by | level | found out | years at risk | per year | limits",
            rates.iter().map(rate_row),
        )
    })
}

fn rate_row(rate: &LevelRate) -> Vec<String> {
    vec![
        rate.factor.clone(),
        rate.level.clone(),
        rate.failures.to_string(),
        format!("{:.1}", rate.exposure_years),
        format!("{:.4}", rate.rate),
        format!("{:.4} to {:.4}", rate.limits.0, rate.limits.1),
    ]
}
