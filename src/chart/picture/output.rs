//! The two upper parts: output since the start, and output by the hour.

use super::super::plot::LimitLine;
use super::super::series::Series;
use super::time::Time;
use super::{Area, BAR, Drawn, GRID, INK, LEFT, LIMIT, PALE, RANGE, RIGHT, UNKNOWN, write};
use crate::units::Span;
use plotters::prelude::*;

/// A value with its range at a moment, mL.
struct Sample {
    at: i64,
    value: f64,
    range: Option<(f64, f64)>,
    /// False when the output before it, back to the last sample, is not known.
    joined: bool,
}

/// The cumulative output where it is known: at every point, or at every column when there are
/// more points than that.
fn samples(series: &Series, time: &Time) -> Vec<Sample> {
    let points = &series.curve.0;
    let most = usize::try_from(time.columns).unwrap_or(1);
    let moments: Vec<(i64, u32)> = if points.len() <= most {
        points.iter().map(|p| (p.at, p.run)).collect()
    } else {
        let end = series.known_ends().1;
        let step = ((end - time.first) / i64::from(time.columns)).max(1);
        let run = |at: i64| {
            let past = points.partition_point(|p| p.at <= at);
            past.checked_sub(1)
                .and_then(|i| points.get(i))
                .map_or(0, |p| p.run)
        };
        let steps = usize::try_from(step).unwrap_or(1);
        (time.first..=end)
            .step_by(steps)
            .chain([end])
            .map(|at| (at, run(at)))
            .collect()
    };
    let mut last_run = None;
    moments
        .into_iter()
        .map(|(at, run)| {
            let output = series.output(series.start().at, series.moment(at));
            let range = output.volume.bounds;
            let joined = last_run.is_none_or(|last| last == run);
            last_run = Some(run);
            Sample {
                at,
                value: output.volume.nominal.to_f64(),
                range: range.map(|(low, high)| (low.to_f64(), high.to_f64())),
                joined,
            }
        })
        .collect()
}

/// A round number a little above the greatest value.
fn top(values: impl Iterator<Item = f64>) -> f64 {
    let greatest = values.fold(0.0_f64, f64::max).max(10.0);
    greatest * 1.08
}

/// Output since the start.
pub(super) fn totals(area: &Area<'_>, series: &Series, time: &Time) -> Drawn {
    let samples = samples(series, time);
    let highest = samples.iter().map(|s| s.range.map_or(s.value, |r| r.1));
    let mut chart = ChartBuilder::on(area)
        .margin_top(24)
        .margin_right(RIGHT)
        .set_label_area_size(LabelAreaPosition::Left, LEFT)
        .set_label_area_size(LabelAreaPosition::Bottom, 24)
        .build_cartesian_2d(time.clone(), 0.0..top(highest))?;
    mesh(&mut chart)?;
    for run in samples.chunk_by(|_, next| next.joined) {
        let highs = run.iter().filter_map(|s| Some((s.at, s.range?.1)));
        let lows = run.iter().filter_map(|s| Some((s.at, s.range?.0)));
        let band: Vec<(i64, f64)> = highs.chain(lows.rev()).collect();
        if band.len() > 2 {
            chart.draw_series([Polygon::new(band, RANGE)])?;
        }
        let line = run.iter().map(|s| (s.at, s.value));
        chart.draw_series(LineSeries::new(line, INK.stroke_width(2)))?;
        if samples.len() < 80 {
            let dots = run
                .iter()
                .map(|s| Circle::new((s.at, s.value), 3, INK.filled()));
            chart.draw_series(dots)?;
        }
    }
    // Where the output is not known, a broken line leads on.
    for pair in samples.windows(2).filter(|pair| !pair[1].joined) {
        let from = (pair[0].at, pair[0].value);
        let to = (pair[1].at, pair[1].value);
        chart.draw_series(DashedLineSeries::new(
            [from, to],
            3,
            5,
            PALE.stroke_width(1),
        ))?;
    }
    write(area, "Output since the start, mL", (10, 4), 14, INK)
}

/// One bar: an hour, or the greatest of several.
struct Bar {
    from: i64,
    to: i64,
    value: f64,
    range: Option<(f64, f64)>,
    unknown: bool,
}

/// The hours, so many to a bar that each is at least three pixels wide.
fn bars(series: &Series, time: &Time) -> (Vec<Bar>, usize) {
    let hours = series.hours();
    let most = usize::try_from(time.columns / 3).unwrap_or(1).max(1);
    let each = hours.len().div_ceil(most).max(1);
    let end = series.known_ends().1;
    let bars = hours.chunks(each).filter_map(|chunk| {
        let greatest = chunk
            .iter()
            .map(|hour| (hour.per_hour().unwrap_or(hour.volume), hour))
            .max_by_key(|(rate, _)| rate.nominal);
        let (first, last) = (chunk.first()?, chunk.last()?);
        // The part of the last hour that has not come yet is not unknown, only not there.
        let broken = |hour: &super::super::rate::Output| {
            hour.unknown.iter().any(|gap| gap.from.timestamp() < end)
        };
        let bounds = greatest.as_ref().and_then(|(rate, _)| rate.bounds);
        Some(Bar {
            from: first.from.timestamp(),
            to: last.to.timestamp().min(end),
            value: greatest.map_or(0.0, |(rate, _)| rate.nominal.to_f64()),
            range: bounds.map(|(low, high)| (low.to_f64(), high.to_f64())),
            unknown: chunk.iter().any(broken),
        })
    });
    (bars.collect(), each)
}

/// Output by the hour, with the limits that are rates.
pub(super) fn hours(area: &Area<'_>, series: &Series, time: &Time, limits: &[LimitLine]) -> Drawn {
    let (bars, each) = bars(series, time);
    let highest = bars.iter().map(|b| b.range.map_or(b.value, |r| r.1));
    let greatest = top(highest);
    // A limit far above everything would flatten the bars: it is named, not drawn.
    let near = |limit: &&LimitLine| limit.at.to_f64() <= greatest * 3.0;
    let drawn = limits.iter().filter(near).map(|limit| limit.at.to_f64());
    let top = top(drawn.chain([greatest / 1.08]));
    let mut chart = ChartBuilder::on(area)
        .margin_top(24)
        .margin_right(RIGHT)
        .set_label_area_size(LabelAreaPosition::Left, LEFT)
        .set_label_area_size(LabelAreaPosition::Bottom, 24)
        .build_cartesian_2d(time.clone(), 0.0..top)?;
    for bar in bars.iter().filter(|bar| bar.unknown) {
        let corners = [(bar.from, 0.0), (bar.to, top)];
        chart.draw_series([Rectangle::new(corners, UNKNOWN.filled())])?;
    }
    mesh(&mut chart)?;
    // Lines side by side would hide the bars: a pale end on top of the bar instead.
    let thin = |bar: &Bar| time.pixel(bar.to) - time.pixel(bar.from) < 10;
    for bar in bars.iter().filter(|bar| thin(bar)) {
        let high = bar.range.map_or(bar.value, |range| range.1);
        let corners = [(bar.from, bar.value), (bar.to, high)];
        chart.draw_series([Rectangle::new(corners, RANGE.filled())])?;
    }
    for bar in &bars {
        let corners = [(bar.from, 0.0), (bar.to, bar.value)];
        chart.draw_series([Rectangle::new(corners, BAR.filled())])?;
        if each == 1 {
            chart.draw_series([Rectangle::new(corners, WHITE.stroke_width(1))])?;
        }
        let range = bar.range.filter(|(low, high)| low < high);
        if let Some((low, high)) = range.filter(|_| !thin(bar)) {
            let middle = i64::midpoint(bar.from, bar.to);
            let line = vec![(middle, low), (middle, high)];
            chart.draw_series([PathElement::new(line, INK.stroke_width(1))])?;
        }
    }
    for (limit, letter) in limits.iter().zip('a'..='z').filter(|(l, _)| near(l)) {
        let at = limit.at.to_f64();
        let ends = [(time.first, at), (time.last, at)];
        chart.draw_series(DashedLineSeries::new(ends, 8, 4, LIMIT.stroke_width(2)))?;
        let (_, y) = chart.backend_coord(&(time.first, at));
        let (_, above) = area.get_base_pixel();
        let words = format!("limit {letter}, {} mL/h", limit.at);
        name_limit(area, time, (&bars, at), &words, y - above - 17)?;
    }
    for bar in bars.iter().filter(|bar| bar.unknown) {
        let middle = time.pixel(i64::midpoint(bar.from, bar.to)) - 4;
        write(area, "?", (middle, 30), 16, INK)?;
    }
    let name = match each {
        1 => "Output by the hour, mL/h".to_owned(),
        each => format!(
            "Greatest hour in every {}, mL/h",
            Span(u32::try_from(each * 3_600).unwrap_or(0))
        ),
    };
    let far = limits.len() - limits.iter().filter(near).count();
    let name = if far > 0 {
        format!("{name} (limits above the picture: {far}, see below)")
    } else {
        name
    };
    write(
        area,
        &super::cut(&name, area.dim_in_pixel().0, 7),
        (10, 4),
        14,
        INK,
    )
}

/// The words of a limit above its line, where no bar stands behind them; where one stands
/// everywhere, on a ground of their own.
fn name_limit(
    area: &Area<'_>,
    time: &Time,
    (bars, at): (&[Bar], f64),
    words: &str,
    y: i32,
) -> Drawn {
    // A letter of 13 pixels takes about 7.
    let wide = 7 * i32::try_from(words.chars().count()).unwrap_or(0);
    let (left, right) = (time.pixel(time.first) + 4, time.pixel(time.last) - wide);
    let behind = |x: i32| {
        bars.iter().any(|bar| {
            let high = bar.range.map_or(bar.value, |range| range.1);
            let beside = time.pixel(bar.to) < x || time.pixel(bar.from) > x + wide;
            high >= at * 0.97 && !beside
        })
    };
    let mut places = (0..).map(|step| left + 8 * step).take_while(|x| *x < right);
    let free = places.find(|x| !behind(*x));
    let x = free.unwrap_or(left);
    if free.is_none() {
        let ground = [(x - 2, y), (x + wide, y + 14)];
        area.draw(&Rectangle::new(ground, WHITE.filled()))?;
    }
    write(area, words, (x, y), 13, LIMIT)
}

fn mesh(
    chart: &mut ChartContext<
        '_,
        SVGBackend<'_>,
        Cartesian2d<Time, plotters::coord::types::RangedCoordf64>,
    >,
) -> Drawn {
    chart
        .configure_mesh()
        .bold_line_style(GRID)
        .light_line_style(TRANSPARENT)
        .axis_style(PALE)
        .y_labels(5)
        .y_label_formatter(&|value| format!("{value:.0}"))
        .label_style(("sans-serif", 13).into_font().color(&INK))
        .draw()?;
    Ok(())
}
