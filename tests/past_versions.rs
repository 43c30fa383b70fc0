//! What past versions of the page wrote opens in this one, and what a newer one wrote is told apart, so that it is kept.
//!
//! `data/kept/` and `data/logs/` hold, one file a version, what that version's own code wrote; never edited, only added
//! to (`DOTDOWN_WRITE_KEPT=file` writes today's). Links of past versions are held in `plan.rs`. Version 1 of the kept
//! page had no stopwatch and a link of version 1; the log has had one form so far.

use dotdown::page::saved::{self, Unread};
use dotdown::page::session::RunningSession;
use dotdown::page::{Page, Screen, Theme};
use dotdown::plan::link;
use dotdown::session::EventKind;
use dotdown::session::log::read_back;
use dotdown::units::{DecimalSign, LengthUnits, Units};

const KEPT: [&str; 2] = [include_str!("data/kept/1.txt"), include_str!("data/kept/2.txt")];
const LOGS: [&str; 1] = [include_str!("data/logs/1.txt")];

/// The page that the kept texts hold, made by today's code.
fn page() -> Page {
    let mut page = Page::new();
    for (path, text) in [
        ("water.venue", "Another water"),
        ("water.depth", "8 ft 3"),
        ("feed.1.cubes", "33"),
        ("rigs.2.load", "0.1777"),
        ("note", "Wind behind"),
    ] {
        page.type_in(path, text);
    }
    for tick in ["prep-cut", "kit-tins"] {
        page.tick(tick, true);
    }
    for act in ["units:metric", "sign:comma", "theme:night", "rig:2"] {
        page.act(act);
    }
    page.screen = Screen::Kit;
    page
}

#[test]
fn kept_pages_of_every_version_open() {
    let mut today = page();
    today.tap(1.9e12);
    if let Some(file) = std::env::var_os("DOTDOWN_WRITE_KEPT") {
        std::fs::write(file, saved::write(&today, 41)).unwrap();
    }
    for (version, text) in (1..).zip(KEPT) {
        let kept = saved::read(text).unwrap_or_else(|why| panic!("version {version}: {why:?}"));
        assert_eq!(kept.serial, 41);
        let page = kept.page;
        assert_eq!(page.plan.water, today.plan.water, "version {version}");
        assert_eq!(page.plan.note, "Wind behind");
        assert_eq!((page.plan.feed[1].cubes, page.plan.rigs[2].load_tenth_mg), (33, 1777));
        assert_eq!(page.ticks, today.ticks);
        assert_eq!(page.choices.units, Units { lengths: LengthUnits::Metric, sign: DecimalSign::Comma });
        assert_eq!(page.choices.theme, Theme::Night);
        assert_eq!((page.screen, page.rig), (Screen::Kit, 2));
        assert_eq!(page.stopwatch.started_ms, (version > 1).then_some(1_900_000_000_000));
        // And is kept from then on in today's form.
        let again = saved::read(&saved::write(&page, 42)).unwrap();
        assert_eq!(again.page.plan, page.plan);
    }
}

#[test]
fn stored_logs_of_every_version_open_beside_the_plan_of_every_version() {
    let plans: Vec<&str> = include_str!("data/links.txt").lines().skip(1).collect();
    assert!(["p1-", "p2-"].iter().all(|form| plans.iter().any(|line| line.contains(form))));
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
            let (live, told) =
                RunningSession::reopen(link, Units::default(), text, 1.9e12 + 80_000.0).unwrap();
            assert_eq!((live.session.log().events().len(), told.len()), (16, 0), "{line}");
        }
    }
}

#[test]
fn what_a_newer_version_wrote_is_told_apart_from_what_is_damaged() {
    let text = KEPT[1];
    let sum = |body: &str| crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(body.as_bytes());
    let dressed = |body: &str| format!("{}\n{body}", sum(body));
    let (_, body) = text.split_once('\n').unwrap();
    assert_eq!(dressed(body), text);
    let why = |text: &str| saved::read(text).map(|kept| kept.serial);
    assert_eq!(why(text), Ok(41));
    assert_eq!(why(&dressed(&body.replacen("dotdown 1", "dotdown 2", 1))), Err(Unread::Newer));
    assert_eq!(why("another checksum\ndotdown 12\nanything at all"), Err(Unread::Newer));
    assert_eq!(why(&dressed(&body.replacen("\np2-", "\np3-", 1))), Err(Unread::Newer));
    for damaged in
        ["", "1", "x\ndotdown 1\n", "x\ndotdown\n", "x\ndotdown two\ny", &text[..text.len() / 2], &text[1..]]
    {
        assert_eq!(why(damaged), Err(Unread::Damaged), "{damaged:?}");
    }
    // A plan whose own version is newer than its link says.
    let mut plan = page().plan;
    plan.version = 99;
    let theirs: Vec<String> = body
        .split('\n')
        .map(|line| if line.starts_with("p2-") { link::write(&plan) } else { line.to_owned() })
        .collect();
    assert_eq!(why(&dressed(&theirs.join("\n"))), Err(Unread::Newer));
    assert_eq!(
        link::read(&link::write(&plan)).unwrap_err().to_string(),
        "The plan in this link was refused at version. This plan was written by a newer version (99). Update this page, then open it again."
    );
    // A session begun by a newer version.
    let told = RunningSession::reopen("p7-1-0-x", Units::default(), LOGS[0], 0.0).map(|_| ()).unwrap_err();
    assert!(told.contains("newer version of the page. It is kept"), "{told}");
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
