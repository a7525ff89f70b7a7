//! Runs the real program in a fresh folder and looks at everything it says and leaves behind.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// A fresh home with nothing of the machine's own in it.
pub struct Rig {
    folder: TempDir,
    clock: Option<String>,
    local: Option<PathBuf>,
}

/// What a run of the program said.
#[derive(Debug)]
pub struct Said {
    /// The standard output.
    pub out: String,
    /// The standard error.
    pub err: String,
    /// The exit code.
    pub code: i32,
}

impl Said {
    /// Fails with everything said unless the exit code is this one.
    #[track_caller]
    pub fn code(self, code: i32) -> Self {
        assert_eq!(
            self.code, code,
            "stdout:\n{}\nstderr:\n{}",
            self.out, self.err
        );
        self
    }

    /// Fails with everything said unless the output holds this.
    #[track_caller]
    pub fn says(self, text: &str) -> Self {
        assert!(
            self.out.contains(text) || self.err.contains(text),
            "\"{text}\" is not in\nstdout:\n{}\nstderr:\n{}",
            self.out,
            self.err
        );
        self
    }
}

impl Rig {
    /// A rig whose clock starts at a fixed moment, as in a rehearsal.
    pub fn new() -> Self {
        Self {
            folder: TempDir::new().expect("a fresh folder"),
            clock: Some("2026-03-02T04:00:00Z".to_owned()),
            local: None,
        }
    }

    /// The same with the real clock.
    pub fn real_clock(mut self) -> Self {
        self.clock = None;
        self
    }

    /// The same with the clock at another moment.
    pub fn clock(&mut self, moment: &str) -> &mut Self {
        self.clock = Some(moment.to_owned());
        self
    }

    /// The same with the invented demonstration unit's folder.
    pub fn demo_unit(mut self) -> Self {
        self.local = Some(PathBuf::from(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/checklists/demo"
        )));
        self
    }

    /// The same with another ward's folder.
    pub fn local_folder(&mut self, folder: &Path) -> &mut Self {
        self.local = Some(folder.to_owned());
        self
    }

    /// A path in the fresh folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file in the fresh folder.
    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).expect("a folder");
        }
        std::fs::write(&path, text).expect("a file");
        path
    }

    /// Reads a file in the fresh folder.
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap_or_else(|why| panic!("{name}: {why}"))
    }

    /// The journal of this rig.
    pub fn journal(&self) -> PathBuf {
        self.path("data/journal.db")
    }

    /// The environment of a run, as pairs.
    pub fn environment(&self) -> Vec<(String, String)> {
        let mut pairs = vec![
            ("PATH".to_owned(), std::env::var("PATH").unwrap_or_default()),
            ("HOME".to_owned(), self.folder.path().display().to_string()),
            (
                "TUBESIDE_JOURNAL".to_owned(),
                self.journal().display().to_string(),
            ),
            ("TZ".to_owned(), "UTC".to_owned()),
            ("LANG".to_owned(), "C.UTF-8".to_owned()),
        ];
        if let Some(clock) = &self.clock {
            pairs.push(("TUBESIDE_CLOCK".to_owned(), clock.clone()));
        }
        if let Some(local) = &self.local {
            pairs.push(("TUBESIDE_LOCAL".to_owned(), local.display().to_string()));
        }
        pairs
    }

    /// The program with these arguments, not yet started.
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(binary());
        command
            .args(args)
            .env_clear()
            .envs(self.environment())
            .current_dir(self.folder.path());
        command
    }

    /// How many steps were answered, in whichever walk, as the journal tells.
    pub fn answered(&self) -> usize {
        let exported = self.run(&["journal", "export", "-"]).code(0);
        let is_answer = |line: &&str| line.contains("\"kind\":\"answered\"");
        exported.out.lines().filter(is_answer).count()
    }

    /// Runs the program with nothing on its input.
    pub fn run(&self, args: &[&str]) -> Said {
        self.run_with(args, "")
    }

    /// Runs the program with this on its input.
    pub fn run_with(&self, args: &[&str], input: &str) -> Said {
        let mut command = self.command(args);
        command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        let mut stdin = child.stdin.take().expect("an input");
        let input = input.as_bytes().to_owned();
        // Beside the reading, or both sides would wait for each other.
        let typist = std::thread::spawn(move || {
            // The program may end before it has read everything; that is for the test to judge.
            let _ = stdin.write_all(&input);
        });
        let output = child.wait_with_output().expect("the program ends");
        typist.join().expect("it has typed");
        said(&output)
    }
}

/// The program under test.
pub fn binary() -> &'static Path {
    Path::new(env!("CARGO_BIN_EXE_tubeside"))
}

/// What a finished run said.
pub fn said(output: &Output) -> Said {
    Said {
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
        code: output.status.code().unwrap_or(-1),
    }
}
