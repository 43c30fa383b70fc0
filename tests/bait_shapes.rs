//! Pellets, balls and discs by the same law: what else is known of them must lie in their bands.
//!
//! Sources, from memory (textbook values, Clift, Grace and Weber 1978, Bubbles, Drops and Particles): a thin disc falling
//! flat has a drag coefficient of 1.1 to 1.3 on its face at Re 100 to 5000; a cylinder of one to three diameters
//! falling across its axis 0.6 to 0.9 on its side view. Sphericity of a cylinder as long as wide 0.874 (Wadell's
//! definition). The laws for any shape were fitted to bodies of about the same length each way, so a disc is their
//! edge: its band is checked here and its middle is not.

use dotdown::bait::sink::{Matter, Shape, Sink, SinkRequest, TINS, sink};

fn drop(shape: Shape, excess: f64) -> Sink {
    let water = dotdown::physics::water::density_kg_per_m3(15.0);
    let matter = Matter::Density { kg_per_m3: water + excess, sd_kg_per_m3: 0.0 };
    sink(&SinkRequest { matter, shape, water_temperature_c: 15.0, depths_m: vec![1.0] }).unwrap()
}

/// Speed at which `cd` on the area `area_mm2` carries the weight under water of `volume_mm3`.
fn speed(excess: f64, volume_mm3: f64, area_mm2: f64, cd: f64) -> f64 {
    (2.0 * excess * 9.80665 * volume_mm3 * 1e-3 / (cd * 999.1 * area_mm2)).sqrt()
}

#[test]
fn sphericities() {
    let cylinder = Shape::Cylinder { diameter_mm: 8.0, length_mm: 8.0 };
    assert!((cylinder.sphericity() - 0.8736).abs() < 1e-4);
    assert!((Shape::Sphere { diameter_mm: 8.0 }.sphericity() - 1.0).abs() < 1e-12);
    // A disc and a cylinder of the same sizes are the same body.
    let disc = Shape::Disc { diameter_mm: 8.0, thickness_mm: 4.0 };
    let short = Shape::Cylinder { diameter_mm: 8.0, length_mm: 4.0 };
    assert!(
        (disc.sphericity() - short.sphericity()).abs() < 1e-15 && disc.sphericity() < cylinder.sphericity()
    );
    // The most the room allows stays in the laws' range.
    for shape in [
        Shape::Disc { diameter_mm: 10.0, thickness_mm: 1.8 },
        Shape::Cylinder { diameter_mm: 10.0, length_mm: 30.0 },
    ] {
        shape.check().unwrap();
        assert!((0.6..0.9).contains(&shape.sphericity()), "{}", shape.sphericity());
    }
}

#[test]
fn a_disc_falling_flat_is_in_the_band() {
    for (d, t) in [(8.0, 2.0), (10.0, 2.0), (10.0, 4.0), (12.0, 3.0)] {
        for excess in [15.0, 35.0, 60.0] {
            let shape = Shape::Disc { diameter_mm: d, thickness_mm: t };
            let band = drop(shape, excess).speed_m_per_s;
            for cd in [1.1, 1.3] {
                let v = speed(excess, shape.volume_mm3(), core::f64::consts::PI / 4.0 * d * d, cd);
                println!(
                    "disc {d} x {t}, {excess}: {:.4} in {:.4} to {:.4} to {:.4}",
                    v, band.low, band.mid, band.high
                );
                assert!(band.low <= v && v <= band.high);
            }
        }
    }
}

#[test]
fn a_pellet_falling_across_is_in_the_band() {
    for (d, l) in [(6.0, 6.0), (6.0, 9.0), (8.0, 16.0)] {
        for excess in [50.0, 150.0, 250.0] {
            let shape = Shape::Cylinder { diameter_mm: d, length_mm: l };
            let band = drop(shape, excess).speed_m_per_s;
            for cd in [0.6, 0.9] {
                let v = speed(excess, shape.volume_mm3(), d * l, cd);
                println!(
                    "pellet {d} x {l}, {excess}: {:.4} in {:.4} to {:.4} to {:.4}",
                    v, band.low, band.mid, band.high
                );
                assert!(band.low <= v && v <= band.high);
            }
        }
    }
}

#[test]
fn a_ball_falls_faster_than_a_cube_of_its_weight_and_with_a_narrower_band() {
    let cube = Shape::Cube { edge_mm: 8.0 };
    let ball = Shape::Sphere { diameter_mm: cube.equivalent_diameter_mm() };
    assert!((cube.volume_mm3() - ball.volume_mm3()).abs() < 1e-9);
    let (cube, ball) = (drop(cube, 35.0).speed_m_per_s, drop(ball, 35.0).speed_m_per_s);
    assert!(ball.mid > cube.mid);
    assert!((ball.high / ball.low).ln() < 0.3 * (cube.high / cube.low).ln());
}

#[test]
fn every_default_tin_sinks_at_every_size() {
    for tin in TINS {
        for edge_mm in [4.0, 6.0, 8.0, 10.0] {
            let matter = Matter::Label { label: tin.label, air_share: 0.0 };
            let shape = Shape::Cube { edge_mm };
            let fall =
                sink(&SinkRequest { matter, shape, water_temperature_c: 10.0, depths_m: vec![] }).unwrap();
            assert!(
                fall.speed_m_per_s.low > 0.02 && fall.speed_m_per_s.high < 0.15,
                "{} {edge_mm}",
                tin.name
            );
        }
    }
}
