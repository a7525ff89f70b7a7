//! Views, menus and a setup to test with. Everything here is invented.

use crate::checklist::model::{CallLevel, ListKind, Outcome};
use crate::moment::Moment;
use crate::names::{DutyName, ListName, StepName};
use crate::screen::{Look, Setup};
use crate::units::{Number, Span, Unit};
use crate::walk::view::{
    Action, CallTo, Choice, Held, OpenCall, OpenDuty, Show, Undone, UrgentKey, View,
};

/// 04:00 on a made day, plus minutes.
pub fn moment(minutes: i64) -> Moment {
    let four = Moment::parse_from_rfc3339("2026-03-02T04:00:00+00:00").expect("a moment");
    four + chrono::TimeDelta::minutes(minutes)
}

/// Reads "04:10" on the made day; ten minutes ago is 04:10, too.
pub fn read_moment(text: &str) -> Result<Moment, String> {
    let text = text.trim();
    if text == "10 min ago" {
        return Ok(moment(10));
    }
    let text = text.strip_prefix("2026-03-02 ").unwrap_or(text);
    Moment::parse_from_rfc3339(&format!("2026-03-02T{text}:00+00:00"))
        .map_err(|_| format!("\"{text}\" is not a time: write it like 04:10"))
}

/// Doubts every text with the made name in it.
pub fn doubt_text(text: &str) -> Option<String> {
    text.contains("Mrs")
        .then(|| "this may name somebody".to_owned())
}

pub fn list(name: &str) -> ListName {
    ListName::new(name).expect("a name")
}

pub fn urgent() -> Vec<UrgentKey> {
    [
        ('!', "worse", "The patient is getting worse"),
        ('D', "apart", "The tubing has come apart"),
    ]
    .map(|(key, name, title)| UrgentKey {
        key,
        list: list(name),
        title: title.to_owned(),
    })
    .to_vec()
}

pub fn look() -> Look {
    Look {
        width: 80,
        colour: false,
        ascii: true,
    }
}

pub fn setup() -> Setup<'static> {
    Setup {
        look: look(),
        read_moment: &read_moment,
        doubt_text: &doubt_text,
        urgent: urgent(),
    }
}

/// A view of the made list at the step "tubing".
pub fn view(show: Show) -> View {
    View {
        list: list("no-swing"),
        title: "The water level has stopped swinging".to_owned(),
        version: "1.0.0".to_owned(),
        kind: ListKind::Fault,
        step: StepName::new("tubing").expect("a name"),
        number: 3,
        caution: None,
        place: None,
        why: None,
        sources: Vec::new(),
        critical: false,
        show,
        held: Vec::new(),
        calls: Vec::new(),
        duties: Vec::new(),
        urgent: urgent(),
        can_go_back: true,
        notices: Vec::new(),
    }
}

pub fn action(text: &str) -> Action {
    Action {
        text: text.to_owned(),
        call: None,
        done: false,
    }
}

pub fn doing() -> View {
    view(Show::Do {
        action: action("Straighten the tubing from chest to drainage unit."),
    })
}

pub fn checking() -> View {
    view(Show::Check {
        text: "Watch the seal for five breaths.".to_owned(),
        expect: "The level moves with each breath.".to_owned(),
    })
}

pub fn asking() -> View {
    let choice = |words: &str, unsure| Choice {
        words: words.to_owned(),
        unsure,
    };
    view(Show::Ask {
        text: "Is the patient getting worse?".to_owned(),
        answers: vec![
            choice("worse", false),
            choice("no worse", false),
            choice("not sure", true),
        ],
    })
}

pub fn measuring(unit: Unit, low: i32, high: i32) -> View {
    view(Show::Measure {
        text: "Read the gauge.".to_owned(),
        unit,
        plausible: (Number::whole(low), Number::whole(high)),
        bands: vec!["below 2".to_owned(), "at least 2".to_owned()],
    })
}

pub fn waiting() -> View {
    view(Show::Wait {
        text: "Watch the seal.".to_owned(),
        started: moment(0),
        due: moment(5),
    })
}

pub fn ending() -> View {
    view(Show::End {
        text: "The drain is ready.".to_owned(),
        outcome: Outcome::Ready,
        recheck: Some(Span::minutes(15)),
        undone: vec![Undone {
            asked: "Label the drain.".to_owned(),
            reason: "no labels".to_owned(),
        }],
        last: true,
    })
}

pub fn repeating() -> View {
    view(Show::Repeat {
        asked: "Is the clamp off?".to_owned(),
        answered: "as expected".to_owned(),
        seen: moment(-8),
        ago: Span::minutes(8),
    })
}

pub fn paused() -> View {
    view(Show::Paused {
        since: moment(-20),
        hold_at: "The water level has stopped swinging: Straighten the tubing.".to_owned(),
    })
}

pub fn over() -> View {
    view(Show::Over {
        outcome: Outcome::Resolved,
        recheck: Some(moment(15)),
    })
}

/// The first screen of an urgent list, as long as one may be.
pub fn first_screen() -> View {
    let mut view = view(Show::Urgent {
        recognise: Some("The tubing is off the catheter, or air is heard at the join.".to_owned()),
        actions: vec![
            Action {
                call: Some(CallTo {
                    level: CallLevel::Emergency,
                    who: Some("emergency team".to_owned()),
                    how: Some("2222".to_owned()),
                }),
                done: true,
                ..action("Call for help.")
            },
            action("Put the open end of the catheter under sterile water."),
            action("Look at the patient: breathing, colour, SpO2, pulse."),
        ],
        current: 1,
    });
    view.kind = ListKind::Urgent;
    view.title = "The tubing has come apart".to_owned();
    view.caution = Some("Air can enter the chest through an open catheter.".to_owned());
    view
}

pub fn call(number: usize, due: Option<Moment>) -> OpenCall {
    OpenCall {
        call: number,
        level: CallLevel::DoctorNow,
        who: "Doctor on call".to_owned(),
        called: moment(-6),
        answered: None,
        arrived: None,
        next: Some(CallTo {
            level: CallLevel::DoctorNow,
            who: Some("Site registrar".to_owned()),
            how: Some("4321".to_owned()),
        }),
        due,
    }
}

pub fn duty() -> OpenDuty {
    OpenDuty {
        duty: DutyName::new("clamp-on").expect("a name"),
        open: "A clamp is on the drain".to_owned(),
        close: "Take the clamp off".to_owned(),
        since: moment(-12),
        due: Some(moment(-2)),
        doubtful: false,
    }
}

/// A step with everything that can stand around it.
pub fn crowded() -> View {
    let mut view = doing();
    view.caution = Some("A kinked tube lets pressure build up in the chest.".to_owned());
    view.place = Some("From the dressing down to the drainage unit".to_owned());
    view.why = Some("A kink or a loop of fluid stops the swing.".to_owned());
    view.sources = vec!["Invented handbook, 2020, section 3".to_owned()];
    view.critical = true;
    view.held = vec![Held {
        title: "The hourly round".to_owned(),
        at: "Read the level.".to_owned(),
        interrupted: true,
    }];
    view.calls = vec![call(1, Some(moment(-4))), call(2, Some(moment(2)))];
    view.duties = vec![duty()];
    view
}

/// One of every kind.
pub fn every_kind() -> Vec<View> {
    vec![
        doing(),
        checking(),
        asking(),
        measuring(Unit::CmH2O, 0, 60),
        waiting(),
        ending(),
        repeating(),
        paused(),
        over(),
        first_screen(),
        crowded(),
    ]
}
