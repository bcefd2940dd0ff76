/*! What the demo's people signed: the books of approvals and of closings. None of them exists. */

use super::DemoFile;
use crate::decisions::cases::closings;
use crate::records::{APPROVAL_COLUMNS, book};

const HEAD: &str = "Head of laboratory (invented)";
const QUALITY: &str = "Quality officer (invented)";

/// Day on which the head of the laboratory went through the proposals.
const SIGNED_ON: &str = "2026-06-16";

/// Instrument, point, proposed and approved interval, decision, last day, reason.
const APPROVALS: &str = "\
GB-002|50 mm|730|730|approved||
GB-006|50 mm|730||rejected||two more checks are wanted of this set first
GB-008|50 mm|730|730|approved||
MA-001|1 kg|730|730|approved|2027-12-31|until the new comparator is set up
MA-006|1 kg|600|450|other||it travels to the other site twice a year
RS-001|1 ohm at 23 °C|730||rejected||the contract of its customer names one year
RS-004|1 ohm at 23 °C|364|364|approved||
TH-008|triple point of water|600|600|approved||
";

/// Instrument, point, date of the finding, date of the closing, what was done, reference. What is
/// not among them is open: cases of MA-003 and GB-005, withdrawn, of MA-005, PG-003 and PG-006.
const CLOSINGS: &str = "\
TH-012|triple point of water|2020-10-19|2020-11-12|four jobs judged anew, none changed|NC-2020-03
PG-003|600 kPa|2021-02-22|2021-03-15|adjusted; two customers told|NC-2021-01
PG-002|600 kPa|2021-07-30|2021-08-20|adjusted; one certificate replaced|NC-2021-02
PG-002|100 kPa|2021-07-30|2021-08-20|adjusted with the other point; no statement changed|NC-2021-02
PG-006|600 kPa|2022-01-03|2022-01-28|adjusted; no work in doubt|NC-2022-01
GB-001|50 mm|2022-04-06|2022-05-02|measured again with a smaller uncertainty: inside|NC-2022-02
PG-003|600 kPa|2022-08-22|2022-09-09|adjusted; no statement changed|NC-2022-03
PG-002|600 kPa|2023-08-11|2023-09-01|adjusted; one certificate replaced|NC-2023-01
MA-004|1 kg|2023-08-30|2023-09-20|adjusted; customers told, one certificate recalled|NC-2023-02
MA-003|1 kg|2023-10-05|2023-11-02|used on with its correction; customers told|NC-2023-03
PG-006|600 kPa|2023-12-29|2024-01-26|adjusted; two jobs done again|NC-2024-01
TH-003|triple point of water|2023-12-22|2024-02-09|shock found; closer checks for a year|NC-2024-02
MA-005|1 kg|2024-04-16|2024-05-13|adjusted; one certificate recalled|NC-2024-03
TH-003|triple point of water|2024-08-28|2024-09-30|value assigned anew; three jobs judged anew|NC-2024-04
TH-011|triple point of water|2025-11-25|2025-12-18|repeated on another plateau: inside|NC-2025-05
";

/// Both books, each line with the hash of the one before.
pub(super) fn books() -> [DemoFile; 2] {
    let approvals = APPROVALS.lines().map(fields).map(|line| {
        let [
            instrument,
            point,
            proposed,
            approved,
            decision,
            until,
            reason,
        ] = line;
        [
            instrument, point, proposed, approved, decision, HEAD, SIGNED_ON, until, reason,
        ]
        .map(String::from)
        .to_vec()
    });
    let closings = CLOSINGS.lines().map(fields).map(|line| {
        let [instrument, point, finding, closed_on, action, reference] = line;
        [
            instrument, point, finding, QUALITY, closed_on, action, reference,
        ]
        .map(String::from)
        .to_vec()
    });
    [
        written("approvals.csv", &APPROVAL_COLUMNS, approvals.collect()),
        written("cases.csv", &closings::COLUMNS, closings.collect()),
    ]
}

fn fields<const N: usize>(line: &'static str) -> [&'static str; N] {
    let mut fields = line.split('|');
    std::array::from_fn(|_| fields.next().unwrap_or_default())
}

fn written(path: &'static str, columns: &[&str], lines: Vec<Vec<String>>) -> DemoFile {
    let text = book::with_entries("", path, columns, &lines).unwrap_or_default();
    DemoFile::new(path, text)
}
