//! A form as one page of HTML, ready to print on A4: nothing is fetched, nothing runs.
//!
//! Identity and caution stand in the head and foot of a table, which every browser repeats on each
//! printed page. Type is 12 point and larger, black on white: Degani, 1992, NASA CR-177605 (items
//! second-hand); contrast: Web Content Accessibility Guidelines 2, 1.4.3 (from memory).

use crate::clean::markup;
use std::fmt::Write as _;

use super::form::{Form, Item, Part};

const STYLE: &str = "\
@page { size: A4; margin: 12mm 14mm 14mm;
  @bottom-right { content: \"page \" counter(page) \" of \" counter(pages); font: 12pt Arial, sans-serif } }
html { background: #fff; color: #000; font: 12pt/1.3 Arial, Helvetica, sans-serif }
body { margin: 0 auto; max-width: 182mm }
h1 { font-size: 18pt; margin: 4mm 0 }
h2 { font-size: 15pt; margin: 6mm 0 2mm; break-after: avoid }
h3 { font-size: 12pt; margin: 1mm 0; font-weight: bold }
table.page { width: 100%; border-collapse: collapse }
table.page > thead td { padding-bottom: 3mm }
table.page > tfoot td { padding-top: 3mm }
.every { margin: 0; padding: 1mm 0 }
thead .every { border-bottom: 1pt solid #000 }
tfoot .every { border-top: 1pt solid #000 }
.label { border: 1.5pt dashed #000; height: 35mm; width: 80mm; padding: 2mm; margin: 3mm 0 }
.step { border: 1pt solid #000; padding: 2mm 3mm; margin: 0 0 3mm; break-inside: avoid }
.caution { border-left: 4pt solid #000; padding-left: 2mm; margin: 0 0 1mm; font-weight: bold }
.step p, .step ul { margin: 1mm 0 }
ul.outs { list-style: none; padding-left: 0 }
ul.outs li { margin: 1mm 0 }
.go { font-weight: bold; white-space: normal }
.sign { margin-top: 2mm }
";

/// Writes the form as a whole page.
#[must_use]
pub fn write(form: &Form) -> String {
    let mut out = String::new();
    let mut body = String::new();
    head(&mut body, form);
    for part in &form.parts {
        write_part(&mut body, part);
    }
    let _never = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n\
         <table class=\"page\" role=\"presentation\">\n\
         <thead><tr><td><p class=\"every\">{identity}</p></td></tr></thead>\n\
         <tfoot><tr><td><p class=\"every\"><strong>Caution.</strong> {caution}</p></td></tr></tfoot>\n\
         <tbody><tr><td>\n{body}</td></tr></tbody>\n</table>\n</main>\n</body>\n</html>\n",
        title = markup(&form.title),
        identity = markup(&form.identity),
        caution = markup(&form.caution),
    );
    out
}

fn head(out: &mut String, form: &Form) {
    let _never = write!(
        out,
        "<h1>{}</h1>\n<div class=\"label\">Hospital label</div>\n\
         <p>Written on paper by (initials, role): ________________ Date: ____________</p>\n\
         <h2>The drain</h2>\n<ul>\n",
        markup(&form.title)
    );
    for (question, room) in &form.facts {
        let _never = writeln!(out, "<li>{}: {}</li>", markup(question), markup(room));
    }
    out.push_str("</ul>\n<h2>Whom to call</h2>\n<ul>\n");
    for call in &form.calls {
        let whom = if call.whom.is_empty() {
            "________________ (not set here)".to_owned()
        } else {
            call.whom.join("; ")
        };
        let _never = writeln!(
            out,
            "<li><strong>{}</strong>: {}</li>",
            call.level,
            markup(&whom)
        );
    }
    out.push_str("</ul>\n<p>Worse at any step: stop here and use the form for it.</p>\n<ul>\n");
    for title in &form.urgent {
        let _never = writeln!(out, "<li>{}</li>", markup(title));
    }
    out.push_str("</ul>\n");
}

fn write_part(out: &mut String, part: &Part) {
    let _never = writeln!(
        out,
        "<section aria-label=\"Part {letter}\">\n<h2>Part {letter}: {}</h2>\n<p>{}</p>",
        markup(&part.title),
        markup(&part.identity),
        letter = part.letter
    );
    if let Some(recognise) = &part.recognise {
        let _never = writeln!(out, "<p>Is this the right list? {}</p>", markup(recognise));
    }
    let _never = writeln!(out, "<p><strong>Start at {}.</strong></p>", part.begin);
    for item in &part.items {
        write_item(out, item);
    }
    out.push_str("</section>\n");
}

fn write_item(out: &mut String, item: &Item) {
    let _never = writeln!(out, "<div class=\"step\" id=\"{}\">", item.number);
    if let Some(caution) = &item.caution {
        let _never = writeln!(out, "<p class=\"caution\">Caution: {}</p>", markup(caution));
    }
    let _never = writeln!(
        out,
        "<h3>{} {}: {}</h3>",
        item.number,
        item.kind.word(),
        markup(&item.text)
    );
    for (label, words) in &item.notes {
        let _never = writeln!(out, "<p>{label}: {}</p>", markup(words));
    }
    for blank in &item.blanks {
        let _never = writeln!(out, "<p>{}</p>", markup(blank));
    }
    if !item.outs.is_empty() {
        out.push_str("<ul class=\"outs\">\n");
        for one in &item.outs {
            let _never = writeln!(
                out,
                "<li>☐ {} → <span class=\"go\">{}</span></li>",
                markup(&one.words),
                markup(&one.go)
            );
        }
        out.push_str("</ul>\n");
    }
    if item.signed {
        out.push_str("<p class=\"sign\">Time ____:____ Initials ______</p>\n");
    }
    out.push_str("</div>\n");
}
