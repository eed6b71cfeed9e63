//! The review as Markdown.

use super::{CAUTION, VERSION};
use crate::document::plain;
use crate::plan::PlanFile;
use crate::review::Review;
use crate::units::{Dim, System, show};

fn escape(text: &str) -> String {
    plain(text).replace('|', "\\|").replace('<', "&lt;")
}

/// The whole review.
#[must_use]
pub fn markdown(file: &PlanFile, review: &Review, system: System) -> String {
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    let mut out = format!("# {}\n\n", escape(&file.plan.title));
    out += &format!("**{}**", review.verdict.word());
    if let Some(limit) = &review.limiting {
        out += &format!(" — {}", escape(&limit.sentence));
    }
    out += &format!(
        "\n\nSpan {}, unstretched {}, standing {} at A and {} at B, sag {} standing and {} with a walker in the middle.\n",
        l(file.plan.site.span.value),
        l(review.line.unstretched_m),
        f(review.line.standing_n[0]),
        f(review.line.standing_n[1]),
        l(review.line.sag_standing_m),
        l(review.line.sag_walker_m)
    );
    for u in &review.unsolved {
        out += &format!("\n- not solved: {} — {}", escape(&u.words()), escape(&u.why));
    }
    out += "\n## Worst first\n\n| piece | gear | class | case | demand | derated | factor | required | verdict |\n";
    out += "| --- | --- | --- | --- | ---: | ---: | ---: | ---: | --- |\n";
    for r in review.worst_first() {
        out += &format!(
            "| {} | {} | {} | {} | {} | {} | {} | {} | {} |\n",
            escape(&r.place.to_string()),
            escape(&r.title),
            r.class.word(),
            escape(&r.told()),
            r.sees(system),
            r.keeps(system),
            r.found(system),
            r.asked(system),
            r.verdict.word()
        );
    }
    if let Some(said) = super::hung_said(review) {
        out += &format!("\n{}\n", escape(&said));
    }
    if let Some(counted) = super::claims_counted(review) {
        out += &format!("\n## Figures that came with the plan: {counted}\n\n");
        for [sign, what, says, ours, slip] in super::claims_rows(review, system) {
            let slip = if slip.is_empty() { slip } else { format!(" — {}", escape(&slip)) };
            out += &format!("- {sign} {}: {says}, ours {ours}{slip}\n", escape(&what));
        }
    }
    out += "\n## Falls and failures\n\n";
    for line in super::incidents::lines(file, review, system, true) {
        out += &format!("- {}\n", escape(&line));
    }
    out += "\n## Findings\n\n";
    for (x, places) in review.findings_by_text() {
        let at = if places.is_empty() { places } else { format!("{places}: ") };
        out += &format!(
            "- **{}** {}{} — {}; {}. `{}`",
            x.gravity.word(),
            escape(&at),
            escape(&x.text),
            x.why,
            x.remedy,
            x.rule
        );
        if let Some(reason) = &x.set_aside {
            out += &format!(" (set aside: {})", escape(reason));
        }
        out.push('\n');
    }
    out += &format!(
        "\n---\n\n{CAUTION}\n\nspanwright {VERSION}, catalogue {}, plan {}.\n",
        file.catalogue.version,
        &file.digest()[..12]
    );
    out
}
