//! How much bait: feeding phases to cubes, grams and tins, against the venue's limit.
