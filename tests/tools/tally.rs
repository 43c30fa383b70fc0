//! What a test run came to: reads the output of cargo's and of Node's test runner, counts, and names the slowest.

use std::fs;
use std::path::Path;

/// How many of the slowest are named.
const SLOWEST: usize = 10;

#[derive(Default, PartialEq, Debug)]
struct Tally {
    passed: usize,
    failed: usize,
    /// Seconds and name of each test that told its time.
    times: Vec<(f64, String)>,
}

/// Reads lines such as `test rig::balance ... ok <1.234s>` and `test result: ok. 12 passed; 0 failed; ...` of cargo, and
/// `✔ firefox: the page reopens (1234.5ms)`, `ℹ pass 12` and `ℹ fail 0` of Node.
fn read(log: &str) -> Tally {
    let mut tally = Tally::default();
    let mut count = |passed: Option<usize>, failed: Option<usize>| {
        tally.passed += passed.unwrap_or(0);
        tally.failed += failed.unwrap_or(0);
    };
    let mut times = Vec::new();
    for line in log.lines() {
        let before =
            |word: &str| -> Option<usize> { line.split_once(word)?.0.rsplit(' ').next()?.parse().ok() };
        let after = |word: &str| line.strip_prefix(word).and_then(|rest| rest.trim().parse().ok());
        if line.starts_with("test result:") {
            count(before(" passed;"), before(" failed;"));
        } else if let Some(rest) = line.strip_prefix("test ") {
            let told = rest.split_once(" ... ").and_then(|(name, end)| Some((name, end.rsplit_once('<')?.1)));
            times.extend(
                told.and_then(|(name, s)| Some((s.trim_end_matches("s>").parse().ok()?, name.to_owned()))),
            );
        } else if let Some(rest) = line.trim_start().strip_prefix(['✔', '✖']) {
            let told = rest.trim().rsplit_once(" (");
            let row = |(name, ms): (&str, &str)| {
                Some((ms.trim_end_matches("ms)").parse::<f64>().ok()? / 1000.0, name.to_owned()))
            };
            times.extend(told.and_then(row));
        } else {
            count(after("ℹ pass "), after("ℹ fail "));
        }
    }
    // A failed test of Node's stands twice.
    times.sort_by(|a, b| b.0.total_cmp(&a.0));
    times.dedup();
    tally.times = times;
    tally
}

/// Prints the slowest tests and the count; an error when a test failed or none ran.
pub(crate) fn print(log: &Path) -> Result<(), String> {
    let tally = read(&fs::read_to_string(log).map_err(|e| format!("{}: {e}", log.display()))?);
    println!("the {SLOWEST} slowest tests:");
    for (seconds, name) in tally.times.iter().take(SLOWEST) {
        println!("{seconds:>8.1} s  {name}");
    }
    println!("{} passed, {} failed", tally.passed, tally.failed);
    if tally.failed > 0 {
        return Err("tests failed".to_owned());
    }
    (tally.passed > 0).then_some(()).ok_or_else(|| "no test ran".to_owned())
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn both_runners_are_counted_and_timed() {
        let tally = read(
            "test bait_laws::a_law ... ok <1.250s>\ntest x ... FAILED <0.5s>\n\
             test result: FAILED. 1 passed; 1 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1.3s\n\
             ✔ firefox: it opens (2500.5ms)\n✖ webkit: it (closes) (100ms)\nℹ pass 3\nℹ fail 1\n✖ webkit: it (closes) (100ms)\n",
        );
        assert_eq!((tally.passed, tally.failed), (4, 2));
        let names: Vec<_> = tally.times.iter().map(|(s, name)| format!("{s} {name}")).collect();
        assert_eq!(
            names,
            ["2.5005 firefox: it opens", "1.25 bait_laws::a_law", "0.5 x", "0.1 webkit: it (closes)"]
        );
    }

    #[test]
    fn an_empty_run_counts_nothing() {
        assert_eq!(read("").passed, 0);
    }
}
