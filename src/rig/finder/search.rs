//! The search itself: phases that queue patterns, and slices that drop them.

use crate::refusal::{Refusal, short};
use crate::small::{sort_by, sort_by_key};

use super::super::fall::{Quick, Rig, Settings, Shot, Simulator, free_speeds};
use super::words::{score, words};
use super::{Aim, Figures, LONGEST_S, MAX_GROUPS, Progress, Proposal, Request};

/// Grid of places, m from the hook.
const GRID_M: f64 = 0.01;
/// Nothing nearer than this to the float or the hook, m.
const CLEAR_M: f64 = 0.02;
/// Patterns of each count of groups that are improved side by side.
const BEAM: usize = 3;
/// After the bottom, a fall for showing is followed this long to see that it has settled, s.
const LINGER_S: f64 = 3.0;
/// Two patterns are as good as each other within this share of the score, and the one with fewer groups is preferred.
const AS_GOOD: f64 = 0.02;
/// A pattern of more groups is not shown at all unless it is better by this share.
const WORTH: f64 = 0.005;

/// Shots in each group and each group's place on the grid, from the hook up.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Pattern {
    counts: Vec<u16>,
    places: Vec<u16>,
}

/// What has been dropped, in the order of the patterns.
#[derive(Default)]
struct Seen(Vec<(Pattern, Quick)>);

impl Seen {
    /// Where a pattern is, or where it belongs.
    fn place(&self, pattern: &Pattern) -> Result<usize, usize> {
        self.0.binary_search_by(|(other, _)| other.cmp(pattern))
    }

    fn get(&self, pattern: &Pattern) -> Option<&Quick> {
        self.0.get(self.place(pattern).ok()?).map(|(_, quick)| quick)
    }

    fn insert(&mut self, pattern: Pattern, quick: Quick) {
        match self.place(&pattern) {
            Ok(at) => self.0[at].1 = quick,
            Err(at) => self.0.insert(at, (pattern, quick)),
        }
    }
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
    tried: [Seen; 2],
    /// Which of the two is being filled.
    level: usize,
    shown: Seen,
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
    /// When the rig is impossible or leaves nothing to search.
    pub fn new(request: Request) -> Result<Self, Refusal> {
        let rig = &request.rig;
        let free = free_speeds(rig).map_err(|refused| refused.below("rig"))?;
        if request.most_groups == 0 || request.most_groups > MAX_GROUPS {
            let came = request.most_groups;
            let sentence = format!("Groups must be from 1 to {MAX_GROUPS}; {came} came.");
            return Err(Refusal::new("groups", "most_groups", sentence));
        }
        if let Some(&index) = request.kept.iter().find(|&&k| k >= rig.shots.len()) {
            let (number, places) = (index.saturating_add(1), rig.shots.len());
            let sentence = format!("Shot {number} is to stay, but the rig has {places} places with shot.");
            return Err(Refusal::new("kept", "kept", sentence));
        }
        if rig.lowered_m_per_s.is_some() {
            let sentence =
                "A lowered rig comes down at the hand's speed wherever the shot is: lay it to search.";
            return Err(Refusal::new("lowered", "rig.lowered_m_per_s", sentence));
        }
        if request.aim == Aim::FallWithFeed && free.cube_m_per_s.is_none() {
            let sentence = "To fall with the feed there must be a cube on the hook: give its side.";
            return Err(Refusal::new("no_bait", "rig.bait.side_m", sentence));
        }
        if let Some(came_s) = request.latest_s
            && !(0.1..=LONGEST_S).contains(&came_s)
        {
            let (most, came) = (short(LONGEST_S), short(came_s));
            let sentence = format!("The latest time down must be from 0.1 to {most} s; {came} s came.");
            return Err(Refusal::new("latest", "latest_s", sentence));
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
            let sentence = "No shot may be moved: add shot to the rig, or let a dropper move.";
            return Err(Refusal::new("no_shot", "rig.shots", sentence));
        }
        sort_by_key(&mut moved_kg, |kg| *kg);
        let knot = if request.on_hooklength { CLEAR_M } else { rig.hooklength.length_m };
        let above_kept = kept.iter().map(|shot| shot.from_hook_m + GRID_M).fold(knot, f64::max);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 2000 centimetres")]
        let (least, most) = (
            (above_kept / GRID_M - 1e-6).ceil() as u16,
            ((rig.length_m() - CLEAR_M) / GRID_M + 1e-6).floor() as u16,
        );
        if least > most {
            let sentence =
                "There is no room for the shot: it would lie between the float and what has to stay.";
            return Err(Refusal::new("no_room", "rig.shots", sentence));
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
            tried: [Seen::default(), Seen::default()],
            level: 0,
            shown: Seen::default(),
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
    /// When the user's own pattern cannot be followed or does not come down.
    pub fn step(&mut self, budget: usize) -> Result<Progress, Refusal> {
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
            } else if self.tried[self.level].get(&pattern).is_none() {
                let settings = if self.level == 0 { Settings::scanning() } else { Settings::searching() };
                let quick = self.drop_pattern(&pattern, &settings, 0.0);
                self.tried[self.level].insert(pattern, quick);
            }
        }
        Ok(self.progress())
    }

    /// The user's own pattern, with the settings for showing.
    fn drop_own(&mut self) -> Result<(), Refusal> {
        self.rig.t_end_s = LONGEST_S;
        self.rig.shots.clone_from(&self.request.rig.shots);
        self.evaluated += 1;
        let quick = self
            .simulator
            .quick(&self.rig, &Settings::default(), LINGER_S)
            .map_err(|refused| refused.below("rig"))?;
        if !quick.to_bottom_s.is_finite() {
            let sentence =
                format!("This rig does not come down within {} minutes: add shot.", short(LONGEST_S / 60.0));
            return Err(Refusal::new("never_down", "rig", sentence));
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
        sort_by_key(&mut shots, |shot| shot.from_hook_m);
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
        sort_by_key(&mut cuts, |at| *at);
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
        sort_by_key(&mut own, |part| (part.0, part.1));
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
            .0
            .iter()
            .filter(|(pattern, _)| pattern.counts.len() == groups)
            .map(|(pattern, quick)| (self.score(quick), pattern))
            .filter(|(score, _)| score.is_finite())
            .collect();
        sort_by(&mut all, |a, b| a.0 < b.0 || a.0 <= b.0 && a.1 < b.1);
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
            sort_by(beam, |a, b| {
                let (one, other) = (self.score_of(a), self.score_of(b));
                one < other || one <= other && a < b
            });
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
                    let seen = tried.0.iter().filter(|(pattern, _)| pattern.counts.len() == groups);
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
                        groups: u8::try_from(groups).unwrap_or(MAX_GROUPS),
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
}
