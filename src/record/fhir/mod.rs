//! Walks and checklists in the form of HL7 FHIR R4 (4.0.1), and what finds no place there.
//!
//! A checklist becomes a `Questionnaire`, a walk a `QuestionnaireResponse`, each value of a reading an
//! `Observation`. They are exports to read
//! elsewhere: the journal stays the original, and nothing is read back from them. Every export comes
//! with its losses, a line each, because a format that holds less must not look as if it held all.
//!
//! No address of an organisation is made up: identifiers are `urn:uuid:` names worked out from the
//! fingerprint of the text or taken from the journal. No patient is named; the subject is a token.

mod observation;
mod questionnaire;
mod response;
mod ucum;

pub use observation::{Readings, observations};
pub use questionnaire::questionnaire;
pub use response::response;
pub use ucum::ucum;

use serde_json::{Value, json};

/// A code of a published terminology for steps with a tag; confirmed by whoever hands it in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// The tag.
    pub tag: String,
    /// The address that names the terminology.
    pub system: String,
    /// The code.
    pub code: String,
    /// Its words.
    pub display: String,
}

/// A resource, and everything that found no place in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Exported {
    /// The resource as JSON.
    pub resource: Value,
    /// The losses, a line each.
    pub losses: Vec<String>,
}

/// The `Questionnaire` of a checklist as its state of approval makes it: approved and in date it is
/// active and no longer experimental, and anything else stays the draft that it is made as.
#[must_use]
pub fn with_approval(mut exported: Exported, approval: &str) -> Exported {
    if approval.starts_with("approved")
        && let Value::Object(head) = &mut exported.resource
    {
        head.insert("status".to_owned(), json!("active"));
        head.insert("experimental".to_owned(), json!(false));
    }
    exported
}

/// The collection of several resources, with their losses under each other.
#[must_use]
pub fn bundle(parts: Vec<Exported>) -> Exported {
    let mut losses = Vec::new();
    let mut entries = Vec::new();
    for part in parts {
        losses.extend(part.losses);
        let own = &part.resource;
        // A response has one identifier, an observation a row of them.
        let names = [
            &own["url"],
            &own["identifier"]["value"],
            &own["identifier"][0]["value"],
        ];
        let full_url = names.iter().find_map(|name| name.as_str());
        entries.push(json!({"fullUrl": full_url, "resource": part.resource}));
    }
    Exported {
        resource: json!({"resourceType": "Bundle", "type": "collection", "entry": entries}),
        losses,
    }
}

/// A name for a text, from its fingerprint: a UUID of version 8 (RFC 9562, section 5.8) over the
/// first 16 bytes of the SHA-256.
fn name_of(fingerprint: &str) -> String {
    let digits: Vec<char> = fingerprint
        .chars()
        .filter(char::is_ascii_hexdigit)
        .chain(std::iter::repeat('0'))
        .take(32)
        .collect();
    let part = |from: usize, to: usize| digits[from..to].iter().collect::<String>();
    format!(
        "urn:uuid:{}-{}-8{}-8{}-{}",
        part(0, 8),
        part(8, 12),
        part(13, 16),
        part(17, 20),
        part(20, 32)
    )
}

/// A code of ours for words: small letters, digits and hyphens.
fn code_of(words: &str) -> String {
    let mut code = String::new();
    for letter in words.chars() {
        if letter.is_alphanumeric() {
            code.extend(letter.to_lowercase());
        } else if !code.is_empty() && !code.ends_with('-') {
            code.push('-');
        }
    }
    let code = code.trim_end_matches('-');
    if code.is_empty() { "other" } else { code }.to_owned()
}

/// Answers of a check and why something has no answer, in one small system of our own.
const ANSWERS: &str = "urn:uuid:5f1d6f0a-8a55-8d3c-8c8e-7a1e5d0c9b21";

fn coding(system: &str, code: &str, display: &str) -> Value {
    json!({"system": system, "code": code, "display": display})
}

/// A text that FHIR takes as a string: no control characters, and not empty.
fn string(text: &str) -> String {
    let clean: String = text
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect();
    let clean = clean.trim();
    if clean.is_empty() { "-" } else { clean }.to_owned()
}

#[cfg(test)]
pub(super) mod tests;
