//! The files of all checklists and of what they speak of: the shipped ones, and a unit's own.
//!
//! Nothing is read from disk here. The shipped files are inside the binary; a unit's files are
//! handed over as bytes.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use include_dir::{Dir, include_dir};
use sha2::{Digest, Sha256};

use super::packed::unpack;
use super::tree::Node;

static SHIPPED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/checklists");

/// The folder of the shipped files, as paths begin with it.
const SHIPPED_FOLDER: &str = "checklists/";
/// The unit's folder, as paths of its files begin with it.
const UNIT_FOLDER: &str = "local/";

/// The shipped files as the build script read them, by their path.
static PACKED: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/packed.rs"));

/// The tree of a shipped file, if these bytes are exactly those that were shipped under that path.
pub(in crate::checklist) fn shipped_tree(path: &str, bytes: &[u8]) -> Option<Node> {
    let shipped = SHIPPED.get_file(path.strip_prefix(SHIPPED_FOLDER)?)?;
    if shipped.contents() != bytes {
        return None;
    }
    let (_, packed) = PACKED.iter().find(|(name, _)| *name == path)?;
    unpack(packed)
}

/// A file as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFile {
    /// Where it stands, with `/` between folders.
    pub path: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// All the files that a library is made of.
///
/// The paths of shipped files begin with `checklists/`, those of the unit's files with `local/`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shelf {
    files: BTreeMap<String, Vec<u8>>,
    unit_folder: Option<String>,
    /// The day on which waivers are judged; without it none acts.
    day: Option<NaiveDate>,
    /// Whether a trial's own facts stand in the place of the unit's.
    trial: bool,
    /// Shipped lists that one of the unit's own took the place of.
    replaced: BTreeMap<String, Vec<u8>>,
}

/// What a file of the shelf is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::checklist) enum Role<'a> {
    Limits,
    Duties,
    LocalFacts,
    Local,
    /// The words of the lists; a unit's own adds to the shipped one.
    Glossary,
    /// A list, with its name.
    List(&'a str),
    /// The unit's changes to a shipped list, with that list's name.
    Adaptation(&'a str),
    /// A shipped list as it was when an adaptation of it was written, with its name.
    Base(&'a str),
    /// What the unit has waived.
    Waivers,
    /// A list by its place, but not by the end of its name.
    NotYaml,
    /// Kept for others.
    Other,
}

impl Shelf {
    /// The shipped files, as they are inside the binary.
    #[must_use]
    pub fn shipped() -> Self {
        let mut shelf = Self::default();
        shelf.embed(&SHIPPED);
        shelf
    }

    fn embed(&mut self, folder: &Dir<'_>) {
        for file in folder.files() {
            let path = file.path().to_string_lossy().replace('\\', "/");
            self.files
                .insert(format!("{SHIPPED_FOLDER}{path}"), file.contents().to_vec());
        }
        for inner in folder.dirs() {
            self.embed(inner);
        }
    }

    /// A shelf of exactly these files, with paths as [`Shelf::files`] gives them.
    #[must_use]
    pub fn from_files(files: impl IntoIterator<Item = SourceFile>) -> Self {
        let files = files
            .into_iter()
            .map(|file| (file.path, file.bytes))
            .collect();
        Self {
            files,
            ..Self::default()
        }
    }

    /// The same files, as they count on that day: a waiver acts to the end of its last day.
    #[must_use]
    pub const fn on(mut self, day: NaiveDate) -> Self {
        self.day = Some(day);
        self
    }

    /// The same files for a trial, whose own facts win over those that adaptations set.
    #[must_use]
    pub const fn for_trial(mut self) -> Self {
        self.trial = true;
        self
    }

    /// Whether it is for a trial.
    pub(in crate::checklist) const fn is_for_trial(&self) -> bool {
        self.trial
    }

    /// The day on which waivers are judged.
    pub(in crate::checklist) const fn day(&self) -> Option<NaiveDate> {
        self.day
    }

    /// The shipped list of that name, which one of the unit's own took the place of.
    pub(in crate::checklist) fn replaced(&self, name: &str) -> Option<&[u8]> {
        self.replaced.get(name).map(Vec::as_slice)
    }

    /// This shelf with a unit's own files on it. Their paths are relative to the unit's folder:
    /// `local.yaml`, `checklists/NAME.yaml`. A list of the unit's replaces a shipped one of its
    /// name. `folder` is the unit's folder as people know it, for messages.
    #[must_use]
    pub fn with_unit(mut self, folder: &str, files: impl IntoIterator<Item = SourceFile>) -> Self {
        for file in files {
            let path = file.path.replace('\\', "/");
            if let Role::List(name) = role(&format!("{UNIT_FOLDER}{path}")) {
                let shipped = self.files.remove(&format!("{SHIPPED_FOLDER}{name}.yaml"));
                if let Some(bytes) = shipped {
                    self.replaced.insert(name.to_owned(), bytes);
                }
            }
            self.files
                .insert(format!("{UNIT_FOLDER}{path}"), file.bytes);
        }
        self.unit_folder = Some(folder.trim_end_matches(['/', '\\']).to_owned());
        self
    }

    /// Every file, in the order of their paths.
    pub fn files(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files
            .iter()
            .map(|(path, bytes)| (path.as_str(), bytes.as_slice()))
    }

    /// The files that a library is made of, without what only explains or tries them.
    pub fn library_files(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files()
            .filter(|(path, _)| !matches!(role(path), Role::Other | Role::Base(_)))
    }

    /// The bytes of one file.
    #[must_use]
    pub fn file(&self, path: &str) -> Option<&[u8]> {
        self.files.get(path).map(Vec::as_slice)
    }

    /// Every file with its fingerprint, in the order of their paths.
    #[must_use]
    pub fn fingerprints(&self) -> Vec<(String, String)> {
        self.files
            .iter()
            .map(|(path, bytes)| (path.clone(), fingerprint(bytes)))
            .collect()
    }

    /// A path as people know it: the unit's files under the unit's own folder.
    pub(in crate::checklist) fn shown(&self, path: &str) -> String {
        match (&self.unit_folder, path.strip_prefix(UNIT_FOLDER)) {
            (Some(folder), Some(rest)) => format!("{folder}/{rest}"),
            _ => path.to_owned(),
        }
    }
}

/// SHA-256 of some bytes, as 64 small hexadecimal digits.
#[must_use]
pub fn fingerprint(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .fold(String::with_capacity(64), |mut digits, byte| {
            for half in [byte >> 4, byte & 15] {
                digits.push(char::from_digit(u32::from(half), 16).unwrap_or('0'));
            }
            digits
        })
}

/// Whether a file is the unit's own.
pub(in crate::checklist) fn is_units(path: &str) -> bool {
    path.starts_with(UNIT_FOLDER)
}

/// What a file is for, by its path.
pub(in crate::checklist) fn role(path: &str) -> Role<'_> {
    let (in_unit, rest) = match path.strip_prefix(UNIT_FOLDER) {
        Some("local.yaml") => return Role::Local,
        Some("waivers.yaml") => return Role::Waivers,
        Some(rest) => match rest.split_once('/') {
            Some(("checklists", rest)) => (true, rest),
            Some(("adaptations", rest)) => return adaptation(rest),
            _ => return Role::Other,
        },
        None => match path.strip_prefix(SHIPPED_FOLDER) {
            Some(rest) => (false, rest),
            None => return Role::Other,
        },
    };
    if rest.contains('/') || rest.starts_with('.') {
        return Role::Other;
    }
    match rest.rsplit_once('.') {
        Some(("limits", "yaml")) if !in_unit => Role::Limits,
        Some(("duties", "yaml")) if !in_unit => Role::Duties,
        Some(("local-facts", "yaml")) if !in_unit => Role::LocalFacts,
        Some(("glossary", "yaml")) => Role::Glossary,
        Some(("hazards" | "safeguards", "yaml")) => Role::Other,
        Some((stem, "yaml")) => Role::List(stem),
        Some((_, end)) if end.eq_ignore_ascii_case("yml") || end.eq_ignore_ascii_case("yaml") => {
            Role::NotYaml
        }
        _ => Role::Other,
    }
}

/// What a file in the folder of adaptations is for.
fn adaptation(path: &str) -> Role<'_> {
    let (is_base, name) = match path.strip_prefix("base/") {
        Some(name) => (true, name),
        None => (false, path),
    };
    if name.contains('/') || name.starts_with('.') {
        return Role::Other;
    }
    match name.rsplit_once('.') {
        Some((stem, "yaml")) if is_base => Role::Base(stem),
        Some((stem, "yaml")) => Role::Adaptation(stem),
        Some((_, end)) if end.eq_ignore_ascii_case("yml") || end.eq_ignore_ascii_case("yaml") => {
            Role::NotYaml
        }
        _ => Role::Other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(path: &str, text: &str) -> SourceFile {
        SourceFile {
            path: path.to_owned(),
            bytes: text.as_bytes().to_vec(),
        }
    }

    #[test]
    fn a_file_is_known_by_its_path() {
        for (path, wanted) in [
            ("checklists/no-swing.yaml", Role::List("no-swing")),
            ("checklists/limits.yaml", Role::Limits),
            ("checklists/duties.yaml", Role::Duties),
            ("checklists/local-facts.yaml", Role::LocalFacts),
            ("checklists/hazards.yaml", Role::Other),
            ("checklists/glossary.yaml", Role::Glossary),
            ("local/checklists/glossary.yaml", Role::Glossary),
            ("checklists/trials/one.yaml", Role::Other),
            ("checklists/LANGUAGE.md", Role::Other),
            ("checklists/no-swing.yml", Role::NotYaml),
            ("checklists/.no-swing.yaml", Role::Other),
            ("local/local.yaml", Role::Local),
            ("local/checklists/own.yaml", Role::List("own")),
            ("local/checklists/limits.yaml", Role::List("limits")),
            ("local/reports/templates/setup.md", Role::Other),
            ("local/waivers.yaml", Role::Waivers),
            (
                "local/adaptations/no-swing.yaml",
                Role::Adaptation("no-swing"),
            ),
            (
                "local/adaptations/base/no-swing.yaml",
                Role::Base("no-swing"),
            ),
            ("local/adaptations/no-swing.yml", Role::NotYaml),
            ("local/approvals.json", Role::Other),
            ("elsewhere.yaml", Role::Other),
        ] {
            assert_eq!(role(path), wanted, "{path}");
        }
    }

    #[test]
    fn a_units_list_replaces_the_shipped_one() {
        let shelf = Shelf::from_files([
            file("checklists/a.yaml", "1"),
            file("checklists/b.yaml", "2"),
        ])
        .with_unit(
            "ward-nine/",
            [file("checklists/a.yaml", "3"), file("local.yaml", "4")],
        );
        let paths: Vec<_> = shelf.files().map(|(path, _)| path).collect();
        assert_eq!(
            paths,
            [
                "checklists/b.yaml",
                "local/checklists/a.yaml",
                "local/local.yaml"
            ]
        );
        assert_eq!(shelf.shown("local/local.yaml"), "ward-nine/local.yaml");
        let again = Shelf::from_files(shelf.files().map(|(path, bytes)| SourceFile {
            path: path.to_owned(),
            bytes: bytes.to_vec(),
        }));
        assert_eq!(again.fingerprints(), shelf.fingerprints());
    }

    #[test]
    fn the_fingerprint_is_sha_256() {
        // FIPS 180-4 example of the one-block message "abc" (NIST, 2015; from memory).
        assert_eq!(
            fingerprint(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
