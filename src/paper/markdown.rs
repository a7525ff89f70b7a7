//! A form as Markdown: to be read anywhere, and printed from any editor.

use super::form::{Form, Item, Part};

/// Writes the form. Nothing in a text can format: what could mean something has a backslash.
#[must_use]
pub fn write(form: &Form) -> String {
    let mut out = String::new();
    let mut line = |text: String| {
        out.push_str(&text);
        out.push('\n');
    };
    line(format!("# {}\n", plain(&form.title)));
    line(format!("{}\n", plain(&form.identity)));
    line(format!("**Caution.** {}\n", plain(&form.caution)));
    line("Hospital label:\n".to_owned());
    line("| |\n|---|\n| |\n".to_owned());
    line("Written on paper by (initials, role): ________________ Date: ____________\n".to_owned());
    line("## The drain\n".to_owned());
    for (question, room) in &form.facts {
        line(format!("- {}: {}", plain(question), plain(room)));
    }
    line("\n## Whom to call\n".to_owned());
    for call in &form.calls {
        let whom = if call.whom.is_empty() {
            "________________ (not set here)".to_owned()
        } else {
            call.whom.join("; ")
        };
        line(format!("- {}: {}", call.level, plain(&whom)));
    }
    line("\nWorse at any step: stop here and use the form for it.\n".to_owned());
    for title in &form.urgent {
        line(format!("- {}", plain(title)));
    }
    for part in &form.parts {
        line(String::new());
        out_part(&mut line, form, part);
    }
    out
}

fn out_part(line: &mut impl FnMut(String), form: &Form, part: &Part) {
    line(format!("## Part {}: {}\n", part.letter, plain(&part.title)));
    // The first part is the checklist itself, which the form's own line names already.
    let whose = if form.identity.starts_with(&part.identity) {
        plain(&form.identity)
    } else {
        format!("{} · {}", plain(&part.identity), plain(&form.identity))
    };
    line(format!("{whose}\n"));
    if let Some(recognise) = &part.recognise {
        line(format!("Is this the right list? {}\n", plain(recognise)));
    }
    line(format!("Start at {}.\n", part.begin));
    for item in &part.items {
        out_item(line, item);
    }
}

fn out_item(line: &mut impl FnMut(String), item: &Item) {
    if let Some(caution) = &item.caution {
        line(format!("**Caution:** {}\n", plain(caution)));
    }
    line(format!(
        "### {} {}: {}\n",
        item.number,
        item.kind.word(),
        plain(&item.text)
    ));
    for (label, words) in &item.notes {
        line(format!("- {label}: {}", plain(words)));
    }
    for blank in &item.blanks {
        line(format!("- {}", plain(blank)));
    }
    for out in &item.outs {
        line(format!("- ☐ {} → {}", plain(&out.words), plain(&out.go)));
    }
    if item.signed {
        line("- Time \\_\\_\\_\\_:\\_\\_\\_\\_ Initials \\_\\_\\_\\_\\_\\_".to_owned());
    }
    line(String::new());
}

/// A text that formats nothing.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        if matches!(
            letter,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '|' | '~' | '#'
        ) {
            out.push('\\');
        }
        out.push(letter);
    }
    out
}
