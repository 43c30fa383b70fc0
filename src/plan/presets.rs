//! Worked days in a scenario of our own: three waters that exist nowhere but here.
//!
//! Hook masses and float loads are the trade's usual round figures: common practice, no published source, ± 10 %. The
//! user replaces them, as those of the shot ([`crate::trade::shot`]), with what a pocket scale and a glass of water say. The tin is the typical
//! one of [`crate::bait::material::TINS`], no single entry of a table.

use super::{
    Bait, BaitMore, BankChoices, BoxShot, Date, DayTimes, DottedWith, Dropper, Feeding, Group, KitCount,
    KitItem, Lead, Method, Pattern, Plan, PoleLine, Prep, Purpose, Rig, RigMore, Rules, ShotPreference, Sky,
    Start, Tin, Trend, VERSION, Water, Weather, Wind,
};
use crate::trade::shot::{TIN_KG_PER_M3, nominal_mass, usual_kg_per_m3};
use crate::units::TenthMg;

/// A named worked day.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Preset {
    /// A short name that does not change.
    pub id: &'static str,
    /// What it is called on the page.
    pub title: &'static str,
    /// The plan.
    pub plan: Plan,
}

/// The worked days, the first of which a new user sees.
#[must_use]
pub fn presets() -> Vec<Preset> {
    vec![
        Preset { id: "summer", title: "Deep summer lake, long pole", plan: summer() },
        Preset { id: "pond", title: "Shallow pond, short line", plan: pond() },
        Preset { id: "cold", title: "Cold overcast day, bottom", plan: cold() },
    ]
}

/// A length of whole inches, tenths of a millimetre.
const fn inches(n: i32) -> i32 {
    n * crate::units::INCH_TENTH_MM
}

/// The sizes in the box, and how many it holds of each.
const BOX: &[(&str, i32)] = &[
    ("No. 13", 40),
    ("No. 12", 60),
    ("No. 11", 60),
    ("No. 10", 80),
    ("No. 9", 60),
    ("No. 8", 60),
    ("No. 6", 30),
    ("No. 4", 30),
    ("No. 1", 20),
    ("BB", 20),
    ("AAA", 10),
];

fn shot_box(kg_per_m3: fn(&str, TenthMg) -> i32) -> Vec<BoxShot> {
    let boxed = |&(name, count): &(&str, i32)| {
        let mass = nominal_mass(name)?;
        Some(BoxShot {
            name: name.to_owned(),
            mass_tenth_mg: i32::try_from(mass.0).ok()?,
            density_kg_per_m3: kg_per_m3(name, mass),
            count,
            weighed: false,
        })
    };
    BOX.iter().filter_map(boxed).collect()
}

/// Place of No. 12 and No. 10 in the box.
const NO_12: i32 = 1;
const NO_10: i32 = 3;

fn tin() -> Tin {
    Tin {
        name: "Typical luncheon meat".to_owned(),
        fat_tenth_g: 235,
        protein_tenth_g: 135,
        carbohydrate_tenth_g: 30,
        fibre_tenth_g: None,
        salt_tenth_g: 23,
        energy_kcal: None,
        net_g: 340,
        length_tenth_mm: 950,
        width_tenth_mm: 520,
        height_tenth_mm: 680,
        corner_tenth_mm: 100,
        size_off_tenth_mm: None,
    }
}

fn bait() -> Bait {
    Bait {
        edge_tenth_mm: 60,
        hook_edge_tenth_mm: None,
        air_tenth_percent: 0,
        washed: true,
        blade_tenth_mm: 2,
        hook_baits: 150,
        bag_g: 300,
        reserve_tenth_percent: 100,
        tins_in_hand: 0,
    }
}

/// A venue of which nothing is known.
fn no_rules() -> Rules {
    Rules {
        tins: None,
        hook: None,
        barbless: false,
        lead: Lead::AsTheLaw,
        hooklength_tenth_mm: None,
        net_g: None,
        nets: None,
    }
}

fn prep() -> Prep {
    Prep {
        buy_min: 40,
        cut_min: 12,
        wash_min: 20,
        drain_min: 60,
        bag_min: 15,
        // The slow side of what the cold room says of a bag 20 mm thick: in the freezer by bedtime, out at getting up.
        freeze_min: 570,
        thaw_min: 255,
        pack_min: 20,
    }
}

/// A shallow rig: a strung or low bulk, bait hanging.
fn shallow(name: &str, line: i32, depth_in: i32, load: i32) -> Rig {
    Rig {
        name: name.to_owned(),
        purpose: Purpose::Shallow,
        line,
        depth_tenth_mm: inches(depth_in),
        float_name: "Dibber".to_owned(),
        load_tenth_mg: load,
        load_measured: false,
        tip_um: 2000,
        tip_length_tenth_mm: 120,
        show_tenth_mm: 20,
        dotted: DottedWith::Hanging,
        main_um: 160,
        main_strength_g: 2300,
        hooklength_tenth_mm: inches(4),
        hooklength_um: 140,
        hooklength_strength_g: 1800,
        hook_size: 16,
        hook_tenth_mg: 150,
        pattern: Pattern::Bulk,
        bulk_from_hook_tenth_mm: inches(5),
        droppers: Vec::new(),
        most_sizes: 2,
        most_shots: 12,
        taste: ShotPreference::ManySmall,
        set: Vec::new(),
        more: RigMore::default(),
    }
}

/// A bottom rig: bulk and two droppers, bait on the bottom.
fn bottom(name: &str, line: i32, depth_tenth_mm: i32, load: i32) -> Rig {
    Rig {
        purpose: Purpose::Bottom,
        depth_tenth_mm,
        float_name: "Slim 4×14".to_owned(),
        tip_um: 1200,
        tip_length_tenth_mm: 250,
        show_tenth_mm: 40,
        dotted: DottedWith::OnBottom,
        hooklength_tenth_mm: inches(6),
        pattern: Pattern::BulkAndDroppers,
        bulk_from_hook_tenth_mm: inches(24),
        droppers: vec![
            Dropper { from_hook_tenth_mm: inches(12), shot: NO_10, count: 1 },
            Dropper { from_hook_tenth_mm: inches(6) + 100, shot: NO_10, count: 1 },
        ],
        most_sizes: 2,
        most_shots: 16,
        ..shallow(name, line, 12, load)
    }
}

/// A margin rig: short, on the bottom of the margin.
fn margin(name: &str, line: i32, depth_tenth_mm: i32, load: i32) -> Rig {
    Rig {
        hooklength_tenth_mm: inches(4),
        pattern: Pattern::Bulk,
        bulk_from_hook_tenth_mm: inches(8),
        droppers: Vec::new(),
        ..bottom(name, line, depth_tenth_mm, load)
    }
}

fn feed(line: i32, method: Method, start_min: i32, minutes: i32, cubes: i32, every_s: i32) -> Feeding {
    Feeding { line, method, start_min, minutes, cubes, every_s }
}

fn own(group: Group, name: &str, count: i32) -> KitItem {
    KitItem { group, name: name.to_owned(), count }
}

fn summer() -> Plan {
    Plan {
        version: VERSION,
        name: "Example: Withybank Lake".to_owned(),
        day: DayTimes {
            date: Date(20_645), // Saturday 11 July 2026
            draw_min: 8 * 60 + 45,
            all_in_min: 10 * 60,
            all_out_min: 15 * 60,
            travel_min: 70,
            setup_min: 70,
        },
        water: Water {
            venue: "Withybank Lake".to_owned(),
            peg: "14".to_owned(),
            depth_tenth_mm: inches(84),
            surface_tenth_c: 210,
            bottom_tenth_c: Some(190),
            drift_mm_per_s: 30,
            undertow_mm_per_s: 10,
        },
        weather: Weather {
            sky: Sky::Bright,
            wind: Wind::Light,
            pressure_hpa: 1022,
            trend: Trend::Steady,
            start: Start::ByThePoints,
        },
        rules: Rules { tins: Some(6), hook: Some(10), barbless: true, lead: Lead::AsTheLaw, ..no_rules() },
        lines: vec![
            PoleLine { name: "Long pole".to_owned(), distance_tenth_mm: 130_000, depth_tenth_mm: inches(84) },
            PoleLine { name: "Margin".to_owned(), distance_tenth_mm: 50_000, depth_tenth_mm: inches(30) },
        ],
        tin: tin(),
        bait: bait(),
        feed: vec![
            feed(0, Method::Catapult, 0, 20, 28, 20),
            feed(0, Method::Catapult, 20, 220, 18, 60),
            feed(1, Method::Hand, 240, 60, 25, 120),
        ],
        rigs: vec![
            shallow("A", 0, 14, 1200),
            shallow("B", 0, 18, 1400),
            shallow("C", 0, 24, 1600),
            bottom("D", 0, inches(84), 4000),
            margin("M", 1, inches(30), 2000),
        ],
        shot_box: shot_box(usual_kg_per_m3),
        prep: prep(),
        kit: vec![own(Group::Person, "Spare reading glasses", 1)],
        kit_counts: vec![KitCount { id: "umbrella".to_owned(), count: 1 }],
        note: String::new(),
        bait_more: BaitMore::default(),
        bank: BankChoices::default(),
    }
}

fn pond() -> Plan {
    let mut b = shallow("B", 0, 18, 1000);
    b.pattern = Pattern::Strung;
    let mut c = bottom("C", 0, inches(38), 2000);
    "Slim 4×10".clone_into(&mut c.float_name);
    c.bulk_from_hook_tenth_mm = inches(16);
    c.droppers = vec![Dropper { from_hook_tenth_mm: inches(8), shot: NO_12, count: 1 }];
    Plan {
        name: "Example: Sallow Pond".to_owned(),
        day: DayTimes {
            date: Date(20_601), // Thursday 28 May 2026
            draw_min: 16 * 60 + 45,
            all_in_min: 17 * 60 + 30,
            all_out_min: 20 * 60 + 30,
            travel_min: 25,
            setup_min: 40,
        },
        water: Water {
            venue: "Sallow Pond".to_owned(),
            peg: "3".to_owned(),
            depth_tenth_mm: inches(38),
            surface_tenth_c: 180,
            bottom_tenth_c: None,
            drift_mm_per_s: 0,
            undertow_mm_per_s: 0,
        },
        weather: Weather {
            sky: Sky::Mixed,
            wind: Wind::Still,
            pressure_hpa: 1017,
            trend: Trend::Rising,
            start: Start::ByThePoints,
        },
        rules: Rules { tins: Some(3), hook: None, barbless: true, lead: Lead::None, ..no_rules() },
        lines: vec![PoleLine {
            name: "Short line".to_owned(),
            distance_tenth_mm: 50_000,
            depth_tenth_mm: inches(38),
        }],
        feed: vec![feed(0, Method::Hand, 0, 30, 12, 30), feed(0, Method::Hand, 30, 150, 10, 60)],
        rigs: vec![shallow("A", 0, 12, 1000), b, c],
        shot_box: shot_box(|_, _| TIN_KG_PER_M3),
        prep: Prep { freeze_min: 0, thaw_min: 0, ..prep() },
        kit: vec![own(Group::Person, "Head torch", 1)],
        ..summer()
    }
}

fn cold() -> Plan {
    let mut a = bottom("A", 0, inches(72), 4000);
    a.hooklength_um = 120;
    a.hooklength_strength_g = 1400;
    a.hook_size = 18;
    a.hook_tenth_mg = 100;
    let mut b = bottom("B", 1, inches(54), 3000);
    "Slim 4×12".clone_into(&mut b.float_name);
    b.bulk_from_hook_tenth_mm = inches(20);
    Plan {
        name: "Example: Greyreed Water".to_owned(),
        day: DayTimes {
            date: Date(20_784), // Friday 27 November 2026
            draw_min: 8 * 60 + 30,
            all_in_min: 9 * 60 + 45,
            all_out_min: 14 * 60 + 30,
            travel_min: 45,
            setup_min: 60,
        },
        water: Water {
            venue: "Greyreed Water".to_owned(),
            peg: "27".to_owned(),
            depth_tenth_mm: inches(72),
            surface_tenth_c: 70,
            bottom_tenth_c: Some(75),
            drift_mm_per_s: 100,
            undertow_mm_per_s: 30,
        },
        weather: Weather {
            sky: Sky::Overcast,
            wind: Wind::Fresh,
            pressure_hpa: 1003,
            trend: Trend::Falling,
            start: Start::ByThePoints,
        },
        rules: Rules { tins: None, hook: Some(12), barbless: true, lead: Lead::AsTheLaw, ..no_rules() },
        lines: vec![
            PoleLine { name: "Long pole".to_owned(), distance_tenth_mm: 110_000, depth_tenth_mm: inches(72) },
            PoleLine { name: "Shelf".to_owned(), distance_tenth_mm: 60_000, depth_tenth_mm: inches(54) },
        ],
        feed: vec![feed(0, Method::PoleCup, 0, 180, 30, 900), feed(1, Method::Hand, 180, 105, 6, 240)],
        rigs: vec![a, b, shallow("C", 0, 24, 1600)],
        shot_box: shot_box(usual_kg_per_m3),
        prep: Prep { freeze_min: 0, thaw_min: 0, ..prep() },
        kit: vec![own(Group::Person, "Flask of something hot", 1)],
        ..summer()
    }
}

/// The worked day that a new user sees.
#[must_use]
pub fn first() -> Plan {
    summer()
}
