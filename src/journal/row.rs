//! One row of the journal as it is kept, and the line whose hash chains it to the row before.
//!
//! **The line.** Every row has one line of JSON, the same that the export writes. It holds every
//! column, in this order, without spaces, and at the end the hash of the row before:
//!
//! ```json
//! {"seq":2,"id":"…","drain":"…","walk":null,"session":"…","kind":"drain-note","state":null,"seen_at":"2026-03-01T04:10:00+00:00","written_at":"2026-03-01T04:12:00+00:00","by":{"initials":"AB","role":"RN"},"rehearsal":false,"body":{"text":"…"},"prev":"…"}
//! ```
//!
//! - The text is UTF-8. In strings only `"`, `\` and the characters below U+0020 are escaped, as
//!   `\"`, `\\`, `\b`, `\f`, `\n`, `\r`, `\t` or `\u` with four small hexadecimal digits.
//! - `body` is the column as it stands: one JSON object on one line.
//! - `prev` of the first row is 64 zeros.
//!
//! **The hash** of a row is SHA-256 over its line and the line feed that ends it. So a person can
//! check an export with standard tools: `sed -n 5p export.jsonl | sha256sum` prints the `prev` of
//! line 6, and for the last line the hash that stands at the end of a record.

use std::borrow::Cow;

use super::entry::{By, Entry, WalkState};
use super::error::JournalError;
use super::event;
use super::ids::{DrainId, EntryId, NotAnId, SessionId, WalkId};
use super::moment_text;
use super::store::Slim;
use super::text_hash::TextHash;

/// The hash before the first row.
pub(super) const NO_PREVIOUS: &str =
    "0000000000000000000000000000000000000000000000000000000000000000";

/// The columns of a row, as they are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// 1, 2, 3 and so on.
    pub seq: i64,
    /// The entry's identifier.
    pub id: String,
    /// The drain.
    pub drain: Option<String>,
    /// The walk.
    pub walk: Option<String>,
    /// The session that wrote it.
    pub session: String,
    /// The kind of entry.
    pub kind: String,
    /// Where the walk stands; only in rows that move it.
    pub state: Option<String>,
    /// RFC 3339.
    pub seen_at: String,
    /// RFC 3339.
    pub written_at: String,
    /// Initials of the writer.
    pub initials: String,
    /// Role of the writer.
    pub role: String,
    /// Whether it belongs to a rehearsal.
    pub rehearsal: bool,
    /// One JSON object on one line.
    pub body: String,
    /// SHA-256 of the line.
    pub hash: String,
}

impl Row {
    /// What the chart needs of it.
    pub(super) fn slim(&self) -> Slim<'_> {
        Slim {
            seq: self.seq,
            kind: &self.kind,
            seen_at: &self.seen_at,
            written_at: &self.written_at,
            initials: &self.initials,
            role: &self.role,
            body: &self.body,
        }
    }

    /// The line of this row after a row with the hash `prev`, without the line feed.
    #[must_use]
    pub fn line(&self, prev: &str) -> String {
        let optional = |text: &Option<String>| {
            text.as_deref()
                .map_or(Cow::Borrowed("null"), |text| Cow::Owned(quoted(text)))
        };
        format!(
            "{{\"seq\":{},\"id\":{},\"drain\":{},\"walk\":{},\"session\":{},\"kind\":{},\
             \"state\":{},\"seen_at\":{},\"written_at\":{},\
             \"by\":{{\"initials\":{},\"role\":{}}},\"rehearsal\":{},\"body\":{},\"prev\":{}}}",
            self.seq,
            quoted(&self.id),
            optional(&self.drain),
            optional(&self.walk),
            quoted(&self.session),
            quoted(&self.kind),
            optional(&self.state),
            quoted(&self.seen_at),
            quoted(&self.written_at),
            quoted(&self.initials),
            quoted(&self.role),
            self.rehearsal,
            self.body,
            quoted(prev),
        )
    }

    /// The hash that this row must have after a row with the hash `prev`.
    #[must_use]
    pub fn hash_after(&self, prev: &str) -> TextHash {
        let mut line = self.line(prev);
        line.push('\n');
        TextHash::of(line.as_bytes())
    }

    /// The entry that this row holds.
    ///
    /// # Errors
    /// [`JournalError::BadRow`] when a column other than the body cannot be read.
    pub fn entry(&self) -> Result<Entry, JournalError> {
        self.clone().into_entry()
    }

    /// The entry that this row holds; its words are moved there.
    ///
    /// # Errors
    /// As [`Row::entry`].
    pub fn into_entry(self) -> Result<Entry, JournalError> {
        let seq = self.seq;
        self.read_entry()
            .map_err(|why| JournalError::BadRow { seq, why })
    }

    fn read_entry(self) -> Result<Entry, String> {
        Ok(Entry {
            seq: self.seq,
            id: EntryId::parse(&self.id).map_err(not_an_id)?,
            drain: self.drain_id()?,
            walk: self.walk_id()?,
            state: self.walk_state()?,
            session: SessionId::parse(&self.session).map_err(not_an_id)?,
            seen: moment_text::read(&self.seen_at)?,
            written: moment_text::read(&self.written_at)?,
            by: By {
                initials: self.initials,
                role: self.role,
            },
            rehearsal: self.rehearsal,
            what: event::read(&self.kind, &self.body),
            body: self.body,
            hash: self.hash,
        })
    }

    fn drain_id(&self) -> Result<Option<DrainId>, String> {
        let text = self.drain.as_deref();
        text.map(DrainId::parse).transpose().map_err(not_an_id)
    }

    fn walk_id(&self) -> Result<Option<WalkId>, String> {
        let text = self.walk.as_deref();
        text.map(WalkId::parse).transpose().map_err(not_an_id)
    }

    fn walk_state(&self) -> Result<Option<WalkState>, String> {
        let read = |word: &str| {
            WalkState::parse(word).ok_or_else(|| format!("state \"{word}\" is not known"))
        };
        self.state.as_deref().map(read).transpose()
    }
}

fn not_an_id(bad: NotAnId) -> String {
    bad.to_string()
}

/// A JSON string. Most have nothing to escape, and a journal of years has millions.
fn quoted(text: &str) -> String {
    let plain = |byte: u8| byte >= 0x20 && byte != b'"' && byte != b'\\';
    match text.bytes().all(plain) {
        true => ["\"", text, "\""].concat(),
        false => serde_json::Value::from(text).to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row() -> Row {
        Row {
            seq: 2,
            id: "i".into(),
            drain: Some("d".into()),
            walk: None,
            session: "s".into(),
            kind: "drain-note".into(),
            state: None,
            seen_at: "2026-03-01T04:10:00+00:00".into(),
            written_at: "2026-03-01T04:12:00+00:00".into(),
            initials: "A\"B\n\u{1b}é".into(),
            role: "RN".into(),
            rehearsal: false,
            body: "{\"text\":\"x\"}".into(),
            hash: String::new(),
        }
    }

    #[test]
    fn the_line_is_as_documented_and_its_hash_is_that_of_standard_tools() {
        let expected = concat!(
            r#"{"seq":2,"id":"i","drain":"d","walk":null,"session":"s","kind":"drain-note","#,
            r#""state":null,"seen_at":"2026-03-01T04:10:00+00:00","#,
            r#""written_at":"2026-03-01T04:12:00+00:00","#,
            r#""by":{"initials":"A\"B\n\u001bé","role":"RN"},"rehearsal":false,"#,
            r#""body":{"text":"x"},"prev":"p"}"#
        );
        assert_eq!(row().line("p"), expected);
        // printf '%s\n' "$line" | sha256sum (GNU coreutils 9.1); the same from Python hashlib.
        assert_eq!(
            row().hash_after("p").as_str(),
            "89f5bea9db6dee5820ffd01d30d5928673236006ff64556bf2ea5a9f81c89918"
        );
    }

    #[test]
    fn a_string_is_written_as_serde_json_writes_it() {
        let odd = (0_u8..=0xff).map(char::from).map(String::from);
        for text in odd.chain(["".into(), "a\"b\\c".into(), "é\u{2028}🫁".into()]) {
            let serde = serde_json::to_string(&text).expect("JSON");
            assert_eq!(quoted(&text), serde);
        }
    }

    #[test]
    fn every_column_is_in_the_hash() {
        let mut hashes = vec![row().hash_after("p")];
        let changes: [fn(&mut Row); 13] = [
            |row| row.seq = 3,
            |row| row.id = "j".into(),
            |row| row.drain = None,
            |row| row.walk = Some(String::new()),
            |row| row.session = "t".into(),
            |row| row.kind = "note".into(),
            |row| row.state = Some("null".into()),
            |row| row.seen_at.push(' '),
            |row| row.written_at.push(' '),
            |row| row.initials = String::new(),
            |row| row.role = "SN".into(),
            |row| row.rehearsal = true,
            |row| row.body = "{\"text\":\"y\"}".into(),
        ];
        for change in changes {
            let mut changed = row();
            change(&mut changed);
            hashes.push(changed.hash_after("p"));
        }
        hashes.push(row().hash_after("q"));
        let count = hashes.len();
        hashes.sort();
        hashes.dedup();
        assert_eq!(hashes.len(), count);
    }
}
