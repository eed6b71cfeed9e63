//! What the screen must hold to whatever is on it: sizes, colours, glyphs, stale and failed numbers, the drawing.

use std::path::{Path, PathBuf};

use crate::common::Session;
use ratatui::style::Modifier;
use spanwright::app::{Glyphs, Palette, Pane, Picture};
use spanwright::cli::DEMO;
use spanwright::plan::Side;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (200, 50)];

fn plans() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("plans");
    let mut out: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("plans")
        .map(|e| e.expect("entry").path())
        .filter(|p| p.extension().is_some_and(|x| x == "ron"))
        .collect();
    out.sort();
    assert!(out.len() >= 4);
    out
}

/// Words of a screen in a row, frames left out.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The same text in every palette; in mono no colour is left, so no meaning is by colour alone.
#[test]
fn every_palette_says_the_same() {
    for path in plans() {
        for (width, height) in SIZES {
            for pane in Pane::ALL {
                let mut s = Session::open(&path, width, height);
                s.keys("w");
                s.app.pane = pane;
                s.app.beside = if pane == Pane::Path { Pane::Drawing } else { pane };
                let dark = s.marked();
                let verdict = s.app.review.as_ref().expect("reviewed").verdict;
                // What meets is not said to before all has been played.
                let word = match verdict {
                    spanwright::review::Verdict::Meets => "… so far".to_owned(),
                    v => format!("{} {}", v.sign(), v.word()),
                };
                assert!(dark.contains(&word), "{dark}");
                for palette in Palette::ALL {
                    s.app.settings.palette = palette;
                    assert_eq!(s.marked(), dark, "{palette:?} {width}x{height}");
                    assert_eq!(s.colours().is_empty(), palette == Palette::Mono, "{palette:?}");
                }
            }
        }
    }
}

/// Luminance of a colour of the 256 by WCAG 2.2.
fn luminance(index: u8) -> f64 {
    let rgb = match index {
        16..=231 => {
            let n = index - 16;
            [n / 36, n / 6 % 6, n % 6].map(|v| [0.0, 95.0, 135.0, 175.0, 215.0, 255.0][usize::from(v)])
        }
        232..=255 => [8.0 + 10.0 * f64::from(index - 232); 3],
        _ => panic!("{index} is what each terminal makes of it"),
    };
    let linear = |c: f64| {
        let c = c / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    let [r, g, b] = rgb.map(linear);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Every colour that carries a word has at least 4.5 : 1 (WCAG 2.2, 1.4.3) on the ground it is meant for, 4.1 on both where
/// nobody knows the ground; nothing is dim.
#[test]
fn every_colour_can_be_read() {
    use ratatui::style::Color;
    let (black, white) = (0.0, 1.0);
    for (palette, grounds, least) in [
        (Palette::Dark, vec![black, luminance(234)], 4.5),
        (Palette::Light, vec![white, luminance(255)], 4.5),
        (Palette::Either, vec![black, white], 4.0),
        (Palette::Contrast, vec![black], 9.0),
    ] {
        let mut s = Session::demo(200, 50);
        s.app.settings.palette = palette;
        s.keys("w");
        s.screen();
        let mut hues = std::collections::BTreeSet::new();
        for cell in s.buffer().content() {
            assert!(!cell.modifier.contains(Modifier::DIM));
            if let (Color::Indexed(n), true) = (cell.fg, cell.symbol().chars().all(char::is_alphanumeric)) {
                hues.insert(n);
            }
        }
        assert!(!hues.is_empty(), "{palette:?}: {hues:?}");
        for (n, ground) in hues.iter().flat_map(|n| grounds.iter().map(move |g| (*n, *g))) {
            let (a, b) = (luminance(n), ground);
            let ratio = (a.max(b) + 0.05) / (a.min(b) + 0.05);
            assert!(ratio >= least, "{palette:?}: {n} has {ratio:.2} : 1");
        }
    }
}

/// On what is well there is no hue: every red or amber word of the load path stands in a row with its sign.
#[test]
fn hues_mean_trouble() {
    use ratatui::style::Color;
    for path in plans() {
        let mut s = Session::open(&path, 120, 40);
        s.keys("g");
        s.app.settings.palette = Palette::Dark;
        s.screen();
        for (y, row) in s.buffer().content().chunks(120).enumerate().skip(5).take(30) {
            let text: String = row[..44].iter().map(ratatui::buffer::Cell::symbol).collect();
            let hued = row[..44].iter().any(|c| matches!(c.fg, Color::Indexed(203 | 214)));
            let signed = ["✗", "?", "∅", "■", "!"].iter().any(|sign| text.contains(sign));
            assert!(!hued || signed, "{} row {y}: {text}", path.display());
        }
    }
}

#[test]
fn signs_tell_every_verdict_apart() {
    use spanwright::review::Verdict;
    let all = [Verdict::Meets, Verdict::Unrated, Verdict::Below, Verdict::Unsolved];
    let signs: std::collections::BTreeSet<_> = all.iter().map(|v| v.sign()).collect();
    let words: std::collections::BTreeSet<_> = all.iter().map(|v| v.word()).collect();
    assert_eq!((signs.len(), words.len()), (4, 4));
}

#[test]
fn colours_and_glyphs_change_by_command() {
    let mut s = Session::demo(120, 40);
    for palette in [Palette::Light, Palette::Either, Palette::Contrast, Palette::Mono, Palette::Dark] {
        s.keys("P");
        assert_eq!(s.app.settings.palette, palette);
    }
    s.keys("D");
    assert_eq!(s.app.settings.glyphs, Glyphs::Half);
    let half = s.screen();
    assert!(half.contains('▀') && !half.chars().any(|c| ('\u{2800}'..'\u{2900}').contains(&c)), "{half}");
    insta::assert_snapshot!("half_blocks", half);
    s.keys("D");
    assert!(s.screen().is_ascii());
}

/// The headline names the piece that limits, what it has and what is asked, at every size; the caution is whole.
#[test]
fn the_headline_is_never_cut() {
    for path in plans() {
        for (width, height) in [(60, 18), (80, 24), (120, 40), (200, 50)] {
            let mut s = Session::open(&path, width, height);
            let review = s.app.review.as_ref().expect("reviewed");
            let row = &review.rows[review.limiting.as_ref().expect("limits").row];
            let [found, asked] = spanwright::app::short::found(row, spanwright::units::System::Si);
            let wanted = format!("{} {found} of {asked}", s.app.piece(&row.place));
            let screen = s.screen();
            let head: Vec<&str> = screen.lines().skip(1).take(3).collect();
            assert!(words(&head.join(" ")).contains(&wanted), "{wanted} at {width}x{height}:\n{screen}");
            assert!(screen.contains("planning aid"), "{screen}");
        }
    }
}

/// In plans with wide characters every line still ends where it should.
#[test]
fn text_is_laid_out_by_columns() {
    let text = DEMO.replace("Kestrel Gap, autumn weekend", "山と谷の綱渡り、秋の週末").replace("A bolt 1", "ボルト1");
    for (width, height) in SIZES {
        let mut s = Session::text(&text, width, height);
        s.play();
        s.app.settings.glyphs = Glyphs::Braille;
        s.screen();
        let buffer = s.buffer();
        // The caution ends in the last column but one, and each head of a pane begins where its pane does.
        let caution = if width < 110 { "e" } else { "t" };
        assert_eq!(buffer[(width - 2, 0)].symbol(), caution, "{width}x{height}");
        let rows: Vec<String> = buffer
            .content()
            .chunks(usize::from(width))
            .map(|r| r.iter().map(ratatui::buffer::Cell::symbol).collect())
            .collect();
        let gap = rows.iter().find(|r| r.contains(" Gap ")).expect("the gap's head");
        let at = gap.chars().position(|c| c == 'G').expect("there");
        assert!([41, 47, 63].contains(&at), "{at}: {gap}");
    }
}

/// After an edit, before the review is done: whatever the review will change is marked as of the plan before.
#[test]
fn no_stale_number_goes_unmarked() {
    for (width, height) in SIZES {
        for pane in Pane::ALL {
            let mut s = Session::demo(width, height);
            s.select_run("A leg 1");
            s.keys("b");
            s.select_part("main", 2);
            s.field("standing");
            s.review_each = false;
            s.keys("enter ctrl-u");
            s.type_text("3.5 kN");
            s.keys("enter");
            s.app.pane = pane;
            s.app.beside = if pane == Pane::Path { Pane::Drawing } else { pane };
            s.app.worst_at = 0;
            assert!(!s.app.fresh());
            let stale = s.screen();
            s.catch_up();
            let new = s.screen();
            let mut changed = 0;
            // Texts that blanks part from others, each with its line.
            let texts = |screen: &str| -> Vec<String> {
                let parts = screen.lines().flat_map(|l| l.split("  ").map(|t| t.trim().to_owned()).collect::<Vec<_>>());
                let figure = |w: &[u8]| w[0].is_ascii_digit() && w[1] == b'.' && w[2].is_ascii_digit();
                parts.filter(|t| t.as_bytes().windows(3).any(figure)).collect()
            };
            let told = texts(&new);
            // What the plan itself says of its site and its people is as stale as a name; a list may scroll it out of sight.
            let own: Vec<String> = stale
                .lines()
                .filter(|l| ["site ", "people "].iter().any(|h| l.trim_start().starts_with(h)))
                .filter_map(|l| Some(l.trim_start().split_once(' ')?.1.trim_start().split("  ").next()?.to_owned()))
                .collect();
            for text in texts(&stale).iter().filter(|t| !told.contains(t) && !own.contains(t)) {
                changed += 1;
                assert!(
                    text.contains('~') || text.contains("so far"),
                    "unmarked: “{text}”, {pane:?} at {width}x{height}:\n{stale}\n{new}"
                );
            }
            assert!(changed >= 5, "{pane:?} at {width}x{height}: the edit changes what is seen\n{stale}");
        }
    }
}

/// Tensions that cannot be had are not shown, and it is said why and what to try.
#[test]
fn a_failed_plan_shows_why_and_no_tensions() {
    let text = DEMO.replace("(\"-3.2 m\", \"1.3 m\", \"-0.1 m\")", "(\"0 m\", \"0 m\", \"0 m\")");
    for (width, height) in SIZES {
        for pane in Pane::ALL {
            let mut s = Session::text(&text, width, height);
            s.app.pane = pane;
            s.app.beside = if pane == Pane::Path { Pane::Drawing } else { pane };
            let screen = s.screen();
            assert!(screen.contains("the run has no length"), "{screen}");
            assert!(screen.contains("not worked out"), "{screen}");
            let force = screen
                .split_whitespace()
                .zip(screen.split_whitespace().skip(1))
                .find(|(n, unit)| unit.trim_matches(|c: char| !c.is_alphabetic()) == "kN" && n.parse::<f64>().is_ok());
            // The plan's own target is no tension that was worked out.
            assert!(force.is_none_or(|f| f.0 == "2.5"), "{force:?} at {width}x{height} {pane:?}:\n{screen}");
        }
    }
}

/// A situation without a certificate: no line, no tension, the reason.
#[test]
fn an_unsolved_situation_draws_no_tension() {
    for (width, height) in SIZES {
        let mut s = Session::demo(width, height);
        s.select_run("A leg 2");
        s.app.pane = Pane::Drawing;
        s.app.beside = Pane::Drawing;
        assert!(words(&s.screen()).contains("leg 2 2.5"), "{}", s.screen());
        let view = s.app.view.as_mut().expect("in view");
        view.response = None;
        view.line.clear();
        view.walkers.clear();
        view.opening_deg = [None, None];
        view.faults = vec!["no rest was found".to_owned()];
        let screen = s.screen();
        assert!(screen.contains("not solved"), "{screen}");
        assert!(words(&screen).contains("leg 2 ?") && !screen.contains("line 3.8"), "{screen}");
    }
}

/// Span, rise, sag, clearance and scale are on the screen, as a measure or as words.
#[test]
fn the_elevation_says_its_measures() {
    for (width, height) in SIZES {
        for glyphs in Glyphs::ALL {
            let mut s = Session::demo(width, height);
            s.app.settings.glyphs = glyphs;
            let screen = words(&s.screen());
            for fact in ["62 m, B 3 m higher", "sag 3.3 m", "heights "] {
                assert!(screen.contains(fact), "{fact} at {width}x{height} {glyphs:?}:\n{}", s.screen());
            }
        }
    }
}

/// Every leg of the anchor that is looked at is named with its tension, at every size; no name lies on a leg.
#[test]
fn every_leg_is_named() {
    use spanwright::app::short;
    for path in plans() {
        for (width, height) in SIZES {
            for side in [Side::A, Side::B] {
                let mut s = Session::open(&path, width, height);
                let point = s.app.file.plan.points.iter().find(|(_, p)| p.side == side && p.hold().is_some());
                let name = point.expect("an anchor").0.clone();
                s.select_point(&name);
                s.app.pane = Pane::Drawing;
                s.app.beside = Pane::Drawing;
                assert_eq!(s.app.picture(), Picture::Anchor(side));
                let screen = s.screen();
                let owed = screen.contains("not named");
                let solver = s.app.solver.as_ref().expect("a rig");
                let r = s.app.view.as_ref().and_then(|v| v.response.as_ref()).expect("solved");
                for leg in solver.rig.legs.iter().filter(|l| solver.rig.spots[l.path[0]].side == side) {
                    let t = r.run_n[leg.run];
                    let force = if t > 0.0 { short::force(t, spanwright::units::System::Si) } else { "slack".into() };
                    let run = short::without_side(&solver.rig.run_names[leg.run]);
                    let wanted = format!("{run} {force}");
                    // A long name may lose its end.
                    let shorter = (4..run.len()).filter(|k| run.is_char_boundary(*k)).map(|k| &run[..k]);
                    let mut cut = shorter.map(|name| format!("{}… {force}", name.trim_end()));
                    let screen_words = words(&screen);
                    assert!(
                        owed || screen_words.contains(&wanted) || cut.any(|c| screen_words.contains(&c)),
                        "{}: {wanted} at {width}x{height}\n{screen}",
                        path.display()
                    );
                }
                assert!(!(owed && width >= 120), "{} {side:?} at {width}x{height}:\n{screen}", path.display());
            }
        }
    }
}

/// What is chosen is told beyond colour: its name is reversed, and so is its point.
#[test]
fn the_chosen_leg_and_point_stand_out() {
    let mut s = Session::demo(120, 40);
    s.select_run("A leg 1");
    s.app.pane = Pane::Drawing;
    let one = s.marked();
    assert!(one.contains("⟦leg 1") && one.contains("0.6⟧"), "{one}");
    s.select_run("A leg 3");
    s.app.pane = Pane::Drawing;
    let other = s.marked();
    assert!(other.contains("⟦leg 3") && other.contains("0.8⟧") && !other.contains("0.6⟧"), "{other}");
    s.select_point("A bolt 2");
    s.app.pane = Pane::Drawing;
    let point = s.marked();
    assert!(point.contains("⟦bolt 2⟧") && point.contains("⟦●⟧"), "{point}");
}

/// Zoom and pan by keys while the drawing has them; 0 shows all again.
#[test]
fn the_drawing_is_looked_at_closely() {
    let mut s = Session::demo(120, 40);
    s.select_run("A leg 3");
    s.app.pane = Pane::Drawing;
    let all = s.screen();
    s.keys("+ + +");
    let close = s.screen();
    assert!(close.contains("3.4 × nearer") && close != all, "{close}");
    insta::assert_snapshot!("zoomed", close);
    s.keys("A T");
    assert_ne!(s.screen(), close, "looked aside");
    s.keys("ctrl-right ctrl-down");
    assert_eq!(s.screen(), close, "and back");
    s.keys("- 0");
    assert_eq!(s.screen(), all);
    // The line is looked at where the walker is.
    s.select_run("main");
    s.app.pane = Pane::Drawing;
    s.keys("+ + + +");
    let close = s.screen();
    assert!(close.contains("5.1 × nearer") && close.contains('○'), "{close}");
    s.keys("left left left left left");
    assert!(s.screen().contains('○'), "the look follows the walker");
}

/// No picture, however close, panics or spills out of its frame.
#[test]
fn any_look_stays_in_its_frame() {
    for (width, height) in [(80, 24), (90, 31), (119, 29), (120, 40), (200, 50)] {
        for glyphs in Glyphs::ALL {
            let mut s = Session::demo(width, height);
            s.app.settings.glyphs = glyphs;
            for name in ["A leg 2", "B leg 1", "main", "backup"] {
                s.select_run(name);
                s.app.pane = Pane::Drawing;
                for keys in
                    ["+ + + + + + + + + + + + + +", "A A A A A A", "T T T", "ctrl-right ctrl-right", "- - - -", "0"]
                {
                    s.keys(keys);
                    let screen = s.screen();
                    assert!(screen.contains("planning aid"), "{screen}");
                }
            }
        }
    }
}

/// The main screens without colour and in ASCII, at three sizes: what is reversed is in brackets.
#[test]
fn main_screens() {
    for (width, height) in SIZES {
        for (glyphs, palette, name) in
            [(Glyphs::Braille, Palette::Mono, "mono"), (Glyphs::Ascii, Palette::Mono, "ascii")]
        {
            let mut s = Session::demo(width, height);
            s.app.settings.glyphs = glyphs;
            s.app.settings.palette = palette;
            insta::assert_snapshot!(format!("{name}_{width}_path"), s.marked());
            s.select_run("A leg 2");
            s.app.pane = Pane::Drawing;
            s.app.beside = Pane::Drawing;
            insta::assert_snapshot!(format!("{name}_{width}_drawing"), s.marked());
            s.keys("w");
            insta::assert_snapshot!(format!("{name}_{width}_piece"), s.marked());
            s.keys("tab");
            insta::assert_snapshot!(format!("{name}_{width}_worst"), s.marked());
        }
    }
}

/// Sizes between the classes.
#[test]
fn screens_between() {
    for (width, height) in [(100, 36), (140, 28), (84, 50)] {
        let mut s = Session::demo(width, height);
        s.select_run("A leg 2");
        s.app.pane = Pane::Drawing;
        s.app.beside = Pane::Drawing;
        insta::assert_snapshot!(format!("between_{width}"), s.marked());
    }
}
