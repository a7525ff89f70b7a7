//! Bad input: each a clear message with place and remedy, the right exit code, no panic, nothing lost.

use std::fs;
use std::path::Path;

use crate::rig::{Rig, Said};

/// A message for a person: says this, says what to do, and is never a panic.
#[track_caller]
fn clear(said: Said, code: i32, words: &[&str]) {
    let said = said.code(code);
    assert!(
        !said.err.contains("panicked") && !said.out.contains("panicked"),
        "{}",
        said.err
    );
    for word in words {
        assert!(
            said.err.contains(word) || said.out.contains(word),
            "\"{word}\" is not in\n{}\n{}",
            said.out,
            said.err
        );
    }
}

const BY: &[&str] = &["--by", "AB, RN"];

fn with(args: &[&'static str]) -> Vec<&'static str> {
    [args, BY].concat()
}

#[test]
fn what_is_not_known_is_said_with_what_there_is() {
    let rig = Rig::new();
    clear(
        rig.run(&with(&["start", "no-swng"])),
        2,
        &["no checklist \"no-swng\"", "no-swing"],
    );
    clear(
        rig.run(&with(&["start", "no-swing", "--drain", "d9"])),
        2,
        &["no drain \"d9\"", "drain new"],
    );
    clear(rig.run(&with(&["resume", "w9"])), 2, &["no walk \"w9\""]);
    clear(
        rig.run(&with(&["resume"])),
        2,
        &["nothing is paused", "start LIST"],
    );
    clear(
        rig.run(&["find", "zebra"]),
        1,
        &["no checklist speaks of", "breathless"],
    );
    clear(
        rig.run(&["record", "setup"]),
        2,
        &["which drain or walk", "--drain"],
    );
    clear(rig.run(&["sing"]), 2, &["sing"]);
}

#[test]
fn who_writes_must_be_given_and_is_never_a_name() {
    let rig = Rig::new();
    clear(rig.run(&["start", "no-swing"]), 2, &["who writes", "--by"]);
    clear(
        rig.run(&["start", "no-swing", "--by", "Alexandra Bell"]),
        2,
        &["initials", "AB, RN"],
    );
    clear(
        rig.run(&["start", "no-swing", "--by", " , RN"]),
        2,
        &["initials"],
    );
}

#[test]
fn facts_and_amounts_are_judged() {
    let rig = Rig::new();
    clear(
        rig.run(&with(&["drain", "new", "breathing=loud"])),
        2,
        &["breathing", "own, mask-pressure, ventilator"],
    );
    clear(
        rig.run(&with(&["drain", "new", "colour=red"])),
        2,
        &["no drain fact", "place"],
    );
    clear(
        rig.run(&with(&["drain", "new", "weight"])),
        2,
        &["FACT=VALUE"],
    );
    clear(
        rig.run(&with(&["drain", "new", "weight=14"])),
        2,
        &["no unit"],
    );
    clear(
        rig.run(&with(&["drain", "new", "weight=900 kg"])),
        2,
        &["outside"],
    );
    clear(rig.run(&["convert", "20", "kPa"]), 2, &["no unit"]);
    clear(rig.run(&["convert", "20 cmH2O", "mL"]), 2, &["different"]);
    clear(
        rig.run(&["--clock", "yesterday", "drain", "list"]),
        2,
        &["not a moment", "2026-03-29T00:30:00Z"],
    );
}

fn unit(rig: &Rig) -> String {
    rig.path("unit").display().to_string()
}

#[test]
fn a_units_files_are_told_apart_from_trouble_with_the_disk() {
    let rig = Rig::new();
    clear(
        rig.run(&["local", "check", "--local", "/nowhere/at/all"]),
        4,
        &["is not a folder", "--local"],
    );
    rig.write("file", "x");
    let file = rig.path("file").display().to_string();
    clear(
        rig.run(&["local", "check", "--local", &file]),
        4,
        &["is not a folder"],
    );
    fs::create_dir_all(rig.path("unit/local.yaml")).expect("a folder");
    clear(
        rig.run(&["local", "check", "--local", &unit(&rig)]),
        4,
        &["is a folder, where a file should be"],
    );
}

/// Each text with words of the message it must give.
const BAD_LISTS: &[(&[u8], &str)] = &[
    (b"", "empty"),
    (b"\xff\xfe\x00", "UTF-8"),
    (b"checklist: own\nchecklist: own\n", "a second time"),
    (b"a: &x [1, 2]\nb: *x\n", "anchor"),
    (b"checklist: own\n\ttitle: x\n", "tab"),
    (b"checklist: [own\n", "own.yaml"),
    (b"checklist: own\ntitel: Own\n", "title"),
];

#[test]
fn unfit_lists_are_told_with_their_place() {
    for (bytes, words) in BAD_LISTS {
        let rig = Rig::new();
        rig.write("unit/checklists/own.yaml", bytes);
        clear(
            rig.run(&["local", "check", "--local", &unit(&rig)]),
            1,
            &[words, "own.yaml"],
        );
        // Nothing starts with unfit lists, and the way to care now is named.
        let start = with(&["start", "no-swing"]);
        clear(
            rig.run(&[&start[..], &["--local", &unit(&rig)]].concat()),
            1,
            &["own.yaml", "local check"],
        );
    }
}

#[test]
fn marks_of_other_editors_are_taken_and_bombs_are_not() {
    let good =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("checklists/time-out.yaml"))
            .expect("a list");
    let rig = Rig::new();
    rig.write(
        "unit/checklists/time-out.yaml",
        format!("\u{feff}{}", good.replace('\n', "\r\n")),
    );
    rig.run(&["local", "check", "--local", &unit(&rig)]).code(0);

    let rig = Rig::new();
    rig.write("unit/checklists/own.yaml", "[".repeat(20_000));
    clear(
        rig.run(&["local", "check", "--local", &unit(&rig)]),
        1,
        &["own.yaml"],
    );
    let bomb = "a: &a [x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a]\n";
    rig.write("unit/checklists/own.yaml", bomb);
    clear(
        rig.run(&["local", "check", "--local", &unit(&rig)]),
        1,
        &["anchor"],
    );
    rig.write("unit/checklists/own.yaml", "x".repeat(50 * 1024 * 1024));
    clear(
        rig.run(&["local", "check", "--local", &unit(&rig)]),
        4,
        &["50 MB", "4 MB"],
    );
}

#[test]
fn answers_that_do_not_fit_keep_what_was_answered() {
    let rig = Rig::new();
    let start = |answers: &str| {
        let file = rig.write("answers.txt", answers).display().to_string();
        rig.run(&[&["start", "no-swing", "--answers", &file], BY].concat())
    };
    clear(
        start("patient = none of these\n"),
        3,
        &["answers end after line 1", "Open all clamps", "resume w1"],
    );
    clear(start("none of these\nmaybe\n"), 2, &["line 2", "maybe"]);
    clear(
        start("open = y\n"),
        2,
        &["line 1", "meant for the step open", "patient"],
    );
    clear(
        start("none of these\ny\ny\ny\ny\ny\n"),
        2,
        &["line 6", "nothing more is asked"],
    );
    let missing = rig.path("nothing.txt").display().to_string();
    clear(
        rig.run(&[&["start", "no-swing", "--answers", &missing], BY].concat()),
        4,
        &["nothing.txt", "cannot be read"],
    );
    let kept = rig.run(&["journal", "export", "-"]).code(0).out;
    assert_eq!(kept.matches("none of these").count(), 3, "{kept}");
    rig.run(&["journal", "verify"]).code(0);
}

#[test]
fn the_end_of_the_input_is_a_pause_and_answers_nothing() {
    let rig = Rig::new();
    clear(
        rig.run_with(&with(&["start", "no-swing"]), "none of these\n"),
        3,
        &["resume w1"],
    );
    let kept = rig.run(&["journal", "export", "-"]).code(0).out;
    let last = kept.lines().last().expect("an entry");
    assert!(last.contains("paused"), "{last}");
    // Blank lines answer nothing either.
    clear(
        rig.run_with(&with(&["start", "bubbling"]), "\n\n\n"),
        3,
        &[],
    );
    let kept = rig.run(&["journal", "export", "-"]).code(0).out;
    assert_eq!(kept.matches("\"answered\"").count(), 1, "{kept}");
}

fn journal(rig: &Rig) -> String {
    rig.journal().display().to_string()
}

/// A journal with something in it.
fn used() -> Rig {
    let rig = Rig::new();
    rig.run_with(&with(&["start", "no-swing"]), "none of these\ny\n")
        .code(3);
    rig
}

fn sqlite(rig: &Rig, change: &str) {
    let connection = rusqlite::Connection::open(rig.journal()).expect("it opens");
    connection.execute_batch(change).expect("it changes");
}

#[test]
fn a_journal_that_is_something_else_is_left_alone() {
    let rig = Rig::new();
    rig.write("data/journal.db", "my shopping list");
    clear(
        rig.run(&with(&["start", "no-swing"])),
        4,
        &["not a journal", "it was left as it is"],
    );
    assert_eq!(rig.read("data/journal.db"), "my shopping list");

    let rig = Rig::new();
    fs::create_dir_all(rig.journal()).expect("a folder");
    clear(rig.run(&with(&["start", "no-swing"])), 4, &["is a folder"]);

    let rig = Rig::new();
    clear(
        rig.run(&["journal", "verify"]),
        4,
        &["there is no journal at"],
    );
}

#[test]
fn a_newer_journal_is_refused_and_left_as_it_was() {
    let rig = used();
    sqlite(&rig, "PRAGMA user_version = 900;");
    clear(
        rig.run(&with(&["start", "no-swing"])),
        4,
        &["form 900", "newer version"],
    );
    sqlite(&rig, "PRAGMA user_version = 1;");
    rig.run(&["journal", "verify"]).code(0);
}

#[test]
fn a_damaged_journal_is_told_with_the_entry() {
    let rig = used();
    let connection = rusqlite::Connection::open(rig.journal()).expect("it opens");
    let triggers: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        .expect("a question")
        .query_map([], |row| row.get(0))
        .expect("rows")
        .map(|row| row.expect("a name"))
        .collect();
    assert!(!triggers.is_empty(), "changes are refused by triggers");
    let refused = connection.execute("UPDATE events SET body = '{}' WHERE seq = 2", []);
    assert!(refused.is_err(), "a change is refused");
    for trigger in triggers {
        connection
            .execute_batch(&format!("DROP TRIGGER {trigger}"))
            .expect("dropped");
    }
    connection
        .execute(
            "UPDATE events SET body = replace(body, 'none of these', 'new or worse') WHERE seq = 2",
            [],
        )
        .expect("changed");
    drop(connection);
    clear(rig.run(&["journal", "verify"]), 1, &["entry 2"]);

    // Bytes overwritten in the middle of the file.
    let rig = used();
    let mut bytes = fs::read(rig.journal()).expect("the file");
    let middle = bytes.len() / 2;
    bytes[middle - 2000..middle + 2000].fill(0x5a);
    fs::write(rig.journal(), bytes).expect("damaged");
    let said = rig.run(&["journal", "verify"]);
    assert!([1, 4].contains(&said.code), "{said:?}");
    assert!(!said.err.contains("panicked"), "{}", said.err);
}

/// A file size limit of the shell stands in for a full disk: the system refuses every further byte.
#[test]
#[cfg(unix)]
fn a_full_disk_loses_nothing_that_was_acknowledged() {
    let rig = used();
    let size = fs::metadata(rig.journal()).expect("the file").len() / 512;
    let program = crate::rig::binary().display();
    let script = format!(
        "trap '' XFSZ; ulimit -f {}; exec '{program}' start bubbling --by 'AB, RN'",
        size.max(1)
    );
    let mut command = std::process::Command::new("bash");
    command
        .args(["-c", &script])
        .env_clear()
        .envs(rig.environment());
    command.stdin(std::process::Stdio::null());
    let said = crate::rig::said(&command.output().expect("it ends"));
    assert!([3, 4].contains(&said.code), "{said:?}");
    assert!(!said.err.contains("panicked"), "{}", said.err);
    rig.run(&["journal", "verify"]).code(0);
    let kept = rig.run(&["journal", "export", "-"]).code(0).out;
    assert!(kept.contains("none of these"), "{kept}");
    assert!(Path::new(&journal(&rig)).exists());
}

#[test]
fn hostile_text_reaches_no_terminal_and_breaks_no_record() {
    let rig = Rig::new();
    let note = "t: \u{1b}[2J\u{1b}]0;gone\u{7} | `x` <script>alert(1)</script> [a](javascript:b) \u{202e}abc\n";
    let input = format!("none of these\n{note}p\n");
    let said = rig.run_with(&with(&["start", "no-swing"]), &input).code(3);
    assert!(
        !said.out.contains('\u{1b}') && !said.err.contains('\u{1b}'),
        "{}",
        said.out
    );
    let record = rig
        .run(&["record", "incident", "--walk", "w1", "--out", "-"])
        .code(0)
        .out;
    assert!(
        !record.contains('\u{1b}') && !record.contains('\u{202e}'),
        "{record}"
    );
    assert!(!record.contains("<script>"), "{record}");
    assert!(
        record.contains("script"),
        "the words stay readable: {record}"
    );
}

#[test]
fn what_looks_like_a_person_is_pointed_out_and_never_blocks() {
    let rig = Rig::new();
    rig.run(&with(&["drain", "new", "place=bay 4"])).code(0);
    clear(
        rig.run(&with(&[
            "note",
            "--drain",
            "d1",
            "call 9991234578 about name: John",
        ])),
        0,
        &["looks like", "noted on d1"],
    );
    clear(
        rig.run(&with(&[
            "note",
            "--drain",
            "d1",
            "20 cmH2O, 1500 mL at 04:10",
        ])),
        0,
        &["noted on d1"],
    );
}
