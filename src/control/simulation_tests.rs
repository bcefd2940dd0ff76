/*! The statement of a chart against simulated items whose drift is as the model has it. */

use super::*;
use crate::control::run_length::shewhart_run_length;
use crate::drift::testing::*;

/// Items of one class that drift and wander, each checked `checks` times a quarter of a year apart.
fn drifting(items: usize, checks: usize, seed: u64) -> crate::records::Histories {
    let mut stream = rand_pcg::Pcg64::seed_from_u64(seed);
    let mut normal = move || -> f64 { stream.sample(rand_distr::StandardNormal) };
    let item = |number: usize| {
        let mut record = Record::new();
        record.item.instrument = format!("D-{number:03}");
        record.item.group = "drifting".into();
        let drift = 0.2 + 0.15 * normal();
        let mut error = normal() * 0.2;
        for check in 0..checks {
            record = record.check(91.3125 * check as f64, error + 0.1 * normal());
            error += 0.25 * drift + 0.05 * 0.5 * normal();
        }
        record
    };
    fleet((0..items).map(item).collect::<Vec<_>>())
}

/// Share of single values beyond three deviations: 0.0027 is stated.
#[test]
fn false_alarms_of_drifting_items_are_as_often_as_stated() {
    let all = drifting(150, 60, 5);
    let (settings, drift) = (ControlSettings::default(), DriftSettings::default());
    let classes = class_parameters(&all, &drift);
    let (mut values, mut squares, mut beyond, mut products) = (0.0, 0.0, 0.0, 0.0);
    for index in 0..all.len() {
        let class = classes.of_history(index);
        let chart = item_chart(&all.get(index), class, (&settings, &drift), Some(&[]));
        let points = &chart.current().unwrap().result.points;
        values += points.len() as f64;
        squares += points.iter().map(|p| p.z * p.z).sum::<f64>();
        beyond += points.iter().filter(|p| p.z.abs() > 3.0).count() as f64;
        products += points.windows(2).map(|w| w[0].z * w[1].z).sum::<f64>();
    }
    let stated = 1.0 / shewhart_run_length(0.0);
    let error = (stated * (1.0 - stated) / values).sqrt();
    eprintln!(
        "{} {} {} {}",
        beyond / values,
        stated,
        error,
        squares / values
    );
    near!(beyond / values, stated, 3.0 * error);
    assert!((products / values).abs() < 3.0 / values.sqrt());
}
