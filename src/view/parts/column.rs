//! The water column: one vertical scale from the surface to the bottom, shared by the bait, rig and bank screens.

use crate::units::{LengthUnits, Units, between};
use maud::{Markup, html};

/// Width of the drawing, in its own units (about CSS pixels on a small phone).
pub(in crate::view) const WIDTH: f64 = 330.0;
/// Left edge of the water.
pub(in crate::view) const LEFT: f64 = 46.0;
/// The surface.
pub(in crate::view) const TOP: f64 = 14.0;
/// Under the bottom.
pub(in crate::view) const FOOT: f64 = 17.0;
/// From the surface to the bottom.
pub(in crate::view) const HEIGHT: f64 = 250.0;

/// A column of water of one depth.
#[derive(Clone, Copy, Debug)]
pub(in crate::view) struct Column {
    /// The depth, m.
    pub(in crate::view) depth_m: f64,
    /// The units of the scale.
    pub(in crate::view) units: Units,
    /// From the surface to the bottom in the drawing; [`HEIGHT`] unless the place is another.
    pub(in crate::view) high: f64,
}

/// A number for a drawing: one decimal is a tenth of a pixel.
pub(in crate::view) fn px(value: f64) -> String {
    crate::units::fixed(value, 1)
}

impl Column {
    /// Where a depth stands in the drawing; held between the surface and a little below the bottom.
    pub(in crate::view) fn y(self, depth_m: f64) -> f64 {
        TOP + self.high * between(depth_m / self.depth_m, -0.05, 1.03)
    }

    /// The drawing with its water, scale and bottom, `inside` drawn on it; `name` says in words what is seen.
    pub(in crate::view) fn draw(self, key: &str, name: &str, inside: &Markup) -> Markup {
        self.draw_under(0.0, key, name, inside)
    }

    /// The same with room for so many units of text over it.
    pub(in crate::view) fn draw_under(self, head: f64, key: &str, name: &str, inside: &Markup) -> Markup {
        let bottom = TOP + self.high;
        html! {
            svg class="column" data-drawing=(key) viewBox={ "0 " (px(-head)) " " (px(WIDTH)) " " (px(head + bottom + FOOT)) } role="img" aria-label=(name) {
                rect class="water" x=(px(LEFT)) y=(px(TOP)) width=(px(WIDTH - LEFT)) height=(px(self.high)) {}
                (self.scale())
                (inside)
                line class="surface" x1=(px(LEFT)) y1=(px(TOP)) x2=(px(WIDTH)) y2=(px(TOP)) {}
                line class="bed" x1=(px(LEFT)) y1=(px(bottom)) x2=(px(WIDTH)) y2=(px(bottom)) {}
            }
        }
    }

    /// The marks of the scale: whole feet, or a round part of a metre, not closer than their words need.
    fn scale(self) -> Markup {
        let (unit_m, decimals, word) = match self.units.lengths {
            LengthUnits::Imperial => (0.3048, 0, " ft"),
            LengthUnits::Metric => (0.1, 1, " m"),
        };
        let steps: &[u32] =
            if self.units.lengths == LengthUnits::Imperial { &[1, 2, 5, 10] } else { &[1, 2, 5, 10, 20, 50] };
        let fits = |step: &&u32| self.high * f64::from(**step) * unit_m / self.depth_m >= 18.0;
        let step = steps.iter().find(fits).copied().unwrap_or(50);
        let shown = |n: u32| {
            if self.units.lengths == LengthUnits::Imperial { f64::from(n) } else { f64::from(n) / 10.0 }
        };
        let marks: Vec<u32> = (0..200)
            .map(|i| i * step)
            .take_while(|n| f64::from(*n) * unit_m <= self.depth_m * 1.001)
            .collect();
        html! {
            g class="scale" {
                @for n in marks {
                    @let y = self.y(f64::from(n) * unit_m);
                    line x1=(px(LEFT - 6.0)) y1=(px(y)) x2=(px(LEFT)) y2=(px(y)) {}
                    text x=(px(LEFT - 9.0)) y=(px(y + 4.0)) text-anchor="end" { (self.units.number(shown(n), decimals)) (word) }
                }
            }
        }
    }
}

/// Marks of a scale at the left edge of a picture: whole feet or half metres, named where there is room. `y` says where a
/// depth (tenths of a millimetre) stands.
pub(in crate::view) fn ticks(units: Units, deepest_tenth_mm: i32, y: &dyn Fn(i32) -> f64) -> Markup {
    let (unit, word) = match units.lengths {
        LengthUnits::Imperial => (3_048, " ft"),
        LengthUnits::Metric => (5_000, " m"),
    };
    let apart = (y(unit) - y(0)).max(0.1);
    let every = [1, 2, 4, 8, 20].into_iter().find(|n| apart * f64::from(*n) >= 30.0).unwrap_or(40);
    let bottom = y(deepest_tenth_mm);
    let marks = (1..=40).map(|n| (n, y(n * unit))).take_while(|(_, at)| *at < bottom - 1.0);
    html! {
        g class="scale" {
            @for (n, at) in marks {
                @let named = n % every == 0 && bottom - at > 15.0;
                line x1="0" y1=(px(at)) x2=(if named { "12" } else { "7" }) y2=(px(at)) {}
                @if named {
                    text x="16" y=(px(at + 4.5)) {
                        @if units.lengths == LengthUnits::Imperial { (n) } @else { (units.number(f64::from(n) * 0.5, 1)) } (word)
                    }
                }
            }
        }
    }
}
