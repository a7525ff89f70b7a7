//! Closed sets of words of the language: each value with the word that files use for it.

use crate::names::words;

words! {
    /// Whether a list may be started that is not approved or past its review.
    MayStart {
        /// It may; every screen and record says what it is.
        Allow = "allow",
        /// It may not, unless it is urgent.
        Refuse = "refuse",
    }
}

words! {
    /// What a checklist is used for.
    ListKind {
        /// Getting ready.
        Prepare = "prepare",
        /// Joining and proving.
        Connect = "connect",
        /// The observation round.
        Round = "round",
        /// A planned piece of work.
        Task = "task",
        /// Finding what is wrong.
        Fault = "fault",
        /// Seconds count: acts before it asks.
        Urgent = "urgent",
    }
}

words! {
    /// How a checklist is read.
    Mode {
        /// Read one step, do it, go on.
        ReadDo = "read-do",
        /// Do from knowledge, then confirm against the list.
        Confirm = "confirm",
    }
}

words! {
    /// How a walk came out.
    Outcome {
        /// Equipment is ready for use.
        Ready = "ready",
        /// The drain works as it should.
        Working = "working",
        /// The fault is put right.
        Resolved = "resolved",
        /// Nothing to do now but look again.
        Watch = "watch",
        /// Somebody else has been called and takes it further.
        Escalated = "escalated",
        /// Stopped before it was complete.
        Stopped = "stopped",
    }
}

words! {
    /// How urgently somebody is called.
    CallLevel {
        /// The emergency team, at once.
        Emergency = "emergency",
        /// A doctor, now.
        DoctorNow = "doctor-now",
        /// A doctor within the hour or on the next round.
        DoctorSoon = "doctor-soon",
    }
}
