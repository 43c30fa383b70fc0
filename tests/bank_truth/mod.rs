//! A made-up day at the bank whose truth is known, shared by the scenario test and the bench.
//!
//! Truth process: a session of five hours in casts of 20 s. The fish feed at one depth D. Each cast D drifts
//! by a normal step of 1 cm (one standard deviation), reflected at 5 cm and at the bottom, 2.15 m. With
//! probability 1/150 a cast it jumps instead: in 70 % of jumps to 0.2–0.8 m, else to 1.6–2.1 m, uniformly (a truth
//! may have another share, and one that changes through the day);
//! the session starts at such a place. Rigs hang at rest at z = 0.35, 0.47, 0.60 and 2.10 m. Bites come at
//! the rate a · (0.05 + 1.2 exp(−(z − D)²/(2·w²))) a minute, w = 0.10 m, a = 1; the first bite of a cast, if
//! there is one, ends it. A swap costs 40 s (two casts) of water time. The angler starts with the rig at 0.35
//! m.
//!
//! A variant lets every hook bait fall at one speed down to its depth, with bites on the way down too.
//!
//! The oracle always knows the best rig, the one with the most bites to be expected in the coming cast; it
//! picks it up as soon as it is another one, and pays 40 s for each swap like everyone. Beside it the bench
//! prints a thrifty oracle, which swaps only for a rig at least half as good again, and a free one, which
//! pays nothing.

#![allow(dead_code, reason = "the test and the bench each use a part")]

use dotdown::session::{AdviceKind, Event, EventKind, Log, RigSetup, Session, SessionSetup};

pub(crate) const RIGS_M: [f64; 4] = [0.35, 0.47, 0.60, 2.10];
pub(crate) const CAST_S: f64 = 20.0;
pub(crate) const CASTS: usize = 900;
const BOTTOM_M: f64 = 2.15;
pub(crate) const START_MS: f64 = 1_900_000_000_000.0;

/// What is varied for the table of robustness.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Truth {
    pub(crate) name: &'static str,
    pub(crate) band_m: f64,
    pub(crate) jump_casts: f64,
    pub(crate) activity: f64,
    pub(crate) drift_m: f64,
    /// Speed at which every hook bait falls, m/s; infinite: at rest at once.
    pub(crate) fall_m_per_s: f64,
    /// Casts lost by a swap.
    pub(crate) swap_casts: usize,
    /// Share of the jumps that end shallow, by the hours since the start.
    pub(crate) shallow: fn(f64) -> f64,
    pub(crate) family: Family,
}

/// How the fish differ in kind from the process above.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Family {
    /// Not at all.
    Usual,
    /// Two shoals at once, each as the usual one.
    TwoShoals,
    /// One shoal rises evenly from 2.0 m at the start to 0.3 m at the end.
    SlowRise,
    /// Bursts of three times the activity, of ten minutes in the mean, between twenty minutes of a fifth.
    Bursts,
    /// A tenth of the activity.
    Dead,
    /// Every third cast begins with a feed: the shoal is at its place in that cast, 0.2 m lower in the next, 0.4 m lower
    /// in the third.
    FollowFeed,
}

pub(crate) const USUAL: Truth = Truth {
    name: "as documented",
    band_m: 0.10,
    jump_casts: 150.0,
    activity: 1.0,
    drift_m: 0.01,
    fall_m_per_s: f64::INFINITY,
    swap_casts: 2,
    shallow: |_| 0.7,
    family: Family::Usual,
};

/// Waters that the filter's model does not know.
pub(crate) const STRANGE: [Truth; 5] = [
    Truth { name: "two shoals at once", family: Family::TwoShoals, ..USUAL },
    Truth { name: "slow rise", family: Family::SlowRise, ..USUAL },
    Truth { name: "bursts", family: Family::Bursts, ..USUAL },
    Truth { name: "a dead day", family: Family::Dead, ..USUAL },
    Truth { name: "fish follow the feed down", family: Family::FollowFeed, shallow: |_| 1.0, ..USUAL },
];

pub(crate) const VARIED: [Truth; 6] = [
    Truth { name: "band half as wide", band_m: 0.05, ..USUAL },
    Truth { name: "band twice as wide", band_m: 0.20, ..USUAL },
    Truth { name: "jumps three times rarer", jump_casts: 450.0, ..USUAL },
    Truth { name: "jumps three times more often", jump_casts: 50.0, ..USUAL },
    Truth { name: "activity a third", activity: 1.0 / 3.0, ..USUAL },
    Truth { name: "activity three times", activity: 3.0, ..USUAL },
];

/// One seeded day: where the fish are at each cast, and the luck of each cast.
pub(crate) struct Day {
    pub(crate) truth: Truth,
    pub(crate) fish_m: Vec<f64>,
    /// Where a second shoal is, if there is one.
    second_m: Vec<f64>,
    /// Activity of the fish in each cast, relative to the truth's.
    active: Vec<f64>,
    luck: Vec<f64>,
}

fn normal(rng: &mut fastrand::Rng) -> f64 {
    // Box and Muller 1958.
    (-2.0 * (1.0 - rng.f64()).ln()).sqrt() * (core::f64::consts::TAU * rng.f64()).cos()
}

fn jump(rng: &mut fastrand::Rng, shallow: f64) -> f64 {
    if rng.f64() < shallow { 0.2 + 0.6 * rng.f64() } else { 1.6 + 0.5 * rng.f64() }
}

const STEP_S: f64 = 0.25;

impl Day {
    pub(crate) fn new(truth: Truth, seed: u64) -> Self {
        let mut rng = fastrand::Rng::with_seed(seed);
        let mut depth = jump(&mut rng, (truth.shallow)(0.0));
        let mut day = Self {
            truth,
            fish_m: Vec::new(),
            second_m: Vec::new(),
            active: vec![1.0; CASTS],
            luck: Vec::new(),
        };
        for cast in 0..CASTS {
            day.fish_m.push(depth);
            day.luck.push(rng.f64());
            depth += truth.drift_m * normal(&mut rng);
            if depth < 0.05 {
                depth = 0.1 - depth;
            }
            if depth > BOTTOM_M {
                depth = 2.0 * BOTTOM_M - depth;
            }
            if rng.f64() < 1.0 / truth.jump_casts {
                depth = jump(&mut rng, (truth.shallow)(CAST_S * cast as f64 / 3600.0));
            }
        }
        day.make_strange(&mut rng, seed);
        day
    }

    fn make_strange(&mut self, rng: &mut fastrand::Rng, seed: u64) {
        match self.truth.family {
            Family::Usual => {}
            Family::TwoShoals => {
                let usual = Truth { family: Family::Usual, ..self.truth };
                self.second_m = Self::new(usual, seed ^ 0x5_0a1).fish_m;
            }
            Family::SlowRise => {
                for (cast, depth) in self.fish_m.iter_mut().enumerate() {
                    *depth = 2.0 - 1.7 * cast as f64 / CASTS as f64;
                }
            }
            Family::Bursts => {
                let mut burst = false;
                for active in &mut self.active {
                    burst ^= rng.f64() < if burst { 1.0 / 30.0 } else { 1.0 / 60.0 };
                    *active = if burst { 3.0 } else { 0.2 };
                }
            }
            Family::Dead => self.active.fill(0.1),
            Family::FollowFeed => {
                for (cast, depth) in self.fish_m.iter_mut().enumerate() {
                    *depth = (*depth + 0.2 * (cast % 3) as f64).min(BOTTOM_M);
                }
            }
        }
    }

    /// Bites a minute with the hook bait at `hook_m` during a cast.
    fn rate_per_min(&self, hook_m: f64, cast: usize) -> f64 {
        let near = |fish_m: f64| {
            let off = hook_m - fish_m;
            (-off * off / (2.0 * self.truth.band_m.powi(2))).exp()
        };
        let shoals = near(self.fish_m[cast]) + self.second_m.get(cast).map_or(0.0, |&fish_m| near(fish_m));
        self.truth.activity * self.active[cast] * (0.05 + 1.2 * shoals)
    }

    /// Bites to be expected of a rig if nothing ended the cast.
    pub(crate) fn expected(&self, rig: usize, cast: usize) -> f64 {
        self.wait(rig, cast, f64::INFINITY).1
    }

    /// The moment at which `need` bites have been expected since lowering, if within the cast, and what was
    /// expected by then.
    fn wait(&self, rig: usize, cast: usize, need: f64) -> (Option<f64>, f64) {
        let fall_s = (RIGS_M[rig] / self.truth.fall_m_per_s).min(CAST_S);
        let mut sum = 0.0;
        let mut at_s = 0.0;
        while at_s < CAST_S {
            // In short steps while falling, then in one.
            let step_s = if at_s < fall_s { STEP_S.min(fall_s - at_s) } else { CAST_S - at_s };
            let hook_m =
                if at_s < fall_s { self.truth.fall_m_per_s * (at_s + 0.5 * step_s) } else { RIGS_M[rig] };
            let more = self.rate_per_min(hook_m, cast) / 60.0 * step_s;
            if sum + more >= need {
                return (Some(at_s + step_s * (need - sum) / more), need);
            }
            sum += more;
            at_s += step_s;
        }
        (None, sum)
    }

    /// The moment of the bite in a cast, s after lowering, if there is one.
    pub(crate) fn bite_s(&self, rig: usize, cast: usize) -> Option<f64> {
        self.wait(rig, cast, -self.luck[cast].max(1e-300).ln()).0
    }

    pub(crate) fn best_rig(&self, cast: usize) -> usize {
        (0..RIGS_M.len()).max_by(|&a, &b| self.expected(a, cast).total_cmp(&self.expected(b, cast))).unwrap()
    }

    /// Bites of one who always fishes the best rig and swaps for nothing.
    pub(crate) fn free_oracle(&self) -> u32 {
        (0..CASTS).map(|cast| u32::from(self.bite_s(self.best_rig(cast), cast).is_some())).sum()
    }

    /// Bites of one who always knows the best rig, picks it up as soon as it is another, and pays for each
    /// swap.
    pub(crate) fn oracle(&self) -> u32 {
        self.angler(|_, cast, _| self.best_rig(cast))
    }

    /// The same, but swapping only for a rig that is at least half as good again.
    pub(crate) fn thrifty_oracle(&self) -> u32 {
        self.angler(|rig, cast, _| {
            let best = self.best_rig(cast);
            if self.expected(best, cast) > 1.5 * self.expected(rig, cast) { best } else { rig }
        })
    }

    /// Bites of an angler who picks the rig for each cast by `choose(rig in hand, cast, casts since the last
    /// bite or swap)`.
    pub(crate) fn angler(&self, mut choose: impl FnMut(usize, usize, usize) -> usize) -> u32 {
        let (mut rig, mut cast, mut quiet, mut bites) = (0, 0, 0, 0);
        while cast < CASTS {
            let chosen = choose(rig, cast, quiet);
            if chosen != rig {
                rig = chosen;
                quiet = 0;
                cast += self.truth.swap_casts;
                if cast >= CASTS {
                    break;
                }
            }
            quiet += 1;
            if self.bite_s(rig, cast).is_some() {
                bites += 1;
                quiet = 0;
            }
            cast += 1;
        }
        bites
    }

    /// Five minutes without a bite, then the next deeper rig, after the deepest the shallowest.
    pub(crate) fn wait_and_change(&self) -> u32 {
        self.angler(|rig, _, quiet| if quiet >= 15 { (rig + 1) % RIGS_M.len() } else { rig })
    }

    /// Always the rig at the start.
    pub(crate) fn never_change(&self) -> u32 {
        self.angler(|rig, _, _| rig)
    }

    /// Bites of an angler who does what the session advises before each cast, and swaps made.
    pub(crate) fn advised(&self, setup: &SessionSetup) -> (u32, u32) {
        let (bites, swaps, _) = self.fished(setup);
        (bites, swaps)
    }

    /// The same with the log of the day.
    pub(crate) fn fished(&self, setup: &SessionSetup) -> (u32, u32, Log) {
        let mut session = Session::new(setup.clone()).unwrap();
        let mut swaps = 0;
        let (mut rig, mut cast, mut bites) = (0, 0, 0);
        while cast < CASTS {
            let now_ms = START_MS + 1000.0 * CAST_S * cast as f64;
            let advice = session.advice(now_ms).unwrap();
            if advice.kind == AdviceKind::PickUpRig {
                rig = advice.rig as usize;
                session.record(Event::new(now_ms, EventKind::PickUpRig).with_rig(advice.rig)).unwrap();
                swaps += 1;
                cast += self.truth.swap_casts;
                if cast >= CASTS {
                    break;
                }
            }
            let now_ms = START_MS + 1000.0 * CAST_S * cast as f64;
            session.record(Event::new(now_ms, EventKind::Cast)).unwrap();
            if let Some(bite_s) = self.bite_s(rig, cast) {
                bites += 1;
                session.record(Event::new(now_ms + 1000.0 * bite_s, EventKind::Missed)).unwrap();
            }
            cast += 1;
        }
        (bites, swaps, session.log().clone())
    }
}

/// The session of this scenario: four rigs, everything else as usual.
pub(crate) fn setup(truth: &Truth) -> SessionSetup {
    let rigs = RIGS_M.map(|depth_m| {
        let fall_s = depth_m / truth.fall_m_per_s;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a fall of a minute at most"
        )]
        let samples = (fall_s / STEP_S).ceil() as usize;
        RigSetup {
            name: String::new(),
            depth_m,
            on_bottom: depth_m > 2.0,
            line: 0,
            sample_dt_s: STEP_S,
            hook_z_m: (0..samples).map(|at| truth.fall_m_per_s * STEP_S * at as f64).collect(),
        }
    });
    SessionSetup::new(rigs.to_vec(), 2.15, START_MS)
}
