//! The other tabs of the page: which one may write the session's log, and what they tell each other.

use super::optional::{ask, call, of_navigator};
use crate::page::event::{Event, Message, Rows};
use js_sys::{Array, Object, Promise, Reflect};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{BroadcastChannel, MessageEvent};

/// What is posted without more, and what it says.
const WORDS: [(&str, Message); 3] =
    [("hello", Message::Hello), ("here", Message::Here), ("erased", Message::Erased)];

/// How long the browser may take to give the right to write, ms.
const PATIENCE_MS: i32 = 5_000;

/// The tabs of this copy of the page.
pub(super) struct Tabs {
    name: String,
    channel: Option<BroadcastChannel>,
    claim: Rc<Cell<Claim>>,
    send: fn(Event),
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Claim {
    /// Not asked for.
    Open,
    /// Asked for: the answer comes.
    Asked,
    /// Another tab has it, and this one is next in line.
    InLine,
    /// This tab has it until it closes.
    Mine,
}

impl Tabs {
    /// Listens to the tabs of that name, the database's.
    pub(super) fn new(name: &str, send: fn(Event)) -> Self {
        let channel = BroadcastChannel::new(name).ok();
        if let Some(channel) = &channel {
            let heard = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
                if let Some(message) = read(&event.data()) {
                    send(Event::Heard { message, at_ms: js_sys::Date::now() });
                }
            });
            channel.set_onmessage(Some(heard.into_js_value().unchecked_ref()));
        }
        Self { name: name.to_owned(), channel, claim: Rc::new(Cell::new(Claim::Open)), send }
    }

    /// Asks for the right to write the log, which the browser gives to one tab, and to the next when that one is gone.
    /// Answered by [`Event::Claimed`], and by another with `true` when this tab's turn has come. Where there are no
    /// locks, nothing is kept either that another tab could write to.
    pub(super) fn claim(&mut self) {
        match self.claim.get() {
            Claim::Asked => {}
            Claim::InLine => claimed(self.send, false),
            Claim::Mine => claimed(self.send, true),
            Claim::Open => {
                self.claim.set(Claim::Asked);
                let (name, state, send) = (self.name.clone(), Rc::clone(&self.claim), self.send);
                let at_once = Object::new();
                let _ = Reflect::set(&at_once, &"ifAvailable".into(), &true.into());
                let (line, in_line) = (self.name.clone(), Rc::clone(&self.claim));
                let granted = Closure::once_into_js(move |lock: JsValue| {
                    if !lock.is_null() {
                        return hold(&in_line, send);
                    }
                    in_line.set(Claim::InLine);
                    claimed(send, false);
                    let waiting = Rc::clone(&in_line);
                    let turn = Closure::once_into_js(move |_: JsValue| hold(&waiting, send));
                    request(&[&line.into(), &turn], &in_line, send);
                    JsValue::UNDEFINED
                });
                request(&[&name.into(), &at_once, &granted], &state, send);
                // Without an answer no session would ever begin.
                let due = Closure::once_into_js(move || {
                    if state.get() == Claim::Asked {
                        state.set(Claim::Mine);
                        claimed(send, true);
                    }
                });
                let _ = super::dom::window().and_then(|window| {
                    window.set_timeout_with_callback_and_timeout_and_arguments_0(
                        due.unchecked_ref(),
                        PATIENCE_MS,
                    )
                });
            }
        }
    }

    /// Tells the other tabs.
    pub(super) fn tell(&self, message: &Message) {
        let Some(channel) = &self.channel else { return };
        let data = match message {
            Message::Hello | Message::Here | Message::Erased => WORDS
                .iter()
                .find(|(_, said)| said == message)
                .map_or(JsValue::NULL, |(word, _)| (*word).into()),
            Message::Stored { page, rows } => {
                let text = |text: &Option<String>| text.as_ref().map_or(JsValue::NULL, Into::into);
                let all = Array::of1(&text(page));
                for (key, row) in rows {
                    all.push(&key.into());
                    all.push(&text(row));
                }
                all.into()
            }
        };
        let _ = channel.post_message(&data);
    }
}

/// What another tab has told: the page's text or null, then each row's key and its text or null. None of what another
/// version may say.
fn read(data: &JsValue) -> Option<Message> {
    if let Some(text) = data.as_string() {
        return WORDS.iter().find(|(word, _)| *word == text).map(|(_, said)| said.clone());
    }
    let mut all = data.dyn_ref::<Array>()?.iter();
    let page = all.next()?.as_string();
    let mut rows = Rows::new();
    while let Some(key) = all.next() {
        rows.insert(key.as_string()?, all.next()?.as_string());
    }
    Some(Message::Stored { page, rows })
}

fn claimed(send: fn(Event), mine: bool) {
    send(Event::Claimed { mine, at_ms: js_sys::Date::now() });
}

/// Keeps the lock for as long as the tab lives, by a promise that nobody keeps.
fn hold(claim: &Cell<Claim>, send: fn(Event)) -> JsValue {
    claim.set(Claim::Mine);
    claimed(send, true);
    Promise::new(&mut |_, _| {}).into()
}

/// Asks for the lock; refused, the tab has it all the same.
fn request(arguments: &[&JsValue], claim: &Rc<Cell<Claim>>, send: fn(Event)) {
    let claim = Rc::clone(claim);
    let locks = of_navigator("locks").unwrap_or_default();
    ask(&locks, "request", arguments, move |ended| {
        let Err(error) = ended else { return };
        if claim.replace(Claim::Mine) != Claim::Mine {
            claimed(send, true);
        } else if let Ok(window) = super::dom::window() {
            // A fault while the lock was taken, which its promise would swallow.
            let _ = call(&window, "reportError", &[&error]);
        }
    });
}
