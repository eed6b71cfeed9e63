//! The conversation in lines of text: whole sessions, and that it says what the screen says.

use std::io::Write as _;
use std::process::{Command, Stdio};

use crate::common::Session;
use spanwright::app::{App, Settings};
use spanwright::cli::{DEMO, DEMO_NAME};
use spanwright::plan::PlanFile;

fn talk_about(text: &str, lines: &str) -> String {
    let file = PlanFile::parse(DEMO_NAME, text.to_owned()).expect("reads");
    let mut out = Vec::new();
    spanwright::plain::run(App::new(file, None, Settings::default()), None, lines.as_bytes(), &mut out, "")
        .expect("said");
    String::from_utf8(out).expect("text")
}

fn talk(lines: &str) -> String {
    talk_about(DEMO, lines)
}

/// A whole session: look, change, take back, be asked.
#[test]
fn a_session() {
    let out = talk(
        "worst 3\n\
         show main part 3\n\
         set standing 1.5 kN\n\
         set standing 1.5 kg\n\
         set nothing 3\n\
         look bounce 0.25\n\
         look sideways\n\
         undo\n\
         redo\n\
         findings\n\
         do limit\n\
         do add-part\n\
         bow-shackle-2t\n\
         undo\n\
         do add-point\n\
         hum\n\
         .\n\
         hum\n\
         do hum\n\
         help\n\
         quit\n\
         q\n",
    );
    insta::assert_snapshot!(out);
}

/// No escape sequence, no frame, no colour, no carriage return.
#[test]
fn nothing_but_lines() {
    let out = talk("path\nworst all\nfindings\nshow A leg 1\nlook\ncommands\nhelp\ndo help\nquit\n");
    assert!(!out.chars().any(|c| c.is_control() && c != '\n'), "a control character");
    assert!(!out.chars().any(|c| ('\u{2500}'..'\u{2600}').contains(&c) || ('\u{2800}'..'\u{2900}').contains(&c)));
    assert!(out.contains("A planning aid."), "the caution is said");
}

/// Every number of the load path on the screen is in the conversation too, on the line of the same piece.
#[test]
fn the_path_says_every_number_of_the_screen() {
    numbers_are_alike(&["kestrel-gap-62m", "lantern-quarry-28m", "crow-steps-44m", "sedge-hollow-34m"]);
}

#[test]
#[ignore = "long: `cargo test plain -- --ignored`"]
fn the_path_of_a_long_line_says_every_number_of_the_screen() {
    numbers_are_alike(&["heron-valley-410m"]);
}

fn numbers_are_alike(plans: &[&str]) {
    for plan in plans {
        let path = format!("{}/plans/{plan}.ron", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("plan");
        // High enough for the whole outline.
        let mut s = Session::text(&text, 200, 150);
        s.play();
        let screen = s.screen();
        let said = talk_about(&text, "path\n");
        let mut seen = 0;
        for line in screen.lines() {
            // The load path is 60 columns wide: cursor, fold and name, then force, factor, what is asked.
            let row: Vec<char> = line.chars().take(60).collect();
            let numbers: Vec<String> = row.iter().collect::<String>().split_whitespace().map(str::to_owned).collect();
            let figure = |t: &String| t.trim_start_matches('>').parse::<f64>().is_ok();
            let Some(k) = numbers.windows(3).position(|w| w.iter().all(figure) && w[0].contains('.')) else { continue };
            let [force, factor, asked] = &numbers[k..k + 3] else { continue };
            let wanted = format!("{force} kN, factor {factor} of {asked}");
            assert!(said.contains(&wanted), "{plan}: {wanted} is not in\n{said}");
            seen += 1;
        }
        assert!(seen > 10, "{plan}: the screen was read:\n{screen}");
    }
}

/// All that is asked on the screen can be answered in lines: a whole new plan.
#[test]
fn a_new_plan_in_lines() {
    let out = talk(
        "do new\nFinch Ledge\n48 m\n\n72 furlongs\n72 kg\nnot known\n\n2.2 kN\nthree-bolts-sliding\n2\n\n\n\nlimit\npath\n",
    );
    assert!(out.contains("80 kg and 65 kg"), "{out}");
    assert!(out.contains("new plan “Finch Ledge”") && out.contains("factor"), "{out}");
}

/// A plan that cannot be worked out: why, and no tension.
#[test]
fn a_plan_that_cannot_be_worked_out() {
    let text = DEMO.replace("(\"-3.2 m\", \"1.3 m\", \"-0.1 m\")", "(\"0 m\", \"0 m\", \"0 m\")");
    let out = talk_about(&text, "path\nworst\nfindings\nlook\nfaults\nshow A leg 1\ndo faults\n");
    assert!(out.matches("the run has no length").count() >= 5, "{out}");
    assert!(!out.contains("factor "), "{out}");
}

/// Saving, and being asked when the file has changed underneath.
#[test]
fn saving_in_lines() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    let lines = format!("show main part 3\nset standing 2 kN\nsave {}\nquit\n", path.display());
    let out = talk(&lines);
    assert!(out.contains("saved "), "{out}");
    let saved = std::fs::read_to_string(&path).expect("saved");
    assert_eq!(saved, DEMO.replace("standing: \"2.5 kN\"", "standing: \"2 kN\""));
}

/// Unsaved work of a conversation that ends without a word is offered to the next.
#[test]
fn what_is_not_saved_is_offered_again() {
    let state = tempfile::tempdir().expect("folder");
    let plan = format!("{}/tests/fixtures/two-trees-50m.ron", env!("CARGO_MANIFEST_DIR"));
    let run = |lines: &str| {
        let mut child = Command::new(env!("CARGO_BIN_EXE_spanwright"))
            .args(["plain", &plan])
            .env("XDG_STATE_HOME", state.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("started");
        child.stdin.take().expect("input").write_all(lines.as_bytes()).expect("said");
        let out = child.wait_with_output().expect("ended");
        assert!(out.status.success());
        String::from_utf8(out.stdout).expect("text")
    };
    let first = run("show main part 3\nset standing 2 kN\n");
    assert!(first.contains("unsaved work is kept"), "{first}");
    let other = run("do new\nquit\n\n");
    assert!(other.contains("“do new” is no answer"), "a word that begins with d drops nothing: {other}");
    let second = run("r\nshow main part 3\nquit\nq\n");
    assert!(second.contains("did not end tidily") && second.contains("standing: 2 kN"), "{second}");
    let third = run("quit\n");
    assert!(!third.contains("did not end tidily"), "{third}");
    let fourth = run("show main part 3\nquit\n");
    assert!(fourth.contains("standing: 2.5 kN"), "{fourth}");
}

#[test]
fn the_prompt_is_printed_where_there_is_one() {
    let file = PlanFile::parse(DEMO_NAME, DEMO.to_owned()).expect("reads");
    let mut out = Vec::new();
    spanwright::plain::run(App::new(file, None, Settings::default()), None, &b"quit\n"[..], &mut out, "> ")
        .expect("said");
    assert_eq!(String::from_utf8_lossy(&out).matches("> ").count(), 1);
}
