//! Feed over the day, against what the venue allows and what is in hand.

use crate::bait::amount::Amount;
use crate::page::Page;
use crate::units::clock_words;
use crate::view::parts::column::px;
use crate::view::parts::words::whole;
use maud::{Markup, html};

/// Left, right, top and bottom of the picture.
const BOX: (f64, f64, f64, f64) = (46.0, 320.0, 14.0, 150.0);

pub(super) fn picture(page: &Page, amount: &Amount) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let Some(last) = amount.series.last() else { return html! {} };
    let fed = last.grams;
    let tins = f64::from(amount.lasts.cubes) * fed / f64::from(last.cubes.max(1));
    // The limit is drawn while it leaves the feed readable; a far larger one is told in words.
    let limit = amount.limit_g.filter(|l| *l < 3.0 * fed);
    let most = fed.max(limit.unwrap_or(0.0)).max(1.0) * 1.08;
    let (left, right, top, bottom) = BOX;
    let span = last.minute.max(1.0);
    let x = |minute: f64| left + (right - left) * minute / span;
    let y = |grams: f64| bottom - (bottom - top) * grams / most;
    let kilos = |grams: f64| [&units.number(grams / 1000.0, 2), " kg"].concat();
    let line: Vec<String> =
        amount.series.iter().map(|p| [&px(x(p.minute)), ",", &px(y(p.grams))].concat()).collect();
    let clock = |minute: f64| clock_words(plan.day.all_in_min.saturating_add(whole(minute)));
    let half = kilos(amount.series.get(amount.series.len() / 2).map_or(0.0, |p| p.grams));
    let allowed = amount.limit_g.map_or_else(String::new, |l| format!(". The venue allows {}", kilos(l)));
    let (from, all, to) = (clock(0.0), kilos(fed), clock(span));
    let name = format!("Feed over the day: nothing at {from}, {half} half way, {all} at {to}{allowed}.");
    html! {
        h3 { "Feed over the day" }
        svg class="column" data-drawing="feed" viewBox="0 0 330 172" role="img" aria-label=(name) {
            rect class="water" x=(px(left)) y=(px(top)) width=(px(right - left)) height=(px(bottom - top)) {}
            @if let Some(limit) = limit {
                line class="allowed" x1=(px(left)) y1=(px(y(limit))) x2=(px(right)) y2=(px(y(limit))) {}
                text x=(px(left + 4.0)) y=(px(y(limit) - 4.0)) { "allowed " (kilos(limit)) }
            }
            @if amount.lasts.runs_out_min.is_some() && tins < most {
                line class="mark" x1=(px(left)) y1=(px(y(tins))) x2=(px(right)) y2=(px(y(tins))) {}
                text x=(px(right - 4.0)) y=(px(y(tins) - 4.0)) text-anchor="end" { "in hand" }
            }
            polyline class="curve" points=(line.join(" ")) {}
            text x=(px(left - 4.0)) y=(px(y(0.0) + 4.0)) text-anchor="end" { "0" }
            text x=(px(left - 4.0)) y=(px(y(fed) + 4.0)) text-anchor="end" { (units.number(fed / 1000.0, 1)) " kg" }
            @for part in [0.0, 0.5, 1.0] {
                text x=(px(x(span * part))) y="167" text-anchor=(if part < 0.1 { "start" } else if part > 0.9 { "end" } else { "middle" }) { (clock(span * part)) }
            }
        }
    }
}
