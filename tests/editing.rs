//! Sessions that change a plan: choosing with the outcome in sight, shaping an anchor, dialogues, menus, files.

mod common;

use common::Session;
use crossterm::event::{MouseButton, MouseEventKind};
use glam::DVec2;
use spanwright::app::{Outcome, Overlay, Pane, Selected};
use spanwright::plan::Side;
use spanwright::review::{Verdict, review};

/// Opens the list of items for the main webbing.
fn choosing() -> Session {
    let mut s = Session::demo(120, 40);
    s.select_part("main", 2);
    s.field("item");
    s.keys("enter");
    s
}

/// The row of the list with this name, as it stands on screen.
fn row(s: &mut Session, name: &str) -> String {
    let screen = s.screen();
    let name = format!("│{name} ");
    screen.lines().find(|l| l.contains(&name)).unwrap_or_else(|| panic!("no {name} on\n{screen}")).to_owned()
}

#[test]
fn each_line_of_a_list_says_what_would_become_of_the_plan() {
    let mut s = choosing();
    s.type_text("webbing");
    assert!(row(&mut s, "webbing-polyester-25").contains(" … "), "nothing is known yet");
    let mut names = Vec::new();
    while let Some(name) = s.try_one() {
        names.push(name);
    }
    let screen = s.screen();
    assert!(!screen.lines().any(|l| l.contains("│webbing-") && l.contains(" … ")), "{screen}");
    insta::assert_snapshot!(screen);
    // What the list said is what a review says once the item is taken.
    s.type_text("-polyester-sheathed");
    let said = row(&mut s, "webbing-polyester-sheathed-25");
    s.keys("enter");
    let r = s.app.review.as_ref().expect("reviewed");
    let worst = s.app.rows_of_selected()[0];
    assert!(
        said.contains(&format!("{:.1}/5", (worst.factor * 10.0).floor() / 10.0)) && said.contains("meets"),
        "{said}: {}",
        worst.factor
    );
    assert_eq!(r.verdict, Verdict::Meets);
    // And it is the same as a review of the plan written by hand.
    let text = spanwright::cli::DEMO.replacen("\"webbing-polyester-25\"", "\"webbing-polyester-sheathed-25\"", 1);
    let file = spanwright::plan::PlanFile::parse("by hand", text).expect("reads");
    assert_eq!(review(&file).expect("reviewed").verdict, r.verdict);
}

#[test]
fn the_line_under_the_cursor_is_tried_first() {
    let mut s = choosing();
    let here = |s: &Session| match &s.app.overlay {
        Some(Overlay::Picker(p)) => p.matching().iter().map(|c| c.name.clone()).collect::<Vec<_>>(),
        _ => panic!("no list"),
    };
    let at = here(&s).iter().position(|n| n == "webbing-polyester-25").expect("listed");
    assert_eq!(s.try_one().as_deref(), Some("webbing-polyester-25"));
    let beside = s.try_one().expect("next");
    let place = here(&s).iter().position(|n| *n == beside).expect("listed");
    assert_eq!(place.abs_diff(at), 1, "{beside}");
    // The one that is out stays out; after it comes what is nearest to the cursor by then.
    s.keys("home");
    s.try_one();
    assert_eq!(s.try_one(), here(&s).first().cloned());
    assert!(s.trials.len() <= 1, "one at a time");
}

#[test]
fn no_outcome_outlives_its_list_or_its_plan() {
    let mut s = choosing();
    let late = s.trials.remove(0);
    // Closed: nothing more is asked for, and what comes late is dropped.
    s.keys("esc");
    s.app.tried(late.run());
    s.keys("enter");
    assert!(row(&mut s, "webbing-polyester-25").contains(" … "));
    // The plan changes under the open list: what was known is of the plan before.
    s.try_one();
    assert!(!row(&mut s, "webbing-polyester-25").contains(" … "));
    let of_before = s.trials.remove(0);
    s.app.undo();
    s.keys("down up");
    assert!(!row(&mut s, "webbing-polyester-25").contains(" … "), "nothing was undone: the plan is the same");
    s.keys("esc d enter");
    s.app.tried(of_before.run());
    let Some(Overlay::Picker(p)) = &s.app.overlay else { panic!("no list") };
    assert!(p.rows.iter().all(|r| s.app.outcome(p, r).is_none()));
}

#[test]
fn what_cannot_be_says_so() {
    let mut s = Session::demo(120, 40);
    s.select_part("main", 2);
    s.field("item");
    s.keys("enter");
    s.type_text("webbing-lock");
    s.try_one();
    s.try_one();
    let Some(Overlay::Picker(p)) = &s.app.overlay else { panic!("no list") };
    let refused = p.rows.iter().find(|r| matches!(s.app.outcome(p, r), Some(Outcome::Refused(_))));
    assert!(refused.is_some_and(|r| r.name == "webbing-lock"), "{refused:?}");
    let screen = s.screen();
    assert!(screen.contains("cannot be: hardware has no length to find"), "{screen}");
    assert_eq!(s.app.selected, Selected::Part("main".to_owned(), 2));
}

const PRESS: MouseEventKind = MouseEventKind::Down(MouseButton::Left);
const MOVE: MouseEventKind = MouseEventKind::Drag(MouseButton::Left);
const LET_GO: MouseEventKind = MouseEventKind::Up(MouseButton::Left);

/// The cell where a point of side A is drawn.
fn cell(s: &Session, name: &str) -> (u16, u16) {
    let above = s.hits.above(Side::A).expect("drawn");
    let (_, m) = above.points.iter().find(|(n, _)| n == name).expect("drawn");
    let p = above.position(*m);
    (p.x, p.y)
}

fn spot(s: &Session, name: &str) -> DVec2 {
    let rig = &s.app.solver.as_ref().expect("solved").rig;
    rig.spots[rig.spot(name).expect("there")].place.truncate()
}

fn leg_n(s: &Session, run: &str) -> f64 {
    let i = s.app.file.plan.runs.get_index_of(run).expect("there");
    s.app.view.as_ref().expect("view").response.as_ref().expect("solved").run_n[i]
}

#[test]
fn a_bolt_is_dragged_in_the_drawing() {
    let mut s = Session::demo(160, 50);
    s.screen();
    let (from, tension) = (cell(&s, "A bolt 2"), leg_n(&s, "A leg 2"));
    let was = spot(&s, "A bolt 2");
    let frame = s.hits.above(Side::A).expect("drawn").frame;
    s.mouse(PRESS, from);
    assert_eq!((s.app.selected.words().as_str(), s.app.pane), ("A bolt 2", Pane::Drawing), "a click selects");
    for step in 1..=4 {
        s.mouse(MOVE, (from.0 - 2 * step, from.1 - step));
        s.screen();
        assert_eq!(s.hits.above(Side::A).expect("drawn").frame, frame, "the drawing stands still");
    }
    // The point is under the mouse, to the width of a cell, and tensions have followed.
    let at = (from.0 - 8, from.1 - 4);
    let now = cell(&s, "A bolt 2");
    assert!(now.0.abs_diff(at.0) <= 1 && now.1.abs_diff(at.1) <= 1, "{now:?} {at:?}");
    assert!(spot(&s, "A bolt 2").x < was.x - 0.2 && spot(&s, "A bolt 2").y > was.y + 0.2);
    assert!((leg_n(&s, "A leg 2") - tension).abs() > 50.0);
    s.mouse(LET_GO, at);
    s.mouse(MOVE, from);
    assert_ne!(spot(&s, "A bolt 2"), was, "let go is let go");
    assert_eq!(s.app.history.len(), 1, "one drag, one change");
    // A second drag is a change of its own.
    s.screen();
    let from = cell(&s, "A bolt 2");
    s.mouse(PRESS, from);
    s.mouse(MOVE, (from.0 + 3, from.1));
    s.mouse(LET_GO, from);
    assert_eq!((s.app.history.len(), s.app.history.last()), (2, Some("move A bolt 2")));
    s.keys("u u");
    assert_eq!(s.app.file.text, spanwright::cli::DEMO);
}

#[test]
fn a_drag_back_to_its_start_changes_nothing() {
    let mut s = Session::demo(160, 50);
    s.screen();
    let from = cell(&s, "A bolt 4");
    s.mouse(PRESS, from);
    s.mouse(MOVE, (from.0 + 5, from.1 + 2));
    assert!(s.app.unsaved());
    s.mouse(MOVE, from);
    s.mouse(LET_GO, from);
    assert_eq!(s.app.file.text, spanwright::cli::DEMO);
    assert!(!s.app.unsaved(), "{:?}", s.app.history.last());
}

#[test]
fn a_master_is_dragged_too() {
    let mut s = Session::demo(160, 50);
    s.screen();
    let from = cell(&s, "A master");
    s.mouse(PRESS, from);
    s.mouse(MOVE, (from.0 + 4, from.1));
    s.mouse(LET_GO, from);
    assert!(spot(&s, "A master").x > 0.2, "{}", spot(&s, "A master"));
    assert_eq!(s.app.history.last(), Some("move A master"));
}

#[test]
fn legs_are_made_longer_and_shorter() {
    let mut s = Session::demo(120, 40);
    let before = [leg_n(&s, "A leg 1"), leg_n(&s, "A leg 2")];
    s.select_run("A leg 2");
    s.keys("+ + +");
    let part = &s.app.file.plan.runs["A leg 2"].parts[1];
    assert!(matches!(part.length, spanwright::plan::PartLength::Is(_)), "{:?}", part.length);
    assert!(part.tolerance.is_some(), "its tolerance stays: {part:?}");
    // Three centimetres longer than the others, it carries less, and its neighbour more.
    assert!(leg_n(&s, "A leg 2") < 0.8 * before[1] && leg_n(&s, "A leg 1") > before[0] + 100.0);
    assert!(s.app.log.last().expect("said").starts_with("lengthen A leg 2 part 2: 3.35"), "{:?}", s.app.log.last());
    s.keys("<");
    assert_eq!(s.app.history.last(), Some("shorten A leg 2 part 2"));
    s.keys("u");
    assert_eq!(s.app.history.last(), Some("lengthen A leg 2 part 2"));
    s.keys("u");
    assert_eq!(s.app.file.text, spanwright::cli::DEMO, "a repeated key is one change");
    // What has no length of its own says what decides it.
    for (run, part, says) in [("main", 2, "target"), ("backup", 1, "excess"), ("A leg 1", 0, "as it is made")] {
        s.select_part(run, part);
        s.keys("+");
        assert!(s.app.alarm && s.app.log.last().expect("said").contains(says), "{:?}", s.app.log.last());
    }
    s.select_part("B leg 1", 0);
    s.keys("> > -");
    assert!(s.app.file.text.contains("Part(item: \"round-sling-2t\", length: \"3.19 m\""), "{:?}", s.app.log);
}

/// The answers to a new sighted bolt, each a few letters or a return.
#[test]
fn a_point_is_added_by_distance_bearing_and_slope() {
    let mut s = Session::demo(120, 40);
    s.select_point("B master");
    s.keys("p b o l t enter enter s i g h t enter ctrl-u");
    s.type_text("5 m");
    s.keys("enter ctrl-u");
    s.type_text("70 furlongs");
    s.keys("enter");
    assert!(s.screen().contains("not a unit of angle"), "{}", s.screen());
    s.keys("ctrl-u");
    s.type_text("70 deg");
    s.keys("enter ctrl-u");
    s.type_text("-5 deg");
    s.keys("enter");
    s.type_text("expansion 10");
    s.keys("enter");
    s.type_text("backup");
    insta::assert_snapshot!(s.screen());
    s.keys("enter");
    let text = &s.app.file.text;
    let point = "\"B bolt 1\": Fixed(side: B, at: Sighted(distance: \"5 m\", bearing: \"70 deg\", slope: \"-5 deg\"), \
                 by: Bolt(item: \"bolt-expansion-10\")),";
    assert!(text.contains(point), "{:?} {text}", s.app.log.last());
    assert_eq!(s.app.file.plan.runs["B leg 3"].path, ["B bolt 1", "B backup master"]);
    assert_eq!(s.app.history.last(), Some("add B bolt 1"));
    assert!(s.app.review.as_ref().is_some_and(|r| r.unsolved.is_empty()));
    s.keys("u");
    assert_eq!(s.app.file.text, spanwright::cli::DEMO);
}

#[test]
fn a_point_left_as_offered_says_that_its_place_is_assumed() {
    let mut s = Session::demo(120, 40);
    for (kind, questions) in
        [("tree", 5), ("boulder", 5), ("thread", 5), ("deadman", 5), ("vehicle", 5), ("bolt", 5), ("master", 4)]
    {
        s.select_point("A master");
        s.keys("p");
        s.type_text(kind);
        for _ in 0..=questions {
            s.keys("enter");
        }
        let name = s.app.selected.words();
        assert!(name.starts_with(&format!("A {kind} ")) && s.app.overlay.is_none(), "{kind}: {:?}", s.app.log.last());
        assert_eq!(s.app.file.plan.points[&name].note, "place assumed", "{kind}");
        assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
        assert!(s.app.review.as_ref().is_some_and(|r| r.unsolved.is_empty()), "{kind}");
        s.keys("u");
        assert_eq!(s.app.file.text, spanwright::cli::DEMO);
    }
}
