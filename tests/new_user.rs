/*! Exports as a new user brings them, through `start` and `run`: read as they were meant, with the
questions that only a person can answer. All are invented. */

use crate::desk::{Desk, Truth, checks, loaded, truth};
use crate::make_workbook::{rows, xlsx};
use crate::tool::driftbook;
use driftbook::records::{Event, Outcome};

/// A German export with titles, Windows-1252, decimal commas, a footer, remarks that tell of an
/// adjustment.
#[test]
fn a_german_export_with_titles_is_read_whole() {
    let text = "Prüfmittelliste - Kalibrierwerte;;;;;;;\nStand: 12.03.2025;;;;;;;\n;;;;;;;\n\
        Inventar-Nr.;Bezeichnung;Prüfdatum;Messabw. [µm];U (k=2) [µm];Toleranz [µm];Bewertung;Bemerkung\n\
        EM-1;Endmaß;14. März 2019;0,04;0,06;±0,30;i.O.;\n\
        EM-1;Endmaß;11. Mai 2021;0,09;0,06;±0,30;i.O.;neu justiert\n\
        EM-1;Endmaß;15. Okt. 2023;0,35;0,06;±0,30;n.i.O.;\n;;;;;;;\nAnzahl: 3;;;;;;;\n";
    let bytes: Vec<u8> = text.chars().map(|c| u32::from(c) as u8).collect();
    let desk = Desk::new();
    let path = desk.path("liste.csv");
    std::fs::write(&path, bytes).unwrap();
    driftbook(&["start", path.to_str().unwrap()]);
    let asked = desk.run(&desk.path("liste.toml")).ended(2);
    says!(
        asked.stderr,
        "events_in_remarks",
        "event = \"Bemerkung\" under columns"
    );
    let pipeline = std::fs::read_to_string(desk.path("liste.toml")).unwrap();
    let mended = pipeline
        .replace("# event = \"…\"", "event = \"Bemerkung\"")
        .replace("'? ", "'read: ");
    let read = loaded(&desk.file("liste.toml", &mended));
    let expected: [Truth; 3] = [
        ("EM-1", "2019-03-14", 0.04),
        ("EM-1", "2021-05-11", 0.09),
        ("EM-1", "2023-10-15", 0.35),
    ];
    assert_eq!(checks(&read), truth(&expected));
    let columns = &read.histories.columns;
    assert_eq!(columns.event[1], Event::Adjusted);
    assert_eq!(columns.outcome[2], Outcome::Out);
    assert_eq!(
        (columns.u[0], columns.lower[0], columns.upper[0]),
        (0.03, -0.3, 0.3)
    );
    assert_eq!(read.rows.set_aside, 3);
}

/// A column of remarks that is read for its events may tell outcomes too: both count.
#[test]
fn remarks_that_fail_and_adjust_in_one_cell_are_read() {
    let desk = Desk::new();
    let text = "Gerät;Datum;Abweichung;Toleranz;Einheit;Bemerkung\n\
        DM-1;04.02.2021;0,5;± 1;mV;\n\
        DM-1;14.02.2022;1,2;± 1;mV;FAIL - justiert\n\
        DM-1;15.02.2023;0,1;± 1;mV;i.O.\n\
        DM-1;16.02.2024;0,2;± 1;mV;nein\n";
    let path = desk.file("mess.csv", text);
    driftbook(&["start", path.to_str().unwrap()]);
    let pipeline = std::fs::read_to_string(desk.path("mess.toml")).unwrap();
    let mended = pipeline
        .replace("# event = \"…\"", "event = \"Bemerkung\"")
        .replace("'? ", "'read: ");
    let read = loaded(&desk.file("mess.toml", &mended));
    let columns = &read.histories.columns;
    assert_eq!(columns.event[1], Event::Adjusted);
    assert_eq!(columns.outcome[1..3], [Outcome::Out, Outcome::In]);
    assert_ne!(columns.outcome[3], Outcome::Out, "an answer is no outcome");
}

/// A workbook of years: numbers as headers, a mean, cells that say that there was no check.
#[test]
fn a_workbook_of_years_is_read_whole() {
    let sheet = "Annual results of an invented shop\n|\n\
        Asset #|Description|Tol (+/-)|2021|2022|2023|Notes\n\
        M-101|0-1 in mic|0.0002|0.00005|0.00009|0.0001\n\
        M-102|1-2 in mic|0.0002|N/A|0.00003|–|sent out\n\
        Average|||0.0001|0.00006|0.00005\n";
    let desk = Desk::new();
    let book = desk.path("annual.xlsx");
    std::fs::write(&book, xlsx(&rows(sheet), false)).unwrap();
    let (started, pipeline) = desk.start(&book);
    says!(started.stdout, "header_days");
    let read = loaded(&pipeline);
    let expected: [Truth; 4] = [
        ("M-101", "2021-07-01", 0.00005),
        ("M-101", "2022-07-01", 0.00009),
        ("M-101", "2023-07-01", 0.0001),
        ("M-102", "2022-07-01", 0.00003),
    ];
    assert_eq!(checks(&read), truth(&expected));
    assert_eq!((read.rows.read, read.rows.rejected), (4, 0));
    assert_eq!(read.histories.columns.upper[0], 0.0002);
}

/// A folder of months whose names, encodings and headers change, with notes beside them.
#[test]
fn a_french_folder_of_months_is_read_whole() {
    let desk = Desk::new();
    let folder = desk.path("etalonnages");
    std::fs::create_dir(&folder).unwrap();
    let first = "N° de série;Date;Écart (mg);EMT\r\nBAL-1;12/01/2024;0,8;± 3 mg\r\nBAL-2;15/01/2024;-0,3;± 3 mg\r\n";
    let second = "N° de série;Date;Écart (mg);EMT\r\nBAL-1;10/02/2024;0,9;± 3 mg\r\n";
    let third = "Numéro;Date étalonnage;Erreur [mg];EMT\r\nBAL-2;8 mars 2024;1,1;± 3 mg\r\n";
    let western: Vec<u8> = second.chars().map(|c| u32::from(c) as u8).collect();
    std::fs::write(folder.join("releves_janvier.csv"), first).unwrap();
    std::fs::write(folder.join("2024-02 releves.csv"), western).unwrap();
    std::fs::write(folder.join("mars_24.csv"), third).unwrap();
    std::fs::write(folder.join("LISEZMOI.txt"), "notes\nde la salle").unwrap();
    let (started, pipeline) = desk.start(&folder);
    assert_eq!(started.status, 0, "{}", started.stderr);
    says!(started.stdout, "LISEZMOI.txt: no column was found");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    assert!(
        text.contains("encoding = \"auto\"") && !text.contains("? "),
        "{text}"
    );
    let expected: [Truth; 4] = [
        ("BAL-1", "2024-01-12", 0.8),
        ("BAL-1", "2024-02-10", 0.9),
        ("BAL-2", "2024-01-15", -0.3),
        ("BAL-2", "2024-03-08", 1.1),
    ];
    assert_eq!(checks(&loaded(&pipeline)), truth(&expected));
    assert_eq!(desk.run(&pipeline).status, 0);
}

/// A logger's UTF-16 with tabs, a title, times of day and a reference beside each reading.
#[test]
fn a_loggers_export_is_read_whole() {
    let text = "Logger export\tchannel report\r\nSerial\tTimestamp\tChannel\tReference (°C)\tReading (°C)\tStd Unc (K)\r\n\
        LG-7\t2021/03/15 10:05:00\tCH1\t20.012\t20.032\t0.01\r\nLG-7\t2021/03/15 10:05:00\tCH2\t60.003\t60.053\t0.01\r\n\
        LG-7\t2022/04/12 10:02:00\tCH1\t20.010\t20.042\t0.01\r\nLG-7\t2022/04/12 10:02:00\tCH2\t60.001\t60.053\t0.01\r\n";
    let desk = Desk::new();
    let path = desk.path("logger.txt");
    let units = std::iter::once(0xfeff).chain(text.encode_utf16());
    std::fs::write(&path, units.flat_map(u16::to_le_bytes).collect::<Vec<u8>>()).unwrap();
    let (started, pipeline) = desk.start(&path);
    assert_eq!(started.status, 0, "{}", started.stderr);
    let read = loaded(&pipeline);
    let columns = &read.histories.columns;
    assert_eq!(
        columns.as_found,
        [0.02, 0.032, 0.05, 0.052],
        "{}",
        started.stdout
    );
    assert_eq!(columns.u, [0.01; 4]);
    let points: Vec<&str> = read
        .histories
        .items
        .iter()
        .map(|item| item.point.as_str())
        .collect();
    assert_eq!(points, ["CH1", "CH2"]);
}

/// Outcomes in a person's own words: what no list knows is asked, and a row that a comma cuts in
/// two is no pass.
#[test]
fn a_list_of_outcomes_with_remarks_asks_for_its_own_words() {
    let text = "Tool ID,Checked on,Result,Remarks\nTW-1,03-Feb-21,Pass,\nTW-1,05-Feb-22,Pass,\n\
        TW-1,04-Feb-23,Fail,reads low\nTW-2,03-Feb-21,Pass,\nTW-2,05-Feb-22,Limited,only to 50 Nm\n\
        TW-2,02-Feb-24,Not checked,lent out\n";
    let desk = Desk::new();
    driftbook(&["start", desk.file("torque.csv", text).to_str().unwrap()]);
    let asked = desk.run(&desk.path("torque.toml")).ended(2);
    says!(asked.stderr, "outcome_words", "Limited", "Not checked");
    let pipeline = std::fs::read_to_string(desk.path("torque.toml")).unwrap();
    let mended = pipeline.replace("'? ", "'done: ").replace(
        "delimiter = \",\"\n",
        "delimiter = \",\"\noutcomes = { \"Limited\" = \"fail\", \"Not checked\" = \"unknown\" }\n",
    );
    let read = loaded(&desk.file("torque.toml", &mended));
    let outcomes = &read.histories.columns.outcome;
    let failed = outcomes.iter().filter(|o| **o == Outcome::Out).count();
    assert_eq!((outcomes.len(), failed), (5, 2));
    says!(read.rejects[0].reason, "no value and no outcome");
    let cut = text.replace("reads low", "reads low, then adjusted");
    desk.file("torque.csv", &cut);
    let stopped = desk.run(&desk.path("torque.toml")).ended(2);
    assert!(
        stopped.stderr.contains("row 4") && stopped.stderr.contains("failure"),
        "{}",
        stopped.stderr
    );
}

/// A pressure gauge at several points, found and left: a point each, without being told.
#[test]
fn a_gauge_found_and_left_at_several_points_is_read_whole() {
    let text = "Gauge no.,Cal date,Applied pressure (bar),Indication as found (bar),Indication as left (bar),MPE (bar)\n\
        PG-4,2021-05-03,0,0.02,0.00,0.1\nPG-4,2021-05-03,10,10.12,10.01,0.1\n\
        PG-4,2022-05-10,0,0.01,0.01,0.1\nPG-4,2022-05-10,10,10.05,10.05,0.1\n";
    let desk = Desk::new();
    let (started, pipeline) = desk.start(&desk.file("gauge.csv", text));
    assert_eq!(started.status, 0, "{}", started.stderr);
    let read = loaded(&pipeline);
    let columns = &read.histories.columns;
    assert_eq!(
        columns.as_found,
        [0.02, 0.01, 0.12, 0.05],
        "{}",
        started.stdout
    );
    assert_eq!(columns.as_left, [0.0, 0.01, 0.01, 0.05]);
    assert_eq!(read.histories.items[1].name(), "PG-4, 10 bar");
    says!(started.stdout, "failures     1");
}
