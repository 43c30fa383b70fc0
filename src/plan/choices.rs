//! The choices of a plan: one of a few named options each.

use serde::{Deserialize, Serialize};

/// A choice among a few named options.
pub trait Choice {
    /// The options in words, in order.
    fn words(&self) -> &'static [&'static str];
    /// The chosen one in words.
    fn word(&self) -> &'static str {
        self.words().get(self.index()).copied().unwrap_or("")
    }
    /// The place of the chosen one.
    fn index(&self) -> usize;
    /// Chooses by place; false when there is no such place.
    fn choose(&mut self, index: usize) -> bool;
}

macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $words:literal,)* }) => {
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
        #[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
        #[serde(rename_all = "snake_case")]
        $(#[$doc])*
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// All options in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
        }

        impl Choice for $name {
            fn words(&self) -> &'static [&'static str] {
                &[$($words),*]
            }
            fn index(&self) -> usize {
                Self::ALL.iter().position(|v| v == self).unwrap_or(0)
            }
            fn choose(&mut self, index: usize) -> bool {
                Self::ALL.get(index).map(|v| *self = *v).is_some()
            }
        }
    };
}

choice! {
    /// How the sky looks.
    Sky {
        /// Sun on the water.
        Bright = "bright",
        /// Broken cloud.
        Mixed = "mixed",
        /// Grey all over.
        Overcast = "grey",
    }
}
choice! {
    /// How the wind blows.
    Wind {
        /// Flat water.
        Still = "still",
        /// A ripple.
        Light = "light",
        /// A chop.
        Fresh = "fresh",
        /// White tops; a long pole is hard to hold.
        Strong = "strong",
    }
}
choice! {
    /// How the air pressure moves.
    Trend {
        /// Going down.
        Falling = "falling",
        /// Neither.
        Steady = "steady",
        /// Going up.
        Rising = "rising",
    }
}
choice! {
    /// Where in the water to start.
    Start {
        /// As the points for and against say.
        ByThePoints = "auto",
        /// Up in the water, whatever the points say.
        Shallow = "shallow",
        /// On the bottom, whatever the points say.
        Bottom = "bottom",
    }
}
choice! {
    /// How loose feed goes in.
    Method {
        /// Thrown by hand.
        Hand = "by hand",
        /// With a catapult.
        Catapult = "catapult",
        /// From a cup on the pole.
        PoleCup = "pole cup",
    }
}
choice! {
    /// What the venue says of lead.
    Lead {
        /// As the law of the country.
        AsTheLaw = "by law",
        /// None of any size.
        None = "no lead",
    }
}
choice! {
    /// What a rig is for.
    Purpose {
        /// The bait rests on the bottom.
        Bottom = "bottom",
        /// The bait hangs in the water.
        Shallow = "shallow",
    }
}
choice! {
    /// How the shot is placed.
    Pattern {
        /// Most together, a few single ones below.
        BulkAndDroppers = "bulk and droppers",
        /// Evenly along the line.
        Strung = "strung out",
        /// All together.
        Bulk = "single bulk",
    }
}
choice! {
    /// Which of two sets that dot alike is liked better.
    ShotPreference {
        /// Many small shot.
        ManySmall = "many small shot",
        /// Few large ones.
        FewLarge = "few large shot",
    }
}
choice! {
    /// When the wanted length of tip is to show.
    DottedWith {
        /// With the bait hanging.
        Hanging = "bait hanging",
        /// With the bait on the bottom.
        OnBottom = "bait on the bottom",
    }
}
choice! {
    #[cfg_attr(feature = "types", schemars(rename = "KitGroup"))]
    /// Where a thing is packed.
    Group {
        /// Bait and what it is carried in.
        Bait = "Bait",
        /// Rigs, shot, hooks, lines.
        Rigs = "Rigs and tackle",
        /// Pole, seat, net, tubs.
        Peg = "At the peg",
        /// Clothes, papers, food, first aid.
        Person = "For yourself",
        /// What the last day used up.
        Shop = "To buy first",
    }
}
choice! {
    /// The form of a piece.
    Form {
        /// A cube.
        Cube = "cube",
        /// A ball: a boilie, a pea, a ball of paste.
        Sphere = "ball",
        /// A cylinder, such as a pellet.
        Cylinder = "cylinder, pellet",
        /// A sliced disc.
        Disc = "sliced disc",
    }
}
choice! {
    /// What a bag lies in.
    Around {
        /// A freezer or fridge without a fan, a room.
        StillAir = "still air",
        /// A fan, or wind.
        Fan = "moving air, a fan",
        /// Cold metal, or ice packs.
        OnMetal = "on metal or ice packs",
        /// Brine or water that stands.
        StillWater = "still water or brine",
        /// Brine or water that runs.
        RunningWater = "running water",
    }
}
choice! {
    /// How the rig goes in.
    Entry {
        /// Swung out and laid on, straight.
        Laid = "laid on",
        /// Let down by hand from the float.
        Lowered = "lowered in",
    }
}
choice! {
    #[cfg_attr(feature = "types", schemars(rename = "FloatHold"))]
    /// What the float does while the rig sinks.
    Hold {
        /// Held by the pole on a tight line.
        Held = "held",
        /// Free to be drawn along.
        Free = "free",
    }
}
choice! {
    /// What the tip of a float is made of.
    TipOf {
        /// Painted or lacquered.
        Painted = "painted",
        /// Nylon bristle without paint.
        Nylon = "bare nylon",
        /// Hard plastic without paint: PVC, polystyrene.
        Plastic = "bare hard plastic",
        /// Greased or waxed, so that water stands off it.
        Greased = "greased or waxed",
    }
}
choice! {
    /// Where a line's strength comes from.
    StrengthBy {
        /// What its spool says.
        Spool = "spool",
        /// Its diameter, by a rule of thumb.
        Diameter = "diameter",
    }
}
