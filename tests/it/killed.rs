//! Killed without warning: what was acknowledged is there, and the walk comes back to its place.
//!
//! Real processes, killed with SIGKILL at steps of every shipped list (at every step with
//! `TUBESIDE_EVERY_STEP=1`, as `.ci/run` does), and at random moments while answers stream in.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Stdio};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use chrono::TimeDelta;
use tubeside::journal::{Access, By, DrainId, Journal, NewEntry, SessionId, What};
use tubeside::walk::Walk;
use tubeside::walk::event::Happening;
use tubeside::walk::input::Answer;
use tubeside::walk::view::Show;

use crate::paths::{Dice, Move, Path, Ward, begin, paths_through, wards};
use crate::rig::Rig;

/// How long the program may take for a line. Generous, for a machine that is busy.
const PATIENCE: Duration = Duration::from_secs(60);
/// How many paths are walked at once.
const WORKERS: usize = 4;

/// The program in its plain form, with its input and output in the hands of the test.
struct Going {
    child: Child,
    input: Option<ChildStdin>,
    lines: Receiver<String>,
    heard: Vec<String>,
}

impl Going {
    fn start(rig: &Rig, args: &[&str]) -> Self {
        let mut child = rig
            .command(args)
            .args(["--plain", "--by", "AB, RN"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let output = BufReader::new(child.stdout.take().expect("an output"));
        let (send, lines) = channel();
        std::thread::spawn(move || {
            for line in output.lines() {
                if line.map(|line| send.send(line)).is_err() {
                    return;
                }
            }
        });
        Self {
            input: child.stdin.take(),
            child,
            lines,
            heard: Vec::new(),
        }
    }

    /// Types lines. The program may be gone already; that is for the test to find out.
    fn type_lines(&mut self, lines: &[String]) {
        let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
        if let Some(input) = &mut self.input {
            let _ = input
                .write_all(text.as_bytes())
                .and_then(|()| input.flush());
        }
    }

    /// Reads until a line is as wanted.
    #[track_caller]
    fn wait_for(&mut self, what: &str, wanted: impl Fn(&str) -> bool) -> String {
        let until = Instant::now() + PATIENCE;
        loop {
            let left = until.saturating_duration_since(Instant::now());
            match self.lines.recv_timeout(left) {
                Ok(line) if wanted(&line) => {
                    self.heard.push(line.clone());
                    return line;
                }
                Ok(line) => self.heard.push(line),
                Err(_) => panic!("\"{what}\" never came. Heard:\n{}", self.heard.join("\n")),
            }
        }
    }

    #[track_caller]
    fn wait_until_saved(&mut self) -> String {
        self.wait_for("Saved", |line| line.starts_with("Saved: "))
    }

    /// Ends it as a power cut would.
    fn kill(&mut self) {
        self.child.kill().expect("it is killed");
        self.child.wait().expect("it is gone");
    }
}

impl Drop for Going {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// A fresh home with the ward's folder, and a drain with the facts of the path.
fn home(ward: &Ward, path: &Path) -> Rig {
    let mut rig = Rig::new();
    if let Some(local) = &ward.local {
        rig.write("ward/local.yaml", local);
        let folder = rig.path("ward");
        rig.local_folder(&folder);
    }
    std::fs::create_dir_all(rig.path("data")).expect("a folder");
    let mut journal = Journal::open(&rig.journal(), Access::Write).expect("a journal");
    let opened = NewEntry {
        drain: Some(DrainId::new(begin())),
        walk: None,
        session: SessionId::new(begin()),
        seen: begin(),
        written: begin(),
        by: By::new("AB", "RN"),
        rehearsal: true,
        what: What::DrainOpened {
            facts: path.facts.clone(),
        },
    };
    journal.append(&opened).expect("a drain");
    rig
}

/// What the journal says after the program is gone: whole, and each answer that was acknowledged.
struct Found {
    walk: Walk,
    answers: Vec<(String, String, Answer)>,
    last_written: tubeside::moment::Moment,
}

#[track_caller]
fn look(rig: &Rig, ward: &Ward) -> Found {
    let journal = Journal::open(&rig.journal(), Access::Read).expect("the journal opens");
    let verified = journal.verify().expect("it can be examined");
    assert!(verified.faults.is_empty(), "{:?}", verified.faults);
    let walks = journal.walks().expect("walks");
    assert_eq!(walks.len(), 1);
    let events = journal.walk_events(&walks[0].walk).expect("events");
    let answers = events.iter().filter_map(|event| match &event.what {
        Happening::Answered {
            list, step, answer, ..
        } if *answer != Answer::StillSo => {
            Some((list.to_string(), step.to_string(), answer.clone()))
        }
        _ => None,
    });
    Found {
        answers: answers.collect(),
        walk: Walk::replay(ward.library.clone(), &events).expect("it can be replayed"),
        last_written: walks[0].last_written,
    }
}

/// The answers of these moves, as the journal should hold them.
fn typed(moves: &[Move]) -> Vec<(String, String, Answer)> {
    moves
        .iter()
        .map(|one| {
            let (list, step, _) = one.at.clone();
            (list, step, one.answer.clone())
        })
        .collect()
}

/// Follows a path and kills the program at each of its fresh steps.
fn kill_along(ward: &Ward, path: &Path) -> usize {
    let mut rig = home(ward, path);
    let mut going = Going::start(&rig, &["start", &path.list, "--drain", "d1"]);
    going.wait_for("the first step", |line| line.starts_with("Keys: "));
    let last = *path.fresh.last().expect("something fresh");
    for (index, one) in path.moves[..=last].iter().enumerate() {
        if path.fresh.contains(&index) {
            going.kill();
            going = come_back(&mut rig, ward, path, index);
        }
        going.type_lines(&one.lines);
        going.wait_until_saved();
    }
    path.fresh.len()
}

/// Looks at what was left before the move of that number, and resumes.
fn come_back(rig: &mut Rig, ward: &Ward, path: &Path, index: usize) -> Going {
    let one = &path.moves[index];
    let place = format!("{}/{} after {:?}", one.at.0, one.at.1, &path.moves[..index]);
    let found = look(rig, ward);
    assert_eq!(found.answers, typed(&path.moves[..index]), "{place}");
    let now = found.last_written + TimeDelta::seconds(1);
    let view = found.walk.view(now);
    if !matches!(view.show, Show::Repeat { .. }) {
        let stands = (view.list.as_str(), view.step.as_str());
        assert_eq!(stands, (one.at.0.as_str(), one.at.1.as_str()), "{place}");
    }

    rig.clock(&now.to_rfc3339());
    let mut going = Going::start(rig, &["resume", "w1"]);
    // An item of a list that was used and is over cannot be gone back to: the last one of the list
    // that goes on is repeated.
    let mut before = path.moves[..index].iter().rev();
    if let Some(before) = before.find(|before| before.at.2 == 0) {
        let repeated = going.wait_for("the last item", |line| line.contains("still so? "));
        assert!(repeated.ends_with(&before.asked), "{repeated}: {place}");
        going.type_lines(&["y".to_owned()]);
        going.wait_until_saved();
    }
    going.wait_for(&one.asked, |line| line.contains(&one.asked));
    going
}

/// How many of the steps are taken, when not all of them are.
const SHARE: usize = 120;

/// Leaves each path only its share of the steps at which it is killed. `.ci/run` sets
/// `TUBESIDE_EVERY_STEP` and so takes every step of every list, which takes minutes.
fn share(work: &mut Vec<Path>, steps: usize) -> usize {
    let every = match std::env::var_os("TUBESIDE_EVERY_STEP") {
        Some(_) => 1,
        None => (steps / SHARE).max(1),
    };
    let mut met = 0;
    for path in &mut *work {
        path.fresh.retain(|_| {
            met += 1;
            met % every == 0
        });
    }
    work.retain(|path| !path.fresh.is_empty());
    work.iter().map(|path| path.fresh.len()).sum()
}

/// Killed at each step of each shipped list, the walk resumes there and repeats the last item.
#[test]
fn at_each_step_of_each_shipped_list() {
    let wards = wards();
    let mut dice = Dice(1);
    let mut work: Vec<Path> = Vec::new();
    let (mut steps, mut out_of_reach) = (0, Vec::<String>::new());
    for (list, checklist) in wards[0].library.lists() {
        let (paths, missed) = paths_through(&wards, list, &mut dice);
        let missed = missed.into_iter();
        out_of_reach.extend(missed.map(|step| format!("{}/{step}", checklist.name)));
        steps += paths.iter().map(|path| path.fresh.len()).sum::<usize>();
        work.extend(paths);
    }
    assert!(out_of_reach.is_empty(), "no path to {out_of_reach:?}");
    assert!(steps > 200, "only {steps} steps");
    let steps = share(&mut work, steps);
    let work = Mutex::new(work);
    let killed = Mutex::new(0);
    std::thread::scope(|scope| {
        for _ in 0..WORKERS {
            scope.spawn(|| {
                loop {
                    let Some(path) = work.lock().expect("the others live").pop() else {
                        return;
                    };
                    let times = kill_along(&wards[path.ward], &path);
                    *killed.lock().expect("the others live") += times;
                }
            });
        }
    });
    assert_eq!(*killed.lock().expect("the others live"), steps);
}

/// Killed while answers stream in, at a moment that is not chosen by the program.
#[test]
fn at_random_moments_nothing_acknowledged_is_lost() {
    let wards = wards();
    let mut dice = Dice(7);
    let (list, _) = wards[0]
        .library
        .lists()
        .find(|(_, list)| list.name.as_str() == "connect")
        .expect("the list");
    let (paths, _) = paths_through(&wards, list, &mut dice);
    let longest = paths
        .iter()
        .max_by_key(|path| path.moves.len())
        .expect("a path");
    let (mut between, mut lost_none) = (0, 0);
    for _ in 0..25 {
        let micros = dice.throw(60_000);
        let (acknowledged, kept) = kill_after(&wards[longest.ward], longest, micros);
        assert!(
            kept >= acknowledged,
            "{acknowledged} acknowledged, {kept} kept"
        );
        between += usize::from(kept > 0 && kept < longest.moves.len());
        lost_none += 1;
    }
    assert_eq!(lost_none, 25);
    assert!(
        between > 3,
        "the moments all lay before the first or after the last answer"
    );
}

/// Streams all answers and kills the program so many microseconds after the first page; gives how
/// many answers were acknowledged and how many are kept. The kept ones are always the first ones.
fn kill_after(ward: &Ward, path: &Path, micros: usize) -> (usize, usize) {
    let rig = home(ward, path);
    let mut going = Going::start(&rig, &["start", &path.list, "--drain", "d1"]);
    going.wait_for("the first step", |line| line.starts_with("Keys: "));
    let lines: Vec<String> = path
        .moves
        .iter()
        .flat_map(|one| one.lines.clone())
        .collect();
    going.type_lines(&lines);
    std::thread::sleep(Duration::from_micros(u64::try_from(micros).expect("small")));
    going.kill();
    let mut acknowledged = 0;
    while let Ok(line) = going.lines.recv_timeout(PATIENCE) {
        acknowledged += usize::from(line.starts_with("Saved: "));
    }
    let found = look(&rig, ward);
    let kept = found.answers.len();
    assert_eq!(found.answers, typed(&path.moves[..kept]));
    (acknowledged, kept)
}
