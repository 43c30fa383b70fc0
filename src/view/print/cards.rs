//! A card of each rig, drawn to scale, and one of the whole set.

use super::parts::{fact, place_and_day};
use crate::page::Page;
use crate::page::settings::CardSize;
use crate::plan::{DottedWith, Rig};
use crate::results::make_up::{sheet, sheets, tackle};
use crate::results::requests::line_name;
use crate::rig::layout::Layout;
use crate::rig::make_up::{Sheet, Tally, rule, totals, winder_words};
use crate::units::{LengthUnits, Quantity, Units, between};
use crate::view::parts::column::px;
use crate::view::parts::mark::{mark, mark_of};
use crate::view::share::code;
use maud::{Markup, html};

/// Where the float stands and where a strip ends, mm from the drawing's top.
const STRIP: (f64, f64) = (8.0, 105.0);
/// Where the line runs, and where words begin, mm from the left.
const LINE_X: f64 = 7.0;
const WORDS_X: f64 = 13.5;
/// Least distance between two lines of words, mm.
const PITCH: f64 = 3.2;
/// Scales that a card may have.
const SCALES: [i32; 16] = [1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 40, 50, 100, 125];

/// The sheets of cards.
pub(super) fn cards(page: &Page, link: Option<&str>) -> Markup {
    let (each, size) = if page.tools.card == CardSize::A5 { (2, "cards a5") } else { (4, "cards a6") };
    let rigs = page.plan.rigs.len();
    html! {
        @for first in (0..=rigs).step_by(each) {
            section class=(size) {
                @for i in first..first + each {
                    @if i < rigs { (card(page, i)) } @else if i == rigs { (set_card(page, link)) }
                }
            }
        }
    }
}

/// The card of one rig.
fn card(page: &Page, i: usize) -> Markup {
    let units = page.choices.units;
    let (Some(rig), Some(day)) = (page.plan.rigs.get(i), page.results.rigs.get(i)) else { return html! {} };
    html! {
        article class="rig-card" {
            div class="paper-head" {
                h2 { (mark(mark_of(&page.plan.rigs, i))) " Rig " (rig.name) ", " (day.purpose_words()) }
                p { (place_and_day(page)) }
            }
            @match (sheet(&page.plan, &page.results.rigs, i, units), &day.layout) {
                (Ok(sheet), Some(layout)) => {
                    @let strips = if page.tools.card == CardSize::A5 { 2 } else { 1 };
                    @let scale = scale_of(layout.float_to_hook_mm, strips);
                    @for strip in 0..strips { (strip_drawing(page, layout, &sheet, scale, strip, strips)) }
                    (facts(page, rig, &sheet, &day.shot_words, scale, strips))
                }
                (Err(sentence), _) => p { (sentence) },
                _ => {},
            }
        }
    }
}

/// The largest scale, as 1 to so many, at which the rig fits.
fn scale_of(length_mm: i32, strips: i32) -> i32 {
    let room = (STRIP.1 - STRIP.0) * f64::from(strips);
    let fits = |scale: &&i32| f64::from(length_mm) <= room * f64::from(**scale);
    SCALES.iter().find(fits).copied().unwrap_or(200)
}

/// Distance between the marks along the line, mm, and in words.
fn marks(scale: i32, units: Units) -> (f64, &'static str) {
    match (units.lengths, scale) {
        (LengthUnits::Metric, ..=12) => (50.0, "5 cm"),
        (LengthUnits::Metric, ..=40) => (100.0, "10 cm"),
        (LengthUnits::Metric, _) => (500.0, "50 cm"),
        (LengthUnits::Imperial, ..=12) => (50.8, "2 in"),
        (LengthUnits::Imperial, ..=40) => (101.6, "4 in"),
        (LengthUnits::Imperial, _) => (609.6, "2 ft"),
    }
}

/// Something on the line that has words: its distance from the hook, the words, and whether it is shot.
struct Mark {
    from_hook_mm: i32,
    words: String,
    shot: bool,
}

/// What has words on a rig, from the float down.
fn named_places(layout: &Layout, sheet: &Sheet, inches: bool) -> Vec<Mark> {
    let mut list = vec![Mark {
        from_hook_mm: layout.float_to_hook_mm,
        words: rule(layout.float_to_hook_mm, inches) + " float",
        shot: false,
    }];
    let mut joint = sheet.hooklength.is_some().then_some(layout.hooklength_mm);
    for shot in sheet.shots.iter().rev() {
        if let Some(mm) = joint.filter(|mm| *mm >= shot.from_hook_mm) {
            list.push(Mark { from_hook_mm: mm, words: rule(mm, inches) + " loop", shot: false });
            joint = None;
        }
        // A longer name stands in full beside the drawing.
        let long = shot.name.chars().count() > 6;
        let mut name: String = shot.name.chars().take(if long { 4 } else { 6 }).collect();
        if long {
            name.push('…');
        }
        let words = [shot.from_hook.as_str(), ", ", &shot.count.to_string(), " × ", &name].concat();
        list.push(Mark { from_hook_mm: shot.from_hook_mm, words, shot: true });
    }
    if let Some(mm) = joint {
        list.push(Mark { from_hook_mm: mm, words: rule(mm, inches) + " loop", shot: false });
    }
    list.push(Mark { from_hook_mm: 0, words: "0 hook".to_owned(), shot: false });
    list
}

/// One strip of a rig, to scale: the whole of it, or its upper or lower half.
fn strip_drawing(page: &Page, layout: &Layout, sheet: &Sheet, scale: i32, strip: i32, strips: i32) -> Markup {
    let units = page.choices.units;
    let inches = units.lengths == LengthUnits::Imperial;
    let length = f64::from(layout.float_to_hook_mm);
    let part = length / f64::from(strips);
    let top_mm = length - part * f64::from(strip);
    let (last, first) = (strip + 1 == strips, strip == 0);
    let end_mm = if last { 0.0 } else { top_mm - part };
    let y = |from_hook: f64| STRIP.0 + (top_mm - from_hook) / f64::from(scale);
    let inside = |mark: &&Mark| {
        let at = f64::from(mark.from_hook_mm);
        at <= top_mm && (at > end_mm || last)
    };
    let places = named_places(layout, sheet, inches);
    let places: Vec<&Mark> = places.iter().filter(inside).collect();
    // Where they would not all go under one another, two share a line, by their distances alone.
    let each = if places.len() > 30 { 2 } else { 1 };
    let label = |chunk: &[&Mark]| -> Option<(f64, String)> {
        let part = |mark: &&Mark| mark.words.split(',').next().unwrap_or_default().to_owned();
        let first = chunk.first()?;
        let words = if each == 1 {
            first.words.clone()
        } else {
            chunk.iter().map(part).collect::<Vec<_>>().join(" + ")
        };
        Some((y(f64::from(first.from_hook_mm)), words))
    };
    let lines: Vec<(f64, String)> = places.chunks(each).filter_map(label).collect();
    let heights: Vec<f64> = lines.iter().map(|line| line.0).collect();
    let joint = between(f64::from(layout.hooklength_mm), end_mm, top_mm);
    let (step, _) = marks(scale, units);
    #[expect(clippy::cast_possible_truncation, reason = "a few hundred at most")]
    let ticks = ((end_mm / step).ceil() as i32)..=((top_mm / step).floor() as i32);
    html! {
        svg class="strip-drawing" data-scale=(scale) width="50mm" height="110mm" viewBox="0 0 50 110" role="img" aria-label="The rig to scale; its places are written beside it." {
            @for k in ticks {
                @let at = px2(y(f64::from(k) * step));
                line class="thin" x1="3" y1=(at) x2="5" y2=(at) {}
            }
            line class="main" x1=(px(LINE_X)) y1=(px2(y(top_mm))) x2=(px(LINE_X)) y2=(px2(y(joint))) {}
            line class="thin" x1=(px(LINE_X)) y1=(px2(y(joint))) x2=(px(LINE_X)) y2=(px2(y(end_mm))) {}
            @if first { path class="main" d="M7 0V2M7 2q-2.4 2.6 0 6q2.4-3.4 0-6z" {} }
            @else { path class="thin" d="M4.5 3h5M4.5 5h5M7 5v3" {} }
            @if last { rect class="main bait" x=(px(LINE_X - 1.1)) y=(px2(y(0.0) - 1.1)) width="2.2" height="2.2" {} }
            @else { path class="thin" d={ "M4.5 " (px2(y(end_mm))) "h5m-5 2h5" } {} }
            @for mark in &places {
                @let at = px2(y(f64::from(mark.from_hook_mm)));
                @if mark.shot { path class="shot" d={ "M" (px(LINE_X)) " " (at) "h0" } {} }
                @else if mark.from_hook_mm > 0 { line class="main" x1=(px(LINE_X - 1.2)) y1=(at) x2=(px(LINE_X + 1.2)) y2=(at) {} }
            }
            @for ((at, words), words_y) in lines.iter().zip(spread(&heights)) {
                path class="thin" d={ "M8.6 " (px2(*at)) "L12.8 " (px2(words_y)) } {}
                text x=(px(WORDS_X)) y=(px2(words_y + 0.9)) { (words) }
            }
        }
    }
}

/// A number with two decimals: a hundredth of a millimetre of paper.
fn px2(value: f64) -> String {
    crate::units::fixed(value, 2)
}

/// Heights of lines of words, as near as can be to where they belong, none over another and none below the strip.
fn spread(wanted: &[f64]) -> Vec<f64> {
    let mut list = Vec::with_capacity(wanted.len());
    let mut least = 1.5;
    for y in wanted {
        let at = y.max(least);
        list.push(at);
        least = at + PITCH;
    }
    let mut most = STRIP.1;
    // More than a strip holds: closer, but still apart.
    let pitch = PITCH.min((STRIP.1 - 1.5) / wanted.len().max(2) as f64);
    for at in list.iter_mut().rev() {
        *at = at.min(most);
        most = *at - pitch;
    }
    list
}

/// What stands beside the drawing.
fn facts(page: &Page, rig: &Rig, sheet: &Sheet, shots: &str, scale: i32, strips: i32) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let inches = units.lengths == LengthUnits::Imperial;
    let held = tackle(rig).ok();
    let strength = |kg: Option<f64>| {
        kg.map_or_else(String::new, |kg| {
            [", ", &unbroken(&(units.number(kg, 2) + " kg")), " at the knot"].concat()
        })
    };
    let line = |um: i32| unbroken(&(units.number(f64::from(um) * 1e-3, 3) + " mm"));
    let shown = unbroken(&units.text(rig.show_tenth_mm, Quantity::Size));
    let ruled = |mm: i32| unbroken(&rule(mm, inches));
    let dotted = if rig.dotted == DottedWith::Hanging { ", bait hanging" } else { ", bait on the bottom" };
    html! {
        dl {
            (fact("Line", &[line_name(plan, rig.line), ", ", &unbroken(&units.text(rig.depth_tenth_mm, Quantity::Depth)), " deep"].concat()))
            (fact("Float", &[&sheet.float, ", ", &units.number(f64::from(rig.load_tenth_mg) * 1e-4, 2), "\u{a0}g, bristle ", &shown, dotted].concat()))
            (fact("Shot", shots))
            (fact("Main", &[line(rig.main_um), strength(held.as_ref().map(|t| t.main.kg.mid)), ", cut ".to_owned(), unbroken(&sheet.main.cut)].concat()))
            @if let Some(cut) = &sheet.hooklength {
                (fact("Hooklength", &[ruled(cut.finished_mm), " of ".to_owned(), line(rig.hooklength_um), strength(held.as_ref().and_then(|t| t.hooklength.as_ref()).map(|h| h.kg.mid)), ", cut ".to_owned(), unbroken(&cut.cut)].concat()))
            }
            (fact("Hook", &sheet.hook))
            @if let Some(back) = &sheet.back_shot { (fact("Back shot", &[back.count.to_string(), " × ".to_owned(), back.size.clone(), ", ".to_owned(), ruled(back.above_float_mm), " above the float".to_owned()].concat())) }
            (fact("Winder", &[&ruled(sheet.winder_mm), ", ", &units.number(sheet.winder_turns, 1), " turns"].concat()))
            (fact("Order", if sheet.hooklength.is_some() { "cut, float on, loop both ends, tie and join the hooklength, set the float, shot on from the hook up, dot in a glass, wind on." } else { "cut, float on, loop the top, tie the hook, set the float, shot on from the hook up, dot in a glass, wind on." }))
            (fact("Scale", &["1\u{a0}:\u{a0}", &scale.to_string(), ", a mark each ", &unbroken(marks(scale, units).1), if strips > 1 { "; the right strip goes on where the left ends" } else { "" }].concat()))
        }
    }
}

/// A number with its unit, kept on one line.
fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

fn tally_words(list: &[Tally]) -> String {
    list.iter().map(|t| [&t.count.to_string(), "\u{a0}× ", &t.name].concat()).collect::<Vec<_>>().join(", ")
}

/// The card of the whole set: what all rigs take together, the plan's link, and a bar to check the printer by.
fn set_card(page: &Page, link: Option<&str>) -> Markup {
    let units = page.choices.units;
    let inches = units.lengths == LengthUnits::Imperial;
    let all = totals(&sheets(&page.plan, &page.results.rigs, units));
    let cut: Vec<String> = all
        .line_mm
        .iter()
        .map(|t| {
            let mm = rule(i32::try_from(t.count).unwrap_or(i32::MAX), inches);
            unbroken(&[&mm, " of ", &units.signed(t.name.clone())].concat())
        })
        .collect();
    let (bar, words) = if inches {
        ("M0 .5V3M0 1.75H50.8M50.8 .5V3", "2 in")
    } else {
        ("M0 .5V3M0 1.75H50M50 .5V3", "50 mm")
    };
    html! {
        article class="rig-card set" {
            div class="paper-head" { h2 { "The set, one of each rig" } p { (place_and_day(page)) } }
            dl {
                (fact("Shot", &tally_words(&all.shots)))
                (fact("Floats", &tally_words(&all.floats)))
                (fact("Hooks", &tally_words(&all.hooks)))
                (fact("Winders", &all.winders.iter().map(|t| [&t.count.to_string(), " × ", &unbroken(&winder_words(&t.name, inches))].concat()).collect::<Vec<_>>().join(", ")))
                (fact("Line to cut", &cut.join(", ")))
                (fact("Printed true?", &["the bar is ", words, " long. If not, print at 100 %."].concat()))
            }
            svg class="true-bar" width="52mm" height="4mm" viewBox="0 0 52 4" role="img" aria-label={ "A bar of " (words) } { path class="main" d=(bar) {} }
            @if let Some(picture) = link.and_then(code) { div class="link" { (picture) p { "The whole plan: open it with a phone’s camera." } } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_rig_takes_the_largest_scale_that_fits() {
        assert_eq!([scale_of(97, 1), scale_of(98, 1), scale_of(98, 2), scale_of(12_000, 1)], [1, 2, 1, 125]);
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x921, 256, 20_000))]

        /// Lines of words stay in their order, apart, and on the strip; alone they stay where they belong.
        #[test]
        fn words_never_lie_over_one_another(mut wanted in proptest::collection::vec(STRIP.0..STRIP.1, 1..32)) {
            wanted.sort_by(f64::total_cmp);
            let got = spread(&wanted);
            prop_assert!(got.windows(2).all(|w| w[1] - w[0] >= PITCH - 1e-9), "{got:?}");
            prop_assert!(got.iter().all(|y| (1.0..=STRIP.1).contains(y)), "{got:?}");
            if wanted.len() == 1 {
                prop_assert_eq!(got, wanted);
            }
        }
    }
}
