//! Answers from a file and on a pipe: too few, too many, misread, meant for another step, bytes that
//! mean nothing. What was answered before is kept, and nothing is answered by accident.

use std::io::Write as _;
use std::process::Stdio;

use crate::complaint::{complains, fine, with_by};
use crate::rig::{Rig, said};

/// An urgent list never waits for a name.
#[test]
fn an_urgent_list_asks_nobody_for_a_name_first() {
    let rig = Rig::new();
    let said = fine(rig.run_with(&["start", "breathless"], "y\n").code(3));
    assert!(said.out.contains("Saved: "), "{}", said.out);
    assert_eq!(rig.answered(), 1);
}

#[test]
fn answers_from_a_file() {
    let first_steps = "# two answers\npatient = none of these\nopen = y\n";
    let cases: &[(&str, i32, usize, &[&str])] = &[
        (
            "",
            3,
            2,
            &[
                "end after line 3",
                "no-swing/trace",
                "kept",
                "tubeside resume w1",
            ],
        ),
        ("perhaps\n", 2, 2, &["line 4", "perhaps", "as expected"]),
        (
            "straighten = y\n",
            2,
            2,
            &["line 4", "straighten", "no-swing/trace"],
        ),
        ("y: words\n", 2, 2, &["line 4", "takes no words"]),
        ("u\n", 2, 2, &["line 4", "needs words"]),
        ("t:\n", 2, 2, &["line 4"]),
        ("@25:00 y\n", 2, 2, &["line 4", "25:00"]),
        ("@05:00 y\n", 2, 2, &["line 4", "later than now"]),
        ("c1 answered: doctor\n", 2, 2, &["line 4", "no open call 1"]),
        ("close clamp-on: taken off\n", 2, 2, &["line 4", "clamp-on"]),
        (
            "trace = n: kinked under the patient\nstraighten = y\nwatch-own = y\ny\ny\n",
            2,
            6,
            &["line 8", "no question"],
        ),
    ];
    for (rest, code, kept, words) in cases {
        let rig = Rig::new();
        rig.run(&with_by(&[
            "drain",
            "new",
            "breathing=own",
            "reason=fluid",
            "suction=none",
        ]))
        .code(0);
        let file = rig.write("shift.answers", format!("{first_steps}{rest}"));
        let file = file.display().to_string();
        let args = with_by(&["start", "no-swing", "--drain", "d1", "--answers", &file]);
        complains(
            rig.run(&args),
            *code,
            &[&["shift.answers"], *words].concat(),
        );
        assert_eq!(rig.answered(), *kept, "{rest}");
        rig.run(&["journal", "verify"]).code(0);
    }
}

#[test]
fn files_of_answers_that_cannot_be_read() {
    let rig = Rig::new();
    let bytes = rig.write("bytes", b"\xff\xfe\x00");
    std::fs::create_dir(rig.path("folder")).expect("a folder");
    for (path, words) in [
        (rig.path("nowhere"), "cannot be read"),
        (rig.path("folder"), "is a folder"),
        (bytes, "not UTF-8"),
    ] {
        let path = path.display().to_string();
        let args = with_by(&["start", "no-swing", "--answers", &path]);
        complains(rig.run(&args), 4, &[&path, words]);
    }
    assert!(!rig.journal().exists() || rig.answered() == 0);
}

/// The clock moves only in a rehearsal.
#[test]
fn the_real_clock_cannot_be_moved() {
    let rig = Rig::new().real_clock();
    let file = rig.write("answers", "+5m\n").display().to_string();
    let args = with_by(&["start", "no-swing", "--answers", &file]);
    complains(rig.run(&args), 2, &["line 1", "rehearsal"]);
}

/// The input ends in the middle: the walk is paused, and nothing was answered by the end.
#[test]
fn the_input_ends_in_the_middle() {
    for (input, kept) in [
        ("", 0),
        ("1\n", 1),
        ("1\ny\n\n\n", 2),
        ("1\ny", 2),
        ("1\ny\nn:", 3),
    ] {
        let rig = Rig::new();
        let said = rig.run_with(&with_by(&["start", "no-swing", "--plain"]), input);
        complains(said, 3, &["input ended", "kept", "tubeside resume w1"]);
        assert_eq!(rig.answered(), kept, "{input:?}");
        let exported = rig.run(&["journal", "export", "-"]).out;
        // The export itself leaves an entry of its own.
        let mut lines = exported.lines().rev();
        let last = lines.find(|line| !line.contains("\"kind\":\"record-written\""));
        let last = last.expect("an entry");
        assert!(last.contains("\"kind\":\"paused\""), "{last}");
        rig.run(&["journal", "verify"]).code(0);
    }
}

/// Bytes that mean nothing, on every way in.
#[test]
fn noise_on_the_input_answers_nothing() {
    let rig = Rig::new();
    let noise: Vec<u8> = (0..4000_u32)
        .flat_map(|n| [(n.wrapping_mul(97) % 251) as u8 | 0x80, b'\n'])
        .collect();
    let mut child = rig
        .command(&with_by(&["start", "no-swing", "--plain"]))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut input = child.stdin.take().expect("an input");
    let writer = std::thread::spawn(move || {
        drop(input.write_all(&noise));
    });
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("written");
    complains(said(&output), 3, &["input ended"]);
    assert_eq!(rig.answered(), 0);
}
