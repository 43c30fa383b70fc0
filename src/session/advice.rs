//! What to do next: the planner's choice of rig, else a rule of common practice, in one line with its reason.

use super::depth_filter::{Belief, Model};
use super::replay::Replay;
use super::rig_choice::{Planner, chances_best, expected_per_min, rates_per_s};
use super::setup::{AdviceRules, Prepared, SessionSetup};
use super::state::{Advice, AdviceKind, Evidence, as_u32};
use super::words::counted;
use crate::units::fixed;

/// For how long a planner serves on water that changes through the day, s.
const PLANNED_FOR_S: f64 = 1800.0;

/// The planner, and what it has advised.
#[derive(Clone, Debug)]
pub(super) struct Adviser {
    planner: Planner,
    /// The line that it plans for.
    line: usize,
    /// The rig that is advised, in hand or not; none before the first advice.
    pub(super) target: Option<usize>,
    /// Whether the point of that change is to learn.
    learn: bool,
    /// What had happened when it was advised; see `Replay::news`. None: something was put right since.
    news: Option<u32>,
    /// Since when another rig has been better by what a change costs, ms.
    better_since_ms: Option<f64>,
    /// When an advice to change was taken back last, since it was no longer worth what it costs, ms.
    taken_back_ms: f64,
}

/// What each rig of the line in hand is worth now.
pub(super) struct Worths {
    in_hand: usize,
    /// For each of all rigs: bites beyond staying, what the change costs paid; none on another line.
    gains: Vec<Option<f64>>,
    /// For each of all rigs: bites a minute expected.
    rates: Vec<f64>,
    cost: f64,
}

impl Worths {
    fn gain(&self, rig: usize) -> f64 {
        self.gains.get(rig).copied().flatten().unwrap_or(f64::NEG_INFINITY)
    }

    fn rate(&self, rig: usize) -> f64 {
        self.rates.get(rig).copied().unwrap_or(0.0)
    }

    /// The rig that is worth most; the one in hand if none is worth `least` more.
    fn best(&self, least: f64) -> usize {
        let others = (0..self.gains.len()).filter(|&rig| rig != self.in_hand && self.gain(rig) > least);
        others.max_by(|&a, &b| self.gain(a).total_cmp(&self.gain(b))).unwrap_or(self.in_hand)
    }
}

impl Adviser {
    pub(super) fn new(prepared: &Prepared) -> Self {
        Self {
            planner: planner(
                prepared,
                prepared.lines.of_rig(prepared.setup.first_rig as usize).0,
                prepared.setup.rules.usual_cast_s,
                0.0,
            ),
            line: prepared.lines.of_rig(prepared.setup.first_rig as usize).0,
            target: None,
            learn: false,
            news: None,
            better_since_ms: None,
            taken_back_ms: f64::NEG_INFINITY,
        }
    }

    /// An earlier record was put right or taken back: the advice may change with it.
    pub(super) fn corrected(&mut self) {
        self.news = None;
    }

    /// What to do at `own_ms`, the moment of `replay`.
    pub(super) fn advice(&mut self, prepared: &Prepared, replay: &Replay, own_ms: f64) -> Advice {
        let worths = self.choose(prepared, replay, own_ms);
        let evidence = evidence(replay, &prepared.setup.rules, own_ms);
        match self.target.filter(|&rig| rig != replay.rig) {
            Some(rig) => self.advise_change(prepared, replay, rig, &worths, evidence),
            None => self.advise_stay(prepared, replay, own_ms, evidence),
        }
    }

    /// Decides which rig is advised. What was advised holds: after a bite, a fish, another rig, line or phase, or a
    /// correction, it is thought over; else it changes when another rig has been better by what a change costs for two
    /// casts, and goes when it is no longer worth what it costs.
    pub(super) fn choose(&mut self, prepared: &Prepared, replay: &Replay, own_ms: f64) -> Worths {
        self.fit_planner(prepared, replay);
        let choice = &prepared.setup.choice;
        let in_hand = replay.rig;
        let worths = self.worths(prepared, replay);
        let two_casts_s = 2.0 * replay.cast_s;
        let settling =
            replay.totals.swaps > 0 && replay.spell.bites == 0 && replay.spell.water_s < two_casts_s;
        let news = self.news.replace(replay.news) != Some(replay.news);
        let same_line = |rig: &usize| prepared.lines.of_rig(*rig).0 == self.line;
        let advised = self.target.filter(same_line).unwrap_or(in_hand);
        // Worth no more than it costs: nothing is advised in its place before it has been better for two casts.
        let advised = if worths.gain(advised) < choice.keep_bites {
            self.taken_back_ms = own_ms;
            in_hand
        } else {
            advised
        };
        let lately = own_ms - self.taken_back_ms < 1000.0 * choice.again_s;
        // The next bite in hand would have a change taken back: the likelier it is, the more a change must be worth.
        let bite_in_a_minute = 1.0 - (-worths.rate(in_hand)).exp();
        let again = if lately { choice.again_share } else { 0.0 };
        let share = choice.begin_share * bite_in_a_minute + again;
        let least = worths.gain(advised) + choice.begin_bites.max(share * worths.cost);
        let best = worths.best(least);
        let better = best != in_hand && best != advised;
        let since_ms = *self.better_since_ms.get_or_insert(own_ms);
        let long = own_ms - since_ms >= 1000.0 * two_casts_s;
        let target = if better && !settling && (news || long) { best } else { advised };
        if !better || target == best {
            self.better_since_ms = None;
        }
        if self.target != Some(target) || news {
            self.learn = worths.rate(target) <= worths.rate(in_hand);
        }
        self.target = Some(target);
        worths
    }

    fn worths(&self, prepared: &Prepared, replay: &Replay) -> Worths {
        let in_hand = replay.rig;
        let count = prepared.setup.rigs.len();
        let mut worths = Worths { in_hand, gains: vec![None; count], rates: vec![0.0; count], cost: 0.0 };
        let Some((line, of, place)) = prepared.line_of(in_hand) else { return worths };
        let Some(belief) = replay.belief.0.get(line) else { return worths };
        let all = self.planner.worths(&of.model, belief, place);
        let stay = all.get(place).copied().unwrap_or(0.0);
        let rates = expected_per_min(&of.model, belief, self.planner.rates());
        for ((&rig, worth), rate) in of.rigs.iter().zip(all).zip(rates) {
            if let (Some(gain), Some(of)) = (worths.gains.get_mut(rig), worths.rates.get_mut(rig)) {
                *gain = Some(worth - stay);
                *of = rate;
            }
        }
        worths.cost = worths.rate(in_hand) * prepared.setup.choice.swap_s / 60.0;
        worths
    }

    /// What `ask` makes of the planner, the line's water and its belief, and a rig's place there.
    fn ask(
        &self,
        prepared: &Prepared,
        replay: &Replay,
        rig: usize,
        ask: impl FnOnce(&Planner, &Model, &Belief, usize) -> f64,
    ) -> f64 {
        let of = prepared.line_of(rig);
        of.and_then(|(line, of, place)| {
            Some(ask(&self.planner, &of.model, replay.belief.0.get(line)?, place))
        })
        .unwrap_or(0.0)
    }

    /// Works the planner out again when the casts turn out clearly longer or shorter than it was made for, and from time
    /// to time where the water changes through the day.
    fn fit_planner(&mut self, prepared: &Prepared, replay: &Replay) {
        let cast_s = replay.cast_s;
        let (line, _) = prepared.lines.of_rig(replay.rig);
        let (Some(belief), Some(of)) = (replay.belief.0.get(line), prepared.lines.all().get(line)) else {
            return;
        };
        let since_s = belief.since_s;
        let ratio = cast_s / self.planner.cast_s();
        let falls = prepared.setup.rigs.iter().any(|rig| !rig.hook_z_m.is_empty());
        let aged_s = (since_s - self.planner.since_s()).abs();
        if line != self.line
            || (falls && !(0.75..=1.33).contains(&ratio))
            || (aged_s > PLANNED_FOR_S && of.model.changes_through_the_day())
        {
            self.planner = planner(prepared, line, cast_s, since_s);
            self.line = line;
        }
    }

    fn advise_change(
        &self,
        prepared: &Prepared,
        replay: &Replay,
        rig: usize,
        worths: &Worths,
        evidence: Evidence,
    ) -> Advice {
        let setup = &prepared.setup;
        let name = setup.rig_words(rig);
        let line = if self.learn { format!("Try {name} for 5 minutes.") } else { format!("Pick up {name}.") };
        let spell = spell_words(setup, replay.rig, &evidence);
        let reason = if self.learn {
            let tried =
                replay.out_ms.get(rig).copied().flatten().map(|out_ms| (replay.at_ms - out_ms) / 60_000.0);
            let tried = tried
                .map_or("not tried yet".to_owned(), |min| format!("not tried for {} min", fixed(min, 0)));
            format!("{spell}; {} {tried}.", setup.depth_of(rig))
        } else {
            let an_hour = |rig: usize| fixed(60.0 * worths.rate(rig), 0);
            format!(
                "{spell}; {} bites an hour expected at {}, {} here.",
                an_hour(rig),
                setup.depth_of(rig),
                an_hour(replay.rig)
            )
        };
        Advice {
            kind: AdviceKind::PickUpRig,
            rig: as_u32(rig),
            line,
            reason,
            sure: self.ask(prepared, replay, rig, |planner, model, belief, place| {
                planner.chance_swap_pays(model, belief, prepared.lines.of_rig(replay.rig).1, place)
            }),
            gain_bites: worths.gain(rig),
            cost_bites: worths.cost,
            learn: self.learn,
            evidence,
        }
    }

    /// Staying, and what else could be changed then.
    fn advise_stay(&self, prepared: &Prepared, replay: &Replay, own_ms: f64, evidence: Evidence) -> Advice {
        let (kind, line, reason, sure) = rule(prepared, replay, own_ms, &evidence).unwrap_or_else(|| {
            let line = format!("Stay on {}.", prepared.setup.rig_words(replay.rig));
            let sure = self.ask(prepared, replay, replay.rig, Planner::chance_stay_pays);
            (AdviceKind::Stay, line, spell_words(&prepared.setup, replay.rig, &evidence) + ".", sure)
        });
        let rig = as_u32(replay.rig);
        Advice { kind, rig, line, reason, sure, gain_bites: 0.0, cost_bites: 0.0, learn: false, evidence }
    }
}

fn planner(prepared: &Prepared, line: usize, cast_s: f64, since_s: f64) -> Planner {
    let model = &prepared.lines.all()[line].model;
    Planner::new(prepared.setup.choice.clone(), model, cast_s, since_s)
}

/// The first rule of common practice whose evidence is there: what to do, the line, its reason, how sure.
fn rule(
    prepared: &Prepared,
    replay: &Replay,
    own_ms: f64,
    evidence: &Evidence,
) -> Option<(AdviceKind, String, String, f64)> {
    let setup = &prepared.setup;
    let rules = &setup.rules;
    let rested = |since_ms: f64| own_ms - since_ms > rules.rest_s * 1000.0;
    let Evidence { last_bites, last_missed, fish_in_ten_min, .. } = *evidence;
    let (missed, of) = (f64::from(last_missed), f64::from(last_bites));
    if last_bites as usize >= rules.shot_bites && missed >= rules.tighten_share * of && rested(replay.shot_ms)
    {
        let line = "Move the bulk nearer the hook and shorten the hooklength below its lowest shot.";
        let reason =
            format!("{last_missed} of the last {last_bites} bites were missed: the bite shows too late.");
        // From a flat start, the chance that more than half of the bites are being missed.
        let sure = chance_above_half((missed + 1.0) / (of + 2.0), of);
        return Some((AdviceKind::TightenShot, line.to_owned(), reason, sure));
    }
    let interval_s = replay.clock.beat(&setup.phases, replay.start_ms, own_ms).interval_s;
    let feeding = interval_s.filter(|_| rested(replay.nudged_ms));
    let short = replay.short_cubes(setup, own_ms).unwrap_or(0.0);
    if feeding.is_some() && fish_in_ten_min >= rules.catching_well {
        let line = "Feed a little slower while you catch.";
        let reason = format!("{fish_in_ten_min} fish in ten minutes: do not fill them up.");
        return Some((AdviceKind::FeedSlower, line.to_owned(), reason, 0.6));
    }
    if let Some(interval_s) = feeding
        && short > rules.short_share * replay.totals.cubes_left.unwrap_or(0.0)
    {
        let left = replay.totals.cubes_left.unwrap_or(0.0);
        let every_s = interval_s * (left + short) / left.max(1.0);
        let line = format!("Feed slower, about every {} s.", fixed(every_s.min(3600.0), 0));
        let reason = format!("At this pace {} cubes are missing at the end.", fixed(short, 0));
        return Some((AdviceKind::FeedSlower, line, reason, 0.9));
    }
    if evidence.quiet_s < rules.slow_s {
        return None;
    }
    let (line, of, place) = prepared.line_of(replay.rig)?;
    let rates = rates_per_s(&of.model, replay.cast_s);
    let right_rig =
        chances_best(&of.model, replay.belief.0.get(line)?, &rates).get(place).copied().unwrap_or(0.0);
    if right_rig < 0.5 {
        return None;
    }
    let spell = spell_words(setup, replay.rig, evidence);
    // With nothing left over, more feed now would be missing at the end.
    if let Some(interval_s) = feeding.filter(|_| short <= 0.0) {
        let shallow = setup.rigs.get(replay.rig).is_some_and(|rig| !rig.on_bottom);
        let how_often = if shallow && interval_s > rules.shallow_interval_s {
            format!(", about every {} s while fishing shallow", fixed(rules.shallow_interval_s, 0))
        } else {
            String::new()
        };
        return Some((
            AdviceKind::FeedFaster,
            format!("Feed faster{how_often}."),
            spell + "; the depth seems right.",
            right_rig,
        ));
    }
    let line = "Spread the shot to slow the fall.";
    let reason = spell + "; the depth seems right, and a slower fall is seen by more fish.";
    rested(replay.shot_ms).then(|| (AdviceKind::SpreadShot, line.to_owned(), reason, right_rig))
}

fn evidence(replay: &Replay, rules: &AdviceRules, at_ms: f64) -> Evidence {
    let since = |minutes: f64| at_ms - minutes * 60_000.0;
    let last = replay.last_bites.iter().rev().take(rules.shot_bites);
    let last: Vec<_> = last.filter(|bite| bite.at_ms > since(60.0).max(replay.shot_ms)).collect();
    let missed = last.iter().filter(|bite| !bite.landed).count();
    let fish = replay.last_bites.iter().filter(|bite| bite.landed && bite.at_ms > since(10.0)).count();
    Evidence {
        water_s: replay.spell.water_s,
        quiet_s: replay.spell.quiet_s,
        bites: replay.spell.bites,
        last_bites: as_u32(last.len()),
        last_missed: as_u32(missed),
        fish_in_ten_min: as_u32(fish),
    }
}

/// How the rig in hand has done since it was picked up.
fn spell_words(setup: &SessionSetup, rig: usize, evidence: &Evidence) -> String {
    let minutes = |seconds: f64| fixed(seconds / 60.0, 0);
    let depth = setup.depth_of(rig);
    let bites = counted(evidence.bites, "bite", "bites");
    let water = minutes(evidence.water_s);
    match evidence.bites {
        0 => format!("Nothing in {water} min at {depth}"),
        _ if evidence.quiet_s >= 90.0 => {
            format!("Nothing for {} min at {depth}, {bites} before", minutes(evidence.quiet_s))
        }
        _ => format!("{bites} in {water} min at {depth}"),
    }
}

/// Chance that a share is above one half, for a share estimated as `mean` from `count` trials (normal
/// approximation, logistic form of the tail, within 0.02).
fn chance_above_half(mean: f64, count: f64) -> f64 {
    let deviation = (mean * (1.0 - mean) / (count + 3.0)).sqrt().max(1e-9);
    1.0 / (1.0 + (-1.702 * (mean - 0.5) / deviation).exp())
}
