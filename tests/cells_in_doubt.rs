/*! Cells of which nobody can know what would stand there: errors of a spreadsheet in the place of a name or a limit,
a limit whose unit stands behind the other one; and failures in rows of which a cell cannot be read. All records are
invented. */

use crate::desk::Desk;
use crate::make_workbook::{rows, xlsx};
use crate::tool::{driftbook, read_csv};

/// Row, column and reason of what was rejected.
fn rejected(desk: &Desk, input: &std::path::Path) -> Vec<(String, String, String)> {
    desk.run(input);
    let rejects = read_csv(&desk.path("report/rejects.csv")).rows;
    rejects
        .iter()
        .map(|row| {
            (
                row["line"].clone(),
                row["column"].clone(),
                row["reason"].clone(),
            )
        })
        .collect()
}

const SHEET: &str = "instrument|point|date|as_found|unit|lower|upper\n\
    G-1|20|2021-01-10|1.0|mV|-5|5\nG-1|20|2022-01-10|1.1|mV|-5|5\nG-1|20|2023-01-10|-2.4|mV|-5|5\n";

/// An error in a limit left the error of that side without one, and one in a point made a history of its own.
#[test]
fn an_error_of_a_workbook_for_a_name_or_a_limit_rejects_its_row() {
    let last = "G-1|20|2023-01-10|-2.4|mV|-5|5";
    for (column, row) in [
        ("instrument", "#N/A|20|2023-01-10|-2.4|mV|-5|5"),
        ("point", "G-1|#REF!|2023-01-10|-2.4|mV|-5|5"),
        ("unit", "G-1|20|2023-01-10|-2.4|#N/A|-5|5"),
        ("lower", "G-1|20|2023-01-10|-2.4|mV|#VALUE!|5"),
        ("upper", "G-1|20|2023-01-10|-2.4|mV|-5|#DIV/0!"),
        ("lower", "G-1|20|2023-01-10|-2.4|mV|=A1*2|5"),
    ] {
        let desk = Desk::new();
        let book = desk.path("log.xlsx");
        std::fs::write(&book, xlsx(&rows(&SHEET.replace(last, row)), false)).unwrap();
        let rejected = rejected(&desk, &book);
        assert_eq!(rejected.len(), 1, "{row}: {rejected:?}");
        assert_eq!((&*rejected[0].0, &*rejected[0].1), ("4", column), "{row}");
        says!(rejected[0].2, "an error of a spreadsheet stands");
        let told = std::fs::read_to_string(desk.path("report/warnings.csv")).unwrap();
        says!(told, "read as empty");
        // An error names no instrument of which anything could be said.
        assert!(!told.contains("its only row was rejected"), "{told}");
    }
}

/// Formulas filled in below the last row, and a column in which errors stand for what was not measured.
#[test]
fn errors_of_a_workbook_elsewhere_are_empty_cells() {
    let desk = Desk::new();
    let sheet = SHEET.replace("as_found", "as_found|as_left|note");
    let sheet = sheet.replace("|mV", "|#N/A|#REF!|mV") + "#N/A||#N/A|#VALUE!\n||#N/A\n";
    let book = desk.path("log.xlsx");
    std::fs::write(&book, xlsx(&rows(&sheet), false)).unwrap();
    assert_eq!(rejected(&desk, &book), []);
    let record = std::fs::read_to_string(desk.path("report/run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    assert_eq!(record["rows"]["read"], 3);
    assert_eq!(record["rows"]["used"], 3);
    let told = std::fs::read_to_string(desk.path("report/warnings.csv")).unwrap();
    says!(told, "10 cells hold errors and are read as empty");
}

/// The limit without a unit was taken in that of the readings, a thousand times the other.
#[test]
fn a_limit_without_the_unit_of_the_other_is_refused() {
    let header = "instrument,date,as_found,unit,lower,upper\n";
    for (limits, is_refused) in [
        ("-5 mK,5", true),
        ("-5,5 mK", true),
        ("-5 mK,5 mK", false),
        ("0,5 mK", false),
        ("-0.005,0.005", false),
        ("-0.005 K,0.005", false),
    ] {
        let desk = Desk::new();
        let rows = "G-1,2021-01-10,0.001,K,-1,1\nG-1,2022-01-10,0.001,K,";
        let rejected = rejected(
            &desk,
            &desk.file("log.csv", &format!("{header}{rows}{limits}\n")),
        );
        assert_eq!(!rejected.is_empty(), is_refused, "{limits}");
        if is_refused {
            says!(rejected[0].2, "stands behind one of the limits alone");
        }
    }
}

/// The same in the register, whose limits are left out whole.
#[test]
fn a_limit_of_the_register_without_the_unit_of_the_other_is_left_out() {
    for (limits, is_refused) in [("-5 mK,5", true), ("-5 mK,5 mK", false), ("0,5 mK", false)] {
        let desk = Desk::new();
        desk.file(
            "log.csv",
            "instrument,date,as_found,unit\nG-1,2022-01-10,1,mK\nG-1,2023-01-10,1.2,mK\n",
        );
        let text = format!("instrument,lower,upper\nG-1,{limits}\n");
        desk.file("register.csv", &text);
        let pipeline = desk.file(
            "lab.toml",
            "[checks]\nfiles = [\"log.csv\"]\n[register]\nfile = \"register.csv\"\n",
        );
        desk.run(&pipeline);
        let told = std::fs::read_to_string(desk.path("report/warnings.csv")).unwrap();
        let says = told.contains("stands behind one of the limits alone");
        assert_eq!(says, is_refused, "{limits}: {told}");
    }
}

const CHECKS: &str = "instrument,date,as_found,u\nG-1,2022-01-10,1.0,0.1\nG-1,2023-01-10,1.2,0.1\n";

/// A failure in a row of which another cell cannot be read was lost where the limits stand in one column, on one side, or
/// beside the row.
#[test]
fn a_failure_is_not_lost_with_a_cell_beside_it() {
    let tables = [
        ("tolerance", "±5", "±5", "x"),
        ("upper", "5", "5", "x"),
        ("lower,upper", "-5,5", "-5,5", "x"),
        ("lower,upper", "-5,5", "-5,#N/A", "0.1"),
        ("lower,upper", "-5,5", "#REF!,5", "0.1"),
        ("tolerance", "±5", "±5 A", "0.1"),
        ("lower,upper", "-5,5", ",", "x"),
    ];
    for (columns, limits, last, u) in tables {
        let desk = Desk::new();
        let rows = CHECKS.replace(",u\n", &format!(",u,{columns}\n"));
        let rows = rows.replace(",0.1\n", &format!(",0.1,{limits}\n"));
        let log = desk.file("log.csv", &format!("{rows}G-1,2024-01-10,7.4,{u},{last}\n"));
        let stopped = desk.run(&log).ended(2);
        says!(stopped.stderr, "row 4", "(failure)");
    }
}

/// The same where the register alone states the limits; allowed, the failure counts without its values.
#[test]
fn a_failure_by_the_register_counts_where_its_row_cannot_be_used() {
    let desk = Desk::new();
    desk.file("register.csv", "instrument,lower,upper\nG-1,-5,5\n");
    let pipeline = |allowed: bool, last: &str| {
        desk.file("log.csv", &format!("{CHECKS}{last}\n"));
        let settings = format!(
            "[checks]\nfiles = [\"log.csv\"]\nallow_rejected_failures = {allowed}\n[register]\nfile = \"register.csv\"\n"
        );
        desk.file("lab.toml", &settings)
    };
    for last in ["G-1,2024-01-10,7.4,x", "G-1,2024-31-10,7.4,0.1"] {
        let stopped = desk.run(&pipeline(false, last)).ended(2);
        says!(stopped.stderr, "row 4", "(failure)");
    }
    // The same with something in the place of the unit that is none; what is a unit of another kind tells nothing.
    for (unit, status) in [("#N/A", 2), ("--5", 2), ("5 kg", 2), ("Pa", 0)] {
        let rows = CHECKS
            .replace(",u\n", ",u,unit\n")
            .replace(",0.1\n", ",0.1,mV\n");
        desk.file("log.csv", &format!("{rows}G-1,2024-01-10,7.4,0.1,{unit}\n"));
        let done = desk.run(&desk.path("lab.toml"));
        assert_eq!(done.status, status, "{unit}: {}", done.stderr);
    }
    // What lies inside is rejected as before, and stops nothing.
    let inside = pipeline(false, "G-1,2024-01-10,1.4,x");
    says!(desk.run(&inside).stdout, "1 rejected");
    let loaded = crate::desk::loaded(&pipeline(true, "G-1,2024-01-10,7.4,x"));
    let columns = &loaded.histories.columns;
    assert_eq!(columns.date.len(), 3);
    assert_eq!(columns.outcome[2], ::driftbook::records::Outcome::Out);
    assert!(columns.as_found[2].is_nan());
    assert_eq!(
        (loaded.rows.read, loaded.rows.used, loaded.rows.rejected),
        (3, 3, 0)
    );
    let told = loaded.warnings.iter().map(|w| w.to_string());
    let told: Vec<String> = told
        .filter(|words| words.contains("failure of this row counts"))
        .collect();
    assert_eq!(told.len(), 1, "{told:?}");
    // Between two days, and with a day that cannot be read.
    let between = crate::desk::loaded(&pipeline(true, "G-1,2022-06-10,7.4,x"));
    let outcomes = between.histories.columns.outcome;
    assert_eq!(outcomes[1], ::driftbook::records::Outcome::Out);
    let lost = crate::desk::loaded(&pipeline(true, "G-1,2024-31-10,7.4,0.1"));
    assert_eq!((lost.rows.used, lost.rows.rejected), (2, 1));
    assert!(lost.rejects[0].carried.failure);
}

/// The same of what lies beyond the display, and of a row with more fields than the header.
#[test]
fn a_failure_is_not_lost_with_its_bound_or_its_shape() {
    let limits = CHECKS.replace(",u\n", ",u,lower,upper\n");
    let limits = limits.replace(",0.1\n", ",0.1,-5,5\n");
    for (last, is_failure) in [
        ("G-1,2024-01-10,> 5.2,0.1,-5,5", true),
        ("G-1,2024-01-10,> 5,0.1,-5,5", true),
        ("G-1,2024-01-10,< -6,0.1,-5,5", true),
        ("G-1,2024-01-10,< 0.5,0.1,-5,5", false),
        ("G-1,2024-01-10,7.4,0.1,-5,5,by hand,again", true),
        ("G-1,2024-01-10,7.4,0.1,-5", true),
        ("G-1,2024-01-10,7,4,0.1,-5,5", true),
        ("G-1,2024-01-10,1.4,0.1,-5,5,by hand,again", false),
    ] {
        let desk = Desk::new();
        let done = desk.run(&desk.file("log.csv", &format!("{limits}{last}\n")));
        assert_eq!(
            done.status,
            if is_failure { 2 } else { 0 },
            "{last}: {}",
            done.stderr
        );
    }
}

/// A check that says something nobody can read was left out of its item's decision, which read like one on all checks.
#[test]
fn an_item_whose_newest_check_cannot_be_used_asks_for_a_person() {
    let limits = CHECKS.replace(",u\n", ",u,lower,upper\n");
    let limits = limits.replace(",0.1\n", ",0.1,-5,5\n");
    let limits = limits.replace("2023-", "2025-").replace("2022-", "2024-");
    for (last, asks) in [
        ("G-1,2026-01-10,OL,0.1,-5,5", true),
        ("G-1,2026-01-10,1.4,x,-5,5", true),
        ("G-1,2026-01-10,1.4,0.1,-5,5,by hand,again", true),
        // Nothing was found, or an older check is newer than the row.
        ("G-1,2026-01-10,,0.1,-5,5", false),
        ("G-1,2026-01-10,n/a,0.1,-5,5", false),
        ("G-1,2024-06-10,OL,0.1,-5,5", false),
        ("G-1,2025-01-10,OL,0.1,-5,5", false),
    ] {
        let desk = Desk::new();
        let log = desk.file("log.csv", &format!("{limits}{last}\n"));
        desk.run(&log).well();
        let decision = &read_csv(&desk.path("report/decisions.csv")).rows[0];
        let reason = &decision["reason"];
        let told = reason.contains("its newest check, of 2026-01-10 (");
        assert_eq!(told, asks, "{last}: {reason}");
        if asks {
            assert_eq!(decision["action"], "review", "{last}");
        }
        // After a newer one it is not the newest any more.
        let log = log.to_str().unwrap();
        let new = "verdict G-1 1.3 --u 0.1 --date 2026-06-20 --records";
        let new: Vec<&str> = new.split(' ').chain([log]).collect();
        assert!(!driftbook(&new).stdout.contains("newest check"), "{last}");
    }
}
