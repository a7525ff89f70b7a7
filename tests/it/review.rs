//! Looking back, with the real program.

use crate::afterwards::one_walk;
use crate::rig::Rig;

#[test]
fn a_review_hides_what_is_few_and_names_nobody() {
    let rig = one_walk();
    let care = rig.run(&["review"]).code(0).out;
    assert!(
        care.contains("Walks looked at: 0."),
        "rehearsals are not care: {care}"
    );
    let said = rig.run(&["review", "--rehearsals"]).code(0).out;
    assert!(said.contains("Walks looked at: <5."), "{said}");
    let words: Vec<&str> = said.split_whitespace().collect();
    assert!(words.join(" ").contains("| prepare | <5 |"), "{said}");
    assert!(!said.contains("AB"), "{said}");
    let csv = |table: &[&str]| {
        let words = [&["review", "--rehearsals", "--csv"], table].concat();
        rig.run(&words).code(0).out
    };
    assert!(csv(&[]).starts_with("list,title,begun,"), "{}", csv(&[]));
    assert_eq!(csv(&["lists"]), csv(&[]));
    let months = csv(&["months"]);
    assert!(months.contains("\r\n2026-03,<5,"), "{months}");
    for table in ["limits", "left"] {
        assert_eq!(csv(&[table]).lines().count(), 1, "{table}");
    }
    let json = rig.run(&["review", "--rehearsals", "--json"]).code(0).out;
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["lists"][0]["begun"], "<5");
    assert_eq!(json["small"], 5);
}

#[test]
fn days_bound_it() {
    let rig = one_walk();
    let walks = |from: &str, to: &str| {
        rig.run(&["review", "--rehearsals", "--from", from, "--to", to])
            .code(0)
            .out
    };
    assert!(walks("2026-03-02", "2026-03-02").contains("looked at: <5"));
    assert!(walks("2026-03-03", "2026-03-31").contains("looked at: 0"));
    assert!(walks("2026-01-01", "2026-03-01").contains("looked at: 0"));
    rig.run(&["review", "--from", "yesterday"])
        .code(2)
        .says("write it like 2026-03-31");
    rig.run(&["review", "--csv", "--json"]).code(2);
}

#[test]
fn a_report_has_its_pictures_beside_it() {
    let rig = one_walk();
    let file = rig.path("looking back.md").display().to_string();
    rig.run(&["review", "--rehearsals", "--out", &file])
        .code(0)
        .says("written: ");
    let report = rig.read("looking back.md");
    assert!(
        report.starts_with("# Looking back (rehearsals): "),
        "{report}"
    );
    assert!(
        report.contains("No persons are counted or compared."),
        "{report}"
    );
    for (name, linked) in [
        ("looking back-months.svg", "](looking%20back-months.svg)"),
        ("looking back-waits.svg", "](looking%20back-waits.svg)"),
    ] {
        assert!(report.contains(linked), "{report}");
        let picture = rig.read(name);
        assert!(picture.starts_with("<svg xmlns="), "{picture}");
        assert!(picture.contains("<desc id=\"d\">"), "{picture}");
    }
    assert!(!report.contains("AB"), "{report}");
    // The same journal gives the same report.
    rig.run(&["review", "--rehearsals", "--out", &file]).code(0);
    assert_eq!(rig.read("looking back.md"), report);
    rig.run(&["review", "--out", &file, "--json"]).code(2);
}

#[test]
fn a_limit_that_was_met_is_counted_once_for_its_drain() {
    let mut rig = Rig::new().demo_unit();
    for drain in 1..=5 {
        let name = format!("d{drain}");
        rig.clock("2026-03-02T06:00:00Z");
        let place = format!("place=bay {drain}");
        rig.run(&[
            "drain",
            "new",
            "--by",
            "AB, RN",
            &place,
            "population=adult",
            "reason=fluid",
        ])
        .code(0);
        for (hour, level) in [("07", "600"), ("08", "1400"), ("09", "1700")] {
            rig.clock(&format!("2026-03-02T{hour}:00:00Z"));
            let level = format!("level={level} mL");
            rig.run(&["chart", "add", "--drain", &name, "--by", "AB, RN", &level]);
        }
    }
    let json = rig.run(&["review", "--rehearsals", "--json"]).code(0).out;
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["drains"], "5");
    let limits = json["limits"].as_array().expect("rows");
    let stop = limits
        .iter()
        .find(|row| row["limit"] == "effusion-adult-stop");
    let stop = stop.unwrap_or_else(|| panic!("{json}"));
    assert_eq!((&stop["drains"], &stop["met"]), (&"5".into(), &"5".into()));
    assert_eq!(json["months"][0]["month"], "2026-03");
}
