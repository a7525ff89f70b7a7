//! What an answer is for the drain chart.

use crate::names::words;
use crate::units::Unit;

words! {
    /// What of the drain chart an answer is: a number that a `measure` reads, or a look at the seal
    /// in the words of the chart.
    Charts {
        /// The level on the drainage unit, in mL.
        Level = "level",
        /// The depth of the water seal, in cm.
        SealDepth = "seal-depth",
        /// The seal does not swing.
        SwingNone = "swing none",
        /// It swings; how far is not said.
        SwingSeen = "swing seen",
        /// It swings a little.
        SwingSmall = "swing small",
        /// It swings far.
        SwingLarge = "swing large",
        /// The seal does not bubble.
        BubblingNone = "bubbling none",
        /// It bubbles on a cough only.
        BubblingOnCough = "bubbling on cough",
        /// It bubbles on each breath out.
        BubblingOnBreathOut = "bubbling on breath out",
        /// It bubbles on breathing in too.
        BubblingOnBreathIn = "bubbling on breath in too",
        /// It bubbles all the time.
        BubblingAllTheTime = "bubbling all the time",
    }
}

impl Charts {
    /// The unit in which the chart keeps a number; `None` for a look.
    #[must_use]
    pub const fn unit(self) -> Option<Unit> {
        match self {
            Self::Level => Some(Unit::Ml),
            Self::SealDepth => Some(Unit::Cm),
            _ => None,
        }
    }

    /// What is looked at or read: "level", "seal depth", "swing" or "bubbling".
    #[must_use]
    pub fn what(self) -> &'static str {
        match self {
            Self::SealDepth => "seal depth",
            other => other.word().split(' ').next().unwrap_or_default(),
        }
    }

    /// The numbers, or the looks.
    #[must_use]
    pub fn all(numbers: bool) -> Vec<Self> {
        let fits = |charts: &&Self| charts.unit().is_some() == numbers;
        Self::ALL.iter().filter(fits).copied().collect()
    }
}

/// What the answers of a step are for the drain chart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ForChart {
    /// Nothing.
    Nothing,
    /// The number that is read.
    Number(Charts),
    /// Some answers, by their words; of a `check`, [`AS_EXPECTED`] or [`NOT_AS_EXPECTED`].
    Answers(Vec<(String, Charts)>),
}

/// The key of a `check` that was as expected.
pub const AS_EXPECTED: &str = "as_expected";
/// The key of a `check` that was not as expected.
pub const NOT_AS_EXPECTED: &str = "not_as_expected";

impl ForChart {
    /// What the answer with these words is.
    #[must_use]
    pub fn of(&self, words: &str) -> Option<Charts> {
        let Self::Answers(answers) = self else {
            return None;
        };
        let found = answers.iter().find(|(answer, _)| answer == words);
        found.map(|(_, charts)| *charts)
    }
}
