//! The frame that every picture of the water has: a band above the surface, the water, its scale, the bed; floats and rigs
//! hang in it.

use super::column::{px, ticks};
use super::mark::{mark_at, mark_of};
use crate::page::Page;
use crate::units::{Units, between};
use maud::{Markup, html};

/// The frame: width and height, the band above the surface, the bed under the deepest water, the depth there.
#[derive(Clone, Copy)]
pub(in crate::view) struct Scene {
    pub(in crate::view) wide: f64,
    pub(in crate::view) high: f64,
    pub(in crate::view) head: f64,
    bed: f64,
    deepest_tenth_mm: i32,
    units: Units,
}

impl Scene {
    /// A frame for all rigs of a page: so high on a phone, with so much above the surface and under the water.
    pub(in crate::view) fn new(page: &Page, high: f64, head: f64, bed: f64) -> Self {
        let plan = &page.plan;
        let lines = plan.lines.iter().map(|line| line.depth_tenth_mm);
        let depths =
            plan.rigs.iter().map(|rig| rig.depth_tenth_mm).chain(lines).chain([plan.water.depth_tenth_mm]);
        let (wide, high) = if page.place.wide { (780.0, 400.0) } else { (360.0, high) };
        Self {
            wide,
            high,
            head,
            bed,
            deepest_tenth_mm: depths.max().unwrap_or(1).max(1),
            units: page.choices.units,
        }
    }

    /// Where a depth stands.
    pub(in crate::view) fn y(&self, depth_tenth_mm: i32) -> f64 {
        let share = f64::from(depth_tenth_mm) / f64::from(self.deepest_tenth_mm);
        self.head + (self.high - self.bed - self.head) * between(share, 0.0, 1.0)
    }

    /// Where the column of one of so many things stands, in the room from `left` on.
    pub(in crate::view) fn x(&self, left: f64, place: usize, of: usize) -> f64 {
        left + (self.wide - left - 14.0) / of.max(1) as f64 * (place as f64 + 0.5)
    }

    /// The picture: what stands above the surface and in the water, the ground, and the rigs over all; `name` says it in words.
    pub(in crate::view) fn draw(
        &self,
        key: &str,
        name: &str,
        inside: &Markup,
        ground: &Markup,
        rigs: &Markup,
    ) -> Markup {
        let (wide, high, head) = (px(self.wide), px(self.high), px(self.head));
        html! {
            svg class="scene" data-drawing=(key) viewBox={ "0 0 " (wide) " " (high) } role="img" aria-label=(name) {
                rect class="sky" x="0" y="0" width=(wide) height=(head) {}
                rect class="water" x="0" y=(head) width=(wide) height=(px(self.high - self.head)) {}
                (ticks(self.units, self.deepest_tenth_mm, &|depth| self.y(depth)))
                (inside)
                (ground)
                line class="surface" x1="0" y1=(head) x2=(wide) y2=(head) {}
                (rigs)
            }
        }
    }

    /// A level bed at a depth.
    pub(in crate::view) fn level(&self, depth_tenth_mm: i32) -> Markup {
        let y = self.y(depth_tenth_mm);
        html! {
            rect class="ground" x="0" y=(px(y)) width=(px(self.wide)) height=(px(self.high - y)) {}
            line class="bed" x1="0" y1=(px(y)) x2=(px(self.wide)) y2=(px(y)) {}
        }
    }

    /// A rig: its letter, the float on the surface, what is drawn of it below, and its mark at the end.
    pub(in crate::view) fn rig(
        &self,
        page: &Page,
        place: usize,
        (x, letter_y): (f64, f64),
        open: bool,
        below: &Markup,
    ) -> Markup {
        let rig = &page.plan.rigs[place];
        let letters = if rig.name.chars().count() > 3 { 1 } else { 3 };
        html! {
            g class=(if open { "rig open" } else { "rig" }) {
                text class="value" x=(px(x)) y=(px(letter_y)) text-anchor="middle" { (rig.name.chars().take(letters).collect::<String>()) }
                (below)
                path class="float" d={ "M" (px(x - 4.0)) " " (px(self.head)) "h8l-4 10z" } {}
                (mark_at(mark_of(&page.plan.rigs, place), x, self.y(rig.depth_tenth_mm) - 4.0))
            }
        }
    }

    /// The line of a rig from above its float down to a depth.
    pub(in crate::view) fn line(&self, x: f64, depth_tenth_mm: i32) -> Markup {
        html! { line class="line" x1=(px(x)) y1=(px(self.head - 8.0)) x2=(px(x)) y2=(px(self.y(depth_tenth_mm))) {} }
    }
}

/// A cube of the feed, turned by a share of a quarter.
pub(in crate::view) fn cube(x: f64, y: f64, turn: f64) -> Markup {
    html! { rect class="cube" x=(px(x - 2.5)) y=(px(y - 2.5)) width="5" height="5" transform={ "rotate(" (crate::units::fixed(turn * 90.0, 0)) " " (px(x)) " " (px(y)) ")" } {} }
}

/// Two shares that spread the cubes of a feed evenly by irrational steps (powers of the plastic number): the same picture
/// each time.
pub(in crate::view) fn spread(cube: u32, feed: u32) -> (f64, f64) {
    let share = |step: f64, shift: f64| (f64::from(cube + 1) * step + f64::from(feed) * shift).fract();
    (share(0.754_877_67, 0.3), share(0.569_840_29, 0.1))
}
