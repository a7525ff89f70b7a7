//! Totals, hours and largest windows, on told values and on made ones.

use crate::chart::series::tests::{at, entry, hourly, level, new_unit, start};
use crate::chart::{Entry, Output, Series, Unmeasured, What};
use crate::units::{Number, Span};
use proptest::prelude::*;

fn nominal(outputs: &[Output]) -> Vec<i64> {
    let each = outputs.iter().map(|o| o.volume.nominal.milli() / 1000);
    each.collect()
}

// NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, table 2: the hour's output is
// this reading less the last; a new drainage unit returns to zero and the total is carried on.
#[test]
fn hours_and_total_run_on_across_a_change_of_drainage_unit() {
    let entries = [
        entry(1, 60, level(150)),
        entry(2, 120, level(320)),
        entry(3, 120, new_unit(Some(320))),
        entry(4, 120, level(0)),
        entry(5, 180, level(90)),
    ];
    let series = Series::new(start(), entries);
    assert!(series.problems().is_empty());
    assert_eq!(nominal(&series.hours()), [150, 170, 90]);
    assert_eq!(nominal(&[series.total()]), [410]);
    assert!(series.hours().iter().all(|hour| !hour.is_partial()));
}

#[test]
fn each_level_is_good_to_half_a_graduation() {
    let series = hourly(&[100, 200]);
    // The start's mark is exact, the level after one hour good to 5 mL.
    assert_eq!(series.hours()[0].volume.to_string(), "100 mL (95 to 105)");
    assert_eq!(series.hours()[1].volume.to_string(), "100 mL (90 to 110)");
    let quarter = series.output(at(60), at(75));
    assert_eq!(quarter.volume.to_string(), "25 mL (15 to 35)");
    assert_eq!(
        quarter.per_hour().unwrap().to_string(),
        "100 mL/h (60 to 140)"
    );
    assert_eq!(series.output(at(60), at(60)).volume.to_string(), "0 mL");
}

#[test]
fn each_drainage_unit_in_a_window_adds_its_own_doubt() {
    // Some fluid came into the new drainage unit in the minute of the change.
    let entries = [
        entry(1, 60, level(100)),
        entry(2, 60, new_unit(Some(100))),
        entry(3, 60, level(30)),
    ];
    let series = Series::new(start(), entries);
    let output = series.output(at(30), at(60));
    // Half way from the exact mark to the first level: 2.5 mL; that level 5 mL; the second
    // drainage unit once above its exact mark: 5 mL.
    assert_eq!(output.volume.to_string(), "80 mL (67.5 to 92.5)");
}

#[test]
fn nothing_is_assumed_outside_the_readings() {
    let series = hourly(&[60]);
    let around = series.output(at(-30), at(90));
    assert_eq!(nominal(std::slice::from_ref(&around)), [60]);
    let gaps: Vec<_> = around
        .unknown
        .iter()
        .map(|g| (g.from, g.to, g.why))
        .collect();
    assert_eq!(
        gaps,
        [
            (at(-30), at(0), Unmeasured::BeforeStart),
            (at(60), at(90), Unmeasured::NotYet),
        ]
    );
    assert_eq!(around.known().num_minutes(), 60);
    assert_eq!(series.output(at(100), at(160)).per_hour(), None);
    assert_eq!(nominal(&[series.last(Span::minutes(30), at(60))]), [30]);
    // An end before its beginning is an empty window.
    assert_eq!(nominal(&[series.output(at(60), at(0))]), [0]);
}

#[test]
fn what_came_at_the_start_belongs_to_the_first_hour_only() {
    let entries = [entry(1, 0, level(800)), entry(2, 120, level(860))];
    let series = Series::new(start(), entries);
    assert_eq!(nominal(&series.hours()), [830, 30]);
    assert_eq!(nominal(&[series.largest(Span::minutes(60))]), [830]);
}

#[test]
fn a_largest_window_is_found_between_the_hours() {
    let entries = [
        entry(1, 50, level(10)),
        entry(2, 70, level(130)),
        entry(3, 120, level(135)),
    ];
    let series = Series::new(start(), entries);
    let most = series.largest(Span::minutes(20));
    assert_eq!(nominal(std::slice::from_ref(&most)), [120]);
    assert_eq!((most.from, most.to), (at(50), at(70)));
    assert_eq!(series.rests_on(most.from, most.to).len(), 2);
    // A window longer than the drain's life begins with the drain.
    assert_eq!(series.largest(Span::minutes(500)).from, at(0));
}

#[test]
fn shifts_and_long_gaps() {
    let series = hourly(&[60, 120, 180]);
    let shifts = series.between(&[at(0), at(90), at(180)]);
    assert_eq!(nominal(&shifts), [90, 90]);
    assert_eq!(series.gaps_over(Span::minutes(60)), []);
    assert_eq!(series.gaps_over(Span::minutes(59)).len(), 3);
    assert!(series.intervals(at(0), Span(0), at(60)).is_empty());
}

/// A drain told in steps: minutes until the next reading, growth in mL, and whether the drainage
/// unit is changed there.
fn made(steps: &[(i64, i32, bool)]) -> Vec<Entry> {
    let (mut minutes, mut ml, mut entries) = (0, 0, Vec::new());
    let mut push = |minutes, what| {
        let id = u64::try_from(entries.len()).unwrap() + 1;
        entries.push(entry(id, minutes, what));
    };
    for (wait, growth, change) in steps {
        minutes += wait;
        ml += growth;
        push(minutes, level(ml));
        if *change {
            push(minutes, new_unit(Some(ml)));
            ml = 0;
        }
    }
    entries
}

/// The same with some readings corrected later and some struck out; levels still only rise.
fn with_corrections(mut entries: Vec<Entry>, made_up: &mut Made) -> Vec<Entry> {
    let mut before = 0;
    for index in 0..entries.len() {
        let What::Reading(reading) = &entries[index].what else {
            before = 0;
            continue;
        };
        let milli = reading.level.unwrap().milli();
        let last = entries.get(index + 1);
        let ends_a_unit = last.is_some_and(|next| matches!(next.what, What::NewUnit { .. }));
        let reading = match made_up.below(8) {
            _ if ends_a_unit => None,
            0 => Some(Some(i32::try_from((before + milli) / 2_000).unwrap())),
            1 if index > 0 => Some(None),
            _ => None,
        };
        let Some(right) = reading else {
            before = milli;
            continue;
        };
        let id = u64::try_from(entries.len()).unwrap() + 1;
        let minutes = (entries[index].at - at(0)).num_minutes();
        let reading = right.map(|ml| match level(ml) {
            What::Reading(reading) => reading,
            _ => unreachable!("a level is a reading"),
        });
        before = right.map_or(before, |ml| i64::from(ml) * 1_000);
        let of = entries[index].id;
        entries.push(entry(id, minutes, What::Correction { of, reading }));
    }
    entries
}

/// An entry as the reference script reads it.
fn table_line(series: i32, entry: &Entry) -> String {
    let minutes = (entry.at - at(0)).num_minutes();
    let nought = Number::whole(0);
    let (kind, ml, of) = match &entry.what {
        What::Reading(reading) => ("level", reading.level.unwrap(), 0),
        What::Correction { of, reading } => match reading {
            Some(reading) => ("correction", reading.level.unwrap(), of.0),
            None => ("struck", nought, of.0),
        },
        _ => ("change", nought, 0),
    };
    format!("{series},{},{minutes},{kind},{ml},{of}", entry.id.0)
}

fn steps() -> impl Strategy<Value = Vec<(i64, i32, bool)>> {
    prop::collection::vec((1_i64..200, 0..400, prop::bool::weighted(0.1)), 1..30)
}

proptest! {
    #[test]
    fn totals_do_not_depend_on_the_order_of_entry(
        steps in steps(),
        keys in prop::collection::vec(any::<u32>(), 60),
    ) {
        let entries = made(&steps);
        let mut shuffled: Vec<_> = entries.iter().cloned().zip(keys).collect();
        shuffled.sort_by_key(|pair| pair.1);
        let told = Series::new(start(), entries);
        let shuffled = Series::new(start(), shuffled.into_iter().map(|pair| pair.0));
        prop_assert_eq!(told.total(), shuffled.total());
        prop_assert_eq!(told.hours(), shuffled.hours());
        prop_assert_eq!(told.problems(), shuffled.problems());
    }

    #[test]
    fn writing_late_changes_no_total(steps in steps(), keys in prop::collection::vec(any::<u64>(), 60)) {
        // Readings alone, numbered as if they were written in any order.
        let steps: Vec<_> = steps.into_iter().map(|(wait, ml, _)| (wait, ml, false)).collect();
        let entries = made(&steps);
        let told = Series::new(start(), entries.clone());
        let mut late = entries;
        for (entry, key) in late.iter_mut().zip(keys) {
            entry.id.0 |= key << 8;
        }
        prop_assert_eq!(told.total().volume, Series::new(start(), late).total().volume);
    }

    #[test]
    fn splitting_an_interval_changes_no_total(steps in steps(), cut in 0_i64..6_000) {
        let series = Series::new(start(), made(&steps));
        let ends = series.known_ends();
        let (from, to) = (series.moment(ends.0), series.moment(ends.1));
        let middle = series.moment((ends.0 + cut * 60 + 7).min(ends.1));
        let whole = series.output(from, to).volume.nominal.milli();
        let parts = [series.output(from, middle), series.output(middle, to)];
        let sum: i64 = parts.iter().map(|p| p.volume.nominal.milli()).sum();
        // Each part is rounded to a thousandth.
        prop_assert!((sum - whole).abs() <= 1, "{sum} {whole}");
        prop_assert_eq!(whole, series.total().volume.nominal.milli());
        let grown: i32 = steps.iter().map(|s| s.1).sum();
        prop_assert_eq!(whole, i64::from(grown) * 1000);
    }

    #[test]
    fn a_later_reading_changes_no_earlier_hour(steps in steps(), wait in 1_i64..300, ml in 0..500) {
        let before = Series::new(start(), made(&steps));
        let mut more = steps;
        more.push((wait, ml, false));
        let after = Series::new(start(), made(&more));
        for (early, late) in before.hours().iter().zip(after.hours()) {
            if !early.is_partial() {
                prop_assert_eq!(early.volume, late.volume);
            }
        }
    }

    #[test]
    fn no_window_exceeds_the_total_and_none_is_missed(
        steps in steps(), length in 1_u32..600, probe in 0_i64..6_000,
    ) {
        let series = Series::new(start(), made(&steps));
        let largest = series.largest(Span::minutes(length)).volume;
        prop_assert!(largest.nominal <= series.total().volume.nominal);
        let end = series.moment((series.known_ends().0 + probe * 60).min(series.known_ends().1));
        let other = series.last(Span::minutes(length), end).volume;
        prop_assert!(other.nominal <= largest.nominal);
    }

    #[test]
    fn a_range_contains_its_nominal(steps in steps(), from in 0_i64..4_000, length in 0_i64..600) {
        let series = Series::new(start(), made(&steps));
        let output = series.output(at(from), at(from + length));
        for value in [Some(output.volume), output.per_hour()].into_iter().flatten() {
            let (low, high) = value.bounds.unwrap();
            prop_assert!(low <= value.nominal && value.nominal <= high);
            prop_assert!(low >= Number::whole(0));
        }
    }
}

/// A small generator of made numbers, the same in every run (constants of Knuth's MMIX, from
/// The Art of Computer Programming, volume 2, from memory; any others would do).
struct Made(u64);

impl Made {
    fn below(&mut self, bound: u64) -> i64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        i64::try_from((self.0 >> 33) % bound).unwrap()
    }
}

/// Hundreds of made series with their totals, interpolations and largest windows, for the check
/// against pandas and numpy in tests/reference/chart.py.
#[test]
fn writes_table_chart() {
    let (mut levels, mut answers) = (Vec::new(), Vec::new());
    let mut made_up = Made(7);
    for number in 0..300 {
        let steps: Vec<_> = (0..2 + made_up.below(25))
            .map(|_| {
                let growth = i32::try_from(made_up.below(300)).unwrap();
                (1 + made_up.below(150), growth, made_up.below(10) == 0)
            })
            .collect();
        let entries = with_corrections(made(&steps), &mut made_up);
        levels.extend(entries.iter().map(|entry| table_line(number, entry)));
        let series = Series::new(start(), entries);
        let end = (series.moment(series.known_ends().1) - at(0)).num_minutes();
        let mut answer = |what: &str, from: i64, length: i64, output: &Output| {
            let (low, high) = output.volume.bounds.unwrap();
            let milli = output.volume.nominal.milli();
            let (low, high) = (low.milli(), high.milli());
            answers.push(format!(
                "{number},{what},{from},{length},{milli},{low},{high}"
            ));
        };
        answer("total", 0, end, &series.total());
        for _ in 0..5 {
            let from = made_up.below(u64::try_from(end).unwrap());
            let length = made_up.below(u64::try_from(end - from).unwrap()) + 1;
            answer(
                "output",
                from,
                length,
                &series.output(at(from), at(from + length)),
            );
        }
        for length in [30, 60, 120, 1440] {
            let largest = series.largest(Span::minutes(length));
            answer("largest", 0, length.into(), &largest);
        }
    }
    assert_eq!(answers.len(), 300 * 10);
    crate::tables::write("chart_levels", "series,entry,minutes,kind,ml,of", &levels);
    let header = "series,what,from,length,milli,low,high";
    crate::tables::write("chart_answers", header, &answers);
}
