//! The observation round and the drain chart: what is read in the walk stands in the chart, once.

use crate::rig::{Rig, Said};

/// The answers of a round in which all is well, up to the level.
const BEFORE: &str = "patient = none of these\nwhich-drain = y\nsigns = the same or better\n\
    air-entry = as at the last round\ncrackle = y\nsite = dry, firm, cm mark as charted\n\
    clamps = all open\ntubing = tight joints and free tubing\n\
    unit-stands = upright, whole, below the chest\ndepth = 2.5 cm\n\
    swing = as at the last round\nbubbling = at no time, even on a cough\nsuction-none = y\n";
/// Those after it.
const AFTER: &str = "mark = y\nfluid = as before, thin blood-stained included\n\
    output = the same or falling off\nfullness = below two thirds\nsafety = y\nchart = y\n\
    second-drain = only this one\nlast-look = patient steady, drain as it should be\n";

/// A drain connected at 10:00.
fn rig(reason: &str) -> Rig {
    let mut rig = Rig::new().demo_unit();
    rig.clock("2026-03-02T10:00:00Z");
    let facts = [
        "place=bay 4",
        "population=adult",
        "breathing=own",
        "suction=none",
        "lung-removed=no",
        reason,
    ];
    let args = [&["drain", "new", "--by", "AB, RN"], &facts[..]].concat();
    rig.run(&args).code(0);
    rig.clock("2026-03-02T11:00:00Z");
    rig
}

fn round(rig: &Rig, answers: &str) -> Said {
    let file = rig.write("round.answers", answers).display().to_string();
    let start = ["start", "round", "--drain", "d1", "--by", "AB, RN"];
    rig.run(&[&start[..], &["--answers", &file]].concat())
}

fn resume(rig: &Rig, answers: &str) -> Said {
    let file = rig.write("round.answers", answers).display().to_string();
    rig.run(&["resume", "--by", "AB, RN", "--answers", &file])
}

fn show(rig: &Rig) -> serde_json::Value {
    let said = rig.run(&["chart", "show", "--json"]).code(0);
    serde_json::from_str(&said.out).expect("JSON")
}

/// The levels in the chart, mL.
fn levels(rig: &Rig) -> Vec<f64> {
    let shown = show(rig);
    let entries = shown["entries"].as_array().expect("entries").iter();
    entries.filter_map(|one| one["level_ml"].as_f64()).collect()
}

#[test]
fn what_the_round_reads_stands_in_the_chart_and_in_its_record() {
    let rig = rig("reason=fluid");
    round(&rig, &format!("{BEFORE}level = 320 mL\n{AFTER}y\n")).code(0);
    let shown = show(&rig);
    let entries = shown["entries"].as_array().expect("entries");
    assert_eq!(entries.len(), 1, "{shown}");
    assert_eq!(entries[0]["level_ml"], 320.0);
    assert_eq!(entries[0]["findings"]["seal-depth"], "2.5 cm");
    assert_eq!(entries[0]["by"], "AB, RN");
    assert_eq!(entries[0]["total"]["ml"], 320.0);
    // The look is settled: the round was at 11:00, the next one is due after it.
    let due = rig.run(&["chart", "due"]).code(0);
    due.says("Next look 02 Mar 11:30");
    let record = ["record", "chart", "--drain", "d1", "--out", "chart.md"];
    rig.run(&[&record[..], &["--by", "AB, RN"]].concat())
        .code(0);
    let record = rig.read("chart.md");
    assert!(record.contains("320 mL"), "{record}");
    assert!(record.contains("2.5 cm"), "{record}");
}

#[test]
fn a_step_back_leaves_one_reading_and_a_resumed_walk_no_second() {
    let rig = rig("reason=fluid");
    let back = format!("{BEFORE}level = 320 mL\nb\nlevel = 230 mL\n");
    round(&rig, &back).code(3);
    assert_eq!(levels(&rig), [230.0]);
    // After the pause the item is repeated; it still holds.
    resume(&rig, &format!("y\n{AFTER}y\n")).code(0);
    assert_eq!(levels(&rig), [230.0]);
}

#[test]
fn an_answer_that_is_marked_leaves_the_chart_or_is_put_right_in_it() {
    let rig = rig("reason=fluid");
    round(&rig, &format!("{BEFORE}level = 320 mL\n{AFTER}y\n")).code(0);
    let amend = |more: &[&str]| {
        // The beginning of the walk is its first entry.
        let mut args = vec!["amend", "w1.15", "--by", "AB, RN", "--why", "misread"];
        args.extend(more);
        rig.run(&args).code(0)
    };
    amend(&["--wrong", "230 mL"]);
    assert_eq!(levels(&rig), [230.0]);
    // Words without a number take it out, and the chart says so.
    amend(&["--wrong", "it was less"]);
    assert!(levels(&rig).is_empty());
    rig.run(&["chart", "show"])
        .says("was marked wrong, and the words beside it hold no level with its unit");
    amend(&["--in-error"]);
    assert!(levels(&rig).is_empty());
    let shown = show(&rig);
    assert_eq!(shown["to_settle"].as_array().map(Vec::len), Some(0));
    // The depth of the seal was not marked, and stays.
    assert_eq!(shown["entries"][0]["findings"]["seal-depth"], "2.5 cm");
}

#[test]
fn a_reading_of_the_round_is_corrected_like_any_other() {
    let rig = rig("reason=fluid");
    round(&rig, &format!("{BEFORE}level = 320 mL\n{AFTER}y\n")).code(0);
    let number = show(&rig)["entries"][0]["entry"].to_string();
    let correct = ["chart", "correct", &number, "level=230 mL"];
    let args = [&correct[..], &["--by", "AB, RN", "--why", "misread"]].concat();
    rig.run(&args).code(0);
    assert_eq!(levels(&rig), [230.0]);
    assert_eq!(show(&rig)["entries"][0]["findings"]["seal-depth"], "2.5 cm");
}

// NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, table 2: more than 100 mL of
// blood in 1 to 2 h.
#[test]
fn a_limit_that_the_reading_meets_is_told_in_the_round_at_once() {
    let rig = rig("reason=blood");
    let said = round(&rig, &format!("{BEFORE}level = 105 mL\n"));
    let said = said
        .code(3)
        .says("Limit met: blood above this within any 2 h");
    drop(said.says("Call: a doctor now"));
    // It is kept, once, and brings closer looks.
    let told = rig.run(&["drain", "show", "d1"]).out;
    assert_eq!(told.matches("Told by the chart: Limit met").count(), 1);
    let again = rig.run(&["chart", "show", "--json"]).out;
    assert!(again.contains("LIMIT REACHED"), "{again}");
    // Another reading does not shout it again.
    let args = ["chart", "add", "--by", "AB, RN", "level=105 mL"];
    let mut later = rig;
    later.clock("2026-03-02T11:10:00Z");
    let said = later.run(&args).code(0);
    assert!(!said.out.contains("Limit met"), "{}", said.out);
}

#[test]
fn a_walk_that_moves_to_another_drain_takes_its_reading_along() {
    let rig = rig("reason=fluid");
    round(&rig, &format!("{BEFORE}level = 320 mL\n{AFTER}y\n")).code(0);
    rig.run(&["drain", "new", "--by", "AB, RN", "place=bay 5"])
        .code(0);
    let args = ["amend", "w1", "--drain", "d2", "--by", "AB, RN"];
    rig.run(&[&args[..], &["--why", "wrong drain"]].concat())
        .code(0);
    let of = |drain: &str| {
        let said = rig.run(&["chart", "show", "--json", "--drain", drain]);
        let shown: serde_json::Value = serde_json::from_str(&said.code(0).out).expect("JSON");
        shown["entries"].as_array().expect("entries").len()
    };
    assert_eq!((of("d1"), of("d2")), (0, 1));
}

/// The answers of a round with this swing and this bubbling, up to the level, for a drain that may
/// bubble.
fn seen(swing: &str, bubbling: &str) -> String {
    let before = BEFORE.replace("swing = as at the last round", &format!("swing = {swing}"));
    let trend = "bubbling-trend = the same or less\nsuction-none = y\n";
    before
        .replace("at no time, even on a cough", bubbling)
        .replace("suction-none = y\n", trend)
}

/// What the chart holds of the seal, in order: swing and bubbling.
fn seal(rig: &Rig) -> Vec<(String, String)> {
    let shown = show(rig);
    let entries = shown["entries"].as_array().expect("entries").iter();
    let word = |one: &serde_json::Value, what: &str| {
        let found = one["findings"][what].as_str();
        found.unwrap_or("-").to_owned()
    };
    entries
        .filter(|one| one["kind"] == "reading")
        .map(|one| (word(one, "swing"), word(one, "bubbling")))
        .collect()
}

fn pairs(all: &[(&str, &str)]) -> Vec<(String, String)> {
    let own = |(swing, bubbling): &(&str, &str)| ((*swing).to_owned(), (*bubbling).to_owned());
    all.iter().map(own).collect()
}

#[test]
fn what_the_round_sees_of_the_seal_stands_in_the_chart_and_a_return_is_told_once() {
    let mut rig = rig("reason=air");
    round(&rig, &format!("{BEFORE}level = 20 mL\n{AFTER}y\n")).code(0);
    // "As at the last round" says nothing of its own.
    assert_eq!(seal(&rig), pairs(&[("-", "none")]));
    assert_eq!(show(&rig)["entries"][0]["findings"]["chamber"], "seal");
    rig.clock("2026-03-02T12:00:00Z");
    let back = seen("less, but it moves", "on a cough only");
    let said = round(&rig, &format!("{back}level = 30 mL\n{AFTER}y\n")).code(0);
    let told = "Bubbling is back: on cough, at 02 Mar 12:00";
    assert_eq!(said.out.matches(told).count(), 1, "{}", said.out);
    assert_eq!(seal(&rig), pairs(&[("-", "none"), ("seen", "on cough")]));
    rig.clock("2026-03-02T13:00:00Z");
    let more = seen("less, but it moves", "all the time");
    let said = round(&rig, &format!("{more}level = 40 mL\n{AFTER}y\n")).code(0);
    drop(said.says("More bubbling: all the time, before on cough"));
}

#[test]
fn swing_that_goes_is_told_in_the_round_at_once() {
    let mut rig = rig("reason=air");
    let add = [
        "chart",
        "add",
        "--by",
        "AB, RN",
        "swing=small",
        "level=20 mL",
    ];
    rig.run(&add).code(0);
    rig.clock("2026-03-02T12:00:00Z");
    let still = BEFORE.replace("swing = as at the last round", "swing = it stays still");
    let (until, _) = still.split_once("bubbling =").expect("the next step");
    let said = round(&rig, until).code(3);
    drop(said.says("The swing is gone, at 02 Mar 12:00"));
    assert_eq!(seal(&rig), pairs(&[("small", "-"), ("none", "-")]));
}

#[test]
fn a_look_that_is_taken_back_or_put_right_changes_the_chart() {
    let rig = rig("reason=air");
    let (until, _) = BEFORE.split_once("bubbling =").expect("the step");
    let again = "bubbling = all the time\nb\nbubbling = at no time, even on a cough\n";
    let rest = format!("{until}{again}suction-none = y\nlevel = 20 mL\n{AFTER}y\n");
    round(&rig, &rest).code(0);
    assert_eq!(seal(&rig), pairs(&[("-", "none")]));
    let amend = |more: &[&str]| {
        // The answers up to it, its first, the step back, and the beginning of the walk.
        let args = ["amend", "w1.15", "--by", "AB, RN", "--why", "misread"];
        rig.run(&[&args[..], more].concat()).code(0)
    };
    amend(&["--wrong", "on cough"]);
    assert_eq!(seal(&rig), pairs(&[("-", "on cough")]));
    amend(&["--wrong", "it hissed"]);
    assert_eq!(seal(&rig), pairs(&[("-", "-")]));
    rig.run(&["chart", "show"])
        .says("the words beside it hold none of the words of the chart for bubbling");
    amend(&["--in-error"]);
    assert_eq!(show(&rig)["to_settle"].as_array().map(Vec::len), Some(0));
}
