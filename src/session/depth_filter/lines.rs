//! Several pole lines: each has its own water, its own rigs and its own fish.

use super::belief::{Belief, Witness};
use super::bite::Bite;
use super::model::Model;

/// One pole line: its water, and which of the session's rigs are fished on it.
#[derive(Clone, Debug)]
pub struct Line {
    /// Its water, with the rigs of this line alone.
    pub model: Model,
    /// For each rig of the model, its place among all rigs.
    pub rigs: Vec<usize>,
}

/// The lines of a session, at least one.
#[derive(Clone, Debug)]
pub struct Lines {
    lines: Vec<Line>,
    /// For each of all rigs: its line, and its place there.
    places: Vec<(usize, usize)>,
}

impl Lines {
    /// Lines as `model` makes each of its place and the rigs on it; `line_of` says for each rig where it is fished.
    #[must_use]
    pub fn new(count: usize, line_of: &[usize], model: impl Fn(usize, &[usize]) -> Model) -> Self {
        let mut places = vec![(0, 0); line_of.len()];
        let lines = (0..count).map(|at| {
            let rigs: Vec<usize> = (0..line_of.len()).filter(|&rig| line_of[rig] == at).collect();
            for (place, &rig) in rigs.iter().enumerate() {
                places[rig] = (at, place);
            }
            Line { model: model(at, &rigs), rigs }
        });
        Self { lines: lines.collect(), places }
    }

    /// The line of a rig, and the rig's place there.
    #[must_use]
    pub fn of_rig(&self, rig: usize) -> (usize, usize) {
        self.places.get(rig).copied().unwrap_or((0, 0))
    }

    /// All of them.
    #[must_use]
    pub fn all(&self) -> &[Line] {
        &self.lines
    }
}

/// What takes in the evidence of a day on every line, in the order of time.
pub trait Watcher {
    /// `dt_s` seconds pass.
    fn predict(&mut self, lines: &Lines, dt_s: f64);
    /// As [`Witness::no_bite`], of a rig of the session.
    fn no_bite(&mut self, lines: &Lines, rig: usize, from_s: f64, to_s: f64);
    /// As [`Witness::bite`], of a rig of the session.
    fn bite(&mut self, lines: &Lines, rig: usize, bite: &Bite);
}

/// What is believed of the fish on each line.
#[derive(Clone, Debug, PartialEq)]
pub struct Beliefs(pub Vec<Belief>);

impl Beliefs {
    /// Before any evidence.
    #[must_use]
    pub fn prior(lines: &Lines) -> Self {
        Self(lines.lines.iter().map(|line| Belief::prior(&line.model)).collect())
    }

    fn on(&mut self, lines: &Lines, rig: usize, weigh: impl FnOnce(&mut Belief, &Model, usize)) {
        let (line, place) = lines.of_rig(rig);
        if let (Some(belief), Some(line)) = (self.0.get_mut(line), lines.lines.get(line)) {
            weigh(belief, &line.model, place);
        }
    }
}

impl Watcher for Beliefs {
    fn predict(&mut self, lines: &Lines, dt_s: f64) {
        for (belief, line) in self.0.iter_mut().zip(&lines.lines) {
            belief.predict(&line.model, dt_s);
        }
    }

    fn no_bite(&mut self, lines: &Lines, rig: usize, from_s: f64, to_s: f64) {
        self.on(lines, rig, |belief, model, rig| belief.no_bite(model, rig, from_s, to_s));
    }

    fn bite(&mut self, lines: &Lines, rig: usize, bite: &Bite) {
        self.on(lines, rig, |belief, model, rig| belief.bite(model, rig, bite));
    }
}
