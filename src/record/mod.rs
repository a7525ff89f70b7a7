//! Records: documents made from the story of walks, through templates, as Markdown.
//!
//! Three steps, each of which can be looked at by itself:
//!
//! 1. The caller gathers [`facts::WalkStory`] values and one [`facts::Header`] from the journal.
//! 2. [`facts::SetupFacts::new`] or [`facts::IncidentFacts::new`] turns them into facts: text
//!    already in words, times and numbers already written out. Facts serialise to JSON and back.
//! 3. [`template::Template`] renders facts into Markdown.
//!
//! Nothing is looked up on the way and no clock is read: the same journal gives the same bytes.
//!
//! # What is absent
//!
//! No guess at a cause, no blame, no judgement. A record says what was recorded, by whom and
//! when; it never says that something was done, only that it was recorded as done (a tick is not
//! the deed: Brown et al., BMJ Open Quality 2021;10:e001593, as quoted elsewhere). Nothing is
//! left out silently either: what a record cannot find is named as not recorded.
//!
//! # Tags by which a record finds steps
//!
//! Checklists mark steps with tags; [`tags`] lists those a record looks for. A step may carry
//! several. A tag that no step carries shows as "not recorded" in the record.
//!
//! | tag | on the step that | shows in |
//! |---|---|---|
//! | `equipment` | looks at or names a piece of equipment | setup |
//! | `drainage-unit` | says where and how the drainage unit stands | setup |
//! | `seal-depth` | reads or looks at the depth of the water seal | both |
//! | `suction-set` | sets or reads suction | both |
//! | `secure`, `joints` | secures tube, joints or tubing, or looks at them | setup |
//! | `swing` | looks for swing | both |
//! | `bubbling` | looks for bubbling | both |
//! | `first-volume` | reads the first volume | both |
//! | `first-look` | says how the first fluid looks | setup |
//! | `told` | tells somebody, other than by a call for help | both |
//! | `first-seen` | asks what was seen first | incident |
//! | `patient-state`, `patient-first`, `red-flag`, `last-look` | looks at the patient: breathing, SpO2, pulse, worse or not | incident |
//! | `drain-state` | looks at the drain in any other way | incident |
//!
//! Where a tag is about what is seen, only answers from looking count (`check`, `ask`, `measure`)
//! as long as there are any: marking the level must not hide the millilitres that were read.
//!
//! Without a `first-seen` step, the earliest finding that is not as expected, begun fault or
//! urgent list, or note in a walk that has such a list in it counts as first seen.

pub mod escape;
pub mod facts;
pub mod fhir;
pub mod filters;
pub mod html;
pub mod review;
mod specimen;
pub mod tags;
pub mod template;

#[cfg(test)]
mod made;
#[cfg(test)]
mod tests;
