use super::*;
use crate::property_cases::usual;
use crate::records::Repeats;
use proptest::prelude::*;

fn complaint(text: &str) -> String {
    let problems = PipelineFile::parse(text).unwrap_err();
    let rendered: Vec<String> = problems.iter().map(|p| p.render("p.toml", text)).collect();
    rendered.join("\n")
}

#[test]
fn empty_file_is_all_defaults() {
    assert_eq!(
        PipelineFile::parse("").unwrap().settings,
        Settings::default()
    );
}

#[test]
fn values_are_read() {
    let text = "as_of = 2026-06-30\n[checks]\nfiles = ['a.csv']\nrepeats = 'average'\n\
                [checks.columns]\ndate = 'When'\n[checks.events]\ntrimmed = 'adjusted'\n[drift]\nlevel = 0.9\n";
    let settings = PipelineFile::parse(text).unwrap().settings;
    assert_eq!(settings.as_of.as_deref(), Some("2026-06-30"));
    assert_eq!(settings.checks.repeats, Repeats::Average);
    assert_eq!(settings.checks.columns.date.as_deref(), Some("When"));
    assert_eq!(settings.drift.level, 0.9);
}

#[test]
fn unknown_keys_name_the_nearest() {
    let text = complaint("[drift]\nmodle = \"line\"\n");
    says!(text, "p.toml:2");
    assert!(
        text.contains("did you mean model?") && text.contains("^"),
        "{text}"
    );
    says!(complaint("[drfit]\n"), "did you mean drift?");
    says!(complaint("model = \"line\"\n"), "model belongs in [drift]");
    says!(
        complaint("[checks]\nas_of = \"2026-06-30\"\n"),
        "stands at the top"
    );
    says!(
        complaint("[checks.columns]\nasfound = \"x\"\n"),
        "did you mean as_found?"
    );
}

#[test]
fn wrong_types_and_words_are_told() {
    let text = complaint("[drift]\nlevel = \"high\"\n");
    assert!(
        text.contains("p.toml:2") && text.contains("expected a number"),
        "{text}"
    );
    let text = complaint("[drift]\nmodel = \"lin\"\n");
    assert!(
        text.contains("unknown word lin") && text.contains("the nearest is \"line\""),
        "{text}"
    );
    says!(complaint("drift = 3\n"), "expected [drift]");
    says!(complaint("as_of = 3\n"), "expected a date");
    says!(complaint("[checks]\nfiles = 'a.csv'\n"), "expected a list");
}

#[test]
fn impossible_values_show_their_line() {
    let text = complaint("[checks]\ncoverage_factor = -2\n");
    assert!(
        text.contains("p.toml:2") && text.contains("expected a number above 0"),
        "{text}"
    );
    says!(complaint("[checks]\ndate_format = \"%d\"\n"), "strftime");
}

#[test]
fn bad_toml_shows_its_line() {
    let text = complaint("[checks]\nfiles = [\n");
    assert!(
        text.contains("this is not TOML") && text.contains("p.toml:2"),
        "{text}"
    );
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn no_text_makes_a_panic(text in "\\PC{0,200}|[a-z\\[\\]=\"'. \\n\\r\\t0-9{},#é]{0,200}") {
        if let Err(problems) = PipelineFile::parse(&text) {
            for problem in problems {
                prop_assert!(!problem.render("p.toml", &text).is_empty());
            }
        }
    }

    #[test]
    fn no_value_makes_a_panic(
        key in prop::sample::select(Settings::rows()),
        value in "[0-9]{1,3}|-1e400|nan|true|\"\"|\\[\\]|\\{\\}|\\[\\[1\\]\\]|\"é\"|1979-05-27",
    ) {
        let header = if key.table.is_empty() { String::new() } else { format!("[{}]\n", key.table) };
        let text = format!("{header}{} = {value}\n", key.key);
        if let Err(problems) = PipelineFile::parse(&text) {
            for problem in problems {
                let shown = problem.render("p.toml", &text);
                prop_assert!(shown.contains("p.toml"), "{shown}");
            }
        }
    }
}
