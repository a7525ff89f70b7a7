"""Reads rendered records with a reference reader of Markdown and looks at what it sees.

Reference: markdown-it-py, an implementation of CommonMark 0.31 with tables and strikethrough as
in GitHub Flavored Markdown 0.29; linkify-it-py, which makes links of bare addresses. Both are
used as published, from the package registry.

    run by tests/reference/run, in the environment it makes
    .reference/bin/python tests/reference/markdown.py tests/record reports/samples

Each argument is a folder of records or one file. Exit code 0 when every record is sound, 1 when
one is not, 2 when there was nothing to read.
"""

import pathlib
import re
import sys

from markdown_it import MarkdownIt

# What only a template may use; no value may bring it about.
NEVER = {
    "html_block", "html_inline", "code_block", "fence", "code_inline", "image", "link_open",
    "em_open", "blockquote_open", "ordered_list_open", "hr", "math_inline", "math_block",
}
# Constant words that templates set in strong type.
STRONG = re.compile(
    r"^(Rehearsal\..*|still open|\d+ still open|Open:|past|past when the last entry was written"
    r"|Marked wrong|Addendum|Entered in error"
    # Of the drain chart: what became of a limit, the total, and what has to be settled.
    r"|met|worse|cleared|doubtful|not ended|at the last reading|(at least )?[0-9.]+ mL( \([0-9. to]+\))?|\d+ matters?)$"
)
# Texts of the hostile samples as a reader must see them: whole, in one cell, as words.
HOSTILE = [
    "| a | b | / |---|---| / | 1 | 2 |",
    "`code` and ``` / block / ```",
    "<script>alert(1)</script><b>bold</b><!-- hidden -->",
    "*em* **strong** _em_ __strong__ ~~gone~~",
    "[link](http://evil.example.org) <http://evil.example.org> www.evil.example.org a@example.org",
    "![picture](x.png) &lt;b&gt; \\| \\",
    "\u2068abc cba \u05e9\u05dc\u05d5\u05dd 12\u2069",
    "\U0001f469\u200d\u2695\ufe0f cmH\u2082O [31mred",
    "# heading / - item / 1. item / > quote / --- / === / code",
    "{{ head.unit }} {% raw %} $x$",
]
# The drain chart holds free words in its own places, and its hostile sample this text.
HOSTILE_CHART = ["a | b / # c [d](e) <f> ~~g~~"]
# Marks that could turn or hide what stands beside them; isolates are looked at apart.
UNSEEN = re.compile("[\u202a-\u202e\u200b\u200e\u200f\u2066\u2067\x00-\x08\x0b-\x1f\x7f]")


def reader():
    return MarkdownIt("commonmark", {"linkify": True}).enable(
        ["table", "strikethrough", "linkify"]
    )


def flat(tokens):
    for token in tokens:
        yield token
        yield from flat(token.children or [])


def words(inline):
    """The words of an inline token, without its marks."""
    return "".join(child.content for child in inline.children or [])


def strong_words(inline):
    inside, out = 0, []
    for child in inline.children or []:
        if child.type == "strong_open":
            inside += 1
            out.append("")
        elif child.type == "strong_close":
            inside -= 1
        elif inside:
            out[-1] += child.content
    return out


def cells_in_source(line):
    """How many cells a row has in the source: bars without a backslash, less one."""
    return len(re.findall(r"(?<!\\)(?:\\\\)*\|", line)) - 1


def check_tables(tokens, lines):
    problems, rows = [], 0
    width = 0
    for token in tokens:
        if token.type == "table_open":
            begin, end = token.map
            for number in range(begin, end):
                rows += 1
                found = cells_in_source(lines[number])
                width = found if number == begin else width
                if found != width:
                    problems.append(f"line {number + 1}: {found} cells, the table has {width}")
    in_source = sum(line.startswith("|") for line in lines)
    if rows != in_source:
        problems.append(f"{in_source} lines begin with a bar, {rows} of them are in tables")
    return problems


def check_headings(tokens):
    levels = [int(token.tag[1]) for token in tokens if token.type == "heading_open"]
    problems = []
    if levels.count(1) != 1 or levels[:1] != [1]:
        problems.append("a record has one title and begins with it")
    if any(after > before + 1 for before, after in zip(levels, levels[1:])):
        problems.append("a level of heading is left out")
    return problems


def check(path):
    text = path.read_text(encoding="utf-8")
    chart = text.startswith("# Drain chart")
    lines = text.split("\n")
    tokens = reader().parse(text)
    every = list(flat(tokens))
    problems = [f"found {token.type}: {token.content!r}" for token in every if token.type in NEVER]
    problems += check_tables(tokens, lines)
    problems += check_headings(tokens)
    inlines = [token for token in tokens if token.type == "inline"]
    for inline in inlines:
        problems += [
            f"strong words that no template sets: {found!r}"
            for found in strong_words(inline)
            if not STRONG.match(found)
        ]
    seen = [words(inline) for inline in inlines]
    for number, line in enumerate(lines, 1):
        if UNSEEN.search(line):
            problems.append(f"line {number}: a mark that cannot be seen")
        if line.count("\u2068") != line.count("\u2069"):
            problems.append(f"line {number}: an isolate that is not closed")
    if "hostile" in path.name:
        for hostile in HOSTILE_CHART if chart else HOSTILE:
            if not any(hostile in cell for cell in seen):
                problems.append(f"not readable as typed: {hostile!r}")
        struck = sum(token.type == "s_open" for token in every)
        if struck < (1 if chart else len(HOSTILE)) and not text.startswith("# Handover"):
            problems.append(f"only {struck} struck stretches; corrections are lost")
    needed_all = ["Cautions", "Confirming this record"]
    if not chart:
        needed_all.append("Checklists used")
    needed_all.append("Accepted" if text.startswith("# Handover") else "Every entry")
    for needed in needed_all:
        if not any(cell.startswith(needed) for cell in seen):
            problems.append(f"no heading {needed!r}")
    return problems


def check_the_check():
    """The reader must see planted faults, or the silence above means nothing."""
    planted = {
        "html_inline": "a <b>b</b>", "em_open": "*a*", "link_open": "see www.example.org",
        "code_inline": "`a`", "image": "![a](b)", "ordered_list_open": "1. a",
    }
    for kind, text in planted.items():
        if kind not in {token.type for token in flat(reader().parse(text))}:
            sys.exit(f"the reference reader did not see {kind} in {text!r}")
    table = "| a | b |\n|---|---|\n| 1 | 2 | 3 |"
    if not check_tables(reader().parse(table), table.split("\n")):
        sys.exit("the check did not see a broken row")


def main(arguments):
    check_the_check()
    paths = []
    for argument in map(pathlib.Path, arguments):
        paths += sorted(argument.glob("*.md")) if argument.is_dir() else [argument]
    failed = False
    for path in paths:
        problems = check(path)
        failed = failed or bool(problems)
        print(f"{path}: {'sound' if not problems else ''}")
        for problem in problems:
            print(f"  {problem}")
    if not paths:
        print("nothing to read: give folders or files of rendered records")
        return 2
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
