//! Sheets: every form tells the same facts, an independent reader finds them in the PDF, and what cannot be made is
//! refused with the figure that would work.

use std::process::Command;
use std::sync::OnceLock;

use spanwright::plan::PlanFile;
use spanwright::review::{at_rest, in_view, review};
use spanwright::sheets::page::{Block, Form, Page, Paper};
use spanwright::sheets::{Facts, Kind, Stock, ToCutFrom, pulse_s, sheet};
use spanwright::units::{Dim, System};

const PLANS: [&str; 5] = ["kestrel-gap-62m", "lantern-quarry-28m", "crow-steps-44m", "sedge-hollow-34m", LONG];
const LONG: &str = "heron-valley-410m";

/// The plans that are reviewed within seconds.
fn quick() -> impl Iterator<Item = &'static str> {
    PLANS.into_iter().filter(|p| *p != LONG)
}

fn path(name: &str) -> String {
    format!("{}/plans/{name}.ron", env!("CARGO_MANIFEST_DIR"))
}

/// All sheets of a plan, written once for all tests.
fn pages(name: &str) -> Vec<(Kind, Page)> {
    static WRITTEN: [OnceLock<Vec<(Kind, Page)>>; PLANS.len()] = [const { OnceLock::new() }; PLANS.len()];
    let which = PLANS.iter().position(|p| *p == name).expect("one of the plans");
    WRITTEN[which].get_or_init(|| written(name)).clone()
}

fn written(name: &str) -> Vec<(Kind, Page)> {
    let file = PlanFile::open(path(name).as_ref()).expect("a plan");
    let review = review(&file).expect("a rig");
    let solver = in_view(&file).expect("a rig");
    // The long line is reviewed once: its ends are left out, and the card says so.
    let tried = (name != LONG).then(|| spanwright::sheets::tried(&file, &review));
    let facts = Facts { file: &file, review: &review, solver: &solver, system: System::Si, tried };
    let spools =
        [50.0, 100.0, 200.0, 500.0].map(|length_m| ToCutFrom { item: None, length_m, owned: false, count: 1 }).to_vec();
    let stock = Stock { spools, ..Stock::default() };
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
    quick().for_each(forms_are_alike);
}

fn forms_are_alike(name: &str) {
    for (kind, page) in pages(name) {
        let form = |f| page.print(f).expect("printed");
        let text = |f| String::from_utf8(form(f)).expect("text");
        let mut all = vec![("text", text(Form::Text)), ("Markdown", text(Form::Markdown)), ("HTML", text(Form::Html))];
        for paper in [Paper::A4, Paper::Letter] {
            let read = pdf_extract::extract_text_from_mem(&form(Form::Pdf(paper))).expect("an independent reader");
            all.push(("PDF", read));
        }
        for tag in ["section", "div", "table", "ul", "ol", "dl"] {
            let count = |t: &str| all[2].1.matches(t).count();
            assert_eq!(count(&format!("<{tag}>")) + count(&format!("<{tag} ")), count(&format!("</{tag}>")), "{tag}");
        }
        for (what, text) in all {
            let unescaped =
                text.replace("&quot;", "\"").replace("&gt;", ">").replace("&lt;", "<").replace("&amp;", "&");
            let whole = bare(&unescaped);
            for fact in page.facts() {
                for word in words(&fact) {
                    let there = whole.contains(&word);
                    assert!(there, "{name} {}: “{word}” of “{fact}” is not in the {what}", kind.name());
                }
            }
            assert!(whole.contains(&bare("A planning aid")), "{name} {}: no caution in the {what}", kind.name());
        }
    }
}

/// The rig card is one sheet of paper with two sides, A4 or Letter, for a line of 28 m as for one of 410 m.
#[test]
fn the_card_has_two_sides() {
    quick().for_each(card_has_two_sides);
}

fn card_has_two_sides(name: &str) {
    let (_, card) = pages(name).into_iter().find(|p| p.0 == Kind::Card).expect("a card");
    for paper in [Paper::A4, Paper::Letter] {
        let bytes = card.print(Form::Pdf(paper)).expect("printed");
        let read = pdf_extract::extract_text_from_mem_by_pages(&bytes).expect("an independent reader");
        assert_eq!(read.len(), 2, "{name}, {paper:?}");
        assert!(bare(&read[0]).contains("HOLDPOINT") && bare(&read[1]).contains("Measuredontheday"));
        // Before it is printed it is looked at as it will be: drawings in dots, a line where the second page begins.
        let screen = card.on_screen(94, &card.ends(paper));
        let dots = |t: &str| t.chars().filter(|c| ('\u{2801}'..='\u{28ff}').contains(c)).count();
        let turn = screen.find("── page 2 ").expect("a line between the pages");
        assert!(screen.find("HOLD POINT").is_some_and(|at| at < turn), "{name}: the edge's side comes first");
        assert!(screen[turn..].contains("Measured on the day") && !screen.contains("── page 3 "));
        assert!(dots(&screen) > 100 && dots(&card.as_text()) == 0);
        assert!(screen.lines().all(|l| unicode_width::UnicodeWidthStr::width(l) <= 94));
    }
}

/// Each piece has its card, and the demo's legs take four pages at the most; a taper's strip is in full size, 5 mm beyond the
/// taper at either end, and as long as the bench's own check value says.
#[test]
fn a_splice_card_is_a_page() {
    let (_, cards) = pages("kestrel-gap-62m").into_iter().find(|p| p.0 == Kind::Splices).expect("cards");
    for paper in [Paper::A4, Paper::Letter] {
        let bytes = cards.print(Form::Pdf(paper)).expect("printed");
        let read = pdf_extract::extract_text_from_mem_by_pages(&bytes).expect("an independent reader");
        assert!(read.len() <= 4, "{paper:?}: {} pages", read.len());
        for page in &read {
            let page = bare(page);
            assert!(page.contains("B1toB5") && page.contains("Labeltotieon") || page.contains("Howitismade"), "{page}");
        }
    }
    let strips: Vec<f64> =
        cards.blocks.iter().filter_map(|b| if let Block::Edge(d) = b { Some(d.size[1]) } else { None }).collect();
    // 580 mm buried: a third of it, and 10 mm.
    assert!(!strips.is_empty() && strips.iter().all(|s| (s - (580.0 / 3.0 + 10.0)).abs() < 0.01), "{strips:?}");
}

/// Every card of every plan is one page, on either paper, in either system of units.
#[test]
fn every_splice_card_is_one_page() {
    for name in PLANS {
        let file = PlanFile::open(path(name).as_ref()).expect("a plan");
        let review = spanwright::review::at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
        let solver = in_view(&file).expect("a rig");
        for system in [System::Si, System::Us] {
            let facts = Facts { file: &file, review: &review, solver: &solver, system, tried: None };
            let on = "2026-11-25".parse().expect("a day");
            let cards = sheet(Kind::Splices, &facts, &Stock::default(), on).expect("cards");
            let made = cards.blocks.iter().filter(|b| **b == Block::OtherSide).count() + 1;
            for paper in [Paper::A4, Paper::Letter] {
                let bytes = cards.print(Form::Pdf(paper)).expect("printed");
                let read = pdf_extract::extract_text_from_mem_by_pages(&bytes).expect("an independent reader");
                assert_eq!(read.len(), made, "{name}, {paper:?}, {system:?}");
            }
        }
    }
}

/// All three, of a line of 410 m.
#[test]
#[ignore = "long: `cargo test sheets -- --ignored`"]
fn the_long_line_prints_alike() {
    forms_are_alike(LONG);
    card_has_two_sides(LONG);
    fits_eighty_columns(LONG);
}

#[test]
fn text_fits_eighty_columns() {
    quick().for_each(fits_eighty_columns);
}

fn fits_eighty_columns(name: &str) {
    for (kind, page) in pages(name) {
        for line in page.as_text().lines() {
            let wide = unicode_width::UnicodeWidthStr::width(line);
            assert!(wide <= 80, "{name} {}: {wide} columns: {line}", kind.name());
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
    let cases: [(&[&str], &str); 20] = [
        (&["sheet", "gear", &demo, "--bag", "2 kg"], "at least 5 kg"),
        (&["splice", "sling", "--length", "2 m", "--bury", "400 mm"], "at least 480 mm"),
        (&["splice", "sling", "--length", "2 m", "--pin", "40 mm", "--eye", "50 mm"], "at least 92 mm"),
        (&["splice", "sling", "--length", "0.9 m"], "at least 1346 mm"),
        (&["splice", "loop", "--length", "0.3 m"], "at least 590 mm"),
        (&["splice", "adjustable", "--length", "1 m"], "more than"),
        (&["splice", "sling", "--rope", "static-rope-10", "--length", "2 m"], "hollow braid"),
        (&["splice", "bowline", "--length", "2 m"], "unrecognized subcommand"),
        (&["splice", "shackle", "--length", "100 mm", "--bury", "300 mm"], "--bury"),
        (&["splice", "shackle", "--length", "100 mm", "--pin", "6 mm"], "a pin of 8 mm or more"),
        (&["splice", "shackle", "--length", "70 mm"], "at least 80 mm"),
        (&["splice", "sling", "--length", "2 m", "--pin", "14 mm", "--thimble"], "a groove of 16 mm or more"),
        (&["splice", "sling", "--length", "2 m", "--shortens", "30 %"], "repeat the test piece"),
        (&["splice", "sling", "--length", "2 m", "--thimble", "--pin", "24 mm", "--locked", "both"], "stitches"),
        (&["splice", "sling", "--length=-2 m"], "over nothing"),
        (&["sheet", "cut", &demo, "--kerf", "3 m"], "half a metre"),
        (&["sheet", "gear", &demo, "--kerf", "3 mm"], "for the sheet “cut”"),
        (&["sheet", "card", &demo, "--bag", "20 kg"], "for the sheet “gear”"),
        (&["sheet", "cut", &demo, "--spool", "hmpe-9=50 m"], "this plan cuts hmpe-8"),
        (&["sheet", "gear", &demo, "--inventory", inventory], "2026-10-03"),
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

/// What there is to cut from does not do for one kind: that is said on top and at it with what would do, and the others are
/// cut. A cut takes what the rigger says.
#[test]
fn a_short_kind_does_not_stop_the_cut_list() {
    let demo = path("kestrel-gap-62m");
    let said = |args: &[&str]| {
        let all: Vec<&str> = ["sheet", "cut", &demo].into_iter().chain(args.iter().copied()).collect();
        let (code, printed, complained) = run(&all);
        assert_eq!(code, 0, "{args:?}: {complained}");
        printed.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let spool = said(&["--spool", "hmpe-8=3 m", "--spool", "200 m"]);
    assert!(spool.contains("What there is to cut from does not do: HMPE 12-strand 8 mm."), "{spool}");
    assert!(spool.contains("a spool of at least") && spool.contains("from 200 m"), "{spool}");
    let stock = said(&["--stock", "hmpe-8=10 m"]);
    assert!(stock.contains("is short by") && stock.contains("from your 10.0 m"), "{stock}");
    let wide = said(&["--kerf", "80 mm", "--spool", "200 m"]);
    assert!(wide.contains("each cut costs 80 mm beside") && !wide.contains("does not do"), "{wide}");
    // Each of a kind's cuts moves the tape by so much more: the last of three by two more cuts.
    let left = |text: &str| {
        let at = text.find("m left, ").expect("something is left");
        let words: Vec<&str> = text[..at].split_whitespace().collect();
        words[words.len() - 1].parse::<f64>().expect("metres")
    };
    let narrow = said(&["--kerf", "0 mm", "--spool", "200 m"]);
    assert!(left(&narrow) > left(&wide), "{narrow}");
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

/// Every piece of the plan is in one bag, none over its limit, and the kit is counted from the plan: mats by trees, pads
/// by legs, ties by locks, tag lines by the span.
#[test]
fn bags_hold_everything_once() {
    for (name, bag, trees, locks) in [("kestrel-gap-62m", "6 kg", 3, 4), ("heron-valley-410m", "20 kg", 0, 4)] {
        let out = run(&["sheet", "gear", &path(name), "--bag", bag, "--format", "md"]).1;
        let limit: f64 = bag.split(' ').next().expect("a figure").parse().expect("a figure");
        let mut packed = 0;
        for head in out.lines().filter(|l| l.starts_with("## Bag") && l.contains("of at most")) {
            let mass = head.split(": ").nth(1).and_then(|m| m.split(' ').next()).expect("a mass");
            assert!(mass.parse::<f64>().expect("a figure") <= limit || out.contains("two carry it"), "{head}");
            packed += 1;
        }
        assert!(packed > 4, "{name}: {packed} bags");
        // What the table needs is what stands in the bags.
        let count =
            |line: &str| line.trim_start_matches("| ").split(" × ").next().and_then(|n| n.parse::<usize>().ok());
        let title = if trees > 0 { "bow shackle 3.25 t" } else { "bow shackle 4.75 t" };
        let in_bags: usize =
            out.lines().filter(|l| l.contains(&format!(" × {title}"))).map(|l| count(l).expect("a count")).sum();
        let need = out.lines().find(|l| l.starts_with(&format!("| {title} |"))).expect("a row");
        assert!(need.contains(&format!("| {in_bags} |")), "{in_bags}: {need}");
        assert_eq!(out.contains("bark mat"), trees > 0);
        assert!(out.contains(&format!("{locks} × tail tie")), "{out}");
    }
    let out = run(&["sheet", "gear", &path("kestrel-gap-62m")]).1;
    assert!(
        out.contains("4 × bark mat") && out.contains("rope to lower with, 65.0 m") && out.contains("11 × edge pad")
    );
    // What the plan names of its own is not asked for a second time.
    assert!(!out.contains("tag line 6 mm") && !out.contains("rope and lanyard to work at the edge"));
}

/// What an inventory says on a day is a finding of the check: what must stay at home stops, what is missing is noted.
#[test]
fn what_an_inventory_says_is_a_finding() {
    let folder = tempfile::tempdir().expect("a folder");
    let inventory = folder.path().join("gear.ron");
    std::fs::write(&inventory, r#"Inventory(items: [(item: "webbing-lock", count: 4, inspected: "2024-04-01")])"#)
        .expect("written");
    let check = |on: &str| {
        let plan = path("kestrel-gap-62m");
        let (_, out, err) =
            run(&["check", &plan, "--all", "--inventory", inventory.to_str().expect("a path"), "--on", on]);
        assert!(err.is_empty(), "{err}");
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let late = check("2026-11-25");
    assert!(late.contains("webbing lock 25 mm: 4 needed, 0 fit; 4 pieces: stay at home, not looked over"), "{late}");
    assert!(late.contains("rescue pulley, ball bearing: 7 needed, 0 there"), "{late}");
    let early = check("2024-05-01");
    assert!(!early.contains("webbing lock 25 mm: 4 needed, 0 fit"), "looked over a month before: {early}");
}

/// What stands in for a load cell: the sags at the ends of the band are those of the plan tensioned to them, solved; the
/// pulse takes as long in the motion solver as the card says.
#[test]
fn what_stands_in_for_a_load_cell_is_solved() {
    use spanwright::mechanics::lump::lump;
    use spanwright::mechanics::motion::{Flow, Motion, Scene, Scheme};
    use spanwright::review::{Case, hung_per_m};
    use spanwright::units::{Dim, show};

    let text = std::fs::read_to_string(path("kestrel-gap-62m")).expect("a plan");
    let card = pages("kestrel-gap-62m").into_iter().find(|p| p.0 == Kind::Card).expect("a card").1;
    let facts = card.facts();
    let said = facts.iter().find(|f| f.contains("sighted along the chord")).expect("the sag");
    // The band is 0.2 kN either way of the target, which stands at A.
    let at = |n: f64| {
        let text = text.replace("standing: \"2.5 kN\"", &format!("standing: \"{:.9} kN\"", n / 1e3));
        let file = PlanFile::parse("plan", text).expect("reads");
        let mut solver = in_view(&file).expect("a rig");
        let s = solver.solve(&Case::standing()).expect("solves").expect("standing");
        assert!(s.certified());
        s.response.sag_m
    };
    for n in [2300.0, 2700.0] {
        let sag = show(Dim::Length, at(n), System::Si);
        assert!(said.contains(&sag), "{sag} at {n} N: {said}");
    }
    // A hump near A runs to B and back: its return past the same place, in the motion of the line as it stands.
    let file = PlanFile::parse("plan", text).expect("reads");
    let solver = in_view(&file).expect("a rig");
    let case = &solver.standing.case;
    let rest = &solver.standing.solution;
    let force = |m: usize| rest.span_force(m).unwrap_or_default();
    let elements = 300;
    let (lumped, chains) = lump(&case.net, &rest.places, force, [elements; 2], false).expect("lumps");
    let nodes = &chains[0].1.nodes;
    let still = spanwright::mechanics::equilibrium::solve(&lumped.net, None);
    let mut net = lumped.net.clone();
    for (n, p) in net.nodes.iter_mut().zip(&still.places) {
        if !n.fixed {
            n.place = *p;
        }
    }
    let along = |k: usize| k as f64 / (nodes.len() - 1) as f64;
    let start = 0.1;
    for (k, &n) in nodes.iter().enumerate() {
        net.nodes[n].place.y += 0.02 * (-((along(k) - start) / 0.02).powi(2)).exp();
    }
    let count = net.nodes.len();
    let scene = Scene {
        net,
        mass_kg: lumped.mass_kg.iter().map(|m| m.max(0.3 * f64::from(u8::from(*m == 0.0)))).collect(),
        along_kg: Vec::new(),
        velocity: vec![glam::DVec3::ZERO; count],
        drag_per_s: 0.0,
        air_n_s2_per_m2: Vec::new(),
    };
    let mut motion =
        Motion::new(&scene, Scheme { step_s: 0.0004, shortest_s: 0.0004, keeps_fast: 1.0, ..Scheme::default() })
            .expect("memory");
    let tension = 0.5 * (2500.0 + 2500.0);
    let length_m = solver.rig.line_length_m(&solver.standing.lengths);
    let want_s = pulse_s(length_m, hung_per_m(&solver.rig), tension);
    let watched = nodes[(0.5 * (nodes.len() - 1) as f64) as usize];
    // Half the hump passes the middle on its way to B, and comes back upside down: the way between is the line's length.
    let (mut out, mut back) = ((0.0, 0.0_f64), (0.0, 0.0_f64));
    motion.run(1.2 * want_s, |m| {
        let (t, y) = (m.t_s(), m.places()[watched].y);
        if t < 0.5 * want_s && y > out.1 {
            out = (t, y);
        }
        if t > 0.5 * want_s && t < 0.9 * want_s && y < back.1 {
            back = (t, y);
        }
        Flow::On
    });
    let took = 2.0 * (back.0 - out.0);
    println!("there and back {took:.3} s in motion, {want_s:.3} s on the card");
    assert!((took / want_s - 1.0).abs() < 0.03, "{took} against {want_s}");
}

/// The sheet of a frame names every strut, foot and guy with the factor that its review found nearest to the limit, and says
/// whether it stands.
#[test]
fn the_frame_sheet_says_what_the_review_says() {
    let name = "sedge-hollow-34m";
    let text = bare(&pages(name).into_iter().find(|p| p.0 == Kind::Frame).expect("frames").1.as_text());
    let file = PlanFile::open(path(name).as_ref()).expect("a plan");
    let review = review(&file).expect("a rig");
    let of = |place: &str| {
        let rows = review.rows.iter().filter(|r| r.place.to_string().starts_with(place));
        rows.map(spanwright::review::Row::margin).fold(f64::INFINITY, f64::min)
    };
    for piece in ["strut 1", "strut 2", "foot 1", "foot 2", "hobble", "A fore guy left", "A back guy"] {
        assert!(text.contains(&bare(piece)), "{piece}: {text}");
        let place = if piece.contains("guy") { piece.to_owned() } else { format!("A head, {piece}") };
        let margin = of(&place);
        assert!(margin.is_finite(), "{place}");
        let row = review.rows.iter().find(|r| r.place.to_string().starts_with(&place) && r.margin() <= margin);
        // Factors are written down to what they hold.
        let factor =
            row.map(|r| format!("{:.1} of {:.1}", (10.0 * r.factor).floor() / 10.0, r.required)).expect("a row");
        assert!(text.contains(&bare(&factor)), "{piece}: {factor} in {text}");
    }
    let frame = &review.frames[0];
    assert_eq!(text.contains(&bare("in every situation")), frame.falls().next().is_none(), "{text}");
    let none = pages("kestrel-gap-62m").into_iter().find(|p| p.0 == Kind::Frame).expect("a sheet").1.as_text();
    assert!(none.contains("stands on struts"), "{none}");
}

/// What must be carried to the far side is what the cut list cuts: one figure, on every plan.
#[test]
fn the_gear_list_carries_what_the_cut_list_cuts() {
    for name in PLANS {
        let file = PlanFile::open(path(name).as_ref()).expect("a plan");
        let solver = in_view(&file).expect("a rig");
        let review = at_rest(&file).expect("a rig");
        let facts = Facts { file: &file, review: &review, solver: &solver, system: System::Si, tried: None };
        let list = sheet(Kind::Gear, &facts, &Stock::default(), "2026-11-25".parse().expect("a day")).expect("a list");
        let list = list.as_text().split_whitespace().collect::<Vec<_>>().join(" ");
        let cut = spanwright::bench::pieces_of(&file, &solver.rig.articles(&solver.standing.lengths));
        let line = cut.iter().filter(|p| ["main, ", "backup, "].iter().any(|of| p.what.starts_with(of)));
        let mut told = 0;
        for p in line {
            let carried = spanwright::units::show(Dim::Length, p.cut_m, System::Si);
            assert!(
                list.contains(&format!("({}), {carried} to cut and carry", p.what)),
                "{name}: {} {carried}",
                p.what
            );
            assert!(p.cut_m >= p.finished_m);
            told += 1;
        }
        assert!(told >= 2, "{name}: {told}");
    }
}
