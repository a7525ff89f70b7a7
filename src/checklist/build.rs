//! From raw lists without problems to the checked model.

use std::collections::HashMap;

use super::facts::{FactShape, Scope};
use super::model::{
    AnswerChoice, Band, Checklist, Condition, CounterId, Endings, ForChart, Jump, ListId, Period,
    Piece, Range, Remember, Row, Step, StepId, StepKind, Test, Text, Way,
};
use super::raw::{
    At, RawBand, RawCondition, RawCut, RawEndings, RawJump, RawKind, RawList, RawMeasure,
    RawPeriod, RawRange, RawRow, RawStep, RawTest, RawWay,
};
use super::{band, facts::Facts};
use crate::names::{ListName, StepName};
use crate::units::{Amount, Span, Unit};

/// Makes the checked list. `None` when something is missing, which the checks have told.
pub(super) fn checklist(
    raw: &RawList,
    facts: &Facts,
    places: &HashMap<&str, ListId>,
) -> Option<Checklist> {
    let mut builder = Builder {
        raw,
        facts,
        scope: Scope::of(raw, facts),
        places,
        counters: 0,
    };
    let steps = raw
        .steps
        .iter()
        .map(|step| builder.step(step))
        .collect::<Option<Vec<_>>>()?;
    Some(Checklist {
        name: raw.stem.clone()?,
        title: raw.title.clone()?,
        version: raw.version.clone()?,
        kind: raw.kind.as_ref()?.is,
        mode: raw.mode?,
        key: raw.key.as_ref().map(|key| key.is),
        signs: raw.signs.clone(),
        recognise: raw.recognise.as_ref().map(|text| text.is.clone()),
        about: raw.about.clone(),
        owner: raw.owner.clone()?,
        author: raw.author.clone(),
        review_by: raw.review_by,
        change: raw.change.clone(),
        sources: raw
            .sources
            .iter()
            .map(|(name, words)| (name.clone(), words.is.clone()))
            .collect(),
        begin: StepId(raw.first()?),
        fingerprint: raw.fingerprint.clone(),
        adapted: raw.adapted.clone(),
        steps,
        counters: builder.counters,
    })
}

fn for_chart(raw: &RawStep) -> ForChart {
    let looks = raw.looks.iter();
    match &raw.charts {
        Some(charts) => ForChart::Number(charts.is),
        None if raw.looks.is_empty() => ForChart::Nothing,
        None => ForChart::Answers(looks.map(|(words, is)| (words.is.clone(), is.is)).collect()),
    }
}

struct Builder<'a> {
    raw: &'a RawList,
    facts: &'a Facts,
    scope: Scope<'a>,
    places: &'a HashMap<&'a str, ListId>,
    counters: usize,
}

impl Builder<'_> {
    fn step(&mut self, raw: &RawStep) -> Option<Step> {
        let text = |text: &Option<At<Text>>| text.as_ref().map(|text| text.is.clone());
        let good_for = match &raw.good_for {
            Some(period) => Some(self.facts.span(&period.is)?),
            None => None,
        };
        Some(Step {
            name: raw.name.is.clone(),
            kind: self.kind(&raw.kind)?,
            why: text(&raw.why),
            caution: text(&raw.caution),
            place: text(&raw.place),
            source: raw.source.iter().map(|source| source.is.clone()).collect(),
            tags: raw.tags.iter().cloned().collect(),
            critical: raw.critical,
            from_memory: raw.from_memory.is_some(),
            remember: raw.remember.as_ref().map(|name| Remember {
                name: name.is.clone(),
                good_for,
            }),
            charts: for_chart(raw),
            opens: raw.opens.iter().map(|duty| duty.is.clone()).collect(),
            closes: raw.closes.iter().map(|duty| duty.is.clone()).collect(),
            call: raw.call.as_ref().map(|call| call.is),
            record: text(&raw.record),
        })
    }

    fn kind(&mut self, raw: &RawKind) -> Option<StepKind> {
        Some(match raw {
            RawKind::Hole => return None,
            RawKind::Do {
                text,
                then,
                if_not_done,
            } => StepKind::Do {
                text: words(text)?,
                then: self.way(then.as_ref())?,
                if_not_done: self.way(if_not_done.as_ref())?,
            },
            RawKind::Check {
                text,
                expect,
                as_expected,
                not_as_expected,
                could_not_check,
            } => StepKind::Check {
                text: words(text)?,
                expect: words(expect)?,
                as_expected: self.way(as_expected.as_ref())?,
                not_as_expected: self.way(not_as_expected.as_ref())?,
                could_not_check: self.way(could_not_check.as_ref())?,
            },
            RawKind::Ask { text, answers, .. } => {
                let mut choices = Vec::with_capacity(answers.len());
                for answer in answers {
                    let way = self.way(answer.way.as_ref())?;
                    let words = self.facts.answer_words(&answer.words.is);
                    let unsure = answer.unsure;
                    choices.push(AnswerChoice { words, unsure, way });
                }
                StepKind::Ask {
                    text: words(text)?,
                    answers: choices,
                }
            }
            RawKind::Measure(measure) => self.measure(measure)?,
            RawKind::Wait {
                text,
                period,
                while_unset,
                late_after,
                elapsed,
                if_missed,
            } => {
                let (period, length) = self.period(&period.as_ref()?.is, while_unset.as_ref())?;
                StepKind::Wait {
                    text: words(text)?,
                    period,
                    late_after: match late_after {
                        Some(late) => self.facts.span(&late.is)?,
                        None => length,
                    },
                    elapsed: self.way(elapsed.as_ref())?,
                    if_missed: self.way(if_missed.as_ref())?,
                }
            }
            RawKind::Decide { rows, otherwise } => StepKind::Decide {
                rows: rows
                    .iter()
                    .map(|row| self.row(row))
                    .collect::<Option<_>>()?,
                otherwise: self.way(otherwise.as_ref())?,
            },
            RawKind::Use { list, endings } => StepKind::Use {
                list: self.list(list.as_ref())?,
                endings: self.endings(endings.as_ref()?)?,
            },
            RawKind::End {
                text,
                outcome,
                recheck,
            } => StepKind::End {
                text: words(text)?,
                outcome: outcome.as_ref()?.is,
                recheck: match recheck {
                    Some(raw) => Some(self.facts.span(&raw.is)?),
                    None => None,
                },
            },
        })
    }

    fn measure(&mut self, raw: &RawMeasure) -> Option<StepKind> {
        let unit = raw.unit?;
        Some(StepKind::Measure {
            text: words(&raw.text)?,
            unit,
            plausible: raw.plausible?,
            bands: raw
                .bands
                .iter()
                .map(|band| self.band(band, unit))
                .collect::<Option<_>>()?,
            not_obtained: self.way(raw.not_obtained.as_ref())?,
        })
    }

    fn band(&mut self, raw: &RawBand, unit: Unit) -> Option<Band> {
        Some(Band {
            range: self.facts.range(&raw.range.is, unit)?,
            words: band_words(&raw.range.is, unit),
            way: self.way(raw.way.as_ref())?,
        })
    }

    /// The period, and how long it lasts as things are now.
    fn period(
        &self,
        raw: &RawPeriod,
        while_unset: Option<&At<RawPeriod>>,
    ) -> Option<(Period, Span)> {
        match raw {
            RawPeriod::Fixed(span) => Some((Period::Fixed(*span), *span)),
            RawPeriod::Fact(name) => {
                let set = match &self.facts.get(name.as_str())?.value {
                    Some(super::model::Value::Span(span)) => Some(*span),
                    _ => None,
                };
                let unset = match while_unset {
                    Some(raw) => self.period(&raw.is, None)?.1,
                    None => set?,
                };
                Some((
                    Period::Fact {
                        name: name.clone(),
                        unset,
                    },
                    set.unwrap_or(unset),
                ))
            }
        }
    }

    fn row(&mut self, raw: &RawRow) -> Option<Row> {
        let when = raw
            .when
            .iter()
            .map(|condition| self.condition(condition))
            .collect::<Option<_>>()?;
        Some(Row {
            when,
            way: self.way(raw.way.as_ref())?,
        })
    }

    fn condition(&self, raw: &RawCondition) -> Option<Condition> {
        let name = raw.name.is.clone();
        let test = match &raw.test.is {
            RawTest::Known => Test::Known,
            RawTest::Unknown => Test::Unknown,
            RawTest::Words(words) => match self.scope.shape(&name)?? {
                FactShape::Amount { unit, .. } => Test::Within(self.within(words, unit)?),
                _ => {
                    let words = words.iter();
                    Test::OneOf(
                        words
                            .map(|word| self.facts.answer_words(&word.is))
                            .collect(),
                    )
                }
            },
        };
        Some(Condition { name, test })
    }

    fn within(&self, words: &[At<String>], unit: Unit) -> Option<Range> {
        self.facts.range(&band::parse(&words.first()?.is)?, unit)
    }

    fn way(&mut self, raw: Option<&RawWay>) -> Option<Way> {
        Some(match raw? {
            RawWay::Jump(jump) => Way::Jump(self.jump(Some(jump))?),
            RawWay::Use { list, endings } => Way::Use {
                list: self.list(list.as_ref())?,
                endings: self.endings(endings.as_ref()?)?,
            },
        })
    }

    fn endings(&mut self, raw: &RawEndings) -> Option<Endings> {
        let mut by_outcome = Vec::with_capacity(raw.by_outcome.len());
        for (outcome, jump) in &raw.by_outcome {
            by_outcome.push((outcome.is, self.jump(jump.as_ref())?));
        }
        let any = match &raw.any {
            None => None,
            Some((_, jump)) => Some(self.jump(jump.as_ref())?),
        };
        Some(Endings { by_outcome, any })
    }

    fn jump(&mut self, raw: Option<&RawJump>) -> Option<Jump> {
        let raw = raw?;
        let go = self.target(raw.go.as_ref())?;
        let Some((at_most, after_that)) = &raw.counted else {
            return Some(Jump::To(go));
        };
        let counter = CounterId(self.counters);
        self.counters += 1;
        Some(Jump::Counted {
            go,
            at_most: (*at_most)?,
            after_that: self.target(after_that.as_ref())?,
            counter,
        })
    }

    fn target(&self, name: Option<&At<StepName>>) -> Option<StepId> {
        self.raw.find(name?.is.as_str()).map(StepId)
    }

    fn list(&self, name: Option<&At<ListName>>) -> Option<ListId> {
        self.places.get(name?.is.as_str()).copied()
    }
}

fn words(text: &Option<At<Text>>) -> Option<Text> {
    text.as_ref().map(|text| text.is.clone())
}

/// A band in words, with the unit: "2 to below 5 cm". Names are filled with their values.
fn band_words(range: &RawRange, unit: Unit) -> Text {
    let mut pieces = Vec::new();
    let last_is_number = |cut: &RawCut| matches!(cut, RawCut::Number(_));
    match (&range.from, &range.to) {
        (Some((from, with)), Some((to, with_to))) => {
            let same = last_is_number(from) && last_is_number(to);
            say(
                &mut pieces,
                if *with { "" } else { "above " },
                from,
                unit,
                !same,
            );
            say(
                &mut pieces,
                if *with_to { " to " } else { " to below " },
                to,
                unit,
                true,
            );
        }
        (Some((from, with)), None) => {
            say(
                &mut pieces,
                if *with { "at least " } else { "above " },
                from,
                unit,
                true,
            );
        }
        (None, Some((to, with))) => {
            say(
                &mut pieces,
                if *with { "at most " } else { "below " },
                to,
                unit,
                true,
            );
        }
        (None, None) => {}
    }
    Text(pieces)
}

fn say(pieces: &mut Vec<Piece>, before: &str, cut: &RawCut, unit: Unit, with_unit: bool) {
    let cut = match cut {
        RawCut::Fact(name) => {
            pieces.push(Piece::Words(before.to_owned()));
            pieces.push(Piece::Fill(name.clone()));
            return;
        }
        RawCut::Number(number) if with_unit => Amount::new(*number, unit).to_string(),
        RawCut::Number(number) => number.to_string(),
    };
    match pieces.last_mut() {
        Some(Piece::Words(words)) => {
            words.push_str(before);
            words.push_str(&cut);
        }
        _ => pieces.push(Piece::Words(format!("{before}{cut}"))),
    }
}
