//! From the plan to everything that the screens show, in one pure call.
//!
//! Each file makes one part, of the plan and of parts that were made before it; nothing changes a finished part.

pub mod bait;
pub mod calendar_file;
pub mod cold;
pub mod fall;
pub mod headlines;
pub mod kit;
pub mod lessons;
pub mod make_up;
pub mod order;
pub mod prep;
pub mod requests;
pub mod rigs;
pub mod session_setup;
pub mod tub_course;
pub mod warnings;
pub mod weather;

use crate::bait::amount::Amount;
use crate::bait::sink::Sink;
use crate::bait::tub_test::TubResult;
use crate::estimate::Estimate;
use crate::plan::{self, Plan};
use crate::units::Units;
use bait::{Alternative, NamedFall};
use headlines::Headline;
use kit::{KitInputs, PackGroup};
use order::Turn;
use prep::PrepStep;
use rigs::RigResult;
use serde::Serialize;
use warnings::Warning;
use weather::Point;

/// Everything that the screens show.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "Day"))]
pub struct Results {
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
    pub prep: Vec<PrepStep>,
    /// Rigs with shot and places.
    pub rigs: Vec<RigResult>,
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
    pub lines: Vec<Headline>,
}

impl Results {
    /// How long the feed takes to a depth that matters, s; nothing for another, or where it floats.
    #[must_use]
    pub(crate) fn seconds_to(&self, depth_tenth_mm: i32) -> Option<Estimate> {
        let depth_m = requests::metres(depth_tenth_mm);
        self.falls.iter().find(|fall| (fall.depth_m - depth_m).abs() < 1e-9)?.time_s
    }

    /// Whether the bait is lighter than the water by what is known of it, so that it has no fall and no time.
    #[must_use]
    pub fn floats(&self) -> bool {
        bait::floats(self.sink.as_ref())
    }
}

/// Works out everything that follows from a plan; texts in `units`.
///
/// The plan is taken to be within its limits ([`Plan::check`]). What cannot be worked out is told in `trouble` and
/// left out; nothing in here fails.
#[must_use]
pub fn work_out(plan: &Plan, units: Units) -> Results {
    let bait = bait::bait_result(plan, units);
    let (sink, amount) = (bait.sink.as_ref(), bait.amount.as_ref());
    let rigs = rigs::rig_results(plan, sink, units);
    let sheets = make_up::sheets(plan, &rigs, units);
    let whole = |count: Option<u32>| i32::try_from(count.unwrap_or(0)).unwrap_or(i32::MAX);
    let (tins, bags) = (whole(amount.map(|a| a.tins)), whole(amount.map(|a| a.bags)));
    let prep = prep::checklist(plan, tins, rigs::uses_unweighed_shot(plan, &rigs));
    let kit = kit::kit(plan, &KitInputs { tins, bags, rigs: &rigs, sheets: &sheets, units });
    let points = weather::points(plan);
    let shallow = weather::start_shallow(plan, &points);
    let order = order::order(plan, shallow);
    let found = warnings::Found { sink, amount, rigs: &rigs, prep: &prep };
    let warnings = warnings::warnings(plan, &found, units);
    let lines = vec![
        headlines::start(plan, &order, &points, shallow, units),
        headlines::bait(plan, sink, amount, &bait.trouble, units),
        headlines::prep(plan, &prep),
        headlines::leave(plan),
        headlines::rules(&warnings),
    ];
    Results {
        version: plan::VERSION,
        when: headlines::when(plan),
        water_c: requests::water_c(plan),
        sink: bait.sink,
        by_label: bait.by_label,
        tub: bait.tub,
        falls: bait.falls,
        alternatives: bait.alternatives,
        amount: bait.amount,
        trouble: bait.trouble,
        prep,
        rigs,
        points,
        shallow,
        order,
        kit,
        warnings,
        lines,
    }
}
