//! The sheets: each opens over its screen, or stands beside it where there is room, and changes one thing.

use super::settings::Screen;

/// A sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    /// Depth, temperatures, sky, wind, pressure.
    Water,
    /// The pole lines.
    Lines,
    /// Date, draw, all-in, all-out.
    Times,
    /// Venue, peg, name, note.
    Place,
    /// The venue's rules.
    Rules,
    /// Which rig first, and why.
    Order,
    /// The preparation, to tick.
    Prep,
    /// How long its steps take.
    PrepTimes,
    /// What became of a fished day.
    Outcome,
    /// The tin's label.
    Label,
    /// The tub test.
    Tub,
    /// Floaters and the wash.
    Wash,
    /// The size of the cubes, or another bait.
    Cube,
    /// The feed plan.
    Feed,
    /// Tins and bags.
    Tins,
    /// Freezing and thawing.
    Cold,
    /// What changes the fall.
    Changes,
    /// Name, depth and line of the open rig.
    Rig,
    /// Its float.
    Float,
    /// Its shotting.
    Shotting,
    /// The shot box.
    ShotBox,
    /// Its line and hook.
    Line,
    /// Its elastic.
    Elastic,
    /// How it goes in, and what holds the float.
    Lay,
    /// The glass of water.
    Glass,
    /// The weighing of shot.
    Weigh,
    /// The shallow set.
    Ladder,
    /// Items of one's own.
    OwnItems,
}

impl Sheet {
    /// Each with its screen, its name in the address, and its title; the first of a screen is the one that stands beside it.
    pub const ALL: [(Self, Screen, &'static str, &'static str); 28] = [
        (Self::Water, Screen::Day, "water", "The water"),
        (Self::Lines, Screen::Day, "lines", "Pole lines"),
        (Self::Times, Screen::Day, "times", "Times"),
        (Self::Place, Screen::Day, "place", "Venue and peg"),
        (Self::Rules, Screen::Day, "rules", "Venue’s rules"),
        (Self::Order, Screen::Day, "order", "Shallow or bottom"),
        (Self::Prep, Screen::Day, "prep", "Prep"),
        (Self::PrepTimes, Screen::Day, "prep-times", "Prep times"),
        (Self::Outcome, Screen::Day, "result", "Result"),
        (Self::Label, Screen::Bait, "label", "Tin label"),
        (Self::Tub, Screen::Bait, "tub", "Tub test"),
        (Self::Wash, Screen::Bait, "wash", "Washing"),
        (Self::Cube, Screen::Bait, "cube", "Cube size"),
        (Self::Feed, Screen::Bait, "feed", "Feed plan"),
        (Self::Tins, Screen::Bait, "tins", "Tins and bags"),
        (Self::Cold, Screen::Bait, "cold", "Freezing"),
        (Self::Changes, Screen::Bait, "changes", "Other sizes and water"),
        (Self::Rig, Screen::Rigs, "rig", "Rig"),
        (Self::Float, Screen::Rigs, "float", "Float"),
        (Self::Shotting, Screen::Rigs, "shotting", "Shotting"),
        (Self::ShotBox, Screen::Rigs, "box", "Shot box"),
        (Self::Line, Screen::Rigs, "line", "Line and hook"),
        (Self::Elastic, Screen::Rigs, "elastic", "Elastic"),
        (Self::Lay, Screen::Rigs, "lay", "How it goes in"),
        (Self::Glass, Screen::Rigs, "glass", "Glass of water"),
        (Self::Weigh, Screen::Rigs, "weigh", "Weigh shot"),
        (Self::Ladder, Screen::Rigs, "ladder", "Shallow set"),
        (Self::OwnItems, Screen::Kit, "own", "Your own items"),
    ];

    /// The one that stands behind a screen's name in an address.
    #[must_use]
    pub fn named(screen: Screen, name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, on, own, _)| *on == screen && *own == name).map(|&(sheet, ..)| sheet)
    }

    /// The one that stands beside a screen while none is chosen.
    #[must_use]
    pub fn beside(screen: Screen) -> Option<Self> {
        Self::ALL.iter().find(|(_, on, ..)| *on == screen).map(|&(sheet, ..)| sheet)
    }

    fn row(self) -> &'static (Self, Screen, &'static str, &'static str) {
        Self::ALL.iter().find(|(sheet, ..)| *sheet == self).unwrap_or(&Self::ALL[0])
    }

    /// Its address within the page, without its sign: `bait.feed`.
    #[must_use]
    pub fn address(self) -> String {
        let (_, screen, name, _) = self.row();
        [screen.name(), ".", name].concat()
    }

    /// The screen that it belongs to.
    #[must_use]
    pub fn screen(self) -> Screen {
        self.row().1
    }

    /// The id of what opens it: the focus comes back to it.
    #[must_use]
    pub fn opener(self) -> String {
        ["to-", &self.address().replace('.', "-")].concat()
    }

    /// Its title.
    #[must_use]
    pub fn title(self) -> &'static str {
        self.row().3
    }
}

/// The parts of the rigs' screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RigTab {
    /// The shot that dots the float.
    #[default]
    Shot,
    /// How the rig falls.
    Fall,
    /// How it is tied.
    Tie,
    /// What breaks first.
    Line,
}

impl RigTab {
    /// All of them with their names in a button and in words.
    pub const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::Shot, "shot", "Shot"),
        (Self::Fall, "fall", "Fall"),
        (Self::Tie, "tie", "Tie"),
        (Self::Line, "line", "Line"),
    ];

    /// The one that a name stands for.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n, _)| *n == name).map(|&(tab, ..)| tab)
    }
}
