//! Who is where and when: the steps of a day with their hours, how many each takes at each side, and the light.

use super::Facts;
use super::page::{Block, Page};
use crate::review::{CrewDay, Daylight, Hours, clock};

/// The light of a day in words.
#[must_use]
pub fn light_said(day: &CrewDay) -> String {
    match day.light {
        Daylight::NotSaid => "where it is is not said: nothing of the light".to_owned(),
        Daylight::All => "the sun does not set".to_owned(),
        Daylight::None => "the sun does not rise".to_owned(),
        Daylight::Ends { sunset_min, dark_min } => {
            let dark =
                dark_min.map_or_else(|| "it does not get dark".to_owned(), |m| format!("dark from {}", clock(m)));
            let left = sunset_min - day.done_min;
            let left = if left >= 0.0 { format!("{} left", hours(left)) } else { format!("{} too late", hours(-left)) };
            format!("the sun sets at {}, {dark}; {left}", clock(sunset_min))
        }
    }
}

/// So many minutes in words.
fn hours(minutes: f64) -> String {
    let all = minutes.round() as u64;
    match (all / 60, all % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

fn row(day: &CrewDay, s: &Hours, missing: bool) -> Vec<String> {
    let mut out = vec![
        clock(s.from_min),
        s.step.words().to_owned(),
        hours(s.takes_min),
        s.needs[0].to_string(),
        s.needs[1].to_string(),
        if s.besides > 0 { s.besides.to_string() } else { String::new() },
    ];
    if missing {
        out.push(s.missing(day.at).map_or_else(String::new, |why| format!("✗ {why}")));
    }
    out
}

/// The sheet of a plan.
#[must_use]
pub fn crew_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Crew and hours", facts.file);
    let Some(day) = &facts.review.crew else {
        page.text("The plan does not say who comes. Write crew into it: how many are at A and at B, the day, when the first anchor is begun; the place on the earth and its clock for the light; hours of an anchor, of a stage, of walking where they are not the usual ones. spanwright format describes it.");
        return page;
    };
    let [a, b] = day.at;
    page.text(format!("{}: {a} at A, {b} at B. Done at {}; {}.", day.date, clock(day.done_min), light_said(day)));
    let missing = day.steps.iter().any(|s| s.missing(day.at).is_some());
    let heads = ["from", "step", "takes>", "A>", "B>", "besides>", "missing"];
    let heads = &heads[..heads.len() - usize::from(!missing)];
    page.table(heads, day.steps.iter().map(|s| row(day, s, missing)).collect());
    if facts.file.plan.stay.is_some() {
        page.text("The line stays up: the hours of taking it down are another day's.");
    }
    page.blocks.push(Block::Checks {
        boxes: vec!["A".to_owned(), "B".to_owned()],
        lines: [
            "everybody knows who leads, who checks whom, and the calls",
            "a radio or a sign that is seen at the other side",
            "a lamp for each, whatever the clock says",
            "somebody at home knows when to miss you",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    super::found_at(&mut page, facts.review, "crew");
    page.text("Besides are the one who walks and the one who would go out to them. Hours are a start: 40 minutes for each end of main line and backup, 20 for a stage, half an anchor's time to take it off; common practice, no source. Both sides rig at once where somebody is at each. Sunset is the almanac's, over a level horizon: in a gorge it is gone earlier.");
    page
}
