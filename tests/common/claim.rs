//! Figures that the page claims, each held against its source and noted, so that one table of them all can be printed.

use std::sync::{Mutex, PoisonError};

/// A figure that was held against a source.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Claim {
    /// The row of the README's trust table that it belongs to, as its first cell has it.
    pub(crate) area: &'static str,
    /// What is claimed, with its unit.
    pub(crate) what: String,
    /// Who says so.
    pub(crate) source: &'static str,
    pub(crate) ours: f64,
    pub(crate) theirs: f64,
    /// How far ours may be off, in the same unit.
    pub(crate) allowed: f64,
}

static CLAIMS: Mutex<Vec<Claim>> = Mutex::new(Vec::new());

/// Holds our figure against a source's, within `allowed`, and notes it.
pub(crate) fn claim(
    area: &'static str,
    what: impl Into<String>,
    source: &'static str,
    [ours, theirs, allowed]: [f64; 3],
) {
    let claim = Claim { area, what: what.into(), source, ours, theirs, allowed };
    // Not a number is no agreement either.
    assert!((ours - theirs).abs() <= allowed, "{claim:?}");
    let mut claims = CLAIMS.lock().unwrap_or_else(PoisonError::into_inner);
    if !claims.contains(&claim) {
        claims.push(claim);
    }
}

/// All that was noted so far, in the order of the areas.
pub(crate) fn claims() -> Vec<Claim> {
    let mut claims = CLAIMS.lock().unwrap_or_else(PoisonError::into_inner).clone();
    claims.sort_by(|a, b| (a.area, a.source, &a.what).cmp(&(b.area, b.source, &b.what)));
    claims
}
