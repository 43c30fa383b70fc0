//! What the events of the bait screen make of the page: the tub test, and the durations of freezing and thawing.

use super::action::TubAction;
use super::sheet::Sheet;
use super::tub_watch::Stopwatch;
use super::{Page, Redraw, Screen};
use crate::plan::fields::NEVER_MS;
use crate::results::cold;

/// A moment in whole milliseconds.
#[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
pub(super) fn whole_ms(ms: f64) -> i64 {
    ms.round() as i64
}

/// What is tapped between two and ten minutes after the drop has not landed in two, and tells that; later taps come from a
/// stopwatch that was forgotten.
const FORGOTTEN_MS: i64 = 600_000;

impl Page {
    /// Takes a running stopwatch up again from the phone's storage, on the part where it stands.
    pub(super) fn take_up(&mut self, kept: &str) {
        self.stopwatch.started_ms = kept.parse().ok();
        if self.stopwatch.started_ms.is_some() {
            self.sheet = Some(Sheet::Tub).filter(|_| self.screen == Screen::Bait);
        }
    }

    /// Has what the drops narrow at hand where it is shown.
    pub(super) fn follow_tub(&mut self) {
        if self.sheet_shown() == Some(Sheet::Tub) && !self.plan.bait_more.tub.drops_ms.is_empty() {
            self.tub_course.follow(&self.plan);
        }
    }

    /// The stopwatch's button at the moment `now_ms` (milliseconds since 1970): a piece is let go, or has landed.
    pub fn tap(&mut self, now_ms: f64) -> Redraw {
        let now = whole_ms(now_ms);
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
        let took = now.saturating_sub(started);
        let took = if took < FORGOTTEN_MS { took.min(NEVER_MS.into()) } else { took };
        match self.plan.bait_more.add_drop(took) {
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
                self.remember("Deleted.");
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
    use crate::page::action::Action;
    use crate::page::event::Event;
    use crate::page::saved;
    use crate::plan::fields::bounds_of;
    use crate::results::bait::why_pieces_float;
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
        let mut back = Page { plan: page.plan.clone(), screen: Screen::Bait, ..Page::new() };
        back.take_up(&kept.stopwatch);
        assert_eq!((back.stopwatch.started_ms, back.sheet), (page.stopwatch.started_ms, Some(Sheet::Tub)));
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
        for landed in [0.0, -5_000.0, 120.0, 600_000.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
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
        for act in ["tub:out.99", "tub:out.x", "tub:", "tab:x", "use:x", "use:"] {
            page.act(act);
        }
    }

    #[test]
    fn a_drop_that_has_not_landed_in_two_minutes_is_one_that_never_does() {
        let mut page = tested();
        let before = page.results.sink.as_ref().unwrap().speed_m_per_s;
        for _ in 0..10 {
            page.tap(T0);
            page.tap(T0 + 150_000.0);
        }
        assert_eq!(page.plan.bait_more.tub.drops_ms[10..], [NEVER_MS; 10]);
        assert_eq!(bounds_of("tub.by_hand").unwrap().most, NEVER_MS);
        assert!((crate::bait::tub_test::MAX_SECONDS - f64::from(NEVER_MS) / 1000.0).abs() < 1e-9);
        (page.screen, page.sheet) = (Screen::Bait, Some(Sheet::Tub));
        assert!(results(&page).contains("not landed"), "{}", results(&page));
        let after = page.results.sink.as_ref().unwrap().speed_m_per_s;
        assert!(after.low < 0.8 * before.low, "half of them never landed: {before:?} {after:?}");
    }

    /// Of the answer by the label and the answer by the drops the second is what the other screens work with.
    #[test]
    fn what_the_drops_tell_goes_on_to_balance_floaters_and_rigs() {
        let mut page = Page::new();
        page.screen = crate::page::Screen::Bait;
        let test = |page: &mut Page, drops_ms: Vec<i32>, came_up: i32| {
            let tub = &mut page.plan.bait_more.tub;
            (tub.drops_ms, tub.pieces, tub.floated, tub.came_up) = (drops_ms, 30, came_up, came_up);
            page.refresh();
        };
        let excess = |page: &Page| {
            let sink = page.results.sink.as_ref().unwrap();
            sink.density_kg_per_m3.mid - sink.water_kg_per_m3
        };
        let hangs_ng = |page: &Page| page.results.rigs[0].balance.as_ref().unwrap().bait_ng as f64;
        let held = |page: &Page| {
            let sink = page.results.sink.as_ref().unwrap();
            why_pieces_float(&page.plan, sink).unwrap().six_and_eight[0].times_its_weight
        };
        let (label, by_label) = (excess(&page), held(&page).unwrap());
        test(
            &mut page,
            vec![16_000, 15_200, 17_100, 16_400, 15_700, 18_000, 14_900, 16_100, 16_900, 15_500],
            1,
        );
        let found = excess(&page);
        assert!((1.0..0.4 * label).contains(&found), "{label} {found}");
        // Balance: a cube of 6 mm weighs 216 mm3 of that excess in water, 1 kg/m3 being 1000 ng/mm3.
        assert!((hangs_ng(&page) / (216e3 * found) - 1.0).abs() < 0.02, "{}", hangs_ng(&page));
        // Floaters: the lighter piece is held the more firmly.
        assert!((held(&page).unwrap() / by_label / (label / found) - 1.0).abs() < 0.01);
        // Rigs: the hook bait falls as the drops did.
        let speed = page.results.sink.as_ref().unwrap().speed_m_per_s.mid;
        assert_eq!(page.own_rig().unwrap().bait.free_m_per_s, Some(speed));
        assert!((0.3 / speed / 16.0 - 1.0).abs() < 0.15, "{speed}");
        // Most came up and none landed: floats, on every screen.
        page.sheet = Some(Sheet::Tub);
        test(&mut page, vec![NEVER_MS; 5], 24);
        assert!(page.results.floats() && page.results.tub.as_ref().unwrap().floats_share > 0.5);
        assert!(hangs_ng(&page) < 0.0 && held(&page).is_none());
        assert!(results(&page).contains("lighter than the water"));
        (page.screen, page.rig_tab) = (Screen::Rigs, crate::page::sheet::RigTab::Fall);
        assert!(crate::view::screen(&page).contains("fall.trouble"));
        page.screen = Screen::Bait;
        // As many as not: it is said how likely it is that a typical piece floats.
        test(&mut page, vec![30_000, 60_000, 45_000, NEVER_MS, 38_000], 13);
        let share = page.results.tub.as_ref().unwrap().floats_share;
        assert!(
            (0.05..0.95).contains(&share) && results(&page).contains("a typical piece floats"),
            "{share}"
        );
    }

    #[test]
    fn a_doubtful_depth_is_asked_for_and_said_to_rule() {
        let mut page = tested();
        page.sheet = Some(Sheet::Tub);
        assert!(crate::view::screen(&page).contains("data-field=\"tub.depth_off\""));
        let mut shown = |off: &str| {
            page.type_in("tub.depth_off", off);
            (page.results.tub.as_ref().unwrap().depth_share, results(&page).contains("now the largest doubt"))
        };
        let ((little, quiet), (much, told)) = (shown("1"), shown("20"));
        assert!(little < 0.1 && !quiet && much > 0.5 && told, "{little} {much}");
    }

    #[test]
    fn practice_shows_ones_own_lateness_and_changes_no_plan() {
        let mut page = tested();
        page.sheet = Some(Sheet::Tub);
        let before = (page.plan.clone(), page.stopwatch);
        let press = |page: &mut Page, at_ms| {
            page.update(Event::Pressed { action: Action::parse("practise").unwrap(), at_ms });
            results(page)
        };
        let mut shown = String::new();
        for late in [120.0, 310.0, 9_000.0, -40.0] {
            assert!(press(&mut page, T0).contains("class=\"practice\""), "a piece falls");
            shown = press(&mut page, T0 + 4_000.0 + late);
        }
        assert!(shown.contains("0.04 s early") && shown.contains("middle of 3 is 0.12 s late"), "{shown}");
        assert_eq!(before, (page.plan, page.stopwatch));
        let style = include_str!("../../www/style.css");
        assert!(style.contains("animation: practice 4s linear"), "the drawn piece takes PRACTICE_MS");
    }

    #[test]
    fn every_part_shows_and_every_measure_is_used() {
        let mut page = tested();
        for (sheet, screen, name, _) in Sheet::ALL {
            (page.screen, page.sheet) = (screen, Some(sheet));
            let shown = crate::view::screen(&page);
            assert!(shown.contains("data-result=") && !shown.contains("NaN"), "{name}");
        }
        page.type_in("prep.thaw", "180");
        page.act("tab:shot");
        (page.screen, page.sheet) = (Screen::Bait, Some(Sheet::Cold));
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
