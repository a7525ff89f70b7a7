//! What every subject uses: timing beside a yardstick, a folder on the disk of the project, and
//! the rows of the final table.

use std::path::Path;
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// One row of the final table.
pub struct Row {
    /// What was measured.
    pub what: String,
    /// What it took.
    pub figure: String,
    /// What stands beside it, from the same run.
    pub beside: String,
    /// How many times the yardstick it took.
    pub ratio: f64,
    /// The mark in words, and whether it is met; `None` when no mark is set.
    pub mark: Option<(String, bool)>,
}

/// What a figure is held against.
#[derive(Clone, Copy)]
pub enum Mark {
    /// At most so many times the yardstick.
    Times(f64),
    /// At most so many milliseconds; the yardstick is for comparison.
    Millis(f64),
    /// Shown for comparison alone.
    None,
}

/// The time of each round, shortest first.
pub struct Times {
    rounds: Vec<Duration>,
    /// The time on the processor, which waiting for the disk and for other programs is no part of;
    /// empty where the system does not tell it.
    busy: Vec<Duration>,
}

impl Times {
    fn of(rounds: Vec<Round>) -> Self {
        let mut times = Self {
            busy: rounds.iter().filter_map(|round| round.busy).collect(),
            rounds: rounds.into_iter().map(|round| round.time).collect(),
        };
        times.rounds.sort_unstable();
        times.busy.sort_unstable();
        times
    }

    /// The round in the middle, in milliseconds.
    pub fn median(&self) -> f64 {
        at(&self.rounds, 50)
    }

    /// The middle round, with the stretch that holds eight of ten.
    fn words(&self) -> String {
        let busy = match self.busy.as_slice() {
            [] => String::new(),
            busy => format!("; on the processor {:.3} ms", at(busy, 50)),
        };
        format!(
            "{:.3} ms ({:.3} to {:.3}){busy}",
            self.median(),
            at(&self.rounds, 10),
            at(&self.rounds, 90),
        )
    }

    /// Without the time on the processor, where other processes did the work.
    pub fn of_others(self) -> Self {
        Self {
            busy: Vec::new(),
            ..self
        }
    }
}

/// The shortest time that this percentage of sorted times does not exceed, in milliseconds.
fn at(times: &[Duration], percent: usize) -> f64 {
    let index = (times.len() * percent / 100).min(times.len().saturating_sub(1));
    times
        .get(index)
        .map_or(0.0, |time| time.as_secs_f64() * 1e3)
}

/// One round.
struct Round {
    time: Duration,
    busy: Option<Duration>,
}

/// Times two pieces of work in turn, so that a busy machine is busy for both. A tenth of the rounds
/// comes before, unmeasured. What a round works on is made by `ready`, which is not timed; nor is the
/// dropping of what the work leaves.
pub fn in_turn<A, B, L>(
    rounds: usize,
    mut ready: impl FnMut() -> (A, B),
    mut work: impl FnMut(A) -> L,
    mut yardstick: impl FnMut(B),
) -> (Times, Times) {
    let warm_up = rounds.div_ceil(10);
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for round in 0..warm_up + rounds {
        let (a, b) = ready();
        let (mine, other) = if round % 2 == 0 {
            let mine = timed(|| work(a));
            (mine, timed(|| yardstick(b)))
        } else {
            let other = timed(|| yardstick(b));
            (timed(|| work(a)), other)
        };
        if round >= warm_up {
            ours.push(mine);
            theirs.push(other);
        }
    }
    (Times::of(ours), Times::of(theirs))
}

fn timed<L>(work: impl FnOnce() -> L) -> Round {
    let busy_before = busy();
    let begin = Instant::now();
    let left = work();
    let time = begin.elapsed();
    let busy = busy().zip(busy_before).map(|(now, then)| now - then);
    drop(left);
    Round { time, busy }
}

/// How long this thread has been on the processor; told by Linux. The system brings the number up
/// to date when the thread lets go of the processor, so it is made to.
fn busy() -> Option<Duration> {
    std::thread::yield_now();
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds = told.split_whitespace().next()?.parse().ok()?;
    Some(Duration::from_nanos(nanoseconds))
}

/// Makes a row of two series of rounds.
pub fn row(what: &str, ours: &Times, yardstick: &str, theirs: &Times, mark: Mark) -> Row {
    let ratio = ours.median() / theirs.median();
    Row {
        what: what.to_owned(),
        figure: ours.words(),
        beside: format!("{yardstick}: {}", theirs.words()),
        ratio,
        mark: match mark {
            Mark::Times(most) => Some((format!("at most {most} times"), ratio <= most)),
            Mark::Millis(most) => Some((format!("under {most} ms"), ours.median() < most)),
            Mark::None => None,
        },
    }
}

/// A fresh folder on the disk of the project, gone when it is dropped.
pub fn folder() -> TempDir {
    TempDir::new_in(Path::new(env!("CARGO_TARGET_TMPDIR"))).expect("a fresh folder")
}
