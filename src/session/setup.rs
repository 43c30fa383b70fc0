//! What a session is made from: rigs, water, feeding phases and tuning; what is refused of it; and what is worked out
//! of it once.

use super::depth_filter::{FilterSettings, Grid, Line, Lines, Model, Path};
use super::event::MAX_AT_MS;
use super::feed_clock::{Feeding, SinkSpeeds};
use super::habits::Habits;
use super::rig_choice::ChoiceSettings;
use crate::refusal::{self, Refusal};
use crate::units::Units;
use serde::{Deserialize, Serialize};

/// The most rigs a session may have.
const MAX_RIGS: usize = 16;
/// The most of the last bites that the rule for the shot may look at; a session remembers so many.
pub(super) const MAX_LAST_BITES: usize = 32;

/// One rig of the session.
#[derive(Clone, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(default)]
pub struct RigSetup {
    /// What the angler calls it.
    pub name: String,
    /// Depth of the hook bait at rest, m, 0.05 to 15.
    pub depth_m: f64,
    /// Whether the bait rests on or just off the bottom.
    pub on_bottom: bool,
    /// Which line it is fished on, from 0.
    pub line: u32,
    /// Seconds between samples of the fall; 0 with no samples.
    pub sample_dt_s: f64,
    /// Depth of the hook bait during the simulated fall, m, the first at the moment of lowering. Empty: at
    /// rest at once.
    pub hook_z_m: Vec<f64>,
}

/// One pole line: its own water.
#[derive(Clone, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(default)]
pub struct LineSetup {
    /// What the angler calls it.
    pub name: String,
    /// Depth of the water there, m, 0.2 to 15.
    pub depth_m: f64,
}

/// What a session is made from.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SessionSetup {
    /// The rigs, in the order of the strip on the screen.
    pub rigs: Vec<RigSetup>,
    /// Depth of the water, m, 0.2 to 15; 0: as deep as the deepest rig.
    pub water_depth_m: f64,
    /// The pole lines; none: one, of that depth.
    pub lines: Vec<LineSetup>,
    /// Sinking speeds of the fed cubes.
    pub sink: SinkSpeeds,
    /// The feeding phases, in order.
    pub phases: Vec<Feeding>,
    /// Whether each feed is also a lifting and lowering of the rig.
    pub feed_is_recast: bool,
    /// When the session starts, ms since 1970; 0: with its first event.
    pub start_ms: f64,
    /// The rig in hand at the start, from 0.
    pub first_rig: u32,
    /// Cubes taken to the bank, if counted.
    pub cubes_taken: Option<f64>,
    /// Usual mass of a fish, g, for the estimate of the weight when a fish is not weighed.
    pub fish_mass_g: Option<f64>,
    /// The units of depths in sentences; none: metres.
    pub units: Option<Units>,
    /// Tuning of the inference.
    pub depth: FilterSettings,
    /// What earlier days at the water taught; none: nothing.
    pub habits: Option<Habits>,
    /// Tuning of the choice between rigs.
    pub choice: ChoiceSettings,
    /// Tuning of the session's rules.
    pub rules: AdviceRules,
}

impl SessionSetup {
    /// A setup with these rigs and everything else as usual.
    #[must_use]
    pub fn new(rigs: Vec<RigSetup>, water_depth_m: f64, start_ms: f64) -> Self {
        Self { rigs, water_depth_m, start_ms, ..Self::default() }
    }

    /// The same with the water's depth filled in, if every number is within its limits.
    ///
    /// # Errors
    /// `setup` naming the field that is out of range.
    pub(super) fn checked(mut self) -> Result<Self, Refusal> {
        let setup = &mut self;
        within("rigs", setup.rigs.len() as f64, 1.0, MAX_RIGS as f64)?;
        let mut deepest_m = 0.2;
        for rig in &setup.rigs {
            within("rigs.depth_m", rig.depth_m, 0.05, 15.0)?;
            deepest_m = rig.depth_m.max(deepest_m);
            within("rigs.hook_z_m", rig.hook_z_m.len() as f64, 0.0, 20_000.0)?;
            let min_dt_s = if rig.hook_z_m.is_empty() { 0.0 } else { 0.001 };
            within("rigs.sample_dt_s", rig.sample_dt_s, min_dt_s, 60.0)?;
            for &depth_m in &rig.hook_z_m {
                within("rigs.hook_z_m", depth_m, -1.0, 20.0)?;
            }
        }
        if setup.water_depth_m == 0.0 {
            setup.water_depth_m = deepest_m;
        }
        within("water_depth_m", setup.water_depth_m, 0.2, 15.0)?;
        if setup.lines.is_empty() {
            setup.lines.push(LineSetup { name: String::new(), depth_m: setup.water_depth_m });
        }
        within("lines", setup.lines.len() as f64, 1.0, MAX_RIGS as f64)?;
        for line in &setup.lines {
            within("lines.depth_m", line.depth_m, 0.2, 15.0)?;
        }
        for rig in &setup.rigs {
            within("rigs.line", f64::from(rig.line), 0.0, setup.lines.len() as f64 - 1.0)?;
        }
        within("first_rig", f64::from(setup.first_rig), 0.0, setup.rigs.len() as f64 - 1.0)?;
        within("start_ms", setup.start_ms, 0.0, MAX_AT_MS)?;
        for speed in [setup.sink.low_m_per_s, setup.sink.mid_m_per_s, setup.sink.high_m_per_s] {
            within("sink", speed, -1.0, 2.0)?;
        }
        within("phases", setup.phases.len() as f64, 0.0, 99.0)?;
        for phase in &setup.phases {
            within("phases.minutes", phase.minutes, 0.1, 1440.0)?;
            within("phases.cubes_per_feed", phase.cubes_per_feed, 0.0, 10_000.0)?;
            within("phases.seconds_between", phase.seconds_between, 0.0, 3600.0)?;
        }
        within("cubes_taken", setup.cubes_taken.unwrap_or(0.0), 0.0, f64::from(u32::MAX))?;
        within("fish_mass_g", setup.fish_mass_g.unwrap_or(0.0), 0.0, 50_000.0)?;
        setup.habits = setup.habits.take().map(Habits::checked).transpose()?;
        check_tuning(setup)?;
        Ok(self)
    }
}

/// Tuning numbers of the session's rules; common practice and judgement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AdviceRules {
    /// The same button twice within this time counts once, ms. Default 400.
    pub double_touch_ms: f64,
    /// Water time counts for at most this long after the last tap, s. Default 300.
    pub idle_s: f64,
    /// When lowering is never said: back in the water this long after a missed bite, s. Default 15.
    pub after_bite_s: f64,
    /// When lowering is never said: back in the water this long after a fish, s. Default 30.
    pub after_fish_s: f64,
    /// Length of a cast before any was seen, s. Default 60.
    pub usual_cast_s: f64,
    /// How many of the last bites are looked at for the shot. Default 8.
    pub shot_bites: usize,
    /// Tighten the shot when at least this share of them was missed. Default 0.6.
    pub tighten_share: f64,
    /// Water time with the right rig and hardly a bite after which to spread the shot or feed faster, s.
    /// Default 600.
    pub slow_s: f64,
    /// Fish in the last ten minutes that count as catching well. Default 4.
    pub catching_well: u32,
    /// Common interval of feeding when fishing shallow, s. Default 15.
    pub shallow_interval_s: f64,
    /// Feed slower when more than this share of the cubes left would be missing at the end. Default 0.1.
    pub short_share: f64,
    /// A shot or feed advice is not repeated within this time after it was followed, s. Default 600.
    pub rest_s: f64,
}

impl Default for AdviceRules {
    fn default() -> Self {
        Self {
            double_touch_ms: 400.0,
            idle_s: 300.0,
            after_bite_s: 15.0,
            after_fish_s: 30.0,
            usual_cast_s: 60.0,
            shot_bites: 8,
            tighten_share: 0.6,
            slow_s: 600.0,
            catching_well: 4,
            shallow_interval_s: 15.0,
            short_share: 0.1,
            rest_s: 600.0,
        }
    }
}

/// Refuses a number of the setup that is outside its limits, under the one code for that.
fn within(field: &'static str, value: f64, min: f64, max: f64) -> Result<(), Refusal> {
    refusal::within(field, "", value, (min, max), "").map(drop).map_err(|refused| refused.coded("setup"))
}

fn check_tuning(setup: &SessionSetup) -> Result<(), Refusal> {
    let depth = &setup.depth;
    within("depth.cell_m", depth.cell_m, 0.01, 0.05)?;
    within("depth.drift_m_per_sqrt_s", depth.drift_m_per_sqrt_s, 0.0, 0.1)?;
    within("depth.jump_every_s", depth.jump_every_s, 10.0, 1e6)?;
    within("depth.shallow_share", depth.shallow_share, 0.0, 1.0)?;
    within("depth.bottom_share", depth.bottom_share, 0.0, 1.0 - depth.shallow_share)?;
    within("depth.shallow_band_m", depth.shallow_band_m.0, 0.0, depth.shallow_band_m.1)?;
    within("depth.shallow_band_m", depth.shallow_band_m.1, 0.0, 15.0)?;
    within("depth.bottom_band_m", depth.bottom_band_m, 0.05, 15.0)?;
    within("depth.background_per_min", depth.background_per_min, 1e-6, 10.0)?;
    within("depth.peak_per_min", depth.peak_per_min, 1e-3, 60.0)?;
    within("depth.guesses", depth.guesses.len() as f64, 1.0, 8.0)?;
    for guess in &depth.guesses {
        within("depth.guesses.band_m", guess.band_m, 0.01, 2.0)?;
        within("depth.guesses.fall", guess.fall, 0.0, 10.0)?;
    }
    within("depth.activity_levels", depth.activity_levels as f64, 1.0, 9.0)?;
    within("depth.activity_every_s", depth.activity_every_s, 60.0, 1e7)?;
    within("depth.late_s", depth.late_s.len() as f64, 0.0, 4.0)?;
    for &(latest_s, earliest_s) in &depth.late_s {
        within("depth.late_s", latest_s, 0.0, 30.0)?;
        within("depth.late_s", earliest_s, latest_s, 60.0)?;
    }
    within("depth.late_chance", depth.late_chance, 0.0, 0.2)?;
    within("depth.reaction_s", depth.reaction_s, 0.0, 30.0)?;
    within("depth.landing_s", depth.landing_s, 0.0, 300.0)?;
    within("depth.fall_spread", depth.fall_spread, 0.0, 1.0)?;
    within("depth.longest_step_s", depth.longest_step_s, 1.0, 600.0)?;
    let choice = &setup.choice;
    within("choice.swap_s", choice.swap_s, 0.0, 600.0)?;
    within("choice.horizon_s", choice.horizon_s, 60.0, 20_000.0)?;
    within("choice.reveal_s", choice.reveal_s, 0.0, 8000.0)?;
    within("choice.block_s", choice.block_s, 5.0, 600.0)?;
    within("choice.blocks", choice.blocks as f64, 0.0, 3.0)?;
    within("choice.begin_bites", choice.begin_bites, 0.0, 100.0)?;
    within("choice.begin_share", choice.begin_share, 0.0, 100.0)?;
    within("choice.again_share", choice.again_share, 0.0, 100.0)?;
    within("choice.again_s", choice.again_s, 0.0, 20_000.0)?;
    within("choice.keep_bites", choice.keep_bites, -100.0, choice.begin_bites)?;
    let rules = &setup.rules;
    within("rules.double_touch_ms", rules.double_touch_ms, 0.0, 5000.0)?;
    within("rules.usual_cast_s", rules.usual_cast_s, 5.0, 600.0)?;
    for (field, seconds) in [
        ("rules.idle_s", rules.idle_s),
        ("rules.after_bite_s", rules.after_bite_s),
        ("rules.after_fish_s", rules.after_fish_s),
        ("rules.slow_s", rules.slow_s),
        ("rules.shallow_interval_s", rules.shallow_interval_s),
        ("rules.rest_s", rules.rest_s),
    ] {
        within(field, seconds, 0.0, 36_000.0)?;
    }
    within("rules.shot_bites", rules.shot_bites as f64, 1.0, MAX_LAST_BITES as f64)?;
    within("rules.short_share", rules.short_share, 0.0, 10.0)?;
    within("rules.tighten_share", rules.tighten_share, 0.0, 1.0)
}

/// A setup and what is worked out of it once.
#[derive(Clone, Debug)]
pub(super) struct Prepared {
    pub(super) setup: SessionSetup,
    pub(super) lines: Lines,
    /// For each rig, how its hook bait falls.
    pub(super) paths: Vec<Path>,
}

impl Prepared {
    /// # Errors
    /// As `SessionSetup::checked`.
    pub(super) fn new(setup: SessionSetup) -> Result<Self, Refusal> {
        let setup = setup.checked()?;
        let depth_of = |line: usize| setup.lines.get(line).map_or(setup.water_depth_m, |line| line.depth_m);
        let path = |rig: &RigSetup| Path {
            rest_m: rig.depth_m.min(depth_of(rig.line as usize)),
            sample_dt_s: if rig.sample_dt_s > 0.0 { rig.sample_dt_s } else { 1.0 },
            hook_z_m: rig.hook_z_m.clone(),
        };
        let paths: Vec<Path> = setup.rigs.iter().map(path).collect();
        let line_of: Vec<usize> = setup.rigs.iter().map(|rig| rig.line as usize).collect();
        let lines = Lines::new(setup.lines.len(), &line_of, |line, rigs| {
            let depth_m = depth_of(line);
            let paths: Vec<Path> = rigs.iter().filter_map(|&rig| paths.get(rig).cloned()).collect();
            match &setup.habits {
                Some(habits) => {
                    let waters = habits.waters(&setup.depth, &Grid::new(&setup.depth, depth_m));
                    Model::of_waters(setup.depth.clone(), depth_m, &paths, waters)
                }
                None => Model::new(setup.depth.clone(), depth_m, &paths),
            }
        });
        Ok(Self { setup, lines, paths })
    }

    /// The line of a rig: its place, its water, and the rig's place there.
    pub(super) fn line_of(&self, rig: usize) -> Option<(usize, &Line, usize)> {
        let (line, place) = self.lines.of_rig(rig);
        self.lines.all().get(line).map(|of| (line, of, place))
    }
}
