//! What the events of the bait screen make of the page: the tub test, and the durations of freezing and thawing.

use super::event::TubAction;
use super::tub_watch::{BaitTab, Stopwatch};
use super::{Page, Redraw};
use crate::results::cold;

impl Page {
    /// Takes a running stopwatch up again from the phone's storage, on the part where it stands.
    pub(super) fn take_up(&mut self, kept: &str) {
        self.stopwatch.started_ms = kept.parse().ok();
        if self.stopwatch.started_ms.is_some() {
            self.bait_tab = BaitTab::Tub;
        }
    }

    /// The stopwatch's button at the moment `now_ms` (milliseconds since 1970): a piece is let go, or has landed.
    pub fn tap(&mut self, now_ms: f64) -> Redraw {
        #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
        let now = now_ms.round() as i64;
        self.bait_tab = BaitTab::Tub;
        let tub = &mut self.plan.bait_more.tub;
        let Some(started) = self.stopwatch.started_ms.take() else {
            if tub.drops_ms.len() >= crate::plan::fields::MAX_DROPS {
                self.say("Fifty drops are enough: more would not tell more. Start a new test.", false);
                return Redraw::Screen;
            }
            self.stopwatch.started_ms = Some(now);
            if tub.drops_ms.is_empty() {
                tub.size_tenth_mm = Some(self.plan.bait.edge_tenth_mm);
                return Redraw::Screen;
            }
            return Redraw::Results;
        };
        match self.plan.bait_more.add_drop(now.saturating_sub(started)) {
            Ok(()) => {
                self.stopwatch.before_ms = Some(started);
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

    /// The duration that freezing or thawing takes by the model takes the place of the plan's own.
    pub(super) fn use_duration(&mut self, thaw: bool) {
        let time = if thaw { cold::thawing(&self.plan) } else { cold::freezing(&self.plan) };
        let Ok(time) = time else { return };
        self.remember("Your own duration is replaced.");
        let prep = &mut self.plan.prep;
        *(if thaw { &mut prep.thaw_min } else { &mut prep.freeze_min }) = cold::proposed_min(&time);
        self.rejected.remove(if thaw { "prep.thaw" } else { "prep.freeze" });
        self.refresh();
    }

    /// A button of the tub test.
    pub(super) fn tub_act(&mut self, act: TubAction) {
        let tub = &mut self.plan.bait_more.tub;
        match act {
            // One tap back: the piece was not let go, or has not landed yet.
            TubAction::Undo => {
                if self.stopwatch.started_ms.take().is_none() && tub.drops_ms.pop().is_some() {
                    self.stopwatch.started_ms = self.stopwatch.before_ms.take();
                }
            }
            TubAction::New => {
                self.remember("A new test begins.");
                let tub = &mut self.plan.bait_more.tub;
                tub.drops_ms.clear();
                tub.size_tenth_mm = None;
                (tub.pieces, tub.floated, tub.came_up) = (0, 0, 0);
                self.stopwatch = Stopwatch::default();
                self.rejected.retain(|path| !path.starts_with("tub."));
            }
            TubAction::Add => {
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
                self.stopwatch.before_ms = None;
            }
            TubAction::Out(place) if place < tub.drops_ms.len() => {
                self.remember("Taken out.");
                self.plan.bait_more.tub.drops_ms.remove(place);
                self.stopwatch.before_ms = None;
            }
            TubAction::Out(_) => {}
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
        let (old, new) = (before.results.sink.as_ref().unwrap(), page.results.sink.as_ref().unwrap());
        let wide = |s: &crate::bait::sink::Sink| s.speed_m_per_s.high / s.speed_m_per_s.low;
        assert!(wide(new) < 0.5 * (wide(old) - 1.0) + 1.0, "{} to {}", wide(old), wide(new));
        assert_eq!(page.results.by_label.as_ref(), Some(old));
        assert_eq!(page.results.tub.as_ref().unwrap().drops, 10);
        // 0.3048 m in about 5.9 s (thumb's delay off) is about 5.2 cm a second.
        assert!((new.speed_m_per_s.mid - 0.052).abs() < 0.004, "{}", new.speed_m_per_s.mid);
        assert!(page.results.falls.iter().all(|f| f.time_s.is_some()));
        assert_ne!(page.results.alternatives, before.results.alternatives);
        assert!(results(&page).contains("10 drops"));
    }

    #[test]
    fn a_kill_in_the_middle_of_a_drop_loses_nothing() {
        let mut page = tested();
        page.tap(T0 + 500_000.0);
        let kept = saved::read(&saved::write(&page.kept())).unwrap();
        let mut back = Page { plan: page.plan.clone(), ..Page::new() };
        back.take_up(&kept.stopwatch);
        assert_eq!((back.stopwatch.started_ms, back.bait_tab), (page.stopwatch.started_ms, BaitTab::Tub));
        back.tap(T0 + 506_100.0);
        assert_eq!(back.plan.bait_more.tub.drops_ms.last(), Some(&6_100));
    }

    #[test]
    fn one_tap_takes_one_tap_back() {
        let mut page = tested();
        page.tap(T0 + 900_000.0);
        page.act("tub:undo");
        assert_eq!(page.stopwatch.started_ms, None);
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
            assert!(page.stopwatch.started_ms.is_none() && !page.notices.is_empty(), "{landed}");
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
            assert!(page.rejected.contains("tub.by_hand"), "{typed}");
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
        page.act("part:cold");
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
        let sink = page.results.sink.clone().unwrap();
        // A hard pellet falls well over twice as fast as meat; its mass is that of its cylinder.
        assert!(sink.speed_m_per_s.mid > 0.1, "{sink:?}");
        assert!((sink.mass_g - 0.4825).abs() < 0.001, "{}", sink.mass_g);
        page.type_in("other.second", "60");
        assert!(
            page.results.sink.is_none() && !page.results.trouble.is_empty(),
            "too long for the laws is told"
        );
    }
}
