//! What a plan is made of: plain data, in the order in which links hold it.

mod bait;
mod day;
mod kit;
mod rigs;

pub use bait::{Bait, BaitMore, Cold, Other, Phase, Rinse, Tin, Tub};
pub use day::{Day, DayTimes, PoleLine, Prep, Rules, Water, Weather};
pub use kit::{BankChoices, KitCount, KitItem};
pub use rigs::{BoxShot, Dropper, Rig, RigMore, ShotCount};
