use super::*;

/// The shipped setup template with one text put in place of another.
fn changed(from: &str, to: &str) -> Vec<TemplateProblem> {
    let (_, text) = Template::shipped_text(Kind::Setup);
    assert!(text.contains(from), "{from}");
    let text = text.replacen(from, to, 1);
    Template::load(Kind::Setup, "setup.md", &text)
        .err()
        .unwrap_or_default()
}

/// Problems of a text of one line put before the shipped template.
fn before(line: &str) -> Vec<TemplateProblem> {
    let (_, text) = Template::shipped_text(Kind::Setup);
    let text = format!("{line}\n{text}");
    Template::load(Kind::Setup, "setup.md", &text)
        .err()
        .unwrap_or_default()
}

#[test]
fn the_shipped_templates_are_fit() {
    for kind in Kind::ALL {
        assert_eq!(
            Template::shipped(*kind).err().unwrap_or_default(),
            [],
            "{kind:?}"
        );
    }
}

#[test]
fn what_is_wrong_is_found_at_its_place() {
    // The line, the column of the problem, and words of the message.
    for (line, column, words) in [
        ("{{ head.unnit }}", 4, "did you mean \"head.unit\"?"),
        (
            "{% if head.rehersal %}x{% endif %}",
            7,
            "did you mean \"head.rehearsal\"?",
        ),
        (
            "{% if false %}{{ swing }}{% endif %}",
            18,
            "there is no \"swing\"",
        ),
        (
            "{% for d in days %}{{ d.dy }}{% endfor %}",
            23,
            "did you mean \"d.day\"?",
        ),
        (
            "{% for d in days %}{% endfor %}{{ d.day }}",
            35,
            "there is no \"d.day\"",
        ),
        (
            "{% for d in days %}{{ loop.indx }}{% endfor %}",
            28,
            "invalid field of `loop`",
        ),
        (
            "{% for d in head.unit %}{% endfor %}",
            4,
            "needs the name of a list",
        ),
        ("{{ head.unit | safe }}", 16, "take it out"),
        ("{{ head.unit | newlines_to_br }}", 16, "take it out"),
        (
            "{{ head.unit | sentense }}",
            16,
            "did you mean \"sentence\"?",
        ),
        (
            "{{ head.unit | truncate(length=3) }}",
            16,
            "filters there are",
        ),
        ("{{ throw(message='x') }}", 4, "\"throw(…)\" cannot be used"),
        ("{% raw %}{{ x }}{% endraw %}", 4, "tags there are"),
        ("{% include 'other' %}", 4, "tags there are"),
        ("{% filter upper %}x{% endfilter %}", 4, "tags there are"),
        ("{% set x %}y{% endset %}", 4, "set … endset"),
        (
            "{% if head.unit is matching(pat='x') %}{% endif %}",
            20,
            "tests there are",
        ),
        ("{{ head.unit[0] }}", 4, "there is no \"head.unit.0\""),
        ("{{ head[head.unit] }}", 4, "there is no \"head.[\""),
        ("{{ head }}", 3, "print one of: banner"),
        ("{{ days }}", 3, "print one of: day"),
        ("a <b>bold</b> word", 3, "HTML"),
        ("a `{{ head.unit }}` word", 3, "back quotes"),
        (
            "[here](http://x.example/{{ head.unit }})",
            27,
            "link's address",
        ),
    ] {
        let problems = before(line);
        let found = problems.iter().any(|problem| {
            (problem.line, problem.column) == (1, column) && problem.to_string().contains(words)
        });
        let all: Vec<_> = problems.iter().map(ToString::to_string).collect();
        assert!(
            found,
            "{line}\nwanted 1:{column} {words}\ngot {}",
            all.join("\n")
        );
    }
}

#[test]
fn what_is_right_is_let_through() {
    for line in [
        "{{ head.unit | upper }} {% if days %}{{ days[0].day }}{% endif %} {# a `comment` <b> #}",
        "{% if days %}{% set first = days[0] %}{{ first.offset }}{% endif %}{% set n = days | length %}{{ n }}",
        "{% for d in days %}{% for e in d.entries %}{{ e.what }}{{ loop.index }}{% endfor %}{% else %}none{% endfor %}",
        "{% if head.began and not head.rehearsal or head.unit == \"a }} b\" %}x{% elif days %}y{% else %}z{% endif %}",
        "{{ 'x' if head.rehearsal else 'y' }} [policy](https://x.example/a)",
        "{{- head.unit -}} {%- if head.unit is containing(pat=\"x\") -%} {%- endif %}",
        "2 < 3 and {{ head.entries }} < 5",
    ] {
        let all: Vec<_> = before(line).iter().map(ToString::to_string).collect();
        assert_eq!(all.join("\n"), "", "{line}");
    }
}

#[test]
fn all_problems_come_at_once_and_in_order() {
    let problems = before("{{ a }} {{ b | safe }} `");
    let columns: Vec<_> = problems.iter().map(|problem| problem.column).collect();
    assert_eq!(columns, [4, 12, 16, 24]);
}

#[test]
fn a_text_that_cannot_be_read_says_where() {
    let problems = before("{% if %}");
    assert_eq!(problems.len(), 1);
    assert!(matches!(
        problems[0].kind,
        TemplateProblemKind::Syntax { .. }
    ));
    assert_eq!(problems[0].line, 1);
}

#[test]
fn what_every_record_carries_cannot_be_left_out() {
    for (from, to, name) in [
        ("- {{ caution }}", "- a caution", "head.cautions"),
        ("{{ head.journal_hash }}", "", "head.journal_hash"),
        ("{{ list.fingerprint }}", "", "head.lists.fingerprint"),
        ("{{ list.approval }}", "", "head.lists.approval"),
        ("{{ row.reason }}", "", "undone.reason"),
        ("{{ waiver.safeguard }}", "", "head.waivers.safeguard"),
    ] {
        let problems = changed(from, to);
        let found: Vec<_> = problems.iter().map(|problem| &problem.kind).collect();
        let missing = |kind: &TemplateProblemKind| matches!(kind, TemplateProblemKind::Missing { name: own, .. } if own == name);
        assert!(found.iter().any(|kind| missing(kind)), "{name}: {found:?}");
    }
}

#[test]
fn what_fails_only_when_filled_is_found_when_loaded() {
    let problems = before("{% if head.unit > 3 %}x{% endif %}");
    assert!(
        matches!(problems[0].kind, TemplateProblemKind::Failed { .. }) && problems[0].line == 1,
        "{problems:?}"
    );
}

#[test]
fn a_problem_reads_with_place_excerpt_and_help() {
    let problems = before("Unit: {{ head.unnit }}");
    assert_eq!(
        problems[0].to_string(),
        "setup.md:1:10: there is no \"head.unnit\" in the facts of this record\n\
         1 | Unit: {{ head.unnit }}\n  \
           |          ^\n\
         help: did you mean \"head.unit\"?"
    );
}

#[test]
fn headings_of_a_rehearsal_say_so() {
    assert_eq!(tidy("# A  \n\n\n\ntext\n\n", false), "# A\n\ntext\n");
    assert_eq!(
        tidy("\n# A\ntext # no\n", true),
        "# A (rehearsal)\ntext # no\n"
    );
}

proptest::proptest! {
    /// No text is a template that makes loading panic.
    #[test]
    fn any_text_is_taken_or_refused(text in "([a-z .|`<{}%#'\"=\\[\\]()-]|\\{\\{|%\\}|\\}\\}|\\{%|é|\\n){0,60}") {
        let _ = Template::load(Kind::Setup, "x.md", &text);
    }
}
