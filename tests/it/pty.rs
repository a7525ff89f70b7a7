//! Drives a program on a pseudo-terminal and reads the screen that it draws. Every wait is
//! bounded, and says what was on the screen when it ran out.

use std::io::{Read, Write};
use std::num::NonZero;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// How long a wait may take. Generous, for a machine that is busy.
const PATIENCE: Duration = Duration::from_secs(20);
/// How often the screen is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(10);
/// The program does not take an answer that comes before a step can be read.
const READING_TIME: Duration = Duration::from_millis(150);

/// A program on a terminal of its own.
pub struct Terminal {
    parser: Arc<Mutex<vt100::Parser>>,
    raw: Arc<Mutex<Vec<u8>>>,
    writer: Box<dyn Write + Send>,
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
}

impl Terminal {
    /// Starts `program` with `args` on a terminal of that size. The environment holds only `env`
    /// and `TERM`, which `env` can set to something else.
    pub fn start(cols: u16, rows: u16, program: &str, args: &[&str], env: &[(&str, &str)]) -> Self {
        let size = PtySize {
            rows,
            cols,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).expect("a terminal");
        let mut command = CommandBuilder::new(program);
        command.env_clear();
        command.env("TERM", "xterm");
        for (name, value) in env {
            command.env(name, value);
        }
        command.args(args);
        command.cwd(std::env::temp_dir());
        let child = pair.slave.spawn_command(command).expect("it starts");
        let parser = Arc::new(Mutex::new(vt100::Parser::new(
            at_least_one(rows),
            at_least_one(cols),
            2000,
        )));
        let reader = pair.master.try_clone_reader().expect("its output");
        let raw = Arc::default();
        read_into(&parser, &raw, reader);
        Self {
            parser,
            raw,
            writer: pair.master.take_writer().expect("its keys"),
            child,
            master: pair.master,
        }
    }

    /// Presses keys, one character each, after the time it takes to read.
    pub fn send(&mut self, keys: &str) {
        std::thread::sleep(READING_TIME);
        self.send_at_once(keys);
    }

    /// Presses keys without any pause, as when a key is held down.
    pub fn send_at_once(&mut self, keys: &str) {
        self.writer.write_all(keys.as_bytes()).expect("keys go in");
        self.writer.flush().expect("keys go in");
    }

    /// Waits until the screen shows the text, and gives the whole screen.
    #[track_caller]
    pub fn wait_for(&self, text: &str) -> String {
        self.wait_until(text, |screen| screen.contains(text))
    }

    /// Waits until the screen is as wanted; `what` is named when it never is.
    #[track_caller]
    pub fn wait_until(&self, what: &str, wanted: impl Fn(&str) -> bool) -> String {
        let began = Instant::now();
        loop {
            let screen = self.screen();
            if wanted(&screen) {
                return screen;
            }
            assert!(
                began.elapsed() < PATIENCE,
                "\"{what}\" never came. The screen:\n{screen}"
            );
            std::thread::sleep(LOOK_EVERY);
        }
    }

    /// What the screen shows now.
    pub fn screen(&self) -> String {
        let parser = self.parser.lock().expect("the reader lives");
        parser.screen().contents()
    }

    /// Every byte that the program has sent.
    pub fn raw(&self) -> Vec<u8> {
        self.raw.lock().expect("the reader lives").clone()
    }

    /// True when something on the screen has a colour or a weight of its own.
    pub fn is_coloured(&self) -> bool {
        let parser = self.parser.lock().expect("the reader lives");
        let screen = parser.screen();
        let (rows, columns) = screen.size();
        (0..rows.get()).any(|row| {
            (0..columns.get()).any(|column| {
                screen.cell(row, column).is_some_and(|cell| {
                    cell.fgcolor() != vt100::Color::Default || cell.bold() || cell.dim()
                })
            })
        })
    }

    /// True when the program has hidden the cursor.
    pub fn cursor_is_hidden(&self) -> bool {
        let parser = self.parser.lock().expect("the reader lives");
        parser.screen().hide_cursor()
    }

    /// Makes the terminal another size.
    pub fn resize(&self, cols: u16, rows: u16) {
        let size = PtySize {
            rows,
            cols,
            pixel_width: 0,
            pixel_height: 0,
        };
        self.master.resize(size).expect("another size");
        let mut parser = self.parser.lock().expect("the reader lives");
        parser
            .screen_mut()
            .set_size(at_least_one(rows), at_least_one(cols));
    }

    /// Waits for the program to end and gives its exit code. A signal counts as failure with
    /// whatever code the system gives it.
    #[track_caller]
    pub fn exit_code(&mut self) -> u32 {
        let began = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("it can be asked") {
                return status.exit_code();
            }
            assert!(
                began.elapsed() < PATIENCE,
                "it never ended. The screen:\n{}",
                self.screen()
            );
            std::thread::sleep(LOOK_EVERY);
        }
    }

    /// Ends the program without asking it.
    pub fn kill(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.kill();
    }
}

fn at_least_one(count: u16) -> NonZero<u16> {
    NonZero::new(count).unwrap_or(NonZero::<u16>::MIN)
}

/// Reads beside the test until the program is gone.
fn read_into(
    parser: &Arc<Mutex<vt100::Parser>>,
    raw: &Arc<Mutex<Vec<u8>>>,
    mut reader: Box<dyn Read + Send>,
) {
    let (parser, raw) = (Arc::clone(parser), Arc::clone(raw));
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(read) = reader.read(&mut bytes) {
            if let Ok(mut raw) = raw.lock() {
                raw.extend(&bytes[..read]);
            }
            match parser.lock() {
                Ok(mut parser) if read > 0 => parser.process(&bytes[..read]),
                _ => return,
            }
        }
    });
}
