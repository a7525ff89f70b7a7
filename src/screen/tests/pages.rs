//! How pages look: width, colour, ASCII, and what stands where.

use console::{measure_text_width, strip_ansi_codes};
use proptest::prelude::*;

use super::made::{self, moment};
use crate::screen::look::{Look, Role};
use crate::screen::page::{Page, wrap};
use crate::screen::step_page::{Typing, page};
use crate::screen::ways::Topic;
use crate::screen::{Item, Menu, Tone, folded, menu_page, topic_page};
use crate::units::Unit;
use crate::walk::view::View;

const WIDTHS: [usize; 3] = [40, 80, 200];

fn look(width: usize, colour: bool, ascii: bool) -> Look {
    let wide = Look {
        width,
        colour,
        ascii,
    };
    wide.at_width(width)
}

fn wrapped(view: &View, look: Look) -> Vec<String> {
    page(view, moment(0), None, look, Typing::Keys).wrapped()
}

fn menu() -> Menu {
    Menu {
        title: "Night at bay 4".to_owned(),
        lines: vec![
            (
                Tone::Caution,
                "supports and never replaces local policy".to_owned(),
            ),
            (
                Tone::Overdue,
                "chart reading of drain d1 since 03:00".to_owned(),
            ),
        ],
        items: vec![
            Item::keyed('r', "Resume: no swing").detail("paused 20 min ago"),
            Item::numbered("Prepare the drainage unit"),
            Item::numbered("The hourly round"),
        ],
        urgent: made::urgent(),
        look_again: None,
        leave: Some("Leave".to_owned()),
    }
}

#[test]
fn no_line_is_wider_than_the_page() {
    for width in WIDTHS {
        for view in made::every_kind() {
            for line in wrapped(&view, look(width, true, false)) {
                assert!(measure_text_width(&line) <= width, "{width}: {line:?}");
            }
        }
        for line in menu_page::page(&menu(), look(width, true, false)).wrapped() {
            assert!(measure_text_width(&line) <= width, "{width}: {line:?}");
        }
    }
}

#[test]
fn without_colour_the_same_stands_there() {
    for width in WIDTHS {
        for view in made::every_kind() {
            let coloured = wrapped(&view, look(width, true, true));
            let plain = wrapped(&view, look(width, false, true));
            assert!(coloured.iter().any(|line| line.contains('\u{1b}')));
            let stripped: Vec<String> = coloured
                .iter()
                .map(|line| strip_ansi_codes(line).into_owned())
                .collect();
            assert_eq!(stripped, plain);
        }
    }
}

#[test]
fn ascii_means_ascii() {
    let mut view = made::checking();
    view.title = "Suction at 20 cmH₂O — too strong?".to_owned();
    view.caution = Some("Below −20 cmH₂O · “high” ≥ 2 kPa… 日本".to_owned());
    let text = wrapped(&view, look(80, false, true)).join("\n");
    assert!(text.is_ascii(), "{text}");
    assert!(text.contains("20 cmH2O - too strong?"), "{text}");
    assert!(
        text.contains("Below -20 cmH2O * \"high\" >= 2 kPa... ??"),
        "{text}"
    );
    let full = wrapped(&view, look(80, false, false)).join("\n");
    assert!(full.contains("20 cmH₂O — too strong?"), "{full}");
}

#[test]
fn a_page_with_nothing_but_ascii_in_it_stays_ascii_in_itself() {
    for view in made::every_kind() {
        let text = wrapped(&view, look(80, false, false)).join("\n");
        assert!(text.is_ascii(), "{text}");
    }
}

#[test]
fn hostile_text_reaches_no_terminal() {
    let mut view = made::doing();
    view.title = "a\u{1b}[2Jb\u{7}c\u{202e}d\r\ne\u{9b}31m".to_owned();
    view.caution = Some("x\u{0}\u{8}y\u{200b}z".to_owned());
    for typing in [Typing::Keys, Typing::Lines] {
        let page = page(&view, moment(0), None, look(80, false, false), typing);
        for line in page.wrapped().iter().chain(&page.plain()) {
            assert!(!line.chars().any(char::is_control), "{line:?}");
            assert!(!line.contains(['\u{202e}', '\u{200b}']), "{line:?}");
        }
    }
}

#[test]
fn the_caution_stands_directly_before_the_step() {
    let lines = wrapped(&made::crowded(), look(80, false, true));
    let caution = lines.iter().position(|line| line.starts_with("Caution: "));
    let step = lines.iter().position(|line| line.starts_with("Straighten"));
    assert_eq!(caution.map(|at| at + 1), step, "{lines:#?}");
}

#[test]
fn a_crowded_step_says_everything_that_matters() {
    let text = wrapped(&made::crowded(), look(200, false, true)).join("\n");
    for part in [
        "Overdue: call 1 to Doctor on call, made 03:54, no answer for 6 min. Then call Site registrar: 4321. [c]",
        "Unfinished: call 2 to Doctor on call, made 03:54, no answer yet, due 04:02.",
        "Overdue: A clamp is on the drain since 03:48, overdue since 03:58.",
        "Held: The hourly round (interrupted), at: Read the level.",
        "Where: From the dressing",
        "Why: A kink or a loop of fluid stops the swing. A slip here is dangerous.",
        "  y  done",
        "b back",
        "Urgent keys: ! The patient is getting worse  D The tubing has come apart",
    ] {
        let flat = text
            .replace('\n', " ")
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        let part = part.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(&part), "{part}\nis not in\n{text}");
    }
    let first = text.lines().nth(1).unwrap_or_default();
    assert!(first.starts_with("Overdue: "), "{text}");
}

#[test]
fn why_is_shown_at_once_for_critical_steps_only() {
    let mut view = made::crowded();
    view.critical = false;
    let text = wrapped(&view, look(80, false, true)).join("\n");
    assert!(!text.contains("Why:"), "{text}");
    let page = topic_page::page(&view, Topic::Why, moment(0), made::look(), Typing::Keys);
    assert_eq!(
        page.plain(),
        [
            "Why: A kink or a loop of fluid stops the swing.",
            "Source: Invented handbook, 2020, section 3"
        ]
    );
}

#[test]
fn the_first_screen_of_an_urgent_list_has_at_most_twelve_lines() {
    let mut view = made::first_screen();
    for busy in [false, true] {
        if busy {
            view.calls = vec![made::call(1, Some(moment(2)))];
            view.duties = vec![made::duty()];
        }
        let lines = wrapped(&view, look(80, false, true));
        assert!(lines.len() <= 12, "{lines:#?}");
        let text = lines.join("\n");
        for part in [
            "Urgent: The tubing has come apart",
            "Right list? The tubing is off",
            "Done  1 Call for help. [emergency team: 2222]",
            "Caution: Air can enter",
            "Now > 2 Put the open end",
            "y done  n not done",
        ] {
            assert!(text.contains(part), "{part}\nis not in\n{text}");
        }
    }
}

#[test]
fn every_key_is_shown_at_the_foot() {
    for width in WIDTHS {
        let lines = wrapped(&made::checking(), look(width, false, true));
        let text = lines.join("\n");
        for part in [
            "  y  as expected",
            "  n  not as expected",
            "  u  could not check",
            "b back",
            "t note",
            "w why",
            "l seen earlier",
            "p pause",
            "x stop for good",
            "? help",
            "! The patient",
            "D The tubing",
        ] {
            assert!(text.contains(part), "{part}\nis not in\n{text}");
        }
    }
}

#[test]
fn a_pressure_asks_for_its_unit_and_a_wait_shows_when_it_is_over() {
    let text = wrapped(&made::measuring(Unit::CmH2O, 0, 60), made::look()).join("\n");
    assert!(
        text.contains("Write: a number with its unit, such as cmH2O. Plausible: 0 to 60 cmH2O"),
        "{text}"
    );
    let text = wrapped(&made::waiting(), made::look()).join("\n");
    assert!(
        text.contains("Watch until 04:05. Began 04:00, now 04:00. Still 5 min."),
        "{text}"
    );
    let late = page(
        &made::waiting(),
        moment(9),
        None,
        made::look(),
        Typing::Keys,
    );
    assert!(
        late.wrapped()
            .join("\n")
            .contains("The time has been over for 4 min.")
    );
}

#[test]
fn an_end_names_what_was_left_undone() {
    let text = wrapped(&made::ending(), made::look()).join("\n");
    assert!(
        text.contains("Left undone: Label the drain. Reason: no labels"),
        "{text}"
    );
    assert!(text.contains("Look again in 15 min"), "{text}");
}

#[test]
fn after_an_interruption_the_last_answer_is_repeated() {
    let text = wrapped(&made::repeating(), made::look()).join("\n");
    assert!(text.contains("Is the clamp off?"), "{text}");
    assert!(text.contains("as expected, 03:52 (8 min ago)"), "{text}");
    let text = wrapped(&made::paused(), made::look()).join("\n");
    assert!(
        text.contains("Hold at: The water level has stopped swinging: Straighten"),
        "{text}"
    );
}

#[test]
fn the_menu_shows_urgent_keys_first() {
    let lines = menu_page::page(&menu(), made::look()).wrapped();
    assert!(
        lines[1].starts_with("Urgent keys: ! The patient is getting worse"),
        "{lines:#?}"
    );
    let text = lines.join("\n");
    for part in [
        "Caution: supports and never replaces local policy",
        "Overdue: chart reading",
        "  r  Resume: no swing (paused 20 min ago)",
        "  1  Prepare the drainage unit",
        "  2  The hourly round",
        "Keys: q Leave",
    ] {
        assert!(text.contains(part), "{part}\nis not in\n{text}");
    }
}

#[test]
fn the_look_follows_the_environment() {
    let env = |pairs: &'static [(&str, &str)]| {
        move |name: &str| {
            let found = pairs.iter().find(|(key, _)| *key == name);
            found.map(|(_, value)| (*value).to_owned())
        }
    };
    let utf8 = Look::from_env(env(&[("LANG", "en_GB.UTF-8"), ("TERM", "xterm")]), Some(60));
    assert_eq!((utf8.width, utf8.colour, utf8.ascii), (60, true, false));
    let no_colour = Look::from_env(env(&[("NO_COLOR", ""), ("LANG", "en_GB.utf8")]), Some(60));
    assert!(!no_colour.colour && !no_colour.ascii);
    let dumb = Look::from_env(env(&[("TERM", "dumb"), ("LANG", "en_GB.UTF-8")]), Some(60));
    assert!(!dumb.colour);
    let over = Look::from_env(env(&[("LC_ALL", "C"), ("LANG", "en_GB.UTF-8")]), None);
    assert!(over.ascii && !over.colour && over.width == 80);
    let asked = env(&[("LANG", "en_GB.UTF-8"), ("TUBESIDE_ASCII", "1")]);
    assert!(Look::from_env(asked, Some(300)).ascii);
}

#[test]
fn words_of_two_columns_and_long_words_are_wrapped_by_columns() {
    assert_eq!(wrap("one two three", 8, 2), ["one two", "  three"]);
    assert_eq!(wrap("日本日本日", 8, 0), ["日本日本", "日"]);
    assert_eq!(wrap("abcdefghijkl", 8, 2), ["abcdefgh", "  ijkl"]);
    assert_eq!(wrap("", 8, 2), Vec::<String>::new());
    assert_eq!(wrap("2 cm to 3 cm, so", 9, 0), ["2 cm to", "3 cm, so"]);
    assert_eq!(wrap("below 20 cmH2O.", 10, 0), ["below", "20 cmH2O."]);
    assert_eq!(wrap("in 5  min or 5 men", 10, 0), ["in 5 min", "or 5 men"]);
}

proptest! {
    #[test]
    fn wrapping_keeps_every_word_and_the_width(text in "[a-z日é ]{0,200}", width in 8_usize..60, hang in 0_usize..12) {
        let lines = wrap(&text, width, hang);
        for line in &lines {
            prop_assert!(measure_text_width(line) <= width, "{line:?}");
        }
        let letters = |text: &str| text.chars().filter(|c| *c != ' ').collect::<String>();
        prop_assert_eq!(letters(&lines.concat()), letters(&text));
    }

    #[test]
    fn no_text_breaks_a_page(text in ".{0,300}", width in 0_usize..250, ascii in any::<bool>()) {
        let look = look(width, true, ascii);
        let mut made = Page::new(look);
        made.words(Role::Task, "Where: ", &text);
        made.answers([("1".to_owned(), text.clone())]);
        made.keys("Urgent: ", [("!".to_owned(), text.clone())]);
        for line in made.wrapped() {
            prop_assert!(measure_text_width(&line) <= look.width, "{line:?}");
            prop_assert!(!strip_ansi_codes(&line).chars().any(char::is_control));
        }
    }
}

#[test]
fn lines_break_between_words_and_places_and_commands_do_not() {
    let text = "a\n  one two three four\n\n  averyveryverylongword b";
    assert_eq!(
        folded(text, 12),
        "a\n  one two\n    three\n    four\n\n  averyveryverylongword\n    b"
    );
    assert_eq!(folded(text, 100), text);
    let text = "error: a word that is long enough to be broken\n\
                12 |       then: wach-and-more-of-it-than-fits\n\
                \x20 --> my-unit/adaptations/no-swing.yaml:33:13\n\
                \x20  = help: did you mean \"watch\", or another one?\n\
                \x20 tubeside local check --local a-folder-of-ours\n";
    let expected = "error: a word that is long\n\
                    \x20 enough to be broken\n\
                    12 |       then: wach-and-more-of-it-than-fits\n\
                    \x20 --> my-unit/adaptations/no-swing.yaml:33:13\n\
                    \x20  = help: did you mean \"watch\",\n\
                    \x20    or another one?\n\
                    \x20 tubeside local check --local a-folder-of-ours\n";
    assert_eq!(folded(text, 32), expected);
}
