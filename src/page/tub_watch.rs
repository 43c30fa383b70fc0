//! The tub test's stopwatch, and the buttons of the bait in depth. The moment of a tap is handed in by `web`.
//!
//! What runs is kept as the moment of the drop on the phone's own clock, so that a reload, a killed browser or a phone
//! call in the middle of a drop loses nothing.

use super::{Page, Redraw};
use crate::results::cold;

/// The parts of the bait screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BaitTab {
    /// The fall, the amounts and the preparation.
    #[default]
    Fall,
    /// The tub test.
    Tub,
    /// Floaters and the wash.
    Wash,
    /// Freezing and thawing.
    Cold,
}

impl BaitTab {
    /// All of them with their names in a button and in words.
    pub const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::Fall, "fall", "Today"),
        (Self::Tub, "tub", "Tub test"),
        (Self::Wash, "wash", "Floaters"),
        (Self::Cold, "cold", "Frozen"),
    ];

    /// The one that a name stands for.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n, _)| *n == name).map(|&(tab, ..)| tab)
    }
}

/// A stopwatch that knows no clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stopwatch {
    /// When the piece that is falling was let go, ms since 1970.
    pub started_ms: Option<i64>,
    /// When the piece before it was let go, so that a landing tapped by mistake can be taken back.
    pub before_ms: Option<i64>,
}

impl Stopwatch {
    /// As text for the phone's storage.
    #[must_use]
    pub fn kept(&self) -> String {
        self.started_ms.map_or_else(String::new, |ms| ms.to_string())
    }
}

impl Page {
    /// Takes a running stopwatch up again from the phone's storage, on the part where it stands.
    pub(super) fn take_up(&mut self, kept: &str) {
        self.watch.started_ms = kept.parse().ok();
        if self.watch.started_ms.is_some() {
            self.part = BaitTab::Tub;
        }
    }

    /// The stopwatch's button at the moment `now_ms` (milliseconds since 1970): a piece is let go, or has landed.
    pub fn tap(&mut self, now_ms: f64) -> Redraw {
        #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
        let now = now_ms.round() as i64;
        self.part = BaitTab::Tub;
        let tub = &mut self.plan.bait_more.tub;
        let Some(started) = self.watch.started_ms.take() else {
            if tub.drops_ms.len() >= crate::plan::fields::MAX_DROPS {
                self.say("Fifty drops are enough: more would not tell more. Start a new test.", false);
                return Redraw::Screen;
            }
            self.watch.started_ms = Some(now);
            if tub.drops_ms.is_empty() {
                tub.size_tenth_mm = Some(self.plan.bait.edge_tenth_mm);
                return Redraw::Screen;
            }
            return Redraw::Results;
        };
        match self.plan.bait_more.add_drop(now.saturating_sub(started)) {
            Ok(()) => {
                self.watch.before_ms = Some(started);
                self.refresh();
                Redraw::Results
            }
            Err(_) if now <= started => {
                self.say(
                    "The landing came before the drop: the phone’s clock was set. Time this piece again.",
                    false,
                );
                Redraw::Screen
            }
            Err(e) => {
                self.say(&["That drop was left out. ", &e.to_string()].concat(), false);
                Redraw::Screen
            }
        }
    }

    /// The buttons of the bait in depth: their verb and what it is about.
    pub(super) fn bait_act(&mut self, verb: &str, about: &str) -> Redraw {
        match verb {
            "part" => {
                let Some((part, ..)) = BaitTab::ALL.iter().find(|(_, name, _)| *name == about) else {
                    return Redraw::Nothing;
                };
                self.part = *part;
            }
            "tub" => self.tub_act(about),
            "use" => {
                let chill = match about {
                    "freeze" => cold::freezing(&self.plan),
                    "thaw" => cold::thawing(&self.plan),
                    _ => return Redraw::Nothing,
                };
                let Ok(chill) = chill else { return Redraw::Nothing };
                self.remember("Your own duration is replaced.");
                let minutes = cold::proposed_min(&chill);
                let prep = &mut self.plan.prep;
                *(if about == "thaw" { &mut prep.thaw_min } else { &mut prep.freeze_min }) = minutes;
                self.bad.remove(&["prep.", about].concat());
                self.refresh();
            }
            _ => return Redraw::Nothing,
        }
        Redraw::Screen
    }

    fn tub_act(&mut self, about: &str) {
        let tub = &mut self.plan.bait_more.tub;
        match about {
            // One tap back: the piece was not let go, or has not landed yet.
            "undo" => {
                if self.watch.started_ms.take().is_none() && tub.drops_ms.pop().is_some() {
                    self.watch.started_ms = self.watch.before_ms.take();
                }
            }
            "new" => {
                self.remember("A new test begins.");
                let tub = &mut self.plan.bait_more.tub;
                tub.drops_ms.clear();
                tub.size_tenth_mm = None;
                (tub.pieces, tub.floated, tub.came_up) = (0, 0, 0);
                self.watch = Stopwatch::default();
                self.bad.retain(|path| !path.starts_with("tub."));
            }
            "add" => {
                let Some(ms) = tub.by_hand_ms else {
                    self.say("Write the time of the drop first, such as 6.2.", false);
                    return;
                };
                if tub.drops_ms.is_empty() {
                    tub.size_tenth_mm = Some(self.plan.bait.edge_tenth_mm);
                }
                match self.plan.bait_more.add_drop(i64::from(ms)) {
                    Ok(()) => self.plan.bait_more.tub.by_hand_ms = None,
                    Err(refused) if refused.code() == "out_of_range" => {
                        self.say(
                            "Fifty drops are enough: more would not tell more. Start a new test.",
                            false,
                        );
                    }
                    Err(e) => self.say(&e.to_string(), false),
                }
                self.watch.before_ms = None;
            }
            _ => {
                let place = about.strip_prefix("out.").and_then(|i| i.parse::<usize>().ok());
                if let Some(place) = place.filter(|i| *i < tub.drops_ms.len()) {
                    self.remember("Taken out.");
                    self.plan.bait_more.tub.drops_ms.remove(place);
                    self.watch.before_ms = None;
                }
            }
        }
        self.refresh();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::saved;
    use crate::view::results;

    const T0: f64 = 1_790_000_000_000.0;

    /// Ten drops of the times that a typical cube takes here.
    fn tested() -> Page {
        let mut page = Page::new();
        page.screen = crate::page::Screen::Bait;
        for (i, ms) in
            [5_900, 6_050, 6_200, 5_750, 6_100, 5_980, 6_300, 5_850, 6_020, 6_150].iter().enumerate()
        {
            let start = T0 + 20_000.0 * f64::from(u32::try_from(i).unwrap());
            page.tap(start);
            page.tap(start + f64::from(*ms));
        }
        page
    }

    #[test]
    fn drops_replace_the_label_and_narrow_the_band() {
        let (before, page) = (Page::new(), tested());
        let (old, new) = (before.day.sink.as_ref().unwrap(), page.day.sink.as_ref().unwrap());
        let wide = |s: &crate::bait::sink::Sink| s.speed_m_per_s.high / s.speed_m_per_s.low;
        assert!(wide(new) < 0.5 * (wide(old) - 1.0) + 1.0, "{} to {}", wide(old), wide(new));
        assert_eq!(page.day.by_label.as_ref(), Some(old));
        assert_eq!(page.day.tub.as_ref().unwrap().drops, 10);
        // 0.3048 m in about 5.9 s (thumb's delay off) is about 5.2 cm a second.
        assert!((new.speed_m_per_s.mid - 0.052).abs() < 0.004, "{}", new.speed_m_per_s.mid);
        assert!(page.day.falls.iter().all(|f| f.time_s.is_some()));
        assert_ne!(page.day.alternatives, before.day.alternatives);
        assert!(results(&page).contains("10 drops"));
    }

    #[test]
    fn a_kill_in_the_middle_of_a_drop_loses_nothing() {
        let mut page = tested();
        page.tap(T0 + 500_000.0);
        let mut back = saved::read(&saved::write(&page, 7)).unwrap().page;
        assert_eq!(back.plan, page.plan);
        assert_eq!((back.watch.started_ms, back.part), (page.watch.started_ms, BaitTab::Tub));
        back.tap(T0 + 506_100.0);
        assert_eq!(back.plan.bait_more.tub.drops_ms.last(), Some(&6_100));
        // A text that an older page kept has no line for it.
        let old = saved::read(&saved::write(&Page::new(), 8)).unwrap().page;
        assert_eq!((old.watch, old.part), (Stopwatch::default(), BaitTab::Fall));
    }

    #[test]
    fn one_tap_takes_one_tap_back() {
        let mut page = tested();
        page.tap(T0 + 900_000.0);
        page.act("tub:undo");
        assert_eq!(page.watch.started_ms, None);
        assert_eq!(page.plan.bait_more.tub.drops_ms.len(), 10, "only the drop tap is gone");
        page.tap(T0 + 900_000.0);
        page.tap(T0 + 901_000.0);
        page.act("tub:undo");
        page.tap(T0 + 906_000.0);
        assert_eq!(
            page.plan.bait_more.tub.drops_ms.last(),
            Some(&6_000),
            "the early landing is gone, the fall goes on"
        );
        assert_eq!(page.plan.bait_more.tub.drops_ms.len(), 11);
    }

    #[test]
    fn bad_drops_are_told_and_lose_nothing() {
        let mut page = tested();
        let before = page.plan.clone();
        for landed in [0.0, -5_000.0, 120.0, 130_000.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            page.tap(T0);
            page.tap(T0 + landed);
            assert_eq!(page.plan, before, "{landed}");
            assert!(page.watch.started_ms.is_none() && !page.notices.is_empty(), "{landed}");
            page.notices.clear();
        }
        for _ in 0..60 {
            page.tap(T0);
            page.tap(T0 + 6_000.0);
        }
        assert_eq!(page.plan.bait_more.tub.drops_ms.len(), 50);
        page.type_in("tub.by_hand", "6,0");
        page.act("tub:add");
        assert_eq!(page.plan.bait_more.tub.drops_ms.len(), 50);
        page.act("tub:out.3");
        page.act("tub:add");
        assert_eq!((page.plan.bait_more.tub.drops_ms.len(), page.plan.bait_more.tub.by_hand_ms), (50, None));
        for typed in ["0", "-3", "0.1", "200", "six"] {
            page.type_in("tub.by_hand", typed);
            assert!(page.bad.contains("tub.by_hand"), "{typed}");
        }
        page.act("tub:new");
        page.act("undo");
        assert_eq!(page.plan.bait_more.tub.drops_ms.len(), 50, "a new test can be taken back");
        for act in ["tub:out.99", "tub:out.x", "tub:", "part:x", "use:x", "use:"] {
            page.act(act);
        }
    }

    #[test]
    fn every_part_shows_and_every_measure_is_used() {
        let mut page = tested();
        for (_, name, _) in BaitTab::ALL {
            page.act(&["part:", name].concat());
            let shown = crate::view::screen(&page);
            assert!(shown.contains("data-result=") && !shown.contains("NaN"), "{name}");
        }
        page.type_in("prep.thaw", "180");
        let before = page.plan.prep.thaw_min;
        page.act("use:thaw");
        assert_ne!(page.plan.prep.thaw_min, before);
        assert_eq!(page.plan.prep.thaw_min % 15, 0);
        page.act("undo");
        assert_eq!(page.plan.prep.thaw_min, before);
    }

    #[test]
    fn another_bait_by_the_same_law() {
        let mut page = Page::new();
        page.type_in("bait.edge", "8");
        page.type_in("other.form", "2");
        page.type_in("other.second", "8");
        page.type_in("other.density", "1200");
        let sink = page.day.sink.clone().unwrap();
        // A hard pellet falls well over twice as fast as meat; its mass is that of its cylinder.
        assert!(sink.speed_m_per_s.mid > 0.1, "{sink:?}");
        assert!((sink.mass_g - 0.4825).abs() < 0.001, "{}", sink.mass_g);
        page.type_in("other.second", "60");
        assert!(page.day.sink.is_none() && !page.day.trouble.is_empty(), "too long for the laws is told");
    }
}
