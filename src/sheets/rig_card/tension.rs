//! The standing tension, what stands in for a load cell, and how the line is pulled to it.

use super::super::Facts;
use super::super::page::{Block, Page};
use super::tried::{BAND_N, at_end, pulled};
use crate::catalogue::Fibre;
use crate::document::plain;
use crate::mechanics::gauge::pulse_s;
use crate::plan::{EndKind, PartLength, PlanFile, Role};
use crate::review::{Case, Solved, Verdict, comes_through, hung_per_m, in_view};
use crate::units::{Dim, Quantity, show};

/// Nearer to each other than this, two sags cannot be told apart by eye, m; and two times of ten returns by thumb, s.
/// Common practice, no source.
const READ_SAG_M: f64 = 0.02;
const READ_TEN_S: f64 = 0.1;

/// Cord to let the line down on, m: twice what comes through, and never less than ten metres; common practice, no source.
pub(in super::super) fn release_cord_m(through_m: f64) -> f64 {
    (2.0 * through_m).max(10.0)
}

/// What is read on the line when it is pulled: three figures, each with the band in which it is still right.
pub(super) fn target(page: &mut Page, facts: &Facts<'_>) {
    let (review, rig) = (facts.review, &facts.solver.rig);
    let f = |n: f64| show(Dim::Force, n, facts.system);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let tension = review.line.standing_n;
    let t = review.line.mean_standing_n();
    let [low, high] = [(tension[0] - BAND_N).max(1.0), tension[0] + BAND_N];
    let from_to = format!("{} to {}", f(low), f(high));
    let band = match facts.tried.as_ref().map(|t| &t.ends) {
        None => format!("{from_to}: not reviewed; “spanwright sheet card” reviews both ends"),
        Some(ends) => match ends.each_ref().map(|e| at_end(e.as_ref(), review, facts.system)) {
            [None, None] => format!("good from {from_to}, each end reviewed"),
            [a, b] => {
                let told = |n: f64, what: Option<String>| {
                    format!("at {} {}", f(n), what.unwrap_or_else(|| Verdict::Meets.word().to_owned()))
                };
                format!("{}; {}", told(low, a), told(high, b))
            }
        },
    };
    let sags: Vec<Option<f64>> = match facts.tried.as_ref().map(|t| &t.ends) {
        Some(ends) => ends.iter().map(|e| e.as_ref().map(|r| r.line.sag_standing_m)).collect(),
        None => [-BAND_N, BAND_N].map(|more_n| standing_sag_m(facts.file, more_n)).to_vec(),
    };
    let sag_band = match sags[..] {
        [Some(a), Some(b)] if (a - b).abs() < READ_SAG_M => {
            format!("not usable: {} at {}, {} at {}", l(a), f(low), l(b), f(high))
        }
        [Some(a), Some(b)] => {
            format!("{} at {}, {} at {}; sighted along the chord, nobody on it", l(a), f(low), l(b), f(high))
        }
        _ => "the ends of the band are not solved".to_owned(),
    };
    let both = hung_per_m(rig);
    let length = review.line.unstretched_m;
    let ten_s = |t: f64| 10.0 * pulse_s(length, both, t);
    let [slow, quick] = [(t - BAND_N).max(1.0), t + BAND_N].map(ten_s);
    let pulse_band = if slow - quick < READ_TEN_S {
        format!("not usable: {slow:.1} s at {}, {quick:.1} s at {}", f(low), f(high))
    } else {
        format!(
            "{slow:.1} s at {}, {quick:.1} s at {}; strike, time the tenth return; main and backup taped together",
            f(low),
            f(high)
        )
    };
    page.blocks.push(Block::Figures(vec![
        ["pull, at A".to_owned(), f(tension[0]), band],
        ["sag at mid-span".to_owned(), l(review.line.sag_standing_m), sag_band],
        ["ten returns of the pulse".to_owned(), format!("{:.1} s", ten_s(t)), pulse_band],
    ]));
}

/// Sag with the line tensioned to so much more, m.
fn standing_sag_m(file: &PlanFile, more_n: f64) -> Option<f64> {
    let solved = pulled(file, more_n).and_then(|p| in_view(&p).ok()?.solve(&Case::standing()).ok()?);
    solved.filter(Solved::certified).map(|s| s.response.sag_m)
}

/// What else belongs to the standing tension.
pub(super) fn more(page: &mut Page, facts: &Facts<'_>) {
    let (review, rig) = (facts.review, &facts.solver.rig);
    let f = |n: f64| show(Dim::Force, n, facts.system);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    page.heading("Standing tension");
    let t = review.line.mean_standing_n();
    let soft = |e: &&crate::rig::Element| e.item.class.is_soft();
    let soft_m: f64 = rig
        .line
        .elements
        .iter()
        .enumerate()
        .filter(|(_, e)| soft(e))
        .map(|(i, _)| rig.element_length(&facts.solver.standing.lengths, i))
        .sum();
    let main = facts.file.plan.main().into_iter().flat_map(|(_, r)| &r.parts);
    let gives = main
        .filter_map(|p| facts.file.catalogue.get(&p.item))
        .any(|i| matches!(i.fibre, Fibre::Nylon | Fibre::Polyester));
    let (through, hand) = comes_through(rig, &facts.solver.standing, t);
    let facts_of = [
        ("at B", f(review.line.standing_n[1])),
        ("walker in the middle", format!("sag {}", l(review.line.sag_walker_m))),
        ("webbing to come through", format!("{} from hand-tight ({}) to standing", l(through), f(hand))),
        (
            "to release",
            format!(
                "{} to hand-tight, on a release cord of at least {}",
                // Wet, and from where the crossing calls it hand-tight, where the plan has one.
                l(review.over.as_ref().map_or(through, |o| o.release_m[0].max(through))),
                l(release_cord_m(through))
            ),
        ),
        ("line between locks", format!("{} of webbing unstretched", l(soft_m))),
        ("locks", locks(facts)),
        ("leash", leash(facts)),
        (
            "after one hour",
            if gives {
                "pull up to the target; nylon and polyester have given a tenth to a quarter (common practice, from memory)"
            } else {
                "measure again; pull up to the target if it has given"
            }
            .to_owned(),
        ),
    ];
    page.blocks.push(Block::Facts(facts_of.map(|(a, b)| (a.to_owned(), b)).to_vec()));
}

/// The pulley system: hands, strands, sheaves, throw, release.
pub(super) fn pull(page: &mut Page, facts: &Facts<'_>) {
    let Some(t) = &facts.file.plan.tensioning else {
        page.text("The plan names no pulley system: tensioning was not judged.");
        return;
    };
    let Some(p) = &facts.review.pulling else {
        page.blocks.push(Block::Warning("The pulley system could not be worked out.".to_owned()));
        return;
    };
    let f = |n: f64| show(Dim::Force, n, facts.system);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    page.heading(&format!("Pulling, {}{}", plain(&t.reeving), if t.turned { ", turned once more" } else { "" }));
    let [hauling, letting_out] = p.strands_n.each_ref().map(|way| {
        let ropes: Vec<String> =
            way.iter().map(|rope| rope.iter().map(|n| f(*n)).collect::<Vec<_>>().join(", ")).collect();
        ropes.join("; ")
    });
    let title = |id: &str| facts.file.catalogue.get(id).map_or_else(|| plain(id), |i| plain(&i.title));
    let kind = |n: usize| if t.sheaves.is_empty() { String::new() } else { format!(" {}", title(t.sheave(n))) };
    let sheaves: Vec<String> =
        p.sheaves_n.iter().flatten().enumerate().map(|(n, load_n)| format!("{}{}", f(*load_n), kind(n))).collect();
    let [hauled, let_out] = &p.strands_n;
    let ends = hauled.iter().zip(let_out).filter_map(|(a, b)| Some(a.last()?.max(*b.last()?)));
    let tied: Vec<String> = ends.map(f).collect();
    let each = t.each.si();
    let release = if t.release.is_empty() { "NOBODY HAS SAID HOW".to_owned() } else { plain(&t.release) };
    let resets = match p.resets {
        0 => "never".to_owned(),
        n => format!("{n} times"),
    };
    let facts_of = [
        ("pull on the line", format!("{}, 5 % over the target, so that the lock can take it", f(p.load_n))),
        (
            "at the hand",
            format!("{}: {} people at {} each; {} are planned", f(p.hand_n), p.people(each), f(each), t.people),
        ),
        ("advantage", format!("{:.1} of {:.0} without friction", p.advantage[1], p.advantage[0])),
        ("strands from the hand, hauling", hauling),
        ("strands from the hand, letting out", letting_out),
        ("sheaves", if sheaves.is_empty() { "none".to_owned() } else { sheaves.join(", ") }),
        ("what it hangs on", format!("{}; becket, where the rope is tied: {}", f(p.anchor_n), tied.join(", "))),
        (
            "comes through",
            format!(
                "{}; {} of rope at the hand, {} at a throw, {resets} to draw out anew",
                l(p.through_m),
                l(p.hand_m),
                l(p.throw_m)
            ),
        ),
        ("rope needed", l(p.rope_m)),
        (
            "release",
            format!(
                "{release}; {} at the hand, {} of line and {} of rope to let out",
                f(p.lower_n),
                l(p.through_m),
                l(p.hand_m)
            ),
        ),
    ];
    page.blocks.push(Block::Facts(facts_of.map(|(a, b)| (a.to_owned(), b)).to_vec()));
}

fn locks(facts: &Facts<'_>) -> String {
    let Some((_, run)) = facts.file.plan.main() else { return "–".to_owned() };
    let mut out = Vec::new();
    for p in &run.parts {
        for (end, which) in p.ends.iter().flatten().zip(["A", "B"]) {
            if let EndKind::Locked { wraps, tail } = &end.kind {
                let wraps = wraps.map_or_else(|| "wrapped as its maker shows".to_owned(), |w| format!("{w} wraps"));
                let tail =
                    tail.map_or_else(|| "at least 0.5 m".to_owned(), |t| show(Dim::Length, t.si(), facts.system));
                out.push(format!("{which} {wraps}, tail {tail}"));
            }
        }
    }
    if out.is_empty() {
        "none in the line".to_owned()
    } else {
        format!("{}; flat, marked at the lock, tied off", out.join("; "))
    }
}

fn leash(facts: &Facts<'_>) -> String {
    let run = facts.file.plan.runs.values().find(|r| r.role == Role::Leash);
    let long = run
        .into_iter()
        .flat_map(|r| &r.parts)
        .find_map(|p| if let PartLength::Is(l) = p.length { Some(l.si()) } else { None });
    long.map_or_else(
        || "not in the plan".to_owned(),
        |m| format!("{} from rings to tie-in", show(Dim::Length, m, facts.system)),
    )
}
