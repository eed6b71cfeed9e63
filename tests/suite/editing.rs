//! Sessions that change a plan: choosing with the outcome in sight, shaping an anchor, dialogues, menus, files.

use crate::common::Session;
use crossterm::event::{MouseButton, MouseEventKind};
use glam::DVec2;
use ratatui::layout::Position;
use spanwright::app::{Outcome, Overlay, Pane, Selected};
use spanwright::plan::Side;
use spanwright::review::review;

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
        said.contains(&format!("{:.1}/5", (worst.factor * 10.0).floor() / 10.0)) && said.contains(r.verdict.word()),
        "{said}: {}",
        worst.factor
    );
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

const RIGHT: MouseEventKind = MouseEventKind::Down(MouseButton::Right);

/// Where a text stands on screen.
fn find(s: &mut Session, text: &str) -> (u16, u16) {
    let screen = s.screen();
    let (y, line) = screen.lines().enumerate().find(|(_, l)| l.contains(text)).unwrap_or_else(|| panic!("{screen}"));
    let x = line.split(text).next().expect("before").chars().count();
    (x as u16 + 1, y as u16)
}

#[test]
fn the_right_button_opens_a_menu_for_what_is_under_it() {
    let mut s = Session::demo(120, 40);
    let at = find(&mut s, "leg 3");
    s.mouse(RIGHT, at);
    assert_eq!(s.app.selected, Selected::Run("A leg 3".to_owned()));
    let screen = s.screen();
    insta::assert_snapshot!(screen);
    // Only what makes sense here.
    assert!(screen.contains("double") && !screen.contains("move towards A"), "{screen}");
    // A click on a line runs it.
    let double = find(&mut s, " double ");
    s.mouse(PRESS, double);
    assert!(s.app.overlay.is_none() && s.app.file.plan.runs.contains_key("A leg 4"), "{:?}", s.app.log.last());
    s.keys("u");
    // On a point of the drawing, its own commands; the keys work as well as the mouse.
    s.screen();
    let at = cell(&s, "A bolt 3");
    s.mouse(RIGHT, at);
    assert_eq!(s.app.selected, Selected::Point("A bolt 3".to_owned()));
    assert!(s.screen().contains("move towards A"), "{}", s.screen());
    s.keys("enter");
    assert_eq!(s.app.history.last(), Some("move A bolt 3"), "the first line");
    s.keys("u");
    let at = cell(&s, "A bolt 3");
    s.mouse(RIGHT, at);
    s.keys("d");
    assert!(s.app.history.last().is_some_and(|n| n.starts_with("double A bolt 3")), "a command's own key");
    s.keys("u");
    // A click beside it closes it and does nothing else.
    s.mouse(RIGHT, at);
    s.screen();
    s.mouse(PRESS, (1, 1));
    assert!(s.app.overlay.is_none());
    assert_eq!(s.app.file.text, spanwright::cli::DEMO);
    // The header is about the plan; with the mouse off a key opens the menu.
    s.mouse(RIGHT, (3, 0));
    assert!(s.screen().contains("save as"));
    s.keys("esc");
    s.select_run("A leg 2");
    s.keys(". end enter");
    assert!(s.screen().contains("remark on A leg 2"), "the last line of a run's menu: {}", s.screen());
}

#[test]
fn the_wheel_scrolls_what_is_in_front() {
    let mut s = Session::demo(80, 24);
    s.keys("?");
    let before = s.screen();
    s.mouse(MouseEventKind::ScrollDown, (40, 12));
    assert_ne!(s.screen(), before);
    s.mouse(MouseEventKind::ScrollUp, (40, 12));
    assert_eq!(s.screen(), before);
    s.keys("esc :");
    s.mouse(MouseEventKind::ScrollDown, (40, 12));
    let Some(Overlay::Picker(p)) = &s.app.overlay else { panic!("no list") };
    assert_eq!(p.at, 3);
    let name = p.matching()[5].name.clone();
    let at = find(&mut s, &format!("│{name} "));
    s.mouse(PRESS, at);
    let Some(Overlay::Picker(p)) = &s.app.overlay else { panic!("no list") };
    assert_eq!(p.at, 5, "a click puts the cursor there, a second one takes it");
    s.mouse(PRESS, at);
    assert!(!matches!(&s.app.overlay, Some(Overlay::Picker(p)) if p.title == "Commands"));
    assert_eq!(s.hits.pane(Position::new(0, 0)), None);
}

fn on_disk() -> (tempfile::TempDir, std::path::PathBuf, Session) {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("plan.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("written");
    let s = Session::open(&path, 120, 40);
    (dir, path, s)
}

#[test]
fn a_change_on_disk_is_compared_with_ours() {
    let (_dir, path, mut s) = on_disk();
    s.select_run("A leg 2");
    s.keys("+");
    let ours = s.app.file.text.clone();
    let theirs = spanwright::cli::DEMO.replace("Kestrel Gap", "Kestrel Gap again");
    std::fs::write(&path, &theirs).expect("written");
    s.app.touched();
    assert!(s.screen().contains("c    compare the two"), "{}", s.screen());
    s.keys("c");
    let screen = s.screen();
    assert!(
        screen.contains("-     title: \"Kestrel Gap, autumn") && screen.contains("+     title: \"Kestrel Gap again")
    );
    assert!(screen.contains("-             Part(item: \"hmpe-8\", length: \"3."), "{screen}");
    insta::assert_snapshot!(screen);
    s.keys("down x esc");
    assert!(matches!(s.app.overlay, Some(Overlay::Changed)), "back to the question");
    // A click on an answer gives it; reading theirs can be taken back.
    let at = find(&mut s, "r    read it");
    s.mouse(PRESS, at);
    assert_eq!(s.app.file.text, theirs);
    s.keys("u");
    assert_eq!(s.app.file.text, ours);
    s.keys("s");
    assert_eq!(std::fs::read_to_string(&path).expect("saved"), ours);
    assert!(s.app.overlay.is_none(), "what was read is what is replaced");
}

#[test]
fn an_editor_is_opened_on_what_is_saved_at_what_is_selected() {
    let line = |text: &str, what: &str| text.lines().position(|l| l.contains(what)).expect("there") + 1;
    let (_dir, path, mut s) = on_disk();
    s.select_point("B oak 2");
    s.keys("e");
    assert_eq!(s.edits.pop(), Some((path.clone(), line(spanwright::cli::DEMO, "\"B oak 2\": Fixed"))));
    // With unsaved work it is asked first, and esc does nothing.
    s.select_run("A leg 2");
    s.keys("+ e");
    assert!(s.screen().contains("save, and open the editor"), "{}", s.screen());
    s.keys("esc");
    assert!(s.edits.is_empty() && s.app.unsaved());
    s.keys("e s");
    assert!(!s.app.unsaved());
    assert_eq!(s.edits.pop(), Some((path.clone(), line(&s.app.file.text, "\"A leg 2\": Run"))));
    // What the editor leaves is read; a slip there leaves the plan as it was, and says where.
    let text = s.app.file.text.clone();
    std::fs::write(&path, text.replace("Kestrel", "Merlin")).expect("written");
    s.app.edited(Ok(()));
    assert!(s.app.file.plan.title.starts_with("Merlin"));
    s.keys("u");
    assert_eq!(s.app.file.text, text);
    s.keys("U");
    std::fs::write(&path, "Plan(format: 1,\n  title: \"x\n").expect("written");
    s.app.edited(Ok(()));
    assert!(s.app.alarm && s.app.log.last().expect("said").contains("plan.ron:"), "{:?}", s.app.log.last());
    assert!(s.app.file.plan.title.starts_with("Merlin"));
    s.keys("s");
    assert!(matches!(s.app.overlay, Some(Overlay::Changed)), "nothing is overwritten unasked");
}

#[test]
fn the_demo_needs_a_name_before_an_editor() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    let mut s = Session::demo(120, 40);
    s.keys("e ctrl-u");
    s.type_text(path.to_str().expect("utf-8"));
    s.keys("enter");
    assert_eq!(s.edits.pop().map(|e| e.0), Some(path.clone()));
    assert_eq!(std::fs::read_to_string(&path).expect("saved"), spanwright::cli::DEMO);
}

#[test]
fn saving_under_another_name() {
    let (dir, path, mut s) = on_disk();
    let other = dir.path().join("other.ron");
    s.select_run("A leg 2");
    s.keys("+");
    let ours = s.app.file.text.clone();
    s.keys("S ctrl-u");
    s.type_text(other.to_str().expect("utf-8"));
    s.keys("enter");
    assert_eq!(std::fs::read_to_string(&other).expect("saved"), ours);
    assert_eq!(std::fs::read_to_string(&path).expect("kept"), spanwright::cli::DEMO);
    assert_eq!((s.app.path.as_deref(), s.app.unsaved()), (Some(other.as_path()), false));
    // What exists is not written over, and the plan stays where it was.
    s.keys("+ S ctrl-u");
    s.type_text(path.to_str().expect("utf-8"));
    s.keys("enter");
    assert!(s.app.log.last().expect("said").contains("exists; choose another name"));
    assert_eq!(s.app.path.as_deref(), Some(other.as_path()));
    assert_eq!(std::fs::read_to_string(&path).expect("kept"), spanwright::cli::DEMO);
    // A folder that is not there: said, and the work is still here.
    s.keys("S ctrl-u");
    s.type_text(dir.path().join("nowhere/x.ron").to_str().expect("utf-8"));
    s.keys("enter");
    assert!(s.app.alarm && s.app.unsaved() && s.app.path.as_deref() == Some(other.as_path()), "{:?}", s.app.log);
}

#[test]
fn undo_says_what_it_takes_back() {
    let mut s = Session::demo(120, 40);
    s.select_point("A bolt 1");
    s.keys("d");
    s.select_run("A leg 2");
    s.keys("+ + n ctrl-u");
    s.type_text("A middle");
    s.keys("enter");
    let said = |s: &Session| s.app.log.last().cloned().expect("said");
    let mut names = Vec::new();
    for _ in 0..3 {
        s.keys("u");
        names.push(said(&s));
    }
    assert_eq!(
        names,
        [
            "undone: rename A leg 2 to A middle",
            "undone: lengthen A leg 2 part 2",
            "undone: double A bolt 1 as A bolt 7"
        ]
    );
    assert!(s.app.history.is_empty());
    s.keys("U");
    assert_eq!(said(&s), "done again: double A bolt 1 as A bolt 7");
}

/// A new name goes wherever the plan names the thing: to ties, readings of legs, the crossing's runs; a copy is another piece.
#[test]
fn a_new_name_goes_along_and_a_serial_does_not() {
    let mut s = Session::demo(120, 40);
    let rename = |s: &mut Session, name: &str| {
        s.keys("n ctrl-u");
        s.type_text(name);
        s.keys("enter");
        assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    };
    s.select_point("B oak 4");
    rename(&mut s, "B old oak");
    assert_eq!(s.app.file.plan.ties["B left"].anchors, ["B old oak"]);
    s.select_run("A leg 2");
    rename(&mut s, "A middle");
    assert_eq!(s.app.file.plan.days[0].legs[0].0, "A middle");
    s.select_run("main");
    rename(&mut s, "the line");
    let text = s.app.file.text.clone();
    assert!(!text.contains("\"main\"") && text.contains("of: \"the line\""), "{:?}", s.app.log.last());
    // Gone, a leg stays where it was read.
    s.select_run("A middle");
    s.keys("x");
    assert!(!s.app.file.plan.runs.contains_key("A middle") && s.app.file.is_sound(), "{}", s.app.file.show_faults());
    assert_eq!(s.app.file.plan.days[0].legs[0].0, "A middle");
    s.select_part("the line", 2);
    s.keys("d");
    let serials: Vec<_> = s.app.file.plan.runs["the line"].parts.iter().map(|p| p.serial.clone()).collect();
    assert_eq!(serials.iter().flatten().collect::<Vec<_>>(), ["W25-3"], "{serials:?}");
}

/// What a field offers to be changed, taken as it stands, changes nothing: over every field of every plan. And nothing that
/// stands in a form is written as the file writes it.
#[test]
fn values_are_typed_in_words_and_mean_the_same() {
    use spanwright::document::schema::Kind;
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("plans");
    let mut tried = 0;
    for entry in std::fs::read_dir(folder).expect("plans") {
        let path = entry.expect("entry").path();
        if path.extension().is_none_or(|x| x != "ron") {
            continue;
        }
        let mut s = Session::idle(&path, 80, 24);
        let plan = format!("{:?}", s.app.file.plan);
        let lines: Vec<Selected> = s.app.outline.iter().filter_map(|e| e.selected.clone()).collect();
        for line in lines {
            s.app.select(line);
            for at in 0..s.app.form.len() {
                let f = s.app.form[at].clone();
                let words = f.words(&s.app.file);
                if !matches!(f.kind, Kind::Words) {
                    let file_like = words.contains(['"', '[', ']', '{', '}', '_']) || words.contains("(\"");
                    assert!(!file_like, "{}: {} reads {words}", path.display(), f.name);
                }
                let typed_whole = matches!(f.kind, Kind::Choice(_) | Kind::Record(_) | Kind::Map(..) | Kind::Flag);
                if f.value.is_none() || typed_whole {
                    continue;
                }
                let spoken = f.spoken();
                // What is made of forms has lines of its own.
                if spoken.contains('(') {
                    assert!(matches!(f.kind, Kind::Tuple(_) | Kind::List(_)), "{}: {spoken}", f.name);
                    continue;
                }
                assert!(!spoken.contains('"'), "{}: {} offers {spoken}", path.display(), f.name);
                s.app
                    .set_field(at, &spoken)
                    .unwrap_or_else(|e| panic!("{}: {}: {spoken}: {e}", path.display(), f.name));
                assert_eq!(format!("{:?}", s.app.file.plan), plan, "{}: {}: {spoken}", path.display(), f.name);
                tried += 1;
            }
        }
    }
    assert!(tried > 300, "{tried}");
}

/// Lists are typed as people say them, in the workbench.
#[test]
fn walkers_and_ground_are_typed_as_people_say_them() {
    let mut s = Session::demo(120, 40);
    s.app.select(Selected::People);
    s.app.pane = spanwright::app::Pane::Piece;
    s.field("walkers");
    s.keys("enter ctrl-u");
    s.type_text("60, 80 and 95 kg");
    s.keys("enter");
    let walkers: Vec<f64> =
        s.app.file.plan.people.walkers.iter().map(|m| spanwright::units::Quantity::si(*m)).collect();
    assert_eq!(walkers, [60.0, 80.0, 95.0]);
    s.app.select(Selected::Site);
    s.field("ground");
    s.keys("enter ctrl-u");
    s.type_text("-3 m -0.5 m; 2 m -1 m; 30 m 25 down");
    s.keys("enter");
    assert_eq!(s.app.file.plan.site.ground.len(), 3, "{}", s.screen());
    assert!((spanwright::units::Quantity::si(s.app.file.plan.site.ground[2].1) + 25.0).abs() < 1e-12);
}

/// A place that is a form of its own is typed without brackets and quotes, and with brackets alone as well.
#[test]
fn a_place_is_typed_without_brackets() {
    for typed in ["-3.3 m, 1.5 m, -0.1 m", "-3.3, 1.5, -0.1", "(-3.3 m, 1.5 m, -0.1 m)"] {
        let mut s = Session::demo(120, 40);
        s.select_point("A bolt 1");
        s.app.pane = Pane::Piece;
        s.field("at");
        let at = s.app.form_at;
        assert!(!s.app.form[at].words(&s.app.file).contains('"'));
        s.app.set_field(at, typed).unwrap_or_else(|e| panic!("{typed}: {e}"));
        let wanted = "\"A bolt 1\": Fixed(side: A, at: (\"-3.3 m\", \"1.5 m\", \"-0.1 m\")";
        assert!(s.app.file.text.contains(wanted), "{typed}: {:?}", s.app.log);
    }
}
