use super::*;

const FLEET: &str = r#"
true_errors = true
[[fleet]]
name = "drifters"
prefix = "DR"
instruments = 300
point = "p"
unit = "mK"
tolerance = 5.0
cost = 100.0
[fleet.truth]
drift = { normal = { mean = 0.0, deviation = 0.3 } }
[fleet.schedule]
interval_days = 182.0
late_days = { normal = { mean = 10.0, deviation = 10.0 } }
[[fleet]]
name = "others"
prefix = "OT"
instruments = 50
[fleet.reading]
outcomes_only = 0.5
[fleet.faults]
repeated = 0.1
blunder = 0.05
"#;

fn in_pool(threads: usize, work: impl Fn() -> Tables + Send + Sync) -> Tables {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .unwrap()
        .install(work)
}

#[test]
fn the_tables_do_not_depend_on_threads_or_batches() {
    let settings = SimulationSettings::from_toml(FLEET).unwrap();
    let whole = in_pool(1, || batch(&settings, 0..1000));
    assert_eq!(whole, in_pool(3, || batch(&settings, 0..1000)));
    let mut pieces = Tables::default();
    for start in (0..350).step_by(70) {
        pieces.append(batch(&settings, start..start + 70));
    }
    assert_eq!(whole, pieces);
}

#[test]
fn more_instruments_leave_the_earlier_ones_as_they_are() {
    let mut settings = SimulationSettings::from_toml(FLEET).unwrap();
    let before = batch(&settings, 0..100).checks;
    settings.fleet[0].instruments += 99;
    assert!(batch(&settings, 0..100).checks == before);
}

#[test]
fn rows_have_the_columns_of_the_header_and_the_count_is_right() {
    let settings = SimulationSettings::from_toml(FLEET).unwrap();
    let tables = batch(&settings, 0..350);
    let headers = Tables::headers();
    let commas = |line: &[u8]| line.iter().filter(|&&byte| byte == b',').count();
    for (header, body) in [
        (&headers.checks, &tables.checks),
        (&headers.register, &tables.register),
        (&headers.truth, &tables.truth),
        (&headers.true_errors, &tables.true_errors),
    ] {
        let expected = commas(header);
        let lines = body
            .split(|&byte| byte == b'\n')
            .filter(|line| !line.is_empty());
        assert!(lines.clone().count() > 300);
        assert!(lines.into_iter().all(|line| commas(line) == expected));
    }
    let lines = tables.checks.iter().filter(|&&byte| byte == b'\n').count();
    assert_eq!(lines as u64, tables.rows);
}
