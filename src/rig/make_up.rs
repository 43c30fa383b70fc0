//! The make-up sheet: what to cut, tie and pinch on, in order, for one rig or for a whole set.
//!
//! Lengths are whole millimetres inside; as text they are told to 1 mm or to 1/16 inch, as the user reads a rule. Knot
//! allowances and winder sizes are common practice, from memory: [`MakeUpAllowances`] holds them.

use super::layout::{Layout, Role};
use super::tackle::BackShot;
use super::within;
use crate::refusal::Refusal;
use crate::units::{DecimalSign, Units, fixed};
use serde::{Deserialize, Serialize};

/// Allowances and winders. From memory, common practice.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MakeUpAllowances {
    /// Line that one loop or knot in the main line takes up, with its waste, mm (100).
    pub main_knot_mm: i32,
    /// Line that one loop or hook knot in the hooklength takes up, with its waste, mm (80).
    pub hooklength_knot_mm: i32,
    /// Lengths of winders, shortest first, mm (130, 180, 260).
    pub winders_mm: Vec<i32>,
    /// Turns that a winder takes before the line bulges (12).
    pub turns_most: i32,
}

impl Default for MakeUpAllowances {
    fn default() -> Self {
        Self { main_knot_mm: 100, hooklength_knot_mm: 80, winders_mm: vec![130, 180, 260], turns_most: 12 }
    }
}

/// What a sheet is made from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SheetRequest {
    /// The rig's name.
    pub name: String,
    /// The float's name.
    pub float: String,
    /// The hook's name.
    pub hook: String,
    /// Where the shot sits.
    pub layout: Layout,
    /// Names of the sizes in the shot box, by place.
    pub shot_names: Vec<String>,
    /// Line between pole tip and float, mm (0 to 20 000).
    pub above_float_mm: i32,
    /// Diameter of the main line, mm (0.03 to 1).
    pub main_diameter_mm: f64,
    /// Diameter of the hooklength, mm (0.03 to 1).
    pub hooklength_diameter_mm: f64,
    /// The back shot, if one is used.
    #[serde(default)]
    pub back_shot: Option<BackShot>,
    /// Whether lengths are told in inches.
    #[serde(default)]
    pub inches: bool,
    /// Whether decimals are written behind a comma.
    #[serde(default)]
    pub comma: bool,
}

/// One line of the shotting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SheetShot {
    /// Distance from the hook, mm.
    pub from_hook_mm: i32,
    /// The same to 1 mm or 1/16 inch, with its unit.
    pub from_hook: String,
    /// How many.
    pub count: u32,
    /// The size's name.
    pub name: String,
    /// What they do.
    pub role: Role,
}

/// A length of line to cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Finished length, mm.
    pub finished_mm: i32,
    /// Length to cut, with the allowance for its knots, mm.
    pub cut_mm: i32,
    /// The same to 1 mm or 1/16 inch, with its unit.
    pub cut: String,
}

/// The make-up sheet of one rig.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sheet {
    /// The rig's name.
    pub name: String,
    /// The float's name.
    pub float: String,
    /// The hook's name.
    pub hook: String,
    /// Main line, pole tip to hooklength (or hook).
    pub main: Cut,
    /// The hooklength, if there is one.
    pub hooklength: Option<Cut>,
    /// Winder to put it on, mm.
    pub winder_mm: i32,
    /// Turns on that winder, to tenths.
    pub winder_turns: f64,
    /// The shots, from the hook up.
    pub shots: Vec<SheetShot>,
    /// The back shot.
    pub back_shot: Option<BackShot>,
    /// What to do, in order.
    pub order: Vec<String>,
}

/// So many of one thing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tally {
    /// Its name.
    pub name: String,
    /// How many; of line, millimetres.
    pub count: u64,
}

/// What a set of rigs takes, without spares.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct SetTotals {
    /// Shots per size, back shots among them.
    pub shots: Vec<Tally>,
    /// Floats per name.
    pub floats: Vec<Tally>,
    /// Hooks per name.
    pub hooks: Vec<Tally>,
    /// Winders per length, as `180 mm`.
    pub winders: Vec<Tally>,
    /// Line to cut per diameter, as `0.150 mm`, in millimetres.
    pub line_mm: Vec<Tally>,
}
/// A length to the nearest millimetre or sixteenth of an inch, as one reads it off a rule.
///
/// # Example
/// ```
/// use dotdown::rig::make_up::rule;
/// assert_eq!(rule(203, false), "203 mm");
/// assert_eq!(rule(203, true), "8 in");
/// assert_eq!(rule(600, true), "23 5/8 in");
/// assert_eq!(rule(3, true), "1/8 in");
/// ```
#[must_use]
pub fn rule(mm: i32, inches: bool) -> String {
    if !inches {
        return mm.to_string() + " mm";
    }
    // 16 / 25.4 = 80 / 127, rounded to the nearest.
    let sixteenths = (i64::from(mm) * 160 + 127).div_euclid(254);
    let (sign, sixteenths) = (if sixteenths < 0 { "-" } else { "" }, sixteenths.abs());
    let (whole, mut part, mut of) = (sixteenths / 16, sixteenths % 16, 16);
    while part > 0 && part % 2 == 0 {
        part /= 2;
        of /= 2;
    }
    match (whole, part) {
        (_, 0) => format!("{sign}{whole} in"),
        (0, _) => format!("{sign}{part}/{of} in"),
        _ => format!("{sign}{whole} {part}/{of} in"),
    }
}

/// The make-up sheet of one rig.
///
/// # Errors
/// A layout that is not sound, a size without a name, and numbers outside their limits.
pub fn make_up(request: &SheetRequest, settings: &MakeUpAllowances) -> Result<Sheet, Refusal> {
    let layout = &request.layout;
    layout.check().map_err(|refused| refused.below("layout"))?;
    within("above_float_mm", f64::from(request.above_float_mm), 0.0, 20_000.0, "mm")?;
    within("main_diameter_mm", request.main_diameter_mm, 0.03, 1.0, "mm")?;
    within("hooklength_diameter_mm", request.hooklength_diameter_mm, 0.03, 1.0, "mm")?;
    if let Some(back) = &request.back_shot {
        within(
            "back_shot.above_float_mm",
            f64::from(back.above_float_mm),
            1.0,
            f64::from(request.above_float_mm),
            "mm",
        )?;
    }
    let mut shots = Vec::with_capacity(layout.groups.len());
    for group in &layout.groups {
        let name = request.shot_names.get(group.shot).ok_or_else(|| {
            let sentence = format!(
                "The rig uses size {} of the shot box, which is not there: choose the shot again.",
                group.shot.saturating_add(1)
            );
            Refusal::new("no_name", "shot_names", sentence)
        })?;
        shots.push(SheetShot {
            from_hook_mm: group.from_hook_mm,
            from_hook: rule(group.from_hook_mm, request.inches),
            count: group.count,
            name: name.clone(),
            role: group.role,
        });
    }
    let cut = |diameter_mm: f64, finished_mm: i32, knot_mm: i32| {
        let cut_mm = finished_mm.saturating_add(knot_mm.clamp(0, 1000) * 2);
        Cut { diameter_mm, finished_mm, cut_mm, cut: rule(cut_mm, request.inches) }
    };
    let main_mm = request.above_float_mm + layout.float_to_hook_mm - layout.hooklength_mm;
    let main = cut(request.main_diameter_mm, main_mm, settings.main_knot_mm);
    let hooklength = (layout.hooklength_mm > 0)
        .then(|| cut(request.hooklength_diameter_mm, layout.hooklength_mm, settings.hooklength_knot_mm));
    let rig_mm = request.above_float_mm + layout.float_to_hook_mm;
    let winder_mm = winder(rig_mm, settings);
    let order = order_of_work(request, &main, hooklength.as_ref(), &shots, winder_mm);
    Ok(Sheet {
        name: request.name.clone(),
        float: request.float.clone(),
        hook: request.hook.clone(),
        main,
        hooklength,
        winder_mm,
        winder_turns: (f64::from(rig_mm) * 5.0 / f64::from(winder_mm)).round() / 10.0,
        shots,
        back_shot: request.back_shot.clone(),
        order,
    })
}

/// The shortest winder that takes the rig in the allowed turns, else the longest there is.
fn winder(rig_mm: i32, settings: &MakeUpAllowances) -> i32 {
    let takes =
        |winder_mm: i32| i64::from(winder_mm) * 2 * i64::from(settings.turns_most) >= i64::from(rig_mm);
    let fits = settings.winders_mm.iter().copied().find(|&w| takes(w));
    fits.or(settings.winders_mm.last().copied()).unwrap_or(180).max(1)
}

/// The steps, in the order in which nothing has to be undone: the float goes on before the loops close the line.
fn order_of_work(
    request: &SheetRequest,
    main: &Cut,
    hooklength: Option<&Cut>,
    shots: &[SheetShot],
    winder_mm: i32,
) -> Vec<String> {
    let tell = |mm: i32| rule(mm, request.inches);
    let sign = if request.comma { DecimalSign::Comma } else { DecimalSign::Point };
    let across = |mm: f64| Units { sign, ..Units::default() }.number(mm, 3);
    let layout = &request.layout;
    let mut order = vec![
        format!("Cut {} of {} mm main line.", main.cut, across(main.diameter_mm)),
        format!("Thread on the float {}: eye, then the rubbers.", request.float),
        "Tie a loop for the pole tip.".to_owned(),
    ];
    if let Some(hooklength) = hooklength {
        order.push(format!(
            "Tie a small loop at the other end: {} from loop to loop.",
            tell(main.finished_mm)
        ));
        order.push(format!(
            "Cut {} of {} mm line and tie the hook {}; loop the other end: {} in all.",
            hooklength.cut,
            across(hooklength.diameter_mm),
            request.hook,
            tell(hooklength.finished_mm)
        ));
        order.push("Join the hooklength loop to loop and wet the knots before they close.".to_owned());
    } else {
        order.push(format!(
            "Tie the hook {} to the line: {} from loop to hook.",
            request.hook,
            tell(main.finished_mm)
        ));
    }
    order.push(format!("Set the float {} from the hook.", tell(layout.float_to_hook_mm)));
    for shot in shots {
        let word = match shot.role {
            Role::Bulk => "bulk",
            Role::Dropper => "dropper",
            Role::Strung => "strung",
        };
        order.push(format!("{} from the hook: {} x {} ({word}).", shot.from_hook, shot.count, shot.name));
    }
    if let Some(back) = &request.back_shot {
        order.push(format!(
            "Back shot, in wind: {} x {}, {} above the float.",
            back.count,
            back.size,
            tell(back.above_float_mm)
        ));
    }
    order.push("Dot the float in a glass of water and write down what really dotted it.".to_owned());
    order.push(format!("Put it on a winder of {} and write the rig’s name on it.", tell(winder_mm)));
    order
}

/// Adds to the tally of that name, or begins it.
fn add(tallies: &mut Vec<Tally>, name: &str, count: u64) {
    match tallies.iter_mut().find(|tally| tally.name == name) {
        Some(tally) => tally.count = tally.count.saturating_add(count),
        None if count > 0 => tallies.push(Tally { name: name.to_owned(), count }),
        None => {}
    }
}

/// A winder's length from its name in [`SetTotals`], such as `180 mm`, as it is read off a rule.
///
/// # Example
/// ```
/// use dotdown::rig::make_up::winder_words;
/// assert_eq!(winder_words("180 mm", false), "180 mm");
/// assert_eq!(winder_words("180 mm", true), "7 1/16 in");
/// ```
#[must_use]
pub fn winder_words(name: &str, inches: bool) -> String {
    let mm = name.strip_suffix(" mm").and_then(|mm| mm.parse().ok());
    mm.map_or_else(|| name.to_owned(), |mm| rule(mm, inches))
}

/// What all these rigs take together, each thing in the order of its first rig.
#[must_use]
pub fn totals(sheets: &[Sheet]) -> SetTotals {
    let mut totals = SetTotals::default();
    for sheet in sheets {
        for shot in &sheet.shots {
            add(&mut totals.shots, &shot.name, u64::from(shot.count));
        }
        if let Some(back) = &sheet.back_shot {
            add(&mut totals.shots, &back.size, u64::from(back.count));
        }
        add(&mut totals.floats, &sheet.float, 1);
        add(&mut totals.hooks, &sheet.hook, 1);
        add(&mut totals.winders, &(sheet.winder_mm.to_string() + " mm"), 1);
        for cut in [Some(&sheet.main), sheet.hooklength.as_ref()].into_iter().flatten() {
            let mm = u64::try_from(cut.cut_mm).unwrap_or(0);
            add(&mut totals.line_mm, &(fixed(cut.diameter_mm, 3) + " mm"), mm);
        }
    }
    totals
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::layout::{Dropper, LayoutRequest, Pattern, Shots, lay_out};
    use crate::rig::tackle::back_shot;
    use proptest::prelude::*;

    fn request() -> SheetRequest {
        SheetRequest {
            name: "Deck".into(),
            float: "4x14".into(),
            hook: "16 barbless".into(),
            layout: lay_out(&LayoutRequest {
                float_to_hook_mm: 2100,
                hooklength_mm: 203,
                shots: vec![Shots { shot: 1, count: 11 }],
                pattern: Pattern::BulkAndDroppers {
                    bulk_mm: 600,
                    droppers: [203, 400]
                        .map(|from_hook_mm| Dropper { from_hook_mm, shot: 1, count: 1 })
                        .into(),
                },
                on_hooklength: false,
            })
            .unwrap(),
            shot_names: vec!["No. 8".into(), "No. 10".into()],
            above_float_mm: 900,
            main_diameter_mm: 0.15,
            hooklength_diameter_mm: 0.12,
            back_shot: back_shot(900, true),
            inches: false,
            comma: false,
        }
    }

    #[test]
    fn lengths_add_up() {
        let sheet = make_up(&request(), &MakeUpAllowances::default()).unwrap();
        assert_eq!((sheet.main.finished_mm, sheet.main.cut_mm), (2797, 2997));
        let hooklength = sheet.hooklength.as_ref().unwrap();
        assert_eq!((hooklength.finished_mm, hooklength.cut_mm), (203, 363));
        assert_eq!(sheet.main.finished_mm + hooklength.finished_mm, 900 + 2100);
        // 3 m on 130 mm is 11.5 turns of 260 mm.
        assert_eq!(sheet.winder_mm, 130);
        assert!((sheet.winder_turns - 11.5).abs() < 1e-9);
        let mut bare = request();
        bare.layout.hooklength_mm = 0;
        let sheet = make_up(&bare, &MakeUpAllowances::default()).unwrap();
        assert_eq!((sheet.hooklength, sheet.main.finished_mm), (None, 3000));
    }

    #[test]
    fn winders_grow_with_the_rig() {
        let settings = MakeUpAllowances::default();
        assert_eq!(
            [3120, 3121, 4320, 4321, 20_000].map(|mm| winder(mm, &settings)),
            [130, 180, 180, 260, 260]
        );
        assert_eq!(winder(1000, &MakeUpAllowances { winders_mm: vec![], ..settings }), 180);
    }

    #[test]
    fn the_order_of_work_is_a_list_to_follow() {
        let mut asked = request();
        asked.inches = true;
        let sheet = make_up(&asked, &MakeUpAllowances::default()).unwrap();
        assert_eq!(
            sheet.order,
            [
                "Cut 118 in of 0.150 mm main line.",
                "Thread on the float 4x14: eye, then the rubbers.",
                "Tie a loop for the pole tip.",
                "Tie a small loop at the other end: 110 1/8 in from loop to loop.",
                "Cut 14 5/16 in of 0.120 mm line and tie the hook 16 barbless; loop the other end: 8 in in all.",
                "Join the hooklength loop to loop and wet the knots before they close.",
                "Set the float 82 11/16 in from the hook.",
                "8 in from the hook: 1 x No. 10 (dropper).",
                "15 3/4 in from the hook: 1 x No. 10 (dropper).",
                "23 5/8 in from the hook: 9 x No. 10 (bulk).",
                "Back shot, in wind: 2 x No. 8, 17 11/16 in above the float.",
                "Dot the float in a glass of water and write down what really dotted it.",
                "Put it on a winder of 5 1/8 in and write the rig’s name on it.",
            ]
        );
    }

    #[test]
    fn a_set_is_added_up() {
        let sheet = make_up(&request(), &MakeUpAllowances::default()).unwrap();
        let totals = totals(&[sheet.clone(), sheet]);
        let tally = |name: &str, count| Tally { name: name.to_owned(), count };
        assert_eq!(totals.shots, [tally("No. 10", 22), tally("No. 8", 4)]);
        assert_eq!(totals.floats, [tally("4x14", 2)]);
        assert_eq!(totals.hooks, [tally("16 barbless", 2)]);
        assert_eq!(totals.winders, [tally("130 mm", 2)]);
        assert_eq!(totals.line_mm, [tally("0.150 mm", 5994), tally("0.120 mm", 726)]);
    }

    #[test]
    fn unsound_requests_are_refused() {
        let refuse = |change: &dyn Fn(&mut SheetRequest)| {
            let mut bad = request();
            change(&mut bad);
            let error = make_up(&bad, &MakeUpAllowances::default()).unwrap_err();
            (error.code(), error.field().to_owned())
        };
        assert_eq!(refuse(&|r| r.shot_names.truncate(1)), ("no_name", "shot_names".into()));
        assert_eq!(refuse(&|r| r.above_float_mm = -1), ("out_of_range", "above_float_mm".into()));
        assert_eq!(refuse(&|r| r.main_diameter_mm = f64::NAN), ("out_of_range", "main_diameter_mm".into()));
        assert_eq!(refuse(&|r| r.layout.groups[0].from_hook_mm = 0), ("below_hook", "layout.pattern".into()));
        assert_eq!(refuse(&|r| r.layout.groups.clear()), ("no_shots", "layout.shots".into()));
        assert_eq!(refuse(&|r| r.above_float_mm = 400), ("out_of_range", "back_shot.above_float_mm".into()));
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x5ee, 256, 20_000))]

        /// What is read off the rule is within half of its smallest mark.
        #[test]
        fn a_rule_is_read_to_half_a_mark(mm in 0_i32..20_000) {
            let text = rule(mm, true);
            let number = text.strip_suffix(" in").unwrap();
            let mut inches = 0.0;
            for part in number.split(' ') {
                inches += match part.split_once('/') {
                    Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
                    None => part.parse::<f64>().unwrap(),
                };
            }
            prop_assert!((inches * 25.4 - f64::from(mm)).abs() <= 25.4 / 32.0 + 1e-9);
        }
    }
}
