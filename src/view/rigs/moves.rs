//! Moves of the shot, and what each makes of the fall.

use crate::page::Page;
use crate::page::falls::Compare;
use crate::results::fall::{FallPath, hook_over_feed};
use crate::rig::fall::Rig;
use crate::rig::finder::{AS_LONG_S, than_feed};
use crate::rig::moves::{Move, Occasion};
use crate::units::Quantity;
use crate::view::parts::words::{in_cases, pressed};
use maud::{Markup, html};

/// How a fall differs from the own one: `2 s slower, last third 0.93`.
fn effect(page: &Page, own: Option<&FallPath>, other: &FallPath) -> String {
    let units = page.choices.units;
    let (Some(own), Some(theirs)) = (own, other.times_s[4]) else { return String::new() };
    let Some(mine) = own.times_s[4] else { return String::new() };
    let off = theirs - mine;
    let speed = if off.abs() < AS_LONG_S {
        "as long to the bottom".to_owned()
    } else {
        let way = if off > 0.0 { "slower" } else { "quicker" };
        format!("{} s {way} to the bottom", units.number(off.abs(), 1))
    };
    let hook = hook_over_feed(&page.plan);
    match (own.of_feed(hook), other.of_feed(hook)) {
        (Some(mine), Some(theirs)) => {
            let (mine, theirs) = (than_feed(mine), than_feed(theirs));
            format!("{speed}, last third {theirs} (now {mine})")
        }
        _ => speed,
    }
}

pub(super) fn moves(page: &Page) -> Markup {
    let units = page.choices.units;
    let moves = page.moves();
    let own = page.own_fall().filter(|f| f.1).and_then(|f| f.0.as_ref().ok());
    let at = |mm: i32| units.text(mm.saturating_mul(10), Quantity::Depth);
    html! {
        @if !moves.is_empty() {
            h3 { "When bites are missed, or do not come" }
            ol class="moves" data-result="rig.moves" {
                @for (k, one) in moves.iter().enumerate() {
                    li class="card" {
                        p { strong { (k + 1) ". " (match one.when { Occasion::BitesMissed => "Bites are missed. ", Occasion::NoBites => "No bites. " }) } (one.words) }
                        p class="muted" { (one.shots) " shot from " (at(one.from_mm)) " to " (at(one.to_mm)) @if one.up_to_mm != one.to_mm { " – " (at(one.up_to_mm)) } " from the hook." }
                        p data-effect=(k) { (move_effect(page, one, own)) }
                        p class="actions" {
                            @let beside = page.falls.compare == Compare::Move(k);
                            button type="button" data-act={ @if beside { "alone" } @else { "move:" (k) } } aria-pressed=(pressed(beside)) { "Show beside mine" }
                            button type="button" data-act={ "use-move:" (k) } { "Use it" }
                        }
                    }
                }
            }
        }
    }
}

/// How sure it is that a rig is quicker or slower to the bottom than the open one: `That order holds in 83 cases of 100`.
pub(super) fn order(page: &Page, rig: Option<&Rig>) -> Option<String> {
    Some(["That order holds ", &in_cases(page.falls.order_holds(&page.own_rig()?, rig?)?)].concat())
}

/// What a move does to the fall, as far as it is known.
fn move_effect(page: &Page, one: &Move, own: Option<&FallPath>) -> Markup {
    html! {
        @let rig = page.fall_of(&one.layout);
        @match rig.as_ref().and_then(|rig| page.falls.of(rig)) {
            Some(Ok(sunk)) => {
                strong { (effect(page, own, sunk)) }
                @if let Some(words) = order(page, rig.as_ref()) { span class="muted" { ". " (words) } }
            },
            Some(Err(sentence)) => span class="refusal" { (sentence) },
            None => span class="muted" { "Its fall is being worked out…" },
        }
    }
}

/// The effects of all moves, in their order.
pub(in crate::view) fn effects(page: &Page) -> Vec<String> {
    let own = page.own_fall().filter(|f| f.1).and_then(|f| f.0.as_ref().ok());
    page.moves().iter().map(|one| move_effect(page, one, own).into_string()).collect()
}
