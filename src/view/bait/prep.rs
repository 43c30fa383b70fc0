//! The preparation as a checklist.

use crate::page::Page;
use crate::results::prep::{PrepStep, moment};
use crate::view::parts::field::number;
use crate::view::parts::why::{caution, why};
use maud::{Markup, html};

/// One step with its tick box.
fn step_row(page: &Page, step: &PrepStep) -> Markup {
    let plan = &page.plan;
    let id = ["prep-", step.id].concat();
    html! {
        li {
            label {
                input type="checkbox" id=(id) data-tick=(id) checked[page.ticks.contains(&id)];
                span {
                    strong { (moment(plan, step.start_min)) } " " (step.name)
                    @if step.end_min > step.start_min { span class="muted" { ", until " (moment(plan, step.end_min)) } }
                    span class="reason" { (step.how) @if step.earliest_min < step.start_min && step.id != "leave" { " From " (moment(plan, step.earliest_min)) " at the earliest." } }
                }
            }
        }
    }
}

/// How long the steps take.
pub(in crate::view) fn inputs(page: &Page) -> Markup {
    let prep = &page.plan.prep;
    html! {
        @for (path, value) in [
            ("prep.buy", prep.buy_min), ("prep.cut", prep.cut_min), ("prep.wash", prep.wash_min), ("prep.drain", prep.drain_min),
            ("prep.bag", prep.bag_min), ("prep.freeze", prep.freeze_min), ("prep.thaw", prep.thaw_min), ("prep.pack", prep.pack_min),
        ] { (number(page, path, Some(value))) }
        p class="hint" { "Freeze 0 for bait that is used fresh." }
    }
}

/// Names of the steps that hold everything back.
fn slowest(page: &Page) -> String {
    let names: Vec<String> =
        page.results.prep.iter().filter(|s| s.slowest).map(|s| s.name.to_ascii_lowercase()).collect();
    names.join(", ")
}

pub(in crate::view) fn checklist(page: &Page) -> Markup {
    let done = page.results.prep.iter().filter(|s| page.ticks.contains(&["prep-", s.id].concat())).count();
    html! {
        section class="checklist" {
            p class="intro" data-result="prep.done" { (done) " of " (page.results.prep.len()) " done" }
            @for (morning, title) in [(false, "The day before"), (true, "In the morning")] {
                @if page.results.prep.iter().any(|s| s.morning == morning) {
                    h3 { (title) }
                    ol class="ticks" data-result="prep" { @for step in page.results.prep.iter().filter(|s| s.morning == morning) { (step_row(page, step)) } }
                }
            }
            p data-result="prep.chain" { "Critical steps: " (slowest(page)) ". When one of these is late, everything is." }
            p class="actions" {
                button type="button" id="calendar" data-act="calendar" { "Put it into the calendar" }
                button type="button" id="print-prep" data-act="print:prep" { "Print the checklist" }
            }
            p class="hint" role="status" data-calendar-said {}
        }
        (caution(page.choices.units, "Blades and hot water", "Cut away from your fingers. Water up to 43 °C is safe for hands and enough; from 50 °C it scalds within minutes, from 60 °C within seconds."))
        (why(page.choices.units,
            "prep",
            "Worked back from the all-in with your prep times: each step as late as one pair of hands can do it. Nothing with hands on the bait is put between 22:00 and 06:00: it is done the evening before. The slowest chain is the row of steps, each waiting for the one before, that leaves the least to spare.",
            &[],
            "critical path method, Kelley and Walker 1959; your own prep times. Scald times: published tables for adults, told under Wash.",
        ))
    }
}
