/*! The invented demo laboratory, carried by the program itself: it runs wherever the program does. */

use crate::simulate::demo::{DEMO_SEED, demo_files};
use std::io::Result;
use std::path::PathBuf;
use std::sync::Arc;
use tempfile::TempDir;

/// What the demo is called wherever its results are shown.
pub(crate) const DEMO_NAME: &str =
    "Demo: an invented laboratory. No instrument, reading or job in it is real.";

/// The demo's report, from where the person stands.
pub(crate) const DEMO_REPORT: &str = "reports/demo";

/// The shipped pipeline that runs on it.
const PIPELINE: (&str, &str) = (
    "interval-review.toml",
    include_str!("../../pipelines/interval-review.toml"),
);

/// The demo's files in a temporary folder, which goes with the last that knows of it.
#[derive(Debug, Clone)]
pub struct Demo {
    folder: Arc<TempDir>,
}

impl Demo {
    /// Writes the demo's files.
    ///
    /// # Errors
    /// A temporary folder that cannot be written to.
    pub(crate) fn lay_out() -> Result<Self> {
        let folder = TempDir::new()?;
        let records = folder.path().join("data/demo");
        for file in demo_files(DEMO_SEED) {
            let path = records.join(file.path);
            if let Some(place) = path.parent() {
                std::fs::create_dir_all(place)?;
            }
            std::fs::write(path, file.text)?;
        }
        let demo = Self {
            folder: Arc::new(folder),
        };
        let (pipeline, text) = (demo.pipeline(), PIPELINE.1);
        std::fs::create_dir_all(demo.folder.path().join("pipelines"))?;
        std::fs::write(pipeline, text)?;
        Ok(demo)
    }

    /// Its pipeline file.
    pub(crate) fn pipeline(&self) -> PathBuf {
        self.folder.path().join("pipelines").join(PIPELINE.0)
    }
}
