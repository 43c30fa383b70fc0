//! The match-day kit list, derived from a plan: what, how many, where it is packed and why.
//!
//! The numbers of spares are common practice, no published source; each can be changed, and a thing that is set to
//! nothing stays at home. The user's own things stand at the end of their group.

use super::rigs::RigResult;
use crate::plan::{Choice, Group, Method, Plan, Sky, Wind};
use crate::rig::make_up::{Sheet, totals, winder_words};
use crate::rig::tackle::BACK_SHOT;
use crate::units::{LengthUnits, Quantity, Units};
use serde::Serialize;
use std::collections::BTreeSet;

/// One thing to pack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "KitLine"))]
pub struct Item {
    /// A short name that does not change with the plan's numbers; ticks hang on it.
    pub id: String,
    /// What it is.
    pub name: String,
    /// How many.
    pub count: i32,
    /// How many the plan asks for, where the user changed the number.
    pub derived: Option<i32>,
    /// Why, or what for.
    pub reason: String,
    /// Place among the user's own things, if it is one.
    pub own: Option<usize>,
}

/// What is packed together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct PackGroup {
    /// The group's name.
    pub name: &'static str,
    /// Its things.
    pub items: Vec<Item>,
}

/// What the list needs to know besides the plan.
pub(super) struct KitInputs<'a> {
    /// Tins to open.
    pub(super) tins: i32,
    /// Bags of cubes.
    pub(super) bags: i32,
    /// The rigs with their shot.
    pub(super) rigs: &'a [RigResult],
    /// The make-up sheets of those that have one.
    pub(super) sheets: &'a [Sheet],
    /// How numbers are written.
    pub(super) units: Units,
}

/// Made-up rigs of each kind: one to fish, one in reserve. Common practice.
const RIGS_OF_EACH: i32 = 2;
/// Hooklengths tied for each rig. Common practice.
const HOOKLENGTHS_OF_EACH: i32 = 6;
/// Keepnets taken where the rules allow them. Common practice.
const KEEPNETS: i32 = 2;
/// From this on the day is hot for angler and bait, tenths of a degree of water.
const HOT_TENTH_C: i32 = 180;
/// Below this the day is cold for the angler, tenths of a degree of water.
const COLD_TENTH_C: i32 = 100;

/// Gathers the things of one group after another, folding those of one id into one.
struct List {
    group: Group,
    things: Vec<(Group, Item)>,
}

impl List {
    fn add(&mut self, id: impl Into<String>, name: impl Into<String>, count: i32, reason: impl Into<String>) {
        let id = id.into();
        if let Some((_, old)) = self.things.iter_mut().find(|(_, old)| old.id == id) {
            old.count = old.count.saturating_add(count);
            return;
        }
        let (name, reason) = (name.into(), reason.into());
        self.things.push((self.group, Item { id, name, count, derived: None, reason, own: None }));
    }
}

/// The list, grouped as it is packed.
pub(super) fn kit(plan: &Plan, inputs: &KitInputs<'_>) -> Vec<PackGroup> {
    let mut list = List { group: Group::Bait, things: Vec::new() };
    bait(plan, inputs, &mut list);
    list.group = Group::Rigs;
    rigs(plan, inputs, &mut list);
    made_up(inputs, &mut list);
    list.group = Group::Peg;
    peg(plan, inputs, &mut list);
    list.group = Group::Person;
    person(plan, &mut list);
    for (_, item) in &mut list.things {
        if let Some(changed) = plan.kit_counts.iter().find(|c| c.id == item.id) {
            item.derived = Some(item.count);
            item.count = changed.count;
        }
    }
    let own = plan.kit.iter().enumerate().map(|(i, thing)| {
        let item = Item {
            id: format!("own-{}", slug(&thing.name)),
            name: thing.name.clone(),
            count: thing.count,
            derived: None,
            reason: String::new(),
            own: Some(i),
        };
        (thing.group, item)
    });
    list.things.extend(own);
    let group = |group: &Group| PackGroup {
        name: group.word(),
        items: list.things.iter().filter(|(g, _)| g == group).map(|(_, item)| item.clone()).collect(),
    };
    Group::ALL.iter().map(group).filter(|group| !group.items.is_empty()).collect()
}

/// Lower-case letters and digits of a name, with dashes between.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars() {
        if c.is_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug
}

fn bait(plan: &Plan, inputs: &KitInputs<'_>, list: &mut List) {
    let tins = format!("Tins: {}", plan.tin.name);
    list.add("tins", tins, inputs.tins, "cut, washed and bagged before you go");
    list.add("bags", "Bags of cubes", inputs.bags, "keep those you do not need shut");
    list.add("tubs", "Bait tubs", (inputs.bags.min(4) + 1).max(2), "one for feed, one for hook baits");
    if plan.prep.freeze_min > 0 || plan.water.surface_tenth_c >= HOT_TENTH_C {
        let why = "meat sweats grease and goes off in the sun";
        list.add("cool-box", "Cool box with ice packs", 1, why);
    }
    list.add("cutter", "Bait cutter and knife", 1, "blades covered on the way; cut away from your hand");
    list.add("sieve", "Sieve", 1, "to rinse and drain at the peg");
    list.add("towel", "Towel", 1, "greasy hands spoil lines and screens");
    if plan.feed.iter().any(|p| p.method == Method::Catapult) {
        list.add("catapult", "Catapult", 1, "for the feed");
        list.add("catapult-elastic", "Spare catapult elastic", 1, "in case one breaks");
    }
    if plan.feed.iter().any(|p| p.method == Method::PoleCup) {
        list.add("pole-cup", "Pole cup", 1, "for the feed");
        list.add("pole-pots", "Pole pots", 2, "a few cubes right over the float");
    }
}

fn rigs(plan: &Plan, inputs: &KitInputs<'_>, list: &mut List) {
    let units = inputs.units;
    for (rig, result) in plan.rigs.iter().zip(inputs.rigs) {
        let (name, load) = (&rig.float_name, units.number(f64::from(rig.load_tenth_mg) * 1e-4, 2));
        let id = format!("float-{}-{}", slug(name), rig.load_tenth_mg);
        list.add(id, format!("Float {name}, {load} g"), RIGS_OF_EACH + 1, format!("rig {}", rig.name));
        let hook = rig.hook_size;
        let barbless = if plan.rules.barbless { "barbless, hook tied on" } else { "hook tied on" };
        let id = format!("hooklengths-{hook}-{}-{}", rig.hooklength_um, rig.hooklength_tenth_mm);
        let line = units.number(f64::from(rig.hooklength_um) * 1e-3, 2);
        let long = units.text(rig.hooklength_tenth_mm, Quantity::Depth);
        let name = format!("Hooklengths {long}, {line} mm, hook {hook}");
        list.add(id, name, HOOKLENGTHS_OF_EACH, format!("the weak link, so carry several; {barbless}"));
        for shot in result.chosen.iter().flat_map(|set| &set.shots) {
            let wanted = i32::try_from(shot.count).unwrap_or(i32::MAX).saturating_mul(RIGS_OF_EACH);
            let count = wanted.saturating_add(wanted / 2).max(2);
            let law = plan.shot_box.get(shot.index).and_then(|s| s.lead_law().words(units));
            let but = law.map_or_else(String::new, |words| format!("; {words}"));
            let why = format!("on the rigs, and half as many again{but}");
            list.add(format!("shot-{}", slug(&shot.name)), format!("Shot {}", shot.name), count, why);
        }
    }
    if inputs.sheets.is_empty() {
        let rigs = i32::try_from(plan.rigs.len()).unwrap_or(0);
        list.add("winders", "Winders", rigs * RIGS_OF_EACH, "made-up rigs");
    }
    list.add("shot-box", "Shot box", 1, "all sizes");
    list.add("line", "Spool of main line", 1, "for a rig made up at the peg");
    let numbers: BTreeSet<i32> = plan.rigs.iter().filter_map(|rig| rig.more.elastic_number).collect();
    let numbers: Vec<String> = numbers.iter().map(i32::to_string).collect();
    let of = if numbers.is_empty() { String::new() } else { [", No. ", &numbers.join(", ")].concat() };
    let why = "a frayed end or a cracked bush breaks the line";
    list.add("elastic", ["Spare elastic and bushes", &of].concat(), 1, why);
    list.add("plummet", "Plummet", 1, "to find the depth of every line");
    list.add("disgorger", "Disgorgers", 2, "in reach, never in the box");
    list.add("scissors", "Scissors", 1, "blade away from you; take every cut end of line home");
}

/// What the make-up sheets add up to: metres of each line, winders of each length, back shot.
fn made_up(inputs: &KitInputs<'_>, list: &mut List) {
    let totals = totals(inputs.sheets);
    let for_all = |count: u64| i32::try_from(count).unwrap_or(i32::MAX).saturating_mul(RIGS_OF_EACH);
    for line in &totals.line_mm {
        let id = format!("line-{}", line.name.replace([' ', '.'], "-"));
        let name = format!("Line {}, metres", inputs.units.signed(line.name.clone()));
        list.add(id, name, for_all(line.count.div_ceil(1000)), "cut for the made-up rigs, hooklengths too");
    }
    let inches = inputs.units.lengths == LengthUnits::Imperial;
    for winder in &totals.winders {
        let id = format!("winders-{}", winder.name.replace(' ', "-"));
        let name = format!("Winders, {}", winder_words(&winder.name, inches));
        list.add(id, name, for_all(winder.count), "made-up rigs");
    }
    let back_shot = inputs.sheets.iter().filter_map(|sheet| sheet.back_shot.as_ref());
    let count = back_shot.map(|back| u64::from(back.count)).sum();
    if count > 0 {
        list.add(
            "back-shot",
            format!("Back shot, {}", BACK_SHOT.1),
            for_all(count),
            "between pole tip and float, in wind",
        );
    }
}

fn peg(plan: &Plan, inputs: &KitInputs<'_>, list: &mut List) {
    let rigs = i32::try_from(plan.rigs.len()).unwrap_or(0);
    list.add("pole", "Pole", 1, "carried level and away from overhead lines");
    list.add("top-kits", "Top kits with elastic", rigs + 1, "one for each rig, one for the cup");
    list.add("rollers", "Pole rollers", 2, "behind you on flat ground");
    list.add("seat", "Seat box and side tray", 1, "set level before anything else");
    list.add("landing-net", "Landing net and handle", 1, "wet it first");
    let most = plan
        .rules
        .net_g
        .map(|limit| [", at most ", &inputs.units.weight(f64::from(limit) / 1000.0), " in each"].concat());
    let why = ["wetted before the first fish", &most.unwrap_or_default()].concat();
    list.add("keepnets", "Keepnets", plan.rules.nets.unwrap_or(KEEPNETS).min(KEEPNETS), why);
    list.add("unhooking-mat", "Unhooking mat", 1, "where the venue asks for one");
    list.add("bucket", "Bucket with a rope", 1, "for rinsing, and for the tub test");
    list.add("thermometer", "Thermometer", 1, "warm or cold water weighs most in where to start");
    let wet = plan.weather.sky == Sky::Overcast || plan.weather.wind == Wind::Strong;
    list.add("umbrella", "Umbrella", i32::from(wet), "down at the first thunder");
    list.add("rubbish", "Rubbish bag", 1, "tins, bags, ends of line");
}

fn person(plan: &Plan, list: &mut List) {
    list.add("licence", "Fishing licence", 1, "where the law asks for one");
    list.add("permit", "Venue’s ticket and rules", 1, "limits on bait, hooks and lead");
    let aid = "plasters, a pair of cutting pliers for a hook in a finger";
    list.add("first-aid", "First-aid kit", 1, aid);
    list.add("phone", "Phone, charged, and a power bank", 1, "this page runs the day");
    list.add("pouch", "Clear waterproof pouch for the phone", 1, "wet hands");
    let hot = plan.water.surface_tenth_c >= HOT_TENTH_C;
    let why = if hot { "more than you think in the heat" } else { "five hours are long" };
    list.add("drink", "Drinks, litres", 1 + i32::from(hot), why);
    list.add("food", "Food", 1, "wash the bait off your hands first");
    list.add("waterproofs", "Waterproofs", 1, "the sky changes its mind");
    if plan.weather.sky != Sky::Overcast {
        list.add("hat", "Hat and polarised glasses", 1, "to see the float in the glare");
        list.add("sun-cream", "Sun cream", 1, "the water throws the sun back at you");
    }
    if plan.water.surface_tenth_c < COLD_TENTH_C {
        list.add("warm", "Warm layers, dry gloves and socks", 1, "cold hands tie bad knots");
    }
    list.add("boots", "Boots that grip", 1, "banks are soft and slippery");
}
