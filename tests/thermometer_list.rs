/*! A laboratory's own list of resistances at the triple point of water, as `start` finds it. */

use super::desk::Desk;
use super::tool::read_csv;

/// An invented list: semicolons, no sessions, u in µΩ, limits beside it.
const LIST: &str = "Date;Cell;Probe;I (mA);R(0.01 °C) [Ω];U(k=2) [µΩ];Max. drift (mK);Remarks\n\
    03.02.2023;C-3;PRT-11;1;25.482130;12;2;\n\
    03.02.2023;C-3;PRT-12;1;25.503770;12;2;\n\
    11.02.2024;C-3;PRT-11;1;25.482140;12;2;new leads\n\
    11.02.2024;C-3;PRT-12;1;25.503872;12;2;\n\
    07.02.2025;C-3;PRT-11;1;25.482136;12;2;\n\
    07.02.2025;C-3;PRT-12;1;25.503974;12;2;\n";

/// dW/dT of the reference function at 273.16 K, 1/K (ITS-90, equation 10a).
const SLOPE: f64 = 3.988_528_5e-3;

#[test]
fn a_list_of_resistances_becomes_changes_in_mk() {
    let desk = Desk::new();
    let list = desk.file("tpw.csv", LIST);
    desk.file(
        "register.csv",
        "instrument,lower,upper,unit\nPRT-11,-2,2,mK\nPRT-12,-2,2,mK\n",
    );
    let (done, pipeline) = desk.start(&list);
    assert_eq!(done.status, 0, "{}", done.stderr);
    says!(
        done.stdout,
        "resistances of thermometers",
        "what one cell gave on one day",
        "divided by k = 2",
        "Max. drift (mK)"
    );
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let text = text.replace("# [register]\n# file", "[register]\nfile");
    std::fs::write(&pipeline, text).unwrap();
    desk.run(&pipeline).well();
    let sessions = read_csv(&desk.path("report/sessions.csv")).rows;
    assert_eq!(sessions.len(), 6);
    let last = sessions
        .iter()
        .find(|r| r["instrument"] == "PRT-12" && r["date"] == "2025-02-07")
        .unwrap();
    let number = |column: &str| last[column].parse::<f64>().unwrap();
    // 204 µΩ of 25.50 Ω; u is half of 12 µΩ.
    let per_mk = 25.503_974 * SLOPE / 1000.0;
    assert!(
        (number("change_mk") - 204e-6 / per_mk).abs() < 1e-6,
        "{}",
        last["change_mk"]
    );
    assert!(
        (number("u_mk") - 6e-6 / per_mk).abs() < 1e-6,
        "{}",
        last["u_mk"]
    );
    // What stands stays.
    let again = desk.start(&list).0;
    says!(again.stdout, "stands");
}

#[test]
fn resistors_in_ohms_are_checks_as_before() {
    let desk = Desk::new();
    let text = "Resistor;Date;Value [Ω];U [Ω]\nR-1;2023-02-03;100.0012;0.0004\nR-1;2024-02-03;100.0014;0.0004\n";
    let (done, pipeline) = desk.start(&desk.file("r.csv", text));
    let drafted = std::fs::read_to_string(pipeline).unwrap();
    assert!(
        drafted.contains("[checks]") && !drafted.contains("[thermometry]"),
        "{}",
        done.stdout
    );
}

/// An invented list with a second fixed point, under its symbol; one of its readings lies far from any at water.
#[test]
fn another_fixed_point_forms_w_where_water_is_near_and_says_where_it_is_not() {
    let desk = Desk::new();
    let text = "Thermometer;Fixpunkt;Datum;Messstrom [mA];Widerstand [Ohm];Zelle\n\
        NT-1;TPW;03.02.2024;1;25,471100;W-2\nNT-1;Ga;05.02.2024;1;28,479922;G-1\n\
        NT-1;TPW;04.02.2025;1;25,471104;W-2\nNT-1;Ga;20.03.2025;1;28,479926;G-1\n";
    let (done, pipeline) = desk.start(&desk.file("spr.csv", text));
    says!(done.stdout, "\"Fixpunkt\"");
    let run = desk.run(&pipeline).well();
    let told = "NT-1, melting point of gallium: 1 session forms no W";
    says!(run.stderr, told);
    let ratios = read_csv(&desk.path("report/ratios.csv")).rows;
    assert_eq!(ratios.len(), 1);
    let w: f64 = ratios[0]["ratio"].parse().unwrap();
    // The ratio of the two resistances; head and self-heating, which the readings do not state, change little.
    near!(w, 28.479922 / 25.4711, 2e-6);
}
