//! Stories of the page, told as text and run natively: what a reader, the phone and the other tabs do, what the page asks
//! to be done, and what it shows. No outside source: they hold the page's own behaviour.
//!
//! A file of `tests/stories/` holds stories, each under a line `--- NAME ---`. A line that begins with `>` is something
//! that happens; the lines below it say what the page answered:
//!
//! | line | what happens |
//! | --- | --- |
//! | `> open [FRAGMENT]` | the page opens with what the store of this story holds |
//! | `> open without a store` / `with a late store` | the same, where the store is not as it should be |
//! | `> store KEY VALUE` | the store holds this, whatever wrote it |
//! | `> type PATH TEXT`, `> leave PATH`, `> step PATH BY` | a field |
//! | `> tick ID`, `> untick ID` | a tick box |
//! | `> act ACT`, `> tap WORD` | a button, by its `data-act`; one of the session, by its `data-tap` |
//! | `> follow FRAGMENT`, `> receive TEXT` | a link within the page; a text from outside (`PLAN` is another plan's link) |
//! | `> stored`, `> refused` | the store answers everything that it was asked |
//! | `> lock mine`, `> lock theirs` | who may write the log |
//! | `> tab log`, `> tab page` | another tab has written the log; the page, as this one did last, one save later |
//! | `> wait SECONDS` | the clock goes on, and ticks once |
//! | `> hide`, `> see` | the page goes out of view, comes into view |
//! | `> fall`, `> frame MS` | the worker answers the fall that it was asked; a frame of the player |
//! | `> show RESULT` | prints what stands at `data-result` |
//! | `> notices` | prints the notices |
//!
//! `DOTDOWN_WRITE=1 cargo test --test main stories` writes the files anew and fails on purpose: read the diff.

use dotdown::page::effect::{Effect, StoreTrouble, Write};
use dotdown::page::event::{Action, Event, Message, Tap};
use dotdown::page::{Opening, Page, saved};
use dotdown::plan::{link, presets::presets};
use dotdown::results::fall::{FallPath, fall_row};
use dotdown::view;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// The morning of the worked day, ms since 1970.
const T0_MS: f64 = 1_941_357_600_000.0;

/// A story under way: the page, the phone's store, what is not answered.
struct Story {
    page: Page,
    store: BTreeMap<String, String>,
    asked: Vec<(u32, Vec<Write>)>,
    at_ms: f64,
    told: Vec<String>,
}

impl Story {
    fn new() -> Self {
        let page = Page::new();
        Self { page, store: BTreeMap::new(), asked: Vec::new(), at_ms: T0_MS, told: Vec::new() }
    }

    /// Makes a line's event happen.
    fn happen(&mut self, line: &str) {
        let (verb, about) = line.split_once(' ').unwrap_or((line, ""));
        let at_ms = self.at_ms;
        let event = match verb {
            "open" => return self.open(about),
            "store" => {
                let (key, value) = about.split_once(' ').expect("a key and a value");
                self.store.insert(key.to_owned(), value.to_owned());
                return;
            }
            "type" => {
                let (path, text) = about.split_once(' ').unwrap_or((about, ""));
                Event::Typed { path: path.to_owned(), text: text.to_owned() }
            }
            "leave" => Event::Left { path: about.to_owned() },
            "step" => {
                let (path, by) = about.split_once(' ').expect("a path and a step");
                Event::Stepped { path: path.to_owned(), by: by.parse().expect("a number") }
            }
            "tick" | "untick" => Event::Ticked { id: about.to_owned(), on: verb == "tick" },
            "act" => Event::Pressed {
                action: Action::parse(about).unwrap_or_else(|| panic!("no button {about}")),
                at_ms,
            },
            "tap" => {
                Event::Tapped { tap: Tap::parse(about).unwrap_or_else(|| panic!("no tap {about}")), at_ms }
            }
            "follow" => Event::Followed(about.replace("PLAN", &other_plan())),
            "receive" => Event::Received(about.replace("PLAN", &other_plan())),
            "stored" | "refused" => return self.answer(verb == "stored"),
            "lock" => Event::Claimed { mine: about == "mine", at_ms },
            "tab" if about == "log" => Event::Heard { message: Message::Log, at_ms },
            "tab" => {
                let kept = saved::read(&self.store["page"]).expect("a page in the store");
                let mut theirs = kept.page;
                theirs.act("remove:kit.0");
                theirs.type_in("water.peg", "7");
                Event::Heard { message: Message::Page(saved::write(&theirs, kept.serial + 1)), at_ms }
            }
            "wait" => {
                self.at_ms += 1000.0 * about.parse::<f64>().expect("seconds");
                Event::Clock { at_ms: self.at_ms, forward_ms: self.at_ms - T0_MS }
            }
            "hide" | "see" => Event::Seen { visible: verb == "see", at_ms },
            "fall" => {
                let rig = self.page.falls.asked.as_ref().expect("a fall that was asked for");
                let row = fall_row(rig).expect("a fall");
                Event::Fell(FallPath::from_row(&row).ok_or_else(|| "not whole".to_owned()))
            }
            "falldue" => Event::FallDue,
            "quiet" => Event::Quiet,
            "erased" => Event::Erased,
            "frame" => Event::Frame { at_ms: about.parse().expect("ms"), in_view: true },
            "show" => {
                let found = results(&view::screen(&self.page), about);
                self.told.push(found.unwrap_or_else(|| "(not there)".to_owned()));
                return;
            }
            "notices" => {
                for notice in &self.page.notices {
                    self.told
                        .push([notice.sentence.as_str(), if notice.undo { " [Undo]" } else { "" }].concat());
                }
                return;
            }
            _ => panic!("nothing is called {verb}"),
        };
        let effects = self.page.update(event);
        self.follow(effects);
    }

    fn open(&mut self, about: &str) {
        let trouble = match about {
            "without a store" => Some(StoreTrouble::Refused),
            "with a late store" => Some(StoreTrouble::Late),
            _ => None,
        };
        let records = match trouble {
            None => self.store.clone().into_iter().collect(),
            Some(_) => Vec::new(),
        };
        let fragment = if trouble.is_none() { about.replace("PLAN", &other_plan()) } else { String::new() };
        let (page, effects) =
            Page::open(Opening { records, trouble, fragment, at_ms: self.at_ms, ..Opening::default() });
        self.page = page;
        self.asked.clear();
        self.follow(effects);
    }

    /// The store answers what it was asked so far; what that leads to waits.
    fn answer(&mut self, good: bool) {
        for (id, writes) in core::mem::take(&mut self.asked) {
            if good {
                self.write(&writes);
            }
            let effects = self.page.update(if good { Event::Stored(id) } else { Event::NotStored(id) });
            self.follow(effects);
        }
    }

    fn write(&mut self, writes: &[Write]) {
        for write in writes {
            match write {
                Write::Put { key, value } => drop(self.store.insert(key.clone(), value.clone())),
                Write::Add { key, value } => {
                    assert!(self.store.insert(key.clone(), value.clone()).is_none(), "{key} was there");
                }
                Write::RemoveAll { prefix } => self.store.retain(|key, _| !key.starts_with(prefix)),
            }
        }
    }

    fn follow(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            self.told.push(words(&effect));
            match effect {
                Effect::Store { id, writes } => self.asked.push((id, writes)),
                Effect::ReadStore => {
                    let records = self.store.clone().into_iter().collect();
                    let effects = self.page.update(Event::Read { records, at_ms: self.at_ms });
                    self.follow(effects);
                }
                _ => {}
            }
        }
    }
}

/// An effect in short: keys without what they hold.
fn words(effect: &Effect) -> String {
    match effect {
        Effect::Store { writes, .. } => {
            let keys = writes.iter().map(|write| match write {
                Write::Put { key, .. } => key.clone(),
                Write::Add { key, value } => format!("+{key} ({})", value.split(' ').nth(1).unwrap_or("")),
                Write::RemoveAll { prefix } => format!("-{prefix}"),
            });
            format!("store {}", keys.collect::<Vec<_>>().join(" "))
        }
        Effect::Tell(Message::Page(_)) => "tell the tabs: page".to_owned(),
        Effect::Tell(message) => format!("tell the tabs: {message:?}").to_lowercase(),
        Effect::Fall(_) => "ask the worker for a fall".to_owned(),
        Effect::Search(_) => "ask the worker for a search".to_owned(),
        Effect::HandOver { file, place } => format!("hand over {} ({place:?})", file.name),
        other => format!("{other:?}").chars().take(160).collect(),
    }
}

/// The text of the element with that `data-result`.
fn results(markup: &str, name: &str) -> Option<String> {
    let start = markup.find(&format!("data-result=\"{name}\""))?;
    let rest = &markup[start..];
    let rest = &rest[rest.find('>')? + 1..];
    // As far as a block ends.
    let end = ["</p>", "</div>", "</section>", "</dl>", "</h1>", "</tr>", "</figure>"]
        .iter()
        .filter_map(|tag| rest.find(tag))
        .min()?;
    let mut text = String::new();
    let mut inside = false;
    for letter in rest[..end].chars() {
        match letter {
            '<' => inside = true,
            '>' => inside = false,
            _ if !inside => text.push(letter),
            _ => {}
        }
    }
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// The link text of a worked day that is not the first.
fn other_plan() -> String {
    link::write(&presets().last().expect("a worked day").plan)
}

/// Tells a file's stories again, with the answers of today.
fn tell(text: &str) -> String {
    let mut out = String::new();
    let mut story = Story::new();
    for line in text.lines() {
        if let Some(happens) = line.strip_prefix("> ") {
            story.happen(happens);
            out.push_str(line);
            out.push('\n');
            for told in story.told.drain(..) {
                out.push_str("  ");
                out.push_str(&told);
                out.push('\n');
            }
        } else if line.starts_with("---") {
            if !out.is_empty() {
                out.push('\n');
            }
            story = Story::new();
            out.push_str(line);
            out.push('\n');
        } else if line.starts_with('#') {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

#[test]
fn the_page_does_what_its_stories_say() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/stories");
    let mut files: Vec<_> =
        fs::read_dir(folder).expect("the stories").map(|file| file.expect("a file").path()).collect();
    files.sort();
    assert!(files.len() > 3);
    let mut wrong = Vec::new();
    for file in files {
        let text = fs::read_to_string(&file).expect("a text");
        let told = tell(&text);
        if told != text {
            let name = file.file_name().expect("a name").to_string_lossy().into_owned();
            let first = told.lines().zip(text.lines()).find(|(told, held)| told != held);
            wrong.push(format!("{name}: {first:?} (today's first, the file's second)"));
            if std::env::var_os("DOTDOWN_WRITE").is_some() {
                fs::write(&file, told).expect("a file that can be written");
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
