//! From the plan to everything that the screens show, in one pure call.
//!
//! This is where the plan's whole numbers become the requests of the rooms below, and where their answers become
//! the five lines of the day.

pub mod bait_depth;
pub mod kit;
pub mod prep;
pub mod rig_depth;
pub mod session_setup;
pub mod weather;

use crate::bait::amount::{self, Amount, AmountRequest};
use crate::bait::sink::{Band, Label, Sink, SinkRequest, Verdict};
use crate::bait::tub_test::TubResult;
use crate::plan::check::{Warning, warnings};
use crate::plan::{self, Dotted, Pick, Plan, Purpose, Rig, Start};
use crate::refusal::Refusal;
use crate::results::kit::{Needs, PackGroup, kit};
use crate::rig::balance::{
    Balance, BalanceRequest, BoxedShot, Float, Hook, LinePiece, Resting, ShotCount, ShotSet, State, Taste,
    balance,
};
use crate::rig::layout::{Group, Layout, LayoutRequest, Pattern, Role, Shots, lay_out};
use crate::units::{
    LengthUnits, Quantity, TenthMg, Units, clock_words, day_words, duration_words, fixed, weekday,
};
use prep::Step;
use serde::Serialize;
use weather::Point;

/// Density of nylon line, kg/m3 (design value of EN 12524 and NIST's list: 1140 to 1150).
const NYLON_KG_PER_M3: f64 = 1140.0;
/// Density of a bait whose own cannot be worked out, kg/m3: a usual cube's.
const USUAL_KG_PER_M3: f64 = 1040.0;
/// Density of a steel hook, kg/m3 (7800 to 7900 in EN 12524; 7850 is the usual figure).
const STEEL_KG_PER_M3: f64 = 7850.0;
/// The depth of the trade's own check, 18 inches, in metres.
const EIGHTEEN_INCHES_M: f64 = 0.4572;
/// How high above the lowest shot a strung pattern reaches, as a share of the way to the float.
const STRUNG_TO: f64 = 0.85;

/// How long a piece takes to a depth that matters.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NamedFall {
    /// What is at that depth: a rig, the bottom, or the trade's 18 inches.
    pub name: String,
    /// The depth, m.
    pub depth_m: f64,
    /// Time there, s; nothing when the bait may float.
    pub time_s: Option<Band>,
}

/// What another cube or other water would do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Alternative {
    /// What is changed.
    pub what: String,
    /// The speed, m/s.
    pub speed_m_per_s: Band,
    /// The middle time to 18 inches, s; nothing when it floats.
    pub eighteen_inches_s: Option<f64>,
}

/// A rig with its shot and their places.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RigDay {
    /// Its name.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// From the float to the hook, m.
    pub depth_m: f64,
    /// What the balancer found, or why it could not.
    pub balance: Option<Balance>,
    /// The set that is used: the one the user chose, else the first of the list.
    pub chosen: Option<ShotSet>,
    /// Where the shot goes.
    pub layout: Option<Layout>,
    /// Why there is no set or no layout, as a sentence.
    pub trouble: Option<String>,
    /// `11 × No. 10`.
    pub shot_words: String,
    /// Where it goes, in words.
    pub layout_words: String,
}

impl RigDay {
    /// What the rig is for, in words.
    #[must_use]
    pub fn purpose_words(&self) -> &'static str {
        self.purpose.words().get(self.purpose.index()).copied().unwrap_or("")
    }
}

/// One of the day's five lines.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Line {
    /// What it answers.
    pub title: &'static str,
    /// The answer.
    pub main: String,
    /// What stands beside it.
    pub aside: String,
    /// Why.
    pub reason: String,
}

/// One place in the order of trying the rigs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Turn {
    /// Place of the rig in the plan.
    pub rig: usize,
    /// Its name.
    pub name: String,
    /// When and why.
    pub reason: String,
}

/// Everything that the screens show.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Day {
    /// The plan's form.
    pub version: u16,
    /// Date and times in words.
    pub when: String,
    /// Temperature of the water that bait and rigs are worked out for, °C: the mean of surface and bottom.
    pub water_c: f64,
    /// How the bait sinks, or nothing with the reason in `trouble`.
    pub sink: Option<Sink>,
    /// The same by the label alone.
    pub by_label: Option<Sink>,
    /// What the drops of the tub test told, if there are any; its first target is the lake.
    pub tub: Option<TubResult>,
    /// Times to the depths that matter.
    pub falls: Vec<NamedFall>,
    /// What changes the fall.
    pub alternatives: Vec<Alternative>,
    /// How much bait.
    pub amount: Option<Amount>,
    /// What could not be worked out, a sentence each.
    pub trouble: Vec<String>,
    /// Preparation, worked back from the all-in.
    pub prep: Vec<Step>,
    /// Rigs with shot and places.
    pub rigs: Vec<RigDay>,
    /// What speaks for shallow or for the bottom.
    pub points: Vec<Point>,
    /// Whether to start shallow.
    pub shallow: bool,
    /// The order in which to try the rigs.
    pub order: Vec<Turn>,
    /// The kit.
    pub kit: Vec<PackGroup>,
    /// Warnings.
    pub warnings: Vec<Warning>,
    /// The day in five lines.
    pub lines: Vec<Line>,
}

impl Day {
    /// Whether the bait is lighter than the water by what is known of it, so that it has no fall and no time.
    #[must_use]
    pub fn floats(&self) -> bool {
        self.sink.as_ref().is_some_and(|sink| sink.verdict == Verdict::Floats)
    }
}

/// Works out the whole day of a plan; texts in `units`.
///
/// The plan is taken to be within its limits ([`Plan::check`]). What cannot be worked out is told in `trouble` and
/// left out; nothing in here fails.
#[must_use]
pub fn day(plan: &Plan, units: Units) -> Day {
    let mut trouble = Vec::new();
    let water_c = water_c(plan);
    let mut falls = depths(plan, units);
    let depths_m: Vec<f64> = falls.iter().map(|f| f.depth_m).collect();
    let fall = bait_depth::fall(plan, units, &depths_m, &mut trouble);
    let sink_answer = fall.sink;
    if let Some(sink) = &sink_answer {
        bait_depth::put_times(&mut falls, &sink.falls);
    }
    let mass_g = sink_answer.as_ref().map_or(0.0, |s| s.mass_g);
    let density = sink_answer.as_ref().map_or(USUAL_KG_PER_M3, |s| s.density_kg_per_m3.mid);
    let amount_answer = noted(amount::amount(&amount_request(plan, mass_g)), &mut trouble);
    let rigs: Vec<RigDay> = plan.rigs.iter().map(|rig| rig_day(plan, rig, density, water_c, units)).collect();
    let tins = amount_answer.as_ref().map_or(0, |a| i32::try_from(a.tins).unwrap_or(i32::MAX));
    let bags = amount_answer.as_ref().map_or(0, |a| i32::try_from(a.bags).unwrap_or(i32::MAX));
    let points = weather::points(plan);
    let shallow = match plan.weather.start {
        Start::Shallow => true,
        Start::Bottom => false,
        Start::ByThePoints => points.iter().map(|p| p.points).sum::<i32>() >= weather::SHALLOW_FROM,
    };
    let prep = prep::checklist(plan, tins);
    let order = order(plan, shallow);
    let mut warnings = warnings(plan, units);
    if let Some(a) = &amount_answer {
        amount_warnings(plan, a, &mut warnings);
    }
    let mut day = Day {
        version: plan::VERSION,
        when: when(plan),
        water_c,
        alternatives: fall.alternatives,
        sink: sink_answer,
        by_label: fall.by_label,
        tub: fall.tub,
        falls,
        amount: amount_answer,
        trouble,
        prep,
        kit: kit(plan, Needs { tins, bags, units, rigs: &rigs }),
        rigs,
        points,
        shallow,
        order,
        warnings,
        lines: Vec::new(),
    };
    rig_depth::pack(plan, &mut day, units);
    day.lines = lines(plan, &day, units);
    day
}

/// The answer, or its refusal noted among the troubles.
fn noted<T>(answer: Result<T, Refusal>, trouble: &mut Vec<String>) -> Option<T> {
    answer.map_err(|e| trouble.push(e.to_string())).ok()
}

/// Temperature that bait and rigs meet on their way down, °C.
#[must_use]
pub fn water_c(plan: &Plan) -> f64 {
    let surface = plan.water.surface_tenth_c;
    f64::from(surface + plan.water.bottom_tenth_c.unwrap_or(surface)) / 20.0
}

/// Date and times in words.
fn when(plan: &Plan) -> String {
    let day = &plan.day;
    [&day_words(day.date.0), ", ", &clock_words(day.all_in_min), " to ", &clock_words(day.all_out_min)]
        .concat()
}

fn metres(tenth_mm: i32) -> f64 {
    f64::from(tenth_mm) * 1e-4
}

/// The depths that matter, without times yet: 18 inches, each rig that hangs, the bottom.
fn depths(plan: &Plan, units: Units) -> Vec<NamedFall> {
    let fall = |name: String, depth_m: f64| NamedFall { name, depth_m, time_s: None };
    let eighteen = match units.lengths {
        LengthUnits::Imperial => "18 inches".to_owned(),
        LengthUnits::Metric => units.depth_m(EIGHTEEN_INCHES_M),
    };
    let mut falls = vec![fall(eighteen, EIGHTEEN_INCHES_M)];
    for rig in plan.rigs.iter().filter(|r| r.purpose == Purpose::Shallow) {
        falls.push(fall(["Rig ", &rig.name].concat(), metres(rig.depth_tenth_mm)));
    }
    falls.push(fall("Bottom".to_owned(), metres(plan.water.depth_tenth_mm)));
    falls
}

/// The tin's label as the bait's room wants it.
#[must_use]
pub fn label(plan: &Plan) -> Label {
    let tin = &plan.tin;
    let g = |tenth: i32| f64::from(tenth) / 10.0;
    Label {
        fat_g: g(tin.fat_tenth_g),
        protein_g: g(tin.protein_tenth_g),
        carbohydrate_g: g(tin.carbohydrate_tenth_g),
        salt_g: g(tin.salt_tenth_g),
        fibre_g: g(tin.fibre_tenth_g.unwrap_or(0)),
        ash_g: None,
    }
}

fn mm(tenth_mm: i32) -> f64 {
    f64::from(tenth_mm) / 10.0
}

/// What the sinking of this plan's bait is asked with.
#[must_use]
pub fn sink_request(plan: &Plan, depths_m: Vec<f64>) -> SinkRequest {
    SinkRequest {
        matter: bait_depth::matter(plan),
        shape: bait_depth::shape(plan),
        water_temperature_c: water_c(plan),
        depths_m,
    }
}

/// What the amounts of this plan are asked with.
#[must_use]
pub fn amount_request(plan: &Plan, cube_mass_g: f64) -> AmountRequest {
    let count = |n: i32| u32::try_from(n).unwrap_or(0);
    AmountRequest {
        phases: plan
            .feed
            .iter()
            .map(|phase| amount::Phase {
                line: line_name(plan, phase.line),
                method: match phase.method {
                    plan::Method::Hand => amount::Method::Hand,
                    plan::Method::Catapult => amount::Method::Catapult,
                    plan::Method::PoleCup => amount::Method::PoleCup,
                },
                start_min: f64::from(phase.start_min),
                minutes: f64::from(phase.minutes),
                cubes_per_feed: count(phase.cubes),
                seconds_between: f64::from(phase.every_s),
            })
            .collect(),
        edge_mm: mm(plan.bait.edge_tenth_mm),
        cube_mass_g,
        block: amount::Block {
            length_mm: mm(plan.tin.length_tenth_mm),
            width_mm: mm(plan.tin.width_tenth_mm),
            height_mm: mm(plan.tin.height_tenth_mm),
            net_g: f64::from(plan.tin.net_g),
        },
        pitch_mm: mm(plan.bait.edge_tenth_mm + plan.bait.blade_tenth_mm),
        hook_baits: count(plan.bait.hook_baits),
        reserve_share: f64::from(plan.bait.reserve_tenth_percent) / 1000.0,
        limit: plan.rules.tins.map(|tins| amount::Limit::Tins { tins: f64::from(tins) }),
        bag_g: f64::from(plan.bait.bag_g),
        tins_in_hand: (plan.bait.tins_in_hand > 0).then(|| count(plan.bait.tins_in_hand)),
    }
}

/// The name of a pole line by its place.
#[must_use]
pub fn line_name(plan: &Plan, place: i32) -> String {
    usize::try_from(place).ok().and_then(|i| plan.lines.get(i)).map_or_else(String::new, |l| l.name.clone())
}

/// What the balancer is asked for one rig.
#[must_use]
pub fn balance_request(plan: &Plan, rig: &Rig, bait_kg_per_m3: f64, water_c: f64) -> BalanceRequest {
    let exact = |tenth_mg: i32| TenthMg(u32::try_from(tenth_mg).unwrap_or(0));
    let piece = |tenth_mm: i32, um: i32| LinePiece {
        length_m: metres(tenth_mm),
        diameter_mm: f64::from(um) / 1000.0,
        density_kg_per_m3: NYLON_KG_PER_M3,
    };
    let hooklength = rig.hooklength_tenth_mm.min(rig.depth_tenth_mm);
    BalanceRequest {
        float: Float {
            load_tenth_mg: exact(rig.load_tenth_mg),
            tip_diameter_mm: f64::from(rig.tip_um) / 1000.0,
            tip_length_mm: mm(rig.tip_length_tenth_mm),
            own_mass_tenth_mg: None,
        },
        temperature_c: water_c,
        shot_box: plan
            .shot_box
            .iter()
            .enumerate()
            .map(|(i, shot)| BoxedShot {
                name: shot.name.clone(),
                mass_tenth_mg: exact(shot.mass_tenth_mg),
                density_kg_per_m3: f64::from(shot.density_kg_per_m3),
                count: u32::try_from(shot.count).unwrap_or(0),
                fixed: droppers_of(rig, i),
            })
            .collect(),
        hook: Some(Hook { mass_tenth_mg: exact(rig.hook_tenth_mg), density_kg_per_m3: STEEL_KG_PER_M3 }),
        bait: Some(crate::rig::balance::Bait {
            side_mm: bait_depth::cube_mm(plan),
            density_kg_per_m3: bait_kg_per_m3,
        }),
        line: vec![piece(rig.depth_tenth_mm - hooklength, rig.main_um), piece(hooklength, rig.hooklength_um)],
        resting: Resting::default(),
        wanted_tip_mm: mm(rig.show_tenth_mm.min(rig.tip_length_tenth_mm)),
        wanted_state: match rig.dotted {
            Dotted::Hanging => State::BaitHanging,
            Dotted::OnBottom => State::BaitOnBottom,
        },
        max_sizes: u32::try_from(rig.most_sizes).unwrap_or(1),
        max_shots: u32::try_from(rig.most_shots).unwrap_or(1),
        taste: match rig.taste {
            plan::Taste::ManySmall => Taste::ManySmall,
            plan::Taste::FewLarge => Taste::FewLarge,
        },
        close_enough_mm: 1.0,
    }
}

/// How many droppers of the size at place `i` the rig carries.
fn droppers_of(rig: &Rig, i: usize) -> u32 {
    if rig.pattern != plan::Pattern::BulkAndDroppers {
        return 0;
    }
    let mine = rig.droppers.iter().filter(|d| usize::try_from(d.shot) == Ok(i));
    mine.map(|d| u32::try_from(d.count).unwrap_or(0)).sum()
}

/// Balances and lays out one rig.
fn rig_day(plan: &Plan, rig: &Rig, bait_kg_per_m3: f64, water_c: f64, units: Units) -> RigDay {
    let mut day = RigDay {
        name: rig.name.clone(),
        purpose: rig.purpose,
        depth_m: metres(rig.depth_tenth_mm),
        balance: None,
        chosen: None,
        layout: None,
        trouble: None,
        shot_words: String::new(),
        layout_words: String::new(),
    };
    let answer = match balance(&balance_request(plan, rig, bait_kg_per_m3, water_c)) {
        Ok(answer) => answer,
        Err(e) => {
            day.trouble = Some(e.to_string());
            return day;
        }
    };
    day.chosen = chosen(plan, rig, &answer).cloned();
    if let Some(set) = &day.chosen {
        day.shot_words = shot_words(&set.shots);
        match layout_of(rig, set) {
            Ok(layout) => {
                day.layout_words = layout_words(plan, &layout, units);
                day.layout = Some(layout);
            }
            Err(sentence) => day.trouble = Some(sentence),
        }
    } else {
        day.trouble = Some("No set of shot from the box brings the water onto this float’s tip.".to_owned());
    }
    day.balance = Some(answer);
    day
}

/// Whether a set holds lead that the law does not allow.
#[must_use]
pub fn holds_banned_lead(plan: &Plan, set: &ShotSet) -> bool {
    let banned = |s: &ShotCount| plan.shot_box.get(s.index).is_some_and(|shot| shot.lead_law().is_banned());
    set.shots.iter().any(banned)
}

/// The set that the user chose, while the list still holds it; else the first that the law allows, if one does.
fn chosen<'a>(plan: &Plan, rig: &Rig, answer: &'a Balance) -> Option<&'a ShotSet> {
    let same = |set: &&ShotSet| {
        set.shots.len() == rig.set.len()
            && set.shots.iter().all(|s| {
                rig.set
                    .iter()
                    .any(|c| usize::try_from(c.shot) == Ok(s.index) && u32::try_from(c.count) == Ok(s.count))
            })
    };
    let sets = || answer.sets.iter();
    sets().find(same).or_else(|| sets().find(|set| !holds_banned_lead(plan, set))).or_else(|| sets().next())
}

/// `9 × No. 10 and 2 × No. 12`.
fn shot_words(shots: &[ShotCount]) -> String {
    let words: Vec<String> = shots.iter().map(|s| [&s.count.to_string(), " × ", &s.name].concat()).collect();
    words.join(" and ")
}

/// Places the set on the line as the rig's pattern says.
fn layout_of(rig: &Rig, set: &ShotSet) -> Result<Layout, String> {
    let whole_mm = |tenth_mm: i32| (tenth_mm + 5) / 10;
    let shots: Vec<Shots> = set.shots.iter().map(|s| Shots { shot: s.index, count: s.count }).collect();
    let (depth, bulk) = (whole_mm(rig.depth_tenth_mm), whole_mm(rig.bulk_from_hook_tenth_mm).max(1));
    let mut request = LayoutRequest {
        float_to_hook_mm: depth,
        hooklength_mm: whole_mm(rig.hooklength_tenth_mm.min(rig.depth_tenth_mm)),
        shots,
        pattern: Pattern::SingleBulk { bulk_mm: bulk },
        on_hooklength: true,
    };
    match rig.pattern {
        plan::Pattern::Bulk => {}
        plan::Pattern::Strung => {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a share of a length that is within its limits"
            )]
            let highest_mm = bulk + (f64::from((depth - bulk).max(0)) * STRUNG_TO) as i32;
            request.pattern = Pattern::Strung { lowest_mm: bulk, highest_mm };
        }
        plan::Pattern::BulkAndDroppers => return with_droppers(rig, request, bulk),
    }
    lay_out(&request).map_err(|e| e.to_string())
}

/// A bulk with the rig's droppers below it, each of its own size.
fn with_droppers(rig: &Rig, mut request: LayoutRequest, bulk: i32) -> Result<Layout, String> {
    let mut groups = Vec::new();
    for dropper in &rig.droppers {
        let shot = usize::try_from(dropper.shot).unwrap_or(0);
        let count = u32::try_from(dropper.count).unwrap_or(0);
        if let Some(left) = request.shots.iter_mut().find(|s| s.shot == shot) {
            left.count = left.count.saturating_sub(count);
        }
        let from_hook_mm = (dropper.from_hook_tenth_mm + 5) / 10;
        groups.push(Group { from_hook_mm, shot, count, role: Role::Dropper });
    }
    let bulk_shots = request.shots.iter().filter(|s| s.count > 0);
    groups.extend(bulk_shots.map(|s| Group {
        from_hook_mm: bulk,
        shot: s.shot,
        count: s.count,
        role: Role::Bulk,
    }));
    crate::small::sort_by_key(&mut groups, |g| g.from_hook_mm);
    let layout = Layout {
        float_to_hook_mm: request.float_to_hook_mm,
        hooklength_mm: request.hooklength_mm,
        on_hooklength: request.on_hooklength,
        groups,
    };
    layout.check().map_err(|e| e.to_string())?;
    Ok(layout)
}

/// `9 as a bulk 60 cm from the hook, droppers at 30 and 10 cm`.
fn layout_words(plan: &Plan, layout: &Layout, units: Units) -> String {
    let at = |from_hook_mm: i32| units.text(from_hook_mm.saturating_mul(10), Quantity::Depth);
    let count = |role: Role| layout.groups.iter().filter(|g| g.role == role).map(|g| g.count).sum::<u32>();
    let mut words = Vec::new();
    if let Some(bulk) = layout.groups.iter().find(|g| g.role == Role::Bulk) {
        words.push(
            [&count(Role::Bulk).to_string(), " as a bulk ", &at(bulk.from_hook_mm), " from the hook"]
                .concat(),
        );
    }
    let droppers = layout.groups.iter().rev().filter(|g| g.role == Role::Dropper);
    for dropper in droppers {
        let name = plan.shot_box.get(dropper.shot).map_or("", |s| s.name.as_str());
        let times = if dropper.count > 1 { dropper.count.to_string() + " × " } else { String::new() };
        words.push(["dropper ", &times, name, " at ", &at(dropper.from_hook_mm)].concat());
    }
    let strung: Vec<i32> =
        layout.groups.iter().filter(|g| g.role == Role::Strung).map(|g| g.from_hook_mm).collect();
    if let (Some(lowest), Some(highest)) = (strung.first(), strung.last()) {
        words.push(["strung out from ", &at(*lowest), " to ", &at(*highest), " above the hook"].concat());
    }
    words.join(", ")
}

/// The order in which to try the rigs. Common practice: start in the middle of the shallow ladder or on the bottom,
/// and when it goes quiet pick up the next deeper rig, then the next.
fn order(plan: &Plan, shallow: bool) -> Vec<Turn> {
    let mut up: Vec<usize> = Vec::new();
    let mut down: Vec<usize> = Vec::new();
    for (i, rig) in plan.rigs.iter().enumerate() {
        if rig.purpose == Purpose::Shallow { up.push(i) } else { down.push(i) }
    }
    let depth = |i: &usize| plan.rigs.get(*i).map_or(0, |r| r.depth_tenth_mm);
    crate::small::sort_by_key(&mut up, depth);
    let mut turns: Vec<(usize, &str)> = Vec::new();
    let middle = up.len().saturating_sub(1) / 2;
    let (above, from_middle) = up.split_at(middle.min(up.len()));
    let deeper = from_middle.iter().skip(1).map(|&i| (i, "When bites slow down: the next deeper."));
    let first = from_middle.first();
    let shallower = above.iter().rev().map(|&i| (i, "When bites come as the bait lands: shallower."));
    if shallow {
        turns.extend(first.map(|&i| (i, "The middle of the shallow rigs shows soonest which way to go.")));
        turns.extend(deeper);
        turns.extend(shallower);
        turns.extend(down.iter().map(|&i| (i, "When the top goes quiet: the bottom.")));
    } else {
        let mut why = "The points speak for the bottom.";
        for &i in &down {
            turns.push((i, why));
            why = "When the first line goes quiet: rest it and try this one.";
        }
        let mut late: Vec<usize> = up.clone();
        late.reverse();
        turns.extend(late.into_iter().map(|i| (i, "When fish show in the water, or line bites come.")));
    }
    turns
        .into_iter()
        .map(|(rig, why)| Turn {
            rig,
            name: plan.rigs.get(rig).map_or_else(String::new, |r| r.name.clone()),
            reason: why.to_owned(),
        })
        .collect()
}

/// What the amounts tell that breaks a rule or does not add up.
fn amount_warnings(plan: &Plan, amount: &Amount, warnings: &mut Vec<Warning>) {
    let mut add = |code, field: &str, rule, parts: &[&str]| {
        warnings.push(Warning { code, field: field.to_owned(), sentence: parts.concat(), rule });
    };
    if let Some(most) = plan.rules.tins
        && i64::from(amount.tins) > i64::from(most)
    {
        let (need, most) = (amount.tins.to_string(), most.to_string());
        add(
            "tin_limit",
            "rules.tins",
            true,
            &[
                "The feeding takes ",
                &need,
                " tins and the venue allows ",
                &most,
                ". Feed less, or less often.",
            ],
        );
    }
    if amount.block_mismatch {
        add(
            "block",
            "tin.net",
            false,
            &["The block’s size and the net mass do not fit together. Measure the block again."],
        );
    }
    for (i, (phase, counted)) in plan.feed.iter().zip(&amount.phases).enumerate() {
        let span = plan.day.all_out_min - plan.day.all_in_min;
        let span = if span <= 0 { span + 1440 } else { span };
        if phase.start_min + phase.minutes > span {
            let path = ["feed.", &i.to_string(), ".minutes"].concat();
            add("late_feed", &path, false, &["This feeding goes on after the all-out."]);
        }
        if counted.too_fast {
            let path = ["feed.", &i.to_string(), ".every"].concat();
            add("fast_feed", &path, false, &["This rhythm is hard to keep up this way for long."]);
        }
    }
}

/// The day in five lines.
fn lines(plan: &Plan, day: &Day, units: Units) -> Vec<Line> {
    vec![
        start_line(plan, day, units),
        bait_line(plan, day, units),
        prep_line(plan, day),
        leave_line(plan),
        rules_line(day),
    ]
}

fn start_line(plan: &Plan, day: &Day, units: Units) -> Line {
    let first = day.order.first().and_then(|t| plan.rigs.get(t.rig));
    let main = first.map_or_else(String::new, |rig| {
        let depth = units.text(rig.depth_tenth_mm, Quantity::Depth);
        ["Rig ", &rig.name, ", ", &depth, ", ", &line_name(plan, rig.line)].concat()
    });
    let words: Vec<&str> = day.points.iter().filter(|p| p.points != 0).map(|p| p.what).collect();
    let verdict = match (plan.weather.start, day.shallow) {
        (Start::ByThePoints, true) => "fish likely up in the water. Bottom rig ready beside it.",
        (Start::ByThePoints, false) => "fish likely on the bottom. A shallow rig ready beside it.",
        (_, true) => "shallow because you chose so. Bottom rig ready beside it.",
        (_, false) => "the bottom because you chose so. A shallow rig ready beside it.",
    };
    let mut reason = words.join(", ");
    if let Some(first) = reason.get_mut(..1) {
        first.make_ascii_uppercase();
        reason.push_str(": ");
    }
    reason.push_str(verdict);
    Line { title: "Start on", main, aside: String::new(), reason }
}

fn bait_line(plan: &Plan, day: &Day, units: Units) -> Line {
    let Some(amount) = &day.amount else {
        return Line {
            title: "Bait",
            main: "Not worked out".to_owned(),
            aside: String::new(),
            reason: day.trouble.join(" "),
        };
    };
    let floats = if day.floats() { "It floats, being lighter than water. " } else { "" };
    if bait_depth::is_other(plan) {
        return Line {
            title: "Bait",
            main: [&units.number(amount.total_g / 1000.0, 2), " kg"].concat(),
            aside: [&amount.total_cubes.to_string(), " pieces"].concat(),
            reason: [floats, "Not cut from the tin: counted by weight."].concat(),
        };
    }
    let plural = if amount.tins == 1 { " tin" } else { " tins" };
    let aside = plan.rules.tins.map_or_else(
        || "no limit entered".to_owned(),
        |most| ["of ", &most.to_string(), " allowed"].concat(),
    );
    let edge = units.text(plan.bait.edge_tenth_mm, Quantity::Size);
    let fed: i32 = plan.feed.iter().map(|p| p.minutes).sum();
    let reason = [
        floats,
        &edge,
        " cubes, ",
        &amount.total_cubes.to_string(),
        " in all, ",
        &fixed(amount.total_g / 1000.0, 2),
        " kg, fed over ",
        &duration_words(fed),
        ".",
    ]
    .concat();
    Line { title: "Bait", main: amount.tins.to_string() + plural, aside, reason: units.prose(&reason) }
}

/// A moment of the preparation in words: the weekday where it is not the day itself.
#[must_use]
pub fn moment(plan: &Plan, minutes: i32) -> String {
    let days = minutes.div_euclid(1440);
    let clock = clock_words(minutes);
    if days == 0 {
        return clock;
    }
    [weekday(plan.day.date.0.saturating_add(days)), " ", &clock].concat()
}

fn prep_line(plan: &Plan, day: &Day) -> Line {
    let find = |id: &str| day.prep.iter().find(|s| s.id == id);
    let main = find("cut").map_or_else(String::new, |s| moment(plan, s.start_min));
    let mut reason = Vec::new();
    if let Some(buy) = find("buy") {
        reason.push(["Buy by ", &moment(plan, buy.end_min), "."].concat());
    }
    if let (Some(freeze), Some(thaw)) = (find("freeze"), find("thaw")) {
        let (frozen, out) = (moment(plan, freeze.end_min), moment(plan, thaw.start_min));
        reason.push(["Bags frozen by ", &frozen, ", out at ", &out, "."].concat());
    } else if let Some(bag) = find("bag") {
        reason.push(["Bagged by ", &moment(plan, bag.end_min), ", used fresh."].concat());
    }
    let aside = if plan.bait.washed { "cut and wash" } else { "cut" };
    Line { title: "Prep", main, aside: aside.to_owned(), reason: reason.join(" ") }
}

fn leave_line(plan: &Plan) -> Line {
    let d = &plan.day;
    Line {
        title: "Leave",
        main: moment(plan, d.draw_min - d.travel_min),
        aside: ["for a ", &clock_words(d.draw_min), " draw"].concat(),
        reason: ["All-in at ", &clock_words(d.all_in_min), ", ", &duration_words(d.setup_min), " to set up."]
            .concat(),
    }
}

fn rules_line(day: &Day) -> Line {
    let broken: Vec<&Warning> = day.warnings.iter().filter(|w| w.rule).collect();
    let others = day.warnings.len() - broken.len();
    let main = match broken.len() {
        0 => "None broken".to_owned(),
        1 => "One broken".to_owned(),
        n => n.to_string() + " broken",
    };
    let mut reason: Vec<&str> = broken.iter().map(|w| w.sentence.as_str()).take(3).collect();
    if broken.is_empty() {
        reason.push("As far as the rules are entered. The venue’s own board has the last word.");
    }
    let aside = match others {
        0 => String::new(),
        1 => "one thing to look at".to_owned(),
        n => n.to_string() + " things to look at",
    };
    Line { title: "Rules", main, aside, reason: reason.join(" ") }
}
