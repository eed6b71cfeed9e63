//! Pictures of the real screen for the README: `cargo test pictures -- --ignored` draws them anew.

use std::fmt::Write as _;

use crate::common::Session;
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};
use spanwright::plan::PlanFile;
use spanwright::review::{in_view, review};
use spanwright::sheets::page::Paper;
use spanwright::sheets::{self, Facts};
use spanwright::units::System;

const WIDE: f64 = 8.4;
const HIGH: f64 = 18.0;
const PAPER: &str = "#1b1e23";
const INK: &str = "#d8d8d2";

fn colour(c: Color, or: &'static str) -> &'static str {
    match c {
        Color::Cyan => "#3fb8c4",
        Color::Yellow => "#d7b740",
        Color::LightYellow => "#f2e27a",
        Color::LightRed => "#ff7a6b",
        Color::LightMagenta => "#e58be0",
        Color::LightBlue => "#7fb2ff",
        Color::Green => "#63b36a",
        Color::Gray => "#b0b0aa",
        _ => or,
    }
}

fn inks(cell: &Cell) -> (&'static str, &'static str) {
    let (fg, bg) = (colour(cell.fg, INK), colour(cell.bg, PAPER));
    if cell.modifier.contains(Modifier::REVERSED) { (bg, fg) } else { (fg, bg) }
}

/// Braille cells become dots, so that no font needs to have them.
fn dots(out: &mut String, bits: u32, x: f64, y: f64, ink: &str) {
    const AT: [(f64, f64); 8] =
        [(0.0, 0.0), (0.0, 1.0), (0.0, 2.0), (1.0, 0.0), (1.0, 1.0), (1.0, 2.0), (0.0, 3.0), (1.0, 3.0)];
    for (bit, (i, j)) in AT.iter().enumerate() {
        if bits >> bit & 1 == 1 {
            let (cx, cy) = (x + WIDE * (0.27 + 0.46 * i), y + HIGH * (0.125 + 0.25 * j));
            let _ = write!(out, "<circle cx=\"{cx:.1}\" cy=\"{cy:.1}\" r=\"1.4\" fill=\"{ink}\"/>");
        }
    }
}

fn svg(buffer: &Buffer) -> String {
    let (w, h) = (f64::from(buffer.area.width) * WIDE, f64::from(buffer.area.height) * HIGH);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w:.0} {h:.0}\" font-family=\"monospace\" font-size=\"14\">\
         <rect width=\"100%\" height=\"100%\" fill=\"{PAPER}\"/>\n"
    );
    for y in 0..buffer.area.height {
        for x in 0..buffer.area.width {
            let cell = &buffer[(x, y)];
            let (ink, paper) = inks(cell);
            let (px, py) = (f64::from(x) * WIDE, f64::from(y) * HIGH);
            if paper != PAPER {
                let _ = write!(
                    out,
                    "<rect x=\"{px:.1}\" y=\"{py:.1}\" width=\"{WIDE}\" height=\"{HIGH}\" fill=\"{paper}\"/>"
                );
            }
            let c = cell.symbol().chars().next().unwrap_or(' ');
            match u32::from(c) {
                0x20 => {}
                b @ 0x2800..0x2900 => dots(&mut out, b - 0x2800, px, py, ink),
                _ => {
                    let bold = if cell.modifier.contains(Modifier::BOLD) { " font-weight=\"bold\"" } else { "" };
                    let text = match c {
                        '<' => "&lt;".to_owned(),
                        '&' => "&amp;".to_owned(),
                        c => c.to_string(),
                    };
                    let _ =
                        write!(out, "<text x=\"{px:.1}\" y=\"{:.1}\" fill=\"{ink}\"{bold}>{text}</text>", py + 14.0);
                }
            }
        }
        out.push('\n');
    }
    out + "</svg>\n"
}

/// The rig card of the demo, its edge side.
fn card() -> String {
    let file = PlanFile::parse("demo", spanwright::cli::DEMO.to_owned()).expect("reads");
    let review = review(&file).expect("a rig");
    let solver = in_view(&file).expect("a rig");
    let tried = Some(sheets::tried(&file, &review));
    let facts = Facts { file: &file, review: &review, solver: &solver, system: System::Si, tried };
    sheets::rig_card(&facts).picture(Paper::A4).expect("fonts")
}

/// The README's pictures, by name.
fn pictures() -> [(&'static str, String); 4] {
    let mut worst = Session::demo(120, 40);
    worst.keys("w");
    let mut choosing = Session::demo(120, 36);
    choosing.select_part("main", 2);
    choosing.field("item");
    choosing.keys("enter");
    choosing.type_text("polyester");
    while choosing.try_one().is_some() {}
    let mut anchors = Session::demo(120, 40);
    anchors.select_run("A leg 2");
    anchors.keys("tab");
    let [worst, choosing, anchors] = [worst, choosing, anchors].map(|mut s| {
        s.screen();
        svg(s.buffer())
    });
    [("workbench", worst), ("choosing", choosing), ("anchors", anchors), ("card", card())]
}

fn path(name: &str) -> String {
    format!("{}/assets/{name}.svg", env!("CARGO_MANIFEST_DIR"))
}

#[test]
#[ignore = "writes the README's pictures"]
fn draw() {
    for (name, picture) in pictures() {
        std::fs::write(path(name), picture).expect("written");
    }
}

#[test]
fn the_readme_shows_the_screens_of_today() {
    for (name, picture) in pictures() {
        // Not `assert_eq`: a difference would print both pictures whole.
        assert!(std::fs::read_to_string(path(name)).is_ok_and(|p| p == picture), "{name} is stale: draw it anew");
        assert!(include_str!("../../README.md").contains(&format!("assets/{name}.svg")), "{name} is not shown");
    }
}
