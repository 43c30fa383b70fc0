//! What comes later: a quiet moment, a fall, the session's tick, the next frame.

use super::dom::{now_ms, window};
use super::player::player_in_view;
use crate::page::event::Event;
use js_sys::Function;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;

/// How long nothing must have changed before it is told what came out, ms.
const QUIET_MS: i32 = 800;
/// How long after the last change a fall is asked for, ms.
const FALL_MS: i32 = 250;
/// Between two ticks of the session, ms; and where no motion is wanted.
const TICK_MS: i32 = 400;
const STILL_TICK_MS: i32 = 1000;

/// The timers.
pub(super) struct Timers {
    quiet: Later,
    fall: Later,
    tick: Function,
    frame: Function,
    tick_ms: i32,
    ticking: Option<i32>,
}

impl Timers {
    /// Timers that tell by `send`; `still` where no motion is wanted.
    pub(super) fn new(still: bool, send: fn(Event)) -> Self {
        let frame = Closure::<dyn Fn(f64)>::new(move |at_ms: f64| {
            send(Event::Frame { at_ms, in_view: player_in_view() });
        });
        let tick = move || {
            let forward = window().ok().and_then(|w| w.performance()).map_or(0.0, |clock| clock.now());
            send(Event::Clock { at_ms: now_ms(), forward_ms: forward });
        };
        Self {
            quiet: Later::new(QUIET_MS, move || send(Event::Quiet)),
            fall: Later::new(FALL_MS, move || send(Event::FallDue)),
            tick: function(tick),
            frame: frame.into_js_value().unchecked_into(),
            tick_ms: if still { STILL_TICK_MS } else { TICK_MS },
            ticking: None,
        }
    }

    pub(super) fn await_quiet(&mut self) {
        self.quiet.again();
    }

    pub(super) fn fall_soon(&mut self) {
        self.fall.again();
    }

    pub(super) fn ask_frame(&self) {
        if let Ok(window) = window() {
            let _ = window.request_animation_frame(&self.frame);
        }
    }

    /// Starts or stops the session's tick.
    pub(super) fn run(&mut self, on: bool) {
        let Ok(window) = window() else { return };
        if let Some(timer) = self.ticking.take() {
            window.clear_interval_with_handle(timer);
        }
        if on {
            let set = window.set_interval_with_callback_and_timeout_and_arguments_0(&self.tick, self.tick_ms);
            self.ticking = set.ok();
        }
    }
}

/// Something that is done once, a while after it was asked for last.
struct Later {
    after_ms: i32,
    done: Function,
    timer: Option<i32>,
}

impl Later {
    fn new(after_ms: i32, done: impl Fn() + 'static) -> Self {
        Self { after_ms, done: function(done), timer: None }
    }

    fn again(&mut self) {
        let Ok(window) = window() else { return };
        if let Some(timer) = self.timer.take() {
            window.clear_timeout_with_handle(timer);
        }
        let set = window.set_timeout_with_callback_and_timeout_and_arguments_0(&self.done, self.after_ms);
        self.timer = set.ok();
    }
}

fn function(done: impl Fn() + 'static) -> Function {
    Closure::<dyn Fn()>::new(done).into_js_value().unchecked_into()
}
