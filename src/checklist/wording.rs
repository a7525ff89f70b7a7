//! The words of every problem: what is wrong, and what to do. The values are in `problem`.

use std::fmt::Write as _;

use crate::units::{Amount, Unit};

use super::problem::{Edge, Kind, Problem, Shape, Slip, Trick};
use super::read::is_hidden;
use super::read::keys::{KINDS, kinds_with};

impl Problem {
    /// What is wrong, in one sentence.
    #[must_use]
    pub fn message(&self) -> String {
        message(&self.kind)
    }

    /// What to do about it, if there is something to say.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        help(&self.kind)
    }
}

impl Kind {
    /// What is wrong, in one sentence.
    #[must_use]
    pub fn message(&self) -> String {
        message(self)
    }

    /// What to do about it, if there is something to say.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        help(self)
    }
}

/// Words from a file, in quotes: cut short, and without what could disturb a screen.
fn quoted(words: &str) -> String {
    let mut shown: String = words
        .chars()
        .take(60)
        .map(|c| if is_hidden(c) || c == '\n' { '?' } else { c })
        .collect();
    if words.chars().nth(60).is_some() {
        shown.push('…');
    }
    format!("\"{shown}\"")
}

/// "a, b or c".
fn any_of<T: AsRef<str>>(words: &[T]) -> String {
    match words.split_last() {
        None => String::new(),
        Some((last, [])) => last.as_ref().to_owned(),
        Some((last, first)) => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", first.join(", "), last.as_ref())
        }
    }
}

fn chain(names: &[String]) -> String {
    names.join(" -> ")
}

/// "2 to below 5 cm", "2 cm".
fn stretch(from: Edge, to: Edge, unit: Unit) -> String {
    if from.0 == to.0 {
        return Amount::new(from.0, unit).to_string();
    }
    let mut words = String::new();
    if !from.1 {
        words.push_str("above ");
    }
    let _never = write!(words, "{} to ", from.0);
    if !to.1 {
        words.push_str("below ");
    }
    let _never = write!(words, "{}", Amount::new(to.0, unit));
    words
}

const fn shape(shape: Shape) -> &'static str {
    match shape {
        Shape::Nothing => "nothing",
        Shape::Words => "words",
        Shape::List => "a list",
        Shape::Map => "keys with values",
        Shape::Truth => "true or false",
        Shape::Number => "a number",
    }
}

fn message(kind: &Kind) -> String {
    match kind {
        Kind::EmptyFile => "there is nothing in this file".to_owned(),
        Kind::NotUtf8 => "this file is not text in UTF-8".to_owned(),
        Kind::TooBig { bytes, most } => {
            format!("this file has {bytes} bytes; at most {most} are read")
        }
        Kind::TooDeep { most } => {
            format!("lists and keys stand more than {most} deep in one another")
        }
        Kind::NotYamlName { file } => format!("the name {} does not end in .yaml", quoted(file)),
        Kind::TooMany { left } => format!("{left} more problems in this file are not shown"),
        Kind::HiddenCharacter { code } => {
            format!("there is a character here that cannot be seen (U+{code:04X})")
        }
        Kind::NotPlain(trick) => trick_message(*trick).to_owned(),
        Kind::DuplicateKey { key } => format!("{} stands here a second time", quoted(key)),
        Kind::Syntax(slip) => slip_message(*slip).to_owned(),
        Kind::WrongShape { wanted, found } => {
            format!("here should be {wanted}; found: {}", shape(*found))
        }
        Kind::NeedsQuotes { words } => format!(
            "{} is taken for a number or for true or false, not for words",
            quoted(words)
        ),
        Kind::EmptyText => "there are no words here".to_owned(),
        Kind::SeveralLines => "this text has more than one line".to_owned(),
        Kind::NoEntries { what } => format!("here should be {what}, and there is none"),
        Kind::BadName(why) => format!("{} is not a name", quoted(&why.text)),
        Kind::UnknownKey { key, owner, .. } => format!("{owner} has no key {}", quoted(key)),
        Kind::KeyOfOtherKind { key, kind } => format!("a step of kind {kind} has no key \"{key}\""),
        Kind::KeyNotHere { key, only } => format!("\"{key}\" belongs to {only} only"),
        Kind::MissingKey { key, owner } => {
            format!("{owner} needs the key \"{key}\", and it is not there")
        }
        Kind::NoKind => "this step does not say what kind it is".to_owned(),
        Kind::SeveralKinds { first, second } => {
            format!("this step is both \"{first}\" and \"{second}\"")
        }
        Kind::UnknownWord { word, what, .. } => format!("{} is not {what}", quoted(word)),
        Kind::NotTruth { found } => format!(
            "here should be true or false, and there is {}",
            quoted(found)
        ),
        Kind::NotACount { found, most } => {
            format!(
                "here should be a whole number from 1 to {most}, and there is {}",
                quoted(found)
            )
        }
        Kind::NotAVersion { found } => format!("{} is not a version", quoted(found)),
        Kind::NotADate { found } => format!("{} is not a day", quoted(found)),
        Kind::NotAZone { found } => format!("{} is not a time zone", quoted(found)),
        Kind::NotAKey { found } => format!("{} cannot be the key of an urgent list", quoted(found)),
        Kind::NotAnAmount { wanted, why } => format!("here should be {wanted}: {why}"),
        Kind::UnknownUnit { found } => format!("{} is not a unit known here", quoted(found)),
        Kind::NotARange { found } => format!("{} is not a range", quoted(found)),
        Kind::NotABand { found } => format!("{} is not a band", quoted(found)),
        Kind::OneKeyEach { what, found } => {
            format!("{what} has one key and its way, and there are {found}")
        }
        Kind::NotTogether { first, second } => {
            format!("\"{first}\" and \"{second}\" cannot stand together")
        }
        Kind::NeedsBeside { key, other } => format!("\"{key}\" needs \"{other}\" beside it"),
        Kind::LooseBrace { brace } => format!("a {brace} stands alone"),
        Kind::BadPlaceholder { found } => format!("{} in braces is not a name", quoted(found)),
        other => rule_message(other),
    }
}

const fn trick_message(trick: Trick) -> &'static str {
    match trick {
        Trick::Alias => "an alias (*name) is not used in checklists",
        Trick::Anchor => "an anchor (&name) is not used in checklists",
        Trick::Tag => "a tag (!name) is not used in checklists",
        Trick::MergeKey => "a merge key (<<) is not used in checklists",
        Trick::SecondDocument => "a second document (---) begins here",
        Trick::KeyOfParts => "a list or a map stands where a key should be",
    }
}

const fn slip_message(slip: Slip) -> &'static str {
    match slip {
        Slip::Tab => "there is a tab where only spaces are allowed",
        Slip::SecondColon => "a second colon with a space after it stands in this line",
        Slip::Indent => "this line does not line up with the lines around it",
        Slip::Unclosed => "what is opened here is not closed",
        Slip::NoColon => "a key stands here without its colon",
        Slip::BadStart => "words cannot begin with this character unless they are in quotes",
        Slip::BadEscape => "the letter after the backslash means nothing here",
        Slip::Other => "this cannot be read as YAML",
    }
}

fn rule_message(kind: &Kind) -> String {
    match kind {
        Kind::NameNotFile { name, stem } => {
            format!(
                "the list calls itself {}, and its file is {}",
                quoted(name),
                quoted(&format!("{stem}.yaml"))
            )
        }
        Kind::FileNotAName { stem } => format!("{} cannot be the name of a list", quoted(stem)),
        Kind::UnknownStep { name, .. } => format!("there is no step called \"{name}\""),
        Kind::Unreachable { name, begin } => format!("no way leads from \"{begin}\" to \"{name}\""),
        Kind::NoEnd => "this list has no end".to_owned(),
        Kind::DeadEnd { chain: names } => {
            format!("from here no end can be reached: {}", chain(names))
        }
        Kind::UncountedCircle { chain: names } => {
            format!("these steps can go round for ever: {}", chain(names))
        }
        Kind::NoUnsure => "this question has no answer for \"not sure\"".to_owned(),
        Kind::SeveralUnsure { first } => {
            format!("{} is already the answer for \"not sure\"", quoted(first))
        }
        Kind::SameAnswer { words } => format!("the answer {} stands twice", quoted(words)),
        Kind::ReservedAnswer { words } => {
            format!("a remembered answer cannot be {}", quoted(words))
        }
        Kind::TooManyAnswers { count, most } => {
            format!("this question has {count} answers; at most {most} have a key")
        }
        Kind::BandGap { from, to, unit } => format!("no band has {}", stretch(*from, *to, *unit)),
        Kind::BandOverlap { from, to, unit } => {
            format!("two bands have {}", stretch(*from, *to, *unit))
        }
        Kind::BandOutside => "no plausible number is in this band".to_owned(),
        Kind::BandBackwards => "this band ends before it begins".to_owned(),
        Kind::UnknownFact { name, .. } => format!("nothing is called {}", quoted(name)),
        Kind::NameTaken { name, by } => format!("\"{name}\" is already the name of {by}"),
        Kind::RememberedTwice { name, first } => {
            format!("the step \"{first}\" already remembers \"{name}\"")
        }
        Kind::NotALimit { name, .. } => format!("{} is not a limit", quoted(name)),
        Kind::PeriodMayBeUnset { name } => format!("the unit may not have set \"{name}\""),
        Kind::NotASpanFact { name } => format!("\"{name}\" is not a length of time"),
        Kind::NeverIs { name, word, .. } => format!("\"{name}\" is never {}", quoted(word)),
        Kind::NeverWithin {
            name,
            low,
            high,
            unit,
        } => {
            format!(
                "\"{name}\" is from {low} to {}, so this never matches",
                Amount::new(*high, *unit)
            )
        }
        Kind::NeverGiven { name, by } => {
            format!("\"{name}\" cannot be known here: no way leads from \"{by}\" to this step")
        }
        Kind::RowNeverTaken => "an earlier row is always taken before this one".to_owned(),
        Kind::WrongTest { name, is, .. } => {
            format!("\"{name}\" is {is}, which cannot be tested like this")
        }
        Kind::ChartsNoAnswer { words, .. } => {
            format!("\"{words}\" is none of the answers of this step")
        }
        Kind::ChartsUnsure { words } => {
            format!("\"{words}\" is the answer of who is not sure, and says nothing for the chart")
        }
        Kind::WrongQuantity { name, has, wanted } => {
            format!("\"{name}\" is in {has}, which cannot be compared with {wanted}")
        }
        Kind::NotANumberFact { name, is } => {
            format!("\"{name}\" is {is}, and a band needs a number")
        }
        Kind::UnknownList { name, .. } => format!("there is no list called \"{name}\""),
        Kind::UseCircle { chain: names } => {
            format!("these lists use each other in a circle: {}", chain(names))
        }
        Kind::EndingMissing { list, missing } => {
            let missing: Vec<&str> = missing.iter().map(|outcome| outcome.word()).collect();
            format!(
                "\"{list}\" can end in {}, and no way says where that leads",
                any_of(&missing)
            )
        }
        Kind::EndingSuperfluous {
            list,
            outcome: Some(outcome),
        } => format!("\"{list}\" never ends in {outcome}"),
        Kind::EndingSuperfluous {
            list,
            outcome: None,
        } => format!("every ending of \"{list}\" has its own way, so \"any\" is never taken"),
        Kind::MissingSource { key } => format!("this {key} names no source"),
        Kind::UnknownSource { name, .. } => format!("the head names no source \"{name}\""),
        Kind::UnusedSource { name } => format!("no step names the source \"{name}\""),
        Kind::UnknownDuty { name, .. } => format!("there is no duty called \"{name}\""),
        Kind::SameKey { key, other } => {
            format!("the key {key} already starts the list \"{other}\"")
        }
        Kind::NoFirstScreen => {
            "an urgent list begins with what must be done, and this one does not".to_owned()
        }
        Kind::LongFirstScreen { steps, most } => {
            format!("{steps} steps or more are from memory; at most {most} can be")
        }
        Kind::TallFirstScreen { lines, most } => {
            format!("the first screen takes {lines} lines; at most {most} fit")
        }
        Kind::FromMemoryNotDo => "only a \"do\" can be from memory".to_owned(),
        Kind::FromMemoryNotFirst => {
            "a step from memory must be among the first, one after the other".to_owned()
        }
        Kind::NoEarlyCall => "neither the first nor the second step calls for help".to_owned(),
        Kind::Prose(prose) => prose.message(),
        Kind::Adapt(misfit) => misfit.message(),
        Kind::UnknownLocalFact { name, .. } => format!("there is no local fact called \"{name}\""),
        Kind::NotPlausible { found, low, high } => {
            format!("{found} is not between {low} and {high}")
        }
        Kind::RangeBackwards => "the second number must be higher than the first".to_owned(),
        _ => "the checklists could not be made ready, and no file is to blame".to_owned(),
    }
}

fn help(kind: &Kind) -> Option<String> {
    let meant = |nearest: &Option<String>, otherwise: &str| {
        Some(nearest.as_ref().map_or_else(
            || otherwise.to_owned(),
            |name| format!("did you mean \"{name}\"?"),
        ))
    };
    Some(match kind {
        Kind::EmptyFile => "write the checklist, or take the file away".to_owned(),
        Kind::NotUtf8 => "save it again as UTF-8; a text editor asks for the encoding when saving".to_owned(),
        Kind::TooBig { .. } => "a checklist is a few pages; split it, or look whether this is the right file".to_owned(),
        Kind::TooDeep { .. } => "look for brackets or indentation that went wrong; the language needs about ten".to_owned(),
        Kind::NotYamlName { .. } => "rename the file so that it ends in .yaml".to_owned(),
        Kind::TooMany { .. } => "put right what is shown, then load the file again".to_owned(),
        Kind::HiddenCharacter { .. } => "delete the line and type it anew; such characters come with copied text".to_owned(),
        Kind::NotPlain(trick) => trick_help(*trick).to_owned(),
        Kind::DuplicateKey { .. } => "keep one of the two".to_owned(),
        Kind::Syntax(slip) => slip_help(*slip).to_owned(),
        Kind::NeedsQuotes { words } => format!("put it in quotes: \"{words}\""),
        Kind::WrongShape { .. } => "checklists/LANGUAGE.md shows how it is written".to_owned(),
        Kind::NoEntries { .. } => "write at least one, or take the key away if it is not needed".to_owned(),
        Kind::MissingKey { key, .. } => {
            format!("add a line \"{key}: ...\"; checklists/LANGUAGE.md shows how it is written")
        }
        Kind::KeyNotHere { .. } => "take it away".to_owned(),
        Kind::NotACount { .. } => "write the number in digits, like 3".to_owned(),
        Kind::NeedsBeside { .. } => "add it, or take the other away".to_owned(),
        Kind::EmptyText => "write the words, or take the key away if it is not needed".to_owned(),
        Kind::SeveralLines => "write it on one line, or begin it with > so that its lines are joined".to_owned(),
        Kind::BadName(_) => "use small letters, digits and single hyphens, beginning with a letter".to_owned(),
        Kind::UnknownKey { nearest, known, .. } => return meant(nearest, &format!("known here: {}", known.join(", "))),
        Kind::KeyOfOtherKind { key, .. } => format!("it belongs to a step of kind {}", kinds_with(key)),
        Kind::NoKind | Kind::SeveralKinds { .. } => {
            let kinds: Vec<&str> = KINDS.iter().map(|kind| kind.kind).collect();
            format!("a step has exactly one of {}", any_of(&kinds))
        }
        Kind::UnknownWord { nearest, known, .. } => return meant(nearest, &format!("it can be {}", any_of(known))),
        Kind::NotTruth { .. } => "write true or false, without quotes".to_owned(),
        Kind::NotAVersion { .. } => "write three numbers with dots between, like 1.0.0".to_owned(),
        Kind::NotADate { .. } => "write year, month and day, like 2027-06-30".to_owned(),
        Kind::NotAZone { .. } => "write it like Europe/London".to_owned(),
        Kind::NotAKey { .. } => "use \"!\" in quotes or one capital letter".to_owned(),
        Kind::NotAnAmount { .. } => "write a number and its unit, like 2 cm or 5 min".to_owned(),
        Kind::UnknownUnit { .. } => {
            let units: Vec<&str> = Unit::ALL.iter().map(|unit| unit.symbol()).collect();
            format!("known: {}", units.join(", "))
        }
        Kind::NotARange { .. } => "write the lowest and the highest, like 0 to 30".to_owned(),
        Kind::NotABand { .. } => {
            "write it like \"below 2\", \"at most 2\", \"above 5\", \"at least 5\", \"2 to 5\" or \"2 to below 5\", \
             with numbers in the step's unit or names of limits"
                .to_owned()
        }
        Kind::OneKeyEach { .. } => "begin every one with its own \"- \"".to_owned(),
        Kind::NotTogether { .. } => "keep one of the two".to_owned(),
        Kind::LooseBrace { .. } => "write the name between { and }, or double it for the brace itself: {{ or }}".to_owned(),
        Kind::BadPlaceholder { .. } => "write the name of a limit, a local fact, a drain fact or a remembered answer".to_owned(),
        other => return rule_help(other),
    })
}

const fn trick_help(trick: Trick) -> &'static str {
    match trick {
        Trick::Alias | Trick::Anchor | Trick::MergeKey => {
            "write it out in full; words that begin with * or & need quotes"
        }
        Trick::Tag => "take it away, or put the words in quotes if they begin with !",
        Trick::SecondDocument => {
            "one file holds one checklist; put the second in a file of its own"
        }
        Trick::KeyOfParts => {
            "a key is plain words; put them in quotes if they hold brackets or braces"
        }
    }
}

const fn slip_help(slip: Slip) -> &'static str {
    match slip {
        Slip::Tab => "put two spaces for each tab",
        Slip::SecondColon => "put the words after the first colon in quotes",
        Slip::Indent => {
            "give lines that belong together the same number of spaces at their beginning"
        }
        Slip::Unclosed => "look for the missing quote, bracket or brace",
        Slip::NoColon => "write the key, a colon and a space",
        Slip::BadStart => "put the words in quotes",
        Slip::BadEscape => "double the backslash, or use single quotes",
        Slip::Other => "look at quotes, colons and indentation in this line and the one before it",
    }
}

fn rule_help(kind: &Kind) -> Option<String> {
    let meant = |nearest: &Option<String>, otherwise: &str| {
        Some(nearest.as_ref().map_or_else(
            || otherwise.to_owned(),
            |name| format!("did you mean \"{name}\"?"),
        ))
    };
    Some(match kind {
        Kind::NameNotFile { stem, .. } => {
            format!("write \"checklist: {stem}\", or rename the file")
        }
        Kind::FileNotAName { .. } => {
            "name the file with small letters, digits and single hyphens, and .yaml".to_owned()
        }
        Kind::UnknownStep { nearest, .. } => {
            return meant(nearest, "write the step, or the name of one that is there");
        }
        Kind::Unreachable { .. } => "let a step lead to it, or take it away".to_owned(),
        Kind::NoEnd => "write a step with \"end\" and its outcome".to_owned(),
        Kind::DeadEnd { .. } => "let one of these steps lead to an end".to_owned(),
        Kind::UncountedCircle { .. } => {
            "count one of these ways: {go: step, at_most: 3, after_that: other-step}".to_owned()
        }
        Kind::NoUnsure => {
            "add an answer like \"- not sure: {unsure: true, go: step}\" that leads somewhere safe"
                .to_owned()
        }
        Kind::SeveralUnsure { .. } => "keep \"unsure: true\" on one answer".to_owned(),
        Kind::SameAnswer { .. } => "every answer has words of its own".to_owned(),
        Kind::ReservedAnswer { .. } => {
            "a test could not tell it from known and unknown; use other words".to_owned()
        }
        Kind::TooManyAnswers { .. } => "ask in two steps".to_owned(),
        Kind::BandGap { .. } => {
            "every plausible number needs a band; look at below and at most, above and at least"
                .to_owned()
        }
        Kind::BandOverlap { .. } => {
            "every number has one band; look at below and at most, above and at least".to_owned()
        }
        Kind::BandBackwards => {
            "write the lower number first; with a limit by weight it must be the lower one \
                                from the lightest child to the heaviest"
                .to_owned()
        }
        Kind::NeverWithin { .. } | Kind::NotPlausible { .. } => {
            "look at the number and its unit".to_owned()
        }
        Kind::ChartsNoAnswer {
            nearest, answers, ..
        } => return meant(nearest, &format!("write {} as it stands", any_of(answers))),
        Kind::ChartsUnsure { .. } => "take the line away".to_owned(),
        Kind::WrongQuantity { .. } => "use one that measures the same thing".to_owned(),
        Kind::NotANumberFact { .. } => "name a limit or a local fact that is an amount".to_owned(),
        Kind::RangeBackwards => "write the lower number first".to_owned(),
        Kind::BandOutside => "change the band, or the plausible range".to_owned(),
        Kind::UnknownFact { nearest, .. } => {
            return meant(
                nearest,
                "it must be a limit, a local fact, a drain fact, or an answer remembered in this list",
            );
        }
        Kind::NameTaken { .. } | Kind::RememberedTwice { .. } => "choose another name".to_owned(),
        Kind::NotALimit { nearest, .. } => {
            return meant(nearest, "write the name of one in limits.yaml");
        }
        Kind::PeriodMayBeUnset { .. } => {
            "for a wait, say how long until then: while_unset: 60 min; elsewhere name a limit"
                .to_owned()
        }
        Kind::NotASpanFact { .. } => {
            "name a limit or local fact that is a time, or write a time like 5 min".to_owned()
        }
        Kind::NeverIs {
            nearest, choices, ..
        } => return meant(nearest, &format!("it can be {}", any_of(choices))),
        Kind::NeverGiven { .. } => {
            "test it after the step that remembers it, or test for unknown".to_owned()
        }
        Kind::RowNeverTaken => "put the narrower row first, or take it away".to_owned(),
        Kind::WrongTest { can, .. } => format!("test it for {can}"),
        Kind::UnknownList { nearest, .. } => {
            return meant(nearest, "write the name of a list's file without .yaml");
        }
        Kind::UseCircle { .. } => "let one of them end instead of using the next".to_owned(),
        Kind::EndingMissing { .. } => {
            "add each with its step, or \"any\" for all others".to_owned()
        }
        Kind::EndingSuperfluous { .. } => {
            "take it away, or look whether another ending was meant".to_owned()
        }
        Kind::MissingSource { .. } => {
            "write \"source: NAME\" from the head, or tag it house if the unit answers for it"
                .to_owned()
        }
        Kind::UnknownSource { nearest, .. } => {
            return meant(nearest, "add it to \"sources\" in the head");
        }
        Kind::UnusedSource { .. } => {
            "name it at the steps that rest on it, or take it away".to_owned()
        }
        Kind::UnknownDuty { nearest, .. } => {
            return meant(nearest, "write the name of one in duties.yaml");
        }
        Kind::SameKey { .. } => "give this list another capital letter".to_owned(),
        Kind::NoFirstScreen => "let \"begin\" name a \"do\" with \"from_memory: true\"".to_owned(),
        Kind::LongFirstScreen { .. } => {
            "nobody remembers more in an emergency; take \"from_memory\" off the later ones"
                .to_owned()
        }
        Kind::TallFirstScreen { .. } => {
            "shorten the recognise line, the actions or the cautions".to_owned()
        }
        Kind::FromMemoryNotDo | Kind::FromMemoryNotFirst => {
            "take \"from_memory\" away, or move the step to the beginning".to_owned()
        }
        Kind::NoEarlyCall => {
            "add \"call: emergency\" or \"call: doctor-now\" to one of them".to_owned()
        }
        Kind::Prose(prose) => prose.help(),
        Kind::Adapt(misfit) => return misfit.help(),
        Kind::UnknownLocalFact { nearest, .. } => {
            return meant(nearest, "write the name of one in local-facts.yaml");
        }
        Kind::OurFault => "please report this; it is a fault of the program".to_owned(),
        _ => return None,
    })
}
