//! Codes of published terminologies for steps, from `codes.yaml`. Only confirmed ones are used.

use serde::Deserialize;

use crate::names::Tag;

/// The shipped file.
const SHIPPED: &str = include_str!("../../reports/codes.yaml");

/// A code that was confirmed on its publisher's own page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// The tag of the steps it stands for.
    pub tag: Tag,
    /// The address that names the terminology.
    pub system: String,
    /// The code.
    pub code: String,
    /// Its words.
    pub display: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    codes: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    tag: String,
    system: String,
    code: String,
    display: String,
    confirmed: bool,
    source: String,
    #[serde(default)]
    date: Option<String>,
}

/// The confirmed codes of the shipped file.
///
/// # Errors
/// As [`read`]; a test shows that there is none.
pub fn shipped() -> Result<Vec<Code>, String> {
    read(SHIPPED)
}

/// The confirmed codes of a text.
///
/// # Errors
/// What is wrong with it, in words.
pub fn read(text: &str) -> Result<Vec<Code>, String> {
    let file: File = serde_yaml::from_str(text).map_err(|why| format!("codes.yaml: {why}"))?;
    let mut codes = Vec::new();
    for row in file.codes {
        if !row.confirmed {
            continue;
        }
        if row.source.trim().is_empty() || row.date.as_deref().unwrap_or("").trim().is_empty() {
            return Err(format!(
                "codes.yaml: {} is confirmed without a source or a date",
                row.code
            ));
        }
        codes.push(Code {
            tag: Tag::new(&row.tag).map_err(|bad| format!("codes.yaml: {bad}"))?,
            system: row.system,
            code: row.code,
            display: row.display,
        });
    }
    Ok(codes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_confirmed_codes_come_out() {
        let codes = shipped().expect("fit");
        // Nobody has read the publishers' own pages for the shipped ones yet.
        assert!(codes.is_empty(), "{codes:?}");
        let row = "codes:\n  - {tag: a, system: s, code: '1', display: d, confirmed: true, source: x, date: 2026-03-01}\n";
        assert_eq!(read(row).expect("fit").len(), 1);
    }

    #[test]
    fn a_confirmed_code_needs_its_source_and_date() {
        let row =
            "codes:\n  - {tag: a, system: s, code: '1', display: d, confirmed: true, source: x}\n";
        let error = read(row).expect_err("no date");
        assert!(error.contains("without a source or a date"), "{error}");
        assert!(read("codes:\n  - {tag: a}\n").is_err());
    }
}
