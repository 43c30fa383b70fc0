//! Stories of the page, told as text and run natively: what a reader, the phone and the other tabs do, what the page asks
//! to be done, and what it shows. No outside source: they hold the page's own behaviour.
//!
//! A file of `tests/stories/` holds stories, each under a line `--- NAME ---`. A line that begins with `>` is something
//! that happens; the lines below it say what the page answered:
//!
//! | line | what happens |
//! | --- | --- |
//! | `> open [FRAGMENT]` | the page opens with what the store of this story holds |
//! | `> open without a store` / `with a late store`, `> late` | the same, where the store is not as it should be; the late one answers |
//! | `> store KEY VALUE`, `> damage START` | the store holds this, whatever wrote it; a record whose key begins so is damaged |
//! | `> type PATH TEXT`, `> leave PATH`, `> step PATH BY` | a field |
//! | `> tick ID`, `> untick ID` | a tick box |
//! | `> act ACT`, `> tap WORD` | a button, by its `data-act` (`NEXT0`, `FISHED0`, `WATER0`, `TEST0` stand for ids, `SETTLE0` for a choice); one of the session, by its `data-tap` |
//! | `> follow FRAGMENT`, `> receive TEXT` | a link within the page; a text from outside (`PLAN` is another plan's link) |
//! | `> stored`, `> refused` | the store answers everything that it was asked |
//! | `> first refused` | of that, the first alone |
//! | `> held START` | prints how many records the store holds whose keys begin so |
//! | `> lock mine`, `> lock theirs` | who may write the log |
//! | `> handed` | a backup was handed over |
//! | `> tab LINE` | the same in another tab of the page, which has opened from the same store, and which is always answered |
//! | `> backup`, `> backupof TEXT` | the last file that was handed over is opened as a backup; a text is |
//! | `> phone` | the stores of two phones change places; the page of the other one is to be opened |
//! | `> toolarge share`, `> toolarge backup` | a file was chosen that is too large to be read |
//! | `> erase`, `> reopened` | the store is empty, as on a new phone; the page notices it |
//! | `> silent erase`, `> silent logs/` | the store never answers when it is to erase everything, to read a log |
//! | `> wait SECONDS` | the clock goes on, and ticks once |
//! | `> hide`, `> see` | the page goes out of view, comes into view |
//! | `> fall`, `> learned`, `> frame MS` | the worker answers the fall that it was asked, what it learned; a frame of the player |
//! | `> show RESULT`, `> head RESULT` | prints what stands at `data-result`, on the screen or in the head |
//! | `> field PATH` | prints what the field at a path holds |
//! | `> notices` | prints the notices |
//!
//! `DOTDOWN_WRITE=1 cargo test --test main stories` writes the files anew and fails on purpose: read the diff.

use dotdown::book::Id;
use dotdown::page::action::Action;
use dotdown::page::effect::{Effect, File, StoreTrouble, Write};
use dotdown::page::event::{Event, Message, Place};
use dotdown::page::settings::Surroundings;
use dotdown::page::storage::{LOGS, joined};
use dotdown::page::tap::Tap;
use dotdown::page::{Opening, Page};
use dotdown::plan::{link, presets::presets};
use dotdown::results::fall::{FallPath, doubt_row, fall_row};
use dotdown::results::lessons::{Lesson, learn};
use dotdown::view;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// The morning of the worked day, ms since 1970.
const T0_MS: f64 = 1_941_357_600_000.0;

/// A story under way: the page, the phone's store, what is not answered.
struct Story {
    page: Page,
    /// Another tab.
    tab: Option<Page>,
    /// The last file that was handed over.
    file: Option<File>,
    openings: u64,
    store: BTreeMap<String, String>,
    /// The store of another phone.
    other: BTreeMap<String, String>,
    asked: Vec<(u32, Vec<Write>)>,
    /// What the worker was asked to learn from.
    lessons: Vec<Lesson>,
    at_ms: f64,
    told: Vec<String>,
}

impl Story {
    fn new() -> Self {
        let page = Page::new();
        Self {
            page,
            tab: None,
            file: None,
            openings: 0,
            store: BTreeMap::new(),
            other: BTreeMap::new(),
            asked: Vec::new(),
            lessons: Vec::new(),
            at_ms: T0_MS,
            told: Vec::new(),
        }
    }

    /// Makes a line's event happen.
    fn happen(&mut self, line: &str) {
        let (verb, about) = line.split_once(' ').unwrap_or((line, ""));
        match verb {
            "open" => self.open(about),
            "store" => {
                let (key, value) = about.split_once(' ').expect("a key and a value");
                self.store.insert(key.to_owned(), value.to_owned());
            }
            "damage" => {
                let (_, text) =
                    self.store.iter_mut().find(|(key, _)| key.starts_with(about)).expect("a record");
                let cut = text.chars().count() - 3;
                *text = text.chars().take(cut).collect();
            }
            "erase" => self.store.clear(),
            "phone" => core::mem::swap(&mut self.store, &mut self.other),
            "stored" | "refused" => self.answer(verb == "stored"),
            "first" => {
                let (id, _) = self.asked.remove(0);
                let effects = self.page.update(Event::NotStored(id));
                self.follow(effects);
            }
            "held" => {
                let held = self.store.keys().filter(|key| key.starts_with(about)).count();
                self.told.push(held.to_string());
            }
            "tab" => self.tab(about),
            "show" => {
                let found = results(&view::screen(&self.page), about)
                    .or_else(|| results(&view::notices(&self.page), about));
                self.told.push(found.unwrap_or_else(|| "(not there)".to_owned()));
            }
            "head" => {
                let found = results(&view::head(&self.page), about);
                self.told.push(found.unwrap_or_else(|| "(not there)".to_owned()));
            }
            "field" => {
                let text = self.page.text_at(about).unwrap_or_else(|| "(not there)".to_owned());
                self.told.push(text);
            }
            "notices" => {
                for notice in &self.page.notices {
                    self.told
                        .push([notice.sentence.as_str(), if notice.undo { " [Undo]" } else { "" }].concat());
                }
            }
            "wait" => {
                self.at_ms += 1000.0 * about.parse::<f64>().expect("seconds");
                let event = Event::Clock { at_ms: self.at_ms, forward_ms: self.at_ms - T0_MS };
                let effects = self.page.update(event);
                self.follow(effects);
            }
            "late" => {
                let event =
                    Event::Read { prefix: String::new(), records: self.records(""), at_ms: self.at_ms };
                let effects = self.page.update(event);
                self.follow(effects);
            }
            "silent" => {
                let event = match about {
                    "erase" => Event::NotErased,
                    prefix => Event::NotRead { prefix: prefix.to_owned() },
                };
                let effects = self.page.update(event);
                self.follow(effects);
            }
            "reopened" => {
                self.asked.clear();
                let effects = self.page.update(Event::StoreReopened);
                self.follow(effects);
            }
            "learned" => {
                let learned = learn(&self.lessons).map(Box::new);
                let effects = self.page.update(Event::Learned(learned));
                self.follow(effects);
            }
            "backupof" => {
                let effects = self.page.update(Event::BackupOpened { text: about.to_owned() });
                self.follow(effects);
            }
            "backup" => {
                let text = self.file.take().expect("a file that was handed over").text;
                let effects = self.page.update(Event::BackupOpened { text });
                self.follow(effects);
            }
            _ => {
                let event = event(&self.page, verb, about, self.at_ms);
                let effects = self.page.update(event);
                self.follow(effects);
            }
        }
    }

    /// The same in another tab.
    fn tab(&mut self, line: &str) {
        let (verb, about) = line.split_once(' ').unwrap_or((line, ""));
        if verb == "open" {
            let opening = self.opening();
            let (tab, effects) = Page::open(opening);
            self.tab = Some(tab);
            return self.follow_tab(effects);
        }
        let at_ms = self.at_ms;
        let tab = self.tab.as_mut().expect("another tab");
        if verb == "field" {
            self.told.push(tab.text_at(about).unwrap_or_else(|| "(not there)".to_owned()));
            return;
        }
        let event = event(tab, verb, about, at_ms);
        let effects = tab.update(event);
        self.follow_tab(effects);
    }

    /// What another tab wants done is done at once.
    fn follow_tab(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            let event = match effect {
                Effect::Store { id, writes } => {
                    self.write(&writes);
                    Event::Stored(id)
                }
                Effect::ReadStore { prefix } => {
                    let records = self.records(&prefix);
                    Event::Read { prefix, records, at_ms: self.at_ms }
                }
                Effect::Tell(message) => {
                    let effects = self.page.update(Event::Heard { message, at_ms: self.at_ms });
                    self.follow(effects);
                    continue;
                }
                _ => continue,
            };
            let effects = self.tab.as_mut().expect("another tab").update(event);
            self.follow_tab(effects);
        }
    }

    fn records(&self, prefix: &str) -> Vec<(String, String)> {
        let fits =
            |key: &str| if prefix.is_empty() { !key.starts_with(LOGS) } else { key.starts_with(prefix) };
        self.store.iter().filter(|(key, _)| fits(key)).map(|(k, v)| (k.clone(), v.clone())).collect()
    }

    fn opening(&mut self) -> Opening {
        self.openings += 1;
        let place = Surroundings { now_ms: self.at_ms, ..Surroundings::default() };
        Opening { records: self.records(""), place, random: self.openings, ..Opening::default() }
    }

    fn open(&mut self, about: &str) {
        let trouble = match about {
            "without a store" => Some(StoreTrouble::Refused),
            "with a late store" => Some(StoreTrouble::Late),
            _ => None,
        };
        let mut opening = self.opening();
        match trouble {
            None => opening.fragment = about.replace("PLAN", &other_plan()),
            Some(_) => opening.records = Vec::new(),
        }
        opening.trouble = trouble;
        let (page, effects) = Page::open(opening);
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
                Write::Join { key, value } => {
                    let held = self.store.get(key);
                    let both = held.map_or(Ok(value.clone()), |held| joined(key, held, value));
                    self.store.insert(key.clone(), both.expect("a row that can be read"));
                }
                Write::Remove { key } => drop(self.store.remove(key)),
            }
        }
    }

    fn follow(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            self.told.push(words(&effect));
            match effect {
                Effect::Store { id, writes } => self.asked.push((id, writes)),
                Effect::ReadStore { prefix } => {
                    let records = self.records(&prefix);
                    let effects = self.page.update(Event::Read { prefix, records, at_ms: self.at_ms });
                    self.follow(effects);
                }
                Effect::HandOver { file, .. } => self.file = Some(file),
                Effect::Learn(lessons) => self.lessons = lessons,
                Effect::Tell(message) if self.tab.is_some() => {
                    let event = Event::Heard { message, at_ms: self.at_ms };
                    let effects = self.tab.as_mut().expect("another tab").update(event);
                    self.follow_tab(effects);
                }
                _ => {}
            }
        }
    }
}

/// The event of a line.
fn event(page: &Page, verb: &str, about: &str, at_ms: f64) -> Event {
    match verb {
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
        "act" => {
            let about = with_ids(page, about);
            Event::Pressed {
                action: Action::parse(&about).unwrap_or_else(|| panic!("no button {about}")),
                at_ms,
            }
        }
        "tap" => Event::Tapped { tap: Tap::parse(about).unwrap_or_else(|| panic!("no tap {about}")), at_ms },
        "follow" => Event::Followed(about.replace("PLAN", &other_plan())),
        "receive" => Event::Received(about.replace("PLAN", &other_plan())),
        "lock" => Event::Claimed { mine: about == "mine", at_ms },
        "hide" | "see" => Event::Seen { visible: verb == "see", at_ms },
        "fall" => {
            let rig = page.falls.asked.as_ref().expect("a fall that was asked for");
            let row = fall_row(rig).expect("a fall");
            Event::Fell(FallPath::from_row(&row).ok_or_else(|| "not whole".to_owned()))
        }
        "doubt" => {
            let (_, rigs) = page.falls.asked_doubt.as_ref().expect("doubts that were asked for");
            Event::Doubted(Some(doubt_row(rigs)))
        }
        "toolarge" => Event::TooLarge { place: if about == "share" { Place::Share } else { Place::Backup } },
        "falldue" => Event::FallDue,
        "quiet" => Event::Quiet,
        "erased" => Event::Erased,
        "handed" => Event::Answered { place: Place::Backup, sentence: "The file is handed over." },
        "frame" => Event::Frame { at_ms: about.parse().expect("ms"), in_view: true },
        _ => panic!("nothing is called {verb}"),
    }
}

/// `NEXT0`, `FISHED0`, `WATER0` and so on stand for the ids of the days and waters in their order.
fn with_ids(page: &Page, about: &str) -> String {
    let days = page.book.days("");
    let lists = [
        ("NEXT", days.next.iter().map(|day| day.id).collect::<Vec<_>>()),
        ("FISHED", days.fished.iter().map(|day| day.id).collect()),
        ("WATER", page.book.waters().into_iter().map(|(id, _)| id).collect()),
        (
            "TEST",
            page.book
                .tackle()
                .iter()
                .flat_map(|(_, owned)| owned.tests.iter().filter_map(|(name, _)| Id::read(name)))
                .collect(),
        ),
    ];
    let choices = page.book.open_parts().into_iter().enumerate().flat_map(|(place, part)| {
        part.values.into_iter().map(move |value| format!("{place}.{}", value.phone))
    });
    let mut about = about.to_owned();
    for (place, choice) in choices.enumerate() {
        about = about.replace(&format!("SETTLE{place}"), &choice);
    }
    for (name, ids) in lists {
        for (place, id) in ids.iter().enumerate() {
            about = about.replace(&format!("{name}{place}"), &id.to_string());
        }
    }
    about
}

/// An effect in short: keys without what they hold.
fn words(effect: &Effect) -> String {
    match effect {
        Effect::Store { writes, .. } => {
            let place = |key: &str| key.split('/').next().unwrap_or_default().to_owned();
            let keys = writes.iter().map(|write| match write {
                Write::Put { key, .. } | Write::Join { key, .. } => place(key),
                Write::Remove { key } => format!("-{}", place(key)),
            });
            format!("store {}", keys.collect::<Vec<_>>().join(" "))
        }
        Effect::ReadStore { prefix } => {
            format!("read the store: {}", if prefix.is_empty() { "all but logs" } else { &prefix[..5] })
        }
        Effect::Tell(Message::Stored { page, rows }) => {
            let page = page.iter().map(|_| "page");
            let rows = rows.keys().map(|key| key.split('/').next().unwrap_or_default());
            format!("tell the tabs: {}", rows.chain(page).collect::<Vec<_>>().join(" "))
        }
        Effect::Tell(message) => format!("tell the tabs: {message:?}").to_lowercase(),
        Effect::Learn(lessons) => format!("ask the worker what {} days teach", lessons.len()),
        Effect::Fall(_) => "ask the worker for a fall".to_owned(),
        Effect::Doubt(_) => "ask the worker for a fall’s band".to_owned(),
        Effect::Search(_) => "ask the worker for a search".to_owned(),
        Effect::HandOver { file, place } => format!("hand over {} ({place:?})", file.name),
        other => format!("{other:?}").chars().take(160).collect(),
    }
}

/// The text of the element with that `data-result`.
fn results(markup: &str, name: &str) -> Option<String> {
    let start = markup.find(&format!("data-result=\"{name}\""))?;
    let tag = &markup[..start];
    let is_list = tag[tag.rfind('<')?..].starts_with("<ul");
    let rest = &markup[start..];
    let rest = &rest[rest.find('>')? + 1..];
    // As far as a block ends.
    let end = ["</p>", "</div>", "</section>", "</dl>", "</h1>", "</tr>", "</figure>"]
        .iter()
        .filter_map(|tag| rest.find(tag))
        .min()
        .filter(|_| !is_list)
        .or_else(|| rest.find("</ul>"))?;
    let mut text = String::new();
    let mut inside = false;
    for letter in rest[..end].chars() {
        match letter {
            '<' => {
                inside = true;
                text.push(' ');
            }
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
