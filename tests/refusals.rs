//! Every refusal of the crate as a table, `refusals.txt`: one line each, with the room, what was handed in, the code, the
//! field and the sentence. Each comes from bad input by a public function, none is made by hand.
//!
//! No outside source: it is what the code says today, so that no code, field or word changes unseen. The file is
//! written anew by `DOTDOWN_WRITE=1 cargo test --test main refusals`, which fails, so that it cannot pass for a check.
//!
//! Every kind of refusal is reached, but not every one that a room passes on from another. Nothing that can be handed in
//! brings these about: too many depths of frozen cubes (none are asked for); droppers that are too few or leave no bulk on
//! a sheet (its layout is finished); lowering too fast in a finder (it takes no lowered rig); a row or a file in a session
//! (it reads none); typed text in a link (it holds numbers). Nor can a whole number be no number: the calendar,
//! the timetable and the layouts take nothing else. Left out: a finder's fall that does not converge, since with the usual
//! settings it hangs on the last digits of the arithmetic where one stops.

use dotdown::plan::Plan;
use dotdown::refusal::Refusal;
use serde::{Serialize, de::DeserializeOwned};
use serde_json::{Value as Json, from_str, from_value, json, to_value};
use std::fs;

/// Code, field and sentence of a refusal; nothing when what came was taken.
fn said<T>(came: Result<T, impl Into<Refusal>>) -> Option<String> {
    let refused: Refusal = came.err()?.into();
    Some(format!("{} | {} | {refused}", refused.code(), refused.field()))
}

/// The lines so far.
#[derive(Default)]
struct Table(Vec<String>);

impl Table {
    fn line(&mut self, room: &str, what: &str, said: Option<String>) {
        let said = said.unwrap_or_else(|| panic!("{room} takes {what}"));
        self.0.push(format!("{room} | {what} | {said}"));
    }

    /// What a good request (as JSON) comes to when it is spoiled, a line for each row. Rows end in `;`; a row is a path and
    /// a value, or more of them with `&` between. `x41` stands for the list's first entry 41 times.
    fn rows<T: Serialize + DeserializeOwned>(
        &mut self,
        room: &str,
        good: &T,
        ask: impl Fn(&T) -> Option<String>,
        rows: &str,
    ) {
        let good = to_value(good).expect("plain data");
        for row in rows.split(';').map(str::trim).filter(|row| !row.is_empty()) {
            let mut bad = good.clone();
            for change in row.split(" & ") {
                let (path, value) = change.split_once(' ').expect("a path and a value");
                let slot = path.split('.').fold(&mut bad, |at, part| match part.parse::<usize>() {
                    Ok(place) => &mut at[place],
                    Err(_) => &mut at[part],
                });
                *slot = match value.strip_prefix('x').and_then(|times| times.parse().ok()) {
                    Some(times) => vec![slot[0].clone(); times].into(),
                    None => from_str(value).unwrap_or_else(|e| panic!("{row}: {e}")),
                };
            }
            self.line(room, row, ask(&from_value(bad).unwrap_or_else(|e| panic!("{row}: {e}"))));
        }
    }

    /// The same for what JSON cannot say.
    fn spoiled<T: Clone>(
        &mut self,
        room: &str,
        good: &T,
        ask: impl Fn(&T) -> Option<String>,
        what: &str,
        change: fn(&mut T),
    ) {
        let mut bad = good.clone();
        change(&mut bad);
        self.line(room, what, ask(&bad));
    }
}

/// A good request from its parts.
fn good<T: DeserializeOwned>(parts: Json) -> T {
    from_value(parts).expect("a good request")
}

fn label() -> Json {
    json!({"fat_g": 30.3, "protein_g": 12.5, "carbohydrate_g": 2.1, "salt_g": 3.2, "fibre_g": 0, "ash_g": 3.6})
}

fn amounts(table: &mut Table) {
    use dotdown::bait::amount::{AmountRequest, amount};
    let day: AmountRequest = good(json!({
        "phases": [{"line": "long", "method": "catapult", "start_min": 0, "minutes": 60, "cubes_per_feed": 20,
                    "seconds_between": 30}],
        "edge_mm": 6, "cube_mass_g": 0.2232, "pitch_mm": 6.4, "hook_baits": 50, "reserve_share": 0.1, "bag_g": 150,
        "block": {"length_mm": 90, "width_mm": 55, "height_mm": 39, "net_g": 200},
        "limit": {"kind": "grams", "grams": 2000}, "tins_in_hand": null,
    }));
    let ask = |day: &AmountRequest| said(amount(day));
    table.spoiled("amount", &day, ask, "edge_mm not a number", |day| day.edge_mm = f64::NAN);
    table.rows(
        "amount",
        &day,
        ask,
        r#"edge_mm 1; edge_mm 31; phases.0.start_min 1441; phases.0.minutes 1441; phases.0.cubes_per_feed 2001;
        phases.0.seconds_between 86401; cube_mass_g 101; block.length_mm 301; block.width_mm 301; block.height_mm 301;
        block.net_g 5001; pitch_mm 12; hook_baits 5001; reserve_share 2.1; bag_g 5001; tins_in_hand 201;
        limit {"kind":"tins","tins":101}; limit.grams 50001; phases x41;
        edge_mm 28 & pitch_mm 28 & block.height_mm 25;
        phases.0.minutes 1440 & phases.0.cubes_per_feed 2000 & phases.0.seconds_between 1 & phases x40"#,
    );
}

fn sinking(table: &mut Table) {
    use dotdown::bait::sink::{SinkRequest, sink};
    let fall: SinkRequest = good(json!({
        "matter": {"kind": "label", "label": label(), "air_share": 0},
        "shape": {"kind": "cube", "edge_mm": 6}, "water_temperature_c": 15, "depths_m": [1],
    }));
    let ask = |fall: &SinkRequest| said(sink(fall));
    let mut spoil = |what, change| table.spoiled("sink", &fall, ask, what, change);
    spoil("depths_m.0 not a number", |fall| fall.depths_m[0] = f64::NAN);
    spoil("depths_m.0 endless", |fall| fall.depths_m[0] = f64::INFINITY);
    table.rows(
        "sink",
        &fall,
        ask,
        r#"depths_m.0 -1; depths_m.0 31; depths_m x41; water_temperature_c 41; shape.edge_mm 31;
        shape {"kind":"sphere","diameter_mm":31}; shape {"kind":"cylinder","diameter_mm":31,"length_mm":9};
        shape {"kind":"cylinder","diameter_mm":6,"length_mm":19}; shape {"kind":"disc","diameter_mm":31,"thickness_mm":9};
        shape {"kind":"disc","diameter_mm":6,"thickness_mm":7}; matter.air_share 0.31; matter.label.fat_g 101;
        matter.label.protein_g 101; matter.label.carbohydrate_g 101; matter.label.salt_g 101; matter.label.fibre_g 101;
        matter.label.ash_g 101; matter.label.fat_g 90; matter {"kind":"density","kg_per_m3":3001,"sd_kg_per_m3":1};
        matter {"kind":"density","kg_per_m3":1030,"sd_kg_per_m3":201};
        matter {"kind":"density","kg_per_m3":3000,"sd_kg_per_m3":0} & shape.edge_mm 30"#,
    );
}

fn tub_tests(table: &mut Table) {
    use dotdown::bait::tub_test::{TubTest, tub_test};
    let tub: TubTest = good(json!({
        "matter": {"kind": "label", "label": label(), "air_share": 0}, "shape": {"kind": "cube", "edge_mm": 6},
        "tub_depth_m": 0.3, "tub_temperature_c": 15, "drops": [{"dropped_s": 10, "landed_s": 15.5}], "pieces": 30,
        "light": 0,
        "targets": [{"shape": {"kind": "cube", "edge_mm": 6}, "water_temperature_c": 12, "depths_m": [1.5]}],
    }));
    let ask = |tub: &TubTest| said(tub_test(tub));
    let mut spoil = |what, change| table.spoiled("tub_test", &tub, ask, what, change);
    spoil("tub_depth_m not a number", |tub| tub.tub_depth_m = f64::NAN);
    spoil("drops.0.landed_s not a number", |tub| tub.drops[0].landed_s = f64::NAN);
    table.rows(
        "tub_test",
        &tub,
        ask,
        r#"tub_depth_m 0.05; tub_depth_m 2.1; tub_depth_sd_m 0.06; tub_temperature_c 41; pieces 10001; shape.edge_mm 31;
        targets.0.water_temperature_c 41; targets.0.depths_m.0 31; targets.0.shape.edge_mm 31; matter.air_share 0.31;
        matter.label.fat_g 101; matter.label.fat_g 90; targets.0.depths_m x41;
        matter {"kind":"density","kg_per_m3":3000,"sd_kg_per_m3":0} & shape.edge_mm 30;
        drops x51; targets x13; drops.0.landed_s 9; drops.0.landed_s 10.1; drops.0.landed_s 131; light 31;
        tub_depth_m 2 & shape.edge_mm 2 & drops.0.landed_s 10.5 & drops x3"#,
    );
}

fn cold_wash_and_floaters(table: &mut Table) {
    use dotdown::bait::cold::{FreezingRequest, freezing_time, frozen_curve};
    use dotdown::bait::floaters::{FloatRequest, floaters};
    use dotdown::bait::material::Label;
    use dotdown::bait::shape::Shape;
    use dotdown::bait::wash::{WashRequest, wash};
    let thaw: FreezingRequest = good(json!({
        "label": label(), "thickness_mm": 25, "start_c": -18, "medium_c": 5, "until_c": 0, "surface": "still_air",
    }));
    let ask = |thaw: &FreezingRequest| said(freezing_time(thaw));
    table.spoiled("cold", &thaw, ask, "thickness_mm not a number", |thaw| thaw.thickness_mm = f64::NAN);
    table.rows(
        "cold",
        &thaw,
        ask,
        r#"thickness_mm 4; thickness_mm 121; start_c 41; medium_c 41; until_c 41; until_c 8; label.fat_g 101; label.fat_g 90;
        label {"fat_g":100,"protein_g":0,"carbohydrate_g":0,"salt_g":0}"#,
    );
    let curve = |ash_g, air_share, edge_mm, water_c| {
        let label = Label { ash_g: Some(ash_g), ..Label::default() };
        said(frozen_curve(&label, air_share, Shape::Cube { edge_mm }, water_c))
    };
    table.line("cold", "frozen, a share of air of 0.31", curve(3.6, 0.31, 6.0, 15.0));
    table.line("cold", "frozen, an edge of 31 mm", curve(3.6, 0.0, 31.0, 15.0));
    table.line("cold", "frozen, water of 41 °C", curve(3.6, 0.0, 6.0, 41.0));
    table.line("cold", "frozen, nothing but ash", curve(100.0, 0.0, 6.0, 15.0));
    table.line("cold", "frozen, 30 mm with 60.2 g of ash", curve(60.2, 0.0, 30.0, 15.0));
    table.line("cold", "frozen, 30 mm with 99 g of ash", curve(99.0, 0.0, 30.0, 15.0));

    let rinse: WashRequest = good(json!({
        "kept_ml": 200, "added_ml": 1000, "left_share": 0.01, "water_c": 40, "hot_c": 60, "cold_c": 10,
    }));
    let ask = |rinse: &WashRequest| said(wash(rinse));
    table.spoiled("wash", &rinse, ask, "kept_ml not a number", |rinse| rinse.kept_ml = f64::NAN);
    let rows = "kept_ml 0; kept_ml 20001; added_ml 50001; left_share 0.6; water_c 91; hot_c 101; cold_c 31; kept_ml 20000";
    table.rows("wash", &rinse, ask, rows);

    let seen: FloatRequest = good(json!({
        "edge_mm": 6, "excess_kg_per_m3": 34, "water_temperature_c": 15, "pieces": 30, "floated": 5, "came_up_again": 1,
        "maybe_frozen": false,
    }));
    let ask = |seen: &FloatRequest| said(floaters(seen));
    table.spoiled("floaters", &seen, ask, "edge_mm not a number", |seen| seen.edge_mm = f64::NAN);
    let rows =
        "edge_mm 1; edge_mm 31; excess_kg_per_m3 1001; water_temperature_c 41; pieces 10001; floated 31;
        came_up_again 6";
    table.rows("floaters", &seen, ask, rows);
}

fn times_of_the_day(table: &mut Table) {
    use dotdown::bait::calendar_file::{CalendarEvent, CivilMinute, calendar};
    use dotdown::bait::timetable::{TimetableRequest, timetable};
    let at = json!({"year": 2026, "month": 6, "day": 14, "hour": 5, "minute": 30});
    let pack = json!({"uid": "pack", "start": at, "minutes": 45, "summary": "Pack", "description": "", "alarm_min_before": 15});
    let written: (CivilMinute, Vec<CalendarEvent>) = good(json!([at, [pack]]));
    let ask = |(stamp, events): &(CivilMinute, Vec<CalendarEvent>)| said(calendar("", *stamp, events));
    // 0 is the stamp, 1 the list of entries.
    table.rows(
        "calendar_file",
        &written,
        ask,
        r#"1 []; 1 x201; 0.hour 24; 1.0.start.day 31; 1.0.uid ""; 1 x2; 1.0.minutes 0; 1.0.minutes 10081;
        1.0.alarm_min_before 10081"#,
    );
    let long = "x".repeat(10_001);
    table.line("calendar_file", "a title of 10,001 bytes", said(calendar(&long, written.0, &written.1)));
    let step = |id| json!({"id": id, "name": "", "minutes": 5, "after": [], "waiting": false, "when": "any"});
    let prep: TimetableRequest = good(json!({
        "steps": [step("cut"), step("wash")], "begin_min": -960, "night_from_min": -660, "night_to_min": -240,
    }));
    let ask = |prep: &TimetableRequest| said(timetable(prep));
    table.rows(
        "timetable",
        &prep,
        ask,
        r#"begin_min -10081; begin_min 0; night_from_min 1; night_to_min 1; steps.0.minutes 4321; steps x41;
        steps.1.id "cut"; steps.1.after ["dry"]; steps.1.after ["cut"] & steps.1.after x41; steps.0.after ["wash"] & steps.1.after ["cut"]; night_from_min -239"#,
    );
}

/// A shallow rig with one place of shot.
fn rig() -> Json {
    json!({
        "temperature_C": 15, "launch_angle_deg": 90, "main": {"length_m": 0.3, "diameter_m": 0.00014},
        "hooklength": {"length_m": 0.15, "diameter_m": 0.0001}, "hook": {"mass_kg": 1e-5},
        "shots": [{"from_hook_m": 0.2, "mass_kg": 3.4e-5, "count": 3}], "bait": {"side_m": 0.006, "density": 1040},
        "t_end_s": 60,
    })
}

/// A rig that sinks for hours: its line weighs nothing, its bait and shot next to nothing.
const HARDLY_SINKS: &str = "main.length_m 19 & main.diameter_m 0 & hooklength.diameter_m 0 & hook.mass_kg 0 & \
     shots.0.mass_kg 1e-12 & bait.density 999.2 & max_link_m 1000";
const DRIFT: &str = r#" & current {"u0":0.01,"decay_m":1}"#;

fn falls(table: &mut Table) {
    use dotdown::rig::fall::{FallSettings, Rig, fall};
    let laid: Rig = good(rig());
    let ask = |rig: &Rig| said(fall(rig, &FallSettings::default()));
    let mut spoil = |what, change| table.spoiled("fall", &laid, ask, what, change);
    spoil("temperature_C not a number", |rig| rig.temperature_c = f64::NAN);
    spoil("shots.0.from_hook_m not a number", |rig| rig.shots[0].from_hook_m = f64::NAN);
    table.rows(
        "fall",
        &laid,
        ask,
        r#"temperature_C -1; temperature_C 41; launch_angle_deg 91; main.length_m 1001; main.diameter_m 0.003;
        hooklength.length_m 1001; hooklength.diameter_m 0.003; shots.0.mass_kg 0.06; hook.mass_kg 0.03; bait.side_m 0.06;
        bait.sphericity 1.1; bait.added_mass 11; bait.free_m_per_s 6; line_density 25001; shot_density 25001;
        hook.density 25001; bait.density 25001; current {"u0":2.1,"decay_m":1}; current {"u0":0.1,"decay_m":2000000};
        float {"mode":"slide","mass_kg":0.6,"cda_m2":0.01}; float {"mode":"slide","mass_kg":0.001,"cda_m2":0.2};
        lowered_m_per_s 11; max_link_m 1001; t_end_s 601; shots.0.from_hook_m -0.01; shots.0.from_hook_m 0.9;
        shots.0.count 401; shots.0.count 1 & shots x201; main.length_m 30; main.length_m 15 & max_link_m 0.001;
        line_density 900; shot_density 900; hook.density 900; bait.density 900; lowered_m_per_s 5;
        lowered_m_per_s 0.05 & current {"u0":0.1,"decay_m":1}"#,
    );
    table.rows("fall", &laid, ask, &[HARDLY_SINKS, DRIFT].concat());
    table.rows(
        "fall",
        &FallSettings::default(),
        |settings| said(fall(&laid, settings)),
        "step_s 0.2; start_step_s 0.03; start_s 2; link_factor 101; finest_link_share 1.1; newton_tolerance_m 0.1;
        newton_most 1001; sample_dt_s 11; frame_dt_s 11; depth_bin_m 11;
        newton_most 1 & newton_tolerance_m 1e-13 & start_step_s 0.02; step_s 0.0001 & finest_link_share 0.01",
    );
    let long = Rig { t_end_s: 600.0, max_link_m: 0.001, ..laid };
    table.line(
        "fall",
        "frame_dt_s 0.001 for 600 s and hundreds of links",
        said(fall(&long, &FallSettings { frame_dt_s: Some(0.001), ..FallSettings::default() })),
    );
}

fn finders(table: &mut Table) {
    use dotdown::rig::finder::{Finder, Request};
    let search: Request = good(json!({"rig": rig(), "aim": "fall_with_feed", "most_groups": 2}));
    let ask = |search: &Request| said(Finder::new(search.clone()).and_then(|mut finder| finder.step(1)));
    table.spoiled("finder", &search, ask, "latest_s not a number", |search| {
        search.latest_s = Some(f64::NAN);
    });
    table.rows(
        "finder",
        &search,
        ask,
        r#"latest_s 0; latest_s 301; feed_m_per_s 0; feed_m_per_s 3; rig.shots []; kept [0]; most_groups 0; most_groups 5; kept [3];
        rig.shots.0.from_hook_m 0.44 & rig.shots x2 & kept [0]; rig.bait.side_m 0; rig.lowered_m_per_s 0.05;
        rig.temperature_C 41; rig.bait.density 900; rig.shots.0.from_hook_m 0.9; rig.shots.0.count 401;
        rig.shots.0.count 1 & rig.shots x201; rig.main.length_m 19.9; rig.main.length_m 15 & rig.max_link_m 0.001;
        rig.lowered_m_per_s 0.05 & rig.current {"u0":0.1,"decay_m":1}"#,
    );
    let hardly = ["rig.", &HARDLY_SINKS.replace(" & ", " & rig.")].concat();
    let drift = DRIFT.replace(" & ", " & rig.");
    table.rows("finder", &search, ask, &[&hardly, ";", &hardly, &drift].concat());
}

fn balances(table: &mut Table) {
    use dotdown::rig::balance::{BalanceRequest, balance};
    let dotting: BalanceRequest = good(json!({
        "float": {"load_tenth_mg": 4000, "tip_diameter_mm": 1, "tip_length_mm": 25},
        "temperature_c": 15, "wanted_tip_mm": 10, "max_sizes": 2, "max_shots": 30,
        "shot_box": [{"name": "No. 10", "mass_tenth_mg": 350, "density_kg_per_m3": 11350, "count": 40}],
        "hook": {"mass_tenth_mg": 100, "density_kg_per_m3": 7850}, "bait": {"side_mm": 6, "density_kg_per_m3": 1040},
        "line": [{"length_m": 1, "diameter_mm": 0.14, "density_kg_per_m3": 1140}],
    }));
    let ask = |dotting: &BalanceRequest| said(balance(dotting));
    table.spoiled("balance", &dotting, ask, "temperature_c not a number", |dotting| {
        dotting.temperature_c = f64::NAN;
    });
    table.rows(
        "balance",
        &dotting,
        ask,
        "temperature_c -1; temperature_c 41; float.load_tenth_mg 500001; float.tip_diameter_mm 11; float.tip_length_mm 151;
        float.own_mass_tenth_mg 500001; wanted_tip_mm 26; close_enough_mm 151; max_sizes 5; max_shots 61;
        hook.mass_tenth_mg 50001; hook.density_kg_per_m3 23001; bait.side_mm 51; bait.density_kg_per_m3 3001; line x9;
        line.0.length_m 31; line.0.diameter_mm 2.1; line.0.density_kg_per_m3 3001; resting.line_m 2;
        shot_box.0.mass_tenth_mg 500001; shot_box.0.density_kg_per_m3 23001; shot_box.0.count 100001; shot_box [];
        shot_box.0.count 0; shot_box x25; shot_box.0.fixed 41; shot_box.0.fixed 31; hook.mass_tenth_mg 50000",
    );
}

fn glasses_and_tackle(table: &mut Table) {
    use dotdown::rig::glass_test::{BatchWeighing, GlassTest, load_from_glass, weigh_batch};
    use dotdown::rig::tackle::{TackleRequest, TackleSettings, check_tackle};
    let glass: GlassTest = good(json!({
        "float": {"load_tenth_mg": 4000, "tip_diameter_mm": 1, "tip_length_mm": 25}, "temperature_c": 15, "tip_left_mm": 5,
        "shots": [{"mass_tenth_mg": 350, "density_kg_per_m3": 11350, "count": 12, "uncertainty": 0.01}],
        "hook": {"mass_tenth_mg": 100, "density_kg_per_m3": 7850},
    }));
    let ask = |glass: &GlassTest| said(load_from_glass(glass));
    table.spoiled("glass_test", &glass, ask, "tip_left_mm not a number", |glass| {
        glass.tip_left_mm = f64::NAN;
    });
    table.rows(
        "glass_test",
        &glass,
        ask,
        "tip_left_mm -1; tip_left_mm 26; float.tip_diameter_mm 11; float.tip_length_mm 151; float.load_tenth_mg 500001;
        float.own_mass_tenth_mg 500001; temperature_c 41; hook.mass_tenth_mg 50001; hook.density_kg_per_m3 23001; shots x101;
        shots.0.mass_tenth_mg 500001; shots.0.density_kg_per_m3 23001; shots.0.count 1001; shots.0.uncertainty 0.6; shots [];
        shots.0.mass_tenth_mg 1",
    );
    let batch: BatchWeighing = good(json!({"count": 20, "reading_g": 0.7, "resolution_g": 0.01}));
    let ask = |batch: &BatchWeighing| said(weigh_batch(batch));
    let rows = "count 0; count 1001; resolution_g 1.1; reading_g 501; count 1 & reading_g 51; reading_g 0.01";
    table.rows("glass_test", &batch, ask, rows);

    let tackle: TackleRequest = good(json!({
        "main": {"diameter_mm": 0.15}, "hooklength": {"diameter_mm": 0.12},
        "elastic": {"section": {"kind": "hollow", "outer_mm": 2, "inner_mm": 1}, "relaxed_m": 1.5, "kit_m": 1.8, "run_m": 3},
    }));
    let ask = |tackle: &TackleRequest| said(check_tackle(tackle, &TackleSettings::default()));
    table.spoiled("tackle", &tackle, ask, "main.diameter_mm not a number", |tackle| {
        tackle.main.diameter_mm = f64::NAN;
    });
    table.rows(
        "tackle",
        &tackle,
        ask,
        r#"main.diameter_mm 0; main.diameter_mm 1.1; main.spool_kg 51; hooklength.diameter_mm 1.1; hooklength.spool_kg 51;
        knot 1.1; elastic.section {"kind":"solid","diameter_mm":6.1}; elastic.section.outer_mm 6.1;
        elastic.section.inner_mm 2; elastic.relaxed_m 10.1; elastic.kit_m 10.1; elastic.taken_up_m 1.5; elastic.run_m 31"#,
    );
}

fn layouts_and_sheets(table: &mut Table) {
    use dotdown::rig::layout::{LayoutRequest, lay_out};
    use dotdown::rig::make_up::{MakeUpAllowances, SheetRequest, make_up};
    let asked: LayoutRequest = good(json!({
        "float_to_hook_mm": 2100, "hooklength_mm": 100, "shots": [{"shot": 3, "count": 5}, {"shot": 1, "count": 3}],
        "pattern": {"kind": "bulk_and_droppers", "bulk_mm": 600, "droppers": [{"from_hook_mm": 100, "shot": 1, "count": 3}]},
    }));
    let ask = |asked: &LayoutRequest| said(lay_out(asked));
    table.rows(
        "layout",
        &asked,
        ask,
        r#"float_to_hook_mm 19; float_to_hook_mm 20001; hooklength_mm 2101; pattern {"kind":"single_bulk","bulk_mm":0};
        pattern {"kind":"single_bulk","bulk_mm":2100}; pattern {"kind":"single_bulk","bulk_mm":99};
        pattern {"kind":"strung","lowest_mm":800,"highest_mm":100}; pattern.droppers.0.count 4;
        shots [] & pattern {"kind":"single_bulk","bulk_mm":600}; shots.0.count 101"#,
    );
    let group = |from_hook_mm| json!({"from_hook_mm": from_hook_mm, "shot": 0, "count": 2, "role": "bulk"});
    let sheet: SheetRequest = good(json!({
        "name": "deck", "float": "0.4", "hook": "18", "shot_names": ["No. 10"], "above_float_mm": 600,
        "main_diameter_mm": 0.15, "hooklength_diameter_mm": 0.12,
        "back_shot": {"size": "No. 8", "count": 2, "above_float_mm": 300},
        "layout": {"float_to_hook_mm": 2100, "hooklength_mm": 100, "on_hooklength": false, "groups": [group(300), group(600)]},
    }));
    let ask = |sheet: &SheetRequest| said(make_up(sheet, &MakeUpAllowances::default()));
    table.spoiled("make_up", &sheet, ask, "main_diameter_mm not a number", |sheet| {
        sheet.main_diameter_mm = f64::NAN;
    });
    table.rows(
        "make_up",
        &sheet,
        ask,
        "main_diameter_mm 0; main_diameter_mm 1.1; above_float_mm 20001; hooklength_diameter_mm 1.1;
        back_shot.above_float_mm 601; shot_names []; layout.float_to_hook_mm 20001; layout.hooklength_mm 2101;
        layout.groups []; layout.groups.0.count 101; layout.groups.0.from_hook_mm 0; layout.groups.1.from_hook_mm 2100;
        layout.groups.0.from_hook_mm 99; layout.groups.0.from_hook_mm 700",
    );
}

fn plans(table: &mut Table) {
    use dotdown::plan::fields::{BESIDE, FIELDS};
    use dotdown::plan::presets::first;
    use dotdown::units::{DecimalSign, LengthUnits, Units};
    let feet = Units::default();
    let metric = Units { lengths: LengthUnits::Metric, sign: DecimalSign::Comma };
    for (path, typed, units) in [
        ("tin.fat", " ", feet),
        ("tin.fat", "much", feet),
        ("water.depth", "deep", feet),
        ("water.depth", "deep", metric),
        ("day.all_in", "25:00", feet),
        ("day.date", "2026-02-30", feet),
        ("tin.fat", "3 oz", feet),
        ("bait.hook_baits", "50 g", feet),
        ("water.depth", "1 mile", feet),
        ("water.depth", "1 mile", metric),
        ("tin.fat", "1234567890123456", feet),
        ("tin.fat", "-1", feet),
        ("tin.fat", "100,1", metric),
        ("tin.fat", "1234567890", feet),
        ("tin.fat", "95", feet),
        ("tub.floated", "1", feet),
        ("nothing.here", "1", feet),
        ("weather.sky", "9", feet),
        ("feed.0.line", "9", feet),
    ] {
        let how = if units == metric { " in metric" } else { "" };
        table.line("limits", &format!("{path} “{typed}”{how}"), said(first().set(path, typed, units)));
    }
    table.line("limits", "a step of name", said(first().step("name", 1, feet)));
    let numbers = FIELDS.iter().filter_map(|field| Some((field.path, field.bounds?)));
    for (path, bounds) in numbers.chain(BESIDE.iter().copied()) {
        let above = bounds.check(path, i64::from(bounds.most) + 1, feet);
        table.line("limits", "one above the most", said(above));
    }
    let drop = |ms, before| {
        let mut more = first().bait_more;
        more.tub.drops_ms = vec![5_000; before];
        said(more.add_drop(ms))
    };
    table.line("limits", "a drop of 0.2 s", drop(200, 0));
    table.line("limits", "a drop after 50", drop(5_000, 50));
    let mut plan = first();
    plan.rigs[0].more.glass.push(good(json!({"shot": 0, "count": 3})));
    plan.rigs[0].set.push(good(json!({"shot": 0, "count": 3})));
    plan.rigs[0].droppers.push(good(json!({"from_hook_tenth_mm": 1_000, "shot": 0, "count": 1})));
    plan.kit_counts.push(good(json!({"id": "tins", "count": 3})));
    let ask = |plan: &Plan| said(plan.clone().check());
    table.rows(
        "limits",
        &plan,
        ask,
        "version 9; lines []; lines x7; feed x13; rigs x9; rigs.0.droppers x17; rigs.0.more.glass x13; shot_box x25;
        kit x61; kit_counts x61; feed.0.line 9; tin.fat_tenth_g 950; bait_more.tub.floated 1;
        bait_more.tub.drops_ms [200]; bait_more.tub.drops_ms [5000] & bait_more.tub.drops_ms x51; rigs.0.set x25",
    );
}

fn links(table: &mut Table) {
    use dotdown::plan::{link, past_versions::FORMS, presets::first};
    let whole = link::write(&first());
    let mut read = |what, text: &str| table.line("link", what, said(link::read(text)));
    read("“hello”", "hello");
    read("p2 alone", "p2");
    read("no version", "p-1-2-3");
    read("a length in words", "p1-long-2-3");
    read("a checksum in words", "p1-1-sum-3");
    read("version 0", &whole.replacen("p1-", "p0-", 1));
    read("50,001 letters", &"p".repeat(50_001));
    let form = FORMS.last().expect("a form");
    read("41,000 zeros packed", &link::pack(&vec![0; 41_000], form));
    read("version 9", &whole.replacen("p1-", "p9-", 1));
    read("three letters fewer", &whole[..whole.len() - 3]);
    read("one letter more", &(whole.clone() + "2"));
    let other = if whole.ends_with('2') { "3" } else { "2" };
    read("another last letter", &[&whole[..whole.len() - 1], other].concat());
    read("a letter that none has", &[&whole[..whole.len() - 1], "0"].concat());
    let ask = |plan: &Plan| said(link::read(&link::write(plan)));
    table.rows(
        "link",
        &first(),
        ask,
        "rigs.1.depth_tenth_mm 0; version 2; tin.fat_tenth_g 950; lines []; rigs.0.set [{\"shot\":99,\"count\":1}]",
    );
}

fn logs(table: &mut Table) {
    use dotdown::session::log::read_back;
    use dotdown::session::{Event, EventKind, Log};
    let mut tidy = |what, event: Event| table.line("log", what, said(event.tidy(3)));
    let event = |kind| Event::new(5.0, kind);
    tidy("a time that is no number", Event::new(f64::NAN, EventKind::Missed));
    tidy("a time before 1970", Event::new(-1.0, EventKind::Missed));
    tidy("a time after 2100", Event::new(4.2e12, EventKind::Missed));
    tidy("rig 3", event(EventKind::Cast).with_rig(3));
    tidy("a mass that is no number", event(EventKind::Fish).with_value(f64::NAN));
    tidy("a feed of -1", event(EventKind::Fed).with_value(-1.0));
    tidy("a feed of 10,001", event(EventKind::Fed).with_value(10_001.0));
    tidy("a fish of 50,001 g", event(EventKind::Fish).with_value(50_001.0));
    tidy("phase 100", event(EventKind::PhaseChange).with_value(100.0));
    tidy("a nudge of 3,601 s", event(EventKind::Nudge).with_value(3_601.0));
    tidy("shot moved by 2", event(EventKind::Shot).with_value(2.0));
    tidy("a correction of nothing", event(EventKind::Correct));
    let undo = event(EventKind::Undo);
    table.line("log", "an undo at the start", said(Log::default().push(undo, 0.0)));
    let long = "x".repeat(4_000_001);
    table.line("log", "stored, 4,000,001 bytes", said(read_back(&long, 3)));
}

fn books(table: &mut Table) {
    use dotdown::book::{
        Book, Change, Day, Id, Kind, Outcome, Phone, Spot, Store, Water, book_from, book_text,
    };
    use dotdown::plan::presets::first;
    let mut book = Book::open(Phone(1), 0, []).book;
    table.line("book", "nothing to undo", said(book.undo()));
    table.line("book", "nothing to redo", said(book.redo()));
    let day = || Change::AddDay { id: Id(1), day: Box::new(Day::new(first())) };
    book.apply(day()).expect("a day");
    table.line("book", "a day of a known id", said(book.apply(day())));
    let gone = Change::Remove { kind: Kind::Water, id: Id(1) };
    table.line("book", "a water that is not there", said(book.apply(gone)));
    let outcome = Outcome { place: Some(9), of: Some(8), ..Outcome::default() };
    table.line("book", "place 9 of 8", said(book.apply(Change::Outcome { day: Id(1), outcome })));
    let tick = Change::Tick { day: Id(1), tick: String::new(), on: true };
    table.line("book", "a tick without a name", said(book.apply(tick)));
    let tap = Change::Tap { day: Id(1), line: "0 b 19 - - - 00000000".to_owned() };
    table.line("book", "a line that is not whole", said(book.apply(tap)));
    let spot = |peg: i32| Spot { peg: peg.to_string(), ..Spot::default() };
    let water = Water { depths: (0..401).map(|peg| (spot(peg), 9_000)).collect(), ..Water::default() };
    let many = Change::Water { id: Id(2), water: Box::new(water) };
    table.line("book", "401 depths of a water", said(book.apply(many)));
    table.line("book", "a row of three bytes", said(book.take_row(Store::Days, vec![1, 2, 3])));
    let text = book_text(&book);
    let mut read = |what, text: &str| table.line("book", what, said(book_from(text)));
    read("a file that is a list", "[]");
    read("200,000,001 letters", &" ".repeat(200_000_001));
    let deep = ["{\"dotdown_book\":1,\"more\":", &"[".repeat(40)].concat();
    read("lists 40 deep", &deep);
    read("a newer file", &text.replacen(":1", ":2", 1));
    read("a cut file", &text[..400]);
    read("a decimal", &text.replacen("21336", "2133.6", 1));
    read("another number", &text.replacen("21336", "21337", 1));
    read(
        "a text too long",
        &text.replacen("\"note\":\"\"", &format!("\"note\":\"{}\"", "x".repeat(4_001)), 1),
    );
    let (head, rest) = text.split_once("\"days\":[\n").expect("days");
    let (day, _) = rest.split_once("],\n\"waters\"").expect("then waters");
    read("a record twice", &format!("{head}\"days\":[{day},\n{rest}"));
}

fn sessions(table: &mut Table) {
    use dotdown::session::{Event, EventKind, Log, Session, SessionSetup};
    let rig = |depth_m| json!({"depth_m": depth_m, "sample_dt_s": 0.5, "hook_z_m": [0, depth_m]});
    let setup: SessionSetup = good(json!({
        "rigs": [rig(0.35), rig(2.1)], "water_depth_m": 2.15,
        "phases": [{"minutes": 240, "cubes_per_feed": 6, "seconds_between": 30}],
    }));
    let ask = |setup: &SessionSetup| said(Session::new(setup.clone()));
    let mut spoil = |what, change| table.spoiled("session", &setup, ask, what, change);
    spoil("rigs.0.depth_m not a number", |setup| setup.rigs[0].depth_m = f64::NAN);
    spoil("rigs.0.depth_m endless", |setup| setup.rigs[0].depth_m = f64::INFINITY);
    table.rows(
        "session",
        &setup,
        ask,
        "rigs.0.depth_m 0; rigs.0.depth_m 16; rigs []; rigs x17; rigs.0.hook_z_m x20001; rigs.0.hook_z_m.0 21;
        rigs.0.sample_dt_s 0; rigs.0.sample_dt_s 61; water_depth_m 16; first_rig 2; start_ms 5000000000000;
        sink.mid_m_per_s 2.1; phases x100; phases.0.minutes 1441; phases.0.cubes_per_feed 10001;
        phases.0.seconds_between 3601; cubes_taken 5000000000; fish_mass_g 50001; depth.cell_m 0.06;
        depth.drift_m_per_sqrt_s 0.2; depth.jump_every_s 1000001; depth.shallow_share 1.1; depth.bottom_share 0.5;
        depth.shallow_band_m.0 0.9; depth.shallow_band_m.1 16; depth.bottom_band_m 16; depth.background_per_min 11;
        depth.peak_per_min 61; depth.guesses []; depth.guesses x9; depth.guesses.0.band_m 2.1; depth.guesses.0.fall 11;
        depth.activity_levels 10; depth.activity_every_s 10000001; depth.late_s x5; depth.late_s.0.0 31; depth.late_s.0.1 1; depth.late_chance 0.3; depth.reaction_s 31;
        depth.landing_s 301;
        depth.fall_spread 1.1; depth.longest_step_s 601; choice.swap_s 601; choice.horizon_s 20001; choice.reveal_s 8001;
        choice.block_s 601; choice.blocks 4; choice.begin_bites 101; choice.keep_bites 1; rules.double_touch_ms 5001;
        rules.usual_cast_s 601; rules.idle_s 36001; rules.after_bite_s 36001; rules.after_fish_s 36001; rules.slow_s 36001;
        rules.shallow_interval_s 36001; rules.rest_s 36001; rules.shot_bites 33; rules.tighten_share 1.1;
        rules.short_share 11; choice.begin_share 101; choice.again_share 101; choice.again_s 20001; lines [{\"name\":\"\",\"depth_m\":16}]; rigs.0.line 2",
    );
    let mut session = Session::new(setup).expect("a good setup");
    table.line("session", "asked of a time before 1970", said(session.state(-1.0)));
    table.line("session", "advice at no time", said(session.advice(f64::NAN)));
    let event = |kind| Event::new(5.0, kind);
    for (what, event) in [
        ("a bite before 1970", Event::new(-1.0, EventKind::Missed)),
        ("a cast of rig 2", event(EventKind::Cast).with_rig(2)),
        ("a fish of 50,001 g", event(EventKind::Fish).with_value(50_001.0)),
        ("an undo at the start", event(EventKind::Undo)),
    ] {
        table.line("session", what, said(session.record(event)));
    }
    let mut far = Log::default();
    for day in 0..4_000 {
        far.push(Event::new(86_400_000.0 * f64::from(day), EventKind::Cast), 0.0).expect("room");
    }
    table.line("session", "a log of a tap a day for 4,000 days", said(session.replay(&far)));
    let mut full = Log::default();
    for kind in [EventKind::Note, EventKind::Undo].into_iter().cycle().take(20_000) {
        full.push(event(kind), 0.0).expect("room");
    }
    session.replay(&full).expect("a log that was kept");
    table.line("session", "a tap after 20,000", said(session.record(event(EventKind::Missed))));
}

/// A script's object from JSON.
fn habits(table: &mut Table) {
    use dotdown::session::habits::Habits;
    let habits: Habits = good(json!({
        "version": 1, "days": 5, "counting_days": 5, "standing": "used", "usual": 0.1,
        "waters": [{
            "weight": 1, "water_depth_m": 2.15, "jump_every_s": 3000, "block_s": 3600, "jump_to": [[0.2, 0.8]],
            "activity": [0.1, 0.2, 0.4, 0.2, 0.1], "bands": [{"band_m": 0.06, "fall": 1, "chance": 1}],
        }],
        "picture": {"water_depth_m": 2.15, "share": [[0.2, 0.8]], "bites": [[1, 4]]},
    }));
    table.rows(
        "habits",
        &habits,
        |habits: &Habits| said(habits.clone().checked()),
        "version 2; version 0; usual 1.1; waters x4; waters.0.weight 0; waters.0.water_depth_m 16;
        waters.0.jump_every_s 1; waters.0.block_s 1; waters.0.jump_to []; waters.0.jump_to x13; waters.0.jump_to.0 [];
        waters.0.jump_to.0 x121; waters.0.jump_to.0.0 -1; waters.0.jump_to.0 [0, 0]; waters.0.activity x10;
        waters.0.bands []; waters.0.bands x9; waters.0.bands.0.band_m 3; waters.0.bands.0.fall 11;
        waters.0.bands.0.chance 0; picture.water_depth_m 16; picture.share x25; picture.bites x2; picture.bites.0 [1];
        picture.share.0.0 2",
    );
}

/// What JSON, taken as some type, comes to.
type Took = fn(&str) -> Option<String>;

fn objects(table: &mut Table) {
    use dotdown::bait::{cold, floaters, material, shape, sink, timetable};
    use dotdown::component::{event::SessionEvent, object::read};
    use dotdown::plan;
    use dotdown::rig::{balance, fall, finder, layout};
    use dotdown::units;
    fn take<T: DeserializeOwned>(json: &str) -> Option<String> {
        said(read::<T>(from_str(json).expect(json)))
    }
    let rows: [(&str, Took, &str); 18] = [
        ("a flag", take::<bool>, "1"),
        ("a number", take::<f64>, "\"1\""),
        ("a text", take::<String>, "1"),
        ("a whole number", take::<i32>, "1.5"),
        ("an i32", take::<i32>, "3000000000"),
        ("a u8", take::<u8>, "256"),
        ("a list", take::<Vec<f64>>, "{}"),
        ("numbers", take::<Vec<f64>>, "[1, null]"),
        ("a plan", take::<Plan>, "[]"),
        ("a plan", take::<Plan>, "{}"),
        ("units", take::<Vec<units::Units>>, r#"[{"lengths": "yards"}]"#),
        ("units", take::<units::Units>, r#"{"colour": "red"}"#),
        ("a rig’s line", take::<fall::Line>, "1"),
        ("a day", take::<plan::Date>, "\"11 July\""),
        ("a shape", take::<shape::Shape>, r#"{"kind": "egg"}"#),
        ("matter", take::<material::Matter>, r#"{"kind": "cheese"}"#),
        ("a float", take::<fall::Float>, r#"{"mode": "fly"}"#),
        ("a float", take::<fall::Float>, r#"{"mode": "slide"}"#),
    ];
    for (what, take, json) in rows {
        table.line("object", &format!("{json} as {what}"), take(json));
    }
    let choices: [Took; 27] = [
        take::<units::LengthUnits>,
        take::<units::DecimalSign>,
        take::<plan::Sky>,
        take::<plan::Wind>,
        take::<plan::Trend>,
        take::<plan::Start>,
        take::<plan::Method>,
        take::<plan::Lead>,
        take::<plan::Purpose>,
        take::<plan::Pattern>,
        take::<plan::ShotPreference>,
        take::<plan::DottedWith>,
        take::<plan::Group>,
        take::<plan::Form>,
        take::<plan::Around>,
        take::<plan::Entry>,
        take::<plan::Hold>,
        take::<plan::StrengthBy>,
        take::<sink::Verdict>,
        take::<floaters::Cure>,
        take::<cold::Surface>,
        take::<timetable::When>,
        take::<balance::DottedWith>,
        take::<balance::ShotPreference>,
        take::<balance::Waterline>,
        take::<layout::Role>,
        take::<finder::Aim>,
    ];
    for take in choices {
        table.line("object", "“purple” as a choice", take("\"purple\""));
    }
    for json in [
        r"1",
        r#"{"kind": "fed"}"#,
        r#"{"at_ms": 5}"#,
        r#"{"at_ms": 5, "kind": "dance"}"#,
        r#"{"at_ms": 5, "kind": "cast", "rig": "Z"}"#,
        r#"{"at_ms": 5, "kind": "cast", "rig": -1}"#,
        r#"{"at_ms": 5, "kind": "fed", "value": "many"}"#,
        r#"{"at_ms": 5, "kind": "note", "note": 1}"#,
    ] {
        let came = read::<SessionEvent>(from_str(json).expect(json));
        let came = came.and_then(|event| event.of(&["A".to_owned()]));
        table.line("object", &format!("{json} as an event"), said(came));
    }
}

#[test]
fn refusals_are_those_of_the_table() {
    let mut table = Table::default();
    for room in [
        amounts,
        sinking,
        tub_tests,
        cold_wash_and_floaters,
        times_of_the_day,
        falls,
        finders,
        balances,
        glasses_and_tackle,
        layouts_and_sheets,
        plans,
        links,
        logs,
        books,
        sessions,
        habits,
        objects,
    ] {
        room(&mut table);
    }
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/refusals.txt");
    if std::env::var_os("DOTDOWN_WRITE").is_some() {
        fs::write(file, table.0.join("\n") + "\n").expect("the file is written");
        panic!(
            "tests/refusals.txt is written anew: look at what changed, and run again without DOTDOWN_WRITE"
        );
    }
    let held = fs::read_to_string(file).unwrap_or_default();
    let held: Vec<&str> = held.lines().collect();
    for at in 0..held.len().max(table.0.len()) {
        let held = held.get(at).copied().unwrap_or("(nothing)");
        let now = table.0.get(at).map_or("(nothing)", String::as_str);
        assert!(
            held == now,
            "line {} of tests/refusals.txt differs.\nheld: {held}\nnow:  {now}\nIf that is meant, run with DOTDOWN_WRITE=1 to write the file anew.",
            at + 1
        );
    }
}
