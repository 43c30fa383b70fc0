//! Where the random cases of a test come from. A usual run draws from the seed that is written beside the test; a long one
//! (`DOTDOWN_LONG=1`, which is `./build.sh test --long`) from a fresh one. `DOTDOWN_SEED=n` draws from n in either, so
//! that a case which a long run found can be drawn again; a test that fails prints which n that is.

#![allow(dead_code, reason = "each test program uses its own")]

use fastrand::Rng;
use proptest::test_runner::{Config, RngSeed};
use std::env;
use std::ops::Range;

/// Whether this is a long run.
pub(crate) fn long() -> bool {
    env::var_os("DOTDOWN_LONG").is_some_and(|value| value == "1")
}

/// The seed to draw from, told when it is not the usual one.
pub(crate) fn seed(usual: u64) -> u64 {
    let told = env::var("DOTDOWN_SEED").ok().map(|n| n.parse().expect("DOTDOWN_SEED is a whole number"));
    // Short enough to be typed, and with room for a count behind it.
    let seed = told.unwrap_or_else(|| if long() { u64::from(Rng::new().u32(..)) } else { usual });
    if seed != usual {
        let long = if long() { "DOTDOWN_LONG=1 " } else { "" };
        println!("drawn again with {long}DOTDOWN_SEED={seed}");
    }
    seed
}

/// So many seeds in a usual and in a long run, one after another.
pub(crate) fn seeds(usual: u64, few: u64, many: u64) -> Range<u64> {
    let first = seed(usual);
    first..first + if long() { many } else { few }
}

/// Dice.
pub(crate) fn dice(usual: u64) -> Rng {
    Rng::with_seed(seed(usual))
}

/// A property's settings: its seed, and the cases of a usual and of a long run.
pub(crate) fn cases(usual: u64, few: u32, many: u32) -> Config {
    Config {
        cases: if long() { many } else { few },
        rng_seed: RngSeed::Fixed(seed(usual)),
        failure_persistence: None,
        ..Config::default()
    }
}
