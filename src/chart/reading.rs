//! One charted look at the drain.

use crate::names::words;
use crate::units::{Amount, Number, Suction};

words! {
    /// How the fluid looks (words of NSW Agency for Clinical Innovation, 2014, Pleural Drains in
    /// Adults, table 2; milky and other added here).
    FluidLook {
        /// Clear or straw-coloured.
        Serous = "serous",
        /// Serous with some blood.
        BloodStained = "blood-stained",
        /// Blood.
        Bloody = "bloody",
        /// Pus with some blood.
        BloodStainedPus = "blood-stained pus",
        /// Pus.
        Pus = "pus",
        /// Milky, as with chyle.
        Milky = "milky",
        /// Anything else, such as bile, food or faecal look.
        Other = "other",
    }

    /// How far the level in the seal moves with the breath. Not graded by centimetres.
    Swing {
        /// It stands still.
        None = "none",
        /// It moves a little.
        Small = "small",
        /// It moves far.
        Large = "large",
        /// It moves; how far was not said.
        Seen = "seen",
    }

    /// When the seal bubbles, weakest first (wording our own, order by phase of breath after
    /// Cerfolio and others, thoracic-surgery papers 1998 to 2002, from memory).
    Bubbling {
        /// 0: none, even on a cough.
        None = "none",
        /// 1: on a cough only.
        OnCough = "on cough",
        /// 2: on each breath out.
        OnBreathOut = "on breath out",
        /// 3: on breathing in too.
        OnBreathIn = "on breath in too",
        /// 4: all the time.
        AllTheTime = "all the time",
    }

    /// Where the bubbling is. Bubbling in a suction chamber is not an air leak.
    Chamber {
        /// In the water seal.
        Seal = "seal",
        /// In a wet suction chamber only.
        Suction = "suction",
    }

    /// The dressing and the fixing of the tube.
    Dressing {
        /// Dry and whole, tube fixed.
        Sound = "dry and secure",
        /// Wet or stained.
        Wet = "wet",
        /// Lifting, or the tube is not held.
        Loose = "loose",
    }

    /// Air under the skin.
    Emphysema {
        /// None felt.
        None = "none",
        /// Around the site.
        AtSite = "at the site",
        /// Over the chest.
        Chest = "over the chest",
        /// In the neck or face.
        NeckOrFace = "neck or face",
    }

    /// The tubing from chest to drainage unit.
    Tubing {
        /// Straight or coiled flat, nothing holds up the flow.
        Clear = "clear",
        /// A loop holds fluid.
        Loop = "loop",
        /// Kinked or lain on.
        Kinked = "kinked",
        /// A clamp is on.
        Clamped = "clamped",
    }

    /// How the drainage unit stands.
    Position {
        /// Upright and below the insertion site.
        UprightBelow = "upright and below the site",
        /// Upright, but not below the site.
        TooHigh = "too high",
        /// Tilted or lying.
        Tilted = "tilted",
    }
}

impl Bubbling {
    /// The grade, 0 to 4.
    #[must_use]
    pub const fn grade(self) -> u8 {
        self as u8
    }
}

/// Blood pressure in mmHg.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BloodPressure {
    /// Systolic.
    pub systolic: u16,
    /// Diastolic.
    pub diastolic: u16,
}

/// One look at the drain and the patient. `None` is "not obtained", which is never zero.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Reading {
    /// Level on the current drainage unit, mL.
    pub level: Option<Number>,
    /// How the fluid looks.
    pub fluid: Option<FluidLook>,
    /// Swing.
    pub swing: Option<Swing>,
    /// How far it swings, cm, where it can be read.
    pub swing_cm: Option<Number>,
    /// Bubbling.
    pub bubbling: Option<Bubbling>,
    /// Where the bubbling is.
    pub chamber: Option<Chamber>,
    /// Suction as ordered; no suction is a magnitude of zero.
    pub suction_ordered: Option<Suction>,
    /// Suction as set.
    pub suction_set: Option<Suction>,
    /// Suction as the drainage unit's own indicator shows it.
    pub suction_indicated: Option<Suction>,
    /// Depth of the water seal, cm.
    pub seal_depth: Option<Number>,
    /// Dressing and fixing.
    pub dressing: Option<Dressing>,
    /// Air under the skin.
    pub emphysema: Option<Emphysema>,
    /// The tubing.
    pub tubing: Option<Tubing>,
    /// How the drainage unit stands.
    pub position: Option<Position>,
    /// Breaths a minute.
    pub breaths: Option<u16>,
    /// Oxygen saturation, per cent.
    pub saturation: Option<Number>,
    /// Oxygen given, L/min or per cent.
    pub oxygen: Option<Amount>,
    /// Heart beats a minute.
    pub heart_rate: Option<u16>,
    /// Blood pressure.
    pub blood_pressure: Option<BloodPressure>,
    /// Pain, 0 to 10.
    pub pain: Option<u8>,
    /// What was done, in the writer's words.
    pub action: Option<String>,
}
