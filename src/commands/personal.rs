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
