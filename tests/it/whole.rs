//! A record, an export or a backup that is written while the disk fills or the program is killed is
//! there whole, or not there; what stood in its place before stays.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::afterwards::one_walk;
use crate::complaint::fine;
use crate::disk::Mount;
use crate::rig::{Rig, Said, binary, said};

/// What leaves the journal as a file, without the file's name.
const WRITERS: &[&[&str]] = &[
    &[
        "record", "setup", "--drain", "d1", "--by", "AB, RN", "--out",
    ],
    &[
        "record", "setup", "--drain", "d1", "--by", "AB, RN", "--format", "html", "--out",
    ],
    &["journal", "backup"],
    &["journal", "export"],
];

fn written(rig: &Rig, writer: &[&str], file: &Path) -> Said {
    let file = file.display().to_string();
    fine(rig.run(&[writer, &[file.as_str()]].concat()))
}

/// The names in a folder.
fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    entries
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("UTF-8")
        })
        .collect()
}

/// Whether the record, or what else was written, is all there: as the journal says, in the case of
/// a record and a backup; ended by a line feed after a whole line, in that of an export.
fn is_whole(rig: &Rig, writer: &[&str], file: &Path) -> bool {
    let shown = file.display().to_string();
    let said = match writer[1] {
        "backup" => rig.run(&["--journal", &shown, "journal", "verify"]),
        "export" => {
            let text = std::fs::read_to_string(file).expect("UTF-8");
            let last = text.lines().last().unwrap_or_default();
            return text.ends_with('\n') && serde_json::from_str::<serde_json::Value>(last).is_ok();
        }
        _ => rig.run(&[&writer[..writer.len() - 1], &["--check", shown.as_str()]].concat()),
    };
    said.code == 0
}

#[test]
fn whole_or_absent_while_the_disk_fills() {
    let Some(mount) = Mount::new("1m") else {
        // No file system can be mounted here, so there is no full disk to meet.
        return;
    };
    let rig = one_walk();
    let folder = mount.folder();
    let (mut refused, mut whole) = (0, 0);
    for writer in WRITERS {
        // What is left grows by some pages at a time, until it is enough.
        let step = if writer[0] == "journal" { 12 } else { 2 };
        for pages in (0..).step_by(step) {
            fill_but(folder, pages);
            let file = folder.join("filed");
            let said = written(&rig, writer, &file);
            let here = names(folder);
            if said.code == 0 {
                whole += 1;
                assert!(is_whole(&rig, writer, &file), "{writer:?}: {}", said.out);
                std::fs::remove_file(&file).expect("gone");
                break;
            }
            refused += 1;
            assert_eq!(said.code, 4, "{}", said.err);
            let full = ["full", "No space left"];
            assert!(
                full.iter().any(|words| said.err.contains(words)),
                "{writer:?}: {}",
                said.err
            );
            assert_eq!(here, ["filling"], "{writer:?} with {pages} pages left");
        }
    }
    assert_eq!(whole, WRITERS.len());
    assert!(refused > WRITERS.len(), "{refused}");
}

/// A record on file stays as it was when there is no room for the new one.
#[test]
fn a_full_disk_keeps_the_record_that_is_there() {
    let Some(mount) = Mount::new("1m") else {
        return;
    };
    let rig = one_walk();
    let file = mount.folder().join("filed");
    std::fs::write(&file, "the old one\n").expect("written");
    fill_but(mount.folder(), 1);
    written(&rig, WRITERS[0], &file).code(4);
    assert_eq!(
        std::fs::read_to_string(&file).expect("there"),
        "the old one\n"
    );
}

/// Fills the folder's file system until only so many pages of 4096 bytes are left.
fn fill_but(folder: &Path, pages: usize) {
    let path = folder.join("filling");
    drop(std::fs::remove_file(&path));
    let mut size = 256;
    // The most that goes in: page by page from the whole megabyte down.
    while std::fs::write(&path, vec![0; size * 4096]).is_err() {
        size -= 1;
    }
    let file = std::fs::OpenOptions::new()
        .write(true)
        .open(&path)
        .expect("open");
    let left = size.saturating_sub(pages) * 4096;
    file.set_len(left.try_into().expect("small"))
        .expect("shorter");
}

/// A process that writes beyond the limit of `ulimit -f` is killed by the system in the middle of
/// that write (SIGXFSZ, setrlimit(2)): so every few hundred bytes of a record are the last once.
#[cfg(unix)]
#[test]
fn whole_or_absent_when_it_is_killed_while_it_writes() {
    use std::os::unix::process::ExitStatusExt as _;
    let rig = one_walk();
    let writer = WRITERS[1];
    let whole = rig.path("whole.html");
    written(&rig, writer, &whole).code(0);
    let whole = std::fs::read(whole).expect("bytes");
    // While somebody else has the journal open, the files beside it are there and need not be made.
    let other = rusqlite::Connection::open(rig.journal()).expect("a database");
    let held: i64 = other
        .query_row("SELECT count(*) FROM pragma_table_list", [], |row| {
            row.get(0)
        })
        .expect("read");
    assert!(held > 0);
    let folder = rig.path("filed");
    std::fs::create_dir(&folder).expect("a folder");
    let file = folder.join("record.html");
    let (mut killed, mut placed) = (0, 0);
    for blocks in (0..=whole.len() / 512 + 2).step_by(2) {
        std::fs::write(&file, "the old one\n").expect("written");
        let output = limited(&rig, blocks, writer, &file)
            .output()
            .expect("it runs");
        killed += usize::from(output.status.signal().is_some());
        let bytes = std::fs::read(&file).expect("there");
        let is_new = bytes == whole;
        placed += usize::from(is_new);
        assert!(
            is_new || bytes == b"the old one\n",
            "half a record after {blocks} blocks"
        );
        assert!(said(&output).code != 0 || is_new);
        // What was written aside is left by a kill, and never has the name of a record.
        for name in names(&folder) {
            if name != "record.html" {
                assert!(name.starts_with('.') && name.ends_with(".part"), "{name}");
                std::fs::remove_file(folder.join(name)).expect("gone");
            }
        }
    }
    assert!(killed > 5 && placed > 0, "{killed} killed, {placed} placed");
    rig.run(&["journal", "verify"]).code(0);
}

/// The program, with a limit on the size of what it may write, in blocks of 512 bytes.
#[cfg(unix)]
fn limited(rig: &Rig, blocks: usize, writer: &[&str], file: &Path) -> Command {
    let mut command = Command::new("sh");
    command
        .args(["-c", "ulimit -f \"$1\"; shift; exec \"$@\"", "sh"])
        .arg(blocks.to_string())
        .arg(binary())
        .args(writer)
        .arg(file)
        .env_clear()
        .envs(rig.environment())
        .current_dir(rig.path("."));
    command
}

/// Killed at any moment, from the start of the program to its end.
#[test]
fn whole_or_absent_when_it_is_killed_at_any_moment() {
    let rig = one_walk();
    let writer = WRITERS[0];
    let started = std::time::Instant::now();
    written(&rig, writer, &rig.path("whole.md")).code(0);
    let takes = started.elapsed();
    let whole = std::fs::read(rig.path("whole.md")).expect("bytes");
    let file: PathBuf = rig.path("record.md");
    let mut there = 0;
    for share in 0..12 {
        drop(std::fs::remove_file(&file));
        let args = [writer, &[file.to_str().expect("UTF-8")]].concat();
        let mut command = rig.command(&args);
        let mut child = command.stdout(Stdio::null()).spawn().expect("it starts");
        std::thread::sleep(takes * share / 10);
        drop(child.kill());
        child.wait().expect("it is gone");
        if let Ok(bytes) = std::fs::read(&file) {
            there += 1;
            assert_eq!(bytes, whole, "share {share}");
        }
    }
    assert!(there < 12, "it was never killed in time");
    rig.run(&["journal", "verify"]).code(0);
}
