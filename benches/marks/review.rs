//! Looking back over years of walks that are over, beside a plain scan of the same table; each in a
//! process of its own, whose time and most memory are told.
//!
//! `TUBESIDE_WALKS` sets how many walks the journal holds; 100,000 with their drains are 5 million
//! entries, ten years of a busy unit. `TUBESIDE_YEARS` names a file in which such a journal is kept
//! from one run to the next; it is made when it is not there, and gone on with when it is too short.

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rusqlite::Connection;

use crate::common::{Row, folder};
use crate::scan::plain_scan;
use crate::years::{self, ENTRIES_EACH, WALKS_EACH};

const WALKS: usize = 2_000;
const ROUNDS: usize = 3;

/// The word that makes this program the child that scans.
pub const CHILD: &str = "--scan";

/// The review and the full check of all of it, as the program prints them, and the first screen.
pub fn rows() -> Vec<Row> {
    let set = |name: &str| std::env::var(name).ok();
    let walks = set("TUBESIDE_WALKS").and_then(|text| text.parse().ok());
    let folder = folder();
    let path =
        set("TUBESIDE_YEARS").map_or_else(|| folder.path().join("journal.db"), PathBuf::from);
    if walks.is_some() || !path.exists() {
        let begun = Instant::now();
        let entries = years::write(&path, walks.unwrap_or(WALKS));
        println!(
            "a journal of {entries} entries, made in {:.0} s",
            begun.elapsed().as_secs_f64()
        );
    }
    let entries = count(&path);
    let walks = entries / ENTRIES_EACH * WALKS_EACH;
    let program = env!("CARGO_BIN_EXE_tubeside");
    let own = std::env::current_exe().expect("the name of this program");
    let scan = || took(Command::new(&own).arg(CHILD).arg(&path));
    let measured = |what: &str, words: &[&str]| {
        let ours = || {
            let mut command = Command::new(program);
            took(command.args(words).arg("--journal").arg(&path))
        };
        // In turn, so that a busy machine is busy for both.
        let rounds: Vec<(Took, Took)> = (0..ROUNDS).map(|_| (ours(), scan())).collect();
        let (ours, theirs) = rounds.into_iter().unzip();
        beside(&format!("{what} of {walks} walks"), ours, theirs, entries)
    };
    vec![
        measured("review", &["review"]),
        measured("verify", &["journal", "verify"]),
        measured("the open ones", &["drain", "list"]),
    ]
}

/// What one run took: its time, and the most memory it held, in MB.
struct Took {
    time: Duration,
    peak: f64,
}

/// Runs a command to its end. Its memory is looked at a hundred times a second; the system keeps
/// the most there was so far.
fn took(command: &mut Command) -> Took {
    let begun = Instant::now();
    let mut child = command.stdout(Stdio::null()).spawn().expect("it runs");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0.0;
    let done = loop {
        let told = std::fs::read_to_string(&status).unwrap_or_default();
        let now = told.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let now = now.and_then(|rest| rest.split_whitespace().next()?.parse::<f64>().ok());
        peak = now.map_or(peak, |kib| kib / 1024.0);
        if let Some(done) = child.try_wait().expect("its end") {
            break done;
        }
        std::thread::sleep(Duration::from_millis(10));
    };
    assert!(done.success());
    let time = begun.elapsed();
    Took { time, peak }
}

fn beside(what: &str, ours: Vec<Took>, theirs: Vec<Took>, entries: usize) -> Row {
    let (time, peak) = middle(ours);
    let (scanned, scan_peak) = middle(theirs);
    let told = |time: f64, peak: f64| format!("{time:.2} s, at most {peak:.0} MB");
    Row {
        what: what.to_owned(),
        figure: format!(
            "{}, {:.1} times the memory",
            told(time, peak),
            peak / scan_peak
        ),
        beside: format!(
            "a plain scan of its {entries} rows: {}",
            told(scanned, scan_peak)
        ),
        ratio: time / scanned,
        mark: None,
    }
}

/// The middle time, and the most memory of any round.
fn middle(mut rounds: Vec<Took>) -> (f64, f64) {
    rounds.sort_by_key(|round| round.time);
    let time = rounds[rounds.len() / 2].time.as_secs_f64();
    (
        time,
        rounds.iter().map(|round| round.peak).fold(0.0, f64::max),
    )
}

fn count(path: &Path) -> usize {
    let file = Connection::open(path).expect("the journal's file");
    let last: i64 = file
        .query_row("SELECT max(seq) FROM events", [], |row| row.get(0))
        .expect("entries");
    usize::try_from(last).expect("a count")
}

/// The child's own work.
pub fn scan(path: &Path) {
    black_box(plain_scan(&Connection::open(path).expect("the same file")));
}
