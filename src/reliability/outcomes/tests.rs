use super::*;
use crate::records::{Columns, Item};

impl Outcomes {
    /// Adds `count` lives that passed `checks` checks, one every `days`, and never failed.
    pub fn add_passes(&mut self, days: f64, checks: u32, count: u64) -> Result<(), OutcomeError> {
        self.add_lives(days * f64::from(checks), f64::INFINITY, count)?;
        for check in 1..checks {
            let day = (days * f64::from(check)).to_bits();
            self.checks.entry(day).or_default().0 += count;
        }
        Ok(())
    }
}

/// One history with a check a year; `outcomes` of I, O or ?, and adjusted ones marked A.
pub fn fleet(outcomes: &str, adjusted: &str) -> Histories {
    let n = outcomes.len();
    let nan = vec![f64::NAN; n];
    let outcome = |c| match c {
        'I' => Outcome::In,
        'O' => Outcome::Out,
        _ => Outcome::Unknown,
    };
    let event = |c| {
        if c == 'A' {
            Event::Adjusted
        } else {
            Event::None
        }
    };
    Histories {
        items: vec![Item::default()],
        offsets: vec![0, n],
        columns: Columns {
            date: (0..n).map(|i| 100.0 * i as f64).collect(),
            as_found: nan.clone(),
            as_left: nan.clone(),
            nominal: vec![0.0; n],
            u: nan.clone(),
            u_common: vec![0.0; n],
            lower: nan.clone(),
            upper: nan.clone(),
            usage: nan,
            outcome: outcomes.chars().map(outcome).collect(),
            event: adjusted.chars().map(event).collect(),
            kind: vec![CheckKind::Unstated; n],
            source: vec![(0, 0); n],
            ..Columns::default()
        },
    }
}

fn lives(outcomes: &str, adjusted: &str, renewal: Renewal) -> Vec<(f64, f64, u64)> {
    Outcomes::of(&fleet(outcomes, adjusted), renewal)
        .lives()
        .collect()
}

const FOREVER: f64 = f64::INFINITY;

#[test]
fn renewal_rules_cut_lives_differently() {
    let (o, a) = ("IIIOII", ".A....");
    assert_eq!(
        lives(o, a, Renewal::Always),
        [(0.0, 100.0, 1), (100.0, FOREVER, 4)]
    );
    assert_eq!(
        lives(o, a, Renewal::IfFailed),
        [(100.0, 200.0, 1), (100.0, FOREVER, 1), (200.0, FOREVER, 1)]
    );
    assert_eq!(
        lives(o, a, Renewal::AsNeeded),
        [(100.0, 200.0, 1), (100.0, FOREVER, 1)]
    );
}

#[test]
fn unused_checks_are_counted() {
    let outcomes = Outcomes::of(&fleet("OI?I", "...."), Renewal::AsNeeded);
    assert_eq!(outcomes.lives().count(), 0);
    let expected = Unused {
        unknown: 1,
        no_time: 1,
        already_out: 2,
    };
    assert_eq!(outcomes.unused, expected);
}

#[test]
fn partitions_add_up() {
    let (a, b) = (fleet("IIOI", "...."), fleet("IIII", ".A.."));
    let mut merged = Outcomes::of(&a, Renewal::IfFailed);
    merged.merge(&Outcomes::of(&b, Renewal::IfFailed));
    let mut whole = Outcomes::default();
    whole.add_history(&a.get(0), Renewal::IfFailed);
    whole.add_history(&b.get(0), Renewal::IfFailed);
    assert_eq!(merged, whole);
}

#[test]
fn contradictions_are_refused() {
    let mut outcomes = Outcomes::default();
    assert!(outcomes.add_lives(10.0, 5.0, 1).is_err());
    assert!(outcomes.add_lives(f64::NAN, 5.0, 1).is_err());
    assert!(outcomes.add_checks(-1.0, 1, 0).is_err());
    assert_eq!(outcomes, Outcomes::default());
}
