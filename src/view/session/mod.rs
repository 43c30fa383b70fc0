//! The bank screen: what stands there before a session (`before`), and the running session in parts, so that a tick of the
//! clock writes only what moves.

pub(super) mod before;
mod column;
pub(super) mod ended;
mod glance;
mod list;

use crate::page::session::{KEYS, RunningSession};
use crate::page::{AFLOAT, Page};
use crate::session::state::Totals;
use crate::units::{Units, fixed};
use crate::view::parts::field::fold;
use crate::view::parts::mark::{mark, mark_among};
use crate::view::parts::why::why;
use column::{column, sinking};
use glance::{aside, beat, stock};
use list::list;
use maud::{Markup, html};

/// The parts that a tick writes anew, by the name of their place; with `full` also those that only a tap changes.
#[must_use]
pub fn parts(page: &Page, full: bool) -> Vec<(&'static str, String)> {
    let Some(live) = page.session_here() else {
        return vec![("countdown", before::countdown(page).into_string())];
    };
    let units = page.choices.units;
    let (ahead_min, handling) = (page.place.ahead_min, page.choices.bank);
    let mut parts = vec![("beat", beat(live, !handling.no_flash))];
    if full {
        parts.extend([
            ("column", column(live, units)),
            ("aside", aside(live, units, ahead_min)),
            ("stock", stock(live, units, ahead_min, page.plan.rules.net_g)),
            ("advice", advice(live, units)),
            ("strip", strip(live, units)),
            ("tools", tools(live, ahead_min)),
            ("list", list(page, live)),
            ("totals", totals(page, live)),
        ]);
    } else {
        parts.push(("sinking", sinking(live, units)));
    }
    parts.into_iter().map(|(name, markup)| (name, markup.into_string())).collect()
}

/// The whole screen of a running or ended session.
pub(super) fn results(page: &Page, live: &RunningSession) -> Markup {
    let units = page.choices.units;
    let (ahead_min, handling) = (page.place.ahead_min, page.choices.bank);
    let off = live.watching;
    let setup = live.session.setup();
    let depth = &setup.depth;
    html! {
        @if off { p class="sentence" role="status" { "Another tab has this session in hand. This one shows it." } }
        @if live.floats() { p class="warning" { (AFLOAT) } }
        @if live.state.ended { (ended::ended(page, live)) } @else {
            div class="instrument" {
            div class="live-head" {
                div data-live="beat" { (beat(live, !handling.no_flash)) }
                div class="live-cells" data-live="aside" { (aside(live, units, ahead_min)) }
            }
            div class="live-stock" data-live="stock" { (stock(live, units, ahead_min, page.plan.rules.net_g)) }
            @if live.state.beat.paused {
                div class="tap-area paused" {
                    div class="taps" { (tap("resume", "Resume", true, off)) }
                    div class="button-row tools" data-live="tools" { (tools(live, ahead_min)) }
                }
            } @else {
                div data-live="advice" { (advice(live, units)) }
                div data-live="column" { (column(live, units)) }
                div class={ "tap-area" @if handling.left_handed { " left" } } {
                    div class="button-row rigs" role="group" aria-label="The rig in the water" data-live="strip" { (strip(live, units)) }
                    div class="taps" {
                        (tap("fed", "Fed", true, off))
                        (tap("missed", "Missed", false, off))
                        (tap("fish", "Fish", false, off))
                    }
                    div class="button-row tools" data-live="tools" { (tools(live, ahead_min)) }
                }
            }
            }
            @if !live.state.beat.paused { (fold("live-more", "More", false, &more(live, off))) }
        }
        (fold("live-list", "List of the day", false, &html! { div data-live="list" { (list(page, live)) } }))
        (fold("live-totals", "Totals", live.state.ended, &html! { div data-live="totals" { (totals(page, live)) } }))
        (why(page.choices.units,
            "live",
            "A grid of depths carries the chance that fish feed there, one grid for each line. It spreads slowly and jumps now and then. A bite speaks for the depths that the hook bait was passing just before the tap; water time without a bite speaks against the depths it hung at. How good a rig is, is the bites an hour to be expected with it. A change is advised when it is worth more than it costs, what it teaches counted. It then holds until a bite, a fish, another rig, line or phase, or until another rig has been better for two casts.",
            &[
                ("bites right at the fish", [&units.number(depth.peak_per_min, 2), " a minute"].concat()),
                ("bites away from them", [&units.number(depth.background_per_min, 2), " a minute"].concat()),
                ("a jump to another depth", ["every ", &fixed(depth.jump_every_s / 60.0, 0), " min"].concat()),
                ("a change of rig costs", [&fixed(setup.choice.swap_s, 0), " s"].concat()),
            ],
            "the forward algorithm of hidden Markov chains (Rabiner 1989); rates are judgement, rules for shot and feeding common practice: no published source. It knows nothing of what fish show at the surface: trust your eyes first.",
        ))
        p class="button-row session-end" {
            button type="button" data-act="log" { "Log as CSV" }
        }
    }
}

fn tap(word: &str, name: &str, main: bool, off: bool) -> Markup {
    let key = KEYS.iter().find(|(_, tap)| *tap == word).map_or("", |&(key, _)| key);
    html! {
        button type="button" id={ "tap-" (word) } class=[main.then_some("main")] data-tap=(word) aria-keyshortcuts=[(!key.is_empty()).then_some(key)] disabled[off] {
            (name) " " span class="key" aria-hidden="true" { (key) }
        }
    }
}

fn more(live: &RunningSession, off: bool) -> Markup {
    let act =
        |word: &str, name: &str| html! { button type="button" data-tap=(word) disabled[off] { (name) } };
    let valued = |word: &str, label: &str, name: &str| {
        html! {
            div class="row" {
                label for={ "live-" (word) } { (label) }
                input class="text" id={ "live-" (word) } type="text" inputmode="decimal" maxlength="8" autocomplete="off" disabled[off];
                button type="button" data-tap={ (word) ":" } disabled[off] { (name) }
            }
        }
    };
    html! {
        p class="button-row" {
            (act("lost_fish", "Fish lost")) (act("foul_hooked", "Foul-hooked"))
            (act("cast", "Rig in")) (act("lift", "Rig out"))
            (act("faster", "Feed faster")) (act("slower", "Feed slower"))
            (act("tighten", "Bulked")) (act("spread", "Strung"))
            (act("next_net", "Next net"))
            @if let Some((phase, _)) = live.state.next_phase { (act(&["phase:", &phase.to_string()].concat(), "Next phase now")) }
        }
        (valued("fish", "A fish of so many grams", "Fish"))
        (valued("fed", "A feed of so many cubes", "Fed"))
        div class="row" {
            label for="live-note" { "Note" }
            input class="text" id="live-note" type="text" maxlength="200" autocomplete="off" disabled[off];
            button type="button" data-tap="note:" disabled[off] { "Keep" }
        }
        p class="hint" { "A tap on the rig in hand says that it was lowered again." }
        p class="button-row" { (act("end", "End the session")) }
    }
}

/// How sure, in words: low, fair, high.
fn sure_words(sure: f64) -> &'static str {
    match sure {
        s if s >= 0.75 => "high",
        s if s >= 0.5 => "fair",
        _ => "low",
    }
}

fn advice(live: &RunningSession, units: Units) -> Markup {
    let advice = &live.advice;
    html! {
        p data-result="live.advice" {
            strong { (advice.line) } " "
            span class="muted" { (sure_words(advice.sure)) " confidence, " (units.number(100.0 * advice.sure, 0)) " %" } " "
            span class="reason" { (advice.reason) }
        }
    }
}

fn strip(live: &RunningSession, units: Units) -> Markup {
    let lines = &live.session.setup().lines;
    let hand = live.state.rigs.get(live.state.rig as usize).map_or(0, |rig| rig.line);
    html! {
        @for (place, rig) in live.state.rigs.iter().enumerate() {
            button type="button" id={ "rig-" (place) } data-tap={ "rig:" (place) } disabled[live.watching]
                aria-pressed=(if place == live.state.rig as usize { "true" } else { "false" }) {
                span class="name" { (mark(mark_among(live.names(), place))) " " (rig.name) } " " span { (units.depth_m(rig.depth_m)) } " "
                @if rig.line == hand { span class="rate" { (fixed(60.0 * rig.bites_per_min, 0)) "/h" } }
                @else { span class="rate" { (lines.get(rig.line as usize).map_or("", |line| &line.name)) } }
            }
        }
    }
}

fn tools(live: &RunningSession, ahead_min: i32) -> Markup {
    html! {
        button type="button" id="tap-undo" data-tap="undo" disabled[live.watching || live.state.undoes.is_none()] {
            (live.undo_words(ahead_min))
        }
        @if !live.state.beat.paused {
            button type="button" id="tap-pause" data-tap="pause" disabled[live.watching] { "Pause" }
        }
    }
}

fn totals(page: &Page, live: &RunningSession) -> Markup {
    let totals = &live.state.totals;
    html! {
        dl class="pairs" data-result="live.totals" {
            @for (name, value) in facts(page, totals) { div { dt { (name) } dd { (value) } } }
        }
        table {
            caption { "By rig" }
            thead { tr { th scope="col" { "Rig" } th scope="col" { "Fish" } th scope="col" { "Missed" } th scope="col" { "In the water" } th scope="col" { "Bites an hour, now" } } }
            tbody {
                @for (rig, tally) in live.state.rigs.iter().zip(&totals.per_rig) {
                    tr {
                        th scope="row" { (rig.name) }
                        td { (tally.fish) } td { (tally.missed) }
                        td { (fixed(tally.water_s / 60.0, 0)) " min" }
                        td { (fixed(60.0 * rig.bites_per_min, 0)) }
                    }
                }
            }
        }
        table {
            caption { "By hour" }
            thead { tr { th scope="col" { "Hour" } th scope="col" { "Fish" } th scope="col" { "Missed" } } }
            tbody {
                @for (hour, tally) in totals.per_hour.iter().enumerate() {
                    tr { th scope="row" { (hour + 1) } td { (tally.fish) } td { (tally.missed) } }
                }
            }
        }
    }
}

fn facts(page: &Page, totals: &Totals) -> Vec<(&'static str, String)> {
    let mut facts = vec![
        ("Fish", totals.fish.to_string()),
        ("Bites missed", totals.missed.to_string()),
        ("Fish lost", totals.lost.to_string()),
        ("Foul-hooked", totals.foul_hooked.to_string()),
        ("Feeds", totals.feeds.to_string()),
        ("Cubes fed", fixed(totals.cubes_fed, 0)),
    ];
    if let Some(left) = totals.cubes_left {
        facts.push(("Cubes left", fixed(left, 0)));
    }
    facts.extend(weight_words(page, totals));
    facts
}

/// What the fish weigh: as the scales said, else as it is estimated.
fn weight_words(page: &Page, totals: &Totals) -> Option<(&'static str, String)> {
    let units = page.choices.units;
    let scales_g = page.fished().and_then(|day| day.outcome.weight_g);
    let at_scales = scales_g.map(|g| ("Weight at the scales", units.weight(f64::from(g) / 1000.0)));
    at_scales.or_else(|| Some(("Weight, estimated", units.weight(totals.weight_kg?))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::Screen;
    use crate::page::tap::Tap;
    use crate::view::screen;

    const T0: f64 = 1_900_000_000_000.0;

    fn page() -> Page {
        let mut page = Page::new();
        page.screen = Screen::Bank;
        let (live, told) = RunningSession::open(&page.plan, page.choices.units, "", None, T0).unwrap();
        assert!(told.is_empty());
        page.day = Some(live.day);
        page.session = Some(Box::new(live));
        page
    }

    fn tap(page: &mut Page, word: &str, at_s: f64) -> Option<String> {
        page.session.as_mut().unwrap().tap(&Tap::parse(word).unwrap(), T0 + at_s * 1000.0).unwrap().0
    }

    #[test]
    fn taps_are_kept_shown_and_taken_back() {
        let mut page = page();
        assert!(tap(&mut page, "fed", 0.0).unwrap().starts_with("0 f "));
        assert!(tap(&mut page, "fish", 20.0).unwrap().starts_with("1 g "));
        assert_eq!(tap(&mut page, "fish", 20.2), None, "a double touch");
        assert!(tap(&mut page, "rig:1", 30.0).is_some());
        assert!(tap(&mut page, "rig:1", 40.0).unwrap().starts_with("3 c "), "the rig in hand was lowered");
        let shown = screen(&page);
        for part in [
            "data-tap=\"fed\"",
            "data-tap=\"missed\"",
            "data-tap=\"fish\"",
            "1 fish",
            "Undo rig in, ",
            "aria-pressed=\"true\"",
        ] {
            assert!(shown.contains(part), "{part}");
        }
        for _ in 0..3 {
            assert!(tap(&mut page, "undo", 50.0).is_some());
            page.session.as_mut().unwrap().look(T0 + 60_000.0, true);
            tap(&mut page, "note:x", 55.0);
            tap(&mut page, "undo", 60.0);
        }
        assert_eq!(Tap::parse("dance"), None);
    }

    #[test]
    fn a_log_comes_back_and_a_cut_line_is_told() {
        let mut page = page();
        let mut log = String::new();
        for (at, word) in [(0.0, "fed"), (14.0, "missed"), (20.0, "note:carp <b>here</b>")] {
            log = log + &tap(&mut page, word, at).unwrap() + "\n";
        }
        let open = |log: &str| {
            RunningSession::open(&page.plan, page.choices.units, log, None, T0 + 30_000.0).unwrap()
        };
        let (again, told) = open(&log);
        assert!(told.is_empty());
        assert_eq!(again.session.log(), page.session.as_ref().unwrap().session.log());
        let (cut, told) = open(&log[..log.len() - 4]);
        assert_eq!((cut.session.log().events().len(), told.len()), (2, 1));
        page.session = Some(Box::new(again));
        tap(&mut page, "end", 40.0);
        let shown = screen(&page);
        assert!(shown.contains("Finish day") && !shown.contains("<b>here"));
    }

    #[test]
    fn a_tick_writes_the_clock_and_the_column_alone() {
        let mut page = page();
        tap(&mut page, "fed", 0.0);
        let names =
            |page: &Page, full| parts(page, full).into_iter().map(|(name, _)| name).collect::<Vec<_>>();
        assert_eq!(names(&page, false), ["beat", "sinking"]);
        let full = screen(&page);
        for name in names(&page, true) {
            assert!(full.contains(&["data-live=\"", name, "\""].concat()), "{name} has its place");
        }
        let before = parts(&page, false);
        page.session.as_mut().unwrap().look(T0 + 3000.0, false);
        assert_ne!(parts(&page, false), before);
    }

    #[test]
    fn the_end_of_the_day_is_kept_with_the_plan() {
        let mut page = page();
        for i in 0..30 {
            tap(&mut page, "fed", f64::from(i) * 15.0);
        }
        tap(&mut page, "fish", 460.0);
        tap(&mut page, "end", 470.0);
        let live = page.session.take().unwrap();
        live.keep(&mut page.plan);
        live.keep(&mut page.plan);
        assert!(page.plan.note.starts_with("1 fish"), "{}", page.plan.note);
        assert_eq!(page.plan.kit.iter().filter(|item| item.group == crate::plan::Group::Shop).count(), 1);
        page.plan.check().unwrap();
    }
}
