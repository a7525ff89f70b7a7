"""Reads what the program makes of texts that mean harm, as a spreadsheet, a browser and a reader of
Markdown would: each text must come out as it was meant, and none may become anything else.

Reference: the csv module and html.parser of the Python library, pandas, markdown-it-py. The texts,
and the lines in which each is to be read, stand in hostile.json beside this; the page on CSV injection
of OWASP names the letters with which a formula begins.

    .reference/python/bin/python tests/reference/hostile.py TABLES
"""

import csv
import html.parser
import io
import json
import pathlib
import re
import sys

import pandas
from markdown_it import MarkdownIt

FORMULA = re.compile(r"^[\s]*[=+\-@\u2212\t\r]")
# C0 but line ends, delete, C1; embeddings, overrides, marks of direction, letters without width.
ACTS = re.compile("[\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u202a-\u202e\u2066\u2067\ufeff]")
# What a page of a record is made of; no text may bring about another element.
ELEMENTS = set(
    "html head meta title style body main h1 h2 h3 p ul li table thead tbody tr th td strong del s "
    "br wbr hr div section figure figcaption svg desc g path rect line text polyline circle polygon "
    "code pre".split()
)
NUMBERS = re.compile(r"^[+-]?[0-9.]+$")


class Page(html.parser.HTMLParser):
    """The words of a page by cell and paragraph, and what it is made of."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.elements, self.attributes, self.words, self.comments = set(), set(), [""], 0

    def handle_starttag(self, tag, attrs):
        self.elements.add(tag)
        self.attributes |= {name for name, _ in attrs}
        if tag not in {"wbr", "br", "del", "s", "strong"}:
            self.words.append("")

    def handle_comment(self, data):
        self.comments += 1

    def handle_data(self, data):
        self.words[-1] += data


def without_isolates(text):
    return text.replace("\u2068", "").replace("\u2069", "")


def flat(text):
    return " ".join(without_isolates(text).split())


def missing(texts, found, join):
    """Which texts are not among what was found, whole and in order."""
    found = [flat(one) for one in found]
    problems = []
    for one in texts:
        wanted = [flat(join.join(one["lines"]))] if "lines" in one else one["words"]
        if not any(all(word in words for word in wanted) for words in found):
            problems.append(f"not readable as meant: {wanted!r}")
    return problems


def check_csv(path, texts, column):
    text = path.read_bytes().decode("utf-8")
    problems = []
    if ACTS.search(text.replace("\r\n", "\n")):
        problems.append("a character that acts")
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    head = rows[0]
    problems += [f"row {n}: {len(row)} cells" for n, row in enumerate(rows) if len(row) != len(head)]
    for row in rows[1:]:
        for cell in row:
            if FORMULA.match(cell) and not NUMBERS.match(cell):
                problems.append(f"a formula: {cell[:40]!r}")
    frame = pandas.read_csv(path, dtype=str, keep_default_na=False)
    if list(frame.columns) != head or frame.values.tolist() != rows[1:]:
        problems.append("pandas reads other cells than the csv module")
    words = [cell.removeprefix("'") for cell in frame[column]]
    return problems + missing(texts, words, " ")


def check_page(text, texts):
    page = Page()
    page.feed(text)
    page.close()
    problems = [f"an element {tag}" for tag in page.elements - ELEMENTS]
    problems += [f"an attribute {name}" for name in page.attributes if name.startswith("on")]
    problems += [f"an attribute {name}" for name in page.attributes & {"href", "src", "xlink:href"}]
    if page.comments:
        problems.append("a comment")
    if ACTS.search(text):
        problems.append("a character that acts")
    return problems + missing(texts, page.words, " / ")


def check_markdown(text, texts):
    reader = MarkdownIt("commonmark", {"linkify": True}).enable(["table", "strikethrough", "linkify"])
    words, problems = [], []
    for token in reader.parse(text):
        if token.type in {"html_block", "fence", "code_block"}:
            problems.append(f"found {token.type}")
        if token.type != "inline":
            continue
        words.append("".join(child.content for child in token.children))
        for child in token.children:
            if child.type in {"html_inline", "link_open", "image", "code_inline", "em_open"}:
                problems.append(f"found {child.type}: {token.content[:60]!r}")
    if ACTS.search(text):
        problems.append("a character that acts")
    return problems + missing(texts, words, " / ")


def check_the_check(texts):
    """Planted faults must be seen, or silence means nothing."""
    page = "<!DOCTYPE html><p>" + "".join(one["text"] for one in texts)
    if len(check_page(page, texts)) < 5:
        sys.exit("the check of pages sees nothing")
    if len(check_markdown("".join(one["text"] for one in texts), texts)) < 3:
        sys.exit("the check of Markdown sees nothing")
    if not FORMULA.match("\t=1") or not ACTS.search("\x9b"):
        sys.exit("the patterns see nothing")


def main():
    folder = pathlib.Path(sys.argv[1]) / "hostile"
    texts = json.loads(pathlib.Path(__file__).with_name("hostile.json").read_text(encoding="utf-8"))
    check_the_check(texts)
    long = {"lines": [(folder / "long.txt").read_text(encoding="utf-8")]}
    assert len(long["lines"][0]) >= 9_990
    everything = texts + [long]
    found = {
        "chart.csv": check_csv(folder / "chart.csv", everything, "action"),
        "left.csv": check_csv(folder / "left.csv", texts, "asked"),
    }
    for kind in ("handover", "chart"):
        page = (folder / f"{kind}.html").read_text(encoding="utf-8")
        found[f"{kind}.html"] = check_page(page, everything)
        record = (folder / f"{kind}.markdown").read_text(encoding="utf-8")
        found[f"{kind}.markdown"] = check_markdown(record, everything)
    for name, problems in found.items():
        print(f"{name}: {'sound' if not problems else ''}")
        for problem in problems:
            print(f"  {problem[:300]}")
    return 1 if any(found.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
