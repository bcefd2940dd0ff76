//! Pooled lines against exact restricted likelihood, lme4 and MixedLM (tests/reference/pooled).

use super::*;
use crate::records::DAYS_PER_YEAR;
use chrono::NaiveDate;
use serde_json::Value;
use std::collections::BTreeMap;

fn file(name: &str) -> String {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

fn fleet() -> Vec<LineSums> {
    let mut items: BTreeMap<String, Vec<Reading>> = BTreeMap::new();
    for line in file("pooled/fleet20x8.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let day: NaiveDate = cells[2].parse().unwrap();
        let x = (day - NaiveDate::default()).num_days() as f64 / DAYS_PER_YEAR;
        let value = cells[3].parse().unwrap();
        items.entry(cells[0].into()).or_default().push(Reading {
            x,
            value,
            u: f64::NAN,
            segment: 0,
            drift_segment: 0,
            check: 0,
            as_left: false,
            unread_since: None,
        });
    }
    items
        .values()
        .map(|readings| LineSums::of(readings).unwrap())
        .collect()
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .or_else(|| value.as_str()?.parse().ok())
        .unwrap()
}

fn agree(name: &str, found: f64, expected: f64, digits: i32) {
    let off = ((found - expected) / expected).abs();
    assert!(off < 10f64.powi(-digits), "{name}: {found} for {expected}");
}

#[test]
fn components_means_and_lines_agree_with_exact_restricted_likelihood() {
    let items = fleet();
    let pooled = pool_lines(&items).unwrap();
    assert!(pooled.converged);
    let json: Value = serde_json::from_str(&file("pooled/fleet20x8_py.json")).unwrap();
    let exact = &json["results"]["exact_reml"];
    let nine = |name: &str, found: f64, expected: &Value| agree(name, found, number(expected), 9);
    nine("level", pooled.mean[0], &exact["fixed"][0]);
    nine("drift", pooled.mean[1], &exact["fixed"][1]);
    nine(
        "var level",
        pooled.mean_covariance[0],
        &exact["fixed_covariance"][0][0],
    );
    nine(
        "var drift",
        pooled.mean_covariance[2],
        &exact["fixed_covariance"][1][1],
    );
    nine("G11", pooled.between[0], &exact["random_covariance"][0][0]);
    nine("G12", pooled.between[1], &exact["random_covariance"][0][1]);
    nine("G22", pooled.between[2], &exact["random_covariance"][1][1]);
    nine(
        "residual",
        pooled.residual_variance,
        &exact["residual_variance"],
    );
    nine(
        "likelihood",
        pooled.log_likelihood,
        &exact["log_likelihood"],
    );
    let lme4: Value = serde_json::from_str(&file("pooled/fleet20x8_r.json")).unwrap();
    let blup = &lme4["results"]["reml_correlated"]["blup"];
    for (i, item) in items.iter().enumerate() {
        let line = pooled.line_of(item);
        nine(
            "level of an item",
            line.deviation[0],
            &exact["blup"]["intercept"][i],
        );
        nine(
            "drift of an item",
            line.deviation[1],
            &exact["blup"]["slope"][i],
        );
        // lme4 stops at about 1e-8 of a variance.
        let sd = number(&blup["conditional_sd_slope"][i]);
        agree("sd of a drift", line.conditional[2].sqrt(), sd, 6);
    }
}

#[test]
fn one_reading_borrows_the_drift_and_many_keep_their_own() {
    let items = fleet();
    let pooled = pool_lines(&items).unwrap();
    let once = LineSums {
        count: 1,
        moments: [1.0, 0.0, 0.0],
        products: [2.0, 0.0],
        square: 4.0,
        ..items[0]
    };
    let borrowed = pooled.line_of(&once);
    assert!(borrowed.own_share < 0.05, "{borrowed:?}");
    assert!(borrowed.covariance[2] > 0.9 * pooled.between[2]);
    let thousand = 1000.0;
    let many = LineSums {
        count: 8000,
        moments: items[1].moments.map(|x| thousand * x),
        products: items[1].products.map(|x| thousand * x),
        square: thousand * items[1].square,
        ..items[1]
    };
    assert!(pooled.line_of(&many).own_share > 0.99);
}

#[test]
fn partitions_merge_and_units_carry_over() {
    let items = fleet();
    let (left, right) = items.split_at(7);
    let merged = [left, right].concat();
    assert_eq!(pool_lines(&merged), pool_lines(&items));
    let scaled: Vec<LineSums> = items
        .iter()
        .map(|item| LineSums {
            products: item.products.map(|x| 1e-6 * x),
            square: 1e-12 * item.square,
            ..*item
        })
        .collect();
    let (one, other) = (pool_lines(&items).unwrap(), pool_lines(&scaled).unwrap());
    agree("drift in another unit", 1e6 * other.mean[1], one.mean[1], 9);
    assert!(pool_lines(&items[..2]).is_none());
}
