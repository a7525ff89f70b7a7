//! Reads the lists of a shelf, those that are adapted with their changes, and judges the changes.

use crate::checklist::model::{Adapted, Waived};
use crate::checklist::nearest::nearest;
use crate::checklist::position::Positions;
use crate::checklist::problem::{Kind, Severity};
use crate::checklist::raw::{Findings, RawList, Spot};
use crate::checklist::read::{self, Reader};
use crate::checklist::shelf::{Role, Shelf, fingerprint, is_units, role, shipped_tree};
use crate::checklist::tree::{self, Node};
use crate::names::{ListName, StepName};

use super::allow::Allow;
use super::fits::{Moved, misfits, moved_steps};
use super::locked::touched;
use super::merge::merge;
use super::misfit::{Elsewhere, Misfit};
use super::{Adaptation, What, blame, text, value};

/// A file of the shelf with what was read of it.
pub(in crate::checklist) struct Opened<'a> {
    /// Its path on the shelf.
    pub(in crate::checklist) path: &'a str,
    /// Its path as people know it.
    pub(in crate::checklist) name: &'a str,
    /// Its bytes.
    pub(in crate::checklist) bytes: &'a [u8],
    /// Its text, if it is text.
    pub(in crate::checklist) text: Option<&'a str>,
    /// Its tree, if it could be read.
    pub(in crate::checklist) root: Option<&'a Node>,
}

/// What lists are read with.
pub(in crate::checklist) struct Lists<'a> {
    /// The shelf.
    pub(in crate::checklist) shelf: &'a Shelf,
    /// Every file of it, in its order.
    pub(in crate::checklist) files: &'a [Opened<'a>],
    /// The adaptations.
    pub(in crate::checklist) adaptations: &'a [Adaptation],
    /// What waivers let through; `None` where changes are no longer judged, as in a walk that
    /// began with them.
    pub(in crate::checklist) allow: Option<&'a Allow<'a>>,
}

impl Lists<'_> {
    /// Every list, adapted where there is an adaptation.
    pub(in crate::checklist) fn read(&self, out: &mut Findings) -> Vec<RawList> {
        let mut lists = Vec::new();
        for (file, opened) in self.files.iter().enumerate() {
            let (Role::List(stem), Some(root)) = (role(opened.path), opened.root) else {
                continue;
            };
            match self.adaptation_of(stem) {
                Some(adaptation) if !is_units(opened.path) => {
                    lists.extend(self.adapted(adaptation, file, root, out));
                }
                _ => {
                    let mut reader = Reader::new(file, out);
                    let hash = fingerprint(opened.bytes);
                    lists.extend(read::list(&mut reader, root, stem, hash));
                    self.judge_whole(file, stem, root, out);
                }
            }
        }
        for adaptation in self.adaptations {
            self.judge_target(adaptation, out);
        }
        lists
    }

    fn adaptation_of(&self, stem: &str) -> Option<&Adaptation> {
        self.adaptations
            .iter()
            .find(|adaptation| adaptation.adapts.is.as_str() == stem)
    }

    fn adapted(
        &self,
        adaptation: &Adaptation,
        base_file: usize,
        base: &Node,
        out: &mut Findings,
    ) -> Option<RawList> {
        let merged = merge(adaptation, base, base_file, out);
        let (base_opened, own) = (&self.files[base_file], self.files.get(adaptation.at.file)?);
        let hash = adapted_fingerprint(base_opened.bytes, own.bytes);
        let stem = adaptation.adapts.is.as_str();
        let mut reader = Reader::over(base_file, &merged.spots, out);
        let mut list = read::list(&mut reader, &merged.root, stem, hash)?;
        let base_version = value(base, "version").map_or_else(String::new, super::said);
        // The words of a version with an adaptation are made here and are no plain version.
        list.version = Some(super::adapted_version(&base_version, &adaptation.version));
        list.adapted = Some(Adapted {
            base: base_version,
            version: adaptation.version.clone(),
            changes_trials: adaptation.changes_trials.clone(),
            reasons: adaptation
                .changes
                .iter()
                .map(|change| (change.what.subject(), change.because.clone()))
                .collect(),
        });
        if let Some(allow) = self.allow {
            self.judge_base(adaptation, base_file, base, out);
            for touched in touched(base, &merged.root) {
                let at = spot_of(adaptation, &touched.step, &touched.key);
                judge_words(allow, adaptation.adapts.is.clone(), touched, at, out);
            }
        }
        Some(list)
    }

    /// A whole list of the unit's own keeps the locked words of the shipped one.
    fn judge_whole(&self, file: usize, stem: &str, root: &Node, out: &mut Findings) {
        let (Some(allow), Some(shipped)) = (self.allow, self.shelf.replaced(stem)) else {
            return;
        };
        let path = format!("checklists/{stem}.yaml");
        let tree = shipped_tree(&path, shipped)
            .or_else(|| tree::parse(std::str::from_utf8(shipped).ok()?).ok());
        let (Some(shipped), Ok(name)) = (tree, ListName::new(stem)) else {
            return;
        };
        for touched in touched(&shipped, root) {
            let step = super::step(root, &touched.step).map(|(key, _)| key);
            let node = step.map_or(root.id, |key| key.id);
            judge_words(allow, name.clone(), touched, Spot { file, node }, out);
        }
    }

    /// That there is a shipped list to adapt, and no other version of it.
    fn judge_target(&self, adaptation: &Adaptation, out: &mut Findings) {
        let name = adaptation.adapts.is.as_str();
        let mut shipped = Vec::new();
        for opened in self.files {
            match role(opened.path) {
                Role::List(stem) if is_units(opened.path) && stem == name => {
                    let name = name.to_owned();
                    let misfit = Misfit::TwoVersions { name };
                    return out.add(adaptation.adapts.at, Kind::adapt(misfit));
                }
                Role::List(stem) if !is_units(opened.path) => shipped.push(stem),
                _ => {}
            }
        }
        if !shipped.contains(&name) {
            let misfit = Misfit::NoSuchList {
                name: name.to_owned(),
                nearest: nearest(name, shipped),
            };
            out.add(adaptation.adapts.at, Kind::adapt(misfit));
        }
    }

    /// Three-way: what still fits when the shipped list has moved on.
    fn judge_base(
        &self,
        adaptation: &Adaptation,
        base_file: usize,
        base: &Node,
        out: &mut Findings,
    ) {
        let name = adaptation.adapts.is.to_string();
        let now_hash = fingerprint(self.files[base_file].bytes);
        if now_hash == adaptation.base_hash.is {
            return;
        }
        let version = value(base, "version").map_or_else(String::new, super::said);
        let kept = self.files.iter().position(|opened| {
            role(opened.path) == Role::Base(&name)
                && fingerprint(opened.bytes) == adaptation.base_hash.is
        });
        let kept = kept.and_then(|file| Some((file, self.files[file].root?)));
        let Some((then_file, then)) = kept else {
            let own = self.files[adaptation.at.file].name;
            let folder = own.rsplit_once('/').map_or("", |(folder, _)| folder);
            let misfit = Misfit::BaseNotKept {
                file: format!("{folder}/base/{name}.yaml"),
                list: name,
                version,
                hash: now_hash,
            };
            return out.add(adaptation.base_hash.at, Kind::adapt(misfit));
        };
        let found = misfits(
            adaptation,
            &Moved {
                then,
                now: base,
                then_at: &|node| self.elsewhere(then_file, node),
                now_at: &|node| self.elsewhere(base_file, node),
            },
        );
        let steps = adaptation
            .changes
            .iter()
            .filter(|one| one.what.step().is_some());
        let changes = steps.count();
        let misfit = Misfit::BaseMoved {
            list: name,
            from: adaptation.base.is.clone(),
            to: version,
            fits: changes.saturating_sub(found.len()),
            changes,
            moved: moved_steps(then, base),
        };
        out.add(adaptation.base.at, Kind::adapt(misfit));
        for (at, misfit) in found {
            out.add(at, Kind::adapt(misfit));
        }
    }

    /// Where a node stands, for messages about another file.
    fn elsewhere(&self, file: usize, node: &Node) -> Elsewhere {
        let opened = self.files.get(file);
        let positions = opened.and_then(|opened| opened.text).map(Positions::of);
        Elsewhere {
            file: opened.map_or_else(String::new, |opened| opened.name.to_owned()),
            line: positions.map_or(1, |positions| positions.get(node.id).line),
        }
    }

    /// Puts errors that stand in a shipped list at the change that caused them.
    pub(in crate::checklist) fn blame(&self, out: &mut Findings) {
        for (spot, kind) in std::mem::take(&mut out.found) {
            let (spot, kind) = self.blamed(spot, kind);
            if matches!(kind, Kind::UnusedSource { .. }) && self.is_adapted(spot.file) {
                continue;
            }
            out.found.push((spot, kind));
        }
    }

    /// The change of a limit or local fact whose name stands in that line; or any, without a line.
    fn number_change(&self, line: Option<&str>) -> Option<Spot> {
        let changes = self.adaptations.iter().flat_map(|one| &one.changes);
        let mut numbers = changes.filter(|change| change.what.step().is_none());
        let named =
            |change: &&super::Change| line.is_none_or(|line| line.contains(&change.what.subject()));
        numbers.find(named).map(|change| change.at)
    }

    fn is_adapted(&self, file: usize) -> bool {
        let opened = self.files.get(file);
        opened.is_some_and(|opened| match role(opened.path) {
            Role::List(stem) => !is_units(opened.path) && self.adaptation_of(stem).is_some(),
            _ => false,
        })
    }

    fn blamed(&self, spot: Spot, kind: Kind) -> (Spot, Kind) {
        let Some(opened) = self.files.get(spot.file) else {
            return (spot, kind);
        };
        let (Role::List(stem), false) = (role(opened.path), is_units(opened.path)) else {
            return (spot, kind);
        };
        if kind.severity() == Severity::Warning || self.adaptations.is_empty() {
            return (spot, kind);
        }
        let node = Node {
            id: spot.node,
            data: tree::Data::Empty,
        };
        let at = self.elsewhere(spot.file, &node);
        let mut lines = opened.text.unwrap_or_default().lines();
        let line = lines.nth(at.line.saturating_sub(1));
        let cause = match (self.adaptation_of(stem), opened.root) {
            (Some(adaptation), Some(root)) => self
                .number_change(line)
                .unwrap_or_else(|| blame::cause(adaptation, root, spot.node, &kind)),
            _ => match self
                .number_change(line)
                .or_else(|| self.number_change(None))
            {
                Some(change) => change,
                None => return (spot, kind),
            },
        };
        let inner = Box::new(kind);
        (cause, Kind::adapt(Misfit::InResult { inner, at }))
    }
}

/// The fingerprint of an adapted list: SHA-256 over the fingerprints of both files, a line each.
fn adapted_fingerprint(base: &[u8], own: &[u8]) -> String {
    let both = format!("{}\n{}\n", fingerprint(base), fingerprint(own));
    fingerprint(both.as_bytes())
}

/// Tells words that were changed though they are locked, unless they are waived.
fn judge_words(
    allow: &Allow<'_>,
    list: ListName,
    touched: super::locked::Touched,
    at: Spot,
    out: &mut Findings,
) {
    let Ok(step) = StepName::new(&touched.step) else {
        return;
    };
    let misfit = Misfit::LockedWords {
        list: list.to_string(),
        step: touched.step,
        tag: touched.tag,
        key: touched.key,
        was: touched.was,
        now: touched.now,
    };
    let told = allow.judge(&Waived::Words(list, step), misfit);
    out.add(at, Kind::adapt(told));
}

/// Where an adaptation changes a key of a step, or the step at all.
fn spot_of(adaptation: &Adaptation, step: &str, key: &str) -> Spot {
    let mut spot = adaptation.at;
    for change in &adaptation.changes {
        let Some(at) = change.what.step().filter(|at| at.is.as_str() == step) else {
            continue;
        };
        spot = at.at;
        if let What::Change { set, drop, .. } = &change.what {
            if let Some((node, _)) = set.iter().find(|(name, _)| text(name) == key) {
                return Spot {
                    file: adaptation.at.file,
                    node: node.id,
                };
            }
            if let Some(dropped) = drop.iter().find(|name| name.is == key) {
                return dropped.at;
            }
        }
    }
    spot
}
