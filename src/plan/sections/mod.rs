//! What a plan is made of: plain data, in the order in which links hold it.

mod bait;
mod day;
mod kit;
mod rigs;

pub use bait::{Bait, BaitMore, Cold, Feeding, Other, Rinse, Tin, Tub};
pub use day::{Date, DayTimes, PoleLine, Prep, Rules, Water, Weather};
pub use kit::{BankChoices, KitCount, KitItem};
pub use rigs::{BoxShot, Dropper, Rig, RigMore, ShotCount};
