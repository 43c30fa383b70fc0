//! How much bait: feeding phases to cubes, grams and tins, against the venue's limit, and until when a number of tins
//! lasts.
//!
//! A phase feeds one line: so many cubes every so many seconds from its start, the first feed at the start itself. Cubes
//! come whole out of a block: along each side as many as fit at the cutter's pitch (edge and blade together); the rest
//! of the block is off-cuts. All of this is counting; what is common practice and not counting is marked so.

mod course;

use super::whole;
use crate::refusal::{Refusal, at_most, short, within};
pub use course::{FeedPoint, Lasts};
use course::{lasts, series};
use serde::{Deserialize, Serialize};

/// How loose feed reaches its line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Thrown by hand.
    #[default]
    Hand,
    /// Shot with a catapult.
    Catapult,
    /// Tipped from a cup on the pole's end.
    PoleCup,
}

impl Method {
    /// The shortest time between feeds that can be kept up for long, s. Common practice, no published source.
    #[must_use]
    pub fn shortest_s(self) -> f64 {
        match self {
            Self::Hand => 4.0,
            Self::Catapult => 10.0,
            Self::PoleCup => 90.0,
        }
    }

    /// What one throw, pouch or cup holds, ml. Common practice, no published source.
    #[must_use]
    pub fn holds_ml(self) -> f64 {
        match self {
            Self::Hand => 60.0,
            Self::Catapult => 40.0,
            Self::PoleCup => 250.0,
        }
    }
}

/// Share of a heap of cubes that is meat and not gaps. Common practice, no published source.
pub const PACKING: f64 = 0.6;

/// One stretch of feeding on one line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Feeding {
    /// Name of the line, as the plan has it.
    pub line: String,
    /// How the feed gets there.
    pub method: Method,
    /// Start, minutes after the all-in (0 to 1440).
    pub start_min: f64,
    /// How long, minutes (0 to 1440).
    pub minutes: f64,
    /// Cubes in each feed (1 to 2000).
    pub cubes_per_feed: u32,
    /// Seconds from one feed to the next (1 to 86 400).
    pub seconds_between: f64,
}

impl Feeding {
    /// Feeds begun by `minute` minutes after the all-in, that minute not included.
    fn feeds_before(&self, minute: f64) -> u32 {
        let spent_s = 60.0 * (minute - self.start_min).min(self.minutes);
        whole((spent_s / self.seconds_between - 1e-9).ceil())
    }

    /// Feeds over the whole phase.
    fn feeds(&self) -> u32 {
        self.feeds_before(f64::INFINITY)
    }
}

/// The block of meat in a tin.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Length, mm (20 to 300).
    pub length_mm: f64,
    /// Width, mm (20 to 300).
    pub width_mm: f64,
    /// Height, mm (20 to 300).
    pub height_mm: f64,
    /// Net mass on the tin, g (50 to 5000).
    pub net_g: f64,
}

/// A venue's limit on bait.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Limit {
    /// So many tins of the size in hand.
    Tins {
        /// How many (0.25 to 100).
        tins: f64,
    },
    /// So much by weight.
    Grams {
        /// How much, g (50 to 50 000).
        grams: f64,
    },
}

/// What [`amount`] is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AmountRequest {
    /// Feeding, at most 40 phases; they may overlap.
    pub phases: Vec<Feeding>,
    /// Edge of a cube, mm (2 to 30).
    pub edge_mm: f64,
    /// Mass of a cube, g (0.002 to 100), from [`crate::bait::sink::Sink::mass_g`].
    pub cube_mass_g: f64,
    /// The block it is cut from.
    pub block: Block,
    /// From one cut to the next, mm: the edge plus what the blade takes (edge to edge + 5).
    pub pitch_mm: f64,
    /// Cubes kept for the hook (0 to 5000).
    pub hook_baits: u32,
    /// Kept in hand for the unforeseen, as a share of feed and hook baits (0 to 2).
    pub reserve_share: f64,
    /// The venue's limit, if it has one.
    pub limit: Option<Limit>,
    /// What goes in one bag, g (20 to 5000).
    pub bag_g: f64,
    /// Tins in hand, to say how long they last; the tins that are needed, if not given.
    pub tins_in_hand: Option<u32>,
}

/// How a block cuts up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "CubeGrid"))]
pub struct Grid {
    /// Cubes along the length.
    pub along: u32,
    /// Cubes across the width.
    pub across: u32,
    /// Cubes up the height.
    pub up: u32,
}

/// One phase, counted.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "PhaseAmount"))]
pub struct FeedingAmount {
    /// Its line.
    pub line: String,
    /// Feeds.
    pub feeds: u32,
    /// Cubes.
    pub cubes: u32,
    /// Mass, g.
    pub grams: f64,
    /// Throws, pouches or cups that one feed takes.
    pub loads_per_feed: u32,
    /// The rhythm is faster than the method can keep up (common practice).
    pub too_fast: bool,
}

/// What a day's feeding takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Amount {
    /// Each phase.
    pub phases: Vec<FeedingAmount>,
    /// Cubes fed.
    pub feed_cubes: u32,
    /// Cubes in reserve.
    pub reserve_cubes: u32,
    /// Feed, hook baits and reserve.
    pub total_cubes: u32,
    /// Their mass, g.
    pub total_g: f64,
    /// How one block cuts up.
    pub grid: Grid,
    /// Whole cubes from one tin; fewer than the grid's when the tin's net mass does not fill the block.
    pub cubes_per_tin: u32,
    /// Off-cuts of one tin, g.
    pub off_cuts_g_per_tin: f64,
    /// Tins to open.
    pub tins: u32,
    /// Off-cuts of all of them, g.
    pub off_cuts_g: f64,
    /// The block's size and net mass disagree by more than a tenth: one of them is mistyped.
    pub block_mismatch: bool,
    /// What the venue allows, g.
    pub limit_g: Option<f64>,
    /// Feed, hook baits and reserve over what the venue allows.
    pub limit_share: Option<f64>,
    /// Cubes in one bag.
    pub cubes_per_bag: u32,
    /// Bags for feed, hook baits, reserve and the rest of the last tin.
    pub bags: u32,
    /// Cubes left when all goes to plan: the reserve and the rest of the last tin.
    pub left_cubes: u32,
    /// Whole bags among them, which can stay shut and be frozen again.
    pub bags_to_refreeze: u32,
    /// How long the tins in hand last.
    pub lasts: Lasts,
    /// Feed over the day, from the all-in to the last phase's end, in 60 equal steps.
    pub series: Vec<FeedPoint>,
}

const MAX_PHASES: usize = 40;
const MAX_CUBES: u64 = 1_000_000_000;

/// Cubes along each side of a block, whole ones only: n edges and n - 1 cuts must fit.
#[must_use]
pub fn grid(block: &Block, edge_mm: f64, pitch_mm: f64) -> Grid {
    let fit = |side_mm: f64| whole(((side_mm - edge_mm) / pitch_mm + 1.0 + 1e-9).floor());
    Grid { along: fit(block.length_mm), across: fit(block.width_mm), up: fit(block.height_mm) }
}

/// Counts a day's feeding.
///
/// # Errors
/// A number outside its range; more than 40 phases; a block from which no whole cube comes.
pub fn amount(request: &AmountRequest) -> Result<Amount, Refusal> {
    check(request)?;
    let grams = |cubes: u32| f64::from(cubes) * request.cube_mass_g;
    let phases: Vec<FeedingAmount> = request.phases.iter().map(|phase| count(phase, request)).collect();
    let fed: u64 = request.phases.iter().map(|p| u64::from(p.feeds()) * u64::from(p.cubes_per_feed)).sum();
    let feed_cubes = u32::try_from(fed).ok().filter(|_| fed <= MAX_CUBES).ok_or_else(|| {
        let sentence =
            format!("This feeding takes {fed} cubes; at most {MAX_CUBES} are counted. Check the phases.");
        Refusal::new("too_much", "phases", sentence)
    })?;
    let wanted = feed_cubes + request.hook_baits;
    let reserve_cubes = whole((f64::from(wanted) * request.reserve_share - 1e-9).ceil());
    let total_cubes = wanted.saturating_add(reserve_cubes);

    let grid = grid(&request.block, request.edge_mm, request.pitch_mm);
    let in_grid = f64::from(grid.along) * f64::from(grid.across) * f64::from(grid.up);
    let by_mass = (request.block.net_g / request.cube_mass_g + 1e-9).floor();
    let cubes_per_tin = whole(in_grid.min(by_mass));
    if cubes_per_tin == 0 {
        let edge = short(request.edge_mm);
        let sentence = format!("No whole cube of {edge} mm comes out of this block; check its size.");
        return Err(Refusal::new("block_too_small", "block", sentence));
    }
    let tins = total_cubes.div_ceil(cubes_per_tin);
    let off_cuts_g_per_tin = request.block.net_g - grams(cubes_per_tin);
    let cubes_per_bag = whole((request.bag_g / request.cube_mass_g).floor()).max(1);
    let cut_cubes = tins.saturating_mul(cubes_per_tin);
    let left_cubes = cut_cubes.saturating_sub(wanted);
    let limit_g = request.limit.map(|limit| match limit {
        Limit::Tins { tins } => tins * request.block.net_g,
        Limit::Grams { grams } => grams,
    });
    Ok(Amount {
        phases,
        feed_cubes,
        reserve_cubes,
        total_cubes,
        total_g: grams(total_cubes),
        grid,
        cubes_per_tin,
        off_cuts_g_per_tin,
        tins,
        off_cuts_g: off_cuts_g_per_tin * f64::from(tins),
        block_mismatch: block_mismatch(request),
        limit_g,
        limit_share: limit_g.map(|limit| limit_share(request, limit, total_cubes, cubes_per_tin)),
        cubes_per_bag,
        bags: cut_cubes.div_ceil(cubes_per_bag),
        left_cubes,
        bags_to_refreeze: left_cubes / cubes_per_bag,
        lasts: lasts(request, request.tins_in_hand.unwrap_or(tins), cubes_per_tin),
        series: series(request),
    })
}

fn check(request: &AmountRequest) -> Result<(), Refusal> {
    at_most("phases", request.phases.len(), MAX_PHASES, "feeding phases are counted")?;
    for phase in &request.phases {
        within("phases.start_min", "start of a phase", phase.start_min, (0.0, 1440.0), "min")?;
        within("phases.minutes", "length of a phase", phase.minutes, (0.0, 1440.0), "min")?;
        within(
            "phases.cubes_per_feed",
            "number of cubes in a feed",
            phase.cubes_per_feed.into(),
            (1.0, 2000.0),
            "",
        )?;
        within("phases.seconds_between", "time between feeds", phase.seconds_between, (1.0, 86_400.0), "s")?;
    }
    within("edge_mm", "edge of the cube", request.edge_mm, (2.0, 30.0), "mm")?;
    within("cube_mass_g", "mass of a cube", request.cube_mass_g, (0.002, 100.0), "g")?;
    let block = &request.block;
    within("block.length_mm", "length of the block", block.length_mm, (20.0, 300.0), "mm")?;
    within("block.width_mm", "width of the block", block.width_mm, (20.0, 300.0), "mm")?;
    within("block.height_mm", "height of the block", block.height_mm, (20.0, 300.0), "mm")?;
    within("block.net_g", "net mass of the tin", block.net_g, (50.0, 5000.0), "g")?;
    let pitch = (request.edge_mm, request.edge_mm + 5.0);
    within("pitch_mm", "pitch of the cutter for this cube", request.pitch_mm, pitch, "mm")?;
    within("hook_baits", "number of hook baits", request.hook_baits.into(), (0.0, 5000.0), "")?;
    within("reserve_share", "share kept in reserve", request.reserve_share, (0.0, 2.0), "")?;
    within("bag_g", "mass of a bag", request.bag_g, (20.0, 5000.0), "g")?;
    if let Some(tins) = request.tins_in_hand {
        within("tins_in_hand", "number of tins in hand", tins.into(), (0.0, 200.0), "")?;
    }
    match request.limit {
        None => {}
        Some(Limit::Tins { tins }) => {
            within("limit.tins", "venue's limit in tins", tins, (0.25, 100.0), "")?;
        }
        Some(Limit::Grams { grams }) => {
            within("limit.grams", "venue's limit", grams, (50.0, 50_000.0), "g")?;
        }
    }
    Ok(())
}

fn count(phase: &Feeding, request: &AmountRequest) -> FeedingAmount {
    let cubes = phase.feeds().saturating_mul(phase.cubes_per_feed);
    let edge_cm = request.edge_mm / 10.0;
    let heap_ml = f64::from(phase.cubes_per_feed) * edge_cm * edge_cm * edge_cm / PACKING;
    let loads = whole((heap_ml / phase.method.holds_ml() - 1e-9).ceil()).max(1);
    FeedingAmount {
        line: phase.line.clone(),
        feeds: phase.feeds(),
        cubes,
        grams: f64::from(cubes) * request.cube_mass_g,
        loads_per_feed: loads,
        too_fast: phase.seconds_between < f64::from(loads) * phase.method.shortest_s(),
    }
}

/// A limit in tins counts tins opened, off-cuts and all; one in grams weighs the cubes.
fn limit_share(request: &AmountRequest, limit_g: f64, cubes: u32, cubes_per_tin: u32) -> f64 {
    match request.limit {
        Some(Limit::Tins { tins }) => f64::from(cubes) / f64::from(cubes_per_tin) / tins,
        _ => f64::from(cubes) * request.cube_mass_g / limit_g,
    }
}

fn block_mismatch(request: &AmountRequest) -> bool {
    let Block { length_mm, width_mm, height_mm, net_g } = request.block;
    let density = request.cube_mass_g / (request.edge_mm * request.edge_mm * request.edge_mm);
    let by_size_g = length_mm * width_mm * height_mm * density;
    (net_g / by_size_g - 1.0).abs() > 0.1
}
