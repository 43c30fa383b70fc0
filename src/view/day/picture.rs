//! The water as one picture: bed, lines, rigs at their depths, feed, sky and wind.

use crate::page::Page;
use crate::plan::{Choice, PoleLine, Sky, Wind};
use crate::units::{Quantity, Units};
use crate::view::parts::column::px;
use crate::view::parts::scene::{Scene, cube, spread};
use maud::{Markup, html};

/// Height of the sky above the surface.
const SKY: f64 = 62.0;
/// Left of here stand the scale and the feed.
const LEFT: f64 = 96.0;
/// Height of the bed under the deepest line.
const BED: f64 = 26.0;

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
    let scene = Scene::new(page, 268.0, SKY, BED);
    let columns = columns(page);
    let first = page.results.order.first().map(|turn| turn.rig);
    let above = html! { (weather(page, units)) (feed(&scene)) };
    let rigs = html! {
        @for (i, column) in columns.iter().enumerate() {
            @let x = scene.x(LEFT, i, columns.len());
            @match column.rig {
                Some(rig) => (scene.rig(page, rig, (x, SKY - 14.0), first == Some(rig), &scene.line(x, plan.rigs[rig].depth_tenth_mm))),
                None => (missing(&scene, plan.lines.get(column.line), x)),
            }
        }
    };
    scene.draw("day", &words(page, units), &above, &bed(page, &scene, &columns), &rigs)
}

/// A line that is fed and has no rig.
fn missing(frame: &Scene, line: Option<&PoleLine>, x: f64) -> Markup {
    let y = frame.y(line.map_or(0, |line| line.depth_tenth_mm));
    html! {
        line class="missing" x1=(px(x)) y1=(px(SKY)) x2=(px(x)) y2=(px(y - 12.0)) {}
        circle class="missing" cx=(px(x)) cy=(px(y - 6.0)) r="5.5" {}
    }
}

/// The bed, in steps from line to line, with each line's depth.
fn bed(page: &Page, frame: &Scene, columns: &[Column]) -> Markup {
    let step = frame.x(LEFT, 1, columns.len()) - frame.x(LEFT, 0, columns.len());
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
fn feed(scene: &Scene) -> Markup {
    let water = scene.high - BED - SKY;
    html! {
        @for k in 0..3_u32 {
            @for i in 0..(13 - 2 * k) {
                @let (a, b) = spread(i, k);
                @let (x, y) = (10.0 + 4.0 * f64::from(k), 9.0 + 5.0 * f64::from(k));
                (cube(70.0 + x * (2.0 * a - 1.0), SKY + water * (0.09 + 0.34 * f64::from(k)) + y * (2.0 * b - 1.0), a))
            }
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
