//! The table “what the page claims, source, our figure, tolerance”, made by the tests that hold the figures themselves.
//!
//! The module's name is the last of all, so that its table stands at the end of the run. It calls the tests that note
//! their figures ([`crate::common::claim`]), prints every figure, and holds the README's trust table, whose last column
//! counts them, against it; `DOTDOWN_WRITE=1` writes that column anew.

use crate::common::claim::{Claim, claims};
use crate::{
    bait_cold, bait_float, bait_trade, drag_tables, food_choi_okos, rig_fall_golden, rubber_treloar,
    water_iapws,
};
use std::fmt::Write as _;
use std::io::Write as _;

const README: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");

fn collected() -> Vec<Claim> {
    water_iapws::density_is_that_of_iapws_95();
    water_iapws::viscosity_is_that_of_iapws_2008();
    water_iapws::surface_tension_is_that_of_the_release();
    water_iapws::the_surface_pulls_a_tip_as_wilhelmys_rule_says();
    food_choi_okos::components_are_coolprops();
    food_choi_okos::canned_meat_has_the_tabled_density_and_freezing_point();
    food_choi_okos::the_typical_tin_is_what_it_is_said_to_be();
    drag_tables::cube_coefficients();
    drag_tables::steady_speeds_of_cubes();
    drag_tables::the_measured_cube_fell_as_fast_as_the_band_reaches();
    bait_trade::six_millimetres_over_18_inches_takes_seven_and_a_half_seconds();
    bait_float::carried_shares();
    bait_cold::published_examples();
    bait_cold::the_slab_freezes_as_planks_limit_and_as_the_separate_programs();
    rig_fall_golden::converged_within_three_in_a_thousand();
    rubber_treloar::errors_are_as_stated();
    rubber_treloar::ogden_gives_its_published_values();
    rubber_treloar::latex_tube_is_no_stiffer_than_the_band();
    claims()
}

/// What the last cell of an area's row says.
fn cell(of_area: &[&Claim]) -> String {
    let share = |claim: &&&Claim| (claim.ours - claim.theirs).abs() / claim.allowed;
    let Some(worst) = of_area.iter().max_by(|a, b| share(a).total_cmp(&share(b))) else {
        return String::new();
    };
    let mut sources: Vec<&str> = of_area.iter().map(|claim| claim.source).collect();
    sources.dedup();
    let (count, all) = (of_area.len(), sources.join("; "));
    format!(
        "{count} figures ({all}); the worst, {}, at {:.0} % of what it may be off",
        worst.what,
        100.0 * share(&worst)
    )
}

#[test]
fn every_figure_with_its_source() {
    let all = collected();
    let mut table = format!("\nWhat the page claims: {} figures, each held against its source\n", all.len());
    let (what, source) = ("what", "source");
    let _ = writeln!(table, "{what:<62} {source:<42} {:>12} {:>12} {:>10}", "theirs", "ours", "allowed");
    for Claim { what, source, ours, theirs, allowed, .. } in &all {
        let _ = writeln!(table, "{what:<62} {source:<42} {theirs:>12.6} {ours:>12.6} {allowed:>10.1e}");
    }
    // Past what a test run captures, so that it is read whether or not it is asked for.
    let _ = std::io::stdout().write_all(table.as_bytes());
    assert!(all.len() >= 60, "{}", all.len());

    let held = std::fs::read_to_string(README).unwrap();
    let mut told = Vec::new();
    let mut now = String::new();
    for line in held.lines() {
        let cells: Vec<&str> = line.split(" | ").collect();
        let area = cells[0].trim_start_matches("| ");
        let of_area: Vec<&Claim> = all.iter().filter(|claim| claim.area == area).collect();
        if cells.len() == 4 && !of_area.is_empty() {
            told.push(area);
            let _ = writeln!(now, "{} | {} |", cells[..3].join(" | "), cell(&of_area));
        } else {
            now.push_str(line);
            now.push('\n');
        }
    }
    for claim in &all {
        assert!(told.contains(&claim.area), "{} has no row in the README", claim.area);
    }
    if now != held && std::env::var_os("DOTDOWN_WRITE").is_some() {
        std::fs::write(README, &now).unwrap();
    }
    assert!(now == held, "the README's trust table is older than the tests: DOTDOWN_WRITE=1 writes it anew");
}
