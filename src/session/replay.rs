//! What the log makes of the setup: the belief, the rig and the tallies, tap by tap and advanced in time.

use super::depth_filter::{Beliefs, Bite, Watcher};
use super::event::{Event, EventKind};
use super::feed_clock::FeedClock;
use super::log::Standing;
use super::setup::{MAX_LAST_BITES, Prepared, SessionSetup};
use super::state::{Hour, RigTally, Totals};
use crate::units::between;
use std::collections::VecDeque;

/// The most keepnets.
const MAX_NETS: usize = 20;

/// Everything derived from the log up to one event.
#[derive(Clone, Debug)]
pub(super) struct Replay<B: ?Sized = Beliefs> {
    /// The belief holds for this moment, ms.
    pub(super) at_ms: f64,
    pub(super) start_ms: f64,
    pub(super) last_tap_ms: f64,
    /// The rig in hand, and how it has done since it was picked up.
    pub(super) rig: usize,
    pub(super) spell: Spell,
    /// When the rig was lowered, ms; may lie ahead when lowering is never said.
    lowered_ms: Option<f64>,
    /// The last lowering of the rig in hand that was told, and the one before it, ms: a bite told late may have come then.
    lowered_last_ms: Option<f64>,
    lowered_before_ms: Option<f64>,
    /// When the rig came out with a bite, if it was neither lowered, swapped nor lifted since, ms.
    out_with_bite_ms: Option<f64>,
    /// Whether lowering is said by events.
    casts_said: bool,
    /// Mean length of a cast, s, and of how many.
    pub(super) cast_s: f64,
    casts_seen: u32,
    pub(super) clock: FeedClock,
    pub(super) totals: Totals,
    /// Sum of the fish that were weighed.
    fish_mass_g: f64,
    pub(super) last_bites: VecDeque<LastBite>,
    /// When the shot was moved last, when the feeding was nudged last; long ago if never.
    pub(super) shot_ms: f64,
    pub(super) nudged_ms: f64,
    /// First and last feed.
    pub(super) feeds_ms: (f64, f64),
    begun: bool,
    pub(super) ended: bool,
    /// How often something happened that may change what is advised: a bite, a fish, another rig, line or phase.
    pub(super) news: u32,
    /// For each rig, when it came out of hand last, ms.
    pub(super) out_ms: Vec<Option<f64>>,
    /// For each keepnet: fish not weighed, and the mass of those that were, g.
    nets: Vec<(u32, f64)>,
    pub(super) belief: B,
}

/// How the rig in hand has done since it was picked up.
#[derive(Clone, Debug, Default)]
pub(super) struct Spell {
    /// Time in the water.
    pub(super) water_s: f64,
    pub(super) bites: u32,
    /// Time in the water since the last bite.
    pub(super) quiet_s: f64,
}

/// A bite that shows fish taking.
#[derive(Clone, Debug)]
pub(super) struct LastBite {
    pub(super) at_ms: f64,
    pub(super) landed: bool,
}

impl Replay {
    pub(super) fn new(prepared: &Prepared) -> Self {
        Self::witnessed(prepared, Beliefs::prior(&prepared.lines))
    }
}

impl<B: Watcher + 'static> Replay<B> {
    /// A replay whose evidence goes to `belief`.
    pub(super) fn witnessed(prepared: &Prepared, belief: B) -> Self {
        let setup = &prepared.setup;
        Self {
            at_ms: setup.start_ms,
            start_ms: setup.start_ms,
            last_tap_ms: setup.start_ms,
            rig: setup.first_rig as usize,
            spell: Spell::default(),
            lowered_ms: None,
            lowered_last_ms: None,
            lowered_before_ms: None,
            out_with_bite_ms: None,
            casts_said: setup.feed_is_recast,
            cast_s: setup.rules.usual_cast_s,
            casts_seen: 0,
            clock: FeedClock::default(),
            totals: Totals {
                per_rig: vec![RigTally::default(); setup.rigs.len()],
                cubes_left: setup.cubes_taken,
                ..Totals::default()
            },
            fish_mass_g: 0.0,
            last_bites: VecDeque::new(),
            shot_ms: f64::NEG_INFINITY,
            nudged_ms: f64::NEG_INFINITY,
            feeds_ms: (0.0, 0.0),
            begun: false,
            ended: false,
            news: 0,
            out_ms: vec![None; setup.rigs.len()],
            nets: vec![(0, 0.0)],
            belief,
        }
    }

    /// Moves the belief on to `to_ms`, with the rig in the water as far as that is known.
    pub(super) fn advance(&mut self, prepared: &Prepared, to_ms: f64) {
        let any: &mut Replay<dyn Watcher> = self;
        any.go_on(prepared, to_ms);
    }

    /// Takes in one tap.
    pub(super) fn apply(&mut self, prepared: &Prepared, one: &Standing, at_ms: f64) {
        let any: &mut Replay<dyn Watcher> = self;
        any.take(prepared, one, at_ms);
    }
}

/// One code for whatever takes in the evidence.
impl Replay<dyn Watcher> {
    fn go_on(&mut self, prepared: &Prepared, to_ms: f64) {
        let Prepared { setup, lines, .. } = prepared;
        let seen_ms = to_ms.min(self.last_tap_ms + setup.rules.idle_s * 1000.0);
        let longest_ms = setup.depth.longest_step_s * 1000.0;
        while self.at_ms < to_ms {
            let at_ms = self.at_ms;
            let (end_ms, lowered) = match self.lowered_ms {
                Some(lowered) if lowered > at_ms => (lowered.min(to_ms), None),
                Some(lowered) if at_ms < seen_ms => (seen_ms.min(at_ms + longest_ms), Some(lowered)),
                _ => (to_ms, None),
            };
            let dt_s = (end_ms - at_ms) / 1000.0;
            self.belief.predict(lines, dt_s);
            if let Some(lowered) = lowered {
                let from_s = (at_ms - lowered) / 1000.0;
                self.belief.no_bite(lines, self.rig, from_s, from_s + dt_s);
                self.tally(self.rig, |tally| tally.water_s += dt_s);
                self.spell.water_s += dt_s;
                self.spell.quiet_s += dt_s;
            }
            self.at_ms = end_ms;
        }
    }

    fn take(&mut self, prepared: &Prepared, one: &Standing, at_ms: f64) {
        let setup = &prepared.setup;
        let event = &one.event;
        self.begin(at_ms);
        self.begun = true;
        // Only what ends or begins water time needs the belief at this moment; for the rest it is moved on
        // later.
        if at_ms - self.last_tap_ms > setup.rules.idle_s * 1000.0 {
            self.go_on(prepared, at_ms);
        }
        if one.landed {
            return;
        }
        if let Some(rig) = event.rig
            && rig as usize != self.rig
            && !one.alone
        {
            self.go_on(prepared, at_ms);
            self.change_rig(rig as usize);
        }
        match event.kind {
            EventKind::Fed => self.fed(prepared, event, at_ms),
            EventKind::Cast => {
                self.casts_said = true;
                self.lower(prepared, at_ms);
            }
            EventKind::Bite | EventKind::Missed | EventKind::Fish | EventKind::LostFish => {
                self.bite(prepared, one, at_ms);
            }
            EventKind::FoulHooked => {
                self.totals.foul_hooked += 1;
                self.tally(self.rig_of(one), |tally| tally.foul_hooked += 1);
                self.lift(prepared, at_ms, Some(setup.rules.after_fish_s));
            }
            EventKind::Lift => self.lift(prepared, at_ms, None),
            EventKind::PickUpRig => self.lift(prepared, at_ms, Some(setup.choice.swap_s)),
            EventKind::Pause => {
                self.lift(prepared, at_ms, None);
                self.clock.pause(at_ms);
            }
            EventKind::Resume => {
                self.clock.resume(at_ms);
                self.lift(prepared, at_ms, Some(0.0));
            }
            EventKind::PhaseChange => {
                self.news += 1;
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 99")]
                self.clock.change_phase(event.value.unwrap_or(0.0) as usize, at_ms);
            }
            EventKind::Nudge => {
                self.clock.nudge(event.value.unwrap_or(0.0));
                self.nudged_ms = at_ms;
            }
            EventKind::Shot => self.shot_ms = at_ms,
            EventKind::NextNet if self.nets.len() < MAX_NETS => self.nets.push((0, 0.0)),
            EventKind::NextNet | EventKind::Note | EventKind::Undo | EventKind::Correct => {}
            EventKind::End => {
                self.lift(prepared, at_ms, None);
                self.clock.pause(at_ms);
                self.ended = true;
            }
        }
        self.last_tap_ms = at_ms;
    }

    /// The rig that a record is about.
    fn rig_of(&self, one: &Standing) -> usize {
        one.event.rig.filter(|_| one.alone).map_or(self.rig, |rig| rig as usize)
    }

    fn tally(&mut self, rig: usize, change: impl FnOnce(&mut RigTally)) {
        if let Some(tally) = self.totals.per_rig.get_mut(rig) {
            change(tally);
        }
    }

    fn change_rig(&mut self, rig: usize) {
        if let Some(out_ms) = self.out_ms.get_mut(self.rig) {
            *out_ms = Some(self.at_ms);
        }
        self.rig = rig;
        self.lowered_ms = None;
        (self.lowered_last_ms, self.lowered_before_ms) = (None, None);
        self.out_with_bite_ms = None;
        self.spell = Spell::default();
        self.news += 1;
        self.totals.swaps += 1;
    }

    /// The rig comes out of the water, to be back in after `back_s` if lowering is never said; none: to stay out.
    fn lift(&mut self, prepared: &Prepared, at_ms: f64, back_s: Option<f64>) {
        self.go_on(prepared, at_ms);
        self.lowered_ms = back_s.filter(|_| !self.casts_said).map(|back_s| at_ms + back_s * 1000.0);
        self.out_with_bite_ms = None;
    }

    fn lower(&mut self, prepared: &Prepared, at_ms: f64) {
        // A lowering corrected at once is no cast.
        if let Some(length_s) = self.since_lowered_s(at_ms).filter(|&length_s| length_s >= 5.0) {
            // The mean over the first ten casts, then over about the last ten.
            self.casts_seen += 1;
            let share = 1.0 / f64::from(self.casts_seen.min(10));
            self.cast_s += share * (between(length_s, 10.0, 180.0) - self.cast_s);
        }
        self.go_on(prepared, at_ms);
        self.lowered_ms = Some(at_ms);
        self.lowered_before_ms = self.lowered_last_ms.replace(at_ms);
        self.out_with_bite_ms = None;
        self.tally(self.rig, |tally| tally.casts += 1);
    }

    fn fed(&mut self, prepared: &Prepared, event: &Event, at_ms: f64) {
        let setup = &prepared.setup;
        let phase = self.clock.phase(&setup.phases, self.start_ms, at_ms);
        let usual = phase.and_then(|phase| setup.phases.get(phase)).map_or(0.0, |phase| phase.cubes_per_feed);
        let cubes = event.value.unwrap_or(usual);
        self.totals.feeds += 1;
        self.totals.cubes_fed += cubes;
        if let Some(left) = &mut self.totals.cubes_left {
            *left = (*left - cubes).max(0.0);
        }
        if self.totals.feeds == 1 {
            self.feeds_ms.0 = at_ms;
        }
        self.feeds_ms.1 = at_ms;
        self.clock.fed(at_ms);
        let first = !self.casts_said && self.lowered_ms.is_none();
        if setup.feed_is_recast || first {
            self.lower(prepared, at_ms);
        }
    }

    /// A bite: how deep the hook bait was just before it was tapped weighs the belief.
    ///
    /// A bite on a rig that came out with the bite before, and was not said to be lowered again, tells that
    /// it was: it is then taken to have hung since.
    fn bite(&mut self, prepared: &Prepared, one: &Standing, at_ms: f64) {
        let Prepared { setup, lines, .. } = prepared;
        let rig = self.rig_of(one);
        if self.lowered_ms.is_none() {
            self.lowered_ms = self.out_with_bite_ms;
        }
        let missed = matches!(one.event.kind, EventKind::Missed | EventKind::Bite);
        let since_s = self.since_lowered_s(at_ms);
        let told = self.lowered_ms == self.lowered_last_ms;
        let before_ms = if told { self.lowered_before_ms } else { self.lowered_last_ms };
        let before_s = before_ms.map(|before_ms| (at_ms - before_ms) / 1000.0);
        let bite = Bite { since_s, before_s, played: !missed };
        let (from_s, to_s) = bite.window(&setup.depth, None);
        let middle_ms = at_ms - 500.0 * (to_s - from_s);
        self.go_on(prepared, middle_ms.max(self.at_ms));
        self.belief.bite(lines, rig, &bite);
        self.count_bite(&one.event, rig, at_ms);
        // The rig is out now; the belief is moved on from the bite when the next water time begins.
        let back_s = if missed { setup.rules.after_bite_s } else { setup.rules.after_fish_s };
        self.lowered_ms = (!self.casts_said).then_some(at_ms + back_s * 1000.0);
        self.out_with_bite_ms = Some(at_ms);
    }

    fn count_bite(&mut self, event: &Event, rig: usize, at_ms: f64) {
        let hour = (at_ms - self.start_ms).max(0.0) / 3_600_000.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, capped")]
        let hour = hour.min(47.0) as usize;
        if self.totals.per_hour.len() <= hour {
            self.totals.per_hour.resize(hour + 1, Hour::default());
        }
        let one = |is: bool| u32::from(is);
        let (fish, lost) = (one(event.kind == EventKind::Fish), one(event.kind == EventKind::LostFish));
        let missed = 1 - fish - lost;
        if let Some(hour) = self.totals.per_hour.get_mut(hour) {
            hour.fish += fish;
            hour.missed += missed;
            hour.lost += lost;
        }
        self.totals.fish += fish;
        self.totals.missed += missed;
        self.totals.lost += lost;
        self.tally(rig, |tally| {
            tally.fish += fish;
            tally.missed += missed;
            tally.lost += lost;
        });
        if fish == 1 {
            if let Some(net) = self.nets.last_mut() {
                net.0 += u32::from(event.value.is_none());
                net.1 += event.value.unwrap_or(0.0);
            }
            if let Some(mass_g) = event.value {
                self.totals.fish_weighed += 1;
                self.fish_mass_g += mass_g;
            }
        }
        self.news += 1;
        if rig == self.rig {
            self.spell.bites += 1;
            self.spell.quiet_s = 0.0;
        }
        if self.last_bites.len() >= MAX_LAST_BITES {
            self.last_bites.pop_front();
        }
        self.last_bites.push_back(LastBite { at_ms, landed: fish == 1 });
    }
}

impl<B: ?Sized> Replay<B> {
    /// Without a start, or with a first tap before it, the session starts now.
    pub(super) fn begin(&mut self, at_ms: f64) {
        if !self.begun && (self.start_ms == 0.0 || at_ms < self.start_ms) {
            (self.start_ms, self.at_ms, self.last_tap_ms) = (at_ms, at_ms, at_ms);
        }
    }

    /// Seconds since the rig was lowered; none out of the water.
    pub(super) fn since_lowered_s(&self, at_ms: f64) -> Option<f64> {
        self.lowered_ms.filter(|&lowered| lowered <= at_ms).map(|lowered| (at_ms - lowered) / 1000.0)
    }

    /// Cubes that are missing for the feeding still to come, as planned and nudged; below 0: left over. None if they are not
    /// counted.
    pub(super) fn short_cubes(&self, setup: &SessionSetup, at_ms: f64) -> Option<f64> {
        let left = self.totals.cubes_left?;
        Some(self.clock.cubes_to_come(&setup.phases, self.start_ms, at_ms) - left)
    }

    /// The day so far, with the weight estimated; `usual_g`: usual mass of a fish that was not weighed.
    pub(super) fn totals(&self, usual_g: Option<f64>) -> Totals {
        let mut totals = self.totals.clone();
        let unweighed = f64::from(totals.fish - totals.fish_weighed.min(totals.fish));
        let usual_g = usual_g
            .or_else(|| (totals.fish_weighed > 0).then(|| self.fish_mass_g / f64::from(totals.fish_weighed)));
        totals.weight_kg = usual_g.map(|usual_g| (self.fish_mass_g + unweighed * usual_g) / 1000.0);
        let net_kg = |&(unweighed, weighed_g): &(u32, f64)| {
            usual_g.map(|usual_g| (weighed_g + f64::from(unweighed) * usual_g) / 1000.0)
        };
        totals.nets_kg = self.nets.iter().filter_map(net_kg).collect();
        totals
    }
}
