//! Bait: how it sinks, how much of it, how it is prepared and when.
