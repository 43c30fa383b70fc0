//! The bait: how fast it falls, how much of it, and how it is prepared.

use super::column::{Column, HEIGHT, LEFT, WIDTH, px};
use super::field::{add, flag, fold, number, pick, place, remove, text};
use super::why::{caution, why};
use super::{big, cold, feed, tub, warning_list, wash};
use crate::bait::sink::{Matter, Sink, TINS, Verdict};
use crate::estimate::Estimate;
use crate::page::Page;
use crate::page::tub_watch::BaitTab;
use crate::plan::Form;
use crate::plan::Pick;
use crate::results::prep::{Step, moment};
use crate::results::requests::{is_other, matter};
use crate::units::{Quantity, Units, between, clock_words, duration_words, fixed};
use maud::{Markup, html};

/// Seconds that the trade's own check gives a washed 6 mm cube for 18 inches (common practice).
const TRADE_CHECK_S: f64 = 7.5;

/// The parts of the screen, and the open one.
pub(super) fn results(page: &Page) -> Markup {
    html! {
        div class="strip parts" role="group" aria-label="Parts of the bait" {
            @for (part, name, words) in BaitTab::ALL {
                button type="button" id={ "part-" (name) } data-act={ "part:" (name) } aria-pressed=(if part == page.part { "true" } else { "false" }) { (words) }
            }
        }
        @match page.part {
            BaitTab::Fall => (today(page)),
            BaitTab::Tub => (tub::results(page)),
            BaitTab::Wash => (wash::results(page)),
            BaitTab::Cold => (cold::results(page)),
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    match page.part {
        BaitTab::Fall => inputs_today(page),
        BaitTab::Tub => tub::inputs(page),
        BaitTab::Wash => wash::inputs(page),
        BaitTab::Cold => cold::inputs(page),
    }
}

/// What one of the pieces is called: a cube, or a piece of another form.
pub(super) fn noun(page: &Page) -> &'static str {
    if page.plan.bait_more.other.form == Form::Cube { "cube" } else { "piece" }
}

/// `8 mm cube`.
pub(super) fn piece_words(page: &Page) -> String {
    let (plan, other) = (&page.plan, &page.plan.bait_more.other);
    let units = page.choices.units;
    let form = other.form.words().get(other.form.index()).map_or("", |w| w.split(',').next().unwrap_or(w));
    [&units.text(plan.bait.edge_tenth_mm, Quantity::Size), " ", form].concat()
}

fn today(page: &Page) -> Markup {
    let day = &page.day;
    html! {
        @match &day.sink {
            Some(sink) => (fall(page, sink)),
            None => {},
        }
        @for sentence in &day.trouble { p class="refusal" { (sentence) } }
        (how_much(page))
        (checklist(page))
    }
}

/// A band in words: `6.1 (5.2 to 6.9)` without the unit. A time without an end is `never`.
pub(super) fn range(units: Units, band: &Estimate, scale: f64, decimals: u8) -> String {
    ["(", &units.number(band.low * scale, decimals), " to ", &end(units, band.high * scale, decimals), ")"]
        .concat()
}

/// The upper end of a band.
fn end(units: Units, high: f64, decimals: u8) -> String {
    if high.is_finite() { units.number(high, decimals) } else { "never".to_owned() }
}

fn fall(page: &Page, sink: &Sink) -> Markup {
    let (plan, day, units) = (&page.plan, &page.day, page.choices.units);
    let other = plan.bait_more.other.density_kg_per_m3.is_some();
    let state = if other {
        "A "
    } else if plan.bait.washed {
        "A washed "
    } else {
        "An unwashed "
    };
    let source = match (&day.tub, other) {
        (Some(tub), _) if tub.drops == 0 => " by your bucket".to_owned(),
        (Some(tub), _) => {
            [" by your ", &tub.drops.to_string(), if tub.drops == 1 { " drop" } else { " drops" }].concat()
        }
        (None, true) => " of the density you gave".to_owned(),
        (None, false) => " of this tin".to_owned(),
    };
    let eighteen = day.falls.first();
    html! {
        p class="lead" { (state) (piece_words(page)) (source) ", at " (units.number(day.water_c, 1)) "\u{a0}°C" }
        @if day.floats() { (big("sink.speed", "Floats", "lighter than the water, so no time to any depth")) }
        @else { (big("sink.speed", &units.number(sink.speed_m_per_s.mid * 100.0, 1), &["cm a second ", &range(units, &sink.speed_m_per_s, 100.0, 1)].concat())) }
        @if sink.verdict != Verdict::Sinks {
            p class="warning" {
                @if sink.verdict == Verdict::Floats { "By what is known it floats. " } @else { "Some pieces may float. " }
                "Less air or less fat sinks better."
            }
        }
        @if let Some(time) = eighteen.and_then(|f| f.time_s.as_ref()) {
            p { (eighteen.map_or("", |f| f.name.as_str())) " in " strong data-result="sink.eighteen" { (units.number(time.mid, 1)) " s" } " " (range(units, time, 1.0, 1)) "." }
        }
        @if let Some(lake) = day.tub.as_ref().and_then(|t| t.targets.first()).filter(|_| !day.floats()) {
            p { "Nine pieces in ten: " span data-result="sink.pieces" { (units.number(lake.piece_speed_m_per_s.low * 100.0, 1)) " to " (units.number(lake.piece_speed_m_per_s.high * 100.0, 1)) " cm a second" } "." }
        }
        (sink_why(page, sink))
        @if !day.floats() { (feeds(page, sink)) }
        (times(page))
        h2 { "What changes the fall" }
        dl class="pairs" data-result="alternatives" {
            @for other in &day.alternatives {
                div { dt { (other.what) } dd { @if other.speed_m_per_s.mid > 0.0 { (units.number(other.speed_m_per_s.mid * 100.0, 1)) " cm a second" } @else { "floats" } } }
            }
        }
    }
}

fn sink_why(page: &Page, sink: &Sink) -> Markup {
    let units = page.choices.units;
    let mut inputs = vec![
        (
            "density of the bait",
            [
                &units.number(sink.density_kg_per_m3.mid, 0),
                " kg/m3 ",
                &range(units, &sink.density_kg_per_m3, 1.0, 0),
            ]
            .concat(),
        ),
        ("density of the water", [&units.number(sink.water_kg_per_m3, 1), " kg/m3"].concat()),
        ("mass of one piece", [&units.number(sink.mass_g, 3), " g"].concat()),
    ];
    if let (Matter::Label { air_share, .. }, Some(label)) = (matter(&page.plan), &page.day.by_label) {
        let floats_at = 1.0 - (1.0 - air_share) * label.water_kg_per_m3 / label.density_kg_per_m3.mid;
        let words = [&units.number((floats_at * 100.0).max(0.0), 1), " % of its volume"].concat();
        inputs.push(("floats with air of", words));
    }
    for law in sink.laws.iter().filter(|_| !page.day.floats()) {
        let words =
            [&units.number(law.speed_m_per_s * 100.0, 1), " cm/s, Re ", &fixed(law.reynolds, 0)].concat();
        inputs.push((law.law, words));
    }
    if let (Some(_), Some(label)) = (&page.day.tub, &page.day.by_label) {
        let words = [
            &units.number(label.speed_m_per_s.mid * 100.0, 1),
            " cm/s ",
            &range(units, &label.speed_m_per_s, 100.0, 1),
        ];
        inputs.push(("by the label alone", words.concat()));
    }
    if let Some(time) = page.day.falls.first().and_then(|f| f.time_s.as_ref())
        && page.plan.bait.edge_tenth_mm == 60
    {
        let off = (time.mid / TRADE_CHECK_S - 1.0) * 100.0;
        let side = if off > 0.0 { " % slower here)" } else { " % faster here)" };
        inputs.push((
            "the trade’s 18 inches",
            [&units.number(TRADE_CHECK_S, 1), " s (the middle is ", &units.number(off.abs(), 0), side]
                .concat(),
        ));
    }
    why(
        page.choices.units,
        "sink",
        "The label’s parts make the density, water being the rest. A cube falls steadily when its weight in water equals its drag; three published laws of drag disagree, and the band covers them, the fall of one steel cube with bevelled edges that fell a third faster than the fastest law, and what a label does not say. By our judgement it holds nine tins in ten; ten timed drops in a bucket narrow it, and then stand in its place. Cylinders and discs fall by the same laws through their sphericity, down to 0.6; a ball has three laws of its own.",
        &inputs,
        "Choi and Okos 1986 (densities); Tanaka 2001 and IAPWS 2008 (water); Haider and Levenspiel 1989, Ganser 1993, Pettyjohn and Christiansen 1948 (drag; for a ball Schiller and Naumann 1935, Clift and Gauvin 1971, Brown and Lawler 2003); Wang 2024 (the steel cube). The 18 inches in 7.5 s are common practice, no published source.",
    )
}

/// The last feeds as they sink, to scale.
fn feeds(page: &Page, sink: &Sink) -> Markup {
    let (plan, day, units) = (&page.plan, &page.day, page.choices.units);
    let Some(phase) = plan.feed.first() else { return html! {} };
    let depth_m = f64::from(plan.water.depth_tenth_mm) * 1e-4;
    let column = Column { depth_m, units, high: HEIGHT };
    let every = f64::from(phase.every_s);
    let (low, high) = (sink.speed_m_per_s.low, sink.speed_m_per_s.high);
    let name = [
        "Three feeds, ",
        &phase.every_s.to_string(),
        " s apart, as they stand in the water 5 s after the last: ",
        &(0..3)
            .map(|k| {
                [
                    "the ",
                    ["last", "one before", "first"][k],
                    " from ",
                    &units.depth_m((low * (5.0 + every * k as f64)).min(depth_m)),
                    " to ",
                    &units.depth_m((high * (5.0 + every * k as f64)).min(depth_m)),
                ]
                .concat()
            })
            .collect::<Vec<_>>()
            .join(", "),
        ".",
    ]
    .concat();
    let bits = (0..3_u32).flat_map(|k| {
        let age = 5.0 + every * f64::from(k);
        let count = u32::try_from(phase.cubes.clamp(1, 40)).unwrap_or(1);
        (0..count).map(move |i| {
            // Spread evenly by two irrational steps (powers of the plastic number): the same picture each time.
            let a = (f64::from(i + 1) * 0.754_877_67 + f64::from(k) * 0.3).fract();
            let b = (f64::from(i + 1) * 0.569_840_29 + f64::from(k) * 0.1).fract();
            // Middle values are commoner than the ends of the band.
            let speed = low
                + (high - low)
                    * between(0.5 + 0.5 * (2.0 * a - 1.0).powi(3) + 0.08 * (2.0 * b - 1.0), 0.0, 1.0);
            let wide = 16.0 + 26.0 * (age * speed / depth_m).min(1.0);
            (LEFT + 62.0 + wide * (2.0 * b - 1.0), (age * speed).min(depth_m), a)
        })
    });
    // Words stand above their line, and below the words before them where two lines are close.
    let mut last = f64::NEG_INFINITY;
    let marks = day.falls.iter().skip(1).filter_map(|fall| {
        let y = column.y(fall.depth_m);
        last = (y - 4.0).max(last + 15.0);
        Some((fall, fall.time_s.as_ref()?, y, last))
    });
    let inside = html! {
        @for (x, depth, turn) in bits {
            @let y = column.y(depth);
            rect class="cube" x=(px(x - 2.5)) y=(px(y - 5.0)) width="5" height="5" transform={ "rotate(" (fixed(turn * 90.0, 0)) " " (px(x)) " " (px(y - 2.5)) ")" } {}
        }
        @for (fall, time, y, words_y) in marks {
            line class="mark" x1=(px(LEFT)) y1=(px(y)) x2=(px(WIDTH)) y2=(px(y)) {}
            text class="name" x=(px(WIDTH - 104.0)) y=(px(words_y)) { (fall.name) }
            text class="value" x=(px(WIDTH - 5.0)) y=(px(words_y)) text-anchor="end" { (units.number(time.mid, u8::from(time.mid < 20.0))) " s" }
        }
    };
    html! {
        h2 { "Three feeds, " (phase.every_s) " s apart" }
        (column.draw("feeds", &name, &inside))
    }
}

fn times(page: &Page) -> Markup {
    let units = page.choices.units;
    html! {
        table data-result="sink.times" {
            caption { "Time to each depth" }
            thead { tr { th scope="col" { "To" } th scope="col" { "Depth" } th scope="col" { "Time" } th scope="col" { "From, to" } } }
            tbody {
                @for fall in &page.day.falls {
                    tr {
                        th scope="row" { (fall.name) }
                        td { (units.depth_m(fall.depth_m)) }
                        @match &fall.time_s {
                            Some(time) => { td { (units.number(time.mid, 1)) " s" } td { (units.number(time.low, 1)) " to " (end(units, time.high, 1)) } }
                            None => { td { "floats" } td { "–" } }
                        }
                    }
                }
            }
        }
    }
}

fn how_much(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let Some(amount) = &page.day.amount else { return html! {} };
    let share = amount.limit_share.map(|s| units.number(s * 100.0, 0));
    let lasts = &amount.lasts;
    let hour = per_hour(28, 15);
    html! {
        h2 { "How much" }
        @if is_other(plan) {
            (big("amount.tins", &units.number(amount.total_g / 1000.0, 2), "kg, not cut from the tin"))
        } @else {
            (big("amount.tins", &amount.tins.to_string(), if amount.tins == 1 { "tin" } else { "tins" }))
        }
        p {
            (amount.total_cubes) " cubes, " (units.number(amount.total_g / 1000.0, 2)) " kg, in " (amount.bags) " bags."
            @if let Some(share) = share { " That is " strong data-result="amount.share" { (share) " %" } " of what the venue allows." }
        }
        p data-result="amount.lasts" {
            (lasts.tins) @if lasts.tins == 1 { " tin lasts " } @else { " tins last " }
            @match lasts.runs_out_min {
                Some(minutes) => { "until " strong { (clock_words(plan.day.all_in_min.saturating_add(whole(minutes)))) } " at this rhythm." }
                None => { strong { "to the end" } ", with " (lasts.left_cubes) " cubes left over." }
            }
        }
        (feed::picture(page, amount))
        dl class="pairs" {
            @if amount.bags_to_refreeze > 0 { div { dt { "bags that can stay shut" } dd { (amount.bags_to_refreeze) } } }
            div { dt { "left when all goes to plan" } dd { (amount.left_cubes) " cubes" } }
            div { dt { "whole cubes from a tin" } dd { (amount.cubes_per_tin) } }
            div { dt { "off-cuts in all" } dd { (units.number(amount.off_cuts_g, 0)) " g" } }
            div { dt { "cubes in a bag" } dd { (amount.cubes_per_bag) } }
            @for (phase, counted) in plan.feed.iter().zip(&amount.phases) {
                div { dt { (counted.line) ", " (duration_words(phase.minutes)) } dd { (counted.cubes) " cubes, " (units.number(counted.grams, 0)) " g" } }
            }
        }
        (warning_list(page.day.warnings.iter().filter(|w| matches!(w.code, "tin_limit" | "block" | "late_feed" | "fast_feed"))))
        @let tins = if amount.cubes_per_tin > 0 { f64::from(hour) / f64::from(amount.cubes_per_tin) } else { f64::NAN };
        (why(page.choices.units,
            "amount",
            "Each phase feeds its cubes at its rhythm from its start. Cubes come whole out of the block at the cutter’s pitch; the rest is off-cuts. Hook baits and the reserve come on top, and tins are whole.",
            &[("28 cubes every 15 s, an hour of it", [&hour.to_string(), " cubes, ", &units.number(tins, 1), " tins"].concat())],
            "counting. 25 to 30 cubes every 15 s is common practice for shallow fishing, no published source.",
        ))
    }
}

/// Cubes in an hour of so many every so many seconds.
fn per_hour(cubes: u32, every_s: u32) -> u32 {
    cubes * (3600 / every_s)
}

/// Whole minutes, down; saturates.
pub(super) fn whole(minutes: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
    let whole = minutes.floor() as i32;
    whole
}

/// One step with its tick box.
fn step_row(page: &Page, step: &Step) -> Markup {
    let plan = &page.plan;
    let id = ["prep-", step.id].concat();
    html! {
        li {
            label {
                input type="checkbox" id=(id) data-tick=(id) checked[page.ticks.contains(&id)];
                span {
                    strong { (moment(plan, step.start_min)) } " " (step.name)
                    @if step.end_min > step.start_min { span class="soft" { ", until " (moment(plan, step.end_min)) } }
                    span class="because" { (step.how) @if step.earliest_min < step.start_min && step.id != "leave" { " From " (moment(plan, step.earliest_min)) " at the earliest." } }
                }
            }
        }
    }
}

/// Names of the steps that hold everything back.
fn slowest(page: &Page) -> String {
    let names: Vec<String> =
        page.day.prep.iter().filter(|s| s.slowest).map(|s| s.name.to_ascii_lowercase()).collect();
    names.join(", ")
}

fn checklist(page: &Page) -> Markup {
    let done = page.day.prep.iter().filter(|s| page.ticks.contains(&["prep-", s.id].concat())).count();
    html! {
        section class="checklist" {
            h2 { "Prep checklist" }
            p class="lead" data-result="prep.done" { (done) " of " (page.day.prep.len()) " done" }
            @for (morning, title) in [(false, "The day before"), (true, "In the morning")] {
                @if page.day.prep.iter().any(|s| s.morning == morning) {
                    h3 { (title) }
                    ol class="ticks" data-result="prep" { @for step in page.day.prep.iter().filter(|s| s.morning == morning) { (step_row(page, step)) } }
                }
            }
            p data-result="prep.chain" { "The slowest chain: " (slowest(page)) ". When one of these is late, everything is." }
            p class="acts" {
                button type="button" id="calendar" data-act="calendar" { "Put it into the calendar" }
                button type="button" id="print-prep" data-print="prep" { "Print the checklist" }
            }
            p class="hint" role="status" data-calendar-said {}
        }
        (caution(page.choices.units, "Blades and hot water", "Cut away from your fingers. Water up to 43 °C is safe for hands and enough; from 50 °C it scalds within minutes, from 60 °C within seconds."))
        (why(page.choices.units,
            "prep",
            "Worked back from the all-in with the durations below: each step as late as one pair of hands can do it. Nothing with hands on the bait is put between 22:00 and 06:00: it is done the evening before. The slowest chain is the row of steps, each waiting for the one before, that leaves the least to spare.",
            &[],
            "critical path method, Kelley and Walker 1959; your own durations. Scald times: published tables for adults, told under Wash.",
        ))
    }
}

fn inputs_today(page: &Page) -> Markup {
    let plan = &page.plan;
    let tin = &plan.tin;
    html! {
        (fold("tin", "The tin, per 100 g", true, &html! {
            (number(page, "tin.fat", Some(tin.fat_tenth_g)))
            (number(page, "tin.protein", Some(tin.protein_tenth_g)))
            (number(page, "tin.carbohydrate", Some(tin.carbohydrate_tenth_g)))
            (number(page, "tin.salt", Some(tin.salt_tenth_g)))
            (number(page, "tin.fibre", tin.fibre_tenth_g))
            (number(page, "bait.air", Some(plan.bait.air_tenth_percent)))
            p class="hint" { "Copy the label. Water is the rest. Air is what the meat was packed with; Why tells how much of it would float this tin." }
        }))
        (fold("cube", "The cube", true, &html! {
            (number(page, "bait.edge", Some(plan.bait.edge_tenth_mm)))
            (number(page, "bait.blade", Some(plan.bait.blade_tenth_mm)))
            (flag("bait.washed", plan.bait.washed, "Washed"))
        }))
        (fold("other", "Another bait", false, &html! {
            @let other = &plan.bait_more.other;
            (pick("other.form", &other.form, "Form"))
            (number(page, "other.second", Some(other.second_tenth_mm)))
            (number(page, "other.density", other.density_kg_per_m3))
            p class="hint" { (page.choices.units.prose("Pellets, corn, paste: the size above is the edge or the diameter; length or thickness counts for a cylinder (0.5 to 3 diameters) or a disc (0.18 to 1). Without a label give a density, or leave it empty and let a tub test tell.")) }
        }))
        (fold("feed", "Feeding", true, &html! {
            @for (i, phase) in plan.feed.iter().enumerate() {
                @let path = |tail: &str| ["feed.", &i.to_string(), tail].concat();
                fieldset {
                    legend { "Feeding " (i + 1) }
                    (place(&path(".line"), plan.lines.iter().map(|l| l.name.as_str()), phase.line, "Line"))
                    (pick(&path(".method"), &phase.method, "How"))
                    (number(page, &path(".cubes"), Some(phase.cubes)))
                    (number(page, &path(".every"), Some(phase.every_s)))
                    (number(page, &path(".start"), Some(phase.start_min)))
                    (number(page, &path(".minutes"), Some(phase.minutes)))
                    (remove("feed", i, "Take this feeding out"))
                }
            }
            (add("feed", "Add a feeding"))
        }))
        (fold("amounts", "Tins and bags", false, &html! {
            (text(page, "tin.name", &tin.name, "Tin"))
            (number(page, "tin.net", Some(tin.net_g)))
            (number(page, "tin.length", Some(tin.length_tenth_mm)))
            (number(page, "tin.width", Some(tin.width_tenth_mm)))
            (number(page, "tin.height", Some(tin.height_tenth_mm)))
            (number(page, "bait.hook_baits", Some(plan.bait.hook_baits)))
            (number(page, "bait.reserve", Some(plan.bait.reserve_tenth_percent)))
            (number(page, "bait.bag", Some(plan.bait.bag_g)))
            (number(page, "bait.tins", Some(plan.bait.tins_in_hand)))
            p class="hint" { "Tins in hand answers how long they last; 0 takes the tins that the day needs." }
        }))
        (fold("tins", "Generic tins", false, &html! {
            p class="hint" { "Entries of a public composition table (USDA). Your own label is better." }
            @for tin in TINS {
                button type="button" class="wide" data-act={ "tin:" (tin.ndb) } { (tin.name) }
            }
        }))
        (fold("durations", "Durations", false, &html! {
            @for (path, value) in [
                ("prep.buy", plan.prep.buy_min), ("prep.cut", plan.prep.cut_min), ("prep.wash", plan.prep.wash_min),
                ("prep.drain", plan.prep.drain_min), ("prep.bag", plan.prep.bag_min), ("prep.freeze", plan.prep.freeze_min),
                ("prep.thaw", plan.prep.thaw_min), ("prep.pack", plan.prep.pack_min),
            ] { (number(page, path, Some(value))) }
            p class="hint" { "Freeze 0 for bait that is used fresh." }
        }))
    }
}
