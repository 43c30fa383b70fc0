//! The match-day kit list, derived from a plan: what, how many, where it is packed and why.
//!
//! The numbers of spares are common practice, no published source; each can be changed, and a thing that is set to
//! nothing stays at home. The user's own things stand at the end of their group.

use crate::plan::{Group, Method, Pick, Plan, Sky, Wind};
use crate::results::RigDay;
use crate::units::Units;
use serde::Serialize;

/// One thing to pack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
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
pub struct PackGroup {
    /// The group's name.
    pub name: &'static str,
    /// Its things.
    pub items: Vec<Item>,
}

/// What the list needs to know of the day besides the plan.
#[derive(Clone, Copy, Debug)]
pub struct Needs<'a> {
    /// Tins to open.
    pub tins: i32,
    /// Bags of cubes.
    pub bags: i32,
    /// How numbers are written.
    pub units: Units,
    /// The rigs with their shot.
    pub rigs: &'a [RigDay],
}

/// Made-up rigs of each kind: one to fish, one in reserve. Common practice.
pub const RIGS_OF_EACH: i32 = 2;
/// Hooklengths tied for each rig. Common practice.
pub const HOOKLENGTHS_OF_EACH: i32 = 6;
/// Below this the day is cold for the angler, tenths of a degree of water.
const COLD_TENTH_C: i32 = 100;

/// Gathers things, folding those of one name into one.
struct List(Vec<(Group, Item)>);

impl List {
    fn add(&mut self, group: Group, id: &str, name: &str, count: i32, reason: &str) {
        let item = Item {
            id: id.to_owned(),
            name: name.to_owned(),
            count,
            derived: None,
            reason: reason.to_owned(),
            own: None,
        };
        match self.0.iter_mut().find(|(_, old)| old.id == item.id) {
            Some((_, old)) => old.count = old.count.saturating_add(count),
            None => self.0.push((group, item)),
        }
    }
}

/// The list, grouped as it is packed.
#[must_use]
pub fn kit(plan: &Plan, needs: Needs<'_>) -> Vec<PackGroup> {
    let mut list = List(Vec::new());
    bait(plan, needs, &mut list);
    rigs(plan, needs, &mut list);
    peg(plan, &mut list);
    person(plan, &mut list);
    for (_, item) in &mut list.0 {
        if let Some(changed) = plan.kit_counts.iter().find(|c| c.id == item.id) {
            item.derived = Some(item.count);
            item.count = changed.count;
        }
    }
    let own = plan.kit.iter().enumerate().map(|(i, thing)| {
        let item = Item {
            id: ["own-", &slug(&thing.name)].concat(),
            name: thing.name.clone(),
            count: thing.count,
            derived: None,
            reason: String::new(),
            own: Some(i),
        };
        (thing.group, item)
    });
    list.0.extend(own);
    Group::ALL
        .iter()
        .map(|group| PackGroup {
            name: group.words().get(group.index()).copied().unwrap_or(""),
            items: list.0.iter().filter(|(g, _)| g == group).map(|(_, item)| item.clone()).collect(),
        })
        .collect()
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

fn bait(plan: &Plan, needs: Needs<'_>, list: &mut List) {
    use Group::Bait;
    list.add(
        Bait,
        "tins",
        &["Tins: ", &plan.tin.name].concat(),
        needs.tins,
        "cut, washed and bagged before you go",
    );
    list.add(Bait, "bags", "Bags of cubes", needs.bags, "keep those you do not need shut");
    list.add(Bait, "tubs", "Bait tubs", (needs.bags.min(4) + 1).max(2), "one for feed, one for hook baits");
    if plan.prep.freeze_min > 0 || plan.water.surface_tenth_c >= 180 {
        list.add(
            Bait,
            "cool-box",
            "Cool box with ice packs",
            1,
            "meat sweats grease and goes off in the sun",
        );
    }
    list.add(Bait, "sieve", "Sieve", 1, "to rinse and drain at the peg");
    list.add(Bait, "towel", "Towel", 1, "greasy hands spoil lines and screens");
    if plan.feed.iter().any(|p| p.method == Method::Catapult) {
        list.add(Bait, "catapult", "Catapult", 1, "for the feed");
        list.add(Bait, "catapult-elastic", "Spare catapult elastic", 1, "in case one breaks");
    }
    if plan.feed.iter().any(|p| p.method == Method::PoleCup) {
        list.add(Bait, "pole-cup", "Pole cup", 1, "for the feed");
    }
}

fn rigs(plan: &Plan, needs: Needs<'_>, list: &mut List) {
    use Group::Rigs;
    for (rig, day) in plan.rigs.iter().zip(needs.rigs) {
        let use_for = ["rig ", &rig.name].concat();
        let load = needs.units.number(f64::from(rig.load_tenth_mg) * 1e-4, 2);
        let float = ["float-", &slug(&rig.float_name), "-", &rig.load_tenth_mg.to_string()].concat();
        list.add(
            Rigs,
            &float,
            &["Float ", &rig.float_name, ", ", &load, " g"].concat(),
            RIGS_OF_EACH + 1,
            &use_for,
        );
        let hook = rig.hook_size.to_string();
        let hooks = ["hooks-", &hook].concat();
        let barbless = if plan.rules.barbless { "barbless, tied and spare" } else { "tied and spare" };
        list.add(Rigs, &hooks, &["Hooks size ", &hook].concat(), HOOKLENGTHS_OF_EACH + 4, barbless);
        let length =
            [&hook, "-", &rig.hooklength_um.to_string(), "-", &rig.hooklength_tenth_mm.to_string()].concat();
        let line = needs.units.number(f64::from(rig.hooklength_um) * 1e-3, 2);
        list.add(
            Rigs,
            &["hooklengths-", &length].concat(),
            &["Hooklengths, ", &line, " mm line, hook ", &hook].concat(),
            HOOKLENGTHS_OF_EACH,
            "the weak link, so carry several",
        );
        for shot in day.chosen.iter().flat_map(|set| &set.shots) {
            let wanted = i32::try_from(shot.count).unwrap_or(i32::MAX).saturating_mul(RIGS_OF_EACH);
            let law = plan.shot_box.get(shot.index).and_then(|s| s.lead_law().words(needs.units));
            let but = law.map_or_else(String::new, |words| ["; ", &words].concat());
            list.add(
                Rigs,
                &["shot-", &slug(&shot.name)].concat(),
                &["Shot ", &shot.name].concat(),
                wanted.saturating_add(wanted / 2).max(2),
                &["on the rigs, and half as many again", &but].concat(),
            );
        }
    }
    let count = i32::try_from(plan.rigs.len()).unwrap_or(0);
    list.add(Rigs, "winders", "Winders", count * RIGS_OF_EACH, "made-up rigs");
    list.add(Rigs, "shot-box", "Shot box", 1, "all sizes");
    list.add(Rigs, "line", "Spool of main line", 1, "for a rig made up at the peg");
    list.add(Rigs, "plummet", "Plummet", 1, "to find the depth of every line");
    list.add(Rigs, "disgorger", "Disgorgers", 2, "in reach, never in the box");
    list.add(Rigs, "scissors", "Scissors", 1, "blade away from you; take every cut end of line home");
}

fn peg(plan: &Plan, list: &mut List) {
    use Group::Peg;
    let rigs = i32::try_from(plan.rigs.len()).unwrap_or(0);
    list.add(Peg, "pole", "Pole", 1, "carried level and away from overhead lines");
    list.add(Peg, "top-kits", "Top kits with elastic", rigs + 1, "one for each rig, one for the cup");
    list.add(Peg, "rollers", "Pole rollers", 2, "behind you on flat ground");
    list.add(Peg, "seat", "Seat box and side tray", 1, "set level before anything else");
    list.add(Peg, "landing-net", "Landing net and handle", 1, "wet it first");
    list.add(Peg, "unhooking-mat", "Unhooking mat", 1, "where the venue asks for one");
    list.add(Peg, "bucket", "Bucket with a rope", 1, "for rinsing, and for the tub test");
    list.add(Peg, "thermometer", "Thermometer", 1, "warm or cold water weighs most in where to start");
    let wet = plan.weather.sky == Sky::Overcast || plan.weather.wind == Wind::Strong;
    list.add(Peg, "umbrella", "Umbrella", i32::from(wet), "down at the first thunder");
    list.add(Peg, "rubbish", "Rubbish bag", 1, "tins, bags, ends of line");
}

fn person(plan: &Plan, list: &mut List) {
    use Group::Person;
    list.add(Person, "licence", "Fishing licence", 1, "where the law asks for one");
    list.add(Person, "permit", "Venue’s ticket and rules", 1, "limits on bait, hooks and lead");
    list.add(
        Person,
        "first-aid",
        "First-aid kit",
        1,
        "plasters, a pair of cutting pliers for a hook in a finger",
    );
    list.add(Person, "phone", "Phone, charged, and a power bank", 1, "this page runs the day");
    list.add(Person, "pouch", "Clear waterproof pouch for the phone", 1, "wet hands");
    list.add(Person, "drink", "Water and food", 1, "wash the bait off your hands first");
    list.add(Person, "waterproofs", "Waterproofs", 1, "the sky changes its mind");
    if plan.weather.sky != Sky::Overcast {
        list.add(Person, "hat", "Hat and polarised glasses", 1, "to see the float in the glare");
    }
    if plan.water.surface_tenth_c < COLD_TENTH_C {
        list.add(Person, "warm", "Warm layers, dry gloves and socks", 1, "cold hands tie bad knots");
    }
    list.add(Person, "boots", "Boots that grip", 1, "banks are soft and slippery");
}
