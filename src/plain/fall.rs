//! The fall of a rig and the pattern finder as plain objects. The rig is read as its JSON stands: what is left out has
//! its default, and what is not known is ignored.

use super::{Give, Take, Value, WrongShape, field, field_or, wrong};
use crate::rig::fall::{Bait, Current, Fall, FallSettings, Float, Frames, Hook, Line, Rig, Shot, Times};
use crate::rig::finder::{Aim, Figures, Progress, Proposal, Request};

/// Any object, whatever it has in it.
fn object(value: &Value) -> Result<(), WrongShape> {
    if matches!(value, Value::Object(_)) { Ok(()) } else { wrong("an object") }
}

/// A number, or what it is when left out or nothing.
#[inline(never)]
fn number_or(value: &Value, name: &'static str, otherwise: f64) -> Result<f64, WrongShape> {
    Ok(field::<Option<f64>>(value, name)?.unwrap_or(otherwise))
}

/// A list, or an empty one when left out.
fn list<T: Take>(value: &Value, name: &'static str) -> Result<Vec<T>, WrongShape> {
    Ok(field::<Option<Vec<T>>>(value, name)?.unwrap_or_default())
}

/// An object from its parts.
#[inline(never)]
fn parts(parts: &[(&'static str, Value)]) -> Value {
    Value::Object(parts.iter().map(|(name, value)| ((*name).into(), value.clone())).collect())
}

impl Give for u8 {
    fn give(&self) -> Value {
        u32::from(*self).give()
    }
}

impl Take for Line {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        Ok(Self { length_m: field(value, "length_m")?, diameter_m: field(value, "diameter_m")? })
    }
}

impl Give for Line {
    fn give(&self) -> Value {
        parts(&[("length_m", self.length_m.give()), ("diameter_m", self.diameter_m.give())])
    }
}

impl Take for Shot {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        Ok(Self {
            from_hook_m: field(value, "from_hook_m")?,
            mass_kg: field(value, "mass_kg")?,
            count: field_or(value, "count", 1)?,
        })
    }
}

impl Give for Shot {
    fn give(&self) -> Value {
        parts(&[
            ("from_hook_m", self.from_hook_m.give()),
            ("mass_kg", self.mass_kg.give()),
            ("count", self.count.give()),
        ])
    }
}

impl Take for Hook {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        Ok(Self { mass_kg: field(value, "mass_kg")?, density: number_or(value, "density", 7850.0)? })
    }
}

impl Take for Bait {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        let cube = Self::cube(field(value, "side_m")?, field(value, "density")?);
        Ok(Self {
            sphericity: number_or(value, "sphericity", cube.sphericity)?,
            added_mass: number_or(value, "added_mass", cube.added_mass)?,
            free_m_per_s: field(value, "free_m_per_s")?,
            ..cube
        })
    }
}

impl Give for Bait {
    fn give(&self) -> Value {
        parts(&[
            ("side_m", self.side_m.give()),
            ("density", self.density.give()),
            ("sphericity", self.sphericity.give()),
            ("added_mass", self.added_mass.give()),
            ("free_m_per_s", self.free_m_per_s.give()),
        ])
    }
}

impl Take for Current {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        Ok(Self { u0: field(value, "u0")?, decay_m: field(value, "decay_m")? })
    }
}

impl Take for Float {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        match field::<String>(value, "mode")?.as_str() {
            "fixed" => Ok(Self::Fixed),
            "slide" => Ok(Self::Slide { mass_kg: field(value, "mass_kg")?, cda_m2: field(value, "cda_m2")? }),
            _ => wrong("of mode fixed or slide").map_err(|w: WrongShape| w.under("mode")),
        }
    }
}

impl Give for Float {
    fn give(&self) -> Value {
        match *self {
            Self::Fixed => parts(&[("mode", "fixed".give())]),
            Self::Slide { mass_kg, cda_m2 } => {
                parts(&[("mode", "slide".give()), ("mass_kg", mass_kg.give()), ("cda_m2", cda_m2.give())])
            }
        }
    }
}

impl Take for Rig {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        Ok(Self {
            name: field::<Option<String>>(value, "name")?.unwrap_or_default(),
            temperature_c: field(value, "temperature_C")?,
            launch_angle_deg: number_or(value, "launch_angle_deg", 90.0)?,
            lowered_m_per_s: field(value, "lowered_m_per_s")?,
            line_density: number_or(value, "line_density", 1140.0)?,
            shot_density: number_or(value, "shot_density", 11_340.0)?,
            main: field(value, "main")?,
            hooklength: field(value, "hooklength")?,
            shots: list(value, "shots")?,
            hook: field(value, "hook")?,
            bait: field(value, "bait")?,
            current: field(value, "current")?,
            float: field::<Option<Float>>(value, "float")?.unwrap_or_default(),
            max_link_m: number_or(value, "max_link_m", 0.05)?,
            t_end_s: number_or(value, "t_end_s", 40.0)?,
        })
    }
}

impl Give for Rig {
    fn give(&self) -> Value {
        parts(&[
            ("temperature_C", self.temperature_c.give()),
            ("launch_angle_deg", self.launch_angle_deg.give()),
            ("lowered_m_per_s", self.lowered_m_per_s.give()),
            ("line_density", self.line_density.give()),
            ("shot_density", self.shot_density.give()),
            ("main", self.main.give()),
            ("hooklength", self.hooklength.give()),
            ("shots", self.shots.give()),
            ("hook", parts(&[("mass_kg", self.hook.mass_kg.give()), ("density", self.hook.density.give())])),
            ("bait", self.bait.give()),
            (
                "current",
                self.current
                    .as_ref()
                    .map_or(Value::Null, |c| parts(&[("u0", c.u0.give()), ("decay_m", c.decay_m.give())])),
            ),
            ("float", self.float.give()),
            ("max_link_m", self.max_link_m.give()),
            ("t_end_s", self.t_end_s.give()),
        ])
    }
}

impl Take for FallSettings {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        let usual = Self::default();
        Ok(Self {
            step_s: number_or(value, "step_s", usual.step_s)?,
            start_step_s: number_or(value, "start_step_s", usual.start_step_s)?,
            start_s: number_or(value, "start_s", usual.start_s)?,
            link_factor: number_or(value, "link_factor", usual.link_factor)?,
            finest_link_share: number_or(value, "finest_link_share", usual.finest_link_share)?,
            newton_tolerance_m: number_or(value, "newton_tolerance_m", usual.newton_tolerance_m)?,
            newton_most: field_or(value, "newton_most", usual.newton_most)?,
            sample_dt_s: number_or(value, "sample_dt_s", usual.sample_dt_s)?,
            frame_dt_s: field(value, "frame_dt_s")?,
            depth_bin_m: number_or(value, "depth_bin_m", usual.depth_bin_m)?,
            keep_energy: field_or(value, "keep_energy", false)?,
        })
    }
}

impl Give for Times {
    fn give(&self) -> Value {
        parts(&[
            ("0.25", self.f25.give()),
            ("0.5", self.f50.give()),
            ("0.75", self.f75.give()),
            ("0.9", self.f90.give()),
            ("0.99", self.f99.give()),
        ])
    }
}

/// Single precision as a list of numbers.
fn singles(list: &[f32]) -> Value {
    Value::List(list.iter().map(|x| Value::Number(f64::from(*x))).collect())
}

impl Give for Frames {
    fn give(&self) -> Value {
        parts(&[
            ("dt_s", self.dt_s.give()),
            ("nodes", self.nodes.give()),
            ("from_hook_m", singles(&self.from_hook_m)),
            ("xz_m", singles(&self.xz_m)),
        ])
    }
}

impl Give for Fall {
    fn give(&self) -> Value {
        parts(&[
            ("n_links", self.n_links.give()),
            ("final_depth_m", self.final_depth_m.give()),
            ("t_fraction_of_final_depth_s", self.t_fraction_of_final_depth_s.give()),
            ("t_fraction_of_travel_s", self.t_fraction_of_travel_s.give()),
            ("sample_dt_s", self.sample_dt_s.give()),
            ("hook_z_m", self.hook_z_m.give()),
            ("hook_x_m", self.hook_x_m.give()),
            ("settle_s", self.settle_s.give()),
            ("depth_bin_m", self.depth_bin_m.give()),
            ("time_in_depth_s", self.time_in_depth_s.give()),
            ("last_third_m_per_s", self.last_third_m_per_s.give()),
            ("last_30_cm_s", self.last_30_cm_s.give()),
            ("free_cube_m_per_s", self.free_cube_m_per_s.give()),
            ("free_cube_with_hook_m_per_s", self.free_cube_with_hook_m_per_s.give()),
            ("least_tension_n", self.least_tension_n.give()),
            ("restarts", self.restarts.give()),
            ("frames", self.frames.give()),
            ("energy_j", self.energy_j.give()),
        ])
    }
}

/// The aims by name.
const AIMS: [(&str, Aim); 4] = [
    ("fall_with_feed", Aim::FallWithFeed),
    ("get_down_fast", Aim::GetDownFast),
    ("slow_last_30_cm", Aim::SlowLast30Cm),
    ("settle_soonest", Aim::SettleSoonest),
];

impl Take for Aim {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        let name = String::take(value)?;
        AIMS.iter().find(|(n, _)| *n == name).map_or_else(
            || wrong("one of fall_with_feed get_down_fast slow_last_30_cm settle_soonest"),
            |(_, aim)| Ok(*aim),
        )
    }
}

impl Give for Aim {
    fn give(&self) -> Value {
        AIMS.iter().find(|(_, a)| a == self).map_or(Value::Null, |(n, _)| n.give())
    }
}

impl Take for Request {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        object(value)?;
        Ok(Self {
            rig: field(value, "rig")?,
            aim: field(value, "aim")?,
            most_groups: field_or(value, "most_groups", 3)?,
            kept: list(value, "kept")?,
            on_hooklength: field_or(value, "on_hooklength", false)?,
            latest_s: field(value, "latest_s")?,
        })
    }
}

impl Give for Request {
    fn give(&self) -> Value {
        parts(&[
            ("rig", self.rig.give()),
            ("aim", self.aim.give()),
            ("most_groups", self.most_groups.give()),
            ("kept", self.kept.give()),
            ("on_hooklength", self.on_hooklength.give()),
            ("latest_s", self.latest_s.give()),
        ])
    }
}

impl Take for Figures {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        // What is never reached is infinite here and nothing there.
        let never = f64::INFINITY;
        Ok(Self {
            to_bottom_s: number_or(value, "to_bottom_s", never)?,
            to_two_thirds_s: number_or(value, "to_two_thirds_s", never)?,
            last_third_of_feed: field(value, "last_third_of_feed")?,
            last_30_cm_s: number_or(value, "last_30_cm_s", never)?,
            settle_s: number_or(value, "settle_s", never)?,
        })
    }
}

impl Give for Figures {
    fn give(&self) -> Value {
        parts(&[
            ("to_bottom_s", self.to_bottom_s.give()),
            ("to_two_thirds_s", self.to_two_thirds_s.give()),
            ("last_third_of_feed", self.last_third_of_feed.give()),
            ("last_30_cm_s", self.last_30_cm_s.give()),
            ("settle_s", self.settle_s.give()),
        ])
    }
}

impl Take for Proposal {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        Ok(Self {
            shots: list(value, "shots")?,
            groups: field(value, "groups")?,
            figures: field(value, "figures")?,
            exact: field(value, "exact")?,
            best: field(value, "best")?,
            words: field(value, "words")?,
        })
    }
}

impl Give for Proposal {
    fn give(&self) -> Value {
        parts(&[
            ("shots", self.shots.give()),
            ("groups", self.groups.give()),
            ("figures", self.figures.give()),
            ("exact", self.exact.give()),
            ("best", self.best.give()),
            ("words", self.words.give()),
        ])
    }
}

impl Take for Progress {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        Ok(Self {
            evaluated: field(value, "evaluated")?,
            expected: field(value, "expected")?,
            done: field(value, "done")?,
            own: field(value, "own")?,
            proposals: list(value, "proposals")?,
        })
    }
}

impl Give for Progress {
    fn give(&self) -> Value {
        parts(&[
            ("evaluated", self.evaluated.give()),
            ("expected", self.expected.give()),
            ("done", self.done.give()),
            ("own", self.own.give()),
            ("proposals", self.proposals.give()),
        ])
    }
}
