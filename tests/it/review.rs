//! Looking back, with the real program.

use crate::afterwards::one_walk;

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
    assert!(said.contains("| prepare | <5 |"), "{said}");
    assert!(!said.contains("AB"), "{said}");
    let csv = rig.run(&["review", "--rehearsals", "--csv"]).code(0).out;
    assert!(csv.starts_with("list,title,begun,"), "{csv}");
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
