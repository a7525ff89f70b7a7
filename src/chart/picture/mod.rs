//! The chart as a picture file (SVG): cumulative and hourly output with their ranges, limit
//! lines, strips for bubbling, swing and suction, and events.
//!
//! Marks differ by shape and by words, never by colour alone. The picture has a title and a
//! description for readers who cannot see it, and its totals in words for all.

mod output;
mod strips;
mod time;

use super::plot::LimitLine;
use super::rate::Output;
use super::series::Series;
use crate::clean::markup;
use plotters::coord::Shift;
use plotters::prelude::*;

/// What the picture is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Its title, such as the drain.
    pub title: String,
    /// Width in pixels; fewer than 320 count as 320, more than 2000 as 2000.
    pub width: u16,
    /// Lines across the hourly output, the lowest first.
    pub limits: Vec<LimitLine>,
    /// Whether [`notes`] stand in the picture. Without them they are to stand beside it.
    pub with_notes: bool,
}

/// What the letters and marks mean, and what each limit is: a line each.
#[must_use]
pub fn notes(picture: &Picture) -> Vec<String> {
    let legend = LEGEND.iter().map(|line| (*line).to_owned());
    legend.chain(limit_notes(picture)).collect()
}

/// The picture could not be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the picture cannot be drawn: {0}")]
pub struct NotDrawn(String);

/// Room to the left for the scales, and to the right.
const LEFT: u32 = 76;
const RIGHT: u32 = 18;
/// Heights of the parts from the top, pixels.
const HEAD: u32 = 68;
const TOTALS: u32 = 210;
const HOURS: u32 = 220;
const STRIPS: u32 = 150;
const LINE: u32 = 18;

// Greys alone, so that a copy in black and white is the same picture.
const INK: RGBColor = RGBColor(0, 0, 0);
const PALE: RGBColor = RGBColor(80, 80, 80);
const GRID: RGBColor = RGBColor(220, 220, 220);
const RANGE: RGBColor = RGBColor(205, 205, 205);
const BAR: RGBColor = RGBColor(150, 150, 150);
const LIMIT: RGBColor = RGBColor(0, 0, 0);
const UNKNOWN: RGBColor = RGBColor(238, 238, 238);

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// What the letters of the strips mean.
const LEGEND: &[&str] = &[
    "Bubbling: 0 none, 1 on cough, 2 on breath out, 3 on breath in too, 4 all the time.",
    "Swing: - none, s small, L large, x seen where its size was not said. Suction: the value set, or off.",
    "Where readings lie too close together, the most bubbling and the least swing of them are shown.",
    "Events: N new drainage unit, B counting begins again, C clamp on, c clamp off, \
     D disconnected, T transfer, S suction on, - suction off, ! limit reached, + several close together.",
    "Pale band and thin lines: the range by the graduation. Shaded with ?: not known.",
];

/// Draws the drain from its start to its last entry.
///
/// # Errors
/// [`NotDrawn`] when a part of it does not fit.
pub fn svg(series: &Series, picture: &Picture) -> Result<String, NotDrawn> {
    let width = u32::from(picture.width.clamp(320, 2_000));
    let below = match picture.with_notes {
        true => wrapped(&notes(picture), width),
        false => Vec::new(),
    };
    let lines = u32::try_from(below.len()).unwrap_or(0);
    let height = HEAD + TOTALS + HOURS + STRIPS + LINE * lines + 24;
    let mut text = String::new();
    {
        let root = SVGBackend::with_string(&mut text, (width, height)).into_drawing_area();
        draw(&root, series, picture, &below).map_err(|why| NotDrawn(why.to_string()))?;
        root.present().map_err(|why| NotDrawn(why.to_string()))?;
    }
    Ok(described(&text, series, picture))
}

type Drawn = Result<(), Box<dyn std::error::Error>>;

fn draw(root: &Area<'_>, series: &Series, picture: &Picture, below: &[String]) -> Drawn {
    root.fill(&WHITE)?;
    let time = time::Time::of(series, root.dim_in_pixel().0);
    let (head, rest) = root.split_vertically(HEAD);
    heading(&head, series, picture)?;
    let (totals, rest) = rest.split_vertically(TOTALS);
    output::totals(&totals, series, &time)?;
    let (hours, rest) = rest.split_vertically(HOURS);
    output::hours(&hours, series, &time, &picture.limits)?;
    let (strip, rest) = rest.split_vertically(STRIPS);
    strips::strips(&strip, series, &time)?;
    for (line, text) in (0_i32..).zip(below) {
        write(&rest, text, (10, 6 + line * 18), 13, PALE)?;
    }
    Ok(())
}

fn heading(area: &Area<'_>, series: &Series, picture: &Picture) -> Drawn {
    let (width, _) = area.dim_in_pixel();
    let total = series.total();
    write(area, &cut(&picture.title, width, 9), (10, 6), 17, INK)?;
    let words = total_words(&total);
    // A letter takes about half its height: a long total is written smaller, never cut.
    let letters = u32::try_from(words.chars().count()).unwrap_or(u32::MAX);
    let size = (width.saturating_sub(20) * 19 / 10 / letters.max(1)).clamp(10, 15);
    write(area, &words, (10, 28), size, INK)?;
    let times = time::span_words(series);
    write(area, &times, (10, 48), 13, PALE)
}

/// The total in words; "at least" where a part is not known.
fn total_words(total: &Output) -> String {
    let at_least = if total.is_partial() { "at least " } else { "" };
    format!("Total: {at_least}{}", total.volume)
}

/// Text with its upper left corner at a place.
fn write(area: &Area<'_>, text: &str, (x, y): (i32, i32), size: u32, colour: RGBColor) -> Drawn {
    let style = ("sans-serif", size).into_font().color(&colour);
    area.draw(&Text::new(text.to_owned(), (x, y), style))?;
    Ok(())
}

/// A text cut to a width, when each letter takes so many pixels.
fn cut(text: &str, width: u32, each: u32) -> String {
    let most = usize::try_from(width.saturating_sub(20) / each).unwrap_or(0);
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{kept}…")
}

/// Lines broken between words so that they fit the width.
fn wrapped(lines: &[impl AsRef<str>], width: u32) -> Vec<String> {
    // A letter of 13 pixels takes about 6.5.
    let most = usize::try_from(width.saturating_sub(20) * 2 / 13).unwrap_or(1);
    let mut out: Vec<String> = Vec::new();
    for line in lines {
        let mut fresh = true;
        for word in line.as_ref().split(' ') {
            match out.last_mut() {
                Some(last) if !fresh && last.chars().count() + 1 + word.chars().count() <= most => {
                    last.push(' ');
                    last.push_str(word);
                }
                _ => out.push(word.to_owned()),
            }
            fresh = false;
        }
    }
    out
}

/// What the limit lines are, in words.
fn limit_notes(picture: &Picture) -> impl Iterator<Item = String> {
    let limits = picture.limits.iter().zip('a'..='z');
    limits.map(|(limit, letter)| format!("Limit {letter}: {}.", limit.label))
}

/// The picture with its title and description, for readers who cannot see it.
fn described(svg: &str, series: &Series, picture: &Picture) -> String {
    let total = series.total();
    let mut says = vec![
        total_words(&total),
        time::span_words(series),
        format!("{} entries", series.entries().len()),
    ];
    says.extend(picture.limits.iter().map(|l| format!("limit {}", l.label)));
    let head = format!(
        " role=\"img\" aria-labelledby=\"title desc\">\n<title id=\"title\">{}</title>\n\
         <desc id=\"desc\">{}.</desc>",
        markup(&picture.title),
        markup(&says.join("; "))
    );
    match svg.find('>') {
        Some(end) => format!("{}{head}{}", &svg[..end], &svg[end + 1..]),
        None => svg.to_owned(),
    }
}

#[cfg(test)]
mod tests;
