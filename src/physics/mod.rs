//! Published laws of water, drag, food and rubber. No word of the trade in here.
