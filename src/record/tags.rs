//! The tags by which a record finds the steps it shows; what each means is in [`crate::record`].

/// One row or more of the findings in a setup record.
#[derive(Debug, Clone, Copy)]
pub struct FindingTags {
    /// How the rows are headed.
    pub heading: &'static str,
    /// Any of these tags brings a step in.
    pub tags: &'static [&'static str],
    /// Whether only looking and reading counts while there is any; otherwise actions count too.
    pub looks: bool,
}

const fn row(heading: &'static str, tags: &'static [&'static str], looks: bool) -> FindingTags {
    FindingTags {
        heading,
        tags,
        looks,
    }
}

/// Findings of the setup record in the order they are shown.
pub const SETUP_FINDINGS: &[FindingTags] = &[
    row("Drainage unit", &["drainage-unit"], false),
    row("Seal depth", &["seal-depth"], true),
    row("Suction", &["suction-set"], true),
    row("Secured", &["secure", "joints"], false),
    row("Swing", &["swing"], true),
    row("Bubbling", &["bubbling"], true),
    row("First volume", &["first-volume"], true),
    row("Look of the first fluid", &["first-look"], true),
    row("Told", TOLD, false),
];

/// On a step that looks at or names a piece of equipment.
pub const EQUIPMENT: &[&str] = &["equipment"];
/// On a step that tells somebody, other than by a call for help.
pub const TOLD: &[&str] = &["told"];
/// On a step that asks what was seen first.
pub const FIRST_SEEN: &[&str] = &["first-seen"];
/// On a step that looks at the patient.
pub const PATIENT_STATE: &[&str] = &["patient-state", "patient-first", "red-flag", "last-look"];
/// On a step that looks at the drain.
pub const DRAIN_STATE: &[&str] = &[
    "drain-state",
    "seal-depth",
    "swing",
    "bubbling",
    "suction-set",
    "first-volume",
    "secure",
    "joints",
];
