/*! What a first look asks about. */

use super::*;

/// An adjustment told in a column of remarks would be lost without a word.
#[test]
fn remarks_that_tell_of_events_are_asked_about() {
    let table = |remark: &str| {
        format!(
            "Item;Date;Error;U;Remark\nG-1;2024-02-03;0.4;0.2;{remark}\nG-1;2025-02-03;0.5;0.2;\n"
        )
    };
    let asked = |remark: &str| {
        let found = guess_text(table(remark).as_bytes());
        let mut doubts = found.doubts.into_iter();
        doubts.find(|doubt| doubt.name == "events_in_remarks")
    };
    let doubt = asked("justiert auf 0,2").unwrap();
    assert!(
        doubt.words.contains("\"Remark\" is not read"),
        "{}",
        doubt.words
    );
    assert_eq!(doubt.choices.len(), 2);
    assert!(asked("box with a new label").is_none());
}

/// Columns that count on, and limits under a header that no list knows, are asked about.
#[test]
fn repeats_in_columns_and_unnamed_limits_are_asked_about() {
    let asks = |text: &str, name: &str| {
        let found = guess_text(text.as_bytes());
        found.asks(name)
    };
    for headers in [
        "Rdg 1 [V];Rdg 2 [V]",
        "1. Messung;2. Messung",
        "Error 1;Error 2",
    ] {
        let text = format!("Item;Date;{headers}\nG-1;2024-02-03;0.4;0.5\nG-1;2025-02-03;0.5;0.7\n");
        assert!(asks(&text, "more_readings"), "{headers}");
    }
    let limits = "Item;Date;Error;Limit\nG-1;2024-02-03;0.4;2\n";
    assert!(asks(limits, "limits_not_read"));
    assert!(!asks(&limits.replace(";2\n", ";±2\n"), "limits_not_read"));
    assert!(!asks(&limits.replace("Limit", "Tol"), "limits_not_read"));
}

/// A nominal value whose header no list knows lies beside readings that follow it, and not beside errors.
#[test]
fn readings_that_follow_a_column_are_asked_about() {
    let guess = |reading: fn(f64) -> f64| {
        let mut text = "Gauge,Cal date,Pressure of the bench (bar),Reading (bar)\n".to_string();
        for day in 1..9 {
            for pressure in [0.0, 2.5, 5.0, 10.0] {
                text += &format!("PG-1,2026-01-0{day},{pressure},{}\n", reading(pressure));
            }
        }
        guess_text(text.as_bytes())
    };
    let asked = |guess: &Guess| {
        let mut doubts = guess.doubts.iter();
        doubts.any(|doubt| doubt.name == "nominal_not_read" && doubt.words.contains("of the bench"))
    };
    let values = guess(|pressure| 1.004 * pressure + 0.01);
    assert!(asked(&values), "{:?}", values.doubts);
    let errors = guess(|pressure| 0.004 * pressure + 0.01);
    assert!(!asked(&errors), "{:?}", errors.doubts);
}

/// Two functions of one meter at one test point are two points, which the column not read tells.
#[test]
fn a_column_that_tells_the_rows_of_a_day_apart_is_asked_about() {
    let table = |header: &str, functions: [&str; 2]| {
        let mut text = format!("Asset,Date,{header},Test point,As found,Tolerance\n");
        for year in 2021..2025 {
            for function in functions {
                text += &format!("D-1,{year}-03-01,{function},10 V,0.0{year},0.1\n");
            }
        }
        guess_text(text.as_bytes())
    };
    let asked = |guess: &Guess| guess.asks("points");
    let taken = |guess: &Guess| guess.to_state.get("point_from").map(str::to_string);
    let own = table("Kind", ["DC V", "AC V 1 kHz"]);
    assert!(asked(&own) && taken(&own).is_none(), "{:?}", own.doubts);
    // Under a header of points it is taken as such, and told.
    let known = table("Function", ["DC V", "AC V 1 kHz"]);
    assert!(!asked(&known), "{:?}", known.doubts);
    let both = "[\"Function\", \"Test point\"]";
    assert_eq!(taken(&known).as_deref(), Some(both));
    let told = known.to_check.iter().any(|line| line.contains(both));
    assert!(told, "{:?}", known.to_check);
    let same = table("Function", ["DC V", "DC V"]);
    assert!(!asked(&same) && taken(&same).is_none());
}

/// Set points, exact or as a reference read them, tell the readings of a day apart; what merely accompanies
/// repeats of one reading does not.
#[test]
fn set_points_that_are_not_read_are_asked_about() {
    use crate::records::guess::doubt::Answer;
    // Readings a day, each with what stands beside it on day `day`.
    let asked = |beside: &dyn Fn(usize, usize) -> f64| {
        let mut text = "Probe,Date,Bath,Error (K),Tolerance (K)\n".to_string();
        for (item, day) in [("A", 0), ("A", 1), ("A", 2), ("B", 3), ("B", 4), ("B", 5)] {
            for reading in 0..3 {
                let error = 0.01 * ((7 * day + 3 * reading) % 5) as f64;
                let beside = beside(day, reading);
                text += &format!("{item},2025-0{}-03,{beside},{error},0.2\n", day + 1);
            }
        }
        let guess = guess_text(text.as_bytes());
        let doubt = guess.doubts.iter().find(|doubt| doubt.name == "points");
        doubt.map(|doubt| doubt.choices[1].answer.clone())
    };
    let points = |list: &[f64]| Some(Answer::Points(vec!["Bath".into()], list.to_vec()));
    let of = [0.0, 50.0, 200.0];
    let wobble = |day: usize| 0.07 * ((3 * day) % 4) as f64 - 0.1;
    assert_eq!(asked(&|_, n| of[n]), points(&[]), "exact");
    assert_eq!(asked(&|_, n| of[n % 2]), points(&[]), "up and down again");
    assert_eq!(asked(&|day, n| of[n] + wobble(day)), points(&of), "as read");
    // Decades: what is read about each grows with it.
    let decades = [0.1, 1.0, 10.0];
    let read = |day: usize, n: usize| decades[n] * (1.0 + 0.1 * wobble(day));
    assert_eq!(asked(&read), points(&decades), "decades");
    // Each item at its own.
    let own = |day: usize, n: usize| (if day < 3 { 1.0 } else { 3.0 }) * of[n] + wobble(day);
    assert_eq!(
        asked(&own),
        points(&[0.0, 50.0, 150.0, 200.0, 600.0]),
        "each its own"
    );
    // The room's temperature beside repeats of one reading.
    assert_eq!(
        asked(&|day, n| 20.0 + 0.3 * day as f64 + 0.01 * n as f64),
        None
    );
    assert_eq!(
        asked(&|day, n| (10 * day + n) as f64),
        None,
        "a running number"
    );
    assert_eq!(asked(&|_, _| 20.0), None);
}

#[test]
fn one_limit_is_asked_about_where_readings_lie_on_its_other_side() {
    let of = |limit: &str, second: &str| {
        let text = format!(
            "Item,Date,Error (V),{limit}\nA,2025-01-01,0.1,0.5\nA,2026-01-01,{second},0.5\n"
        );
        let guess = guess_text(text.as_bytes());
        let asked = guess.asks("other_limit");
        let limit =
            [Column::Upper, Column::Tolerance].map(|column| !header(&guess, column).is_empty());
        (limit, asked)
    };
    assert_eq!(of("Max (V)", "-0.2"), ([true, false], true));
    assert_eq!(of("Max (V)", "0.2"), ([true, false], false));
    assert_eq!(of("Max allowed (V)", "-0.2"), ([false, true], false));
    let pair = guess_text(b"Item,Date,Error,Min allowed,Max allowed\nA,2025-01-01,0.1,-0.5,0.5\n");
    assert_eq!(header(&pair, Column::Upper), "Max allowed");
    let two = guess_text(
        "Item,Date,Error,Limits\nA,2025-01-01,0.1,-0.5 … 0.4\nA,2026-01-01,0.2,-0.5 … 0.4\n"
            .as_bytes(),
    );
    assert_eq!(header(&two, Column::Tolerance), "Limits");
}

/// Humidity and temperature of one hygrometer; one error in two units is none.
#[test]
fn a_second_quantity_beside_the_readings_is_asked_about() {
    let of = |own: &str, second: &str| {
        let text =
            format!("Item,Date,{own},{second}\nA,2025-01-01,0.1,0.3\nA,2026-01-01,0.2,0.4\n");
        let guess = guess_text(text.as_bytes());
        guess.asks("second_quantity")
    };
    assert!(of("Error RH (%)", "Error temp. (K)"));
    // Units of two quantities, neither a part of the other.
    let both = guess_text(b"Item,Date,Error RH (% RH),Error temp. (K)\nA,2025-01-01,0.1,0.3\n");
    let points = both.wide.map(|wide| wide.points);
    assert_eq!(points, Some(vec!["RH".to_string(), "temp.".to_string()]));
    assert!(!of("Error (%)", "Error (µL)"));
    // 100, 200 mV are 0.1, 0.2 V; other numbers in the same unit are another quantity's.
    let of_numbers = |numbers: [&str; 2]| {
        let [first, second] = numbers;
        let text = format!(
            "Item,Date,Error (V),Zero error (mV)\nA,2025-01-01,0.1,{first}\nA,2026-01-01,0.2,{second}\n"
        );
        let guess = guess_text(text.as_bytes());
        guess.asks("second_quantity")
    };
    assert!(!of_numbers(["100", "200"]) && of_numbers(["100", "-30"]));
}

/// Two radiation qualities on days of their own; an operator who came later, and words that tell no level.
#[test]
fn levels_that_go_with_a_word_are_asked_about() {
    let asked = |word: &dyn Fn(usize) -> &'static str, level: &dyn Fn(usize) -> f64| {
        let mut text = "Chamber,Date,Quality,Error (%)\n".to_string();
        for item in ["A", "B"] {
            for check in 0..10 {
                let error = level(check) + 0.01 * ((7 * check) % 5) as f64;
                text += &format!("{item},{}-03-01,{},{error:.3}\n", 2010 + check, word(check));
            }
        }
        let guess = guess_text(text.as_bytes());
        guess.asks("points")
    };
    let two = |check: usize| ["Cs-137", "Co-60"][check % 2];
    assert!(asked(&two, &|check| [0.2, 1.4][check % 2]));
    assert!(!asked(&two, &|_| 0.2));
    let later = |check: usize| if check < 5 { "ab" } else { "cd" };
    assert!(!asked(&later, &|check| 0.3 * check as f64));
}
