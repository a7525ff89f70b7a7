//! Adaptations: every mistake is told at its place, the shipped list may move on, and what must not
//! be changed is refused.

use std::path::{Path, PathBuf};

use tubeside::checklist::load::{Loaded, load, load_as_written, load_kept};
use tubeside::checklist::model::StepKind;
use tubeside::checklist::problem::{Problem, Severity};
use tubeside::checklist::shelf::{Shelf, SourceFile, fingerprint};

fn folder(inner: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/adaptations")
        .join(inner)
}

fn texts(inner: &str) -> Vec<(String, String)> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder(inner))
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    files
        .iter()
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy();
            let text = std::fs::read_to_string(path).expect("text");
            (name.into_owned(), text.replace("@HASH@", &hash()))
        })
        .collect()
}

const LIST: &str = "checklists/no-swing.yaml";

/// The shipped list.
fn shipped() -> String {
    let shelf = Shelf::shipped();
    String::from_utf8(shelf.file(LIST).expect("the list").to_vec()).expect("text")
}

fn hash() -> String {
    fingerprint(shipped().as_bytes())
}

fn file(path: &str, text: &str) -> SourceFile {
    SourceFile {
        path: path.to_owned(),
        bytes: text.as_bytes().to_vec(),
    }
}

fn adaptation(text: &str) -> SourceFile {
    file("adaptations/no-swing.yaml", text)
}

fn with(files: impl IntoIterator<Item = SourceFile>) -> Shelf {
    Shelf::shipped().with_unit("ward", files)
}

/// The shelf with another list in the place of the shipped one.
fn moved_on(list: &str, files: impl IntoIterator<Item = SourceFile>) -> Shelf {
    let shelf = Shelf::shipped();
    let others = shelf.files().map(|(path, bytes)| SourceFile {
        path: path.to_owned(),
        bytes: if path == LIST {
            list.as_bytes().to_vec()
        } else {
            bytes.to_vec()
        },
    });
    Shelf::from_files(others.collect::<Vec<_>>()).with_unit("ward", files)
}

/// The problems that are not there without the unit's files.
fn told(loaded: &Loaded) -> Vec<&Problem> {
    loaded
        .problems
        .iter()
        .filter(|problem| problem.severity() == Severity::Error || problem.file.starts_with("ward"))
        .collect()
}

fn codes(loaded: &Loaded) -> Vec<&'static str> {
    told(loaded)
        .iter()
        .map(|problem| problem.kind.code())
        .collect()
}

#[test]
fn every_mistake_is_told_where_it_stands_and_says_what_to_do() {
    let mut wrong = String::new();
    for (name, text) in texts("bad") {
        let wanted: Vec<&str> = text
            .lines()
            .filter_map(|line| line.strip_prefix("# problem: "))
            .collect();
        assert!(!wanted.is_empty(), "{name} says nothing");
        let loaded = load(&with([adaptation(&text)]));
        assert!(loaded.library.is_none(), "{name}");
        let found: Vec<String> = told(&loaded)
            .iter()
            .map(|problem| {
                assert_eq!(problem.file, "ward/adaptations/no-swing.yaml", "{name}");
                assert!(problem.help().is_some(), "{name}: {}", problem.line());
                let (code, at) = (problem.kind.code(), problem.place);
                format!("{code} {}:{}", at.line, at.column)
            })
            .collect();
        // A limit may break many lists; all of it is told at its change.
        let (mut found, mut wanted) = (found, wanted);
        found.dedup();
        wanted.dedup();
        if found != wanted {
            wrong.push_str(&format!("{name}: {found:?}\n"));
            for problem in told(&loaded) {
                wrong.push_str(&problem.drawn());
                wrong.push('\n');
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn the_result_is_the_shipped_list_with_the_changes() {
    let texts = texts("good");
    let loaded = load_as_written(&with([adaptation(&texts[0].1)]));
    assert_eq!(codes(&loaded), Vec::<&str>::new(), "{}", drawn(&loaded));
    let library = loaded.library.expect("a library");
    let list = library.list(library.find("no-swing").expect("the list"));
    assert_eq!(list.version, "1.0.0, adapted 1.0.0");
    assert_eq!(list.author.as_deref(), Some("AB, practice educator"));
    assert!(list.signs.iter().any(|sign| sign == "water does not move"));
    assert!(list.find("known").is_none() && list.find("holder").is_some());
    let shown = format!(
        "{:?}",
        list.step(list.find("straighten").expect("the step"))
    );
    assert!(shown.contains("laid in its holder"), "{shown}");
    let holder = list.find("holder").expect("the step");
    let straighten = list.step(list.find("straighten").expect("the step"));
    let ways = format!("{:?}", straighten.kind);
    assert!(ways.contains(&format!("{holder:?}")), "{ways}");
    let adapted = list.adapted.as_ref().expect("an adaptation");
    assert_eq!(adapted.reasons.len(), 5);
    let low = library
        .facts()
        .get("seal-low")
        .and_then(|fact| fact.value.clone());
    assert_eq!(low.expect("a value").to_string(), "2.5 cm");
    let pause = library
        .facts()
        .get("pause-length")
        .and_then(|fact| fact.value.clone());
    assert_eq!(pause.expect("a value").to_string(), "30 min");
    // A walk that began with it is brought back without the text that it was written over.
    let kept = with([adaptation(&texts[0].1)]);
    let files = kept.library_files().map(|(path, bytes)| SourceFile {
        path: path.to_owned(),
        bytes: bytes.to_vec(),
    });
    let again = load_kept(&Shelf::from_files(files.collect::<Vec<_>>()));
    let again = again.library.expect("a library");
    let again = again.list(again.find("no-swing").expect("the list"));
    assert_eq!(again.fingerprint, list.fingerprint);
}

fn drawn(loaded: &Loaded) -> String {
    told(loaded)
        .iter()
        .map(|problem| problem.drawn())
        .collect::<Vec<_>>()
        .join("\n")
}

const OVER: &str = "adapts: no-swing
base: 1.0.0
base_hash: @HASH@
version: 1.0.0
changes:
  - change: straighten
    because: Our words for it.
    set: {do: \"Straighten the tubing, lifting the loop to drain.\"}
  - remove: known
    because: Nobody writes it down.
    instead: call-now
  - change: air-entry
    because: Our words for it.
    set: {where: Both sides}
";

/// One change of the shipped list, with which changes of the adaptation still fit.
#[test]
fn when_the_shipped_list_moves_on_each_change_is_judged() {
    let text = OVER.replace("@HASH@", &hash());
    let kept = file("adaptations/base/no-swing.yaml", &shipped());
    let judge = |list: &str| {
        let loaded = load(&moved_on(list, [adaptation(&text), kept.clone()]));
        (codes(&loaded), drawn(&loaded))
    };
    // As it was.
    assert_eq!(judge(&shipped()).0, Vec::<&str>::new());
    // Another step: everything fits, and it is told that there is something to read.
    let elsewhere = shipped().replace("A forgotten clamp is", "A clamp that was forgotten is");
    let (codes, words) = judge(&elsewhere);
    assert_eq!(codes, ["base-moved"]);
    assert!(
        words.contains("3 of 3 changes still fit; other there now: open"),
        "{words}"
    );
    assert!(words.contains("tubeside local adapt no-swing"), "{words}");
    // Another key of the same step: fits.
    let same_step = shipped().replace(
        "record: Tubing straightened and any loop",
        "record: Tubing straightened and each loop",
    );
    assert_eq!(judge(&same_step).0, ["base-moved"]);
    // The very words.
    let same_words = shipped().replace("lifting any loop to drain.", "lifting loops to drain.");
    let (codes, words) = judge(&same_words);
    assert_eq!(codes, ["base-moved", "no-longer-fits"]);
    assert!(words.contains("2 of 3 changes still fit"), "{words}");
    let line = shipped()
        .lines()
        .position(|line| line.contains("lifting any loop"))
        .expect("the line")
        + 1;
    for place in [
        "ward/adaptations/base/no-swing.yaml",
        "checklists/no-swing.yaml",
    ] {
        assert!(words.contains(&format!("({place} line {line})")), "{words}");
    }
    assert!(words.contains("decide again"), "{words}");
    // A step that is taken out says something else now.
    let removed = shipped().replace("already know of the still level?", "know of it already?");
    assert_eq!(judge(&removed).0, ["base-moved", "no-longer-fits"]);
}

#[test]
fn only_a_shipped_list_can_be_adapted() {
    let text = OVER
        .replace("@HASH@", &hash())
        .replace("no-swing", "no-swinging");
    let loaded = load(&with([file("adaptations/no-swinging.yaml", &text)]));
    assert_eq!(codes(&loaded), ["adapts-no-list"]);
    assert!(
        drawn(&loaded).contains("perhaps: no-swing"),
        "{}",
        drawn(&loaded)
    );
}

#[test]
fn a_unit_cannot_have_a_whole_list_and_an_adaptation_of_it() {
    let text = OVER.replace("@HASH@", &hash());
    let loaded = load(&with([
        adaptation(&text),
        file("checklists/no-swing.yaml", &shipped()),
    ]));
    assert_eq!(codes(&loaded), ["two-versions"], "{}", drawn(&loaded));
}

#[test]
fn locked_words_hold_for_a_whole_list_of_the_units_own() {
    let own = shipped().replace(
        "do: Hold the tube where it lies.",
        "do: Press the tube back in.",
    );
    let loaded = load(&with([file("checklists/no-swing.yaml", &own)]));
    assert_eq!(codes(&loaded), ["locked-words"], "{}", drawn(&loaded));
    assert_eq!(told(&loaded)[0].file, "ward/checklists/no-swing.yaml");
    let same = load(&with([file("checklists/no-swing.yaml", &shipped())]));
    assert_eq!(codes(&same), Vec::<&str>::new(), "{}", drawn(&same));
}

const WAIVERS: &str = "waivers:
  - words: no-swing/tube-moved
    because: Agreed with the doctors of the ward.
    who: EF, ward manager
    until: 2026-06-30
  - limit: seal-low
    because: The scale of our drainage unit begins there.
    who: EF, ward manager
    until: 2026-06-30
";

#[test]
fn a_waiver_lets_through_what_it_names_until_its_day() {
    let bad = texts("bad");
    let find = |name: &str| {
        &bad.iter()
            .find(|(found, _)| found == name)
            .expect("a file")
            .1
    };
    let day = |text: &str| text.parse::<chrono::NaiveDate>().expect("a day");
    for name in ["locked-words", "acts-later"] {
        let shelf = with([adaptation(find(name)), file("waivers.yaml", WAIVERS)]);
        let acts = load_as_written(&shelf.clone().on(day("2026-06-30")));
        assert_eq!(codes(&acts), ["waived"], "{}", drawn(&acts));
        assert!(
            acts.library
                .is_some_and(|library| library.waivers().len() == 2)
        );
        // The day after: an error where lists are checked, no more than a warning at the bedside.
        let ended = shelf.clone().on(day("2026-07-01"));
        let checked = load_as_written(&ended);
        assert_eq!(codes(&checked), ["waiver-ended"]);
        assert!(checked.library.is_none());
        let bedside = load(&ended);
        assert_eq!(codes(&bedside), ["waiver-ended"]);
        assert!(bedside.library.is_some());
        assert!(
            drawn(&bedside).contains("ended on 2026-06-30"),
            "{}",
            drawn(&bedside)
        );
        // Without a day nothing is let through.
        assert!(load(&shelf).library.is_none());
    }
}

#[test]
fn a_waiver_names_one_thing_that_can_be_waived() {
    for (line, code) in [
        ("  - because: No.\n", "not-waivable"),
        ("  - words: tube-moved\n    because: No.\n", "not-waivable"),
        (
            "  - limit: seal-low\n    safeguard: x\n    because: No.\n",
            "not-together",
        ),
        ("  - limit: seal-low\n", "missing-key"),
    ] {
        let text = format!("waivers:\n{line}    who: EF, ward manager\n    until: 2026-06-30\n");
        let loaded = load(&with([file("waivers.yaml", &text)]));
        assert_eq!(codes(&loaded), [code], "{}", drawn(&loaded));
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(48))]

    /// Whatever becomes of the file, it is read or told; and what is let through keeps every step
    /// that is locked.
    #[test]
    fn a_good_adaptation_can_be_spoiled_in_any_way(
        edits in proptest::collection::vec((0_usize..40, 0_usize..40, 0_usize..4), 1..5),
    ) {
        let mut lines: Vec<String> = texts("good")[0].1.lines().map(str::to_owned).collect();
        for (from, to, what) in edits {
            let (from, to) = (from % lines.len(), to % lines.len());
            match what {
                0 if lines.len() > 1 => {
                    lines.remove(from);
                }
                1 => {
                    let line = lines[from].clone();
                    lines.insert(to, line);
                }
                2 => lines.swap(from, to),
                _ => lines[from] = format!("  {}", lines[from]),
            }
        }
        let loaded = load(&with([adaptation(&lines.join("\n"))]));
        let errors = loaded.errors().count();
        proptest::prop_assert_eq!(loaded.library.is_none(), errors > 0);
        if let Some(library) = loaded.library {
            let list = library.list(library.find("no-swing").expect("the list"));
            proptest::prop_assert!(list.find("tube-moved").is_some());
        }
    }
}

/// With more changes than are read it is told once, and takes no longer.
#[test]
fn very_many_changes_are_cut_short() {
    let many: String = (0..20_000)
        .map(|number| {
            format!(
                "  - change: open\n    because: No {number}.\n    set: {{why: The quickest cause.}}\n"
            )
        })
        .collect();
    let head = OVER
        .split("changes:")
        .next()
        .expect("a head")
        .replace("@HASH@", &hash());
    let begun = std::time::Instant::now();
    let loaded = load(&with([adaptation(&format!("{head}changes:\n{many}"))]));
    assert_eq!(codes(&loaded), ["too-many-changes"]);
    assert!(begun.elapsed().as_secs() < 60, "{:?}", begun.elapsed());
}

/// Words say a shipped value; another value is shown as its number, in answers too.
#[test]
fn a_limit_that_is_changed_loses_its_words() {
    let answers = |shelf: &Shelf| {
        let library = load(shelf).library.expect("a library");
        let list = library.list(library.find("nearly-full").expect("the list"));
        let step = list.step(list.find("how-full").expect("the step"));
        let StepKind::Ask { answers, .. } = &step.kind else {
            panic!("{step:?}");
        };
        let words = answers.iter().map(|answer| answer.words.clone());
        words.take(3).collect::<Vec<_>>()
    };
    let shipped = answers(&Shelf::shipped());
    let wanted = [
        "below two thirds",
        "two thirds up to three quarters",
        "three quarters or more",
    ];
    assert_eq!(shipped, wanted);
    let text = &texts("good")[0].1;
    let (head, _) = text.split_once("changes:\n").expect("changes");
    let changed = format!(
        "{head}changes:\n  - limit: change-plan\n    was: 66.6 %\n    to: 50 %\n    because: Changes take long here.\n"
    );
    let own = answers(&with([adaptation(&changed)]));
    assert_eq!(
        own,
        [
            "below 50%",
            "50% up to three quarters",
            "three quarters or more"
        ]
    );
}
