/*! Durations and memory of a run: the only output that differs between equal runs. */

use serde::Serialize;
use std::collections::BTreeMap;
use std::time::Instant;

/// How long each stage took, and the peak memory of the process.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Timings {
    /// Name and seconds of each stage, in order.
    pub stages: Vec<(String, f64)>,
    pub total_seconds: f64,
    /// Largest resident memory of the process so far, bytes; `None` where the system does not tell.
    pub peak_memory_bytes: Option<u64>,
    /// Worker threads.
    pub threads: usize,
    /// When each input was last touched, by its path; see [`crate::ledger::stamps`].
    pub inputs: BTreeMap<String, String>,
    #[serde(skip)]
    start: Instant,
    #[serde(skip)]
    last: Instant,
}

impl Timings {
    /// Starts the clock before `inputs` are read.
    pub(crate) fn start(inputs: BTreeMap<String, String>) -> Self {
        let now = Instant::now();
        Self {
            stages: Vec::new(),
            total_seconds: 0.0,
            peak_memory_bytes: None,
            threads: rayon::current_num_threads(),
            inputs,
            start: now,
            last: now,
        }
    }

    /// Ends the stage `name`.
    pub(crate) fn lap(&mut self, name: &str) {
        let now = Instant::now();
        self.stages
            .push((name.to_string(), (now - self.last).as_secs_f64()));
        self.last = now;
        self.total_seconds = (now - self.start).as_secs_f64();
        self.peak_memory_bytes = peak_memory();
    }
}

/// High-water mark of the resident memory, where `/proc` tells it.
fn peak_memory() -> Option<u64> {
    const BYTES_PER_KIB: u64 = 1024;
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<u64>()
        .ok()
        .map(|kib| kib * BYTES_PER_KIB)
}
