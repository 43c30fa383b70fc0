//! Which shot dots this float: the exact best sets from the shot in the box.
//!
//! # The model
//! A float's **load** is the mass of lead that, hung under it in fresh water at 15 °C, brings the water to the base of
//! its tip. That load, less the water it displaces, is the float's lift at the base of the tip. Everything that hangs
//! counts by its weight in water at the day's temperature: shot, hook, bait, and the line under the surface. To go
//! further down than the base of the tip, the water has to cover tip, and each millimetre covered adds the water that
//! it displaces; so each millimetre left showing takes that much away:
//!
//! tip left = tip length - (weight in water of all that hangs - lift at the base) / (water displaced by 1 mm of tip).
//!
//! Two states are told, because a 6 mm cube that hangs is worth some ten millimetres of a 1 mm tip: with the **bait
//! hanging**, and with the **bait on the bottom**, where the bed carries the bait and, if so asked, the hook in it and
//! the line beside it. The request says for which of the two the wanted tip holds.
//!
//! Where the formula leaves the tip it goes on as a straight line, so that the figure stays comparable: less than nothing
//! left means that the float goes under, more than the whole tip means that the body shows.
//!
//! # The search
//! All weights are whole nanograms, each rounded once; after that nothing is rounded and ties are real ties. Every set
//! that the box allows is in the search: counts up to those in the box, at most so many sizes, at most so many shots,
//! the fixed shots (droppers) always in. Sets that take the float under in the wanted state are left out: such a float
//! is not dotted, however small the miss. Of the rest, those are returned that no other set beats on the three counts
//! together: distance from the wanted tip, number of sizes, number of shots. Sets that leave the body showing are
//! returned only when no set brings the water onto the tip, and then only the nearest one, marked so.
//!
//! Sets that are equal on all three counts do not beat each other: up to [`TIES_KEPT`] of them are kept, and the first
//! of them says how many there are. Among equals a set that leaves more tip comes first, then the one with more of the heaviest size.
//!
//! The search takes each choice of sizes, runs through the counts of all but the lightest size of the choice and finds
//! the count of the lightest from the remainder; counts that cannot reach the tip are skipped. That leaves no set out:
//! a count further from the remainder than the nearest above is farther and uses more shots, so it is beaten.
//!
//! # Validity
//! Still, fresh water. Surface tension at the tip, grease, wind and tow are left out; so is the angle of the line.
//!
//! # Source
//! Archimedes' principle; water density by Tanaka et al. 2001 ([`crate::physics::water`]).

use super::shot::{Material, weight_in_water_ng};
use super::within;
use crate::physics::water;
use crate::refusal::Refusal;
use crate::units::{TenthMg, fixed};
use serde::{Deserialize, Serialize};

/// Most sizes in one box.
pub const BOX_SIZES_MOST: usize = 24;
/// Most distinct sizes in one set.
pub const SET_SIZES_MOST: u32 = 4;
/// Most shots in one set.
pub const SET_SHOTS_MOST: u32 = 60;
/// Sets kept that are equal on all three counts.
pub const TIES_KEPT: usize = 4;
/// The temperature at which a load is defined, °C.
pub const LOAD_TEMPERATURE_C: f64 = 15.0;

/// Nanograms in a tenth of a milligram.
const NG_PER_TENTH_MG: f64 = 1e5;

/// The float: what it carries and its tip.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Float {
    /// Mass of lead that brings the water to the base of the tip in fresh water at 15 °C: 10 to 500 000 (50 g).
    pub load_tenth_mg: TenthMg,
    /// Diameter of the tip, mm (0.3 to 10).
    pub tip_diameter_mm: f64,
    /// Length of the tip, mm (1 to 150).
    pub tip_length_mm: f64,
    /// Mass of the float itself, if it was weighed. With it, the change of the float's own lift with the water's
    /// density is counted; without it, that change is left out and [`Balance::left_out_mm`] says how much it may be.
    #[serde(default)]
    pub own_mass_tenth_mg: Option<TenthMg>,
}

/// One size of shot in the box.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BoxedShot {
    /// The size's name, as the answer repeats it.
    pub name: String,
    /// Mass of one shot (1 to 500 000).
    pub mass_tenth_mg: TenthMg,
    /// Density, kg/m3 (1500 to 23 000).
    pub density_kg_per_m3: f64,
    /// How many there are. A size with none is not used.
    pub count: u32,
    /// How many of them must be in every set (droppers, a back shot's pair is not counted here as it does not hang).
    #[serde(default)]
    pub fixed: u32,
}

/// The hook.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hook {
    /// Mass (0 to 50 000).
    pub mass_tenth_mg: TenthMg,
    /// Density, kg/m3 (1500 to 23 000); steel is 7800 to 7850.
    pub density_kg_per_m3: f64,
}

/// The bait, a cube.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bait {
    /// Side of the cube, mm (0 to 50; 0 is no bait).
    pub side_mm: f64,
    /// Density, kg/m3 (500 to 3000). Below water's the bait lifts the rig, and is not held by the bottom.
    pub density_kg_per_m3: f64,
}

/// A length of line under the surface.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LinePiece {
    /// Length under water, m (0 to 30).
    pub length_m: f64,
    /// Diameter, mm (0 to 2).
    pub diameter_mm: f64,
    /// Density, kg/m3 (500 to 3000); nylon is 1140.
    pub density_kg_per_m3: f64,
}

/// What the bed carries when the bait lies on the bottom, besides the bait.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Resting {
    /// Whether the hook lies with the bait (default: yes, it is in the bait).
    pub hook: bool,
    /// Length of line that lies there, m (default 0), from the hook up. Shots on it are not taken off: set it shorter
    /// than the distance of the lowest shot.
    pub line_m: f64,
}

impl Default for Resting {
    fn default() -> Self {
        Self { hook: true, line_m: 0.0 }
    }
}

/// Which state the wanted tip holds for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// The bait hangs under the float.
    #[default]
    BaitHanging,
    /// The bait lies on the bottom.
    BaitOnBottom,
}

/// How the user likes to fish; it only orders the sets.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Taste {
    /// Many small shots first.
    #[default]
    ManySmall,
    /// Few large shots first.
    FewLarge,
}

/// Everything that the balancer is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BalanceRequest {
    /// The float.
    pub float: Float,
    /// Temperature of the water, °C (0 to 40).
    pub temperature_c: f64,
    /// The shot in the box, in any order.
    pub shot_box: Vec<BoxedShot>,
    /// The hook, if it is to be counted.
    #[serde(default)]
    pub hook: Option<Hook>,
    /// The bait, if it is to be counted.
    #[serde(default)]
    pub bait: Option<Bait>,
    /// The line under the surface, from the float down; the last piece is the hooklength.
    #[serde(default)]
    pub line: Vec<LinePiece>,
    /// What the bed carries when the bait is on the bottom.
    #[serde(default)]
    pub resting: Resting,
    /// Tip that is to be left showing, mm (0 to the tip's length).
    pub wanted_tip_mm: f64,
    /// The state for which the wanted tip holds.
    #[serde(default)]
    pub wanted_state: State,
    /// At most so many distinct sizes in a set (1 to 4).
    pub max_sizes: u32,
    /// At most so many shots in a set (1 to 60), the fixed ones included.
    pub max_shots: u32,
    /// How the user likes to fish.
    #[serde(default)]
    pub taste: Taste,
    /// Sets this near to the wanted tip, mm (0 or more), count as equally good and are ordered by taste; the others
    /// follow by distance. Default 1 mm.
    #[serde(default = "close_enough_default")]
    pub close_enough_mm: f64,
}

fn close_enough_default() -> f64 {
    1.0
}

/// Where the water stands at the float.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Waterline {
    /// The body shows: too little hangs under it.
    BodyShows,
    /// The water is on the tip.
    OnTip,
    /// The float goes under.
    Under,
}

/// So many of one size.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShotCount {
    /// Place of the size in the request's box, from 0.
    pub index: usize,
    /// The size's name.
    pub name: String,
    /// How many.
    pub count: u32,
}

/// One set that no other set beats.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShotSet {
    /// The shots, heaviest size in water first.
    pub shots: Vec<ShotCount>,
    /// Distinct sizes.
    pub sizes: u32,
    /// Shots in all.
    pub shots_total: u32,
    /// Mass of the shots in air, tenths of a milligram.
    pub mass_tenth_mg: u64,
    /// Exactly what is missing from the weight in water that the wanted tip asks for, in nanograms: more than nothing
    /// when the set is too light (more tip shows than wanted), less when it is too heavy.
    pub remainder_ng: i64,
    /// Distance from the wanted tip, mm (0 or more).
    pub off_mm: f64,
    /// Tip left with the bait hanging, mm. Below 0: the float goes under; above the tip's length: the body shows.
    pub tip_hanging_mm: f64,
    /// Tip left with the bait on the bottom, mm. Signs as above.
    pub tip_bottom_mm: f64,
    /// Where the water stands with the bait hanging.
    pub hanging: Waterline,
    /// Where the water stands with the bait on the bottom.
    pub bottom: Waterline,
    /// How many sets are equal to this one on all three counts, itself included.
    pub equals: u32,
}

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Balance {
    /// Density of the water, kg/m3.
    pub water_kg_per_m3: f64,
    /// Lift of the float with the water at the base of its tip, ng.
    pub lift_ng: i64,
    /// Water displaced by one millimetre of tip, ng.
    pub tip_ng_per_mm: i64,
    /// Weight in water of the hook, ng.
    pub hook_ng: i64,
    /// Weight in water of the bait, ng.
    pub bait_ng: i64,
    /// Weight in water of the line, ng.
    pub line_ng: i64,
    /// Weight in water that the bed takes over when the bait is on the bottom, ng.
    pub resting_ng: i64,
    /// Weight in water that the shot has to have for the wanted tip, ng.
    pub wanted_shot_ng: i64,
    /// Millimetres of tip that the hanging bait is worth.
    pub bait_worth_mm: f64,
    /// What the float's own change of lift with the water's density may be, mm of tip (more than nothing: the float
    /// sits higher than told): counted, and so 0, when the float was weighed; else left out, and told here for a float
    /// as heavy as its load.
    pub left_out_mm: f64,
    /// Whether any set brings the water onto the tip. If not, `sets` holds the nearest set alone.
    pub on_tip: bool,
    /// The sets that no other beats, in the order of the user's taste.
    pub sets: Vec<ShotSet>,
}
impl BalanceRequest {
    /// Checks every number against its limits.
    fn check(&self) -> Result<(), Refusal> {
        const G: &str = "tenths of a mg";
        const D: &str = "kg/m3";
        let float = &self.float;
        within("float.load_tenth_mg", f64::from(float.load_tenth_mg.0), 10.0, 500_000.0, G)?;
        within("float.tip_diameter_mm", float.tip_diameter_mm, 0.3, 10.0, "mm")?;
        within("float.tip_length_mm", float.tip_length_mm, 1.0, 150.0, "mm")?;
        if let Some(mass) = float.own_mass_tenth_mg {
            within("float.own_mass_tenth_mg", f64::from(mass.0), 0.0, 500_000.0, G)?;
        }
        within("temperature_c", self.temperature_c, 0.0, 40.0, "°C")?;
        within("wanted_tip_mm", self.wanted_tip_mm, 0.0, float.tip_length_mm, "mm")?;
        within("close_enough_mm", self.close_enough_mm, 0.0, 150.0, "mm")?;
        within("max_sizes", f64::from(self.max_sizes), 1.0, f64::from(SET_SIZES_MOST), "sizes")?;
        within("max_shots", f64::from(self.max_shots), 1.0, f64::from(SET_SHOTS_MOST), "shots")?;
        if let Some(hook) = &self.hook {
            within("hook.mass_tenth_mg", f64::from(hook.mass_tenth_mg.0), 0.0, 50_000.0, G)?;
            within("hook.density_kg_per_m3", hook.density_kg_per_m3, 1500.0, 23_000.0, D)?;
        }
        if let Some(bait) = &self.bait {
            within("bait.side_mm", bait.side_mm, 0.0, 50.0, "mm")?;
            within("bait.density_kg_per_m3", bait.density_kg_per_m3, 500.0, 3000.0, D)?;
        }
        within("line", self.line.len() as f64, 0.0, 8.0, "pieces")?;
        for (i, piece) in self.line.iter().enumerate() {
            within(format!("line.{i}.length_m"), piece.length_m, 0.0, 30.0, "m")?;
            within(format!("line.{i}.diameter_mm"), piece.diameter_mm, 0.0, 2.0, "mm")?;
            within(format!("line.{i}.density_kg_per_m3"), piece.density_kg_per_m3, 500.0, 3000.0, D)?;
        }
        let line_m: f64 = self.line.iter().map(|piece| piece.length_m).sum();
        within("resting.line_m", self.resting.line_m, 0.0, line_m, "m")?;
        self.check_box()
    }

    /// Checks the shot box and its fixed shots.
    fn check_box(&self) -> Result<(), Refusal> {
        if self.shot_box.iter().all(|shot| shot.count == 0) {
            let sentence = "The shot box is empty: put in at least one size and how many there are.";
            return Err(Refusal::new("empty_box", "shot_box", sentence));
        }
        if self.shot_box.len() > BOX_SIZES_MOST {
            let sentence = format!(
                "The shot box has {} sizes; at most {BOX_SIZES_MOST} can be searched: leave out those you do not use.",
                self.shot_box.len()
            );
            return Err(Refusal::new("box_too_large", "shot_box", sentence));
        }
        let (mut sizes, mut shots) = (0_u32, 0_u32);
        for (index, shot) in self.shot_box.iter().enumerate() {
            let mass = f64::from(shot.mass_tenth_mg.0);
            within(format!("shot_box.{index}.mass_tenth_mg"), mass, 1.0, 500_000.0, "tenths of a mg")?;
            let density = shot.density_kg_per_m3;
            within(format!("shot_box.{index}.density_kg_per_m3"), density, 1500.0, 23_000.0, "kg/m3")?;
            within(format!("shot_box.{index}.count"), f64::from(shot.count), 0.0, 100_000.0, "shots")?;
            if shot.fixed > shot.count {
                let sentence = format!(
                    "{} of {} are fixed on the rig, but only {} are in the box: add some or fix fewer.",
                    shot.fixed, shot.name, shot.count
                );
                return Err(Refusal::new("fixed_not_in_box", format!("shot_box.{index}.fixed"), sentence));
            }
            sizes += u32::from(shot.fixed > 0);
            shots += shot.fixed;
        }
        if sizes > self.max_sizes || shots > self.max_shots {
            let sentence = format!(
                "The fixed droppers alone are {shots} shots of {sizes} sizes, more than one set may have: allow more or fix \
                 fewer."
            );
            return Err(Refusal::new("fixed_too_many", "max_sizes", sentence));
        }
        Ok(())
    }
}

/// Everything but the shot, in whole nanograms.
struct Loads {
    water: f64,
    lift: i64,
    per_mm: i64,
    hook: i64,
    bait: i64,
    line: i64,
    resting: i64,
    left_out: i64,
}

/// Area of a round section, mm2, of a diameter in mm.
fn area_mm2(diameter_mm: f64) -> f64 {
    core::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm
}

impl Loads {
    fn of(request: &BalanceRequest) -> Self {
        let water = water::density_kg_per_m3(request.temperature_c);
        // 1 mm3 at 1 kg/m3 is 1000 ng.
        let ng =
            |volume_mm3: f64, density: f64| weight_in_water_ng(volume_mm3 * density * 1e3, density, water);
        let (lift, left_out) = float_lift(&request.float, water);
        let per_mm = whole(area_mm2(request.float.tip_diameter_mm) * water * 1e3).max(1);
        let hook = request.hook.as_ref().map_or(0, |h| {
            weight_in_water_ng(f64::from(h.mass_tenth_mg.0) * NG_PER_TENTH_MG, h.density_kg_per_m3, water)
        });
        let bait = request.bait.as_ref().map_or(0, |b| ng(b.side_mm.powi(3), b.density_kg_per_m3));
        let piece_ng =
            |p: &LinePiece, length_m: f64| ng(area_mm2(p.diameter_mm) * length_m * 1e3, p.density_kg_per_m3);
        let line = request.line.iter().map(|p| piece_ng(p, p.length_m)).sum();
        let mut lying_m = request.resting.line_m;
        let mut resting = bait.max(0);
        if request.resting.hook && bait >= 0 {
            resting += hook;
        }
        for piece in request.line.iter().rev() {
            let length_m = lying_m.min(piece.length_m);
            resting += piece_ng(piece, length_m).max(0);
            lying_m -= length_m;
        }
        Self { water, lift, per_mm, hook, bait, line, resting, left_out }
    }
}

/// The float's lift at the base of its tip, and the part that is left out when the float was not weighed, ng.
///
/// The float displaces a fixed volume V: load in water and own mass together, over the density of water at 15 °C. In
/// other water the lift changes by V times the change of density.
fn float_lift(float: &Float, water: f64) -> (i64, i64) {
    let at_15 = water::density_kg_per_m3(LOAD_TEMPERATURE_C);
    let load = f64::from(float.load_tenth_mg.0) * NG_PER_TENTH_MG;
    let lift = load * (1.0 - at_15 / Material::Lead.density_kg_per_m3());
    let change = |own_ng: f64| (lift + own_ng) * (water / at_15 - 1.0);
    match float.own_mass_tenth_mg {
        Some(own) => (whole(lift + change(f64::from(own.0) * NG_PER_TENTH_MG)), 0),
        None => (whole(lift), whole(change(load))),
    }
}

/// Rounds to the nearest whole number.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a float-to-integer cast saturates; inputs stay below 1e14"
)]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// Finds the sets of shot that dot the float, exactly.
///
/// # Errors
/// A number outside its limits, an empty or over-large box, fixed shots that the box or the limits do
/// not allow, and a float that goes under with its hook, bait, line and fixed shots alone.
///
/// # Source
/// See the module's head.
///
/// # Example
/// ```
/// use dotdown::rig::balance::{BalanceRequest, BoxedShot, Float, Resting, State, Taste, balance};
/// use dotdown::units::TenthMg;
/// let request = BalanceRequest {
///     float: Float { load_tenth_mg: TenthMg(4000), tip_diameter_mm: 1.0, tip_length_mm: 25.0, own_mass_tenth_mg: None },
///     temperature_c: 15.0,
///     shot_box: vec![BoxedShot {
///         name: "No. 10".into(), mass_tenth_mg: TenthMg(350), density_kg_per_m3: 11350.0, count: 40, fixed: 0,
///     }],
///     hook: None, bait: None, line: vec![], resting: Resting::default(),
///     wanted_tip_mm: 25.0, wanted_state: State::BaitHanging,
///     max_sizes: 3, max_shots: 30, taste: Taste::ManySmall, close_enough_mm: 1.0,
/// };
/// let best = &balance(&request)?.sets[0];
/// assert_eq!((best.shots_total, best.sizes), (12, 1));
/// # Ok::<(), dotdown::refusal::Refusal>(())
/// ```
pub fn balance(request: &BalanceRequest) -> Result<Balance, Refusal> {
    request.check()?;
    let loads = Loads::of(request);
    let hanging = loads.hook + loads.bait + loads.line;
    let rest = hanging - loads.resting;
    let in_wanted_state = match request.wanted_state {
        State::BaitHanging => hanging,
        State::BaitOnBottom => rest,
    };
    let covered = whole((request.float.tip_length_mm - request.wanted_tip_mm) * loads.per_mm as f64);
    let showing = whole(request.wanted_tip_mm * loads.per_mm as f64);
    let wanted = loads.lift + covered - in_wanted_state;

    let mut search = Search::new(request, loads.water, wanted, showing);
    let fixed_ng: i64 = search.sizes.iter().map(|s| s.weight * i64::from(s.fixed)).sum();
    if fixed_ng > wanted + showing {
        let over_mm = (fixed_ng - wanted - showing) as f64 / loads.per_mm as f64;
        let sentence = format!(
            "This float goes under with its hook, bait, line and droppers alone, by {} mm of tip: take a larger float.",
            fixed(over_mm, 1)
        );
        return Err(Refusal::new("cannot_carry", "float.load_tenth_mg", sentence));
    }
    search.run(covered, true);
    let mut sets = search.front();
    let on_tip = !sets.is_empty();
    if !on_tip {
        search.clear();
        search.run(wanted.max(0), false);
        sets = search.front();
        let nearest = sets.iter().map(Found::distance).min();
        sets.retain(|set| Some(set.distance()) == nearest);
    }
    let tell = TipGauge { request, loads: &loads, hanging, rest, wanted };
    let mut sets: Vec<ShotSet> = sets.iter().map(|set| tell.set(&search, set)).collect();
    order(&mut sets, request.taste, request.close_enough_mm);
    Ok(Balance {
        water_kg_per_m3: loads.water,
        lift_ng: loads.lift,
        tip_ng_per_mm: loads.per_mm,
        hook_ng: loads.hook,
        bait_ng: loads.bait,
        line_ng: loads.line,
        resting_ng: loads.resting,
        wanted_shot_ng: wanted,
        bait_worth_mm: loads.bait as f64 / loads.per_mm as f64,
        left_out_mm: loads.left_out as f64 / loads.per_mm as f64,
        on_tip,
        sets,
    })
}

/// Orders the sets: those close enough first, by taste; the others after them, nearest first.
fn order(sets: &mut [ShotSet], taste: Taste, close_enough_mm: f64) {
    let order = |a: &ShotSet, b: &ShotSet| {
        let far = |set: &ShotSet| set.off_mm > close_enough_mm;
        let by_distance = a.remainder_ng.unsigned_abs().cmp(&b.remainder_ng.unsigned_abs());
        let by_shots = match taste {
            Taste::ManySmall => b.shots_total.cmp(&a.shots_total),
            Taste::FewLarge => a.shots_total.cmp(&b.shots_total),
        };
        let by_sizes = a.sizes.cmp(&b.sizes);
        far(a).cmp(&far(b)).then_with(|| {
            if far(a) {
                by_distance.then(by_sizes).then(by_shots)
            } else {
                by_shots.then(by_sizes).then(by_distance)
            }
        })
    };
    crate::small::sort_by(sets, |a, b| order(a, b).is_lt());
}

/// Turns a found set into what is told.
struct TipGauge<'a> {
    request: &'a BalanceRequest,
    loads: &'a Loads,
    hanging: i64,
    rest: i64,
    wanted: i64,
}

impl TipGauge<'_> {
    /// Tip left, mm, and where the water stands, with this weight under the float.
    fn tip(&self, weight: i64) -> (f64, Waterline) {
        let length_mm = self.request.float.tip_length_mm;
        let over = weight - self.loads.lift;
        let mm = length_mm - over as f64 / self.loads.per_mm as f64;
        let line = if over < 0 {
            Waterline::BodyShows
        } else if over > whole(length_mm * self.loads.per_mm as f64) {
            Waterline::Under
        } else {
            Waterline::OnTip
        };
        (mm, line)
    }

    fn set(&self, search: &Search, found: &Found) -> ShotSet {
        let mut shots = Vec::new();
        let mut mass = 0;
        for (size, &count) in search.sizes.iter().zip(&found.counts) {
            if let (true, Some(shot)) = (count > 0, self.request.shot_box.get(size.index)) {
                mass += u64::from(shot.mass_tenth_mg.0) * u64::from(count);
                shots.push(ShotCount { index: size.index, name: shot.name.clone(), count });
            }
        }
        let weight = self.wanted - found.remainder;
        let (tip_hanging_mm, hanging) = self.tip(weight + self.hanging);
        let (tip_bottom_mm, bottom) = self.tip(weight + self.rest);
        ShotSet {
            sizes: u32::try_from(shots.len()).unwrap_or(u32::MAX),
            shots_total: shots.iter().map(|shot| shot.count).sum(),
            shots,
            mass_tenth_mg: mass,
            remainder_ng: found.remainder,
            off_mm: found.distance() as f64 / self.loads.per_mm as f64,
            tip_hanging_mm,
            tip_bottom_mm,
            hanging,
            bottom,
            equals: found.equals,
        }
    }
}

/// A size as the search sees it.
#[derive(Clone, Copy)]
struct Size {
    index: usize,
    weight: i64,
    /// The least and the most of it in a set that uses it.
    least: u32,
    most: u32,
    fixed: u32,
}

/// A set as the search finds it: counts beside `Search::sizes`.
#[derive(Clone)]
struct Found {
    counts: Vec<u32>,
    remainder: i64,
    equals: u32,
}

impl Found {
    fn distance(&self) -> u64 {
        self.remainder.unsigned_abs()
    }
}

/// The best sets of one number of sizes and one number of shots.
#[derive(Clone, Default)]
struct Cell {
    sets: Vec<Found>,
    equals: u32,
}

/// The exhaustive search over whole numbers.
struct Search {
    /// Sizes that are in the box, heaviest in water first.
    sizes: Vec<Size>,
    wanted: i64,
    /// A set may be heavier than wanted by so much (else the float goes under), and lighter by so much.
    over: i64,
    under: i64,
    max_sizes: usize,
    max_shots: usize,
    /// Whether counts below the nearest are tried too (fewer shots, farther off).
    walk: bool,
    /// Distance in the best set of at most so many sizes and at most so many shots: row per size number.
    best: Vec<i64>,
    cells: Vec<Cell>,
    /// The choice of sizes being searched and its counts.
    chosen: Vec<usize>,
    counts: Vec<u32>,
}

/// Rounds up a division by a positive number.
fn ceil_div(a: i64, b: i64) -> i64 {
    a.div_euclid(b) + i64::from(a.rem_euclid(b) != 0)
}

impl Search {
    fn new(request: &BalanceRequest, water: f64, wanted: i64, over: i64) -> Self {
        let mut sizes: Vec<Size> = Vec::with_capacity(request.shot_box.len());
        for (index, shot) in request.shot_box.iter().enumerate() {
            if shot.count > 0 {
                let mass_ng = f64::from(shot.mass_tenth_mg.0) * NG_PER_TENTH_MG;
                let weight = weight_in_water_ng(mass_ng, shot.density_kg_per_m3, water).max(1);
                let least = shot.fixed.max(1);
                let most = shot.count.min(request.max_shots);
                sizes.push(Size { index, weight, least, most, fixed: shot.fixed });
            }
        }
        crate::small::sort_by_key(&mut sizes, |size| (core::cmp::Reverse(size.weight), size.index));
        let max_sizes = request.max_sizes as usize;
        let max_shots = request.max_shots as usize;
        let cells = (max_sizes + 1) * (max_shots + 1);
        Self {
            sizes,
            wanted,
            over,
            under: 0,
            max_sizes,
            max_shots,
            walk: true,
            best: vec![i64::MAX; cells],
            cells: vec![Cell::default(); cells],
            chosen: Vec::new(),
            counts: Vec::new(),
        }
    }

    fn clear(&mut self) {
        self.best.fill(i64::MAX);
        self.cells.fill(Cell::default());
    }

    /// Searches every choice of sizes, fewest first, for sets at most `under` lighter than wanted.
    fn run(&mut self, under: i64, walk: bool) {
        self.under = under;
        self.walk = walk;
        let needed = self.sizes.iter().filter(|size| size.fixed > 0).count();
        for choose in needed..=self.max_sizes.min(self.sizes.len()) {
            self.choose(0, choose);
        }
    }

    /// Completes the choice with `left` more sizes from `start` on; every fixed size has to be in it.
    fn choose(&mut self, start: usize, left: usize) {
        if left == 0 {
            if self.sizes.iter().skip(start).all(|size| size.fixed == 0) {
                self.solve();
            }
            return;
        }
        for i in start..=self.sizes.len().saturating_sub(left) {
            self.chosen.push(i);
            self.choose(i + 1, left - 1);
            self.chosen.pop();
            if self.sizes.get(i).is_none_or(|size| size.fixed > 0) {
                break;
            }
        }
    }

    /// The chosen size at this place of the choice: its weight and how many more than its least it allows.
    fn size(&self, level: usize) -> Option<(i64, i64)> {
        let size = self.sizes.get(*self.chosen.get(level)?)?;
        Some((size.weight, i64::from(size.most) - i64::from(size.least)))
    }

    /// Searches all counts of the chosen sizes.
    fn solve(&mut self) {
        let (mut rest, mut used) = (self.wanted, 0);
        self.counts.clear();
        for &i in &self.chosen {
            if let Some(size) = self.sizes.get(i) {
                rest -= size.weight * i64::from(size.least);
                used += size.least as usize;
                self.counts.push(0);
            }
        }
        if used <= self.max_shots && rest >= -self.over {
            self.descend(0, rest, used);
        }
    }

    /// Shots that are left when so many are used.
    fn left(&self, used: usize) -> i64 {
        i64::try_from(self.max_shots.saturating_sub(used)).unwrap_or(0)
    }

    /// Runs through the counts of the size at this place and hands the remainder down.
    fn descend(&mut self, level: usize, rest: i64, used: usize) {
        let left = self.left(used);
        let Some((weight, most)) = self.size(level) else {
            self.consider(rest, used);
            return;
        };
        let most = most.min(left);
        let Some((next_weight, next_most)) = self.size(level + 1) else {
            self.last(level, weight, most, rest, used);
            return;
        };
        let high = most.min((rest + self.over).div_euclid(weight));
        // What is left has to be reachable with the lighter sizes: by shots left, and by shots in the box if one is left.
        let short = rest - self.under;
        let mut low = 0;
        if weight > next_weight {
            low = ceil_div(short - left * next_weight, weight - next_weight).max(low);
        } else if short > left * weight {
            return;
        }
        if self.chosen.len() == level + 2 {
            low = ceil_div(short - next_most.min(left) * next_weight, weight).max(low);
            self.pair(level, [weight, next_weight], next_most, [low, high], rest, used);
            return;
        }
        for count in low..=high {
            self.set_count(level, count);
            self.descend(level + 1, rest - count * weight, used + as_index(count));
        }
    }

    /// The last two sizes of a choice of three or more, or both of two: as `descend` and `last`, but the remainder is
    /// carried from one count to the next instead of divided anew.
    fn pair(
        &mut self,
        level: usize,
        [heavy, light]: [i64; 2],
        light_most: i64,
        [low, high]: [i64; 2],
        rest: i64,
        used: usize,
    ) {
        if low > high {
            return;
        }
        let (step_count, step_rest) = (heavy.div_euclid(light), heavy.rem_euclid(light));
        let start = rest - low * heavy;
        let (mut count, mut over) = (start.div_euclid(light), start.rem_euclid(light));
        let left = self.left(used);
        // The bound that a set has to meet is loosest with the fewest shots that can still be light enough.
        let steps = if self.walk { self.under / light + 1 } else { 0 };
        for heavy_count in low..=high {
            let most = light_most.min(left - heavy_count);
            let near = if count < 0 { -count * light - over } else { over.min(light - over) };
            let loosest = self.bound(used + as_index(heavy_count) + as_index(count - steps));
            if near <= loosest || count > most {
                self.set_count(level, heavy_count);
                let used = used + as_index(heavy_count);
                self.around(level + 1, light, most, [count, over], used);
            }
            count -= step_count;
            over -= step_rest;
            if over < 0 {
                over += light;
                count -= 1;
            }
        }
    }

    /// Finds the counts of the last size from the remainder.
    fn last(&mut self, level: usize, weight: i64, most: i64, rest: i64, used: usize) {
        self.around(level, weight, most, [rest.div_euclid(weight), rest.rem_euclid(weight)], used);
    }

    /// Considers the counts around the one that leaves a remainder just not below nothing.
    fn around(&mut self, level: usize, weight: i64, most: i64, [count, over]: [i64; 2], used: usize) {
        // One more, or none when all is too heavy already: heavier than wanted. Any further is beaten by it.
        let heavier = (count + 1).max(0);
        let remainder = over + (count - heavier) * weight;
        if heavier <= most && remainder >= -self.over && (over > 0 || count < 0) {
            self.offer(level, heavier, remainder, used);
        }
        let mut at = count.min(most);
        let mut remainder = over + (count - at) * weight;
        while at >= 0 && remainder <= self.under {
            self.offer(level, at, remainder, used);
            if !self.walk {
                break;
            }
            at -= 1;
            remainder += weight;
        }
    }

    /// Offers one set, given by the last count; most are turned down here.
    fn offer(&mut self, level: usize, count: i64, remainder: i64, used: usize) {
        let shots = used + as_index(count);
        if remainder.abs() <= self.bound(shots) {
            self.set_count(level, count);
            self.consider(remainder, shots);
        }
    }

    fn set_count(&mut self, level: usize, count: i64) {
        if let Some(slot) = self.counts.get_mut(level) {
            *slot = u32::try_from(count).unwrap_or(0);
        }
    }

    /// The distance that a set of the chosen sizes and so many shots must not exceed.
    fn bound(&self, shots: usize) -> i64 {
        self.best.get(self.chosen.len() * (self.max_shots + 1) + shots).copied().unwrap_or(-1)
    }

    /// Takes a set if nothing beats it so far.
    #[cold]
    fn consider(&mut self, remainder: i64, shots: usize) {
        let (row, distance) = (self.max_shots + 1, remainder.abs());
        if remainder > self.under || -remainder > self.over || distance > self.bound(shots) {
            return;
        }
        let mut counts = vec![0; self.sizes.len()];
        for (&i, &count) in self.chosen.iter().zip(&self.counts) {
            if let (Some(slot), Some(size)) = (counts.get_mut(i), self.sizes.get(i)) {
                *slot = count + size.least;
            }
        }
        let Some(cell) = self.cells.get_mut(self.chosen.len() * row + shots) else { return };
        if cell.sets.first().is_some_and(|set| set.remainder.abs() > distance) {
            *cell = Cell::default();
        }
        cell.equals = cell.equals.saturating_add(1);
        cell.sets.push(Found { counts, remainder, equals: 1 });
        crate::small::sort_by(&mut cell.sets, |a, b| {
            b.remainder.cmp(&a.remainder).then_with(|| b.counts.cmp(&a.counts)).is_lt()
        });
        cell.sets.truncate(TIES_KEPT);
        for line in self.best.chunks_mut(row).skip(self.chosen.len()) {
            for best in line.iter_mut().skip(shots) {
                *best = distance.min(*best);
            }
        }
    }

    /// The sets that no other beats.
    fn front(&self) -> Vec<Found> {
        let row = self.max_shots + 1;
        let mut front = Vec::new();
        for (i, cell) in self.cells.iter().enumerate() {
            let Some(first) = cell.sets.first() else { continue };
            let of = |j: Option<usize>| j.and_then(|j| self.best.get(j)).copied().unwrap_or(i64::MAX);
            let fewer_sizes = of(i.checked_sub(row));
            let fewer_shots = if i % row == 0 { i64::MAX } else { of(i.checked_sub(1)) };
            let distance = first.remainder.abs();
            if distance < fewer_sizes && distance < fewer_shots {
                front.extend(cell.sets.iter().map(|set| Found { equals: cell.equals, ..set.clone() }));
            }
        }
        front
    }
}

/// A count, which is never below nothing, as an index.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "counts are from 0 to 60")]
fn as_index(count: i64) -> usize {
    count.max(0) as usize
}

#[cfg(test)]
mod tests;
