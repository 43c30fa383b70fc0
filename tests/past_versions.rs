//! What past versions of the page wrote opens in this one, and what a newer one wrote is told apart, so that it is kept.
//!
//! `data/kept/` and `data/logs/` hold, one file a version, what that version's own code wrote (`DOTDOWN_WRITE_KEPT=file`
//! writes today's). Nothing is released yet: version 1 may still change, and is then written anew; from the release on
//! these files are never edited, only added to. A form 0 that never was shows that an older form opens.

use dotdown::book::{Id, Phone};
use dotdown::page::saved::{self, Kept, Unread};
use dotdown::page::session::RunningSession;
use dotdown::page::settings::Handling;
use dotdown::page::{Choices, Screen, Theme};
use dotdown::plan::past_versions::{FORMS, Form, plan_of};
use dotdown::plan::{Plan, link, presets::first};
use dotdown::session::EventKind;
use dotdown::session::log::read_back;
use dotdown::units::{DecimalSign, LengthUnits, Units};
use serde::{Deserialize, Serialize};

const KEPT: [&str; 1] = [include_str!("data/kept/1.txt")];
const LOGS: [&str; 1] = [include_str!("data/logs/1.txt")];

/// What the kept texts hold.
fn kept() -> Kept {
    Kept {
        serial: 41,
        phone: Phone(0x0123_4567_89ab_cdef),
        day: Some(Id(77)),
        choices: Choices {
            units: Units { lengths: LengthUnits::Metric, sign: DecimalSign::Comma },
            theme: Theme::Night,
            bank: Handling::default(),
        },
        screen: Screen::Kit,
        rig: 2,
        backed_up: Some(20_700),
        stopwatch: "1900000000000".to_owned(),
    }
}

#[test]
fn kept_pages_of_every_version_open() {
    if let Some(file) = std::env::var_os("DOTDOWN_WRITE_KEPT") {
        std::fs::write(file, saved::write(&kept())).unwrap();
    }
    for text in KEPT {
        assert_eq!(saved::read(text), Ok(kept()));
    }
}

/// A plan of a form 0 that never was: a name and a depth.
#[derive(Serialize, Deserialize)]
struct Plan0 {
    name: String,
    depth_tenth_mm: i32,
}

impl From<Plan0> for Plan {
    fn from(old: Plan0) -> Self {
        let mut plan = first();
        plan.name = old.name;
        plan.water.depth_tenth_mm = old.depth_tenth_mm;
        plan
    }
}

#[test]
fn a_link_of_an_older_form_opens_and_is_written_in_todays() {
    let form_0 = Form { version: 0, dictionary: b"Old water", plan: plan_of::<Plan0> };
    let forms = [&[form_0], FORMS].concat();
    let link_0 = |depth_tenth_mm: i32| {
        let old = Plan0 { name: "Old water".to_owned(), depth_tenth_mm };
        link::pack(&postcard::to_allocvec(&old).unwrap(), &form_0)
    };
    let text = link_0(18_000);
    assert!(text.starts_with("p0-"));
    let plan = link::read_forms(&text, &forms).unwrap();
    assert_eq!((plan.name.as_str(), plan.water.depth_tenth_mm), ("Old water", 18_000));
    let today = link::write(&plan);
    assert!(today.starts_with("p1-"));
    assert_eq!(link::read_forms(&today, &forms), Ok(plan.clone()));
    assert_eq!(link::read(&today), Ok(plan));
    // A page that has dropped the form says so, and an older form is held against today's limits.
    assert_eq!(link::read(&text).unwrap_err().code(), "not_a_link");
    assert_eq!(link::read_forms(&link_0(1), &forms).unwrap_err().field(), "water.depth");
    let left_over = link::pack(&[0, 2, 2], &form_0);
    assert_eq!(link::read_forms(&left_over, &forms).unwrap_err().code(), "not_a_plan");
}

#[test]
fn stored_logs_of_every_version_open_beside_the_plan_of_every_version() {
    let plans: Vec<&str> = include_str!("data/links.txt").lines().skip(1).collect();
    assert!(plans.iter().any(|line| line.contains("p1-")));
    for text in LOGS {
        let read = read_back(text, 4).unwrap();
        assert_eq!((read.log.events().len(), read.repairs.len()), (16, 0));
        let kinds: Vec<EventKind> = read.log.events().iter().map(|event| event.kind).collect();
        assert_eq!(kinds[..4], [EventKind::Cast, EventKind::Fed, EventKind::Bite, EventKind::Fish]);
        assert_eq!(read.log.events()[3].value, Some(1250.5));
        assert_eq!(read.log.events()[14].note, "carp, wind_up 100 % „here“");
        assert_eq!(read.log.to_text(), text, "and is stored again as it was");
        for line in &plans {
            let (_, link) = line.split_once(' ').unwrap();
            let plan = link::read(link).unwrap();
            let (live, told) =
                RunningSession::open(&plan, Units::default(), text, None, 1.9e12 + 80_000.0).unwrap();
            assert_eq!((live.session.log().events().len(), told.len()), (16, 0), "{line}");
        }
    }
}

#[test]
fn what_a_newer_version_wrote_is_told_apart_from_what_is_damaged() {
    let text = KEPT[0];
    let sum = |body: &str| crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(body.as_bytes());
    let dressed = |body: &str| format!("{}\n{body}", sum(body));
    let (_, body) = text.split_once('\n').unwrap();
    assert_eq!(dressed(body), text);
    let why = |text: &str| saved::read(text).map(|kept| kept.serial);
    assert_eq!(why(text), Ok(41));
    assert_eq!(why(&dressed(&body.replacen("dotdown 1", "dotdown 2", 1))), Err(Unread::Newer));
    assert_eq!(why("another checksum\ndotdown 12\nanything at all"), Err(Unread::Newer));
    for damaged in
        ["", "1", "x\ndotdown 1\n", "x\ndotdown\n", "x\ndotdown two\ny", &text[..text.len() / 2], &text[1..]]
    {
        assert_eq!(why(damaged), Err(Unread::Damaged), "{damaged:?}");
    }
    // A plan whose own version is newer than its link says.
    let mut plan = first();
    plan.version = 99;
    assert_eq!(
        link::read(&link::write(&plan)).unwrap_err().to_string(),
        "The plan in this link was refused at version. This plan was written by a newer version (99). Update this page, then open it again."
    );
    // A record that only a newer version knows: the rest stands, and it is told.
    let strange = "16 q 1900000080000 - - -";
    let read = read_back(&format!("{}{strange} {:08x}\n", LOGS[0], sum(strange)), 4).unwrap();
    assert_eq!(read.log.events().len(), 16);
    assert_eq!(
        read.repairs,
        [
            "1 stored records are whole but not known to this version of the page. They were left out, and are set aside."
        ]
    );
}
