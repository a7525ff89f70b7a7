//! What must be in a picture, whatever is drawn.

use std::sync::Arc;

use super::*;
use crate::chart::reading::{Bubbling, Reading, Swing};
use crate::chart::series::tests::{entry, hourly, level, new_unit, start};
use crate::chart::{ChartEvent, What};
use crate::units::Number;

fn picture(width: u16) -> Picture {
    Picture {
        title: "d1, bay <4>, left & low".to_owned(),
        width,
        limits: vec![LimitLine {
            at: Number::whole(200),
            label: "200 mL/h: a limit".to_owned(),
        }],
        with_notes: true,
    }
}

fn told() -> Series {
    let reading = Reading {
        level: Some(Number::whole(150)),
        bubbling: Some(Bubbling::AllTheTime),
        swing: Some(Swing::Small),
        ..Reading::default()
    };
    let entries = [
        entry(1, 60, What::Reading(Arc::new(reading))),
        entry(2, 120, level(200)),
        entry(3, 150, new_unit(None)),
        entry(4, 240, level(90)),
        entry(5, 200, What::Event(ChartEvent::Transfer)),
    ];
    Series::new(start(), entries)
}

#[test]
fn a_picture_says_in_words_what_it_shows() {
    let text = svg(&told(), &picture(900)).unwrap();
    assert!(text.starts_with("<svg "), "{text}");
    assert_eq!(text.matches("<title").count(), 1);
    assert!(text.contains("<title id=\"title\">d1, bay &lt;4&gt;, left &amp; low</title>"));
    assert!(text.contains("<desc id=\"desc\">Total: at least 290 mL (280 to 300)"));
    for words in [
        "Output since the start, mL",
        "Output by the hour, mL/h",
        "limit a, 200 mL/h",
    ] {
        assert!(text.contains(words), "{words}");
    }
    // The unknown half hour.
    assert!(text.contains("?\n</text>"), "{text}");
    assert!(text.len() < 40_000, "{} bytes", text.len());
}

#[test]
fn every_width_and_an_empty_drain_are_drawn() {
    for width in [0, 320, 480, 900, 2_000, u16::MAX] {
        assert!(svg(&Series::new(start(), []), &picture(width)).is_ok());
        assert!(svg(&hourly(&[50, 150]), &picture(width)).is_ok());
    }
}

#[test]
fn a_long_drain_stays_small() {
    let entries = (1..5_000_i64).map(|n| {
        let id = u64::try_from(n).unwrap();
        entry(id, n * 15, level(i32::try_from(n).unwrap()))
    });
    let text = svg(&Series::new(start(), entries), &picture(900)).unwrap();
    assert!(text.len() < 400_000, "{} bytes", text.len());
    assert!(text.contains("Greatest hour in every"));
}

#[test]
fn notes_stand_in_the_picture_or_are_told_beside_it() {
    let with = picture(900);
    let without = Picture {
        with_notes: false,
        ..picture(900)
    };
    let (inside, bare) = (
        svg(&told(), &with).unwrap(),
        svg(&told(), &without).unwrap(),
    );
    assert!(inside.contains("c clamp off") && !bare.contains("c clamp off"));
    let notes = notes(&without).join("\n");
    assert!(notes.contains("c clamp off") && notes.contains("Limit a: 200 mL/h: a limit."));
}

/// Where a text stands: x, and y of its line.
fn place_of(svg: &str, words: &str) -> Option<(i32, i32)> {
    let at = svg.find(&format!("{words}\n</text>"))?;
    let tag = &svg[svg[..at].rfind("<text ")?..at];
    let number = |name: &str| {
        let rest = &tag[tag.find(name)? + name.len()..];
        rest.split('"').nth(1)?.parse().ok()
    };
    Some((number(" x=")?, number(" y=")?))
}

#[test]
fn a_limit_is_named_where_no_bar_stands_behind_its_words() {
    // Bars up to the limit at the left leave the right free, and the other way round.
    let left = svg(&hourly(&[300, 310, 320, 330, 340, 350]), &picture(360)).unwrap();
    let right = svg(&hourly(&[10, 20, 30, 40, 50, 350]), &picture(360)).unwrap();
    let (left, _) = place_of(&left, "limit a, 200 mL/h").unwrap();
    let (right, _) = place_of(&right, "limit a, 200 mL/h").unwrap();
    assert!(left > 120 && right < 90, "{left} {right}");
    // Behind every place stands a bar: the words have a ground of their own.
    let all = svg(&hourly(&[300, 600, 900, 1200]), &picture(360)).unwrap();
    assert!(place_of(&all, "limit a, 200 mL/h").is_some());
    let grounds = |svg: &str| svg.matches("fill=\"#FFFFFF\"").count();
    let none = Picture {
        limits: Vec::new(),
        ..picture(360)
    };
    let without = svg(&hourly(&[300, 600, 900, 1200]), &none).unwrap();
    assert_eq!(grounds(&all), grounds(&without) + 1);
}

#[test]
fn what_suction_is_set_to_now_and_every_grade_can_be_read_at_any_width() {
    let look = |id, minutes, set: &str, swing| {
        let reading = Reading {
            suction_set: crate::units::Suction::from_entry(
                crate::units::Amount::parse(set).unwrap(),
            )
            .ok(),
            swing: Some(swing),
            bubbling: Some(Bubbling::OnCough),
            ..Reading::default()
        };
        entry(id, minutes, What::Reading(Arc::new(reading)))
    };
    let entries = [
        look(1, 15, "10 cmH2O", Swing::Large),
        look(2, 90, "20 cmH2O", Swing::Seen),
        look(3, 720, "20 cmH2O", Swing::None),
    ];
    for width in [360, 800, 1_200] {
        let text = svg(&Series::new(start(), entries.clone()), &picture(width)).unwrap();
        let (before, now) = (
            place_of(&text, "\u{2212}10 cmH2O").unwrap(),
            place_of(&text, "\u{2212}20 cmH2O").unwrap(),
        );
        assert!(now.0 >= before.0 + 60, "{width}: {before:?} {now:?}");
        // In words, or where they would touch in letters.
        let letters = ["L", "x", "-"].map(|letter| place_of(&text, letter).is_some());
        let words = ["large", "seen", "none"].map(|word| place_of(&text, word).is_some());
        assert!(
            letters == [true; 3] || words == [true; 3],
            "{width}: {text}"
        );
    }
}
