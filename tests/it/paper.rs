//! Checklists on paper and as maps: every list, every way out.

use std::collections::BTreeSet;

use tubeside::checklist::load::load;
use tubeside::checklist::model::{Library, ListId, StepKind};
use tubeside::checklist::shelf::Shelf;
use tubeside::map;
use tubeside::paper::{Form, Wanted, form, html, markdown};

use crate::rig::Rig;

fn shipped() -> Library {
    load(&Shelf::shipped()).library.expect("the shipped lists")
}

fn printed(library: &Library, list: ListId, with_used: bool) -> Form {
    let wanted = Wanted {
        list,
        with_used,
        approval: "not approved",
        caution: "Call for help first.",
    };
    form(library, wanted)
}

/// Every number that a way out names.
fn goes(form: &Form) -> BTreeSet<String> {
    let outs = form
        .parts
        .iter()
        .flat_map(|part| &part.items)
        .flat_map(|item| &item.outs);
    let words = outs.flat_map(|out| out.go.split("go to ").skip(1).collect::<Vec<_>>());
    words
        .map(|word| word.chars().take_while(|c| c.is_alphanumeric()).collect())
        .collect()
}

#[test]
fn every_way_out_on_paper_leads_to_a_number_that_is_there() {
    let library = shipped();
    for (id, list) in library.lists() {
        let form = printed(&library, id, true);
        let numbers: BTreeSet<String> = form
            .parts
            .iter()
            .flat_map(|part| &part.items)
            .map(|item| item.number.clone())
            .collect();
        let missing: Vec<_> = goes(&form).difference(&numbers).cloned().collect();
        assert!(missing.is_empty(), "{}: {missing:?}", list.name);
        assert_eq!(form.parts[0].items.len(), list.steps().count());
        for ((_, step), item) in list.steps().zip(&form.parts[0].items) {
            let ways = match &step.kind {
                StepKind::Do { .. } | StepKind::Wait { .. } => 2,
                StepKind::Check { .. } => 3,
                StepKind::Ask { answers, .. } => answers.len(),
                StepKind::Measure { bands, .. } => bands.len() + 1,
                StepKind::Decide { .. } => item.outs.len().max(1),
                StepKind::Use { .. } => item.outs.len().max(2),
                StepKind::End { .. } => 0,
            };
            assert_eq!(item.outs.len(), ways, "{}/{}", list.name, step.name);
        }
    }
}

#[test]
fn a_caution_stands_directly_before_its_step_and_never_alone() {
    let library = shipped();
    let id = library.find("no-swing").expect("the list is there");
    let form = printed(&library, id, false);
    let page = html::write(&form);
    let text = markdown::write(&form);
    let mut cautions = 0;
    for item in form.parts.iter().flat_map(|part| &part.items) {
        let Some(caution) = &item.caution else {
            continue;
        };
        cautions += 1;
        let head = format!("{} {}: {}", item.number, item.kind.word(), item.text);
        assert!(
            page.contains(&format!("Caution: {caution}</p>\n<h3>{head}</h3>")),
            "{head}"
        );
        assert!(
            text.contains(&format!("**Caution:** {caution}\n\n### {head}")),
            "{head}"
        );
    }
    assert!(cautions > 2);
}

#[test]
fn the_page_has_what_a_shift_without_computers_needs() {
    let rig = Rig::new().demo_unit();
    let said = rig
        .run(&["local", "print", "no-swing", "--html", "--out", "form.html"])
        .code(0);
    assert!(said.out.contains("form.html"));
    let page = rig.read("form.html");
    for wanted in [
        "<html lang=\"en-GB\">",
        "<title>The water level has stopped swinging</title>",
        "Hospital label",
        "no-swing 1.0.0",
        "shipped, not approved here",
        "Call for help first.",
        "ring extension 21",
        "2 cm to 3 cm",
        "Part B: The patient with a drain is suddenly worse",
        "Time ____:____ Initials ______",
        "break-inside: avoid",
    ] {
        assert!(page.contains(wanted), "{wanted}");
    }
    for unwanted in ["<script", "http:", "https:", "[not set here: how water"] {
        assert!(!page.contains(unwanted), "{unwanted}");
    }
    rig.run(&["local", "print", "no-swing", "--alone"])
        .code(0)
        .says("do the form \"The patient");
    rig.run(&["local", "print", "no-swin"]).code(2);
}

/// What is not known when the form is printed is left to be written in, never guessed.
#[test]
fn what_is_not_known_is_left_open() {
    let library = shipped();
    let id = library.find("large-volume").expect("the list is there");
    let text = markdown::write(&printed(&library, id, false));
    assert!(text.contains("10 mL/kg times the weight in kg"), "{text}");
    assert!(text.contains("(not set here)"));
    assert!(text.contains("your answer at A"));
}

#[test]
fn every_list_is_drawn_within_80_columns() {
    let library = shipped();
    for (id, list) in library.lists() {
        let map = map::map(&library, id);
        let text = map::text::write(&map);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{}: {line}", list.name);
        }
        let mermaid = map::mermaid::write(&map);
        assert_eq!(
            mermaid.lines().count(),
            1 + map.nodes.len() + map.edges.len()
        );
        for (_, step) in list.steps() {
            assert!(
                text.contains(&format!("{}: ", step.name)),
                "{}/{}",
                list.name,
                step.name
            );
        }
        // Every step but an end leads somewhere, and every step but the first is led to.
        for (place, node) in map.nodes.iter().enumerate() {
            let out = map.edges.iter().any(|edge| edge.from == place);
            let into = map.edges.iter().any(|edge| edge.to == place);
            assert!(
                out || node.shape == map::Shape::End,
                "{}/{}",
                list.name,
                node.name
            );
            assert!(into || place == map.begin, "{}/{}", list.name, node.name);
        }
    }
}

#[test]
fn every_list_is_drawn_as_a_picture_with_each_of_its_steps() {
    let library = shipped();
    for (id, list) in library.lists() {
        let map = map::map(&library, id);
        let picture = map::svg::write(&map).expect("laid out");
        assert!(picture.contains(&format!("<title>{}", list.title.replace('&', "&amp;"))));
        for node in &map.nodes {
            assert!(
                picture.contains(&format!(">{}</tspan>", node.name)),
                "{}/{}",
                list.name,
                node.name
            );
        }
    }
}
