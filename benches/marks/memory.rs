//! The most memory ever held by one process that does the work of a whole shift and more.

use std::path::Path;
use std::process::{Command, Stdio};

use tubeside::cli::Cli;
use tubeside::failure::Kind;

use crate::common::{Row, folder};

/// The word that makes this program the child whose memory is read.
pub const CHILD: &str = "--work-a-shift";

const MOST_MB: f64 = 30.0;
const WALKS: usize = 200;

/// The demonstration shift, 200 more walks and the records of the shift, in one process; and then a
/// record of all the walks at once, which no shift needs.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let peaks = peaks_of(Command::new(own()).arg(CHILD).arg(folder.path()));
    let nothing = peaks_of(Command::new(own()).arg(CHILD).arg(""))[0].1;
    let [.., shift, (_, all)] = peaks.as_slice() else {
        panic!("the child tells at least two peaks");
    };
    let told: Vec<String> = peaks
        .iter()
        .map(|(when, peak)| format!("{peak:.1} MB after {when}"))
        .collect();
    let row = |what: &str, peak: f64, mark| Row {
        what: what.to_owned(),
        figure: told.join(", "),
        beside: format!("the same program doing nothing: {nothing:.1} MB"),
        ratio: peak / nothing,
        mark,
    };
    let mark = (format!("under {MOST_MB} MB"), shift.1 < MOST_MB);
    vec![
        row(
            "most memory in a shift's work: the demonstration, 200 more walks, its records",
            shift.1,
            Some(mark),
        ),
        row("most memory with two records of all 200 walks", *all, None),
    ]
}

fn own() -> std::path::PathBuf {
    std::env::current_exe().expect("the name of this program")
}

/// Runs the child, which tells on its standard error the most memory it held so far, in MB.
fn peaks_of(command: &mut Command) -> Vec<(String, f64)> {
    let done = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .output()
        .expect("the child runs");
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(done.status.success(), "the child said: {said}");
    said.lines()
        .filter_map(|line| line.strip_prefix("peak ")?.split_once(" after "))
        .map(|(kib, when)| {
            let kib: f64 = kib.parse().expect("a number");
            (when.to_owned(), kib / 1024.0)
        })
        .collect()
}

/// The child's own work; with an empty folder name, none.
pub fn work_a_shift(folder: &Path) {
    if folder.as_os_str().is_empty() {
        return tell_peak("nothing");
    }
    let shift = folder.join("shift");
    let at = |file: &str| shift.join(file).display().to_string();
    run(&["demo", "--into", &shift.display().to_string()]);
    tell_peak("the demonstration");
    let (local, journal) = (shift.display().to_string(), at("journal.db"));
    let common = ["--local", &local, "--journal", &journal];
    for round in 0..WALKS {
        let list = if round % 2 == 0 { "prepare" } else { "connect" };
        let answers = at(&format!("{list}.answers"));
        let clock = format!("2026-03-{:02}T{:02}:00:00Z", 4 + round / 24, round % 24);
        let words = ["start", list, "--drain", "d1", "--by", "AB, RN"];
        let more = ["--answers", &answers, "--clock", &clock];
        run(&[&words[..], &more, &common].concat());
    }
    tell_peak("200 more walks");
    let record = |kind: &str, which: &[&str]| {
        let words = ["record", kind, "--by", "AB, RN"];
        let clock = ["--clock", "2026-03-20T08:00:00Z"];
        run(&[&words[..], which, &clock, &common].concat());
    };
    record("setup", &["--walk", "w1", "--walk", "w2"]);
    record("incident", &["--walk", "w3"]);
    run(&[&["journal", "verify"][..], &common].concat());
    tell_peak("its records and the full check");
    record("setup", &["--drain", "d1"]);
    record("incident", &["--drain", "d1"]);
    tell_peak("records of all walks");
}

fn tell_peak(when: &str) {
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux, to read the peak");
    let peak = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|rest| rest.split_whitespace().next())
        .expect("the peak");
    #[allow(clippy::print_stderr)]
    {
        eprintln!("peak {peak} after {when}");
    }
}

/// Runs one command as the program would.
fn run(words: &[&str]) {
    let mut typed = vec!["tubeside".to_owned()];
    typed.extend(words.iter().map(|word| (*word).to_owned()));
    let mut cli = Cli::from_words(&typed).expect("a command line");
    cli.common.quiet = true;
    match tubeside::commands::run(&cli) {
        Err(failure) if failure.kind != Kind::Stopped => panic!("{words:?}: {}", failure.message),
        _ => {}
    }
}
