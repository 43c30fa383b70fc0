//! Forms of the plan that past versions wrote, and how each becomes the form of today. Never edited, only added to.

use super::{
    Bait, BoxShot, DayTimes, DottedWith, Dropper, Feeding, KitCount, KitItem, Pattern, Plan, PoleLine, Prep,
    Purpose, Rig, Rules, ShotCount, ShotPreference, Tin, Water, Weather,
};
use serde::Deserialize;

/// A rig of version 1.
#[derive(Deserialize)]
struct Rig1 {
    name: String,
    purpose: Purpose,
    line: i32,
    depth_tenth_mm: i32,
    float_name: String,
    load_tenth_mg: i32,
    load_measured: bool,
    tip_um: i32,
    tip_length_tenth_mm: i32,
    show_tenth_mm: i32,
    dotted: DottedWith,
    main_um: i32,
    main_strength_g: i32,
    hooklength_tenth_mm: i32,
    hooklength_um: i32,
    hooklength_strength_g: i32,
    hook_size: i32,
    hook_tenth_mg: i32,
    pattern: Pattern,
    bulk_from_hook_tenth_mm: i32,
    droppers: Vec<Dropper>,
    most_sizes: i32,
    most_shots: i32,
    taste: ShotPreference,
    set: Vec<ShotCount>,
}

/// A plan of version 1.
#[derive(Deserialize)]
pub(super) struct Plan1 {
    #[expect(dead_code, reason = "read to be passed over")]
    version: u16,
    name: String,
    day: DayTimes,
    water: Water,
    weather: Weather,
    rules: Rules,
    lines: Vec<PoleLine>,
    tin: Tin,
    bait: Bait,
    feed: Vec<Feeding>,
    rigs: Vec<Rig1>,
    shot_box: Vec<BoxShot>,
    prep: Prep,
    kit: Vec<KitItem>,
    kit_counts: Vec<KitCount>,
    note: String,
}

impl From<Rig1> for Rig {
    fn from(old: Rig1) -> Self {
        Self {
            name: old.name,
            purpose: old.purpose,
            line: old.line,
            depth_tenth_mm: old.depth_tenth_mm,
            float_name: old.float_name,
            load_tenth_mg: old.load_tenth_mg,
            load_measured: old.load_measured,
            tip_um: old.tip_um,
            tip_length_tenth_mm: old.tip_length_tenth_mm,
            show_tenth_mm: old.show_tenth_mm,
            dotted: old.dotted,
            main_um: old.main_um,
            main_strength_g: old.main_strength_g,
            hooklength_tenth_mm: old.hooklength_tenth_mm,
            hooklength_um: old.hooklength_um,
            hooklength_strength_g: old.hooklength_strength_g,
            hook_size: old.hook_size,
            hook_tenth_mg: old.hook_tenth_mg,
            pattern: old.pattern,
            bulk_from_hook_tenth_mm: old.bulk_from_hook_tenth_mm,
            droppers: old.droppers,
            most_sizes: old.most_sizes,
            most_shots: old.most_shots,
            taste: old.taste,
            set: old.set,
            more: super::RigMore::default(),
        }
    }
}

impl From<Plan1> for Plan {
    fn from(old: Plan1) -> Self {
        Self {
            version: super::VERSION,
            name: old.name,
            day: old.day,
            water: old.water,
            weather: old.weather,
            rules: old.rules,
            lines: old.lines,
            tin: old.tin,
            bait: old.bait,
            feed: old.feed,
            rigs: old.rigs.into_iter().map(Rig::from).collect(),
            shot_box: old.shot_box,
            prep: old.prep,
            kit: old.kit,
            kit_counts: old.kit_counts,
            note: old.note,
            bait_more: super::BaitMore::default(),
            bank: super::BankChoices::default(),
        }
    }
}
