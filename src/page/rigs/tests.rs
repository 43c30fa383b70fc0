use super::*;
use crate::page::Redraw;
use crate::page::event::Event;
use crate::plan::Purpose;
use crate::results::fall::{doubt_row, fall_row};
use crate::results::make_up::{back_shot, sheet, tackle};
use crate::units::Units;
use crate::view::rigs::scene;
use crate::view::{fall_part, finder_part, results};

/// A page on the rigs with every fall worked out, as a worker would.
fn sunk_page() -> Page {
    let mut page = Page::new();
    page.screen = crate::page::Screen::Rigs;
    sink_all(&mut page);
    page
}

fn sink_all(page: &mut Page) {
    let mut asked = 0;
    while let Some(rig) = page.next_fall() {
        let fall = fall_row(&rig)
            .map_err(|e| e.to_string())
            .and_then(|row| FallPath::from_row(&row).ok_or_else(|| "not whole".to_owned()));
        page.fall_came(rig, fall);
        asked += 1;
        assert!(asked < 40, "the page asks for the same fall again and again");
    }
}

#[test]
fn a_fall_is_asked_for_shown_and_marked_when_it_grows_old() {
    let mut page = Page::new();
    assert!(fall_part(&page).contains("fall.waiting"));
    sink_all(&mut page);
    let told = fall_part(&page);
    assert!(told.contains("fall.settle") && !told.contains("fall.older"), "{told}");
    page.type_in("rigs.0.depth", "16 in");
    assert!(fall_part(&page).contains("fall.older"));
    sink_all(&mut page);
    assert!(!fall_part(&page).contains("fall.older"));
}

#[test]
fn a_ball_falls_as_a_ball_and_is_called_one() {
    let mut page = sunk_page();
    assert!(fall_part(&page).contains("Free cubes") && fall_part(&page).contains("cube, 10"));
    page.type_in("other.form", "1");
    page.type_in("other.density", "1060");
    sink_all(&mut page);
    let (told, speed) = (fall_part(&page), page.results.sink.as_ref().unwrap().speed_m_per_s.mid);
    assert!(
        told.contains("Free pieces") && told.contains("mm ball, 1060") && !told.contains("Free cube"),
        "{told}"
    );
    let sunk = page.own_fall().unwrap().0.as_ref().unwrap();
    assert!((sunk.cube_m_per_s.unwrap() / speed - 1.0).abs() < 1e-6);
}

#[test]
fn the_flat_form_tells_what_the_fall_tells() {
    let page = sunk_page();
    let rig = page.own_rig().unwrap();
    let exact = crate::rig::fall::fall(&rig, &crate::rig::fall::FallSettings::default()).unwrap();
    let sunk = page.falls.of(&rig).unwrap().as_ref().unwrap();
    assert!((sunk.depth_m - exact.final_depth_m).abs() < 1e-6);
    assert!((sunk.times_s[4].unwrap() - exact.t_fraction_of_final_depth_s.f99.unwrap()).abs() < 1e-5);
    for (i, z) in exact.hook_z_m.iter().enumerate().take_while(|(i, _)| *i as f64 * 0.25 < sunk.end_s()) {
        assert!((sunk.hook_m(i as f64 * 0.25) - z).abs() < 2e-3, "sample {i}");
    }
    let row = fall_row(&rig).unwrap();
    assert!(FallPath::from_row(&row[..12]).is_none() && FallPath::from_row(&[]).is_none());
    assert!(FallPath::from_row(&[f32::NAN; 40]).is_none());
    let huge: Vec<f32> = (0..40).map(|_| 3e38).collect();
    assert!(FallPath::from_row(&huge).is_none());
}

#[test]
fn the_scene_starts_at_the_surface_and_ends_at_the_depth() {
    let page = sunk_page();
    let first = scene::scene(&page, 0.0).unwrap();
    assert!(first.words.contains("bait 0 in down"), "{}", first.words);
    let last = scene::scene(&page, page.watch_s()).unwrap();
    assert!(last.words.contains("bait 14 in down"), "{}", last.words);
    assert_ne!(first.own, last.own);
    assert_eq!(scene::scene(&page, 1e9).unwrap().own, last.own);
}

#[test]
fn each_move_tells_its_effect_and_can_be_used_and_taken_back() {
    let mut page = sunk_page();
    page.act("rig:3");
    sink_all(&mut page);
    let moves = page.moves();
    assert!(moves.len() >= 3);
    let told = fall_part(&page);
    assert_eq!(told.matches("to the bottom, last third").count(), moves.len(), "{told}");
    for (k, moved) in moves.iter().enumerate() {
        let before = page.plan.clone();
        let want = moved.layout.groups.iter().map(|g| (g.from_hook_mm, g.shot, g.count)).collect::<Vec<_>>();
        page.act(&format!("use-move:{k}"));
        assert_ne!(page.plan, before, "move {k}");
        let mut got: Vec<_> =
            page.layout().unwrap().groups.iter().map(|g| (g.from_hook_mm, g.shot, g.count)).collect();
        let mut want = want;
        got.sort_unstable();
        want.sort_unstable();
        assert_eq!(got, want, "move {k}");
        page.plan.check().unwrap();
        page.act("undo");
        assert_eq!(page.plan, before);
    }
}

#[test]
fn a_search_begins_comes_along_stops_and_its_find_is_used() {
    let mut page = sunk_page();
    page.act("finder:aim.1");
    page.act("finder:start");
    assert!(finder_part(&page).contains("finder:stop"));
    let request = page.falls.search.as_ref().unwrap().request.clone();
    assert_eq!(request.aim, crate::rig::finder::Aim::GetDownFast);
    let mut finder = crate::rig::finder::Finder::new(request).unwrap();
    page.falls.search_came(Ok(finder.step(20).unwrap()));
    assert!(finder_part(&page).contains("find.own"));
    page.act("finder:stop");
    assert!(finder_part(&page).contains("Stopped: "));
    let own = page.layout().unwrap().clone();
    page.act("proposal:0");
    sink_all(&mut page);
    assert!(fall_part(&page).contains("Proposal 1"));
    page.act("use-proposal:0");
    let now = page.layout().unwrap();
    assert_eq!(now.shots_total(), own.shots_total());
    assert_ne!(*now, own);
    assert!(finder_part(&page).contains("has changed since"));
    page.act("undo");
    assert_eq!(*page.layout().unwrap(), own);
}

#[test]
fn a_bad_rig_gets_a_sentence_and_nothing_is_lost() {
    // A label with much fat and air: the cube floats.
    let mut page = Page::new();
    page.type_in("bait.air", "10");
    sink_all(&mut page);
    assert!(fall_part(&page).contains("floats"), "{}", fall_part(&page));
    // Lowered faster than it sinks.
    let mut page = Page::new();
    page.type_in("rigs.0.more.entry", "1");
    page.type_in("rigs.0.more.lowered", "500");
    sink_all(&mut page);
    assert!(fall_part(&page).contains("slack"), "{}", fall_part(&page));
    // A float that cannot carry its shot, a bulk above the float.
    for (path, typed) in [("rigs.0.load", "0.03"), ("rigs.0.bulk_from_hook", "20 in")] {
        let mut page = Page::new();
        page.screen = crate::page::Screen::Rigs;
        page.type_in("rigs.0.hook_mass", "0.5");
        page.type_in(path, typed);
        sink_all(&mut page);
        let told = results(&page);
        assert!(told.contains("class=\"refusal\""), "{path}");
        assert!(page.next_fall().is_none());
    }
    // Out of the table: the sentence stands at the field and the plan stays.
    let before = page.plan.clone();
    for (path, typed) in [
        ("rigs.0.more.drift", "9999"),
        ("rigs.0.more.elastic", "x"),
        ("rigs.0.depth", "30 m"),
        ("rigs.0.most_shots", "500"),
    ] {
        page.type_in(path, typed);
        assert!(page.rejected.get(path).is_some(), "{path}");
    }
    assert_eq!(page.plan, before);
    for act in [
        "finder:",
        "finder:aim.9",
        "use-proposal:7",
        "use-move:99",
        "weighed:9+",
        "weighed:é",
        "finder:groups",
        "move:x",
    ] {
        page.act(act);
    }
    assert_eq!(page.plan, before);
}

#[test]
fn a_shallow_set_is_what_was_shown_of_sound_rigs_none_twice_and_can_be_taken_back() {
    let mut page = Page::new();
    page.act("rig:3");
    let before = page.plan.clone();
    let (shown, left_out) = page.shallow_set();
    assert_eq!(shown.len() + left_out.len(), 3, "each is made or told");
    page.act("ladder");
    assert_eq!(page.plan.rigs[before.rigs.len()..], shown);
    page.act("undo");
    assert_eq!(page.plan, before);
    page.act("redo");
    page.act("rig:3");
    page.plan.check().unwrap();
    for (rig, day) in page.plan.rigs.iter().zip(&page.results.rigs).skip(before.rigs.len()) {
        assert!(
            (f64::from(rig.bulk_from_hook_tenth_mm) / f64::from(rig.depth_tenth_mm) - 1.0 / 3.0).abs() < 0.01
        );
        assert!(day.layout.is_some(), "{}: {:?}", rig.name, day.trouble);
    }
    // The same once more would only make twins; more than a plan holds, or through the bed, is told beforehand.
    let (again, left_out) = page.shallow_set();
    assert!(again.is_empty() && left_out.iter().all(|why| why.contains("already")), "{left_out:?}");
    let count = page.plan.rigs.len();
    page.act("ladder");
    assert_eq!(page.plan.rigs.len(), count);
    page.tools.ladder = [6, 30_480, 6_096];
    assert!(page.shallow_set().1.iter().any(|why| why.contains("through the bed")));
    page.plan.rigs.retain(|rig| rig.purpose != Purpose::Shallow);
    page.rig = 0;
    page.tools.ladder = [6, 1_524, 508];
    while page.shallow_set().1.is_empty() {
        page.plan.rigs.push(page.plan.rigs[0].clone());
    }
    assert!(page.shallow_set().1.iter().all(|why| why.contains("a plan holds 8 rigs")));
    page.act("ladder");
    assert_eq!(page.plan.rigs.len(), 8);
}

#[test]
fn a_box_changes_its_metal_as_one_and_takes_olivettes() {
    let mut page = Page::new();
    let masses = |page: &Page| page.plan.shot_box.iter().map(|size| size.mass_tenth_mg).collect::<Vec<_>>();
    let before = masses(&page);
    page.act("metal:tin");
    assert!(page.plan.shot_box.iter().all(|size| size.density_kg_per_m3 == 7_310));
    assert_eq!(masses(&page), before, "a size stands for a mass");
    let sets = |page: &Page| page.results.rigs[0].chosen.as_ref().map(|set| set.shots_total);
    assert!(sets(&page).is_some(), "the float is dotted with tin too");
    page.act("olivette");
    let olivette = page.plan.shot_box.last().unwrap();
    assert_eq!((olivette.name.as_str(), olivette.density_kg_per_m3), ("Olivette", 7_310));
    page.plan.check().unwrap();
    for _ in 0..30 {
        page.act("olivette");
    }
    assert!(page.plan.shot_box.len() == 24 && page.notices.iter().any(|n| n.sentence.contains("full")));
    page.act("metal:gold");
    assert_eq!(page.plan.shot_box[0].density_kg_per_m3, 7_310, "no such metal");
}

#[test]
fn the_glass_replaces_the_load_and_keeps_the_makers() {
    let mut page = Page::new();
    let was = page.plan.rigs[0].load_tenth_mg;
    page.act("add:rigs.0.more.glass");
    page.act("add:rigs.0.more.glass");
    page.type_in("rigs.0.more.glass.1.shot", "1");
    page.type_in("rigs.0.more.glass.0.count", "12");
    let found = glass_load(&page.plan, &page.plan.rigs[0]).unwrap().unwrap();
    page.act("glass");
    let rig = &page.plan.rigs[0];
    assert_eq!(rig.more.maker_tenth_mg, Some(was));
    assert!(rig.load_measured && u32::try_from(rig.load_tenth_mg) == Ok(found.load_tenth_mg.0));
    assert_eq!(glass_load(&page.plan, rig).unwrap().unwrap().load_tenth_mg, found.load_tenth_mg);
    page.act("remove:rigs.0.more.glass.1");
    assert_eq!(page.plan.rigs[0].more.glass.len(), 1);
    page.plan.rigs[0].more.glass_show_tenth_mm = 9_999;
    assert!(glass_load(&page.plan, &page.plan.rigs[0]).unwrap().unwrap_err().contains("tip_left_mm"));
}

#[test]
fn a_weighing_steps_keeps_what_it_held_and_follows_its_size() {
    let mut page = Page::new();
    for (path, typed) in [("size", "1"), ("count", "20"), ("shown", "0.7 g"), ("step", "0,01")] {
        assert_eq!(page.type_in(&["weigh.", path].concat(), typed), Redraw::Results);
    }
    let entered = page.tools.weighing.clone();
    assert_eq!((entered.size, entered.count, entered.shown_tenth_mg), (1, Some(20), Some(7_000)));
    page.step("weigh.shown", -1);
    assert_eq!(page.text_at("weigh.shown").as_deref(), Some("0.690 g"));
    page.step("weigh.shown", 1);
    for (path, typed) in [("count", "0"), ("shown", "a lot"), ("shown", "9999"), ("step", "5"), ("step", "")]
    {
        let path = ["weigh.", path].concat();
        page.type_in(&path, typed);
        assert!(page.rejected.contains(&path), "{path} {typed}");
    }
    assert_eq!(page.type_in("weigh.size", "99"), Redraw::Nothing);
    assert_eq!(page.step("weigh.size", 1), Redraw::Nothing);
    assert_eq!(page.tools.weighing, entered);
    // Its size keeps its place in the box, and goes with it.
    page.act("remove:shot_box.0");
    assert_eq!(page.tools.weighing, Weighing { size: 0, ..entered });
    page.act("remove:shot_box.0");
    assert_eq!(page.tools.weighing, Weighing::default());
    page.type_in("weigh.size", &(page.plan.shot_box.len() - 1).to_string());
    page.act("remove:shot_box.0");
    page.plan.shot_box.truncate(2);
    page.act("units:metric");
    assert_eq!(page.tools.weighing.size, 1);
    // From nothing, the buttons begin at the least.
    page.step("weigh.count", 1);
    page.step("weigh.shown", 1);
    assert_eq!((page.tools.weighing.count, page.tools.weighing.shown_tenth_mg), (Some(1), Some(100)));
}

#[test]
fn tackle_warnings_turn_at_their_edges() {
    let mut page = Page::new();
    let told = |page: &Page| tackle(&page.plan.rigs[0]).unwrap();
    page.plan.rigs[0].main_strength_g = 1_000;
    for (grams, warned) in [(800, false), (840, true), (1_000, true)] {
        page.plan.rigs[0].hooklength_strength_g = grams;
        assert_eq!(!told(&page).warnings.is_empty(), warned, "{grams} g");
    }
    page.plan.rigs[0].hooklength_strength_g = 700;
    page.plan.rigs[0].more.elastic_um = Some(1_000);
    let free = told(&page).elastic.unwrap().run;
    page.plan.rigs[0].more.shortened_tenth_mm = 5_000;
    let tight = told(&page).elastic.unwrap();
    assert!(tight.run.newtons.mid > free.newtons.mid && tight.run_not_taken_up == free);
    page.plan.rigs[0].more.shortened_tenth_mm = 99_000;
    assert!(tackle(&page.plan.rigs[0]).unwrap_err().contains("taken_up"));
}

#[test]
fn the_sheet_follows_the_units_and_the_back_shot() {
    let mut page = Page::new();
    let made = sheet(&page.plan, &page.results.rigs, 0, Units::default()).unwrap();
    assert!(made.main.cut.ends_with(" in") && made.back_shot.is_none());
    page.type_in("rigs.0.more.back_shot", "true");
    let halfway = page.plan.rigs[0].more.above_tenth_mm / 20;
    assert_eq!(back_shot(&page.plan.rigs[0]).unwrap().above_float_mm, halfway);
    page.act("units:metric");
    let made = sheet(&page.plan, &page.results.rigs, 0, page.choices.units).unwrap();
    assert!(made.main.cut.ends_with(" mm") && made.back_shot.is_some());
    assert!(sheet(&page.plan, &page.results.rigs, 99, Units::default()).is_err());
}

/// A mass of the table counts as ± 10 %, standard uncertainty 0.1 / sqrt 3 (JCGM 100:2008, 4.3.7); one that was
/// weighed narrows the load.
#[test]
fn weighed_shot_narrows_what_the_glass_says() {
    let mut page = Page::new();
    page.act("add:rigs.0.more.glass");
    page.type_in("rigs.0.more.glass.0.count", "12");
    let band = |page: &Page| {
        let found = glass_load(&page.plan, &page.plan.rigs[0]).unwrap().unwrap();
        found.plus_minus_tenth_mg / f64::from(found.load_tenth_mg.0)
    };
    let from_table = band(&page);
    assert!(from_table > 2.0 * 0.1 / 3f64.sqrt() * 0.9, "{from_table}");
    let mass = page.plan.shot_box[0].mass_tenth_mg;
    page.plan.shot_box[0].mass_tenth_mg = mass + mass / 20;
    let weighed = band(&page);
    assert!(weighed < 0.5 * from_table, "{weighed} against {from_table}");
}

/// Answers for the worker until the page asks for no more falls and doubts: how many of each it asked for, and
/// before how many answers the open rig's band was still to come.
fn answer_all(page: &mut Page, first: Event) -> (usize, usize, usize) {
    let mut effects = page.update(first);
    let (mut falls, mut doubts, mut waited) = (0, 0, 0);
    while let Some(effect) = effects.iter().find(|e| matches!(e, Effect::Fall(_) | Effect::Doubt(_))) {
        let answer = match effect {
            Effect::Fall(rig) => {
                assert_eq!(doubts, 0, "falls first");
                falls += 1;
                Event::Fell(FallPath::from_row(&fall_row(rig).unwrap()).ok_or_else(String::new))
            }
            Effect::Doubt(rigs) => {
                doubts += 1;
                // One of them cannot be worked out: its band stays away, and the others come.
                Event::Doubted((doubts != 2).then(|| doubt_row(rigs)))
            }
            _ => unreachable!(),
        };
        waited += usize::from(crate::view::fall_band(page).contains("worked out after"));
        effects = page.update(answer);
        assert!(falls + doubts < 40, "each is asked for once");
    }
    (falls, doubts, waited)
}

/// The middle of a fall comes at once; the worker is asked for its band after all falls, and the order of a move is then told
/// with its chance.
#[test]
fn a_falls_band_comes_after_the_falls_and_tells_whether_orders_hold() {
    let mut page = Page::new();
    page.screen = Screen::Rigs;
    page.rig = 3;
    let (falls, doubts, waited) = answer_all(&mut page, Event::FallDue);
    assert!(
        falls > 1 && doubts == falls && waited == falls + 1,
        "{falls} falls, {doubts} doubts, {waited} waits"
    );
    let band = crate::view::fall_band(&page);
    assert!(band.contains("From <strong>") && band.contains("bait ± "), "{band}");
    let moves = crate::view::move_effects(&page).concat();
    assert!(moves.contains("That order holds in "), "{moves}");
    assert!(page.update(Event::Doubted(None)).is_empty() || page.falls.asked_doubt.is_none());

    // So is a proposal's, when it is shown beside the own pattern.
    page.act("finder:aim.1");
    page.act("finder:start");
    let mut finder =
        crate::rig::finder::Finder::new(page.falls.search.as_ref().unwrap().request.clone()).unwrap();
    page.falls.search_came(Ok(finder.step(60).unwrap()));
    page.act("finder:stop");
    assert!(!finder_part(&page).contains("That order holds in "));
    page.act("proposal:0");
    answer_all(&mut page, Event::FallDue);
    let found = finder_part(&page);
    assert!(found.contains("That order holds in "), "{found}");
}
