//! The water as one picture: bed, lines, rigs at their depths, feed, sky and wind.

use crate::page::Page;
use crate::plan::{Choice, PoleLine, Sky, Wind};
use crate::units::{Quantity, Units, fixed};
use crate::view::parts::column::{px, ticks};
use crate::view::parts::mark::{mark_at, mark_of};
use maud::{Markup, html};

/// Height of the sky above the surface.
const SKY: f64 = 62.0;
/// Left of here stand the scale and the feed.
const LEFT: f64 = 96.0;
/// Height of the bed under the deepest line.
const BED: f64 = 26.0;

/// Where things stand: width, height, and the depth at the deepest bed.
struct Frame {
    wide: f64,
    high: f64,
    deepest_tenth_mm: i32,
}

impl Frame {
    fn y(&self, depth_tenth_mm: i32) -> f64 {
        SKY + (self.high - BED - SKY) * f64::from(depth_tenth_mm) / f64::from(self.deepest_tenth_mm.max(1))
    }
}

/// One column: a line and the rig in it, or none where a line is fed and has no rig.
struct Column {
    line: usize,
    rig: Option<usize>,
}

/// The lines from the deepest to the shallowest, with their rigs by depth.
fn columns(page: &Page) -> Vec<Column> {
    let plan = &page.plan;
    let mut lines: Vec<usize> = (0..plan.lines.len()).collect();
    crate::small::sort_by_key(&mut lines, |line| -plan.lines[*line].depth_tenth_mm);
    let mut columns = Vec::new();
    for line in lines {
        let here = |place: i32| usize::try_from(place).is_ok_and(|place| place == line);
        let mut rigs: Vec<usize> = (0..plan.rigs.len()).filter(|i| here(plan.rigs[*i].line)).collect();
        crate::small::sort_by_key(&mut rigs, |i| plan.rigs[*i].depth_tenth_mm);
        if rigs.is_empty() {
            let fed = plan.feed.iter().any(|phase| here(phase.line));
            columns.extend(fed.then_some(Column { line, rig: None }));
        }
        columns.extend(rigs.into_iter().map(|rig| Column { line, rig: Some(rig) }));
    }
    columns
}

/// What the picture says, in words.
fn words(page: &Page, units: Units) -> String {
    let plan = &page.plan;
    let reach = |tenth_mm: i32| units.text(tenth_mm, Quantity::Reach);
    let mut words = ["Water ", &reach(plan.water.depth_tenth_mm), " deep. "].concat();
    for line in &plan.lines {
        let (out, deep) = (reach(line.distance_tenth_mm), reach(line.depth_tenth_mm));
        words.push_str(&[line.name.as_str(), ": ", &out, " out, ", &deep, " deep. "].concat());
    }
    for rig in &plan.rigs {
        let depth = units.text(rig.depth_tenth_mm, Quantity::Depth);
        words.push_str(&["Rig ", &rig.name, " at ", &depth, ". "].concat());
    }
    words
}

/// The picture.
pub(super) fn picture(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let (wide, high) = if page.place.wide { (780.0, 400.0) } else { (360.0, 268.0) };
    let deepest_tenth_mm = plan
        .lines
        .iter()
        .map(|line| line.depth_tenth_mm)
        .chain(plan.rigs.iter().map(|rig| rig.depth_tenth_mm))
        .chain([plan.water.depth_tenth_mm])
        .max()
        .unwrap_or(1);
    let frame = Frame { wide, high, deepest_tenth_mm };
    let columns = columns(page);
    let step = (wide - LEFT - 24.0) / columns.len().max(1) as f64;
    let x = |i: usize| LEFT + step * (i as f64 + 0.5);
    let first = page.results.order.first().map(|turn| turn.rig);
    html! {
        svg class="scene" data-drawing="day" viewBox={ "0 0 " (px(wide)) " " (px(high)) } role="img" aria-label=(words(page, units)) {
            rect class="sky" x="0" y="0" width=(px(wide)) height=(px(SKY)) {}
            (weather(page, units))
            rect class="water" x="0" y=(px(SKY)) width=(px(wide)) height=(px(high - SKY)) {}
            (ticks(units, frame.deepest_tenth_mm, &|depth| frame.y(depth)))
            (feed(&frame))
            (bed(page, &frame, &columns, step))
            line class="surface" x1="0" y1=(px(SKY)) x2=(px(wide)) y2=(px(SKY)) {}
            @for (i, column) in columns.iter().enumerate() {
                @match column.rig {
                    Some(rig) => (one_rig(page, &frame, rig, x(i), first == Some(rig))),
                    None => (missing(&frame, plan.lines.get(column.line), x(i))),
                }
            }
        }
    }
}

/// A rig at its depth: letter above the surface, float, line, mark.
fn one_rig(page: &Page, frame: &Frame, place: usize, x: f64, first: bool) -> Markup {
    let rig = &page.plan.rigs[place];
    let letter: String = rig.name.chars().take(if rig.name.chars().count() > 3 { 1 } else { 3 }).collect();
    html! {
        g class=(if first { "rig open" } else { "rig" }) {
            text class="value" x=(px(x)) y=(px(SKY - 14.0)) text-anchor="middle" { (letter) }
            line class="line" x1=(px(x)) y1=(px(SKY - 8.0)) x2=(px(x)) y2=(px(frame.y(rig.depth_tenth_mm))) {}
            path class="float" d={ "M" (px(x - 4.0)) " " (px(SKY)) "h8l-4 10z" } {}
            (mark_at(mark_of(&page.plan.rigs, place), x, frame.y(rig.depth_tenth_mm) - 4.0))
        }
    }
}

/// A line that is fed and has no rig.
fn missing(frame: &Frame, line: Option<&PoleLine>, x: f64) -> Markup {
    let y = frame.y(line.map_or(0, |line| line.depth_tenth_mm));
    html! {
        line class="missing" x1=(px(x)) y1=(px(SKY)) x2=(px(x)) y2=(px(y - 12.0)) {}
        circle class="missing" cx=(px(x)) cy=(px(y - 6.0)) r="5.5" {}
    }
}

/// The bed, in steps from line to line, with each line's depth.
fn bed(page: &Page, frame: &Frame, columns: &[Column], step: f64) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let depth =
        |line: usize| plan.lines.get(line).map_or(plan.water.depth_tenth_mm, |line| line.depth_tenth_mm);
    let text = |line: usize| units.text(depth(line), Quantity::Reach);
    // Each line from where it begins to where it ends.
    let mut spans: Vec<(usize, f64, f64)> = Vec::new();
    for (i, column) in columns.iter().enumerate() {
        let from = LEFT + step * i as f64;
        match spans.last_mut() {
            Some((line, _, to)) if *line == column.line => *to = from + step,
            _ => spans.push((column.line, from, from + step)),
        }
    }
    if let Some(last) = spans.last_mut() {
        last.2 = frame.wide;
    }
    let first = spans.first().map(|span| span.0);
    let start = first.map_or(plan.water.depth_tenth_mm, depth);
    let mut d = ["M0 ", &px(frame.y(start))].concat();
    for (i, &(line, from, to)) in spans.iter().enumerate() {
        let (y, bend) = (frame.y(depth(line)), step.min(40.0) * 0.45);
        if i > 0 {
            let before = frame.y(depth(spans[i - 1].0));
            let parts = [
                "C",
                &px(from),
                " ",
                &px(before),
                " ",
                &px(from),
                " ",
                &px(y),
                " ",
                &px(from + bend),
                " ",
                &px(y),
            ];
            d.push_str(&parts.concat());
        }
        let end = if i + 1 < spans.len() { to - bend } else { to };
        d.push_str(&["L", &px(end), " ", &px(y)].concat());
    }
    if spans.is_empty() {
        d.push_str(&["L", &px(frame.wide), " ", &px(frame.y(start))].concat());
    }
    let ground = [&d, "V", &px(frame.high), "H0Z"].concat();
    html! {
        path class="ground" d=(ground) {}
        path class="bed" d=(d) {}
        text class="value" x="8" y=(px(frame.high - 8.0)) {
            (units.text(start, Quantity::Reach))
            @if let Some(line) = first.and_then(|line| plan.lines.get(line)) { tspan class="soft" { "  " (short(&line.name)) } }
        }
        @for &(line, from, to) in spans.iter().skip(1) {
            @let y = frame.y(depth(line));
            @if to - from >= 46.0 && frame.high - y >= 34.0 {
                text class="value" x=(px(f64::midpoint(from, to))) y=(px(y + 18.0)) text-anchor="middle" { (text(line)) }
                @if let Some(line) = plan.lines.get(line).filter(|_| to - from >= 70.0 && frame.high - y >= 50.0) {
                    text class="soft" x=(px(f64::midpoint(from, to))) y=(px(y + 34.0)) text-anchor="middle" { (short(&line.name)) }
                }
            }
        }
    }
}

/// The first letters of a name that may be long.
fn short(name: &str) -> String {
    name.chars().take(16).collect()
}

/// Three feeds on their way down.
fn feed(frame: &Frame) -> Markup {
    let bits = (0..3_u32).flat_map(|k| {
        (0..(13 - 2 * k)).map(move |i| {
            // Spread evenly by two irrational steps (powers of the plastic number).
            let a = (f64::from(i + 1) * 0.754_877_67 + f64::from(k) * 0.3).fract();
            let b = (f64::from(i + 1) * 0.569_840_29 + f64::from(k) * 0.1).fract();
            (k, a, b)
        })
    });
    let water = frame.high - BED - SKY;
    html! {
        @for (k, a, b) in bits {
            @let x = 70.0 + (10.0 + 4.0 * f64::from(k)) * (2.0 * a - 1.0);
            @let y = SKY + water * (0.09 + 0.34 * f64::from(k)) + (9.0 + 5.0 * f64::from(k)) * (2.0 * b - 1.0);
            rect class="cube" x=(px(x - 2.5)) y=(px(y - 2.5)) width="5" height="5" transform={ "rotate(" (fixed(a * 90.0, 0)) " " (px(x)) " " (px(y)) ")" } {}
        }
    }
}

/// Sky, temperature, wind and pressure, as a small drawing and words.
fn weather(page: &Page, units: Units) -> Markup {
    let plan = &page.plan;
    let weather = &plan.weather;
    let sunny = matches!(weather.sky, Sky::Bright | Sky::Mixed);
    let cloudy = matches!(weather.sky, Sky::Mixed | Sky::Overcast);
    let wind = if weather.wind == Wind::Still {
        "still".to_owned()
    } else {
        [weather.wind.word(), " wind"].concat()
    };
    let words = [
        &units.text(plan.water.surface_tenth_c, Quantity::Temperature),
        ", ",
        &wind,
        ", ",
        &weather.pressure_hpa.to_string(),
        " ",
        weather.trend.word(),
    ];
    html! {
        g class="weather" transform="translate(20 20)" {
            @if sunny {
                circle r="6" {}
                @for i in 0..8 {
                    line y1="-9" y2="-13" transform={ "rotate(" (i * 45) ")" } {}
                }
            }
            @if cloudy { path class="cloud" d="M-9 8a5 5 0 0 1 1-10a7 7 0 0 1 13 1a4.600 4.600 0 0 1 1 9z" {} }
        }
        text class="soft" x="42" y="25" { (words.concat()) }
    }
}
