//! How a cube from the freezer sinks while it still holds ice.

use crate::bait::material::{Label, Matter};
use crate::bait::shape::Shape;
use crate::bait::sink::{SinkRequest, sink};
use crate::refusal::{Refusal, within};
use serde::Serialize;

/// A cube with some of its water frozen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FrozenPoint {
    /// Temperature right through the cube, °C.
    pub core_c: f64,
    /// Ice, share of the cube's mass.
    pub ice_share: f64,
    /// Density, kg/m3.
    pub density_kg_per_m3: f64,
    /// Steady speed in the lake, m/s; 0 when it floats.
    pub speed_m_per_s: f64,
    /// That speed over the thawed cube's; 0 when it floats.
    pub speed_share: f64,
}

/// How frozen cubes sink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrozenCurve {
    /// From -20 °C to 0 °C.
    pub points: Vec<FrozenPoint>,
    /// Temperature at which the last ice is gone and a cube sinks at full speed, °C.
    pub full_speed_c: f64,
    /// Temperature at which it sinks at nine tenths of full speed, °C.
    pub nine_tenths_c: f64,
    /// Share of air by volume at which a cube at -18 °C floats; 0 when it floats without any.
    pub floats_at_air_share: f64,
}
/// Density and speed of a cube from the freezer, against its temperature.
///
/// In the lake a 6 mm cube loses its last ice in about a minute (a third of the slab's time, for its six faces); the curve
/// is for a cube that is still as cold as given, the water around it at `water_temperature_c`.
///
/// # Errors
/// A number outside its range, a label over 100 g or without water.
pub fn frozen_curve(
    label: &Label,
    air_share: f64,
    shape: Shape,
    water_temperature_c: f64,
) -> Result<FrozenCurve, Refusal> {
    within("air_share", "share of air", air_share, (0.0, 0.3), "")?;
    let made_of = label.composition()?;
    let freezing = made_of.initial_freezing_point_c().ok_or_else(no_water)?;
    let at = |core_c: f64| -> Result<(f64, f64, f64), Refusal> {
        let frozen = made_of.at_temperature(core_c);
        let kg_per_m3 = frozen.density_kg_per_m3(core_c) * (1.0 - air_share);
        let matter = Matter::Density { kg_per_m3, sd_kg_per_m3: 0.0 };
        let fall = sink(&SinkRequest { matter, shape, water_temperature_c, depths_m: Vec::new() })?;
        Ok((frozen.ice, kg_per_m3, fall.speed_m_per_s.mid))
    };
    let (_, _, full) = at(freezing.max(0.0))?;
    let share = |speed: f64| if full > 0.0 { speed / full } else { 0.0 };
    let mut points = Vec::new();
    for core_c in [-20.0, -18.0, -15.0, -12.0, -10.0, -8.0, -7.0, -6.0, -5.0, -4.0, -3.0, -2.0, -1.0, 0.0] {
        let (ice_share, density_kg_per_m3, speed) = at(core_c)?;
        points.push(FrozenPoint {
            core_c,
            ice_share,
            density_kg_per_m3,
            speed_m_per_s: speed,
            speed_share: share(speed),
        });
    }
    let (mut cold, mut warm) = (f64::min(-40.0, freezing), freezing.min(0.0));
    for _ in 0..14 {
        let middle = 0.5 * (cold + warm);
        if share(at(middle)?.2) < 0.9 {
            cold = middle;
        } else {
            warm = middle;
        }
    }
    let at_18 = made_of.at_temperature(-18.0).density_kg_per_m3(-18.0);
    let water = crate::physics::water::density_kg_per_m3(water_temperature_c);
    Ok(FrozenCurve {
        points,
        full_speed_c: freezing,
        nine_tenths_c: warm,
        floats_at_air_share: (1.0 - water / at_18).max(0.0),
    })
}

/// Food without water does not freeze.
pub(super) fn no_water() -> Refusal {
    Refusal::new("no_water", "label", "This label leaves no water; it does not freeze. Check the label.")
}
