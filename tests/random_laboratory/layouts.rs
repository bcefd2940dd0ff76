/*! The rows of a random laboratory: one a check, or one an item with a column a date. */

use super::*;

/// A row a check.
pub(super) fn long(habits: &Habits, dice: &mut Dice) -> Laboratory {
    let w = habits.words;
    let (pairs, outcomes) = (
        habits.layout == Layout::Pairs,
        habits.layout == Layout::Outcomes,
    );
    let many = habits.layout == Layout::ManyPoints;
    let with_nominal = !pairs && !outcomes && (many || habits.measured == 2);
    let limits = if outcomes {
        Limits::None
    } else {
        habits.limits
    };
    let (has_u, has_outcome) = (habits.has_u && !outcomes, habits.has_outcome || outcomes);
    let mut names = vec![(w[0], false), (w[1], false)];
    match habits.layout {
        Layout::Outcomes => {}
        Layout::Pairs => names.extend([(w[11], true), (w[12], true)]),
        _ => names.push((habits.word_of_measured(), true)),
    }
    if with_nominal {
        names.push((w[5], true));
    }
    if has_u {
        names.push((w[6], true));
    }
    match limits {
        Limits::None => {}
        Limits::PlusMinus | Limits::Bare => names.push((w[7], true)),
        Limits::Two => names.extend([(w[13], true), (w[14], true)]),
    }
    if has_outcome {
        names.push((w[8], false));
    }
    let limit = 1000 * (2 + dice.below(40) as i64);
    let nominals: Vec<i64> = match many {
        true => vec![10, 50, 100],
        false => vec![dice.pick(&[100, 100, 2000])],
    };
    let (mut rows, mut meant) = (Vec::new(), BTreeMap::new());
    for item in 0..2 + dice.below(3) {
        for year in 2015..2019 + dice.below(5) {
            let day = (year, 1 + dice.below(12), 1 + dice.below(28));
            for point in &nominals {
                let error = habits.grain(dice.below(3 * limit as u64) as i64 - 3 * limit / 2);
                let gap = habits.gaps && dice.below(8) == 0 && !has_outcome && !outcomes;
                let u = habits.grain(2 * (10 + dice.below(300) as i64));
                // What is stated agrees with the numbers, where limits tell.
                let stated = dice.below(6) > 0;
                let pass = match limits {
                    Limits::None => stated,
                    _ => error.abs() <= limit,
                };
                let left = (!pass || dice.below(5) == 0).then(|| habits.grain(error / 10));
                let nominal = point * 1000;
                let name = format!("G-{item}");
                let mut row = vec![name.clone(), habits.day(day)];
                let nothing = dice.pick(&["", "-", "n/a"]).to_string();
                let mut number = |value: i64| habits.cell(value, dice);
                match habits.layout {
                    _ if gap => row.resize(if pairs { 4 } else { 3 }, nothing),
                    Layout::Outcomes => {}
                    Layout::Pairs => {
                        row.push(number(error));
                        row.push(left.map_or(String::new(), &mut number));
                    }
                    _ => row.push(number(habits.measured(error, nominal))),
                }
                if with_nominal {
                    row.push(number(nominal));
                }
                if has_u {
                    row.push(number(u));
                }
                match limits {
                    Limits::None => {}
                    Limits::PlusMinus => row.push(format!("±{}", number(limit))),
                    Limits::Bare => row.push(number(limit)),
                    Limits::Two => row.extend([number(-limit), number(limit)]),
                }
                if has_outcome {
                    row.push(if pass { w[9] } else { w[10] }.into());
                }
                rows.push(row);
                let of = Meant {
                    error: (!outcomes).then_some(error),
                    left: left.filter(|_| pairs),
                    u: has_u.then_some(u),
                    limits: (limits != Limits::None).then_some((-limit, limit)),
                    pass: has_outcome.then_some(pass),
                };
                let point = if many {
                    format!(" {point}")
                } else {
                    String::new()
                };
                if !gap {
                    meant.insert(format!("{name} {}{point}", iso(day)), of);
                }
            }
        }
    }
    Laboratory {
        meant,
        header: header(habits, &names),
        rows,
    }
}

/// A column a date, or a column a point.
pub(super) fn wide(habits: &Habits, dice: &mut Dice) -> Laboratory {
    let w = habits.words;
    let by_date = matches!(habits.layout, Layout::Dates | Layout::Years);
    let years = habits.layout == Layout::Years;
    let bare = habits.layout == Layout::BarePoints;
    let days: Vec<Day> = (2018..2023)
        .map(|y| match years {
            true => (y, 7, 1),
            false => (y, 1 + dice.below(12), 1 + dice.below(28)),
        })
        .collect();
    let points: &[u64] = if bare { &[0, 50, 100] } else { &[5, 10, 25] };
    let mut lower = vec![w[0].to_string()];
    let mut upper = vec![String::new()];
    if !by_date {
        lower.push(w[1].to_string());
        upper.push(String::new());
    }
    let fixed = lower.len();
    match habits.layout {
        Layout::Years => lower.extend(days.iter().map(|day| day.0.to_string())),
        Layout::Dates => lower.extend(days.iter().map(|day| habits.day(*day))),
        Layout::BarePoints => lower.extend(points.iter().map(u64::to_string)),
        _ => lower.extend(points.iter().map(|p| format!("{p} {}", habits.unit.0))),
    }
    upper.resize(lower.len(), String::new());
    if !by_date {
        upper[fixed] = habits.header(habits.word_of_measured());
    }
    let one_row = !bare && !habits.two_rows;
    let mut header = match one_row || by_date {
        true => vec![lower],
        // The names of the first columns stand in the upper row or in the lower one.
        false => {
            if dice.below(2) == 0 {
                for i in 0..fixed {
                    upper[i] = std::mem::take(&mut lower[i]);
                }
            }
            vec![upper, lower]
        }
    };
    if habits.place == 2 {
        let width = header.iter().map(Vec::len).max().unwrap();
        let unit = |i| {
            if i < fixed {
                String::new()
            } else {
                habits.unit.0.to_string()
            }
        };
        header.push((0..width).map(unit).collect());
    }
    let (mut rows, mut meant) = (Vec::new(), BTreeMap::new());
    let mut add = |name: String, error| {
        let of = Meant {
            error: Some(error),
            ..Meant::default()
        };
        meant.insert(name, of);
    };
    // Without a word over them, cells of points are readings.
    let by_word = header.len() > 1 && !one_row && !by_date;
    for item in 0..3 {
        let name = format!("G-{item}");
        if by_date {
            let mut row = vec![name.clone()];
            for day in &days {
                if habits.gaps && dice.below(6) == 0 {
                    row.push(String::new());
                    continue;
                }
                let error = habits.grain(dice.below(9_000) as i64 - 4_500);
                row.push(habits.cell(error, dice));
                add(format!("{name} {}", iso(*day)), error);
            }
            rows.push(row);
            continue;
        }
        for day in &days {
            let mut row = vec![name.clone(), habits.day(*day)];
            for point in points {
                let error = habits.grain(dice.below(900) as i64 - 450);
                let nominal = 1000 * *point as i64;
                let value = match by_word {
                    true => habits.measured(error, nominal),
                    false => nominal + error,
                };
                row.push(habits.cell(value, dice));
                add(format!("{name} {} {point}", iso(*day)), error);
            }
            rows.push(row);
        }
    }
    Laboratory {
        meant,
        header,
        rows,
    }
}
