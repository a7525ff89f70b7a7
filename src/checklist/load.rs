//! From the files of a shelf to a checked library, telling everything that is wrong at once.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

use super::check::{All, check};
use super::facts::Facts;
use super::model::{Library, ListId};
use super::position::Positions;
use super::problem::{Kind, Place, Problem, Severity, Slip, by_place};
use super::raw::{Findings, RawDuties, RawList, Spot};
use super::read::{self, Local, Reader};
use super::scan::{self, scan};
use super::shelf::{Role, Shelf, fingerprint, role, shipped_tree};
use super::tree::{self, Node};
use super::{build, slip};

/// The largest file that is read, in bytes: a thousand times the longest checklist there is.
const LARGEST: usize = 4 * 1024 * 1024;

/// At most so many hidden characters are told for one file.
const MOST_HIDDEN: usize = 20;

/// With more open brackets than this, a file that cannot be read anyway is not looked at twice.
const MOST_BRACKETS: usize = 100;

/// What loading gives.
#[derive(Debug)]
pub struct Loaded {
    /// The checked lists; only when no problem is an error.
    pub library: Option<Library>,
    /// Everything that is wrong with all the files, in the order of the files and their lines.
    pub problems: Vec<Problem>,
}

impl Loaded {
    /// The problems that keep the checklists from being used.
    pub fn errors(&self) -> impl Iterator<Item = &Problem> {
        self.problems
            .iter()
            .filter(|problem| problem.severity() == Severity::Error)
    }
}

/// Loads every file of a shelf. Files exactly as they were shipped are not read as YAML again.
#[must_use]
pub fn load(shelf: &Shelf) -> Loaded {
    load_from(shelf, Loading::default())
}

/// Loads every file of a shelf, and reads the shipped ones as YAML again: for whoever writes them,
/// because only then is looked for what reading cannot tell, such as a key that is there twice.
#[must_use]
pub fn load_as_written(shelf: &Shelf) -> Loaded {
    let loading = Loading {
        as_written: true,
        ..Loading::default()
    };
    load_from(shelf, loading)
}

fn load_from(shelf: &Shelf, mut loading: Loading) -> Loaded {
    let roots: Vec<_> = shelf
        .files()
        .map(|(path, bytes)| loading.open(shelf, path, bytes))
        .collect();
    let files: Vec<_> = shelf.files().collect();
    let mut facts = Facts::default();
    let mut duties = RawDuties::new();
    let mut local = Local::default();
    // Limits and definitions first: `local.yaml` gives values to what they define.
    for pass in [Role::Limits, Role::LocalFacts, Role::Duties, Role::Local] {
        for (file, ((path, _), root)) in files.iter().zip(&roots).enumerate() {
            let Some(root) = root.as_ref().filter(|_| role(path) == pass) else {
                continue;
            };
            let mut reader = Reader::new(file, &mut loading.findings);
            match pass {
                Role::Limits => read::limits(&mut reader, root, &mut facts),
                Role::LocalFacts => read::local_facts(&mut reader, root, &mut facts),
                Role::Duties => read::duties(&mut reader, root, &mut duties),
                _ => local = read::local(&mut reader, root, &mut facts),
            }
        }
    }
    let mut lists = Vec::new();
    for (file, ((path, bytes), root)) in files.iter().zip(roots).enumerate() {
        let (Role::List(stem), Some(root)) = (role(path), root) else {
            continue;
        };
        let mut reader = Reader::new(file, &mut loading.findings);
        lists.extend(read::list(&mut reader, &root, stem, fingerprint(bytes)));
    }
    let all = All::new(&lists, &facts, &duties);
    check(&all, &mut loading.findings);
    drop(all);
    finish(loading, lists, facts, duties, local)
}

fn finish(
    loading: Loading,
    lists: Vec<RawList>,
    facts: Facts,
    duties: RawDuties,
    local: Local,
) -> Loaded {
    let mut problems = loading.tell();
    if problems
        .iter()
        .any(|problem| problem.severity() == Severity::Error)
    {
        return Loaded {
            library: None,
            problems,
        };
    }
    let library = library(lists, facts, duties, local);
    if library.is_none() {
        let place = Place {
            line: 1,
            column: 1,
            length: 1,
        };
        problems.push(Problem {
            file: String::new(),
            place,
            kind: Kind::OurFault,
            text: None,
        });
    }
    Loaded { library, problems }
}

fn library(
    mut lists: Vec<RawList>,
    facts: Facts,
    duties: RawDuties,
    local: Local,
) -> Option<Library> {
    lists.sort_by(|a, b| a.stem.cmp(&b.stem));
    let places: HashMap<&str, ListId> = lists
        .iter()
        .enumerate()
        .filter_map(|(index, list)| {
            list.stem
                .as_ref()
                .map(|stem| (stem.as_str(), ListId(index)))
        })
        .collect();
    let built = lists
        .iter()
        .map(|list| build::checklist(list, &facts, &places))
        .collect::<Option<Vec<_>>>()?;
    Some(Library {
        lists: built,
        facts: facts.into_book(),
        duties,
        ladders: local.ladders,
        unit: local.unit,
    })
}

/// The files as they come in, and what is wrong with them so far.
#[derive(Default)]
struct Loading {
    /// The name and the text of each file, in the shelf's order.
    files: Vec<(String, Option<Arc<str>>)>,
    /// Problems with their place, by file.
    placed: Vec<(usize, Problem)>,
    findings: Findings,
    /// Whether shipped files are read as YAML too.
    as_written: bool,
}

impl Loading {
    /// Takes one file; gives its tree when it is YAML that is read here.
    fn open(&mut self, shelf: &Shelf, path: &str, bytes: &[u8]) -> Option<Node> {
        let file = self.files.len();
        self.files.push((shelf.shown(path), None));
        match role(path) {
            Role::Other => return None,
            Role::NotYaml => {
                self.whole(
                    file,
                    Kind::NotYamlName {
                        file: path.to_owned(),
                    },
                );
                return None;
            }
            _ => {}
        }
        if let Some(root) = self.packed(file, path, bytes) {
            return Some(root);
        }
        if bytes.len() > LARGEST {
            self.whole(
                file,
                Kind::TooBig {
                    bytes: bytes.len(),
                    most: LARGEST,
                },
            );
            return None;
        }
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => plain_lines(text),
            Err(error) => {
                self.not_utf8(file, bytes, error.valid_up_to());
                return None;
            }
        };
        let text: Arc<str> = text.into();
        self.files[file].1 = Some(text.clone());
        if self.hidden(file, &text) {
            return None;
        }
        self.parse(file, &text)
    }

    /// The tree of a file that is as it was shipped.
    fn packed(&mut self, file: usize, path: &str, bytes: &[u8]) -> Option<Node> {
        if self.as_written {
            return None;
        }
        let root = shipped_tree(path, bytes)?;
        self.files[file].1 = Some(std::str::from_utf8(bytes).ok()?.into());
        Some(root)
    }

    fn parse(&mut self, file: usize, text: &str) -> Option<Node> {
        let looked = scan(text);
        for (spot, kind) in looked.problems {
            self.place(file, spot, kind);
        }
        if let Some(spot) = looked.stopped {
            self.stopped(file, text, spot);
            return None;
        }
        if !looked.readable {
            return None;
        }
        match tree::parse(text) {
            Ok(root) => Some(root),
            Err(error) => {
                let (at, kind) = slip::of(&error, text);
                let (line, column) = at.unwrap_or((1, 1));
                self.place(
                    file,
                    scan::Spot {
                        line,
                        column,
                        length: 1,
                    },
                    Kind::Syntax(kind),
                );
                None
            }
        }
    }

    /// Tells why the first look stopped. Both readers must take a file, and the place that the
    /// second one gives is the better one.
    fn stopped(&mut self, file: usize, text: &str, spot: scan::Spot) {
        // The second reader takes very long over brackets in brackets.
        if slip::brackets_deep(text) > MOST_BRACKETS {
            let kind = Kind::TooDeep {
                most: scan::DEEPEST,
            };
            self.place(file, spot, kind);
            return;
        }
        let (at, kind) = match tree::parse(text) {
            Err(error) => slip::of(&error, text),
            Ok(_) => (None, Slip::Other),
        };
        let spot = at.map_or(spot, |(line, column)| scan::Spot {
            line,
            column,
            length: 1,
        });
        self.place(file, spot, Kind::Syntax(kind));
    }

    fn whole(&mut self, file: usize, kind: Kind) {
        self.place(
            file,
            scan::Spot {
                line: 1,
                column: 1,
                length: 1,
            },
            kind,
        );
    }

    fn place(&mut self, file: usize, spot: scan::Spot, kind: Kind) {
        let place = Place {
            line: spot.line,
            column: spot.column,
            length: spot.length,
        };
        let (name, text) = self.files.get(file).cloned().unwrap_or_default();
        self.placed.push((
            file,
            Problem {
                file: name,
                place,
                kind,
                text,
            },
        ));
    }

    fn not_utf8(&mut self, file: usize, bytes: &[u8], valid: usize) {
        let good = String::from_utf8_lossy(&bytes[..valid.min(bytes.len())]);
        let line = good.matches('\n').count() + 1;
        let column = good.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        self.files[file].1 = Some(plain_lines(&String::from_utf8_lossy(bytes)).into());
        self.place(
            file,
            scan::Spot {
                line,
                column,
                length: 1,
            },
            Kind::NotUtf8,
        );
    }

    /// Tells the characters that cannot be seen; `true` when there are any.
    fn hidden(&mut self, file: usize, text: &str) -> bool {
        let hides = |c: char| c != '\t' && c != '\n' && read::is_hidden(c);
        if text
            .bytes()
            .all(|b| (0x20..0x7f).contains(&b) || b == b'\n')
            || !text.contains(hides)
        {
            return false;
        }
        let mut left = MOST_HIDDEN;
        for (index, line) in text.split('\n').enumerate() {
            for (column, c) in line
                .chars()
                .enumerate()
                .filter(|(_, c)| hides(*c))
                .take(left)
            {
                left -= 1;
                let spot = scan::Spot {
                    line: index + 1,
                    column: column + 1,
                    length: 1,
                };
                self.place(file, spot, Kind::HiddenCharacter { code: u32::from(c) });
            }
        }
        true
    }

    /// Every problem with its place, in file order. Only now are places worked out.
    fn tell(mut self) -> Vec<Problem> {
        let mut by_file: Vec<Vec<(Spot, Kind)>> = self.files.iter().map(|_| Vec::new()).collect();
        for (spot, kind) in std::mem::take(&mut self.findings.found) {
            if let Some(found) = by_file.get_mut(spot.file) {
                found.push((spot, kind));
            }
        }
        let mut told = Vec::new();
        for (file, found) in by_file.into_iter().enumerate() {
            let mut here: Vec<Problem> = Vec::new();
            self.placed.retain(|(of, problem)| {
                if *of == file {
                    here.push(problem.clone());
                }
                *of != file
            });
            here.extend(self.at_nodes(file, found));
            here.sort_by(by_place);
            told.append(&mut here);
            let left = self.findings.left(file);
            if let (1.., Some(last)) = (left, told.last()) {
                let problem = Problem {
                    kind: Kind::TooMany { left },
                    ..last.clone()
                };
                told.push(problem);
            }
        }
        told
    }

    fn at_nodes(&self, file: usize, found: Vec<(Spot, Kind)>) -> Vec<Problem> {
        let Some((name, Some(text))) = self.files.get(file).filter(|_| !found.is_empty()) else {
            return Vec::new();
        };
        let positions = Positions::of(text);
        found
            .into_iter()
            .map(|(spot, kind)| {
                let at = positions.get(spot.node);
                let place = Place {
                    line: at.line,
                    column: at.column,
                    length: at.length,
                };
                Problem {
                    file: name.clone(),
                    place,
                    kind,
                    text: Some(text.clone()),
                }
            })
            .collect()
    }
}

/// The text without a byte order mark, every line ended by a line feed alone.
fn plain_lines(text: &str) -> Cow<'_, str> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.contains('\r') {
        Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n"))
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checklist::packed::{pack, unpack};

    #[test]
    fn every_shipped_file_is_packed_as_both_readers_read_it() {
        let shelf = Shelf::shipped();
        let as_written = load_as_written(&shelf);
        let told: Vec<String> = as_written.errors().map(Problem::drawn).collect();
        assert!(told.is_empty(), "{}", told.join("\n"));
        for (path, bytes) in shelf.library_files() {
            let read = tree::parse(std::str::from_utf8(bytes).unwrap()).unwrap();
            let packed =
                shipped_tree(path, bytes).unwrap_or_else(|| panic!("{path} is not packed"));
            assert_eq!(format!("{packed:?}"), format!("{read:?}"), "{path}");
        }
    }

    #[test]
    fn a_file_that_is_not_as_shipped_is_read_as_it_is() {
        let shelf = Shelf::shipped();
        let (path, bytes) = shelf.library_files().next().unwrap();
        let mut changed = bytes.to_vec();
        changed.push(b'\n');
        assert!(shipped_tree(path, bytes).is_some());
        assert!(shipped_tree(path, &changed).is_none());
        assert!(shipped_tree("local/checklists/own.yaml", bytes).is_none());
    }

    #[test]
    fn bytes_cut_short_or_too_long_are_no_tree() {
        let tree = tree::parse("a: [1, ~, true, {b: words}]").unwrap();
        let bytes = pack(&tree).unwrap();
        assert_eq!(
            format!("{:?}", unpack(&bytes).unwrap()),
            format!("{tree:?}")
        );
        for end in 0..bytes.len() {
            assert!(unpack(&bytes[..end]).is_none(), "{end}");
        }
        let longer = [bytes.as_slice(), &[0]].concat();
        assert!(unpack(&longer).is_none());
        assert!(unpack(&[LIST_OF_MANY, 255, 255, 255, 255]).is_none());
    }

    /// The mark of a list, whose length then promises more than there is.
    const LIST_OF_MANY: u8 = 5;
}
