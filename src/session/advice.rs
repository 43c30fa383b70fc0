//! What to do next: the planner's choice of rig, else a rule of common practice, in one line with its reason.

use super::depth_filter::Belief;
use super::replay::Replay;
use super::rig_choice::{Planner, chances_best, rates_per_s};
use super::setup::{AdviceRules, Prepared};
use super::state::{Advice, AdviceKind, Evidence, FishNow, as_u32};
use super::words::counted;
use crate::units::fixed;

/// For how long a planner serves on water that changes through the day, s.
const PLANNED_FOR_S: f64 = 1800.0;

/// The planner, and what it has advised.
#[derive(Clone, Debug)]
pub(super) struct Adviser {
    planner: Planner,
    /// The rig whose pick-up is advised at present.
    pub(super) advised: Option<usize>,
}

impl Adviser {
    pub(super) fn new(prepared: &Prepared) -> Self {
        Self { planner: planner(prepared, prepared.setup.rules.usual_cast_s, 0.0), advised: None }
    }

    /// What to do at `own_ms`, the moment of `replay`. A swap once advised stays advised until it is clearly no
    /// longer worth it.
    pub(super) fn advice(&mut self, prepared: &Prepared, replay: &Replay, own_ms: f64) -> Advice {
        self.fit_planner(prepared, replay);
        let in_hand = replay.rig;
        let worths = self.planner.worths(&prepared.model, &replay.belief, in_hand);
        let stay = worths.get(in_hand).copied().unwrap_or(0.0);
        let gain = |rig: usize| worths.get(rig).map_or(0.0, |worth| worth - stay);
        let best =
            (0..worths.len()).filter(|rig| *rig != in_hand).max_by(|&a, &b| gain(a).total_cmp(&gain(b)));
        let choice = &prepared.setup.choice;
        let still = self.advised.filter(|&rig| {
            rig != in_hand
                && gain(rig) > choice.keep_bites
                && best.is_none_or(|best| gain(best) < gain(rig) + choice.begin_bites)
        });
        self.advised = still.or(best.filter(|&rig| gain(rig) > choice.begin_bites));
        let evidence = evidence(replay, &prepared.setup.rules, own_ms);
        match self.advised {
            Some(rig) => self.advise_swap(prepared, replay, rig, gain(rig), evidence),
            None => self.advise_stay(prepared, replay, own_ms, evidence),
        }
    }

    /// Works the planner out again when the casts turn out clearly longer or shorter than it was made for, and from time
    /// to time where the water changes through the day.
    fn fit_planner(&mut self, prepared: &Prepared, replay: &Replay) {
        let Replay { cast_s, belief: Belief { since_s, .. }, .. } = *replay;
        let ratio = cast_s / self.planner.cast_s();
        let falls = prepared.setup.rigs.iter().any(|rig| !rig.hook_z_m.is_empty());
        let aged_s = (since_s - self.planner.since_s()).abs();
        if (falls && !(0.75..=1.33).contains(&ratio))
            || (aged_s > PLANNED_FOR_S && prepared.model.changes_through_the_day())
        {
            self.planner = planner(prepared, cast_s, since_s);
        }
    }

    fn advise_swap(
        &self,
        prepared: &Prepared,
        replay: &Replay,
        rig: usize,
        gain_bites: f64,
        evidence: Evidence,
    ) -> Advice {
        let setup = &prepared.setup;
        let fish = FishNow::new(&prepared.model, &replay.belief);
        let from = setup.units.map_or_else(|| fixed(fish.from_m, 1), |units| units.depth_m(fish.from_m));
        let reason = format!(
            "{} Fish are most likely between {from} and {}; the swap is worth about {} bites.",
            spell_words(&evidence),
            setup.depth_words(fish.to_m, 1),
            setup.number(gain_bites, 1)
        );
        Advice {
            kind: AdviceKind::PickUpRig,
            rig: as_u32(rig),
            line: format!("Pick up {}.", setup.rig_words(rig)),
            reason,
            sure: self.planner.chance_swap_pays(&prepared.model, &replay.belief, replay.rig, rig),
            gain_bites,
            evidence,
        }
    }

    /// Staying, and what else could be changed then.
    fn advise_stay(&self, prepared: &Prepared, replay: &Replay, own_ms: f64, evidence: Evidence) -> Advice {
        let (kind, line, reason, sure) = rule(prepared, replay, own_ms, &evidence).unwrap_or_else(|| {
            let line = format!("Stay on {}.", prepared.setup.rig_words(replay.rig));
            let sure = self.planner.chance_stay_pays(&prepared.model, &replay.belief, replay.rig);
            (AdviceKind::Stay, line, spell_words(&evidence), sure)
        });
        Advice { kind, rig: as_u32(replay.rig), line, reason, sure, gain_bites: 0.0, evidence }
    }
}

fn planner(prepared: &Prepared, cast_s: f64, since_s: f64) -> Planner {
    Planner::new(prepared.setup.choice.clone(), &prepared.model, cast_s, since_s)
}

/// The first rule of common practice whose evidence is there: what to do, the line, its reason, how sure.
fn rule(
    prepared: &Prepared,
    replay: &Replay,
    own_ms: f64,
    evidence: &Evidence,
) -> Option<(AdviceKind, String, String, f64)> {
    let Prepared { setup, model, .. } = prepared;
    let rules = &setup.rules;
    let rested = |since_ms: f64| own_ms - since_ms > rules.rest_s * 1000.0;
    let Evidence { last_bites, last_missed, fish_in_ten_min, .. } = *evidence;
    let (missed, of) = (f64::from(last_missed), f64::from(last_bites));
    if last_bites as usize >= rules.shot_bites && missed >= rules.tighten_share * of && rested(replay.shot_ms)
    {
        let line = "Move the bulk nearer the hook and shorten the hooklength below its lowest shot.";
        let reason = format!(
            "{last_missed} of the last {last_bites} bites were missed: the bite shows too late. Common practice."
        );
        // From a flat start, the chance that more than half of the bites are being missed.
        let sure = chance_above_half((missed + 1.0) / (of + 2.0), of);
        return Some((AdviceKind::TightenShot, line.to_owned(), reason, sure));
    }
    let interval_s = replay.clock.beat(&setup.phases, replay.start_ms, own_ms).interval_s;
    if fish_in_ten_min >= rules.catching_well && interval_s.is_some() && rested(replay.nudged_ms) {
        let line = "Feed a little slower while you catch.";
        let reason = format!(
            "{fish_in_ten_min} fish in the last ten minutes: they are there, do not fill them up. Common practice."
        );
        return Some((AdviceKind::FeedSlower, line.to_owned(), reason, 0.6));
    }
    if evidence.quiet_s < rules.slow_s {
        return None;
    }
    let rates = rates_per_s(model, replay.cast_s);
    let right_rig = chances_best(model, &replay.belief, &rates).get(replay.rig).copied().unwrap_or(0.0);
    if right_rig < 0.5 {
        return None;
    }
    if let Some(interval_s) = interval_s
        && rested(replay.nudged_ms)
    {
        let shallow = setup.rigs.get(replay.rig).is_some_and(|rig| !rig.on_bottom);
        let how_often = if shallow && interval_s > rules.shallow_interval_s {
            format!(", about every {} s while fishing shallow", fixed(rules.shallow_interval_s, 0))
        } else {
            String::new()
        };
        let reason = spell_words(evidence) + " The depth seems right. Common practice.";
        return Some((AdviceKind::FeedFaster, format!("Feed faster{how_often}."), reason, right_rig));
    }
    let line = "Spread the shot to slow the fall.";
    let reason = spell_words(evidence)
        + " The depth seems right; a slower fall is seen by more fish. Common practice.";
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
fn spell_words(evidence: &Evidence) -> String {
    let minutes = |seconds: f64| fixed(seconds / 60.0, 0);
    let quiet = if evidence.quiet_s >= 90.0 && evidence.bites > 0 {
        format!(", none for {} min", minutes(evidence.quiet_s))
    } else {
        String::new()
    };
    let bites = counted(evidence.bites, "bite", "bites");
    format!("{bites} in {} min of water time with this rig{quiet}.", minutes(evidence.water_s))
}

/// Chance that a share is above one half, for a share estimated as `mean` from `count` trials (normal
/// approximation, logistic form of the tail, within 0.02).
fn chance_above_half(mean: f64, count: f64) -> f64 {
    let deviation = (mean * (1.0 - mean) / (count + 3.0)).sqrt().max(1e-9);
    1.0 / (1.0 + (-1.702 * (mean - 0.5) / deviation).exp())
}
