//! Goes through a template and looks up every name it uses, in every branch.
//!
//! The engine says which names are used only at the top level, and takes a missing last name in
//! an `if` as false. So a small reader of our own goes through the tags. It understands less
//! than the engine does, and refuses what it does not understand.

use serde_json::Value;

use super::super::filters;
use super::problem::{Source, TAGS, TESTS, TemplateProblem, TemplateProblemKind as Kind};
use super::token::{Part, Token, WORDS, What, parts, path, tokens};

/// What the engine tells inside a loop.
const LOOP: &[&str] = &["index", "index0", "first", "last", "length"];

/// Every problem of a text whose syntax the engine has accepted, in file order. `facts` are
/// specimen facts in which everything is filled: their shape is what names are looked up in.
pub(super) fn scan(source: &Source<'_>, facts: &Value) -> Vec<TemplateProblem> {
    let mut scan = Scan {
        source,
        scopes: vec![Vec::new()],
        facts,
        problems: Vec::new(),
    };
    for part in parts(source.text) {
        match part {
            Part::Text { at, text } => scan.text(at, text),
            Part::Print { at, inside } => scan.print(at, inside),
            Part::Tag { at, inside } => scan.tag(at, inside),
        }
    }
    scan.problems
}

/// What a name stands for.
#[derive(Clone, Copy)]
enum Meaning<'f> {
    Fact(&'f Value),
    Loop,
    /// Worked out in the template; a text or number.
    Own,
}

struct Scan<'s, 'f> {
    source: &'s Source<'s>,
    scopes: Vec<Vec<(String, Meaning<'f>)>>,
    facts: &'f Value,
    problems: Vec<TemplateProblem>,
}

impl<'f> Scan<'_, 'f> {
    fn problem(&mut self, at: usize, kind: Kind) {
        self.problems.push(self.source.at(at, kind));
    }

    /// Text outside tags: no HTML and no code marks, in which escaping does not work.
    fn text(&mut self, at: usize, text: &str) {
        for (index, _) in text.match_indices('`') {
            self.problem(at + index, Kind::Code);
        }
        for (index, _) in text.match_indices('<') {
            let next = text[index + 1..].chars().next();
            if next.is_some_and(|c| c.is_ascii_alphabetic() || matches!(c, '/' | '!' | '?')) {
                self.problem(at + index, Kind::Html);
            }
        }
    }

    /// A value that is printed.
    fn print(&mut self, at: usize, inside: &str) {
        let before = &self.source.text[..at - 2];
        let line = &before[before.rfind('\n').map_or(0, |end| end + 1)..];
        if line
            .rfind("](")
            .is_some_and(|open| !line[open..].contains(')'))
        {
            self.problem(at, Kind::LinkAddress);
        }
        if line.ends_with('<') {
            self.problem(at, Kind::Html);
        }
        let tokens = tokens(at, inside);
        if let Some((name, Some(Meaning::Fact(value)))) = self.lone_name(&tokens)
            && let Some(known) = names_inside(value)
        {
            let kind = Kind::Group { name, known };
            self.problem(at, kind);
            return;
        }
        self.expression(&tokens);
    }

    /// An `if`, a `for`, a `set` or the end of one.
    fn tag(&mut self, at: usize, inside: &str) {
        let tokens = tokens(at, inside);
        let tokens: &[Token<'_>] = match tokens.first() {
            Some(Token {
                what: What::Sign('-'),
                ..
            }) => &tokens[1..],
            _ => &tokens,
        };
        let Some((first, rest)) = tokens.split_first() else {
            return;
        };
        let What::Name(word) = first.what else {
            return;
        };
        if !TAGS.contains(&word) {
            let name = word.to_owned();
            self.problem(first.at, Kind::Tag { name });
            return;
        }
        match word {
            "for" => self.begin_loop(first.at, rest),
            "endfor" => {
                if self.scopes.len() > 1 {
                    self.scopes.pop();
                }
            }
            "set" => self.set(first.at, rest),
            _ => self.expression(rest),
        }
    }

    fn begin_loop(&mut self, at: usize, tokens: &[Token<'_>]) {
        let (name, list) = match tokens {
            [
                Token {
                    what: What::Name(name),
                    ..
                },
                Token {
                    what: What::Name("in"),
                    ..
                },
                list @ ..,
            ] => (*name, list),
            _ => ("", tokens),
        };
        let mut meaning = Meaning::Own;
        match self.lone_name(list) {
            Some((_, Some(Meaning::Fact(Value::Array(items))))) if !name.is_empty() => {
                meaning = items.first().map_or(Meaning::Own, Meaning::Fact);
            }
            Some((_, None)) => self.expression(list),
            _ => self.problem(at, Kind::NotAList),
        }
        self.scopes.push(vec![
            (name.to_owned(), meaning),
            ("loop".to_owned(), Meaning::Loop),
        ]);
    }

    fn set(&mut self, at: usize, tokens: &[Token<'_>]) {
        let [
            Token {
                what: What::Name(name),
                ..
            },
            Token {
                what: What::Sign('='),
                ..
            },
            value @ ..,
        ] = tokens
        else {
            let name = "set … endset".to_owned();
            self.problem(at, Kind::Tag { name });
            return;
        };
        let meaning = match self.lone_name(value) {
            Some((_, Some(meaning))) => meaning,
            _ => {
                self.expression(value);
                Meaning::Own
            }
        };
        if let Some(scope) = self.scopes.last_mut() {
            scope.push(((*name).to_owned(), meaning));
        }
    }

    /// The meaning of an expression that is one dotted name and nothing else. `Some((_, None))`
    /// when the name is not known.
    fn lone_name(&self, tokens: &[Token<'_>]) -> Option<(String, Option<Meaning<'f>>)> {
        let tokens = match tokens {
            [
                rest @ ..,
                Token {
                    what: What::Sign('-'),
                    ..
                },
            ] => rest,
            all => all,
        };
        let tokens = match tokens {
            [
                Token {
                    what: What::Sign('-'),
                    ..
                },
                rest @ ..,
            ] => rest,
            all => all,
        };
        let (path, used) = path(tokens)?;
        (used == tokens.len()).then(|| (path.join("."), self.resolve(&path).ok()))
    }

    /// Looks up every name of an expression, every filter and every test.
    fn expression(&mut self, tokens: &[Token<'_>]) {
        let mut index = 0;
        while index < tokens.len() {
            let token = tokens[index];
            let What::Name(word) = token.what else {
                index += 1;
                continue;
            };
            let before: Vec<_> = tokens[..index]
                .iter()
                .rev()
                .take(2)
                .map(|t| t.what)
                .collect();
            let after = tokens.get(index + 1).map(|t| t.what);
            index += 1;
            match (before.as_slice(), after) {
                ([What::Sign('|'), ..], _) => self.filter(token.at, word),
                ([What::Name("is"), ..] | [What::Name("not"), What::Name("is")], _)
                    if word != "not" =>
                {
                    self.test(token.at, word);
                }
                (_, _) if WORDS.contains(&word) => {}
                (_, Some(What::Sign('('))) => {
                    let name = word.to_owned();
                    self.problem(token.at, Kind::Function { name });
                }
                (_, Some(What::Sign('='))) => {}
                _ => {
                    let Some((path, used)) = path(&tokens[index - 1..]) else {
                        continue;
                    };
                    index += used - 1;
                    if let Err(kind) = self.resolve(&path) {
                        self.problem(token.at, kind);
                    }
                }
            }
        }
    }

    fn filter(&mut self, at: usize, name: &str) {
        let own = filters::FILTERS.iter().map(|(name, _)| *name);
        let all: Vec<&'static str> = own.chain(filters::ENGINE_FILTERS.iter().copied()).collect();
        if all.contains(&name) {
            return;
        }
        let nearest = nearest(name, all.into_iter());
        let name = name.to_owned();
        self.problem(at, Kind::Filter { name, nearest });
    }

    fn test(&mut self, at: usize, name: &str) {
        if !TESTS.contains(&name) {
            let name = name.to_owned();
            self.problem(at, Kind::Test { name });
        }
    }

    /// What a dotted name stands for.
    fn resolve(&self, path: &[&str]) -> Result<Meaning<'f>, Kind> {
        let Some((first, rest)) = path.split_first() else {
            return Ok(Meaning::Own);
        };
        let known = self
            .scopes
            .iter()
            .rev()
            .flat_map(|scope| scope.iter().rev());
        let mut meaning = match known.clone().find(|(name, _)| name == first) {
            Some((_, meaning)) => *meaning,
            None => {
                let own = known.map(|(name, _)| name.as_str());
                member(self.facts, first, path, own.collect())?
            }
        };
        for name in rest {
            meaning = match meaning {
                Meaning::Fact(Value::Array(items)) if name.bytes().all(|b| b.is_ascii_digit()) => {
                    items.first().map_or(Meaning::Own, Meaning::Fact)
                }
                Meaning::Fact(value) => member(value, name, path, Vec::new())?,
                Meaning::Loop if LOOP.contains(name) => Meaning::Own,
                Meaning::Loop | Meaning::Own => {
                    let known = if matches!(meaning, Meaning::Loop) {
                        LOOP
                    } else {
                        &[]
                    };
                    return Err(unknown(name, path, known.to_vec()));
                }
            };
        }
        Ok(meaning)
    }
}

/// A field of a group of facts.
fn member<'f>(
    value: &'f Value,
    name: &str,
    path: &[&str],
    also: Vec<&str>,
) -> Result<Meaning<'f>, Kind> {
    if let Value::Object(fields) = value {
        if let Some(field) = fields.get(name) {
            return Ok(Meaning::Fact(field));
        }
        let known = fields.keys().map(String::as_str).chain(also).collect();
        return Err(unknown(name, path, known));
    }
    Err(unknown(name, path, Vec::new()))
}

fn unknown(name: &str, path: &[&str], known: Vec<&str>) -> Kind {
    let before: String = path
        .iter()
        .take_while(|part| **part != name)
        .map(|part| format!("{part}."))
        .collect();
    Kind::UnknownName {
        name: path.join("."),
        nearest: nearest(name, known.iter().copied()).map(|near| format!("{before}{near}")),
        known: known.into_iter().map(str::to_owned).collect(),
    }
}

/// The names inside a group of facts or a list of groups; `None` for what can be printed.
fn names_inside(value: &Value) -> Option<Vec<String>> {
    match value {
        Value::Object(fields) => Some(fields.keys().cloned().collect()),
        Value::Array(items) => Some(items.first().and_then(names_inside).unwrap_or_default()),
        _ => None,
    }
}

/// The name nearest to one that is not known; `None` when none is near.
fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    known
        .map(|other| (distance(name, other), other))
        .filter(|(distance, other)| distance * 3 <= other.len().max(3))
        .min()
        .map(|(_, other)| other)
}

/// How many letters must be put in, taken out or changed to make one word of the other.
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (above, letter) in one.chars().enumerate() {
        let mut corner = above;
        row[0] = above + 1;
        for (index, also) in other.iter().enumerate() {
            let changed = corner + usize::from(letter != *also);
            corner = row[index + 1];
            row[index + 1] = changed.min(corner + 1).min(row[index] + 1);
        }
    }
    row[other.len()]
}
