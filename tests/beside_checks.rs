/*! A register and jobs beside the checks, in files or sheets of their own: `start` tells them from
checks, and `run` uses them. The tables are invented. */

use crate::desk::{Desk, loaded};
use crate::make_workbook::{rows, xlsx_of};
use crate::tool::driftbook;
use std::path::PathBuf;

/// Two instruments, checked each year.
const CHECKS: [(&str, &str, &str); 6] = [
    ("G-1", "05.03.2023", "0,01"),
    ("G-1", "15.03.2024", "0,02"),
    ("G-1", "25.03.2025", "0,03"),
    ("G-2", "05.03.2023", "-0,11"),
    ("G-2", "15.03.2024", "-0,12"),
    ("G-2", "25.03.2025", "-0,13"),
];

fn text(header: &str, rows: &[String]) -> String {
    format!("{header}\n{}\n", rows.join("\n"))
}

fn checks(header: &str) -> String {
    let rows = CHECKS.map(|(item, day, error)| format!("{item};{day};{error}"));
    text(header, &rows)
}

/// `start` on these files, each its name and text.
fn started(desk: &Desk, files: &[(&str, String)]) -> (String, PathBuf) {
    let paths: Vec<String> = files
        .iter()
        .map(|(name, text)| {
            std::fs::write(desk.path(name), text).unwrap();
            desk.path(name).to_str().unwrap().to_string()
        })
        .collect();
    let mut words = vec!["start"];
    words.extend(paths.iter().map(String::as_str));
    let done = driftbook(&words).well();
    (done.stdout, desk.path(files[0].0).with_extension("toml"))
}

/// Intervals, groups and limits of both items, and the days of their last calibration.
fn assert_register_counts(pipeline: &std::path::Path) {
    let loaded = loaded(pipeline);
    assert_eq!((loaded.rows.used, loaded.histories.len()), (6, 2));
    for (item, days, limit) in [("G-1", 365.0, 0.5), ("G-2", 731.0, 1.0)] {
        let found = loaded.histories.items.iter().find(|i| i.instrument == item);
        let found = found.unwrap();
        assert_eq!(found.interval_days, Some(days), "{item}");
        let tolerance = found.tolerance.unwrap();
        assert_eq!((tolerance.lower(), tolerance.upper()), (-limit, limit));
        assert!(found.group.starts_with("MM"), "{item}");
        let day = found.last_calibration.map(driftbook::records::date::iso);
        assert_eq!(day.as_deref(), Some("2025-03-25"), "{item}");
    }
}

#[test]
fn a_register_and_jobs_in_files_of_their_own_are_told_in_several_languages() {
    for (of_checks, of_register, of_jobs) in [
        (
            "Asset;Cal date;Error [mV]",
            "Asset;Description;Model;Tolerance [mV];Interval (months);Last calibration;Next calibration",
            "Work order;Standard used;Date;Reported error",
        ),
        (
            "Messmittel;Datum;Abweichung [mV]",
            "Messmittel;Bezeichnung;Typ;Toleranz [mV];Kalibrierintervall [Monate];Letzte Kalibrierung;Nächste Kalibrierung",
            "Auftragsnummer;Verwendetes Normal;Datum;Gemessene Abweichung",
        ),
        (
            "Appareil;Date étalonnage;Écart (mV)",
            "Appareil;Désignation;Modèle;EMT (mV);Périodicité (mois);Dernier étalonnage;Prochain étalonnage",
            "N° d'ordre;Étalon utilisé;Date;Écart rapporté",
        ),
        (
            "Equipo;Fecha;Error (mV)",
            "Equipo;Descripción;Modelo;Tolerancia (mV);Periodicidad (meses);Última calibración;Próxima calibración",
            "Orden de trabajo;Patrón utilizado;Fecha;Error informado",
        ),
    ] {
        let desk = Desk::new();
        let register = [
            "G-1;eins;MM-1;±0,5;12;25.03.2025;25.03.2026".to_string(),
            "G-2;zwei;MM-2;±1;24;25.03.2025;25.03.2027".to_string(),
        ];
        let jobs = [
            "A-1;G-1;20.01.2025;0,3".to_string(),
            "A-2;G-2;21.01.2025;0,4".to_string(),
        ];
        let files = [
            ("checks.csv", checks(of_checks)),
            ("list.csv", text(of_register, &register)),
            ("work.csv", text(of_jobs, &jobs)),
        ];
        let (told, pipeline) = started(&desk, &files);
        says_not!(told, "Not answered");
        says!(
            told,
            "list.csv: read as a register",
            "2 of them with checks, 0 left out"
        );
        let jobs = "2 read, 2 with an instrument of these records, 0 unreadable";
        assert!(told.contains(jobs), "{told}");
        assert_register_counts(&pipeline);
        desk.run(&pipeline).well();
        let again = driftbook(&["start", desk.path("checks.csv").to_str().unwrap()]);
        says!(again.stdout, "stands as it was");
    }
}

/// A list of equipment as laboratories keep it: a title line, own words for where an item stands, when the
/// next calibration is due and no interval.
#[test]
fn a_list_of_equipment_tells_status_and_interval() {
    let desk = Desk::new();
    let list = "Inventory list;;;;\n;;;;\nMessmittel;Zustand;Letzte Kalibrierung;Nächste Kalibrierung;Raum\n\
        G-1;in Betrieb;25.03.2025;25.09.2025;1\n\
        G-2;ausgemustert;25.03.2025;25.03.2027;2\n";
    let files = [
        ("checks.csv", checks("Messmittel;Datum;Abweichung [mV]")),
        ("list.csv", list.to_string()),
    ];
    let (told, pipeline) = started(&desk, &files);
    for words in [
        "next_due              \"Nächste Kalibrierung\"",
        "status                \"Zustand\"",
        "Not read: Raum",
        "\"ausgemustert\" is read as retired (1 row)",
    ] {
        assert!(told.contains(words), "{words} in {told}");
    }
    let found = loaded(&pipeline).histories.items;
    let facts = found
        .iter()
        .map(|item| (item.interval_days, format!("{:?}", item.status)));
    let facts: Vec<_> = facts.collect();
    let expected = [(184.0, "InUse"), (730.0, "Retired")];
    assert_eq!(
        facts,
        expected.map(|(days, status)| (Some(days), status.to_string()))
    );
}

/// Labels often state the month alone in which an item is due: its first or its last day is a person's to say.
#[test]
fn next_due_months_are_read_and_asked_about_beside_other_dates() {
    let desk = Desk::new();
    let list =
        "Inventory no.;Last cal.;Next cal.\nG-1;25.03.2025;09/2025\nG-2;25.03.2025;03/2027\n";
    let of_checks = checks("Inventory no.;Date;Error [mV]");
    let files = [("checks.csv", of_checks), ("list.csv", list.to_string())];
    let (told, pipeline) = started(&desk, &files);
    says!(told, "next_due_format");
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    says!(
        draft,
        "next_due_format = \"first day of %m/%Y\"",
        "next_due_format = '? "
    );
    std::fs::write(&pipeline, draft.replace("'? ", "'right: ")).unwrap();
    let items = loaded(&pipeline).histories.items;
    let days: Vec<_> = items.iter().map(|item| item.interval_days).collect();
    // 2025-03-25 to 2025-09-01 and to 2027-03-01.
    assert_eq!(days, [Some(160.0), Some(706.0)]);
    // The same beside the readings.
    let rows = CHECKS.map(|(item, day, error)| {
        let (_, month_year) = day.split_once('.').unwrap();
        let (month, year) = month_year.split_once('.').unwrap();
        let year: u32 = year.parse().unwrap();
        format!("{item};{day};{error};{month}/{}", year + 1)
    });
    let own = text("Inventory no.;Date;Error [mV];Next due", &rows);
    let desk = Desk::new();
    let (told, pipeline) = started(&desk, &[("own.csv", own)]);
    says!(told, "next_due_format");
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    std::fs::write(&pipeline, draft.replace("'? ", "'right: ")).unwrap();
    let items = loaded(&pipeline).histories.items;
    // 2025-03-25 to 2026-03-01.
    assert!(
        items.iter().all(|item| item.interval_days == Some(341.0)),
        "{items:?}"
    );
}

/// An interval may state its unit in its cell.
#[test]
fn intervals_of_a_register_are_in_the_units_of_their_cells() {
    let desk = Desk::new();
    let list = "Inventory no.;Cal interval;Tolerance;Status\nG-1;6M;± 500 µV;Active\nG-2;2 years;± 0,5 mV;Active\n";
    let of_checks = checks("Inventory no.;Date;Error [mV]");
    let files = [("checks.csv", of_checks), ("list.csv", list.to_string())];
    let (told, pipeline) = started(&desk, &files);
    says_not!(told, "left out:");
    let items = loaded(&pipeline).histories.items;
    let days: Vec<_> = items.iter().map(|item| item.interval_days).collect();
    assert_eq!(days, [Some(183.0), Some(731.0)]);
    // And so do tolerances.
    let limits = items.iter();
    let limits = limits.map(|item| (item.tolerance.unwrap().upper(), item.unit.as_str()));
    assert_eq!(limits.collect::<Vec<_>>(), [(500.0, "µV"), (0.5, "mV")]);
}

/// What a register states counts for nobody where it names the instruments otherwise, or in words alone.
#[test]
fn a_register_that_counts_for_nobody_is_asked_about() {
    for (list, doubt) in [
        (
            "Inventory no.;Type;Interval (months)\nG-01;M;6\nG-02;M;24\n",
            "register_of_others",
        ),
        (
            "Inventory no.;Type;Calibration interval\nG-1;M;yearly\nG-2;M;every 2 years\n",
            "register_interval_not_read",
        ),
    ] {
        let desk = Desk::new();
        let of_checks = checks("Inventory no.;Date;Error [mV]");
        let files = [("checks.csv", of_checks), ("list.csv", list.to_string())];
        let (told, pipeline) = started(&desk, &files);
        says!(told, &format!("{doubt}: "));
        driftbook(&["run", pipeline.to_str().unwrap()]).ended(2);
    }
}

/// Who scraps an item writes so, and the item is not to be scheduled because other words are unknown.
#[test]
fn a_status_that_is_known_in_part_is_asked_about() {
    let desk = Desk::new();
    let list = "Asset;Model;Status\nG-1;M;grön\nG-2;M;kasserad\n";
    let files = [
        ("checks.csv", checks("Asset;Date;Error [mV]")),
        ("list.csv", list.to_string()),
    ];
    let (told, _) = started(&desk, &files);
    says!(told, "register_status_not_read: ");
}

/// Two quantities of one instrument, each in a file of its own, are no two readings of one.
#[test]
fn quantities_in_files_of_their_own_are_asked_about() {
    for header in ["Item;Date;Error", "Item;Date;Error [°C]"] {
        let desk = Desk::new();
        let humidity = header.replace("°C", "%RH");
        let files = [
            ("temperature.csv", checks(header)),
            ("humidity.csv", checks(&humidity).replace("0,0", "1,2")),
        ];
        let (told, _) = started(&desk, &files);
        says!(told, "quantities: ");
    }
}

/// A certificate may tell the day on which it was issued and no other.
#[test]
fn jobs_dated_by_their_certificates_are_jobs() {
    let desk = Desk::new();
    let jobs = "Work order;Standard used;Issued;Reported error [mV]\n\
        W-1;G-1;10.04.2024;0,10\nW-2;G-2;11.05.2024;0,20\n";
    let files = [
        ("checks.csv", checks("Inventory no.;Date;Error [mV]")),
        ("jobs.csv", jobs.to_string()),
    ];
    let (told, pipeline) = started(&desk, &files);
    says!(told, "jobs.csv: read as a table of jobs");
    assert_eq!(loaded(&pipeline).rows.used, 6);
}

/// Another sort of status than ours is no reason for a warning in every row.
#[test]
fn a_status_of_another_sort_is_not_read() {
    let desk = Desk::new();
    let list = "Asset;Status;Last cal.;Next cal.\nG-1;Valid;25.03.2025;25.03.2026\nG-2;Overdue;25.03.2024;25.03.2025\n";
    let files = [
        ("checks.csv", checks("Asset;Date;Error [mV]")),
        ("list.csv", list.to_string()),
    ];
    let (told, pipeline) = started(&desk, &files);
    says!(told, "Not read: Status");
    says_not!(told, "is left out");
    says!(
        std::fs::read_to_string(&pipeline).unwrap(),
        "\nstatus = false\n"
    );
    assert!(
        loaded(&pipeline)
            .warnings
            .iter()
            .all(|w| !w.words.contains("left out"))
    );
}

/// The checks name the instruments by serial numbers, the list has inventory numbers and designations
/// before them; the unit of its intervals follows from its dates; certificates tell what was used for them.
#[test]
fn a_list_of_equipment_is_joined_by_the_names_of_the_checks() {
    let desk = Desk::new();
    let list = "Asset;Equipment;Serial no.;Cal. interval;Last cal.;Due\n\
        INV-1;Micrometer;G-1;12;25.03.2025;25.03.2026\n\
        INV-2;Micrometer;G-2;24;25.03.2025;25.03.2027\n";
    let issued = "Certificate no.;Date;Standard used;Reported error\nC-1;20.01.2025;G-1;0,3\n";
    let files = [
        ("checks.csv", checks("S/N;Date;Error [µm]")),
        ("list.csv", list.to_string()),
        ("issued.csv", issued.to_string()),
    ];
    let (told, pipeline) = started(&desk, &files);
    for words in [
        "instrument            \"Serial no.\"",
        "whose names are those of the checks, and not by \"Asset\"",
        "interval_in = \"months\"",
        "1 read, 1 with an instrument of these records, 0 unreadable",
    ] {
        assert!(told.contains(words), "{words} in {told}");
    }
    says_not!(told, "Not answered");
    let found = loaded(&pipeline).histories.items;
    let intervals: Vec<Option<f64>> = found.iter().map(|item| item.interval_days).collect();
    assert_eq!(intervals, [Some(365.0), Some(731.0)]);
}

#[test]
fn a_workbook_of_three_sheets_is_checks_register_and_jobs() {
    let desk = Desk::new();
    let days = [
        ("05.03.2023", "44990"),
        ("15.03.2024", "45366"),
        ("25.03.2025", "45741"),
    ];
    let serial = |day: &str| days.iter().find(|(text, _)| *text == day).unwrap().1;
    let log: Vec<String> = CHECKS
        .iter()
        .map(|(item, day, error)| format!("{item}|{}|{}", serial(day), error.replace(',', ".")))
        .collect();
    let log = text("Asset|Date|Error [mV]", &log);
    let list = "Asset|Type|Lower [mV]|Upper [mV]|Interval (days)|Last calibration\n\
                G-1|MM-1|-0.5|0.5|365|45741\nG-2|MM-2|-1|1|731|45741\n";
    let work = "Job|Instrument used|Date|Measured error|Lower limit|Upper limit\n\
                A-1|G-1|45677|0.3|-1|1\nA-2|G-2|45678|0.4|-1|1\n";
    let sheets = [("Log", log.as_str()), ("List", list), ("Work", work)];
    let sheets = sheets.map(|(name, text)| (name, rows(text)));
    let sheets: Vec<(&str, &str)> = sheets.iter().map(|(n, r)| (*n, r.as_str())).collect();
    let book = desk.path("laboratory.xlsx");
    std::fs::write(&book, xlsx_of(&sheets, false)).unwrap();
    let (done, pipeline) = desk.start(&book);
    let drafted = std::fs::read_to_string(&pipeline).unwrap();
    for line in ["sheets = [\"Log\"]", "sheet = \"List\"", "sheet = \"Work\""] {
        assert!(drafted.contains(line), "{drafted}");
    }
    says_not!(done.stdout, "Not answered");
    assert_register_counts(&pipeline);
    assert_eq!(desk.run(&pipeline).status, 0);
}

#[test]
fn a_table_that_may_be_jobs_or_checks_is_asked_about() {
    let desk = Desk::new();
    let jobs = ["A-1;G-1;20.01.2025;0,3".to_string()];
    let files = [
        ("checks.csv", checks("Asset;Date;Error [mV]")),
        (
            "work.csv",
            text("Work order;Asset;Date;Deviation [mV]", &jobs),
        ),
    ];
    let (told, pipeline) = started(&desk, &files);
    says!(told, "work.csv may be a table of jobs");
    let run = desk.run(&pipeline).ended(2);
    says!(run.stderr, "jobs_or_checks");
}

#[test]
fn an_interval_without_a_unit_is_asked_about_and_no_due_date_is_a_last_calibration() {
    let desk = Desk::new();
    let register = [
        "G-1;±0,5;12;25.03.2026".to_string(),
        "G-2;±1;24;25.03.2027".to_string(),
    ];
    let files = [
        ("checks.csv", checks("Asset;Date;Error [mV]")),
        (
            "list.csv",
            text(
                "Asset;Tolerance [mV];Interval;Next calibration date",
                &register,
            ),
        ),
    ];
    let (told, pipeline) = started(&desk, &files);
    says!(told, "register_interval");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    says!(text, "interval_in = \"months\"");
    says_not!(text, "last_calibration");
}
