//! The live session's wires: what `www/live.js` calls. That file has the phone's hands (timer, storage, sound, screen);
//! this one has the session, and writes what is shown.
//!
//! A tap is put into the session first, stored by the script second, and shown third, so that what is seen is kept.

use super::app::{App, document_element, with_app};
use crate::page::session::RunningSession;
use crate::page::{Redraw, Screen};
use crate::plan::link;
use crate::session::AdviceKind;
use crate::session::feed_clock::clock_jump_s;
use crate::view::session::parts;
use crate::view::{head, notices};
use wasm_bindgen::prelude::*;

/// A jump of the clock that is worth a word, s.
const JUMP_S: f64 = 5.0;

fn put(app: &mut App, opened: Result<(RunningSession, Vec<String>), String>, watching: bool) -> bool {
    match opened {
        Ok((mut live, told)) => {
            live.watching = watching;
            app.page.put_away = false;
            app.page.live = Some(Box::new(live));
            for sentence in told {
                app.page.say(&sentence, false);
            }
            let _ = app.show(Redraw::Screen);
            true
        }
        Err(sentence) => {
            app.page.say(&sentence, false);
            let _ = app.show(Redraw::Screen);
            false
        }
    }
}

/// Opens a session that was kept: the plan's link text and the log's lines. Says whether there is one.
#[wasm_bindgen(js_name = liveOpen)]
#[must_use]
pub fn live_open(link: &str, log: &str, at_ms: f64, watching: bool) -> bool {
    with_app(|app| {
        let opened = RunningSession::reopen(link, app.page.choices.units, log, at_ms);
        put(app, opened, watching)
    })
    .unwrap_or(false)
}

/// Starts a session of the plan in hand, and gives the plan's link text to be kept beside the log.
#[wasm_bindgen(js_name = liveStart)]
#[must_use]
pub fn live_start(at_ms: f64) -> Option<String> {
    with_app(|app| {
        let page = &app.page;
        let opened = RunningSession::open(&page.plan, &page.day, page.choices.units, "", at_ms);
        put(app, opened, false).then(|| link::write(&app.page.plan))
    })
    .flatten()
}

/// Opens the log of a file as a session of the plan in hand, while there is none; gives the plan's link text.
#[wasm_bindgen(js_name = liveImport)]
#[must_use]
pub fn live_import(file: &str, at_ms: f64) -> Option<String> {
    with_app(|app| {
        let page = &app.page;
        if page.live.is_some() {
            return None;
        }
        let opened = RunningSession::import(&page.plan, &page.day, page.choices.units, file, at_ms);
        put(app, opened, false).then(|| link::write(&app.page.plan))
    })
    .flatten()
}

/// A tap by its word. Gives the line to be stored, or nothing for a double touch or a tap that was refused.
#[wasm_bindgen(js_name = liveTap)]
#[must_use]
pub fn live_tap(word: &str, at_ms: f64) -> Option<String> {
    with_app(|app| {
        let live = app.page.live.as_mut().filter(|live| !live.watching)?;
        match live.tap(word, at_ms) {
            Ok((line, told)) => {
                for sentence in told {
                    app.page.say(&sentence, false);
                }
                line
            }
            Err(sentence) => {
                app.page.say(&sentence, false);
                None
            }
        }
    })
    .flatten()
}

/// What is advised now, as a number to be handed back to [`live_shown`].
#[wasm_bindgen(js_name = liveAdvised)]
#[must_use]
pub fn live_advised() -> u32 {
    with_app(|app| app.page.live.as_ref().map_or(0, |live| mark(live.advised()))).unwrap_or(0)
}

fn mark((kind, rig): (AdviceKind, u32)) -> u32 {
    kind as u32 * 100 + rig
}

/// Shows the session at a moment; with `full` where the fish are, too. Gives when the next feed is due, ms since 1970.
#[wasm_bindgen(js_name = liveShow)]
#[must_use]
pub fn live_show(at_ms: f64, full: bool) -> Option<f64> {
    with_app(|app| {
        let live = app.page.live.as_mut()?;
        live.look(at_ms, full);
        let due = live.next_at_ms();
        if app.page.screen == Screen::Bank {
            for (name, markup) in parts(&app.page, full) {
                app.put_live(name, &markup);
            }
            if full {
                app.put_live("", &head(&app.page));
            }
        }
        due
    })
    .flatten()
}

/// How much room the screen leaves for the column of water, height over width.
#[wasm_bindgen(js_name = liveRoom)]
pub fn live_room(room: f64) {
    with_app(|app| {
        if let Some(live) = app.page.live.as_mut() {
            live.fit(room);
        }
    });
}

/// After a tap was stored: writes the screen anew where its form changed, and tells a screen reader.
#[wasm_bindgen(js_name = liveShown)]
pub fn live_shown(word: &str, advised: u32, at_ms: f64) {
    with_app(|app| {
        let Some(live) = app.page.live.as_mut() else { return };
        live.look(at_ms, true);
        let before =
            if mark(live.advised()) == advised { live.advised() } else { (live.advised().0, u32::MAX) };
        let said = live.heard(word, before);
        if matches!(word, "end" | "undo") {
            let _ = app.show(Redraw::Screen);
        }
        if let Ok(Some(place)) = document_element("notices") {
            place.set_inner_html(&notices(&app.page));
        }
        if let Ok(Some(place)) = document_element("said") {
            place.set_text_content(Some(&said));
        }
    });
}

/// Whether the session's clock runs.
#[wasm_bindgen(js_name = liveRuns)]
#[must_use]
pub fn live_runs() -> bool {
    with_app(|app| app.page.live.as_ref().is_some_and(|live| live.runs())).unwrap_or(false)
}

/// Whether a feed is called without sound.
#[wasm_bindgen(js_name = liveSilent)]
#[must_use]
pub fn live_silent() -> bool {
    with_app(|app| app.page.plan.bank.silent).unwrap_or(true)
}

/// Tells the user a sentence.
#[wasm_bindgen(js_name = liveTell)]
pub fn live_tell(sentence: &str) {
    with_app(|app| {
        app.page.say(sentence, false);
        if let Ok(Some(place)) = document_element("notices") {
            place.set_inner_html(&notices(&app.page));
        }
    });
}

/// Two looks at the wall clock and at a clock that only runs forward, ms: a jump between them is told.
#[wasm_bindgen(js_name = liveJump)]
pub fn live_jump(wall_before: f64, forward_before: f64, wall: f64, forward: f64) {
    if let Some(jump_s) = clock_jump_s(wall_before, forward_before, wall, forward, JUMP_S) {
        let size = crate::units::fixed(jump_s.abs(), 0);
        live_tell(&if jump_s < 0.0 {
            ["The phone’s clock went back by ", &size, " s. The session goes on from its last tap."].concat()
        } else {
            [
                "The phone slept or its clock went ahead by ",
                &size,
                " s. The feed clock counts on by the clock.",
            ]
            .concat()
        });
    }
}

/// The log for a file, `csv` or `json`, or as it is stored, `log`.
#[wasm_bindgen(js_name = liveFile)]
#[must_use]
pub fn live_file(kind: &str) -> Option<String> {
    with_app(|app| app.page.live.as_ref().map(|live| live.file(kind))).flatten()
}

/// The session is put away; `kept` says whether it can be brought back.
#[wasm_bindgen(js_name = liveAway)]
pub fn live_away(kept: bool) {
    with_app(|app| {
        let changed = core::mem::replace(&mut app.page.put_away, kept) != kept;
        if app.page.live.take().is_some() || changed {
            let _ = app.show(Redraw::Screen);
        }
    });
}
