//! What a plan learned that its water or the box does not know: each offered with words and the change that keeps it.

use super::Book;
use super::change::Change;
use super::id::Id;
use super::tackle::{Float, Item, Owned, Shot, Test};
use super::waters::Spot;
use crate::plan::{Choice, Plan};
use crate::refusal::Refusal;
use crate::units::{Quantity, TenthMg, Units};

/// An offer to keep something.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// What keeps it.
    pub change: Change,
    /// What is kept.
    what: What,
    /// Where, such as `for Withybank Lake`.
    place: String,
}

#[derive(Clone, Debug, PartialEq)]
enum What {
    Number(i32, Quantity),
    Text(String),
}

impl Offer {
    /// What the button says: `Keep 6 ft 6 for Withybank Lake`, `Save 0.081 g to my floats`.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let what = match &self.what {
            What::Number(mass, Quantity::ShotMass) => {
                units.shot_g(TenthMg(u32::try_from(*mass).unwrap_or(0)), 3) + " g"
            }
            What::Number(number, kind) => units.text(*number, *kind),
            What::Text(text) => text.clone(),
        };
        let verb = if self.place.starts_with("to ") { "Save" } else { "Keep" };
        [verb, &what, &self.place].join(" ")
    }
}

impl Book {
    /// What of a day's plan its water does not know yet, or knows otherwise: depths, way, rules. Nothing for a day without
    /// a water.
    ///
    /// # Errors
    /// `no_such_record`, `damaged`.
    pub fn water_offers(&self, day: Id) -> Result<Vec<Offer>, Refusal> {
        let day = self.day(day)?;
        let Some(id) = day.water else { return Ok(Vec::new()) };
        let (water, plan) = (self.water(id)?, &day.plan);
        let facts = &water.facts;
        let place = ["for ", &facts.name].concat();
        let mut offers = Vec::new();
        let mut offer = |what, change: &dyn Fn(&mut super::Water)| {
            let mut after = water.clone();
            change(&mut after);
            let change = Change::Water { id, water: Box::new(after) };
            offers.push(Offer { change, what, place: place.clone() });
        };
        let depth = plan.water.depth_tenth_mm;
        if plan.water.peg.is_empty() {
            if facts.depth_tenth_mm != Some(depth) {
                offer(What::Number(depth, Quantity::Reach), &|w| w.facts.depth_tenth_mm = Some(depth));
            }
        } else {
            for line in &plan.lines {
                let (peg, depth) = (plan.water.peg.clone(), line.depth_tenth_mm);
                let known = water.depth_at(&peg, &line.name);
                let usual = facts.depth_tenth_mm.filter(|_| line.depth_tenth_mm == plan.water.depth_tenth_mm);
                if known.or(usual) != Some(depth) {
                    let spot = Spot { peg, line: line.name.clone() };
                    let keep = move |w: &mut super::Water| w.depths.extend([(spot.clone(), depth)]);
                    offer(What::Number(depth, Quantity::Reach), &keep);
                }
            }
        }
        let (rules, travel) = (&plan.rules, plan.day.travel_min);
        if facts.travel_min != Some(travel) {
            offer(What::Number(travel, Quantity::Minutes), &|w| w.facts.travel_min = Some(travel));
        }
        if facts.tins != rules.tins {
            let what =
                rules.tins.map_or_else(|| "no limit of tins".to_owned(), |tins| format!("{tins} tins"));
            offer(What::Text(what), &|w| w.facts.tins = rules.tins);
        }
        if facts.hook != rules.hook {
            let what =
                rules.hook.map_or_else(|| "no hook limit".to_owned(), |hook| format!("hook {hook} at most"));
            offer(What::Text(what), &|w| w.facts.hook = rules.hook);
        }
        if facts.barbless != rules.barbless {
            let what = if rules.barbless { "barbless hooks" } else { "barbed hooks allowed" };
            offer(What::Text(what.to_owned()), &|w| w.facts.barbless = rules.barbless);
        }
        let of_nets = |facts: &super::WaterFacts| (facts.hooklength_tenth_mm, facts.net_g, facts.nets);
        if of_nets(facts) != (rules.hooklength_tenth_mm, rules.net_g, rules.nets) {
            offer(What::Text("its rules of nets and hooklengths".to_owned()), &|w| {
                w.facts.hooklength_tenth_mm = rules.hooklength_tenth_mm;
                (w.facts.net_g, w.facts.nets) = (rules.net_g, rules.nets);
            });
        }
        if facts.lead != rules.lead {
            let what = rules.lead.words().get(rules.lead.index()).copied().unwrap_or_default();
            offer(What::Text(["lead: ", what].concat()), &|w| w.facts.lead = rules.lead);
        }
        Ok(offers)
    }

    /// The tub test of a plan's tin, for my tin of that name; nothing where there is none, or it has this test.
    #[must_use]
    pub fn tub_offer(&self, plan: &Plan, test: Test) -> Option<Offer> {
        let Test::Tub { drops, .. } = test else { return None };
        let named =
            |(_, owned): &(Id, Owned)| matches!(&owned.item, Item::Tin(tin) if tin.name == plan.tin.name);
        let (item, owned) = self.tackle().into_iter().find(named)?;
        let known = owned.tests.iter().any(|(_, known)| *known == test);
        let what = What::Text(format!("the tub test of {drops} drops"));
        let place = ["to my tin ", &plan.tin.name].concat();
        (!known).then_some(Offer { change: Change::Test { item, test }, what, place })
    }

    /// What was measured in a plan and is not in the box: loads found in a glass, masses of shot.
    #[must_use]
    pub fn tackle_offers(&self, plan: &Plan) -> Vec<Offer> {
        let tackle = self.tackle();
        let mut offers: Vec<Offer> = Vec::new();
        for rig in plan.rigs.iter().filter(|rig| rig.load_measured && !rig.float_name.is_empty()) {
            let load_tenth_mg = rig.load_tenth_mg;
            let named = |(_, owned): &&(Id, Owned)| matches!(&owned.item, Item::Float(float) if float.name == rig.float_name);
            let change = match tackle.iter().find(named) {
                Some((_, owned)) if known_load(owned, load_tenth_mg) => continue,
                Some((item, _)) => Change::Test { item: *item, test: Test::Glass { load_tenth_mg } },
                None => {
                    let float = Float {
                        name: rig.float_name.clone(),
                        load_tenth_mg,
                        tip_um: rig.tip_um,
                        tip_length_tenth_mm: rig.tip_length_tenth_mm,
                        tip_of: rig.more.tip_of,
                    };
                    let id = Id::usual(&["float ", &rig.float_name].concat());
                    Change::Item { id, item: Box::new(Item::Float(float)) }
                }
            };
            let what = What::Number(load_tenth_mg, Quantity::ShotMass);
            let offer = Offer { change, what, place: "to my floats".to_owned() };
            let known =
                |known: &Offer| known.change.record() == offer.change.record() && known.what == offer.what;
            if !offers.iter().any(known) {
                offers.push(offer);
            }
        }
        for size in &plan.shot_box {
            let mine = tackle.iter().find_map(|(id, owned)| match &owned.item {
                Item::Shot(shot) if shot.name == size.name => Some((*id, shot)),
                _ => None,
            });
            if let Some((id, shot)) = mine.filter(|(_, shot)| shot.mass_tenth_mg != size.mass_tenth_mg) {
                let weighed = Shot { mass_tenth_mg: size.mass_tenth_mg, weighed: true, ..shot.clone() };
                offers.push(Offer {
                    change: Change::Item { id, item: Box::new(Item::Shot(weighed)) },
                    what: What::Number(size.mass_tenth_mg, Quantity::ShotMass),
                    place: ["to my ", &size.name].concat(),
                });
            }
        }
        offers
    }
}

/// Whether a float's tests hold this load, or come to it.
fn known_load(owned: &Owned, load: i32) -> bool {
    let test = Test::Glass { load_tenth_mg: load };
    owned.tests.iter().any(|(_, known)| *known == test)
        || owned.measured().is_some_and(|measured| (measured.mean - f64::from(load)).abs() <= 0.5)
}
