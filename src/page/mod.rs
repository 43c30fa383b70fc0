//! The page's state, and what each thing that a user does makes of it. Knows no browser: `web` turns events into
//! these calls and shows what they say is to be shown again.

pub mod falls;
pub mod report;
pub mod saved;
pub mod session;
pub mod tub_watch;

use crate::plan::fields::list_of;
use crate::plan::presets::presets;
use crate::plan::{self, Dropper, Feeding, FieldMut, Group, KitItem, Plan, PoleLine, ShotCount};
use crate::results::{Results, work_out};
use crate::small::{Map, Set};
use crate::units::{DecimalSign, LengthUnits, Quantity, Units};
use falls::Weighing;
use tub_watch::{BaitTab, Stopwatch};

/// What is said where a time would stand, of a bait that is lighter than water.
pub(crate) const AFLOAT: &str =
    "The bait floats: it is lighter than the water, so it has no fall and no time.";

/// The five destinations, and the page about the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Screen {
    /// The day in five lines.
    #[default]
    Day,
    /// The bait.
    Bait,
    /// The rigs.
    Rigs,
    /// The kit list.
    Kit,
    /// The live session.
    Bank,
    /// About the page itself; not in the bar, but at the foot of each screen.
    About,
}

impl Screen {
    /// All of them, in the order of the bar.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::Day, "day"),
        (Self::Bait, "bait"),
        (Self::Rigs, "rigs"),
        (Self::Kit, "kit"),
        (Self::Bank, "bank"),
        (Self::About, "about"),
    ];

    /// The screen that a link's fragment names.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| *n == name).map(|&(screen, _)| screen)
    }

    /// Its name in a link.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(screen, _)| *screen == self).map_or("day", |&(_, name)| name)
    }
}

/// Light or dark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// As the phone is.
    #[default]
    Phone,
    /// Paper.
    Light,
    /// Night.
    Night,
}

impl Theme {
    /// All of them with their names.
    pub const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Phone, "phone", "as the phone"),
        (Self::Light, "light", "light"),
        (Self::Night, "night", "night"),
    ];

    /// Its name in storage and in the page's root element.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(theme, ..)| *theme == self).map_or("phone", |&(_, name, _)| name)
    }
}

/// Choices of the reader, not of the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Choices {
    /// Units and decimal sign.
    pub units: Units,
    /// Light or dark.
    pub theme: Theme,
}

/// What stands in a field that cannot be used, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RejectedInput {
    /// What was typed.
    pub typed: String,
    /// Why it cannot be used.
    pub sentence: String,
}

/// A sentence to the user.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The sentence.
    pub sentence: String,
    /// Whether it can be taken back.
    pub undo: bool,
}

/// What has to be shown again after an action.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Redraw {
    /// Nothing.
    Nothing,
    /// The results and the head line.
    Results,
    /// The whole screen.
    Screen,
}

/// The state of the page.
#[derive(Clone, Debug)]
pub struct Page {
    /// The plan in hand.
    pub plan: Plan,
    /// What it comes to.
    pub day: Results,
    /// The reader's choices.
    pub choices: Choices,
    /// Ids of what is ticked: `prep-cut`, `kit-tins`.
    pub ticks: Set,
    /// Fields that hold what cannot be used, by path.
    pub bad: Map<RejectedInput>,
    /// The open screen.
    pub screen: Screen,
    /// Place of the rig that is open.
    pub rig: usize,
    /// The open part of the bait screen.
    pub part: BaitTab,
    /// The stopwatch of the tub test.
    pub watch: Stopwatch,
    /// A plan that came with a link and waits for an answer.
    pub pending: Option<Box<Plan>>,
    /// Falls of rigs and the search for a pattern.
    pub deep: falls::FallsState,
    /// Sentences to the user.
    pub notices: Vec<Notice>,
    /// What the page knows of its own making.
    pub made: report::BuildInfo,
    /// The live session, if one was started.
    pub live: Option<Box<session::RunningSession>>,
    /// Whether a log was put away and can be brought back.
    pub put_away: bool,
    /// What the last taken-back-able action replaced.
    before: Option<Box<(Plan, Set)>>,
}

impl Page {
    /// A page with the first worked day.
    #[must_use]
    pub fn new() -> Self {
        let plan = plan::presets::first();
        Self::with(plan, Set::default(), Choices::default())
    }

    /// A page with a plan that was kept.
    #[must_use]
    pub fn with(plan: Plan, ticks: Set, choices: Choices) -> Self {
        Self {
            day: work_out(&plan, choices.units),
            plan,
            choices,
            ticks,
            bad: Map::default(),
            screen: Screen::Day,
            rig: 0,
            part: BaitTab::default(),
            watch: Stopwatch::default(),
            pending: None,
            deep: falls::FallsState::default(),
            notices: Vec::new(),
            made: report::BuildInfo::default(),
            live: None,
            put_away: false,
            before: None,
        }
    }

    /// Works the day out anew.
    pub(crate) fn refresh(&mut self) {
        self.rig = self.rig.min(self.plan.rigs.len().saturating_sub(1));
        let last = i32::try_from(self.plan.shot_box.len()).unwrap_or(i32::MAX) - 1;
        self.deep.weigh.size = self.deep.weigh.size.min(last).max(0);
        self.day = work_out(&self.plan, self.choices.units);
    }

    /// Says a sentence; of the same one only the last is kept, and of all at most four.
    pub fn say(&mut self, sentence: &str, undo: bool) {
        self.notices.retain(|n| n.sentence != sentence && !(undo && n.undo));
        self.notices.push(Notice { sentence: sentence.to_owned(), undo });
        if self.notices.len() > 4 {
            self.notices.remove(0);
        }
    }

    /// What was typed into the field at `path`. On a refusal the plan and its day stay as they were and the sentence
    /// is kept beside the field.
    pub fn type_in(&mut self, path: &str, typed: &str) -> Redraw {
        let units = self.choices.units;
        let set = match self.weigh_slot(path) {
            Some(slot) => slot.set(path, typed, units),
            None => self.plan.set(path, typed, units),
        };
        match set {
            Ok(()) => {
                self.bad.remove(path);
                self.refresh();
            }
            Err(refused) if refused.code() == "no_such_field" => return Redraw::Nothing,
            Err(e) => {
                let typed = typed.chars().take(60).collect();
                self.bad.insert(path, RejectedInput { typed, sentence: e.to_string() });
            }
        }
        Redraw::Results
    }

    /// The plus or minus button of the field at `path`.
    pub fn step(&mut self, path: &str, by: i32) -> Redraw {
        let units = self.choices.units;
        if let (Some(slot), Some(limit)) = (self.weigh_slot(path), crate::plan::fields::bounds_of(path)) {
            match slot {
                FieldMut::Maybe(value) => *value = Some(limit.moved(value.unwrap_or(0), by, units)),
                FieldMut::Number(value) => *value = limit.moved(*value, by, units),
                _ => return Redraw::Nothing,
            }
        } else if self.plan.step(path, by, units).is_err() {
            return Redraw::Nothing;
        }
        self.bad.remove(path);
        self.refresh();
        Redraw::Results
    }

    /// The text that belongs in the field at `path`, after a step.
    pub fn text_at(&mut self, path: &str) -> Option<String> {
        let kind = crate::plan::fields::bounds_of(path)?.kind;
        let units = self.choices.units;
        let slot = if path.starts_with("weigh.") { self.weigh_slot(path) } else { self.plan.field(path) };
        match slot? {
            FieldMut::Number(value) => Some(field_text(units, *value, kind)),
            FieldMut::Maybe(value) => Some(value.map_or_else(String::new, |v| field_text(units, v, kind))),
            _ => None,
        }
    }

    /// A tick set or taken away.
    pub fn tick(&mut self, id: &str, on: bool) -> Redraw {
        let id: String = id.chars().take(80).collect();
        if on && self.ticks.len() < 400 {
            self.ticks.insert(&id, ());
        } else {
            self.ticks.remove(&id);
        }
        Redraw::Results
    }

    /// A plan from a link or a file: asked about when it would replace one that the user has changed.
    pub fn offer(&mut self, plan: Plan) -> Redraw {
        if plan == self.plan {
            self.say("The link holds the plan that you have already.", false);
        } else if presets().iter().any(|p| p.plan == self.plan) && self.ticks.is_empty() {
            self.replace(plan);
        } else {
            self.pending = Some(Box::new(plan));
        }
        Redraw::Screen
    }

    /// The worked day that a link names; says whether there is one.
    pub fn offer_worked(&mut self, id: &str) -> bool {
        let found = presets().into_iter().find(|p| p.id == id);
        found.map(|preset| self.offer(preset.plan)).is_some()
    }

    /// Puts another plan in place of the one in hand, which can be taken back.
    fn replace(&mut self, plan: Plan) {
        let old = core::mem::replace(&mut self.plan, plan);
        let ticks = core::mem::take(&mut self.ticks);
        self.before = Some(Box::new((old, ticks)));
        self.bad.clear();
        self.pending = None;
        self.rig = 0;
        self.watch = Stopwatch::default();
        self.refresh();
        let sentence = ["“", &self.plan.name, "” is open."].concat();
        self.say(&sentence, true);
    }

    /// Keeps what is about to be taken out, so that it can be put back.
    pub(crate) fn remember(&mut self, sentence: &str) {
        self.before = Some(Box::new((self.plan.clone(), self.ticks.clone())));
        self.say(sentence, true);
    }

    /// A button: its verb and what it is about, divided by colons.
    pub fn act(&mut self, act: &str) -> Redraw {
        let (verb, about) = act.split_once(':').unwrap_or((act, ""));
        match verb {
            "preset" => {
                if let Some(preset) = presets().into_iter().find(|p| p.id == about) {
                    self.replace(preset.plan);
                }
            }
            "accept" => {
                if let Some(plan) = self.pending.take() {
                    self.replace(*plan);
                }
            }
            "keep" => self.pending = None,
            "undo" => {
                if let Some(before) = self.before.take() {
                    (self.plan, self.ticks) = *before;
                    self.bad.clear();
                    self.refresh();
                }
                self.notices.retain(|n| !n.undo);
            }
            "dismiss" => {
                if let Some(i) = about.parse().ok().filter(|i| *i < self.notices.len()) {
                    self.notices.remove(i);
                }
            }
            "add" => self.add(about),
            "remove" => self.remove(about),
            "rig" => self.rig = about.parse().unwrap_or(0).min(self.plan.rigs.len().saturating_sub(1)),
            "set" => self.use_set(about),
            "tin" => self.use_tin(about),
            "kit" => self.kit_count(about),
            "deep" => self.deep_act(about),
            "units" => {
                self.choices.units.lengths =
                    if about == "metric" { LengthUnits::Metric } else { LengthUnits::Imperial };
                self.refresh();
            }
            "sign" => {
                self.choices.units.sign =
                    if about == "comma" { DecimalSign::Comma } else { DecimalSign::Point };
                self.refresh();
            }
            "theme" => {
                if let Some((theme, ..)) = Theme::ALL.iter().find(|(_, name, _)| *name == about) {
                    self.choices.theme = *theme;
                }
            }
            "live" => {
                if let Some(live) = self.live.take() {
                    self.remember("Note and kit list are kept with the plan.");
                    live.keep(&mut self.plan);
                    self.live = Some(live);
                    self.refresh();
                }
            }
            "unpack" => {
                self.remember("All ticks are off.");
                self.ticks.clear();
            }
            _ => return self.bait_act(verb, about),
        }
        Redraw::Screen
    }

    /// Adds an entry to a list, made like its last one.
    fn add(&mut self, path: &str) {
        let full = match (self.plan.length(path), list_of(path)) {
            (Some(length), Some((_, most))) => length >= most,
            _ => return,
        };
        if full {
            self.say("This list is full.", false);
            return;
        }
        let plan = &mut self.plan;
        match path {
            "lines" => plan.lines.push(plan.lines.last().cloned().map_or(
                PoleLine {
                    name: String::new(),
                    distance_tenth_mm: 50_000,
                    depth_tenth_mm: plan.water.depth_tenth_mm,
                },
                |l| PoleLine { name: "New line".to_owned(), ..l },
            )),
            "feed" => {
                if let Some(last) = plan.feed.last().cloned() {
                    plan.feed.push(Feeding { start_min: (last.start_min + last.minutes).min(720), ..last });
                }
            }
            "rigs" => {
                if let Some(mut rig) = plan.rigs.get(self.rig).cloned() {
                    rig.name = next_letter(plan);
                    plan.rigs.push(rig);
                    self.rig = plan.rigs.len() - 1;
                }
            }
            "shot_box" => {
                if let Some(shot) = plan.shot_box.last().cloned() {
                    plan.shot_box.push(plan::BoxShot { name: "Another size".to_owned(), ..shot });
                }
            }
            "kit" => plan.kit.push(KitItem { group: Group::Peg, name: "My own thing".to_owned(), count: 1 }),
            _ => {
                let rig = path.split('.').nth(1).and_then(|i| i.parse::<usize>().ok());
                if path.ends_with("glass") {
                    self.add_hung(rig.unwrap_or(usize::MAX));
                } else if let Some(rig) = rig.and_then(|i| plan.rigs.get_mut(i)) {
                    let lowest =
                        rig.droppers.last().map_or(rig.bulk_from_hook_tenth_mm, |d| d.from_hook_tenth_mm);
                    let shot = rig.droppers.last().map_or(0, |d| d.shot);
                    rig.droppers.push(Dropper { from_hook_tenth_mm: (lowest / 2).max(10), shot, count: 1 });
                }
            }
        }
        self.refresh();
    }

    /// Takes an entry out of a list, unless it is the last that the list must keep.
    fn remove(&mut self, about: &str) {
        let Some((path, place)) = about.rsplit_once('.') else { return };
        let Ok(place) = place.parse::<usize>() else { return };
        let (Some(length), Some((least, _))) = (self.plan.length(path), list_of(path)) else { return };
        if place >= length {
            return;
        }
        if length <= least {
            self.say("This is the last one and has to stay. Change it instead.", false);
            return;
        }
        self.remember("Taken out.");
        let plan = &mut self.plan;
        match path {
            "lines" => {
                plan.lines.remove(place);
                for line in
                    plan.feed.iter_mut().map(|p| &mut p.line).chain(plan.rigs.iter_mut().map(|r| &mut r.line))
                {
                    *line = after_removal(*line, place).unwrap_or(0);
                }
            }
            "feed" => drop(plan.feed.remove(place)),
            "rigs" => drop(plan.rigs.remove(place)),
            "shot_box" => {
                plan.shot_box.remove(place);
                let weigh = &mut self.deep.weigh;
                match after_removal(weigh.size, place) {
                    Some(size) => weigh.size = size,
                    None => *weigh = Weighing::default(),
                }
                for rig in &mut plan.rigs {
                    rig.set.clear();
                    rig.droppers.retain_mut(|d| after_removal(d.shot, place).map(|s| d.shot = s).is_some());
                    rig.more.glass.retain_mut(|g| after_removal(g.shot, place).map(|s| g.shot = s).is_some());
                }
            }
            "kit" => drop(plan.kit.remove(place)),
            _ => {
                let rig = path.split('.').nth(1).and_then(|i| i.parse::<usize>().ok());
                if let Some(rig) = rig.and_then(|i| plan.rigs.get_mut(i)) {
                    if path.ends_with("glass") {
                        rig.more.glass.remove(place);
                    } else {
                        rig.droppers.remove(place);
                    }
                }
            }
        }
        // Fields behind the one taken out have moved: what was typed into them no longer belongs there.
        self.bad.clear();
        self.refresh();
    }

    /// `RIG.PLACE`: the rig uses the set at that place of its list.
    fn use_set(&mut self, about: &str) {
        let Some((rig, place)) = about.split_once('.') else { return };
        let (Ok(rig), Ok(place)) = (rig.parse::<usize>(), place.parse::<usize>()) else { return };
        let set = self.day.rigs.get(rig).and_then(|r| r.balance.as_ref()).and_then(|b| b.sets.get(place));
        let (Some(set), Some(rig)) = (set, self.plan.rigs.get_mut(rig)) else { return };
        rig.set = set
            .shots
            .iter()
            .filter_map(|s| {
                Some(ShotCount { shot: i32::try_from(s.index).ok()?, count: i32::try_from(s.count).ok()? })
            })
            .collect();
        self.refresh();
    }

    /// The label of a generic tin.
    fn use_tin(&mut self, about: &str) {
        let Some(tin) = crate::bait::material::TINS.iter().find(|t| t.ndb == about) else { return };
        self.remember("The label of a generic tin is filled in.");
        #[expect(clippy::cast_possible_truncation, reason = "grams in 100 g")]
        let tenths = |g: f64| (g * 10.0).round() as i32;
        let mine = &mut self.plan.tin;
        mine.name = plan::clean(tin.name);
        mine.fat_tenth_g = tenths(tin.label.fat_g);
        mine.protein_tenth_g = tenths(tin.label.protein_g);
        mine.carbohydrate_tenth_g = tenths(tin.label.carbohydrate_g);
        mine.salt_tenth_g = tenths(tin.label.salt_g);
        mine.fibre_tenth_g = None;
        self.bad.retain(|path| !path.starts_with("tin."));
        self.refresh();
    }

    /// `ID.+`, `ID.-` or `ID.=`: one more, one fewer, or as the plan says.
    fn kit_count(&mut self, about: &str) {
        let Some((id, how)) = about.rsplit_once('.') else { return };
        let Some(item) = self.day.kit.iter().flat_map(|g| &g.items).find(|i| i.id == id && i.own.is_none())
        else {
            return;
        };
        let count = match how {
            "+" => Some(item.count + 1),
            "-" => Some((item.count - 1).max(0)),
            _ => None,
        };
        self.plan.set_kit_count(id, count.filter(|c| Some(*c) != item.derived));
        self.refresh();
    }
}

impl Default for Page {
    fn default() -> Self {
        Self::new()
    }
}

/// A number as it stands in its field: with its unit, so that it reads by itself.
#[must_use]
pub fn field_text(units: Units, value: i32, kind: Quantity) -> String {
    units.text(value, kind)
}

/// The first capital letter that no rig is named by.
pub(crate) fn next_letter(plan: &Plan) -> String {
    ('A'..='Z')
        .map(String::from)
        .find(|letter| plan.rigs.iter().all(|r| r.name != *letter))
        .unwrap_or_else(|| "Z".to_owned())
}

/// Where a place points after the entry at `removed` is gone; nothing if it pointed there.
fn after_removal(place: i32, removed: usize) -> Option<i32> {
    let removed = i32::try_from(removed).ok()?;
    match place.cmp(&removed) {
        core::cmp::Ordering::Less => Some(place),
        core::cmp::Ordering::Equal => None,
        core::cmp::Ordering::Greater => Some(place - 1),
    }
}
