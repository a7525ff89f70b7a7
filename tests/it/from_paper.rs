//! What was ticked on a printed form is entered afterwards: both times, both persons, any order.
//!
//! That a late entry shows when it was seen and when it was written, and who wrote each: NMC Code
//! (UK), section 10.1 (read); a paper kept as the source of what is entered: common practice, no
//! source.

use crate::pty::Terminal;
use crate::rig::{Rig, Said};

/// The times on the paper cross midnight; one stands out of order and one is missing.
const TICKED: &str = "\
2026-03-01 23:50
patient = none of these
23:51
open = y
23:40
trace = n: kinked under the patient
-
straighten = y
00:02
watch-own = y
00:04
y
00:05
";

const START: [&str; 9] = [
    "start",
    "no-swing",
    "--from-paper",
    "--paper-by",
    "CD, RN",
    "--drain",
    "d1",
    "--by",
    "AB, RN",
];

/// A rig at four in the afternoon of the next day, with a drain that was opened only then.
fn rig() -> Rig {
    let mut rig = Rig::new();
    rig.clock("2026-03-02T16:00:00Z");
    rig.run(&[
        "drain",
        "new",
        "place=bay 4",
        "side=left",
        "population=adult",
        "breathing=own",
        "reason=fluid",
        "suction=none",
        "--by",
        "AB, RN",
    ])
    .code(0);
    rig
}

fn enter(rig: &Rig, answers: &str) -> Said {
    let file = rig.write("ticked.answers", answers).display().to_string();
    let args: Vec<&str> = START.into_iter().chain(["--answers", &file]).collect();
    rig.run(&args)
}

fn record(rig: &Rig) -> String {
    let args = ["record", "incident", "--drain", "d1", "--out", "-"];
    rig.run(&args).code(0).out
}

/// The line of the list of every entry that tells of this.
fn entry<'r>(record: &'r str, what: &str) -> &'r str {
    let every = record.split("## Every entry").nth(1).expect("the entries");
    let every = every.split("\n## ").next().unwrap_or(every);
    every
        .lines()
        .find(|line| line.contains(what))
        .unwrap_or_else(|| panic!("\"{what}\" is not in\n{every}"))
}

#[test]
fn each_answer_stands_with_both_times_and_both_persons() {
    let rig = rig();
    enter(&rig, TICKED).code(0);
    let record = record(&rig);
    for (what, seen) in [
        ("Began the checklist", "1 Mar 2026 23:50:00 (written 16:00"),
        ("None of these", "1 Mar 2026 23:51:00 (written 16:00"),
        ("Tubing straightened", "00:02:00 (written 16:00"),
        ("Swing over five deep breaths", "00:04:00 (written 16:00"),
        ("End of", "00:05:00 (written 16:00"),
    ] {
        let line = entry(&record, what);
        for wanted in [seen, "AB, RN, from paper written by CD, RN", "Late entry"] {
            assert!(line.contains(wanted), "\"{wanted}\" is not in {line}");
        }
    }
    let note = entry(&record, "Entered from paper");
    assert!(note.contains("Written on paper by CD, RN; entered here by AB, RN"));
    rig.run(&["journal", "verify"]).code(0);
}

#[test]
fn a_time_out_of_order_is_kept_as_it_stands_and_told() {
    let rig = rig();
    enter(&rig, TICKED)
        .code(0)
        .says("earlier than the entry before it (23:51)");
    let record = record(&rig);
    let line = entry(&record, "All clamps and taps").to_owned();
    assert!(
        line.contains("1 Mar 2026 23:40:00 (written 16:00"),
        "{line}"
    );
}

#[test]
fn an_answer_without_a_time_says_so_and_takes_none_from_the_clock() {
    let rig = rig();
    enter(&rig, TICKED).code(0);
    let record = record(&rig);
    let line = entry(&record, "kinked under the patient");
    assert!(
        line.contains("1 Mar 2026 23:40:00 (written 16:00"),
        "{line}"
    );
    let mut lines = record
        .lines()
        .skip_while(|line| !line.contains("no time for the next entry"));
    lines.next();
    let next = lines.next().expect("a line after the note");
    assert!(next.contains("kinked under the patient"), "{next}");
}

#[test]
fn a_time_that_is_still_to_come_is_refused() {
    for wrong in ["2026-03-02 16:30", "yesterday 25:00"] {
        let rig = rig();
        enter(&rig, &TICKED.replacen("23:51", wrong, 1)).code(2);
        assert_eq!(rig.answered(), 0, "{wrong}");
    }
}

#[test]
fn an_entering_that_broke_off_goes_on_where_it_was() {
    let rig = rig();
    let (first, rest) = TICKED.split_at(TICKED.find("trace").expect("the third step"));
    enter(&rig, first).code(3);
    let open = rig.answered();
    let file = rig.write("rest.answers", rest).display().to_string();
    // Another window, hours later and by somebody else: nothing is asked whether it is still so.
    rig.run(&["resume", "--by", "EF, RN", "--answers", &file])
        .code(0);
    assert_eq!((open, rig.answered()), (2, 6));
    let record = record(&rig);
    let line = entry(&record, "Swing over five deep breaths");
    assert!(
        line.contains("EF, RN, from paper written by CD, RN"),
        "{line}"
    );
    assert!(line.contains("00:04:00 (written 16:00"), "{line}");
    assert!(!record.contains("still so"), "{record}");
    assert_eq!(record.matches("Entered from paper").count(), 1);
}

/// A wait whose times on the paper are too short is not taken as watched to its end; one that was
/// long enough is, whatever the clock says now. The pause of 60 min: Scottish Intensive Care
/// Society (UK), Adult Medical Emergency Handbook, care of a patient with an intercostal drain.
#[test]
fn a_wait_counts_by_the_times_on_the_paper() {
    let pause = |until: &str| {
        let rig = rig();
        let answers = format!("2026-03-02 10:00\nwaiting = y\n{until}\n");
        let file = rig.write("pause.answers", answers).display().to_string();
        let mut args = START;
        args[1] = "pause-end";
        let args: Vec<&str> = args.into_iter().chain(["--answers", &file]).collect();
        (rig.run(&args), rig.answered())
    };
    let (said, answered) = pause("10:20");
    said.code(2)
        .says("watched until 10:20, and not until 11:00");
    assert_eq!(answered, 0);
    let (said, answered) = pause("11:00");
    let said = said.code(3);
    assert_eq!(answered, 1);
    assert!(!said.out.to_lowercase().contains("overdue"), "{}", said.out);
}

/// An urgent key pressed by habit starts nothing: on a step it is asked what is meant, at the
/// question for the time whether a patient needs it now.
#[test]
fn an_urgent_key_by_mistake_starts_no_urgent_list() {
    let rig = rig();
    let answers = TICKED
        .replacen("open = y\n", "!\n3\nopen = y\n", 1)
        .replacen("\n23:51\n", "\n!\nn\n23:51\n", 1);
    enter(&rig, &answers).code(0);
    let journal = rig.run(&["journal", "export", "-"]).code(0).out;
    assert!(!journal.contains("\"kind\":\"jumped\""), "{journal}");
    assert!(!journal.contains("\"list\":\"breathless\""), "{journal}");
    assert_eq!(rig.answered(), 6);
}

#[test]
fn an_urgent_list_that_is_on_the_paper_is_entered_with_its_time() {
    let rig = rig();
    let answers = TICKED.replacen("open = y\n", "!\n1\n23:52\nn: alone\n23:53\n", 1);
    let answers = answers.split("23:40").next().expect("a beginning");
    enter(&rig, answers).code(3);
    let record = record(&rig);
    let line = entry(&record, "suddenly worse");
    assert!(
        line.contains("1 Mar 2026 23:52:00 (written 16:00"),
        "{line}"
    );
}

/// Meant for a patient now, it does start, and the paper waits.
#[test]
fn an_urgent_list_for_a_patient_now_is_one_key_away() {
    let rig = rig();
    let environment = rig.environment();
    let pairs: Vec<(&str, &str)> = environment
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .chain([("TERM", "xterm")])
        .collect();
    let program = crate::rig::binary().display().to_string();
    let mut window = Terminal::start(80, 40, &program, &START, &pairs);
    window.wait_for("first time on it");
    window.send("yesterday 23:50\r");
    window.wait_for("From paper");
    window.send("!");
    window.wait_for("What is meant");
    window.send("2");
    window.wait_for("Now > 1");
    window.kill();
    let open = rig.run(&["journal", "export", "-"]).code(0).out;
    assert!(open.contains("\"list\":\"breathless\""), "{open}");
    assert!(open.contains("\"kind\":\"paused\""), "{open}");
}

#[test]
fn who_wrote_the_paper_is_asked_and_read_like_any_writer() {
    let rig = rig();
    rig.run(&["start", "no-swing", "--paper-by", "CD, RN", "--drain", "d1"])
        .code(2)
        .says("--from-paper");
    rig.run(&[
        "start",
        "no-swing",
        "--from-paper",
        "--paper-by",
        "Somebody Longname",
        "--drain",
        "d1",
        "--by",
        "AB, RN",
    ])
    .code(2)
    .says("initials");
}
