//! Prints what a season at one water teaches: shares of the bites of one who always knows the best rig.
//!
//! `cargo bench --bench season` fishes 30 seasons of 15 days at each water; `-- 5` fishes five, `-- 5 dev` five on seeds
//! kept for development, `-- 5 slow` those of the waters with `slow` in their name. With `watch` the table is printed
//! after every season. `-- times` only times the learning and a tap.
//!
//! Of each season days 6 to 15 count. Default: a session that knows nothing. Learned: one that has the habits of the days
//! before, as it fished them itself. Told: one whose filter has the truth's own numbers, on the last water those of each
//! day. Kept: habits of the first five days, kept as they were and used without doubt. Worst: the least of learned less
//! default of all single seasons. Used: share of the days on which habits were used.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "small counts, and values that must come back exactly"
)]

#[path = "../bank_truth/mod.rs"]
mod bank_truth;

use bank_truth::{Day, Truth, USUAL, setup};
use dotdown::plan::{Plan, presets::first};
use dotdown::results::session_setup::habits_of;
use dotdown::session::habits::{Band, Habits, Picture, Standing, TaughtWater, VERSION};
use dotdown::session::{Event, EventKind, FishedDay, Log, Session, SessionSetup, habits};
use std::hint::black_box;
use std::time::Instant;

const DAYS: usize = 15;
/// Days from here on count.
const FROM: usize = 5;

struct Water {
    truth: Truth,
    /// What it is from the sixth day on, if another.
    then: Option<Truth>,
}

const FALLING: Truth = Truth { fall_m_per_s: 0.10, ..USUAL };

fn waters() -> Vec<Water> {
    let one = |truth| Water { truth, then: None };
    let bottom: fn(f64) -> f64 = |_| 0.0;
    let shallow: fn(f64) -> f64 = |_| 1.0;
    let mostly_bottom: fn(f64) -> f64 = |_| 0.1;
    let turns: fn(f64) -> f64 = |hours| if (hours as u32).is_multiple_of(2) { 0.0 } else { 1.0 };
    vec![
        one(FALLING),
        one(Truth { name: "fish only in the bottom band", shallow: bottom, ..FALLING }),
        one(Truth {
            name: "steady, nine tenths on the bottom",
            shallow: mostly_bottom,
            jump_casts: 450.0,
            ..FALLING
        }),
        one(Truth {
            name: "slow, nine tenths on the bottom",
            shallow: mostly_bottom,
            activity: 1.0 / 3.0,
            ..FALLING
        }),
        one(Truth { name: "restless, band twice as wide", band_m: 0.20, jump_casts: 50.0, ..FALLING }),
        one(Truth { name: "shallow only", shallow, ..FALLING }),
        one(Truth { name: "steady, shallow", shallow, jump_casts: 450.0, ..FALLING }),
        one(Truth {
            name: "place changes by the time of day",
            shallow: |hours| if hours < 2.5 { 1.0 } else { 0.0 },
            jump_casts: 450.0,
            ..FALLING
        }),
        one(Truth { name: "turns each hour", shallow: turns, ..FALLING }),
        Water {
            truth: Truth { name: "five days shallow, then bottom", shallow, ..FALLING },
            then: Some(Truth { shallow: bottom, ..FALLING }),
        },
    ]
}

impl Water {
    fn day(&self, first: u64, at: usize) -> Day {
        let truth = self.then.filter(|_| at >= FROM).unwrap_or(self.truth);
        Day::new(truth, first + at as u64)
    }
}

/// Habits that are the truth's own numbers.
fn told(truth: &Truth) -> Habits {
    let cells = 43;
    let share = |from: f64, to: f64, at: usize| {
        let (a, b) = (0.05 * at as f64, 0.05 * (at + 1) as f64);
        (b.min(to) - a.max(from)).max(0.0) / (to - from)
    };
    let block = |hour: usize| {
        let shallow = (truth.shallow)(0.5 * hour as f64 + 0.25);
        (0..cells).map(|at| shallow * share(0.2, 0.8, at) + (1.0 - shallow) * share(1.6, 2.1, at)).collect()
    };
    let same = (0..10).all(|hour| (truth.shallow)(0.5 * f64::from(hour)) == (truth.shallow)(0.0));
    let level = truth.activity.log2() + 2.0;
    let activity = (0..5).map(|at| (1.0 - (f64::from(at) - level).abs()).max(0.0)).collect();
    Habits {
        version: VERSION,
        days: 99,
        counting_days: 99,
        standing: Standing::Used,
        usual: 0.0,
        waters: vec![TaughtWater {
            weight: 1.0,
            water_depth_m: 2.15,
            jump_every_s: 20.0 * truth.jump_casts,
            block_s: 1800.0,
            jump_to: (0..if same { 1 } else { 10 }).map(block).collect(),
            activity,
            bands: vec![Band { band_m: truth.band_m, fall: 1.0, chance: 1.0 }],
        }],
        picture: Picture::default(),
    }
}

/// Bites of one day, of each kind of angler.
#[derive(Clone, Copy, Default)]
struct Bites {
    oracle: f64,
    usual: f64,
    learned: f64,
    told: f64,
    kept: f64,
    used: f64,
}

impl Bites {
    fn plus(self, other: Self) -> Self {
        Self {
            oracle: self.oracle + other.oracle,
            usual: self.usual + other.usual,
            learned: self.learned + other.learned,
            told: self.told + other.told,
            kept: self.kept + other.kept,
            used: self.used + other.used,
        }
    }
}

fn season(water: &Water, first: u64) -> [Bites; DAYS] {
    let mut season = [Bites::default(); DAYS];
    let mut days: Vec<FishedDay> = Vec::new();
    let mut known: Option<Habits> = None;
    let mut kept: Option<Habits> = None;
    for (at, bites) in season.iter_mut().enumerate() {
        let day = water.day(first, at);
        let base = setup(&day.truth);
        let with = |habits: Option<Habits>| SessionSetup { habits, ..base.clone() };
        let fished = |habits| f64::from(day.fished(&with(habits)).0);
        bites.used =
            f64::from(u8::from(known.as_ref().is_some_and(|known| known.standing == Standing::Used)));
        let (learned, _, log) = day.fished(&with(known.take()));
        if at >= FROM {
            bites.oracle = f64::from(day.oracle());
            bites.learned = f64::from(learned);
            bites.usual = fished(None);
            bites.told = fished(Some(told(&day.truth)));
            if water.then.is_some() {
                bites.kept = fished(kept.clone());
            }
        }
        days.push(FishedDay { date: 20_000 + at as i32, setup: base, log });
        // Before three days nothing is used, and after the last nothing is fished.
        if days.len() >= 3 && days.len() < DAYS {
            known = Some(habits(&days).unwrap());
        }
        if days.len() == FROM {
            kept = known.clone().map(|habits| Habits { usual: 0.0, ..habits });
        }
    }
    season
}

/// A median with least, ms.
fn time_ms(runs: usize, mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

/// How long ten logs of 2,000 lines take, and a tap with habits beside one without.
fn times() {
    let water = &waters()[8];
    let days: Vec<FishedDay> = (0..10)
        .map(|at| {
            let day = water.day(42, at);
            let base = setup(&day.truth);
            let mut log = day.fished(&base).2;
            // Feeds, up to 2,000 lines.
            for feed in log.events().len()..2000 {
                let at_ms = base.start_ms + 18_000_000.0 + feed as f64;
                log.push(Event::new(at_ms, EventKind::Fed), 0.0).unwrap();
            }
            FishedDay { date: 20_000 + at as i32, setup: base, log }
        })
        .collect();
    let mut known = None;
    let ms = time_ms(5, || known = Some(habits(black_box(&days)).unwrap()));
    let known = known.unwrap();
    let plans: Vec<(Plan, Log)> = days.iter().map(|day| (first(), day.log.clone())).collect();
    let with_plans_ms = time_ms(5, || drop(habits_of(black_box(&plans)).unwrap()));
    println!(
        "habits of {} logs of {} lines: {ms:.0} ms (median of 5), with their plans worked out {with_plans_ms:.0} ms",
        days.len(),
        days[0].log.events().len()
    );
    println!("  {}", known.sentence(None));
    let taps = |habits: Option<Habits>| {
        let mut session =
            Session::with_log(SessionSetup { habits, ..days[0].setup.clone() }, &days[0].log).unwrap();
        let mut now_ms = days[0].setup.start_ms + 18_100_000.0;
        time_ms(501, || {
            now_ms += 20_000.0;
            session.record(Event::new(now_ms, EventKind::Cast)).unwrap();
            black_box(session.state(now_ms).unwrap());
            black_box(session.advice(now_ms).unwrap());
        })
    };
    let (usual, learned) = (taps(None), taps(Some(known)));
    println!(
        "a tap with state and advice: {usual:.3} ms, with habits {learned:.3} ms: {:.2} times",
        learned / usual
    );
}

/// The rows so far: of each water, its seasons.
fn print(waters: &[Water], seasons: &[Vec<[Bites; DAYS]>]) {
    println!(
        "{:36} {:>7} {:>7} {:>7} {:>7} {:>7} {:>6} {:>8}",
        "water, days 6 to 15", "default", "learned", "told", "kept", "worst", "used", "seasons"
    );
    for (water, seasons) in waters.iter().zip(seasons) {
        let late =
            |season: &[Bites; DAYS]| season[FROM..].iter().copied().reduce(Bites::plus).unwrap_or_default();
        let ahead = |one: Bites| (one.learned - one.usual) / one.oracle;
        let worst = seasons.iter().map(|season| ahead(late(season))).fold(f64::INFINITY, f64::min);
        let all = seasons.iter().map(late).fold(Bites::default(), Bites::plus);
        let share = |bites: f64| bites / all.oracle;
        println!(
            "{:36} {:7.3} {:7.3} {:7.3} {:7.3} {worst:7.3} {:6.2} {:8}",
            water.truth.name,
            share(all.usual),
            share(all.learned),
            share(all.told),
            share(all.kept),
            all.used / (seasons.len() * (DAYS - FROM)) as f64,
            seasons.len()
        );
        if water.then.is_some() {
            for day in FROM..DAYS {
                let all = seasons.iter().map(|season| season[day]).fold(Bites::default(), Bites::plus);
                let (usual, learned) = (all.usual / all.oracle, all.learned / all.oracle);
                println!("  new day {:2}: default {usual:.3}, learned {learned:.3}", day + 1 - FROM);
            }
        }
    }
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with("--")).collect();
    let said = |word: &str| args.iter().any(|arg| arg == word);
    if said("times") {
        return times();
    }
    let count: u64 = args.iter().find_map(|arg| arg.parse().ok()).unwrap_or(30);
    let words: Vec<&String> = args
        .iter()
        .filter(|arg| !["dev", "watch"].contains(&arg.as_str()) && arg.parse::<u64>().is_err())
        .collect();
    let first = if said("dev") { 500_000 } else { 7_000_000 };
    let numbered: Vec<(u64, Water)> = (0..).zip(waters()).collect();
    let asked =
        |water: &Water| words.is_empty() || words.iter().any(|word| water.truth.name.contains(word.as_str()));
    let (numbers, waters): (Vec<u64>, Vec<Water>) =
        numbered.into_iter().filter(|(_, water)| asked(water)).unzip();
    let mut seasons: Vec<Vec<[Bites; DAYS]>> = vec![Vec::new(); waters.len()];
    for at in 0..count {
        for ((number, water), seasons) in numbers.iter().zip(&waters).zip(&mut seasons) {
            seasons.push(season(water, first + 10_000 * number + 100 * at));
        }
        if said("watch") && at + 1 < count {
            print(&waters, &seasons);
        }
    }
    print(&waters, &seasons);
    times();
}
