//! `demo`: an invented shift, played through the same commands as a real one, as a rehearsal.

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::{Cli, DemoArgs};
use crate::failure::{Failure, Kind};
use crate::files::{Readers, make_folder};
use crate::moment::{Clock, Zone};

use super::out;

/// The invented unit's own file.
const LOCAL: &str = include_str!("../../checklists/demo/local.yaml");

/// One scene of the shift: when, what was typed after `tubeside`, and the answers given.
struct Scene {
    told: &'static str,
    clock: &'static str,
    args: &'static [&'static str],
    answers: Option<(&'static str, &'static str)>,
    /// Whether the walk stops before its end on purpose.
    pauses: bool,
}

/// The shift. Nobody in it exists.
const SCENES: &[Scene] = &[
    Scene {
        told: "20:40 A drain is opened: bay 4, left side, an adult with air around the lung.",
        clock: "2026-03-02T20:40:00Z",
        args: &[
            "drain",
            "new",
            "--by",
            "AB, RN",
            "place=bay 4",
            "side=left",
            "population=adult",
            "breathing=own",
            "reason=air",
            "suction=none",
            "lung-removed=no",
            "size=24 Fr",
        ],
        answers: None,
        pauses: false,
    },
    Scene {
        told: "20:41 The drainage unit is prepared.",
        clock: "2026-03-02T20:41:00Z",
        args: &["start", "prepare", "--drain", "d1", "--by", "AB, RN"],
        answers: Some((
            "prepare.answers",
            include_str!("../../checklists/demo/prepare.answers"),
        )),
        pauses: false,
    },
    Scene {
        told: "21:05 The drain is connected and proved.",
        clock: "2026-03-02T21:05:00Z",
        args: &["start", "connect", "--drain", "d1", "--by", "AB, RN"],
        answers: Some((
            "connect.answers",
            include_str!("../../checklists/demo/connect.answers"),
        )),
        pauses: false,
    },
    Scene {
        told: "04:02 The level has stopped swinging; while it is looked at, the tube comes off, and the nurse is called away.",
        clock: "2026-03-03T04:02:00Z",
        args: &["start", "no-swing", "--drain", "d1", "--by", "CD, RN"],
        answers: Some((
            "fault.answers",
            include_str!("../../checklists/demo/fault.answers"),
        )),
        pauses: true,
    },
    Scene {
        told: "04:14 Another nurse goes on from the same place.",
        clock: "2026-03-03T04:14:00Z",
        args: &["resume", "w3", "--by", "EF, senior RN"],
        answers: Some((
            "resumed.answers",
            include_str!("../../checklists/demo/resumed.answers"),
        )),
        pauses: false,
    },
    Scene {
        told: "04:38 Something is added to the walk afterwards.",
        clock: "2026-03-03T04:38:00Z",
        args: &[
            "amend",
            "w3",
            "--addendum",
            "The end lay on a clean sheet.",
            "--why",
            "remembered afterwards",
            "--by",
            "CD, RN",
        ],
        answers: None,
        pauses: false,
    },
    Scene {
        told: "04:40 The setup record is written.",
        clock: "2026-03-03T04:40:00Z",
        args: &["record", "setup", "--drain", "d1", "--by", "EF, senior RN"],
        answers: None,
        pauses: false,
    },
    Scene {
        told: "04:41 The incident record is written.",
        clock: "2026-03-03T04:41:00Z",
        args: &[
            "record",
            "incident",
            "--drain",
            "d1",
            "--by",
            "EF, senior RN",
        ],
        answers: None,
        pauses: false,
    },
    Scene {
        told: "07:05 The day shift takes over.",
        clock: "2026-03-03T07:05:00Z",
        args: &[
            "handover",
            "d1",
            "--to",
            "GH, RN",
            "--read-back",
            "came off at 04:03, joined again, swinging; X-ray ordered",
            "--by",
            "EF, senior RN",
        ],
        answers: None,
        pauses: false,
    },
    Scene {
        told: "07:06 The handover record is written.",
        clock: "2026-03-03T07:06:00Z",
        args: &["record", "handover", "--drain", "d1", "--by", "GH, RN"],
        answers: None,
        pauses: false,
    },
    Scene {
        told: "07:07 The journal is checked.",
        clock: "2026-03-03T07:07:00Z",
        args: &["journal", "verify"],
        answers: None,
        pauses: false,
    },
];

/// Plays the shift in a fresh folder and prints the incident record.
///
/// # Errors
/// A failure when the folder is not fresh or a scene does not go as written.
pub fn run(args: &DemoArgs) -> Result<(), Failure> {
    let folder = fresh_folder(args.into.as_deref())?;
    write(&folder.join("local.yaml"), LOCAL)?;
    out::line("A REHEARSAL with an invented unit, drain and nurses. Nothing here happened.\n")?;
    for scene in SCENES {
        out::line(scene.told)?;
        play(&folder, scene)?;
    }
    out::line(&format!("\nEverything is in {}\n", folder.display()))?;
    let reports = folder.join("reports");
    let mut records: Vec<PathBuf> = fs::read_dir(&reports)
        .map_err(|why| Failure::unusable(format!("{}: {why}", reports.display())))?
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .collect();
    records.sort();
    for record in &records {
        out::line(&format!("record: {}", record.display()))?;
    }
    let incident = records
        .iter()
        .find(|path| path.to_string_lossy().contains("incident"));
    if let Some(path) = incident {
        let text = fs::read_to_string(path)
            .map_err(|why| Failure::unusable(format!("{}: {why}", path.display())))?;
        out::raw(&format!("\n{text}"))?;
    }
    Ok(())
}

/// Plays one scene with the command line that a person would have typed.
fn play(folder: &Path, scene: &Scene) -> Result<(), Failure> {
    let journal = folder.join("journal.db");
    let mut typed: Vec<String> = vec!["tubeside".to_owned()];
    typed.extend(scene.args.iter().map(|arg| (*arg).to_owned()));
    if let Some((name, answers)) = scene.answers {
        let file = folder.join(name);
        write(&file, answers)?;
        typed.extend(["--answers".to_owned(), file.display().to_string()]);
    }
    for (option, value) in [
        ("--local", folder.display().to_string()),
        ("--journal", journal.display().to_string()),
        ("--clock", scene.clock.to_owned()),
    ] {
        typed.extend([option.to_owned(), value]);
    }
    let mut cli = Cli::from_words(&typed)
        .map_err(|why| Failure::usage(format!("the demonstration cannot be read: {why}")))?;
    cli.common.quiet = true;
    match super::run(&cli) {
        Err(failure) if scene.pauses && failure.kind == Kind::Stopped => Ok(()),
        done => done,
    }
}

/// The folder that was named, which must be new or empty; or a new one.
fn fresh_folder(named: Option<&Path>) -> Result<PathBuf, Failure> {
    let folder = match named {
        Some(folder) => folder.to_owned(),
        None => {
            let now = Clock::computer(Zone::System).now().format("%Y%m%d-%H%M%S");
            std::env::temp_dir().join(format!("tubeside-demo-{now}-{}", std::process::id()))
        }
    };
    let occupied = fs::read_dir(&folder).is_ok_and(|mut entries| entries.next().is_some());
    if occupied || folder.is_file() {
        return Err(
            Failure::unusable(format!("{} is not a new folder", folder.display()))
                .hint("name one that is not there yet: tubeside demo --into DIR"),
        );
    }
    make_folder(&folder, Readers::Owner).map_err(|why| Failure::unusable(why.to_string()))?;
    Ok(folder)
}

fn write(path: &Path, text: &str) -> Result<(), Failure> {
    fs::write(path, text).map_err(|why| Failure::unusable(format!("{}: {why}", path.display())))
}
