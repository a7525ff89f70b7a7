//! A record as a page that prints well: the only user of the Markdown reader.
//!
//! The page is made from the rendered Markdown, so that it says the same to the word. Raw HTML and
//! links are dropped on the way, although no value can bring either about. The page stands alone:
//! no script, no picture from elsewhere, black on white, rows that do not break across sheets.

use std::fmt::Write as _;

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, html};

/// The style of the page, on paper and on a screen.
const STYLE: &str = include_str!("../../reports/page.css");

/// Turns the Markdown of a record into a page.
#[must_use]
pub fn page(markdown: &str) -> String {
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    let events = Parser::new_ext(markdown, options).filter(stays);
    let mut body = String::with_capacity(markdown.len() * 2);
    html::push_html(&mut body, events);
    let body = filled_headings(&body);
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

/// The first heading, as the title of the page. Headings are the template's own words.
fn title(markdown: &str) -> String {
    let heading = markdown.lines().find_map(|line| line.strip_prefix("# "));
    let mut out = String::new();
    for letter in heading.unwrap_or("Record").trim().chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            other => out.push(other),
        }
    }
    out
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
        let page = page(text);
        assert!(page.contains("<title>A &amp; &lt;B&gt;</title>"));
        for never in ["<script", "<b>", "javascript:", "<img", "<a ", "http://"] {
            assert!(!page.contains(never), "{never} in {page}");
        }
        assert!(page.contains("word"));
    }

    #[test]
    fn tables_and_struck_words_come_through() {
        let page = page("# R\n\n| a | b |\n|---|---|\n| ~~1~~ | x \\| y |\n");
        assert!(page.contains("<th scope=\"col\">a</th>"), "{page}");
        assert!(
            page.contains("<del>1</del>") && page.contains("x | y"),
            "{page}"
        );
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
