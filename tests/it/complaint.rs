//! What every message for a person must hold, whatever went wrong.

use crate::rig::Said;

const BY: [&str; 2] = ["--by", "AB, RN"];

/// The exit code is this one and the messages say these things; whatever else: no panic.
#[track_caller]
pub fn complains(said: Said, code: i32, words: &[&str]) -> Said {
    let said = fine(said.code(code));
    assert!(!said.err.trim().is_empty(), "it says nothing: {}", said.out);
    words.iter().fold(said, |said, words| said.says(words))
}

/// No panic.
#[track_caller]
pub fn fine(said: Said) -> Said {
    let all = format!("{}{}", said.out, said.err);
    assert!(!all.contains("panicked"), "{all}");
    said
}

/// The arguments, with who writes.
pub fn with_by<'a>(args: &[&'a str]) -> Vec<&'a str> {
    args.iter().copied().chain(BY).collect()
}
