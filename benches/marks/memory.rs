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

/// The demonstration shift, 200 more walks, and their records, in one process.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let shift = peak_of(Command::new(own()).arg(CHILD).arg(folder.path()));
    let nothing = peak_of(Command::new(own()).arg(CHILD).arg(""));
    vec![Row {
        what: "most memory in a shift's work: the demonstration, 200 more walks, the records"
            .into(),
        figure: format!("{shift:.1} MB"),
        beside: format!("the same program doing nothing: {nothing:.1} MB"),
        ratio: shift / nothing,
        mark: Some((format!("under {MOST_MB} MB"), shift < MOST_MB)),
    }]
}

fn own() -> std::path::PathBuf {
    std::env::current_exe().expect("the name of this program")
}

/// Runs the child, which ends by saying on its standard error the most memory it held, in MB.
fn peak_of(command: &mut Command) -> f64 {
    let done = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .output()
        .expect("the child runs");
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    let kib = said
        .lines()
        .rev()
        .find_map(|line| line.strip_prefix("peak "));
    let kib: f64 = kib
        .and_then(|kib| kib.parse().ok())
        .unwrap_or_else(|| panic!("the child said: {said}"));
    kib / 1024.0
}

/// The child's own work; with an empty folder name, none.
pub fn work_a_shift(folder: &Path) {
    if !folder.as_os_str().is_empty() {
        work(folder);
    }
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux, to read the peak");
    let peak = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|rest| rest.split_whitespace().next())
        .expect("the peak");
    #[allow(clippy::print_stderr)]
    {
        eprintln!("peak {peak}");
    }
}

fn work(folder: &Path) {
    let shift = folder.join("shift");
    let at = |file: &str| shift.join(file).display().to_string();
    run(&["demo", "--into", &shift.display().to_string()]);
    for round in 0..WALKS {
        let list = if round % 2 == 0 { "prepare" } else { "connect" };
        let answers = at(&format!("{list}.answers"));
        let clock = format!("2026-03-{:02}T{:02}:00:00Z", 4 + round / 24, round % 24);
        run(&[
            "start",
            list,
            "--drain",
            "d1",
            "--by",
            "AB, RN",
            "--answers",
            &answers,
            "--clock",
            &clock,
            "--local",
            &shift.display().to_string(),
            "--journal",
            &at("journal.db"),
        ]);
    }
    for kind in ["setup", "incident"] {
        run(&[
            "record",
            kind,
            "--drain",
            "d1",
            "--by",
            "AB, RN",
            "--clock",
            "2026-03-20T08:00:00Z",
            "--local",
            &shift.display().to_string(),
            "--journal",
            &at("journal.db"),
        ]);
    }
    run(&["journal", "verify", "--journal", &at("journal.db")]);
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
