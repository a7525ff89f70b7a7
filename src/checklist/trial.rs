//! Trials: scripted walks with the ending and the calls they must reach.

use std::collections::BTreeMap;

use include_dir::{Dir, include_dir};
use serde::{Deserialize, Serialize};

use super::shelf::SourceFile;

static SHIPPED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/checklists/trials");

/// A scripted walk and what it must reach.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Trial {
    /// What it shows, in one line.
    pub trial: String,
    /// The published source of what it must reach, with how well it is known.
    pub source: String,
    /// The checklist it begins with.
    pub list: String,
    /// What is known of the drain, as on the command line.
    #[serde(default)]
    pub facts: BTreeMap<String, String>,
    /// Local facts that the unit is taken to have filled in; every other one is not filled in.
    #[serde(default)]
    pub local: BTreeMap<String, String>,
    /// The answers, one a line, as in a file of answers; "+5m" moves the clock. Closing texts are
    /// read without an answer.
    pub answers: Vec<String>,
    /// The outcome it must end with.
    pub ends: String,
    /// The levels of the calls made, in order; exactly these.
    #[serde(default)]
    pub calls: Vec<String>,
    /// Steps that must be answered, as `step` of the first list or `list/step`.
    #[serde(default)]
    pub passes: Vec<String>,
    /// Steps, as above, or tags that must not be met.
    #[serde(default)]
    pub never: Vec<String>,
}

impl Trial {
    /// The unit's file that gives the local facts of the trial.
    ///
    /// # Errors
    /// Words when it cannot be written, which no trial that was read brings about.
    pub fn local_file(&self) -> Result<SourceFile, String> {
        #[derive(serde::Serialize)]
        struct Local<'a> {
            unit: &'static str,
            zone: &'static str,
            #[serde(skip_serializing_if = "BTreeMap::is_empty")]
            facts: &'a BTreeMap<String, String>,
        }
        let local = Local {
            unit: "Trial",
            zone: "UTC",
            facts: &self.local,
        };
        let text = serde_yaml::to_string(&local).map_err(|why| why.to_string())?;
        Ok(SourceFile {
            path: "local.yaml".to_owned(),
            bytes: text.into_bytes(),
        })
    }
}

/// Reads the trial of a file, or several when the file holds a list of them.
///
/// # Errors
/// Words that say what is wrong and where.
pub fn read(file: &SourceFile) -> Result<Vec<Trial>, String> {
    let text =
        std::str::from_utf8(&file.bytes).map_err(|_| format!("{}: not UTF-8 text", file.path))?;
    let text = text.trim_start_matches('\u{feff}');
    let wrong = |why: serde_yaml::Error| format!("{}: {why}", file.path);
    match serde_yaml::from_str(text).map_err(wrong)? {
        serde_yaml::Value::Sequence(_) => serde_yaml::from_str(text).map_err(wrong),
        _ => serde_yaml::from_str(text)
            .map(|one| vec![one])
            .map_err(wrong),
    }
}

/// Writes a trial as its file.
///
/// # Errors
/// Words when it cannot be written as YAML.
pub fn write(trial: &Trial) -> Result<String, String> {
    serde_yaml::to_string(trial).map_err(|why| why.to_string())
}

/// The shipped trials, by name.
#[must_use]
pub fn shipped() -> Vec<SourceFile> {
    let mut files: Vec<SourceFile> = SHIPPED
        .files()
        .filter(|file| file.path().extension().is_some_and(|ext| ext == "yaml"))
        .map(|file| SourceFile {
            path: format!("trials/{}", file.path().display()),
            bytes: file.contents().to_vec(),
        })
        .collect();
    files.sort_by(|a, b| a.path.cmp(&b.path));
    files
}
