//! How a log is counted: each event in exactly one count, and the counts agree wherever they stand. Random logs with
//! undone, corrected, moved and removed events, of both countings. No outside source; the table is at the head of
//! `src/session/log/mod.rs`.

use crate::common::cases;
use dotdown::session::event::Fix;
use dotdown::session::export::CsvDay;
use dotdown::session::log::{Counts, Standing};
use dotdown::session::{Event, EventKind, Log, RigSetup, Session, SessionSetup};
use proptest::prelude::*;

const T0: f64 = 1_900_000_000_000.0;
const KINDS: [EventKind; 12] = [
    EventKind::Fed,
    EventKind::Missed,
    EventKind::Fish,
    EventKind::LostFish,
    EventKind::FoulHooked,
    EventKind::Bite,
    EventKind::Cast,
    EventKind::PickUpRig,
    EventKind::Lift,
    EventKind::Pause,
    EventKind::Resume,
    EventKind::NextNet,
];

fn session() -> Session {
    let rig = |depth_m| RigSetup { depth_m, ..RigSetup::default() };
    Session::new(SessionSetup::new(vec![rig(0.4), rig(0.9), rig(2.0)], 2.1, T0)).unwrap()
}

/// The table, written out the long way.
fn counted(standing: &[Standing]) -> Counts {
    let is = |kind: EventKind| standing.iter().filter(|one| one.event.kind == kind && !one.landed).count();
    let of = |kind| u32::try_from(is(kind)).unwrap();
    let (missed, old) = (of(EventKind::Missed), of(EventKind::Bite));
    let counts = Counts {
        feeds: of(EventKind::Fed),
        missed: missed + old,
        fish: of(EventKind::Fish),
        lost: of(EventKind::LostFish),
        foul_hooked: of(EventKind::FoulHooked),
        other: 0,
    };
    let all = u32::try_from(standing.len()).unwrap();
    Counts {
        other: all - counts.feeds - counts.missed - counts.fish - counts.lost - counts.foul_hooked,
        ..counts
    }
}

fn agrees(session: &Session, at_ms: f64) -> Result<(), TestCaseError> {
    let counts = session.log().counts();
    prop_assert_eq!(counts, counted(session.log().standing()));
    let totals = session.state(at_ms).unwrap().totals;
    let told = (totals.feeds, totals.missed, totals.fish, totals.lost, totals.foul_hooked);
    prop_assert_eq!(told, (counts.feeds, counts.missed, counts.fish, counts.lost, counts.foul_hooked));
    let rigs = totals.per_rig.iter().fold((0, 0, 0, 0), |sum, rig| {
        (sum.0 + rig.missed, sum.1 + rig.fish, sum.2 + rig.lost, sum.3 + rig.foul_hooked)
    });
    prop_assert_eq!(rigs, (counts.missed, counts.fish, counts.lost, counts.foul_hooked));
    let hours = totals
        .per_hour
        .iter()
        .fold((0, 0, 0), |sum, hour| (sum.0 + hour.missed, sum.1 + hour.fish, sum.2 + hour.lost));
    prop_assert_eq!(hours, (counts.missed, counts.fish, counts.lost));
    let summary = session.summary(at_ms).unwrap();
    prop_assert_eq!(&summary.totals, &totals);
    let csv = session.csv(&CsvDay::default());
    let rows =
        |kind: EventKind| csv.lines().filter(|row| row.contains(&format!(",{},", kind.name()))).count();
    let old = session.log().standing().iter().filter(|one| one.landed).count();
    let bites = rows(EventKind::Missed) + rows(EventKind::Bite) - old;
    prop_assert_eq!(u32::try_from(bites).unwrap(), counts.missed);
    prop_assert_eq!(u32::try_from(rows(EventKind::Fish)).unwrap(), counts.fish);
    prop_assert_eq!(u32::try_from(rows(EventKind::Fed)).unwrap(), counts.feeds);
    Ok(())
}

proptest! {
    #![proptest_config(cases(0xc0_4e7, 48, 2000))]
    #[test]
    fn each_event_is_in_one_count(
        taps in proptest::collection::vec((0..16_usize, 1.0..150.0_f64, 0..6_u32, 0..60_usize), 1..50),
    ) {
        let mut session = session();
        let mut at_ms = T0;
        for (what, gap_s, rig, of) in taps {
            at_ms += 1000.0 * gap_s;
            let rig = (rig < 3).then_some(rig);
            let event = match KINDS.get(what) {
                Some(&kind) => Event { rig, ..Event::new(at_ms, kind) },
                None if what == 15 => Event::new(at_ms, EventKind::Undo),
                None => {
                    let kind = (what != 14).then(|| KINDS[of % 6]);
                    let later_ms = if what == 13 { 2000.0 * gap_s - 150_000.0 } else { 0.0 };
                    Fix { number: of, kind, rig, later_ms: later_ms.round() }.event(at_ms)
                }
            };
            let _ = session.record(event);
        }
        agrees(&session, at_ms + 5000.0)?;
        let mut back = Session::with_log(session.setup().clone(), session.log()).unwrap();
        agrees(&back, at_ms + 5000.0)?;
        // All of it can be taken back, one after the other, up to the start.
        while back.log().undoes().is_some() {
            at_ms += 1000.0;
            back.record(Event::new(at_ms, EventKind::Undo)).unwrap();
            agrees(&back, at_ms)?;
        }
        prop_assert!(back.log().standing().is_empty());
    }
}

/// A fish is never also a missed bite: the first counting told a bite when it came, and then what became of it.
#[test]
fn a_bite_of_the_first_counting_is_its_fish() {
    let mut session = session();
    let mut tap = |at_s: f64, kind| session.record(Event::new(T0 + 1000.0 * at_s, kind)).unwrap();
    for (at_s, kind) in [
        (0.0, EventKind::Cast),
        (20.0, EventKind::Bite),
        (50.0, EventKind::Fish),
        (90.0, EventKind::Cast),
        (100.0, EventKind::Bite),
        (130.0, EventKind::Cast),
        (140.0, EventKind::Fish),
        (200.0, EventKind::Bite),
        (330.0, EventKind::Fish),
        (400.0, EventKind::Bite),
        (420.0, EventKind::LostFish),
    ] {
        tap(at_s, kind);
    }
    let totals = session.state(T0 + 500_000.0).unwrap().totals;
    assert_eq!((totals.fish, totals.missed, totals.lost), (3, 2, 1));
    session.record(Event::new(T0 + 501_000.0, EventKind::Undo)).unwrap();
    let totals = session.state(T0 + 502_000.0).unwrap().totals;
    assert_eq!((totals.fish, totals.missed, totals.lost), (3, 3, 0), "without its fish the bite was missed");
}

/// An event laid to another rig leaves the rig in hand as it is.
#[test]
fn a_fish_laid_to_another_rig_changes_no_hand() {
    let mut session = session();
    for (at_s, kind) in [(0.0, EventKind::Cast), (20.0, EventKind::Fish), (60.0, EventKind::Cast)] {
        session.record(Event::new(T0 + 1000.0 * at_s, kind)).unwrap();
    }
    let fix = Fix { number: 1, kind: Some(EventKind::Missed), rig: Some(2), later_ms: -5000.0 };
    session.record(fix.event(T0 + 70_000.0)).unwrap();
    let state = session.state(T0 + 75_000.0).unwrap();
    assert_eq!((state.rig, state.totals.swaps), (0, 0));
    assert_eq!((state.totals.per_rig[2].missed, state.totals.fish), (1, 0));
    assert_eq!(state.undoes.map(|event| event.kind), Some(EventKind::Correct));
    assert_eq!(Log::default().counts(), Counts::default());
}
