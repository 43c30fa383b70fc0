//! The live session's types as plain objects.

use super::{Give, Take, Value, WrongShape, field_or, wrong};
use crate::session::feed_clock::{FeedStatus, SinkingFeed};
use crate::session::state::{
    Advice, AdviceKind, Evidence, FishNow, Hour, Recorded, RigNow, RigTally, State, Totals,
};
use crate::session::summary::Summary;
use crate::session::{Event, EventKind};

macro_rules! give {
    ($kind:path { $($name:ident),* $(,)? }) => {
        impl Give for $kind {
            fn give(&self) -> Value {
                let names: &[&str] = &[$(stringify!($name)),*];
                let mut object = super::Object::new(names.len());
                $(object.put(stringify!($name), self.$name.give());)*
                object.done()
            }
        }
    };
}

give!(FeedStatus { phase, interval_s, to_next_s, missed_beats, feed_now, since_last_s, paused, next_at_ms });
give!(SinkingFeed { fed_at_ms, front_m, middle_m, tail_m, landed });
give!(FishNow { from_m, median_m, to_m, activity, cell_m, chance });
give!(RigNow { name, depth_m, bites_per_min, chance_best });
give!(Hour { fish, missed });
give!(RigTally { fish, missed, lost, foul_hooked, casts, water_s });
give!(Totals {
    fish,
    missed,
    lost,
    foul_hooked,
    per_hour,
    per_rig,
    feeds,
    cubes_fed,
    cubes_left,
    weight_kg,
    fish_weighed,
    swaps,
});
give!(State {
    at_ms,
    ended,
    rig,
    in_water,
    since_lowered_s,
    hook_m,
    beat,
    line,
    clouds,
    fish,
    rigs,
    totals,
    undoes,
});
give!(Evidence { water_s, quiet_s, bites, last_bites, last_missed, fish_in_ten_min });
give!(Advice { kind, rig, line, reason, sure, gain_bites, evidence });
give!(Summary { totals, hours, left_cubes, best_rig, seconds_between_feeds, notes, lines, learned });
give!(Recorded { number, line, double_touch, told });

impl Give for AdviceKind {
    fn give(&self) -> Value {
        let word = match self {
            Self::Stay => "stay",
            Self::PickUpRig => "pick_up_rig",
            Self::TightenShot => "tighten_shot",
            Self::SpreadShot => "spread_shot",
            Self::FeedSlower => "feed_slower",
            Self::FeedFaster => "feed_faster",
        };
        word.give()
    }
}

/// Other words for a kind of event, beside [`EventKind::name`].
const WORDS: &[(&str, EventKind)] = &[
    ("feed", EventKind::Fed),
    ("missed", EventKind::Bite),
    ("missed_bite", EventKind::Bite),
    ("landed", EventKind::Fish),
    ("catch", EventKind::Fish),
    ("caught", EventKind::Fish),
    ("lost", EventKind::LostFish),
    ("foul", EventKind::FoulHooked),
    ("lowered", EventKind::Cast),
    ("lower", EventKind::Cast),
    ("recast", EventKind::Cast),
    ("lifted", EventKind::Lift),
    ("pick_up", EventKind::PickUpRig),
    ("pickup", EventKind::PickUpRig),
    ("swap", EventKind::PickUpRig),
    ("rig", EventKind::PickUpRig),
    ("phase", EventKind::PhaseChange),
    ("finish", EventKind::End),
];

/// The first part that is there under one of these names.
fn any<'a>(value: &'a Value, names: &[&str]) -> Option<&'a Value> {
    names.iter().filter_map(|name| value.part(name)).find(|part| **part != Value::Null)
}

/// An event from a script's object: `at_ms` and `kind` are needed; `rig` is a place or one of `rigs`' names; a number
/// goes by `value`, `mass_g`, `cubes` or `seconds`. Parts that it does not know are passed over.
///
/// # Errors
/// [`WrongShape`] naming the part.
pub fn event(value: &Value, rigs: &[String]) -> Result<Event, WrongShape> {
    let Value::Object(_) = value else { return wrong("an object with at_ms and kind") };
    let at = any(value, &["at_ms", "time_ms", "at", "t_ms"]).unwrap_or(&Value::Null);
    let at_ms = f64::take(at).map_err(|w| w.under("at_ms"))?;
    let word: String = match any(value, &["kind", "type"]) {
        Some(Value::Text(word)) => word.to_ascii_lowercase().replace([' ', '-'], "_"),
        _ => return wrong("a text such as fed, bite or fish").map_err(|w: WrongShape| w.under("kind")),
    };
    let other = || WORDS.iter().find(|(name, _)| *name == word).map(|(_, kind)| *kind);
    let Some(kind) = EventKind::from_name(&word).or_else(other) else {
        return wrong("fed, bite, fish, lost_fish, foul_hooked, cast, lift, pick_up_rig, pause, resume, phase_change, nudge, shot, note, undo or end")
            .map_err(|w: WrongShape| w.under("kind"));
    };
    let rig = match any(value, &["rig", "rig_name"]) {
        None => None,
        Some(Value::Text(name)) => {
            let known = rigs.iter().position(|rig| rig == name).and_then(|rig| u32::try_from(rig).ok());
            match known.or_else(|| name.parse().ok()) {
                Some(rig) => Some(rig),
                None => {
                    return wrong("a rig of the plan, by name or place")
                        .map_err(|w: WrongShape| w.under("rig"));
                }
            }
        }
        Some(place) => Some(u32::take(place).map_err(|w| w.under("rig"))?),
    };
    let number = any(value, &["value", "mass_g", "cubes", "seconds", "phase"]);
    let number = number.map(f64::take).transpose().map_err(|w| w.under("value"))?;
    Ok(Event { at_ms, kind, rig, value: number, note: field_or(value, "note", String::new())? })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn object(parts: &[(&'static str, Value)]) -> Value {
        Value::Object(parts.iter().map(|(name, value)| ((*name).into(), value.clone())).collect())
    }

    fn text(words: &str) -> Value {
        Value::Text(words.to_owned())
    }

    #[test]
    fn an_event_names_its_rig_by_name_or_place() {
        let rigs = ["A".to_owned(), "deep".to_owned()];
        for rig in [text("deep"), text("1"), Value::Number(1.0)] {
            let given = object(&[("at_ms", Value::Number(5.0)), ("kind", text("Missed bite")), ("rig", rig)]);
            assert_eq!(event(&given, &rigs).unwrap(), Event::new(5.0, EventKind::Bite).with_rig(1));
        }
        let given = object(&[
            ("at_ms", Value::Number(5.0)),
            ("kind", text("fish")),
            ("mass_g", Value::Number(900.0)),
        ]);
        assert_eq!(event(&given, &rigs).unwrap(), Event::new(5.0, EventKind::Fish).with_value(900.0));
    }

    #[test]
    fn what_is_no_event_is_refused_by_its_part() {
        let at = ("at_ms", Value::Number(5.0));
        for (given, path) in [
            (Value::Null, ""),
            (object(&[("kind", text("fed"))]), "at_ms"),
            (object(std::slice::from_ref(&at)), "kind"),
            (object(&[at.clone(), ("kind", text("dance"))]), "kind"),
            (object(&[at.clone(), ("kind", text("fed")), ("rig", text("Z"))]), "rig"),
            (object(&[at.clone(), ("kind", text("fed")), ("rig", Value::Number(-1.0))]), "rig"),
            (object(&[at.clone(), ("kind", text("fed")), ("value", text("many"))]), "value"),
            (object(&[at, ("kind", text("note")), ("note", Value::Number(1.0))]), "note"),
        ] {
            assert_eq!(event(&given, &["A".to_owned()]).unwrap_err().path, path);
        }
    }
}
