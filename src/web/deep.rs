//! Long work for the rigs screen, and the player of a fall.
//!
//! Falls and searches run in the worker, one fall at a time, a little after the last change. The player asks for frames
//! only while it plays, and changes a few attributes of the drawing; out of view or on a hidden page it stops.

use super::app::{App, document, on, window, with_app};
use super::patch::put_text;
use super::worker::{pack, unpack};
use crate::page::Screen;
use crate::results::fall::FallPath;
use crate::rig::fall::Rig;
use crate::rig::finder::Progress;
use crate::view::rigs::scene::scene;
use crate::view::{fall_part, finder_part, found_part, move_effects};
use js_sys::{Float32Array, Function, Reflect, Uint8Array};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, HtmlInputElement};

/// How long after the last change a fall is asked for, ms.
const WAIT_MS: i32 = 250;
/// Longest step of the player, ms: after a pause of the page it goes on where it was.
const MAX_FRAME_MS: f64 = 100.0;

/// What is under way.
pub(super) struct Runner {
    jobs: JsValue,
    timer: Option<i32>,
    fall: Option<Rig>,
    search: Option<JsValue>,
    at_s: f64,
    /// Time of the last frame while playing, ms.
    last_ms: Option<f64>,
    frame: Option<Function>,
}

impl Runner {
    pub(super) fn new(jobs: JsValue) -> Self {
        Self { jobs, timer: None, fall: None, search: None, at_s: 0.0, last_ms: None, frame: None }
    }
}

/// Puts the player's listeners in place and looks whether motion is wanted.
pub(super) fn listen() -> Result<(), JsValue> {
    let document = document()?;
    let still = window()?.match_media("(prefers-reduced-motion: reduce)")?.is_some_and(|m| m.matches());
    with_app(|app| app.page.deep.still = still);
    on(&document, "input", |event| {
        let input = event.target().and_then(|t| t.dyn_into::<HtmlInputElement>().ok());
        if let Some(input) = input.filter(|i| i.has_attribute("data-scrub")) {
            with_app(|app| {
                app.deep.last_ms = None;
                app.deep.at_s = input.value_as_number() / 10.0;
                let _ = app.draw_moment();
            });
        }
    })?;
    on(&document, "visibilitychange", |_| {
        with_app(|app| {
            // Seen again, it stands where it stood until somebody plays it.
            if app.deep.last_ms.take().is_some() {
                let _ = app.draw_moment();
            }
        });
    })?;
    on(&document, "click", clicked)
}

fn clicked(event: &Event) {
    let Some(element) = event.target().and_then(|t| t.dyn_into::<Element>().ok()) else { return };
    if matches!(element.closest("[data-play]"), Ok(Some(_))) {
        with_app(App::play);
    }
}

/// The error's sentence; nothing when the work was only stopped.
fn sentence(error: &JsValue) -> Option<String> {
    let text = |name: &str| Reflect::get(error, &name.into()).ok()?.as_string();
    if text("code").as_deref() == Some("stopped") {
        return None;
    }
    Some(text("message").unwrap_or_else(|| "The background work could not run.".to_owned()))
}

/// Calls `done` or `failed` when the promise settles.
fn then(
    promise: &JsValue,
    done: impl FnOnce(JsValue) + 'static,
    failed: impl FnOnce(JsValue) + 'static,
) -> Result<(), JsValue> {
    let method: Function = Reflect::get(promise, &"then".into())?.dyn_into()?;
    method.call2(promise, &Closure::once_into_js(done), &Closure::once_into_js(failed))?;
    Ok(())
}

impl App {
    fn job(&self, name: &str) -> Result<Function, JsValue> {
        Reflect::get(&self.deep.jobs, &name.into())?.dyn_into()
    }

    /// After any change: starts or stops the search, and asks for a fall soon.
    pub(super) fn deep_soon(&mut self) {
        if self.deep.jobs.is_undefined() {
            return;
        }
        let wanted = self.page.deep.search.as_ref().is_some_and(|s| s.running);
        if !wanted && let Some(id) = self.deep.search.take() {
            let _ = self.job("stop").and_then(|stop| stop.call1(&JsValue::NULL, &id));
        }
        if wanted && self.deep.search.is_none() && self.begin_search().is_err() {
            self.page.search_came(Err("The search could not begin on this device.".to_owned()));
        }
        if self.page.screen != Screen::Rigs {
            self.deep.last_ms = None;
            return;
        }
        let _ = self.draw_moment();
        let Ok(window) = window() else { return };
        if let Some(timer) = self.deep.timer.take() {
            window.clear_timeout_with_handle(timer);
        }
        let go = Closure::once_into_js(|| {
            with_app(|app| {
                app.deep.timer = None;
                app.next_fall();
            });
        });
        let set = window.set_timeout_with_callback_and_timeout_and_arguments_0(go.unchecked_ref(), WAIT_MS);
        self.deep.timer = set.ok();
    }

    /// Sends the next fall that is wanted to the worker.
    fn next_fall(&mut self) {
        if self.deep.fall.is_some() || self.page.screen != Screen::Rigs {
            return;
        }
        let Some(rig) = self.page.next_fall() else { return };
        self.deep.fall = Some(rig.clone());
        if self.send_fall(&rig).is_err() {
            self.deep.fall = None;
        }
    }

    fn send_fall(&mut self, rig: &Rig) -> Result<(), JsValue> {
        let job = self.job("run")?.call2(&JsValue::NULL, &"fallRow".into(), &pack(rig)?.into())?;
        let came = |fall: Result<FallPath, String>| {
            with_app(|app| {
                if let Some(rig) = app.deep.fall.take() {
                    let drawn = app.page.own_rig().as_ref() == Some(&rig)
                        || app.page.beside().is_some_and(|(_, other)| other == rig);
                    app.page.fall_came(rig, fall);
                    let _ = if drawn {
                        app.show_part("[data-part=fall]", &fall_part(&app.page))
                    } else {
                        app.show_effects()
                    };
                    let _ = app.draw_moment();
                }
                app.next_fall();
            });
        };
        then(
            &Reflect::get(&job, &"result".into())?,
            move |row| {
                let row = row.dyn_into::<Float32Array>().map(|a| a.to_vec()).unwrap_or_default();
                came(FallPath::from_row(&row).ok_or_else(|| "The fall could not be drawn.".to_owned()));
            },
            move |error| came(Err(sentence(&error).unwrap_or_default())),
        )
    }

    fn begin_search(&mut self) -> Result<(), JsValue> {
        let Some(search) = &self.page.deep.search else { return Ok(()) };
        let request = pack(&search.request)?;
        let told =
            Closure::<dyn Fn(JsValue)>::new(|progress: JsValue| search_came(progress_of(progress), false));
        let job = self.job("search")?.call2(&JsValue::NULL, &request, &told.into_js_value())?;
        self.deep.search = Some(Reflect::get(&job, &"id".into())?);
        then(
            &Reflect::get(&job, &"result".into())?,
            |progress| search_came(progress_of(progress), true),
            |error| {
                if sentence(&error).is_some() {
                    search_came(Err(error), true);
                }
            },
        )
    }

    /// After a button of the finder: writes it alone, and starts or stops the search.
    pub(super) fn show_finder(&mut self) {
        let _ = self.show_part("[data-part=finder]", &finder_part(&self.page));
        self.deep_soon();
    }

    /// Writes the effects of the moves, and leaves the buttons beside them alone.
    fn show_effects(&self) -> Result<(), JsValue> {
        let document = document()?;
        for (k, markup) in move_effects(&self.page).iter().enumerate() {
            if let Some(place) =
                document.query_selector(&["[data-effect='", &k.to_string(), "']"].concat())?
            {
                place.set_inner_html(markup);
            }
        }
        Ok(())
    }

    /// Writes a part of the results anew, with its folds and the focus as they were.
    fn show_part(&mut self, place: &str, markup: &str) -> Result<(), JsValue> {
        let document = document()?;
        let Some(part) = document.query_selector(place)? else { return Ok(()) };
        self.keep_folds(&part)?;
        let focused = document.active_element().map(|e| e.id()).filter(|id| !id.is_empty());
        super::patch::patch(&part, markup)?;
        self.open_folds(&part)?;
        if let Some(id) = focused
            && let Some(element) = document.get_element_by_id(&id)
            && let Some(element) = element.dyn_ref::<web_sys::HtmlElement>()
        {
            let _ = element.focus();
        }
        Ok(())
    }

    /// The button: plays from here, from the start when it was at the end, or pauses.
    fn play(&mut self) {
        if self.deep.last_ms.take().is_none() {
            if self.deep.at_s >= self.page.watch_s() - 0.05 {
                self.deep.at_s = 0.0;
            }
            self.deep.last_ms = Some(f64::NAN);
            self.ask_frame();
        }
        let _ = self.draw_moment();
    }

    fn ask_frame(&mut self) {
        let frame = self.deep.frame.get_or_insert_with(|| {
            let step = Closure::<dyn Fn(f64)>::new(|now: f64| {
                with_app(|app| app.step_frame(now));
            });
            step.into_js_value().unchecked_into()
        });
        if let Ok(window) = window() {
            let _ = window.request_animation_frame(frame);
        }
    }

    fn step_frame(&mut self, now: f64) {
        let Some(last) = self.deep.last_ms else { return };
        let passed = if last.is_nan() { 0.0 } else { crate::units::between(now - last, 0.0, MAX_FRAME_MS) };
        self.deep.at_s += passed / 1000.0;
        self.deep.last_ms = Some(now);
        // Before anything is written in this frame, so that nothing has to be laid out for the look.
        if self.deep.at_s >= self.page.watch_s() || self.page.screen != Screen::Rigs || !in_view() {
            self.deep.last_ms = None;
        }
        let _ = self.draw_moment();
        if self.deep.last_ms.is_some() {
            self.ask_frame();
        }
    }

    /// Moves the drawing to the player's moment.
    fn draw_moment(&mut self) -> Result<(), JsValue> {
        let document = document()?;
        let Some(figure) = document.query_selector(".sinking")? else {
            self.deep.last_ms = None;
            return Ok(());
        };
        let Some(scene) = scene(&self.page, self.deep.at_s.min(self.page.watch_s())) else { return Ok(()) };
        let set = |place: &str, name: &str, value: &str| -> Result<(), JsValue> {
            if let Some(element) = document.query_selector(place)? {
                element.set_attribute(name, value)?;
            }
            Ok(())
        };
        for (which, moment) in [("own", &scene.own), ("beside", &scene.beside)] {
            if let Some(moment) = moment {
                let place = ["[data-fall=", which, "] "].concat();
                set(&[&place, "polyline"].concat(), "points", &moment.line)?;
                set(&[&place, "path"].concat(), "d", &moment.shots)?;
                set(&[&place, "rect"].concat(), "transform", &moment.hook)?;
            }
        }
        set("[data-cubes]", "transform", &scene.cubes)?;
        set("[data-pointer]", "transform", &scene.pointer)?;
        if let Some(now) = figure.query_selector("[data-now]")? {
            put_text(&now, &scene.words);
        }
        if let Some(button) = figure.query_selector("[data-play]")? {
            put_text(&button, if self.deep.last_ms.is_some() { "Pause" } else { "Play" });
        }
        if let Some(bar) =
            figure.query_selector("[data-scrub]")?.and_then(|b| b.dyn_into::<HtmlInputElement>().ok())
        {
            bar.set_value_as_number((self.deep.at_s * 10.0).round());
            bar.set_attribute("aria-valuetext", &scene.words)?;
        }
        Ok(())
    }
}

/// Whether any of the player's drawing is on the screen.
fn in_view() -> bool {
    let look = || {
        let place = document().ok()?.query_selector(".sinking svg").ok()??.get_bounding_client_rect();
        let high = window().ok()?.inner_height().ok()?.as_f64()?;
        Some(place.bottom() > 0.0 && place.top() < high)
    };
    look().unwrap_or(false)
}

/// Whether a button changes nothing but the finder.
pub(super) fn of_finder(act: &str) -> bool {
    let verbs = ["aim.", "groups.", "keep", "hooklength", "start", "stop"];
    act.strip_prefix("deep:").is_some_and(|rest| verbs.iter().any(|verb| rest.starts_with(verb)))
}

/// The progress that the worker sent.
fn progress_of(bytes: JsValue) -> Result<Progress, JsValue> {
    unpack(&bytes.dyn_into::<Uint8Array>()?.to_vec())
}

/// A search came along, or ended.
fn search_came(progress: Result<Progress, JsValue>, ended: bool) {
    with_app(|app| {
        // What was on its way when the search was stopped no longer counts.
        if app.deep.search.is_none() {
            return;
        }
        if ended {
            app.deep.search = None;
        }
        let told = progress.map_err(|e| sentence(&e).unwrap_or_default());
        app.page.search_came(told);
        // While it goes on, the button that stops it must stay under the finger.
        let _ = if app.page.deep.search.as_ref().is_some_and(|s| s.running) {
            app.show_part("[data-part=found]", &found_part(&app.page))
        } else {
            app.show_part("[data-part=finder]", &finder_part(&app.page))
        };
        if ended {
            app.next_fall();
        }
    });
}
