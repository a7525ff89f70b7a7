//! The shape of the facts: the names a template may use.

use super::super::specimen::facts;

facts! {
    /// The facts of a setup record.
    struct SetupFacts {
        /// What every record says at its head and foot.
        head: Head,
        /// The walks it is made from, in order.
        walks: Vec<WalkFacts>,
        /// Each piece of equipment that was looked at, by its last answer.
        equipment: Vec<Finding>,
        /// Drainage unit, seal depth, suction, secured, swing, bubbling, first volume, told: at least
        /// one row each, one for each step that was answered.
        findings: Vec<Finding>,
        /// Every check that was not as expected.
        unexpected: Vec<Finding>,
        /// What was left undone, each with its reason.
        undone: Vec<Undone>,
        /// Every call for help.
        calls: Vec<CallFacts>,
        /// Every duty that was opened.
        duties: Vec<DutyFacts>,
        /// How many duties and calls are still open.
        still_open: u64,
        /// Every entry in the order written, cut by day and by offset of the clock.
        days: Vec<Day>,
        /// Entries written later than the limit allows, in the order they were seen.
        late: Vec<Entry>,
        /// Entries taken back, in the order written.
        corrections: Vec<Entry>,
        /// What was put right, added and signed after the fact.
        afterwards: AfterwardsFacts,
    }

    /// The facts of an incident record.
    struct IncidentFacts {
        /// What every record says at its head and foot.
        head: Head,
        /// The walks it is made from, in order.
        walks: Vec<WalkFacts>,
        /// What was seen first.
        first_seen: Option<Finding>,
        /// The patient, by the first and the last answer to each step that looks.
        patient: Vec<StateRow>,
        /// The drain, by the first and the last answer to each step that looks.
        drain: Vec<StateRow>,
        /// What was recorded as done, calls included, in the order written.
        actions: Vec<Finding>,
        /// Who else was told.
        told: Vec<Finding>,
        /// Every call for help.
        calls: Vec<CallFacts>,
        /// The key intervals.
        intervals: Vec<Interval>,
        /// What was left undone, each with its reason.
        undone: Vec<Undone>,
        /// Every duty that was opened.
        duties: Vec<DutyFacts>,
        /// How many duties and calls are still open.
        still_open: u64,
        /// Every entry in the order written, cut by day and by offset of the clock.
        days: Vec<Day>,
        /// Entries written later than the limit allows, in the order they were seen.
        late: Vec<Entry>,
        /// Entries taken back, in the order written.
        corrections: Vec<Entry>,
        /// What was put right, added and signed after the fact.
        afterwards: AfterwardsFacts,
    }

    /// The facts of a handover record.
    struct HandoverFacts {
        /// What every record says at its head and foot.
        head: Head,
        /// The walks on the drain, in order.
        walks: Vec<WalkFacts>,
        /// The day of the last entry: times without a day are of this one.
        day: String,
        /// The offset of the clock at the last entry.
        offset: String,
        /// When the drain was opened in the journal.
        opened: Option<String>,
        /// When the drain was closed, and how.
        closed: Option<String>,
        /// The patient, by the last answer to each kind of look.
        patient: Vec<Finding>,
        /// The drain, by the last answer under each heading of the setup record.
        findings: Vec<Finding>,
        /// What is known of the drain.
        known: Vec<Pair>,
        /// Checks whose last answer was not as expected.
        unexpected: Vec<Finding>,
        /// The chart in short: the last reading, outputs, what the seal told, what has to be
        /// settled; empty when nothing was charted.
        chart: Vec<Pair>,
        /// Limits on the output that were ever met, or are in doubt at the last reading; those that
        /// stand come first.
        limits: Vec<LimitInShort>,
        /// What the seal told at the last reading.
        seal: Vec<String>,
        /// How many notes the chart wrote of itself that are left to its own record.
        told_by_chart: u64,
        /// Notes written within the checklists.
        notes: Vec<Finding>,
        /// Every order that was read back.
        orders: Vec<OrderFacts>,
        /// How many duties and calls are still open.
        still_open: u64,
        /// Duties that are open.
        duties: Vec<DutyFacts>,
        /// What was left undone and not answered otherwise since.
        undone: Vec<Undone>,
        /// Calls that nobody is recorded as having answered.
        calls: Vec<CallFacts>,
        /// What falls due, soonest first.
        due: Vec<DueFacts>,
        /// Who took the drain over, in the order written.
        accepted: Vec<AcceptedFacts>,
        /// How many entries about the drain were written after the last acceptance.
        written_since: u64,
        /// What was put right, added and signed after the fact.
        afterwards: AfterwardsFacts,
    }

    /// An order that was read back.
    struct OrderFacts {
        /// The order, in the words read back.
        order: String,
        /// When.
        at: String,
        /// Who recorded it.
        by: String,
        /// Who was called.
        from: Option<String>,
        /// The number of its entry.
        entry: String,
    }

    /// Something that falls due.
    struct DueFacts {
        /// When.
        at: String,
        /// What.
        what: String,
        /// The number of the walk it comes from, or "chart".
        walk: String,
        /// Whether the time had passed when the last entry was written.
        past: bool,
    }

    /// That somebody took the drain over.
    struct AcceptedFacts {
        /// Who accepted.
        by: String,
        /// Who gave it.
        from: String,
        /// When.
        at: String,
        /// What was read back; absent when that was not recorded.
        read_back: Option<String>,
    }

    /// What was put right, added and signed after the fact.
    struct AfterwardsFacts {
        /// Corrections and addenda.
        amendments: Vec<AmendmentFacts>,
        /// Notes on the drain outside the walks.
        notes: Vec<NoteFacts>,
        /// Signatures.
        signatures: Vec<SignatureFacts>,
        /// Walks that were moved from one drain to another, a sentence each.
        moves: Vec<String>,
    }

    /// A correction or an addendum.
    struct AmendmentFacts {
        /// Its number.
        number: String,
        /// The number of the entry, the note or the amendment it is about.
        about: String,
        /// What that said; absent when it was entered in error.
        was: Option<String>,
        /// How it marks it, in words.
        kind: String,
        /// What is right, or what is added.
        text: String,
        /// Why.
        why: String,
        /// Who wrote it.
        by: String,
        /// When it was written.
        at: String,
        /// Whether a later amendment took it out of force.
        struck: bool,
    }

    /// A note on the drain outside a walk.
    struct NoteFacts {
        /// Its number.
        number: String,
        /// Its words; that it was entered in error, when it was.
        text: String,
        /// Who wrote it.
        by: String,
        /// When it was seen.
        at: String,
        /// When it was written, where that differs.
        written: Option<String>,
        /// Whether it was written later than the limit allows.
        late: bool,
        /// Whether it was marked wrong.
        wrong: bool,
        /// Amendments that are about it.
        remarks: Vec<Remark>,
    }

    /// A signature.
    struct SignatureFacts {
        /// What was signed.
        of: String,
        /// Who signed.
        by: String,
        /// When.
        at: String,
        /// The place of the journal up to which it goes.
        sequence: u64,
        /// The hash at that place.
        hash: String,
    }

    /// An amendment as it stands beside what it is about.
    struct Remark {
        /// Its number.
        number: String,
        /// How it marks what it is about, in words.
        kind: String,
        /// What is right, or what is added.
        text: String,
        /// Who wrote it.
        by: String,
        /// When it was written.
        at: String,
    }

    /// The facts of a chart record.
    struct ChartFacts {
        /// What every record says at its head and foot.
        head: Head,
        /// The day of the last entry: times without a day are of this one.
        day: String,
        /// The offset of the clock at the last entry.
        offset: String,
        /// When the drain was connected.
        connected: String,
        /// The graduation of the drainage unit, by which ranges are given.
        graduation: String,
        /// Outputs over times that have a name.
        totals: Vec<ChartTotal>,
        /// What became of the limits, in order.
        limits: Vec<LimitFacts>,
        /// Limits that could not be watched, and why.
        not_watched: Vec<String>,
        /// What the seal told from one reading to the next.
        signs: Vec<SignFacts>,
        /// Looks that were due and for which there is no reading.
        missed: Vec<String>,
        /// What a person must settle.
        to_settle: Vec<String>,
        /// Every entry that stands, in the order seen.
        rows: Vec<ChartRow>,
        /// How many of them were written later than the limit allows.
        late: u64,
        /// Every correction.
        corrections: Vec<ChartCorrection>,
        /// Notes on the drain, and what was put right, added and signed after the fact.
        afterwards: AfterwardsFacts,
    }

    /// An output over a time that has a name.
    struct ChartTotal {
        /// The time.
        what: String,
        /// The output, with its range.
        volume: String,
    }

    /// What became of a limit.
    struct LimitFacts {
        /// When it was seen.
        at: String,
        /// Met, worse, doubtful or cleared.
        state: String,
        /// What the limit means.
        what: String,
        /// The value found, with its range.
        value: String,
        /// Beginning of the window.
        from: String,
        /// End of the window.
        to: String,
        /// The limit itself.
        limit: String,
        /// Who is to be called.
        call: String,
        /// Where the limit comes from.
        source: String,
        /// The numbers of the entries it rests on.
        readings: String,
    }

    /// A limit on the output, for who takes the drain over.
    struct LimitInShort {
        /// The last time it was met, exceeded by more or in doubt.
        told: LimitFacts,
        /// When it was no longer so; absent when it still is.
        over: Option<String>,
    }

    /// Something the seal told.
    struct SignFacts {
        /// When it was seen.
        at: String,
        /// What it is.
        what: String,
        /// The number of the entry.
        entry: String,
    }

    /// One entry of the chart.
    struct ChartRow {
        /// Its number.
        entry: String,
        /// When it was seen.
        seen: String,
        /// When it was written, where that was late.
        written: Option<String>,
        /// Whether it was written later than the limit allows.
        late: bool,
        /// Who wrote it.
        by: String,
        /// The level; empty when none was obtained.
        level: String,
        /// What came since the level before.
        output: String,
        /// What came since the drain was connected.
        total: String,
        /// What else was recorded.
        found: String,
    }

    /// A reading that was put right.
    struct ChartCorrection {
        /// The number of the wrong entry.
        entry: String,
        /// What it said.
        was: String,
        /// When that was said to be seen.
        was_seen: String,
        /// What stands instead, or that it was struck out.
        now: String,
        /// When that was seen.
        seen: String,
        /// The number of the correction.
        replaced_by: String,
        /// Who corrected it.
        by: String,
        /// When it was written.
        at: String,
    }

    /// What every record says at its head and foot.
    struct Head {
        /// Which record it is: "setup" or "incident".
        record: String,
        /// The version of the shape of these facts.
        format: u64,
        /// Whether it is a rehearsal.
        rehearsal: bool,
        /// The line that says so; empty when it is not.
        banner: String,
        /// The unit (ward or department), or that it is not named.
        unit: String,
        /// The unit's time zone.
        zone: String,
        /// Where the patient is: a place label.
        place: String,
        /// Which side the drain is.
        side: String,
        /// The drain's identifier in the journal.
        drain: String,
        /// What is known of the drain.
        drain_facts: Vec<Pair>,
        /// What is not known of the drain, in words.
        drain_unknown: String,
        /// When the first entry was seen; absent when there is none.
        began: Option<Stamp>,
        /// When the last entry was written; absent when there is none.
        last: Option<Stamp>,
        /// Who wrote, in order of first entry.
        writers: Vec<Writer>,
        /// How many entries there are.
        entries: u64,
        /// Each checklist by version, fingerprint and approval.
        lists: Vec<ListFacts>,
        /// Each checklist that was a draft or past its review, in a line.
        list_warnings: Vec<String>,
        /// Each safeguard that was waived.
        waivers: Vec<WaiverFacts>,
        /// What is odd about the clock, a line each.
        clock_notes: Vec<String>,
        /// After what time an entry counts as late.
        late_after: String,
        /// The cautions.
        cautions: Vec<String>,
        /// The place of the last journal event that was read.
        journal_sequence: u64,
        /// The hash of that event.
        journal_hash: String,
    }

    /// A thing and what was recorded of it.
    struct Pair {
        /// The thing.
        what: String,
        /// What was recorded.
        value: String,
    }

    /// A moment, written out.
    struct Stamp {
        /// The day in words.
        day: String,
        /// Hours, minutes, seconds.
        time: String,
        /// The clock's offset from UTC.
        offset: String,
        /// All of it in one machine-readable text (RFC 3339).
        exact: String,
    }

    /// Somebody who wrote.
    struct Writer {
        /// Initials and role.
        by: String,
        /// How many entries.
        entries: u64,
    }

    /// A checklist that was used.
    struct ListFacts {
        /// Its name.
        name: String,
        /// Its title.
        title: String,
        /// Its version.
        version: String,
        /// SHA-256 of its text.
        fingerprint: String,
        /// Whether it was approved, in words.
        approval: String,
    }

    /// A safeguard that was waived.
    struct WaiverFacts {
        /// The safeguard.
        safeguard: String,
        /// Who waived it.
        who: String,
        /// Why.
        why: String,
        /// Until when.
        until: String,
    }

    /// One walk.
    struct WalkFacts {
        /// Its number in this record, counted from 1.
        number: String,
        /// Its identifier in the journal.
        id: String,
        /// The title of the checklist it began with.
        title: String,
        /// When it began.
        began: String,
        /// When its last entry was written.
        last: String,
        /// How it came out, in words; says so when it has not ended.
        outcome: String,
        /// Its closing text or the reason it was stopped; absent when it has not ended.
        closing: Option<String>,
        /// Whether it has ended.
        ended: bool,
        /// Each urgent checklist that was followed within it: its title, when it began, how it
        /// came out.
        urgent: Vec<String>,
    }

    /// Something found, done or told.
    struct Finding {
        /// What was looked at or done.
        what: String,
        /// What was recorded.
        found: String,
        /// By whom; absent when nothing was recorded.
        by: Option<String>,
        /// When it was seen; absent when nothing was recorded.
        at: Option<String>,
        /// The number of its entry; absent when nothing was recorded.
        entry: Option<String>,
        /// How often it was recorded before, without what was taken back.
        earlier: u64,
        /// Whether it was written later than the limit allows.
        late: bool,
    }

    /// Something left undone.
    struct Undone {
        /// The step as it was asked.
        what: String,
        /// That it was not done, not seen or not obtained, in words.
        state: String,
        /// Why, in the writer's words.
        reason: String,
        /// By whom.
        by: String,
        /// When.
        at: String,
        /// The number of its entry.
        entry: String,
        /// The entry in which the same step was later answered otherwise.
        later: Option<String>,
    }

    /// A call for help.
    struct CallFacts {
        /// The number of the call.
        number: String,
        /// How urgent.
        level: String,
        /// Who was called.
        who: String,
        /// How; absent when the unit has not filled it in.
        how: Option<String>,
        /// When it was recorded as made.
        made: String,
        /// Who recorded it.
        by: String,
        /// Who answered and when.
        answered: Option<String>,
        /// How long after the call.
        answered_after: Option<String>,
        /// Who came and when.
        arrived: Option<String>,
        /// How long after the call.
        arrived_after: Option<String>,
        /// What was ordered and read back, each with its time.
        orders: Vec<String>,
        /// Whether nobody is recorded as having answered, come or ordered, and no next one was called.
        open: bool,
        /// Whether it was taken back.
        struck: bool,
    }

    /// A duty that was opened.
    struct DutyFacts {
        /// What is or was open, said as a fact.
        open: String,
        /// When it was opened and by whom.
        opened: String,
        /// When it was closed and by whom; absent while it is open.
        closed: Option<String>,
        /// What closed it.
        how: Option<String>,
        /// How long it was open.
        lasted: Option<String>,
        /// Whether it is still open.
        still_open: bool,
    }

    /// One step of looking, by its first and last answer.
    struct StateRow {
        /// What was looked at.
        what: String,
        /// The first answer.
        first: String,
        /// When.
        first_at: String,
        /// The last answer, if there was more than one.
        last: Option<String>,
        /// When.
        last_at: Option<String>,
    }

    /// A key interval.
    struct Interval {
        /// From what to what.
        what: String,
        /// When it began.
        from: String,
        /// When it ended; absent when that is not recorded.
        to: Option<String>,
        /// How long it was, or that it cannot be said, and why.
        length: String,
    }

    /// The entries of one day at one offset of the clock.
    struct Day {
        /// The day in words.
        day: String,
        /// The clock's offset from UTC.
        offset: String,
        /// The entries in the order written.
        entries: Vec<Entry>,
    }

    /// One entry.
    struct Entry {
        /// The number of the event; with the walk's number before it when there are several walks.
        number: String,
        /// When it was seen.
        seen: String,
        /// When it was written, where that differs.
        written: Option<String>,
        /// By whom.
        by: String,
        /// What it is about.
        what: String,
        /// What was recorded of it; absent where `what` says all.
        found: Option<String>,
        /// Whether a slip here is dangerous.
        critical: bool,
        /// Whether it came less than a second after the answer before it.
        quick: bool,
        /// Whether it was written later than the limit allows.
        late: bool,
        /// Whether it was taken back.
        struck: bool,
        /// The entry that took it back.
        taken_back_by: Option<String>,
        /// The entry in which the step was answered again.
        replaced_by: Option<String>,
        /// The entry that this one answers again.
        replaces: Option<String>,
        /// Whether a later entry marked it as wrong.
        wrong: bool,
        /// Whether it was entered in error: then it stands here without what it said.
        in_error: bool,
        /// Amendments that are about it; with the first line of an entry only.
        remarks: Vec<Remark>,
        /// The event's identifier in the journal.
        id: String,
    }
}
