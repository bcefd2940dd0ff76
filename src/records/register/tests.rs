use crate::records::Repeats;
use crate::records::{
    ChecksSettings, FormerNames, Loaded, RegisterSettings, Request, Tolerance, load,
};

const CHECKS: &str = "instrument,point,date,as_found\n\
    A,1 V,2020-01-01,1\nA,10 V,2020-01-01,1\nB,,2020-01-01,1\n";

fn with_register(checks: &str, register: &str, settings: &ChecksSettings) -> Loaded {
    let folder = tempfile::tempdir().unwrap();
    let (checks_path, register_path) = (folder.path().join("c.csv"), folder.path().join("r.csv"));
    std::fs::write(&checks_path, checks).unwrap();
    std::fs::write(&register_path, register).unwrap();
    load(&Request {
        checks: &[checks_path],
        register: Some(&register_path),
        base: folder.path(),
        checks_settings: settings,
        forms: &[],
        register_settings: &RegisterSettings::default(),
        approvals: None,
        former: &FormerNames::default(),
        as_of: 20_634.0,
        books_as_of: 20_634.0,
    })
    .unwrap()
}

#[test]
fn a_row_without_point_holds_for_all_points() {
    let register = "instrument,point,lower,upper,cap_days,cost,last_calibration\n\
                    A,,-1,1,365,,2020-01-01\nA,10 V,-5,5,,12.5,\n";
    let loaded = with_register(CHECKS, register, &ChecksSettings::default());
    let items = &loaded.histories.items;
    assert_eq!(items[0].point, "1 V");
    assert_eq!(items[0].tolerance, Tolerance::new(-1.0, 1.0));
    assert_eq!(items[1].tolerance, Tolerance::new(-5.0, 5.0));
    assert_eq!(
        (items[1].cap_days, items[1].cost),
        (Some(365.0), Some(12.5))
    );
    assert_eq!(items[1].last_calibration, Some(18_262.0));
    assert_eq!(items[2].tolerance, None);
    assert!(loaded.warnings.is_empty(), "{:?}", loaded.warnings);
    assert_eq!(loaded.inputs.len(), 2);
}

#[test]
fn an_instrument_without_a_row_is_told_where_most_have_one() {
    let checks = format!("{CHECKS}C,,2020-01-01,1\n");
    let told = |register: &str| {
        let loaded = with_register(&checks, register, &ChecksSettings::default());
        let words = loaded.warnings.into_iter().map(|w| w.words);
        words
            .filter(|words| words.contains("no row here"))
            .collect::<Vec<_>>()
    };
    let header = "instrument,interval_days\n";
    assert_eq!(
        told(&format!("{header}A,365\nB,365\n")),
        ["1 of 3 instruments has no row here, which most have: C"]
    );
    assert_eq!(
        told(&format!("{header}A,365\n")),
        [""; 0],
        "a list of the few"
    );
    assert_eq!(told(&format!("{header}A,365\nB,365\nC,365\n")), [""; 0]);
}

#[test]
fn unusable_and_unmatched_rows_are_told() {
    let register = "instrument,point,lower,upper,interval_days,reliability_target,last_calibration\n\
                    A,,2,1,soon,1.5,2030-01-01\n,x,,,,,\nA,,,,,,\nb ,,,,,,\nA,5 V,,,,,\nZ,,,,,,\nB\n";
    let loaded = with_register(CHECKS, register, &ChecksSettings::default());
    let words: Vec<String> = loaded.warnings.iter().map(|w| w.to_string()).collect();
    let words = words.join("\n");
    says!(
        words,
        "r.csv, row 2: lower \"2\", upper \"1\" is left out: lower 2 is not below upper 1",
        "row 2: interval_days \"soon\" is left out: not a number",
        "row 2: reliability_target \"1.5\" is left out: expected above 0 and below 1",
        "row 2: last_calibration \"2030-01-01\" is left out: it lies after the as-of date 2026-06-30",
        "row 3: left out: no instrument",
        "row 4: left out: A is already in r.csv, row 2",
        "row 5: b : no checks; \"B\" differs only by case or blanks",
        "row 6: A, 5 V: the instrument has checks, but none at this point",
        "row 7: Z: no checks",
        "row 8: left out: 1 fields, the header has 7",
        "r.csv: 3 of 7 rows match no history"
    );
    assert_eq!(words.lines().count(), 11, "{words}");
    let counts = loaded.register.unwrap();
    assert_eq!(
        (
            counts.rows,
            counts.matched,
            counts.unmatched,
            counts.left_out
        ),
        (7, 1, 3, 3)
    );
}

#[test]
fn the_registers_unit_is_the_historys_own() {
    let checks = "instrument,date,as_found,unit\nA,2020-01-01,1,V\nA,2021-01-01,1000,mV\n";
    let loaded = with_register(checks, "instrument,unit\nA,V\n", &ChecksSettings::default());
    assert_eq!((loaded.rows.used, loaded.rows.rejected), (2, 0));
    assert_eq!(loaded.histories.columns.as_found, [1.0, 1.0]);
    let other = checks.replace("mV", "mA");
    let loaded = with_register(&other, "instrument,unit\nA,V\n", &ChecksSettings::default());
    assert_eq!((loaded.rows.used, loaded.rows.rejected), (1, 1));
    says!(loaded.rejects[0].reason, "the register");
}

#[test]
fn repeats_are_averaged_or_rejected() {
    let checks =
        "instrument,date,as_found,u\nA,2020-01-01,1,0.3\nA,2020-01-01,2,0.4\nA,2020-01-02,5,\n";
    let settle = |repeats| {
        let settings = ChecksSettings {
            repeats,
            ..ChecksSettings::default()
        };
        let loaded = with_register(checks, "instrument\nA\n", &settings);
        let rows = loaded.rows;
        assert_eq!(rows.read, rows.used + rows.merged + rows.rejected);
        assert_eq!(rows.used as usize, loaded.histories.columns.date.len());
        loaded
    };
    let mean = settle(Repeats::Average);
    assert_eq!(mean.histories.columns.as_found, [1.5, 5.0]);
    near!(mean.histories.columns.u[0], 0.25, 1e-15);
    assert_eq!(mean.rows.merged, 1);
    let first = settle(Repeats::Reject);
    assert_eq!(first.histories.columns.as_found, [1.0, 5.0]);
    assert_eq!(first.rejects[0].row, 3);
    assert_eq!(settle(Repeats::Keep).rows.used, 3);
}

#[test]
fn what_only_the_register_has_are_columns_that_it_reads() {
    let settings = RegisterSettings::default();
    let read: Vec<&str> = settings
        .columns
        .columns()
        .iter()
        .map(|column| column.name)
        .collect();
    for name in crate::records::reading::header::near_misses::REGISTER_ONLY {
        assert!(read.contains(&name), "{name}");
    }
}

#[test]
fn no_time_in_the_register_is_longer_than_a_century() {
    let register = "instrument,point,interval_days,cap_days,floor_days\n\
                    A,1 V,36525,1e300,36526\nA,10 V,1e18,365,inf\n";
    let loaded = with_register(CHECKS, register, &ChecksSettings::default());
    let times = |i: usize| {
        let item = &loaded.histories.items[i];
        (item.interval_days, item.cap_days, item.floor_days)
    };
    assert_eq!(times(0), (Some(36_525.0), None, None));
    assert_eq!(times(1), (None, Some(365.0), None));
    assert_eq!(loaded.warnings.len(), 4, "{:?}", loaded.warnings);
    let words = &loaded.warnings[0].words;
    says!(
        words,
        "cap_days \"1e300\" is left out: expected a number of days above 0, 36525"
    );
}

#[test]
fn a_per_cent_in_the_register_is_left_out_with_a_mend_of_its_own() {
    let checks = "instrument,date,as_found,unit\nA,2020-01-01,1,V\n";
    for register in [
        "instrument,tolerance\nA,0.5 %\n",
        "instrument,tolerance\nA,0.5 % of reading\n",
        "instrument,tolerance\nA,0.5 % FS\n",
        "instrument,unit,lower,upper\nA,V,-0.5 %,0.5 %\n",
    ] {
        let loaded = with_register(checks, register, &ChecksSettings::default());
        let words = &loaded.warnings[0].words;
        let mend = "Neither readings nor ranges stand beside it: state lower and upper";
        assert!(words.contains(mend), "{words}");
        says_not!(words, "[checks]");
        assert_eq!(loaded.histories.items[0].tolerance, None);
    }
}

/// The first of two rows counted, whatever the second said of the limits.
#[test]
fn what_two_rows_of_one_item_state_otherwise_does_not_count() {
    let register = "instrument,lower,upper,interval_days,next_due,cost\n\
                    B,-5,5,365,,10\nB,-1,1,365,,\nB,-5,5,182,,10\n";
    let loaded = with_register(CHECKS, register, &ChecksSettings::default());
    let item = &loaded.histories.items[2];
    assert_eq!(
        (item.tolerance, item.interval_days, item.cost),
        (None, None, Some(10.0))
    );
    let words: Vec<String> = loaded.warnings.iter().map(|w| w.to_string()).collect();
    says!(
        words.join("\n"),
        "row 3: left out: B is already in r.csv, row 2 and states another tolerance: neither counts",
        "row 4: left out: B is already in r.csv, row 2 and states another interval: neither counts"
    );
}

/// A cell of an upper limit that held an error left the error unlimited on that side without a word of it.
#[test]
fn a_limit_on_one_side_is_told_where_most_rows_have_two() {
    let told = |register: &str| {
        let loaded = with_register(CHECKS, register, &ChecksSettings::default());
        let words = loaded.warnings.iter().map(|w| w.to_string());
        words
            .filter(|words| words.contains("not limited on that side"))
            .collect::<Vec<_>>()
    };
    let header = "instrument,point,lower,upper\n";
    let one = told(&format!("{header}A,1 V,-1,1\nA,10 V,-1,1\nB,,-1,\n"));
    assert_eq!(one.len(), 1, "{one:?}");
    says!(one[0], "r.csv, row 4: upper is empty");
    assert!(told(&format!("{header}A,1 V,,1\nA,10 V,,1\nB,,-1,1\n")).is_empty());
}

/// `driftbook start` wrote headers with the units below them, which the run then did not find.
#[test]
fn a_row_of_units_below_the_header_and_limits_with_one_unit_are_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.csv");
    let read = |text: &str, columns: &str| {
        std::fs::write(&path, text).unwrap();
        let settings: RegisterSettings = toml::from_str(columns).unwrap();
        let register = super::read(&path, "r.csv", &settings, (false, 20_634.0), None).unwrap();
        let item = register.facts(0);
        (item.tolerance, item.unit)
    };
    let mapped = "[columns]\nlower = \"Lower [kPa]\"\nupper = \"Upper [kPa]\"\n";
    let text = "instrument,Lower,Upper\n,kPa,kPa\nA,-5,5\n";
    let five = Tolerance::new(-5.0, 5.0);
    assert_eq!(read(text, mapped), (five, "kPa".into()));
    for limits in ["-5 ... +5 kPa", "-5/+5 kPa", "+5 / -5 kPa", "±5 kPa"] {
        let text = format!("instrument,tolerance\nA,{limits}\n");
        assert_eq!(read(&text, ""), (five, "kPa".into()), "{limits}");
    }
}
