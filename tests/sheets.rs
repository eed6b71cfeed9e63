//! Sheets: every form tells the same facts, an independent reader finds them in the PDF, and what cannot be made is
//! refused with the figure that would work.

use std::process::Command;

use spanwright::plan::PlanFile;
use spanwright::review::{in_view, review};
use spanwright::sheets::page::{Form, Page, Paper};
use spanwright::sheets::{Facts, Kind, Stock, pulse_s, sheet};
use spanwright::units::System;

const PLANS: [&str; 4] = ["kestrel-gap-62m", "lantern-quarry-28m", "crow-steps-44m", "heron-valley-410m"];

fn path(name: &str) -> String {
    format!("{}/plans/{name}.ron", env!("CARGO_MANIFEST_DIR"))
}

fn pages(name: &str) -> Vec<(Kind, Page)> {
    let file = PlanFile::open(path(name).as_ref()).expect("a plan");
    let review = review(&file).expect("a rig");
    let solver = in_view(&file).expect("a rig");
    let facts = Facts { file: &file, review: &review, solver: &solver, system: System::Si };
    let stock = Stock { spools_m: vec![50.0, 100.0, 200.0, 500.0], inventory: None };
    let on = "2026-11-25".parse().expect("a day");
    Kind::ALL.into_iter().map(|k| (k, sheet(k, &facts, &stock, on).expect("a sheet"))).collect()
}

/// Letters and figures only: line breaks, hyphens of tables and blanks differ between forms.
fn bare(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Words of a fact that must be found one by one: a table breaks its cells over lines.
fn words(fact: &str) -> impl Iterator<Item = String> {
    fact.split_whitespace().map(bare).filter(|w| !w.is_empty()).collect::<Vec<_>>().into_iter()
}

/// The PDF, read by a library that did not write it, holds every word of every fact that the text sheet holds; so do
/// Markdown and HTML.
#[test]
fn every_form_tells_the_same() {
    for name in PLANS {
        for (kind, page) in pages(name) {
            let form = |f| page.print(f).expect("printed");
            let text = |f| String::from_utf8(form(f)).expect("text");
            let mut all =
                vec![("text", text(Form::Text)), ("Markdown", text(Form::Markdown)), ("HTML", text(Form::Html))];
            for paper in [Paper::A4, Paper::Letter] {
                let read = pdf_extract::extract_text_from_mem(&form(Form::Pdf(paper))).expect("an independent reader");
                all.push(("PDF", read));
            }
            for (what, text) in all {
                let unescaped =
                    text.replace("&quot;", "\"").replace("&gt;", ">").replace("&lt;", "<").replace("&amp;", "&");
                let whole = bare(&unescaped);
                for fact in page.facts() {
                    for word in words(&fact) {
                        // A long word may be broken in a narrow column; its halves are there.
                        let half = word.chars().count() / 2;
                        let there = whole.contains(&word)
                            || (word.chars().count() > 7
                                && whole.contains(&word.chars().take(half.min(4)).collect::<String>()));
                        assert!(there, "{name} {}: “{word}” of “{fact}” is not in the {what}", kind.name());
                    }
                }
                assert!(whole.contains(&bare("A planning aid")), "{name} {}: no caution in the {what}", kind.name());
            }
        }
    }
}

#[test]
fn text_fits_eighty_columns() {
    for name in PLANS {
        for (kind, page) in pages(name) {
            for line in page.as_text().lines() {
                let wide = unicode_width::UnicodeWidthStr::width(line);
                assert!(wide <= 80, "{name} {}: {wide} columns: {line}", kind.name());
            }
        }
    }
}

/// The rig card's figures are the review's: tensions of the weakest pieces, factors, no-fall zones.
#[test]
fn the_card_says_what_the_review_says() {
    let file = PlanFile::open(path("kestrel-gap-62m").as_ref()).expect("a plan");
    let r = review(&file).expect("a rig");
    let (_, card) = pages("kestrel-gap-62m").into_iter().find(|p| p.0 == Kind::Card).expect("a card");
    let text = card.as_text();
    let worst = r.worst_first()[0];
    assert!(text.contains("does not pass its own review"));
    assert!(text.contains(worst.verdict.word()));
    assert!(text.contains("HOLD POINT") && text.contains("Tied in?"));
    assert!(!text.to_lowercase().contains("safe"));
}

/// Time of a pulse: the wave equation's speed, root of tension over mass per metre; the trade's form of it,
/// T = m (2 L / t)², gives the tension back.
#[test]
fn a_pulse_tells_the_tension() {
    let (l, m, t) = (62.0, 0.112, 2500.0);
    let s = pulse_s(l, m, t);
    let speed = (t / m).sqrt();
    assert!((s - 2.0 * l / speed).abs() < 1e-12);
    assert!((m * (2.0 * l / s).powi(2) / t - 1.0).abs() < 1e-12);
}

fn run(args: &[&str]) -> (i32, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_spanwright")).args(args).output().expect("runs");
    let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
    (out.status.code().unwrap_or(-1), text(&out.stdout), text(&out.stderr))
}

/// Bad input ends with code 2, names the figure that would work, and writes nothing.
#[test]
fn what_cannot_be_made_is_refused_with_what_would_work() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("out.pdf");
    let out = file.to_str().expect("a path");
    let demo = path("kestrel-gap-62m");
    let inventory = folder.path().join("gear.ron");
    std::fs::write(&inventory, "Inventory(items: [(item: \"hmpe-8\", inspected: \"May\")])").expect("written");
    let inventory = inventory.to_str().expect("a path");
    let cases: [(&[&str], &str); 9] = [
        (&["splice", "sling", "--length", "2 m", "--bury", "400 mm"], "at least 480 mm"),
        (&["splice", "sling", "--length", "2 m", "--pin", "40 mm", "--eye", "50 mm"], "at least 120 mm"),
        (&["splice", "sling", "--length", "0.9 m"], "at least 1344 mm"),
        (&["splice", "loop", "--length", "0.3 m"], "at least 600 mm"),
        (&["splice", "adjustable", "--length", "1 m"], "more than"),
        (&["splice", "sling", "--rope", "static-rope-10", "--length", "2 m"], "hollow braid"),
        (&["splice", "bowline", "--length", "2 m"], "known: eye, sling"),
        (&["sheet", "cut", &demo, "--spool", "20 m"], "a spool of at least"),
        (&["sheet", "gear", &demo, "--inventory", inventory], "2026-05-30"),
    ];
    for (args, says) in cases {
        let args: Vec<&str> = args.iter().copied().chain(["-o", out]).collect();
        let (code, printed, complained) = run(&args);
        assert_eq!(code, 2, "{args:?}: {printed}{complained}");
        assert!(complained.contains(says), "{args:?}: {complained}");
        assert!(!file.exists(), "{args:?} wrote something");
    }
    let (code, _, complained) = run(&["sheet", "card", &demo, "-o", out]);
    assert_eq!((code, complained.as_str()), (0, ""));
    assert!(std::fs::read(&file).expect("written").starts_with(b"%PDF"));
}

/// An inventory counts what is fit, and says what stays at home and why.
#[test]
fn an_inventory_is_held_against_the_plan() {
    let folder = tempfile::tempdir().expect("a folder");
    let inventory = folder.path().join("gear.ron");
    let text = r#"Inventory(owner: "the club", items: [
        (item: "bow-shackle-3t", count: 4, label: "3.25 t", inspected: "2026-04-01"),
        (item: "webbing-lock", count: 4, inspected: "2024-04-01"),
    ])"#;
    std::fs::write(&inventory, text).expect("written");
    let (code, out, _) = run(&[
        "sheet",
        "gear",
        &path("kestrel-gap-62m"),
        "--on",
        "2026-11-25",
        "--inventory",
        inventory.to_str().expect("a path"),
    ]);
    assert_eq!(code, 0);
    let row = |start: &str| {
        let line = out.lines().rev().find(|l| l.starts_with(start)).unwrap_or_else(|| panic!("no {start} in {out}"));
        line.split_whitespace().map(str::to_owned).collect::<Vec<_>>()
    };
    // Seven shackles are needed, four are there; of the locks none was looked over in time.
    assert!(row("bow shackle 3.25 t").windows(3).any(|w| w == ["7", "4", "3"]), "{out}");
    assert!(row("webbing lock 25 mm").windows(3).any(|w| w == ["4", "0", "4"]), "{out}");
    assert!(out.contains("not looked") && out.contains("2024-04-01"), "{out}");
}
