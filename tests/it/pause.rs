//! A large effusion: what warns, what stops, and the pause that is timed until the drain is open.

use crate::rig::{Rig, Said};

/// Up to the volume of this portion, by the limits of the unit.
const BEFORE: &str = "patient = none of these\nwhich-drain = y\n\
    what-fluid = fluid, clear, cloudy or thin blood-stained\norder = the local limits\n";
/// The limit is met, the seal is still: closed for a pause, the times written down.
const CLOSED: &str = "bubbling = still through breaths and cough\npause = y\nrelease-time = y\n";
const RUNNING: &str = "pause-watch = y\npause-over = patient well, pause still running\n";
const OPEN: &str = "Open the drain again";

/// A drain for fluid, connected at 10:00, of a patient who breathes alone.
fn rig(patient: &[&str]) -> Rig {
    let mut rig = Rig::new().demo_unit();
    at(&mut rig, "10:00");
    let facts = [
        "place=bay 4",
        "breathing=own",
        "reason=fluid",
        "suction=none",
        "lung-removed=no",
    ];
    let args = [&["drain", "new", "--by", "AB, RN"], &facts[..], patient].concat();
    rig.run(&args).code(0);
    rig
}

fn at(rig: &mut Rig, time: &str) {
    rig.clock(&format!("2026-03-02T{time}:00Z"));
}

/// Answers until they end; the walk is then paused at the step that comes next.
fn walked(rig: &Rig, args: &[&str], answers: &str) -> Said {
    let file = rig.write("a.answers", answers).display().to_string();
    rig.run(&[args, &["--by", "AB, RN", "--answers", &file]].concat())
}

fn started(rig: &Rig, answers: &str) -> Said {
    walked(rig, &["start", "large-volume", "--drain", "d1"], answers)
}

fn resumed(rig: &Rig, answers: &str) -> Said {
    // The item before the interruption still holds.
    walked(rig, &["resume"], &format!("y\n{answers}"))
}

/// The line of the paused drain, as it is shown now.
fn open_duty(rig: &Rig) -> Option<String> {
    let said = walked(rig, &["resume"], "");
    let mut lines = said.out.lines();
    lines
        .find(|line| line.contains("Drainage is paused"))
        .map(str::to_owned)
}

// NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, section 3: 1000 to 1500 mL at one
// time, then a pause.
#[test]
fn from_one_litre_it_warns_and_at_one_and_a_half_it_pauses() {
    let portion = |ml: &str| {
        let rig = rig(&["population=adult"]);
        started(&rig, &format!("{BEFORE}adult-drained = {ml} mL\n"))
            .code(3)
            .out
    };
    let (warns, pauses) = ("1000 mL or more has drained", "What does the water seal do");
    let said = portion("990");
    assert!(!said.contains(warns) && !said.contains(pauses), "{said}");
    let said = portion("1000");
    assert!(said.contains(warns) && !said.contains(pauses), "{said}");
    let said = portion("1499");
    assert!(said.contains(warns) && !said.contains(pauses), "{said}");
    let said = portion("1500");
    assert!(said.contains(pauses), "{said}");
}

// Scottish Intensive Care Society, Adult Medical Emergency Handbook, care of a patient with an
// intercostal drain: clamped for 1 h after 1.5 L; looked at each 15 min meanwhile (common practice, no
// source). British Thoracic Society, 2005, Thorax 60 supplement 1 (not read at source): a child of 14 kg
// at 10 mL/kg, 1 h.
#[test]
fn the_pause_is_watched_each_quarter_and_is_overdue_after_an_hour() {
    let adult = (vec!["population=adult"], "adult-drained = 1500 mL");
    let child = (
        vec!["population=child", "weight=14 kg"],
        "child-drained = 140 mL",
    );
    for (patient, volume) in [adult, child] {
        let mut rig = rig(&patient);
        started(&rig, &format!("{BEFORE}{volume}\n{CLOSED}")).code(3);
        at(&mut rig, "10:14");
        // Nobody watched to the end yet.
        let early = resumed(&rig, "pause-watch = y\n");
        assert!(early.out.contains("10:15"), "{}", early.out);
        assert!(!early.out.contains("is the pause over?"), "{}", early.out);
        for time in ["10:16", "10:32", "10:48"] {
            at(&mut rig, time);
            resumed(&rig, RUNNING).code(3);
        }
        at(&mut rig, "10:59");
        let duty = open_duty(&rig).expect("it is paused");
        assert!(!duty.to_lowercase().contains("overdue"), "{duty}");
        at(&mut rig, "11:01");
        let duty = open_duty(&rig).expect("it is paused");
        assert!(duty.to_lowercase().contains("overdue"), "{duty}");
        at(&mut rig, "11:04");
        // The fourth quarter is the last: the drain is opened whatever is answered.
        let said = resumed(&rig, RUNNING).code(3);
        assert!(said.out.contains(OPEN), "{}", said.out);
        resumed(&rig, "open = y\n").code(3);
        assert_eq!(open_duty(&rig), None);
    }
}

// NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, section 3: a pause of 15 min. A unit
// that goes by it fills it in; without, it is the hour of the Scottish Intensive Care Society.
#[test]
fn a_unit_that_pauses_for_a_quarter_is_told_after_a_quarter() {
    for (facts, due) in [("facts: {pause-length: 15 min}", "10:15"), ("", "11:00")] {
        let mut rig = rig(&["population=adult"]);
        let unit = format!("unit: A ward\nzone: Etc/UTC\n{facts}\n");
        rig.write("unit/local.yaml", unit);
        let folder = rig.path("unit");
        rig.local_folder(&folder);
        let closed = format!("{BEFORE}adult-drained = 1500 mL\n{CLOSED}");
        started(&rig, &closed).code(3);
        at(&mut rig, "10:12");
        let duty = open_duty(&rig).expect("it is paused");
        assert!(duty.contains(&format!("due {due}")), "{duty}");
        at(&mut rig, "10:17");
        let duty = open_duty(&rig).expect("it is paused");
        let overdue = duty.to_lowercase().contains("overdue");
        assert_eq!(overdue, !facts.is_empty(), "{duty}");
    }
}
