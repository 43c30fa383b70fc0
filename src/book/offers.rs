//! What a plan learned that its water or the box does not know, and what the water knows of its peg: each offered with words
//! and the changes that do it.

use super::Book;
use super::change::Change;
use super::id::Id;
use super::tackle::{Item, Owned, Shot, Test, TinLabel};
use super::waters::Spot;
use crate::plan::{Choice, Plan};
use crate::refusal::Refusal;
use crate::units::{Quantity, TenthMg, Units};

/// An offer to keep something, or to take over what was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// What does it, in this order.
    pub changes: Vec<Change>,
    verb: &'static str,
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
    /// Whether it changes the plan, not the book beside it.
    #[must_use]
    pub fn is_for_plan(&self) -> bool {
        matches!(*self.changes, [Change::Plan { .. }])
    }

    /// What the button says: `Keep 6 ft 6 for Withybank Lake`, `Save 0.081 g to my floats`, `Take 6 ft 6 as on peg 22`.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let what = match &self.what {
            What::Number(mass, Quantity::ShotMass) => {
                units.shot_g(TenthMg(u32::try_from(*mass).unwrap_or(0)), 3) + " g"
            }
            What::Number(number, kind) => units.text(*number, *kind),
            What::Text(text) => text.clone(),
        };
        [self.verb, &what, &self.place].join(" ")
    }
}

impl Book {
    /// What of a day's plan its water does not know yet, or knows otherwise: depths, way, rules; the depths that it knows of
    /// the plan's peg. Nothing for a day without a water.
    ///
    /// # Errors
    /// `no_such_record`, `damaged`.
    pub fn water_offers(&self, of: Id) -> Result<Vec<Offer>, Refusal> {
        let day = self.day(of)?;
        let Some(id) = day.water else { return Ok(Vec::new()) };
        let (water, plan) = (self.water(id)?, &day.plan);
        let facts = &water.facts;
        let place = ["for ", &facts.name].concat();
        let (mut taken, mut offers) = (Vec::new(), Vec::new());
        let mut offer = |what, change: &dyn Fn(&mut super::Water)| {
            let mut after = water.clone();
            change(&mut after);
            let changes = vec![Change::Water { id, water: Box::new(after) }];
            offers.push(Offer { changes, verb: "Keep", what, place: place.clone() });
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
                let usual = facts.depth_tenth_mm.filter(|_| depth == plan.water.depth_tenth_mm);
                if let Some(known) = known.filter(|known| *known != depth) {
                    let mut there = plan.clone();
                    let here = there.lines.iter_mut().filter(|l| l.name == line.name);
                    here.for_each(|line| line.depth_tenth_mm = known);
                    let words = ["depth ", &Units::default().text(known, Quantity::Reach)].concat();
                    taken.push(Offer {
                        changes: vec![Change::Plan { day: of, plan: Box::new(there), words }],
                        verb: "Take",
                        what: What::Number(known, Quantity::Reach),
                        place: ["as on peg ", &peg, ", ", &line.name].concat(),
                    });
                }
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
        taken.extend(offers);
        Ok(taken)
    }

    /// The tub test of a day's plan, for my tin of that name, or a new one; nothing where that has this test.
    #[must_use]
    pub fn tub_offer(&self, day: Id, plan: &Plan, test: Test) -> Option<Offer> {
        let Test::Tub { drops, .. } = test else { return None };
        let tin = Item::Tin(TinLabel::from(&plan.tin));
        let changes =
            self.with_test(day, tin, test, |owned| owned.tests.iter().any(|(_, known)| *known == test))?;
        let what = What::Text(format!("the tub test of {drops} drops"));
        Some(Offer { changes, verb: "Save", what, place: ["to my tin ", &plan.tin.name].concat() })
    }

    /// A test of a day joins those of the thing of its name, which is new in the box where there is none; nothing where the
    /// thing has no name, or `knows` it.
    fn with_test(
        &self,
        day: Id,
        item: Item,
        test: Test,
        knows: impl Fn(&Owned) -> bool,
    ) -> Option<Vec<Change>> {
        let named =
            |(_, owned): &(Id, Owned)| (owned.item.kind(), owned.item.name()) == (item.kind(), item.name());
        match self.tackle().into_iter().find(named) {
            _ if item.name().is_empty() => None,
            Some((_, owned)) if knows(&owned) => None,
            Some((item, _)) => Some(vec![Change::Test { item, day, test }]),
            None => {
                let id = Id::usual(&[item.kind(), " ", item.name()].concat());
                Some(vec![Change::Item { id, item: Box::new(item) }, Change::Test { item: id, day, test }])
            }
        }
    }

    /// What was measured in a day's plan and is not in the box: loads found in a glass, masses of shot.
    #[must_use]
    pub fn tackle_offers(&self, day: Id, plan: &Plan) -> Vec<Offer> {
        let mut offers: Vec<Offer> = Vec::new();
        for rig in plan.rigs.iter().filter(|rig| rig.load_measured) {
            let load_tenth_mg = rig.load_tenth_mg;
            let float = Item::Float(rig.into());
            let knows = |owned: &Owned| known_load(owned, load_tenth_mg);
            let Some(changes) = self.with_test(day, float, Test::Glass { load_tenth_mg }, knows) else {
                continue;
            };
            let what = What::Number(load_tenth_mg, Quantity::ShotMass);
            let offer = Offer { changes, verb: "Save", what, place: "to my floats".to_owned() };
            if !offers.iter().any(|known| known.changes.last() == offer.changes.last()) {
                offers.push(offer);
            }
        }
        let tackle = self.tackle();
        for size in &plan.shot_box {
            let mine = tackle.iter().find_map(|(id, owned)| match &owned.item {
                Item::Shot(shot) if shot.name == size.name => Some((*id, shot)),
                _ => None,
            });
            if let Some((id, shot)) = mine.filter(|(_, shot)| shot.mass_tenth_mg != size.mass_tenth_mg) {
                let (mass_tenth_mg, weighed) = (size.mass_tenth_mg, size.weighed);
                let shot = Shot { mass_tenth_mg, weighed, ..shot.clone() };
                offers.push(Offer {
                    changes: vec![Change::Item { id, item: Box::new(Item::Shot(shot)) }],
                    verb: "Save",
                    what: What::Number(mass_tenth_mg, Quantity::ShotMass),
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
