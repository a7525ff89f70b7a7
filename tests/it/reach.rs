//! Every list for a fault is reached by what is seen, in at most three choices.

use std::collections::BTreeSet;
use std::sync::Arc;

use tubeside::checklist::drain_fact::DrainFacts;
use tubeside::checklist::load::load;
use tubeside::checklist::model::{Library, ListKind};
use tubeside::checklist::shelf::Shelf;
use tubeside::moment::Moment;
use tubeside::walk::Walk;
use tubeside::walk::input::{Answer, Input};
use tubeside::walk::view::Show;

fn shipped() -> Arc<Library> {
    Arc::new(load(&Shelf::shipped()).library.expect("the shipped lists"))
}

fn choices(walk: &Walk, now: Moment) -> Vec<String> {
    match walk.view(now).show {
        Show::Ask { answers, .. } => answers.into_iter().map(|one| one.words).collect(),
        _ => Vec::new(),
    }
}

/// Follows every answer to the questions of `trouble`, at most three deep, and notes each list
/// that is entered and the answers on the way.
fn entered(
    walk: &Walk,
    now: Moment,
    left: usize,
    path: &[String],
    found: &mut Vec<(String, Vec<String>)>,
) {
    let list = walk.view(now).list.to_string();
    if list != "trouble" {
        found.push((list, path.to_vec()));
        return;
    }
    if left == 0 {
        return;
    }
    for words in choices(walk, now) {
        let mut next = walk.clone();
        let input = Input::Answer {
            answer: Answer::Choice(words.clone()),
            seen: None,
        };
        next.input(input, now)
            .expect("an answer that is offered is taken");
        let path: Vec<String> = path.iter().cloned().chain([words]).collect();
        entered(&next, now, left - 1, &path, found);
    }
}

#[test]
fn trouble_reaches_every_fault_and_urgent_list_in_three_choices() {
    let library = shipped();
    let now = Moment::parse_from_rfc3339("2026-03-02T04:00:00Z").expect("a moment");
    let id = library.find("trouble").expect("the list is there");
    let (walk, _) = Walk::begin(library.clone(), id, DrainFacts::new(), now).expect("it begins");
    let mut found = Vec::new();
    entered(&walk, now, 3, &[], &mut found);
    let reached: BTreeSet<&str> = found.iter().map(|(list, _)| list.as_str()).collect();
    for (_, list) in library.lists() {
        let is_fault = matches!(list.kind, ListKind::Fault | ListKind::Urgent);
        // An empty seal is seen as one that is too low, and that list goes on to it.
        let elsewhere = ["trouble", "seal-emptied"].contains(&list.name.as_str());
        assert!(
            !is_fault || elsewhere || reached.contains(list.name.as_str()),
            "{}",
            list.name
        );
    }
}

/// A nurse who says that she is not sure is never left without a list or a call.
#[test]
fn trouble_offers_not_sure_at_every_question() {
    let library = shipped();
    let id = library.find("trouble").expect("the list is there");
    let list = library.list(id);
    let mut questions = 0;
    for (_, step) in list.steps() {
        if let tubeside::checklist::model::StepKind::Ask { answers, .. } = &step.kind {
            questions += 1;
            assert_eq!(
                answers.iter().filter(|one| one.unsure).count(),
                1,
                "{}",
                step.name
            );
        }
    }
    assert!(questions >= 6, "{questions}");
}
