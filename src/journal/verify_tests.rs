//! A journal of some hundred entries, changed in every way of one step: each is found, and placed.
//!
//! Tried in full: every byte of every text column of every row (its lowest bit turned round), every
//! number and truth value, every row taken out, every two neighbours changed round, a row put in
//! before every row. The rows before a change are held to be as they were, so the check is begun one
//! row before it; one change in 97 is also looked for from the first row on.

use super::behaviour::{Window, answered, at, begun, note, side};
use super::row::{NO_PREVIOUS, Row};
use super::store::{Which, rows};
use super::text_hash::TextHash;
use super::verify::{Check, Fault};
use super::{By, DrainId, Journal, WalkId, What};

/// How many entries the journal has.
const ENTRIES: usize = 240;

fn written() -> (Journal, Vec<Row>) {
    let mut journal = Journal::in_memory();
    let window = Window::of("AB");
    let drain = DrainId::new(at(0));
    let mut opened = window.entry(
        0,
        What::DrainOpened {
            facts: side("left"),
        },
    );
    opened.drain = Some(drain);
    journal.append(&opened).unwrap();
    let mut walk = WalkId::new(at(0));
    for minute in 1..i64::try_from(ENTRIES).unwrap() {
        let mut new = match minute % 40 {
            1 => {
                walk = WalkId::new(at(minute));
                window.on(minute, walk, begun())
            }
            9 => window.entry(
                minute,
                What::DrainNote {
                    text: "seen; größer".into(),
                },
            ),
            other if other % 3 == 0 => window.on(minute, walk, note("the level stands still")),
            _ => window.on(minute, walk, answered("tubing")),
        };
        new.drain = Some(drain);
        new.by = By::new(if minute % 2 == 0 { "AB" } else { "CD" }, "RN");
        journal.append(&new).unwrap();
    }
    let all = rows(journal.store.as_ref(), Which::After(0)).unwrap();
    assert_eq!(all.len(), ENTRIES);
    (journal, all)
}

/// What the check says of these rows, when those before them are as they were.
fn after(before: Option<&Row>, changed: &[Row]) -> Vec<Fault> {
    let mut check = Check::default();
    if let Some(before) = before {
        check.expected = before.seq;
        check.last_hash = Some(before.hash.clone());
    }
    for row in changed {
        check.row(Ok(row.clone()));
        if !check.faults.is_empty() {
            break;
        }
    }
    check.faults
}

/// Looks for a change of what stands at `place` (from 0) and the rows after it.
struct Trial<'a> {
    all: &'a [Row],
    tried: usize,
}

impl Trial<'_> {
    /// The rows `from..to` become `put`; the first fault must be at one of these places.
    #[track_caller]
    fn found(&mut self, from: usize, to: usize, put: &[Row], places: &[i64]) {
        self.tried += 1;
        let rest = &self.all[to..self.all.len().min(to + 2)];
        let changed = [put, rest].concat();
        let before = from.checked_sub(1).map(|before| &self.all[before]);
        let faults = after(before, &changed);
        let place = faults.first().and_then(|fault| fault.seq);
        assert!(
            place.is_some_and(|place| places.contains(&place)),
            "rows {from} to {to}: {faults:?}, not at {places:?}"
        );
        if self.tried.is_multiple_of(97) {
            let whole = [&self.all[..from], put, &self.all[to..]].concat();
            assert_eq!(after(None, &whole).first(), faults.first());
        }
    }
}

/// The text columns of a row, and whether each can be missing.
fn texts(row: &mut Row) -> Vec<&mut String> {
    let must = [
        &mut row.id,
        &mut row.session,
        &mut row.kind,
        &mut row.seen_at,
        &mut row.written_at,
        &mut row.initials,
        &mut row.role,
        &mut row.body,
        &mut row.hash,
    ];
    let may = [&mut row.drain, &mut row.walk, &mut row.state];
    must.into_iter().chain(may.into_iter().flatten()).collect()
}

/// The text with the lowest bit of one byte turned round; that keeps UTF-8 well formed.
fn turned(text: &str, byte: usize) -> String {
    let mut bytes = text.as_bytes().to_vec();
    bytes[byte] ^= 1;
    String::from_utf8(bytes).expect("UTF-8 stays UTF-8")
}

#[test]
fn every_byte_of_every_entry_is_watched_and_the_place_is_told() {
    let (_, all) = written();
    let mut trial = Trial {
        all: &all,
        tried: 0,
    };
    for (place, row) in all.iter().enumerate() {
        let mut changed = row.clone();
        let here = [row.seq];
        for column in 0..texts(&mut changed).len() {
            let kept = texts(&mut changed)[column].clone();
            for byte in 0..kept.len() {
                *texts(&mut changed)[column] = turned(&kept, byte);
                trial.found(place, place + 1, std::slice::from_ref(&changed), &here);
            }
            *texts(&mut changed)[column] = kept;
        }
        changed.rehearsal = !changed.rehearsal;
        trial.found(place, place + 1, std::slice::from_ref(&changed), &here);
        let mut moved = row.clone();
        moved.seq += 1000;
        trial.found(place, place + 1, std::slice::from_ref(&moved), &[moved.seq]);
    }
    assert!(trial.tried > 300 * ENTRIES, "{}", trial.tried);
}

#[test]
fn every_row_taken_out_put_in_or_changed_round_is_placed() {
    let (_, all) = written();
    let mut trial = Trial {
        all: &all,
        tried: 0,
    };
    for place in 0..all.len() {
        let (here, last) = (all[place].seq, place + 1 == all.len());
        if !last {
            trial.found(place, place + 1, &[], &[here + 1]);
            let next = place + 2;
            let round = [all[place + 1].clone(), all[place].clone()];
            trial.found(place, next, &round, &[here, here + 1]);
            // The contents changed round, each with the place of the other.
            let mut round = round;
            (round[0].seq, round[1].seq) = (here, here + 1);
            trial.found(place, next, &round, &[here]);
        }
        // A row from elsewhere, and a forged one with a hash of its own that fits.
        let mut copy = all[(place + 31) % all.len()].clone();
        copy.seq = here;
        let one = [copy.clone(), all[place].clone()];
        trial.found(place, place + 1, &one, &[here]);
        let before = place.checked_sub(1).map(|before| all[before].hash.as_str());
        copy.hash = copy.hash_after(before.unwrap_or(NO_PREVIOUS)).to_string();
        let one = [copy, all[place].clone()];
        trial.found(place, place + 1, &one, &[here]);
    }
    assert!(trial.tried > 4 * ENTRIES);
}

/// What stands at the end has nothing after it that shows it was cut off: only the hash that a
/// record ends with.
#[test]
fn rows_cut_off_at_the_end_show_only_in_the_last_hash() {
    let (_, all) = written();
    let whole = after(None, &all);
    let cut = after(None, &all[..all.len() - 1]);
    assert_eq!((whole.len(), cut.len()), (0, 0));
    assert_ne!(all[all.len() - 1].hash, all[all.len() - 2].hash);
}

/// The `prev` at the end of a line.
fn prev_of(line: &str) -> &str {
    let from = line.len().saturating_sub("\"}".len() + 64);
    line.get(from..line.len().saturating_sub(2)).unwrap_or("")
}

/// The first line whose hash is not the `prev` of the next: what `sha256sum` shows by hand.
fn broken(lines: &[&str], last: &str) -> Option<usize> {
    let hashes = lines
        .iter()
        .map(|line| TextHash::of(format!("{line}\n").as_bytes()));
    let next = lines.iter().skip(1).map(|line| prev_of(line)).chain([last]);
    hashes
        .zip(next)
        .position(|(hash, prev)| hash.as_str() != prev)
}

#[test]
fn every_byte_of_every_exported_line_is_in_the_chain() {
    let (journal, _) = written();
    let mut out = Vec::new();
    let last = journal.export(&mut out).unwrap().last_hash.unwrap();
    let text = String::from_utf8(out).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(broken(&lines, &last), None);
    assert!(prev_of(lines[0]).bytes().all(|digit| digit == b'0'));
    for (place, line) in lines.iter().enumerate() {
        let next = lines
            .get(place + 1)
            .map_or(last.as_str(), |next| prev_of(next));
        for byte in 0..line.len() {
            let changed = turned(line, byte);
            assert_eq!(
                broken(&[changed.as_str()], next),
                Some(0),
                "line {place} byte {byte}"
            );
        }
        let without = [&lines[..place], &lines[place + 1..]].concat();
        // Without the first line, the next does not begin with zeros.
        let told =
            broken(&without, &last).or_else(|| (prev_of(without[0]) != NO_PREVIOUS).then_some(0));
        assert_eq!(
            told,
            Some(place.saturating_sub(1)),
            "line {place} taken out"
        );
        let twice = [&lines[..=place], &lines[place..]].concat();
        assert_eq!(broken(&twice, &last), Some(place), "line {place} twice");
    }
}
