/*! Facts of the items that their own checks state: the group, and the interval in use; and the interval in use
that a register states by the next due date, which counts from a calibration among the checks where it names none.

The register goes first, and the book of approvals before it: what they state of an item stands, and a record
that says otherwise is told. */

use super::cells::batch::Batch;
use super::cells::sparse::value;
use super::group::{Entry, Groups};
use super::{CheckKind, Item, MOST_DAYS, Warning};
use crate::words::{self, count, date, days};
use rayon::prelude::*;

/// What the checks of one history state.
#[derive(Debug, Default, PartialEq)]
struct Facts {
    /// Groups, that of the newest row first.
    groups: Vec<String>,
    /// Interval in use, days.
    interval_days: Option<f64>,
    /// Day of the check that states it, since 1970-01-01.
    stated_on: f64,
    /// Day of the last calibration, since 1970-01-01: the register's, else that of the checks.
    calibrated: f64,
    /// Some check is stated to be a calibration.
    kind_stated: bool,
    /// Rows that state a next due date which is not after them, or more than a century: 9999-12-31 stands for none.
    no_due: usize,
    /// The newest interval that a row states beside a next due date which is another one: both, days.
    apart: Option<(f64, f64)>,
}

/// Due dates are moved to the end of a month, and months have 28 to 31 days: lengths of time that differ by less
/// than this factor are one interval. Common practice, no source.
const ALIKE: f64 = 1.1;

/// A length of time that can be an interval: above 0, a century at the most.
fn bounded(days: f64) -> Option<f64> {
    Some(days).filter(|days| *days > 0.0 && *days <= MOST_DAYS)
}

/// True where two lengths of time are not one interval.
pub(super) fn differ(one: f64, other: f64) -> bool {
    one > other * ALIKE || other > one * ALIKE
}

/// The interval that the newest of an item's own checks states: the day of that check, and days.
type StatedInterval = Option<(f64, f64)>;

/// What the items' own checks state, filled in.
#[derive(Default)]
pub(super) struct Settled {
    /// What is said of it.
    pub(super) warnings: Vec<Warning>,
    /// Of each item; empty where no check states anything.
    intervals: Vec<StatedInterval>,
}

/// Fills in what the items' own checks state and the register does not.
pub(super) fn settle(groups: &Groups, batches: &[Batch], items: &mut [Item]) -> Settled {
    let by_register = items.iter().any(|item| item.next_due.is_some());
    if !by_register && batches.iter().all(|batch| batch.stated.is_empty()) {
        return Settled::default();
    }
    let facts: Vec<Facts> = groups
        .offsets
        .par_windows(2)
        .zip(&*items)
        .map(|(pair, item)| of(&groups.entries[pair[0]..pair[1]], batches, item))
        .collect();
    let said = [
        register_apart(&facts, items),
        register_no_due(&facts, items),
        register_from_checks(&facts, items),
        several_groups(&facts, items),
        other_group(&facts, items),
        other_interval(&facts, items),
        dates_apart(&facts, items),
        no_due(&facts, items),
    ];
    let stated = |facts: &Facts| facts.interval_days.map(|days| (facts.stated_on, days));
    let intervals = facts.iter().map(stated).collect();
    for (facts, item) in facts.into_iter().zip(items) {
        item.interval_days = of_register(&facts, item).or(facts.interval_days);
        if item.group.is_empty() {
            item.group = facts.groups.into_iter().next().unwrap_or_default();
        }
    }
    Settled {
        warnings: said.into_iter().flatten().collect(),
        intervals,
    }
}

impl Settled {
    /// What is said of checks that state another interval than the one which a person had put in
    /// force before them. `items` are those that were settled, joined with the book of approvals.
    pub(super) fn beside_approvals(&self, items: &[Item]) -> Option<Warning> {
        let pairs = self.intervals.iter().zip(items);
        let found: Vec<(&Item, String)> = pairs
            .filter_map(|(stated, item)| Some((item, other_than_approved(*stated, item)?)))
            .collect();
        let which = named(&found)?;
        let words = format!(
            "checks made after an approval state another interval than the approved one, which stays in force: {which}. If the checks are right, put theirs in force with driftbook approve"
        );
        Some(Warning::new("interval in use", words))
    }
}

/// What `rows` state, the oldest of them first.
fn of(rows: &[Entry], batches: &[Batch], item: &Item) -> Facts {
    let mut facts = Facts::default();
    let mut calibrated = None;
    for entry in rows {
        let batch = &batches[entry.batch as usize];
        let kind = value(&batch.columns.kind, entry.row, CheckKind::Unstated);
        if kind == CheckKind::Calibration {
            calibrated = Some(entry.date);
            facts.kind_stated = true;
        }
        let stated = batch.stated.of(entry.row);
        if !stated.group.is_empty()
            && facts
                .groups
                .last()
                .is_none_or(|last| *last != *stated.group)
        {
            facts.groups.retain(|known| *known != *stated.group);
            facts.groups.push(stated.group.into_owned());
        }
        // See `History::last_calibration`.
        let by_register = item.last_calibration.filter(|day| *day <= entry.date);
        let counts_from = by_register.or(calibrated).unwrap_or(entry.date);
        let until_due = stated.next_due - counts_from.floor();
        facts.calibrated = counts_from.floor();
        facts.no_due += usize::from(!until_due.is_nan() && bounded(until_due).is_none());
        let (interval, until_due) = (bounded(stated.interval_days), bounded(until_due));
        let apart = interval
            .zip(until_due)
            .filter(|(one, other)| differ(*one, *other));
        // The date is the one that the laboratory works by, and twelve months have 365 days or 366.
        let date = until_due.filter(|_| apart.is_none());
        if let Some(days) = date.or(interval) {
            (facts.interval_days, facts.apart) = (Some(days), apart);
            facts.stated_on = entry.date.floor();
        }
    }
    facts.groups.reverse();
    facts
}

fn other_than_approved(stated: StatedInterval, item: &Item) -> Option<String> {
    let (on, own) = stated?;
    let line = item.signed.as_ref()?.in_force.as_ref()?;
    let approved = line.approved_days?;
    (on > line.on && differ(own, approved)).then(|| {
        format!(
            "{} approved on {}, {} in its check of {}",
            days(approved),
            date(line.on),
            days(own),
            date(on)
        )
    })
}

/// The interval that the register states: as such, else by the next due date.
fn of_register(facts: &Facts, item: &Item) -> Option<f64> {
    item.interval_days.or_else(|| until_due(facts, item))
}

/// Days from the last calibration to the register's next due date.
fn until_due(facts: &Facts, item: &Item) -> Option<f64> {
    let from = item.last_calibration.map_or(facts.calibrated, f64::floor);
    bounded(item.next_due? - from)
}

/// The first of the histories with what is said of it, and how many they are.
fn named(found: &[(&Item, String)]) -> Option<String> {
    let (item, what) = found.first()?;
    let first = format!("{}: {what}", item.name());
    Some(match found.len() {
        1 => first,
        several => format!("{}, {first}", count(several, "history")),
    })
}

fn found<'i>(
    facts: &[Facts],
    items: &'i [Item],
    what: impl Fn(&Facts, &Item) -> Option<String>,
) -> Vec<(&'i Item, String)> {
    let pairs = facts.iter().zip(items);
    pairs
        .filter_map(|(facts, item)| Some((item, what(facts, item)?)))
        .collect()
}

fn several_groups(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let several = |facts: &Facts, item: &Item| {
        let unstated = item.group.is_empty() && facts.groups.len() > 1;
        unstated.then(|| facts.groups.join(", "))
    };
    let which = named(&found(facts, items, several))?;
    let words =
        format!("checks of one item state several groups, and the newest one counts: {which}");
    Some(Warning::new("group of the checks", words))
}

fn other_group(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let other = |facts: &Facts, item: &Item| {
        let newest = facts.groups.first()?;
        let differs = !item.group.is_empty() && *newest != item.group;
        differs.then(|| format!("{} in the register, {newest} in its checks", item.group))
    };
    let which = named(&found(facts, items, other))?;
    let words =
        format!("register and checks state different groups; the register's counts: {which}");
    Some(Warning::new("group of the checks", words))
}

fn other_interval(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let other = |facts: &Facts, item: &Item| {
        let (own, register) = (facts.interval_days?, of_register(facts, item)?);
        differ(own, register).then(|| {
            format!(
                "{} in the register, {} in its checks",
                days(register),
                days(own)
            )
        })
    };
    let which = named(&found(facts, items, other))?;
    let words = format!(
        "register and checks state different intervals in use; the register's counts: {which}"
    );
    Some(Warning::new("interval in use", words))
}

fn register_apart(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let apart = |facts: &Facts, item: &Item| {
        let (own, until_due) = (item.interval_days?, until_due(facts, item)?);
        differ(own, until_due).then(|| format!("{}, due after {}", days(own), days(until_due)))
    };
    let which = named(&found(facts, items, apart))?;
    let words = format!(
        "the register states an interval and a next due date that is not at its end; the interval counts: {which}"
    );
    Some(Warning::new("interval in use", words))
}

/// A check between two calibrations would be taken for the beginning of the interval.
fn register_from_checks(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let from = |facts: &Facts, item: &Item| {
        let unstated = item.last_calibration.is_none() && !facts.kind_stated;
        let own = item.interval_days.is_none() && unstated;
        let days = until_due(facts, item).filter(|_| own)?;
        Some(format!(
            "{} from {}",
            words::days(days),
            date(facts.calibrated)
        ))
    };
    let which = named(&found(facts, items, from))?;
    let words = format!(
        "the register states when the next calibration is due and neither when the last was nor the interval: it counts from the newest check, which may have been none: {which}. State last_calibration or interval_days in the register, or kind in the checks"
    );
    Some(Warning::new("interval in use", words))
}

fn register_no_due(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let without = |facts: &Facts, item: &Item| {
        let due = item.next_due?;
        let unusable = of_register(facts, item).is_none();
        unusable.then(|| format!("due on {}", date(due)))
    };
    let which = named(&found(facts, items, without))?;
    let words = format!(
        "the register's next due date is not after the last calibration, or more than a century after it, and tells no interval: {which}"
    );
    Some(Warning::new("interval in use", words))
}

fn dates_apart(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let apart = |facts: &Facts, item: &Item| {
        let (interval, until_due) = facts.apart.filter(|_| of_register(facts, item).is_none())?;
        Some(format!("{}, due after {}", days(interval), days(until_due)))
    };
    let which = named(&found(facts, items, apart))?;
    let words = format!(
        "the newest check states an interval and a next due date that is not at its end; the interval counts: {which}"
    );
    Some(Warning::new("interval in use", words))
}

fn no_due(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let without = |facts: &Facts, _: &Item| {
        let rows = facts.no_due;
        (rows > 0).then(|| count(rows, "row"))
    };
    let which = named(&found(facts, items, without))?;
    let words = format!(
        "a next due date that is not after its check, or more than a century after it, tells no interval and is not looked at: {which}. If it is the date on which that check was due, write next_due = false under [checks.columns]"
    );
    Some(Warning::new("interval in use", words))
}

#[cfg(test)]
mod tests {
    use crate::records::{ChecksSettings, FormerNames, Loaded, RegisterSettings, Request, load};

    const HEADER: &str = "instrument,date,as_found,kind,group,interval_days,next_due\n";

    /// The checks below [`HEADER`], with a register where it is not empty, as of 2026-06-30.
    fn loaded(rows: &str, register: &str) -> Loaded {
        loaded_with_book(rows, register, "")
    }

    fn loaded_with_book(rows: &str, register: &str, book: &str) -> Loaded {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        std::fs::write(path("c.csv"), format!("{HEADER}{rows}")).unwrap();
        std::fs::write(path("r.csv"), register).unwrap();
        std::fs::write(path("a.csv"), book).unwrap();
        let register = (!register.is_empty()).then(|| path("r.csv"));
        let book = (!book.is_empty()).then(|| path("a.csv"));
        load(&Request {
            checks: &[path("c.csv")],
            register: register.as_deref(),
            base: folder.path(),
            checks_settings: &ChecksSettings::default(),
            forms: &[],
            register_settings: &RegisterSettings::default(),
            approvals: book.as_deref(),
            former: &FormerNames::default(),
            as_of: 20_634.0,
        })
        .unwrap()
    }

    fn interval(rows: &str) -> Option<f64> {
        loaded(rows, "").histories.items[0].interval_days
    }

    fn told(loaded: &Loaded, words: &str) -> bool {
        let mut warnings = loaded.warnings.iter();
        warnings.any(|warning| warning.to_string().contains(words))
    }

    #[test]
    fn the_newest_row_that_states_an_interval_counts() {
        let rows = "A,2023-01-01,0,,,365,\nA,2024-01-01,0,,,730,\nA,2026-01-01,0,,,,\n";
        assert_eq!(interval(rows), Some(730.0));
        assert_eq!(interval("A,2023-01-01,0,,,2 years,\n"), Some(731.0));
        assert_eq!(interval("A,2023-01-01,0,,,,\n"), None);
    }

    #[test]
    fn a_next_due_date_counts_from_the_calibration_before_it() {
        let rows = "A,2025-01-10,0,calibration,,,2027-01-10\nA,2025-07-10,0,check,,,2027-01-10\n";
        assert_eq!(interval(rows), Some(730.0));
        assert_eq!(interval("A,2025-01-10,0,,,,2026-01-10\n"), Some(365.0));
        // The date of a year that has a leap day, not the rounded length of twelve months.
        assert_eq!(interval("A,2023-03-01,0,,,365,2024-03-01\n"), Some(366.0));
    }

    #[test]
    fn an_interval_and_a_date_that_contradict_it_are_told() {
        let loaded = loaded("A,2025-01-10,0,,,730,2026-01-10\n", "");
        assert_eq!(loaded.histories.items[0].interval_days, Some(730.0));
        assert!(
            told(&loaded, "A: 730 d, due after 365 d"),
            "{:?}",
            loaded.warnings
        );
    }

    #[test]
    fn a_due_date_before_its_check_is_told_and_tells_no_interval() {
        let loaded = loaded("A,2025-01-10,0,,,,2025-01-05\n", "");
        assert_eq!(loaded.histories.items[0].interval_days, None);
        assert!(told(&loaded, "A: 1 row"), "{:?}", loaded.warnings);
        // What stands for no date at all.
        assert_eq!(interval("A,2025-01-10,0,,,,9999-12-31\n"), None);
    }

    #[test]
    fn what_cannot_be_read_as_an_interval_is_told_and_the_check_stays() {
        let loaded = loaded("A,2025-01-10,0,,,yearly,\nB,2025-01-10,0,,,,soon\n", "");
        assert_eq!(loaded.rows.used, 2);
        assert!(told(&loaded, "unknown interval_days \"yearly\""));
        assert!(told(&loaded, "unknown next_due \"soon\""));
    }

    #[test]
    fn the_register_goes_before_the_checks_and_what_differs_is_told() {
        let checks = "A,2025-01-10,0,,g1,365,\nB,2025-01-10,0,,g1,365,\n";
        let loaded = loaded(checks, "instrument,group,interval_days\nA,g2,180\n");
        let items = &loaded.histories.items;
        let facts = |i: usize| (items[i].group.as_str(), items[i].interval_days);
        assert_eq!(facts(0), ("g2", Some(180.0)));
        assert_eq!(facts(1), ("g1", Some(365.0)));
        assert!(told(&loaded, "A: g2 in the register, g1 in its checks"));
        assert!(told(
            &loaded,
            "A: 180 d in the register, 365 d in its checks"
        ));
    }

    #[test]
    fn a_check_after_an_approval_that_states_another_interval_is_told() {
        let checks = "A,2025-01-10,0,,,,2026-01-10\nB,2025-01-10,0,,,,2027-01-10\n";
        let approved = |on: &str| {
            format!(
                "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason,previous_sha256\nA,,730,730,approved,P,{on},,,\nB,,730,730,approved,P,{on},,,\n"
            )
        };
        let words =
            "A: 730 d approved on 2024-06-01, 365 d in its check of 2025-01-10. If the checks";
        let before = loaded_with_book(checks, "", &approved("2024-06-01"));
        assert_eq!(before.histories.items[0].interval_days, Some(730.0));
        assert!(told(&before, words), "{:?}", before.warnings);
        // A person who decides after the check has seen what it states.
        let after = loaded_with_book(checks, "", &approved("2025-06-01"));
        assert!(!told(&after, "made after an approval"));
    }

    #[test]
    fn a_next_due_date_of_the_register_is_its_interval() {
        let checks =
            "A,2025-01-10,0,,,,\nB,2025-01-10,0,,,365,\nC,2025-01-10,0,,,,\nD,2025-01-10,0,,,,\n";
        let register = "instrument,last_calibration,interval_days,next_due\nA,2025-02-01,,2026-02-01\nB,,,2027-01-10\nC,,200,2026-01-10\nD,,,2024-01-10\n";
        let loaded = loaded(checks, register);
        let intervals: Vec<Option<f64>> = loaded
            .histories
            .items
            .iter()
            .map(|item| item.interval_days)
            .collect();
        assert_eq!(intervals, [Some(365.0), Some(730.0), Some(200.0), None]);
        assert!(told(
            &loaded,
            "B: 730 d in the register, 365 d in its checks"
        ));
        assert!(told(&loaded, "C: 200 d, due after 365 d"));
        assert!(told(&loaded, "tells no interval: D: due on 2024-01-10"));
        assert!(told(
            &loaded,
            "which may have been none: B: 730 d from 2025-01-10."
        ));
    }

    #[test]
    fn of_several_groups_the_newest_counts_and_all_are_told() {
        let loaded = loaded("A,2024-01-10,0,,old,,\nA,2025-01-10,0,,new,,\n", "");
        assert_eq!(loaded.histories.items[0].group, "new");
        assert!(told(&loaded, "A: new, old"), "{:?}", loaded.warnings);
    }
}
