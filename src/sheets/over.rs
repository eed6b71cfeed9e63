//! Over and down: what the hands pull stage by stage, how low each hangs, the brake, the metres, and the way back.

use super::Facts;
use super::page::{Block, Drawing, Page};
use crate::document::plain;
use crate::plan::Side;
use crate::review::{Over, Passed, Place, Review, StageOver, Verdict, Way, factor_text};
use crate::units::{Dim, Quantity, show};

/// Width and most height of the drawing, mm.
const WIDE: f64 = 178.0;
const HIGH: f64 = 56.0;
/// Height of letters, mm.
const LETTER: f64 = 2.6;

/// The sheet of a plan.
#[must_use]
pub fn over_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Over and down", facts.file);
    let (Some(over), Some(x)) = (&facts.review.over, &facts.file.plan.crossing) else {
        page.text("The plan does not say how the line gets over. Write a crossing into it: which side sends, what is held meanwhile, the stages from the first that gets over by itself to the line, and the brake. spanwright format describes it.");
        return page;
    };
    let system = facts.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| show(Dim::Length, m, system));
    let [from, to] = if over.sends == Side::A { ["A", "B"] } else { ["B", "A"] };
    page.text(format!(
        "{from} sends and brakes, {to} pulls. Held meanwhile: {}. {}, wind {}. Lines may be {}.",
        match x.held {
            crate::plan::crossing::Held::Sag(m) => format!("a sag of {}", l(m.si())),
            crate::plan::crossing::Held::Clear(m) => format!("{} over ground and obstacles", l(m.si())),
            crate::plan::crossing::Held::Brake(n) => format!("{} at the sending edge", f(n.si())),
        },
        format_args!("Edges: A {}, B {}", x.edges[0].words(), x.edges[1].words()),
        show(Dim::Velocity, x.wind.si(), system),
        if x.wet { "wet" } else { "dry" }
    ));
    for s in over.stages.iter().filter(|s| s.fault.is_some()) {
        page.blocks.push(Block::Warning(format!("{}: {}", plain(&s.name), s.fault.clone().unwrap_or_default())));
    }
    page.blocks.push(Block::Drawing(elevation(facts, over), Vec::new()));
    page.table(
        &["stage", "pull>", "at the hands>", "in wind>", "people>", "factor>", "lowest over ground"],
        over.stages.iter().enumerate().map(|(k, s)| stage(facts, k, s)).collect(),
    );
    let mut facts_of = vec![(
        format!("brake at {from}"),
        match over.brake_hand_n {
            Some(hand) => format!(
                "{} behind the edge, {} in the hand with a jerk of half as much again{}",
                f(over.brake_n),
                f(hand),
                passed(facts.review, &Passed::Brake).map_or(String::new(), |(said, _)| format!(": {said}"))
            ),
            None => format!("{} behind the edge; the plan has no brake", f(over.brake_n)),
        },
    )];
    facts_of.push((
        "metres".to_owned(),
        format!("let out {} with 5 m at either end; pulling line at least {}", l(over.let_out_m), l(over.pulling_m)),
    ));
    if let Some(h) = over.half_rigged {
        let hung = h.height_m.map_or(String::new(), |m| format!(", {} over ground at {}", l(m), l(h.height_at_m)));
        facts_of.push((
            "half-rigged".to_owned(),
            if h.possible {
                format!("hand-tight at {} it hangs {}{hung}", f(h.tension_n), l(h.sag_m))
            } else {
                format!(
                    "hand-tight cannot be: {} is the least that it hangs with, {} deep{hung}; it stays on the pulling line until it is tensioned",
                    f(h.tension_n),
                    l(h.sag_m)
                )
            },
        ));
    }
    facts_of.push((
        "down".to_owned(),
        format!(
            "release at {}{}; {} to hand-tight, {} more to what was held; haul back at {from} with {}, brake at {to} holds {}",
            f(over.release_n),
            passed(facts.review, &Passed::Release)
                .map_or(", what it holds is not said".to_owned(), |(said, _)| format!(": {said}")),
            l(over.release_m[0]),
            l((over.release_m[1] - over.release_m[0]).max(0.0)),
            f(over.down_n[0]),
            f(over.down_n[1])
        ),
    ));
    page.blocks.push(Block::Facts(facts_of));
    page.blocks.push(Block::Checks {
        boxes: vec![String::new()],
        lines: [
            "nobody below; nobody in the bight or in line with a pull",
            "rings on, before the second end is fixed",
            "both sides answer: pull, hold, stop, give, clear",
            "brake tried with the whole load before the line is over the gap",
            "tag line stays on until both ends are locked, and for the way down",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    page.blocks.push(Block::Blanks(
        ["last at the edge, A", "last at the edge, B", "over at", "wind then"].map(str::to_owned).to_vec(),
    ));
    super::found_at(&mut page, facts.review, "crossing");
    page.text("Friction has two ends: the high one where it hinders (hauling), the low one where it helps (brakes). Drag of a flat line across the wind is counted with 1.2; lines flutter and lift, and broadside it may be 2.");
    page
}

/// Factor and verdict of gear that gets the line over, in words, and the verdict; nothing where it has no row.
#[must_use]
pub fn passed(review: &Review, what: &Passed) -> Option<(String, Verdict)> {
    let row = review.rows.iter().find(|r| matches!(&r.place, Place::Crossing(p) if p == what))?;
    let said = match row.verdict {
        Verdict::Unsolved => "not solved".to_owned(),
        v => format!("{} of {:.1}, {}", factor_text(row.factor), row.required, v.word()),
    };
    Some((said, row.verdict))
}

/// People by hand, and with the pulley set where that takes fewer.
fn people(s: &StageOver) -> String {
    match s.with_set {
        _ if s.people == 0 => "–".to_owned(),
        Some(set) if set < s.people => format!("{} or {set}", s.people),
        _ => s.people.to_string(),
    }
}

fn stage(facts: &Facts<'_>, k: usize, s: &StageOver) -> Vec<String> {
    let system = facts.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| show(Dim::Length, m, system));
    let hardest = s.hardest();
    let low = s.lowest().and_then(|w| Some(format!("{} at {}", l(w.height_m?), l(w.height_at_m))));
    vec![
        format!(
            "{} {}, {}{}",
            k + 1,
            plain(&s.name),
            plain(&s.line),
            s.pulled_by.as_ref().map_or(String::new(), |p| format!(", by {}", plain(p)))
        ),
        hardest.map_or("–".to_owned(), |w| f(w.receiving_n.max(w.sending_n))),
        hardest.map_or("–".to_owned(), |w| f(w.hands_n)),
        hardest.filter(|w| w.hands_windy_n > 0.0).map_or("–".to_owned(), |w| f(w.hands_windy_n)),
        people(s),
        passed(facts.review, &Passed::Line(s.name.clone())).map_or("–".to_owned(), |p| p.0),
        low.unwrap_or_else(|| "no ground given".to_owned()),
    ]
}

/// Ground, and the last stage on its way: how low its leading end comes.
fn elevation(facts: &Facts<'_>, over: &Over) -> Drawing {
    let site = &facts.file.plan.site;
    let span = site.span.si();
    let ends = facts.solver.rig.line.ends.map(|p| facts.solver.rig.spots[p].place);
    let ways: Vec<&Way> = over.stages.last().map(|s| s.ways.iter().collect()).unwrap_or_default();
    let ground: Vec<[f64; 2]> = site.ground.iter().map(|(x, z)| [x.si(), z.si()]).collect();
    let heights = || {
        let ground = ground.iter().map(|g| g[1]);
        let line = ways.iter().flat_map(|w| [w.joint_m[1], -w.sag_m]);
        let tops = site.obstacles.values().map(|o| o.top.si());
        ground.chain(line).chain(tops).chain(ends.iter().map(|e| e.z))
    };
    let (low, high) = (heights().fold(f64::INFINITY, f64::min), heights().fold(f64::NEG_INFINITY, f64::max));
    // One scale for both ways, unless the gap is too flat to see its sag.
    let across = (WIDE - 8.0) / span.max(1.0);
    let up = (across * 4.0)
        .min((HIGH - 12.0) / (high - low).max(1.0))
        .max(across.min((HIGH - 12.0) / (high - low).max(1.0)));
    let to = |p: [f64; 2]| [4.0 + across * p[0], 8.0 + up * (high - p[1])];
    let mut out = Drawing::new(WIDE, HIGH);
    let shown = |x: f64| (-4.0 / across..=span + 4.0 / across).contains(&x);
    out.line(&ground.iter().filter(|g| shown(g[0])).map(|g| to(*g)).collect::<Vec<_>>(), 0.5);
    for (name, o) in &site.obstacles {
        let (a, b, top) = (o.from.si(), o.to.si(), o.top.si());
        let foot = |x: f64| site.ground_at(x).unwrap_or(low);
        out.line(&[to([a, foot(a)]), to([a, top]), to([b, top]), to([b, foot(b)])], 0.35);
        out.words(to([0.5 * (a + b), top]), &plain(name), LETTER, 0.5);
    }
    for (end, name) in ends.iter().zip(["A", "B"]) {
        let at = to([end.x, end.z]);
        out.dot(at, 1.0, true);
        out.words([at[0], at[1] - 2.0], name, LETTER, 0.5);
    }
    // The way of the leading end, and the line where it is half over.
    let path: Vec<[f64; 2]> = ways.iter().map(|w| to(w.joint_m)).collect();
    out.dashes(&path, 0.3);
    for w in &ways {
        out.dot(to(w.joint_m), 0.7, false);
    }
    if let Some(w) = ways.iter().min_by(|a, b| (a.share - 0.5).abs().total_cmp(&(b.share - 0.5).abs())) {
        let at = to(w.joint_m);
        out.line(&w.shape_m.iter().map(|p| to(*p)).collect::<Vec<_>>(), 0.3);
        let said = format!("leading end half over, {} at the hands", show(Dim::Force, w.hands_n, facts.system));
        out.words([at[0], at[1] + LETTER + 1.5], &said, LETTER, 0.5);
    }
    let factor = up / across;
    let scale = if (factor - 1.0).abs() < 0.01 { String::new() } else { format!("; heights × {factor:.1}") };
    out.words(
        [4.0, HIGH - 1.0],
        &format!(
            "{} from A to B{scale}; the dashed way is that of the leading end",
            show(Dim::Length, span, facts.system)
        ),
        LETTER,
        0.0,
    );
    out
}
