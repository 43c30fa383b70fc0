//! The pattern finder: where to put the shot so that the rig falls as the angler wants.
//!
//! **What it searches.** The shot that the balancer chose, divided into at most so many groups, each on a grid of
//! whole centimetres from the hook. Shot keep their order of size, the lightest nearest the hook (common practice);
//! shots that are to stay (droppers) stay, and the rest goes above them; nothing goes on the hooklength unless allowed.
//!
//! **How.** For every count of groups: a scan of coarse places and divisions; the three best that differ are each
//! improved by moving a group, all groups, or shot from one group to the next, with a stride that is halved down to
//! the grid (pattern search, after Hooke and Jeeves 1961); at the end, with finer steps, every pattern within a
//! centimetre of the best is tried, again and again until none is better. What is proposed is then dropped once more
//! with the settings for showing. Everything is in a fixed order: the same request gives the same answer.
//!
//! **How near the best.** On small rigs, where every pattern can be tried, the proposals are within 1 % of the best
//! score for each aim and count of groups (`tests/rig_search.rs`). On large ones no proof is given.
//!
//! The finder works in slices: [`Finder::step`] tries a few patterns and comes back, so that a worker can show the best
//! so far and be stopped.

use core::fmt;
use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::fall::{FallError, Quick, Rig, Settings, Shot, Simulator, free_speeds};
use crate::error::Fault;
use crate::units::fixed;

/// Most groups that a search divides the shot into.
pub const MOST_GROUPS: u8 = 4;
/// Grid of places, m from the hook.
const GRID_M: f64 = 0.01;
/// Nothing nearer than this to the float or the hook, m.
const CLEAR_M: f64 = 0.02;
/// Patterns of each count of groups that are improved side by side.
const BEAM: usize = 3;
/// Longest time that a pattern is followed, s.
const LONGEST_S: f64 = 600.0;
/// After the bottom, a fall for showing is followed this long to see that it has settled, s.
const LINGER_S: f64 = 3.0;
/// Two patterns are as good as each other within this share of the score, and the one with fewer groups is preferred.
const AS_GOOD: f64 = 0.02;
/// A pattern of more groups is not shown at all unless it is better by this share.
const WORTH: f64 = 0.005;

/// What the angler wants of the fall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Aim {
    /// Through the last third of the depth at the speed of the free cube, and there as soon as that allows.
    FallWithFeed,
    /// Two thirds of the way down as fast as can be, through small fish in the upper water.
    GetDownFast,
    /// As long as can be in the last 30 cm, and there as soon as that allows.
    SlowLast30Cm,
    /// At rest as soon as can be.
    SettleSoonest,
}

/// What to search.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Request {
    /// The rig as it stands, with the user's own pattern; its shots are what is moved.
    pub rig: Rig,
    /// What is wanted.
    pub aim: Aim,
    /// Most groups to divide the moved shot into, 1 to 4.
    pub most_groups: u8,
    /// Places in `rig.shots`, from 0, that stay as they are (see [`droppers`]).
    #[serde(default)]
    pub kept: Vec<usize>,
    /// Whether shot may go on the hooklength.
    #[serde(default)]
    pub on_hooklength: bool,
    /// The bait must be down by then, s; `None` is half as long again as the user's own pattern takes.
    #[serde(default)]
    pub latest_s: Option<f64>,
}

/// The droppers of a rig: the places of shot below the heaviest one, by index in `rig.shots`.
#[must_use]
pub fn droppers(rig: &Rig) -> Vec<usize> {
    let mass = |shot: &Shot| shot.mass_kg * f64::from(shot.count);
    let Some(bulk) = rig.shots.iter().max_by(|a, b| mass(a).total_cmp(&mass(b))) else {
        return Vec::new();
    };
    let below = |(i, shot): (usize, &Shot)| (shot.from_hook_m < bulk.from_hook_m - 1e-9).then_some(i);
    rig.shots.iter().enumerate().filter_map(below).collect()
}

/// Why there is nothing to search.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum SearchError {
    /// The rig itself cannot be dropped in.
    Rig(FallError),
    /// No shot may be moved.
    NoShot,
    /// `most_groups` is not from 1 to 4.
    Groups {
        /// What came.
        came: u8,
    },
    /// `kept` names a place that the rig does not have.
    Kept {
        /// What came.
        index: usize,
        /// Places of shot on the rig.
        places: usize,
    },
    /// No room between what stays and the float.
    NoRoom,
    /// The feed's speed is needed, and there is no bait.
    NoBait,
    /// The user's own pattern does not come down.
    NeverDown,
    /// The latest time is not a positive number, or is too long.
    Latest {
        /// What came, s.
        came_s: f64,
    },
    /// The rig is lowered, so its fall does not depend on the shot.
    Lowered,
}

impl fmt::Display for SearchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rig(error) => error.fmt(f),
            Self::NoShot => write!(f, "No shot may be moved: add shot to the rig, or let a dropper move."),
            Self::Groups { came } => write!(f, "Groups must be from 1 to {MOST_GROUPS}; {came} came."),
            Self::Kept { index, places } => {
                write!(f, "Shot {} is to stay, but the rig has {places} places with shot.", index + 1)
            }
            Self::NoRoom => {
                write!(
                    f,
                    "There is no room for the shot: it would lie between the float and what has to stay."
                )
            }
            Self::NoBait => {
                write!(f, "To fall with the feed there must be a cube on the hook: give its side.")
            }
            Self::NeverDown => {
                write!(
                    f,
                    "This rig does not come down within {} minutes: add shot.",
                    fixed(LONGEST_S / 60.0, 0)
                )
            }
            Self::Latest { came_s } => write!(
                f,
                "The latest time down must be from 0.1 to {} s; {} s came.",
                fixed(LONGEST_S, 0),
                fixed(*came_s, 1)
            ),
            Self::Lowered => {
                write!(
                    f,
                    "A lowered rig comes down at the hand's speed wherever the shot is: lay it to search."
                )
            }
        }
    }
}

impl Fault for SearchError {
    fn code(&self) -> &'static str {
        match self {
            Self::Rig(error) => error.code(),
            Self::NoShot => "no_shot",
            Self::Groups { .. } => "groups",
            Self::Kept { .. } => "kept",
            Self::NoRoom => "no_room",
            Self::NoBait => "no_bait",
            Self::NeverDown => "never_down",
            Self::Latest { .. } => "latest",
            Self::Lowered => "lowered",
        }
    }

    fn field(&self) -> String {
        match self {
            Self::Rig(error) => {
                let mut field = "rig.".to_owned();
                field.push_str(&error.field());
                field
            }
            Self::NoShot | Self::NoRoom => "rig.shots".to_owned(),
            Self::Groups { .. } => "most_groups".to_owned(),
            Self::Kept { .. } => "kept".to_owned(),
            Self::NoBait => "rig.bait.side_m".to_owned(),
            Self::NeverDown => "rig".to_owned(),
            Self::Latest { .. } => "latest_s".to_owned(),
            Self::Lowered => "rig.lowered_m_per_s".to_owned(),
        }
    }
}

/// What a pattern does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Figures {
    /// Time to 99 % of the depth, s.
    pub to_bottom_s: f64,
    /// Time to two thirds of the depth, s.
    pub to_two_thirds_s: f64,
    /// Speed through the last third over the free cube's; `None` without a bait.
    pub last_third_of_feed: Option<f64>,
    /// Time in the last 30 cm, s (the whole fall of a shallower rig).
    pub last_30_cm_s: f64,
    /// Time until the bait stays within a hundredth of its way from rest, s.
    pub settle_s: f64,
}

/// A pattern worth showing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proposal {
    /// All shots of the rig, from the hook up.
    pub shots: Vec<Shot>,
    /// Groups that the moved shot was divided into.
    pub groups: u8,
    /// What it does.
    pub figures: Figures,
    /// Whether the figures are those for showing; before, they are within 1 %.
    pub exact: bool,
    /// The one to try: as good as the best within 2 %, with the fewest groups.
    pub best: bool,
    /// What it gives and what it costs beside the user's own pattern, in words.
    pub words: String,
}

/// How far a search has come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Progress {
    /// Patterns dropped so far.
    pub evaluated: usize,
    /// How many it will be, about; exact once done.
    pub expected: usize,
    /// Whether the search has ended.
    pub done: bool,
    /// What the user's own pattern does; `None` before the first slice.
    pub own: Option<Figures>,
    /// Best so far for each count of groups that is worth its trouble, fewest groups first.
    pub proposals: Vec<Proposal>,
}

/// Shots in each group and each group's place on the grid, from the hook up.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Pattern {
    counts: Vec<u16>,
    places: Vec<u16>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Own,
    Scan,
    Refine { stride: u16, rounds: u8 },
    Polish { rounds: u8 },
    Verify,
    Done,
}

/// A search that goes on in slices.
pub struct Finder {
    request: Request,
    simulator: Simulator,
    /// Moved shots one by one, masses from the hook up.
    moved_kg: Vec<f64>,
    kept: Vec<Shot>,
    /// Least and most place on the grid.
    least: u16,
    most: u16,
    cube_m_per_s: Option<f64>,
    own: Option<Figures>,
    latest_s: f64,
    /// What has been dropped: by the scan, and more finely by the polish.
    tried: [BTreeMap<Pattern, Quick>; 2],
    /// Which of the two is being filled.
    level: usize,
    shown: BTreeMap<Pattern, Quick>,
    queue: Vec<Pattern>,
    next: usize,
    /// For each count of groups, the patterns being improved, best first.
    beams: Vec<Vec<Pattern>>,
    phase: Phase,
    evaluated: usize,
    rig: Rig,
}

impl Finder {
    /// Checks the request and gets ready; nothing is dropped yet.
    ///
    /// # Errors
    /// [`SearchError`] when the rig is impossible or leaves nothing to search.
    pub fn new(request: Request) -> Result<Self, SearchError> {
        let rig = &request.rig;
        let free = free_speeds(rig).map_err(SearchError::Rig)?;
        if request.most_groups == 0 || request.most_groups > MOST_GROUPS {
            return Err(SearchError::Groups { came: request.most_groups });
        }
        if let Some(&index) = request.kept.iter().find(|&&k| k >= rig.shots.len()) {
            return Err(SearchError::Kept { index, places: rig.shots.len() });
        }
        if rig.lowered_m_per_s.is_some() {
            return Err(SearchError::Lowered);
        }
        if request.aim == Aim::FallWithFeed && free.cube_m_per_s.is_none() {
            return Err(SearchError::NoBait);
        }
        if let Some(came_s) = request.latest_s
            && !(0.1..=LONGEST_S).contains(&came_s)
        {
            return Err(SearchError::Latest { came_s });
        }
        let (mut moved_kg, mut kept) = (Vec::new(), Vec::new());
        for (i, shot) in rig.shots.iter().enumerate() {
            if request.kept.contains(&i) {
                kept.push(*shot);
            } else if shot.mass_kg > 0.0 {
                moved_kg.extend((0..shot.count).map(|_| shot.mass_kg));
            }
        }
        if moved_kg.is_empty() {
            return Err(SearchError::NoShot);
        }
        moved_kg.sort_by(f64::total_cmp);
        let knot = if request.on_hooklength { CLEAR_M } else { rig.hooklength.length_m };
        let above_kept = kept.iter().map(|shot| shot.from_hook_m + GRID_M).fold(knot, f64::max);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 2000 centimetres")]
        let (least, most) = (
            (above_kept / GRID_M - 1e-6).ceil() as u16,
            ((rig.length_m() - CLEAR_M) / GRID_M + 1e-6).floor() as u16,
        );
        if least > most {
            return Err(SearchError::NoRoom);
        }
        let rig = rig.clone();
        Ok(Self {
            request,
            simulator: Simulator::new(),
            moved_kg,
            kept,
            least,
            most,
            cube_m_per_s: free.cube_m_per_s,
            own: None,
            latest_s: LONGEST_S,
            tried: [BTreeMap::new(), BTreeMap::new()],
            level: 0,
            shown: BTreeMap::new(),
            queue: Vec::new(),
            next: 0,
            beams: Vec::new(),
            phase: Phase::Own,
            evaluated: 0,
            rig,
        })
    }

    /// Drops about `budget` patterns and says how far the search has come.
    ///
    /// # Errors
    /// [`SearchError`] when the user's own pattern cannot be followed or does not come down.
    pub fn step(&mut self, budget: usize) -> Result<Progress, SearchError> {
        let end = self.evaluated.saturating_add(budget.max(1));
        while self.evaluated < end && self.phase != Phase::Done {
            if self.phase == Phase::Own {
                self.drop_own()?;
                self.scan();
                continue;
            }
            let Some(pattern) = self.queue.get(self.next).cloned() else {
                self.plan();
                continue;
            };
            self.next += 1;
            if self.phase == Phase::Verify {
                let quick = self.drop_pattern(&pattern, &Settings::default(), LINGER_S);
                self.shown.insert(pattern, quick);
            } else if !self.tried[self.level].contains_key(&pattern) {
                let settings = if self.level == 0 { Settings::scanning() } else { Settings::searching() };
                let quick = self.drop_pattern(&pattern, &settings, 0.0);
                self.tried[self.level].insert(pattern, quick);
            }
        }
        Ok(self.progress())
    }

    /// The user's own pattern, with the settings for showing.
    fn drop_own(&mut self) -> Result<(), SearchError> {
        self.rig.t_end_s = LONGEST_S;
        self.rig.shots.clone_from(&self.request.rig.shots);
        self.evaluated += 1;
        let quick =
            self.simulator.quick(&self.rig, &Settings::default(), LINGER_S).map_err(SearchError::Rig)?;
        if !quick.to_bottom_s.is_finite() {
            return Err(SearchError::NeverDown);
        }
        self.own = Some(self.figures(&quick));
        self.latest_s = self.request.latest_s.unwrap_or((1.5 * quick.to_bottom_s).min(LONGEST_S));
        Ok(())
    }

    /// A pattern that fails, or is not down in time, has infinite times.
    fn drop_pattern(&mut self, pattern: &Pattern, settings: &Settings, linger_s: f64) -> Quick {
        self.evaluated += 1;
        self.rig.shots = self.shots(pattern);
        // A little over the latest time: it is the score that refuses, not the end of the run.
        self.rig.t_end_s = (self.latest_s * 1.02 + linger_s).max(0.2);
        self.simulator
            .quick(&self.rig, settings, linger_s)
            .unwrap_or(Quick { to_bottom_s: f64::INFINITY, ..Quick::default() })
    }

    fn figures(&self, quick: &Quick) -> Figures {
        Figures {
            to_bottom_s: quick.to_bottom_s,
            to_two_thirds_s: quick.upper_s,
            last_third_of_feed: self.cube_m_per_s.map(|cube| quick.last_third_m_per_s / cube),
            last_30_cm_s: quick.last_30_cm_s,
            settle_s: quick.settle_s,
        }
    }

    /// The lower, the better; infinite for what is not down in time.
    fn score(&self, quick: &Quick) -> f64 {
        if quick.to_bottom_s > self.latest_s || !quick.settle_s.is_finite() {
            return f64::INFINITY;
        }
        let figures = self.figures(quick);
        score(self.request.aim, &figures, self.own.map_or(1.0, |own| own.to_bottom_s))
    }

    fn score_of(&self, pattern: &Pattern) -> f64 {
        self.tried[self.level].get(pattern).map_or(f64::INFINITY, |quick| self.score(quick))
    }

    /// Shots of a pattern with those that stay, from the hook up.
    fn shots(&self, pattern: &Pattern) -> Vec<Shot> {
        let mut shots = self.kept.clone();
        let mut masses = self.moved_kg.iter();
        for (&count, &place) in pattern.counts.iter().zip(&pattern.places) {
            let from_hook_m = f64::from(place) / 100.0;
            let mut last: Option<Shot> = None;
            for &mass_kg in masses.by_ref().take(usize::from(count)) {
                match &mut last {
                    Some(shot) if (shot.mass_kg - mass_kg).abs() < 1e-12 => shot.count += 1,
                    _ => shots.extend(last.replace(Shot { from_hook_m, mass_kg, count: 1 })),
                }
            }
            shots.extend(last);
        }
        shots.sort_by(|a, b| a.from_hook_m.total_cmp(&b.from_hook_m));
        shots
    }

    /// Counts of groups that the shot and the room allow.
    fn most_groups(&self) -> usize {
        let room = usize::from(self.most - self.least) + 1;
        usize::from(self.request.most_groups).min(self.moved_kg.len()).min(room)
    }

    /// Queues the coarse patterns of every count of groups.
    fn scan(&mut self) {
        self.phase = Phase::Scan;
        self.queue.extend(self.own_pattern());
        let total = u16::try_from(self.moved_kg.len()).unwrap_or(u16::MAX);
        let mut cuts = vec![1, 2, 3, total / 3, 2 * total / 3, total - 1];
        cuts.retain(|&at| at > 0 && at < total);
        cuts.sort_unstable();
        cuts.dedup();
        if cuts.len() > 5 {
            cuts.remove(2);
        }
        for groups in 1..=self.most_groups() {
            // Places enough to see each valley, few enough to come round in a second on a phone.
            let places = match groups {
                1 => 13,
                2 => 9,
                3 => 7,
                _ => 6,
            };
            let places = spread(self.least, self.most, places);
            for cut in choose(&cuts, groups - 1) {
                let mut counts = Vec::with_capacity(groups);
                let mut before = 0;
                for at in cut.into_iter().chain([total]) {
                    counts.push(at - before);
                    before = at;
                }
                for places in choose(&places, groups) {
                    self.queue.push(Pattern { counts: counts.clone(), places });
                }
            }
        }
    }

    /// The user's own pattern, if it is one that the search may find (its places rounded to the grid).
    fn own_pattern(&self) -> Option<Pattern> {
        let mut own: Vec<(u16, f64, u32)> = Vec::new();
        for (i, shot) in self.request.rig.shots.iter().enumerate() {
            if !self.request.kept.contains(&i) && shot.count > 0 && shot.mass_kg > 0.0 {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "0 to 2000 centimetres"
                )]
                let place = (shot.from_hook_m / GRID_M).round().max(0.0) as u16;
                own.push((place.clamp(self.least, self.most), shot.mass_kg, shot.count));
            }
        }
        own.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let in_order = own.windows(2).all(|pair| pair[0].1 <= pair[1].1);
        let mut pattern = Pattern { counts: Vec::new(), places: Vec::new() };
        for (place, _, count) in own {
            let count = u16::try_from(count).ok()?;
            match (pattern.places.last(), pattern.counts.last_mut()) {
                (Some(&last), Some(here)) if last == place => *here += count,
                _ => {
                    pattern.places.push(place);
                    pattern.counts.push(count);
                }
            }
        }
        (in_order && pattern.places.len() <= self.most_groups()).then_some(pattern)
    }

    /// Chooses what to try next once the queue is through.
    fn plan(&mut self) {
        self.queue.clear();
        self.next = 0;
        match self.phase {
            Phase::Own | Phase::Done => {}
            Phase::Scan => {
                self.beams = (1..=self.most_groups()).map(|groups| self.leaders(groups)).collect();
                let stride = ((self.most - self.least) / 14).max(1);
                self.phase = Phase::Refine { stride, rounds: 0 };
                self.queue_around(stride);
            }
            Phase::Refine { stride, rounds } => {
                let better = self.improve(stride);
                self.phase = if better && rounds < 5 {
                    Phase::Refine { stride, rounds: rounds + 1 }
                } else if stride > 1 {
                    Phase::Refine { stride: stride / 2, rounds: 0 }
                } else {
                    Phase::Polish { rounds: 0 }
                };
                if let Phase::Refine { stride, .. } = self.phase {
                    self.queue_around(stride);
                } else {
                    self.level = 1;
                    self.queue_close();
                }
            }
            Phase::Polish { rounds } => {
                let better = self.take_close();
                if better && rounds < 12 {
                    self.phase = Phase::Polish { rounds: rounds + 1 };
                    self.queue_close();
                } else {
                    self.phase = Phase::Verify;
                    self.queue = self.beams.iter().filter_map(|beam| beam.first().cloned()).collect();
                }
            }
            Phase::Verify => self.phase = Phase::Done,
        }
    }

    /// The best patterns of a count of groups that differ from each other.
    fn leaders(&self, groups: usize) -> Vec<Pattern> {
        let apart = (self.most - self.least) / 10;
        let mut all: Vec<(f64, &Pattern)> = self.tried[0]
            .iter()
            .filter(|(pattern, _)| pattern.counts.len() == groups)
            .map(|(pattern, quick)| (self.score(quick), pattern))
            .filter(|(score, _)| score.is_finite())
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(b.1)));
        let mut leaders: Vec<Pattern> = Vec::new();
        for (_, pattern) in all {
            let like = |other: &Pattern| {
                other.counts == pattern.counts
                    && other.places.iter().zip(&pattern.places).all(|(a, b)| a.abs_diff(*b) <= apart)
            };
            if !leaders.iter().any(like) {
                leaders.push(pattern.clone());
            }
            if leaders.len() == BEAM {
                break;
            }
        }
        leaders
    }

    /// Patterns one stride from `pattern`: a group moved, all moved, or shot handed to the next group.
    fn around(&self, pattern: &Pattern, stride: u16) -> Vec<Pattern> {
        let groups = pattern.places.len();
        let mut found = Vec::new();
        let stride = i32::from(stride);
        for by in [-stride, stride] {
            for group in 0..groups {
                found.extend(self.moved(pattern, by, group..group + 1));
            }
            if groups > 1 {
                found.extend(self.moved(pattern, by, 0..groups));
            }
        }
        let handful = if stride > 4 { (self.moved_kg.len() / 8).max(1) } else { 1 };
        let handful = u16::try_from(handful).unwrap_or(1);
        for group in 1..groups {
            for (from, to) in [(group - 1, group), (group, group - 1)] {
                let mut other = pattern.clone();
                if other.counts[from] > handful {
                    other.counts[from] -= handful;
                    other.counts[to] += handful;
                    found.push(other);
                }
            }
        }
        found
    }

    /// A pattern with some groups moved, if they stay on the line and in order.
    fn moved(&self, pattern: &Pattern, by: i32, groups: core::ops::Range<usize>) -> Option<Pattern> {
        let mut other = pattern.clone();
        for place in other.places.get_mut(groups)? {
            let to = i32::from(*place) + by;
            *place = u16::try_from(to.clamp(i32::from(self.least), i32::from(self.most))).ok()?;
        }
        let rising = other.places.windows(2).all(|pair| pair[0] < pair[1]);
        (rising && other != *pattern).then_some(other)
    }

    fn queue_around(&mut self, stride: u16) {
        let queue = self.beams.iter().flatten().flat_map(|pattern| self.around(pattern, stride)).collect();
        self.queue = queue;
    }

    /// Takes the best neighbour of each pattern in the beams. Returns whether any was better.
    fn improve(&mut self, stride: u16) -> bool {
        let mut better = false;
        let mut beams = core::mem::take(&mut self.beams);
        for beam in &mut beams {
            for pattern in beam.iter_mut() {
                let best = self.best_of(pattern, &self.around(pattern, stride));
                better |= best != *pattern;
                *pattern = best;
            }
            beam.sort_by(|a, b| self.score_of(a).total_cmp(&self.score_of(b)).then_with(|| a.cmp(b)));
            beam.dedup();
        }
        self.beams = beams;
        better
    }

    /// Every pattern with its groups within a centimetre of this one's, and those one and three strides around it.
    fn close(&self, pattern: &Pattern) -> Vec<Pattern> {
        let mut found = vec![pattern.clone()];
        for group in 0..pattern.places.len() {
            for at in 0..found.len() {
                for by in [-1, 1] {
                    // Order is asked for once all groups have moved.
                    let mut other = found[at].clone();
                    let to = i32::from(other.places[group]) + by;
                    if let Ok(to) = u16::try_from(to)
                        && (self.least..=self.most).contains(&to)
                    {
                        other.places[group] = to;
                        found.push(other);
                    }
                }
            }
        }
        found.retain(|p| p.places.windows(2).all(|pair| pair[0] < pair[1]));
        found.extend(self.around(pattern, 1));
        found.extend(self.around(pattern, 3));
        found
    }

    /// A pattern with one more group: a shot set a little apart from its group, or half of the group.
    fn split(&self, pattern: &Pattern) -> Vec<Pattern> {
        let mut found = Vec::new();
        for (group, &count) in pattern.counts.iter().enumerate() {
            for apart in [1, 5] {
                for below in [1, count / 2, count.saturating_sub(1)] {
                    if below == 0 || below >= count {
                        continue;
                    }
                    let mut other = pattern.clone();
                    other.counts[group] = count - below;
                    other.counts.insert(group, below);
                    let at = other.places[group];
                    other.places.insert(group, at);
                    let lowered = self.moved(&other, -apart, group..group + 1);
                    found.extend(lowered.or_else(|| self.moved(&other, apart, group + 1..group + 2)));
                }
            }
        }
        found
    }

    /// What the polish tries for a count of groups: all that is close to its best, and the best of fewer, split.
    fn polish(&self, beams: &[Vec<Pattern>], at: usize) -> Vec<Pattern> {
        let first = |at: usize| beams.get(at).and_then(|beam| beam.first());
        let mut found: Vec<Pattern> = first(at).map_or_else(Vec::new, |pattern| self.close(pattern));
        found.extend(at.checked_sub(1).and_then(first).map_or_else(Vec::new, |fewer| self.split(fewer)));
        found
    }

    fn queue_close(&mut self) {
        self.queue = (0..self.beams.len()).flat_map(|at| self.polish(&self.beams, at)).collect();
    }

    fn take_close(&mut self) -> bool {
        let mut better = false;
        let before = self.beams.clone();
        for at in 0..before.len() {
            let found = self.polish(&before, at);
            let Some(first) = found.first() else { continue };
            let best = self.best_of(first, &found);
            if before[at].first() != Some(&best) {
                better = true;
                self.beams[at] = vec![best];
            }
        }
        better
    }

    fn best_of(&self, own: &Pattern, others: &[Pattern]) -> Pattern {
        let mut best = (self.score_of(own), own);
        for other in others {
            let score = self.score_of(other);
            if score < best.0 {
                best = (score, other);
            }
        }
        best.1.clone()
    }

    /// How far the search has come, with the best of every count of groups so far.
    #[must_use]
    pub fn progress(&self) -> Progress {
        let done = self.phase == Phase::Done;
        let mut proposals: Vec<(f64, Proposal)> = Vec::new();
        if let Some(own) = self.own {
            for groups in 1..=self.most_groups() {
                // The finest level that has seen this count of groups speaks.
                let best = self.tried.iter().rev().find_map(|tried| {
                    let seen = tried.iter().filter(|(pattern, _)| pattern.counts.len() == groups);
                    let scored = seen.map(|(pattern, quick)| (self.score(quick), pattern, quick));
                    scored.min_by(|a, b| a.0.total_cmp(&b.0))
                });
                let Some((score, pattern, quick)) = best else {
                    continue;
                };
                if score.is_finite() {
                    let shown = self.shown.get(pattern);
                    let quick = shown.unwrap_or(quick);
                    let figures = self.figures(quick);
                    let proposal = Proposal {
                        shots: self.shots(pattern),
                        groups: u8::try_from(groups).unwrap_or(MOST_GROUPS),
                        figures,
                        exact: shown.is_some(),
                        best: false,
                        words: words(&figures, &own),
                    };
                    proposals.push((self.score(quick).min(1e9), proposal));
                }
            }
        }
        let best = proposals.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
        // A score is in seconds, or a share of one: as good is a share of it either way.
        let scale = if self.request.aim == Aim::FallWithFeed { 1.0 } else { best.abs() };
        // More groups must be worth their trouble.
        let mut least = f64::INFINITY;
        proposals.retain(|p| {
            let worth = p.0 < least - WORTH * scale;
            least = least.min(p.0);
            worth
        });
        let as_good = best + AS_GOOD * scale;
        if let Some((_, first)) = proposals.iter_mut().find(|p| p.0 <= as_good) {
            first.best = true;
        }
        Progress {
            evaluated: self.evaluated,
            expected: if done { self.evaluated } else { self.expected() },
            done,
            own: self.own,
            proposals: proposals.into_iter().map(|p| p.1).collect(),
        }
    }

    /// About how many patterns the whole search drops: from searches of deck and shallow rigs.
    fn expected(&self) -> usize {
        let groups = self.most_groups();
        let usual = [45, 330, 900, 1400].get(groups - 1).copied().unwrap_or(1400);
        usual.max(self.evaluated + self.queue.len().saturating_sub(self.next))
    }
}

/// The score of a pattern: the lower, the better. Public so that a search can be checked by trying every pattern.
///
/// - fall with the feed: how far the last third's speed is from the free cube's, as a share, and a fiftieth of the time
///   to the bottom over the own pattern's;
/// - get down fast: seconds to two thirds of the depth, and a tenth of those to the bottom;
/// - slow last 30 cm: seconds above them, a quarter, less seconds in them;
/// - settle soonest: seconds to rest.
#[must_use]
pub fn score(aim: Aim, figures: &Figures, own_to_bottom_s: f64) -> f64 {
    match aim {
        Aim::FallWithFeed => {
            let off = figures.last_third_of_feed.map_or(f64::INFINITY, |share| (share - 1.0).abs());
            off + 0.02 * figures.to_bottom_s / own_to_bottom_s
        }
        Aim::GetDownFast => figures.to_two_thirds_s + 0.1 * figures.to_bottom_s,
        Aim::SlowLast30Cm => 0.25 * (figures.to_bottom_s - figures.last_30_cm_s) - figures.last_30_cm_s,
        Aim::SettleSoonest => figures.settle_s,
    }
}

/// What a pattern gives and costs beside the user's own, in words.
#[must_use]
pub fn words(new: &Figures, own: &Figures) -> String {
    let mut text =
        compare(new.to_bottom_s - own.to_bottom_s, "slower to the bottom", "quicker to the bottom")
            .unwrap_or_else(|| "As long to the bottom as yours".to_owned());
    if let (Some(share), Some(yours)) = (new.last_third_of_feed, own.last_third_of_feed) {
        text.push_str(", last third ");
        text.push_str(&fixed(share, 2));
        text.push_str(" of the feed (yours ");
        text.push_str(&fixed(yours, 2));
        text.push(')');
    }
    if let Some(part) =
        compare(new.last_30_cm_s - own.last_30_cm_s, "more in the last 30 cm", "less in the last 30 cm")
    {
        text.push_str(", ");
        text.push_str(&part);
    }
    if let Some(part) = compare(
        new.to_two_thirds_s - own.to_two_thirds_s,
        "longer in the upper two thirds",
        "less in the upper two thirds",
    ) {
        text.push_str(", ");
        text.push_str(&part);
    }
    text.push('.');
    text
}

/// "3.2 s slower", or nothing when it cannot be told apart.
fn compare(difference_s: f64, more: &str, less: &str) -> Option<String> {
    if difference_s.abs() < 0.15 {
        return None;
    }
    let decimals = if difference_s.abs() < 3.0 { 1 } else { 0 };
    let mut text = fixed(difference_s.abs(), decimals);
    text.push_str(" s ");
    text.push_str(if difference_s > 0.0 { more } else { less });
    Some(text)
}

/// At most `count` whole numbers from `least` to `most`, each once, closer together near the hook, where a small move
/// does more.
fn spread(least: u16, most: u16, count: usize) -> Vec<u16> {
    let last = count.max(2) - 1;
    let at = |i: usize| {
        let share = i as f64 / last as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to most - least")]
        let above = (f64::from(most - least) * share * share.sqrt()).round() as u16;
        least + above
    };
    let mut all: Vec<u16> = (0..=last).map(at).collect();
    all.dedup();
    all
}

/// All ways to choose `count` of `from`, in order.
fn choose(from: &[u16], count: usize) -> Vec<Vec<u16>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for (i, &first) in from.iter().enumerate() {
        for mut rest in choose(from.get(i + 1..).unwrap_or(&[]), count - 1) {
            rest.insert(0, first);
            all.push(rest);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_and_choose() {
        assert_eq!(spread(10, 20, 3), [10, 14, 20]);
        assert_eq!(spread(1, 2, 5), [1, 2]);
        assert_eq!(spread(7, 7, 4), [7]);
        assert_eq!(choose(&[1, 2, 3], 2), [[1, 2], [1, 3], [2, 3]]);
        assert_eq!(choose(&[1, 2, 3], 0), [[0_u16; 0]]);
        assert_eq!(choose(&[1], 2), [[0_u16; 0]; 0]);
    }

    #[test]
    fn words_tell_the_trade_off() {
        let own = Figures {
            to_bottom_s: 24.8,
            to_two_thirds_s: 12.0,
            last_third_of_feed: Some(0.86),
            last_30_cm_s: 8.6,
            settle_s: 24.8,
        };
        let new = Figures { to_bottom_s: 28.0, last_third_of_feed: Some(0.95), last_30_cm_s: 7.4, ..own };
        assert_eq!(
            words(&new, &own),
            "3 s slower to the bottom, last third 0.95 of the feed (yours 0.86), 1.2 s less in the last 30 cm."
        );
        assert_eq!(
            words(&own, &own),
            "As long to the bottom as yours, last third 0.86 of the feed (yours 0.86)."
        );
    }
}
