use super::*;

/// 370.4 and, after a shift of one deviation, 43.89: e-Handbook 6.3.2 (normal tail).
#[test]
fn single_values() {
    near!(shewhart_run_length(0.0), 370.40, 0.005);
    near!(shewhart_run_length(1.0), 43.89, 0.005);
}

/// Allowance 0.5, limit 5 and 4: 465 and 10.4, 168 and 8.38 (e-Handbook 6.3.2.3 and
/// D. C. Montgomery's table, from memory).
#[test]
fn cusum_tables() {
    for (limit, shift, expected, digit) in [
        (5.0, 0.0, 465.0, 0.5),
        (5.0, 1.0, 10.4, 0.05),
        (4.0, 0.0, 168.0, 0.5),
        (4.0, 1.0, 8.38, 0.005),
        (4.0, 0.5, 26.6, 0.05),
        (5.0, 2.0, 4.01, 0.005),
    ] {
        let found = cusum_run_length(0.5, limit, shift, None);
        assert!(
            (found - expected).abs() <= digit,
            "{limit} {shift}: {found}"
        );
    }
}

/// J. M. Lucas and M. S. Saccucci's table of EWMA with settled limits (Technometrics 32, 1990;
/// digits from memory): the shifts 0, 0.5, 1 and 2.
#[test]
fn ewma_tables() {
    for (weight, width, expected) in [
        (0.40, 3.054, [500.0, 71.2, 14.3, 3.5]),
        (0.20, 2.962, [500.0, 41.8, 10.5, 3.7]),
        (0.10, 2.814, [500.0, 31.3, 10.3, 4.4]),
    ] {
        for (shift, expected) in [0.0, 0.5, 1.0, 2.0].into_iter().zip(expected) {
            let chain = |cells| EwmaChain {
                cells,
                weight,
                shift,
                single: f64::INFINITY,
            };
            let settled = width * (weight / (2.0 - weight)).sqrt();
            let found = refined(
                |cells| 1.0 / cells as f64,
                |cells| chain(cells).length(settled, |_| settled),
            );
            let digit = if expected == 500.0 { 0.5 } else { 0.05 };
            assert!(
                (found - expected).abs() <= digit,
                "{weight} {shift}: {found}"
            );
        }
    }
}

/// The chain against the charts themselves on seeded normal values: four standard errors.
#[test]
fn the_chain_counts_what_the_charts_do() {
    use rand::{RngExt, SeedableRng};
    let settings = ControlSettings::default();
    let lengths = RunLengths::of(&settings).unwrap();
    for (shift, expected) in [(0.0, lengths.in_control), (1.0, lengths.shifted)] {
        let mut stream = rand_pcg::Pcg64::seed_from_u64(11);
        let runs: Vec<f64> = (0..4_000)
            .map(|_| {
                let (mut average, mut memory, mut checks) = (0.0f64, 1.0f64, 0.0);
                loop {
                    let z: f64 = stream.sample::<f64, _>(rand_distr::StandardNormal) + shift;
                    checks += 1.0;
                    average = 0.2 * z + 0.8 * average;
                    memory *= 0.64;
                    let half = 3.0 * ((1.0 - memory) / 9.0).sqrt();
                    if z.abs() > 3.0 || average.abs() > half {
                        return checks;
                    }
                }
            })
            .collect();
        let mean = runs.iter().sum::<f64>() / runs.len() as f64;
        let variance = runs.iter().map(|r| (r - mean).powi(2)).sum::<f64>();
        let error = variance.sqrt() / runs.len() as f64;
        near!(mean, expected, 4.0 * error, "{mean} {expected} {error}");
    }
}

/// Integral equations solved with 300 Gauss nodes and a chain of 601 cells (numpy 2.4.6).
#[test]
fn independent_run_lengths() {
    let one = ewma_run_length(0.2, 3.0, 0.0, Some(3.0));
    near!(one / 242.1624, 1.0, 1e-4);
    let shifted = ewma_run_length(0.2, 3.0, 1.0, Some(3.0));
    near!(shifted / 9.604_994, 1.0, 1e-4);
    let sums = cusum_run_length(0.5, 5.0, 0.0, None);
    near!(2.0 * sums / 930.8856, 1.0, 1e-4);
}

#[test]
fn limits_that_nothing_reaches_have_no_run_length() {
    assert!(ewma_run_length(0.2, 30.0, 0.0, None).is_infinite());
    assert!(cusum_run_length(0.5, 300.0, 0.0, None) > 1e9);
    let far = cusum_run_length(0.5, 10.0, 0.0, None);
    assert!((5e4..1e5).contains(&far), "{far}");
}

#[test]
fn charts_together_alarm_more_often_and_find_sooner() {
    let with = |signals: &[Chart]| {
        let signals = signals.to_vec();
        RunLengths::of(&ControlSettings {
            signals,
            ..ControlSettings::default()
        })
    };
    let both = with(&[Chart::Shewhart, Chart::Ewma]).unwrap();
    let three = with(&[Chart::Shewhart, Chart::Ewma, Chart::Cusum]).unwrap();
    let single = with(&[Chart::Shewhart]).unwrap();
    assert!(three.in_control < both.in_control && both.in_control < single.in_control);
    assert!(both.shifted < single.shifted && three.bounds && !both.bounds);
    assert_eq!(with(&[Chart::Runs]), None);
}
