//! Documents that cannot go stale unseen: the README's examples run, the paths in DEVELOPERS.md are
//! there, help is compared word for word, and nothing claims what nobody may claim.

use std::fs;
use std::path::{Path, PathBuf};

use crate::rig::Rig;

fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn document(name: &str) -> String {
    fs::read_to_string(top().join(name)).unwrap_or_else(|why| panic!("{name}: {why}"))
}

/// The command lines of the fenced `console` examples, without the prompt and the remark after them.
fn examples(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut inside = false;
    for line in text.lines() {
        if line.starts_with("```") {
            inside = line == "```console";
        } else if let (true, Some(command)) = (inside, line.strip_prefix("$ ")) {
            let command = command.split("  #").next().unwrap_or(command);
            found.push(command.trim().to_owned());
        }
    }
    found
}

/// Splits a command line at its blanks, keeping what stands in double quotes together.
fn words(command: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for c in command.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => {
                if !word.is_empty() {
                    all.push(std::mem::take(&mut word));
                }
            }
            c => word.push(c),
        }
    }
    if !word.is_empty() {
        all.push(word);
    }
    all
}

/// Answers for the walks that the README begins, so that they come to an end here.
fn answers(list: &str) -> &'static str {
    match list {
        "prepare" => include_str!("../../checklists/demo/prepare.answers"),
        "no-swing" => "patient = none of these\nopen = y\ntrace = y\nwatch-own = y\nswings = y\n",
        _ => "",
    }
}

#[test]
fn the_examples_of_the_readme_run_in_their_order() {
    let rig = Rig::new();
    let by = ["--by", "AB, RN"];
    let mut ran = 0;
    for command in examples(&document("README.md")) {
        let words = words(&command);
        if words[0] != "tubeside" {
            assert!(["cargo", "git"].contains(&words[0].as_str()), "{command}");
            continue;
        }
        let mut args: Vec<&str> = words[1..].iter().map(String::as_str).collect();
        if !args.contains(&"--by") {
            args.extend(by);
        }
        let on_a_drain = args.contains(&"--drain");
        let input = args
            .get(1)
            .filter(|_| on_a_drain)
            .map_or("", |list| answers(list));
        let said = rig.run_with(&args, input);
        // Walks without answers on the input are paused; everything else must succeed.
        let pauses = ["start", "resume"].contains(&args[0]) && input.is_empty();
        let fits = if pauses {
            [0, 3].contains(&said.code)
        } else {
            said.code == 0
        };
        assert!(
            fits,
            "{command}: exit code {}\n{}\n{}",
            said.code, said.out, said.err
        );
        ran += 1;
    }
    assert!(ran >= 8, "only {ran} examples were found");
}

#[test]
fn the_readme_opens_with_the_job_and_names_the_two_commands() {
    let text = document("README.md");
    let first = text
        .lines()
        .find(|line| !line.is_empty() && !line.starts_with('#'))
        .expect("a line");
    assert!(first.contains("nurse"), "{first}");
    for command in ["cargo run --release -- demo", "cargo test"] {
        assert!(text.contains(&format!("$ {command}")), "{command}");
    }
    assert!(text.contains("never replaces local policy"));
}

/// Text in back quotes that looks like a path of this project.
fn paths(text: &str) -> Vec<String> {
    let quoted = text.split('`').skip(1).step_by(2);
    quoted
        .filter(|word| word.contains('/') && !word.contains([' ', '*', '<', '{']))
        .filter(|word| {
            ["src/", "tests/", "checklists/", "reports/", ".ci/"]
                .iter()
                .any(|top| word.starts_with(top))
        })
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_path_named_for_developers_is_there() {
    let all = paths(&document("DEVELOPERS.md"));
    assert!(all.len() > 10, "{all:?}");
    for path in all {
        assert!(top().join(path.trim_end_matches('/')).exists(), "{path}");
    }
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            files(&path, found);
        } else {
            found.push(path);
        }
    }
}

#[test]
fn nothing_claims_what_nobody_may_claim() {
    let claims = [
        "clinically validated",
        "fda approved",
        "fda-approved",
        "ce-marked",
        "ce marked",
        "is certified",
        "compliant with",
        "guaranteed safe",
        "guarantees safety",
        "fewer incidents",
        "not a medical device",
        "de-identified",
        "anonymised record",
        "anonymized record",
        "replaces local policy",
    ];
    let mut all = vec![top().join("README.md")];
    for folder in ["checklists", "reports/templates", "src"] {
        files(&top().join(folder), &mut all);
    }
    let mut read = 0;
    for path in all {
        let Ok(text) = fs::read_to_string(&path) else {
            continue;
        };
        read += 1;
        let text = text
            .to_lowercase()
            .replace("never replaces local policy", "");
        for claim in claims {
            assert!(!text.contains(claim), "{}: \"{claim}\"", path.display());
        }
    }
    assert!(read > 50, "{read}");
}

#[test]
fn help_reads_as_it_was_agreed() {
    let rig = Rig::new();
    let commands: &[&[&str]] = &[
        &[],
        &["start"],
        &["resume"],
        &["find"],
        &["drain"],
        &["drain", "new"],
        &["drain", "set"],
        &["note"],
        &["record"],
        &["local"],
        &["journal"],
        &["convert"],
        &["demo"],
    ];
    let mut text = String::new();
    for command in commands {
        let mut process = rig.command(&[command, &["--help"][..]].concat());
        let output = process
            .env("COLUMNS", "100")
            .output()
            .expect("the program ends");
        assert!(output.status.success(), "{command:?}");
        text.push_str(&format!(
            "== tubeside {}\n{}\n",
            command.join(" "),
            String::from_utf8_lossy(&output.stdout)
        ));
    }
    let file = top().join("tests/it/help.txt");
    if std::env::var_os("TUBESIDE_UPDATE").is_some() {
        fs::write(&file, &text).expect("written");
    }
    let agreed = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        agreed == text,
        "help differs from tests/it/help.txt; TUBESIDE_UPDATE=1 writes it anew\n{text}"
    );
}
