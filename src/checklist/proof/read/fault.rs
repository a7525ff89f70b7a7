//! What can be wrong with a safeguard, first as data, then in words.

use std::fmt;

/// Something wrong in a file of safeguards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfit {
    /// The file.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
    /// The column, counted from 1.
    pub column: usize,
    /// What is wrong.
    pub fault: Fault,
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}:{}:{}: {}",
            self.file, self.line, self.column, self.fault
        )
    }
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(
    missing_docs,
    reason = "the fields are the words at stake, named for what they are"
)]
pub enum Fault {
    /// The text is not YAML.
    NotYaml,
    /// A value has the wrong shape.
    WrongShape { wanted: &'static str },
    /// A key that is not known here.
    UnknownKey {
        key: String,
        nearest: Option<String>,
        known: Vec<&'static str>,
    },
    /// A key that must be there.
    Missing { key: &'static str },
    /// Words that are not a name.
    NotAName { text: String },
    /// A name that another safeguard has, which says something else.
    Taken { name: String },
    /// A safeguard with no rule or with several.
    OneRule { found: usize },
    /// Words that are not a point.
    NotAPoint { words: String },
    /// No step has the tag.
    NoSuchTag {
        tag: String,
        nearest: Option<String>,
    },
    /// There is no such step.
    NoSuchStep { step: String },
    /// There is no such list.
    NoSuchList {
        name: String,
        nearest: Option<String>,
    },
    /// There is no such duty.
    NoSuchDuty { duty: String },
    /// There is no such fact, limit or remembered answer.
    NoSuchFact { fact: String },
    /// Words that are not a test of that fact.
    NotATest { words: String },
    /// Words that no step at that point can be answered with.
    NoSuchAnswer { words: String },
    /// A number that is not in the range.
    NotANumber { words: String },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let meant = |f: &mut fmt::Formatter<'_>, nearest: &Option<String>| match nearest {
            Some(nearest) => write!(f, "; did you mean \"{nearest}\"?"),
            None => Ok(()),
        };
        match self {
            Self::NotYaml => {
                f.write_str("this is not YAML: look at the line's indentation and quotes")
            }
            Self::WrongShape { wanted } => write!(f, "here must stand {wanted}"),
            Self::UnknownKey {
                key,
                nearest,
                known,
            } => {
                write!(
                    f,
                    "\"{key}\" is not known here; known are: {}",
                    known.join(", ")
                )?;
                meant(f, nearest)
            }
            Self::Missing { key } => write!(f, "\"{key}\" is missing: add it"),
            Self::NotAName { text } => {
                write!(
                    f,
                    "\"{text}\" is not a name: use small letters, digits and single hyphens"
                )
            }
            Self::Taken { name } => write!(
                f,
                "there is another safeguard \"{name}\": give yours a name of its own; a shipped one is \
                 not replaced"
            ),
            Self::OneRule { found: 0 } => {
                f.write_str("the safeguard has no rule: add one, such as \"first\"")
            }
            Self::OneRule { found } => {
                write!(
                    f,
                    "the safeguard has {found} rules: give each a safeguard of its own"
                )
            }
            Self::NotAPoint { words } => write!(
                f,
                "\"{words}\" points at nothing: write \"tag NAME\", \"step LIST/STEP\", \"list NAME\", \
                 \"call\", \"call LEVEL\", \"ending OUTCOME\", \"any ending\", \"opens DUTY\", \
                 \"closes DUTY\", \"critical\" or \"anywhere\""
            ),
            Self::NoSuchTag { tag, nearest } => {
                write!(
                    f,
                    "no step has the tag \"{tag}\", so the safeguard would guard nothing"
                )?;
                meant(f, nearest)
            }
            Self::NoSuchStep { step } => {
                write!(
                    f,
                    "there is no step \"{step}\": name it as LIST/STEP, as it is in the list"
                )
            }
            Self::NoSuchList { name, nearest } => {
                write!(f, "there is no list \"{name}\"")?;
                meant(f, nearest)
            }
            Self::NoSuchDuty { duty } => write!(f, "there is no duty \"{duty}\" in duties.yaml"),
            Self::NoSuchFact { fact } => write!(
                f,
                "there is no fact \"{fact}\": name a drain fact, a local fact, a limit or a remembered answer"
            ),
            Self::NotATest { words } => write!(
                f,
                "\"{words}\" is no test: write a word, a list of words, \"known\", \"unknown\", or a \
                 band like \"below 2\""
            ),
            Self::NoSuchAnswer { words } => {
                write!(
                    f,
                    "no step there has the answer \"{words}\": write it as in the list"
                )
            }
            Self::NotANumber { words } => {
                write!(f, "\"{words}\" is not a whole number from 1 to 999")
            }
        }
    }
}
