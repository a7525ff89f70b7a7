//! A drain charted every 15 minutes for a year, beside pandas reading the same readings from CSV
//! and rolling a window of two hours over them.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;

use chrono::TimeDelta;
use tubeside::chart;
use tubeside::chart::reading::{Bubbling, Reading, Swing};
use tubeside::journal::{Access, By, DrainId, Journal, NewEntry, SessionId, What};
use tubeside::moment::Moment;
use tubeside::units::Number;

use crate::common::{Mark, Row, folder, in_turn, row};
use crate::made;

const PROGRAM: &str = env!("CARGO_BIN_EXE_tubeside");
/// The environment that the reference checks make.
const PYTHON: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/.reference/python/bin/python");
const READINGS: i64 = 35_000;
const ROUNDS: usize = 20;

/// What pandas does, timed from inside, so that its start is not counted: the middle of its rounds
/// in milliseconds.
const PANDAS: &str = "
import sys, time, statistics, pandas
times = []
for _ in range(20):
    begin = time.perf_counter()
    table = pandas.read_csv(sys.argv[1], parse_dates=['seen-at'], index_col='seen-at')
    output = table['level (mL)'].diff().fillna(table['level (mL)'])
    largest = output.rolling('2h').sum().max()
    hours = output.resample('1h').sum()
    times.append((time.perf_counter() - begin) * 1e3)
print(statistics.median(times), largest, len(hours))
";

/// The chart shown, and what is due.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let (journal, csv) = (
        folder.path().join("year.db"),
        folder.path().join("year.csv"),
    );
    fill(&journal, &csv);
    let pandas = pandas(&csv);
    let says = |what: &str, words: &[&str]| {
        let (ours, nothing) = in_turn(ROUNDS, || ((), ()), |()| run(&journal, words), |()| {});
        let ours = ours.of_others();
        let mut row = row(what, &ours, "", &nothing, Mark::Millis(100.0));
        (row.beside, row.ratio) = match pandas {
            Some(theirs) => (
                format!("pandas, reading and rolling the same readings: {theirs:.3} ms"),
                ours.median() / theirs,
            ),
            None => (
                "nothing: tests/reference/run makes the environment with pandas".to_owned(),
                f64::NAN,
            ),
        };
        row
    };
    vec![
        says("chart show, 35,000 readings of a year", &["chart", "show"]),
        says("chart due, the same", &["chart", "due"]),
        says("chart show --csv, the same", &["chart", "show", "--csv"]),
    ]
}

fn run(journal: &Path, words: &[&str]) {
    let done = Command::new(PROGRAM)
        .args(words)
        .arg("--journal")
        .arg(journal)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .status()
        .expect("the program");
    assert!(done.success(), "it ends well");
}

fn pandas(csv: &PathBuf) -> Option<f64> {
    let done = Command::new(PYTHON)
        .args(["-c", PANDAS])
        .arg(csv)
        .output()
        .ok()
        .filter(|done| done.status.success())?;
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    said.split_whitespace().next()?.parse().ok()
}

/// The journal with the readings, and the same readings as CSV.
fn fill(journal: &Path, csv: &Path) {
    // A year that is over.
    let begin = made::begin() - TimeDelta::days(800);
    let drain = DrainId::new(begin);
    let session = SessionId::new(begin);
    let entry = |seen: Moment, what| NewEntry {
        drain: Some(drain),
        walk: None,
        session,
        seen,
        written: seen,
        by: By::new("AB", "RN"),
        rehearsal: false,
        what,
    };
    let facts = tubeside::checklist::drain_fact::DrainFacts::new();
    let mut open = Journal::open(journal, Access::Write).expect("the journal");
    open.append(&entry(begin, What::DrainOpened { facts }))
        .expect("the drain");
    let mut lines = String::from("seen-at,level (mL)\n");
    let readings: Vec<NewEntry> = (1..=READINGS)
        .map(|number| {
            let seen = begin + TimeDelta::minutes(15 * number);
            // Rises by 0 to 2 mL.
            let level = Number::from_milli(number * 1_000 + number * 7_919 % 1_000);
            lines.push_str(&format!("{},{}\n", seen.to_rfc3339(), level.to_f64()));
            let reading = Reading {
                level: Some(level),
                swing: Some(Swing::Small),
                bubbling: Some(Bubbling::None),
                ..Reading::default()
            };
            entry(seen, What::Charted(chart::What::Reading(Arc::new(reading))))
        })
        .collect();
    open.append_all(&readings).expect("the readings");
    std::fs::write(csv, lines).expect("the CSV");
}
