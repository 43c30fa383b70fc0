//! How a new day begins: from a water and its last day, or from what is in the box.

use super::days::{Day, DaySummary, State, next_saturday};
use super::tackle::{Item, Owned, put_hooklength};
use super::waters::{Water, fish_field};
use super::{Book, Id};
use crate::plan::fields::list_of;
use crate::plan::presets::first;
use crate::plan::{BoxShot, Date, Plan};
use crate::refusal::Refusal;
use crate::small::{lowercase, sort_by_key};

impl Book {
    /// A new day on the next Saturday after `today` (days since 1970), to be changed as liked and added by
    /// [`Change::AddDay`](super::Change::AddDay).
    ///
    /// With a water everything comes from its last day: the last fished one, or else the last planned. Where there is none,
    /// and without a water, the first worked day is filled from the box. Name, rules, way and depths are the water's
    /// own, as far as it has them; `peg` is empty where it is drawn on the day. The usual mass of a fish is what was
    /// weighed there.
    ///
    /// # Errors
    /// `no_such_record`, `damaged`.
    pub fn new_day(&self, water: Option<Id>, peg: &str, today: i32) -> Result<Day, Refusal> {
        let Some(id) = water else { return Ok(self.day_from_tackle(today)) };
        let place = self.water(id)?;
        let last = self.last_day_at(id).map(|last| self.day(last.id)).transpose()?;
        let mut day = match (last, self.last_day_at(id)) {
            (Some(last), Some(of)) => self.with_known_tin(last.again(today), of.id),
            _ => self.day_from_tackle(today),
        };
        day.water = Some(id);
        let plan = &mut day.plan;
        peg.clone_into(&mut plan.water.peg);
        place.fill(plan);
        shallow_enough(plan);
        plan.name.clone_from(&plan.water.venue);
        plan.bank.fish_g = self.usual_fish(id).as_ref().and_then(fish_field).or(plan.bank.fish_g);
        plan.check()?;
        Ok(day)
    }

    fn last_day_at(&self, water: Id) -> Option<&DaySummary> {
        let days = self.days("");
        let of_water = |day: &&DaySummary| day.water == Some(water);
        days.fished.into_iter().find(of_water).or_else(|| days.next.into_iter().rfind(of_water))
    }

    /// A plan whose tub test of the day `last` is in the box takes what the box knows of its tin instead.
    fn with_known_tin(&self, mut day: Day, last: Id) -> Day {
        let name = last.to_string();
        let tested = |(_, owned): &(Id, Owned)| {
            owned.item.name() == day.plan.tin.name && owned.tests.iter().any(|(of, _)| *of == name)
        };
        if let Some((_, tin)) = self.tackle().into_iter().find(tested).filter(|(_, o)| o.item.kind() == "tin")
        {
            day.plan.bait_more.tub.drops_ms.clear();
            tin.put(&mut day.plan, 0);
        }
        day
    }

    fn day_from_tackle(&self, today: i32) -> Day {
        let mut plan = first();
        plan.day.date = Date(next_saturday(today));
        for text in [&mut plan.name, &mut plan.note, &mut plan.water.venue, &mut plan.water.peg] {
            text.clear();
        }
        let owned: Vec<Owned> = self.tackle().into_iter().map(|(_, owned)| owned).collect();
        use_box(&mut plan, &owned);
        if let Some(tin) = owned.iter().find(|owned| matches!(owned.item, Item::Tin(_))) {
            tin.put(&mut plan, 0);
        }
        for rig in 0..plan.rigs.len() {
            use_nearest(&mut plan, rig, &owned);
        }
        Day::new(plan)
    }

    /// A copy of a day on the next Saturday: its plan and water, nothing ticked, noted or weighed.
    ///
    /// # Errors
    /// `no_such_record`, `damaged`.
    pub fn copy_of(&self, day: Id, today: i32) -> Result<Day, Refusal> {
        self.day(day).map(|day| day.again(today))
    }

    /// The day that somebody's plan becomes: linked to the water of the book that has its name, if one has.
    #[must_use]
    pub fn day_of(&self, plan: Plan) -> Day {
        let named = |(_, name): &(Id, String)| lowercase(name) == lowercase(&plan.water.venue);
        let water = self.waters().into_iter().find(named).map(|(id, _)| id);
        Day { water, state: State::Planned, ..Day::new(plan) }
    }

    /// The water that a plan was made for, so that it can be added to the book: its name, depth, way and rules.
    #[must_use]
    pub fn water_of(plan: &Plan) -> Water {
        let mut water = Water::default();
        let facts = &mut water.facts;
        facts.name.clone_from(&plan.water.venue);
        facts.depth_tenth_mm = Some(plan.water.depth_tenth_mm);
        facts.travel_min = Some(plan.day.travel_min);
        (facts.tins, facts.hook) = (plan.rules.tins, plan.rules.hook);
        (facts.barbless, facts.lead) = (plan.rules.barbless, plan.rules.lead);
        facts.hooklength_tenth_mm = plan.rules.hooklength_tenth_mm;
        (facts.net_g, facts.nets) = (plan.rules.net_g, plan.rules.nets);
        water
    }
}

/// No rig hangs deeper than its line is.
fn shallow_enough(plan: &mut Plan) {
    for rig in &mut plan.rigs {
        let line = usize::try_from(rig.line).ok().and_then(|line| plan.lines.get(line));
        rig.depth_tenth_mm = rig.depth_tenth_mm.min(line.map_or(i32::MAX, |line| line.depth_tenth_mm));
    }
}

/// Puts the box in place of a plan's. What refers to a size goes to the one of its name, or of the nearest mass; a chosen
/// set goes where a size of it does.
fn use_box(plan: &mut Plan, owned: &[Owned]) {
    let sizes = owned.iter().filter_map(|owned| match &owned.item {
        Item::Shot(shot) => Some(BoxShot::from(shot)),
        _ => None,
    });
    let most = list_of("shot_box").map_or(0, |(_, most)| most);
    let mut sizes: Vec<BoxShot> = sizes.take(most).collect();
    sort_by_key(&mut sizes, |size| size.mass_tenth_mg);
    if sizes.is_empty() {
        return;
    }
    let before = std::mem::replace(&mut plan.shot_box, sizes);
    let sizes = &plan.shot_box;
    let known = |place: i32| before.get(usize::try_from(place).ok()?);
    let same = |place: i32| sizes.iter().position(|size| known(place).is_some_and(|b| b.name == size.name));
    let near = |place: i32| {
        let mass = known(place).map_or(0, |size| size.mass_tenth_mg);
        let by_mass = |(_, size): &(usize, &BoxShot)| (size.mass_tenth_mg - mass).abs();
        let place = same(place).or_else(|| sizes.iter().enumerate().min_by_key(by_mass).map(|(i, _)| i));
        place.and_then(|place| i32::try_from(place).ok()).unwrap_or(0)
    };
    for rig in &mut plan.rigs {
        if rig.set.iter().any(|size| same(size.shot).is_none()) {
            rig.set.clear();
        }
        rig.droppers.iter_mut().for_each(|dropper| dropper.shot = near(dropper.shot));
        rig.set.iter_mut().chain(&mut rig.more.glass).for_each(|size| size.shot = near(size.shot));
    }
}

/// Puts into a rig what the box has that is nearest to what the rig has: float by load, lines by diameter, the hooklength
/// weaker than the main line, hook by size, elastic by number or diameter.
fn use_nearest(plan: &mut Plan, place: usize, owned: &[Owned]) {
    let Some(rig) = plan.rigs.get(place) else { return };
    let (load, main, size) = (rig.load_tenth_mg, rig.main_um, rig.hook_size);
    let (elastic, number) = (rig.more.elastic_um, rig.more.elastic_number);
    let apart = |mine: Option<i32>, its: Option<i32>| Some((mine? - its?).abs());
    let distance = |item: &Item| match item {
        Item::Float(float) => (float.load_tenth_mg - load).abs(),
        Item::Line(line) => (line.diameter_um - main).abs(),
        Item::Hook(hook) => (hook.size - size).abs(),
        Item::Elastic(mine) => {
            apart(mine.number, number).or_else(|| apart(mine.elastic_um, elastic)).unwrap_or(0)
        }
        _ => i32::MAX,
    };
    for kind in ["float", "line", "hook", "elastic"] {
        let alike = owned.iter().filter(|owned| owned.item.kind() == kind);
        if let Some(nearest) = alike.min_by_key(|owned| distance(&owned.item)) {
            nearest.put(plan, place);
        }
    }
    let Some(rig) = plan.rigs.get(place) else { return };
    let (thin, strong) = (rig.hooklength_um, rig.main_strength_g);
    let lines = owned.iter().filter_map(|owned| match &owned.item {
        Item::Line(line) if line.strength_g < strong => Some(line),
        _ => None,
    });
    if let Some(line) = lines.min_by_key(|line| (line.diameter_um - thin).abs()) {
        put_hooklength(line, plan, place);
    }
}
