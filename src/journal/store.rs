//! What a place that keeps the journal must promise.

use super::error::JournalError;
use super::row::Row;
use super::text_hash::TextHash;

/// Which rows are asked for. They always come in the order of their places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which<'a> {
    /// Every row after this place; 0 for all.
    After(i64),
    /// The row with this identifier.
    Id(&'a str),
    /// The row with this hash.
    Hash(&'a str),
    /// The rows of this walk.
    Walk(&'a str),
    /// The rows of this drain, and all rows of the walks that were ever its own.
    Drain(&'a str),
    /// The rows that opened, changed or closed a drain; this one, or any.
    DrainFacts(Option<&'a str>),
    /// The rows that began a walk.
    Begun,
    /// The rows that began a walk which is not over.
    BegunOpen,
    /// The rows that began a walk which ever belonged to this drain.
    BegunOn(&'a str),
    /// The row that began the walk of this number: 1 for the first that was begun.
    BegunAt(i64),
    /// The rows that say a record left the journal.
    Records,
}

/// A row that is there but cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadColumn {
    /// The place of the row, or `None` when that is what cannot be read.
    pub seq: Option<i64>,
    /// The column.
    pub column: &'static str,
}

/// A row, or what is wrong with it.
pub type Scanned = Result<Row, BadColumn>;

/// What the chart needs of a row about a reading, as it is kept.
#[derive(Debug, Clone, Copy)]
pub struct Slim<'a> {
    /// Its place.
    pub seq: i64,
    /// The kind of entry, one of the chart's.
    pub kind: &'a str,
    /// RFC 3339.
    pub seen_at: &'a str,
    /// RFC 3339.
    pub written_at: &'a str,
    /// Initials of the writer.
    pub initials: &'a str,
    /// Role of the writer.
    pub role: &'a str,
    /// One JSON object on one line.
    pub body: &'a str,
}

/// What receives rows of the chart one by one; an error stops the reading.
pub type VisitSlim<'a> = dyn FnMut(Slim<'_>) -> Result<(), JournalError> + 'a;

/// What decides, on a store that nobody else can change meanwhile, which rows are added.
pub type Decide<'a> = dyn FnMut(&dyn Store) -> Result<Vec<Row>, JournalError> + 'a;

/// What receives rows one by one; an error stops the reading.
pub type Visit<'a> = dyn FnMut(Scanned) -> Result<(), JournalError> + 'a;

/// A place that keeps rows and texts, and only ever adds to them.
pub trait Store: Send {
    /// Reads rows in the order of their places.
    ///
    /// # Errors
    /// What went wrong with the store, or the visitor's own error.
    fn scan(&self, which: Which<'_>, visit: &mut Visit<'_>) -> Result<(), JournalError>;

    /// Reads the rows of a drain and of the walks that were ever its own: those of the chart go
    /// to `slim`, in order, all others to `other`, in no order that is promised.
    ///
    /// # Errors
    /// What went wrong with the store, or a visitor's own error.
    fn scan_chart(
        &self,
        drain: &str,
        slim: &mut VisitSlim<'_>,
        other: &mut Visit<'_>,
    ) -> Result<(), JournalError>;

    /// The last row.
    ///
    /// # Errors
    /// [`JournalError::BadRow`] when it cannot be read, or what went wrong with the store.
    fn last(&self) -> Result<Option<Row>, JournalError>;

    /// The last row of the walk that moved it.
    ///
    /// # Errors
    /// [`JournalError::BadRow`] when it cannot be read, or what went wrong with the store.
    fn last_move(&self, walk: &str) -> Result<Option<Row>, JournalError>;

    /// How many walks were begun up to this place.
    ///
    /// # Errors
    /// What went wrong with the store.
    fn begun_upto(&self, seq: i64) -> Result<i64, JournalError>;

    /// Adds the rows that `decide` returns. While it decides, and until they are added, no other
    /// process can add any. On return they are durable: they outlast a crash and a power cut. On an
    /// error nothing is added.
    ///
    /// # Errors
    /// What `decide` returned, or what went wrong with the store.
    fn add(&mut self, decide: &mut Decide<'_>) -> Result<(), JournalError>;

    /// Keeps texts under their hashes, durably: all of them or none. Those that are there already
    /// stay as they are.
    ///
    /// # Errors
    /// What went wrong with the store.
    fn put_texts(&mut self, texts: &[(TextHash, &str)]) -> Result<(), JournalError>;

    /// The text under that hash, as it is kept.
    ///
    /// # Errors
    /// What went wrong with the store.
    fn text(&self, hash: &str) -> Result<Option<Vec<u8>>, JournalError>;

    /// Every hash under which a text is kept, in order.
    ///
    /// # Errors
    /// What went wrong with the store.
    fn text_hashes(&self) -> Result<Vec<String>, JournalError>;

    /// Hands over the entries whose identifier an earlier one has, in no order that is promised:
    /// their places, with it.
    ///
    /// # Errors
    /// What went wrong with the store.
    fn repeated_ids(&self, visit: &mut dyn FnMut(i64, String)) -> Result<(), JournalError>;

    /// What is wrong with the store itself, beyond its rows; empty when nothing is.
    ///
    /// # Errors
    /// What kept it from being examined.
    fn own_faults(&self) -> Result<Vec<String>, JournalError>;
}

/// Reads the rows of that kind; stops at the first that cannot be read.
///
/// # Errors
/// [`JournalError::BadRow`] for that row, or what went wrong with the store.
pub fn rows(store: &dyn Store, which: Which<'_>) -> Result<Vec<Row>, JournalError> {
    let mut rows = Vec::new();
    store.scan(which, &mut |scanned| {
        rows.push(scanned.map_err(BadColumn::into_error)?);
        Ok(())
    })?;
    Ok(rows)
}

impl BadColumn {
    /// The error for a reader who cannot go on without the row.
    #[must_use]
    pub fn into_error(self) -> JournalError {
        JournalError::BadRow {
            seq: self.seq.unwrap_or(0),
            why: format!("column {} does not hold what it should", self.column),
        }
    }
}
