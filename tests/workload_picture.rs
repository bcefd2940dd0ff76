/*! The picture of the workload against due dates that were counted by hand. */

use super::desk::Desk;
use driftbook::records::date::iso;
use std::fmt::Write as _;
use std::fs;

/// The as-of date, 2026-06-30, in days since 1970-01-01. The months shown go from June 2026 to November 2027, the
/// end of which lies 519 days later.
const AS_OF: i64 = 20_634;

/// An item, and by hand when it falls due, in days from the as-of date.
struct Counted {
    name: &'static str,
    /// Interval in force and last check.
    interval: i64,
    last: i64,
    /// Columns cap_days, status and until of the register.
    register: &'static str,
    /// Value of the last check; the others stand still within 0.002 mm, limits ± 50 mm.
    end: f64,
    /// By the interval in force, and if every proposal were approved; the first is true where it is overdue.
    in_force: (bool, &'static [i64]),
    proposed: (bool, &'static [i64]),
}

/// The values stand still, so that an interval grows to twice its length, or to its cap.
const ITEMS: [Counted; 6] = [
    // 180 d are proposed.
    Counted {
        name: "EVEN",
        interval: 90,
        last: -30,
        register: ",,",
        end: 0.0,
        in_force: (false, &[60, 150, 240, 330, 420, 510]),
        proposed: (false, &[150, 330, 510]),
    },
    // Overdue by the 60 d proposed too; calibrated today, it is due an interval later.
    Counted {
        name: "LATE",
        interval: 30,
        last: -61,
        register: ",,",
        end: 0.0,
        in_force: (
            true,
            &[
                30, 60, 90, 120, 150, 180, 210, 240, 270, 300, 330, 360, 390, 420, 450, 480, 510,
            ],
        ),
        proposed: (true, &[60, 120, 180, 240, 300, 360, 420, 480]),
    },
    // Overdue by what is in force alone: its cap of 430 d is proposed.
    Counted {
        name: "SOON",
        interval: 365,
        last: -400,
        register: "430,,",
        end: 0.0,
        in_force: (true, &[365]),
        proposed: (false, &[30, 460]),
    },
    // Withdrawn: due now, since no date in force permits its use, then at the interval in force.
    Counted {
        name: "OUT",
        interval: 180,
        last: -50,
        register: ",,",
        end: 60.0,
        in_force: (false, &[0, 180, 360]),
        proposed: (false, &[0, 180, 360]),
    },
    // Lent until day 100: due then in place of day 10. 200 d are proposed.
    Counted {
        name: "LENT",
        interval: 100,
        last: -90,
        register: ",lent,2026-10-08",
        end: 0.0,
        in_force: (false, &[100, 200, 300, 400, 500]),
        proposed: (false, &[110, 310, 510]),
    },
    Counted {
        name: "GONE",
        interval: 90,
        last: -30,
        register: ",retired,",
        end: 0.0,
        in_force: (false, &[]),
        proposed: (false, &[]),
    },
];

fn records(desk: &Desk) -> std::path::PathBuf {
    let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let mut register = String::from("instrument,interval_days,cap_days,status,until\n");
    for item in &ITEMS {
        writeln!(
            register,
            "{},{},{}",
            item.name, item.interval, item.register
        )
        .unwrap();
        for place in 0..8 {
            let day = iso((AS_OF + item.last - item.interval * (7 - place)) as f64);
            let still = 0.001 * ((place * 7) % 5 - 2) as f64;
            let value = if place == 7 { item.end } else { still };
            writeln!(checks, "{},{day},{value},0.01,-50,50,mm", item.name).unwrap();
        }
    }
    desk.file("checks.csv", &checks);
    desk.file("register.csv", &register);
    desk.file(
        "lab.toml",
        "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n",
    )
}

/// Bars by hand: what is overdue, then the months.
fn by_hand(which: impl Fn(&Counted) -> (bool, &'static [i64])) -> Vec<usize> {
    let months = (0..18).map(|k| format!("{}-{:02}", 2026 + (k + 5) / 12, (k + 5) % 12 + 1));
    let overdue = ITEMS.iter().filter(|item| which(item).0).count();
    let due: Vec<String> = ITEMS
        .iter()
        .flat_map(|item| which(item).1)
        .map(|day| iso((AS_OF + day) as f64))
        .collect();
    let count = |month: String| due.iter().filter(|day| day.starts_with(&month)).count();
    std::iter::once(overdue).chain(months.map(count)).collect()
}

fn attribute(tag: &str, name: &str) -> f64 {
    let (_, rest) = tag.split_once(&format!(" {name}=\"")).unwrap();
    rest.split('"').next().unwrap().parse().unwrap()
}

/// Bars as drawn, filled ones and outlined ones, read off the picture's own scale.
fn drawn(svg: &str) -> [Vec<usize>; 2] {
    let mut ticks: Vec<(f64, f64)> = Vec::new();
    for text in svg.split("<text ").skip(1) {
        let (tag, words) = text.split_once('>').unwrap();
        let number = words.split('<').next().unwrap().parse();
        if let (true, Ok(number)) = (tag.contains("\"end\""), number) {
            ticks.push((number, attribute(&format!(" {tag}"), "y")));
        }
    }
    let (foot, head) = (ticks[0], ticks[ticks.len() - 1]);
    // Where the labels stand is a constant off the heights that they name.
    let unit = (foot.1 - head.1) / (head.0 - foot.0);
    let axis = svg
        .split("<line ")
        .find(|tag| tag.contains("x1=\"224\" "))
        .unwrap();
    let (left, right) = (attribute(axis, "x1"), attribute(axis, "x2"));
    let bars = 19.0;
    let place = |x: f64| ((x - left) / (right - left) * bars).floor() as usize;
    let height = |pixels: f64| (pixels / unit).round() as usize;
    let (mut filled, mut outlined) = (vec![0; 19], vec![0; 19]);
    for tag in svg
        .split("<rect ")
        .filter(|tag| tag.contains("opacity=\"0.75\""))
    {
        let tag = format!(" {tag}");
        let middle = attribute(&tag, "x") + 0.5 * attribute(&tag, "width");
        filled[place(middle)] = height(attribute(&tag, "height"));
    }
    for tag in svg.split("<polyline ").skip(1) {
        let points = tag
            .split(" points=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        let corners: Vec<(f64, f64)> = points
            .split(' ')
            .map(|corner| {
                let (x, y) = corner.split_once(',').unwrap();
                (x.parse().unwrap(), y.parse().unwrap())
            })
            .collect();
        let middle = 0.5 * (corners[0].0 + corners[3].0);
        outlined[place(middle)] = height(corners[0].1 - corners[1].1);
    }
    [filled, outlined]
}

#[test]
fn every_due_date_of_eighteen_months_is_in_the_picture() {
    let desk = Desk::new();
    desk.run(&records(&desk)).well();
    let page = fs::read_to_string(desk.path("report/index.html")).unwrap();
    let page = page.replace('\u{a0}', " ");
    let (_, after) = page.split_once("every due date: filled by").unwrap();
    let (words, svg) = after.split_once("<svg").unwrap();
    let [filled, outlined] = drawn(svg.split("</svg>").next().unwrap());
    let (now, decided) = (by_hand(|item| item.in_force), by_hand(|item| item.proposed));
    assert_eq!(filled, now);
    assert_eq!(outlined, decided);
    let (all, of_proposals): (usize, usize) = (now.iter().sum(), decided.iter().sum());
    assert_eq!((all, of_proposals), (34, 20));
    says!(page, "34 calibrations in 18 months, 2 overdue; busiest: ");
    says!(words, "(20 in all)");
}
