//! Made stories for tests: an invented ward, invented nurses, nothing that ever happened.

use super::facts::standard_cautions;
use super::facts::{
    Afterwards, EventMark, Header, JournalMark, LATE_AFTER, ListUsed, Waiver, WalkStory,
};
use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{CallLevel, ListKind, Outcome, Value};
use crate::moment::Moment;
use crate::names::{DutyName, FactName, ListName, StepName, Tag};
use crate::units::{Amount, Number, Unit};
use crate::walk::input::Answer;
use crate::walk::story::{Entered, Telling, Told};

pub(super) fn at(text: &str) -> Moment {
    Moment::parse_from_rfc3339(text).expect("a moment")
}

/// Builds a story event by event.
pub(super) struct Made {
    story: WalkStory,
    list: ListName,
    sequence: u64,
    by: &'static str,
}

impl Made {
    /// A walk with that identifier whose first event has that place in the journal.
    pub(super) fn new(walk: &str, sequence: u64) -> Self {
        Self {
            story: WalkStory {
                walk: walk.into(),
                drain: "drain-7".into(),
                story: Vec::new(),
                marks: Vec::new(),
                lists: Vec::new(),
                waivers: Vec::new(),
                rehearsal: false,
                afterwards: Afterwards::default(),
            },
            list: ListName::new("x").expect("a name"),
            sequence,
            by: "KL, nurse",
        }
    }

    pub(super) fn by(&mut self, by: &'static str) -> &mut Self {
        self.by = by;
        self
    }

    /// Whatever happened elsewhere in the journal takes numbers too.
    pub(super) fn skip(&mut self, events: u64) -> &mut Self {
        self.sequence += events;
        self
    }

    pub(super) fn event(&mut self, seen: &str, written: &str, tellings: Vec<Telling>) -> &mut Self {
        let event = self.story.marks.len();
        self.story.marks.push(EventMark {
            sequence: self.sequence,
            id: format!("{}-event-{event}", self.story.walk),
            by: self.by.into(),
        });
        self.sequence += 1;
        self.story
            .story
            .extend(tellings.into_iter().map(|what| Told {
                event,
                seen: at(seen),
                written: at(written),
                what,
                taken_back: false,
            }));
        self
    }

    /// An event seen and written at once.
    pub(super) fn now(&mut self, when: &str, tellings: Vec<Telling>) -> &mut Self {
        self.event(when, when, tellings)
    }

    /// Marks the last event as taken back.
    pub(super) fn take_back_last(&mut self) -> &mut Self {
        let last = self.story.marks.len() - 1;
        for told in &mut self.story.story {
            told.taken_back |= told.event == last;
        }
        self
    }

    pub(super) fn begin(
        &mut self,
        name: &str,
        title: &str,
        kind: ListKind,
        how: Entered,
    ) -> Telling {
        self.list = ListName::new(name).expect("a name");
        self.story.lists.push(ListUsed {
            name: name.into(),
            title: title.into(),
            version: "1.0.0".into(),
            sha256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08".into(),
            approval: "shipped, not approved here".into(),
        });
        Telling::ListBegun {
            list: self.list.clone(),
            title: title.into(),
            version: "1.0.0".into(),
            kind,
            how,
        }
    }

    pub(super) fn step(
        &self,
        step: &str,
        asked: &str,
        tags: &[&str],
        answer: Answer,
        words: &str,
    ) -> Telling {
        Telling::Answered {
            list: self.list.clone(),
            step: StepName::new(step).expect("a name"),
            asked: asked.into(),
            record: None,
            answer,
            words: words.into(),
            tags: tags
                .iter()
                .map(|tag| Tag::new(tag).expect("a name"))
                .collect(),
            critical: false,
            quick: false,
        }
    }

    pub(super) fn end(&self, title: &str, outcome: Outcome, text: &str) -> Telling {
        Telling::ListEnded {
            list: self.list.clone(),
            title: title.into(),
            outcome,
            text: text.into(),
        }
    }

    pub(super) fn waive(&mut self, waiver: Waiver) -> &mut Self {
        self.story.waivers.push(waiver);
        self
    }

    pub(super) fn story(&self) -> WalkStory {
        self.story.clone()
    }
}

pub(super) fn header() -> Header {
    let mut facts = DrainFacts::new();
    for (name, word) in [
        ("side", "left"),
        ("population", "adult"),
        ("breathing", "own"),
        ("reason", "air-and-fluid"),
        ("suction", "ordered"),
    ] {
        facts.insert(
            FactName::new(name).expect("a name"),
            Value::Word(word.into()),
        );
    }
    let name = |name| FactName::new(name).expect("a name");
    facts.insert(name("place"), Value::Words("Bay 3, bed 2".into()));
    let suction = Amount::new(Number::whole(20), Unit::CmH2O);
    facts.insert(name("suction-order"), Value::Amount(suction));
    Header {
        unit: Some("Larch Ward".into()),
        zone: "Europe/London".into(),
        drain_facts: facts,
        rehearsal: false,
        journal: JournalMark {
            sequence: 412,
            hash: "4be1c8d0a3f2957b6c1d0e9f8a7b6c5d4e3f2a1b0c9d8e7f6a5b4c3d2e1f0a9b".into(),
        },
        cautions: standard_cautions(),
        late_after: LATE_AFTER,
        notes: Vec::new(),
        afterwards: Afterwards::default(),
    }
}

fn amount(text: &str) -> Answer {
    Answer::Value(Amount::parse(text).expect("an amount"))
}

fn duty(name: &str) -> DutyName {
    DutyName::new(name).expect("a name")
}

/// A drainage unit is made ready and joined, with a correction, a thing left undone and a late entry.
pub(super) fn setup() -> Vec<WalkStory> {
    let mut made = Made::new("walk-prepare", 31);
    let began = made.begin(
        "prepare-unit",
        "Make the drainage unit ready",
        ListKind::Prepare,
        Entered::Start,
    );
    made.now("2026-06-11T14:02:10+01:00", vec![began]);
    let step = made.step(
        "upright",
        "Stand the drainage unit upright below the chest.",
        &["drainage-unit"],
        Answer::Done,
        "done",
    );
    made.now("2026-06-11T14:03:02+01:00", vec![step]);
    let step = made.step(
        "clamps",
        "Look for two clamps at the bedside.",
        &["equipment"],
        Answer::AsExpected,
        "as expected: two clamps without teeth",
    );
    made.now("2026-06-11T14:03:40+01:00", vec![step]);
    let step = made.step(
        "spare",
        "Look for a spare drainage unit.",
        &["equipment"],
        Answer::CouldNotCheck {
            reason: "store room locked, asked for the key".into(),
        },
        "could not check",
    );
    made.now("2026-06-11T14:04:05+01:00", vec![step]);
    let step = made.step(
        "depth",
        "Read the depth of the water seal.",
        &["seal-depth"],
        amount("1.5 cm"),
        "1.5 cm",
    );
    made.now("2026-06-11T14:05:20+01:00", vec![step])
        .take_back_last();
    made.now(
        "2026-06-11T14:05:31+01:00",
        vec![Telling::WentBack {
            asked: "Read the depth of the water seal.".into(),
        }],
    );
    let step = made.step(
        "depth",
        "Read the depth of the water seal.",
        &["seal-depth"],
        amount("2 cm"),
        "2 cm",
    );
    made.now("2026-06-11T14:05:44+01:00", vec![step]);
    let end = made.end(
        "Make the drainage unit ready",
        Outcome::Ready,
        "The drainage unit is ready. Leave the patient end capped.",
    );
    let read = made.step(
        "end",
        "The drainage unit is ready.",
        &[],
        Answer::Read,
        "read",
    );
    made.now("2026-06-11T14:06:30+01:00", vec![read, end]);
    let prepare = made.story();

    let mut made = Made::new("walk-connect", 52);
    made.by("MT, nurse");
    let began = made.begin(
        "connect",
        "Connect and prove that it works",
        ListKind::Connect,
        Entered::Start,
    );
    made.now("2026-06-11T14:21:00+01:00", vec![began]);
    let step = made.step(
        "joints",
        "Push the joint firmly together.",
        &["joints"],
        Answer::Done,
        "done",
    );
    made.now("2026-06-11T14:22:15+01:00", vec![step]);
    let mut step = made.step(
        "tape",
        "Tape the joint lengthwise.",
        &["joints"],
        Answer::Done,
        "done",
    );
    if let Telling::Answered { quick, .. } = &mut step {
        *quick = true;
    }
    made.now("2026-06-11T14:22:15+01:00", vec![step]);
    let step = made.step(
        "swing",
        "Watch the seal for five breaths.",
        &["swing"],
        Answer::AsExpected,
        "as expected: the level moves with each breath",
    );
    made.now("2026-06-11T14:23:50+01:00", vec![step]);
    let step = made.step(
        "bubbling",
        "Look at the seal chamber for bubbles.",
        &["bubbling"],
        Answer::Choice("on each breath out".into()),
        "on each breath out",
    );
    made.now("2026-06-11T14:24:20+01:00", vec![step]);
    let step = made.step(
        "suction",
        "Set suction to the order.",
        &["suction-set"],
        amount("20 cmH2O"),
        "20 cmH2O",
    );
    made.now("2026-06-11T14:25:10+01:00", vec![step]);
    made.by("KL, nurse");
    let step = made.step(
        "volume",
        "Read the first volume.",
        &["first-volume"],
        amount("180 mL"),
        "180 mL",
    );
    made.event(
        "2026-06-11T14:26:00+01:00",
        "2026-06-11T14:55:00+01:00",
        vec![step],
    );
    let step = made.step(
        "tell",
        "Tell the nurse in charge.",
        &["told"],
        Answer::NotDone {
            reason: "at another bed; will tell at 15:15".into(),
        },
        "not done",
    );
    made.now("2026-06-11T14:55:40+01:00", vec![step]);
    let read = made.step("end", "The drain works.", &[], Answer::Read, "read");
    let end = made.end(
        "Connect and prove that it works",
        Outcome::Working,
        "Next look in 15 min.",
    );
    made.now("2026-06-11T14:56:02+01:00", vec![read, end]);
    vec![prepare, made.story()]
}

/// A fault found at night while the clocks go back, an urgent list, a clamp on and off, two calls.
pub(super) fn incident() -> Vec<WalkStory> {
    let mut made = Made::new("walk-fault", 300);
    let began = made.begin(
        "no-swing",
        "The water level has stopped swinging",
        ListKind::Fault,
        Entered::Start,
    );
    made.now("2026-10-25T01:48:10+01:00", vec![began]);
    let step = made.step(
        "patient",
        "Is the patient getting worse?",
        &["patient-state"],
        Answer::Choice("no worse".into()),
        "no worse",
    );
    made.now("2026-10-25T01:48:40+01:00", vec![step]);
    let step = made.step(
        "look",
        "Look along the tubing from chest to drainage unit.",
        &["drain-state"],
        Answer::NotAsExpected {
            found: "tube and tubing apart at the joint | bubbling had stopped".into(),
        },
        "not as expected",
    );
    made.now("2026-10-25T01:49:30+01:00", vec![step]);
    let jump = made.begin(
        "disconnected",
        "The tubing has come apart",
        ListKind::Urgent,
        Entered::Jumped,
    );
    made.now("2026-10-25T01:49:36+01:00", vec![jump]);
    let step = made.step(
        "clamp",
        "Clamp the tube near the chest.",
        &[],
        Answer::Done,
        "done",
    );
    let open = Telling::DutyOpened {
        duty: duty("clamp-on"),
        open: "A clamp is on the drain".into(),
    };
    made.now("2026-10-25T01:49:50+01:00", vec![step, open]);
    let step = made.step(
        "call",
        "Call the emergency team.",
        &[],
        Answer::Done,
        "done",
    );
    let call = Telling::CallMade {
        call: 1,
        level: CallLevel::Emergency,
        who: "emergency team".into(),
        how: "extension 4400".into(),
    };
    made.now("2026-10-25T01:50:20+01:00", vec![step, call]);
    made.by("MT, nurse");
    let step = made.step(
        "join",
        "Put a clean end back on the tube.",
        &[],
        Answer::Done,
        "done",
    );
    made.now("2026-10-25T01:51:30+01:00", vec![step]);
    let step = made.step("unclamp", "Take the clamp off.", &[], Answer::Done, "done");
    let closed = Telling::DutyClosed {
        duty: duty("clamp-on"),
        how: "Take the clamp off.".into(),
    };
    made.now("2026-10-25T01:52:05+01:00", vec![step, closed]);
    made.now(
        "2026-10-25T01:53:00+01:00",
        vec![Telling::CallAnswered {
            call: 1,
            who: "registrar on call".into(),
        }],
    );
    made.now(
        "2026-10-25T01:57:10+01:00",
        vec![Telling::CallArrived {
            call: 1,
            who: "registrar on call".into(),
        }],
    );
    made.now(
        "2026-10-25T01:01:15+00:00",
        vec![Telling::CallOrdered {
            call: 1,
            order: "X-ray now, suction off until seen".into(),
        }],
    );
    let step = made.step(
        "suction-off",
        "Take the suction tubing off the drainage unit.",
        &[],
        Answer::Done,
        "done",
    );
    let open = Telling::DutyOpened {
        duty: duty("suction-off"),
        open: "Suction is off".into(),
    };
    made.now("2026-10-25T01:02:00+00:00", vec![step, open]);
    let step = made.step(
        "patient-2",
        "Read SpO2.",
        &["patient-state"],
        amount("94 %"),
        "94%",
    );
    made.now("2026-10-25T01:03:00+00:00", vec![step]);
    made.by("KL, nurse");
    made.event(
        "2026-10-25T01:46:00+01:00",
        "2026-10-25T01:20:00+00:00",
        vec![Telling::Noted {
            text: "Heard a hiss from the bed.\nThe blanket lay over the joint.".into(),
        }],
    );
    let end = made.end(
        "The tubing has come apart",
        Outcome::Escalated,
        "The team has it. Stay with the patient.",
    );
    made.now("2026-10-25T01:21:00+00:00", vec![end]);
    made.now(
        "2026-10-25T01:21:30+00:00",
        vec![Telling::GaveUp {
            reason: "taken over by the team".into(),
        }],
    );
    let fault = made.skip(3).story();

    let mut made = Made::new("walk-round", 340);
    made.by("MT, nurse");
    let began = made.begin(
        "round",
        "Observation round",
        ListKind::Round,
        Entered::Start,
    );
    made.now("2026-10-26T00:02:00+00:00", vec![began]);
    let step = made.step(
        "swing",
        "Watch the seal for five breaths.",
        &["drain-state"],
        Answer::AsExpected,
        "as expected: the level moves with each breath",
    );
    made.now("2026-10-26T00:03:00+00:00", vec![step]);
    let step = made.step("call", "Call the doctor.", &[], Answer::Done, "done");
    let call = Telling::CallMade {
        call: 1,
        level: CallLevel::DoctorSoon,
        who: "doctor on the ward".into(),
        how: String::new(),
    };
    made.now("2026-10-26T00:04:00+00:00", vec![step, call]);
    made.now("2026-10-26T00:04:30+00:00", vec![Telling::Paused]);
    vec![fault, made.story()]
}

/// Everything that people may type, in every place where they may type it.
pub(super) fn hostile() -> Vec<WalkStory> {
    let nasty = [
        "| a | b |\n|---|---|\n| 1 | 2 |",
        "`code` and ```\nblock\n```",
        "<script>alert(1)</script><b>bold</b><!-- hidden -->",
        "*em* **strong** _em_ __strong__ ~~gone~~",
        "[link](http://evil.example.org) <http://evil.example.org> www.evil.example.org a@example.org",
        "![picture](x.png) &lt;b&gt; \\| \\",
        "abc \u{202e}cba\u{202c} \u{5e9}\u{5dc}\u{5d5}\u{5dd} 12",
        "👩\u{200d}⚕\u{fe0f} cmH₂O \u{1b}[31mred\u{7}",
        "# heading\n- item\n1. item\n> quote\n---\n===\n    code",
        "{{ head.unit }} {% raw %} $x$ \u{0}",
    ];
    let mut made = Made::new("walk-hostile", 1);
    let began = made.begin(
        "round",
        "A *title* | <b>with</b> `marks`",
        ListKind::Fault,
        Entered::Start,
    );
    made.now("2026-03-01T10:00:00+00:00", vec![began]);
    for (minute, text) in nasty.iter().enumerate() {
        let when = format!("2026-03-01T10:{:02}:00+00:00", minute * 5 + 1);
        let late = format!("2026-03-01T10:{:02}:00+00:00", minute * 5 + 20 - minute);
        let found = Answer::NotAsExpected {
            found: (*text).into(),
        };
        let step = made.step(
            "look",
            text,
            &[
                "swing",
                "equipment",
                "patient-state",
                "drain-state",
                "told",
                "first-seen",
            ],
            found,
            "",
        );
        made.now(&when, vec![step]).take_back_last();
        made.now(
            &when,
            vec![Telling::WentBack {
                asked: (*text).into(),
            }],
        );
        let reason = Answer::NotDone {
            reason: (*text).into(),
        };
        let step = made.step("look", text, &["swing", "equipment"], reason, text);
        made.event(&when, &late, vec![step]);
        let open = Telling::DutyOpened {
            duty: duty("clamp-on"),
            open: (*text).into(),
        };
        let call = Telling::CallMade {
            call: minute + 1,
            level: CallLevel::DoctorNow,
            who: (*text).into(),
            how: (*text).into(),
        };
        let done = made.step("act", text, &[], Answer::Done, text);
        made.now(
            &when,
            vec![
                open,
                done,
                Telling::Noted {
                    text: (*text).into(),
                },
            ],
        );
        made.now(&when, vec![call]);
        made.now(
            &when,
            vec![Telling::CallOrdered {
                call: minute + 1,
                order: (*text).into(),
            }],
        );
        made.now(
            &when,
            vec![Telling::CallAnswered {
                call: minute + 1,
                who: (*text).into(),
            }],
        );
        made.waive(Waiver {
            safeguard: (*text).into(),
            who: (*text).into(),
            why: (*text).into(),
            until: (*text).into(),
        });
    }
    vec![made.story()]
}
