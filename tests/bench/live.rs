//! Prints whether the bank's advice holds: how often it changes, how soon it goes back, what it is worth, and what share
//! of the bites of one who always knows the best rig comes to one who follows it.
//!
//! `cargo bench --bench live` fishes 100 days of five hours at each water; `-- 20` fishes 20, `-- 20 bursts` those of the
//! waters with `bursts` in their name, `-- taps` only those of people who tap badly. The advice is read every 5 s.
//!
//! "Never" fishes the first rig all day, whatever is advised; "after 60 s" picks up the rig that has been advised for a
//! minute. A change is another rig advised than at the reading before; back is a change to the rig that was advised
//! before the last change, within five minutes of it, or within one. Worthless: readings of an advice to change which is
//! worth less than it costs; small: worth less than 0.3 bites beyond its cost; both as shares of all readings.
//! The share is of the bites of the best of three who know where the fish are: one swaps as soon as another rig is
//! better, one for a rig half as good again, one never; all pay for each swap.

#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small counts")]

#[path = "../bank_truth/mod.rs"]
mod bank_truth;

use bank_truth::{CAST_S, CASTS, Day, RIGS_M, START_MS, STRANGE, Truth, USUAL, VARIED, setup};
use dotdown::session::{AdviceKind, Event, EventKind, Session, SessionSetup};
use std::collections::VecDeque;

/// Between two readings of the advice, s.
const READ_S: f64 = 5.0;
/// The hours without any tap of one who forgets to tap, s since the all-in.
const SILENT_S: (f64, f64) = (5400.0, 12_600.0);

/// How somebody uses the page.
#[derive(Clone, Copy, Default)]
struct Habit {
    /// For how long an advice to change must stand before it is followed, s; none: it never is.
    follow_s: Option<f64>,
    /// Whether feeds say that the rig was lowered.
    recast: bool,
    /// One in ten feeds is not told.
    feeds_lost: bool,
    /// How late a change of rig is told, s.
    rig_late_s: f64,
    /// How late a bite is told, s.
    bite_late_s: f64,
    /// Two hours pass without a tap.
    silent: bool,
}

/// What came of some days.
#[derive(Clone, Default)]
struct Tally {
    days: u32,
    bites: u32,
    /// Bites outside the two hours without taps.
    bites_told: u32,
    oracle: u32,
    oracle_told: u32,
    readings: u32,
    changes: u32,
    /// Changes of what is said, other than by following it.
    lines: u32,
    back_5_min: u32,
    back_1_min: u32,
    worthless: u32,
    small: u32,
    swaps: u32,
}

/// One day of somebody.
struct Angler<'a> {
    day: &'a Day,
    habit: Habit,
    session: Session,
    /// Taps that are told later.
    later: VecDeque<(f64, Event)>,
    rig: usize,
    /// The rig that is advised, since when, s, and the one before it with its end.
    target: (usize, f64),
    before: Option<(usize, f64)>,
    line: String,
    luck: fastrand::Rng,
    tally: Tally,
}

impl Angler<'_> {
    fn fish(day: &Day, setup: &SessionSetup, habit: Habit, seed: u64) -> Tally {
        let setup = SessionSetup { feed_is_recast: habit.recast, ..setup.clone() };
        let mut angler = Angler {
            day,
            habit,
            session: Session::new(setup).unwrap(),
            later: VecDeque::new(),
            rig: 0,
            target: (0, 0.0),
            before: None,
            line: String::new(),
            luck: fastrand::Rng::with_seed(seed),
            tally: Tally { days: 1, ..Tally::default() },
        };
        let mut cast = 0;
        while cast < CASTS {
            let at_s = CAST_S * cast as f64;
            if let Some(after_s) = habit.follow_s
                && angler.target.0 != angler.rig
                && at_s - angler.target.1 >= after_s
            {
                angler.rig = angler.target.0;
                angler.tally.swaps += 1;
                let event = Event::new(0.0, EventKind::PickUpRig).with_rig(angler.rig as u32);
                angler.tell(at_s, habit.rig_late_s, event);
                for _ in 0..day.truth.swap_casts {
                    angler.read(CAST_S * cast as f64, CAST_S);
                    cast += 1;
                }
                continue;
            }
            angler.cast(cast);
            cast += 1;
        }
        angler.tally
    }

    fn cast(&mut self, cast: usize) {
        let at_s = CAST_S * cast as f64;
        if !(self.habit.feeds_lost && self.luck.f64() < 0.1) {
            let kind = if self.habit.recast { EventKind::Fed } else { EventKind::Cast };
            self.tell(at_s, 0.0, Event::new(0.0, kind));
        }
        let bite_s = self.day.bite_s(self.rig, cast);
        self.read(at_s, bite_s.unwrap_or(CAST_S));
        if let Some(bite_s) = bite_s {
            self.tally.bites += 1;
            self.tally.bites_told += u32::from(!silent(at_s));
            self.tell(at_s + bite_s, self.habit.bite_late_s, Event::new(0.0, EventKind::Missed));
            self.read(at_s + bite_s, CAST_S - bite_s);
        }
    }

    /// A tap of this moment, told so much later.
    fn tell(&mut self, at_s: f64, late_s: f64, event: Event) {
        if self.habit.silent && silent(at_s) {
            return;
        }
        let place = self.later.partition_point(|(due_s, _)| *due_s <= at_s + late_s);
        self.later.insert(place, (at_s + late_s, event));
        self.come_to(at_s);
    }

    /// Taps that are due by now reach the session.
    fn come_to(&mut self, at_s: f64) {
        while self.later.front().is_some_and(|(due_s, _)| *due_s <= at_s) {
            if let Some((due_s, event)) = self.later.pop_front() {
                let at_ms = START_MS + 1000.0 * due_s;
                self.session.record(Event { at_ms, ..event }).unwrap();
            }
        }
    }

    /// Reads the advice at each fifth second of a stretch.
    fn read(&mut self, from_s: f64, for_s: f64) {
        let mut at_s = (from_s / READ_S).ceil() * READ_S;
        while at_s < from_s + for_s {
            self.come_to(at_s);
            self.look(at_s);
            at_s += READ_S;
        }
    }

    fn look(&mut self, at_s: f64) {
        let advice = self.session.advice(START_MS + 1000.0 * at_s).unwrap();
        self.tally.readings += 1;
        if advice.kind == AdviceKind::PickUpRig {
            self.tally.worthless += u32::from(advice.gain_bites < 0.0);
            self.tally.small += u32::from(advice.gain_bites < 0.3);
        }
        let target = advice.rig as usize;
        if advice.line != self.line {
            self.tally.lines += u32::from(target != self.target.0 || advice.kind != AdviceKind::Stay);
            self.line = advice.line;
        }
        if target == self.target.0 {
            return;
        }
        self.tally.changes += 1;
        if let Some((before, left_s)) = self.before
            && before == target
        {
            self.tally.back_5_min += u32::from(at_s - left_s <= 300.0);
            self.tally.back_1_min += u32::from(at_s - left_s <= 60.0);
        }
        self.before = Some((self.target.0, at_s));
        self.target = (target, at_s);
    }
}

fn silent(at_s: f64) -> bool {
    (SILENT_S.0..SILENT_S.1).contains(&at_s)
}

/// Bites of one who knows where the fish are, and those outside the two hours without taps.
fn oracle(day: &Day) -> (u32, u32) {
    let counted = |choose: &dyn Fn(usize, usize) -> usize| {
        let (mut rig, mut cast, mut all, mut told) = (0, 0, 0, 0);
        while cast < CASTS {
            let chosen = choose(rig, cast);
            if chosen != rig {
                rig = chosen;
                cast += day.truth.swap_casts;
                continue;
            }
            let bite = u32::from(day.bite_s(rig, cast).is_some());
            all += bite;
            told += bite * u32::from(!silent(CAST_S * cast as f64));
            cast += 1;
        }
        (all, told)
    };
    let mut best = counted(&|_, cast| day.best_rig(cast));
    best = best.max(counted(&|rig, cast| {
        let chosen = day.best_rig(cast);
        if day.expected(chosen, cast) > 1.5 * day.expected(rig, cast) { chosen } else { rig }
    }));
    (0..RIGS_M.len()).map(|kept| counted(&|_, _| kept)).fold(best, Ord::max)
}

fn days(truth: Truth, habit: Habit, count: u64) -> Tally {
    let setup = setup(&truth);
    let mut sum = Tally::default();
    for seed in 0..count {
        let day = Day::new(truth, seed);
        let mut one = Angler::fish(&day, &setup, habit, seed);
        (one.oracle, one.oracle_told) = oracle(&day);
        sum = Tally {
            days: sum.days + one.days,
            bites: sum.bites + one.bites,
            bites_told: sum.bites_told + one.bites_told,
            oracle: sum.oracle + one.oracle,
            oracle_told: sum.oracle_told + one.oracle_told,
            readings: sum.readings + one.readings,
            changes: sum.changes + one.changes,
            lines: sum.lines + one.lines,
            back_5_min: sum.back_5_min + one.back_5_min,
            back_1_min: sum.back_1_min + one.back_1_min,
            worthless: sum.worthless + one.worthless,
            small: sum.small + one.small,
            swaps: sum.swaps + one.swaps,
        };
    }
    sum
}

impl Tally {
    fn share(&self) -> f64 {
        f64::from(self.bites) / f64::from(self.oracle)
    }

    fn share_told(&self) -> f64 {
        f64::from(self.bites_told) / f64::from(self.oracle_told)
    }

    fn print(&self, name: &str) {
        let hours = f64::from(self.days) * CAST_S * CASTS as f64 / 3600.0;
        let an_hour = |count: u32| f64::from(count) / hours;
        let of_readings = |count: u32| f64::from(count) / f64::from(self.readings);
        println!(
            "{name:40} {:6.3} {:8.2} {:7.2} {:7.2} {:7.2} {:9.3} {:6.3} {:6.2}",
            self.share(),
            an_hour(self.changes),
            an_hour(self.lines),
            an_hour(self.back_5_min),
            an_hour(self.back_1_min),
            of_readings(self.worthless),
            of_readings(self.small),
            an_hour(self.swaps)
        );
    }
}

fn head() {
    println!(
        "{:40} {:>6} {:>8} {:>7} {:>7} {:>7} {:>9} {:>6} {:>6}",
        "water, an hour", "share", "changes", "lines", "back 5'", "back 1'", "worthless", "small", "swaps"
    );
}

/// Days of people who tap badly: the documented water, each feed a re-cast.
fn bad_taps(count: u64) {
    let good = Habit { follow_s: Some(60.0), recast: true, ..Habit::default() };
    println!(
        "\nPeople who tap badly, hook baits falling at 0.10 m/s; share over the hours with taps in the last column:"
    );
    for (name, habit) in [
        ("well", good),
        ("one feed in ten not told", Habit { feeds_lost: true, ..good }),
        ("changes of rig told a minute late", Habit { rig_late_s: 60.0, ..good }),
        ("bites told 5 s late", Habit { bite_late_s: 5.0, ..good }),
        ("two hours without a tap", Habit { silent: true, ..good }),
    ] {
        let tally = days(Truth { fall_m_per_s: 0.10, ..USUAL }, habit, count);
        println!("{name:40} {:6.3} {:6.3}", tally.share(), tally.share_told());
    }
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with("--")).collect();
    let count: u64 = args.iter().find_map(|arg| arg.parse().ok()).unwrap_or(100);
    let words: Vec<&String> = args.iter().filter(|arg| arg.parse::<u64>().is_err()).collect();
    let asked = |name: &str| words.is_empty() || words.iter().any(|word| name.contains(word.as_str()));
    println!(
        "{count} days of five hours, rigs at {RIGS_M:?} m, hook baits falling at 0.10 m/s; read every 5 s."
    );
    for (who, follow_s) in [("Never followed", None), ("Followed after 60 s", Some(60.0))] {
        println!("\n{who}:");
        head();
        for truth in std::iter::once(USUAL).chain(VARIED).chain(STRANGE).filter(|truth| asked(truth.name)) {
            let truth = Truth { fall_m_per_s: 0.10, ..truth };
            days(truth, Habit { follow_s, ..Habit::default() }, count).print(truth.name);
        }
    }
    if asked("taps") {
        bad_taps(count);
    }
}
