//! What calls the angler: vibration, a tone, and a screen that stays on. All of it is extra: the screen calls by itself.

use super::optional::{ask, call, get, of_navigator};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{AudioContext, AudioContextState};

/// How long the phone vibrates, ms.
const VIBRATE_MS: f64 = 200.0;
/// The tone: its pitch, Hz, its loudness at first and at its end, and how long it takes, s.
const TONE_HZ: f32 = 880.0;
const LOUD: f32 = 0.3;
const FAINT: f32 = 0.001;
const TONE_S: f64 = 0.25;

/// Sound, vibration and the screen.
#[derive(Default)]
pub(super) struct Alerts {
    sound: Option<AudioContext>,
    screen: Rc<RefCell<Screen>>,
}

/// The lock that keeps the screen on.
#[derive(Default)]
struct Screen {
    wanted: bool,
    asked: bool,
    lock: Option<JsValue>,
}

impl Alerts {
    /// Makes sound ready, which a browser allows within a tap only.
    pub(super) fn ready_sound(&mut self) {
        let active = of_navigator("userActivation").and_then(|user| get(&user, "isActive")?.as_bool());
        if active == Some(false) {
            return;
        }
        if self.sound.is_none() {
            self.sound = AudioContext::new().ok();
        }
        if let Some(sound) = self.sound.as_ref().filter(|sound| sound.state() != AudioContextState::Running) {
            ask(sound, "resume", &[], |_| {});
        }
    }

    /// Calls the angler.
    pub(super) fn call(&self, sound: bool, vibration: bool) {
        if vibration && let Some(window) = web_sys::window() {
            let _ = call(&window.navigator(), "vibrate", &[&VIBRATE_MS.into()]);
        }
        if sound && let Some(context) = &self.sound {
            let _ = tone(context);
        }
    }

    /// Keeps the screen on, or lets it go off. The browser drops its lock whenever the page is hidden, so that it is to be
    /// asked again; a refusal is no error.
    pub(super) fn keep_awake(&mut self, wanted: bool) {
        {
            let mut screen = self.screen.borrow_mut();
            screen.wanted = wanted;
            if !wanted {
                release(screen.lock.take());
                return;
            }
            let held = screen.lock.as_ref().and_then(|lock| get(lock, "released")?.as_bool());
            if screen.asked || held == Some(false) {
                return;
            }
            screen.asked = true;
        }
        let screen = Rc::clone(&self.screen);
        let locks = of_navigator("wakeLock").unwrap_or_default();
        ask(&locks, "request", &[&"screen".into()], move |lock| {
            let mut screen = screen.borrow_mut();
            screen.asked = false;
            screen.lock = lock.ok();
            if !screen.wanted {
                release(screen.lock.take());
            }
        });
    }
}

fn release(lock: Option<JsValue>) {
    if let Some(lock) = lock {
        ask(&lock, "release", &[], |_| {});
    }
}

fn tone(context: &AudioContext) -> Result<(), JsValue> {
    if context.state() != AudioContextState::Running {
        return Ok(());
    }
    let (tone, level) = (context.create_oscillator()?, context.create_gain()?);
    let (from, to) = (context.current_time(), context.current_time() + TONE_S);
    tone.frequency().set_value(TONE_HZ);
    level.gain().set_value_at_time(LOUD, from)?;
    level.gain().exponential_ramp_to_value_at_time(FAINT, to)?;
    tone.connect_with_audio_node(&level)?.connect_with_audio_node(&context.destination())?;
    tone.start()?;
    tone.stop_with_when(to)
}
