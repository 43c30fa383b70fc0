//! Prints what a keystroke costs, by part: the whole event, and of it the results, the drawing and the link.
//!
//! `cargo bench --bench key`: natively, median and 98th percentile of 200, for one field of each sheet.

use dotdown::page::event::Event;
use dotdown::page::settings::Surroundings;
use dotdown::page::{Opening, Page};
use dotdown::results::work_out;
use dotdown::view;
use std::hint::black_box;
use std::time::Instant;

const TIMES: usize = 200;

fn time(name: &str, mut work: impl FnMut()) {
    let one = |_| {
        let begun = Instant::now();
        work();
        begun.elapsed().as_secs_f64() * 1e3
    };
    let mut all: Vec<f64> = (0..TIMES).map(one).collect();
    all.sort_by(f64::total_cmp);
    println!("  {name:10} {:7.3} {:7.3} ms", all[TIMES / 2], all[TIMES * 98 / 100]);
}

fn main() {
    let place = Surroundings { wide: true, ..Surroundings::default() };
    let (mut page, _) = Page::open(Opening { place, ..Opening::default() });
    for (sheet, path, texts) in [
        ("day.water", "water.depth", ["6'6", "7"]),
        ("bait.cube", "bait.edge", ["6", "8"]),
        ("rigs.float", "rigs.0.load", ["0.2", "0.3"]),
        ("kit.own", "kit.0.count", ["2", "3"]),
    ] {
        page.update(Event::Followed(sheet.to_owned()));
        println!("{sheet}");
        let mut texts = texts.iter().cycle();
        time("event", || {
            let text = texts.next().map_or_else(String::new, ToString::to_string);
            black_box(page.update(Event::Typed { path: path.to_owned(), text }));
        });
        time("results", || drop(black_box(work_out(&page.plan, page.choices.units))));
        time("screen", || drop(black_box(view::main_results(&page))));
        time("sheet", || drop(black_box(view::sheet(&page))));
        time("link", || drop(black_box(dotdown::plan::link::write(&page.plan))));
    }
}
