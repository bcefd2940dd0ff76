/*! Speed of the proof room: simulated rows a second, a replay, a closed loop.

`cargo bench --bench simulate` prints three lines. Aims on two free cores: over a
million rows a second; 10,000 histories × 24 checks replayed in under 10 s; 10,000
instruments × 20 years under every method in under 60 s.
*/

use driftbook::drift::DriftSettings;
use driftbook::simulate::DecisionTables;
use driftbook::simulate::closed_loop::{self, ClassSize, LoopSettings};
use driftbook::simulate::replay::{Replay, ReplaySettings};
use driftbook::simulate::{BATCH, SimulationSettings, batch, histories, instruments};
use std::time::Instant;

const FLEET: &str = r#"
[[fleet]]
name = "drifters"
prefix = "DR"
instruments = 10000
years = 12.0
[fleet.truth]
drift = { normal = { mean = 0.0, deviation = 0.2 } }
wander = 0.1
[fleet.schedule]
interval_days = 182.0
"#;

const LOOP: &str = include_str!("../data/evidence/closed-loop.toml");

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let large = FLEET.replace("10000", "100000");
    let settings = SimulationSettings::from_toml(&large)?;
    let start = Instant::now();
    let firsts = (0..instruments(&settings)).step_by(BATCH as usize);
    let rows: u64 = firsts
        .map(|first| batch(&settings, first..first + BATCH).rows)
        .sum();
    let seconds = start.elapsed().as_secs_f64();
    println!("simulate: {rows} rows, {:.0} rows/s", rows as f64 / seconds);

    let records = histories(&SimulationSettings::from_toml(FLEET)?);
    let replay = Replay::new(
        DriftSettings::default(),
        DecisionTables::default(),
        ReplaySettings::default(),
    );
    let start = Instant::now();
    let walk = replay.walk(&records);
    let forecasts: usize = walk
        .forecasts
        .iter()
        .map(|list| list.iter().flatten().count())
        .sum();
    println!(
        "replay: {} histories, {} checks, {forecasts} forecasts, {:.1} s",
        records.len(),
        records.columns.date.len(),
        start.elapsed().as_secs_f64()
    );

    let mut settings = LoopSettings::from_toml(LOOP)?;
    settings.fleet.truncate(10);
    settings.class_sizes = vec![ClassSize {
        instruments: 200,
        classes: 5,
    }];
    let candidates = closed_loop::product::candidates();
    let start = Instant::now();
    let cells = closed_loop::run(&settings, &candidates);
    println!(
        "closed loop: 10000 instruments, {} years, {} ways, {:.1} s",
        settings.years,
        cells.len() / settings.fleet.len(),
        start.elapsed().as_secs_f64()
    );
    Ok(())
}
