//! A piece of spliced gear designed from a few questions, whether the plan has one like it or not.

use super::dialogue::{Dialogue, positive};
use super::printing::Leaf;
use super::state::{App, Choice, Overlay};
use crate::bench::{Eye, Gear, Hand, Lock, Rope, ShackleKnot, design};
use crate::catalogue::Class;
use crate::sheets;
use crate::units::{Dim, System, show};

/// What is asked, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchQuestion {
    /// What is to be made.
    Gear,
    /// Of which rope.
    Rope,
    /// How long.
    Length,
    /// What its eyes go over.
    Pins,
    /// On thimbles, locked, or plain.
    Eyes,
}

/// The answers so far.
#[derive(Debug, Clone)]
pub struct BenchAnswers {
    gear: &'static str,
    rope: String,
    length_m: f64,
    pins_m: [f64; 2],
}

/// What can be made.
const GEAR: [(&str, &str); 5] = [
    ("sling", "eye and eye, from bearing to bearing on its pins"),
    ("eye", "one eye at the end of a rope"),
    ("loop", "a loop without end, from bearing to bearing"),
    ("shackle", "a soft shackle, closed on its pins"),
    ("adjustable", "an adjustable sling, at its longest"),
];

/// How eyes are made.
const EYES: [(&str, &str); 3] = [
    ("plain", "straight bury, stitched"),
    ("thimble", "on thimbles, whose groove is what was given as pin"),
    ("locked", "the first eye passed through its rope, the second stitched"),
];

fn rows(of: &[(&str, &str)]) -> Vec<Choice> {
    of.iter().map(|(name, words)| Choice::named(*name, *words)).collect()
}

fn long(m: f64) -> String {
    show(Dim::Length, m, System::Si)
}

impl App {
    /// Begins: for a spliced part that is selected, with its rope.
    pub(super) fn ask_for_gear(&mut self) {
        let selected = match &self.selected {
            super::outline::Selected::Part(run, k) => {
                self.file.plan.runs.get(run).and_then(|r| r.parts.get(*k)).map(|p| p.item.clone())
            }
            _ => None,
        };
        let braid = |id: &String| self.file.catalogue.get(id).is_some_and(|i| i.class == Class::HollowBraid);
        let rope = selected.filter(braid).unwrap_or_else(|| "hmpe-8".to_owned());
        let answers = BenchAnswers { gear: "sling", rope, length_m: 1.0, pins_m: [0.016; 2] };
        self.ask_bench(BenchQuestion::Gear, &answers);
    }

    fn ask_bench(&mut self, q: BenchQuestion, a: &BenchAnswers) {
        let d = Dialogue::Bench(q, a.clone());
        self.overlay = Some(match q {
            BenchQuestion::Gear => d.listed("Splice: what".to_owned(), rows(&GEAR), a.gear),
            BenchQuestion::Rope => {
                let rope = a.rope.clone();
                d.listed("Splice: of which rope".to_owned(), self.items(|c| c == Class::HollowBraid), &rope)
            }
            BenchQuestion::Length => d.typed(format!("Splice: finished length of the {}", a.gear), long(a.length_m)),
            BenchQuestion::Pins => {
                let pins = a.pins_m.map(long).join(", ");
                d.typed("Splice: what it goes over: one pin, or two parted by a comma".to_owned(), pins)
            }
            BenchQuestion::Eyes => d.listed("Splice: its eyes".to_owned(), rows(&EYES), "plain"),
        });
        self.dirty = true;
    }

    /// Takes an answer, and asks on or designs.
    ///
    /// # Errors
    /// Why the answer cannot be taken, or the gear cannot be made, with the figure that would work.
    pub(super) fn answer_bench(&mut self, q: BenchQuestion, mut a: BenchAnswers, text: &str) -> Result<(), String> {
        let length = |text: &str| positive(text.trim(), Dim::Length);
        let next = match q {
            BenchQuestion::Gear => {
                a.gear = GEAR.iter().find(|g| g.0 == text).ok_or("it is one of the list")?.0;
                BenchQuestion::Rope
            }
            BenchQuestion::Rope => {
                text.clone_into(&mut a.rope);
                BenchQuestion::Length
            }
            BenchQuestion::Length => {
                a.length_m = length(text)?;
                BenchQuestion::Pins
            }
            BenchQuestion::Pins => {
                let mut parts = text.split(',');
                let first = length(parts.next().unwrap_or_default())?;
                a.pins_m = [first, parts.next().map_or(Ok(first), length)?];
                if matches!(a.gear, "loop" | "shackle") {
                    return self.designed(&a, "plain");
                }
                BenchQuestion::Eyes
            }
            BenchQuestion::Eyes => {
                // Most often it is too short: the length is asked again beside the reason, which has no room under a list.
                if let Err(why) = self.designed(&a, text) {
                    self.ask_bench(BenchQuestion::Length, &a);
                    if let Some(Overlay::Prompt(p)) = &mut self.overlay {
                        p.refusal = Some(why);
                    }
                }
                return Ok(());
            }
        };
        self.ask_bench(next, &a);
        Ok(())
    }

    fn designed(&mut self, a: &BenchAnswers, eyes: &str) -> Result<(), String> {
        let lock = |k: usize| if eyes == "locked" && k == 0 { Lock::Passed } else { Lock::Stitched };
        let eye = |k: usize| Eye { thimble: eyes == "thimble", lock: lock(k), ..Eye::over(a.pins_m[k]) };
        let length_m = a.length_m;
        let gear = match a.gear {
            "eye" => Gear::EyeSplice { eye: eye(0), length_m },
            "loop" => Gear::Loop { length_m, pins_m: a.pins_m, bury_m: None },
            "shackle" => Gear::SoftShackle { length_m, pin_m: a.pins_m[0], knot: ShackleKnot::Button },
            "adjustable" => Gear::Adjustable { eye: eye(0), far_pin_m: a.pins_m[1], longest_m: length_m },
            _ => Gear::Sling { eyes: [eye(0), eye(1)], length_m },
        };
        let item = self.file.catalogue.get(&a.rope).ok_or("no such rope")?;
        let rope = Rope::of(item).map_err(|r| r.to_string())?;
        let made = design(&gear, &rope, &Hand::default(), &self.file.catalogue.deratings).map_err(|r| r.to_string())?;
        let page = sheets::splice_card(&made, &self.file.catalogue.version, self.settings.system);
        self.benched = Some(Box::new(page));
        self.leaf_to(Leaf::Bench);
        Ok(())
    }
}
