use super::*;

#[test]
fn reads_the_form_of_the_docs() {
    let text = "[[thermometer]]\ninstrument = \"TH-101\"\ntriple_point_ohm = 25.4796\n\
        maximum_c = 660\nself_heating_mk = [0.2, 0.5]\n\
        subrange = [{ number = 8, a = -1.43e-4, b = -1.7e-5 }]\n";
    let all = Thermometers::from_text(text).unwrap();
    let one = all.of("TH-101").unwrap();
    assert_eq!(one.thermometer().unwrap().deviations().len(), 1);
    assert!(all.of("TH-102").is_none());
    assert!(
        Thermometers::from_text("[[thermometer]]\ninstrument = \"a\"\ntriple_point_ohm = -1\n")
            .is_err()
    );
}

fn adopted(list: &str) -> Result<ThermometerFacts, FactsError> {
    let head = "[[thermometer]]\ninstrument = \"TH-101\"\ntriple_point_ohm = 25.4796\n";
    let all = Thermometers::from_text(&format!("{head}adopted = [{list}]\n"))?;
    Ok(all.thermometer[0].clone())
}

/// 2025-03-07 is day 20154 since 1970-01-01 (by the calendar).
#[test]
fn a_value_serves_from_the_day_after_its_adoption() {
    let facts = adopted(
        "{ on = 2025-03-07, triple_point_ohm = 25.4797, u_triple_point_ohm = 2e-6 }, \
         { on = \"2026-01-01\", triple_point_ohm = 25.4798 }",
    )
    .unwrap();
    let ohm = |day: f64| facts.value_on(day).ohm;
    assert_eq!(
        [ohm(0.0), ohm(20_154.4), ohm(20_155.0)],
        [25.4796, 25.4796, 25.4797]
    );
    assert_eq!((ohm(30_000.0), facts.values().count()), (25.4798, 3));
    let certificate = facts.thermometer();
    assert!(certificate.is_err(), "no coefficients are stated");
}

#[test]
fn adopted_values_that_cannot_be_are_named() {
    let error = |list: &str| adopted(list).unwrap_err().to_string();
    let wrong = error("{ on = 2025-03-07, triple_point_ohm = 0 }");
    says!(wrong, "TH-101: triple_point_ohm = 0");
    let wrong = error("{ on = \"March\", triple_point_ohm = 25.4797 }");
    says!(wrong, "\"March\" is no date");
    let two = "{ on = 2025-03-07, triple_point_ohm = 25.4797 }, { on = 2025-03-07, triple_point_ohm = 25.4798 }";
    says!(error(two), "oldest first");
}
