//! Sessions played by keys, and what the screen then shows.

use crate::common::{SMALL, Session};
use spanwright::app::{Glyphs, Palette, Pane};
use spanwright::cli::DEMO;
use spanwright::units::{Quantity as _, System};

fn demo(width: u16, height: u16) -> Session {
    Session::demo(width, height)
}

#[test]
fn first_screen_small() {
    insta::assert_snapshot!(demo(80, 24).screen());
}

#[test]
fn first_screen_middle() {
    insta::assert_snapshot!(demo(120, 40).screen());
}

#[test]
fn first_screen_large() {
    insta::assert_snapshot!(demo(200, 50).screen());
}

#[test]
fn first_screen_in_ascii() {
    let mut s = demo(120, 40);
    s.app.settings.glyphs = Glyphs::Ascii;
    let screen = s.screen();
    // Braille is replaced by dots, signs by letters: nothing but ASCII is left.
    assert!(screen.is_ascii(), "{:?}", screen.chars().filter(|c| !c.is_ascii()).collect::<String>());
    insta::assert_snapshot!(screen);
}

#[test]
fn without_colour_nothing_is_lost() {
    let mut s = demo(120, 40);
    let with = s.screen();
    s.app.settings.palette = Palette::Mono;
    assert_eq!(s.screen(), with, "the text is the same");
    assert!(s.colours().is_empty(), "{:?}", s.colours());
}

#[test]
fn too_small_says_so() {
    let mut s = demo(60, 18);
    let one = s.screen();
    assert!(
        one.contains("path  gap  piece  worst") && one.contains("3.9 of 5.0") && one.contains("planning aid"),
        "{one}"
    );
    let mut s = demo(39, 8);
    let alone = s.screen();
    assert!(alone.contains("main webbing") && alone.contains("work is kept") && alone.contains("plain"), "{alone}");
}

fn is_main(r: &spanwright::review::Row) -> bool {
    r.place.to_string() == "main, part 3" && r.class == spanwright::review::Class::Working
}

/// What the line has over what its working situations pull.
fn main_factor(review: &spanwright::review::Review) -> f64 {
    review.rows.iter().find(|r| is_main(r)).expect("the line").factor
}

#[test]
fn the_limiting_piece_and_its_reasons() {
    let mut s = demo(120, 40);
    s.keys("w");
    let screen = s.screen();
    let worst = s.app.review.as_ref().expect("reviewed").worst_first()[0].clone();
    let (demand, factor) = (worst.sees(System::Si), worst.found(System::Si));
    let words = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(&format!("÷ {demand}")) && words.contains(&format!("= {factor} of")), "{screen}");
    insta::assert_snapshot!(screen);
}

#[test]
fn a_field_is_edited_and_everything_follows() {
    let mut s = demo(120, 40);
    // The main webbing's target: down to 1.5 kN, and the shortfall is gone or less.
    s.keys("/ main enter");
    let before = s.app.review.as_ref().expect("reviewed").line.standing_n[0];
    s.select_part("main", 2);
    s.field("standing");
    s.keys("enter ctrl-u");
    s.type_text("1.5 kN");
    s.keys("enter");
    let after = s.app.review.as_ref().expect("reviewed").line.standing_n[0];
    assert!((before - 2500.0).abs() < 1e-3 && (after - 1500.0).abs() < 1e-3, "{before} {after}");
    assert!(s.app.unsaved());
    s.keys("u");
    assert!((s.app.review.as_ref().expect("reviewed").line.standing_n[0] - 2500.0).abs() < 1e-3);
    s.keys("U");
    assert!((s.app.review.as_ref().expect("reviewed").line.standing_n[0] - 1500.0).abs() < 1e-3);
}

#[test]
fn a_wrong_unit_is_refused_where_it_is_typed() {
    let mut s = demo(80, 24);
    s.select_part("main", 2);
    s.field("standing");
    s.keys("enter ctrl-u");
    s.type_text("1.5 kg");
    s.keys("enter");
    let screen = s.screen();
    assert!(screen.contains("kg is a unit of mass"), "{screen}");
    insta::assert_snapshot!(screen);
    s.keys("esc");
    assert!(!s.app.unsaved());
}

#[test]
fn another_item_from_the_list() {
    let mut s = demo(120, 40);
    let factor = |s: &Session| main_factor(s.app.review.as_ref().expect("reviewed"));
    let before = factor(&s);
    s.select_part("main", 2);
    s.field("item");
    s.keys("enter");
    s.type_text("sheathed");
    insta::assert_snapshot!(s.screen());
    s.keys("enter");
    assert_eq!(s.app.file.plan.runs["main"].parts[2].item, "webbing-polyester-sheathed-25");
    assert!(factor(&s) > 1.1 * before, "the stronger webbing keeps more: {} after {before}", factor(&s));
}

#[test]
fn the_walker_slides_and_tensions_follow() {
    let mut s = demo(120, 40);
    let tension = |s: &Session| s.app.view.as_ref().expect("view").response.as_ref().expect("solved").line_n[0];
    let mid = tension(&s);
    s.keys("shift-left shift-left shift-left shift-left left left left");
    assert!((s.app.walker - 0.07).abs() < 1e-9);
    assert!(tension(&s) < mid);
    insta::assert_snapshot!(s.screen());
}

#[test]
fn points_runs_and_parts_come_and_go() {
    let mut s = demo(120, 40);
    let text = s.app.file.text.clone();
    s.select_point("A bolt 1");
    s.keys("d");
    assert!(s.app.file.plan.points.contains_key("A bolt 6"), "{:?}", s.app.log.last());
    s.keys("p");
    s.type_text("tree");
    s.keys("enter enter enter enter enter enter");
    assert!(s.app.file.plan.points.contains_key("A tree 1"), "{:?}", s.app.log.last());
    s.select_run("A leg 1");
    s.keys("a");
    s.type_text("bow-shackle-2t");
    s.keys("enter");
    assert_eq!(s.app.file.plan.runs["A leg 1"].parts[2].item, "bow-shackle-2t");
    s.keys("x");
    assert_eq!(s.app.file.plan.runs["A leg 1"].parts.len(), 2);
    s.select_point("A bolt 2");
    s.keys("n ctrl-u");
    s.type_text("A old bolt");
    s.keys("enter");
    assert_eq!(s.app.file.plan.runs["A leg 2"].path[0], "A old bolt");
    s.keys("x");
    assert!(!s.app.file.plan.runs.contains_key("A leg 2"));
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    for _ in 0..20 {
        s.keys("u");
    }
    assert_eq!(s.app.file.text, text, "undo brings every character back");
}

#[test]
fn side_a_is_mirrored_onto_side_b() {
    // On a level line the image of an anchor carries what the anchor carries.
    let level = spanwright::cli::DEMO.replace("height_difference: \"3 m\"", "height_difference: \"0 m\"");
    let mut s = Session::text(&level, 120, 40);
    let text = s.app.file.text.clone();
    s.keys("Y");
    assert!(!s.app.alarm, "{:?}", s.app.log.last());
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    let plan = &s.app.file.plan;
    assert!(!plan.points.contains_key("B oak 1"));
    assert_eq!(plan.runs["main"].path, ["A master", "B master"]);
    assert_eq!(plan.runs["B leg 2"].path, ["B bolt 2", "B master"]);
    let r = s.app.review.as_ref().expect("reviewed");
    let of = |n: &str| r.cases[0].response.run_n[r.run_names.iter().position(|x| x == n).expect("run")];
    for leg in 1..=3 {
        let (a, b) = (of(&format!("A leg {leg}")), of(&format!("B leg {leg}")));
        assert!((a - b).abs() < 1e-4 * (1.0 + a), "leg {leg}: {a} and {b}");
    }
    s.keys("u");
    assert_eq!(s.app.file.text, text);
}

/// An incident is chosen from a list and watched: stepped through, played, held, left.
#[test]
fn an_incident_is_watched() {
    let mut s = demo(120, 40);
    s.keys("i");
    assert!(s.screen().contains("Falls and failures, "));
    s.type_text("leash fall, 15 m");
    s.keys("enter");
    let w = s.app.watching.as_ref().expect("watched");
    assert!(w.frames.len() > 50 && w.event.words() == "leash fall 0.25" && s.app.playing());
    for _ in 0..20 {
        s.app.tick();
    }
    s.keys("space right left right right");
    assert!(!s.app.playing());
    assert_eq!(s.app.watching.as_ref().expect("watched").at, 42);
    assert!((s.app.walker - 0.5).abs() < 1e-9, "the walker's keys have the time while it is watched");
    insta::assert_snapshot!(s.screen());
    // The same peak as in the review, to what pictures every 20 ms can show.
    let frames = &s.app.watching.as_ref().expect("watched").frames;
    let shown = frames.iter().map(|f| f.leash_n).fold(0.0, f64::max);
    let review = s.app.review.as_ref().expect("reviewed");
    let most = review.incidents.iter().find(|i| i.event.words() == "leash fall 0.25").expect("played").peaks.leash_n;
    assert!(shown <= most && shown > 0.95 * most, "{shown} {most}");
    // A changed plan marks what is watched as old; left, the drawing is back.
    s.review_each = false;
    s.select_part("main", 2);
    s.keys("d");
    assert!(s.screen().contains("of the plan before: leash fall 0.25"));
    s.keys("i");
    assert!(s.app.watching.is_none());
}

/// With the whole depth shown, how low the feet come is drawn and named.
#[test]
fn the_feet_are_drawn_over_the_ground() {
    let mut s = demo(200, 50);
    let screen = s.screen();
    assert!(screen.contains("feet, leash fall") && screen.contains("feet, backup's catch"), "{screen}");
    assert!(screen.contains("feet to "), "{screen}");
    s.keys("z");
    assert_ne!(s.screen(), screen, "the whole depth");
}

/// Playing falls and failures is counted down on the screen, and can be stopped; a plan half played never passes.
#[test]
fn playing_is_counted_and_can_be_stopped() {
    let mut s = demo(120, 40);
    assert!(!s.screen().contains("so far"));
    s.select_part("main", 2);
    s.field("item");
    s.keys("enter");
    s.type_text("sheathed");
    s.keys("enter");
    assert!(s.screen().contains("so far") && s.screen().contains("falls and failures played"), "{}", s.screen());
    s.keys("X");
    assert!(s.screen().contains("were not worked out"), "{}", s.screen());
    assert!(!s.app.review.as_ref().expect("reviewed").passes());
}

#[test]
fn a_bolt_is_moved_in_the_drawing() {
    let mut s = demo(120, 40);
    s.select_point("A bolt 1");
    s.app.pane = Pane::Drawing;
    s.keys("shift-left shift-up K");
    let text = &s.app.file.text;
    assert!(text.contains("\"A bolt 1\": Fixed(side: A, at: (\"-3.3 m\", \"1.5 m\", \"-0.1 m\")"), "{:?}", s.app.log);
    s.keys("u");
    assert_eq!(s.app.file.text, spanwright::cli::DEMO, "steps in one go are one change");
}

/// A sighted point stays sighted, and lands where it was moved to.
#[test]
fn a_sighted_bolt_is_moved_too() {
    let mut s = demo(120, 40);
    let place = |s: &Session| {
        let rig = &s.app.solver.as_ref().expect("solved").rig;
        rig.spots[rig.spot("A bolt 4").expect("there")].place
    };
    let before = place(&s);
    s.select_point("A bolt 4");
    s.app.pane = Pane::Drawing;
    s.keys("L L K");
    let by = place(&s) - before;
    assert!((by - glam::DVec3::new(0.2, 0.1, 0.0)).length() < 5e-3, "{by}");
    assert!(s.app.file.text.contains("\"A bolt 4\": Fixed(side: A, at: Sighted(distance: \"4."), "{:?}", s.app.log);
    s.keys("u");
    assert_eq!(s.app.file.text, spanwright::cli::DEMO);
}

#[test]
fn a_baseline_shows_what_a_change_does() {
    let mut s = demo(200, 50);
    let factor = |s: &Session| {
        let review = s.app.review.as_ref().expect("reviewed");
        review.rows.iter().find(|r| is_main(r)).expect("the line").found(System::Si)
    };
    let before = factor(&s);
    s.keys("b");
    s.select_part("main", 2);
    s.field("item");
    s.keys("enter");
    s.type_text("sheathed");
    s.keys("enter");
    let screen = s.screen();
    let now = factor(&s);
    assert!(before != now && screen.contains(&format!("baseline {before}, now {now}")), "{screen}");
    insta::assert_snapshot!(screen);
}

/// From nothing to a solved rig: a few answers, most of them a return.
#[test]
fn a_new_plan_from_a_few_questions() {
    let mut s = demo(120, 40);
    s.keys("N ctrl-u");
    s.type_text("Finch Ledge");
    s.keys("enter ctrl-u");
    s.type_text("48 m");
    s.keys("enter enter ctrl-u");
    s.type_text("72 furlongs");
    s.keys("enter");
    assert!(s.screen().contains("80 kg and 65 kg"), "{}", s.screen());
    s.keys("ctrl-u");
    s.type_text("72 kg and 60");
    s.keys("enter");
    s.type_text("-3 -0.5, 2 -1, 4 -22 m, 44 25 down, 48 -0.2 m");
    insta::assert_snapshot!("new_plan_ground", s.screen());
    s.keys("enter enter enter");
    insta::assert_snapshot!("new_plan_anchor", s.screen());
    s.type_text("nothing of that name");
    s.keys("enter");
    assert!(s.screen().contains("What holds it at A?"), "nothing in sight is no answer: {}", s.screen());
    // A step back keeps what was answered; leaving keeps all of it.
    s.keys("esc");
    assert!(s.screen().contains("How tight") && s.screen().contains("72, 60 kg"), "{}", s.screen());
    s.keys("ctrl-c");
    assert!(s.app.overlay.is_none() && s.screen().contains("N goes on with it"), "{}", s.screen());
    s.keys("N enter");
    s.type_text("four");
    s.keys("enter");
    s.type_text("two-tr");
    s.keys("enter");
    s.type_text("hmpe-9");
    s.keys("enter ctrl-u");
    s.type_text("6, 3");
    s.keys("enter");
    assert!(s.screen().contains("three numbers above zero"), "{}", s.screen());
    s.keys("ctrl-u");
    s.type_text("6, 3, 2.5");
    s.keys("enter");
    insta::assert_snapshot!("new_plan_check", s.screen());
    // From the last step back to one, and on from there.
    s.type_text("gap");
    s.keys("enter ctrl-u");
    s.type_text("50");
    s.keys("enter enter enter enter enter enter enter enter enter enter");
    assert!(s.screen().contains("make the plan"), "{}", s.screen());
    s.keys("enter");
    assert_eq!(s.app.file.plan.people.walkers.len(), 2);
    assert_eq!(s.app.file.plan.site.ground.len(), 5);
    assert!((s.app.file.plan.site.span.si() - 50.0).abs() < 1e-9);
    assert_eq!(s.app.file.plan.factors.all.working, Some(6.0));
    assert_eq!(s.app.file.plan.runs["A leg 1"].parts[1].item, "hmpe-9");
    let plan = &s.app.file.plan;
    assert_eq!(plan.title, "Finch Ledge");
    assert!(plan.points.contains_key("A left") && plan.points.contains_key("B tree 3"));
    let r = s.app.review.as_ref().expect("reviewed");
    assert!(r.unsolved.is_empty() && r.cases.len() > 50);
    assert!(s.app.unsaved() && s.app.path.is_none());
    insta::assert_snapshot!("new_plan", s.screen());
    // Its file is called after it.
    s.keys("s");
    assert!(s.screen().contains("finch-ledge.ron"), "{}", s.screen());
}

/// From nothing to a verdict: 50 m, two bolts with a sliding rope, one tree, three walkers, a ground of five points, in at
/// most 90 keys beside what is typed.
#[test]
fn a_rig_of_fifty_metres_in_few_keys() {
    let mut s = demo(120, 40);
    let mut keys = 0;
    let mut press = |s: &mut Session, all: &str| {
        keys += all.split(' ').count();
        s.keys(all);
    };
    press(&mut s, "N");
    for (text, on) in [
        ("Fifty", "enter"),
        ("50", "enter"),
        ("1.5", "enter"),
        ("60, 80, 95 kg", "enter"),
        ("-3 -0.5, 2 -1, 4 -22, 46 -25, 50 1", "enter"),
        ("", "enter"),
        ("2.2", "enter"),
        ("two-bolts-sl", "enter"),
        ("one-tree", "enter"),
        ("", "enter"),
        ("", "enter"),
        ("", "enter"),
    ] {
        s.type_text(text);
        press(&mut s, on);
    }
    s.catch_up();
    let r = s.app.review.as_ref().expect("reviewed");
    assert!(s.app.overlay.is_none() && r.unsolved.is_empty() && r.to_come == 0, "{}", s.screen());
    assert_eq!(s.app.file.plan.people.walkers.len(), 3);
    assert!(s.app.file.plan.runs.contains_key("A fan") && s.app.file.plan.points.contains_key("B tree"));
    assert!(keys <= 90, "{keys} keys");
}

/// What is typed to be found narrows the path at once; esc goes back to where one was.
#[test]
fn looking_for_a_piece_narrows_the_path() {
    let mut s = demo(120, 40);
    let before = s.app.selected.clone();
    s.keys("/");
    s.type_text("leg");
    let screen = s.screen();
    assert!(screen.contains("backup leg") && !screen.contains("people   80 kg"), "{screen}");
    insta::assert_snapshot!(screen);
    s.keys("down down");
    assert!(s.app.selected != before);
    s.keys("esc");
    assert_eq!(s.app.selected, before);
}

#[test]
fn leaving_with_unsaved_work_asks() {
    let mut s = demo(80, 24);
    s.select_part("main", 2);
    s.keys("d q");
    let screen = s.screen();
    assert!(screen.contains("Unsaved work"), "{screen}");
    s.keys("esc");
    assert!(!s.left);
    s.keys("q q");
    assert!(s.left);
}

#[test]
fn saving_keeps_comments_and_notices_a_change() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("plan.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("write");
    let mut s = Session::open(&path, 80, 24);
    s.select_part("main", 2);
    s.field("standing");
    s.keys("enter ctrl-u");
    s.type_text("2 kN");
    s.keys("enter s");
    let saved = std::fs::read_to_string(&path).expect("saved");
    assert_eq!(saved, spanwright::cli::DEMO.replace("standing: \"2.5 kN\"", "standing: \"2 kN\""));
    assert!(!s.app.unsaved());
    std::fs::write(&path, "// somebody else\n").expect("write");
    s.keys("u s");
    assert!(s.screen().contains("has changed since it was read"));
    s.keys("esc");
    assert_eq!(std::fs::read_to_string(&path).expect("kept"), "// somebody else\n");
    s.keys("s o");
    assert_eq!(std::fs::read_to_string(&path).expect("saved"), spanwright::cli::DEMO);
    assert_eq!(std::fs::read_to_string(dir.path().join("plan.ron.bak")).expect("copy"), "// somebody else\n");
}

#[test]
fn a_plan_that_cannot_be_worked_out_shows_no_numbers() {
    let text = spanwright::cli::DEMO.replace("(\"-3.2 m\", \"1.3 m\", \"-0.1 m\")", "(\"0 m\", \"0 m\", \"0 m\")");
    let mut s = Session::text(&text, 120, 40);
    let screen = s.screen();
    assert!(screen.contains("the run has no length"), "{screen}");
    assert!(!screen.contains(" kN  "), "{screen}");
    insta::assert_snapshot!(screen);
}

#[test]
fn help_lists_every_command() {
    let mut s = demo(120, 160);
    s.keys("?");
    let screen = s.screen();
    for c in spanwright::app::COMMANDS {
        assert!(screen.contains(c.name), "{} is not in help:\n{screen}", c.name);
    }
}

/// Any keys, then undo all: the first text again. A small monkey; it must neither panic nor lose a character.
#[test]
fn random_keys_do_no_harm() {
    let keys = [
        "down", "up", "tab", "enter", "esc", "a", "d", "x", "p", "r", "n", "u", "U", "c", "z", "left", "right", "w",
        "delete", "?", ":", "/", "m", "f", "pagedown", "home", "end", "backtab", "1", "k", "N", "space",
    ];
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    for round in 0..6 {
        let mut s = demo(if round % 2 == 0 { 80 } else { 130 }, 40);
        s.review_each = false;
        let text = s.app.file.text.clone();
        for i in 0..400 {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            s.keys(keys[(seed % keys.len() as u64) as usize]);
            if i % 20 == 0 {
                s.screen();
            }
        }
        s.keys("esc esc esc");
        for _ in 0..400 {
            s.app.undo();
        }
        assert_eq!(s.app.file.text, text, "round {round}");
    }
}

/// Every size: nothing panics, and what is drawn fits.
#[test]
fn every_size_is_drawn() {
    let mut s = demo(80, 24);
    for width in (1..=250).step_by(7) {
        for height in (1..=80).step_by(5) {
            s.resize(width, height);
            s.screen();
        }
    }
}

#[test]
fn sheets_are_looked_at_and_written_beside_the_plan() {
    let mut s = demo(120, 40);
    s.keys("R");
    let card = s.screen();
    assert!(card.contains("Rig card: Kestrel Gap"), "{card}");
    insta::assert_snapshot!(card);
    let folder = tempfile::tempdir().expect("a folder");
    s.app.path = Some(folder.path().join("gap.ron"));
    s.keys("p");
    s.keys("p");
    s.keys("t");
    for name in ["gap-card.pdf", "gap-card-2.pdf", "gap-card.txt"] {
        assert!(folder.path().join(name).exists(), "{name}");
    }
    assert!(std::fs::read(folder.path().join("gap-card.pdf")).expect("written").starts_with(b"%PDF"));
    // Every sheet can be reached, at the least size too.
    let mut s = demo(80, 24);
    s.keys("R");
    for title in [
        "Gear list",
        "Cut list",
        "Splice cards",
        "Over and down",
        "day",
        "Rescue",
        "Edges",
        "Staying up",
        "Frames",
        "Crew and hours",
        "Scouting",
        "Review",
        "why",
        "limits",
        "doubt",
        "changes",
        "Solver checks",
        "bench",
        "Rig card",
    ] {
        s.keys("right");
        let screen = s.screen();
        assert!(screen.contains(title), "{title}: {screen}");
    }
    s.keys("esc");
    assert!(!s.screen().contains("Rig card"));
}

/// A friend's file beside the plan: read and reviewed, what differs marked on both sides at one height, factors with it.
#[test]
fn two_plans_stand_side_by_side() {
    let folder = tempfile::tempdir().expect("a folder");
    let other = folder.path().join("other.ron");
    let text =
        std::fs::read_to_string(format!("{}/plans/kestrel-gap-62m.ron", env!("CARGO_MANIFEST_DIR"))).expect("a plan");
    let text =
        text.replace("webbing-polyester-25", "webbing-polyester-sheathed-25").replace("working: 5.0", "working: 4.5");
    std::fs::write(&other, text).expect("written");
    let mut s = demo(120, 40);
    s.keys("|");
    assert!(s.screen().contains("against"), "nothing to stand beside yet: {}", s.screen());
    s.keys("&");
    s.type_text("nowhere.ron");
    s.keys("enter");
    assert!(s.screen().contains("there is no such file"), "{}", s.screen());
    s.keys("esc");
    s.keys("&");
    s.type_text(other.to_str().expect("a path"));
    s.keys("enter");
    let both = s.screen();
    assert!(both.contains("before, below") && both.contains("now, below"), "{both}");
    let line =
        |words: &str| both.lines().find(|l| l.contains(words)).unwrap_or_else(|| panic!("{words}: {both}")).to_owned();
    let main = line("webbing-polyester-sheathed-25, webbing-lock");
    assert!(main.matches("webbing-lock").count() >= 2, "both at one height: {main}");
    insta::assert_snapshot!(both);
    // Verdicts that differ come first among the factors, the same piece on both sides.
    for _ in 0..60 {
        s.keys("down");
        let screen = s.screen();
        let lines: Vec<&str> = screen.lines().collect();
        if lines[2].contains("Factors, of what is required") {
            assert!(lines[3].matches("main, part 3, working").count() == 2 && lines[3].contains('✗'), "{screen}");
            s.keys("esc");
            assert!(!s.screen().contains("before, below"));
            return;
        }
    }
    panic!("no factors: {}", s.screen());
}

/// A sheet never stands over figures of an older text: after an edit that nothing has reviewed yet, it says so.
#[test]
fn no_sheet_is_written_from_a_stale_review() {
    let mut s = demo(120, 40);
    s.review_each = false;
    s.select_part("A leg 1", 1);
    s.keys("d");
    assert!(!s.app.fresh(), "the edit is not reviewed");
    s.keys("R");
    assert!(s.screen().contains("the review of this plan is not done yet"), "{}", s.screen());
}

/// Gear that cannot be made is refused whole, with the length that would do, at the least size too; the next length is taken.
#[test]
fn gear_too_short_to_splice_says_how_long_it_must_be() {
    let mut s = demo(80, 24);
    s.keys("E enter enter");
    s.keys("ctrl-u");
    s.type_text("300 mm");
    s.keys("enter enter enter");
    let screen = s.screen();
    assert!(screen.contains("300 mm are too short") && screen.contains("a soft shackle"), "{screen}");
    s.keys("ctrl-u");
    s.type_text("3 m");
    s.keys("enter enter enter");
    assert!(s.screen().contains("Splice card: eye-and-eye sling"), "{}", s.screen());
}

/// A reviewer's remarks: left on a piece, listed, settled, gone to, taken out, and undone.
#[test]
fn remarks_are_left_listed_and_settled() {
    let mut s = demo(120, 40);
    s.select_part("A leg 2", 1);
    s.keys("t");
    assert!(s.screen().contains("remark on A leg 2, part 2"), "{}", s.screen());
    s.type_text("AB: cut it 20 mm longer");
    s.keys("enter");
    let remark = &s.app.file.plan.remarks[0];
    assert_eq!((remark.at.as_str(), remark.by.as_str(), remark.state.as_str()), ("A leg 2, part 2", "AB", "Open"));
    assert!(!remark.date.is_empty());
    // The next one begins with the same initials; an empty one is refused.
    s.select_run("main");
    s.keys("t enter");
    assert!(s.screen().contains("a remark says something"), "{}", s.screen());
    s.type_text("its age?");
    s.keys("enter");
    assert_eq!(s.app.file.plan.remarks[1].by, "AB");
    s.keys("'");
    assert!(s.screen().contains("A leg 2, part 2: cut it 20 mm longer  open"), "{}", s.screen());
    // Settled from the list; undo opens it again.
    s.keys("enter down down enter");
    assert_eq!(s.app.file.plan.remarks[0].state, "Settled");
    s.keys("u");
    assert_eq!(s.app.file.plan.remarks[0].state, "Open");
    // Gone to, and taken out.
    s.keys("' enter enter");
    assert_eq!(s.app.selected, spanwright::app::Selected::Part("A leg 2".to_owned(), 1));
    s.keys("' enter end enter");
    assert_eq!(s.app.file.plan.remarks.len(), 1);
    assert!(s.app.file.text.contains("// The middle leg"), "comments stay");
}

/// A finding is answered where it stands: a fact declared, or the rule set aside with a reason.
#[test]
fn findings_are_answered_in_the_worst_list() {
    let text = spanwright::cli::DEMO.replace("\"two a side\": Yes(\"three people a side, radios\"),", "").replacen(
        ", thimble: true",
        "",
        1,
    );
    let mut s = Session::text(&text, 120, 40);
    s.keys("tab tab tab");
    let to = |s: &mut Session, rule: &str| {
        let review = s.app.review.as_ref().expect("reviewed");
        let at = s
            .app
            .worst_rows()
            .iter()
            .position(|r| matches!(r, spanwright::app::WorstRow::Finding(i) if review.findings[*i].rule == rule));
        s.app.worst_at = at.unwrap_or_else(|| panic!("{rule} is not said"));
    };
    to(&mut s, "two-a-side");
    s.keys("!");
    assert!(s.screen().contains("Answer to two a side"), "{}", s.screen());
    s.keys("enter");
    s.type_text("two at B, three at A, radios");
    s.keys("enter");
    assert!(s.app.file.text.contains("\"two a side\": Yes(\"two at B, three at A, radios\")"));
    let said = |s: &Session, rule: &str| {
        s.app.review.as_ref().is_some_and(|r| r.findings.iter().any(|f| f.rule == rule && f.set_aside.is_none()))
    };
    assert!(!said(&s, "two-a-side"));
    let to_open = |s: &mut Session| {
        let review = s.app.review.as_ref().expect("reviewed");
        let open = |i: usize| review.findings[i].rule == "tight-bend" && review.findings[i].set_aside.is_none();
        let at = s.app.worst_rows().iter().position(|r| matches!(r, spanwright::app::WorstRow::Finding(i) if open(*i)));
        s.app.worst_at = at.expect("tight-bend is said");
    };
    let asides = text.matches("Aside(at:").count();
    to_open(&mut s);
    let first = match s.app.worst_rows()[s.app.worst_at] {
        spanwright::app::WorstRow::Finding(i) => s.app.review.as_ref().expect("reviewed").findings[i].at.clone(),
        spanwright::app::WorstRow::Row(_) => String::new(),
    };
    s.keys("! enter enter");
    assert!(s.screen().contains("a word on how, or why"), "no reason, no setting aside: {}", s.screen());
    s.type_text("AB: the bolt's eye is 30 mm");
    s.keys("enter");
    assert!(
        s.app.file.text.contains(&format!("Aside(at: \"{first}\", reason: \"the bolt's eye is 30 mm\", by: \"AB\"")),
        "{}",
        s.app.file.text
    );
    // There and nowhere else, until that is set aside too.
    let at = |s: &Session| -> Vec<String> {
        let review = s.app.review.as_ref().expect("reviewed");
        let open = review.findings.iter().filter(|f| f.rule == "tight-bend" && f.set_aside.is_none());
        open.map(|f| f.at.clone()).collect()
    };
    let left = at(&s);
    assert!(!left.contains(&first) && !left.is_empty(), "{left:?}");
    to_open(&mut s);
    s.keys("! enter enter");
    s.keys("ctrl-u");
    s.type_text("CD: so is this one");
    s.keys("enter");
    assert_eq!(at(&s), left[1..], "{}", s.app.file.text);
    assert_eq!(s.app.file.text.matches("Aside(at:").count(), 2 + asides);
    s.keys("u u u");
    assert_eq!(s.app.file.text, text);
}

/// Reasons, changes, certificates, limits and doubt are a key away.
#[test]
fn studies_are_a_key_away() {
    let mut s = demo(120, 40);
    s.select_part("A leg 2", 1);
    s.keys("y");
    let screen = s.screen();
    assert!(screen.contains("A leg 2, part 2 (HMPE 12-strand 8 mm), working:"), "{screen}");
    assert!(screen.contains("from the plan: span 62.0 m"), "down to the inputs: {screen}");
    s.keys("esc C");
    assert!(s.screen().contains("no baseline is set"), "{}", s.screen());
    s.keys("esc b");
    let text = s.app.file.text.replace("standing: \"2.5 kN\"", "standing: \"2.0 kN\"");
    let splice = spanwright::document::Splice { at: 0, old: s.app.file.text.clone(), new: text };
    let change = spanwright::plan::Change { name: "less".to_owned(), splices: vec![splice], selected: String::new() };
    s.app.change(change).expect("sound");
    s.keys("esc C");
    let screen = s.screen();
    assert!(screen.contains("standing 2.5 kN → 2.0 kN") && screen.contains("2.50 kN → 2.00 kN"), "{screen}");
    s.keys("esc Z");
    assert!(s.screen().contains("situations"), "{}", s.screen());
    // What takes seconds says so until falls are played; then it is worked out behind the screen.
    s.keys("esc v");
    assert!(
        s.screen().contains("still being played") || s.screen().contains("How far it may differ"),
        "{}",
        s.screen()
    );
}

/// Limits and doubt of a plan, as the screen shows them when they are done; an edit makes them worthless.
#[test]
fn limits_and_doubt_come_to_the_screen() {
    let mut s = Session::text(SMALL, 120, 60);
    s.play();
    s.study_each = true;
    s.keys("v");
    let screen = s.screen();
    assert!(screen.contains("How far it may differ") && screen.contains("heaviest walker"), "{screen}");
    s.keys("esc o");
    let screen = s.screen();
    assert!(screen.contains("Measure this first"), "{screen}");
    insta::assert_snapshot!(screen);
}

/// A piece of gear is designed without a plan: what cannot be made is refused with the figure that would work.
#[test]
fn gear_is_designed_from_a_few_questions() {
    let mut s = demo(100, 40);
    s.keys("E enter enter ctrl-u");
    s.type_text("0.4 m");
    s.keys("enter enter enter");
    let screen = s.screen();
    assert!(screen.contains("not done") || screen.contains("too short") || screen.contains("least"), "{screen}");
    s.keys("esc esc");
    let mut s = demo(100, 40);
    s.keys("E enter enter ctrl-u");
    s.type_text("2.4 m");
    s.keys("enter ctrl-u");
    s.type_text("16 mm, 22 mm");
    s.keys("enter enter");
    let screen = s.screen();
    assert!(screen.contains("HMPE 12-strand 8 mm") && screen.contains("2.400 m"), "{screen}");
    // A bad pin is said, and the question stays.
    s.keys("esc E enter enter enter ctrl-u");
    s.type_text("sixteen");
    s.keys("enter");
    assert!(s.screen().contains("what it goes over"), "{}", s.screen());
}

/// What is wrong with a plan is told as place, line, what, and what to write instead; no bracket of the file, no compiler's mark.
#[test]
fn faults_have_a_form_of_their_own() {
    let text = DEMO.replace("(\"-3.2 m\", \"1.3 m\", \"-0.1 m\")", "(\"-3.2 parsecs\", \"1.3 m\", \"-0.1 m\")");
    let mut s = Session::text(&text, 80, 24);
    s.keys("f");
    let screen = s.screen();
    assert!(
        screen.contains("A bolt 1, at, no. 1, line ") && screen.contains("what") && screen.contains("instead"),
        "{screen}"
    );
    assert!(!screen.contains("-->") && !screen.contains("^^") && !screen.contains("at[0]"), "{screen}");
}

/// The first start says three keys and the caution; any key goes on, and is done.
#[test]
fn the_first_start_says_what_to_press() {
    let mut s = demo(80, 24);
    s.app.welcome();
    let screen = s.screen();
    assert!(screen.contains("goes to what limits it") && screen.contains("competent rigger"), "{screen}");
    s.keys("N");
    assert!(s.screen().contains("What is the plan called?"), "{}", s.screen());
}
