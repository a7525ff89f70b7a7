//! SHA-256 of a text, as a type, so that no other text can stand where a hash is meant.

use std::{fmt, io};

use sha2::{Digest, Sha256};

/// SHA-256 (FIPS 180-4) as 64 small hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TextHash(String);

impl TextHash {
    /// The hash of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(digits(&Sha256::digest(bytes)))
    }

    /// Reads 64 small hexadecimal digits; `None` for anything else.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let digit = |byte: u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte);
        (text.len() == 64 && text.bytes().all(digit)).then(|| Self(text.to_owned()))
    }

    /// The digits.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Two small hexadecimal digits for each byte. Without `format!`: a check of millions of entries
/// spends much of its time here.
fn digits(bytes: &[u8]) -> String {
    let digit = |half: u8| char::from_digit(half.into(), 16).unwrap_or('0');
    let halves = bytes.iter().flat_map(|byte| [byte >> 4, byte & 0xf]);
    halves.map(digit).collect()
}

/// Passes bytes on to a writer and sums them up.
pub struct Summing<W> {
    inner: W,
    sum: Sha256,
}

impl<W: io::Write> Summing<W> {
    /// Before the first byte.
    pub fn new(inner: W) -> Self {
        Self {
            inner,
            sum: Sha256::new(),
        }
    }

    /// The writer, and the hash of all that it took.
    pub fn finish(self) -> (W, TextHash) {
        let digits = digits(&self.sum.finalize());
        (self.inner, TextHash(digits))
    }
}

impl<W: io::Write> io::Write for Summing<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.inner.write(bytes)?;
        self.sum.update(&bytes[..taken]);
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl fmt::Display for TextHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_vectors_hold() {
        // FIPS 180-4 examples: one block, and the empty message (from memory; also Python hashlib).
        assert_eq!(
            TextHash::of(b"abc").as_str(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            TextHash::of(b"").as_str(),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }

    #[test]
    fn only_64_small_hexadecimal_digits_are_a_hash() {
        let good = TextHash::of(b"x").as_str().to_owned();
        assert!(TextHash::parse(&good).is_some());
        let upper = good.to_uppercase();
        for bad in ["", &good[1..], &upper, &format!("{good}0")] {
            assert!(TextHash::parse(bad).is_none(), "{bad}");
        }
    }
}
