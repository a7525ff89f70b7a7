//! A quick hash for the millions of small keys of a proof; no defence against made collisions is
//! needed, since the keys are counted by the prover itself.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hash, Hasher};

/// Multiplies and rotates word by word.
#[derive(Debug, Default, Clone)]
pub(super) struct Quick(u64);

impl Quick {
    const fn mix(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(23) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    }
}

impl Hasher for Quick {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..chunk.len()].copy_from_slice(chunk);
            self.mix(u64::from_le_bytes(word));
        }
    }

    fn write_u16(&mut self, word: u16) {
        self.mix(u64::from(word));
    }

    fn write_u32(&mut self, word: u32) {
        self.mix(u64::from(word));
    }

    fn write_u64(&mut self, word: u64) {
        self.mix(word);
    }

    fn write_usize(&mut self, word: usize) {
        self.mix(word as u64);
    }
}

/// A map with the quick hash.
pub(super) type QuickMap<K, V> = HashMap<K, V, BuildHasherDefault<Quick>>;

/// Gives each different value a number, counted from 0 in the order of first sight.
#[derive(Debug)]
pub(super) struct Numbered<T> {
    ids: QuickMap<T, u32>,
    values: Vec<T>,
}

impl<T> Default for Numbered<T> {
    fn default() -> Self {
        Self {
            ids: QuickMap::default(),
            values: Vec::new(),
        }
    }
}

impl<T: Clone + Eq + Hash> Numbered<T> {
    /// The number of the value, and whether it is new.
    pub fn add(&mut self, value: T) -> (u32, bool) {
        if let Some(id) = self.ids.get(&value) {
            return (*id, false);
        }
        let id = u32::try_from(self.values.len()).unwrap_or(u32::MAX);
        self.ids.insert(value.clone(), id);
        self.values.push(value);
        (id, true)
    }

    /// The value of that number.
    pub fn get(&self, id: u32) -> &T {
        &self.values[id as usize]
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// All values by number.
    pub fn into_values(self) -> Vec<T> {
        self.values
    }
}
