/*! What the README claims of the program is what the tables of docs/evidence.md show. */

use std::path::Path;

fn text(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    std::fs::read_to_string(path).unwrap()
}

/// Cells of the rows of the first table after `heading`, its header first.
fn table(page: &str, heading: &str) -> Vec<Vec<String>> {
    let (_, after) = page.split_once(heading).unwrap();
    let rows = after.lines().skip_while(|line| !line.starts_with('|'));
    let cells = |line: &str| -> Vec<String> {
        let inside = line.trim_matches('|').split('|');
        inside.map(|c| c.trim().replace("**", "")).collect()
    };
    rows.take_while(|line| line.starts_with('|'))
        .filter(|line| !line.starts_with("| ---"))
        .map(cells)
        .collect()
}

/// The closed loop of one size of class: mean cost in %, and the share in tolerance in % by kind.
struct Loop {
    kinds: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Loop {
    fn of(page: &str, size: &str) -> Self {
        let mut rows = table(page, &format!("### Classes of {size}\n"));
        let kinds = rows.remove(0).split_off(2);
        Self { kinds, rows }
    }

    fn row(&self, method: &str) -> &[String] {
        self.rows.iter().find(|row| row[0] == method).unwrap()
    }

    fn mean(&self, method: &str) -> String {
        self.row(method)[1].split_once(" ±").unwrap().0.to_string()
    }

    fn share(&self, method: &str, kind: usize) -> u32 {
        let (_, share) = self.row(method)[2 + kind].split_once('(').unwrap();
        let share: f64 = share.trim_end_matches(')').parse().unwrap();
        (100.0 * share).round() as u32
    }

    /// The cheapest of the rows that are neither told more than a laboratory knows nor this
    /// program's own.
    fn best_published(&self) -> &str {
        let own = [
            "perfect knowledge",
            "least cost",
            "drift crossing",
            "policy, target",
            "policy, least cost",
        ];
        let published = self.rows.iter().filter(|row| {
            let name = row[0].as_str();
            !own.contains(&name) && !name.ends_with("class known")
        });
        let mean = |row: &&Vec<String>| self.mean(&row[0]).parse::<i32>().unwrap();
        &published.min_by_key(mean).unwrap()[0]
    }
}

#[test]
fn the_readme_claims_what_the_tables_of_the_evidence_show() {
    let page = text("docs/evidence.md");
    let readme = text("README.md");
    let readme: Vec<&str> = readme.split_whitespace().collect();
    let readme = readme.join(" ");
    let claims = |claim: String| assert!(readme.contains(&claim), "the README lacks: {claim}");
    let (large, small) = (Loop::of(&page, "200"), Loop::of(&page, "6"));
    let policy = "policy, target";
    claims(format!(
        "costs {} % more than perfect knowledge of every item would in classes of 200, {} % in classes of six",
        large.mean(policy),
        small.mean(policy)
    ));
    let wear = large.kinds.iter().position(|k| k == "wear-out").unwrap();
    let others = (0..large.kinds.len()).filter(|kind| *kind != wear);
    let least = others.flat_map(|k| [large.share(policy, k), small.share(policy, k)]);
    claims(format!(
        "finds {} % or more of the checks in tolerance in every kind but wear-out ({} and {} %)",
        least.min().unwrap(),
        large.share(policy, wear),
        small.share(policy, wear)
    ));
    let line = "own line of eight, least cost";
    assert_eq!(
        (large.best_published(), small.best_published()),
        (line, line)
    );
    claims(format!(
        "the best published method, the straight line through an item's last eight readings by least cost, costs {} and {} %",
        large.mean(line),
        small.mean(line)
    ));
    claims(format!(
        "The least-cost rule alone, without guardrails, costs {} and {} %",
        large.mean("least cost"),
        small.mean("least cost")
    ));
    let tenths = |row: &[String]| {
        let share: f64 = row[2].parse().unwrap();
        format!("{:.1} %", 100.0 * share)
    };
    let (_, fleets) = page.split_once("### Simulated fleets").unwrap();
    let bands = table(fleets, "**state model**");
    let of = |label: &str| bands.iter().find(|row| row[0] == label).unwrap();
    let count = &of("next reading")[1];
    let (thousands, rest) = count.split_at(count.len() - 3);
    claims(format!(
        "{} of {thousands},{rest} later simulated readings fell inside the 95 % band made before, {} of those forecast from a single check and {} from two",
        tenths(of("next reading")),
        tenths(of("1 check known")),
        tenths(of("2 checks known"))
    ));
    let resistor = table(&page, "### A standard resistor");
    claims(format!(
        "on 1,000 published readings of a standard resistor, {} did",
        tenths(&resistor[1])
    ));
}
