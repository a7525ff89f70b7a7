//! A record as a page that prints well: the only user of the Markdown reader.
//!
//! The page is made from the rendered Markdown, so that it says the same to the word. Raw HTML and
//! links are dropped on the way, although no value can bring either about. The page stands alone:
//! no script, no picture from elsewhere, black on white, rows that do not break across sheets.

use crate::clean::markup;
use std::fmt::Write as _;

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, html};

/// The style of the page, on paper and on a screen.
const STYLE: &str = include_str!("../../reports/page.css");

/// The heading before which the picture of a chart stands, for each record that carries one; a
/// template without it has the picture at its end.
const PICTURE_BEFORE: [&str; 2] = ["<h2>Totals</h2>", "<h2>Recommendation</h2>"];

/// A picture in a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// The chart drawn as SVG, made by `chart` and by nobody else: it stands in the page as it is.
    pub svg: String,
    /// What stands under it, a line each.
    pub notes: Vec<String>,
}

/// Turns the Markdown of a record into a page, with its picture.
#[must_use]
pub fn page(markdown: &str, picture: Option<&Figure>) -> String {
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    let events = Parser::new_ext(markdown, options)
        .filter(stays)
        .flat_map(with_breaks);
    let mut body = String::with_capacity(markdown.len() * 2);
    html::push_html(&mut body, events);
    let body = with_picture(filled_headings(&body), picture);
    let mut out = String::with_capacity(body.len() + STYLE.len() + 512);
    // Writing to a String cannot fail.
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n{body}</main>\n</body>\n</html>\n",
        title(markdown)
    );
    out
}

/// The page with the picture in its place.
fn with_picture(body: String, picture: Option<&Figure>) -> String {
    let Some(picture) = picture else {
        return body;
    };
    let notes: String = picture
        .notes
        .iter()
        .map(|note| format!("<li>{}</li>\n", markup(note)))
        .collect();
    let figure = format!(
        "<section>\n<h2>Picture</h2>\n<figure>\n{}</figure>\n</section>\n<ul>\n{notes}</ul>\n",
        picture.svg
    );
    let mut places = PICTURE_BEFORE
        .iter()
        .filter_map(|heading| body.find(heading));
    let place = places.next().unwrap_or(body.len());
    format!("{}{figure}{}", &body[..place], &body[place..])
}

/// Everything but raw HTML, links and pictures; the words of a link stay.
fn stays(event: &Event<'_>) -> bool {
    !matches!(
        event,
        Event::Html(_)
            | Event::InlineHtml(_)
            | Event::Start(Tag::HtmlBlock | Tag::Link { .. } | Tag::Image { .. })
            | Event::End(TagEnd::HtmlBlock | TagEnd::Link | TagEnd::Image)
    )
}

/// Words up to so many letters are kept whole, so that times and headings do not fall apart in a
/// narrow column; longer ones may be broken, or a table would be wider than its sheet.
const WHOLE: usize = 24;
/// After so many letters each.
const BREAK: usize = 16;

/// A text in parts, with a place to break in very long words. The text itself stays as it is.
fn with_breaks(event: Event<'_>) -> Vec<Event<'_>> {
    let Event::Text(text) = event else {
        return vec![event];
    };
    if text.split_whitespace().all(|word| word.len() <= WHOLE) {
        return vec![Event::Text(text)];
    }
    let mut parts = Vec::new();
    let mut part = String::new();
    let mut since = 0;
    for word in text.split_inclusive(char::is_whitespace) {
        let long = word.chars().count() > WHOLE;
        for letter in word.chars() {
            if long && since == BREAK {
                parts.push(Event::Text(std::mem::take(&mut part).into()));
                parts.push(Event::InlineHtml("<wbr>".into()));
                since = 0;
            }
            part.push(letter);
            since += 1;
        }
        since = 0;
    }
    parts.push(Event::Text(part.into()));
    parts
}

/// The first heading, as the title of the page. Headings are the template's own words.
fn title(markdown: &str) -> String {
    let heading = markdown.lines().find_map(|line| line.strip_prefix("# "));
    markup(heading.unwrap_or("Record").trim())
}

/// Says of each heading of a table that it heads a column, for those who hear the page.
fn filled_headings(body: &str) -> String {
    body.replace("<th>", "<th scope=\"col\">")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn raw_html_links_and_pictures_are_dropped() {
        let text = "# A & <B>\n\n<script>alert(1)</script>\n\na <b>bold</b> [word](javascript:x) ![p](http://x.example)\n";
        let page = page(text, None);
        assert!(page.contains("<title>A &amp; &lt;B&gt;</title>"));
        for never in ["<script", "<b>", "javascript:", "<img", "<a ", "http://"] {
            assert!(!page.contains(never), "{never} in {page}");
        }
        assert!(page.contains("word"));
    }

    #[test]
    fn tables_and_struck_words_come_through() {
        let page = page("# R\n\n| a | b |\n|---|---|\n| ~~1~~ | x \\| y |\n", None);
        assert!(page.contains("<th scope=\"col\">a</th>"), "{page}");
        assert!(
            page.contains("<del>1</del>") && page.contains("x | y"),
            "{page}"
        );
    }

    fn figure() -> Figure {
        Figure {
            svg: "<svg>p</svg>\n".to_owned(),
            notes: vec!["a <b> & c".to_owned()],
        }
    }

    #[test]
    fn only_very_long_words_may_be_broken() {
        let told = page(
            &format!("a 2026-10-26T09:00:00+00:00 {} z\n", "é".repeat(40)),
            None,
        );
        let long = ["é".repeat(16), "é".repeat(16), "é".repeat(8)].join("<wbr>");
        assert!(told.contains(&format!(" {long} z")), "{told}");
        assert!(told.contains("a 2026-10-26T09:00<wbr>:00+00:00 "), "{told}");
        assert!(!page("short words | only\n", None).contains("<wbr>"));
    }

    #[test]
    fn a_picture_stands_before_the_totals_or_at_the_end() {
        let told = page("# R\n\n## Limits\n\n## Totals\n\nx\n", Some(&figure()));
        let order = [
            "<h2>Limits",
            "<h2>Picture",
            "<svg>p</svg>",
            "a &lt;b&gt; &amp; c",
            "<h2>Totals",
        ];
        let places: Vec<_> = order.iter().map(|one| told.find(one).expect(one)).collect();
        assert!(places.is_sorted(), "{told}");
        let told = page("# R\n\n## Own\n", Some(&figure()));
        assert!(told.find("<svg>") > told.find("<h2>Own"), "{told}");
        // Words cannot stand for the heading.
        let told = page(
            "# R\n\n\\<h2\\>Totals\\</h2\\>\n\n## Own\n",
            Some(&figure()),
        );
        assert!(told.find("<svg>") > told.find("<h2>Own"), "{told}");
    }

    #[test]
    fn the_style_prints_in_black_at_twelve_points_and_keeps_rows_whole() {
        for wanted in ["break-inside: avoid", "12pt", "table-header-group", "@page"] {
            assert!(STYLE.contains(wanted), "{wanted}");
        }
        for never in ["url(", "@import"] {
            assert!(!STYLE.contains(never), "{never}");
        }
        let sizes = STYLE.split("font").filter_map(|rest| {
            let (before, _) = rest.split_once("pt")?;
            let digits = before.trim_start_matches(|letter: char| !letter.is_ascii_digit());
            digits.parse::<u32>().ok()
        });
        let sizes: Vec<u32> = sizes.collect();
        assert!(
            sizes.len() >= 3 && sizes.iter().all(|size| *size >= 12),
            "{sizes:?}"
        );
    }
}
