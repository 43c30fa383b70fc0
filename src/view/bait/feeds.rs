//! Feeds on their way down, and the time to each depth, beside the rigs.

use crate::bait::sink::Sink;
use crate::page::Page;
use crate::units::{between, fixed};
use crate::view::parts::column::{Column, HEIGHT, LEFT, WIDTH, px};
use crate::view::parts::words::end;
use maud::{Markup, html};

/// The last feeds as they sink, to scale.
pub(super) fn feeds(page: &Page, sink: &Sink) -> Markup {
    let (plan, day, units) = (&page.plan, &page.results, page.choices.units);
    let Some(phase) = plan.feed.first() else { return html! {} };
    let depth_m = f64::from(plan.water.depth_tenth_mm) * 1e-4;
    let column = Column { depth_m, units, high: HEIGHT };
    let every = f64::from(phase.every_s);
    let (low, high) = (sink.speed_m_per_s.low, sink.speed_m_per_s.high);
    let spans = [("last", 0.0), ("one before", 1.0), ("first", 2.0)].map(|(which, before)| {
        let at = |speed: f64| units.depth_m((speed * (5.0 + every * before)).min(depth_m));
        format!("the {which} from {} to {}", at(low), at(high))
    });
    let name = format!(
        "Three feeds, {} s apart, as they stand in the water 5 s after the last: {}.",
        phase.every_s,
        spans.join(", ")
    );
    let bits = (0..3_u32).flat_map(|k| {
        let age = 5.0 + every * f64::from(k);
        let count = u32::try_from(phase.cubes.clamp(1, 40)).unwrap_or(1);
        (0..count).map(move |i| {
            // Spread evenly by two irrational steps (powers of the plastic number): the same picture each time.
            let a = (f64::from(i + 1) * 0.754_877_67 + f64::from(k) * 0.3).fract();
            let b = (f64::from(i + 1) * 0.569_840_29 + f64::from(k) * 0.1).fract();
            // Middle values are commoner than the ends of the band.
            let speed = low
                + (high - low)
                    * between(0.5 + 0.5 * (2.0 * a - 1.0).powi(3) + 0.08 * (2.0 * b - 1.0), 0.0, 1.0);
            let wide = 16.0 + 26.0 * (age * speed / depth_m).min(1.0);
            (LEFT + 62.0 + wide * (2.0 * b - 1.0), (age * speed).min(depth_m), a)
        })
    });
    // Words stand above their line, and below the words before them where two lines are close.
    let mut last = f64::NEG_INFINITY;
    let marks = day.falls.iter().skip(1).filter_map(|fall| {
        let y = column.y(fall.depth_m);
        last = (y - 4.0).max(last + 15.0);
        Some((fall, fall.time_s.as_ref()?, y, last))
    });
    let inside = html! {
        @for (x, depth, turn) in bits {
            @let y = column.y(depth);
            rect class="cube" x=(px(x - 2.5)) y=(px(y - 5.0)) width="5" height="5" transform={ "rotate(" (fixed(turn * 90.0, 0)) " " (px(x)) " " (px(y - 2.5)) ")" } {}
        }
        @for (fall, time, y, words_y) in marks {
            line class="mark" x1=(px(LEFT)) y1=(px(y)) x2=(px(WIDTH)) y2=(px(y)) {}
            text class="name" x=(px(WIDTH - 104.0)) y=(px(words_y)) { (fall.name) }
            text class="value" x=(px(WIDTH - 5.0)) y=(px(words_y)) text-anchor="end" { (units.number(time.mid, u8::from(time.mid < 20.0))) " s" }
        }
    };
    html! {
        h2 { "Three feeds, " (phase.every_s) " s apart" }
        (column.draw("feeds", &name, &inside))
    }
}

pub(super) fn times(page: &Page) -> Markup {
    let units = page.choices.units;
    html! {
        table data-result="sink.times" {
            caption { "Time to each depth" }
            thead { tr { th scope="col" { "To" } th scope="col" { "Depth" } th scope="col" { "Time" } th scope="col" { "From, to" } } }
            tbody {
                @for fall in &page.results.falls {
                    tr {
                        th scope="row" { (fall.name) }
                        td { (units.depth_m(fall.depth_m)) }
                        @match &fall.time_s {
                            Some(time) => { td { (units.number(time.mid, 1)) " s" } td { (units.number(time.low, 1)) " to " (end(units, time.high, 1)) } }
                            None => { td { "floats" } td { "–" } }
                        }
                    }
                }
            }
        }
    }
}
