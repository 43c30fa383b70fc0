//! Golden work of the four rooms, prepared once and then run as often as asked: see `Cargo.toml`.

use dotdown::bait::material::{Matter, TINS};
use dotdown::bait::shape::Shape;
use dotdown::bait::sink::{SinkRequest, sink};
use dotdown::bait::tub_test::{Drop, Target, TubTest, tub_test};
use dotdown::rig::balance::{BalanceRequest, BoxedShot, DottedWith, Float, Resting, ShotPreference, balance};
use dotdown::rig::fall::{FallSettings, Rig, Simulator};
use dotdown::session::{Event, EventKind, Log, RigSetup, Session, SessionSetup};
use dotdown::units::TenthMg;
use std::cell::OnceCell;
use std::hint::black_box;
#[cfg(target_arch = "wasm32")]
use wasm_bindgen::prelude::*;

/// What there is to do, by number.
pub const WORK: [&str; 5] = [
    "bait: a sink and a tub test of ten drops",
    "balance: 15 sizes, a float of 5 g",
    "fall as shown: deck rig, bulk",
    "fall as searched: deck rig, bulk",
    "bank: six hours replayed",
];

struct Golden {
    sink: SinkRequest,
    tub: TubTest,
    balance: BalanceRequest,
    rig: Rig,
    setup: SessionSetup,
    log: Log,
}

fn prepare() -> Golden {
    let matter = || Matter::Label { label: TINS[0].label, air_share: 0.0, block: None, tests: None };
    let shape = Shape::Cube { edge_mm: 6.0 };
    let depths_m = vec![0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.5];
    let target = |edge_mm| Target {
        shape: Shape::Cube { edge_mm },
        water_temperature_c: 14.0,
        depths_m: depths_m.clone(),
    };
    let sizes = [150, 200, 260, 340, 480, 600, 830, 1050, 1300, 1700, 2000, 2800, 4000, 6000, 8000];
    let golden: serde_json::Value =
        serde_json::from_str(include_str!("../../../data/rig_fall/g1_deck_bulk_90.json")).expect("golden");
    let start_ms = 1_900_000_000_000.0;
    let rigs = [0.35, 0.47, 0.60, 2.10].map(|depth_m: f64| RigSetup {
        name: String::new(),
        depth_m,
        line: 0,
        on_bottom: depth_m > 2.0,
        sample_dt_s: 0.25,
        hook_z_m: (0..(depth_m / 0.025) as usize).map(|at| 0.025 * at as f64).collect(),
    });
    let setup = SessionSetup::new(rigs.to_vec(), 2.15, start_ms);
    let mut events = Vec::new();
    for (kind, count) in
        [(EventKind::Fed, 1500), (EventKind::Cast, 1100), (EventKind::Bite, 300), (EventKind::PickUpRig, 11)]
    {
        for at in 0..count {
            let event = Event::new(start_ms + 21_600_000.0 * (f64::from(at) + 0.37) / f64::from(count), kind);
            events.push(if kind == EventKind::PickUpRig { event.with_rig(at % 4) } else { event });
        }
    }
    events.sort_by(|a, b| a.at_ms.total_cmp(&b.at_ms));
    let mut log = Log::default();
    for event in events {
        log.push(event, 0.0).expect("in order");
    }
    Golden {
        sink: SinkRequest { matter: matter(), shape, water_temperature_c: 14.0, depths_m: depths_m.clone() },
        tub: TubTest {
            matter: matter(),
            shape,
            tub_depth_m: 0.3,
            tub_depth_sd_m: 0.003,
            tub_temperature_c: 18.0,
            drops: (0..10).map(|i| Drop { dropped_s: 0.0, landed_s: 5.2 + 0.1 * f64::from(i % 7) }).collect(),
            pieces: 40,
            light: 1,
            targets: [4.0, 6.0, 8.0, 10.0].map(target).to_vec(),
        },
        balance: BalanceRequest {
            float: Float {
                load_tenth_mg: TenthMg(50_000),
                tip_diameter_mm: 1.2,
                tip_length_mm: 25.0,
                own_mass_tenth_mg: None,
                contact_deg: None,
            },
            temperature_c: 15.0,
            shot_box: sizes
                .iter()
                .map(|&mass| BoxedShot {
                    name: String::new(),
                    mass_tenth_mg: TenthMg(mass),
                    density_kg_per_m3: if mass > 600 { 7310.0 } else { 11350.0 },
                    fixed: 0,
                    count: 60,
                })
                .collect(),
            wanted_tip_mm: 4.0,
            max_sizes: 3,
            max_shots: 30,
            hook: None,
            bait: None,
            line: Vec::new(),
            resting: Resting::default(),
            wanted_state: DottedWith::default(),
            taste: ShotPreference::default(),
            close_enough_mm: 1.0,
        },
        rig: serde_json::from_value(golden["rig"].clone()).expect("a rig"),
        setup,
        log,
    }
}

thread_local! {
    static GOLDEN: OnceCell<Golden> = const { OnceCell::new() };
}

/// Does a piece of work so many times; gives back a figure of the last, to be the same everywhere.
#[cfg_attr(target_arch = "wasm32", wasm_bindgen)]
#[must_use]
pub fn golden(work: usize, rounds: u32) -> f64 {
    GOLDEN.with(|cell| {
        let golden = cell.get_or_init(prepare);
        let mut figure = 0.0;
        for _ in 0..rounds {
            figure = once(black_box(golden), work);
        }
        figure
    })
}

fn once(golden: &Golden, work: usize) -> f64 {
    match work {
        0 => {
            let sunk = sink(&golden.sink).expect("a sink");
            let tested = tub_test(&golden.tub).expect("a tub test");
            sunk.speed_m_per_s.mid + tested.targets.len() as f64
        }
        1 => balance(&golden.balance).expect("a balance").sets[0].off_mm,
        2 | 3 => {
            let settings = if work == 2 { FallSettings::default() } else { FallSettings::searching() };
            Simulator::new().fall(&golden.rig, &settings).expect("a fall").final_depth_m
        }
        _ => {
            let session = Session::with_log(golden.setup.clone(), &golden.log).expect("a session");
            session.state(golden.setup.start_ms + 21_600_000.0).expect("a state").fish.median_m
        }
    }
}

/// What a piece of work is; empty past the last.
#[cfg_attr(target_arch = "wasm32", wasm_bindgen)]
#[must_use]
pub fn name(work: usize) -> String {
    WORK.get(work).copied().unwrap_or("").to_owned()
}
