//! What anglers say of cubes, held against the computation. Common practice, no published source.
//!
//! A washed 6 mm cube falls 18 inches in about 7.5 s; an 8 mm cube falls faster; a rig about half as deep again takes
//! about 10 s; 25 to 30 cubes of 6 mm go in every 15 s. The printed band for generic canned meat must hold the figures;
//! the middle is not tuned to them, and how far it is off is printed.

use dotdown::bait::amount::{AmountRequest, Block, Feeding, Limit, Method, amount};
use dotdown::bait::material::{Matter, TINS};
use dotdown::bait::shape::Shape;
use dotdown::bait::sink::{Sink, SinkRequest, sink};
use dotdown::page::sheet::Sheet;
use dotdown::page::{Page, Screen};
use dotdown::physics::water;
use dotdown::results::requests::label;
use dotdown::view::screen;

fn canned(edge_mm: f64, depth_m: f64) -> Sink {
    sink(&SinkRequest {
        matter: Matter::Label { label: TINS[0].label, air_share: 0.0 },
        shape: Shape::Cube { edge_mm },
        water_temperature_c: 15.0,
        depths_m: vec![depth_m],
    })
    .unwrap()
}

#[test]
fn six_millimetres_over_18_inches_takes_seven_and_a_half_seconds() {
    let fall = canned(6.0, 18.0 * 0.0254);
    let time = fall.falls[0];
    let (low, mid, high) = (time.low_s.unwrap(), time.mid_s.unwrap(), time.high_s.unwrap());
    println!(
        "7.5 s said; {low:.2} to {high:.2} s printed, {mid:.2} s in the middle ({:+.0} %)",
        100.0 * (mid / 7.5 - 1.0)
    );
    assert!(low < 7.5 && 7.5 < high);
    let speed = fall.speed_m_per_s;
    println!(
        "6.1 cm/s said; {:.2} to {:.2} cm/s printed, {:.2} in the middle",
        100.0 * speed.low,
        100.0 * speed.high,
        100.0 * speed.mid
    );
    assert!(speed.low < 0.061 && 0.061 < speed.high);
}

#[test]
fn half_as_deep_again_takes_ten_seconds() {
    let time = canned(6.0, 27.0 * 0.0254).falls[0];
    assert!(time.low_s.unwrap() < 10.0 && 10.0 < time.high_s.unwrap(), "{time:?}");
}

#[test]
fn eight_millimetres_falls_faster_than_six() {
    let (six, eight) = (canned(6.0, 1.0), canned(8.0, 1.0));
    assert!(eight.speed_m_per_s.mid > six.speed_m_per_s.mid);
    assert!(eight.falls[0].mid_s < six.falls[0].mid_s);
}

#[test]
fn an_hour_at_25_to_30_cubes_every_15_seconds() {
    let request = |cubes_per_feed| AmountRequest {
        phases: vec![Feeding {
            line: "long pole".to_owned(),
            method: Method::Hand,
            start_min: 0.0,
            minutes: 60.0,
            cubes_per_feed,
            seconds_between: 15.0,
        }],
        edge_mm: 6.0,
        cube_mass_g: canned(6.0, 1.0).mass_g,
        block: Block { length_mm: 90.0, width_mm: 55.0, height_mm: 39.0, net_g: 200.0 },
        pitch_mm: 6.0,
        hook_baits: 0,
        reserve_share: 0.0,
        limit: Some(Limit::Tins { tins: 6.0 }),
        bag_g: 150.0,
        tins_in_hand: Some(6),
    };
    // 240 feeds of 0.223 g cubes: 1.3 to 1.6 kg an hour, seven to nine 200 g tins.
    let (few, many) = (amount(&request(25)).unwrap(), amount(&request(30)).unwrap());
    assert_eq!((few.phases[0].feeds, few.feed_cubes, many.feed_cubes), (240, 6000, 7200));
    assert!(
        (few.total_g - 1339.0).abs() < 2.0 && (many.total_g - 1607.0).abs() < 2.0,
        "{} {}",
        few.total_g,
        many.total_g
    );
    // 15 x 9 x 6 = 810 cubes out of a block.
    assert_eq!((few.cubes_per_tin, few.tins, many.tins), (810, 8, 9));
    assert!(few.limit_share.unwrap() > 1.2);
    // Six tins are 4860 cubes, 194 feeds of 25; the 195th falls 194 x 15 s = 48.5 min in.
    assert!((few.lasts.runs_out_min.unwrap() - 48.5).abs() < 1e-3, "{:?}", few.lasts);
    assert_eq!(few.lasts.left_cubes, 10);
    for a in [few, many] {
        println!(
            "{} cubes, {:.0} g, {} tins, six tins last {:.1} min",
            a.total_cubes,
            a.total_g,
            a.tins,
            a.lasts.runs_out_min.unwrap()
        );
    }
}

#[test]
fn the_air_that_floats_a_tin_is_told_for_that_tin() {
    let mut told = Vec::new();
    for tin in TINS {
        for air in ["0", "2"] {
            let mut page = Page::new();
            (page.screen, page.sheet) = (Screen::Bait, Some(Sheet::Label));
            page.act(&format!("tin:{}", tin.ndb));
            page.type_in("bait.air", air);
            let meat = label(&page.plan).composition().unwrap().density_kg_per_m3(page.results.water_c);
            let floats_at = 100.0 * (1.0 - water::density_kg_per_m3(page.results.water_c) / meat);
            let words = format!("<dt>floats with air of</dt><dd>{floats_at:.1} % of its volume</dd>");
            let text = screen(&page);
            assert!(text.contains(&words), "{}: {words}", tin.ndb);
            assert!(!text.contains("3 % would make it float"), "that holds for one tin only");
            told.push(floats_at);
        }
    }
    let (least, most) = told.iter().fold((99.0_f64, 0.0_f64), |(a, b), &x| (a.min(x), b.max(x)));
    assert!(least < 3.5 && most > 5.0, "{least} to {most} %");
    // Bait of a density of its own has no label to tell it from.
    let mut page = Page::new();
    page.screen = Screen::Bait;
    page.type_in("other.density", "1100");
    assert!(!screen(&page).contains("floats with air of"));
}
