//! The page at the browser's edge: an event goes to the page, and what the page wants done is carried out here.

use super::alerts::Alerts;
use super::dom::{document, is_wide, now_ms, window};
use super::draw::{self, Drawer};
use super::events;
use super::jobs::Jobs;
use super::optional::{ask, call, get, of_navigator};
use super::picture;
use super::share;
use super::store::{self, Store};
use super::tabs::Tabs;
use super::timers::Timers;
use crate::page::effect::Effect;
use crate::page::event::{Event, Place};
use crate::page::report::BuildInfo;
use crate::page::settings::Surroundings;
use crate::page::{Opening, Page};
use crate::view;
use wasm_bindgen::prelude::*;

/// The page and what it has at the edge.
pub(super) struct App {
    page: Page,
    drawer: Drawer,
    store: Store,
    tabs: Tabs,
    alerts: Alerts,
    timers: Timers,
    jobs: Jobs,
    send: fn(Event),
}

impl App {
    /// The page as it opens, and what is to be done first.
    pub(super) fn open(handed: &JsValue, send: fn(Event)) -> Result<(Self, Vec<Effect>), JsValue> {
        let opened = get(handed, "opened").unwrap_or_default();
        let name = get(handed, "name").and_then(|name| name.as_string()).unwrap_or_default();
        let store = Store::new(&opened, send);
        let window = window()?;
        let location = window.location();
        let root = document()?.document_element();
        let told = |name: &str| root.as_ref().and_then(|root| root.get_attribute(name));
        // The address of a file on this phone leads nobody here.
        let hosted = location.protocol()?.starts_with("http");
        let address = hosted.then(|| Ok::<_, JsValue>([location.origin()?, location.pathname()?].concat()));
        let still =
            window.match_media("(prefers-reduced-motion: reduce)")?.is_some_and(|motion| motion.matches());
        let (page, first) = Page::open(Opening {
            records: store::records(&opened),
            trouble: store.trouble(),
            build: BuildInfo { build: told("data-build").unwrap_or_default(), whole: told("data-whole") },
            place: Surroundings {
                address: address.transpose()?,
                share_sheet: of_navigator("share").is_some(),
                still,
                wide: is_wide(&window)?,
                now_ms: now_ms(),
                ahead_min: ahead_min(),
            },
            fragment: events::fragment(),
            random: random(),
        });
        let jobs = Jobs::new(handed.clone(), send);
        let (tabs, timers) = (Tabs::new(&name, send), Timers::new(still, send));
        let app = Self {
            page,
            drawer: Drawer::default(),
            store,
            tabs,
            alerts: Alerts::default(),
            timers,
            jobs,
            send,
        };
        Ok((app, first))
    }

    /// Works an event off.
    pub(super) fn take(&mut self, event: Event) {
        let effects = self.page.update(event);
        self.carry_out(effects);
    }

    /// Carries out what the page wants done.
    pub(super) fn carry_out(&mut self, effects: Vec<Effect>) {
        let send = self.send;
        for effect in effects {
            match effect {
                Effect::Draw(part) => self.drawer.draw(&self.page, part, send),
                Effect::WriteField { path, text } => draw::write_field(&path, &text),
                Effect::MarkField { path, refusal } => draw::mark_field(&path, refusal.as_deref()),
                Effect::ShowTheme(theme) => draw::show_theme(theme),
                Effect::NameScreen(screen) => events::name_screen(screen),
                Effect::Focus(id) => draw::focus(id),
                Effect::ToTop => draw::to_top(),
                Effect::Store { id, writes } => self.store.write(id, &writes),
                Effect::ShowStored(serial) => draw::set_on_root("data-kept", &serial.to_string()),
                Effect::AskToKeep => {
                    // Not waited for: some browsers never answer.
                    ask(&of_navigator("storage").unwrap_or_default(), "persist", &[], |_| ());
                }
                Effect::ReadStore { prefix } => self.store.read(&prefix),
                Effect::EraseAll => self.store.erase_all(),
                Effect::Claim => self.tabs.claim(),
                Effect::Tell(message) => self.tabs.tell(&message),
                Effect::Announce => draw::say(&view::announcement(&self.page)),
                Effect::Say(sentence) => draw::say(&sentence),
                Effect::SayAt { place, sentence } => self.drawer.say_at(selector(place), &sentence),
                Effect::AwaitQuiet => self.timers.await_quiet(),
                Effect::FallSoon => self.timers.fall_soon(),
                Effect::Fall(rig) => self.jobs.fall(&rig),
                Effect::Doubt(rigs) => self.jobs.doubt(rigs),
                Effect::Search(request) => self.jobs.search(&request),
                Effect::Learn(days) => self.jobs.learn(days),
                Effect::StopSearch => self.jobs.stop_search(),
                Effect::AskFrame => self.timers.ask_frame(),
                Effect::Run(on) => {
                    self.timers.run(on);
                    self.alerts.keep_awake(on);
                }
                Effect::ReadySound => self.alerts.ready_sound(),
                Effect::Call { sound, vibration } => self.alerts.call(sound, vibration),
                Effect::LayOut => draw::lay_out(&self.page),
                Effect::Print => {
                    let _ = window().and_then(|window| window.print());
                }
                Effect::OpenShare => share::open(&view::share::panel(&self.page)),
                Effect::CloseShare => share::close(),
                Effect::Copy { place, text } => share::copy(place, &text, send),
                Effect::Send(text) => share::send_link(&text, send),
                Effect::HandOver { file, place } => share::hand_over(&file, place, send),
                Effect::DrawPicture => {
                    picture::draw();
                }
                Effect::SharePicture { name } => picture::hand_over(&name, send),
                Effect::Report { with_plan } => share::report(&self.page, with_plan, send),
                Effect::AskErase(ask) => share::ask_erase(ask),
                Effect::Reload => share::reload(),
            }
        }
    }
}

/// How far the phone's clock is ahead of UTC, minutes.
fn ahead_min() -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "at most a day")]
    let behind = js_sys::Date::new_0().get_timezone_offset() as i32;
    -behind
}

/// Random bits: the browser's own where it has them, else of the clock and a common generator.
fn random() -> u64 {
    let bits = js_sys::Uint32Array::new_with_length(2);
    let crypto = window().ok().and_then(|window| get(&window, "crypto"));
    let strong = crypto.is_some_and(|crypto| call(&crypto, "getRandomValues", &[&bits]).is_ok());
    if strong {
        return u64::from(bits.get_index(0)) << 32 | u64::from(bits.get_index(1));
    }
    (js_sys::Math::random() * 2f64.powi(53)).to_bits() ^ now_ms().to_bits()
}

/// Where a sentence of that place stands.
fn selector(place: Place) -> &'static str {
    match place {
        Place::Notices => "#notices",
        Place::Share => "[data-share-said]",
        Place::Calendar => "[data-calendar-said]",
        Place::Report => "[data-report-said]",
        Place::Backup => "[data-backup-said]",
        Place::Erase => "[data-erase-said]",
    }
}
