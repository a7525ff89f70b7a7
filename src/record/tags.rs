//! The tags by which a record finds the steps it shows; what each means is in [`crate::record`].

/// Findings of the setup record in the order they are shown: tag, and how the row is headed.
pub const SETUP_FINDINGS: &[(&str, &str)] = &[
    ("drainage-unit", "Drainage unit"),
    ("seal-depth", "Seal depth"),
    ("suction-set", "Suction"),
    ("joints", "Joints"),
    ("swing", "Swing"),
    ("bubbling", "Bubbling"),
    ("first-volume", "First volume"),
    ("first-look", "Look of the first fluid"),
    (TOLD, "Told"),
];

/// On a step that looks at or names a piece of equipment.
pub const EQUIPMENT: &str = "equipment";
/// On a step that tells somebody, other than by a call for help.
pub const TOLD: &str = "told";
/// On a step that asks what was seen first.
pub const FIRST_SEEN: &str = "first-seen";
/// On a step that looks at the patient.
pub const PATIENT_STATE: &str = "patient-state";
/// On a step that looks at the drain.
pub const DRAIN_STATE: &str = "drain-state";
