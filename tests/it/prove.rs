//! `local prove` as an educator and a job use it: a safeguard that was lost by accident is told with
//! the shortest way, the way can be played, and what cannot be read is an error with its place.

use crate::rig::Rig;

/// The shipped list as a unit's own, with one thing changed.
fn own(rig: &Rig, from: &str, to: &str) {
    let shipped = include_str!("../../checklists/no-swing.yaml");
    assert_eq!(shipped.matches(from).count(), 1, "{from}");
    std::fs::create_dir_all(rig.path("unit/checklists")).expect("a folder");
    rig.write("unit/checklists/no-swing.yaml", shipped.replace(from, to));
}

const WORSE: &str = "- new or worse: {use: breathless, then: {escalated: handed-over, any: alone}}";

#[test]
fn a_lost_safeguard_is_told_with_the_shortest_way_and_the_way_can_be_played() {
    let rig = Rig::new();
    own(&rig, WORSE, "- new or worse: open");
    let said = rig
        .run(&[
            "local",
            "prove",
            "no-swing",
            "--local",
            "unit",
            "--trial",
            "lost.yaml",
        ])
        .code(1);
    let told = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "BROKEN red-flag-to-call",
        "A red flag in the patient brings up a call for help, or the one act that makes safe, on the next screen.",
        "-> new or worse",
        "2. Open all clamps and taps that no current order keeps closed.",
        "What is wrong: A red flag in the patient brings up a call for help, or the one act that makes safe, on the next screen. But here after",
        "answered \"new or worse\", none of this is on the next screen: a call to a doctor now, or to the emergency team, or \"Call the doctor now to look at the patient\"",
        "10 safeguards kept, 1 not",
    ] {
        assert!(told.contains(words), "{words} is not in\n{}", said.out);
    }
    // The way as a trial: it passes as long as the list is wrong.
    std::fs::create_dir_all(rig.path("unit/checklists/trials")).expect("a folder");
    rig.write(
        "unit/checklists/trials/unhelped.yaml",
        rig.read("lost.yaml"),
    );
    rig.run(&["local", "try", "unhelped", "--local", "unit"])
        .code(0)
        .says("1 trial passed, 0 failed");
    // Put right again, nothing is broken and the trial fails.
    rig.write(
        "unit/checklists/no-swing.yaml",
        include_str!("../../checklists/no-swing.yaml"),
    );
    rig.run(&["local", "prove", "no-swing", "--local", "unit"])
        .code(0)
        .says("11 safeguards kept, 0 not");
    rig.run(&["local", "try", "unhelped", "--local", "unit"])
        .code(1);
}

#[test]
fn a_danger_that_was_taken_out_does_not_pass_for_a_safeguard_that_is_kept() {
    let rig = Rig::new();
    own(
        &rig,
        "tags: [patient-first, red-flag]",
        "tags: [patient-first]",
    );
    let said = rig
        .run(&["local", "prove", "no-swing", "--local", "unit"])
        .code(1);
    assert!(said.out.contains("NO BITE"), "{}", said.out);
    assert!(said.out.contains("red-flag-to-call"), "{}", said.out);
}

#[test]
fn a_job_reads_what_came_of_each_safeguard() {
    let rig = Rig::new();
    own(&rig, WORSE, "- new or worse: open");
    let said = rig
        .run(&["local", "prove", "no-swing", "--local", "unit", "--json"])
        .code(1);
    let told: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    let text = told.to_string();
    assert!(text.contains("\"broken\""), "{text}");
    assert!(text.contains("patient = new or worse"), "{text}");
    // A list that is not there, and a rule that speaks of nothing.
    rig.run(&["local", "prove", "no-swinging", "--local", "unit"])
        .code(2)
        .says("no-swing");
    rig.write(
        "unit/safeguards.yaml",
        "safeguards:\n  ours:\n    says: Ours.\n    first: {do: tag no-such-tag, before: tag unclamp}\n",
    );
    let said = rig
        .run(&["local", "prove", "no-swing", "--local", "unit"])
        .code(1);
    let all = format!("{}{}", said.out, said.err);
    assert!(all.contains("no step has the tag \"no-such-tag\""), "{all}");
    assert!(all.contains("safeguards.yaml:4:"), "{all}");
}

#[test]
fn a_unit_adds_safeguards_and_takes_none_away() {
    let rig = Rig::new();
    std::fs::create_dir_all(rig.path("unit/checklists")).expect("a folder");
    rig.write(
        "unit/safeguards.yaml",
        "safeguards:\n  ours:\n    says: Clamps are opened before the tubing is traced.\n    lists: [no-swing]\n    first: {do: tag unclamp, before: step no-swing/trace}\n",
    );
    let said = rig.run(&["local", "prove", "no-swing", "--local", "unit"]);
    let told = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("ours Clamps are opened"), "{}", said.out);
    assert!(told.contains("red-flag-to-call"), "{}", said.out);
}

#[test]
fn the_prover_notices_every_step_that_keeps_a_safeguard_being_left_out() {
    let rig = Rig::new();
    let said = rig.run(&["local", "prove", "no-swing", "--doubt"]).code(0);
    assert!(said.out.contains("red-flag-to-call"), "{}", said.out);
}

/// What comes of the safeguard of the limits with the seal called low from another depth on, as a
/// verdict and whether it was waived.
fn limit_at(depth: &str, waivers: Option<&str>) -> (String, bool) {
    let rig = Rig::new().real_clock();
    rig.run(&["local", "new", "unit"]).code(0);
    let written = rig.read("unit/adaptations/no-swing.yaml");
    let (head, _) = written.split_once("changes:\n").expect("changes");
    let change = format!(
        "{head}changes:\n  - limit: seal-low\n    was: 2 cm\n    to: {depth}\n    because: Our scale begins there.\n"
    );
    rig.write(
        "unit/adaptations/no-swing.yaml",
        change.replace("XX, role", "AB, practice educator"),
    );
    if let Some(waivers) = waivers {
        rig.write("unit/waivers.yaml", waivers);
    }
    let said = rig.run(&["local", "prove", "no-swing", "--local", "unit", "--json"]);
    let told: serde_json::Value = serde_json::from_str(&said.out).expect(&said.err);
    let all = told[0]["safeguards"].as_array().expect("safeguards");
    let one = all
        .iter()
        .find(|one| one["name"] == "limits-only-stricter")
        .expect("the safeguard");
    let came = one["came"].as_str().expect("a word").to_owned();
    (came, one["waived"] == true)
}

#[test]
fn a_limit_that_acts_later_is_broken_and_one_that_acts_earlier_is_kept() {
    let waivers = "waivers:\n  - limit: seal-low\n    because: The scale begins there.\n    \
                   who: EF, ward manager\n    until: 2039-06-30\n";
    // Without a waiver such a list is not even read; with one the proof still sees it.
    assert_eq!(
        limit_at("1.5 cm", Some(waivers)),
        ("broken".to_owned(), true)
    );
    assert_eq!(limit_at("2.5 cm", None), ("kept".to_owned(), false));
}
