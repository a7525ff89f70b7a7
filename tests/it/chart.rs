//! The drain chart through the commands of the real program. Published figures have their source
//! beside them; what has none says so.

use crate::rig::{Rig, Said};

/// A rig with the demonstration unit (graduation 10 mL, capacity 2000 mL) and an open drain,
/// connected at 10:00.
fn rig(facts: &[&str]) -> Rig {
    let mut rig = Rig::new().demo_unit();
    rig.clock("2026-03-02T10:00:00Z");
    let mut args = vec!["drain", "new", "--by", "AB, RN", "place=bay 4"];
    args.extend(facts);
    rig.run(&args).code(0);
    rig
}

/// Enters a level at a time of the day, some seconds after the minute so that it is never in the
/// future.
fn add(rig: &mut Rig, time: &str, level: &str, more: &[&str]) -> Said {
    rig.clock(&format!("2026-03-02T{time}:05Z"));
    let level = format!("level={level} mL");
    let mut args = vec!["chart", "add", "--by", "AB, RN", "--seen", time, &level];
    args.extend(more);
    rig.run(&args)
}

fn show(rig: &Rig) -> serde_json::Value {
    let said = rig.run(&["chart", "show", "--json"]).code(0);
    serde_json::from_str(&said.out).expect("JSON")
}

fn entries(rig: &Rig) -> usize {
    show(rig)["entries"].as_array().expect("entries").len()
}

/// The limits told after a reading, by the words of their first line.
fn told(said: &Said) -> Vec<String> {
    let lines = said.out.lines();
    let limits = lines.filter(|line| line.starts_with("Limit met: "));
    limits.map(str::to_owned).collect()
}

// NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, table 2: more than 100 mL of
// blood in 1 to 2 h.
#[test]
fn blood_above_a_hundred_in_two_hours_calls_the_doctor_once() {
    let mut bleeding = rig(&["population=adult", "reason=blood"]);
    assert!(told(&add(&mut bleeding, "11:00", "60", &[])).is_empty());
    let said = add(&mut bleeding, "12:00", "105", &[]).code(0);
    assert_eq!(
        told(&said),
        ["Limit met: blood above this within any 2 h calls the doctor, adult"]
    );
    // Which readings, which window, value and range, who, the source.
    let said = said
        .says("105 mL (100 to 110) from 02 Mar 10:00 to 02 Mar 12:00; the limit is above 100 mL")
        .says("Call: a doctor now: ward doctor on duty (ring extension 21)")
        .says("Readings: 2, 3")
        .says("Source: NSW Agency for Clinical Innovation");
    drop(said);
    // It is not shouted again while it does not get worse.
    let again = add(&mut bleeding, "12:10", "106", &[]).code(0);
    assert!(!again.out.contains("Limit"), "{}", again.out);
    // Clearing is told, and kept.
    let cleared = add(&mut bleeding, "15:00", "106", &[]).code(0);
    cleared.says("Limit no longer met: blood above this within any 2 h");
    bleeding
        .run(&["drain", "show", "d1"])
        .says("Told by the chart: Limit no longer met");
    let mut not = rig(&["population=adult", "reason=blood"]);
    add(&mut not, "11:00", "50", &[]).code(0);
    let said = add(&mut not, "12:00", "100", &[]).code(0);
    assert!(told(&said).is_empty(), "{}", said.out);
    // The reading error alone could carry it over: look again soon.
    said.says("Limit perhaps met").says("read again in 15 min");
}

// NSW Agency for Clinical Innovation, 2014, section 3: 1000 to 1500 mL at one time.
#[test]
fn effusion_warns_at_a_litre_and_stops_at_a_litre_and_a_half() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    assert!(told(&add(&mut rig, "12:00", "990", &[])).is_empty());
    let warned = add(&mut rig, "14:00", "1000", &[]);
    assert_eq!(told(&warned).len(), 1, "{}", warned.out);
    warned
        .says("first fluid volume that warns")
        .says("Go by: tubeside start large-volume --drain d1")
        .says("Nobody yet");
    let stopped = add(&mut rig, "18:00", "1500", &[]);
    stopped
        .says("Limit met: first fluid volume at which drainage stops")
        .says("Call: a doctor now")
        // The Royal Marsden, 2020, guideline 12.6: three quarters full; a bottle of 2000 mL.
        .says("Change the drainage unit: 1500 mL of 2000 mL");
}

#[test]
fn the_lists_that_the_chart_names_are_there() {
    let rig = rig(&[]);
    for list in [
        "bleeding",
        "large-volume",
        "bubbling",
        "find-leak",
        "no-swing",
        "blocked",
        "seal-low",
        "seal-high",
    ] {
        rig.run(&["local", "print", list]).code(0);
    }
}

// Queen's University School of Medicine, chest tube module: 1500 mL in 30 min is too fast.
#[test]
fn a_litre_and_a_half_in_half_an_hour_is_too_fast() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    let said = add(&mut rig, "10:30", "1500", &[]);
    said.says("fluid rate that warns")
        .says("fluid rate that calls the doctor");
}

// Advanced Trauma Life Support, 10th edition, as quoted by the Royal College of Emergency Medicine:
// 1500 mL at once, or more than 200 mL/h for 2 to 4 h.
#[test]
fn massive_bleeding_calls_the_emergency_team() {
    let emergency =
        "Call: the emergency team at once: emergency team (pull the bedside alarm cord)";
    let mut at_once = rig(&["population=adult", "reason=blood"]);
    let said = add(&mut at_once, "10:10", "1500", &[]).says(emergency);
    let go_by = "Go by: tubeside start bleeding --drain d1";
    assert_eq!(said.out.matches(go_by).count(), 1, "{}", said.out);
    let mut less = rig(&["population=adult", "reason=blood"]);
    let said = add(&mut less, "10:10", "1499", &[]);
    assert!(!said.out.contains(emergency), "{}", said.out);
    said.says("Call: a doctor now");
    let mut on = rig(&["population=adult", "reason=blood"]);
    let said = add(&mut on, "11:00", "210", &[]);
    assert!(!said.out.contains(emergency), "{}", said.out);
    add(&mut on, "12:00", "430", &[]).says(emergency);
    let mut broken = rig(&["population=adult", "reason=blood"]);
    for (time, level) in [("11:00", "210"), ("12:00", "400"), ("13:00", "610")] {
        let said = add(&mut broken, time, level, &[]).code(0);
        assert!(!said.out.contains(emergency), "{}", said.out);
    }
}

// Paediatric-surgery handbook page on haemothorax in children: 3 mL/kg in an hour; Royal Children's
// Hospital Melbourne, from memory: 5 mL/kg.
#[test]
fn a_child_is_judged_by_the_kilogram() {
    let first = |weight: &str, level: &str| {
        let mut rig = rig(&["population=child", "reason=blood", weight]);
        add(&mut rig, "11:00", level, &[]).code(0)
    };
    let called = first("weight=20 kg", "62");
    assert_eq!(
        told(&called),
        ["Limit met: blood within 1 h that calls the doctor, child"]
    );
    called.says("3.1 mL/kg (2.8 to 3.4)");
    assert!(told(&first("weight=20 kg", "58")).is_empty());
    let team = first("weight=12 kg", "60");
    assert!(told(&team).len() == 2, "{}", team.out);
    team.says("5 mL/kg");
    // British Thoracic Society, 2005 (second-hand): 10 mL/kg of fluid in a child.
    let mut pause = rig(&["population=child", "reason=fluid", "weight=14 kg"]);
    assert!(told(&add(&mut pause, "11:00", "139", &[])).is_empty());
    assert_eq!(told(&add(&mut pause, "12:00", "140", &[])).len(), 1);
}

// Don't Forget the Bubbles, 2013, Chest drains: a child after an operation in the chest drains up to
// 5 mL/kg/h in the first 2 h, then less than 2; more than 10 calls the surgeon.
#[test]
fn a_unit_may_watch_children_after_an_operation() {
    let connected = |chosen: &str| {
        let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/checklists/demo/local.yaml");
        let text = std::fs::read_to_string(demo).expect("the demonstration unit");
        let fact = format!("facts:\n  child-drains: {chosen}\n");
        let mut rig = Rig::new();
        let file = rig.write("ward/local.yaml", text.replacen("facts:\n", &fact, 1));
        rig.local_folder(file.parent().expect("a folder"));
        rig.clock("2026-03-02T10:00:00Z");
        let facts = ["population=child", "weight=10 kg", "reason=fluid"];
        rig.run(&[&["drain", "new", "--by", "AB, RN"], &facts[..]].concat())
            .code(0);
        rig
    };
    let surgery = |said: &Said| {
        let all = told(said).into_iter();
        all.filter(|limit| limit.contains("operation")).count()
    };
    let mut ward = connected("after-chest-surgery");
    assert_eq!(surgery(&add(&mut ward, "11:00", "50", &[])), 0);
    assert_eq!(surgery(&add(&mut ward, "12:00", "99", &[])), 0);
    let third = add(&mut ward, "13:00", "120", &[]);
    assert_eq!(surgery(&third), 1, "{}", third.out);
    third
        .says("after the first hours, above which")
        .says("2.1 mL/kg/h");
    let mut gush = connected("after-chest-surgery");
    let said = add(&mut gush, "11:00", "101", &[]);
    assert_eq!(surgery(&said), 2, "{}", said.out);
    said.says("the surgeon is called now");
    let mut mixed = connected("mixed");
    assert_eq!(surgery(&add(&mut mixed, "11:00", "101", &[])), 0);
}

#[test]
fn without_a_weight_the_limits_of_a_child_are_refused_by_name() {
    let mut rig = rig(&["population=child", "reason=blood"]);
    let said = add(&mut rig, "11:00", "200", &[]).code(0);
    assert!(told(&said).is_empty());
    said.says("blood-child-call is not watched")
        .says("enter it in kg");
}

// NSW Agency for Clinical Innovation, 2014, table 2: an hour's output is this reading less the
// last; a new drainage unit begins at its own nought.
#[test]
fn a_new_drainage_unit_carries_the_total_on() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    add(&mut rig, "11:00", "150", &[]).code(0);
    add(&mut rig, "12:00", "320", &[]).code(0);
    let changed = rig.run(&[
        "chart",
        "new-drainage-unit",
        "--by",
        "AB, RN",
        "--last",
        "320 mL",
        "--start",
        "0 mL",
    ]);
    changed.code(0);
    add(&mut rig, "13:00", "90", &[]).code(0);
    let chart = show(&rig);
    let outputs: Vec<f64> = chart["entries"]
        .as_array()
        .expect("entries")
        .iter()
        .filter(|entry| entry["kind"] == "reading")
        .map(|entry| entry["output"]["ml"].as_f64().expect("an output"))
        .collect();
    assert_eq!(outputs, [150.0, 170.0, 90.0]);
    let total = chart["totals"]
        .as_array()
        .and_then(|all| all.last())
        .expect("a total");
    assert_eq!(total["output"]["ml"], 410.0);
}

// The Trauma Professional's Blog, 2017-04-03: after a fall the volumes cannot be trusted.
#[test]
fn a_lower_level_is_never_an_output() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    add(&mut rig, "11:00", "320", &[]).code(0);
    add(&mut rig, "12:00", "300", &[])
        .code(2)
        .says("The level at 02 Mar 12:00 is 300 mL, below the 320 mL before it")
        .says("--lower tilted, spilled, misread or changed");
    assert_eq!(entries(&rig), 1);
    add(&mut rig, "12:00", "300", &["--lower", "spilled"]).code(0);
    add(&mut rig, "13:00", "340", &[]).code(0);
    let chart = show(&rig);
    let total = chart["totals"]
        .as_array()
        .and_then(|all| all.last())
        .expect("a total");
    assert_eq!(total["output"]["ml"], 360.0);
    assert_eq!(total["output"]["at_least"], true);
}

// Worked out from the plan of looks: NSW Agency for Clinical Innovation, 2014, section 3; Sydney
// Children's Hospitals Network, 2016; Royal Children's Hospital Melbourne, from memory.
#[test]
fn looks_fall_due_by_the_plan_and_overdue_ones_are_named() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    rig.clock("2026-03-02T10:01:00Z");
    rig.run(&["chart", "due"])
        .code(0)
        .says("Next look 02 Mar 10:15, in 1");
    rig.clock("2026-03-02T10:40:00Z");
    rig.run(&["chart", "due"])
        .says("OVERDUE by 25 min: look due 02 Mar 10:15, and 1 look after it");
    add(&mut rig, "10:40", "10", &[]).code(0);
    rig.run(&["chart", "due"]).says("Next look 02 Mar 11:00");
    // Looks close together again after an event (common practice, no source).
    rig.clock("2026-03-02T17:30:00Z");
    rig.run(&["chart", "add", "--by", "AB, RN", "level=20 mL"])
        .code(0);
    rig.clock("2026-03-02T17:31:00Z");
    rig.run(&["chart", "due"]).says("Next look 02 Mar 21:00");
    let moved = rig.run(&["chart", "event", "transfer", "--by", "AB, RN"]);
    moved.code(0);
    // The look of half past five is close enough to settle the one at the event itself.
    rig.clock("2026-03-02T17:33:00Z");
    rig.run(&["chart", "due"]).says("Next look 02 Mar 17:46");
}

// Europe/London in 2026: the clocks go forward on 29 March at 01:00 UTC (IANA time zone database).
#[test]
fn due_times_are_right_across_summer_time() {
    let mut rig = Rig::new().demo_unit();
    rig.clock("2026-03-28T17:00:00Z");
    rig.run(&[
        "drain",
        "new",
        "--by",
        "AB, RN",
        "place=bay 4",
        "population=adult",
    ])
    .code(0);
    rig.clock("2026-03-29T00:00:05Z");
    rig.run(&["chart", "add", "--by", "AB, RN", "level=10 mL"])
        .code(0);
    rig.run(&["chart", "due"])
        .says("Next look 29 Mar 05:00, in 3 h 59 min");
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_stored() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    add(&mut rig, "11:00", "100", &[]).code(0);
    rig.clock("2026-03-02T12:00:00Z");
    for (words, told) in [
        (vec!["level=-5 mL"], "cannot be below zero"),
        (vec!["level=120"], "has no unit"),
        (vec!["level=120 cmH2O"], "does not fit"),
        (vec!["level=120 cups"], "not a unit known here"),
        (vec!["level=1,000 mL"], "below the 100 mL before it"),
        (vec!["level=25 L"], "cannot be"),
        (vec!["level=999999999999 mL"], "cannot be"),
        (vec!["level=2500 mL"], "more than the 2000 mL that it holds"),
        (vec!["level=abc"], "is not a number"),
        (vec!["level=1.2345 mL"], "is not a number"),
        (vec!["level"], "is not FIELD=VALUE"),
        (vec!["height=3 cm"], "is not a column known here"),
        (vec!["swing=wild"], "none, small, large, seen"),
        (vec!["suction-set=20"], "has no unit"),
        (vec!["suction-set=20 cm"], "does not fit"),
        (vec!["suction-set=-20 mmHg"], "is the unit right?"),
        (vec!["saturation=960"], "0 to 100"),
        (
            vec!["blood-pressure=80/120"],
            "the second number must be the lower",
        ),
        (vec!["pain=11"], "0 to 10"),
        (vec!["level=-"], "nothing was obtained"),
        (vec!["level=120 mL", "--seen", "14:00"], "later than now"),
        (
            vec!["level=120 mL", "--seen", "09:00"],
            "before the drain was connected",
        ),
        (
            vec!["level=120 mL", "--seen", "11:00"],
            "already a reading at 02 Mar 11:00",
        ),
        (vec!["level=120 mL", "--seen", "25:00"], "25:00"),
        (vec!["level=120 mL", "--seen", "soon"], "soon"),
        (
            vec!["level=90 mL", "--seen", "10:30", "--drain", "d9"],
            "no drain \"d9\"",
        ),
    ] {
        let mut args = vec!["chart", "add", "--by", "AB, RN"];
        args.extend(&words);
        let said = rig.run(&args).code(2).says(told);
        assert!(!said.err.contains("panicked"), "{words:?}: {}", said.err);
        assert_eq!(entries(&rig), 1, "{words:?}");
    }
    // A decimal comma is read; an unlikely value is taken when it was looked at twice.
    let fine = [
        "chart",
        "add",
        "--by",
        "AB, RN",
        "level=0,15 L",
        "--seen",
        "11:30",
    ];
    rig.run(&fine).code(0);
    let sure = [
        "chart",
        "add",
        "--by",
        "AB, RN",
        "suction-set=-20 mmHg",
        "--sure",
    ];
    rig.run(&sure).code(0).says("no order for it is known");
    rig.run(&["chart", "add", "level=200 mL"])
        .code(2)
        .says("who writes is not given");
}

#[test]
fn a_late_reading_goes_to_its_right_place() {
    let mut rig = rig(&["population=adult", "reason=blood"]);
    add(&mut rig, "12:00", "90", &[]).code(0);
    rig.clock("2026-03-02T12:30:00Z");
    let late = [
        "chart",
        "add",
        "--by",
        "AB, RN",
        "--seen",
        "11:00",
        "level=80 mL",
    ];
    rig.run(&late).code(0);
    // Higher than a reading after it: one of the two is wrong.
    let high = [
        "chart",
        "add",
        "--by",
        "AB, RN",
        "--seen",
        "11:30",
        "level=95 mL",
    ];
    rig.run(&high)
        .code(2)
        .says("The level at 02 Mar 12:00 is 90 mL, below the 95 mL");
    let said = rig.run(&["chart", "show"]).code(0);
    let place = |text: &str| {
        said.out
            .find(text)
            .unwrap_or_else(|| panic!("{text}\n{}", said.out))
    };
    assert!(place("02 Mar 11:00  80 mL") < place("02 Mar 12:00  90 mL"));
    assert!(said.out.contains("written 02 Mar 12:30"), "{}", said.out);
}

#[test]
fn a_corrected_reading_takes_its_place_and_stays_in_the_journal() {
    let mut rig = rig(&["population=adult", "reason=blood"]);
    add(&mut rig, "11:00", "160", &[]).says("Limit met");
    rig.clock("2026-03-02T11:10:00Z");
    let correct = |more: &[&str]| {
        let mut args = vec![
            "chart", "correct", "2", "--by", "AB, RN", "--why", "misread",
        ];
        args.extend(more);
        rig.run(&args)
    };
    correct(&["level=6"]).code(2).says("has no unit");
    correct(&[]).code(2).says("nothing is corrected");
    correct(&["level=60 mL"]).code(0);
    // By the old number too, for it leads to what stands.
    correct(&["level=61 mL"]).code(0);
    let total = show(&rig);
    let total = total["totals"]
        .as_array()
        .and_then(|all| all.last())
        .expect("a total");
    assert_eq!(total["output"]["ml"], 61.0);
    correct(&["--strike"]).code(0);
    assert!(show(&rig)["totals"].as_array().expect("totals").is_empty());
    let record = rig.run(&[
        "record", "chart", "--drain", "d1", "--out", "-", "--by", "AB, RN",
    ]);
    record.code(0).says("~~level 160 mL~~").says("struck out");
}

#[test]
fn an_import_is_whole_or_nothing() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    rig.clock("2026-03-02T20:00:00Z");
    let good = "seen-at,level (mL),swing,suction-set,action\n\
                2026-03-02 11:00,150,small,-20 cmH2O,\"=cmd|' /C calc'!A0\"\n\
                2026-03-02 12:00,320,-,,turned\n";
    let bad = format!(
        "{good}2026-03-02 12:00,330,,,\n2026-03-02 21:00,340,,,\n2026-03-02 09:00,350,,,\n\
         2026-03-02 13:00,-4,,,\n2026-03-02 14:00,360,wild,20,\n"
    );
    let file = rig.write("bad.csv", bad);
    let name = file.display().to_string();
    let said = rig
        .run(&["chart", "import", &name, "--by", "AB, RN"])
        .code(1);
    let said = said
        .says("line 4, column 1: line 3 has the same time")
        .says("line 5, column 1: this time lies in the future")
        .says("line 6, column 1: this time lies before the drain was connected")
        .says("line 7, column 18: level cannot be below zero")
        .says("line 8, column 22: \"wild\" is not a word for swing")
        .says("line 8, column 27: \"20\" has no unit");
    assert!(said.err.contains("nothing was stored"), "{}", said.err);
    assert_eq!(entries(&rig), 0);
    let lower = rig.write(
        "lower.csv",
        "seen-at,level (mL)\n2026-03-02 11:00,150\n2026-03-02 12:00,140\n",
    );
    let lower = lower.display().to_string();
    rig.run(&["chart", "import", &lower, "--by", "AB, RN"])
        .code(1)
        .says("below the 150 mL");
    assert_eq!(entries(&rig), 0);
    let file = rig.write("good.csv", good).display().to_string();
    rig.run(&["chart", "import", &file, "--by", "AB, RN"])
        .code(0)
        .says("stored 2 readings");
    rig.run(&["chart", "import", &file, "--by", "AB, RN"])
        .code(1)
        .says("already has a reading at this time");
    assert_eq!(entries(&rig), 2);
    // What a spreadsheet would run is only text.
    let csv = rig.run(&["chart", "show", "--csv"]).code(0);
    assert!(csv.out.contains("\"'=cmd|' /C calc'!A0\""), "{}", csv.out);
    assert!(
        !csv.out.contains(",=") && !csv.out.contains(",\"="),
        "{}",
        csv.out
    );
}

#[test]
fn a_reading_is_asked_for_field_by_field() {
    let mut rig = rig(&["population=adult", "reason=air", "suction=none"]);
    add(&mut rig, "11:00", "20", &["swing=small"]).code(0);
    rig.clock("2026-03-02T12:00:00Z");
    // Level, fluid, swing, bubbling, seal, tubing, position, dressing, emphysema, breaths,
    // saturation, oxygen, heart rate, blood pressure, pain, action. Suction is not asked.
    let answers = "30 mL\n1\nnone\n1\n2 cm\no\n1\n1\n1\n18\n-\n-\n5\n-\n-\n-\n";
    // A heart rate of 5 is typed twice: the second time another, then that one again.
    let answers = answers.replace("\n5\n", "\n5\n88\n");
    let file = rig.write("look.answers", answers).display().to_string();
    let said = rig.run(&["chart", "add", "--by", "AB, RN", "--answers", &file]);
    assert!(
        said.out.contains("last: 20 mL at 02 Mar 11:00"),
        "{}",
        said.out
    );
    assert!(
        said.out.contains("heart-rate: 5/min is outside 30 to 230"),
        "{}",
        said.out
    );
    assert!(!said.out.contains("Suction as it is set"), "{}", said.out);
    let said = said.code(0).says("The swing is gone");
    drop(said);
    let chart = show(&rig);
    let last = chart["entries"]
        .as_array()
        .and_then(|all| all.last())
        .expect("an entry");
    assert_eq!(last["level_ml"], 30.0);
    assert_eq!(last["findings"]["heart-rate"], "88");
    assert!(last["findings"].get("saturation").is_none());
    // The answers end before the questions: nothing is stored.
    rig.clock("2026-03-02T12:05:00Z");
    let file = rig.write("short.answers", "40 mL\n").display().to_string();
    rig.run(&["chart", "add", "--by", "AB, RN", "--answers", &file])
        .code(3)
        .says("nothing of this reading is stored");
    assert_eq!(entries(&rig), 2);
}

#[test]
fn what_cannot_be_is_asked_again_and_nothing_is_stored_by_half() {
    let mut rig = rig(&["population=adult", "reason=air", "suction=none"]);
    rig.clock("2026-03-02T12:00:00Z");
    let typed = "-5 mL\n120\n120 cmH2O\n120 cups\n25 L\n999999999999 mL\nabc\n0,15 L\n";
    let said = rig.run_with(&["chart", "add", "--by", "AB, RN"], typed);
    let said = said
        .code(3)
        .says("cannot be below zero")
        .says("\"120\" has no unit")
        .says("The unit cmH2O does not fit level; use mL or L")
        .says("\"cups\" is not a unit known here")
        .says("25000 mL cannot be")
        .says("\"abc\" is not a number")
        .says("nothing of this reading is stored");
    // The decimal comma was read: the next question is asked.
    drop(said.says("How does the fluid look?"));
    assert_eq!(entries(&rig), 0);
}

// The end of a day may be written 24:00 (ISO 8601-1:2019, Amendment 1, from memory) in a file; a time
// that is typed must exist on the clock.
#[test]
fn the_end_of_a_day_is_read_in_a_file_and_refused_where_it_is_typed() {
    let mut rig = rig(&["population=adult", "reason=fluid"]);
    rig.clock("2026-03-03T08:00:00Z");
    let add = ["chart", "add", "--by", "AB, RN", "level=20 mL"];
    rig.run(&[&add[..], &["--seen", "24:00"]].concat())
        .code(2)
        .says("\"24:00\" is on no clock: midnight is 00:00 of the day that begins");
    assert_eq!(entries(&rig), 0);
    let text = "seen-at;level\n2026-03-02 24:00;0,02 L\n";
    let file = rig.write("night.csv", text).display().to_string();
    rig.run(&["chart", "import", &file, "--by", "AB, RN"])
        .code(0);
    let shown = show(&rig);
    assert_eq!(shown["entries"][0]["level_ml"], 20.0);
    let seen = shown["entries"][0]["seen"].as_str();
    assert_eq!(seen, Some("2026-03-03T00:00:00+00:00"));
}

#[test]
fn a_lower_level_typed_at_the_questions_asks_what_happened() {
    let mut rig = rig(&["population=adult", "reason=air", "suction=none"]);
    add(&mut rig, "11:00", "400", &[]).code(0);
    rig.clock("2026-03-02T12:00:00Z");
    let rest = "o\no\no\n-\no\no\no\no\n-\n-\n-\n-\n-\n-\n-\n";
    let file = rig
        .write("a.answers", format!("30 mL\n{rest}q\n"))
        .display()
        .to_string();
    rig.run(&["chart", "add", "--by", "AB, RN", "--answers", &file])
        .code(3);
    assert_eq!(entries(&rig), 1);
    let file = rig
        .write("b.answers", format!("30 mL\n{rest}1\n450 mL\n0 mL\n"))
        .display()
        .to_string();
    rig.run(&["chart", "add", "--by", "AB, RN", "--answers", &file])
        .code(0);
    let chart = show(&rig);
    let total = chart["totals"]
        .as_array()
        .and_then(|all| all.last())
        .expect("a total");
    assert_eq!(total["output"]["ml"], 480.0);
}

#[test]
fn the_chart_is_drawn_as_text_and_as_a_picture() {
    let mut rig = rig(&["population=adult", "reason=blood"]);
    add(&mut rig, "11:00", "60", &["bubbling=4", "swing=large"]).code(0);
    add(&mut rig, "12:00", "90", &[]).code(0);
    let text = rig
        .run(&["chart", "plot", "--width", "40", "--ascii"])
        .code(0);
    assert!(
        text.out
            .lines()
            .all(|line| line.len() <= 40 && line.is_ascii()),
        "{}",
        text.out
    );
    rig.run(&["chart", "plot", "--width", "20"])
        .code(2)
        .says("40 to 200");
    let file = rig.path("chart.svg").display().to_string();
    rig.run(&["chart", "plot", "--svg", &file, "--width", "640"])
        .code(0);
    let svg = rig.read("chart.svg");
    assert!(
        svg.starts_with("<svg width=\"640\"") && svg.contains("<title"),
        "{svg}"
    );
    assert!(svg.contains("REHEARSAL"), "{svg}");
}

#[test]
fn a_chart_without_a_level_never_tells_an_output_of_nought() {
    let mut rig = rig(&["population=adult", "reason=air"]);
    rig.clock("2026-03-02T10:20:00Z");
    rig.run(&[
        "chart",
        "add",
        "--drain",
        "d1",
        "swing=small",
        "--by",
        "AB, RN",
    ])
    .code(0);
    for (record, words) in [
        (
            "chart",
            "| Output since it was connected | no level was read |",
        ),
        ("chart", "No level was read, so no output is known."),
        ("handover", "| Last entry of the chart | swing small"),
    ] {
        let said = rig
            .run(&["record", record, "--drain", "d1", "--out", "-"])
            .code(0);
        assert!(said.out.contains(words), "{words} is not in\n{}", said.out);
        assert!(!said.out.contains(" 0 mL"), "{}", said.out);
    }
}

#[test]
fn a_chart_record_is_confirmed_by_the_journal() {
    let mut rig = rig(&["population=adult", "reason=blood"]);
    rig.run(&["record", "chart", "--drain", "d1", "--by", "AB, RN"])
        .code(2)
        .says("nothing was charted");
    add(&mut rig, "11:00", "160", &["bubbling=0", "swing=small"]).code(0);
    let file = rig.path("r/chart.md").display().to_string();
    let args = [
        "record", "chart", "--drain", "d1", "--by", "AB, RN", "--out", &file,
    ];
    rig.run(&args).code(0).says("chart.svg");
    let text = rig.read("r/chart.md");
    assert!(
        text.contains("**met**: blood above this within any 2 h"),
        "{text}"
    );
    rig.run(&["journal", "verify", &file])
        .code(0)
        .says("as it was written");
    rig.write("r/chart.md", text.replace("160 mL", "60 mL"));
    rig.run(&["journal", "verify", &file]).code(1);
}

// Open RN, Nursing Advanced Skills, section 6.9, prints -20 mmHg where -20 cmH2O is usual.
#[test]
fn a_suction_in_another_unit_is_looked_at_twice() {
    let rig = Rig::new();
    rig.run(&["convert", "-20 mmHg", "cmH2O"])
        .code(0)
        .says("\u{2212}20 mmHg = \u{2212}27.19 cmH2O")
        .says("Stop and check: this is more suction than 20 cmH2O");
    let usual = rig.run(&["convert", "-20", "cmH2O", "kPa"]).code(0);
    assert!(!usual.out.contains("Stop and check"), "{}", usual.out);
}
