//! The player of a fall: moves its drawing, many times a second, without writing markup.

use super::dom::{find, set, window};
use super::patch::put_text;
use crate::page::Page;
use crate::view::rigs::scene::scene;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::HtmlInputElement;

/// Moves the drawing of a fall to the player's moment.
pub(super) fn draw_moment(page: &Page) -> Result<(), JsValue> {
    let player = &page.player;
    let Some(figure) = find(".sinking") else { return Ok(()) };
    let Some(scene) = scene(page, player.at_s.min(page.watch_s())) else { return Ok(()) };
    let put = |place: &str, name: &str, value: &str| {
        find(place).map_or(Ok(()), |element| set(&element, name, Some(value)))
    };
    for (which, moment) in [("own", &scene.own), ("beside", &scene.beside)] {
        if let Some(moment) = moment {
            let place = ["[data-fall=", which, "] "].concat();
            put(&[&place, "polyline"].concat(), "points", &moment.line)?;
            put(&[&place, "path"].concat(), "d", &moment.shots)?;
            put(&[&place, "rect"].concat(), "transform", &moment.hook)?;
        }
    }
    put("[data-cubes]", "transform", &scene.cubes)?;
    put("[data-pointer]", "transform", &scene.pointer)?;
    if let Some(now) = figure.query_selector("[data-now]")? {
        put_text(&now, &scene.words);
    }
    if let Some(button) = figure.query_selector("#play")? {
        put_text(&button, if player.playing { "Pause" } else { "Play" });
    }
    if let Some(bar) =
        figure.query_selector("[data-scrub]")?.and_then(|b| b.dyn_into::<HtmlInputElement>().ok())
    {
        bar.set_value_as_number((player.at_s * 10.0).round());
        bar.set_attribute("aria-valuetext", &scene.words)?;
    }
    Ok(())
}

/// Whether any of the player's drawing is on the screen.
pub(super) fn player_in_view() -> bool {
    let look = || {
        let place = find(".sinking svg")?.get_bounding_client_rect();
        let high = window().ok()?.inner_height().ok()?.as_f64()?;
        Some(place.bottom() > 0.0 && place.top() < high)
    };
    look().unwrap_or(false)
}
