use super::*;

fn request(path: Option<PathBuf>) -> PlanRequest {
    let today = NaiveDate::from_ymd_opt(2026, 7, 1).unwrap();
    PlanRequest::new(path, None, today)
}

fn folder_with(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

#[test]
fn a_pipeline_file_becomes_a_plan() {
    let text = "as_of = \"2026-06-30\"\n[checks]\nfiles = [\"*.csv\", \"a.csv\"]\n[register]\nfile = \"r.txt\"\n";
    let folder = folder_with(&[
        ("p.toml", text),
        ("b.csv", ""),
        ("a.csv", ""),
        ("r.txt", ""),
    ]);
    let path = folder.path().join("p.toml");
    let made = plan(&request(Some(path.clone()))).unwrap();
    let names: Vec<String> = made
        .checks
        .iter()
        .map(|p| files::shown(p, &made.base))
        .collect();
    assert_eq!(names, ["a.csv", "b.csv"]);
    assert_eq!(
        (made.as_of, made.as_of_from),
        (20_634.0, AsOfFrom::PipelineFile)
    );
    assert_eq!(made.out, folder.path().join("reports"));
    assert_eq!(made.register, Some(folder.path().join("r.txt")));
    let mut asked = request(Some(path));
    asked.as_of = Some("2026-05-01".into());
    asked.out = Some("here".into());
    let made = plan(&asked).unwrap();
    assert_eq!(made.as_of_from, AsOfFrom::CommandLine);
    assert_eq!(made.out, PathBuf::from("here"));
}

#[test]
fn plain_records_take_default_settings_and_today() {
    let folder = folder_with(&[("a.csv", "")]);
    let made = plan(&request(Some(folder.path().into()))).unwrap();
    assert_eq!(made.checks, [folder.path().join("a.csv")]);
    assert_eq!((made.as_of, made.as_of_from), (20_635.0, AsOfFrom::Today));
}

#[test]
fn what_is_missing_shows_its_line() {
    let text = "as_of = \"June\"\n[checks]\nfiles = [\"none.csv\"]\n[register]\nfile = \"r.csv\"\n";
    let folder = folder_with(&[("p.toml", text)]);
    let path = folder.path().join("p.toml");
    let refusal = plan(&request(Some(path.clone()))).unwrap_err().to_string();
    assert!(
        refusal.contains("p.toml:1") && refusal.contains("expected YYYY-MM-DD"),
        "{refusal}"
    );
    std::fs::write(&path, text.replace("June", "2026-06-30")).unwrap();
    let refusal = plan(&request(Some(path))).unwrap_err().to_string();
    assert!(
        refusal.contains("p.toml:3") && refusal.contains("none.csv"),
        "{refusal}"
    );
    assert!(
        refusal.contains("p.toml:5") && refusal.contains("r.csv"),
        "{refusal}"
    );
    let refusal = plan(&request(Some("no/such.csv".into())))
        .unwrap_err()
        .to_string();
    says!(refusal, "no such file or folder");
}
