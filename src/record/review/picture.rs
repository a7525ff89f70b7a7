//! Pictures for the report: bars and ranges by month, in black and grey, with words for who cannot
//! see them. No text from people or files stands in them.

use std::fmt::Write as _;

use super::SMALL;
use super::facts::{Count, MonthRow, ReviewFacts, Spread};
use crate::units::Span;

/// A picture, and what is to be seen in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The picture as SVG, alone in its file.
    pub svg: String,
    /// The same in words.
    pub words: String,
}

/// Width of a picture, pixels.
const WIDE: f64 = 720.0;
/// Where the months begin, and where they end.
const LEFT: f64 = 70.0;
const RIGHT: f64 = WIDE - 15.0;
/// Height of a panel with its title and its months.
const PANEL: f64 = 190.0;
/// The top and the bottom of what is drawn in it.
const TOP: f64 = 34.0;
const BOTTOM: f64 = PANEL - 32.0;
/// So many months get their name under them at most.
const NAMED: usize = 12;
/// Lengths of time that get a line: 1 s, 10 s, 1 min, 10 min, 1 h, 10 h, 100 h.
const TIMES: [u32; 7] = [1, 10, 60, 600, 3_600, 36_000, 360_000];

impl ReviewFacts {
    /// How much there was of what, by month; `None` without a month.
    #[must_use]
    pub fn picture_of_months(&self) -> Option<Picture> {
        let panels = [
            bars("Walks begun", &self.months, |row| row.walks),
            bars("Limits met", &self.months, |row| row.limits_met),
        ];
        let note = format!(
            "A dashed bar stands for 1 to {}: the number is hidden.",
            SMALL - 1
        );
        picture(&self.months, &panels, &note)
    }

    /// How long calls took, by month; `None` without a month.
    #[must_use]
    pub fn picture_of_waits(&self) -> Option<Picture> {
        let panels = [
            ranges("From seen to call", &self.months, |row| &row.seen_to_call),
            ranges("From call to answer", &self.months, |row| {
                &row.call_to_answer
            }),
        ];
        let note = format!(
            "The dot is the middle value, the line reaches from the shortest to the longest; months \
             with fewer than {SMALL} are left empty. Each line up is six or ten times as long."
        );
        picture(&self.months, &panels, &note)
    }
}

/// What stands in one panel.
struct Panel {
    title: &'static str,
    drawn: String,
    words: String,
}

fn picture(months: &[MonthRow], panels: &[Panel], note: &str) -> Option<Picture> {
    let (first, last) = (months.first()?.month, months.last()?.month);
    let titles: Vec<&str> = panels.iter().map(|panel| panel.title).collect();
    let title = format!("{}, by month, {first} to {last}", titles.join("; "));
    let told: Vec<&str> = panels.iter().map(|panel| panel.words.as_str()).collect();
    let words = format!(
        "{title}. {} {note} The numbers stand in the tables.",
        told.join(" ")
    );
    let lines = folded(note, 95);
    let panels_high = PANEL * panels.len() as f64;
    let high = panels_high + 16.0 * lines.len() as f64 + 8.0;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDE}\" height=\"{high}\" \
         viewBox=\"0 0 {WIDE} {high}\" role=\"img\" aria-labelledby=\"t d\" \
         font-family=\"sans-serif\" font-size=\"13\">\n<title id=\"t\">{title}</title>\n\
         <desc id=\"d\">{words}</desc>\n<rect width=\"{WIDE}\" height=\"{high}\" fill=\"#fff\"/>\n"
    );
    for (index, panel) in panels.iter().enumerate() {
        let down = PANEL * index as f64;
        // Writing to a String cannot fail.
        let _ = write!(
            svg,
            "<g transform=\"translate(0 {down})\">\n<text x=\"{LEFT}\" y=\"18\" font-size=\"15\" \
             font-weight=\"bold\">{}</text>\n{}{}</g>\n",
            panel.title,
            panel.drawn,
            names(months)
        );
    }
    for (index, line) in lines.iter().enumerate() {
        let y = panels_high + 14.0 + 16.0 * index as f64;
        let _ = writeln!(svg, "<text x=\"{LEFT}\" y=\"{y}\">{line}</text>");
    }
    svg.push_str("</svg>\n");
    Some(Picture { svg, words })
}

/// The middle of a month, and how wide it is.
fn place(index: usize, months: &[MonthRow]) -> (f64, f64) {
    let wide = (RIGHT - LEFT) / months.len().max(1) as f64;
    (LEFT + wide * (index as f64 + 0.5), wide)
}

/// The names of some months under the line.
fn names(months: &[MonthRow]) -> String {
    let each = months.len().div_ceil(NAMED).max(1);
    let y = BOTTOM + 18.0;
    let mut out = format!(
        "<path d=\"M{LEFT} {BOTTOM}H{RIGHT}\" stroke=\"#000\"/>\n<g text-anchor=\"middle\" font-size=\"12\">\n"
    );
    for (index, row) in months.iter().enumerate().step_by(each) {
        let (x, _) = place(index, months);
        let _ = writeln!(out, "<text x=\"{x:.1}\" y=\"{y}\">{}</text>", row.month);
    }
    out + "</g>\n"
}

/// A line across at this height, with its name.
fn level(y: f64, name: &str) -> String {
    let (x, lower) = (LEFT - 6.0, y + 4.0);
    format!(
        "<path d=\"M{LEFT} {y:.1}H{RIGHT}\" stroke=\"#bbb\"/>\n\
         <text x=\"{x}\" y=\"{lower:.1}\" text-anchor=\"end\">{name}</text>\n"
    )
}

fn bars(title: &'static str, months: &[MonthRow], of: fn(&MonthRow) -> Count) -> Panel {
    let most = months
        .iter()
        .filter_map(|row| Some((of(row).shown()?, row.month)))
        .max_by_key(|(number, month)| (*number, std::cmp::Reverse(*month)));
    let top = round_up(most.map_or(0, |(number, _)| number).max(SMALL));
    let y = |number: u64| BOTTOM - (BOTTOM - TOP) * number as f64 / top as f64;
    let mut drawn = level(y(top), &top.to_string()) + &level(y(top / 2), &(top / 2).to_string());
    for (index, row) in months.iter().enumerate() {
        let (number, look) = match of(row) {
            Count::Of(0) => continue,
            Count::Of(number) => (number, "fill=\"#555\""),
            Count::Few => (
                SMALL - 1,
                "fill=\"#fff\" stroke=\"#000\" stroke-dasharray=\"2 2\"",
            ),
        };
        let (middle, wide) = place(index, months);
        let (x, wide, from) = (middle - wide * 0.35, wide * 0.7, y(number));
        let high = BOTTOM - from;
        let _ = writeln!(
            drawn,
            "<rect x=\"{x:.1}\" y=\"{from:.1}\" width=\"{wide:.1}\" height=\"{high:.1}\" {look}/>"
        );
    }
    let words = match most {
        Some((number @ 1.., month)) => format!("{title}: most in {month}, {number}."),
        _ => format!("{title}: never {SMALL} or more in one month."),
    };
    Panel {
        title,
        drawn,
        words,
    }
}

/// The next of 10, 20, 50, 100 and so on.
fn round_up(number: u64) -> u64 {
    let tens = (1..18).map(|power| 10_u64.pow(power));
    tens.flat_map(|ten| [ten, 2 * ten, 5 * ten])
        .find(|round| *round >= number)
        .unwrap_or(number)
}

fn ranges(title: &'static str, months: &[MonthRow], of: fn(&MonthRow) -> &Spread) -> Panel {
    let shown: Vec<(usize, [u32; 3])> = months
        .iter()
        .enumerate()
        .filter_map(|(index, row)| {
            let spread = of(row);
            Some((index, [spread.median_s?, spread.least_s?, spread.most_s?]))
        })
        .collect();
    let least = shown
        .iter()
        .map(|(_, [_, least, _])| *least)
        .min()
        .unwrap_or(1);
    let most = shown
        .iter()
        .map(|(_, [_, _, most])| *most)
        .max()
        .unwrap_or(600);
    let below = TIMES
        .iter()
        .rev()
        .find(|time| **time <= least)
        .unwrap_or(&1);
    let above = TIMES.iter().find(|time| **time >= most).unwrap_or(&most);
    let (below, above) = (*below, (*above).max(below.saturating_mul(6)));
    let log = |seconds: u32| f64::from(seconds.max(1)).ln();
    let share = |seconds: u32| (log(seconds) - log(below)) / (log(above) - log(below));
    let y = |seconds: u32| BOTTOM - (BOTTOM - TOP) * share(seconds).clamp(0.0, 1.0);
    let mut drawn = String::new();
    for time in TIMES.iter().filter(|time| (below..=above).contains(*time)) {
        drawn += &level(y(*time), &Span(*time).to_string());
    }
    for (index, [median, from, to]) in &shown {
        let (x, _) = place(*index, months);
        let (low, high, middle) = (y(*from), y(*to), y(*median));
        let _ = writeln!(
            drawn,
            "<path d=\"M{x:.1} {low:.1}V{high:.1}\" stroke=\"#000\" stroke-width=\"1.5\"/>\
             <circle cx=\"{x:.1}\" cy=\"{middle:.1}\" r=\"3.5\"/>"
        );
    }
    let medians = shown.iter().map(|(_, [median, ..])| *median);
    let words = match (medians.clone().min(), medians.max()) {
        (Some(least), Some(most)) => format!(
            "{title}: the middle value lay between {} and {}.",
            Span(least),
            Span(most)
        ),
        _ => format!("{title}: never {SMALL} or more in one month."),
    };
    Panel {
        title,
        drawn,
        words,
    }
}

/// A text in lines of so many letters at most.
fn folded(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.len() + word.len() < most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_ends_at_a_round_number() {
        for (number, top) in [
            (0, 10),
            (10, 10),
            (11, 20),
            (21, 50),
            (51, 100),
            (1_001, 2_000),
        ] {
            assert_eq!(round_up(number), top);
        }
    }
}
