//! Sessions that change a plan: choosing with the outcome in sight, shaping an anchor, dialogues, menus, files.

mod common;

use common::Session;
use spanwright::app::{Outcome, Overlay, Selected};
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
    assert!(said.contains(&format!("{:.1}/5", worst.factor)) && said.contains("meets"), "{said}: {}", worst.factor);
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
