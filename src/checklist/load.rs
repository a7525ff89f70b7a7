//! From the files of a shelf to a checked library, telling everything that is wrong at once.

use std::collections::HashMap;
use std::sync::Arc;

use super::adapt::Adaptation;
use super::adapt::allow::Allow;
use super::adapt::apply::{Lists, Opened};
use super::build;
use super::check::{All, check, wording};
use super::facts::Facts;
use super::glossary::Glossary;
use super::model::{Duty, Library, ListId, Waiver};
use super::nearest::nearest;
use super::open::{Reading, open_all};
use super::position::Positions;
use super::problem::{Kind, Place, Problem, Severity};
use super::raw::{Findings, RawDuties, RawList, Spot};
use super::read::{self, Local, Reader};
use super::shelf::{Role, Shelf, role};

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

/// Loads every file of a shelf, and applies every rule. Files exactly as they were shipped are not
/// read as YAML again.
#[must_use]
pub fn load(shelf: &Shelf) -> Loaded {
    read_all(shelf, Rules::All, Reading::Packed)
}

/// Loads every file of a shelf, and reads the shipped ones as YAML again: for whoever writes them,
/// because only then is looked for what reading cannot tell, such as a key that is there twice.
#[must_use]
pub fn load_as_written(shelf: &Shelf) -> Loaded {
    read_all(shelf, Rules::Strict, Reading::AsWritten)
}

/// Loads files that were good when a walk began with them. Rules about words are left out: one
/// that came later must not keep a walk from being brought back.
#[must_use]
pub fn load_kept(shelf: &Shelf) -> Loaded {
    read_all(shelf, Rules::Kept, Reading::Packed)
}

/// Which rules are applied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rules {
    /// Those that a list must keep to be walked at all.
    Kept,
    /// All.
    All,
    /// All, and what an ended waiver let through is an error.
    Strict,
}

fn read_all(shelf: &Shelf, rules: Rules, reading: Reading) -> Loaded {
    let files: Vec<_> = shelf.files().collect();
    let mut loading = Loading::default();
    let mut roots = Vec::with_capacity(files.len());
    for ((path, _), opened) in files.iter().zip(open_all(&files, reading)) {
        loading.files.push(File {
            name: shelf.shown(path),
            text: opened.text,
            problems: opened.problems,
        });
        roots.push(opened.root);
    }
    let mut findings = Findings::default();
    let read = {
        let opened: Vec<Opened<'_>> = files
            .iter()
            .zip(&loading.files)
            .zip(&roots)
            .map(|(((path, bytes), file), root)| Opened {
                path,
                name: &file.name,
                bytes,
                text: file.text.as_deref(),
                root: root.as_ref(),
            })
            .collect();
        read_opened(shelf, &opened, rules, &mut findings)
    };
    loading.findings = findings;
    finish(loading, read)
}

/// Reads what stands beside the lists, then the lists, then applies the rules.
fn read_opened(shelf: &Shelf, files: &[Opened<'_>], rules: Rules, findings: &mut Findings) -> Read {
    let mut beside = Beside::default();
    // Limits and definitions first: `local.yaml` gives values to what they define.
    for pass in [
        Role::Limits,
        Role::LocalFacts,
        Role::Duties,
        Role::Glossary,
        Role::Waivers,
    ] {
        beside.pass(files, pass, findings);
    }
    let adaptations = adaptations(files, findings);
    let allow = Allow {
        waivers: &beside.waivers,
        day: shelf.day(),
        strict: rules == Rules::Strict,
    };
    let allow = (rules != Rules::Kept).then_some(&allow);
    for one in &adaptations {
        let mut reader = Reader::new(one.at.file, findings);
        read::adapted_limits(&mut reader, one, &mut beside.facts, allow);
    }
    let mut facts = std::mem::take(&mut beside.facts);
    let local = local(files, &mut facts, findings);
    for one in &adaptations {
        let mut reader = Reader::new(one.at.file, findings);
        read::local_values(&mut reader, one, &mut facts, shelf.is_for_trial());
    }
    let reading = Lists {
        shelf,
        files,
        adaptations: &adaptations,
        allow,
    };
    let lists = reading.read(findings);
    let all = All::new(&lists, &facts, &beside.duties);
    check(&all, findings);
    if rules != Rules::Kept && !beside.glossary.is_empty() {
        wording::check(&all, &beside.glossary, findings);
        leads_somewhere(&all, &beside.glossary, findings);
    }
    drop(all);
    reading.blame(findings);
    Read {
        lists,
        facts,
        duties: beside.duties,
        glossary: beside.glossary,
        local,
        waivers: beside.waivers,
    }
}

/// What stands beside the lists.
#[derive(Default)]
struct Beside {
    facts: Facts,
    duties: RawDuties,
    glossary: Glossary,
    waivers: Vec<Waiver>,
}

impl Beside {
    /// Reads the files of one role.
    fn pass(&mut self, files: &[Opened<'_>], pass: Role<'_>, findings: &mut Findings) {
        for (file, opened) in files.iter().enumerate() {
            let Some(root) = opened.root.filter(|_| role(opened.path) == pass) else {
                continue;
            };
            let mut reader = Reader::new(file, findings);
            match pass {
                Role::Limits => read::limits(&mut reader, root, &mut self.facts),
                Role::LocalFacts => read::local_facts(&mut reader, root, &mut self.facts),
                Role::Duties => read::duties(&mut reader, root, &mut self.duties),
                Role::Glossary => read::glossary(&mut reader, root, &mut self.glossary),
                _ => self.waivers = read::waivers(&mut reader, root),
            }
        }
    }
}

/// The unit's own file.
fn local(files: &[Opened<'_>], facts: &mut Facts, findings: &mut Findings) -> Local {
    let mut local = Local::default();
    for (file, opened) in files.iter().enumerate() {
        if let (Role::Local, Some(root)) = (role(opened.path), opened.root) {
            local = read::local(&mut Reader::new(file, findings), root, facts);
        }
    }
    local
}

/// The adaptations that could be read.
fn adaptations(files: &[Opened<'_>], findings: &mut Findings) -> Vec<Adaptation> {
    let mut adaptations = Vec::new();
    for (file, opened) in files.iter().enumerate() {
        if let (Role::Adaptation(stem), Some(root)) = (role(opened.path), opened.root) {
            let mut reader = Reader::new(file, findings);
            adaptations.extend(read::adaptation(&mut reader, root, stem));
        }
    }
    adaptations
}

/// Every list to which a word of the glossary leads is there.
fn leads_somewhere(all: &All<'_>, glossary: &Glossary, out: &mut Findings) {
    for (at, name) in &glossary.leads {
        if !all.by_name.contains_key(name.as_str()) {
            let nearest = nearest(name, all.by_name.keys().copied());
            let name = name.clone();
            out.add(*at, Kind::UnknownList { name, nearest });
        }
    }
}

/// Everything that was read and may become a library.
struct Read {
    lists: Vec<RawList>,
    facts: Facts,
    duties: RawDuties,
    glossary: Glossary,
    local: Local,
    waivers: Vec<Waiver>,
}

fn finish(loading: Loading, read: Read) -> Loaded {
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
    let library = library(read);
    if library.is_none() {
        problems.push(Problem {
            file: String::new(),
            place: Place::BEGIN,
            kind: Kind::OurFault,
            text: None,
        });
    }
    Loaded { library, problems }
}

fn library(read: Read) -> Option<Library> {
    let Read {
        mut lists,
        facts,
        duties,
        glossary,
        local,
        waivers,
    } = read;
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
    let duties = duties
        .into_iter()
        .map(|(name, duty)| {
            let set = duty.within.as_ref().map(|period| facts.span(&period.is));
            let unset = || facts.span(&duty.while_unset.as_ref()?.is);
            let within = match set {
                Some(set) => Some(set.or_else(unset)?),
                None => None,
            };
            let (open, close) = (duty.open, duty.close);
            Some((
                name,
                Duty {
                    open,
                    close,
                    within,
                },
            ))
        })
        .collect::<Option<_>>()?;
    let built = lists
        .iter()
        .map(|list| build::checklist(list, &facts, &places))
        .collect::<Option<Vec<_>>>()?;
    Some(Library {
        lists: built,
        facts: facts.into_book(),
        duties,
        glossary,
        ladders: local.ladders,
        unit: local.unit,
        waivers,
    })
}

/// A file, and what is wrong with it by its text alone.
struct File {
    name: String,
    text: Option<Arc<str>>,
    problems: Vec<(Place, Kind)>,
}

/// The files as they came in, and what is wrong with them so far.
#[derive(Default)]
struct Loading {
    /// In the shelf's order.
    files: Vec<File>,
    findings: Findings,
}

impl Loading {
    /// Every problem with its place, in file order. Only now are places worked out.
    fn tell(mut self) -> Vec<Problem> {
        let mut by_file: Vec<Vec<(Spot, Kind)>> = self.files.iter().map(|_| Vec::new()).collect();
        for (spot, kind) in std::mem::take(&mut self.findings.found) {
            if let Some(found) = by_file.get_mut(spot.file) {
                found.push((spot, kind));
            }
        }
        let mut told = Vec::new();
        for (index, (file, found)) in self.files.into_iter().zip(by_file).enumerate() {
            let mut here = file.problems;
            if let (Some(text), false) = (&file.text, found.is_empty()) {
                let positions = Positions::of(text);
                here.extend(
                    found
                        .into_iter()
                        .map(|(spot, kind)| (positions.get(spot.node), kind)),
                );
            }
            here.sort_by_key(|(place, _)| (place.line, place.column));
            if let (left @ 1.., Some((place, _))) = (self.findings.left(index), here.last()) {
                here.push((*place, Kind::TooMany { left }));
            }
            told.extend(here.into_iter().map(|(place, kind)| Problem {
                file: file.name.clone(),
                place,
                kind,
                text: file.text.clone(),
            }));
        }
        told
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checklist::packed::{pack, unpack};
    use crate::checklist::shelf::shipped_tree;
    use crate::checklist::tree;

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
