//! Who comes, and the hours of the day.

use spanwright::plan::PlanFile;
use spanwright::plan::ties::Step;
use spanwright::review::{CrewDay, Daylight, at_rest, clock};

use crate::common::Session;

const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");

fn day(change: (&str, &str)) -> CrewDay {
    let text = DEMO.replacen(change.0, change.1, 1);
    let file = PlanFile::parse("demo", text).unwrap_or_else(|e| panic!("{}", e.show("demo")));
    assert!(file.is_sound(), "{}", file.show_faults());
    at_rest(&file).unwrap_or_else(|why| panic!("{why}")).crew.expect("a crew")
}

/// Two anchors a side of 40 min at once, 20 min each for messenger, tag line, line, locks, tensioning, first walk; 4 h of
/// walking; 20 min to let down, three lines back, half the anchors' 80 min: by hand.
#[test]
fn hours_add_up() {
    let told = day(("", ""));
    let at = |s: Step| told.steps.iter().find(|h| h.step == s).map(|h| clock(h.from_min)).expect("a step");
    assert_eq!(at(Step::Messenger), "09:50");
    assert_eq!(at(Step::Locks), "10:50");
    assert_eq!(at(Step::Walking), "11:50");
    assert_eq!(at(Step::Strip), "17:10");
    assert_eq!(clock(told.done_min), "17:50");
    let Daylight::Ends { sunset_min, .. } = told.light else { panic!("{:?}", told.light) };
    // By the library `astral` 3.2, 46.4° N, 11.2° E: 16:52 UTC.
    assert!((sunset_min - (18.0 * 60.0 + 52.0)).abs() < 3.0, "{sunset_min}");
    // One party makes both anchors, one after the other, and walks an hour between.
    let alone = day(("crew: Crew(a: 3, b: 3,", "crew: Crew(a: 6, b: 0, round: \"1 h\","));
    let anchors = &alone.steps[0];
    assert_eq!((anchors.step, anchors.takes_min), (Step::Anchors, 220.0));
    assert!(!alone.way_unknown);
    // What stays up is taken down on another day.
    let stay = "stay: Stay(from: \"2026-10-03\"),\n    crew: Crew(";
    let stays = day(("crew: Crew(", stay));
    assert_eq!(stays.steps.last().map(|s| s.step), Some(Step::Walking));
    assert_eq!(clock(stays.done_min), "15:50");
    assert_eq!(clock(26.0 * 60.0), "02:00 (+1 d)");
}

/// While somebody walks there are two more than the hands: who walks, and who goes out to them.
#[test]
fn people_are_counted_where_they_stand() {
    let told = day(("crew: Crew(a: 3, b: 3,", "crew: Crew(a: 4, b: 2,"));
    let of = |s: Step| told.steps.iter().find(|h| h.step == s).expect("a step");
    assert_eq!(of(Step::Walking).missing([3, 3]), None);
    assert_eq!(of(Step::Walking).missing([3, 2]).as_deref(), Some("5 in all, it takes 6"));
    // Three pull at B.
    assert_eq!(of(Step::Tension).missing(told.at).as_deref(), Some("2 at B, it takes 3"));
}

/// From five questions to a crew in the plan, and its page.
#[test]
fn a_crew_is_asked_for() {
    let bare = DEMO.lines().filter(|l| !l.contains("crew: Crew(")).collect::<Vec<_>>().join("\n");
    let mut s = Session::text(&bare, 120, 40);
    s.keys("8");
    assert!(s.screen().contains("does not say who comes"), "{}", s.screen());
    s.keys("esc ;");
    assert!(s.screen().contains("how many are at A and at B"), "{}", s.screen());
    for answer in ["2, 3", "2026-10-03", "25:00"] {
        s.type_text(answer);
        s.keys("enter");
    }
    assert!(s.screen().contains("a time of day, as 09:00"), "{}", s.screen());
    s.keys("backspace backspace backspace backspace backspace");
    for answer in ["08:00", "46.4, 11.2, 2", "3 h"] {
        s.type_text(answer);
        s.keys("enter");
    }
    let crew = s.app.file.plan.crew.as_ref().expect("a crew");
    assert_eq!((crew.at, crew.start.hour()), ([2, 3], 8));
    assert!(s.screen().contains("Crew and hours"), "{}", s.screen());
    assert!(s.app.review.as_ref().is_some_and(|r| r.findings.iter().any(|f| f.rule == "crew-short")));
}
