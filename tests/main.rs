//! Every test from outside, one module a source, linked once.
//!
//! Each module's head names its source, table and tolerance, what is left out, and what is known to fail.

mod bank_truth;
mod common;

mod bait_bad_input;
mod bait_calendar;
mod bait_cold;
mod bait_float;
mod bait_laws;
mod bait_plan;
mod bait_shapes;
mod bait_timetable;
mod bait_trade;
mod bait_tub_sim;
mod bait_wash;
mod balance_solver;
mod bank_counts;
mod bank_forward;
mod bank_scenario;
mod bank_session;
mod book;
mod contrast;
mod day;
mod drag_tables;
mod faults;
mod food_choi_okos;
mod fuzz;
mod golden_work;
mod house;
mod objects;
mod objects_fall;
mod past_versions;
mod plan;
mod random_plans;
mod refusals;
mod rig_fall_golden;
mod rig_fall_laws;
mod rig_fall_small;
mod rig_search;
mod rubber_treloar;
mod season;
mod stories;
mod view_units;
mod water_iapws;
mod what_is_claimed;
