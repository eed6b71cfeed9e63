//! A line that stays up: what is left of its tension each morning, what is to be drawn in, what a gust asks of it.

use super::Facts;
use super::page::{Block, Page};
use crate::document::plain;
use crate::review::{Gusty, Moment, When, drawn_in, factor_text};
use crate::units::{Dim, System, show};

/// Two ends of a band in one unit.
#[must_use]
pub fn band(dim: Dim, [low, high]: [f64; 2], system: System) -> String {
    let [a, b] = [low, high].map(|v| show(dim, v, system));
    if a == b {
        return a;
    }
    let number = a.rsplit_once(' ').map_or(a.as_str(), |(n, unit)| if b.ends_with(unit) { n } else { a.as_str() });
    format!("{number} to {b}")
}

/// A moment in words: which, and how long after it was tensioned.
#[must_use]
pub fn moment_said(m: &Moment) -> String {
    let hours = m.after_s / 3600.0;
    let when = match m.when {
        When::Morning => "morning",
        When::Evening => "evening",
        When::Between => "between",
    };
    format!("{} {when}, {hours:.0} h", m.date)
}

/// A gust in words: how fast, what the line sees, what that leaves.
#[must_use]
pub fn gust_said(g: &Gusty, system: System) -> String {
    let speed = |v: f64| show(Dim::Velocity, v, system);
    let most = g.most_n.map_or("not solved".to_owned(), |n| show(Dim::Force, n, system));
    let factor = g.factor.map_or("not known".to_owned(), |f| format!("{} of {:.1}", factor_text(f), g.required));
    let over = if g.gust_m_per_s > g.storm_m_per_s {
        format!("; over the plan's storm of {}", speed(g.storm_m_per_s))
    } else {
        String::new()
    };
    format!("{}: {most} at the most, factor {factor}{over}", speed(g.gust_m_per_s))
}

/// The sheet of a plan.
#[must_use]
pub fn stay_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Staying up", facts.file);
    let Some(stays) = &facts.review.stays else {
        page.text("The plan does not say that the line stays up. Write stay into it: the evening in which it is tensioned, the forecast of each day that it hangs (the coldest of the night before, the warmest, wind and the strongest gust), and when it is pulled up again. spanwright format describes it.");
        return page;
    };
    let system = facts.system;
    let f = |n: f64| show(Dim::Force, n, system);
    page.text(format!(
        "Tensioned in the evening of {} to {} at {:?}. A night's cold lasts for its twelve hours, a day's warmth for the next twelve.",
        stays.from,
        f(stays.target_n),
        stays.side
    ));
    if let Some(why) = &stays.fault {
        page.text(format!("Not solved: {}.", plain(why)));
    }
    if stays.moments.is_empty() && stays.fault.is_none() {
        page.text("No day of it is forecast: what nights leave of its tension is not worked out.");
    }
    let rows = stays.moments.iter().map(|m| {
        vec![
            moment_said(m),
            show(Dim::Temperature, m.temperature_k, system),
            band(Dim::Force, m.tension_n, system),
            format!(
                "{:.0} to {:.0} %",
                100.0 * m.tension_n[0] / stays.target_n,
                100.0 * m.tension_n[1] / stays.target_n
            ),
            band(Dim::Length, m.longer_m, system),
            if m.pulled_up { format!("{}, pulled up", drawn_in(m.draw_in_m)) } else { drawn_in(m.draw_in_m) },
        ]
    });
    let rows: Vec<_> = rows.collect();
    if !rows.is_empty() {
        page.table(&["when", "air", "tension left>", "of it>", "came longer by>", "draw in"], rows);
    }
    let gusts: Vec<_> = stays
        .gusts
        .iter()
        .map(|g| {
            vec![
                g.date.clone(),
                show(Dim::Velocity, g.gust_m_per_s, system),
                g.most_n.map_or("not solved".to_owned(), f),
                g.factor.map_or("not known".to_owned(), |x| format!("{} of {:.1}", factor_text(x), g.required)),
                if g.gust_m_per_s > g.storm_m_per_s {
                    "✗ over the plan's storm: lower it".to_owned()
                } else {
                    String::new()
                },
            ]
        })
        .collect();
    if !gusts.is_empty() {
        page.table(&["day", "gust>", "most in the main line>", "its factor>", ""], gusts);
    }
    page.blocks.push(Block::Checks {
        boxes: vec!["in the evening".to_owned(), "in the morning".to_owned()],
        lines: [
            "tension read, and written down with hour and temperature",
            "marks on both tails looked at",
            "every edge, pad, lock and shackle looked at before anybody walks",
            "line drawn in only with nobody on it",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    super::found_at(&mut page, facts.review, "stay");
    page.text("Every figure is a band: creep from the least to the most that is usual for the fibre, drawn fibres growing or shrinking with warmth until somebody has measured them. New webbing settles besides; rope of HMPE may take up to a hundredth more at its first loading, which is counted unless what is spliced is declared “proof loaded”. Strength is judged of the line as it was tensioned, heights of the line as slack as it becomes; falls are played on the line as it was tensioned. Nobody walks a line that stayed up before somebody has looked it over.");
    page
}
