//! A monkey at the workbench: keys, clicks, drags, wheels and pastes without end, over every example plan.

mod common;

use std::collections::BTreeMap;
use std::path::Path;

use common::Session;
use crossterm::event::{Event, MouseButton, MouseEventKind};
use spanwright::app::{COMMANDS, Command, JobDone, Overlay, Pane, Press, PromptUse, Where};
use spanwright::plan::PlanFile;
use spanwright::review::{Desk, Review, Solver, review};
use spanwright::rig::RigFault;

const EVENTS: usize = 40_000;
/// Events before the monkey gets a fresh plan.
const ROUND: usize = 250;
/// How often each command has to be run where it makes sense.
const LEAST: usize = 25;

struct Dice(u64);

impl Dice {
    fn roll(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }

    fn of<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.roll(from.len())]
    }
}

const TYPED: &[&str] = &[
    "enter",
    "enter",
    "enter",
    "esc",
    "esc",
    "down",
    "up",
    "left",
    "right",
    "home",
    "end",
    "delete",
    "backspace",
    "ctrl-u",
    "1",
    "7",
    "0",
    ".",
    "-",
    "space",
    "m",
    "k",
    "N",
    "a",
    "e",
    "t",
    "é",
    "\"",
    "(",
    "pagedown",
    "f5",
];

const PASTED: &[&str] = &[
    "2 kN",
    "-3.5 m",
    "Fit()",
    "hmpe-8",
    "\"",
    "))((",
    "1e999 m",
    "A master",
    "\u{1b}[31m\n\t",
    "0 m",
    "Spliced()",
    "…é漢",
    "NaN",
    "12 furlongs",
    "true",
    "x, y, z",
    "5, 3, 2",
    "",
];

/// Runs the command's key when it makes sense, and counts it.
fn press(s: &mut Session, key: Press, counts: &mut BTreeMap<&'static str, usize>) {
    if s.app.overlay.is_none()
        && let Some(c) = s.app.keymap.lookup(s.app.pane, key)
        && (c.when)(&s.app)
    {
        *counts.entry(c.id).or_default() += 1;
    }
    s.press(key);
}

/// The command that was run least often, of those that make sense now.
fn rarest(s: &Session, counts: &BTreeMap<&'static str, usize>) -> Option<&'static Command> {
    let possible = COMMANDS.iter().filter(|c| (c.when)(&s.app));
    possible.min_by_key(|c| counts.get(c.id).copied().unwrap_or(0))
}

fn act(s: &mut Session, dice: &mut Dice, counts: &mut BTreeMap<&'static str, usize>, held: &mut (u16, u16)) {
    // A file's name is never left to chance: it would be written anywhere.
    if let Some(Overlay::Prompt(p)) = &s.app.overlay
        && matches!(p.purpose, PromptUse::SaveAs(_))
    {
        s.keys("ctrl-u");
        s.type_text(&format!("saved-{}.ron", dice.roll(20)));
        return s.keys(dice.of::<&str>(&["enter", "esc"]));
    }
    let area = s.buffer().area;
    let cell = (dice.roll(usize::from(area.width)) as u16, dice.roll(usize::from(area.height)) as u16);
    match dice.roll(100) {
        0..22 => {
            let c = dice.of(COMMANDS);
            let key = *dice.of::<&str>(c.keys);
            press(s, Press::parse(key).expect("a key"), counts);
        }
        22..52 => press(s, Press::parse(dice.of::<&str>(TYPED)).expect("a key"), counts),
        52..62 => {
            let outline: Vec<_> = s.app.outline.iter().filter_map(|e| e.selected.clone()).collect();
            s.app.overlay = None;
            s.app.select(dice.of(&outline).clone());
            s.app.pane = *dice.of(&Pane::ALL);
            if let Some(c) = rarest(s, counts) {
                if let Where::In(p) = c.place {
                    s.app.pane = p;
                }
                press(s, Press::parse(c.keys[0]).expect("a key"), counts);
            }
        }
        62..70 => {
            *held = cell;
            s.mouse(MouseEventKind::Down(MouseButton::Left), cell);
        }
        // Drags start on a point of the drawing more often than chance would have it.
        70..74 => {
            let side = *dice.of(&[spanwright::plan::Side::A, spanwright::plan::Side::B]);
            let at = s.hits.above(side).filter(|a| !a.points.is_empty()).map(|a| a.position(dice.of(&a.points).1));
            if let Some(p) = at {
                *held = (p.x, p.y);
                s.mouse(MouseEventKind::Down(MouseButton::Left), *held);
            }
        }
        74..86 => {
            let step = |v: u16, by: usize| v.saturating_add(by as u16).saturating_sub(3);
            *held = (step(held.0, dice.roll(7)), step(held.1, dice.roll(7)));
            s.mouse(MouseEventKind::Drag(MouseButton::Left), *held);
        }
        86..89 => s.mouse(MouseEventKind::Up(MouseButton::Left), *held),
        89..92 => s.mouse(MouseEventKind::Down(MouseButton::Right), cell),
        92..95 => s.mouse(*dice.of(&[MouseEventKind::ScrollDown, MouseEventKind::ScrollUp]), cell),
        95..98 => s.event(&Event::Paste((*dice.of::<&str>(PASTED)).to_owned())),
        98 => {
            s.try_one();
        }
        _ => {
            if let Some((path, _)) = s.edits.pop() {
                if dice.roll(2) == 0 {
                    let text = std::fs::read_to_string(&path).unwrap_or_default();
                    std::fs::write(&path, format!("{text}// edited\n")).expect("written");
                }
                s.app.edited(Ok(()));
            }
        }
    }
}

/// What the monkey left: it can be saved and read again, and is reviewed or shows its faults. Undo brings back where it
/// began.
fn sound(s: &mut Session, folder: &Path, began: &str, seed: u64) {
    // The plan that a lesson was begun over is what was worked on.
    s.app.leave_lesson();
    s.screen();
    let listed = |name: &str| s.app.outline.iter().any(|e| e.selected.as_ref().is_some_and(|x| x.words() == name));
    for name in s.app.file.plan.points.keys().chain(s.app.file.plan.runs.keys()) {
        assert!(listed(name), "seed {seed}: {name} is in the plan and not on screen");
    }
    let path = folder.join("left.ron");
    std::fs::write(&path, &s.app.file.text).expect("written");
    let again = PlanFile::open(&path).unwrap_or_else(|e| panic!("seed {seed}: {}", e.show("left.ron")));
    assert_eq!((&again.text, &again.faults), (&s.app.file.text, &s.app.file.faults), "seed {seed}");
    let faults: Vec<String> = if again.is_sound() {
        Desk::open(&again).err().into_iter().flatten().map(|f| f.message).collect()
    } else {
        again.faults.iter().map(|f| f.message.clone()).collect()
    };
    // What has no rest as planned is told at once, what has none once its gear has set with the review.
    if let (Ok(solver), false) = (&s.app.solver, faults.is_empty()) {
        assert!(again.is_sound() && Solver::new(solver.rig.set_under_load()).is_err(), "seed {seed}: {faults:?}");
        let shown = |f: &RigFault| again.fault(&f.path, &f.message, &f.help);
        let result = review(&again).map(Box::new).map_err(|faults| faults.iter().map(shown).collect());
        let number = s.app.wanted;
        s.app.reviewed(JobDone { number, result });
    }
    if let Some(f) = faults.first() {
        assert!(s.app.review.is_none() && s.app.review_faults.iter().any(|d| d.message == *f), "seed {seed}: {f}");
    } else {
        assert!(s.app.solver.is_ok(), "seed {seed}: {:?}", s.app.solver.as_ref().err());
    }
    while !s.app.history.is_empty() {
        s.app.undo();
    }
    assert_eq!(s.app.file.text, began, "seed {seed}: undo brings every character back");
}

/// The plan without ties and rescue.
fn without_trip(text: &str) -> String {
    let (from, to) = (text.find("    ties: {").expect("ties"), text.find("    declared: {").expect("declared"));
    format!("{}{}", &text[..from], &text[to..])
}

#[test]
fn a_monkey_does_no_harm() {
    let folder = tempfile::tempdir().expect("folder");
    let plans = Path::new(env!("CARGO_MANIFEST_DIR")).join("plans");
    let texts: Vec<(String, Result<Box<Review>, ()>)> = [
        "kestrel-gap-62m.ron",
        "lantern-quarry-28m.ron",
        "heron-valley-410m.ron",
        "crow-steps-44m.ron",
        "sedge-hollow-34m.ron",
    ]
    .iter()
    .map(|n| std::fs::read_to_string(plans.join(n)).expect("a plan"))
    // A bolt in the master's place: a plan that reads and cannot be worked out.
    .chain([spanwright::cli::DEMO.replace("(\"-3.2 m\", \"1.3 m\", \"-0.1 m\")", "(\"0 m\", \"0 m\", \"0 m\")")])
    // A plan that says nothing of the trip.
    .chain([without_trip(&std::fs::read_to_string(plans.join("lantern-quarry-28m.ron")).expect("a plan"))])
    .map(|t| {
        let file = PlanFile::parse("plan", t.clone()).expect("reads");
        // The demo with falls and failures, the others at rest: the monkey is after the screen.
        let whole = t == spanwright::cli::DEMO;
        let r = if whole { review(&file) } else { Desk::open(&file).map(|d| d.review()) };
        let r = r.map(Box::new).map_err(|_| ());
        (t, r)
    })
    .collect();
    // Names without a folder are written here.
    std::env::set_current_dir(folder.path()).expect("there");
    let (folder, texts) = (&folder, &texts);
    // Rounds know nothing of each other, so two monkeys share them.
    let rounds = |monkey: usize| {
        let folder = folder.path().join(format!("monkey-{monkey}"));
        std::fs::create_dir(&folder).expect("made");
        let mut counts = BTreeMap::new();
        for round in (monkey..EVENTS / ROUND).step_by(2) {
            let seed = 0x9e37_79b9_7f4a_7c15 ^ ((round as u64 + 1) << 20);
            let mut dice = Dice(seed);
            let (text, reviewed) = &texts[round % texts.len()];
            let path = folder.join("plan.ron");
            std::fs::write(&path, text).expect("written");
            let (width, height) = *dice.of(&[(80, 24), (120, 40), (200, 50), (40, 12)]);
            let mut s = Session::idle(&path, width, height);
            if let Ok(r) = reviewed {
                let number = s.app.wanted;
                s.app.reviewed(JobDone { number, result: Ok(r.clone()) });
            }
            let mut held = (0, 0);
            for i in 0..ROUND {
                if i % 8 == 0 {
                    s.screen();
                }
                act(&mut s, &mut dice, &mut counts, &mut held);
            }
            sound(&mut s, &folder, text, seed);
        }
        counts
    };
    let [mut counts, other] = std::thread::scope(|scope| {
        let both = [0, 1].map(|monkey| scope.spawn(move || rounds(monkey)));
        both.map(|t| t.join().expect("no panic"))
    });
    for (id, n) in other {
        *counts.entry(id).or_default() += n;
    }
    let few: Vec<_> =
        COMMANDS.iter().map(|c| (c.id, counts.get(c.id).copied().unwrap_or(0))).filter(|c| c.1 < LEAST).collect();
    assert!(few.is_empty(), "run too seldom: {few:?}");
}
