//! A list that was published changes only with its version. `checklists/published.txt` holds the
//! fingerprint of each list under the version it was published with.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use tubeside::checklist::load::load;
use tubeside::checklist::shelf::Shelf;

const PUBLISHED: &str = "checklists/published.txt";

/// One line a list: its name, its version, the SHA-256 of its file.
fn as_they_are() -> String {
    let library = load(&Shelf::shipped()).library.expect("a library");
    let mut lines = String::new();
    for (_, list) in library.lists() {
        let _never = writeln!(lines, "{} {} {}", list.name, list.version, list.fingerprint);
    }
    lines
}

/// Name to version and fingerprint.
fn read(lines: &str) -> BTreeMap<&str, (&str, &str)> {
    lines
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| {
            let mut words = line.split(' ');
            let mut word = || words.next().expect("name, version and fingerprint");
            (word(), (word(), word()))
        })
        .collect()
}

/// Which lists changed and kept their version, or are gone.
fn wrong(published: &str, now: &str) -> Vec<String> {
    let now = read(now);
    let changed = |name: &str, version: &str, print: &str| match now.get(name) {
        None => Some(format!("{name} is gone")),
        Some((same, other)) if *same == version && *other != print => {
            Some(format!("{name} changed and is still {version}"))
        }
        Some((other, _)) if number(other) < number(version) => {
            Some(format!("{name} went back from {version} to {other}"))
        }
        Some(_) => None,
    };
    read(published)
        .into_iter()
        .filter_map(|(name, (version, print))| changed(name, version, print))
        .collect()
}

fn number(version: &str) -> Vec<u32> {
    version
        .split('.')
        .map(|part| part.parse().expect("a number"))
        .collect()
}

/// With `TUBESIDE_PUBLISH` set, writes the file anew: for a release, and until the first one.
#[test]
fn a_published_list_changes_only_with_its_version() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(PUBLISHED);
    let now = as_they_are();
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    if std::env::var_os("TUBESIDE_PUBLISH").is_some() {
        let head: String = published
            .lines()
            .filter(|line| line.starts_with('#'))
            .fold(String::new(), |head, line| head + line + "\n");
        std::fs::write(&path, head + &now).expect("written");
        return;
    }
    assert!(read(&published).len() >= 39, "{PUBLISHED} is not whole");
    let wrong = wrong(&published, &now);
    assert!(
        wrong.is_empty(),
        "raise the version and say under change what changed: {wrong:?}"
    );
    let missing: Vec<&str> = read(&now)
        .into_keys()
        .filter(|name| !read(&published).contains_key(name))
        .collect();
    assert!(missing.is_empty(), "not in {PUBLISHED}: {missing:?}");
}

#[test]
fn a_change_without_a_version_is_told() {
    let published = "# head\na 1.0.0 aa\nb 1.0.9 bb\n";
    assert_eq!(wrong(published, "a 1.0.0 aa\nb 1.0.10 cc\n"), [""; 0]);
    assert_eq!(
        wrong(published, "a 1.0.0 ab\nb 1.0.9 bb\n"),
        ["a changed and is still 1.0.0"]
    );
    assert_eq!(
        wrong(published, "a 1.0.0 aa\nb 1.0.8 cc\n"),
        ["b went back from 1.0.9 to 1.0.8"]
    );
    assert_eq!(wrong(published, "a 1.0.0 aa\n"), ["b is gone"]);
}

/// The version that stands at the head of a list is the newest that `change` speaks of.
#[test]
fn the_newest_change_is_that_of_the_version() {
    let library = load(&Shelf::shipped()).library.expect("a library");
    for (_, list) in library.lists() {
        let newest = list.change.first().expect("a change");
        let said = newest.split(':').next().expect("a version");
        assert_eq!(said, list.version, "{}: {newest}", list.name);
    }
}
