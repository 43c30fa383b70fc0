//! The two falls that are shown, at a moment: what the drawing and the chart change as time goes on.

use crate::page::Page;
use crate::results::fall::FallPath;
use crate::rig::fall::Rig;
use crate::view::parts::column::{Column, HEIGHT, LEFT, WIDTH, px};
use crate::view::parts::words::noun;

/// Where the float stands in the drawing.
pub(super) const FLOAT_X: f64 = LEFT + 12.0;

/// The drawing's changing parts at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnRig {
    /// Points of the line.
    pub line: String,
    /// Dots of the shot.
    pub shots: String,
    /// Place of the hook bait, as a transform.
    pub hook: String,
}

/// Everything that changes at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scene {
    /// The own pattern.
    pub own: Option<DrawnRig>,
    /// The one beside it.
    pub beside: Option<DrawnRig>,
    /// How far the free cubes have sunk, as a transform.
    pub cubes: String,
    /// The chart's pointer, as a transform.
    pub pointer: String,
    /// The moment in words.
    pub words: String,
}

/// The two falls that are shown.
pub(super) struct Shown<'a> {
    pub(super) own: &'a FallPath,
    pub(super) own_rig: Rig,
    pub(super) beside: Option<(String, Rig, &'a FallPath)>,
    pub(super) column: Column,
    pub(super) end_s: f64,
}

pub(super) fn shown(page: &Page) -> Option<Shown<'_>> {
    let (fall, current) = page.own_fall()?;
    let own = fall.as_ref().ok()?;
    let own_rig = if current { page.own_rig()? } else { page.falls.last.clone()?.1 };
    let beside = page
        .compared()
        .filter(|_| current)
        .and_then(|(words, rig)| page.falls.of(&rig)?.as_ref().ok().map(|sunk| (words, rig, sunk)));
    let water_m = f64::from(page.plan.water.depth_tenth_mm) * 1e-4;
    // A shallow rig is drawn in the upper water alone.
    let length = own_rig.length_m();
    let depth_m = if length * 1.6 < water_m { length * 1.25 } else { water_m.max(length) };
    Some(Shown {
        own,
        own_rig,
        beside,
        column: Column { depth_m, units: page.choices.units, high: HEIGHT },
        end_s: page.watch_s(),
    })
}

impl Shown<'_> {
    pub(super) fn x(&self, x_m: f64) -> f64 {
        FLOAT_X + HEIGHT * x_m / self.column.depth_m
    }

    pub(super) fn points(&self, nodes: &[(f64, f64)]) -> String {
        let mut text = String::new();
        for (x, z) in nodes {
            text.push_str(&px(self.x(*x)));
            text.push(' ');
            text.push_str(&px(self.column.y(*z)));
            text.push(' ');
        }
        text
    }

    pub(super) fn moment(&self, sunk: &FallPath, rig: &Rig, t_s: f64) -> DrawnRig {
        let nodes = sunk.at(t_s);
        let mut shots = String::new();
        for shot in &rig.shots {
            #[expect(clippy::cast_possible_truncation, reason = "for drawing")]
            let place = shot.from_hook_m as f32;
            let mut best = (f32::INFINITY, 0);
            for (i, from) in sunk.from_hook_m.iter().enumerate() {
                if (from - place).abs() < best.0 {
                    best = ((from - place).abs(), i);
                }
            }
            if let Some((x, z)) = nodes.get(best.1) {
                shots.push_str(&["M", &px(self.x(*x)), " ", &px(self.column.y(*z)), "h0"].concat());
            }
        }
        let (x, z) = nodes.last().copied().unwrap_or_default();
        let hook = ["translate(", &px(self.x(x)), " ", &px(self.column.y(z)), ")"].concat();
        DrawnRig { line: self.points(&nodes), shots, hook }
    }

    pub(super) fn cube_m(&self, t_s: f64) -> f64 {
        (self.own.cube_m_per_s.unwrap_or(0.0) * t_s).min(self.own_rig.length_m())
    }
}

/// What the drawing looks like `t_s` after the lay; nothing when there is no fall to show.
#[must_use]
pub fn scene(page: &Page, t_s: f64) -> Option<Scene> {
    let shown = shown(page)?;
    let units = page.choices.units;
    let cubes_px = HEIGHT * shown.cube_m(t_s) / shown.column.depth_m;
    let (bait, cube) = (units.depth_m(shown.own.hook_m(t_s)), units.depth_m(shown.cube_m(t_s)));
    let mut words = format!("{} s: bait {bait} down, free {} {cube}", units.number(t_s, 1), noun(page));
    if let Some((name, _, sunk)) = &shown.beside {
        words = [&words, ", ", &name.to_ascii_lowercase(), " ", &units.depth_m(sunk.hook_m(t_s))].concat();
    }
    Some(Scene {
        own: Some(shown.moment(shown.own, &shown.own_rig, t_s)),
        beside: shown.beside.as_ref().map(|(_, rig, sunk)| shown.moment(sunk, rig, t_s)),
        cubes: ["translate(0 ", &px(cubes_px), ")"].concat(),
        pointer: ["translate(", &px(chart_x(t_s, shown.end_s)), " 0)"].concat(),
        words,
    })
}

pub(super) fn chart_x(t_s: f64, end_s: f64) -> f64 {
    LEFT + (WIDTH - LEFT - 8.0) * t_s / end_s.max(0.1)
}
