/*! The tables of a simulated fleet, as CSV text. */

/// The four tables, as CSV text; of one batch without headers.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tables {
    /// Checks, as the records contract names them.
    pub checks: Vec<u8>,
    pub register: Vec<u8>,
    /// One row an instrument: what it truly is, in the unit.
    pub truth: Vec<u8>,
    /// One row a check: its true error, where the settings ask for it.
    pub true_errors: Vec<u8>,
    /// Rows of checks.
    pub rows: u64,
}

impl Tables {
    /// The header lines.
    pub(crate) fn headers() -> Self {
        Tables {
            checks: b"instrument,point,date,as_found,as_left,u,u_common,in_tolerance,event,kind,unit\n".to_vec(),
            register: b"instrument,point,group,unit,lower,upper,interval_days,cost,cost_out_of_tolerance\n".to_vec(),
            truth: b"instrument,point,group,unit,tolerance,start,drift_per_year,wander_per_sqrt_year,turning,jump_rate,jump_size,season,ageing,ageing_years,wear,wear_onset,failure_rate,failure_size,u_true,u_stated,common_error,jumps,error_at_as_of,drift_at_as_of\n".to_vec(),
            true_errors: b"instrument,point,date,true_error\n".to_vec(),
            rows: 0,
        }
    }

    /// Adds the rows of another batch.
    pub(super) fn append(&mut self, other: Tables) {
        self.checks.extend_from_slice(&other.checks);
        self.register.extend_from_slice(&other.register);
        self.truth.extend_from_slice(&other.truth);
        self.true_errors.extend_from_slice(&other.true_errors);
        self.rows += other.rows;
    }
}
