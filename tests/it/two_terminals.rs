//! Two windows at once: on different drains both go on; on one drain the second is told.

use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Child, ChildStdin, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use crate::rig::{Rig, said};

/// A window with plain lines that stays open.
struct Window {
    child: Child,
    input: Option<ChildStdin>,
    lines: Receiver<String>,
}

impl Window {
    fn open(rig: &Rig, args: &[&str]) -> Self {
        let mut command = rig.command(args);
        command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        let output = child.stdout.take().expect("an output");
        let (send, lines) = channel();
        std::thread::spawn(move || {
            for line in BufReader::new(output).lines().map_while(Result::ok) {
                if send.send(line).is_err() {
                    return;
                }
            }
        });
        let input = child.stdin.take();
        Self {
            child,
            input,
            lines,
        }
    }

    fn type_line(&mut self, line: &str) {
        let input = self.input.as_mut().expect("an input");
        writeln!(input, "{line}").expect("it reads");
    }

    /// Waits for a line that holds this.
    #[track_caller]
    fn wait_for(&mut self, text: &str) {
        let mut seen = Vec::new();
        while let Ok(line) = self.lines.recv_timeout(Duration::from_secs(60)) {
            if line.contains(text) {
                return;
            }
            seen.push(line);
        }
        panic!("\"{text}\" never came; said were\n{}", seen.join("\n"));
    }

    fn close(mut self) -> crate::rig::Said {
        drop(self.input.take());
        said(&self.child.wait_with_output().expect("it ends"))
    }
}

fn rig() -> Rig {
    let rig = Rig::new();
    for place in ["bay 4", "bay 5"] {
        let fact = format!("place={place}");
        rig.run(&["drain", "new", "--by", "AB, RN", &fact, "breathing=own"])
            .code(0);
    }
    rig
}

/// How many answers the journal holds.
fn answers(rig: &Rig) -> usize {
    let all = rig.run(&["journal", "export", "-"]).code(0).out;
    all.matches("\"kind\":\"answered\"").count()
}

#[test]
fn on_different_drains_both_go_on() {
    let rig = rig();
    let mut one = Window::open(
        &rig,
        &["start", "no-swing", "--drain", "d1", "--by", "AB, RN"],
    );
    let mut two = Window::open(
        &rig,
        &["start", "bubbling", "--drain", "d2", "--by", "CD, RN"],
    );
    for window in [&mut one, &mut two] {
        window.wait_for("none of these");
        window.type_line("none of these");
        window.wait_for("Saved");
    }
    assert_eq!(one.close().code, 3);
    assert_eq!(two.close().code, 3);
    rig.run(&["journal", "verify"])
        .code(0)
        .says("the chain is whole");
}

#[test]
fn on_one_drain_the_second_is_told_who_holds_it() {
    let rig = rig();
    let mut one = Window::open(
        &rig,
        &["start", "no-swing", "--drain", "d1", "--by", "AB, RN"],
    );
    one.wait_for("none of these");
    rig.run(&["start", "bubbling", "--drain", "d1", "--by", "CD, RN"])
        .code(3)
        .says("AB, RN")
        .says("take it over");
    rig.run(&["resume", "w1", "--by", "CD, RN"])
        .code(3)
        .says("held in another window by AB, RN since");
    one.close();
}

#[test]
fn who_was_taken_over_from_records_nothing_more() {
    let rig = rig();
    let mut one = Window::open(
        &rig,
        &["start", "no-swing", "--drain", "d1", "--by", "AB, RN"],
    );
    one.wait_for("none of these");
    one.type_line("none of these");
    one.wait_for("Saved");
    let mut two = Window::open(&rig, &["resume", "w1", "--take-over", "--by", "CD, RN"]);
    two.wait_for("still so");
    let before = answers(&rig);
    one.type_line("y");
    let first = one.close();
    assert_eq!(first.code, 3, "{first:?}");
    assert!(first.err.contains("taken over by CD, RN"), "{}", first.err);
    assert_eq!(before, answers(&rig), "nothing of the answer was recorded");
    two.type_line("y");
    two.wait_for("Open all clamps");
    two.close();
    rig.run(&["journal", "verify"]).code(0);
}

/// A window that was killed holds nothing: the kernel lets go of its lock.
#[test]
fn a_killed_window_holds_nothing() {
    let rig = rig();
    let mut one = Window::open(
        &rig,
        &["start", "no-swing", "--drain", "d1", "--by", "AB, RN"],
    );
    one.wait_for("none of these");
    one.child.kill().expect("killed");
    one.child.wait().expect("gone");
    let said = rig.run_with(&["resume", "w1", "--by", "CD, RN"], "none of these\n");
    assert_eq!(said.code, 3, "{said:?}");
    assert!(said.out.contains("Open all clamps"), "{}", said.out);
}

/// Seconds count: an urgent list on a drain that another window holds starts all the same.
#[test]
fn an_urgent_list_never_waits_for_another_window() {
    let rig = rig();
    let mut one = Window::open(
        &rig,
        &["start", "no-swing", "--drain", "d1", "--by", "AB, RN"],
    );
    one.wait_for("none of these");
    let urgent = ["start", "disconnected", "--drain", "d1", "--by", "CD, RN"];
    let said = rig.run_with(&urgent, "y\n");
    assert!(said.out.contains("Call the doctor now"), "{said:?}");
    assert!(said.out.contains("Saved"), "{said:?}");
    one.close();
}

/// Also a walk that belongs to no drain yet is held by the window that began it.
#[test]
fn a_walk_without_a_drain_is_held_too() {
    let rig = rig();
    let mut one = Window::open(&rig, &["start", "no-swing", "--by", "AB, RN"]);
    one.wait_for("none of these");
    rig.run(&["resume", "w1", "--by", "CD, RN"])
        .code(3)
        .says("held in another window by AB, RN");
    one.close();
}
