//! Folders, links, databases of others, torn pages, read-only and full disks: said with the place
//! and the remedy, left as they are, and nothing that was acknowledged is lost.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::complaint::{complains, fine, with_by};
use crate::rig::{Rig, said};

#[test]
fn the_ward_s_folder() {
    let mut rig = Rig::new();
    rig.local_folder(Path::new("nowhere"));
    complains(
        rig.run(&["drain", "list"]),
        4,
        &["nowhere", "not a folder", "--local"],
    );
    let file = rig.write("a-file", "");
    rig.local_folder(&file);
    complains(rig.run(&["local", "check"]), 4, &["a-file", "not a folder"]);

    let folder = rig.path("ward");
    rig.local_folder(&folder);
    std::fs::create_dir_all(folder.join("local.yaml")).expect("a folder");
    complains(
        rig.run(&["drain", "list"]),
        4,
        &["local.yaml", "is a folder"],
    );
    std::fs::remove_dir(folder.join("local.yaml")).expect("gone");

    std::fs::create_dir_all(folder.join("checklists/sub.yaml")).expect("a folder");
    complains(
        rig.run(&["local", "check"]),
        4,
        &["sub.yaml", "is a folder"],
    );
    std::fs::remove_dir(folder.join("checklists/sub.yaml")).expect("gone");

    let large = rig.write("ward/checklists/large.yaml", "");
    let open = std::fs::OpenOptions::new()
        .write(true)
        .open(&large)
        .expect("it opens");
    open.set_len(50 * 1024 * 1024).expect("50 MB");
    complains(
        rig.run(&["local", "check"]),
        4,
        &["large.yaml", "50 MB", "4 MB"],
    );
}

/// A link that leads nowhere is a file that should be there and cannot be read: to go on as if
/// the ward had filled in nothing would be a guess.
#[cfg(unix)]
#[test]
fn links_that_lead_nowhere() {
    for name in [
        "local.yaml",
        "checklists/own.yaml",
        "checklists",
        "reports/templates/setup.md",
    ] {
        let mut rig = Rig::new();
        let folder = rig.path("ward");
        rig.local_folder(&folder);
        let link = folder.join(name);
        std::fs::create_dir_all(link.parent().expect("a folder")).expect("a folder");
        std::os::unix::fs::symlink("nowhere", &link).expect("a link");
        let args: &[&str] = if name.ends_with(".md") {
            rig.run(&with_by(&["drain", "new", "side=left"])).code(0);
            let walk = with_by(&["start", "prepare", "--drain", "d1"]);
            rig.run_with(&walk, "y\n").code(3);
            &["record", "setup", "--drain", "d1", "--out", "-"]
        } else {
            &["local", "check"]
        };
        complains(rig.run(args), 4, &[name, "cannot be read"]);
    }
}

#[test]
fn what_stands_in_the_place_of_the_journal() {
    let rig = Rig::new();
    std::fs::create_dir_all(rig.journal()).expect("a folder");
    for args in [
        &["drain", "list"][..],
        &["journal", "verify"],
        &with_by(&["start", "no-swing"]),
    ] {
        complains(rig.run(args), 4, &["journal.db", "is a folder"]);
    }
    let rig = Rig::new();
    rig.write(
        "data/journal.db",
        "no database at all, but a letter of some length\n".repeat(99),
    );
    complains(
        rig.run(&["journal", "verify"]),
        4,
        &["journal.db", "not a journal", "check the path"],
    );
    complains(
        rig.run(&with_by(&["start", "no-swing"])),
        4,
        &["left as it is"],
    );
    assert!(rig.read("data/journal.db").starts_with("no database"));

    let rig = Rig::new();
    complains(
        rig.run(&["journal", "verify"]),
        4,
        &["there is no journal", "--journal"],
    );
}

/// Something that a newer version or another program made is refused and left as it is.
#[test]
fn databases_of_others() {
    for (pragma, words) in [
        ("PRAGMA user_version = 99", ["has form 99", "newer version"]),
        (
            "PRAGMA application_id = 4242",
            ["not a journal", "check the path"],
        ),
    ] {
        let rig = Rig::new();
        rig.run(&with_by(&["drain", "new", "side=left"])).code(0);
        let database = rusqlite::Connection::open(rig.journal()).expect("a database");
        database.execute_batch(pragma).expect("set");
        database
            .execute_batch("PRAGMA wal_checkpoint(TRUNCATE)")
            .expect("in one file");
        drop(database);
        let before = std::fs::read(rig.journal()).expect("bytes");
        for args in [
            &["drain", "list"][..],
            &["journal", "verify"],
            &with_by(&["start", "no-swing"]),
        ] {
            complains(rig.run(args), 4, &words);
        }
        assert_eq!(std::fs::read(rig.journal()).expect("bytes"), before);
    }
}

/// A byte changed inside an entry: the check names the entry; care goes on.
#[test]
fn a_changed_byte_is_found_and_named() {
    let rig = Rig::new();
    rig.run(&with_by(&["drain", "new", "side=left"])).code(0);
    for words in ["first remark", "second remark", "third remark"] {
        rig.run(&with_by(&["note", "--drain", "d1", words])).code(0);
    }
    rig.run(&["journal", "verify"]).code(0).says("4 entries");
    change(&rig, "second remark", "secund remark");
    complains(
        rig.run(&["journal", "verify"]),
        1,
        &["3", "keep a copy", "backup"],
    );
    fine(
        rig.run(&with_by(&["note", "--drain", "d1", "fourth remark"]))
            .code(0),
    );
    complains(rig.run(&["journal", "verify"]), 1, &["3"]);
}

/// Replaces bytes in the journal's file, as a failing disk would.
fn change(rig: &Rig, from: &str, to: &str) {
    let database = rusqlite::Connection::open(rig.journal()).expect("a database");
    database
        .execute_batch("PRAGMA wal_checkpoint(TRUNCATE)")
        .expect("in one file");
    drop(database);
    let mut bytes = std::fs::read(rig.journal()).expect("bytes");
    let at = bytes
        .windows(from.len())
        .position(|window| window == from.as_bytes())
        .expect("the words are in the file");
    bytes[at..at + to.len()].copy_from_slice(to.as_bytes());
    std::fs::write(rig.journal(), bytes).expect("written");
}

/// Whole pages overwritten: no panic, a message, and the file is left for somebody to look at.
#[test]
fn torn_pages() {
    let rig = Rig::new();
    rig.run(&with_by(&["drain", "new", "side=left"])).code(0);
    fine(
        rig.run_with(&with_by(&["start", "prepare", "--drain", "d1"]), "y\ny\n")
            .code(3),
    );
    let database = rusqlite::Connection::open(rig.journal()).expect("a database");
    database
        .execute_batch("PRAGMA wal_checkpoint(TRUNCATE)")
        .expect("in one file");
    drop(database);
    let whole = std::fs::read(rig.journal()).expect("bytes");
    let pages = whole.len() / 4096;
    assert!(pages > 10, "only {pages} pages");
    let mut noticed = 0;
    for page in 1..pages {
        let mut bytes = whole.clone();
        bytes[page * 4096..(page + 1) * 4096].fill(0xa5);
        std::fs::write(rig.journal(), bytes).expect("written");
        let verify = fine(rig.run(&["journal", "verify"]));
        assert!(
            matches!(verify.code, 0 | 1 | 4),
            "{}: {}",
            verify.code,
            verify.err
        );
        noticed += usize::from(verify.code != 0);
        let show = fine(rig.run(&["drain", "show", "d1"]));
        assert!(
            matches!(show.code, 0 | 2 | 4),
            "{}: {}",
            show.code,
            show.err
        );
    }
    assert!(
        noticed * 2 > pages,
        "{noticed} of {pages} torn pages were noticed"
    );
}

/// Root may write everywhere, so this needs a file system that refuses it.
#[test]
fn a_journal_that_cannot_be_written() {
    let Some(mount) = Mount::new("4m") else {
        // No file system can be mounted here, so there is no full disk to meet.
        return;
    };
    let rig = Rig::new();
    let journal = mount.0.join("journal.db").display().to_string();
    let args = ["--journal", &journal, "drain", "new", "side=left"];
    rig.run(&with_by(&args)).code(0);
    mount.again("ro");
    complains(
        rig.run(&with_by(&["--journal", &journal, "start", "no-swing"])),
        4,
        &["read-only", "nothing was recorded"],
    );
    mount.again("rw");
}

/// The disk fills up while a walk goes on: said at once, and everything before is kept.
#[test]
fn a_full_disk() {
    let Some(mount) = Mount::new("2m") else {
        // No file system can be mounted here, so there is no full disk to meet.
        return;
    };
    let rig = Rig::new();
    let journal = mount.0.join("journal.db").display().to_string();
    let other = mount.0.join("other");
    std::fs::write(&other, vec![0_u8; 128 * 1024]).expect("written");
    let note = format!("t: {}\n", "the level stands still ".repeat(400));
    let args = with_by(&["--journal", &journal, "--plain", "start", "no-swing"]);
    let said = rig.run_with(&args, &note.repeat(400));
    let said = complains(said, 4, &["full", "not recorded", "on paper"]);
    let saved = said.out.matches("Saved: ").count();
    assert!(saved > 5, "only {saved} notes went in");

    // Writing it out leaves a line in the journal too, so some space is freed first, as was said.
    std::fs::remove_file(&other).expect("removed");
    let kept = rig
        .run(&["--journal", &journal, "journal", "export", "-"])
        .code(0);
    let notes = kept
        .out
        .lines()
        .filter(|line| line.contains("\"kind\":\"noted\""))
        .count();
    assert_eq!(notes, saved);
    fine(
        rig.run(&["--journal", &journal, "journal", "verify"])
            .code(0),
    );
}

/// A small file system of its own, gone with the test.
pub struct Mount(PathBuf);

impl Mount {
    /// One of that size; `None` where none can be mounted.
    pub fn new(size: &str) -> Option<Self> {
        let folder = tempfile::TempDir::new().ok()?.keep();
        let options = format!("size={size},mode=0700");
        let mut mount = Command::new("mount");
        mount
            .args(["-t", "tmpfs", "-o", &options, "tmpfs"])
            .arg(&folder);
        let done = mount.stderr(Stdio::null()).status();
        done.is_ok_and(|status| status.success())
            .then(|| Self(folder))
    }

    /// The folder on which it stands.
    pub fn folder(&self) -> &Path {
        &self.0
    }

    fn again(&self, how: &str) {
        let mut mount = Command::new("mount");
        mount.args(["-o", &format!("remount,{how}")]).arg(&self.0);
        assert!(mount.status().expect("mount runs").success());
    }
}

impl Drop for Mount {
    fn drop(&mut self) {
        drop(Command::new("umount").arg(&self.0).status());
        drop(std::fs::remove_dir(&self.0));
    }
}

/// What is written to may be full, too.
#[cfg(target_os = "linux")]
#[test]
fn an_output_that_takes_nothing() {
    let rig = Rig::new();
    rig.run(&with_by(&["drain", "new", "side=left"])).code(0);
    for args in [
        &["journal", "export", "-"][..],
        &["drain", "list"],
        &["find", "swing"],
    ] {
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("a device");
        let output = rig.command(args).stdout(full).output().expect("it runs");
        complains(said(&output), 4, &["No space left"]);
    }
    let full = rig.run(&["journal", "export", "/dev/full"]);
    complains(full, 4, &["/dev/full", "not there yet"]);
}
