//! The day: the water as one picture, three figures, what cannot work, and a row for each thing that can be changed.

mod picture;

use crate::page::Page;
use crate::page::sheet::Sheet;
use crate::plan::Choice;
use crate::plan::presets::presets;
use crate::results::prep::moment;
use crate::results::warnings::Warning;
use crate::session::words::counted;
use crate::units::{Quantity, clock_words, day_words, duration_words};
use crate::view::parts::field::{add, flag, named, number, pick, remove, text};
use crate::view::parts::mark::{mark, mark_of};
use crate::view::parts::row::{figure, onward, row, text_row};
use crate::view::parts::why::{bank_cautions, why};
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let (plan, day, units) = (&page.plan, &page.results, page.choices.units);
    let first = day.order.first().and_then(|turn| Some((turn, plan.rigs.get(turn.rig)?)));
    let leave = moment(plan, plan.day.draw_min - plan.day.travel_min);
    let (leave_day, leave_at) = leave.rsplit_once(' ').unwrap_or(("", &leave));
    let next = day.prep.iter().find(|step| !page.ticks.contains(&["prep-", step.id].concat()));
    let broken = day.warnings.iter().filter(|w| w.rule).count();
    html! {
        a class="picture" href={ "#" (Sheet::Order.address()) } { (picture::picture(page)) }
        div class="figures" {
            @if let Some((turn, rig)) = first {
                (figure(Some(Sheet::Order), "start", &html! { (mark(mark_of(&plan.rigs, turn.rig))) (rig.name) },
                    &units.text(rig.depth_tenth_mm, Quantity::Depth), "start on"))
            }
            (tins(page))
            (figure(Some(Sheet::Times), "leave", &html! { (leave_at) }, leave_day, "leave"))
        }
        (faults(page))
        (offers(page, false))
        @if page.sheet_shown().is_none() { (follow(page)) }
        div class="rows" {
            (row(Sheet::Rules, "Rules", &html! {
                @match broken { 0 => "none broken", 1 => span class="bad" { "1 broken" }, _ => span class="bad" { (broken) " broken" } }
            }, &rules_words(page)))
            (text_row(Sheet::Prep, "Prep", &next.map_or_else(|| "done".to_owned(), |step| moment(plan, step.start_min)),
                &next.map_or_else(String::new, |step| step.name.to_lowercase())))
            (text_row(Sheet::Water, "Water", &water_words(page), &[plan.weather.sky.word(), ", ", plan.weather.wind.word()].concat()))
            (text_row(Sheet::Times, "Times", &[&clock_words(plan.day.all_in_min), " to ", &clock_words(plan.day.all_out_min)].concat(), &day_words(plan.day.date.0)))
            (text_row(Sheet::Lines, "Pole lines", &plan.lines.len().to_string(), &lines_words(page)))
            (text_row(Sheet::Place, "Venue", if plan.water.venue.is_empty() { "not named" } else { &plan.water.venue }, &peg_words(page)))
            @if page.fished().is_some() { (text_row(Sheet::Outcome, "Result", &result_words(page), "")) }
        }
        ol class="turns print-only" { @for turn in &day.order { li { strong { "Rig " (turn.name) } " " span { (turn.reason) } } } }
        (bank_cautions(page.choices.units))
    }
}

/// Tins of those allowed, or how much of another bait.
fn tins(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let Some(amount) = &page.results.amount else {
        return figure(Some(Sheet::Tins), "tins", &html! { "–" }, "", "bait");
    };
    if crate::results::requests::is_other(plan) {
        return figure(
            Some(Sheet::Feed),
            "tins",
            &html! { (units.number(amount.total_g / 1000.0, 1)) },
            "kg",
            "bait",
        );
    }
    let over = plan.rules.tins.is_some_and(|most| i64::from(amount.tins) > i64::from(most));
    let words = plan
        .rules
        .tins
        .map_or_else(|| "no limit".to_owned(), |most| ["of ", &most.to_string(), " allowed"].concat());
    let number = html! { span class=[over.then_some("bad")] { (amount.tins) } };
    figure(Some(Sheet::Feed), "tins", &number, if amount.tins == 1 { "tin" } else { "tins" }, &words)
}

fn rules_words(page: &Page) -> String {
    let rules = &page.plan.rules;
    let tins = rules.tins.map(|tins| counted(u32::try_from(tins).unwrap_or(0), "tin", "tins"));
    let hook = rules.hook.map(|hook| ["hook ", &hook.to_string()].concat());
    let barbless = rules.barbless.then(|| "barbless".to_owned());
    let words: Vec<String> = [tins, hook, barbless].into_iter().flatten().collect();
    if words.is_empty() { "none entered".to_owned() } else { words.join(", ") }
}

fn water_words(page: &Page) -> String {
    let (water, units) = (&page.plan.water, page.choices.units);
    [
        &units.text(water.depth_tenth_mm, Quantity::Reach),
        ", ",
        &units.text(water.surface_tenth_c, Quantity::Temperature),
    ]
    .concat()
}

fn lines_words(page: &Page) -> String {
    let words = |line: &crate::plan::PoleLine| {
        let depth = page.choices.units.text(line.depth_tenth_mm, Quantity::Reach);
        [line.name.as_str(), " ", &depth].concat()
    };
    page.plan.lines.iter().map(words).collect::<Vec<_>>().join(", ")
}

fn peg_words(page: &Page) -> String {
    let peg = &page.plan.water.peg;
    if peg.is_empty() { "peg drawn on the day".to_owned() } else { ["peg ", peg].concat() }
}

/// What cannot work, each with the button that mends it; then what only its owner can know.
fn faults(page: &Page) -> Markup {
    let mendable = || page.results.warnings.iter().enumerate().filter(|(_, w)| w.mend.is_some());
    let count = mendable().count();
    html! {
        @if count > 0 {
            section class="faults" data-result="faults" {
                h2 { @if count == 1 { "1 thing to mend" } @else { (count) " things to mend" } }
                ul { @for (place, warning) in mendable() { (fault(page, place, warning)) } }
                @if count > 1 { button type="button" class="main wide-button" id="mend-all" data-act="mend-all" { "Mend all" } }
            }
        }
        @for warning in page.results.warnings.iter().filter(|w| w.mend.is_none()) {
            p class="look-at" { span aria-hidden="true" { "! " } (warning.sentence) }
        }
    }
}

fn fault(page: &Page, place: usize, warning: &Warning) -> Markup {
    let rig =
        warning.field.strip_prefix("rigs.").and_then(|rest| rest.split('.').next()?.parse::<usize>().ok());
    html! {
        li {
            @if let Some(rig) = rig { (mark(mark_of(&page.plan.rigs, rig))) }
            div class="words" {
                p { (warning.sentence) }
                @if let Some(mend) = &warning.mend { p class="soft" { (mend.change) } }
            }
            @if let Some(mend) = &warning.mend {
                button type="button" id={ "mend-" (place) } data-act={ "mend:" (place) } { (mend.button) }
            }
        }
    }
}

/// What this day taught that its water or the box does not know yet, and what the water knows of its peg; that alone, if
/// `for_plan`.
pub(super) fn offers(page: &Page, for_plan: bool) -> Markup {
    let offers = page.offers();
    let shown = || offers.iter().enumerate().filter(|(_, offer)| !for_plan || offer.is_for_plan());
    let venue = &page.plan.water.venue;
    let invented = || presets().iter().any(|preset| preset.plan.water.venue == *venue);
    let to_keep = !for_plan
        && page.looking.is_none()
        && !venue.is_empty()
        && page.open_day().is_some_and(|day| day.water.is_none())
        && !invented();
    html! {
        @if to_keep || shown().next().is_some() {
            p class="actions" data-result="offers" {
                @for (place, offer) in shown() {
                    button type="button" data-act={ "book:offer." (place) } { (offer.words(page.choices.units)) }
                }
                @if to_keep { button type="button" data-act="book:keep-water" { "Add " (venue) " to my waters" } }
            }
        }
    }
}

fn result_words(page: &Page) -> String {
    let Some(day) = page.fished() else { return String::new() };
    let fish = day.outcome.fish.map(|fish| [&fish.to_string(), " fish"].concat());
    let weight = day.outcome.weight_g.map(|g| page.choices.units.text(g, Quantity::Grams));
    let words: Vec<String> = [fish, weight].into_iter().flatten().collect();
    if words.is_empty() { "to be entered".to_owned() } else { words.join(", ") }
}

/// What stands above the inputs of a sheet.
pub(super) fn answers(page: &Page, sheet: Sheet) -> Markup {
    match sheet {
        Sheet::Order => order(page),
        Sheet::Prep => crate::view::bait::prep::checklist(page),
        Sheet::Water | Sheet::Lines => follow(page),
        _ => html! {},
    }
}

/// Which rig first, and why.
fn order(page: &Page) -> Markup {
    let day = &page.results;
    let sum: i32 = day.points.iter().map(|p| p.points).sum();
    html! {
        ol class="turns" data-result="order" {
            @for turn in &day.order { li { (mark(mark_of(&page.plan.rigs, turn.rig))) strong { (turn.name) } " " span { (turn.reason) } } }
        }
        dl class="pairs" data-result="points" {
            @for point in &day.points { div { dt { (point.what) } dd { (signed(point.points)) } } }
            div class="sum" { dt { "together" } dd { (signed(sum)) } }
        }
        (why(page.choices.units,
            "points",
            "More than nothing speaks for fishing shallow, nothing or less for the bottom. Warm, bright, still water and a high or rising pressure bring fish up; cold, cloud, wind and a low or falling pressure keep them down. You may overrule it under “Start on”. Always carry a rig for both.",
            &[],
            "common practice, no published source. It is a habit of the trade, not science.",
        ))
    }
}

/// Points with their sign.
fn signed(points: i32) -> String {
    if points > 0 { ["+", &points.to_string()].concat() } else { points.to_string().replace('-', "−") }
}

pub(super) fn inputs(page: &Page, sheet: Sheet) -> Markup {
    let plan = &page.plan;
    match sheet {
        Sheet::Water => html! {
            (number(page, "water.depth", Some(plan.water.depth_tenth_mm)))
            (number(page, "water.surface", Some(plan.water.surface_tenth_c)))
            (number(page, "water.bottom", plan.water.bottom_tenth_c))
            (number(page, "weather.pressure", Some(plan.weather.pressure_hpa)))
            (pick("weather.trend", &plan.weather.trend, "Trend"))
            (pick("weather.sky", &plan.weather.sky, "Sky"))
            (pick("weather.wind", &plan.weather.wind, "Wind"))
            div class="rows" {
                (onward(Sheet::Lines, &lines_words(page)))
                (onward(Sheet::Times, &["draw ", &clock_words(plan.day.draw_min)].concat()))
                (onward(Sheet::Rules, &rules_words(page)))
            }
        },
        Sheet::Order => pick("weather.start", &plan.weather.start, "Start on"),
        Sheet::Times => html! {
            (number(page, "day.date", Some(plan.day.date.0)))
            (number(page, "day.draw", Some(plan.day.draw_min)))
            (number(page, "day.all_in", Some(plan.day.all_in_min)))
            (number(page, "day.all_out", Some(plan.day.all_out_min)))
            (number(page, "day.travel", Some(plan.day.travel_min)))
            (number(page, "day.setup", Some(plan.day.setup_min)))
        },
        Sheet::Place => html! {
            (text(page, "water.venue", &plan.water.venue, "Venue"))
            (text(page, "water.peg", &plan.water.peg, "Peg"))
            (text(page, "name", &plan.name, "Plan’s name"))
            (text(page, "note", &plan.note, "Note"))
        },
        Sheet::Lines => html! {
            @for (i, line) in plan.lines.iter().enumerate() {
                fieldset {
                    legend { @if line.name.is_empty() { "Line " (i + 1) } @else { (line.name) } }
                    (text(page, &["lines.", &i.to_string(), ".name"].concat(), &line.name, "Name"))
                    (number(page, &["lines.", &i.to_string(), ".depth"].concat(), Some(line.depth_tenth_mm)))
                    (number(page, &["lines.", &i.to_string(), ".distance"].concat(), Some(line.distance_tenth_mm)))
                    @if plan.lines.len() > 1 { (remove("lines", i, "Delete this line")) }
                }
            }
            (add("lines", "Add a line"))
        },
        Sheet::Rules => html! {
            (number(page, "rules.tins", plan.rules.tins))
            (named(page, "rules.hook", plan.rules.hook, Some("Largest hook size")))
            (number(page, "rules.hooklength", plan.rules.hooklength_tenth_mm))
            (flag("rules.barbless", plan.rules.barbless, "Barbless hooks only"))
            (pick("rules.lead", &plan.rules.lead, "Lead"))
            (number(page, "rules.net", plan.rules.net_g))
            (number(page, "rules.nets", plan.rules.nets))
            p class="hint" { "An empty field means no limit. " (page.choices.units.prose(crate::trade::lead::RULE)) }
        },
        Sheet::Prep => html! {
            div class="rows" { (onward(Sheet::PrepTimes, &[&duration_words(plan.prep.freeze_min), " freezing"].concat())) }
        },
        Sheet::PrepTimes => crate::view::bait::prep::inputs(page),
        Sheet::Outcome => html! {
            @if let Some(day) = page.fished() {
                (number(page, "result.weight", day.outcome.weight_g))
                (number(page, "result.fish", day.outcome.fish))
                (number(page, "result.place", day.outcome.place))
                (number(page, "result.of", day.outcome.of))
                (text(page, "result.note", &day.note, "Note"))
            } @else { p class="hint" { "This day was not fished yet." } }
        },
        _ => html! {},
    }
}

/// Asks whether rigs on the bottom follow a depth that was just changed.
pub(super) fn follow(page: &Page) -> Markup {
    html! {
        @if let Some(ask) = page.follow_words() {
            div class="ask-line" role="status" {
                p data-result="follow" { (ask) }
                button type="button" data-act="follow:yes" { "Yes" }
                button type="button" data-act="follow:keep" { "Keep" }
            }
        }
    }
}
