//! A checklist as a `Questionnaire`.
//!
//! A checklist says of each answer where it leads; a `Questionnaire` says of each item under which
//! answers it is shown. So every way is turned round. What cannot be said that way (rules on what is
//! known, ways by number beside other ways, ways counted or by the ending of another checklist)
//! leaves the item always shown, and stands among the losses.

use serde_json::{Map, Value, json};

use super::response::choices_of;
use super::{ANSWERS, Code, Exported, code_of, coding, name_of, string, ucum};
use crate::checklist::model::{
    Checklist, Cut, Fact, FactBook, Jump, Library, ListId, Range, Step, StepId, StepKind, Text, Way,
};
use crate::units::{Number, Unit};

/// The `Questionnaire` of a checklist; `codes` are the confirmed ones.
#[must_use]
pub fn questionnaire(library: &Library, list: ListId, codes: &[Code]) -> Exported {
    let list = library.list(list);
    let mut losses = Vec::new();
    let conditions = Conditions::of(list);
    let mut items = Vec::new();
    for (id, step) in list.steps() {
        let Some(mut item) = item(library, list, step, codes) else {
            continue;
        };
        conditions.show_when(list, id, &mut item, &mut losses);
        lost_of_step(list, step, &mut losses);
        items.push(Value::Object(item));
    }
    let mut lost = lost_of_head(list);
    lost.extend(losses);
    lost.dedup();
    let mut resource = head(list);
    resource.insert("item".to_owned(), json!([
        {"linkId": list.name.as_str(), "type": "group", "text": string(&list.title), "item": items}
    ]));
    Exported {
        resource: Value::Object(resource),
        losses: lost,
    }
}

/// What the head of a checklist has a place for. It is a draft until somebody says otherwise.
fn head(list: &Checklist) -> Map<String, Value> {
    let mut head = Map::new();
    let mut put = |name: &str, value: Value| {
        head.insert(name.to_owned(), value);
    };
    put("resourceType", json!("Questionnaire"));
    put("url", json!(name_of(&list.fingerprint)));
    put("version", json!(list.version));
    put("name", json!(computer_name(list.name.as_str())));
    put("title", json!(string(&list.title)));
    put("status", json!("draft"));
    put("experimental", json!(true));
    put("publisher", json!(string(&list.owner)));
    put("subjectType", json!(["Patient"]));
    if let Some(about) = &list.about {
        put("description", json!(string(about)));
    }
    head
}

/// Letters and digits with a capital first, as FHIR asks of names for programs.
fn computer_name(name: &str) -> String {
    name.split('-')
        .map(|part| {
            let mut letters = part.chars();
            letters.next().map_or_else(String::new, |first| {
                first.to_uppercase().chain(letters).collect()
            })
        })
        .collect::<Vec<_>>()
        .join("_")
}

fn link(list: &Checklist, step: &Step) -> String {
    format!("{}.{}", list.name, step.name)
}

/// The item of a step; a decision asks nothing and has none.
fn item(
    library: &Library,
    list: &Checklist,
    step: &Step,
    codes: &[Code],
) -> Option<Map<String, Value>> {
    let mut item = Map::new();
    item.insert("linkId".to_owned(), json!(link(list, step)));
    let facts = library.facts();
    let mut put = |name: &str, value: Value| {
        item.insert(name.to_owned(), value);
    };
    match &step.kind {
        StepKind::Do { text, .. } | StepKind::Wait { text, .. } => {
            put("type", json!("boolean"));
            put("text", json!(words(text, facts)));
            put("item", json!([beside(list, step, "why", "Why")]));
        }
        StepKind::Check { text, expect, .. } => {
            put("type", json!("choice"));
            let asked = format!("{} Expected: {}", words(text, facts), words(expect, facts));
            put("text", json!(asked));
            put("answerOption", json!(check_options()));
            put(
                "item",
                json!([
                    beside(list, step, "found", "Found"),
                    beside(list, step, "why", "Why")
                ]),
            );
        }
        StepKind::Ask { text, answers } => {
            put("type", json!("choice"));
            put("text", json!(words(text, facts)));
            let system = choices_of(list.name.as_str());
            let options = answers.iter().map(|answer| {
                json!({"valueCoding": coding(&system, &code_of(&answer.words), &string(&answer.words))})
            });
            put("answerOption", options.collect());
        }
        StepKind::Measure { text, unit, .. } => {
            put("type", json!("quantity"));
            put("text", json!(words(text, facts)));
            put("extension", json!([unit_extension(*unit)]));
            put("item", json!([beside(list, step, "why", "Why")]));
        }
        StepKind::Use { list: other, .. } => {
            put("type", json!("display"));
            let title = &library.list(*other).title;
            put(
                "text",
                json!(string(&format!("Follow the checklist: {title}"))),
            );
        }
        StepKind::End { text, .. } => {
            put("type", json!("display"));
            put("text", json!(words(text, facts)));
        }
        StepKind::Decide { .. } => return None,
    }
    let code = codes
        .iter()
        .find(|code| step.tags.iter().any(|tag| tag.as_str() == code.tag));
    if let Some(code) = code {
        put(
            "code",
            json!([coding(&code.system, &code.code, &code.display)]),
        );
    }
    Some(item)
}

/// The text with what the unit has filled in; the rest by its name.
fn words(text: &Text, facts: &FactBook) -> String {
    string(&text.filled(|name| {
        facts
            .get(name.as_str())
            .and_then(Fact::shown)
            .unwrap_or_else(|| format!("[{name}]"))
    }))
}

/// The item for the words that stand beside an answer.
fn beside(list: &Checklist, step: &Step, name: &str, text: &str) -> Value {
    json!({"linkId": format!("{}.{name}", link(list, step)), "type": "string", "text": text})
}

fn check_options() -> Vec<Value> {
    [
        ("as-expected", "As expected"),
        ("not-as-expected", "Not as expected"),
        ("could-not-check", "Could not be checked"),
    ]
    .map(|(code, display)| json!({"valueCoding": coding(ANSWERS, code, display)}))
    .to_vec()
}

/// The unit in which a number is read: the extension questionnaire-unit of FHIR R4.
fn unit_extension(unit: Unit) -> Value {
    json!({
        "url": "http://hl7.org/fhir/StructureDefinition/questionnaire-unit",
        "valueCoding": coding("http://unitsofmeasure.org", ucum(unit), unit.symbol())
    })
}

/// A way in to a step.
enum In {
    /// Shown when all of these hold.
    When(Vec<Value>),
    /// It cannot be said when; why.
    Unsaid(&'static str),
}

/// The ways in to every step, by its place.
struct Conditions(Vec<Vec<In>>);

impl Conditions {
    fn of(list: &Checklist) -> Self {
        let mut conditions = Self(list.steps().map(|_| Vec::new()).collect());
        for (id, step) in list.steps() {
            conditions.ways_of(list, id, step);
        }
        conditions
    }

    fn ways_of(&mut self, list: &Checklist, id: StepId, step: &Step) {
        let question = link(list, step);
        let is = |value: Value| {
            let mut row = Map::new();
            row.insert("question".to_owned(), json!(question));
            row.insert("operator".to_owned(), json!("="));
            if let Value::Object(value) = value {
                row.extend(value);
            }
            In::When(vec![Value::Object(row)])
        };
        let yes_no = |yes: bool| is(json!({"answerBoolean": yes}));
        let coded = |code: &str| is(json!({"answerCoding": {"system": ANSWERS, "code": code}}));
        match &step.kind {
            StepKind::Do {
                then, if_not_done, ..
            } => {
                self.way(id, then, yes_no(true));
                self.way(id, if_not_done, yes_no(false));
            }
            StepKind::Wait {
                elapsed, if_missed, ..
            } => {
                self.way(id, elapsed, yes_no(true));
                self.way(id, if_missed, yes_no(false));
            }
            StepKind::Check {
                as_expected,
                not_as_expected,
                could_not_check,
                ..
            } => {
                self.way(id, as_expected, coded("as-expected"));
                self.way(id, not_as_expected, coded("not-as-expected"));
                self.way(id, could_not_check, coded("could-not-check"));
            }
            StepKind::Ask { answers, .. } => {
                let system = choices_of(list.name.as_str());
                for answer in answers {
                    let code = code_of(&answer.words);
                    let row = is(json!({"answerCoding": {"system": system, "code": code}}));
                    self.way(id, &answer.way, row);
                }
            }
            StepKind::Measure {
                unit,
                bands,
                not_obtained,
                ..
            } => {
                for band in bands {
                    self.way(id, &band.way, within(&question, &band.range, *unit));
                }
                self.way(
                    id,
                    not_obtained,
                    In::Unsaid("a number that could not be read"),
                );
            }
            StepKind::Decide { rows, otherwise } => {
                for way in rows.iter().map(|row| &row.way).chain([otherwise]) {
                    self.way(id, way, In::Unsaid("a rule on what is known"));
                }
            }
            StepKind::Use { endings, .. } => {
                let jumps = endings.by_outcome.iter().map(|(_, jump)| jump);
                for jump in jumps.chain(&endings.any) {
                    self.jump(id, jump, In::Unsaid("the ending of another checklist"));
                }
            }
            StepKind::End { .. } => {}
        }
    }

    fn way(&mut self, from: StepId, way: &Way, when: In) {
        match way {
            Way::Jump(jump) => self.jump(from, jump, when),
            Way::Use { endings, .. } => {
                let jumps = endings.by_outcome.iter().map(|(_, jump)| jump);
                for jump in jumps.chain(&endings.any) {
                    self.jump(from, jump, In::Unsaid("the ending of another checklist"));
                }
            }
        }
    }

    fn jump(&mut self, from: StepId, jump: &Jump, when: In) {
        match jump {
            Jump::To(to) => self.leads_to(from, *to, when),
            Jump::Counted { go, after_that, .. } => {
                self.leads_to(from, *go, In::Unsaid("a way that is counted"));
                self.leads_to(from, *after_that, In::Unsaid("a way that is counted"));
            }
        }
    }

    /// No item shows itself.
    fn leads_to(&mut self, from: StepId, to: StepId, when: In) {
        if from != to
            && let Some(ways) = self.0.get_mut(to.index())
        {
            ways.push(when);
        }
    }

    fn show_when(
        &self,
        list: &Checklist,
        id: StepId,
        item: &mut Map<String, Value>,
        losses: &mut Vec<String>,
    ) {
        let ways = &self.0[id.index()];
        if id == list.begin || ways.is_empty() {
            return;
        }
        let shown = link(list, list.step(id));
        let mut rows: Vec<Value> = Vec::new();
        for way in ways {
            match way {
                In::Unsaid(why) => {
                    losses.push(format!("{shown}: when it is shown, for it hangs on {why}"));
                    return;
                }
                In::When(all) if all.len() > 1 && ways.len() > 1 => {
                    losses.push(format!(
                        "{shown}: when it is shown, for it hangs on a stretch of numbers or another way"
                    ));
                    return;
                }
                In::When(all) => rows.extend(all.iter().cloned()),
            }
        }
        if rows.is_empty() {
            return;
        }
        let all = ways.len() == 1;
        if rows.len() > 1 {
            item.insert(
                "enableBehavior".to_owned(),
                json!(if all { "all" } else { "any" }),
            );
        }
        item.insert("enableWhen".to_owned(), Value::Array(rows));
    }
}

/// The conditions under which a number lies in a stretch.
fn within(question: &str, range: &Range, unit: Unit) -> In {
    let mut rows = Vec::new();
    let ends = [(&range.from, ">=", ">"), (&range.to, "<=", "<")];
    for (end, with, without) in ends {
        let Some((cut, belongs)) = end else { continue };
        let number = match cut {
            Cut::Fixed(number) | Cut::Fact(_, number) => *number,
            Cut::PerKg(..) => return In::Unsaid("a limit for each kilogram"),
            Cut::Unset(_) => return In::Unsaid("a number the unit has not filled in"),
        };
        rows.push(json!({
            "question": question,
            "operator": if *belongs { with } else { without },
            "answerQuantity": {
                "value": decimal(number),
                "unit": unit.symbol(),
                "system": "http://unitsofmeasure.org",
                "code": ucum(unit)
            }
        }));
    }
    if rows.is_empty() {
        rows.push(json!({"question": question, "operator": "exists", "answerBoolean": true}));
    }
    In::When(rows)
}

#[expect(
    clippy::cast_precision_loss,
    reason = "cuts are small numbers with three places"
)]
fn decimal(number: Number) -> f64 {
    number.milli() as f64 / 1000.0
}

fn lost_of_head(list: &Checklist) -> Vec<String> {
    let name = &list.name;
    let mut lost = vec![
        format!("{name}: what kind of checklist it is and how it is read"),
        format!(
            "{name}: the sources its steps name ({})",
            list.sources.len()
        ),
        format!("{name}: in which order steps come back, how often, and what is remembered"),
    ];
    let mut push = |there: bool, what: &str| {
        if there {
            lost.push(format!("{name}: {what}"));
        }
    };
    push(list.key.is_some(), "the key that starts it at once");
    push(!list.signs.is_empty(), "the signs by which it is found");
    push(
        list.recognise.is_some(),
        "the line that says whether it is the right one",
    );
    push(
        list.review_by.is_some(),
        "the day by which it is looked at again",
    );
    push(
        !list.change.is_empty(),
        "what changed from version to version",
    );
    lost
}

fn lost_of_step(list: &Checklist, step: &Step, losses: &mut Vec<String>) {
    let shown = link(list, step);
    let mut push = |there: bool, what: &str| {
        if there {
            losses.push(format!("{shown}: {what}"));
        }
    };
    push(step.caution.is_some(), "the caution before it");
    push(step.why.is_some(), "the reason for it");
    push(
        step.call.is_some(),
        "that it is a call for help, and whom to ring next",
    );
    push(
        !step.opens.is_empty() || !step.closes.is_empty(),
        "what it opens and closes",
    );
    push(step.critical, "that a slip there is dangerous");
    push(step.from_memory, "that it belongs to the first screen");
    push(
        matches!(step.kind, StepKind::Wait { .. }),
        "how long to wait, and what is too late",
    );
    push(
        matches!(step.kind, StepKind::Measure { .. }),
        "which numbers are slips of the pen",
    );
    push(
        matches!(step.kind, StepKind::End { .. }),
        "how the walk came out, and when to look again",
    );
}
