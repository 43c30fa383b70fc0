//! Which fields each type has as a plain object. The names are the fields' own; the compiler refuses a list that
//! leaves one out of a type that is taken.

use super::{Give, Object, Take, Value, WrongShape, field, field_or, known, wrong};
use crate::bait::{amount, calendar_file, cold, floaters, material, shape, sink, timetable, tub_test, wash};
use crate::estimate::Estimate;
use crate::plan::{self, presets};
use crate::results::{self, bait, headlines, kit, order, prep, rigs, warnings, weather};
use crate::rig::{balance, layout};
use crate::units;
use crate::units::{DecimalSign, LengthUnits, TenthMg, Units};

/// A type that is taken and given, with every field listed.
macro_rules! both {
    ($kind:path { $($name:ident $(= $otherwise:expr)?),* $(,)? }) => {
        take!($kind { $($name $(= $otherwise)?),* });
        give!($kind { $($name),* });
    };
}

/// A type that is taken. `name = value` is what a left-out field is.
macro_rules! take {
    ($kind:path { $($name:ident $(= $otherwise:expr)?),* $(,)? }) => {
        impl Take for $kind {
            fn take(value: &Value) -> Result<Self, WrongShape> {
                known(value, &[$(stringify!($name)),*])?;
                Ok(Self { $($name: take!(@ value $name $($otherwise)?)),* })
            }
        }
    };
    (@ $value:ident $name:ident) => { field($value, stringify!($name))? };
    (@ $value:ident $name:ident $otherwise:expr) => { field_or($value, stringify!($name), $otherwise)? };
}

/// A type that is given.
macro_rules! give {
    ($kind:path { $($name:ident),* $(,)? }) => {
        impl Give for $kind {
            fn give(&self) -> Value {
                let names: &[&str] = &[$(stringify!($name)),*];
                let mut object = Object::new(names.len());
                $(object.put(stringify!($name), self.$name.give());)*
                object.done()
            }
        }
    };
}

/// A choice by name.
macro_rules! words {
    ($kind:path { $($variant:ident = $word:literal),* $(,)? }) => {
        impl Take for $kind {
            fn take(value: &Value) -> Result<Self, WrongShape> {
                match value {
                    $(Value::Text(text) if text == $word => Ok(Self::$variant),)*
                    _ => wrong(concat!("one of", $(" ", $word),*)),
                }
            }
        }
        impl Give for $kind {
            fn give(&self) -> Value {
                Value::Text(match self { $(Self::$variant => $word),* }.to_owned())
            }
        }
    };
}

impl Take for TenthMg {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        u32::take(value).map(Self)
    }
}

impl Give for TenthMg {
    fn give(&self) -> Value {
        self.0.give()
    }
}

impl Take for plan::Date {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        let text = String::take(value)?;
        units::date_from(&text).map_or_else(|| wrong("a date such as 2026-07-11"), |days| Ok(Self(days)))
    }
}

impl Give for plan::Date {
    fn give(&self) -> Value {
        Value::Text(Units::default().bare(self.0, units::Quantity::Date))
    }
}

words!(LengthUnits { Imperial = "imperial", Metric = "metric" });
words!(DecimalSign { Point = "point", Comma = "comma" });
both!(Units { lengths = LengthUnits::Imperial, sign = DecimalSign::Point });

words!(plan::Sky { Bright = "bright", Mixed = "mixed", Overcast = "overcast" });
words!(plan::Wind { Still = "still", Light = "light", Fresh = "fresh", Strong = "strong" });
words!(plan::Trend { Falling = "falling", Steady = "steady", Rising = "rising" });
words!(plan::Start { ByThePoints = "by_the_points", Shallow = "shallow", Bottom = "bottom" });
words!(plan::Method { Hand = "hand", Catapult = "catapult", PoleCup = "pole_cup" });
words!(plan::Lead { AsTheLaw = "as_the_law", None = "none" });
words!(plan::Purpose { Bottom = "bottom", Shallow = "shallow" });
words!(plan::Pattern { BulkAndDroppers = "bulk_and_droppers", Strung = "strung", Bulk = "bulk" });
words!(plan::ShotPreference { ManySmall = "many_small", FewLarge = "few_large" });
words!(plan::DottedWith { Hanging = "hanging", OnBottom = "on_bottom" });
words!(plan::Group { Bait = "bait", Rigs = "rigs", Peg = "peg", Person = "person" });

both!(plan::DayTimes { date, draw_min, all_in_min, all_out_min, travel_min, setup_min });
both!(plan::Water { venue, peg, depth_tenth_mm, surface_tenth_c, bottom_tenth_c });
both!(plan::Weather { sky, wind, pressure_hpa, trend, start });
both!(plan::Rules { tins, hook, barbless, lead });
both!(plan::PoleLine { name, distance_tenth_mm, depth_tenth_mm });
both!(plan::Tin {
    name,
    fat_tenth_g,
    protein_tenth_g,
    carbohydrate_tenth_g,
    fibre_tenth_g,
    salt_tenth_g,
    net_g,
    length_tenth_mm,
    width_tenth_mm,
    height_tenth_mm,
});
both!(plan::Bait {
    edge_tenth_mm,
    air_tenth_percent,
    washed,
    blade_tenth_mm,
    hook_baits,
    bag_g,
    reserve_tenth_percent,
    tins_in_hand,
});
both!(plan::Feeding { line, method, start_min, minutes, cubes, every_s });
both!(plan::Dropper { from_hook_tenth_mm, shot, count });
both!(plan::ShotCount { shot, count });
both!(plan::Rig {
    name, purpose, line, depth_tenth_mm, float_name, load_tenth_mg, load_measured, tip_um, tip_length_tenth_mm,
    show_tenth_mm, dotted, main_um, main_strength_g, hooklength_tenth_mm, hooklength_um, hooklength_strength_g,
    hook_size, hook_tenth_mg, pattern, bulk_from_hook_tenth_mm, droppers, most_sizes, most_shots, taste,
    set = Vec::new(), more = plan::RigMore::default(),
});
words!(plan::Form { Cube = "cube", Sphere = "sphere", Cylinder = "cylinder", Disc = "disc" });
words!(plan::Around {
    StillAir = "still_air",
    Fan = "fan",
    OnMetal = "on_metal",
    StillWater = "still_water",
    RunningWater = "running_water",
});
both!(plan::Tub {
    depth_tenth_mm, water_tenth_c, drops_ms = Vec::new(), size_tenth_mm = None, by_hand_ms = None, pieces = 0,
    floated = 0, came_up = 0,
});
both!(plan::Cold { bag_tenth_mm, start_tenth_c, freezer_tenth_c, freeze_in, thaw_tenth_c, thaw_in });
both!(plan::Rinse { kept_ml, added_ml, water_tenth_c });
both!(plan::Other { form, second_tenth_mm, density_kg_per_m3 });
both!(plan::BaitMore {
    tub = plan::Tub::default(), cold = plan::Cold::default(), rinse = plan::Rinse::default(),
    other = plan::Other::default(),
});
both!(plan::BankChoices { feed_is_recast = false, fish_g = None, silent = false });
both!(plan::RigMore {
    entry = plan::Entry::Laid, hold = plan::Hold::Held, below_flat_deg = 0,
    lowered_mm_per_s = 30, drift_mm_per_s = 0, drift_depth_tenth_mm = 5_080, above_tenth_mm = 6_096,
    back_shot = false, strength_by = plan::StrengthBy::Spool, knot_tenth_percent = None, elastic_um = None,
    bore_um = None, elastic_tenth_mm = 15_240, kit_tenth_mm = 18_288, shortened_tenth_mm = 0, run_tenth_mm = 30_480,
    glass = Vec::new(), glass_tenth_c = 150, glass_show_tenth_mm = 0, maker_tenth_mg = None,
});
words!(plan::Entry { Laid = "laid", Lowered = "lowered" });
words!(plan::Hold { Held = "held", Free = "free" });
words!(plan::StrengthBy { Spool = "spool", Diameter = "diameter" });
both!(plan::BoxShot { name, mass_tenth_mg, density_kg_per_m3, count });
both!(plan::Prep { buy_min, cut_min, wash_min, drain_min, bag_min, freeze_min, thaw_min, pack_min });
both!(plan::KitItem { group, name, count });
both!(plan::KitCount { id, count });
both!(plan::Plan {
    version = plan::VERSION, name, day, water, weather, rules, lines, tin, bait, feed, rigs, shot_box, prep,
    kit = Vec::new(), kit_counts = Vec::new(), note = String::new(),
    bait_more = plan::BaitMore::default(), bank = plan::BankChoices::default(),
});
give!(presets::Preset { id, title, plan });
give!(warnings::Warning { code, field, sentence, rule });

both!(material::Label { fat_g, protein_g, carbohydrate_g, salt_g, fibre_g = 0.0, ash_g });
take!(sink::SinkRequest { matter, shape, water_temperature_c, depths_m = Vec::new() });
give!(Estimate { low, mid, high });
give!(sink::FallTime { depth_m, low_s, mid_s, high_s });
give!(sink::LawSpeed { law, speed_m_per_s, reynolds, drag_coefficient });
words!(sink::Verdict { Sinks = "sinks", MaySink = "may_sink", Floats = "floats" });
give!(sink::Sink {
    verdict,
    water_kg_per_m3,
    density_kg_per_m3,
    mass_g,
    speed_m_per_s,
    laws,
    start_lag_s,
    falls,
});

give!(tub_test::TargetFall { speed_m_per_s, piece_speed_m_per_s, falls, piece_falls });
give!(tub_test::TubResult {
    drops,
    odd_drops,
    tub_time_s,
    label_tub_time_s,
    agrees_with_label,
    excess_kg_per_m3,
    spread_kg_per_m3,
    spread_share,
    floats_share,
    depth_share,
    targets,
});
take!(tub_test::Drop { dropped_s, landed_s });
take!(tub_test::Target { shape, water_temperature_c, depths_m = Vec::new() });
take!(tub_test::TubTest {
    matter, shape, tub_depth_m, tub_temperature_c, drops, pieces = 0, light = 0, targets = Vec::new(),
});
words!(floaters::Cure {
    None = "none",
    WashAgain = "wash_again",
    SkimOff = "skim_off",
    Thaw = "thaw",
    ChangeTin = "change_tin",
});
take!(floaters::FloatRequest {
    edge_mm, excess_kg_per_m3, water_temperature_c, pieces, floated, came_up_again, maybe_frozen = false,
});
give!(floaters::Hold { edge_mm, carries_kg_per_m3, times_its_weight, clean_enough_deg });
give!(floaters::Floaters { held_share, light_share, cures, this_size, six_and_eight });
words!(cold::Surface {
    StillAir = "still_air",
    Fan = "fan",
    OnMetal = "on_metal",
    StillWater = "still_water",
    RunningWater = "running_water",
});
take!(cold::FreezingRequest { label, thickness_mm, start_c, medium_c, until_c, surface });
give!(cold::Moment { minute, core_c, face_c });
give!(cold::FreezingTime { cooling, minutes, freezing_point_c, plank_min, pham_min, course });
take!(wash::WashRequest { kept_ml, added_ml, left_share = 0.01, water_c, hot_c = 60.0, cold_c = 10.0 });
words!(wash::Heat { Safe = "safe", Prolonged = "prolonged", Scalds = "scalds" });
give!(wash::Wash {
    rinses,
    total_l,
    left_after,
    hot_ml,
    softens_fat,
    heat,
    burns_in_s,
    hot_burns_in_s,
    caution,
});
words!(timetable::When { Any = "any", DayBefore = "day_before", Morning = "morning" });
take!(timetable::Step {
    id, name, minutes, after = Vec::new(), waiting = false, when = timetable::When::default(),
});
take!(timetable::TimetableRequest { steps, begin_min, night_from_min, night_to_min });
give!(timetable::Planned {
    id,
    name,
    minutes,
    waiting,
    start_min,
    end_min,
    earliest_start_min,
    latest_start_min,
    in_the_morning,
    may_be_day_before,
    slowest_chain,
});
give!(timetable::Timetable { steps, first_start_min, first_morning_min, slowest_chain, spare_min, fits });
take!(calendar_file::CivilMinute { year, month, day, hour, minute });
take!(calendar_file::CalendarEvent { uid, start, minutes, summary, description = String::new(), alarm_min_before });

impl Take for u8 {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        Self::try_from(u32::take(value)?).or_else(|_| wrong("a whole number up to 255"))
    }
}

impl Take for shape::Shape {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        let kind: String = field(value, "kind")?;
        let size = |name| field(value, name);
        Ok(match kind.as_str() {
            "cube" => Self::Cube { edge_mm: size("edge_mm")? },
            "sphere" => Self::Sphere { diameter_mm: size("diameter_mm")? },
            "cylinder" => Self::Cylinder { diameter_mm: size("diameter_mm")?, length_mm: size("length_mm")? },
            "disc" => Self::Disc { diameter_mm: size("diameter_mm")?, thickness_mm: size("thickness_mm")? },
            _ => return wrong("of kind cube, sphere, cylinder or disc"),
        })
    }
}

impl Take for material::Matter {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        let kind: String = field(value, "kind")?;
        Ok(match kind.as_str() {
            "label" => {
                Self::Label { label: field(value, "label")?, air_share: field_or(value, "air_share", 0.0)? }
            }
            "density" => Self::Density {
                kg_per_m3: field(value, "kg_per_m3")?,
                sd_kg_per_m3: field_or(value, "sd_kg_per_m3", 0.0)?,
            },
            _ => return wrong("of kind label or density"),
        })
    }
}

words!(balance::DottedWith { BaitHanging = "bait_hanging", BaitOnBottom = "bait_on_bottom" });
words!(balance::ShotPreference { ManySmall = "many_small", FewLarge = "few_large" });
words!(balance::Waterline { BodyShows = "body_shows", OnTip = "on_tip", Under = "under" });
take!(balance::Float { load_tenth_mg, tip_diameter_mm, tip_length_mm, own_mass_tenth_mg });
take!(balance::BoxedShot { name, mass_tenth_mg, density_kg_per_m3, count, fixed = 0 });
take!(balance::Hook { mass_tenth_mg, density_kg_per_m3 });
take!(balance::Bait { side_mm, density_kg_per_m3 });
take!(balance::LinePiece { length_m, diameter_mm, density_kg_per_m3 });
take!(balance::Resting { hook = true, line_m = 0.0 });
take!(balance::BalanceRequest {
    float, temperature_c, shot_box, hook, bait, line = Vec::new(), resting = balance::Resting::default(),
    wanted_tip_mm, wanted_state = balance::DottedWith::default(), max_sizes, max_shots,
    taste = balance::ShotPreference::default(), close_enough_mm = 1.0,
});
give!(balance::ShotCount { index, name, count });
give!(balance::ShotSet {
    shots,
    sizes,
    shots_total,
    mass_tenth_mg,
    remainder_ng,
    off_mm,
    tip_hanging_mm,
    tip_bottom_mm,
    hanging,
    bottom,
    equals,
});
give!(balance::Balance {
    water_kg_per_m3,
    lift_ng,
    tip_ng_per_mm,
    hook_ng,
    bait_ng,
    line_ng,
    resting_ng,
    wanted_shot_ng,
    bait_worth_mm,
    left_out_mm,
    on_tip,
    sets,
});
words!(layout::Role { Bulk = "bulk", Dropper = "dropper", Strung = "strung" });
give!(layout::Group { from_hook_mm, shot, count, role });
give!(layout::Layout { float_to_hook_mm, hooklength_mm, on_hooklength, groups });

give!(amount::Grid { along, across, up });
give!(amount::FeedingAmount { line, feeds, cubes, grams, loads_per_feed, too_fast });
give!(amount::FeedPoint { minute, cubes, grams });
give!(amount::Lasts { tins, cubes, runs_out_min, left_cubes });
give!(amount::Amount {
    phases,
    feed_cubes,
    reserve_cubes,
    total_cubes,
    total_g,
    grid,
    cubes_per_tin,
    off_cuts_g_per_tin,
    tins,
    off_cuts_g,
    block_mismatch,
    limit_g,
    limit_share,
    cubes_per_bag,
    bags,
    left_cubes,
    bags_to_refreeze,
    lasts,
    series,
});

give!(kit::Item { id, name, count, derived, reason, own });
give!(kit::PackGroup { name, items });
give!(prep::PrepStep { id, name, start_min, end_min, earliest_min, how, field, waits, morning, slowest });
give!(weather::Point { what, points });
give!(bait::NamedFall { name, depth_m, time_s });
give!(bait::Alternative { what, speed_m_per_s, eighteen_inches_s });
give!(rigs::RigResult { name, purpose, depth_m, balance, chosen, layout, trouble, shot_words, layout_words });
give!(headlines::Headline { title, main, aside, reason });
give!(order::Turn { rig, name, reason });
give!(results::Results {
    version,
    when,
    water_c,
    sink,
    by_label,
    tub,
    falls,
    alternatives,
    amount,
    trouble,
    prep,
    rigs,
    points,
    shallow,
    order,
    kit,
    warnings,
    lines,
});
