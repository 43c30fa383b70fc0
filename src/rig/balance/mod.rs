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
//! Water that climbs the tip pulls it down by its perimeter times the surface's tension ([`crate::physics::water::meniscus_ng`]): told as an
//! allowance of its own where the load is a maker's, and left out where it was found by shotting that float.
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
//! Still, fresh water. Wind and tow are left out; so is the angle of the line. No tip is known to the millimetre: water that
//! climbs at 40° where it was taken to climb at 70° is worth 13 mm of a 1 mm tip.
//!
//! # Source
//! Archimedes' principle; water density by Tanaka et al. 2001 ([`crate::physics::water`]).

mod request;
mod search;
#[cfg(test)]
mod tests;
mod weights;

pub use request::{
    Bait, Balance, BalanceRequest, BoxedShot, DottedWith, Float, Hook, LOAD_TEMPERATURE_C, LinePiece,
    MAX_BOX_SIZES, MAX_SET_SHOTS, MAX_SET_SIZES, Resting, ShotCount, ShotPreference, ShotSet, TIES_KEPT,
    Waterline,
};

use crate::refusal::Refusal;
use crate::units::fixed;
use search::{FoundSet, SetSearch};
use weights::{Loads, whole};

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
/// use dotdown::rig::balance::{BalanceRequest, BoxedShot, Float, Resting, DottedWith, ShotPreference, balance};
/// use dotdown::units::TenthMg;
/// let request = BalanceRequest {
///     float: Float { load_tenth_mg: TenthMg(4000), tip_diameter_mm: 1.0, tip_length_mm: 25.0, own_mass_tenth_mg: None, contact_deg: None },
///     temperature_c: 15.0,
///     shot_box: vec![BoxedShot {
///         name: "No. 10".into(), mass_tenth_mg: TenthMg(350), density_kg_per_m3: 11350.0, count: 40, fixed: 0,
///     }],
///     hook: None, bait: None, line: vec![], resting: Resting::default(),
///     wanted_tip_mm: 25.0, wanted_state: DottedWith::BaitHanging,
///     max_sizes: 3, max_shots: 30, taste: ShotPreference::ManySmall, close_enough_mm: 1.0,
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
        DottedWith::BaitHanging => hanging,
        DottedWith::BaitOnBottom => rest,
    };
    let covered = whole((request.float.tip_length_mm - request.wanted_tip_mm) * loads.per_mm as f64);
    let showing = whole(request.wanted_tip_mm * loads.per_mm as f64);
    let wanted = loads.lift + covered - in_wanted_state;

    let mut search = SetSearch::new(request, loads.water, wanted, showing);
    let fixed_ng: i64 = search.sizes.iter().map(|s| s.weight * i64::from(s.fixed)).sum();
    if fixed_ng > wanted + showing {
        let over_mm = (fixed_ng - wanted - showing) as f64 / loads.per_mm as f64;
        let sentence = format!(
            "This float goes under with its hook, bait, line and droppers alone, by {} mm of bristle: take a larger float.",
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
        let nearest = sets.iter().map(FoundSet::distance).min();
        sets.retain(|set| Some(set.distance()) == nearest);
    }
    let tell = TipGauge { request, loads: &loads, hanging, rest, wanted };
    let mut sets: Vec<ShotSet> = sets.iter().map(|set| tell.set(&search, set)).collect();
    order(&mut sets, request.taste, request.close_enough_mm);
    Ok(Balance {
        water_kg_per_m3: loads.water,
        lift_ng: loads.lift + loads.meniscus,
        meniscus_ng: loads.meniscus,
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

/// Orders the sets. Those whose tips differ by no more than the eye sees are equally good: among them one size comes before
/// two, then taste decides.
fn order(sets: &mut [ShotSet], taste: ShotPreference, eye_mm: f64) {
    let off = |set: &ShotSet| set.remainder_ng.unsigned_abs();
    crate::small::sort_by(sets, |a, b| off(a) < off(b));
    let before = |a: &ShotSet, b: &ShotSet| {
        let by_shots = match taste {
            ShotPreference::ManySmall => b.shots_total.cmp(&a.shots_total),
            ShotPreference::FewLarge => a.shots_total.cmp(&b.shots_total),
        };
        a.sizes.cmp(&b.sizes).then(by_shots).then(off(a).cmp(&off(b))).is_lt()
    };
    let mut rest = sets;
    while let Some(best) = rest.first() {
        let most = best.off_mm + eye_mm;
        let alike = rest.iter().take_while(|set| set.off_mm <= most).count().max(1);
        let (equals, others) = rest.split_at_mut(alike);
        crate::small::sort_by(equals, before);
        rest = others;
    }
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

    fn set(&self, search: &SetSearch, found: &FoundSet) -> ShotSet {
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
