//! Points out free text that looks as if it named a person, before it is stored.

use crate::privacy;

/// Words for the person when the text looks as if it identified somebody; the text can be kept.
#[must_use]
pub fn doubt(text: &str) -> Option<String> {
    let hits = privacy::find(text);
    let first = hits.first()?;
    Some(format!(
        "This looks like {}: {}. Nothing that identifies a person belongs in the journal",
        first.kind,
        privacy::masked(text, &hits)
    ))
}

/// Points out beside the output what looks like a person's data; what was typed is kept all the same.
pub fn warn(text: &str) {
    if let Some(doubt) = doubt(text) {
        caution(&doubt);
    }
}

/// A warning beside the output.
#[expect(
    clippy::print_stderr,
    reason = "a warning beside the output, which stays clean for programs"
)]
pub fn caution(words: &str) {
    eprintln!("caution: {}", crate::clean::lines(words));
}
