//! The plan: the one document that holds everything a user enters.
//!
//! Every number is a whole number of a small unit, named in its field and held against [`crate::limits`]. A field is
//! reached by its path (`rigs.0.depth`), which is the field's name without the unit; [`Plan::set`] takes what was
//! typed, [`Plan::check`] holds a whole plan that came from outside against the table.

pub mod bank;
pub mod link;
mod past_versions;
pub mod presets;

use crate::limits::{self, LISTS, MOST_CHARS, no_such_field, out_of_range};
use crate::refusal::Refusal;
use crate::trade::lead::{LeadLaw, lead_law};
use crate::units::{TenthMg, Units, date_from, fixed};
use serde::{Deserialize, Serialize};

/// A choice among a few named options.
pub trait Pick {
    /// The options in words, in order.
    fn words(&self) -> &'static [&'static str];
    /// The place of the chosen one.
    fn index(&self) -> usize;
    /// Chooses by place; false when there is no such place.
    fn choose(&mut self, index: usize) -> bool;
}

macro_rules! pick {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $words:literal,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// All options in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
        }

        impl Pick for $name {
            fn words(&self) -> &'static [&'static str] {
                &[$($words),*]
            }
            fn index(&self) -> usize {
                Self::ALL.iter().position(|v| v == self).unwrap_or(0)
            }
            fn choose(&mut self, index: usize) -> bool {
                Self::ALL.get(index).map(|v| *self = *v).is_some()
            }
        }
    };
}

// Behind the macro that it uses.
pub mod bait_more;
pub mod rig_more;

pick! {
    /// How the sky looks.
    Sky {
        /// Sun on the water.
        Bright = "bright",
        /// Broken cloud.
        Mixed = "sun and cloud",
        /// Grey all over.
        Overcast = "overcast",
    }
}
pick! {
    /// How the wind blows.
    Wind {
        /// Flat water.
        Still = "still",
        /// A ripple.
        Light = "light",
        /// A chop.
        Fresh = "fresh",
        /// White tops; a long pole is hard to hold.
        Strong = "strong",
    }
}
pick! {
    /// How the air pressure moves.
    Trend {
        /// Going down.
        Falling = "falling",
        /// Neither.
        Steady = "steady",
        /// Going up.
        Rising = "rising",
    }
}
pick! {
    /// Where in the water to start.
    Start {
        /// As the points for and against say.
        ByThePoints = "as the points say",
        /// Up in the water, whatever the points say.
        Shallow = "shallow",
        /// On the bottom, whatever the points say.
        Bottom = "bottom",
    }
}
pick! {
    /// How loose feed goes in.
    Method {
        /// Thrown by hand.
        Hand = "by hand",
        /// With a catapult.
        Catapult = "catapult",
        /// From a cup on the pole.
        PoleCup = "pole cup",
    }
}
pick! {
    /// What the venue says of lead.
    Lead {
        /// As the law of the country.
        AsTheLaw = "as the law says",
        /// None of any size.
        None = "no lead at all",
    }
}
pick! {
    /// What a rig is for.
    Purpose {
        /// The bait rests on the bottom.
        Bottom = "bottom",
        /// The bait hangs in the water.
        Shallow = "shallow",
    }
}
pick! {
    /// How the shot is placed.
    Pattern {
        /// Most together, a few single ones below.
        BulkAndDroppers = "bulk and droppers",
        /// Evenly along the line.
        Strung = "strung out",
        /// All together.
        Bulk = "single bulk",
    }
}
pick! {
    /// Which of two sets that dot alike is liked better.
    Taste {
        /// Many small shot.
        ManySmall = "many small shot",
        /// Few large ones.
        FewLarge = "few large shot",
    }
}
pick! {
    /// When the wanted length of tip is to show.
    Dotted {
        /// With the bait hanging.
        Hanging = "bait hanging",
        /// With the bait on the bottom.
        OnBottom = "bait on the bottom",
    }
}
pick! {
    /// Where a thing is packed.
    Group {
        /// Bait and what it is carried in.
        Bait = "Bait",
        /// Rigs, shot, hooks, lines.
        Rigs = "Rigs and tackle",
        /// Pole, seat, net, tubs.
        Peg = "At the peg",
        /// Clothes, papers, food, first aid.
        Person = "For yourself",
    }
}

/// A day of the calendar, as days since 1 January 1970; in JSON the text `2026-07-11`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Day(pub i32);

impl Serialize for Day {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if serializer.is_human_readable() {
            serializer.serialize_str(&Units::default().bare(self.0, crate::units::Quantity::Date))
        } else {
            serializer.serialize_i32(self.0)
        }
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        use serde::de::Error;
        if deserializer.is_human_readable() {
            let text = String::deserialize(deserializer)?;
            date_from(&text).map(Self).ok_or_else(|| D::Error::custom("a date is written 2026-07-11"))
        } else {
            i32::deserialize(deserializer).map(Self)
        }
    }
}

/// The day's times.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayTimes {
    /// The date.
    pub date: Day,
    /// The draw for pegs, minutes since midnight.
    pub draw_min: i32,
    /// When fishing starts, minutes since midnight.
    pub all_in_min: i32,
    /// When fishing ends, minutes since midnight; earlier than the all-in means the next day.
    pub all_out_min: i32,
    /// The way there, minutes.
    pub travel_min: i32,
    /// From the draw to being ready, minutes.
    pub setup_min: i32,
}

/// The water.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Water {
    /// The venue's name.
    pub venue: String,
    /// The peg.
    pub peg: String,
    /// Depth at the pole line, tenths of a millimetre.
    pub depth_tenth_mm: i32,
    /// Temperature near the surface, tenths of a degree Celsius.
    pub surface_tenth_c: i32,
    /// Temperature at the bottom if known, tenths of a degree Celsius.
    pub bottom_tenth_c: Option<i32>,
}

/// The weather, typed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// The sky.
    pub sky: Sky,
    /// The wind.
    pub wind: Wind,
    /// Air pressure at sea level, hPa.
    pub pressure_hpa: i32,
    /// Where the pressure is going.
    pub trend: Trend,
    /// Who decides where to start.
    pub start: Start,
}

/// The venue's own rules.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// Most tins of meat allowed, if there is a limit.
    pub tins: Option<i32>,
    /// Largest hook allowed, by its size (a larger number is a smaller hook), if there is a limit.
    pub hook: Option<i32>,
    /// Barbless hooks only.
    pub barbless: bool,
    /// What is said of lead.
    pub lead: Lead,
}

/// One line of attack, a place where bait goes in and a rig is fished.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PoleLine {
    /// Its name.
    pub name: String,
    /// Its distance from the bank, tenths of a millimetre.
    pub distance_tenth_mm: i32,
    /// The depth there, tenths of a millimetre.
    pub depth_tenth_mm: i32,
}

/// The tin, as its label tells: grams in 100 g, in tenths; the rest is water.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tin {
    /// What the user calls it.
    pub name: String,
    /// Fat, tenths of a gram in 100 g.
    pub fat_tenth_g: i32,
    /// Protein, tenths of a gram in 100 g.
    pub protein_tenth_g: i32,
    /// Carbohydrate, tenths of a gram in 100 g.
    pub carbohydrate_tenth_g: i32,
    /// Fibre, tenths of a gram in 100 g, if the label says.
    pub fibre_tenth_g: Option<i32>,
    /// Salt, tenths of a gram in 100 g.
    pub salt_tenth_g: i32,
    /// Net mass of a tin, grams.
    pub net_g: i32,
    /// The block's length, tenths of a millimetre.
    pub length_tenth_mm: i32,
    /// The block's width, tenths of a millimetre.
    pub width_tenth_mm: i32,
    /// The block's height, tenths of a millimetre.
    pub height_tenth_mm: i32,
}

/// The bait cut from it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bait {
    /// Edge of a cube, tenths of a millimetre.
    pub edge_tenth_mm: i32,
    /// Air in the meat, tenths of a percent of its volume.
    pub air_tenth_percent: i32,
    /// Washed of its grease.
    pub washed: bool,
    /// What the cutter takes between two cubes, tenths of a millimetre.
    pub blade_tenth_mm: i32,
    /// Cubes kept for the hook.
    pub hook_baits: i32,
    /// What goes into one bag, grams.
    pub bag_g: i32,
    /// More than the feeding needs, tenths of a percent.
    pub reserve_tenth_percent: i32,
    /// Tins in hand, for the question how long they last; 0 for as many as the day needs.
    pub tins_in_hand: i32,
}

/// One stretch of feeding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// Place of its pole line in the list.
    pub line: i32,
    /// How the feed goes in.
    pub method: Method,
    /// When it starts, minutes after the all-in.
    pub start_min: i32,
    /// How long it lasts, minutes.
    pub minutes: i32,
    /// Cubes in one feed.
    pub cubes: i32,
    /// Seconds from one feed to the next.
    pub every_s: i32,
}

/// A single shot, or a few together, between the bulk and the hook.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dropper {
    /// Distance from the hook, tenths of a millimetre.
    pub from_hook_tenth_mm: i32,
    /// Place of its size in the shot box.
    pub shot: i32,
    /// How many.
    pub count: i32,
}

/// A number of shot of one size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShotCount {
    /// Place of the size in the shot box.
    pub shot: i32,
    /// How many.
    pub count: i32,
}

/// A rig.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// Its name, a letter or a word.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// Place of its pole line in the list.
    pub line: i32,
    /// From the float to the hook, tenths of a millimetre.
    pub depth_tenth_mm: i32,
    /// What the float is called.
    pub float_name: String,
    /// The float's load: the lead that, hung under it at 15 °C, brings the water to the base of its tip. Tenths of
    /// a milligram.
    pub load_tenth_mg: i32,
    /// The load was found in a glass of water, not read off the maker's mark.
    pub load_measured: bool,
    /// Diameter of the tip, micrometres.
    pub tip_um: i32,
    /// Length of the tip, tenths of a millimetre.
    pub tip_length_tenth_mm: i32,
    /// Length of tip to show, tenths of a millimetre.
    pub show_tenth_mm: i32,
    /// In which state it is to show.
    pub dotted: Dotted,
    /// Main line's diameter, micrometres.
    pub main_um: i32,
    /// Main line's strength, grams.
    pub main_strength_g: i32,
    /// Hooklength, tenths of a millimetre.
    pub hooklength_tenth_mm: i32,
    /// Hooklength's diameter, micrometres.
    pub hooklength_um: i32,
    /// Hooklength's strength, grams.
    pub hooklength_strength_g: i32,
    /// Hook size.
    pub hook_size: i32,
    /// Hook's mass, tenths of a milligram.
    pub hook_tenth_mg: i32,
    /// How the shot is placed.
    pub pattern: Pattern,
    /// From the hook to the lowest shot of the bulk, tenths of a millimetre.
    pub bulk_from_hook_tenth_mm: i32,
    /// Droppers below the bulk.
    pub droppers: Vec<Dropper>,
    /// At most so many sizes.
    pub most_sizes: i32,
    /// At most so many shot.
    pub most_shots: i32,
    /// Which sets are liked better.
    pub taste: Taste,
    /// A set the user chose; empty for the first of the list.
    pub set: Vec<ShotCount>,
    /// How it falls, its elastic and back shot.
    pub more: rig_more::RigMore,
}

/// One size in the shot box.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoxShot {
    /// Its name, such as `No. 10`.
    pub name: String,
    /// Mass of one, tenths of a milligram.
    pub mass_tenth_mg: i32,
    /// Density of the material, kg/m3.
    pub density_kg_per_m3: i32,
    /// How many are there.
    pub count: i32,
}

impl BoxShot {
    /// Mass of one.
    #[must_use]
    pub fn mass(&self) -> TenthMg {
        TenthMg(u32::try_from(self.mass_tenth_mg).unwrap_or(0))
    }

    /// What the law says of it, if it is lead.
    #[must_use]
    pub fn lead_law(&self) -> LeadLaw {
        lead_law(&self.name, self.mass(), self.density_kg_per_m3)
    }
}

/// How long each step of the preparation takes, minutes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Prep {
    /// To the shop and back.
    pub buy_min: i32,
    /// Cutting one tin.
    pub cut_min: i32,
    /// Washing.
    pub wash_min: i32,
    /// Draining.
    pub drain_min: i32,
    /// Bagging.
    pub bag_min: i32,
    /// Freezing; 0 for bait that is used fresh.
    pub freeze_min: i32,
    /// Thawing.
    pub thaw_min: i32,
    /// Packing the car.
    pub pack_min: i32,
}

/// A thing the user adds to the kit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitItem {
    /// Where it is packed.
    pub group: Group,
    /// What it is.
    pub name: String,
    /// How many.
    pub count: i32,
}

/// A changed number of a thing that the kit list derives by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitCount {
    /// The thing's id in the list.
    pub id: String,
    /// How many; 0 leaves it at home.
    pub count: i32,
}

/// The plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Version of the document's form.
    pub version: u16,
    /// The plan's name.
    pub name: String,
    /// Times.
    pub day: DayTimes,
    /// The water.
    pub water: Water,
    /// The weather.
    pub weather: Weather,
    /// The venue's rules.
    pub rules: Rules,
    /// Pole lines.
    pub lines: Vec<PoleLine>,
    /// The tin.
    pub tin: Tin,
    /// The bait.
    pub bait: Bait,
    /// Feeding.
    pub feed: Vec<Phase>,
    /// Rigs.
    pub rigs: Vec<Rig>,
    /// The shot box.
    pub shot_box: Vec<BoxShot>,
    /// Preparation.
    pub prep: Prep,
    /// Additions to the kit.
    pub kit: Vec<KitItem>,
    /// Changed numbers in the kit.
    pub kit_counts: Vec<KitCount>,
    /// A note.
    pub note: String,
    /// Tub test, freezing and thawing, washing, other shapes of bait.
    pub bait_more: bait_more::BaitMore,
    /// Choices for the live session.
    pub bank: bank::BankChoices,
}

/// The version of the document's form that this code writes.
pub const VERSION: u16 = 2;

/// A field of a plan, opened for change.
pub enum FieldMut<'a> {
    /// A number.
    Number(&'a mut i32),
    /// A number that may be left out.
    Maybe(&'a mut Option<i32>),
    /// A text.
    Text(&'a mut String),
    /// Yes or no.
    Flag(&'a mut bool),
    /// One of a few.
    Pick(&'a mut dyn Pick),
    /// The place of an entry in another list, and how many entries that list has.
    Place(&'a mut i32, usize),
}

impl FieldMut<'_> {
    /// Puts what was typed or chosen for the field at `path` into it; a number is held against the table's row.
    ///
    /// # Errors
    /// The field keeps what it held.
    pub fn set(self, path: &str, typed: &str, units: Units) -> Result<(), Refusal> {
        let none = || no_such_field(path);
        let read = || limits::limit_of(path).ok_or_else(none)?.read(path, typed, units);
        match self {
            Self::Number(value) => *value = read()?,
            Self::Maybe(value) => *value = if typed.trim().is_empty() { None } else { Some(read()?) },
            Self::Text(text) => *text = clean(typed),
            Self::Flag(flag) => *flag = typed == "true",
            Self::Pick(pick) => {
                if !typed.parse().is_ok_and(|i| pick.choose(i)) {
                    return Err(none());
                }
            }
            Self::Place(place, length) => match typed.parse::<usize>() {
                Ok(i) if i < length => *place = i32::try_from(i).map_err(|_| none())?,
                _ => return Err(none()),
            },
        }
        Ok(())
    }
}

/// The entry at a place written as text.
fn at<'a, T>(list: &'a mut [T], place: &str) -> Option<&'a mut T> {
    list.get_mut(place.parse::<usize>().ok()?)
}

impl Plan {
    /// The field at `path`, if there is one.
    pub fn slot(&mut self, path: &str) -> Option<FieldMut<'_>> {
        use FieldMut::{Flag, Maybe, Number, Text};
        let parts: Vec<&str> = path.split('.').collect();
        let (lines, sizes) = (self.lines.len(), self.shot_box.len());
        Some(match parts.as_slice() {
            ["name"] => Text(&mut self.name),
            ["note"] => Text(&mut self.note),
            ["day", "date"] => Number(&mut self.day.date.0),
            ["day", "draw"] => Number(&mut self.day.draw_min),
            ["day", "all_in"] => Number(&mut self.day.all_in_min),
            ["day", "all_out"] => Number(&mut self.day.all_out_min),
            ["day", "travel"] => Number(&mut self.day.travel_min),
            ["day", "setup"] => Number(&mut self.day.setup_min),
            ["water", "venue"] => Text(&mut self.water.venue),
            ["water", "peg"] => Text(&mut self.water.peg),
            ["water", "depth"] => Number(&mut self.water.depth_tenth_mm),
            ["water", "surface"] => Number(&mut self.water.surface_tenth_c),
            ["water", "bottom"] => Maybe(&mut self.water.bottom_tenth_c),
            ["weather", "sky"] => FieldMut::Pick(&mut self.weather.sky),
            ["weather", "wind"] => FieldMut::Pick(&mut self.weather.wind),
            ["weather", "pressure"] => Number(&mut self.weather.pressure_hpa),
            ["weather", "start"] => FieldMut::Pick(&mut self.weather.start),
            ["weather", "trend"] => FieldMut::Pick(&mut self.weather.trend),
            ["rules", "tins"] => Maybe(&mut self.rules.tins),
            ["rules", "hook"] => Maybe(&mut self.rules.hook),
            ["rules", "barbless"] => Flag(&mut self.rules.barbless),
            ["rules", "lead"] => FieldMut::Pick(&mut self.rules.lead),
            ["lines", i, rest] => at(&mut self.lines, i)?.slot(rest)?,
            ["tin", rest] => self.tin.slot(rest)?,
            ["bait", "edge"] => Number(&mut self.bait.edge_tenth_mm),
            ["bait", "air"] => Number(&mut self.bait.air_tenth_percent),
            ["bait", "washed"] => Flag(&mut self.bait.washed),
            ["bait", "blade"] => Number(&mut self.bait.blade_tenth_mm),
            ["bait", "hook_baits"] => Number(&mut self.bait.hook_baits),
            ["bait", "bag"] => Number(&mut self.bait.bag_g),
            ["bait", "reserve"] => Number(&mut self.bait.reserve_tenth_percent),
            ["bait", "tins"] => Number(&mut self.bait.tins_in_hand),
            ["feed", i, rest] => at(&mut self.feed, i)?.slot(rest, lines)?,
            ["rigs", i, rest @ ..] => at(&mut self.rigs, i)?.slot(rest, lines, sizes)?,
            ["shot_box", i, rest] => at(&mut self.shot_box, i)?.slot(rest)?,
            ["prep", rest] => self.prep.slot(rest)?,
            ["kit", i, "name"] => Text(&mut at(&mut self.kit, i)?.name),
            ["kit", i, "group"] => FieldMut::Pick(&mut at(&mut self.kit, i)?.group),
            ["kit_counts", i, "count"] => Number(&mut at(&mut self.kit_counts, i)?.count),
            ["kit_counts", i, "id"] => Text(&mut at(&mut self.kit_counts, i)?.id),
            ["kit", i, "count"] => Number(&mut at(&mut self.kit, i)?.count),
            ["bank", rest] => self.bank.slot(rest)?,
            [group @ ("tub" | "cold" | "rinse" | "other"), rest @ ..] => self.bait_more.slot(group, rest)?,
            _ => return None,
        })
    }

    /// How many entries the list at `path` has, if there is such a list.
    #[must_use]
    pub fn length(&self, path: &str) -> Option<usize> {
        let parts: Vec<&str> = path.split('.').collect();
        Some(match parts.as_slice() {
            ["lines"] => self.lines.len(),
            ["feed"] => self.feed.len(),
            ["rigs"] => self.rigs.len(),
            ["rigs", i, "droppers"] => self.rigs.get(i.parse::<usize>().ok()?)?.droppers.len(),
            ["rigs", i, "more", "glass"] => self.rigs.get(i.parse::<usize>().ok()?)?.more.glass.len(),
            ["shot_box"] => self.shot_box.len(),
            ["kit"] => self.kit.len(),
            ["kit_counts"] => self.kit_counts.len(),
            _ => return None,
        })
    }

    /// Holds the bait's counts against each other, and puts them back as they were when they do not fit.
    fn keep_bait(&mut self, path: &str, before: Option<bait_more::BaitMore>) -> Result<(), Refusal> {
        match (before, self.bait_more.check(path)) {
            (Some(before), Err(e)) => {
                self.bait_more = before;
                Err(e)
            }
            _ => Ok(()),
        }
    }

    /// Puts what was typed into the field at `path`.
    ///
    /// Numbers are read in `units` and held against the table of limits; an empty text clears a number that may be
    /// left out; a choice is given by its place, a flag by `true` or `false`; texts are cut to 40 characters and
    /// lose their control characters. On an error the plan is as it was.
    ///
    /// # Errors
    /// Naming the field, what came and what is allowed.
    pub fn set(&mut self, path: &str, typed: &str, units: Units) -> Result<(), Refusal> {
        let none = || no_such_field(path);
        let before = path.starts_with("tin.").then(|| self.tin.clone());
        let bait_before = path.starts_with("tub.").then(|| self.bait_more.clone());
        self.slot(path).ok_or_else(none)?.set(path, typed, units)?;
        if let (Some(before), Err(e)) = (before, self.tin.check(path)) {
            self.tin = before;
            return Err(e);
        }
        self.keep_bait(path, bait_before)
    }

    /// Moves the number at `path` by `steps` of its button, to the next whole step, held within its limits.
    ///
    /// # Errors
    /// `no_such_field` when there is no number at `path`.
    pub fn step(&mut self, path: &str, steps: i32, units: Units) -> Result<(), Refusal> {
        let none = || no_such_field(path);
        let limit = limits::limit_of(path).ok_or_else(none)?;
        let moved = |value: i32| limit.moved(value, steps, units);
        let bait_before = path.starts_with("tub.").then(|| self.bait_more.clone());
        match self.slot(path).ok_or_else(none)? {
            FieldMut::Number(value) => *value = moved(*value),
            FieldMut::Maybe(value) => {
                *value = Some(value.map_or(i32::midpoint(limit.least, limit.most), moved));
            }
            _ => return Err(none()),
        }
        // A count that would pass the one it is a part of stays where it is.
        let _ = self.keep_bait(path, bait_before);
        Ok(())
    }

    /// Holds every number, list and text of a plan that came from outside against the table.
    ///
    /// # Errors
    /// The first refusal, in the order of the table.
    pub fn check(&mut self) -> Result<(), Refusal> {
        if self.version > VERSION {
            let came = self.version;
            let sentence = format!(
                "This plan was written by a newer version ({came}). Update this page, then open it again."
            );
            return Err(Refusal::new("newer_version", "version", sentence));
        }
        let units = Units::default();
        for &(pattern, least, most) in LISTS {
            for path in self.paths(pattern) {
                let length = self.length(&path).unwrap_or(0);
                if !(least..=most).contains(&length) {
                    let came = format!("{length} entries");
                    return Err(out_of_range(&path, &came, &least.to_string(), &most.to_string()));
                }
            }
        }
        for limit in limits::LIMITS {
            for path in self.paths(limit.path) {
                let value = match self.slot(&path) {
                    Some(FieldMut::Number(value)) => Some(*value),
                    Some(FieldMut::Maybe(value)) => *value,
                    _ => None,
                };
                if let Some(value) = value {
                    limit.check(&path, i64::from(value), units)?;
                }
            }
        }
        for pattern in PLACES {
            for path in self.paths(pattern) {
                if let Some(FieldMut::Place(&mut place, length)) = self.slot(&path)
                    && usize::try_from(place).map_or(true, |p| p >= length)
                {
                    let (came, most) = (format!("Place {place}"), length.saturating_sub(1).to_string());
                    return Err(out_of_range(&path, &came, "0", &most));
                }
            }
        }
        self.tin.check("tin.fat")?;
        self.bait_more.check("tub.floated")?;
        let sizes = self.shot_box.len();
        for (i, rig) in self.rigs.iter().enumerate() {
            let bad = rig.set.len() > 24
                || rig.set.iter().any(|s| {
                    usize::try_from(s.shot).map_or(true, |p| p >= sizes) || !(0..=500).contains(&s.count)
                });
            if bad {
                return Err(no_such_field(&format!("rigs.{i}.set")));
            }
        }
        for pattern in TEXTS {
            for path in self.paths(pattern) {
                if let Some(FieldMut::Text(text)) = self.slot(&path) {
                    *text = clean(text);
                }
            }
        }
        self.version = VERSION;
        Ok(())
    }

    /// Sets how many of a derived thing the kit holds; the list's own number again when `count` is `None`.
    pub fn set_kit_count(&mut self, id: &str, count: Option<i32>) {
        self.kit_counts.retain(|c| c.id != id);
        let full = limits::list_of("kit_counts").is_some_and(|(_, most)| self.kit_counts.len() >= most);
        if let Some(count) = count
            && !full
        {
            self.kit_counts.push(KitCount { id: clean(id), count: count.clamp(0, 500) });
        }
    }

    /// Every path that fits `pattern` in this plan, its places filled in.
    #[must_use]
    pub fn paths(&self, pattern: &str) -> Vec<String> {
        let mut paths = vec![String::new()];
        for part in pattern.split('.') {
            let mut next = Vec::new();
            for path in paths {
                let places = if part == "*" { 0..self.length(&path).unwrap_or(0) } else { 0..1 };
                for place in places {
                    let tail = if part == "*" { place.to_string() } else { part.to_owned() };
                    next.push(if path.is_empty() { tail } else { path.clone() + "." + &tail });
                }
            }
            paths = next;
        }
        paths
    }
}

/// Paths of the fields that name a place in another list.
pub const PLACES: &[&str] =
    &["feed.*.line", "rigs.*.line", "rigs.*.droppers.*.shot", "rigs.*.more.glass.*.shot"];

/// Paths of the texts.
pub const TEXTS: &[&str] = &[
    "name",
    "note",
    "water.venue",
    "water.peg",
    "lines.*.name",
    "tin.name",
    "rigs.*.name",
    "rigs.*.float_name",
    "shot_box.*.name",
    "kit.*.name",
    "kit_counts.*.id",
];

/// A text without control characters and direction marks, at most 40 characters long.
#[must_use]
pub fn clean(text: &str) -> String {
    let hidden = |c: &char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().filter(|c| !hidden(c)).take(MOST_CHARS).collect()
}

impl PoleLine {
    fn slot(&mut self, rest: &str) -> Option<FieldMut<'_>> {
        Some(match rest {
            "name" => FieldMut::Text(&mut self.name),
            "distance" => FieldMut::Number(&mut self.distance_tenth_mm),
            "depth" => FieldMut::Number(&mut self.depth_tenth_mm),
            _ => return None,
        })
    }
}

impl Tin {
    /// The parts named on the label leave some water in 100 g.
    fn check(&self, path: &str) -> Result<(), Refusal> {
        let sum = self.fat_tenth_g
            + self.protein_tenth_g
            + self.carbohydrate_tenth_g
            + self.fibre_tenth_g.unwrap_or(0)
            + self.salt_tenth_g;
        if sum < 1000 {
            return Ok(());
        }
        let sentence = format!(
            "Fat, protein, carbohydrate, fibre and salt come to {} g of 100 g, and some of it is water. Check the label.",
            fixed(f64::from(sum) / 10.0, 1)
        );
        Err(Refusal::new("label_over_100", path.to_owned(), sentence))
    }

    fn slot(&mut self, rest: &str) -> Option<FieldMut<'_>> {
        Some(match rest {
            "name" => FieldMut::Text(&mut self.name),
            "fat" => FieldMut::Number(&mut self.fat_tenth_g),
            "protein" => FieldMut::Number(&mut self.protein_tenth_g),
            "carbohydrate" => FieldMut::Number(&mut self.carbohydrate_tenth_g),
            "fibre" => FieldMut::Maybe(&mut self.fibre_tenth_g),
            "salt" => FieldMut::Number(&mut self.salt_tenth_g),
            "net" => FieldMut::Number(&mut self.net_g),
            "length" => FieldMut::Number(&mut self.length_tenth_mm),
            "width" => FieldMut::Number(&mut self.width_tenth_mm),
            "height" => FieldMut::Number(&mut self.height_tenth_mm),
            _ => return None,
        })
    }
}

impl Phase {
    fn slot(&mut self, rest: &str, lines: usize) -> Option<FieldMut<'_>> {
        Some(match rest {
            "line" => FieldMut::Place(&mut self.line, lines),
            "method" => FieldMut::Pick(&mut self.method),
            "start" => FieldMut::Number(&mut self.start_min),
            "minutes" => FieldMut::Number(&mut self.minutes),
            "cubes" => FieldMut::Number(&mut self.cubes),
            "every" => FieldMut::Number(&mut self.every_s),
            _ => return None,
        })
    }
}

impl Rig {
    fn slot(&mut self, rest: &[&str], lines: usize, sizes: usize) -> Option<FieldMut<'_>> {
        use FieldMut::{Number, Pick, Text};
        Some(match rest {
            ["name"] => Text(&mut self.name),
            ["purpose"] => Pick(&mut self.purpose),
            ["line"] => FieldMut::Place(&mut self.line, lines),
            ["depth"] => Number(&mut self.depth_tenth_mm),
            ["float_name"] => Text(&mut self.float_name),
            ["load"] => Number(&mut self.load_tenth_mg),
            ["load_measured"] => FieldMut::Flag(&mut self.load_measured),
            ["tip"] => Number(&mut self.tip_um),
            ["tip_length"] => Number(&mut self.tip_length_tenth_mm),
            ["show"] => Number(&mut self.show_tenth_mm),
            ["dotted"] => Pick(&mut self.dotted),
            ["main"] => Number(&mut self.main_um),
            ["main_strength"] => Number(&mut self.main_strength_g),
            ["hooklength"] => Number(&mut self.hooklength_tenth_mm),
            ["hooklength_line"] => Number(&mut self.hooklength_um),
            ["hooklength_strength"] => Number(&mut self.hooklength_strength_g),
            ["hook_size"] => Number(&mut self.hook_size),
            ["hook_mass"] => Number(&mut self.hook_tenth_mg),
            ["pattern"] => Pick(&mut self.pattern),
            ["bulk_from_hook"] => Number(&mut self.bulk_from_hook_tenth_mm),
            ["most_sizes"] => Number(&mut self.most_sizes),
            ["most_shots"] => Number(&mut self.most_shots),
            ["taste"] => Pick(&mut self.taste),
            ["more", rest @ ..] => self.more.slot(rest, sizes)?,
            ["droppers", i, "from_hook"] => Number(&mut at(&mut self.droppers, i)?.from_hook_tenth_mm),
            ["droppers", i, "shot"] => FieldMut::Place(&mut at(&mut self.droppers, i)?.shot, sizes),
            ["droppers", i, "count"] => Number(&mut at(&mut self.droppers, i)?.count),
            _ => return None,
        })
    }
}

impl BoxShot {
    fn slot(&mut self, rest: &str) -> Option<FieldMut<'_>> {
        Some(match rest {
            "name" => FieldMut::Text(&mut self.name),
            "mass" => FieldMut::Number(&mut self.mass_tenth_mg),
            "density" => FieldMut::Number(&mut self.density_kg_per_m3),
            "count" => FieldMut::Number(&mut self.count),
            _ => return None,
        })
    }
}

impl Prep {
    fn slot(&mut self, rest: &str) -> Option<FieldMut<'_>> {
        Some(FieldMut::Number(match rest {
            "buy" => &mut self.buy_min,
            "cut" => &mut self.cut_min,
            "wash" => &mut self.wash_min,
            "drain" => &mut self.drain_min,
            "bag" => &mut self.bag_min,
            "freeze" => &mut self.freeze_min,
            "thaw" => &mut self.thaw_min,
            "pack" => &mut self.pack_min,
            _ => return None,
        }))
    }
}
